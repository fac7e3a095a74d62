"""One mark of one tree, from sums and sightings to dates and reasons."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from logbook.collection.model import Normals
from logbook.collection.weather_file import Extremes
from logbook.season.climate import YEAR_DAYS, Climate, day_index
from logbook.season.estimator import Case, Estimator, Residual
from logbook.season.reasons import Reason
from logbook.season.spring import Habit, SpringMark, computed_day, spring_mark, why_absent
from logbook.season.warmth import Warmth
from logbook.season.warmth_sums import hardened_gap, sums_of
from logbook.season.weather import Weather

from ..conftest import INLAND, say

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
    assert say(mark.how) == "warmth and daylight summed from 1 Feb, from your monthly normals"


def test_what_was_logged_moves_it_and_says_so() -> None:
    mark = told("open", LOG)
    assert (mark.day - mark.computed).days == 4
    assert say(mark.how).endswith(", moved +4 days by 2 logged seasons")
    assert mark.shift.band < told("open").shift.band
    # hardened is counted from the computed open, and moved once
    hard = told("hardened", LOG)
    assert hard.computed == told("hardened").computed and (hard.day - hard.computed).days == 4


def test_its_own_sighting() -> None:
    own = Estimator([Residual("1", CASE, "open", -6.0)])
    mark = told("open", own, tag="1", today=date(2027, 5, 20))
    assert (mark.day - mark.computed).days == -6 and say(mark.how) == "seen on this tree"
    assert (mark.spread.late - mark.spread.early).days == 6
    opened = mark.day
    hard = told("hardened", own, tag="1", opened=opened)
    assert hard.computed == SITE.hardened(opened, 460.0) and hard.shift.days == 0.0
    assert say(hard.how).startswith("counted from ") and say(hard.how).endswith("when it opened")


def test_neighbours_are_named() -> None:
    kin = Estimator([Residual("9", CASE, "open", -6.0)])
    mark = told("open", kin, tag="1")
    assert mark.day < mark.computed and "seen this season on 9" in say(mark.how)


def test_not_seen_yet_is_only_for_marks_that_are_logged() -> None:
    day = told("open").computed
    late = day + timedelta(days=5)
    assert told("open", today=late).spread == told("open").spread
    waiting = told("open", LOG, today=late)
    assert waiting.spread.early > late and say(waiting.how).endswith("not seen yet")
    assert "not seen yet" not in say(told("swell", LOG, today=late).how)


def test_this_years_weather() -> None:
    known = warm_spring()
    whole = told("open", site=Warmth(CLIMATE, 47.9, known))
    assert whole.day < told("open").day
    assert "summed from 1 Feb, from this year's weather; your monthly normals alone give" in say(whole.how)
    part = told("open", site=Warmth(CLIMATE, 47.9, known.before(date(2027, 3, 11))))
    assert whole.day < part.day < told("open").day
    assert "from this year's weather to 10 Mar and your monthly normals, which alone give" in say(part.how)


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
    few = Warmth(Climate(replace(INLAND, guessed="from four numbers")), 47.9)
    mark = told("open", site=few)
    assert say(mark.how).endswith("from your monthly normals, guessed from four numbers")
    assert mark.shift.variance == pytest.approx(told("open").shift.variance + 16.0)


def why(site: Warmth, habit: Habit, name: str) -> str:
    found = spring_mark(site, NOTHING, habit, name, CASE)
    assert isinstance(found, Reason)
    return say(found)


def test_why_there_is_no_mark() -> None:
    warm = Warmth(Climate(Normals((15.0,) * 12, (25.0,) * 6 + (32.0,) * 6)), 28.0)
    assert "winter too warm" in why(warm, HABIT, "open")
    alike = Warmth(Climate(Normals((23.0,) * 12, (31.0,) * 12)), 1.0)
    assert "all months are alike" in why(alike, Habit(HABIT.sums, HABIT.hardened_gap, "no"), "open")
    assert "follows warmth" in why(SITE, Habit({}), "open")
    assert "pushes" in why(SITE, Habit({"swell": 247.0}), "hardened")
    assert "has no 'flower'" in why(SITE, HABIT, "flower") and computed_day(SITE, HABIT, "flower", 2027) is None
    assert why_absent(SITE, HABIT, "open") is None
    cold = Warmth(Climate(Normals((-30.0,) * 12, (-10.0,) * 12)), 60.0)
    assert "too cool" in why(cold, HABIT, "open")
