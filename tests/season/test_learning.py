"""What signs seen in a garden do to its marks: through the site's year as plans ask it."""

from __future__ import annotations

from calendar import isleap
from collections.abc import Callable
from datetime import date, timedelta
from pathlib import Path

import pytest

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Normals, Settings, Tree
from logbook.collection.weather_file import Extremes
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.season.climate import Climate, day_index
from logbook.season.learning import NOBODY, Who
from logbook.season.mark import Absent, Mark
from logbook.season.weather import Weather

from ..conftest import INLAND, TODAY, Answer, garden_at, make_collection, mirrored, say, site_year

KNOWLEDGE = shipped_knowledge()
Bench = Callable[..., Answer]


def seen(tag: str, species: str, *signs: tuple[str, str], **more: object) -> Tree:
    log = tuple(Entry(date=on_day(date.fromisoformat(day)), saw=mark) for mark, day in signs)
    return Tree(tag, log, species=species, **more)  # type: ignore[arg-type]


def mark(garden: Garden, name: str, who: Who = NOBODY, group: str = "maple", season: int = 2027) -> Mark:
    found = garden.site.marks.mark(group, name, season, who)
    assert isinstance(found, Mark), found
    return found


def test_the_worked_values() -> None:
    """Two past springs +8 and +4: shift 4.2 and band 8.7, with a season's variance of 25; here the site's own is 25.1."""
    bare = garden_at()
    days = [mark(bare, "open", season=y).day for y in (2025, 2026)]
    tree = seen(
        "1", "Acer palmatum", *(("open", str(d + timedelta(days=n))) for d, n in zip(days, (8, 4), strict=True))
    )
    found, usual = mark(garden_at(trees=[tree]), "open", Who("1", "Acer palmatum")), mark(bare, "open")
    assert (found.day - usual.day).days == 4 and found.band == 9
    assert "moved +4 days by 2 logged seasons" in say(found.how)


def test_a_synonym_is_its_species_and_a_tree_without_one_is_its_group() -> None:
    bare = mark(garden_at(), "open")
    tree = seen("1", "Acer palmatum", ("open", str(bare.day.replace(year=2026) + timedelta(days=9))))
    taught = garden_at(trees=[tree])
    shifts = {
        name: (mark(taught, "open", Who("9", name)).day - bare.day).days
        for name in ("Acer palmatum", "Acer ginnala", "")
    }
    assert shifts["Acer palmatum"] > shifts[""] > 0
    synonym = next(
        (s for s in (KNOWLEDGE.species_of("Acer palmatum") or pytest.fail("gone")).synonyms), "Acer palmatum"
    )
    assert mark(taught, "open", Who("9", synonym)).day == mark(taught, "open", Who("9", "Acer palmatum")).day


def test_its_own_sign_is_worth_three_days_and_hardened_counts_from_it() -> None:
    tree = seen("1", "Acer palmatum", ("open", "2027-04-14"))
    taught, who = garden_at(trees=[tree]), Who("1", "Acer palmatum")
    assert (mark(taught, "open", who).day, mark(taught, "open", who).band) == (date(2027, 4, 14), 3)
    hard = mark(taught, "hardened", who)
    assert say(hard.how) == "counted from 14 Apr, when it opened" and hard.day >= date(2027, 4, 14) + timedelta(
        days=42
    )


def test_leaf_fall_is_learned_and_flowers_are_remembered() -> None:
    who = Who("1", "Malus sylvestris")
    late = seen("1", "Malus sylvestris", *(("leaf fall", f"{y}-11-14") for y in (2024, 2025, 2026)))
    plain = mark(garden_at(), "leaf fall", who, "fruit bearing deciduous")
    taught = mark(garden_at(trees=[late]), "leaf fall", who, "fruit bearing deciduous")
    assert plain.day < taught.day <= date(2027, 11, 14) and taught.band < plain.band
    bare = garden_at().site.marks.mark("flowering deciduous", "flower", 2027)
    assert isinstance(bare, Absent)
    flowers = seen("2", "Prunus mume", ("flower", "2026-02-20"))
    found = mark(garden_at(trees=[flowers]), "flower", Who("2", "Prunus mume"), "flowering deciduous")
    assert (found.day, found.band) == (date(2027, 2, 20), 12) and "of 1 season" in say(found.how)
    over = mark(garden_at(trees=[flowers]), "flower over", Who("2", "Prunus mume"), "flowering deciduous")
    assert over.day == date(2027, 3, 20)


def test_maples_colour_later_than_others_and_evergreens_never() -> None:
    site = site_year()
    colours = {
        name: site.marks.mark("maple", "leaf colour", 2027, Who("", name))
        for name in ("Acer palmatum", "Acer campestre")
    }
    late, usual = colours.values()
    assert isinstance(late, Mark) and isinstance(usual, Mark) and (late.day - usual.day).days == 19
    assert isinstance(site.marks.mark("spruce", "leaf colour", 2027), Absent)


def test_past_springs_are_taken_against_their_own_weather() -> None:
    """A spring 4 °C too warm is early by its weather; seen on the day that weather gives, it teaches nothing."""
    climate = Climate(INLAND)
    days = {}
    for n in range(200):
        day = date(2026, 1, 1) + timedelta(days=n)
        days[day] = Extremes(climate.tmin[day_index(day)] + 4, climate.tmax[day_index(day)] + 4)
    settings = garden_at().settings
    warm = Garden(settings, KNOWLEDGE, (), Weather(days))
    opened = warm.site.marks.computed("maple", "Acer palmatum", "open", 2026)
    usual = mark(garden_at(), "open", season=2026).day
    assert opened is not None and opened < usual - timedelta(days=7)
    tree = seen("1", "Acer palmatum", ("open", str(opened)))
    who = Who("1", "Acer palmatum")
    with_weather = Garden(settings, KNOWLEDGE, [tree], Weather(days))
    assert mark(with_weather, "open", who).day == mark(garden_at(), "open").day
    assert mark(garden_at(trees=[tree]), "open", who).day < mark(garden_at(), "open").day - timedelta(days=2)


def test_days_and_months_that_agree_give_the_same_marks() -> None:
    """Within two days: months know no single days."""
    climate = Climate(INLAND)
    for off in (-3.0, 0.0, 3.0):
        days = {}
        for n in range(181):
            day, wave = date(2027, 1, 1) + timedelta(days=n), (1.5, -0.6, -1.5, 0.6, 0.0)[n % 5]
            wave *= climate.sigma_mean[day_index(day)]  # as the site's days scatter
            days[day] = Extremes(climate.tmin[day_index(day)] + off + wave, climate.tmax[day_index(day)] + off + wave)
        weather = Weather(days)
        months = {f"{y}-{m:02d}": mean for (y, m), mean in weather.months().items()}
        by_day = Garden(garden_at().settings, KNOWLEDGE, (), weather)
        by_month = garden_at(months=months)
        for name in ("swell", "open"):
            assert abs((mark(by_day, name).day - mark(by_month, name).day).days) <= 2, (off, name)


def test_one_day_of_weather_moves_no_mark_by_more_than_it_weighs() -> None:
    """By w·|DD2 − expected| over what the mark's own day gains, and one day."""
    usual = garden_at()
    site = usual.site
    assert site.climate is not None and site.warmth is not None
    day = date(2027, 3, 20)
    at = day_index(day)
    for tmin, tmax in ((-20.0, -5.0), (10.0, 24.0)):
        one = Garden(usual.settings, KNOWLEDGE, (), Weather({day: Extremes(tmin, tmax)}))
        gained = max(0.0, (tmin + tmax) / 2 - 2.0)
        before, after = (g.site.marks.computed("maple", "", "open", 2027) for g in (usual, one))
        assert before and after
        weights, expected = site.warmth.weights, site.climate.degree_days(2.0)
        own = min(weights[day_index(d)] * expected[day_index(d)] for d in (before, after))
        assert abs((after - before).days) <= weights[at] * abs(gained - expected[at]) / own + 1


def test_far_signs_and_trees_that_are_left_out_are_told(tmp_path: Path, bench: Bench) -> None:
    settings = "format: 1\ntitle: T\nsite: {latitude: 47.9, normals: {january: [-3, 4], july: [13, 25]}}\n"
    trees = {
        "001": 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2026-08-20, saw: swell}\n',
        "002": 'tag: "002"\nspecies: Acer palmatun\nlog:\n  - {date: 2026-04-02, saw: swell}\n',
    }
    folder = make_collection(tmp_path, trees, settings)
    told = bench("season", "--today", TODAY, folder=folder).out
    assert "001 saw swell 20 Aug 2026: more than 60 days" in told and "trees/002.yaml is left out" in told
    checked = bench("check", "--today", TODAY, folder=folder)
    assert "'swell' on 20 Aug 2026 is more than 60 days" in checked.err and "trees/001.yaml:4" in checked.err
    mended = trees["002"].replace("palmatun", "palmatum")
    (folder / "trees/002.yaml").write_text(mended, encoding="utf-8")
    assert "left out" not in bench("season", "--today", TODAY, folder=folder).out


def test_without_normals_nothing_is_claimed(tmp_path: Path, bench: Bench) -> None:
    folder = make_collection(tmp_path, {"001": 'tag: "001"\nspecies: Acer palmatum\nlog: []\n'})
    told = bench("season", "--today", TODAY, folder=folder).out
    assert "no monthly normals" in told and "growing weeks" not in told and "by the sun alone" in told
    why = bench("due", "--why", "001", "--today", TODAY, folder=folder).out
    jobs = [row for row in why.splitlines() if "by its signs, no date can be given" in row]
    assert jobs and why.count("do it when: ") >= len(jobs)
    assert isinstance(Garden(Settings("T"), KNOWLEDGE).site.marks.mark("maple", "midsummer", 2027), Mark)


def test_not_seen_yet_is_told_and_only_in_its_season() -> None:
    bare = mark(garden_at(), "open").day
    log = [("open", str(bare.replace(year=y) + timedelta(days=2))) for y in (2024, 2025, 2026)]
    tree, who = seen("1", "Acer palmatum", *log), Who("1", "Acer palmatum")
    settings = garden_at().settings

    def on(day: date) -> Mark:
        return mark(Garden(settings, KNOWLEDGE, [tree], None, day), "open", who)

    early, late, far = on(bare - timedelta(days=60)), on(bare + timedelta(days=6)), on(bare + timedelta(days=90))
    assert "not seen yet" not in say(early.how) and early.is_even
    assert "not seen yet" in say(late.how) and late.early and late.early > bare + timedelta(days=6)
    assert far.day == early.day, "so long after it has come, or was never written down"
    other = mark(
        Garden(settings, KNOWLEDGE, [tree], None, bare + timedelta(days=6)), "open", Who("9", "Acer ginnala")
    )
    assert "not seen yet" not in say(other.how), "never logged on it or its species"


def test_a_tree_of_a_species_that_was_seen_under_a_synonym_learns_from_it() -> None:
    bare = garden_at()
    usual = {y: mark(bare, "swell", group="single-flush pine", season=y).day for y in (2025, 2026, 2027)}
    signs = (("swell", str(usual[y] + timedelta(days=9))) for y in (2025, 2026))
    garden = garden_at(trees=[seen("1", "Pinus pentaphylla", *signs)])
    found = mark(garden, "swell", Who("2", "Pinus parviflora"), "single-flush pine")
    assert found == mark(garden, "swell", Who("1", "Pinus pentaphylla"), "single-flush pine")
    assert (found.day - usual[2027]).days >= 3


def test_a_sign_is_the_trees_own_in_its_season_alone() -> None:
    """Beyond that season a tree shares the marks of its species, and is not asked for apart."""
    bare = garden_at()
    day = mark(bare, "open", season=2026).day + timedelta(days=5)
    garden = garden_at(trees=[seen("1", "Acer palmatum", ("open", str(day)))])
    marks, who = garden.site.marks, Who("1", "Acer palmatum")
    assert marks.own_names(who, "maple", 2026) == {"swell", "open", "hardened"}
    assert not marks.own_names(who, "maple", 2027) and not marks.own_names(Who("", "Acer palmatum"), "maple", 2026)
    assert mark(garden, "open", who, season=2026).day == day
    assert mark(garden, "open", who) is mark(garden, "open", Who("2", "Acer palmatum"))


@pytest.mark.parametrize("latitude", [47.9, -38.0])
@pytest.mark.parametrize("normals", [INLAND, None])
def test_growing_days_are_counted_out_one_by_one(normals: Normals | None, latitude: float) -> None:
    """The day by which so many days have grown, against a count of every day; the two last of a leap February are one."""
    calendar = site_year(mirrored(normals) if normals and latitude < 0 else normals, latitude).calendar
    for begun in (date(2023, 11, 3), date(2024, 2, 28), date(2024, 2, 29), date(2026, 6, 1), date(2027, 12, 31)):
        for wanted in (1, 42, 70, 300):
            grown, last = 0, begun - timedelta(days=1)
            while grown < wanted:
                last += timedelta(days=1)
                grown += calendar.grows(last) and not (isleap(last.year) and (last.month, last.day) == (2, 28))
            assert calendar.after_growing_days(begun, wanted, begun + timedelta(days=800)) == last
            assert calendar.after_growing_days(begun, wanted, last - timedelta(days=1)) is None
