"""Day length against the astral package, an independent almanac."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from astral import Observer
from astral.sun import sunrise, sunset

from logbook.season.solar import day_length, midsummer, midwinter_before

# The Astronomical Almanac's low-precision sun (from memory); minutes of difference allowed, by latitude
ALLOWED = [(0.0, 1.0), (20.0, 1.0), (-33.9, 1.0), (45.0, 1.0), (-45.0, 1.0), (55.0, 1.5), (64.0, 2.5)]


@pytest.mark.parametrize(("latitude", "minutes"), ALLOWED)
def test_against_astral(latitude: float, minutes: float) -> None:
    here = Observer(latitude=latitude, longitude=0.0)
    worst = 0.0
    for step in range(0, 365, 7):
        day = date(2026, 1, 1) + timedelta(days=step)
        up, down = sunrise(here, day), sunset(here, day)
        theirs = (down - up).total_seconds() / 60 % 1440
        worst = max(worst, abs(day_length(latitude, day) * 60 - theirs))
    assert worst <= minutes


@pytest.mark.parametrize("southern", [False, True])
def test_solstices_are_the_longest_and_shortest_days(southern: bool) -> None:
    latitude = -50.0 if southern else 50.0
    summer, winter = midsummer(2026, southern), midwinter_before(2026, southern)
    for shift in (-20, 20):
        assert day_length(latitude, summer) > day_length(latitude, summer + timedelta(days=shift))
        assert day_length(latitude, winter) < day_length(latitude, winter + timedelta(days=shift))
