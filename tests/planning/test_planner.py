"""What is offered, refused and asked, with reasons; both hemispheres."""

from __future__ import annotations

from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Found, Intention, Normals, Settings, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.planner import Job, Plan, plan_tree
from logbook.planning.wording import kind_of

from ..conftest import INLAND, day, garden_at, mirrored, say

KNOWLEDGE = shipped_knowledge()
NORTH, SOUTH = garden_at(), garden_at(mirrored(INLAND), -47.9)


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def plan(species: str, *log: Entry, today: str = "2026-11-25", site: Garden = NORTH) -> Plan:
    return plan_tree(Tree("001", tuple(log), species=species), site, day(today))


def job(made: Plan, work: str) -> Job:
    return next(j for j in made.jobs if j.work == work)


def refused(made: Plan, work: str) -> str:
    return next((say(r.why) for r in made.refusals if r.work == work), "")


STRONG = entry("2024-03-01", found=Found(stage="refinement", vigour=4, repotted=read_when("2024-04")))


def test_repotting_follows_its_interval_and_the_swelling_buds() -> None:
    made = plan("Acer palmatum", entry("2024-04-02", work="repotting", stage="ramification"))
    repotting = job(made, "repotting")
    swell = NORTH.site.marks.mark("maple", "swell", 2027)
    assert repotting.opens == swell.day - timedelta(days=21)  # type: ignore[union-attr]
    assert repotting.best == swell.day - timedelta(days=3)  # type: ignore[union-attr]
    assert repotting.sign == "buds fat, no green showing" and repotting.band == swell.band  # type: ignore[union-attr]
    kinds = {kind_of(r) for r in repotting.reasons}
    assert {"mark", "log", "interval"} <= kinds
    younger = plan("Acer palmatum", entry("2025-04-02", work="repotting", stage="ramification"))
    assert job(younger, "repotting").opens.year == 2028  # type: ignore[union-attr]


def test_young_trees_sooner_old_ones_later() -> None:
    years = {}
    for stage in ("trunk growing", "ramification", "maintenance"):
        years[stage] = job(
            plan("Acer palmatum", entry("2026-04-02", work="repotting", stage=stage)), "repotting"
        ).opens.year  # type: ignore[union-attr]
    assert years == {"trunk growing": 2028, "ramification": 2029, "maintenance": 2031}


def test_unknown_never_refuses_and_is_asked_once() -> None:
    made = plan("Pinus thunbergii", today="2027-05-20")
    assert made.refusals == ()
    assert (
        "rate vigour first" in say(job(made, "candle removal").conditions) and job(made, "candle removal").rate_first
    )
    assert "repot then if roots fill the pot" in say(job(made, "root look").conditions)
    assert len(made.asks) == 1


def test_candle_removal_is_about_a_hundred_days_before_growth_ends() -> None:
    made = plan("Pinus thunbergii", STRONG, today="2026-05-01")
    candles = job(made, "candle removal")
    assert candles.best and candles.opens and candles.closes
    assert (candles.best - candles.opens).days <= 10 and (candles.closes - candles.best).days == 10
    assert date(2026, 6, 1) <= candles.best <= date(2026, 6, 25)


def test_small_trees_later_large_ones_earlier() -> None:
    best = {}
    for height in (150.0, 400.0, 900.0):
        made = plan(
            "Pinus thunbergii",
            STRONG,
            entry("2025-10-01", measured={"height": height}),
            today="2026-04-01",
            site=WARM,
        )
        best[height] = job(made, "candle removal").best
    assert best[900.0] < best[400.0] < best[150.0]  # type: ignore[operator]


WARM = garden_at(
    Normals((3, 4, 7, 11, 15, 19, 23, 23, 20, 14, 8, 4), (10, 11, 15, 20, 24, 27, 31, 32, 28, 22, 17, 12)), 35.0
)
SHORT = garden_at(
    Normals((-12, -11, -7, -2, 3, 7, 9, 8, 4, -1, -6, -10), (-3, -2, 2, 7, 13, 17, 19, 18, 13, 7, 1, -2)), 60.0
)


def test_a_short_season_refuses_candle_removal_and_gives_no_date() -> None:
    made = plan("Pinus thunbergii", STRONG, today="2026-05-01", site=SHORT)
    assert "season too short here" in refused(made, "candle removal")
    assert not [j for j in made.jobs if j.work == "candle removal"]


def test_repotted_this_season_forbids_candle_removal_and_says_when() -> None:
    made = plan("Pinus thunbergii", STRONG, entry("2026-04-10", work="repotting"), today="2026-05-01")
    assert refused(made, "candle removal") == "repotted 10 Apr 2026"


def test_candles_taken_forbid_repotting_for_nine_months() -> None:
    made = plan(
        "Pinus thunbergii",
        entry("2020-04-01", work="repotting"),
        entry("2026-06-20", work="candle removal", vigour=4),
        today="2026-12-01",
    )
    assert refused(made, "repotting") == ""
    late = plan(
        "Pinus thunbergii",
        entry("2020-04-01", work="repotting"),
        entry("2026-08-20", work="candle removal", vigour=4),
        today="2026-12-01",
    )
    assert refused(late, "repotting") == "candles off 20 Aug 2026"


def test_weak_trees_rest_and_say_why() -> None:
    made = plan("Ulmus parvifolia", STRONG, entry("2026-06-13", vigour=2))
    assert refused(made, "repotting") == "" or "resting" in refused(made, "repotting")
    assert "resting since 13 Jun 2026: vigour 2" in refused(made, "wiring")
    roots = plan(
        "Ulmus parvifolia",
        entry("2020-04-01", work="repotting"),
        entry("2026-06-13", vigour=2, trouble="roots"),
        today="2027-01-15",
    )
    assert job(roots, "emergency repotting"), "rest does not stand in the way when the roots are the trouble"
    assert "trouble" in refused(roots, "repotting"), "the ordinary work waits until the tree is strong again"


def test_wire_is_checked_before_it_bites() -> None:
    made = plan("Juniperus chinensis", STRONG, entry("2026-10-17", work="wiring", branches=("1",)))
    check = job(made, "wire check")
    assert check.opens and check.closes and check.opens < check.closes
    assert check.opens.month in (5, 6, 7), "nothing is due while nothing grows"
    fast = plan("Acer palmatum", entry("2026-10-17", work="wiring", branches=("1",), stage="trunk growing"))
    assert job(fast, "wire check").opens < check.opens  # type: ignore[operator]
    later = plan(
        "Juniperus chinensis",
        STRONG,
        entry("2026-10-17", work="wiring"),
        entry("2027-06-20", work="wire check"),
        today="2027-06-21",
    )
    assert job(later, "wire check").opens > date(2027, 6, 25)  # type: ignore[operator]
    gone = plan(
        "Juniperus chinensis", STRONG, entry("2026-10-17", work="wiring"), entry("2026-11-01", work="wire off")
    )
    assert not [j for j in gone.jobs if j.work == "wire check"]
    kept = plan("Juniperus chinensis", STRONG, entry("2026-10-17", work="wiring", keep=True))
    assert job(kept, "wire check").closes is None


def test_wire_comes_off_before_its_last_day() -> None:
    wired = entry("2026-10-17", work="wiring", branches=("1",))
    off = job(plan("Acer palmatum", STRONG, wired, today="2027-03-01"), "wire off")
    assert off.opens and off.closes == job(plan("Acer palmatum", STRONG, wired), "wire check").closes
    assert off.closes - off.opens == timedelta(days=42) and off.branches == ("1",)
    assert any("off by" in say(r) for r in off.reasons)
    bitten = plan(
        "Acer palmatum", STRONG, wired, entry("2027-06-01", work="wire check", bite="cut"), today="2027-06-02"
    )
    now = job(bitten, "wire off")
    assert now.status == "now" and now.closes == date(2027, 6, 2)
    assert any("cut in" in say(r) for r in now.reasons)
    late = job(plan("Acer palmatum", STRONG, wired, today="2028-03-01"), "wire off")
    assert late.status == "overdue" and late.closes == date(2028, 3, 1)
    stays = plan("Acer palmatum", STRONG, entry("2026-10-17", work="wiring", keep=True))
    assert "wire off" not in {j.work for j in stays.jobs}


def test_paste_and_guy_wires_are_looked_at_where_they_were_logged() -> None:
    name = "paste and guy wires looked at"
    assert name not in {j.work for j in plan("Acer palmatum", STRONG).jobs}
    guyed = entry("2026-10-17", work="guy wires on", branches=("2",))
    first = job(plan("Acer palmatum", STRONG, guyed), name)
    assert first.opens and first.opens.year == 2027 and first.branches == ("2",), "six growing weeks, none in winter"
    looked = entry("2027-06-01", work=name)
    again = job(plan("Acer palmatum", STRONG, guyed, looked, today="2027-06-02"), name)
    assert again.opens == date(2027, 7, 12), "six growing weeks after the last look"
    off = entry("2027-06-01", work="paste and guy wires off")
    assert name not in {j.work for j in plan("Acer palmatum", STRONG, guyed, off, today="2027-06-02").jobs}


def test_mild_winters_give_mediterranean_evergreens_a_second_chance() -> None:
    """Early autumn repotting where winters are mild: common practice, no source."""
    mild = garden_at(
        Normals(
            (5, 5, 7, 9, 13, 17, 20, 20, 17, 13, 9, 6), (13, 13, 16, 18, 22, 27, 30, 30, 27, 22, 17, 14), "1991-2020"
        ),
        40.0,
    )
    seen = entry("2022-05-01", work="repotting", stage="ramification")
    spring = job(plan("Olea europaea", seen, today="2026-03-01", site=mild), "repotting")
    autumn = job(plan("Olea europaea", seen, today="2026-08-01", site=mild), "repotting")
    assert spring.opens and spring.opens.month in (3, 4, 5)
    assert autumn.opens and autumn.opens.month in (9, 10) and "mild winter" in say(autumn.reasons[0])
    cold = job(plan("Olea europaea", seen, today="2026-08-01"), "repotting")
    assert cold.opens and cold.opens.year == 2027, "no autumn window where winters are cold"


def test_own_intentions_are_jobs_and_take_the_dates_of_their_work() -> None:
    meant = entry("2026-11-07", intend=Intention("shorten S2", by=read_when("2027-21")))
    own = job(plan("Acer palmatum", STRONG, meant), "intention")
    assert (own.opens, own.closes, own.what) == (date(2026, 11, 25), date(2027, 5, 31), "shorten S2 (by spring 2027)")
    pot = entry("2026-11-07", intend=Intention("into the shallow pot", work="repotting"))
    made = plan("Acer palmatum", entry("2024-04-02", work="repotting"), pot)
    assert [j.work for j in made.jobs].count("repotting") == 1
    assert job(made, "repotting").own == "into the shallow pot" and job(made, "repotting").band == 12


@pytest.mark.parametrize(
    "species",
    [
        "Acer palmatum",
        "Pinus parviflora",
        "Picea abies",
        "Larix decidua",
        "Juniperus rigida",
        "Rhododendron indicum",
        "Fagus crenata",
    ],
)
def test_the_south_works_half_a_year_later(species: str) -> None:
    log = entry("2020-03-01", found=Found(stage="ramification", vigour=4, repotted=read_when("2015")))
    north, south = plan(species, log, today="2027-01-01"), plan(species, log, today="2027-07-02", site=SOUTH)
    assert {j.work for j in north.jobs} == {j.work for j in south.jobs}
    for mine in north.jobs:
        theirs = job(south, mine.work)
        if mine.opens and theirs.opens and mine.opens > date(2027, 1, 5):
            assert abs((theirs.opens - mine.opens).days - 182.6) <= 5, mine.work


def test_ended_trees_are_left_in_peace() -> None:
    from logbook.collection.model import Ended

    tree = Tree("001", (STRONG,), species="Acer palmatum", ended=Ended(read_when("2025"), "given"))
    assert plan_tree(tree, NORTH, day("2026-11-25")).jobs == ()


def test_without_a_site_works_are_offered_by_their_signs() -> None:
    bare = Garden(Settings("bare"), KNOWLEDGE)
    made = plan("Acer palmatum", entry("2020-04-02", work="repotting"), site=bare)
    assert job(made, "repotting").opens is None and job(made, "repotting").sign


species_list = st.sampled_from(
    [
        "Acer palmatum",
        "Pinus thunbergii",
        "Pinus parviflora",
        "Juniperus chinensis",
        "Larix decidua",
        "Olea europaea",
        "Ficus microcarpa",
        "Rhododendron indicum",
        "Buxus sempervirens",
        "Malus sylvestris",
        "Taxus baccata",
        "Picea abies",
    ]
)
works = st.sampled_from(
    ["", "repotting", "wiring", "wire off", "candle removal", "structural pruning", "needle thinning", "look-over"]
)
logs = st.lists(
    st.builds(
        Entry,
        date=st.dates(date(2019, 1, 1), date(2026, 11, 1)).map(lambda d: read_when(d.isoformat())),
        work=works,
        vigour=st.sampled_from([None, None, 1, 2, 3, 4, 5]),
        force=st.sampled_from(["", "heavy"]),
        stage=st.sampled_from(["", "", "trunk growing", "ramification", "maintenance"]),
    ),
    max_size=8,
)


@given(
    species_list, logs, st.dates(date(2024, 1, 1), date(2028, 12, 31)), st.sampled_from([NORTH, SOUTH, WARM, SHORT])
)
def test_no_plan_offers_the_past_or_what_it_refuses(
    species: str, log: list[Entry], today: date, site: Garden
) -> None:
    made = plan_tree(Tree("001", tuple(log), species=species), site, today)
    offered = {j.work for j in made.jobs}
    assert not offered & {r.work for r in made.refusals}
    hard = [j for j in made.jobs if j.best and j.work in KNOWLEDGE.works and KNOWLEDGE.works[j.work].hard == "always"]
    in_season = [(site.season_of(j.best), j.work) for j in hard if j.best]
    for season in {s for s, _ in in_season}:
        works = {w for s, w in in_season if s == season}
        assert not {"repotting", "candle removal"} <= works and not {"repotting", "full defoliation"} <= works
    for one in made.jobs:
        assert one.sign or one.own
        assert one.reasons, "every date has its reason"
        if one.opens and one.best and one.closes:
            assert one.opens <= one.best <= one.closes
            assert one.closes >= today


def test_works_that_fit_one_visit_are_told_together() -> None:

    made = plan("Pinus thunbergii", STRONG, today="2026-11-01")
    together = next(v for v in made.visits if "needle thinning" in v.works)
    assert "wiring" in together.works
    every = [w for v in made.visits for w in v.works]
    assert len(every) == len(set(every))


def test_guy_wires_and_paste_are_kept_apart_from_each_other() -> None:
    name = "paste and guy wires looked at"
    guyed, sealed = (
        entry("2027-05-10", work="guy wires on", branches=("2",)),
        entry("2027-05-10", work="cut paste on", branches=("1", "4")),
    )
    for log in ((guyed, sealed), (sealed, guyed)):
        both = job(plan("Acer palmatum", STRONG, *log, today="2027-05-11"), name)
        assert set(both.branches) == {"1", "2", "4"}
    later = entry("2027-06-20", work="cut paste on", branches=("5",))
    looked = job(plan("Acer palmatum", STRONG, guyed, later, today="2027-06-21"), name)
    assert looked.opens and looked.opens < date(2027, 7, 1), (
        "what went on later does not put off the earlier one's look"
    )


def test_wire_that_is_overdue_says_since_when() -> None:
    wired = entry("2026-10-17", work="wiring", branches=("1",))
    last = job(plan("Acer palmatum", STRONG, wired), "wire check").closes
    for today in ("2027-11-20", "2027-12-20"):
        late = plan("Acer palmatum", STRONG, wired, today=today)
        assert {(j.status, j.since) for j in late.jobs if j.work in ("wire check", "wire off")} == {("overdue", last)}
    open_now = job(plan("Acer palmatum", STRONG, wired, today="2027-06-20"), "wire check")
    assert open_now.status == "now" and open_now.since is None, "a look that may be taken now is not overdue"
    bites = plan(
        "Acer palmatum", STRONG, wired, entry("2027-06-01", work="wire check", bite="starting"), today="2027-06-02"
    )
    assert [j.work for j in bites.jobs if j.branches == ("1",)] == ["wire off"], "no further look: off with it"


def test_a_defoliated_tree_is_not_defoliated_again() -> None:
    strong = entry("2026-03-01", found=Found(stage="refinement", vigour=5, repotted=read_when("2025-04")))
    meant = entry("2027-03-01", intend=Intention("large leaves off", work="partial defoliation"))
    before = plan("Acer palmatum", strong, meant, today="2027-06-01")
    assert job(before, "partial defoliation")
    after = plan("Acer palmatum", strong, entry("2027-06-10", work="full defoliation"), today="2027-06-18")
    assert not [j for j in after.jobs if "defoliation" in j.work and j.opens and j.opens.year == 2027]
    assert refused(after, "partial defoliation") == "defoliated 10 Jun 2027"


def test_a_work_of_several_turns_is_left_alone_for_four_weeks() -> None:
    """Four weeks between two trimmings: common practice, no source."""
    fresh = job(plan("Acer palmatum", STRONG, today="2027-06-18"), "shoot trimming")
    assert fresh.opens and fresh.opens <= date(2027, 6, 18)
    trimmed = entry("2027-06-10", work="shoot trimming")
    again = job(plan("Acer palmatum", STRONG, trimmed, today="2027-06-18"), "shoot trimming")
    assert again.opens == date(2027, 7, 8) and again.closes == fresh.closes
    assert any("four weeks after the last" in say(r) for r in again.reasons)
    late = entry("2027-08-20", work="shoot trimming")
    following = job(plan("Acer palmatum", STRONG, late, today="2027-08-21"), "shoot trimming")
    assert following.opens and following.opens.year == 2028


def test_what_was_meant_by_a_day_says_since_when_it_is_overdue() -> None:
    meant = entry("2026-03-01", intend=Intention("shorten S2", by=read_when("2026-04")))
    own = next(j for j in plan("Acer palmatum", STRONG, meant, today="2026-11-25").jobs if j.own)
    assert (own.status, own.since) == ("overdue", date(2026, 4, 30))
