"""Which row of a grid is its head, and what each column holds: by the words at its head, and where these leave it open by its cells."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from ...diagnostics import Place, Problem, ProblemsFound, nearest
from ...values import dataclass
from .cells import says_nothing, tag_of
from .grid import Grid, GridRow
from .head_words import Head, head_of, known_words

HEAD_WITHIN = 12  # rows
_TELLING = frozenset(("tag", "species", "common", "genus", "tree", "name"))
_MANY = frozenset(("note", "source"))  # several columns of it are told behind one another
_TAGLIKE = re.compile(r"[A-Za-z]{0,4}[-.]?\d{1,5}[A-Za-z]?")
MOST_OF, MOST_TAGS = 0.6, 0.75  # of a column's cells


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the heads stand (None: there are none), each column's head, and the rows below."""

    at: GridRow | None
    heads: tuple[Head, ...]
    rows: tuple[GridRow, ...]

    def of(self, key: str) -> int | None:
        """The column that holds a key."""
        return next((n for n, head in enumerate(self.heads) if head.key == key), None)

    def cells(self, column: int) -> list[str]:
        """A column's cells that say something."""
        found = (row.cells[column] for row in self.rows if column < len(row.cells))
        return [cell for cell in found if not says_nothing(cell)]


def columns_of(
    grid: Grid, knows_species: Callable[[str], bool], shown: str, said: Mapping[str, str] = MappingProxyType({})
) -> Columns:
    """The table's columns; `said`: what the grower says that a column holds, by its head. Raises ProblemsFound where nothing tells which tree a row is of."""
    best = max(grid.rows[:HEAD_WITHIN], key=_likeness, default=None)
    if best is None or not _likeness(best):
        found = Columns(
            None, tuple(Head(f"column {n}") for n in range(1, 1 + max(len(r.cells) for r in grid.rows))), grid.rows
        )
    else:
        at = grid.rows.index(best)
        heads = [head_of(cell) if cell else Head("") for cell in best.cells]
        below = tuple(row for row in grid.rows[at + 1 :] if row.cells != best.cells)
        found = Columns(best, tuple(heads), below)
    found = replace(found, heads=tuple(_as_said(head, said) for head in found.heads))
    found = _once_each(_by_cells(_near_misses(found), knows_species))
    if not any(head.key in ("species", "common", "genus", "group") for head in found.heads):
        raise _no_species(found, grid, shown)
    return found


def _as_said(head: Head, said: Mapping[str, str]) -> Head:
    key = said.get(head.text.casefold(), "")
    return replace(head, key=head_of(key).key or key) if key else head


def _likeness(row: GridRow) -> float:
    """How much a row looks like heads: known words, at least one of them telling of the tree; no figures."""
    keys = [head_of(cell).key for cell in row.cells if cell]
    known = sum(map(bool, keys))
    if not known or not _TELLING & set(keys):
        return 0.0
    if len(row.cells) > 1 and known < 2 and len(keys) > 2:
        return 0.0
    return known - 0.5 * sum(bool(re.fullmatch(r"[\d.,/ -]+", cell)) for cell in row.cells)


def _near_misses(columns: Columns) -> Columns:
    """`Speices` is told as species; anything farther off stays unknown."""
    heads = [
        replace(head, key=head_of(near).key)
        if head.text and not head.key and " " not in head.text and (near := nearest(head.text, known_words(), 0.8))
        else head
        for head in columns.heads
    ]
    return replace(columns, heads=tuple(heads))


def _by_cells(columns: Columns, knows_species: Callable[[str], bool]) -> Columns:
    """What the heads leave open told by the cells: tags, species, and what a column `Tree` or `Type` holds."""
    heads = list(columns.heads)
    keys = {head.key for head in heads}
    named = ("species", "common", "genus", "group")
    for n, head in enumerate(heads):
        cells = columns.cells(n)
        if not cells or (head.key and head.key not in ("tree", "name")):
            continue
        if "tag" not in keys and _are_tags(cells) and (head.key == "tree" or columns.at is None):
            heads[n] = replace(head, key="tag")
            keys.add("tag")
        elif not keys & set(named) and _share(cells, knows_species) >= MOST_OF:
            heads[n] = replace(head, key="species")
            keys.add("species")
        elif head.key == "tree":
            heads[n] = replace(head, key="" if "name" in keys else "name")
            keys.add(heads[n].key)
    return replace(columns, heads=tuple(heads))


def _are_tags(cells: Sequence[str]) -> bool:
    bare = [tag_of(cell).removesuffix(".0") for cell in cells]
    return len(set(bare)) >= 0.9 * len(bare) and _share(bare, lambda one: bool(_TAGLIKE.fullmatch(one))) >= MOST_TAGS


def _share(cells: Sequence[str], fits: Callable[[str], bool]) -> float:
    return sum(map(fits, cells)) / len(cells)


def _once_each(columns: Columns) -> Columns:
    """Of two columns for one key the first holds it; notes are told together."""
    taken: set[str] = set()
    heads = []
    for head in columns.heads:
        again = head.key in taken and head.key not in _MANY
        heads.append(replace(head, key="") if again else head)
        taken.add(head.key)
    return replace(columns, heads=tuple(heads))


def _no_species(columns: Columns, grid: Grid, shown: str) -> ProblemsFound:
    row = columns.at or grid.rows[0]
    seen = ", ".join(f"'{cell}'" for cell in row.cells if cell)
    return ProblemsFound(
        [
            Problem(
                "no column tells the species",
                Place(shown, row.number, 1, max(1, len(row.source)), row.source),
                f"name the columns in one row: tag, species, name, bench, repotted …; found {seen}",
            )
        ]
    )
