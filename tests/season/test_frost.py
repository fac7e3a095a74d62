"""Frost marks: order by risk, the band between one year in ten and nine, what does not exist, and the grower's own dates."""

from __future__ import annotations

from datetime import date

from logbook.collection.model import Frost, Normals, Site
from logbook.horticulture.window_syntax import MarkName
from logbook.season.climate import Climate
from logbook.season.frost import OWN_DATE_MARGIN_DAYS, FrostDates
from logbook.season.frost_risk import last_frosts
from logbook.season.mark import Absent, Mark
from logbook.season.places import WHOLE_YEAR

from ..conftest import INLAND, say

NAMES = (MarkName.LAST_FROST, MarkName.LAST_FROST_10, MarkName.FIRST_FROST_10, MarkName.FIRST_FROST)
# a coast where about one winter in three has frost
COAST = Normals(
    (6, 6, 8, 10, 13, 17, 20, 20, 17, 14, 10, 7), (13, 14, 16, 18, 22, 26, 29, 29, 26, 22, 17, 14), coldest_night=1.5
)

NO_DATES = Frost()


def marks(normals: Normals | None = INLAND, frost: Frost = NO_DATES, **rest: object) -> dict[MarkName, Mark | Absent]:
    dates = FrostDates(Site(47.9, normals=normals, frost=frost), Climate(normals) if normals else None, **rest)  # type: ignore[arg-type]
    return {name: dates.mark(name, 2027) for name in NAMES}


def test_the_more_careful_date_is_later_in_spring_and_earlier_in_autumn() -> None:
    days = [mark.day for mark in marks().values() if isinstance(mark, Mark)]
    assert len(days) == 4 and days == sorted(days)


def test_the_band_is_that_of_the_model() -> None:
    chances = last_frosts(Climate(INLAND), date(2026, 12, 21), date(2027, 6, 21))
    usual, careful = marks()[MarkName.LAST_FROST], marks()[MarkName.LAST_FROST_10]
    assert isinstance(usual, Mark) and isinstance(careful, Mark)
    assert (usual.early, usual.day, usual.late) == (chances.tenth, chances.half, chances.nine_tenths)
    assert careful.day == chances.nine_tenths and careful.band == 0


def test_where_frost_never_comes_or_mostly_not() -> None:
    warm = marks(Normals((20.0,) * 12, (30.0,) * 12))
    assert all(isinstance(mark, Absent) for mark in warm.values())
    milder = tuple(t + 2.0 for t in COAST.tmin)
    coast = marks(Normals(milder, COAST.tmax, coldest_night=1.5))
    assert isinstance(coast[MarkName.LAST_FROST], Absent) and isinstance(coast[MarkName.LAST_FROST_10], Mark)


def test_without_the_coldest_night_it_is_said_and_asked_for() -> None:
    found = marks(Normals(INLAND.tmin, INLAND.tmax))[MarkName.LAST_FROST]
    assert isinstance(found, Mark) and "12 to 14 days off: give coldest_night" in say(found.how)


def test_an_end_that_does_not_exist_in_every_year() -> None:
    """Frost in about three winters of four: there is a usual day, and none for one year in ten."""
    some = Normals(COAST.tmin, COAST.tmax, coldest_night=-0.3)
    found = marks(some)[MarkName.LAST_FROST]
    assert isinstance(found, Mark) and found.or_none and found.early is None and found.late is not None


def test_own_dates_keep_the_models_distances() -> None:
    usual = marks()[MarkName.LAST_FROST]
    own = marks(frost=Frost(last=(5, 10)))
    mine, careful = own[MarkName.LAST_FROST], own[MarkName.LAST_FROST_10]
    assert isinstance(mine, Mark) and isinstance(usual, Mark) and isinstance(careful, Mark)
    assert usual.late and mine.day == date(2027, 5, 10) and careful.day - mine.day == usual.late - usual.day
    bare = marks(None, Frost(last=(5, 10)))[MarkName.LAST_FROST]
    assert isinstance(bare, Mark) and bare.is_even and bare.band == OWN_DATE_MARGIN_DAYS


def test_places_that_frost_does_not_reach() -> None:
    assert all(isinstance(mark, Absent) for mark in marks(sheltered=WHOLE_YEAR).values())
    tunnel = marks(sheltered=((11, 1), (4, 15)))
    usual = marks()
    last, first = tunnel[MarkName.LAST_FROST], tunnel[MarkName.FIRST_FROST]
    assert isinstance(last, Mark) and last.day > date(2027, 4, 15) and isinstance(usual[MarkName.FIRST_FROST], Mark)
    assert isinstance(first, Mark) and first.day < date(2027, 11, 1)


def test_guessed_normals_put_the_ends_further_out() -> None:
    plain = marks()[MarkName.LAST_FROST]
    few = Normals(INLAND.tmin, INLAND.tmax, coldest_night=-14.0, guessed="from four numbers")
    wide = marks(few)[MarkName.LAST_FROST]
    assert isinstance(plain, Mark) and isinstance(wide, Mark) and plain.day == wide.day and wide.band > plain.band
