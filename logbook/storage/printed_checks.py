"""Whether a record of printed sheets is one: types, bare names and sizes, since it may have come from elsewhere with a synced folder.

What it says goes onto a page for a browser and into trees' files, so nothing is taken for granted that JSON can't promise.
"""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping

from .. import escapes
from .printed_sheet import Offered, Sheet, Spot

SERIAL_FORM = r"[0-9]{5,6}-[0-9]"
MOST_LINES, LONGEST, FARTHEST = 5_000, 100_000, 10_000_000  # lines of a sheet, characters of a text, micrometres
_BARE = re.compile(r"[^/\0]+")


def is_sound(sheet: Sheet) -> bool:
    """Whether every part of a sheet is of its type, and names what a record can name. Places of format 2 are seen to apart."""
    words = (
        sheet.layout,
        sheet.units,
        *sheet.asks,
        *_pairs(sheet.files),
        *_pairs(sheet.fronts),
        *_pairs(sheet.lines),
    )
    rows = [word for line, tags in sheet.rows.items() for word in (line, *tags)]
    return (
        type(sheet.serial) is str
        and re.fullmatch(SERIAL_FORM, sheet.serial) is not None
        and type(sheet.version) is int
        and all(map(_is_word, (*words, *rows)))
        and all(map(_is_bare, sheet.tags))
        and len(sheet.lines) <= MOST_LINES
        and all(map(_is_job, sheet.jobs))
    )


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
    return len(shape) % per_spot == 0 and all(
        _is_word(shape[at])
        and (_is_word(shape[at + 1]) or (type(shape[at + 1]) is int and shape[at + 1] == 0))
        and all(type(n) is int and abs(n) <= FARTHEST for n in shape[at + 2 : at + per_spot])
        for at in range(0, len(shape), per_spot)
    )


def _pairs(said: Mapping[str, str]) -> Iterable[str]:
    return (word for pair in said.items() for word in pair)


def _is_job(job: Offered) -> bool:
    return all(map(_is_word, (job.letter, job.tag, job.work, job.opens, job.closes, job.own, *job.branches)))


def _is_length(mm: object) -> bool:
    return type(mm) in (int, float) and math.isfinite(mm) and abs(mm) <= FARTHEST  # type: ignore[arg-type] # told by type()


def _is_word(word: object) -> bool:
    return type(word) is str and len(word) <= LONGEST and not escapes.unfit(word)


def _is_bare(word: object) -> bool:
    return type(word) is str and _is_word(word) and _BARE.fullmatch(word) is not None
