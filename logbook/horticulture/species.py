"""One species as growers keep it: its names, what its roots stand, and what may be done to it.

The facts stand in species.csv, one row a species; a basis stands beside every number: a key of sources.yaml, CP
(common practice, no source) or MEM (from memory; `MEM(H76)`: a figure of that source as remembered).
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping, Sequence
from typing import Literal, TypeVar

from ..values import dataclass

Chill = Literal["yes", "slight", "no"]
Defoliation = Literal["yes", "partial only", "no"]
Flowers = Literal["old wood", "new wood", "not grown for flowers"]
Poison = Literal["yes", "mild", "none on record"]
Water = Literal["dry", "low", "medium", "high", "wet"]
RootPruning = Literal["low", "medium", "high"]

# Each list runs from the most careful answer to the boldest: the strictest of several is the first that occurs.
CHILL: tuple[Chill, ...] = ("yes", "slight", "no")
DEFOLIATION: tuple[Defoliation, ...] = ("no", "partial only", "yes")
FLOWERS: tuple[Flowers, ...] = ("old wood", "new wood", "not grown for flowers")
OLD_WOOD, NEW_WOOD, _ = FLOWERS
POISON: tuple[Poison, ...] = ("yes", "mild", "none on record")
WATER: tuple[Water, ...] = ("wet", "high", "medium", "low", "dry")
ROOT_PRUNING: tuple[RootPruning, ...] = ("low", "medium", "high")


@dataclass(frozen=True, slots=True)
class Species:
    """A species, or the careful values of several (a genus whose species is not given, a hybrid of two).

    `swell` and `open` are plain degree-days (warmth_sums.py), None where the group's hold. Root limits are °C of the
    root ball at which new roots (`root_young`) or most roots (`root_mature`) die in midwinter. `shade_above_c` is the
    mean daily maximum (°C) from which midday shade is usual, `active_night_c` the mean night minimum (°C) from which
    it grows where no winter gives it a calendar; None: the group's rule. `backbuds`: a branch cut to bare wood may
    shoot again. `full_defoliation` is an allow-list: only "yes" may be offered it. `group` is its
    growth group. No poison on record never means that it is harmless.
    """

    name: str
    synonyms: tuple[str, ...]
    common_names: tuple[str, ...]
    rank: int
    group: str
    swell: float | None
    open: float | None
    marks_basis: str
    root_young: float
    root_young_basis: str
    root_mature: float
    root_mature_basis: str
    chill: Chill
    full_defoliation: Defoliation
    flowers_on: Flowers
    fruit_kept: bool
    bleeds: bool
    poison: Poison
    poison_part: str
    poison_basis: str
    thorns: str
    shade_above_c: float | None
    shade_basis: str
    water: Water
    root_pruning: RootPruning
    backbuds: bool
    active_night_c: float | None
    active_night_basis: str
    rust_hosts: str
    rust_basis: tuple[str, ...]
    notes: str

    @property
    def genus(self) -> str:
        """The genus in lower case, as works.yaml names genera."""
        return self.name.split(" ")[0].casefold()


COLUMNS = (
    "species", "synonyms", "common names", "rank", "group", "swell", "open", "marks basis", "root limit young C",
    "young basis", "root limit mature C", "mature basis", "chill", "defoliation", "flowers on", "fruit kept",
    "bleeds", "poison", "poison part", "poison basis", "thorns or irritant", "shade above C", "shade basis", "water",
    "root pruning", "backbuds on bare wood", "active night C", "active night basis", "rust hosts", "notes",
)  # fmt: skip

_POISON_CELLS: Mapping[str, Poison] = {"y": "yes", "mild": "mild", "": "none on record"}
_Word = TypeVar("_Word", bound=str)


def read_row(cells: Sequence[str]) -> Species:
    """A row of species.csv. Raises ValueError, in words, for a cell that is not of its column's kind."""
    row = dict(zip(COLUMNS, cells, strict=True))
    hosts, _, keys = row["rust hosts"].partition(" [")
    return Species(
        name=row["species"],
        synonyms=_parts(row["synonyms"]),
        common_names=_parts(row["common names"]),
        rank=int(row["rank"]),
        group=row["group"],
        swell=_number(row["swell"]),
        open=_number(row["open"]),
        marks_basis=row["marks basis"],
        root_young=float(row["root limit young C"]),
        root_young_basis=row["young basis"],
        root_mature=float(row["root limit mature C"]),
        root_mature_basis=row["mature basis"],
        chill=_one_of(CHILL, row["chill"]),
        full_defoliation=_one_of(DEFOLIATION, row["defoliation"]),
        flowers_on=_one_of(FLOWERS, row["flowers on"]),
        fruit_kept=_yes(row["fruit kept"]),
        bleeds=_yes(row["bleeds"]),
        poison=_POISON_CELLS[_one_of(tuple(_POISON_CELLS), row["poison"])],
        poison_part=row["poison part"],
        poison_basis=row["poison basis"],
        thorns=row["thorns or irritant"],
        shade_above_c=_number(row["shade above C"]),
        shade_basis=row["shade basis"],
        water=_one_of(WATER, row["water"]),
        root_pruning=_one_of(ROOT_PRUNING, row["root pruning"]),
        backbuds=_yes(row["backbuds on bare wood"]),
        active_night_c=_number(row["active night C"]),
        active_night_basis=row["active night basis"],
        rust_hosts=hosts,
        rust_basis=_parts(keys.rstrip("]")),
        notes=row["notes"],
    )


def strictest(name: str, members: Sequence[Species], marks: Callable[[Species, str], float | None]) -> Species:
    """One careful answer for several species of one group: column by column the strictest of theirs.

    `marks` gives a member's own sum for "swell" or "open"; the answer's is the mean, or None unless all have one.
    The tenderest roots, the most winter, the thirstiest pot, the least root work, the coolest shade: whatever the
    tree turns out to be, it was not asked for too much.
    """
    young = max(members, key=lambda s: s.root_young)
    mature = max(members, key=lambda s: s.root_mature)
    poison = _first(POISON, [s.poison for s in members])
    worst = [s for s in members if s.poison == poison]
    shades = [s.shade_above_c for s in members if s.shade_above_c is not None]
    nights = [s.active_night_c for s in members if s.active_night_c is not None]
    swell, opened = (_mean([marks(s, mark) for s in members]) for mark in ("swell", "open"))
    return Species(
        name=name,
        synonyms=(),
        common_names=(),
        rank=min(s.rank for s in members),
        group=members[0].group,
        swell=swell,
        open=opened,
        marks_basis=_joined(s.marks_basis for s in members) if opened is not None else "",
        root_young=young.root_young,
        root_young_basis=young.root_young_basis,
        root_mature=mature.root_mature,
        root_mature_basis=mature.root_mature_basis,
        chill=_first(CHILL, [s.chill for s in members]),
        full_defoliation=_first(DEFOLIATION, [s.full_defoliation for s in members]),
        flowers_on=_first(FLOWERS, [s.flowers_on for s in members]),
        fruit_kept=any(s.fruit_kept for s in members),
        bleeds=any(s.bleeds for s in members),
        poison=poison,
        poison_part=_joined(s.poison_part for s in worst),
        poison_basis=_joined(s.poison_basis for s in worst),
        thorns=_joined(s.thorns for s in members),
        shade_above_c=min(shades, default=None),
        shade_basis=_joined(s.shade_basis for s in members),
        water=_first(WATER, [s.water for s in members]),
        root_pruning=_first(ROOT_PRUNING, [s.root_pruning for s in members]),
        backbuds=all(s.backbuds for s in members),
        active_night_c=max(nights, default=None),
        active_night_basis=_joined(s.active_night_basis for s in members),
        rust_hosts=_joined(s.rust_hosts for s in members),
        rust_basis=tuple(dict.fromkeys(key for s in members for key in s.rust_basis)),
        notes="",
    )


def own_mark(species: Species, mark: str) -> float | None:
    """What a species' own row says of "swell" or "open"; None where its group's holds."""
    return species.swell if mark == "swell" else species.open


def _parts(cell: str) -> tuple[str, ...]:
    return tuple(part.strip() for part in cell.split(";") if part.strip())


def _number(cell: str) -> float | None:
    return float(cell) if cell else None


def _yes(cell: str) -> bool:
    return _one_of(("y", "n"), cell) == "y"


def _one_of(words: tuple[_Word, ...], cell: str) -> _Word:
    for word in words:
        if word == cell:
            return word
    raise ValueError(f"'{cell}' is none of: {', '.join(words)}")


def _first(order: tuple[_Word, ...], answers: Sequence[_Word]) -> _Word:
    return min(answers, key=order.index)


def _joined(texts: Iterable[str]) -> str:
    return "; ".join(dict.fromkeys(t for t in texts if t))


def _mean(sums: Sequence[float | None]) -> float | None:
    known = [s for s in sums if s is not None]
    return sum(known) / len(known) if known and len(known) == len(sums) else None
