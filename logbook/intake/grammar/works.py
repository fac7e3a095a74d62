"""Which work the words of a note name."""

from __future__ import annotations

from collections.abc import Sequence

from ...collection.kinds import words_match
from ...horticulture.knowledge import Knowledge, Work


def find_work(tokens: Sequence[str], knowledge: Knowledge) -> tuple[Work | None, int]:
    """The work whose typed words stand at the start, and how many tokens they take; the longest wins.

    Shortened words count while they fit one work only.
    """
    low = [token.casefold() for token in tokens]
    longest = max(len(phrase.split()) for work in knowledge.works.values() for phrase in (*work.typed, work.name))
    for count in range(min(longest, len(low)), 0, -1):
        exact: set[str] = set()
        near: set[str] = set()
        for work in knowledge.works.values():
            for phrase in (*work.typed, work.name):
                words = phrase.split()
                if low[:count] == words:
                    exact.add(work.name)
                elif words_match(low[:count], words):
                    near.add(work.name)
        hits = exact or near
        if len(hits) == 1:
            return knowledge.works[hits.pop()], count
    return None, 0
