"""Sun and evapotranspiration against FAO-56 worked examples and the pyet package."""

from __future__ import annotations

import pandas
import pyet
import pytest

from logbook.season.solar import hargreaves, sky


def test_example_8_radiation() -> None:
    """FAO-56 Example 8: 20° S, 3 September (J = 246)."""
    found = sky(-20.0, 246)
    assert found.distance == pytest.approx(0.985, abs=0.001)
    assert found.declination == pytest.approx(0.120, abs=0.001)
    assert found.sunset == pytest.approx(1.527, abs=0.001)
    assert found.radiation == pytest.approx(32.2, abs=0.1)


def test_example_9_day_length() -> None:
    """FAO-56 Example 9: the same day has 11.7 hours."""
    assert sky(-20.0, 246).hours == pytest.approx(11.7, abs=0.05)


def test_example_20_hargreaves() -> None:
    """FAO-56 Example 20: Lyon (45°43' N), July, 14.8 to 26.6 °C: 5.0 mm a day (from memory)."""
    assert hargreaves(45.72, 196, 14.8, 26.6) == pytest.approx(5.0, abs=0.1)


@pytest.mark.parametrize("latitude", [-35.0, 0.0, 20.0, 45.0, 60.0])
def test_against_pyet(latitude: float) -> None:
    """pyet (MIT), its hargreaves method, over a year of days."""
    days = pandas.date_range("2025-01-01", "2025-12-31", freq="7D")
    tmin = pandas.Series([8.0 + (i % 9) for i in range(len(days))], days)
    tmax = tmin + 11.0
    theirs = pyet.hargreaves((tmin + tmax) / 2, tmax, tmin, latitude * 3.141592653589793 / 180)
    for day, value in theirs.items():
        assert hargreaves(latitude, day.dayofyear, tmin[day], tmax[day]) == pytest.approx(value, rel=0.01, abs=0.02)
