"""Nights under any limit: the closed form, the order of dates, and what a shelter budget promises."""

from __future__ import annotations

import math
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.collection.model import Normals
from logbook.season.climate import Climate, day_index
from logbook.season.frost_risk import (
    SPELLS,
    first_frosts,
    last_frosts,
    night_under,
    shelter_budget,
)

from ..conftest import INLAND

CLIMATE = Climate(INLAND)
SUMMER, WINTER, NEXT = date(2026, 6, 21), date(2026, 12, 21), date(2027, 6, 21)
limits = st.floats(-25, 3)


def test_one_night_is_the_normal_tail() -> None:
    """scipy.stats.norm; spells to the power one half."""
    day = date(2027, 2, 10)
    at = day_index(day)
    stays = stats.norm.cdf((CLIMATE.tmin[at] + 8.0) / CLIMATE.sigma_min[at])
    assert night_under(CLIMATE, -8.0, day, day) == pytest.approx(1 - stays**SPELLS)


@given(limits, st.integers(0, 300), st.integers(0, 60))
def test_nights_multiply(limit: float, start: int, length: int) -> None:
    first = SUMMER + timedelta(days=start)
    middle = first + timedelta(days=length)
    last = middle + timedelta(days=20)
    both = night_under(CLIMATE, limit, first, last)
    parts = 1 - (1 - night_under(CLIMATE, limit, first, middle)) * (
        1 - night_under(CLIMATE, limit, middle + timedelta(days=1), last)
    )
    assert both == pytest.approx(parts, abs=1e-9)


@given(limits, limits)
def test_a_harder_limit_is_met_less_often(one: float, other: float) -> None:
    hard, soft = sorted((one, other))
    assert night_under(CLIMATE, hard, SUMMER, NEXT) <= night_under(CLIMATE, soft, SUMMER, NEXT) + 1e-12


def test_a_limit_by_day_is_the_limit_of_that_day() -> None:
    assert night_under(CLIMATE, lambda _: -5.0, SUMMER, NEXT) == night_under(CLIMATE, -5.0, SUMMER, NEXT)


def test_frost_dates_come_in_order() -> None:
    spring, autumn = last_frosts(CLIMATE, WINTER, NEXT), first_frosts(CLIMATE, SUMMER, WINTER)
    assert spring.tenth and spring.half and spring.nine_tenths and spring.tenth < spring.half < spring.nine_tenths
    assert autumn.tenth and autumn.half and autumn.nine_tenths and autumn.tenth < autumn.half < autumn.nine_tenths


def test_frost_dates_are_what_they_say() -> None:
    """After the 90 % day at most one year in ten has frost; on the day before it is still more than that."""
    day = last_frosts(CLIMATE, WINTER, NEXT).nine_tenths
    assert day
    assert night_under(CLIMATE, 0.0, day + timedelta(days=1), NEXT) <= 0.1 < night_under(CLIMATE, 0.0, day, NEXT)
    first = first_frosts(CLIMATE, SUMMER, WINTER).half
    assert first
    before = first - timedelta(days=1)
    assert night_under(CLIMATE, 0.0, SUMMER, first) >= 0.5 > night_under(CLIMATE, 0.0, SUMMER, before)


def test_dates_that_do_not_exist_are_none() -> None:
    warm = Climate(Normals((20.0,) * 12, (30.0,) * 12))
    assert last_frosts(warm, WINTER, NEXT).half is None and first_frosts(warm, SUMMER, WINTER).tenth is None
    # a coast with frost in some winters: a careful date, but no usual one
    coast = Climate(
        Normals(
            (6.5, 6.5, 8, 10, 13, 16, 18, 18, 16, 13, 9, 7),
            (13, 13, 15, 17, 20, 24, 26, 26, 24, 20, 16, 13),
            coldest_night=2.5,
        )
    )
    found = last_frosts(coast, WINTER, NEXT)
    assert found.half is None and found.nine_tenths is not None


@given(limits)
def test_at_most_a_tenth_is_ever_borne_outside(limit: float) -> None:
    budget = shelter_budget(CLIMATE, limit, SUMMER, NEXT)
    last = NEXT - timedelta(days=1)
    assert budget.whole_risk == pytest.approx(night_under(CLIMATE, limit, SUMMER, last))
    if budget.in_day is None or budget.out_day is None:
        assert budget.whole_risk < 0.10 and budget.advice == "none"
        return
    before = night_under(CLIMATE, limit, SUMMER, budget.in_day - timedelta(days=1)) if budget.in_day > SUMMER else 0.0
    after = night_under(CLIMATE, limit, budget.out_day + timedelta(days=1), last) if budget.out_day < last else 0.0
    assert budget.in_day <= budget.out_day
    assert before < 0.05 and after < 0.05 and 1 - (1 - before) * (1 - after) <= 0.10
    assert budget.whole_risk >= 0.10


def test_stay_in_is_for_nights_that_go_under_once_in_ten() -> None:
    budget = shelter_budget(CLIMATE, -8.0, SUMMER, NEXT)
    assert budget.stay_in_days and budget.advice == "shelter"
    for day in budget.stay_in_days:
        at = day_index(day)
        assert stats.norm.cdf((-8.0 - CLIMATE.tmin[at]) / CLIMATE.sigma_min[at]) > 0.10
    assert budget.in_day and budget.in_day < budget.stay_in_days[0]


def test_words_for_a_winter() -> None:
    hard = shelter_budget(CLIMATE, -40.0, SUMMER, NEXT)
    assert hard.advice == "none" and hard.in_day is None and not hard.stay_in_days
    found = {shelter_budget(CLIMATE, float(limit), SUMMER, NEXT).advice for limit in range(-25, 0)}
    assert found == {"none", "place ready", "shelter"}
    ready = next(
        b
        for limit in range(-25, 0)
        if (b := shelter_budget(CLIMATE, float(limit), SUMMER, NEXT)).advice == "place ready"
    )
    assert 2 <= ready.one_in <= 10 and math.isclose(ready.one_in, 1 / ready.whole_risk, abs_tol=0.5)


def test_the_south() -> None:
    turned = Climate(
        Normals(
            INLAND.tmin[6:] + INLAND.tmin[:6], INLAND.tmax[6:] + INLAND.tmax[:6], coldest_night=INLAND.coldest_night
        )
    )
    budget = shelter_budget(turned, -8.0, date(2026, 12, 21), date(2027, 12, 21))
    assert budget.in_day and budget.out_day and 4 <= budget.in_day.month <= 7 <= budget.out_day.month <= 10
