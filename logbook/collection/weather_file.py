"""Days of weather as a collection keeps them: `weather/YEAR.csv` with `date,tmin,tmax`, ISO days, °C.

Written by the tool and read back strictly; tables from elsewhere go through `weather_reader` first. A file that someone edited
is read line by line: a line that can't be read is told with its place and the others stand.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import NamedTuple

from ..diagnostics import Place, Problem
from .units import plain

HEADER = "date,tmin,tmax"
HINT = "a line reads 2027-03-14,-1.5,8.2: the day, the lowest and the highest temperature in °C"
COLDEST, WARMEST = -60.0, 60.0  # °C: beyond what gardens have (records of WMO's archive: −89.2 and 56.7)


class Extremes(NamedTuple):
    """The lowest and the highest temperature of one day, °C."""

    tmin: float
    tmax: float


Days = dict[date, Extremes]


def sensible(tmin: float, tmax: float) -> bool:
    """Whether a day can have had these: in order, and within what the earth has seen."""
    return COLDEST <= tmin <= tmax <= WARMEST


def weather_texts(days: Mapping[date, Extremes]) -> dict[str, str]:
    """File name to whole text, one file a year, days in order. The same days give the same bytes."""
    rows: dict[int, list[str]] = {}
    for day in sorted(days):
        found = days[day]
        rows.setdefault(day.year, []).append(_line(day, found))
    return {f"weather/{year:04d}.csv": "\n".join([HEADER, *lines]) + "\n" for year, lines in rows.items()}


def spliced(text: str, days: Mapping[date, Extremes]) -> str:
    """A file's text with these days in it, each in the place of its line or before the first later one; all else stays."""
    newline = "\r\n" if "\r\n" in text else "\n"
    lines = text.splitlines()
    left = dict(days)
    found: list[str] = []
    for line in lines:
        row = _row(line)
        if not isinstance(row, str):
            found += [_line(day, left.pop(day)) for day in sorted(left) if day < row[0]]
            if row[0] in days:
                line = _line(row[0], left.pop(row[0], days[row[0]]))
        found.append(line)
    found += [_line(day, left[day]) for day in sorted(left)]
    return newline.join(found) + newline


def _line(day: date, found: Extremes) -> str:
    return f"{day.isoformat()},{_told(found.tmin)},{_told(found.tmax)}"


def _told(number: float) -> str:
    told = plain(round(number, 2))
    return "0" if told == "-0" else told


def read_weather_file(text: str, shown: str) -> tuple[Days, list[Problem]]:
    """The days of one such file, and what of it could not be read (warnings, since the rest still serves)."""
    days: Days = {}
    problems: list[Problem] = []
    for number, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1):
        if not line.strip() or line.lstrip().startswith("#") or (number == 1 and line.strip().casefold() == HEADER):
            continue
        found = _row(line)
        if isinstance(found, str):
            problems.append(_warning(found, shown, number, line))
        elif found[0] in days:
            problems.append(_warning(f"{found[0]} stands here twice; the first line counts", shown, number, line))
        else:
            days[found[0]] = found[1]
    return days, problems


def _row(line: str) -> tuple[date, Extremes] | str:
    """A day and its temperatures, or what is wrong with the line."""
    cells = [cell.strip() for cell in line.split(",")]
    if len(cells) != 3:
        return f"expected three values, found {len(cells)}"
    try:
        day, found = date.fromisoformat(cells[0]), Extremes(float(cells[1]), float(cells[2]))
    except ValueError:
        return "expected a day and two temperatures"
    if not sensible(*found):
        return f"no day goes from {cells[1]} to {cells[2]} °C"
    return day, found


def _warning(message: str, shown: str, number: int, line: str) -> Problem:
    return Problem(message, Place(shown, number, 1, len(line), line), HINT, "warning")


def merged(known: Mapping[date, Extremes], new: Mapping[date, Extremes]) -> tuple[Days, list[date], list[date]]:
    """Both together, the new ones winning; with them the days that are new, and those whose values changed."""
    added = sorted(day for day in new if day not in known)
    changed = sorted(day for day in new if day in known and not _alike(known[day], new[day]))
    return {**known, **{day: new[day] for day in (*added, *changed)}}, added, changed


def _alike(one: Extremes, other: Extremes) -> bool:
    return all(abs(a - b) < 0.051 for a, b in zip(one, other, strict=True))


def joined(files: Iterable[tuple[Days, list[Problem]]]) -> tuple[Days, list[Problem]]:
    """Several files as one: of a day that stands in two, the first file's counts."""
    days: Days = {}
    problems: list[Problem] = []
    for found, faults in files:
        days = {**found, **days}
        problems += faults
    return days, problems
