"""Normals as a command line gives them: a table in any dress, or the nights and days of two months, or of four."""

from __future__ import annotations

import argparse
from collections.abc import Mapping
from dataclasses import replace

from ..collection.coordinates import place_in
from ..collection.loose_table import Asked
from ..collection.model import Normals, Site
from ..collection.normals_reader import NormalsRead, read_normals_table
from ..collection.units import Units
from ..collection.weather_words import MONTH_SHORT
from ..diagnostics import stop
from .asking import understood_told
from .results import table

QUARTERS = {"january": 1, "april": 4, "july": 7, "october": 10}
FEW, MORE = ["january", "july"], list(QUARTERS)
COLDEST = "give --coldest-night too, the coldest of a usual year: without it the last frost may be 12 to 14 days off"


def latitude_in(text: str) -> float:
    """A latitude as maps and people write it, decimal degrees. Raises ArgumentTypeError."""
    found = place_in(text)
    if found is None or found[1] is not None:
        raise argparse.ArgumentTypeError(f"expected degrees from -90 to 90, found '{text}'")
    return found[0]


def month_arguments(parser: argparse.ArgumentParser) -> None:
    """The options that give normals without a table."""
    for name in QUARTERS:
        parser.add_argument(
            f"--{name}",
            nargs=2,
            type=float,
            metavar=("NIGHT", "DAY"),
            help=f"{name.capitalize()}'s mean night and day, in the collection's unit",
        )
    parser.add_argument("--coldest-night", type=float, metavar="T", help="average coldest night of a year")
    parser.add_argument("--years", default="", metavar="SPAN", help="the years they cover, as in 1991-2020")


def months_given(options: argparse.Namespace) -> list[str]:
    """The months that were given as options. Raises ProblemsFound where they are not two or four of those that do."""
    given = [name for name in QUARTERS if getattr(options, name)]
    if given and given not in (FEW, MORE):
        raise stop(
            "give a table, or January and July, or all four months",
            hint="benchleaf normals station.txt, or: benchleaf normals --january -3 4 --july 15 27",
        )
    return given


def normals_given(
    options: argparse.Namespace,
    text: str,
    shown: str,
    answers: Mapping[str, str],
    latitude: float | None,
    unit: str,
    units: Units,
) -> NormalsRead:
    """The normals of the table, or of the months given as options, which are in the collection's unit."""
    if text or shown:
        return read_normals_table(text, shown, answers=answers, latitude=latitude, unit=unit)
    if latitude is None:
        return NormalsRead(None, questions=(Asked("latitude", "at which latitude is the garden (south negative)?"),))
    said = {name: getattr(options, name) for name in QUARTERS if getattr(options, name)}
    crossed = next((name for name, (night, day) in said.items() if night > day), "")
    if crossed:
        raise stop(f"{crossed}: the night is warmer than the day", hint="give the night first, then the day")
    pairs = {QUARTERS[name]: (units.celsius(night), units.celsius(day)) for name, (night, day) in said.items()}
    normals = Normals.of_months(pairs, latitude)
    known = (("other months", f"guessed {normals.guessed}"),)
    return NormalsRead(normals, known, guessed=normals.guessed)


def normals_told(found: NormalsRead, shown: str, units: Units) -> list[str]:
    """What was understood, the months as a table, and what was guessed."""
    lines = [*([f"{shown}:"] if shown else []), *understood_told(found.understood)]
    if found.normals is None:
        return lines
    degree = "°F" if units.us else "°C"
    rows = [
        [month, *(f"{units.temperature_own(t):.1f} {degree}" for t in (low, high))]
        for month, low, high in zip(MONTH_SHORT, found.normals.tmin, found.normals.tmax, strict=True)
    ]
    lines += table(rows, ["month", "night", "day"])
    if found.guessed:
        lines.append(f"guessed {found.guessed}: bands are wider, until springs are logged")
    return lines


def with_the_rest(found: NormalsRead, options: argparse.Namespace, site: Site | None, units: Units) -> Normals:
    """The normals with years and the coldest night: as given, else as they stood where they still fit."""
    assert found.normals is not None
    normals, before = found.normals, site.normals if site else None
    night = None if options.coldest_night is None else units.celsius(options.coldest_night)
    if night is None and before is not None:
        kept = before.coldest_night
        night = kept if kept is not None and kept <= min(normals.tmin) else None
    if night is not None and night > min(normals.tmin):
        raise stop(
            "the coldest night is warmer than the coldest month's mean minimum",
            hint="give the average lowest reading of a year, as hardiness zones do",
        )
    return replace(normals, years=options.years or normals.years, coldest_night=night)
