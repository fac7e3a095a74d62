"""Clauses that only tell more of what was told before: details of a work, the number of a measure."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

from .clauses import Ear, with_little_words
from .details import Details, branches_of, details_in
from .numbers import length_at
from .page import Entry, Page
from .words import Clause, Token


def attached(page: Page, clause: Clause, *, wholly: bool = False) -> bool:
    """Whether a clause without a head word only tells details of the work before it; they are then added to it."""
    entry = page.work
    work = page.ear.knowledge.works.get(str(entry.fields.get("work", ""))) if entry else None
    if entry is None or work is None:
        return False
    free = list(range(len(clause.tokens)))
    found = details_in(clause.tokens, free, work.details, work.name, page.ear.tongue)
    left = [n for n in free if n not in found.used and not says_little(clause.tokens[n], page.ear)]
    new = {k: v for k, v in found.fields.items() if k not in entry.fields or k == "branches"}
    if _leaves_much(found, left, wholly=wholly):
        new = {}
    doubt = _branches_in_doubt(page, clause, entry, left, new) if "branches" in new else ""
    if doubt:
        page.ask(doubt)
        return False
    new = _with_branches(page, clause, entry, left, new)
    if not new:
        return False
    if found.asks:
        page.ask(found.asks)
    entry.fields |= new
    page.read += 1
    left = with_little_words(clause.tokens, left, frozenset(found.used), page.ear.tongue.words.fillers)
    entry.spans += spans_of([clause.tokens[n] for n in left])
    return True


def _leaves_much(found: Details, left: Sequence[int], *, wholly: bool) -> bool:
    """Whether a clause leaves so many words that it is no clause of details; `wholly`: none may be left."""
    return len(left) > 2 * len(found.used) or (bool(left) and (wholly or not found.strong))


def _branches_in_doubt(page: Page, clause: Clause, entry: Entry, left: Sequence[int], new: Mapping[str, Any]) -> str:
    """The question about branches told behind their work: other ones of wire, or those that a `but` leaves out."""
    told = page.line[clause.start : clause.end]
    again = "branches" in entry.fields and not page.ear.job and not left
    if again and page.ear.tongue.words.wire(entry.fields["work"]):
        return f"'{told}' tells of other branches than before: write a line for each"
    off = page.ear.tongue.words.wire_off(entry.fields["work"])
    if off and "bite" in new and "branches" not in entry.fields and not page.ear.job:
        return f"'{told}' names a branch behind wire that came off: off that branch only, or off all of them?"
    if clause.joined == "but":
        return f"'but {told}' leaves out a part: which branches were done?"
    return ""


def _with_branches(
    page: Page, clause: Clause, entry: Entry, left: Sequence[int], new: dict[str, object]
) -> dict[str, object]:
    """The new fields with the branches told before; branches among words that were not read stay in the remark."""
    if "branches" not in new:
        return new
    if left:
        return {key: value for key, value in new.items() if key != "branches"}
    if not page.ear.job:
        before = branches_of(entry.fields)
    else:
        before = branches_of(page.ear.job) if any(t.low in _TOO for t in clause.tokens) else ()
    return {**new, "branches": [*before, *branches_of(new)]}


_TOO = frozenset(("too", "also", "plus"))


def measured_before(page: Page, clause: Clause) -> bool:
    """`trunk was 40, now 42`; `trunk measured, 42 mm`: the number of a measure that was named in the clause before."""
    tokens = clause.tokens
    bare = tokens[1:] if tokens[0].low in ("now", "is", "today") else tokens
    named, page.measure = page.measure, ""
    if not named or len(bare) != 1 or not bare[0].numeric:
        return False
    value: float | None = None
    if named != "tips":
        value, _ = length_at(bare, 0, page.ear.tongue.units)
    elif bare[0].text.isdecimal():
        value = int(bare[0].text)
    if value is None:
        return False
    page.add({"measured": {named: value}})
    page.read += 1
    return True


def goes_on_with_branches(page: Page, clause: Clause) -> bool:
    """`wired 1, 2 slack …`: a number at the head of words that were not read, behind branches that carry wire."""
    first = clause.tokens[0]
    known = page.ear.tongue.known
    if page.work is None or first.kind not in ("number", "id") or (known is not None and first.text not in known):
        return False
    work = page.work.fields
    return bool(work.get("branches")) and page.ear.tongue.words.wire(work.get("work"))


def measure_named(clause: Clause, ear: Ear) -> str:
    """The one measure that a clause names without telling it."""
    names = {ear.tongue.words.measures.get(t.low, "") for t in clause.tokens} - {"", "vigour"}
    return names.pop() if len(names) == 1 and len(clause.tokens) <= 4 else ""


def says_little(token: Token, ear: Ear) -> bool:
    """Whether a token is a mark or a filler, which tells nothing by itself."""
    return token.kind == "mark" or (token.low in ear.tongue.words.fillers and not token.inert)


def spans_of(tokens: Sequence[Token]) -> list[tuple[int, int]]:
    """Where tokens stand in their line: first and last character, the last not counted."""
    return [(t.start, t.end) for t in tokens]
