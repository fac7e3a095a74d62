"""A season looked back on: what was missed, wire that stayed too long, visits that were visits."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import timedelta
from itertools import pairwise

import pytest

from logbook.collection.dates import read_when
from logbook.collection.load import load
from logbook.collection.model import Collection, Entry, Found, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.conflicts import was_missed
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from logbook.planning.season_review import LOOK_DAYS, Review, _went_by, review

from ..conftest import DEMO, day
from .test_planner import NORTH, STRONG, entry


def looked_back(*log: Entry, species: str = "Acer palmatum", season: int = 2027) -> Review:
    return review([Tree("001", tuple(log), species=species)], NORTH, season, day("2028-02-01"))


def test_wire_that_is_still_on_or_had_cut_in_was_not_off_in_time() -> None:
    wired = entry("2026-10-20", work="wiring", branches=("1",))
    assert looked_back(STRONG, wired).wires_late == ("001",)
    cut = entry("2027-06-10", work="wire off", branches=("1",), bite="cut")
    assert (looked_back(STRONG, wired, cut).wires_in_time, looked_back(STRONG, wired, cut).wires_late) == (
        0,
        ("001",),
    )
    fine = entry("2027-06-10", work="wire off", branches=("1",))
    assert (looked_back(STRONG, wired, fine).wires_in_time, looked_back(STRONG, wired, fine).wires_late) == (1, ())


def test_a_window_that_went_by_unused_was_missed() -> None:
    shortened = [work for _, work in looked_back(STRONG, species="Pinus sylvestris").missed]
    assert "candle shortening" in shortened
    done = entry("2027-05-20", work="candle shortening")
    assert "candle shortening" not in [w for _, w in looked_back(STRONG, done, species="Pinus sylvestris").missed]
    tired = entry("2026-11-01", vigour=1)
    assert not looked_back(STRONG, tired, species="Pinus sylvestris").missed, "a tree at rest misses nothing"


def test_the_beginning_of_a_record_is_no_visit() -> None:
    first = NORTH.site.calendar.season_start(2027) + timedelta(days=30)
    begun = Entry(date=read_when(first.isoformat()), found=Found(stage="ramification"))
    made = looked_back(begun)
    assert made.visits == 0 and made.came == ("001",)
    assert looked_back(begun, Entry(date=read_when("2027-06-01"), work="look-over")).visits == 1


@pytest.fixture(scope="module")
def demo_garden() -> Collection:
    return load(DEMO, shipped_knowledge())


def by_plans(tree: Tree, garden: Garden, season: int) -> Iterator[str]:
    """What was missed of one tree, with a whole plan made on every look."""
    calendar = garden.site.calendar
    first, last = calendar.season_start(season), calendar.season_start(season + 1) - timedelta(days=1)
    looks = [first + timedelta(days=n) for n in range(0, (last - first).days + 1, LOOK_DAYS)] + [last]
    done = {e.work for e in tree.log if e.work and first <= e.date.latest and e.date.earliest <= last}
    begun = min(e.date.earliest for e in tree.log)
    for today, following in pairwise(looks):
        if begun <= today:
            jobs = plan_tree(tree, garden, today).jobs
            yield from (job.work for job in jobs if _went_by(job, today, following) and job.work not in done)
    yield from (job.work for job in plan_tree(tree, garden, last).jobs if not job.optional and was_missed(job))


@pytest.mark.parametrize("backwards", [False, True])
@pytest.mark.parametrize("season", [2025, 2026])
def test_what_was_missed_is_what_plans_say(season: int, backwards: bool, demo_garden: Collection) -> None:
    """Windows alone name the looks that are worth a plan: whichever trees were looked at before, none is overlooked."""
    knowledge, _ = shipped_knowledge().own(demo_garden.settings)
    trees = [t for t in demo_garden.trees if t.log and t.ended is None][:: -1 if backwards else 1]
    made = review(trees, Garden(demo_garden.settings, knowledge, demo_garden.trees), season, day("2028-02-01"))
    for tree in trees:
        alone = Garden(demo_garden.settings, knowledge, demo_garden.trees)  # nothing is remembered of other trees
        assert {work for tag, work in made.missed if tag == tree.tag} == {*by_plans(tree, alone, season)}, tree.tag
