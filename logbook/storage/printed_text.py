"""The text of a run's record, and what it says: format 2 is written, format 1 is read as well.

Format 2: shapes once a run (what is written in, at which distance from a page's or row's first place, in micrometres), and each
sheet's places as a shape, a page, a height and a tag; defaults are left out. A hash of the record stands in it and is checked, since
a box taken for another one would write into another tree.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date
from functools import lru_cache
from itertools import groupby
from typing import Any, overload

from .. import escapes
from ..values import dataclass
from .printed_checks import MOST_LINES, are_sound, shape_is_sound, spots_are_sound
from .printed_sheet import Offered, Sheet, Spot

FORMAT = 2
MICRO = 1000  # a millimetre
PER_SPOT = 6
OWN = ""  # a tag that is its row's own name
OWN_ID = 0  # an id that is its place's tag

Shape = tuple[str | int, ...]
Placed = tuple[int, int, int, str]  # shape, page, micrometres from the top, tag


class Spots(Sequence[Spot]):
    """A sheet's places, made of shapes when they are asked for: most runs ask for none."""

    __slots__ = ("_made", "_places", "_shapes")

    def __init__(self, shapes: Sequence[Shape], places: Sequence[Placed]) -> None:
        """`places` refer to `shapes` by their place."""
        self._shapes, self._places = shapes, places
        self._made: tuple[Spot, ...] | None = None

    @property
    def made(self) -> tuple[Spot, ...]:
        """The spots themselves."""
        if self._made is None:
            self._made = tuple(spot for place in self._places for spot in _spots(self._shapes[place[0]], place))
        return self._made

    @overload
    def __getitem__(self, index: int) -> Spot: ...
    @overload
    def __getitem__(self, index: slice) -> tuple[Spot, ...]: ...
    def __getitem__(self, index: int | slice) -> Spot | tuple[Spot, ...]:
        """A spot, or some of them."""
        return self.made[index]

    def __len__(self) -> int:
        """How many there are."""
        return sum(len(self._shapes[place[0]]) // PER_SPOT for place in self._places)

    def __eq__(self, other: object) -> bool:
        """Whether these are the same spots in the same order."""
        return isinstance(other, Sequence) and self.made == tuple(other)

    __hash__ = None  # type: ignore[assignment]


def _spots(shape: Shape, place: Placed) -> Iterator[Spot]:
    _, page, top, tag = place
    for at in range(0, len(shape), PER_SPOT):
        kind, ident, x, below, width, height = shape[at : at + PER_SPOT]
        y = top + int(below)
        mm = (int(v) / MICRO for v in (x, y, width, height))
        yield Spot(str(kind), tag if ident == OWN_ID else str(ident), tag, page, *mm)


@dataclass(slots=True)
class _Shapes:
    """The shapes of a run, each once, by what they are."""

    known: dict[Shape, int]

    def places(self, spots: Iterable[Spot]) -> Iterator[Placed]:
        """Spots that follow one another with one tag, on one page, are one place."""
        for (page, tag), group in groupby(spots, lambda s: (s.page, s.tag)):
            found = list(group)
            top = min(_micro(spot.y) for spot in found)
            shape: Shape = tuple(value for spot in found for value in _spot_values(spot, tag, top))
            yield self.known.setdefault(shape, len(self.known)), page, top, tag


def _spot_values(spot: Spot, tag: str, top: int) -> tuple[str | int, ...]:
    ident = OWN_ID if spot.id == tag else spot.id
    return spot.kind, ident, _micro(spot.x), _micro(spot.y) - top, _micro(spot.width), _micro(spot.height)


def _micro(mm: float) -> int:
    return round(mm * MICRO)


# -- writing -------------------------------------------------------------------------------------------------------


class Record:
    """What is written of one run, taken down sheet by sheet as they are drawn, as it will stand in the file."""

    def __init__(self, sheets: Iterable[Sheet] = ()) -> None:
        self._shapes = _Shapes({})
        self._rows: list[str] = []
        self._day = ""
        self.serials: list[str] = []  # of its sheets, in order
        self.add(*sheets)

    def add(self, *sheets: Sheet) -> None:
        """Take down further sheets."""
        for sheet in sheets:
            self._day = self._day or sheet.day.isoformat()
            self.serials.append(sheet.serial)
            self._rows.append(_compact(_row(sheet, self._shapes)))

    def __len__(self) -> int:
        """How many sheets it has."""
        return len(self._rows)

    @property
    def name(self) -> str:
        """Its file's name: its day and its first serial."""
        return f"{self._day}-{self.serials[0]}.json"

    @property
    def text(self) -> str:
        """Its JSON text."""
        return _text(list(self._shapes.known), self._rows)


def run_text(sheets: Iterable[Sheet]) -> str:
    """The JSON text of one run."""
    return Record(sheets).text


def spare_text(tags: Sequence[str]) -> str:
    """The JSON text of a run of spare tags."""
    return _text([], [], spare=list(tags))


def _text(shapes: Sequence[Shape], rows: Sequence[str], **rest: object) -> str:
    """A line a shape and a sheet, so that versions of a folder can be compared."""
    listed = {"shapes": [_compact(shape) for shape in shapes], "sheets": rows}
    body = ",\n".join(
        f'"{name}": ' + ("[\n" + ",\n".join(some) + "\n]" if some else "[]") for name, some in listed.items()
    )
    more = "".join(f',\n"{name}": {_compact(value)}' for name, value in rest.items())
    said = {"shapes": shapes, "sheets": [json.loads(row) for row in rows], **rest}
    return f'{{"format": {FORMAT},\n{body}{more},\n"hash": "{_hash(said)}"}}\n'


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=False, separators=(",", ":"))


def _hash(run: Mapping[str, Any]) -> str:
    """Of what the record says: neither line ends nor spaces count."""
    said = json.dumps(run, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return hashlib.sha256(said.encode()).hexdigest()


def _row(sheet: Sheet, shapes: _Shapes) -> dict[str, Any]:
    """A sheet without its defaults."""
    row = {
        "serial": sheet.serial,
        "day": sheet.day.isoformat(),
        "layout": sheet.layout,
        "version": sheet.version,
        "units": sheet.units,
        "tags": list(sheet.tags),
        "lines": _lines_row(sheet),
        "jobs": [_job_row(job) for job in sheet.jobs],
        "places": list(shapes.places(sheet.spots)),
        "files": dict(sheet.files),
        "fronts": dict(sheet.fronts),
        "asks": list(sheet.asks),
        "rows": {line: list(tags) for line, tags in sheet.rows.items()},
        "by_tag": sheet.by_tag,
    }
    return {key: value for key, value in row.items() if value}


def _lines_row(sheet: Sheet) -> int | dict[str, str]:
    """How many numbered lines of one tree there are; else each line with its tree, unless it is named by it."""
    count, first = len(sheet.lines), sheet.tags[0]
    if sheet.lines == {str(n): first for n in range(1, count + 1)}:
        return count
    return {line: OWN if tag == line else tag for line, tag in sheet.lines.items()}


def _job_row(job: Offered) -> list[Any]:
    tag = OWN if job.tag == job.letter else job.tag
    row = [job.letter, tag, job.work, list(job.branches), job.opens, job.closes, job.own]
    while not row[-1]:
        row.pop()
    return row


# -- reading -------------------------------------------------------------------------------------------------------


def read_run(text: str) -> tuple[list[Sheet], list[str]]:
    """The sheets of a run, and the numbers of its spare tags. Raises ValueError, KeyError, TypeError and their like for a damaged one."""
    run = json.loads(text)
    spare = list(run.get("spare", ()))
    if not all(isinstance(tag, str) and not escapes.unfit(tag) for tag in spare):
        raise ValueError("no numbers")
    if run.get("format", 1) == 1:
        return _sound([_sheet_1(raw) for raw in run["sheets"]]), spare
    said = {key: value for key, value in run.items() if key not in ("format", "hash")}
    if run["format"] != FORMAT or run["hash"] != _hash(said):
        raise ValueError("another format, or changed since it was written")
    shapes = [tuple(shape) for shape in run["shapes"]]
    if not all(shape_is_sound(shape, PER_SPOT) for shape in shapes):
        raise ValueError("no shapes")
    return _sound([_sheet_2(raw, shapes) for raw in run["sheets"]]), spare


def _sound(sheets: list[Sheet]) -> list[Sheet]:
    """The sheets. Raises ValueError where one is none."""
    if not are_sound(sheets):
        raise ValueError("no sheet")
    return sheets


def _sheet_2(raw: dict[str, Any], shapes: Sequence[Shape]) -> Sheet:
    places: list[Placed] = [*map(tuple, raw.get("places", ()))]
    if not all(_is_place(*place, len(shapes)) for place in places):
        raise ValueError("no such shape")
    tags, given = _tags(raw), raw.get
    return Sheet(
        serial=raw["serial"],
        day=_day(raw["day"]),
        layout=raw["layout"],
        version=raw["version"],
        units=raw["units"],
        tags=tags,
        lines=_lines(raw["lines"], tags[0]),
        jobs=tuple([_job(*row) for row in given("jobs", ())]),
        spots=Spots(shapes, places),
        files=given("files", {}),
        fronts=given("fronts", {}),
        asks=tuple(given("asks", ())),
        rows={line: tuple(found) for line, found in given("rows", {}).items()},
        by_tag=bool(given("by_tag", False)),
    )


_day = lru_cache(maxsize=4096)(date.fromisoformat)


def _is_place(shape: object, page: object, top: object, tag: object, shapes: int) -> bool:
    return type(shape) is type(page) is type(top) is int and type(tag) is str and 0 <= shape < shapes


def _tags(raw: dict[str, Any]) -> tuple[str, ...]:
    tags = tuple(raw["tags"])
    if not (isinstance(raw["serial"], str) and raw["lines"] and {*map(type, tags)} == {str}):
        raise ValueError("no sheet")
    return tags


def _lines(raw: int | dict[str, str], first: str) -> dict[str, str]:
    if isinstance(raw, int):
        return _numbered(raw, first)
    return {line: tag or line for line, tag in raw.items()}


@lru_cache(maxsize=4096)
def _numbered(count: int, tag: str) -> dict[str, str]:
    """So many lines of one tree, which nobody changes: its sheets of all years have mostly the same number."""
    if not 0 < count <= MOST_LINES:
        raise ValueError("no number of lines")
    return dict.fromkeys(map(str, range(1, count + 1)), tag)


def _job(
    letter: str, tag: str, work: str, branches: Sequence[str] = (), opens: str = "", closes: str = "", own: str = ""
) -> Offered:
    return Offered(letter, tag or letter, work, tuple(branches), opens, closes, own)


def _sheet_1(raw: dict[str, Any]) -> Sheet:
    """The first format: every place in full, no hash."""
    spots = tuple(Spot(**spot) for spot in raw["spots"])
    if not spots_are_sound(spots):
        raise ValueError("no places")
    return Sheet(
        serial=raw["serial"],
        day=date.fromisoformat(raw["day"]),
        layout=raw["layout"],
        version=raw["version"],
        units=raw["units"],
        tags=_tags(raw),
        lines=dict(raw["lines"]),
        jobs=tuple(Offered(**{**job, "branches": tuple(job["branches"])}) for job in raw["jobs"]),
        spots=spots,
        files=dict(raw["files"]),
        fronts=dict(raw["fronts"]),
        asks=tuple(raw.get("asks", ())),
    )
