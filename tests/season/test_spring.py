"""One mark of one tree, from sums and sightings to dates and reasons."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.model import Normals
from logbook.collection.weather_file import Extremes
from logbook.season.climate import YEAR_DAYS, Climate, day_index
from logbook.season.estimator import Case, Estimator, Residual
from logbook.season.spring import Habit, SpringMark, computed_day, spring_mark, why_absent
from logbook.season.warmth import Warmth
from logbook.season.warmth_sums import hardened_gap, sums_of
from logbook.season.weather import Weather

from ..conftest import INLAND

CLIMATE = Climate(INLAND)
MAPLE = {"swell": 190.0, "open": 340.0, "hardened": 800.0}
HABIT = Habit(sums_of(MAPLE), hardened_gap(MAPLE))
SITE = Warmth(CLIMATE, 47.9)
CASE = Case("", "Acer palmatum", 2027)
NOTHING = Estimator([])
LOG = Estimator([Residual("1", CASE._replace(season=y), "open", d) for y, d in ((2025, 4.0), (2026, 8.0))])


def told(name: str, estimator: Estimator = NOTHING, site: Warmth = SITE, **rest: object) -> SpringMark:
    found = spring_mark(site, estimator, HABIT, name, CASE, **rest)  # type: ignore[arg-type]
    assert isinstance(found, SpringMark)
    return found


def warm_spring() -> Weather:
    days = {}
    for n in range(YEAR_DAYS):
        day = date(2027, 1, 1) + timedelta(days=n)
        days[day] = Extremes(CLIMATE.tmin[day_index(day)] + 5, CLIMATE.tmax[day_index(day)] + 5)
    return Weather(days)


def test_marks_come_in_order() -> None:
    days = [told(name).day for name in ("swell", "open", "hardened")]
    assert days == sorted(days) and days[2] - days[1] >= timedelta(days=42)


def test_unlogged() -> None:
    mark = told("open")
    assert mark.day == mark.computed == SITE.reaching(2027, 431.0)
    assert mark.spread.early < mark.day < mark.spread.late
    assert mark.reasons == ("warmth and daylight summed from 1 Feb, from your monthly normals",)


def test_what_was_logged_moves_it_and_says_so() -> None:
    mark = told("open", LOG)
    assert (mark.day - mark.computed).days == 4
    assert mark.reasons[-1] == "moved +4 days by 2 logged seasons"
    assert mark.shift.band < told("open").shift.band
    # hardened is counted from the computed open, and moved once
    hard = told("hardened", LOG)
    assert hard.computed == told("hardened").computed and (hard.day - hard.computed).days == 4


def test_its_own_sighting() -> None:
    own = Estimator([Residual("1", CASE, "open", -6.0)])
    mark = told("open", own, tag="1", today=date(2027, 5, 20))
    assert (mark.day - mark.computed).days == -6 and mark.reasons == ("seen on this tree",)
    assert (mark.spread.late - mark.spread.early).days == 6
    opened = mark.day
    hard = told("hardened", own, tag="1", opened=opened)
    assert hard.computed == SITE.hardened(opened, 460.0) and hard.shift.days == 0.0
    assert "counted from the day it opened" in hard.reasons


def test_neighbours_are_named() -> None:
    kin = Estimator([Residual("9", CASE, "open", -6.0)])
    mark = told("open", kin, tag="1")
    assert mark.day < mark.computed and "seen this season on 9" in mark.reasons


def test_not_seen_yet_is_only_for_marks_that_are_logged() -> None:
    day = told("open").computed
    late = day + timedelta(days=5)
    assert told("open", today=late).spread == told("open").spread
    waiting = told("open", LOG, today=late)
    assert waiting.spread.early > late and "not seen yet" in waiting.reasons
    assert told("swell", LOG, today=late).reasons[-1] != "not seen yet"


def test_this_years_weather() -> None:
    known = warm_spring()
    whole = told("open", site=Warmth(CLIMATE, 47.9, known))
    assert whole.day < told("open").day and whole.reasons == (
        "warmth and daylight summed from 1 Feb, from this year's weather",
    )
    part = told("open", site=Warmth(CLIMATE, 47.9, known.before(date(2027, 3, 11))))
    assert whole.day < part.day < told("open").day
    assert part.reasons[0].endswith("from this year's weather to 10 Mar and your monthly normals")


def test_weather_narrows_the_band() -> None:
    """The estimator is built with what each season's weather leaves open."""
    known = warm_spring()
    widths = []
    for site in (SITE, *(Warmth(CLIMATE, 47.9, known.before(date(2027, m, 1))) for m in (3, 4, 5))):
        estimator = Estimator([], lambda season, site=site: site.shared_variance(season, running=True))  # type: ignore[misc]
        widths.append(told("open", estimator, site).shift.band)
    # a warm February moves the mark itself to an earlier day, where each day gains a little less
    assert widths[1] < widths[0] + 0.1
    assert widths[1:] == sorted(widths[1:], reverse=True) and widths[-1] < widths[0] - 1.5


def test_guessed_normals_say_so_and_widen_the_band() -> None:
    mark = told("open", guessed="from four numbers")
    assert mark.reasons[0].endswith("from your monthly normals from four numbers")
    assert mark.shift.variance == pytest.approx(told("open").shift.variance + 16.0)


def test_why_there_is_no_mark() -> None:
    warm = Warmth(Climate(Normals((15.0,) * 12, (25.0,) * 6 + (32.0,) * 6)), 28.0)
    assert "winter too warm" in str(spring_mark(warm, NOTHING, HABIT, "open", CASE))
    assert "follows warmth" in why_absent(SITE, Habit({}), "open")
    assert "pushes" in why_absent(SITE, Habit({"swell": 247.0}), "hardened")
    assert why_absent(SITE, HABIT, "flower") and computed_day(SITE, HABIT, "flower", 2027) is None
    cold = Warmth(Climate(Normals((-30.0,) * 12, (-10.0,) * 12)), 60.0)
    assert "too cool" in str(spring_mark(cold, NOTHING, HABIT, "open", CASE))
