"""Which work the words of a note name."""

from __future__ import annotations

from collections.abc import Sequence

from ...collection.kinds import words_match
from ...horticulture.knowledge import Knowledge
from ...horticulture.work import Work


def find_work(tokens: Sequence[str], knowledge: Knowledge) -> tuple[Work | None, int]:
    """The work whose typed words stand at the start, and how many tokens they take; the longest wins.

    Shortened words count while they fit one work only.
    """
    low = [token.casefold() for token in tokens]
    likely = [
        (work, phrase.split())
        for work in knowledge.works.values()
        for phrase in (*work.typed, work.name)
        if low and phrase.startswith(low[0])
    ]
    for count in range(min(max((len(words) for _, words in likely), default=0), len(low)), 0, -1):
        said = low[:count]
        exact = {work.name for work, words in likely if words == said}
        hits = exact or {work.name for work, words in likely if words_match(said, words)}
        if len(hits) == 1:
            return knowledge.works[hits.pop()], count
    return None, 0
