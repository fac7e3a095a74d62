"""Roots that had no time to grow before winter, that ail, or that were dug up: what a teacher would have of the tree's first winter.

Common practice, no source: after late root work the first winter is free of frost and no heavy cut is made; a collected tree is sheltered,
shaded and not lifted again, whether its log tells of the lifting or its origin does; sick roots get no frost; what lives in warm nights is
neither potted nor stripped in the last weeks of them.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Origin, Settings, Site, Tree
from logbook.planning.garden import Garden
from logbook.planning.model import Job, Plan
from logbook.planning.planner import plan_tree

from .test_frost import KNOWLEDGE, KNOWN, garden

PLACE = garden("inland, 48 N")
END = PLACE.site.calendar.season_start(2027)  # the first day after growth in 2026


def planned(species: str, *entries: Entry, today: date, origin: Origin | None = None) -> Plan:
    return plan_tree(Tree("1", (KNOWN, *entries), species=species, origin=origin), PLACE, today)


def potted(day: date) -> Entry:
    return Entry(date=on_day(day), work="repotting", roots="hard")


def care(plan: Plan, says: str) -> Job | None:
    return next((job for job in plan.care if says in (job.says, job.work)), None)


@pytest.mark.parametrize("species", ["Acer palmatum", "Ulmus minor", "Juniperus chinensis"])
@pytest.mark.parametrize("weeks", [2, 4])
def test_roots_cut_just_before_winter_get_no_frost_in_it(species: str, weeks: int) -> None:
    done = potted(END - timedelta(weeks=weeks))
    for today in (END - timedelta(days=3), END + timedelta(days=3), date(2027, 1, 20), date(2027, 3, 20)):
        plan = planned(species, done, today=today)
        cover = care(plan, "fresh roots under cover")
        assert cover is not None and cover.night is not None and cover.night >= -2.0, today
        assert cover.closes is not None and cover.closes >= date(2027, 4, 15)


def test_no_advice_is_loosened_overnight_as_growth_ends() -> None:
    """Seven weeks before the end of growth: no frost-free place any more, but roots bear what young ones do for the whole winter."""
    done = potted(END - timedelta(weeks=7))
    nights = []
    for today in (END - timedelta(days=2), END + timedelta(days=2), date(2027, 1, 20)):
        shelter = care(planned("Ulmus minor", done, today=today), "winter shelter")
        assert shelter is not None
        nights.append(shelter.night)
    assert len(set(nights)) == 1
    grown = care(planned("Ulmus minor", potted(date(2026, 4, 10)), today=date(2027, 1, 20)), "winter shelter")
    assert grown is None or grown.night is None or (nights[0] is not None and grown.night < nights[0])


def test_a_season_that_is_nearly_over_is_none() -> None:
    late, early = potted(END - timedelta(weeks=3)), potted(date(2026, 3, 25))
    heavy = [
        next(
            job
            for job in planned("Acer palmatum", done, today=date(2026, 12, 1)).jobs
            if job.work == "structural pruning"
        )
        for done in (late, early)
    ]
    assert heavy[0].conditions and not heavy[1].conditions


@pytest.mark.parametrize("species", ["Pinus sylvestris", "Carpinus betulus", "Quercus robur"])
def test_a_tree_that_its_origin_says_was_collected_is_treated_as_lifted(species: str) -> None:
    day = date(2027, 4, 2)
    told = planned(species, today=date(2027, 4, 11), origin=Origin(kind="collected", date=on_day(day)))
    logged = planned(species, Entry(date=on_day(day), work="lifting"), today=date(2027, 4, 11))
    for says in ("fresh roots under cover", "shade and out of the wind"):
        assert care(told, says) is not None and care(logged, says) is not None
    assert not [job for job in told.jobs if job.work in ("root look", "repotting")]
    assert [hold.state for hold in told.holds] == [hold.state for hold in logged.holds]
    later = planned(species, today=date(2028, 3, 20), origin=Origin(kind="collected", date=on_day(day)))
    assert not [
        job
        for job in later.jobs
        if job.work in ("root look", "repotting") and job.opens and job.opens < date(2029, 1, 1)
    ]


def test_a_day_to_come_was_not_yet() -> None:
    plan = planned(
        "Pinus sylvestris", today=date(2027, 3, 20), origin=Origin(kind="collected", date=on_day(date(2027, 4, 2)))
    )
    assert not plan.holds


def test_roots_that_ail_get_no_frost() -> None:
    sick = Entry(date=on_day(date(2026, 6, 20)), trouble="roots")
    helped = Entry(date=on_day(date(2026, 6, 25)), work="emergency repotting")
    for entries in ((sick,), (sick, helped)):
        for today in (date(2026, 11, 20), date(2027, 1, 20)):
            shelter = care(planned("Acer palmatum", *entries, today=today), "winter shelter")
            assert shelter is not None and shelter.night == 0.0, today


@pytest.mark.parametrize("species", ["Bougainvillea glabra", "Ficus microcarpa"])
def test_nothing_is_potted_or_stripped_in_the_last_weeks_of_warm_nights(species: str) -> None:
    plan = planned(species, today=date(2027, 3, 1))
    potting = next(job for job in plan.jobs if job.work in ("repotting", "root look"))
    shelter = care(planned(species, today=date(2027, 8, 1)), "winter shelter")
    assert potting.closes and shelter and shelter.opens and potting.closes <= shelter.opens - timedelta(weeks=6)


def test_without_temperatures_late_roots_are_covered_to_the_end_of_spring() -> None:
    bare = Garden(Settings("bare", site=Site(47.9)), KNOWLEDGE)
    plan = plan_tree(Tree("1", (KNOWN, potted(date(2026, 10, 10))), species="Acer palmatum"), bare, date(2027, 1, 20))
    cover = care(plan, "fresh roots under cover")
    assert cover is not None and cover.night == 0.0
    assert cover.closes is not None and date(2027, 5, 1) <= cover.closes <= date(2027, 5, 31)
