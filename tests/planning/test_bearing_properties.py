"""What must hold of every plan: any species, stage and log, at any site, on any day, with temperatures and without.

The rules are written out here a second time, from growers' common practice (no source), and hold nothing from the engine
but its seasons and growing days.
"""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date, timedelta
from functools import cache
from itertools import pairwise

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Found, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Kind, Thing, Work
from logbook.planning.garden import Garden
from logbook.planning.model import Job, Plan
from logbook.planning.planner import plan_tree

from ..conftest import mirrored
from .test_world import SITES

KNOWLEDGE = shipped_knowledge()
WORKS = KNOWLEDGE.works
SPECIES = tuple(species.name for species in KNOWLEDGE.register.all)
IN_CI, IN_SOAK = 400, 50_000
FLUSH = {name for name, work in WORKS.items() if work.kind is Kind.FLUSH}
ROOTS = {name for name, work in WORKS.items() if work.kind is Kind.ROOTS}
CANDLES = {name for name, work in WORKS.items() if "candles" in work.acts}
ROUND = {name for name, work in WORKS.items() if "candle round" in work.acts}
FULL = {name for name, work in WORKS.items() if "full" in work.acts}
LIFTED = {name for name, work in WORKS.items() if "lifted" in work.acts}
RESCUED = {name for name, work in WORKS.items() if "rescue" in work.acts}
KILLS = {name for name, work in WORKS.items() if work.wants_strength}
LAYERED = {name for name, work in WORKS.items() if {Thing.LAYER, Thing.GRAFT} & set(work.puts)}
SEPARATED = {name for name, work in WORKS.items() if {Thing.LAYER, Thing.GRAFT} & set(work.takes)}
ASKING = (Kind.ROOTS, Kind.FLUSH, Kind.WOOD)
CONIFERS = KNOWLEDGE.sets["evergreen conifers"]


@cache
def gardens() -> dict[str, Garden]:
    """Twelve sites of the world, their mirrors where that is another climate, and places without temperatures."""
    found = {}
    for name, (normals, latitude) in SITES.items():
        found[name] = Garden(Settings(name, site=Site(latitude, normals=normals)), KNOWLEDGE)
        if abs(latitude) > 23:
            other = Settings(name, site=Site(-latitude, normals=mirrored(normals)))
            found[f"{name}, mirrored"] = Garden(other, KNOWLEDGE)
    for latitude in (52.0, 1.0, -38.0):
        found[f"no normals, {latitude}"] = Garden(Settings("bare", site=Site(latitude)), KNOWLEDGE)
    found["nothing known"] = Garden(Settings("bare"), KNOWLEDGE)
    return found


def entries(draw: st.DrawFn, today: date) -> Iterator[Entry]:
    """A log of the last six years: works, scores, troubles, rests."""
    stage = draw(st.sampled_from(["", *KNOWLEDGE.stages]))
    vigour = draw(st.sampled_from([None, 2, 3, 4, 5]))
    yield Entry(
        date=on_day(today - timedelta(days=draw(st.integers(200, 2400)))), found=Found(stage=stage, vigour=vigour)
    )
    for _ in range(draw(st.integers(0, 6))):
        when = on_day(today - timedelta(days=draw(st.one_of(st.integers(1, 120), st.integers(1, 1500)))))
        what = draw(st.sampled_from(["work", "work", "work", "vigour", "trouble", "rest"]))
        if what == "work":
            name = draw(st.sampled_from(sorted(FLUSH | ROOTS | KILLS | LAYERED | {"structural pruning", "wiring"})))
            yield Entry(
                date=when,
                work=name,
                force=draw(st.sampled_from(["", "heavy"])),
                roots=draw(st.sampled_from(["", "light", "hard"])) if name in ROOTS else "",
            )
        elif what == "vigour":
            yield Entry(date=when, vigour=draw(st.integers(1, 5)))
        elif what == "trouble":
            yield Entry(date=when, trouble=draw(st.sampled_from(["pests", "disease", "frost", "roots", "over"])))
        else:
            yield Entry(date=when, rest=draw(st.sampled_from(["begins", "ends"])))


@st.composite
def cases(draw: st.DrawFn) -> tuple[Garden, Tree, date]:
    garden = gardens()[draw(st.sampled_from(sorted(gardens())))]
    today = date(2027, 1, 1) + timedelta(days=draw(st.integers(0, 364)))
    log = tuple(sorted(entries(draw, today), key=lambda e: e.date.earliest))
    return garden, Tree("1", log, species=draw(st.sampled_from(SPECIES))), today


def weeks_after(garden: Garden, start: date, weeks: int) -> date:
    """Counted day by day, by what grows."""
    day, grown = start, 0
    while grown < weeks * 7 and (day - start).days < 800:
        day += timedelta(days=1)
        grown += garden.site.calendar.grows(day)
    return day


def asked_of(plan: Plan) -> list[Job]:
    """Jobs that ask something of the tree; separating, help in need, looks and relief apart."""
    return [j for j in plan.jobs if j.record and not j.record.is_exempt and j.record.kind_of_turn("") in ASKING]


def opens(job: Job, plan: Plan) -> date:
    return max(job.opens or plan.today, plan.today)


def check(garden: Garden, tree: Tree, today: date) -> None:
    plan = plan_tree(tree, garden, today)
    one_flush_at_a_time(garden, plan)
    nothing_after_what_forbids_it(garden, plan)
    states_are_kept(garden, plan)
    killers_want_a_fresh_score(plan)
    layers_have_their_weeks(garden, plan)
    for job in plan.jobs:
        if job.opens and job.best and job.closes:
            assert job.opens <= job.best <= job.closes, job


def one_flush_at_a_time(garden: Garden, plan: Plan) -> None:
    dated = sorted((j for j in plan.jobs if j.work in FLUSH and j.best), key=lambda j: j.best)  # type: ignore[arg-type,return-value]
    for first, then in pairwise(dated):
        if first.work != then.work and first.best and not {first.work, then.work} <= ROUND:
            assert opens(then, plan) >= weeks_after(garden, first.best, 6) - timedelta(days=1), (first, then)
    for visit in plan.visits:
        assert len({j.work for j in visit.jobs} & FLUSH) <= 1 or {j.work for j in visit.jobs} & FLUSH <= ROUND


def nothing_after_what_forbids_it(garden: Garden, plan: Plan) -> None:
    calendar = garden.site.calendar
    for entry in plan.state.entries:
        done, season_ends = entry.date.latest, calendar.season_start(calendar.season_of(entry.date.latest) + 1)
        for job in plan.jobs:
            start = opens(job, plan)
            if entry.work in ROOTS and job.work in CANDLES | FULL:
                assert start >= season_ends, (entry, job)
            if entry.work in CANDLES and job.record and job.record.kind is Kind.ROOTS and not job.record.is_exempt:
                assert start >= done + timedelta(days=270), (entry, job)
            other = job.work in FLUSH and entry.work in FLUSH and job.work != entry.work
            if other and not {job.work, entry.work} <= ROUND:
                assert start >= weeks_after(garden, done, 6) - timedelta(days=1), (entry, job)
            if entry.work == "trunk chop" and job.work in FULL | CANDLES:
                assert start >= season_ends, (entry, job)


def states_are_kept(garden: Garden, plan: Plan) -> None:
    calendar = garden.site.calendar
    last: dict[str, Entry] = {}
    for entry in plan.state.entries:
        if entry.trouble:
            last["trouble"] = entry
        if entry.work in RESCUED or entry.trouble == "roots":
            last["rescued"] = entry
        if entry.work in LIFTED:
            last["lifted"] = entry
    trouble = last.get("trouble")
    asking = [j for j in asked_of(plan) if not (j.record and j.record.into_pot and j.record.always_allowed)]
    if trouble and trouble.trouble not in ("over",):
        strong = [
            e for e in plan.state.entries if e.vigour and e.vigour >= 4 and e.date.earliest > trouble.date.latest
        ]
        potted = [e for e in plan.state.entries if WORKS.get(e.work) and WORKS[e.work].into_pot]
        assert strong or potted or not asking, (trouble, asking)
    for name, conifer_seasons, seasons in (("rescued", 2, 2), ("lifted", 2, 1)):
        if name in last:
            wait = conifer_seasons if plan.group in CONIFERS else seasons
            ends = calendar.season_start(calendar.season_of(last[name].date.latest) + wait)
            assert plan.today >= ends or not asking, (name, last[name], asking)
    if plan.state.resting:
        assert not asking


def killers_want_a_fresh_score(plan: Plan) -> None:
    scores = [e for e in plan.state.entries if e.vigour or (e.found and e.found.vigour)]
    for job in plan.jobs:
        if job.work in KILLS and not job.own and not job.rate_first:
            assert scores, job
            day = min(opens(job, plan), plan.today + timedelta(days=183))
            assert (day - scores[-1].date.latest).days <= 15 * 31, (scores[-1], job)


def layers_have_their_weeks(garden: Garden, plan: Plan) -> None:
    made = [e for e in plan.state.entries if e.work in LAYERED]
    for job in plan.jobs:
        if job.work in SEPARATED and made and plan.group not in CONIFERS:
            first = min(e.date.latest for e in made)
            assert opens(job, plan) >= weeks_after(garden, first, 8) - timedelta(days=1), (made, job)


@settings(max_examples=IN_CI)
@given(cases())
def test_no_plan_harms_a_tree(case: tuple[Garden, Tree, date]) -> None:
    check(*case)


@pytest.mark.soak
@pytest.mark.parametrize("part", range(4))
def test_no_plan_harms_a_tree_in_many(part: int) -> None:
    @settings(max_examples=IN_SOAK, database=None)
    @given(cases())
    def many(case: tuple[Garden, Tree, date]) -> None:
        check(*case)

    many()
    assert part < 4


@settings(max_examples=150)
@given(cases())
def test_a_tick_changes_the_next_page(case: tuple[Garden, Tree, date]) -> None:
    """Done today: tomorrow's sheet does not offer it, or not before its next turn."""
    garden, tree, today = case
    for job in plan_tree(tree, garden, today).jobs:
        work: Work | None = job.record
        if work is None or job.own or (job.opens and job.opens > today):
            continue
        done = Entry(date=on_day(today), work=job.work, branches=job.branches)
        after = plan_tree(Tree("1", (*tree.log, done), species=tree.species), garden, today + timedelta(days=1))
        again = [j for j in after.jobs if j.work == job.work and j.branches == job.branches]
        turn = work.turns.apart - 1 if work.turns else 6
        apart = timedelta(
            days=0 if job.is_about_wire else turn
        )  # wire near its last day is looked at within the week
        assert all(j.opens and j.opens > today + apart for j in again), [
            (j.work, j.status, j.opens) for j in (job, *again)
        ]
