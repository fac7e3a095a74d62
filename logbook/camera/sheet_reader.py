"""What pictures show of sheets on record: for each page its boxes, its lines, and the strips to type from.

A page that can't be read for sure is named with what is wrong; it is never guessed at. The same page in two pictures is
taken together, and where they disagree the grower is asked.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace

import numpy as np

from ..diagnostics import Place, Problem
from ..storage.printed import SERIAL_FORM, Ledger, Sheet, Spot, is_serial, serial_in
from ..values import dataclass
from .ink import look_at_line, stacked, strip, whole
from .registration import (
    LEAST_SQUARES,
    Blobs,
    Gray,
    SeenCode,
    Way,
    find_blobs,
    find_codes,
    inside,
    place,
    unexplained,
)
from .ruling import follow
from .tick_boxes import look_at_boxes

Key = tuple[str, str, str]  # kind, id and tag of a spot
BOXES = ("job", "vigour", "say")
LINES = ("line", "day", "told", "by")
SMALLEST_PX_MM = 5.0
LEAST_SEEN = 0.5  # of a page's boxes and lines
FLAT = "lay it flat and by itself, and take the whole of it from above, in even light"


@dataclass(frozen=True, slots=True)
class SeenPage:
    """One page of a sheet: boxes ticked (None: to be asked), lines written on (None: not seen), and JPEG strips of them.

    `views` are small pictures of the whole page, for what is too faint to be seen by rule.
    """

    picture: str
    sheet: Sheet
    page: int
    boxes: Mapping[Key, bool | None] = field(default_factory=dict)
    lines: Mapping[Key, bool | None] = field(default_factory=dict)
    strips: Mapping[Key, bytes] = field(default_factory=dict)
    views: tuple[bytes, ...] = ()


def read_pictures(found: Iterable[tuple[str, Gray]], ledger: Ledger) -> tuple[list[SeenPage], list[Problem]]:
    """Every page in these pictures, in the order of serials and pages; and what could not be read."""
    pages: dict[tuple[str, int], list[SeenPage]] = {}
    problems: list[Problem] = []
    for shown, gray in found:
        seen, faults = read_picture(gray, shown, ledger)
        problems += faults
        for page in seen:
            pages.setdefault((page.sheet.serial, page.page), []).append(page)
    return [_together(pages[at]) for at in sorted(pages)], problems


@dataclass(frozen=True, slots=True)
class _Named:
    """A code that names a sheet on record, and where it and the page's squares lie on paper."""

    code: SeenCode
    sheet: Sheet
    spot: Spot
    squares: tuple[Spot, ...]

    @property
    def side(self) -> float:
        """How wide a square is in the picture, about, pixels."""
        return self.code.side / self.spot.width * self.squares[0].width


def read_picture(gray: Gray, shown: str, ledger: Ledger) -> tuple[list[SeenPage], list[Problem]]:
    """Every page in one picture. Where squares are left over that belong to none, it is looked at more closely, and told."""
    codes = find_codes(gray)
    if not codes:
        return [], [_no_code(shown)]
    named = [_sheet_of(code, shown, ledger) for code in codes]
    sides = [one.side for one in named if isinstance(one, _Named)]
    if not sides:
        return [], [one for one in named if isinstance(one, Problem)]
    blobs = find_blobs(gray, float(np.median(sides)))
    pages, problems, ways = _looked_at(gray, shown, named, blobs)
    if len(unexplained(blobs, ways)) < LEAST_SQUARES:
        return pages, problems
    more = [_sheet_of(code, shown, ledger) for code in _overlooked(gray, codes)]
    further, faults, found = _looked_at(gray, shown, more, blobs)
    left_over = len(unexplained(blobs, [*ways, *found])) >= LEAST_SQUARES
    if left_over and not (problems or faults):
        faults = [_another(shown)]
    return [*pages, *further], [*problems, *faults]


def _overlooked(gray: Gray, codes: Sequence[SeenCode]) -> list[SeenCode]:
    """Codes that only a closer look finds, one for each text."""
    known = {code.text for code in codes}
    return list({code.text: code for code in find_codes(gray, closely=True) if code.text not in known}.values())


def _looked_at(
    gray: Gray, shown: str, named: Sequence[_Named | Problem], blobs: Blobs
) -> tuple[list[SeenPage], list[Problem], list[tuple[Way, tuple[Spot, ...]]]]:
    """The pages of these codes, what is wrong with others, and the ways that were found, with their squares."""
    pages: list[SeenPage] = []
    problems: list[Problem] = []
    ways: list[tuple[Way, tuple[Spot, ...]]] = []
    for one in named:
        if isinstance(one, Problem):
            problems.append(one)
            continue
        way = place(one.code, one.spot, one.squares, blobs) or place(one.code.mirrored, one.spot, one.squares, blobs)
        page = _page(gray, shown, one.sheet, one.spot.page, way) if way else _too_little(one.sheet, shown)
        ways += [(way, one.squares)] if way else []
        (pages if isinstance(page, SeenPage) else problems).append(page)  # type: ignore[arg-type]
    return pages, problems, ways


def _sheet_of(code: SeenCode, shown: str, ledger: Ledger) -> _Named | Problem:
    """The sheet that a code names, or what is wrong."""
    serial, number = serial_in(code.text)
    if not serial:
        return _no_serial(code.text, shown)
    if serial in ledger.doubled:
        return _fault(
            shown, f"two printed sheets carry the serial {serial}", "type its lines under 'tree TAG' instead"
        )
    sheet = ledger.sheets.get(serial)
    if sheet is None:
        near = ledger.nearest(serial)
        hint = f"the nearest printed one is {near}" if near else "give the collection it belongs to with -C"
        return _fault(shown, f"no sheet {serial} was printed from this collection", hint)
    page = number or sheet.first_page
    spots = [s for s in sheet.spots if s.page == page]
    spot = next((s for s in spots if s.kind == "code"), None)
    squares = tuple(s for s in spots if s.kind == "square")
    if spot is None or not squares:
        return _fault(
            shown,
            f"the record of sheet {serial} does not say where things lie on its page {page}",
            f"it is of another version of the layout '{sheet.layout}': type its lines",
        )
    return _Named(code, sheet, spot, squares)


def _fault(shown: str, message: str, hint: str) -> Problem:
    return Problem(message, Place(shown), hint)


def _no_serial(text: str, shown: str) -> Problem:
    """What is wrong with a code that carries no serial: one misread by a character, or no sheet's."""
    last = text.rpartition("#")[2].partition("/")[0]
    if re.fullmatch(SERIAL_FORM, last) and not is_serial(last):
        return _fault(shown, f"the code reads '{last}', whose check digit is wrong", "type the sheet's lines")
    return _fault(
        shown,
        f"the code '{text[:60]}' names no sheet: a pot tag, or a draft without a serial",
        "what stands on a draft can only be typed, under 'tree TAG'",
    )


def _another(shown: str) -> Problem:
    return Problem(
        "there seems to be another sheet in the picture, whose code can't be read",
        Place(shown),
        "take that one by itself, or type its lines",
        "warning",
    )


def _page(gray: Gray, shown: str, sheet: Sheet, number: int, way: Way) -> SeenPage | Problem:
    spots = [s for s in sheet.spots if s.page == number]
    middle = way.centre
    if way.density(float(middle[0]), float(middle[1])) < SMALLEST_PX_MM:
        hint = "go nearer, or scan it at 200 dots an inch or more"
        return Problem(f"sheet {sheet.serial} is too small in the picture to be read", Place(shown), hint)
    rules = follow(gray, way, [s for s in spots if s.kind in LINES])
    way = rules.way
    looks = look_at_boxes(gray, way, [s for s in spots if s.kind in BOXES])
    lines = [look_at_line(gray, rules, s) for s in spots if s.kind in LINES]
    unseen = sum(look.mark is None for look in looks) + sum(line.written is None for line in lines)
    if unseen > (1 - LEAST_SEEN) * (len(looks) + len(lines)):
        return _too_little(sheet, shown)
    boxes = {look.spot: look.ticked for look in looks}
    written = {line.spot: line.written for line in lines}
    return SeenPage(
        shown,
        sheet,
        number,
        {_key(spot): ticked for spot, ticked in boxes.items()},
        {_key(spot): there for spot, there in written.items()},
        _strips(gray, way, {**boxes, **written}),
        (whole(gray, way, spots),),
    )


def _strips(gray: Gray, way: Way, marks: Mapping[Spot, bool | None]) -> dict[Key, bytes]:
    """Strips of all that is marked, or may be, as far as it lies in the picture."""
    wanted = [spot for spot, mark in marks.items() if mark is not False]
    return {_key(spot): strip(gray, way, spot) for spot in wanted if inside(gray, way, spot)}


def _key(spot: Spot) -> Key:
    return spot.kind, spot.id, spot.tag


def _no_code(shown: str) -> Problem:
    return Problem(
        "no sheet's code can be read in this picture",
        Place(shown),
        "take the written side with its code, sharp and in even light; or type the lines",
    )


def _too_little(sheet: Sheet, shown: str) -> Problem:
    return Problem(
        f"too little of sheet {sheet.serial} can be seen: is a part of it covered or cut off?", Place(shown), FLAT
    )


def _together(pages: Sequence[SeenPage]) -> SeenPage:
    """Several pictures of a page: what any of them shows, and a question where they contradict each other."""
    first = pages[0]
    boxes = {key: _agreed({page.boxes[key] for page in pages}) for key in first.boxes}
    lines = {key: _shown_by_any({page.lines[key] for page in pages}) for key in first.lines}
    pictures = ", ".join(dict.fromkeys(page.picture for page in pages))
    views = tuple(dict.fromkeys(view for page in pages for view in page.views))
    return replace(first, picture=pictures, boxes=boxes, lines=lines, strips=_all_strips(pages), views=views)


def _all_strips(pages: Sequence[SeenPage]) -> dict[Key, bytes]:
    """The first strip of each box; of a line, those of all pictures, one below the other."""
    strips: dict[Key, bytes] = {}
    for page in pages:
        for key, data in page.strips.items():
            both = key in strips and key[0] in LINES and strips[key] != data
            strips[key] = stacked(strips[key], data) if both else strips.get(key, data)
    return strips


def _shown_by_any(said: set[bool | None]) -> bool | None:
    """Of a line: whether any picture shows writing on it."""
    return True if True in said else _agreed(said)


def _agreed(said: set[bool | None]) -> bool | None:
    """What those say that say anything, where they say the same."""
    certain = said - {None}
    return certain.pop() if len(certain) == 1 else None


def by_sheet(pages: Sequence[SeenPage]) -> dict[str, list[SeenPage]]:
    """The pages of each serial."""
    sheets: dict[str, list[SeenPage]] = {}
    for page in pages:
        sheets.setdefault(page.sheet.serial, []).append(page)
    return sheets
