"""The weighted sum of warmth: its parts against worked values and outside libraries, its rules one by one."""

from __future__ import annotations

import math
from datetime import date, timedelta
from typing import Any

import numpy as np
import pytest
from astral import Observer
from astral.sun import sunrise, sunset
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import MonthMean, Normals
from logbook.collection.weather_file import Extremes
from logbook.horticulture.warmth_sums import PAIRS
from logbook.season.climate import YEAR_DAYS, Climate, day_index, single_sine
from logbook.season.solar import day_length
from logbook.season.warmth import (
    SEASON_AT_MOST,
    SEASON_UNKNOWN,
    Warmth,
    ahead_variance,
    day_scatter,
    daylight_weights,
    season_start,
    why_no_marks,
)
from logbook.season.warmth_sums import hardened_gap, measured_open, sums_of, weighted
from logbook.season.weather import Weather

from ..conftest import INLAND

CLIMATE = Climate(INLAND)
NORTH = 47.9
APRIL_15 = day_index(date(2001, 4, 15))


def warmth(**rest: Any) -> Warmth:
    return Warmth(CLIMATE, NORTH, **rest)


def mirrored(normals: Normals) -> Normals:
    return Normals(
        normals.tmin[6:] + normals.tmin[:6], normals.tmax[6:] + normals.tmax[:6], coldest_night=normals.coldest_night
    )


def weather_of(years: range, shift: float = 0.0) -> Weather:
    """The average year's own days, warmer by `shift`."""
    days = {}
    for year in years:
        for n in range(YEAR_DAYS):
            day = date(year, 1, 1) + timedelta(days=n)
            at = day_index(day)
            days[day] = Extremes(CLIMATE.tmin[at] + shift, CLIMATE.tmax[at] + shift)
    return Weather(days)


def test_worked_day() -> None:
    """Computed by hand from the formula: day length of 45°, its weight, and 3 to 15 °C counted."""
    assert day_length(45.0, date(2001, 4, 15)) == pytest.approx(13.501, abs=0.001)
    assert daylight_weights(45.0)[APRIL_15] == pytest.approx(1.8030, abs=0.0002)
    assert daylight_weights(45.0)[APRIL_15] * single_sine(3, 15, 2) == pytest.approx(12.621, abs=0.002)
    assert single_sine(-4, 8, 2) == pytest.approx(6 / math.pi)


@pytest.mark.parametrize("latitude", [-33.0, 20.0, 40.0, 45.0])
def test_daylight_against_an_almanac(latitude: float) -> None:
    """The astral package's sunrise and sunset; a minute and a half of day is 1 % of a weight."""
    here = Observer(latitude=latitude, longitude=0.0)
    for step in range(0, 365, 11):
        day = date(2001, 1, 1) + timedelta(days=step)
        hours = (sunset(here, day) - sunrise(here, day)).total_seconds() / 3600 % 24
        assert daylight_weights(latitude)[step] == pytest.approx((hours / 12) ** 5, rel=0.012)


@given(st.floats(-20, 30), st.floats(0.1, 25))
def test_warmth_of_a_day_against_numeric_integration(low: float, width: float) -> None:
    angle = np.linspace(0, 2 * np.pi, 20_001)
    numeric = np.maximum(low + width / 2 + width / 2 * np.sin(angle) - 2.0, 0).mean()
    assert single_sine(low, low + width, 2.0) == pytest.approx(float(numeric), abs=2e-3)


def test_days_grow_no_longer_than_those_of_45_degrees() -> None:
    assert daylight_weights(48.0) == daylight_weights(45.0) == daylight_weights(67.7)
    assert daylight_weights(-60.0) == daylight_weights(-45.0) != daylight_weights(45.0)
    assert daylight_weights(30.0)[171] < daylight_weights(45.0)[171]


def test_the_south_is_the_north_turned_by_half_a_year() -> None:
    north, south = warmth(), Warmth(Climate(mirrored(INLAND)), -NORTH)
    for total in (140.0, 300.0, 900.0):
        there, here = south.reaching(2027, total), north.reaching(2027, total)
        assert there and here
        # half a year is 181 or 184 days long, so the curves differ by a few days
        assert abs((there - season_start(2027, True)).days - (here - season_start(2027, False)).days) <= 4


@given(st.integers(1990, 2060))
def test_every_year_without_weather_is_the_same(season: int) -> None:
    found = warmth().reaching(season, 431.0)
    first = warmth().reaching(2001, 431.0)
    assert found and first
    assert (found - season_start(season, False)) == (first - season_start(2001, False))


@given(st.floats(1, 3000), st.floats(1, 3000))
def test_more_warmth_comes_no_sooner(one: float, other: float) -> None:
    early, late = sorted((one, other))
    first, second = warmth().reaching(2027, early), warmth().reaching(2027, late)
    assert first and second and first <= second


def test_the_mark_is_the_first_day_that_reaches_the_sum() -> None:
    site = warmth()
    day = site.reaching(2027, 431.0)
    assert day and site.sum_by(2027, day) >= 431.0 > site.sum_by(2027, day - timedelta(days=1))
    assert site.sum_by(2027, date(2027, 1, 31)) == 0.0


def test_a_cool_site_never_reaches_a_great_sum() -> None:
    cold = Warmth(Climate(Normals((-30.0,) * 12, (-10.0,) * 12)), NORTH)
    assert cold.reaching(2027, 431.0) is None


def test_a_warm_spring_is_early_and_a_cold_one_late() -> None:
    usual = warmth().reaching(2027, 431.0)
    warm = warmth(weather=weather_of(range(2027, 2028), 2.0)).reaching(2027, 431.0)
    cold = warmth(weather=weather_of(range(2027, 2028), -2.0)).reaching(2027, 431.0)
    assert usual and warm and cold and warm < usual < cold


def test_typed_months_move_the_mark_and_keep_the_spread() -> None:
    """A month typed at its own normal changes nothing, however cold the coldest night is; two degrees more come sooner."""
    same = {(2027, m): MonthMean(INLAND.tmin[m - 1], INLAND.tmax[m - 1]) for m in (1, 2, 3)}
    warmer = {k: MonthMean(v.tmin + 2, v.tmax + 2) for k, v in same.items()}
    usual = warmth().reaching(2027, 431.0)
    assert warmth(months=same).reaching(2027, 431.0) == usual
    assert warmth(months=warmer).reaching(2027, 431.0) < usual  # type: ignore[operator]


def test_a_day_known_outranks_its_month() -> None:
    months = {(2027, 3): MonthMean(10.0, 20.0)}
    frozen = Weather({date(2027, 3, n): Extremes(-5.0, 1.0) for n in range(1, 32)})
    assert warmth(months=months, weather=frozen).sum_by(2027, date(2027, 3, 31)) == pytest.approx(
        warmth().sum_by(2027, date(2027, 2, 28))
    )


def test_chill_and_equator() -> None:
    mild = Climate(Normals((10.0,) * 6 + (14.0,) * 6, (17.0,) * 6 + (24.0,) * 6))  # coldest month 13.5 °C
    assert (
        why_no_marks(mild, 30.0, "yes")
        and not why_no_marks(mild, 30.0, "slight")
        and not why_no_marks(mild, 30.0, "no")
    )
    hot = Climate(Normals((13.0,) * 6 + (18.0,) * 6, (21.0,) * 6 + (28.0,) * 6))  # 17 °C
    assert why_no_marks(hot, 30.0, "slight") and not why_no_marks(hot, 30.0, "no")
    alike = Climate(Normals((20.0,) * 6 + (22.0,) * 6, (28.0,) * 6 + (30.0,) * 6))
    assert why_no_marks(alike, 10.0, "no") and not why_no_marks(alike, 25.0, "no")
    assert not why_no_marks(CLIMATE, NORTH, "yes")


def test_hardened_is_never_sooner_than_six_weeks() -> None:
    opened = date(2027, 4, 20)
    assert warmth().hardened(opened, 10.0) == opened + timedelta(days=42)
    late = warmth().hardened(opened, 800.0)
    sums = CLIMATE.degree_days(0.0)
    days = (late - opened).days
    total = sum(sums[day_index(opened + timedelta(days=n))] for n in range(days + 1))
    assert total >= 800.0 > total - sums[day_index(late)]


def test_variance_of_weather_to_come() -> None:
    """14 days of weight 1.5, mean 8 °C, σ 3 °C before a mark that gains 1.9 × 7 °C·d: worked by hand."""
    assert ahead_variance(14 * day_scatter(1.5, 8.0, 3.0), 1.9, 7.0) == pytest.approx(9.184, abs=0.001)


def test_the_nearer_the_surer() -> None:
    mark = warmth().reaching(2027, 431.0)
    assert mark
    full = weather_of(range(2026, 2028))
    found = []
    for ahead in (70, 40, 20, 5, 0):
        site = warmth(weather=full.before(mark - timedelta(days=ahead)))
        season, to_come = site.split_variance(2027, mark)
        assert season == 6.25
        found.append(to_come)
    assert found == sorted(found, reverse=True) and found[0] > 2 * found[3] > 0
    assert warmth(weather=full.before(mark + timedelta(days=1))).split_variance(2027, mark) == (6.25, 0.0)


def test_knowing_some_weather_is_never_worse_than_knowing_none() -> None:
    mark = warmth().reaching(2027, 247.0)
    assert mark
    none = warmth().season_variance(2027, mark)
    one_day = warmth(weather=Weather({date(2027, 2, 1): Extremes(-1.0, 3.0)})).season_variance(2027, mark)
    assert SEASON_UNKNOWN <= none <= SEASON_AT_MOST and one_day <= none
    other_year = warmth(weather=weather_of(range(2020, 2021)))
    assert other_year.split_variance(2027, mark) == (none, 0.0)


def test_plain_sums_convert_at_the_tables_figures_and_between() -> None:
    assert all(weighted(old) == new for old, new in PAIRS)
    assert weighted(245) == pytest.approx(278.5)
    assert weighted(35) == pytest.approx(31.5)
    assert weighted(2500) == pytest.approx(4846 + 500 * (4846 - 3602) / 500)


@given(st.floats(0, 3000), st.floats(0, 3000))
def test_conversion_keeps_the_order(one: float, other: float) -> None:
    assert (one < other) <= (weighted(one) <= weighted(other))


def test_sums_of_groups_and_species() -> None:
    maple = {"swell": 190.0, "open": 340.0, "hardened": 800.0}
    assert sums_of(maple) == {"swell": 204.0, "open": 431.0}
    assert hardened_gap(maple) == 460.0
    # measured species outrank the group's and the list's own; swell keeps the group's proportion
    saccharum = sums_of(maple, "Acer saccharum", {"swell": 160.0, "open": 285.0})
    assert saccharum["open"] == 440.0 and saccharum["swell"] == pytest.approx(440.0 * 204 / 431)
    assert sums_of(maple, "Acer buergerianum", {"open": 290.0})["open"] == 344.0
    assert measured_open("Crataegus laevigata") == 461.0 and measured_open("Acer palmatum") is None
    assert sums_of({"swell": 140.0, "open": 260.0}, "Prunus × yedoensis")["flower"] == 410.0
    assert sums_of({}) == {} and hardened_gap({"swell": 220.0}) is None
    assert "open" not in sums_of({"swell": 220.0}, "Acer rubrum")


def test_what_sightings_of_a_season_share() -> None:
    known = weather_of(range(2026, 2028))
    cut = known.before(date(2027, 3, 1))
    assert warmth(weather=known).shared_variance(2027, running=False) == 6.25
    assert warmth(weather=cut).shared_variance(2027, running=True) == 6.25
    assert warmth(weather=cut).shared_variance(2027, running=False) > 6.25
    assert warmth().shared_variance(2027, running=True) >= SEASON_UNKNOWN
