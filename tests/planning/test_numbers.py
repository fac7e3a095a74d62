"""The tree's numbers told as small stories: wire through the seasons, what looking taught, trunks and their sacrifices."""

from __future__ import annotations

from datetime import date

import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Entry, Targets, Tree, TrunkTarget
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.lists.branch_growth import thickening_of
from logbook.planning.planner import Job, Plan, plan_tree
from logbook.planning.wording import Wording

from ..conftest import day, garden_at, say

KNOWLEDGE = shipped_knowledge()


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def garden(*trees: Tree) -> Garden:
    return garden_at(trees=trees)


def plan(tree: Tree, today: str, *others: Tree) -> Plan:
    return plan_tree(tree, garden(tree, *others), day(today))


def told(made: Plan) -> str:
    return Wording().growth(made.growth)


def job(made: Plan, work: str) -> Job:
    return next(j for j in made.jobs if j.work == work)


def wired(species: str, when: str, *more: Entry, tag: str = "1") -> Tree:
    first = entry("2020-01-01", stage="ramification")
    return Tree(tag, (first, entry(when, work="wiring", branches=("1",)), *more), species=species)


MAPLE, PINE, FIG = "Acer palmatum", "Pinus thunbergii", "Ficus microcarpa"


@pytest.mark.parametrize(
    ("species", "looked_at", "off_by"),
    [(MAPLE, (4, 6), (7, 9)), (PINE, (5, 8), (7, 11)), (FIG, (4, 6), (6, 9))],
    ids=["maple", "pine", "fig"],
)
def test_wire_put_on_in_october_rests_all_winter(
    species: str, looked_at: tuple[int, int], off_by: tuple[int, int]
) -> None:
    """Six vignettes of one kind: wire laid on 20 October and on 10 June, on a maple, a pine and a fig. Common practice, no source."""
    made = plan(wired(species, "2026-10-20"), "2026-12-01")
    check, off = job(made, "wire check"), job(made, "wire off")
    assert check.opens and off.closes
    assert check.opens.year == 2027 and looked_at[0] <= check.opens.month <= looked_at[1], (
        "nothing is due in dormancy"
    )
    assert off.closes.year in (2027, 2028) and off_by[0] <= off.closes.month <= off_by[1]


@pytest.mark.parametrize(("species", "most_days"), [(MAPLE, 45), (PINE, 90), (FIG, 32)], ids=["maple", "pine", "fig"])
def test_wire_put_on_in_june_is_looked_at_within_weeks(species: str, most_days: int) -> None:
    made = plan(wired(species, "2027-06-10"), "2027-06-11")
    check = job(made, "wire check")
    assert check.opens and 0 < (check.opens - date(2027, 6, 10)).days <= most_days


def test_wire_found_cut_in_comes_off_now_and_teaches_the_garden() -> None:
    """A maple's wire had cut in by early June; the other maple's wire is looked at sooner from then on."""
    bitten = wired(MAPLE, "2026-10-20", entry("2027-06-05", work="wire check", branches=("1",), bite="cut"))
    made = plan(bitten, "2027-06-06")
    assert job(made, "wire off").status == "now"
    other = wired(MAPLE, "2027-06-01", tag="2")
    alone, taught = plan(other, "2027-06-06"), plan(other, "2027-06-06", bitten)
    before, after = job(alone, "wire check"), job(taught, "wire check")
    assert before.opens and after.opens and after.opens < before.opens
    assert any("times the usual, from 1 look at wire" in say(r) for r in after.reasons)
    pine = wired(PINE, "2027-06-01", tag="3")
    assert (
        job(plan(pine, "2027-06-06"), "wire check").opens == job(plan(pine, "2027-06-06", bitten), "wire check").opens
    )


def test_looks_that_agree_change_nothing_and_slow_ones_give_time() -> None:
    calm = wired(MAPLE, "2026-10-20", entry("2027-04-20", work="wire check", bite="none"))
    state = plan(calm, "2027-04-21").state
    found = thickening_of(calm, state, garden(calm), "maple")
    assert found.factor == pytest.approx(1.0) and not found.told
    slow = wired(MAPLE, "2026-10-20", entry("2027-09-20", work="wire off", bite="none"))
    state = plan(slow, "2027-09-21").state
    assert thickening_of(slow, state, garden(slow), "maple").factor < 0.8


def larch(*log: Entry, until: str = "trunk target") -> Tree:
    return Tree(
        "7",
        log,
        species="Larix decidua",
        targets=Targets(trunk=TrunkTarget(60.0, 40.0)),
        branches=(Branch("S1", role="sacrifice", until=until),),
    )


GROWING = [
    entry(f"{year}-11-01", measured={"trunk": 40.0 + 4 * (year - 2022)}, stage="trunk growing")
    for year in range(2022, 2027)
]


def test_a_sacrifice_branch_waits_for_the_trunk() -> None:
    """56 of 60 mm, 4 mm a year: the autumn after next November, with the band of the guess."""
    made = plan(larch(*GROWING), "2026-11-25")
    assert told(made).startswith("trunk 56 mm of 60 mm, about autumn 2027 (2027-2028), 4 mm a year")
    off = job(made, "sacrifice branch off")
    assert off.opens and off.closes and off.closes >= date(2027, 11, 1) and off.branches == ("S1",)
    assert off.band >= 100 and any("trunk 56 mm of 60 mm" in say(r) for r in off.reasons)


def test_a_trunk_that_is_there_gives_the_branch_free() -> None:
    made = plan(larch(*GROWING, entry("2027-11-01", measured={"trunk": 60.5})), "2027-11-10")
    assert job(made, "sacrifice branch off").status == "now" and "target is reached" in told(made)


def test_a_sacrifice_branch_taken_off_early_slows_the_trunk() -> None:
    """The old rate counts no more: first a reading is missing, then two growing seasons."""
    early = entry("2026-11-10", work="sacrifice branch off", branches=("S1",))
    made = plan(larch(*GROWING, early), "2026-11-25")
    assert "no reading yet since its growth changed" in told(made)
    assert not [j for j in made.jobs if j.work == "sacrifice branch off"]
    again = [entry("2026-11-11", measured={"trunk": 56.0}), entry("2027-11-01", measured={"trunk": 57.0})]
    assert "two growing seasons apart are needed" in told(plan(larch(*GROWING, early, *again), "2027-11-25"))
    third = entry("2028-11-01", measured={"trunk": 58.0})
    assert "about autumn 2030" in told(plan(larch(*GROWING, early, *again, third), "2028-11-25"))


def test_one_reading_asks_for_a_second() -> None:
    made = plan(larch(GROWING[-1]), "2026-11-25")
    assert told(made) == "trunk 56 mm of 60 mm: one reading: a second is needed, two growing seasons later"
    assert not [j for j in made.jobs if j.work == "sacrifice branch off"], "no day is made up"
