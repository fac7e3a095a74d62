"""What one row of a grower's table says of its tree, cell by cell."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field

from ...diagnostics import Place, listed
from ...values import dataclass
from ..new_trees import MEASURED_ON, Row
from ..units import plain
from ..yaml_editor import Value
from .asker import Asker
from .cells import (
    ORIGIN_WORDS,
    STYLE_WORDS,
    Doubt,
    day_of,
    has_unit,
    plain_words,
    says_nothing,
    size_of,
    stage_of,
    tag_of,
    vigour_of,
)
from .columns import Columns
from .grid import GridRow
from .head_words import MEASURES, UNITS

DATED = ("started", "acquired", "repotted", "wired", MEASURED_ON)
_ALIVE = frozenset(("alive", "living", "active", "ok", "current", "own", "owned"))
_YES = frozenset(("yes", "y", "true", "1", "indoor", "indoors", "inside", "always"))
_NO = frozenset(("no", "n", "false", "0", "outdoors", "outside", "outdoor"))
FOR_SALE = "for sale"
_NEVER = frozenset(("never", "not yet", "no"))


@dataclass(frozen=True, slots=True)
class Reading:
    """What rows are read with: the columns, the order of day and month in those that hold days, whether unknown columns are kept."""

    columns: Columns
    orders: Mapping[int, str]
    kept: bool
    asker: Asker


def row_of(row: GridRow, reading: Reading) -> Row:
    """A row of the grid as a row to be written; what is asked or wrong goes to the asker."""
    columns, asker = reading.columns, reading.asker
    made = _Made(reading, row, _places(row, asker.shown))
    if any(row.cells[len(columns.heads) :]):
        many = f"row {row.number} has {len(row.cells)} cells, the header {len(columns.heads)}"
        asker.fault(many, "put a cell that holds the separator in double quotes", asker.whole(row))
    said: dict[str, list[tuple[int, str]]] = {}
    for n, head in enumerate(columns.heads):
        cell = row.cells[n] if n < len(row.cells) else ""
        if head.key and not says_nothing(cell):
            said.setdefault(head.key, []).append((n, cell))
    for key, cells in said.items():
        made.take(key, cells)
    made.species(said)
    if reading.kept:
        made.keep_unknown()
    keyed = {head.key: made.places[n] for n, head in enumerate(columns.heads) if head.key and n in made.places}
    named = keyed.get("species") or keyed.get("common") or keyed.get("genus")
    return Row(made.values, {**keyed, **({"species": named} if named else {})}, asker.whole(row), made.entry)


def _places(row: GridRow, shown: str) -> dict[int, Place]:
    """Where each cell stands in its line."""
    places: dict[int, Place] = {}
    at = 0
    for n, cell in enumerate(row.cells):
        found = row.source.find(cell, at) if cell else -1
        at = found + len(cell) if found >= 0 else at
        places[n] = Place(shown, row.number, max(found, 0) + 1, max(1, len(cell)), row.source)
    return places


@dataclass(slots=True)
class _Made:
    """A row's values as they come."""

    reading: Reading
    row: GridRow
    places: Mapping[int, Place]
    values: dict[str, Value] = field(default_factory=dict)
    entry: dict[str, Value] = field(default_factory=dict)
    notes: list[str] = field(default_factory=list)

    def take(self, key: str, cells: Sequence[tuple[int, str]]) -> None:
        """What a key's cells say."""
        column, cell = cells[0]
        read = _READ.get(key)
        if key in DATED:
            self._day(key, column, cell)
        elif key in MEASURES:
            self._size(key, column, cell)
        elif read is not None:
            read(self, column, cell)
        elif key == "note":
            self.notes += [text for _, text in cells]
        elif key not in ("species", "common", "genus"):
            self.values[key] = cell

    def _answered(self, name: str) -> str:
        return self.reading.asker.answered(name)

    def _doubt(self, name: str, doubt: Doubt, column: int, cell: str) -> None:
        """Ask where some answers would do; else it is a fault of its cell."""
        if doubt.choices:
            self.reading.asker.ask(name, doubt.question, doubt.choices, self.row.number, cell)
        else:
            self.reading.asker.fault(doubt.question, doubt.hint, self.places[column])

    def _day(self, key: str, column: int, cell: str) -> None:
        head = self.reading.columns.heads[column]
        word = plain_words(cell)
        if key == "wired" and word in _NO:
            return
        if key == "repotted" and word in _NEVER:
            self.notes.append(f"repotted: {cell}")
            return
        found = day_of(cell, self.reading.orders[column], southern=self.reading.asker.asking.southern)
        if isinstance(found, Doubt):
            told = Doubt(f"'{head.text}' {cell}: {found.question}", found.choices) if found.choices else found
            self._doubt(f"{head.text} order".casefold(), told, column, cell)
        elif key == "wired":
            self._wired(found, cell)
        elif key == MEASURED_ON:
            self.entry[MEASURED_ON] = found
        else:
            self.values[key] = found

    def _wired(self, day: str, cell: str) -> None:
        """A day of wiring says nothing of whether the wire is still on, which can cost a branch: asked once."""
        said = self._answered("wired")
        if not said:
            question = "is the wire of these days still on the trees?"
            self.reading.asker.ask("wired", question, ("on", "off"), self.row.number, cell)
        elif said == "on":
            self.values["wired"] = day
        else:
            self.notes.append(f"wired {day}, taken off since")

    def _size(self, key: str, column: int, cell: str) -> None:
        columns, asker = self.reading.columns, self.reading.asker
        head = columns.heads[column]
        name = f"{head.text} unit".casefold()
        found = size_of(cell, head.unit or UNITS.get(self._answered(name).casefold(), ""))
        if found is None:
            some = listed([c for c in columns.cells(column) if not has_unit(c)][:3])
            asker.ask(name, f"'{head.text}' {some}: in which unit?", ("mm", "cm", "in"), self.row.number, cell)
        elif isinstance(found, Doubt):
            self._doubt(name, found, column, cell)
        else:
            sizes = self.entry.setdefault("measured", {})
            assert isinstance(sizes, dict)
            sizes[key] = float(plain(asker.asking.units.length_own(found)))

    def _stage(self, column: int, cell: str) -> None:
        word = plain_words(cell)
        if word == FOR_SALE:
            self.notes.append(cell)
        if word in (*_ALIVE, FOR_SALE):
            return
        found = stage_of(self._answered(f"stage {word}") or cell, self.reading.asker.asking.stages)
        if isinstance(found, Doubt):
            self._doubt(f"stage {word}", found, column, cell)
        else:
            self.values["stage"] = found
            if word != found:
                self.reading.asker.told[f"'{cell}'"] = found

    def _vigour(self, column: int, cell: str) -> None:
        word = plain_words(cell)
        found = vigour_of(self._answered(f"vigour {word}") or cell)
        if isinstance(found, Doubt):
            self._doubt(f"vigour {word}", found, column, cell)
        else:
            self.values["vigour"] = found
            if word != found:
                self.reading.asker.told[f"'{cell}'"] = f"vigour {found}"

    def _tag(self, _: int, cell: str) -> None:
        self.values["tag"] = tag_of(cell)

    def _style(self, _: int, cell: str) -> None:
        self.values["style"] = STYLE_WORDS.get(plain_words(cell), cell)

    def _indoors(self, _: int, cell: str) -> None:
        word = plain_words(cell)
        if word in _YES:
            self.values["indoors"] = "always"
        elif word == "winter":
            self.values["indoors"] = "winter"
        elif word not in _NO:
            self.notes.append(f"indoors: {cell}")

    def _source(self, _: int, cell: str) -> None:
        kind = ORIGIN_WORDS.get(plain_words(cell), "")
        self.values["origin"] = {"kind": kind} if kind else {"place": cell}

    def _pot(self, _: int, cell: str) -> None:
        found = self.reading.asker.asking.pot(cell)
        if found:
            self.entry["pot"] = found
        else:
            self.notes.append(f"pot: {cell}")

    def _also(self, _: int, cell: str) -> None:
        self.values["also"] = [tag_of(part) for part in re.split(r"[,;/ ]+", cell) if part]

    def _count(self, _: int, cell: str) -> None:
        if cell != "1":
            self.values["count"] = cell

    def species(self, said: Mapping[str, Sequence[tuple[int, str]]]) -> None:
        """The species by its botanical name, else by the common one; what is asked is asked once for all trees of that name."""
        names = {key: said[key][0][1] for key in ("genus", "species", "common") if key in said}
        genus, name = names.get("genus", ""), names.get("species", "")
        if genus and name and not name.casefold().startswith(genus.casefold()):
            name = f"{genus} {name}"
        name = name or names.get("common", "") or genus
        if name:
            self._resolved(name, names.get("common", ""))
        if self.notes:
            self.entry["note"] = "; ".join(self.notes)

    def _resolved(self, name: str, common: str) -> None:
        asker = self.reading.asker
        asked = f"species {name.casefold()}"
        answer = asker.answered(asked)
        if answer.startswith(GROUP):
            self.values |= {"species": name, "group": answer.removeprefix(GROUP)}
            return
        asker.names[answer or name] = None
        found = asker.asking.species(answer or name)
        if found.why and common and common != name:
            beside = asker.asking.species(common)
            found = found if beside.why else beside
        if found.why and found.choices and "group" not in self.values:
            asker.ask(asked, f"'{name}': {found.why}: which one?", found.choices, self.row.number, name)
        elif found.why and "group" not in self.values:
            asker.faulty.add(self.row.number)
            place = next(
                (self.places[n] for n, cell in enumerate(self.row.cells) if cell == name), asker.whole(self.row)
            )
            asker.fault(found.why, f"{found.hint}; or --answer '{asked}=Acer palmatum'", place)
        else:
            self.values["species"] = found.written or name

    def keep_unknown(self) -> None:
        """Columns that nothing is known of, as keys of the grower's own."""
        for n, head in enumerate(self.reading.columns.heads):
            cell = self.row.cells[n] if n < len(self.row.cells) else ""
            if not head.key and head.text and cell:
                self.values[own_key(head.text)] = cell


GROUP = "group: "
_READ: Mapping[str, Callable[[_Made, int, str], None]] = {
    "tag": _Made._tag,
    "stage": _Made._stage,
    "vigour": _Made._vigour,
    "style": _Made._style,
    "indoors": _Made._indoors,
    "source": _Made._source,
    "pot": _Made._pot,
    "also": _Made._also,
    "count": _Made._count,
}


def own_key(head: str) -> str:
    """`Soil mix` as a key of the grower's own: `x-soil-mix`."""
    return "x-" + ("-".join(re.findall(r"[^\W_]+", head.casefold())) or "column")
