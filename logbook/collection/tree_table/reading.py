"""A grower's table of trees, read: what each row says of its tree, what has to be asked, and what was understood on the way.

Species are looked up by whoever calls (`SpeciesAnswer`); what a row says is checked later as its file would be read. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...diagnostics import Problem, listed
from ...values import dataclass
from ..loose_table import Asked
from ..model import tag_key
from ..new_trees import Row
from .asker import Asker, Asking
from .cells import ORDERS, orders_open, plain_words
from .columns import Columns, columns_of
from .grid import Grid, GridRow
from .rows import DATED, Reading, row_of

KEEP, DROP = "keep", "drop"
NEXT_FREE = "next free"
_GONE = re.compile(
    r"(?:dead|died|deceased|killed|sold|given|gifted|traded|swapped|rehomed|lost|gone|stolen|rip|planted (?:out|in))\b"
)
_SUM = re.compile(r"(?:grand |sub[- ]?)?(?:sum|totals?|count)\b", re.IGNORECASE)
SHOWN_TAGS = 6


@dataclass(frozen=True, slots=True)
class TreesRead:
    """The rows; those in which something is in doubt by their line, with the fields of its questions; faults; what was understood."""

    rows: tuple[Row, ...]
    doubtful: Mapping[int, Sequence[str]]
    questions: tuple[Asked, ...]
    problems: tuple[Problem, ...]
    understood: tuple[tuple[str, str], ...]
    unknown: tuple[str, ...] = ()
    names: tuple[str, ...] = ()
    faulty: frozenset[int] = frozenset()  # rows that can't stand, by their line
    unasked: tuple[str, ...] = ()  # answers that answer nothing


def read_trees(grid: Grid, shown: str, asking: Asking) -> TreesRead:
    """Read a table of trees. Raises ProblemsFound where no column tells the species."""
    columns = columns_of(grid, lambda name: _may_be_a_species(name, asking), shown, asking.columns_said)
    asker, told = Asker(shown, asking), list[tuple[str, str]]()
    orders = {n: _order(n, columns, asker, told) for n, head in enumerate(columns.heads) if head.key in DATED}
    kept = asking.answers.get("columns", KEEP) != DROP
    reading = Reading(columns, orders, kept, asker)
    rows = [row_of(row, reading) for row in columns.rows if _is_tree(row, columns, asking, told)]
    rows = _tagged(rows, asker, told)
    unknown = tuple(
        head.text for n, head in enumerate(columns.heads) if not head.key and head.text and columns.cells(n)
    )
    understood = (*grid.told, *_heads_told(columns, unknown, kept), *told)
    questions, problems = tuple(asker.questions.values()), tuple(asker.problems)
    told_of = tuple(asker.told.items())
    return TreesRead(
        tuple(rows),
        asker.doubtful,
        questions,
        problems,
        (*understood, *told_of),
        unknown,
        tuple(asker.names),
        frozenset(asker.faulty),
        asker.unasked(),
    )


def _may_be_a_species(name: str, asking: Asking) -> bool:
    found = asking.species(name)
    return bool(name) and (not found.why or bool(found.choices))


def _heads_told(columns: Columns, unknown: Sequence[str], kept: bool) -> list[tuple[str, str]]:
    told = [("heads", f"row {columns.at.number}" if columns.at else "none: told by the cells")]
    told += [
        (f"'{head.text}'" if head.text else f"column {n + 1}", head.key + (f", {head.unit}" if head.unit else ""))
        for n, head in enumerate(columns.heads)
        if head.key
    ]
    return [*told, ("kept as x-… keys" if kept else "left out", listed(unknown, "and"))] if unknown else told


def _is_tree(row: GridRow, columns: Columns, asking: Asking, told: list[tuple[str, str]]) -> bool:
    """Whether a row is of a tree: not a title between others, a sum, or a tree that is no more. What is left out is told."""
    at = [n for n in (columns.of("stage"), columns.of("vigour")) if n is not None and n < len(row.cells)]
    gone = next((row.cells[n] for n in at if _GONE.match(plain_words(row.cells[n]))), "")
    first = next(filter(None, row.cells))
    why = f"'{gone}'" if gone else ""
    if not why and row.filled <= 3 and any(_SUM.match(cell) for cell in row.cells):
        why = f"'{first}'"
    if not why and row.filled == 1 and len(columns.heads) > 2 and not _names_a_species(row, columns, asking):
        why = f"'{first}' alone"
    if why:
        told.append((f"row {row.number}", f"{why}: left out"))
    return not why


def _names_a_species(row: GridRow, columns: Columns, asking: Asking) -> bool:
    at = next((n for n in map(columns.of, ("species", "common", "genus")) if n is not None), None)
    return at is not None and at < len(row.cells) and _may_be_a_species(row.cells[at], asking)


def _order(column: int, columns: Columns, asker: Asker, told: list[tuple[str, str]]) -> str:
    """The order of day and month in a column: by a figure over 12, by the answer, by the collection; else empty, and asked."""
    orders = orders_open(columns.cells(column))
    text = columns.heads[column].text
    if len(orders) == 1:
        told.append((f"days of '{text}'", orders[0]))
        return orders[0]
    said = asker.answered(f"{text} order".casefold())
    return said if said in ORDERS else asker.asking.order or ("" if orders else ORDERS[0])


def _tagged(rows: Sequence[Row], asker: Asker, told: list[tuple[str, str]]) -> list[Row]:
    """The rows with their tags: the next free ones where none is given, and asked where two rows have one."""
    free = asker.asking.free_tags([str(row.values["tag"]) for row in rows if "tag" in row.values])
    seen: dict[str, Row] = {}
    made, named = [], []
    for row in rows:
        tag = str(row.values.get("tag", ""))
        before = seen.get(tag_key(tag)) if tag else None
        if before is not None:
            tag = _of_two(tag, before, row, asker)
        if not tag:
            tag = free()
            named.append(tag)
        seen.setdefault(tag_key(tag), row)
        made.append(replace(row, values={**row.values, "tag": tag}))
    if named:
        few = len(named) <= SHOWN_TAGS
        told.append(("tags given", listed(named, "and") if few else f"{named[0]} to {named[-1]}"))
    return made


def _of_two(tag: str, before: Row, row: Row, asker: Asker) -> str:
    """The tag of a row whose tag another row has; empty where it is to have the next free one."""
    name = f"tag {tag} row {row.place.line}"
    answer = asker.answered(name)
    if not answer:
        question = f"the tag '{tag}' stands twice, in rows {before.place.line} and {row.place.line}: which has the second tree?"
        asker.ask(name, question, (NEXT_FREE,), row.place.line, tag)
    return "" if answer == NEXT_FREE else answer or tag
