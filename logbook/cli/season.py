"""The site's year: marks of each growth group with their bands, frost, growing weeks and day length.

examples:
  benchleaf season
  benchleaf season --group maple --json
"""

from __future__ import annotations

import argparse
from collections.abc import Iterator, Mapping, Sequence
from datetime import date, timedelta
from typing import TypedDict

from ..collection.dates import MONTHS, day_told
from ..collection.few_normals import EQUATOR
from ..collection.model import Site
from ..diagnostics import counted, listed, nearest, stop
from ..planning.band_words import band_told
from ..planning.wording import Wording
from ..season.learning import NOBODY, Who
from ..season.mark import Absent, Known
from ..season.sightings import Sighting
from ..season.site_year import Pace, SiteYear
from ..season.solar import day_length, midwinter_before
from .common import Opened, json_argument, open_collection, today_argument
from .results import Result, table
from .unheard import teach_nothing

NAMES = ("swell", "open", "hardened", "growth end", "leaf colour", "leaf fall")
MOST_SIGNS = 4
SITE_NAMES = ("last frost", "last frost 10 %", "first frost 10 %", "first frost", "growth end")


class MarkData(TypedDict, total=False):
    """A mark's day with its 80 % band (± days) and how it was found; or why there is none.

    `early` and `late` stand where the band is not even; null: it does not come in one year of ten or more.
    """

    day: str | None
    band_days: int
    early: str | None
    late: str | None
    how: str
    why: str


class SeasonData(TypedDict):
    """The site's year; `days_behind` is null where no sign was logged this season, and `weather_days_behind` where none of its
    weather is known, by day or by month. `species` are those of your trees whose marks are not their group's. `teach_nothing`: signs in the log that move no date, and why."""

    days_behind: float | None
    weather_days_behind: int | None
    weather_known_to: str | None
    teach_nothing: list[str]
    season: int
    site: dict[str, MarkData]
    groups: dict[str, dict[str, MarkData]]
    species: dict[str, dict[str, MarkData]]


SHAPE = SeasonData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "--group", action="append", default=[], metavar="GROUP", help="only this growth group (may be given again)"
    )
    parser.add_argument("--place", metavar="PLACE", help="the year of one of your places, in place of the garden's")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """The site's year in words and as data. Raises ProblemsFound for an unknown group."""
    opened = open_collection(options, waits=True)
    site, say = _site(opened, options.place), opened.wording
    shown = _groups(opened, options.group)
    season = site.calendar.season_of(opened.today)
    pace = site.pace(season)
    unheard = teach_nothing(opened)
    site_marks = {name: site.marks.mark("", name, season) for name in SITE_NAMES}
    marks = {group: _marks(site, season, group) for group in shown}
    apart = _species_apart(opened, site, shown)
    of_species = {name: _marks(site, season, group, Who("", name)) for name, group in apart.items()}
    species = {name: row for name, row in of_species.items() if row != marks[apart[name]]}
    place = site.place
    lines = [
        _span_told(site, season),
        _normals_told(place),
        *_pace_told(pace),
        *unheard,
        *(f"  {name}: {_told(found, say)}" for name, found in site_marks.items()),
        *(["", *_months(site, season, place.latitude)] if place else []),
        "",
        *table(_rows(marks, species, apart), ["group", *NAMES]),
        *(f"- means: {why}" for why in _why_none(marks, say)),
    ]
    data: SeasonData = {
        "days_behind": None if pace.signs is None else round(pace.signs, 1),
        "weather_days_behind": pace.weather,
        "weather_known_to": pace.known.isoformat() if pace.known else None,
        "teach_nothing": unheard,
        "season": season,
        "site": _row_data(site_marks, say),
        "groups": {group: _row_data(row, say) for group, row in marks.items()},
        "species": {name: _row_data(row, say) for name, row in species.items()},
    }
    return Result(0, tuple(lines), data)


def _marks(site: SiteYear, season: int, group: str, who: Who = NOBODY) -> dict[str, Known]:
    return {name: site.marks.mark(group, name, season, who) for name in NAMES}


def _row_data(row: Mapping[str, Known], say: Wording) -> dict[str, MarkData]:
    return {name: _data(found, say) for name, found in row.items()}


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


def _site(opened: Opened, place: str | None) -> SiteYear:
    """The year of the place asked for. Raises ProblemsFound for a name that is no place's."""
    years = opened.garden.years
    if not place:
        return opened.site
    if place not in years:
        names = [name for name in years if name]
        close = nearest(place, names)
        hint = f"did you mean '{close}'?" if close else f"places: {', '.join(names)}" if names else "add places:"
        raise stop(f"there is no place '{place}' in collection.yaml", hint=hint)
    return years[place]


def _species_apart(opened: Opened, site: SiteYear, groups: Sequence[str]) -> dict[str, str]:
    """The species of living trees whose marks are not those of their group, each with its group."""
    garden, marks = opened.garden, site.marks
    found = {
        marks.known(Who("", t.species), garden.group_of(t)).species: garden.group_of(t)
        for t in opened.collection.living
    }
    return {name: group for name, group in sorted(found.items()) if name and group in groups}


def _rows(
    marks: Mapping[str, Mapping[str, Known]], species: Mapping[str, Mapping[str, Known]], groups: Mapping[str, str]
) -> list[list[str]]:
    """A row a group, and under it one for each of its species that differ."""
    rows = []
    for group, row in marks.items():
        rows.append([group, *map(_cell, row.values())])
        rows += [[f"  {name}", *map(_cell, species[name].values())] for name in species if groups[name] == group]
    return rows


def _span_told(site: SiteYear, season: int) -> str:
    if site.climate is None:
        return f"season {season}, by the sun alone"
    first, following = (site.calendar.season_start(year) for year in (season, season + 1))
    return f"season {season}: from {day_told(first)} to {day_told(following - timedelta(days=1))}"


def _normals_told(place: Site | None) -> str:
    """Which years the site's monthly normals are of."""
    normals = place.normals if place else None
    if not normals:
        return "no monthly normals: dates hang on the sun, on your own marks and on what you logged; give them with: benchleaf normals"
    told = f"monthly normals {normals.years}" if normals.years else "monthly normals of unknown years"
    if not normals.guessed:
        return told
    means = "; near the equator they tell only the means" if place and abs(place.latitude) <= EQUATOR else ""
    return f"{told}, guessed {normals.guessed}: bands are wider{means}"


def _pace_told(pace: Pace) -> Iterator[str]:
    """How many days the year runs ahead, by its weather and by what was seen in the garden."""
    if pace.weather is not None and pace.known is not None:
        yield f"this year's weather to {day_told(pace.known)} puts leaves {_days_told(pace.weather)} your normals"
    if pace.signs is not None:
        seen = listed([f"{s.tag} {s.mark} {day_told(s.day)}{_by(s)}" for s in pace.seen[:MOST_SIGNS]], "and")
        more = f" and {len(pace.seen) - MOST_SIGNS} more" if len(pace.seen) > MOST_SIGNS else ""
        yield f"your garden runs {_days_told(round(pace.signs))} what is computed, by {counted(len(pace.seen), 'sign')} logged this season: {seen}{more}"


def _by(seen: Sighting) -> str:
    return f" (by {seen.by})" if seen.by else ""


def _days_told(days: int) -> str:
    return "as" if not days else f"{counted(abs(days), 'day')} {'behind' if days > 0 else 'ahead of'}"


def _why_none(marks: Mapping[str, Mapping[str, Known]], say: Wording) -> list[str]:
    """Why marks have no day, each reason once."""
    found = (known for row in marks.values() for known in row.values())
    return sorted({say.reason(known.why) for known in found if isinstance(known, Absent)})


def _cell(found: Known) -> str:
    return (
        "-" if isinstance(found, Absent) else f"{found.day.day} {MONTHS[found.day.month - 1]}{band_told(found, '')}"
    )


def _told(found: Known, wording: Wording) -> str:
    if isinstance(found, Absent):
        return f"none: {wording.reason(found.why)}"
    return f"{day_told(found.day)}{band_told(found)} ({wording.reason(found.how)})"


def _data(found: Known, wording: Wording) -> MarkData:
    if isinstance(found, Absent):
        return {"day": None, "why": wording.reason(found.why)}
    data: MarkData = {"day": found.day.isoformat(), "band_days": found.band, "how": wording.reason(found.how)}
    if not found.is_even:
        data["early"], data["late"] = (end.isoformat() if end else None for end in (found.early, found.late))
    return data


def _months(site: SiteYear, season: int, latitude: float) -> list[str]:
    """Growing weeks and day length, month by month, through the season's year."""
    start = midwinter_before(season, site.southern)
    rows = []
    for step in range(12):
        month = (start.month + step) % 12 + 1
        first = date(start.year + (start.month + step) // 12, month, 1)
        after = (first + timedelta(days=32)).replace(day=1)
        weeks = f"{site.calendar.growing_days(first, after) / 7:.1f}" if site.climate else "?"
        light = f"{day_length(latitude, first + timedelta(days=14)):.1f} h"
        rows.append([f"{MONTHS[month - 1]} {first.year}", weeks, light])
    return table(rows, ["month", "growing weeks", "day length (15th)"])
