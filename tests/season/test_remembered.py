"""Remembered marks: the band holds for kinds whose years scatter little and for those whose years scatter much."""

from __future__ import annotations

import random
import statistics

import pytest

from logbook.season.remembered import ONE_YEAR, TWO_YEARS, remembered


def test_one_and_two_years() -> None:
    assert remembered([100.0]) == (100.0, ONE_YEAR)
    assert remembered([100.0, 108.0]) == (104.0, TWO_YEARS)


def test_from_three_on_the_years_own_scatter_counts() -> None:
    calm, wild = remembered([100.0, 101.0, 102.0]), remembered([85.0, 101.0, 117.0])
    assert calm[0] == wild[0] == 101.0
    assert calm[1] < TWO_YEARS < wild[1]
    assert remembered([100.0] * 20)[1] < 4.0


@pytest.mark.parametrize("years", [1, 2, 3, 5, 10])
def test_the_band_holds(years: int) -> None:
    """Kinds with a spread of 4 to 9 days: four in five of the next years lie within, give or take."""
    chance = random.Random(years)
    held = []
    for _ in range(3000):
        sd = chance.uniform(4.0, 9.0)
        mean, band = remembered([chance.gauss(0, sd) for _ in range(years)])
        held.append(abs(chance.gauss(0, sd) - mean) <= band)
    assert 0.75 <= statistics.mean(held) <= 0.88, statistics.mean(held)
