"""Known days: what is cut off at today, what is missing, months and coldest nights."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.weather_file import Extremes
from logbook.season.weather import Weather

DAYS = {date(2026, 11, 1) + timedelta(days=n): Extremes(-n / 10, n / 10) for n in range(200)}
KNOWN = Weather(DAYS)


def test_today_is_not_yet_known() -> None:
    cut = KNOWN.before(date(2026, 11, 20))
    assert cut.last_day == date(2026, 11, 19) and len(cut) == 19
    assert not Weather() and Weather().last_day is None and Weather().missing(date(2027, 1, 1), date(2027, 1, 2))


def test_missing_days_are_named() -> None:
    day = date(2027, 1, 3)
    holed = Weather({d: e for d, e in DAYS.items() if d != day})
    assert holed.missing(date(2027, 1, 1), date(2027, 1, 31)) == (day,)
    assert KNOWN.on(day) == DAYS[day] and holed.on(day) is None


def test_months_with_few_days_have_no_mean() -> None:
    months = KNOWN.before(date(2027, 1, 15)).months()
    assert set(months) == {(2026, 11), (2026, 12)}
    assert months[2026, 11].tmax == pytest.approx(sum(n / 10 for n in range(30)) / 30)


def test_coldest_night_of_a_whole_winter() -> None:
    assert KNOWN.coldest_nights() == {2027: pytest.approx(-15.0)}
    assert KNOWN.before(date(2027, 1, 15)).coldest_nights() == {}
