"""The estimator of shifts and bands: worked values, the plain matrix formula as oracle, and what must hold for any log."""

from __future__ import annotations

import math
import random
import time
from datetime import date

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy import stats

from logbook.season.estimator import (
    FAR_DAYS,
    GARDEN,
    LEAF_FALL_SCATTER,
    SCATTER,
    SEASON,
    SPECIES,
    WITHIN_80,
    Case,
    Estimator,
    Residual,
    Shift,
    cholesky,
    not_seen_yet,
    spread_of,
)

A, B = "Acer palmatum", "Fagus crenata"


def seen(species: str, season: int, days: float, tag: str = "1", mark: str = "open", place: str = "") -> Residual:
    return Residual(tag, Case(place, species, season), mark, days)


def asked(log: list[Residual], species: str = A, season: int = 2027, place: str = "") -> Shift:
    return Estimator(log).shift("open", Case(place, species, season))


TWO = [seen(A, 2026, 8), seen(A, 2025, 4)]
OTHER = [seen(B, 2026, 1, "2"), seen(B, 2025, 1, "2"), seen(B, 2027, -6, "2")]


@pytest.mark.parametrize(
    ("log", "days", "band"),
    [([], 0.0, 11.099), (TWO[:1], 4.373, 9.294), (TWO, 4.241, 8.694), (TWO + OTHER, -0.025, 6.015)],
    ids=["nothing", "one spring", "two springs", "another species early this spring"],
)
def test_worked_values(log: list[Residual], days: float, band: float) -> None:
    """Worked with the plain formula, variances 16, 25, 25, 9."""
    found = asked(log)
    assert (found.days, found.band) == (pytest.approx(days, abs=0.001), pytest.approx(band, abs=0.001))


def covariance(a: Case, b: Case, season: dict[int, float]) -> float:
    return (
        GARDEN * (a.place == b.place)
        + SPECIES * (a.species == b.species)
        + season.get(a.season, SEASON) * (a.season == b.season)
    )


def plain(log: list[Residual], case: Case, season: dict[int, float]) -> tuple[float, float]:
    """Mean and variance by k′(C + eI)⁻¹r, from any textbook on best linear prediction."""
    cells: dict[Case, list[float]] = {}
    for r in log:
        cells.setdefault(r.case, []).append(r.days)
    cases = list(cells)
    c = np.array([[covariance(a, b, season) for b in cases] for a in cases]) + SCATTER * np.eye(len(cases))
    k = np.array([covariance(case, b, season) for b in cases])
    w = np.linalg.solve(c, k)
    return float(w @ [np.mean(cells[a]) for a in cases]), float(covariance(case, case, season) - w @ k + SCATTER)


places, kinds, years = st.sampled_from(["", "tunnel"]), st.sampled_from("abcd"), st.integers(2020, 2024)
cases = st.builds(Case, places, kinds, years)
# a tree stands in one place and is of one kind: its tag says both
residuals = st.builds(
    lambda case, n, days, mark: Residual(f"{case.place}{case.species}{n}", case, mark, days),
    cases,
    st.integers(1, 2),
    st.floats(-30, 30),
    st.sampled_from(["swell", "open", "hardened"]),
)
logs = st.lists(residuals, max_size=25, unique_by=lambda r: (r.tag, r.mark, r.case.season))


@given(logs, cases, st.dictionaries(years, st.just(6.25)))
def test_agrees_with_the_plain_formula(log: list[Residual], case: Case, season: dict[int, float]) -> None:
    one_a_tree = list({r.case: r for r in log}.values())
    if not one_a_tree:
        return
    found = Estimator(one_a_tree, season).shift("open", case)
    days, variance = plain(one_a_tree, case, season)
    assert found.days == pytest.approx(days, abs=1e-8) and found.variance == pytest.approx(variance, abs=1e-8)


@given(logs, st.randoms())
def test_the_order_of_the_log_does_not_matter(log: list[Residual], chance: random.Random) -> None:
    turned = log[:]
    chance.shuffle(turned)
    for case in {r.case for r in log}:
        one, other = Estimator(log).shift("swell", case), Estimator(turned).shift("swell", case)
        assert (one.days, one.variance) == (other.days, other.variance)


@given(logs, residuals, st.sampled_from(["swell", "open", "hardened"]), years)
def test_one_more_sighting_never_widens_its_own_trees_band(
    log: list[Residual], more: Residual, mark: str, season: int
) -> None:
    case = more.case._replace(season=season)
    before = Estimator(log).shift(mark, case, more.tag)
    after = Estimator([*log, more]).shift(mark, case, more.tag)
    assert after.band <= before.band + 1e-9


def test_the_trees_own_sighting_wins() -> None:
    found = Estimator([*TWO, seen(A, 2027, -9)]).shift("open", Case("", A, 2027), "1")
    assert found.own and found.days == -9 and found.band == pytest.approx(3.0)
    neighbour = Estimator([*TWO, seen(A, 2027, -9)]).shift("open", Case("", A, 2027), "7")
    assert not neighbour.own and neighbour.kin == ("1",) and -9 < neighbour.days < 0


def test_of_two_sightings_of_one_sign_the_earlier_counts() -> None:
    assert asked([seen(A, 2026, 8), seen(A, 2026, 14)]).days == asked([seen(A, 2026, 8)]).days


def test_two_months_off_teaches_nothing_and_is_named() -> None:
    slip = seen(A, 2024, FAR_DAYS + 1.0)
    found = Estimator([*TWO, slip])
    assert found.far == (slip,)
    assert found.shift("open", Case("", A, 2027)) == Estimator(TWO).shift("open", Case("", A, 2027))


def test_a_tunnel_never_moves_the_trees_outside() -> None:
    """Of early leaves under cover only what is the species' or the season's own reaches the trees outside, and a part of that."""
    early = [seen(A, y, -20, "9", place="tunnel") for y in (2024, 2025, 2026)]
    inside, outside = asked(early, place="tunnel"), asked(early)
    assert inside.days < -13 and outside.days > inside.days + 4
    both = [*early, *(seen(A, y, 0, "1") for y in (2024, 2025, 2026))]
    assert abs(asked(both).days) < 3.0


def test_many_trees_of_one_kind_count_as_one() -> None:
    crowd = [seen(A, 2026, 8, str(n)) for n in range(30)]
    one, many = asked(crowd[:1]), asked(crowd)
    assert (many.days, many.variance) == (pytest.approx(one.days), pytest.approx(one.variance))


def test_families_keep_to_themselves() -> None:
    found = Estimator(TWO)
    assert found.shift("swell", Case("", A, 2027)).days == found.shift("open", Case("", A, 2027)).days
    assert found.shift("flower", Case("", A, 2027)).days == 0.0
    fall = found.shift("leaf fall", Case("", A, 2027))
    assert fall.variance == pytest.approx(GARDEN + SPECIES + SEASON + LEAF_FALL_SCATTER)


def test_weather_to_come_is_added() -> None:
    found = Estimator(TWO, {2027: 6.25})
    near, far = found.shift("open", Case("", A, 2027)), found.shift("open", Case("", A, 2027), ahead=9.184)
    assert far.days == near.days and far.variance == pytest.approx(near.variance + 9.184)
    assert near.band < Estimator(TWO).shift("open", Case("", A, 2027)).band


def test_what_was_logged() -> None:
    found = Estimator(TWO)
    assert found.logged("open") and found.logged("open", tag="1") and found.logged("open", species=A)
    assert not found.logged("swell") and not found.logged("open", tag="2") and not found.logged("flower")


def test_not_seen_yet() -> None:
    assert not_seen_yet(110, 6, 108) == pytest.approx((109.4, 113.2, 119.3), abs=0.05)


@given(st.floats(-20, 20), st.floats(1, 12), st.floats(-60, 60))
def test_not_seen_yet_against_scipy(mean: float, sd: float, last: float) -> None:
    """scipy.stats.truncnorm, cut off at half a day after the last look."""
    found = not_seen_yet(mean, sd, last)
    assert found[0] <= found[1] <= found[2] and found[0] >= last + 0.5
    if (last + 0.5 - mean) / sd < 8:
        theirs = stats.truncnorm.ppf([0.1, 0.5, 0.9], (last + 0.5 - mean) / sd, np.inf, mean, sd)
        assert found == pytest.approx(tuple(theirs), abs=1e-3)


def test_long_after_it_should_have_come_the_band_stays_behind_today() -> None:
    assert not_seen_yet(0, 3, 400) == (400.5, 400.5, 400.5)


def test_dates_by_their_chances() -> None:
    shift = Shift(3.4, (9.0 / WITHIN_80) ** 2)
    found = spread_of(date(2027, 4, 10), shift)
    assert (found.early, found.middle, found.late) == (date(2027, 4, 4), date(2027, 4, 13), date(2027, 4, 22))
    waiting = spread_of(date(2027, 4, 10), shift, date(2027, 4, 15))
    assert waiting.not_seen and waiting.early >= date(2027, 4, 16) and waiting.late > found.late
    own = Shift(-2.0, 5.0, own=True)
    assert not spread_of(date(2027, 4, 10), own, date(2027, 4, 20)).not_seen


def test_cholesky_against_numpy() -> None:
    rng = np.random.default_rng(7)
    half = rng.normal(size=(12, 12))
    matrix = half @ half.T + np.eye(12)
    theirs = np.linalg.cholesky(matrix)
    for n, row in enumerate(cholesky(matrix.tolist())):
        assert row == pytest.approx(list(theirs[n, : n + 1]))


def test_six_hundred_sightings_are_solved_at_once() -> None:
    """Against the same machine's own speed: no more than twenty times a plain loop of 70³/3 multiplications in Python."""
    rng = random.Random(3)
    log = [
        seen(f"s{t % 40}", 2000 + y, rng.gauss(0, 8), str(t), place=f"p{t % 3}") for t in range(30) for y in range(20)
    ]
    begun = time.perf_counter()
    total = 0.0
    for n in range(70**3 // 3):
        total += n * 1.5
    loop = time.perf_counter() - begun
    best = math.inf
    for _ in range(3):
        begun = time.perf_counter()
        Estimator(log)
        best = min(best, time.perf_counter() - begun)
    assert total > 0 and best < 20 * loop
