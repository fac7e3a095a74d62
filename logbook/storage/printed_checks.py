"""Whether a record of printed sheets is one: types, bare names and sizes, since it may have come from elsewhere with a synced folder.

What it says goes onto a page for a browser and into trees' files, so nothing is taken for granted that JSON can't promise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping

from .. import escapes
from .printed_sheet import Sheet, Spot

SERIAL_FORM = r"[0-9]{5,6}-[0-9]"
MOST_LINES, LONGEST, FARTHEST = 5_000, 100_000, 10_000_000  # lines of a sheet, characters of a text, micrometres
_BARE = re.compile(r"[^/\0]+")


def are_sound(sheets: Iterable[Sheet]) -> bool:
    """Whether every part of these sheets is of its type, and names what a record can name. Places of format 2 are seen to apart.

    Their words are few, and stand there over and over: they are gathered first. Raises TypeError for a word that is a list or a mapping.
    """
    words: set[object] = set()
    bare: set[object] = set()
    lines: dict[int, Mapping[str, str]] = {}
    for sheet in sheets:
        if not (
            type(sheet.serial) is str
            and re.fullmatch(SERIAL_FORM, sheet.serial) is not None
            and type(sheet.version) is int
            and len(sheet.lines) <= MOST_LINES
        ):
            return False
        words.update((sheet.layout, sheet.units), sheet.asks)
        lines[id(sheet.lines)] = sheet.lines  # sheets of one tree mostly share them
        words.update(sheet.files, sheet.files.values(), sheet.fronts, sheet.fronts.values())
        if sheet.rows:
            words.update(sheet.rows, *sheet.rows.values())
        for job in sheet.jobs:
            words.update((job.letter, job.tag, job.work, job.opens, job.closes, job.own), job.branches)
        bare.update(sheet.tags)
    for said in lines.values():
        words.update(said, said.values())
    return all(map(_is_word, words)) and all(map(_is_bare, bare))


def spots_are_sound(spots: Iterable[Spot]) -> bool:
    """Whether places given in full are places."""
    return all(
        all(map(_is_word, (spot.kind, spot.id, spot.tag)))
        and type(spot.page) is int
        and all(_is_length(mm) for mm in (spot.x, spot.y, spot.width, spot.height))
        for spot in spots
    )


def shape_is_sound(shape: tuple[object, ...], per_spot: int) -> bool:
    """Whether a shape holds whole places: kind, id, and four lengths in micrometres each."""
    if len(shape) % per_spot:
        return False
    idents = {*shape[1::per_spot]}
    return (
        all(map(_is_word, {*shape[::per_spot]}))
        and all(_is_word(ident) or (type(ident) is int and ident == 0) for ident in idents)
        and all(_are_micrometres(shape[at::per_spot]) for at in range(2, per_spot))
    )


def _are_micrometres(some: tuple[object, ...]) -> bool:
    lengths = {*some}
    return all(type(n) is int and abs(n) <= FARTHEST for n in lengths)


def _is_length(mm: object) -> bool:
    return type(mm) in (int, float) and math.isfinite(mm) and abs(mm) <= FARTHEST  # type: ignore[arg-type] # told by type()


def _is_word(word: object) -> bool:
    return type(word) is str and len(word) <= LONGEST and not escapes.unfit(word)


def _is_bare(word: object) -> bool:
    return type(word) is str and _is_word(word) and _BARE.fullmatch(word) is not None
