"""What a whole line says against what was heard of it: then the line is asked about, and what was heard is not offered as its answer.

A clause that was read well may still be half of a line: wire off, and back on again; repotted, but in another year.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from ...horticulture.work import Kind, Thing
from ...planning.condition import LIFTED
from ...planning.tree_state import HOLDING
from .clauses import Ear
from .details import Fields, branches_of
from .page import Heard
from .vocabulary import Vocabulary

_NUMBER = re.compile(r"(?<![\w.,/-])\d{1,2}(?![\w.,/-]*\d)(?![\w%])")
_SEVERAL = 2


Doubt = tuple[str, str]  # a question about a line, and how to write it without one


def doubted(heard: Heard, line: str, told: str, ear: Ear) -> Heard:
    """What was heard, and asked about where the whole line speaks against it: then nothing of it is offered as the answer. `told`: the line
    without what is a remark, or meant, by its first word.
    """
    said = told.casefold().replace("'", "").replace("’", "")
    doubt = next(_doubts(said, heard.parts, ear), None)
    if doubt is None and not heard.question:
        doubt = next(_branch_beside(said, heard.parts, ear), None)
    return Heard(({"note": line},), *doubt) if doubt else heard


def _doubts(said: str, parts: Sequence[Fields], ear: Ear) -> Iterator[Doubt]:
    words = ear.tongue.words
    for part in parts:
        if words.wire_off(part.get("work")):
            yield from _of_wire_off(said, part, parts, ear)
    if not any(words.wire(part.get("work")) for part in parts) and not _is_of_another_time(said, words):
        yield from _found(words, said, "wire_off_told", "which wire is off?", "write: wire off 1 3")
    yield from _found(words, said, "takes_back", "it may take another line back", "write that line anew, as it is")
    yield from _of_works(said, parts, ear)
    yield from _of_states(said, parts, words)


def _is_of_another_time(said: str, words: Vocabulary) -> bool:
    return any(words.guards[kind].search(said) for kind in ("wish", "time", "if"))


def _of_works(said: str, parts: Sequence[Fields], ear: Ear) -> Iterator[Doubt]:
    """A work that may be another one, of another year, or not done."""
    words = ear.tongue.words
    works = [work for part in parts if (work := ear.knowledge.works.get(str(part.get("work")))) is not None]
    if works:
        yield from _found(
            words, said, "another_year", "that may be of another year", "write its day in front: 2025 …"
        )
        yield from _found(words, said, "half_done", "it tells of a work that was not finished")
    if any(LIFTED in work.acts for work in works):
        yield from _found(words, said, "put_back", "lifted from the ground, or only looked at?", "write: root look")
    if any(Thing.BRANCH in work.takes for work in works):
        yield from _found(
            words, said, "shortened", "was the branch taken off, or cut back?", "write: pruned S1, or S1 off"
        )
    if any(work.kind is Kind.WOOD for work in works):
        yield from _found(
            words, said, "leaf_cut", "were leaves cut?", "write: partial defoliation, or full defoliation"
        )


def _of_states(said: str, parts: Sequence[Fields], words: Vocabulary) -> Iterator[Doubt]:
    """What holds from now on, or no longer, and was heard as a remark."""
    if any(len(branches_of(part)) >= _SEVERAL and part.get("bite") not in (None, "none") for part in parts):
        yield from _found(words, said, "some_well", "is it so on all of these branches?", "write a line for each")
    if not any(part.get("rest") or _is_weak(part) for part in parts):
        yield from _found(words, said, "let_be", "does it rest from now on?", "write: rest, or put 'note' in front")
    if not any(part.get("trouble") for part in parts):
        yield from _found(words, said, "over", "is that trouble over?", "write: trouble over, or put 'note' in front")


def _is_weak(part: Fields) -> bool:
    """Whether it tells a vigour by which the tree rests without a word."""
    vigour = part.get("vigour")
    return isinstance(vigour, int) and vigour < HOLDING


def _found(words: Vocabulary, said: str, kind: str, why: str, hint: str = "") -> Iterator[Doubt]:
    found = words.guards[kind].search(said)
    if found:
        yield f"'{found[0].strip()}': {why}", hint


def _of_wire_off(said: str, part: Fields, parts: Sequence[Fields], ear: Ear) -> Iterator[Doubt]:
    """Wire that is told to be off, and may be on again, or on others still: wire that nobody looks for cuts in."""
    words, hint = ear.tongue.words, "write: wire off 1 3"
    yield from _found(words, said, "off_but", "which wire is off?", hint)
    if not any(_puts_wire_on(words, one) for one in parts):
        yield from _found(words, said, "on_again", "is wire on it now?", "write: wire off 2; wired 2")
    if not branches_of(part):
        yield from _found(words, said, "off_partly", "is all of its wire off?", hint)


def _branch_beside(said: str, parts: Sequence[Fields], ear: Ear) -> Iterator[Doubt]:
    """A branch that stands beside wire that is off, which names none."""
    if not any(ear.tongue.words.wire_off(part.get("work")) and not branches_of(part) for part in parts):
        return
    named = {branch for one in parts for branch in branches_of(one)}
    numbers = [
        n for n in _NUMBER.findall(said) if n not in named and (ear.tongue.known is None or n in ear.tongue.known)
    ]
    if numbers and not re.search(r"\ball\b", said):
        yield f"'{numbers[0]}': is that the branch whose wire is off?", "write: wire off 1 3"


def _puts_wire_on(words: Vocabulary, part: Fields) -> bool:
    work = part.get("work")
    return words.wire(work) and not words.wire_off(work) and not words.wire_looked_at(work)
