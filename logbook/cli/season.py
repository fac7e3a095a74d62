"""The site's year: marks of each growth group with their bands, frost, growing weeks and day length.

examples:
  benchleaf season
  benchleaf season --group maple --json
"""

from __future__ import annotations

import argparse
from collections.abc import Mapping, Sequence
from datetime import date, timedelta
from typing import TypedDict

from ..collection.dates import MONTHS, day_told
from ..collection.model import Site
from ..diagnostics import nearest, stop
from ..planning.wording import Wording
from ..season.mark import Absent, Known
from ..season.site_year import SiteYear
from ..season.solar import day_length, midwinter_before
from .common import Opened, json_argument, open_collection, today_argument
from .results import Result, table

NAMES = ("swell", "open", "hardened", "growth end", "leaf fall")
SITE_NAMES = ("last frost", "last frost 10 %", "first frost 10 %", "first frost", "growth end")


class MarkData(TypedDict, total=False):
    """A mark's day with its 80 % band (± days) and how it was found; or why there is none."""

    day: str | None
    band_days: int
    how: str
    why: str


class SeasonData(TypedDict):
    """The site's year; `days_behind` is null where no sign was logged this season."""

    days_behind: float | None
    season: int
    site: dict[str, MarkData]
    groups: dict[str, dict[str, MarkData]]


SHAPE = SeasonData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "--group", action="append", default=[], metavar="GROUP", help="only this growth group (may be given again)"
    )
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """The site's year in words and as data. Raises ProblemsFound for an unknown group."""
    opened = open_collection(options)
    site, say = opened.site, opened.wording
    shown = _groups(opened, options.group)
    season = site.calendar.season_of(opened.today)
    days, signs = site.marks.ahead(season)
    site_marks = {name: site.marks.mark("", name, season) for name in SITE_NAMES}
    marks = {group: {name: site.marks.mark(group, name, season) for name in NAMES} for group in shown}
    place = opened.collection.settings.site
    lines = [
        _span_told(site, season),
        _normals_told(place),
        *([_pace_told(days, signs)] if signs else []),
        *(f"  {name}: {_told(found, say)}" for name, found in site_marks.items()),
        "",
        *_months(site, season, place.latitude if place else None),
        "",
        *table([[group, *map(_cell, row.values())] for group, row in marks.items()], ["group", *NAMES]),
        *(f"- means: {why}" for why in _why_none(marks, say)),
    ]
    data: SeasonData = {
        "days_behind": round(days, 1) if signs else None,
        "season": season,
        "site": {n: _data(f, say) for n, f in site_marks.items()},
        "groups": {g: {n: _data(f, say) for n, f in row.items()} for g, row in marks.items()},
    }
    return Result(0, tuple(lines), data)


def _groups(opened: Opened, asked: Sequence[str]) -> Sequence[str]:
    """The groups asked for, or those of the trees, or all. Raises ProblemsFound for a name that is no group's."""
    groups = list(opened.knowledge.groups)
    for name in asked:
        if name not in groups:
            close = nearest(name, groups)
            raise stop(
                f"there is no growth group '{name}'",
                hint=f"did you mean '{close}'?" if close else f"one of: {', '.join(groups)}",
            )
    mine = {opened.garden.group_of(tree) for tree in opened.collection.living}
    return asked or [g for g in groups if g in mine] or groups


def _span_told(site: SiteYear, season: int) -> str:
    first, following = (site.calendar.season_start(year) for year in (season, season + 1))
    return f"season {season}: from {day_told(first)} to {day_told(following - timedelta(days=1))}"


def _normals_told(place: Site | None) -> str:
    """Which years the site's monthly normals are of."""
    normals = place.normals if place else None
    if not normals:
        return "no monthly normals: only your own dates are known"
    return f"monthly normals {normals.years}" if normals.years else "monthly normals of unknown years"


def _pace_told(days: float, signs: int) -> str:
    """How many days the garden is behind (or, below 0, ahead), and how many signs say so."""
    word = "on time" if abs(days) < 0.5 else f"{abs(days):.0f} days {'behind' if days > 0 else 'ahead'}"
    return f"your garden runs {word} this season, by {signs} sign{'s' if signs > 1 else ''} you logged"


def _why_none(marks: Mapping[str, Mapping[str, Known]], say: Wording) -> list[str]:
    """Why marks have no day, each reason once."""
    found = (known for row in marks.values() for known in row.values())
    return sorted({say.reason(known.why) for known in found if isinstance(known, Absent)})


def _cell(found: Known) -> str:
    return "-" if isinstance(found, Absent) else f"{found.day.day} {MONTHS[found.day.month - 1]} ± {found.band}"


def _told(found: Known, wording: Wording) -> str:
    return (
        f"none: {wording.reason(found.why)}"
        if isinstance(found, Absent)
        else f"{day_told(found.day)} ± {found.band} days ({wording.reason(found.how)})"
    )


def _data(found: Known, wording: Wording) -> MarkData:
    if isinstance(found, Absent):
        return {"day": None, "why": wording.reason(found.why)}
    return {"day": found.day.isoformat(), "band_days": found.band, "how": wording.reason(found.how)}


def _months(site: SiteYear, season: int, latitude: float | None) -> list[str]:
    """Growing weeks and day length, month by month, through the season's year."""
    start = midwinter_before(season, site.southern)
    rows = []
    for step in range(12):
        month = (start.month + step) % 12 + 1
        first = date(start.year + (start.month + step) // 12, month, 1)
        after = (first + timedelta(days=32)).replace(day=1)
        weeks = site.calendar.growing_days(first, after) / 7
        light = f"{day_length(latitude, first + timedelta(days=14)):.1f} h" if latitude is not None else "?"
        rows.append([f"{MONTHS[month - 1]} {first.year}", f"{weeks:.1f}", light])
    return table(rows, ["month", "growing weeks", "day length (15th)"])
