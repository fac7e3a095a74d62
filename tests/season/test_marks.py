"""Season marks: order, hemispheres, what a site does not have."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import Normals, Settings
from logbook.horticulture.loader import shipped_knowledge
from logbook.season.learning import Who
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


def test_maples_open_at_the_measured_warmth() -> None:
    """Harvard Forest hf003 (J. O'Keefe, CC BY): sugar maple at 445 from 1 January, so 440 from 1 February; a group's 340 is 431."""
    site = site_year()
    assert site.warmth is not None
    for species, total in (("Acer saccharum", 440.0), ("Acer palmatum", 431.0), ("", 431.0)):
        opened = site.marks.mark("maple", "open", 2027, Who("", species))
        assert isinstance(opened, Mark) and opened.day == site.warmth.reaching(2027, total)


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


def test_a_mild_winters_warmth_counts_less_by_its_short_days() -> None:
    """No maple leaf before 26 February at any of 1,651 stations (WMO CLIMAT) that pass the chill rule; a mild coast is near that."""
    mild = site_year(COAST, 40.8)
    opened = mild.marks.mark("maple", "open", 2027)
    assert isinstance(opened, Mark) and date(2027, 2, 26) < opened.day < date(2027, 4, 1)


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
