"""Season marks: order, hemispheres, what a site does not have."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import Normals, Settings
from logbook.horticulture.loader import shipped_knowledge
from logbook.season.mark import Absent, Mark
from logbook.season.site_year import SiteYear

from ..conftest import INLAND, mirrored, say, site_year

GROUPS = tuple(shipped_knowledge().groups)
EQUATOR = Normals((23.0,) * 12, (31.0,) * 12)
ALPINE = Normals((-9, -9, -6, -3, 1, 4, 6, 6, 3, 0, -5, -8), (-2, -1, 2, 5, 9, 12, 14, 14, 11, 7, 2, -1))
COAST = Normals((8, 8, 9, 11, 14, 17, 20, 20, 18, 15, 11, 9), (16, 17, 19, 21, 24, 28, 31, 31, 28, 24, 20, 17))


def days(site: SiteYear, group: str, season: int = 2027) -> dict[str, date]:
    names = ("swell", "open", "hardened", "growth end", "leaf fall")
    return {n: m.day for n in names if isinstance(m := site.marks.mark(group, n, season), Mark)}


@pytest.mark.parametrize("group", GROUPS)
def test_marks_come_in_order(group: str) -> None:
    found = list(days(site_year(), group).values())
    assert found == sorted(found)


def test_maple_opens_near_the_measured_warmth() -> None:
    """Harvard Forest hf003 (J. O'Keefe, CC BY): bud break of three maples at 280 to 340 °C·d from 1 March above 0 °C."""
    site = site_year()
    assert site.climate is not None
    swell, opened = (site.marks.mark("maple", n, 2027) for n in ("swell", "open"))
    assert isinstance(swell, Mark) and isinstance(opened, Mark)
    assert 250 <= site.climate.sum_between(date(2027, 3, 1), opened.day + timedelta(days=1), 0.0) <= 360


@pytest.mark.parametrize("group", [g for g in GROUPS if g != "tropical"])
def test_the_other_hemisphere_is_half_a_year_away(group: str) -> None:
    north, south = days(site_year(), group), days(site_year(mirrored(INLAND), -47.9), group)
    assert north.keys() == south.keys()
    for name, day in north.items():
        assert abs((south[name] - day).days - 182.6) <= 4, name


def test_no_winter_no_dates_for_trees_that_need_one() -> None:
    site = site_year(EQUATOR, 1.0)
    mark = site.marks.mark("maple", "swell", 2027)
    assert isinstance(mark, Absent) and "winter too warm" in say(mark.why)
    assert isinstance(site.marks.mark("maple", "first frost", 2027), Absent)
    end = site.marks.mark("maple", "growth end", 2027)
    assert isinstance(end, Mark) and "stay warm" in say(end.how)


def test_mild_winters_start_earlier_with_a_wider_band() -> None:
    mark = site_year(COAST, 40.8).marks.mark("maple", "swell", 2027)
    assert isinstance(mark, Mark)
    assert mark.band == 21 and mark.day < date(2027, 3, 15)


def test_alpine_summers_may_be_too_cool() -> None:
    site = site_year(ALPINE, 46.5)
    end = site.marks.mark("spruce", "growth end", 2027)
    assert isinstance(end, Mark)
    for name in ("swell", "open", "hardened"):
        mark = site.marks.mark("spruce", name, 2027)
        assert isinstance(mark, Absent) or mark.day.year == 2027


def test_own_dates_win_and_say_so() -> None:
    site = site_year(marks={"maple": {"swell": (3, 20)}})
    mark = site.marks.mark("maple", "swell", 2027)
    assert isinstance(mark, Mark)
    assert (mark.day, say(mark.how)) == (date(2027, 3, 20), "your own date in collection.yaml")


def test_without_a_site_nothing_is_guessed() -> None:
    site = SiteYear(Settings("bare"), shipped_knowledge())
    assert all(
        isinstance(site.marks.mark(g, n, 2027), Absent) for g in GROUPS for n in ("swell", "growth end", "last frost")
    )


@given(st.dates(date(2020, 1, 1), date(2030, 12, 31)), st.sampled_from([47.9, -47.9]))
def test_every_day_belongs_to_one_season(day: date, latitude: float) -> None:
    site = site_year(INLAND if latitude > 0 else mirrored(INLAND), latitude)
    season = site.calendar.season_of(day)
    assert site.calendar.season_start(season) <= day < site.calendar.season_start(season + 1)


def test_only_trees_that_drop_their_leaves_have_leaf_fall() -> None:
    site = site_year()
    assert isinstance(site.marks.mark("maple", "leaf fall", 2027), Mark)
    pine = site.marks.mark("two-flush pine", "leaf fall", 2027)
    assert isinstance(pine, Absent) and "keeps its leaves" in say(pine.why)
