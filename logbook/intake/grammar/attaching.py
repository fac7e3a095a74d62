"""Clauses that only tell more of what was told before: details of a work, the number of a measure."""

from __future__ import annotations

from collections.abc import Sequence

from .clauses import Ear, with_little_words
from .details import details_in
from .numbers import length_at
from .page import Page
from .words import Clause, Token


def attached(page: Page, clause: Clause, *, wholly: bool = False) -> bool:
    """Whether a clause without a head word only tells details of the work before it; they are then added to it."""
    if page.work is None:
        return False
    work = page.ear.knowledge.works.get(str(page.work.fields.get("work", "")))
    if work is None:
        return False
    free = list(range(len(clause.tokens)))
    found = details_in(clause.tokens, free, work.details, work.name, page.ear.tongue)
    left = [n for n in free if n not in found.used and not says_little(clause.tokens[n], page.ear)]
    if (
        page.ear.tongue.words.wire(work.name)
        and "branches" in found.fields
        and not left
        and "branches" in page.work.fields
        and not page.ear.job
    ):
        page.ask(
            f"'{page.line[clause.start : clause.end]}' tells of other branches than before: write a line for each"
        )
        return False
    new = {k: v for k, v in found.fields.items() if k not in page.work.fields or k == "branches"}
    if not new or (left and (wholly or not found.strong)) or (len(left) > 2 * len(found.used)):
        return False
    if clause.joined == "but" and "branches" in new:
        page.ask(f"'but {page.line[clause.start : clause.end]}' leaves out a part: which branches were done?")
        return False
    if "branches" in new and (left or ("branches" in page.work.fields and not page.ear.job)):
        if left or page.ear.tongue.words.wire(work.name):
            new.pop("branches")
            left = left or sorted(found.used)
        else:
            new["branches"] = [*page.work.fields["branches"], *new["branches"]]
    if not new:
        return False
    if page.ear.job and "branches" in new and any(t.low in ("too", "also", "plus") for t in clause.tokens):
        new["branches"] = [*page.ear.job.get("branches", ()), *new["branches"]]
    if found.asks:
        page.ask(found.asks)
    page.work.fields |= new
    page.read += 1
    left = with_little_words(clause.tokens, left, frozenset(found.used), page.ear.tongue.words.fillers)
    page.work.spans += spans_of([clause.tokens[n] for n in left])
    return True


def measured_before(page: Page, clause: Clause) -> bool:
    """`trunk was 40, now 42`; `trunk measured, 42 mm`: the number of a measure that was named in the clause before."""
    tokens = clause.tokens
    bare = tokens[1:] if tokens[0].low in ("now", "is", "today") else tokens
    named, page.measure = page.measure, ""
    if not named or len(bare) != 1 or not bare[0].numeric:
        return False
    value, _ = length_at(bare, 0, page.ear.tongue.units)
    if value is None or named == "tips":
        return False
    page.add({"measured": {named: value}})
    page.read += 1
    return True


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
