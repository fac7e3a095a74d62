"""Dates from twelve normals against daily station records and observed phenology that published packages ship.

Daily records: the climate files of aquacrop (MIT), read as plain text. Phenology: pyPhenology's highbush blueberry of
Harvard Forest (observations of J. O'Keefe, CC BY), with its daily temperatures.
"""

from __future__ import annotations

import csv
import statistics
from collections import defaultdict
from datetime import date, timedelta
from functools import cache
from importlib.util import find_spec
from pathlib import Path

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, MonthMean, Normals, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.season.climate import Climate, day_index
from logbook.season.frost_risk import first_frosts, last_frosts
from logbook.season.learning import Who
from logbook.season.mark import Mark

STATIONS = (
    "brussels",
    "cambridge",
    "champion",
    "cordoba",
    "lincolnshire",
    "norfolk",
    "north_yorks",
    "northumberland",
    "suffolk",
    "tunis",
)
Daily = dict[date, tuple[float, float]]


def data_folder(package: str) -> Path:
    spec = find_spec(package)
    assert spec and spec.submodule_search_locations
    return Path(next(iter(spec.submodule_search_locations))) / "data"


@cache
def daily(station: str) -> Daily:
    rows: Daily = {}
    for line in (data_folder("aquacrop") / f"{station}_climate.txt").read_text("utf-8", "replace").splitlines()[1:]:
        cells = line.split()
        if len(cells) >= 5:
            rows[date(int(cells[2]), int(cells[1]), int(cells[0]))] = (float(cells[3]), float(cells[4]))
    return rows


def whole_years(record: Daily) -> list[int]:
    count: dict[int, int] = defaultdict(int)
    for day in record:
        count[day.year] += 1
    return [year for year, days in count.items() if days >= 365]


def normals(record: Daily, coldest: bool) -> Normals:
    low: dict[int, list[float]] = defaultdict(list)
    high: dict[int, list[float]] = defaultdict(list)
    nights: dict[int, list[float]] = defaultdict(list)
    for day, (tmin, tmax) in record.items():
        low[day.month].append(tmin)
        high[day.month].append(tmax)
        nights[day.year].append(tmin)
    coldest_night = (
        statistics.mean(min(v) for y, v in nights.items() if y in whole_years(record)) if coldest else None
    )
    return Normals(
        tuple(statistics.mean(low[m]) for m in range(1, 13)),
        tuple(statistics.mean(high[m]) for m in range(1, 13)),
        coldest_night=coldest_night,
    )


def observed_frost(record: Daily, spring: bool) -> list[int]:
    """Day of year of each year's last spring (first autumn) night at or under 0 °C; years without one left out."""
    found = []
    for year in whole_years(record):
        days = [day_index(d) for d in record if d.year == year and record[d][0] <= 0 and (d.month < 7) == spring]
        if days:
            found.append(max(days) if spring else min(days))
    return found


def test_frost_dates() -> None:
    """The 50 % date and the careful one (10 % risk) against the record's quantiles, over the stations with frost every year."""
    errors = []
    for station in STATIONS:
        record = daily(station)
        climate = Climate(normals(record, True))
        years = whole_years(record)
        spring = observed_frost(record, True)
        if len(spring) >= 0.95 * len(years) and len(years) >= 15:
            found = last_frosts(climate, date(2024, 12, 21), date(2025, 6, 21))
            for share, ours in ((0.5, found.half), (0.9, found.nine_tenths)):
                assert ours is not None
                errors.append(abs((ours - date(2025, 1, 1)).days - sorted(spring)[int(share * (len(spring) - 1))]))
        autumn = observed_frost(record, False)
        if len(autumn) >= 0.95 * len(years) and len(years) >= 15:
            ours = first_frosts(climate, date(2025, 6, 21), date(2025, 12, 21)).half
            if ours is not None:
                errors.append(abs(day_index(ours) - statistics.median(autumn)))
    assert len(errors) >= 6
    assert statistics.mean(errors) <= 6.0, f"{statistics.mean(errors):.1f} d over {len(errors)} dates"


def blueberry() -> tuple[dict[int, date], dict[str, MonthMean], Normals]:
    """Mean day of leaf emergence (phenophase 371) by year, monthly means as a grower would type them, and their mean."""
    folder = data_folder("pyPhenology")
    seen: dict[int, list[int]] = defaultdict(list)
    for row in csv.DictReader((folder / "vaccinium_obs.csv").open()):
        if row["phenophase"] == "371":
            seen[int(row["year"])].append(int(row["doy"]))
    temperatures: dict[tuple[int, int], list[float]] = defaultdict(list)
    for row in csv.DictReader((folder / "vaccinium_temperature.csv").open()):
        if int(row["doy"]) > 0:
            day = date(int(row["year"]), 1, 1) + timedelta(days=int(row["doy"]) - 1)
            temperatures[day.year, day.month].append(float(row["temperature"]))
    swing = 6.0  # half the usual daily range; the data hold daily means only
    months = {
        f"{y}-{m:02d}": MonthMean(statistics.mean(v) - swing, statistics.mean(v) + swing)
        for (y, m), v in temperatures.items()
        if len(v) > 20
    }
    by_month = {
        m: statistics.mean(t.tmin + swing for k, t in months.items() if int(k[5:]) == m)
        for m in range(1, 13)
        if any(int(k[5:]) == m for k in months)
    }
    # the record ends in summer; the missing autumn does not touch spring's sums
    mean = [by_month.get(m, 10.0) for m in range(1, 13)]
    days = {y: date(y, 1, 1) + timedelta(days=round(statistics.mean(v)) - 1) for y, v in seen.items()}
    return days, months, Normals(tuple(t - swing for t in mean), tuple(t + swing for t in mean))


def test_learning_beats_the_calendar() -> None:
    """Each year left out in turn: the mark learned from the other years, with that year's months, against their mean date."""
    days, months, means = blueberry()
    ours, calendar = [], []
    for year, day in days.items():
        others = {y: d for y, d in days.items() if y != year}
        log = tuple(Entry(date=on_day(d), saw="open") for d in others.values())
        tree = Tree("1", log, species="Vaccinium corymbosum", group="evergreen broadleaf")
        garden = Garden(Settings("t", site=Site(42.5, normals=means), months=months), shipped_knowledge(), [tree])
        mark = garden.site.marks.mark("evergreen broadleaf", "open", year, Who("1", "Vaccinium corymbosum"))
        assert isinstance(mark, Mark)
        ours.append(abs((mark.day - day).days))
        calendar.append(
            abs(statistics.mean(d.timetuple().tm_yday for d in others.values()) - day.timetuple().tm_yday)
        )
    assert len(days) >= 5
    assert statistics.mean(ours) < statistics.mean(calendar), (statistics.mean(ours), statistics.mean(calendar))
