"""Dates by daylight and warmth, frost and their bands against records that published packages ship.

Daily temperatures: the climate files of aquacrop (MIT). Springs: pyPhenology's highbush blueberry of Harvard Forest (J. O'Keefe, CC BY)
and quaking aspen of the USA National Phenology Network, with their daily mean temperatures (a range of 12 °C is put about them).
Years or sites are left out of what they are judged by. Latitudes of the stations are from memory; beyond 45° they do not matter.
"""

from __future__ import annotations

import csv
import gzip
import math
import statistics
from collections import defaultdict
from collections.abc import Callable, Iterable
from datetime import date, timedelta
from functools import cache

import pytest

from logbook.collection.model import Normals
from logbook.collection.weather_file import Extremes
from logbook.season.climate import Climate, day_index, single_sine
from logbook.season.estimator import WITHIN_80, Case, Estimator, Residual
from logbook.season.frost_risk import first_frosts, last_frosts
from logbook.season.warmth import SEASON_KNOWN, Warmth, season_start
from logbook.season.warmth_sums import weighted
from logbook.season.weather import Weather

from .test_oracles import daily, data_folder, normals, whole_years

LATITUDES = {
    "brussels": 50.8,
    "cambridge": 52.2,
    "champion": 40.4,
    "cordoba": -31.4,  # the record's warm months are those of the south
    "lincolnshire": 53.2,
    "norfolk": 52.6,
    "north_yorks": 54.0,
    "northumberland": 55.2,
    "suffolk": 52.2,
    "tunis": 36.8,
}
SUMS = (219.0, 300.0, 534.0, 1517.0)  # plain 200, 260, 400 and 800
FREEZING = [s for s in LATITUDES if s not in ("cordoba", "tunis")]


@cache
def station(name: str, coldest: bool = True) -> tuple[Warmth, Warmth]:
    """A station by its normals, and by its own days."""
    record = daily(name)
    climate = Climate(normals(record, coldest))
    days = Weather({day: Extremes(*pair) for day, pair in record.items()})
    return Warmth(climate, LATITUDES[name]), Warmth(climate, LATITUDES[name], days)


def seasons(name: str) -> list[int]:
    years = set(whole_years(daily(name)))
    return [y for y in sorted(years) if LATITUDES[name] > 0 or y + 1 in years]


def days_after_start(site: Warmth, season: int, total: float) -> int:
    day = site.reaching(season, total)
    assert day is not None
    return (day - season_start(season, site.southern)).days


@pytest.mark.parametrize(("coldest", "goal"), [(True, 1.0), (False, 2.0)])
def test_mean_days_of_thresholds(coldest: bool, goal: float) -> None:
    errors = []
    for name in LATITUDES:
        usual, actual = station(name, coldest)
        for total in SUMS:
            seen = statistics.mean(days_after_start(actual, y, total) for y in seasons(name))
            errors.append(abs(days_after_start(usual, seasons(name)[0], total) - seen))
    assert len(errors) == 40
    assert statistics.mean(errors) <= goal, f"{statistics.mean(errors):.2f} d"


def covered(pairs: Iterable[tuple[float, float]]) -> float:
    """Share of (error, variance) within the 80 % band, days rounded as they are printed."""
    return statistics.mean(abs(error) <= WITHIN_80 * math.sqrt(variance) + 0.5 for error, variance in pairs)


def test_bands_of_a_year_whose_weather_is_not_known() -> None:
    """How far the sum's own date scatters from year to year, against the part of the season's variance that weather makes."""
    pairs = []
    for name in FREEZING:
        usual, actual = station(name)
        for total in SUMS[:3]:
            for season in seasons(name):
                mark = usual.reaching(season, total)
                assert mark
                error = days_after_start(actual, season, total) - days_after_start(usual, season, total)
                pairs.append((error, usual.season_variance(season, mark) - SEASON_KNOWN))
    assert len(pairs) > 600
    assert 0.70 <= covered(pairs) <= 0.90, f"{covered(pairs):.3f}"


@pytest.mark.parametrize(("ahead", "mean_error"), [(30, 4.0), (14, 2.8), (7, 1.8)])
def test_bands_some_days_ahead_with_the_weather_so_far(ahead: int, mean_error: float) -> None:
    pairs = []
    for name in FREEZING:
        climate, actual = station(name)[0].climate, station(name)[1]
        for season in seasons(name)[::2]:
            mark = actual.reaching(season, 534.0)
            assert mark
            today = mark - timedelta(days=ahead)
            first = season_start(season, False)
            known = {d: e for d, e in actual.weather.days.items() if first <= d < today}
            site = Warmth(climate, LATITUDES[name], Weather(known))
            guess = site.reaching(season, 534.0)
            assert guess
            pairs.append(((guess - mark).days, site.split_variance(season, guess)[1]))
    assert len(pairs) > 100
    assert statistics.mean(abs(e) for e, _ in pairs) <= mean_error
    assert covered(pairs) >= 0.75, f"{covered(pairs):.3f}"


def observed_frosts(name: str, spring: bool) -> list[int | None]:
    record = daily(name)
    found: list[int | None] = []
    for year in whole_years(record):
        span = (date(year, 1, 1), date(year, 6, 21)) if spring else (date(year, 6, 21), date(year, 12, 21))
        days = [day_index(d) for d in record if span[0] <= d <= span[1] and record[d][0] <= 0]
        found.append((max(days) if spring else min(days)) if days else None)
    return found


@pytest.mark.parametrize("spring", [True, False], ids=["last frost", "first frost"])
def test_frost_dates_and_their_bands(spring: bool) -> None:
    """Median dates within 6 days (median of the stations), 10 to 90 % dates around 70 to 90 % of single years."""
    errors, inside = [], []
    for name in FREEZING:
        climate = station(name)[0].climate
        seen = observed_frosts(name, spring)
        known = [d for d in seen if d is not None]
        if len(known) < 0.95 * len(seen):
            continue
        ours = (
            last_frosts(climate, date(2024, 12, 21), date(2025, 6, 21))
            if spring
            else first_frosts(climate, date(2025, 6, 21), date(2025, 12, 21))
        )
        assert ours.half
        errors.append(abs(day_index(ours.half) - statistics.median(known)))
        early = day_index(ours.tenth) if ours.tenth and ours.tenth.year == 2025 else 0
        late = day_index(ours.nine_tenths) if ours.nine_tenths else 364
        inside += [early <= d <= late for d in known]
    assert len(errors) >= 5 and len(inside) > 150
    assert statistics.median(errors) <= 6.0, errors
    assert 0.68 <= statistics.mean(inside) <= 0.90, f"{statistics.mean(inside):.3f}"


Seen = dict[tuple[str, int], float]  # site and year → day of the year


@cache
def phenology(name: str, phenophase: str) -> tuple[Seen, dict[str, Warmth]]:
    folder = data_folder("pyPhenology")
    seen: dict[tuple[str, int], list[int]] = defaultdict(list)
    for row in csv.DictReader((folder / f"{name}_obs.csv").open()):
        if row["phenophase"] == phenophase:
            seen[row["site_id"], int(row["year"])].append(int(row["doy"]))
    packed = folder / f"{name}_temperature.csv.gz"
    rows = gzip.open(packed, "rt") if packed.exists() else (folder / f"{name}_temperature.csv").open()  # noqa: SIM115 - closed below
    days: dict[str, dict[date, Extremes]] = defaultdict(dict)
    latitude: dict[str, float] = {}
    with rows:
        for row in csv.DictReader(rows):
            day = date(int(row["year"]), 1, 1) + timedelta(days=int(row["doy"]) - (1 if int(row["doy"]) > 0 else 0))
            mean = float(row["temperature"])
            days[row["site_id"]][day] = Extremes(mean - 6.0, mean + 6.0)
            latitude[row["site_id"]] = float(row["latitude"])
    sites = {
        s: Warmth(Climate(_usual(d)), latitude[s], Weather(d))
        for s, d in days.items()
        if any(k[0] == s for k in seen)
    }
    return {k: statistics.mean(v) for k, v in seen.items() if k[0] in sites}, sites


def _usual(days: dict[date, Extremes]) -> Normals:
    by_month: dict[int, list[float]] = defaultdict(list)
    for day, pair in days.items():
        by_month[day.month].append((pair.tmin + pair.tmax) / 2)
    mean = [statistics.mean(by_month[m]) if m in by_month else 10.0 for m in range(1, 13)]
    return Normals(tuple(m - 6 for m in mean), tuple(m + 6 for m in mean))


def new_day(site: Warmth, year: int, total: float) -> float | None:
    day = site.reaching(year, total)
    return day.timetuple().tm_yday if day else None


def old_day(site: Warmth, year: int, total: float) -> float | None:
    """The plain sum above 0 °C from 1 March that the weighted one replaces."""
    so_far, day = 0.0, date(year, 3, 1)
    while (pair := site.weather.on(day)) and day.year == year:
        so_far += single_sine(*pair, 0.0)
        if so_far >= total:
            return day.timetuple().tm_yday
        day += timedelta(days=1)
    return None


def test_blueberry_year_by_year() -> None:
    """Each of twelve springs foretold from the others: against their mean date, and against the plain sum learned in the same way.

    The sum is that of the Harvard Forest record's one published spring, 312 °C·d, less 55 as the list of species takes it.
    """
    seen, sites = phenology("vaccinium", "371")
    (site,) = sites.values()
    name = next(iter(sites))
    variances = dict.fromkeys((y for _, y in seen), SEASON_KNOWN)
    new: list[tuple[float, float]] = []
    old, calendar = [], []
    for _, year in seen:
        others = [y for _, y in seen if y != year]
        for rule, total, into in ((new_day, weighted(257), new), (old_day, 257.0, None)):
            base = {y: rule(site, y, total) for y in (*others, year)}
            log = [Residual("1", Case("", name, y), "open", seen[name, y] - (base[y] or 0.0)) for y in others]
            shift = Estimator(log, variances).shift("open", Case("", name, year))
            error = (base[year] or 0.0) + shift.days - seen[name, year]
            if into is not None:
                into.append((error, shift.variance))
            else:
                old.append(abs(error))
        calendar.append(abs(statistics.mean(seen[name, y] for y in others) - seen[name, year]))
    ours = statistics.mean(abs(e) for e, _ in new)
    assert len(new) == 12
    assert ours < statistics.mean(old) and ours < 0.8 * statistics.mean(calendar), (ours, statistics.mean(old))
    assert covered(new) >= 0.70


def fitted(rule: Callable[[Warmth, int, float], float | None], grid: range) -> list[float]:
    """Errors at aspen sites, a tenth of them at a time left out of the choice of the sum."""
    seen, sites = phenology("aspen", "371")
    table = {f: {k: rule(sites[k[0]], k[1], float(f)) for k in seen} for f in grid}
    keys = [k for k in seen if all(row[k] is not None for row in table.values())]
    names = sorted({s for s, _ in keys})
    errors = []
    for fold in (set(names[n::10]) for n in range(10)):
        others = [k for k in keys if k[0] not in fold]
        best = min(grid, key=lambda f: statistics.mean(abs((table[f][k] or 0) - seen[k]) for k in others))
        errors += [abs((table[best][k] or 0) - seen[k]) for k in keys if k[0] in fold]
    return errors


def test_aspen_at_sites_left_out() -> None:
    """Better than the median date of the other sites and no worse than the plain sum, both fitted in the same way."""
    seen, _ = phenology("aspen", "371")
    names = sorted({s for s, _ in seen})
    calendar = []
    for fold in (set(names[n::10]) for n in range(10)):
        usual = statistics.median(v for (s, _), v in seen.items() if s not in fold)
        calendar += [abs(usual - v) for (s, _), v in seen.items() if s in fold]
    new, old = fitted(new_day, range(100, 700, 50)), fitted(old_day, range(80, 480, 40))
    assert len(new) > 100
    assert statistics.mean(new) < 0.9 * statistics.mean(calendar)
    assert statistics.mean(new) < statistics.mean(old)
