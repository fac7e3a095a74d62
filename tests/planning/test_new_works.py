"""Works that hang on a species, a stage, a log line or the time of year; and files that name a group of before."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Entry, Found, Intention, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.planner import Job, Plan, plan_tree

from ..conftest import INLAND, Answer, garden_at, make_collection, say
from .test_world import SITES

KNOWLEDGE = shipped_knowledge()
HERE = garden_at()
Bench = Callable[..., Answer]


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def plan(species: str, *log: Entry, today: str, site: Garden = HERE, **tree: object) -> Plan:
    return plan_tree(Tree("1", tuple(log), species=species, **tree), site, date.fromisoformat(today))  # type: ignore[arg-type]


def job(made: Plan, work: str) -> Job | None:
    return next((j for j in (*made.jobs, *made.care) if j.work == work), None)


def well(year: int, stage: str = "refinement", potted: str = "2025-04") -> Entry:
    return entry(f"{year}-01-10", found=Found(stage=stage, vigour=5, repotted=read_when(potted)))


def test_repotting_put_off_frees_the_season_for_the_candles() -> None:
    due = well(2026, potted="2019-04")
    held = plan("Pinus thunbergii", due, today="2026-04-20")
    assert job(held, "repotting") and not job(held, "candle removal")
    freed = plan("Pinus thunbergii", due, entry("2026-04-20", work="repotting put off"), today="2026-04-21")
    assert job(freed, "candle removal")
    assert "repotting put off" in {r.work: say(r.why) for r in freed.refusals}["repotting"]
    later = plan("Pinus thunbergii", due, entry("2026-04-20", work="repotting put off"), today="2027-02-20")
    assert job(later, "repotting"), "the season after it is offered again"


def test_the_second_flush_is_thinned_two_to_three_months_after_the_candles() -> None:
    """Common practice, no source: sixty to a hundred days."""
    log = (well(2026), entry("2026-06-20", work="candle removal"))
    found = job(plan("Pinus thunbergii", *log, today="2026-07-20"), "second-flush thinning")
    assert found and (found.opens, found.closes) == (date(2026, 8, 19), date(2026, 9, 28))
    done = entry("2026-08-25", work="second-flush thinning")
    assert not job(plan("Pinus thunbergii", *log, done, today="2026-08-26"), "second-flush thinning")
    assert not job(plan("Pinus thunbergii", well(2026), today="2026-07-20"), "second-flush thinning")
    weak = entry("2026-08-01", vigour=1)
    refused = plan("Pinus thunbergii", *log, weak, today="2026-08-25")
    assert "second-flush thinning" in {r.work for r in refused.refusals}


def test_the_second_chance_has_its_own_sign() -> None:
    winter = job(plan("Zelkova serrata", well(2026), today="2026-12-10"), "wiring")
    summer = job(plan("Zelkova serrata", well(2026), today="2026-06-15"), "wiring")
    assert winter and winter.sign.startswith("leaves down") and winter.too_late.startswith("buds fat")
    assert (
        summer
        and summer.sign == "shoots just hardened, for a short stay"
        and summer.too_late.startswith("shoots stiff")
    )


@pytest.mark.parametrize(("species", "shaded"), [("Acer palmatum", True), ("Pinus thunbergii", False), ("", False)])
def test_shade_from_the_first_hot_day_to_the_last(species: str, shaded: bool) -> None:
    normals, latitude = SITES["humid subtropical, 35 N"]
    found = job(
        plan(species, well(2026), today="2026-05-01", site=garden_at(normals, latitude), group="elm"), "summer shade"
    )
    assert bool(found) == shaded
    if found:  # 28 °C is a mean of 23.5 °C here, a yearly cosine's value 46 days from its peak in mid-July
        assert found.opens and abs((found.opens - date(2026, 5, 30)).days) <= 3
        assert found.closes and abs((found.closes - date(2026, 8, 31)).days) <= 3
    assert not job(plan(species, well(2026), today="2026-05-01", group="elm"), "summer shade"), "no such heat inland"


def test_deadwood_is_looked_after_every_year_where_there_is_some() -> None:
    bare = Branch("2", role="deadwood")
    found = job(plan("Juniperus chinensis", well(2026), today="2026-05-20", branches=(bare,)), "deadwood treated")
    assert found and found.opens and found.opens.month == 5 and found.caution == "sprays"
    assert not job(plan("Juniperus chinensis", well(2026), today="2026-05-20"), "deadwood treated")
    made = entry("2025-11-20", work="deadwood made")
    assert job(plan("Juniperus chinensis", well(2026), made, today="2026-05-20"), "deadwood treated")
    meant = entry("2026-05-01", intend=Intention("treat it", work="deadwood treated"))
    asked = job(plan("Juniperus chinensis", well(2026), meant, today="2026-05-20"), "deadwood treated")
    assert asked and asked.own == "treat it" and asked.opens
    done = entry("2026-06-10", work="deadwood treated")
    after = job(plan("Juniperus chinensis", well(2026), made, done, today="2026-06-20"), "deadwood treated")
    assert after and after.opens and after.opens.year == 2027


@pytest.mark.parametrize("species", ["Acer palmatum", "Pinus thunbergii", "Juniperus chinensis", "Ficus microcarpa"])
def test_seedlings_are_potted_on_and_tended(species: str) -> None:
    young = entry("2026-03-01", found=Found(stage="seedling", vigour=4))
    made = plan(species, young, today="2026-06-10")
    assert job(made, "potting on") and job(made, "seedling care")
    grown = plan(species, well(2026), today="2026-06-10")
    assert not job(grown, "potting on") and not job(grown, "seedling care")
    unknown = plan(species, today="2026-06-10")
    assert not job(unknown, "potting on") and not job(unknown, "seedling care")
    done = plan(species, young, entry("2026-06-11", work="potting on"), today="2026-06-12")
    again = job(done, "potting on")
    assert again is None or (again.opens and again.opens > date(2026, 9, 1))


def test_pests_of_the_kind_and_of_the_time() -> None:
    spring = job(plan("Larix kaempferi", well(2026), today="2026-03-25"), "pest watch")
    assert spring and "adelgids" in spring.sign and spring.caution == "sprays"
    box = job(plan("Buxus sempervirens", well(2026), today="2026-06-01"), "pest watch")
    assert box and "box moth" in box.sign
    azalea = job(plan("Rhododendron indicum", well(2026), today="2026-09-05"), "pest watch")
    assert azalea and "vine weevil" in azalea.sign
    seen = job(
        plan("Larix kaempferi", well(2026), entry("2026-05-01", work="pest watch"), today="2026-05-02"), "pest watch"
    )
    assert seen and seen.opens == date(2026, 5, 29), "four weeks later"
    winter = job(plan("Larix kaempferi", well(2026), today="2026-12-01"), "pest watch")
    assert winter and winter.opens and winter.opens.year == 2027 and len(winter.sign) <= 62
    by_sign = job(plan("Larix kaempferi", well(2026), today="2026-03-25", site=garden_at(None)), "pest watch")
    assert by_sign and by_sign.opens is None, "without temperatures its sign must tell"


def test_out_again_only_where_winter_was_spent_under_cover() -> None:
    hardened = job(plan("Olea europaea", well(2026), today="2026-03-01"), "hardening off")
    assert hardened and hardened.opens and hardened.opens.month in (3, 4)
    fig = job(plan("Ficus microcarpa", well(2026), today="2026-03-01"), "hardening off")
    assert fig and fig.opens and fig.opens.month in (5, 6, 7)
    normals, latitude = SITES["equatorial, 1 N"]
    assert not job(
        plan("Ficus microcarpa", well(2026), today="2026-03-01", site=garden_at(normals, latitude)), "hardening off"
    )


def test_a_species_that_wants_warmer_nights_waits_for_them() -> None:
    normals, latitude = SITES["humid subtropical, 35 N"]
    warm = garden_at(normals, latitude)
    opens = {
        name: found.opens
        for name in ("Serissa japonica", "Carmona retusa")
        if (found := job(plan(name, well(2024, potted="2020-05"), today="2026-03-01", site=warm), "repotting"))
    }
    assert opens["Serissa japonica"] < opens["Carmona retusa"]  # type: ignore[operator]


def test_australian_roots_are_cut_in_warm_growth_alone() -> None:
    """Growers' month-by-month trial, Victoria: October to February (south) thrive, March set them back."""
    normals, latitude = SITES["mediterranean, 33 S"]
    made = plan(
        "Banksia integrifolia", well(2024, potted="2020-11"), today="2026-08-01", site=garden_at(normals, latitude)
    )
    found = job(made, "repotting")
    assert found and found.opens and found.closes
    assert found.opens >= date(2026, 10, 1) and found.closes <= date(2027, 2, 15)


def test_a_tree_of_before_is_read_and_worked_as_a_satsuki(tmp_path: Path, bench: Bench) -> None:
    folder = make_collection(tmp_path, {"1": 'tag: "1"\ngroup: azalea\nlog: []\n'})
    assert bench("check", folder=folder).code == 0
    assert KNOWLEDGE.words["groups"] == tuple(KNOWLEDGE.groups), "an old name is read, not offered"
    tree = Tree("1", (well(2026),), group="azalea")
    assert HERE.group_of(tree) == "satsuki azalea"
    assert plan_tree(tree, HERE, date(2026, 4, 1)).group == "satsuki azalea"


def test_own_numbers_for_a_group_of_before_hold_for_all_it_became() -> None:
    site = Site(latitude=47.9, normals=INLAND)
    settings = Settings(
        "Test", site=site, marks={"azalea": {"swell": (3, 12)}}, groups={"azalea": {"root_limit": -2.0}}
    )
    knowledge, problems = KNOWLEDGE.own(settings)
    assert not problems
    garden = Garden(settings, knowledge)
    for group in ("early azalea", "satsuki azalea"):
        assert knowledge.groups[group].root_limit == -2.0
        assert garden.site.marks.mark(group, "swell", 2027).day == date(2027, 3, 12)  # type: ignore[union-attr]
