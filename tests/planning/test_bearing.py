"""What a tree can bear, told as small stories; each of them went wrong once. Common practice, no source, unless one is named."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Entry, Found, Intention, Origin, Settings, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Kind
from logbook.planning.garden import Garden
from logbook.planning.grounds import ByMark, ByState
from logbook.planning.model import Job, Plan
from logbook.planning.planner import plan_tree
from logbook.planning.wording import wording_of

from ..conftest import INLAND, day, garden_at, mirrored, say
from .test_world import SITES, wave

KNOWLEDGE = shipped_knowledge()
NORTH = garden_at()
BARE = Garden(Settings("no temperatures"), KNOWLEDGE)
WORDING = wording_of(BARE.settings)
GARDENS = {"with normals": NORTH, "without": BARE}


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def known(when: str, stage: str = "refinement", vigour: int = 5, repotted: str = "2020-04") -> Entry:
    return entry(when, found=Found(stage=stage, vigour=vigour, repotted=read_when(repotted)))


def story(species: str, *log: Entry, today: str, garden: Garden = NORTH, **tree: object) -> Plan:
    return plan_tree(Tree("001", tuple(log), species=species, **tree), garden, day(today))  # type: ignore[arg-type]


def job(plan: Plan, work: str) -> Job | None:
    return next((j for j in plan.jobs if j.work == work), None)


def kinds(plan: Plan, until: str = "2999-01-01") -> set[Kind]:
    """The kinds of work on offer that open by a day."""
    shown = (j for j in plan.jobs if j.record and (j.opens is None or j.opens <= day(until)))
    return {j.record.kind_of_turn("") for j in shown if j.record and not j.record.is_exempt}


@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_a_work_just_done_is_not_offered_again(garden: Garden) -> None:
    """Where a site has no temperatures, the log must still forbid: a repotting of May stands on no sheet of June."""
    plan = story(
        "Acer palmatum", known("2025-10-01"), entry("2026-05-30", work="repotting"), today="2026-06-01", garden=garden
    )
    again = job(plan, "repotting")
    assert again is None or (again.opens and again.opens > date(2028, 1, 1))


@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_roots_that_were_helped_leave_the_rest_of_the_tree_alone(garden: Garden) -> None:
    """Six weeks after rotten roots were cut no candle is touched, nor anything else, for two seasons and until it is strong."""
    log = (known("2025-10-01"), entry("2026-05-01", work="emergency repotting", trouble="roots"))
    plan = story("Pinus thunbergii", *log, today="2026-06-15", garden=garden)
    assert kinds(plan, "2027-12-31") <= {Kind.CARE} and plan.holds
    later = story("Pinus thunbergii", *log, today="2028-04-01", garden=garden)
    assert kinds(later, "2028-06-30") <= {Kind.CARE}, "time alone proves nothing"
    strong = story("Pinus thunbergii", *log, entry("2028-03-01", vigour=4), today="2028-04-01", garden=garden)
    assert not strong.holds


@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_a_pine_lifted_in_april_keeps_its_shoots(garden: Garden) -> None:
    log = (known("2025-10-01", repotted="2019"), entry("2026-04-10", work="lifting"))
    plan = story("Pinus sylvestris", *log, today="2026-06-10", garden=garden)
    assert kinds(plan, "2027-08-01") <= {Kind.CARE}
    assert plan.holds[0].kinds >= {Kind.ROOTS, Kind.FLUSH, Kind.WOOD, Kind.WIRE}
    repot = job(
        story("Pinus sylvestris", *log, entry("2028-03-01", vigour=5), today="2028-03-20", garden=garden), "repotting"
    )
    assert repot is None or repot.opens is None or repot.opens >= date(2029, 1, 1), "three years in peace"


def test_a_collected_tree_is_let_be_as_a_lifted_one() -> None:
    origin = Origin("collected", read_when("2026-03-20"))
    plan = story("Juniperus communis", known("2026-03-20", "trunk growing"), today="2026-06-10", origin=origin)
    assert kinds(plan, "2027-08-01") <= {Kind.CARE}


def test_an_elm_chopped_in_march_is_not_defoliated_wired_and_trimmed_at_once() -> None:
    log = (known("2025-10-01"), entry("2026-03-20", work="trunk chop"))
    plan = story("Ulmus parvifolia", *log, today="2026-06-10")
    full = job(plan, "full defoliation")
    assert full is None or (full.opens and full.opens.year > 2026)
    for visit in plan.visits:
        flushes = {j.work for j in visit.jobs if j.record and j.record.kind is Kind.FLUSH}
        assert len(flushes) <= 1, visit
    first = [j for j in plan.jobs if j.record and j.record.kind is Kind.FLUSH and j.opens]
    hardened = NORTH.site.marks.mark("elm", "hardened", 2026)
    assert all(j.opens >= hardened.day for j in first if j.opens.year == 2026)  # type: ignore[union-attr]


@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_a_layer_is_not_ready_on_the_day_it_is_made(garden: Garden) -> None:
    plan = story(
        "Acer palmatum",
        known("2025-10-01"),
        entry("2026-06-01", work="air layering"),
        today="2026-06-02",
        garden=garden,
    )
    off = job(plan, "layer separated")
    assert off is None or (off.opens and off.opens >= date(2026, 8, 1))
    assert Kind.ROOTS not in kinds(plan) and Kind.FLUSH not in kinds(plan), (
        "until it is separated nothing else is asked of it"
    )
    pine = story(
        "Juniperus chinensis",
        known("2025-10-01"),
        entry("2026-06-01", work="air layering"),
        today="2026-12-02",
        garden=garden,
    )
    off = job(pine, "layer separated")
    assert off is None or (off.opens and off.opens >= date(2028, 1, 1)), "conifers two whole seasons"


@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_an_old_score_licenses_nothing_that_kills(garden: Garden) -> None:
    """Vigour of 2018 says nothing of 2026: the score is asked for in place of the box."""
    plan = story("Pinus thunbergii", known("2018-10-01", repotted="2025-04"), today="2026-06-10", garden=garden)
    removal = job(plan, "candle removal")
    assert removal is None or removal.rate_first
    fresh = story("Pinus thunbergii", known("2025-10-01", repotted="2025-04"), today="2026-06-10", garden=garden)
    removal = job(fresh, "candle removal")
    assert removal is not None and not removal.rate_first


def test_a_score_from_before_a_hard_work_is_old() -> None:
    log = (
        known("2025-10-01", repotted="2025-04"),
        entry("2026-04-10", work="repotting", roots="hard"),
        entry("2027-01-01", note="x"),
    )
    removal = job(story("Pinus thunbergii", *log, today="2027-06-10"), "candle removal")
    assert removal is None or removal.rate_first


@pytest.mark.parametrize("trouble", ["pests", "disease", "frost", "drought"])
@pytest.mark.parametrize("garden", GARDENS.values(), ids=GARDENS)
def test_trouble_stops_what_asks_something_of_the_tree(trouble: str, garden: Garden) -> None:
    log = (known("2025-10-01"), entry("2026-04-01", trouble=trouble))
    plan = story("Acer palmatum", *log, today="2026-05-10", garden=garden)
    assert not kinds(plan) & {Kind.ROOTS, Kind.FLUSH, Kind.WOOD}
    over = story("Acer palmatum", *log, entry("2026-05-09", trouble="over"), today="2026-05-10", garden=garden)
    assert not over.holds


def test_a_tree_at_rest_is_told_to_look_only() -> None:
    log = (known("2024-10-01", repotted="2018"), entry("2026-03-01", vigour=2))
    plan = story("Acer palmatum", *log, today="2026-03-25")
    assert job(plan, "repotting") is None and kinds(plan, "2026-12-31") <= {Kind.CARE}


@pytest.mark.parametrize(
    "species", ["Betula pendula", "Leptospermum scoparium", "Crassula ovata", "Pinus thunbergii", "Fagus sylvatica"]
)
def test_full_defoliation_is_by_species_never_by_group(species: str) -> None:
    for month in range(1, 13):
        log = (known(f"{2025 + (month < 3)}-{(month - 2) % 12 + 1:02d}-01", repotted="2024"),)
        plan = story(species, *log, today=f"2026-{month:02d}-15")
        assert job(plan, "full defoliation") is None, month


def test_what_was_meant_is_refused_where_the_tree_can_not_bear_it() -> None:
    log = (
        known("2025-10-01", repotted="2020"),
        entry("2026-03-01", vigour=1),
        entry("2026-03-02", intend=Intention("repot at last", by=read_when("2026-04"), work="repotting")),
    )
    plan = story("Acer palmatum", *log, today="2026-03-25")
    assert job(plan, "repotting") is None
    assert "resting" in say(next(r.why for r in plan.refusals if r.work == "repotting"))


def test_the_south_and_the_north_say_the_same_half_a_year_apart() -> None:
    south = garden_at(mirrored(INLAND), -47.9)
    one = story("Ulmus parvifolia", known("2025-10-01"), entry("2026-03-20", work="trunk chop"), today="2026-05-01")
    half = timedelta(days=184)
    other = plan_tree(
        Tree(
            "001",
            (known("2026-04-03"), Entry(date=read_when("2026-09-20"), work="trunk chop")),
            species="Ulmus parvifolia",
        ),
        south,
        date(2026, 5, 1) + half,
    )
    assert {j.work for j in one.jobs} == {j.work for j in other.jobs}


def test_candles_are_not_broken_once_they_are_off_but_may_be_off_once_broken() -> None:
    """Breaking the strong ones in spring is the first half of one round; after removal there are none to break."""
    off = story(
        "Pinus thunbergii",
        known("2026-03-01"),
        entry("2026-06-10", work="candle removal"),
        today="2026-06-20",
        garden=BARE,
    )
    assert job(off, "candle breaking") is None
    broken = story(
        "Pinus thunbergii", known("2026-03-01"), entry("2026-05-10", work="candle breaking"), today="2026-06-10"
    )
    assert job(broken, "candle removal") is not None


def test_candles_that_come_off_in_turns_are_offered_again_ten_days_on() -> None:
    """The weak first, the strong ten days later: one round, whose second half must not wait for next year."""
    log = (known("2026-03-01"), entry("2026-06-05", work="candle removal"))
    second = job(story("Pinus thunbergii", *log, today="2026-06-08"), "candle removal")
    assert second and second.optional and (second.opens, second.closes) == (date(2026, 6, 15), date(2026, 6, 25))
    assert "in turns" in say(second.conditions[0])
    both = (*log, entry("2026-06-15", work="candle removal"))
    third = job(story("Pinus thunbergii", *both, today="2026-06-16"), "candle removal")
    assert third and third.opens == third.closes == date(2026, 6, 25), (
        "three turns at most before the season is too short"
    )
    assert job(story("Pinus thunbergii", *both, today="2026-06-27"), "candle removal") is None
    potted = (*log, entry("2026-06-06", work="repotting"))
    held = job(story("Pinus thunbergii", *potted, today="2026-06-08"), "candle removal")
    assert held is None or (held.opens and held.opens > date(2027, 4, 1)), "roots were cut in between"


def fed(plan: Plan) -> list[tuple[date | None, date | None]]:
    return [(j.opens, j.closes) for j in plan.care if j.work == "feeding"]


def test_feeding_stops_for_candles_and_begins_again_on_a_day() -> None:
    """Sixty days in refinement, thirty before it: common practice, no source. Planned, then done: the window itself moves."""
    ahead = fed(story("Pinus thunbergii", known("2026-03-01", repotted="2025-04"), today="2026-05-25"))
    assert len(ahead) == 2 and ahead[1][0] == ahead[0][1] + timedelta(days=60)  # type: ignore[operator]
    log = (known("2026-03-01"), entry("2026-06-05", work="candle removal"))
    assert fed(story("Pinus thunbergii", *log, today="2026-06-08"))[0][0] == date(2026, 8, 4)
    young = (known("2026-03-01", stage="ramification"), entry("2026-06-05", work="candle removal"))
    assert fed(story("Pinus thunbergii", *young, today="2026-06-08"))[0][0] == date(2026, 7, 5)


def test_a_few_days_of_feeding_before_a_planned_pause_are_not_begun() -> None:
    """A tree whose roots are to be cut in a week is not fed first: common practice, no source."""
    for when in ("2026-02-01", "2026-03-10"):
        spans = fed(story("Pinus thunbergii", known("2026-01-01", repotted="2019-04"), today=when))
        assert spans and all((closes - opens).days >= 14 for opens, closes in spans if opens and closes)


def test_cut_roots_are_not_fed_and_are_kept_from_frost() -> None:
    """Four weeks without feeding; no frost at all, or for hardy conifers no more than two degrees of it."""
    for species, night in (("Larix decidua", "-2"), ("Acer palmatum", "0")):
        log = (known("2026-03-01", stage="trunk growing"), entry("2026-04-20", work="repotting"))
        plan = story(species, *log, today="2026-04-25")
        assert fed(plan)[0][0] == date(2026, 5, 18)
        cover = next(j for j in plan.care if j.says and j.conditions)
        assert f"under {night} °C" in say(cover.conditions[0]) and cover.closes and cover.closes >= date(2026, 6, 1)


# -- a teacher's reading of what was said -----------------------------------------------------------------------------


def meant(when: str, work: str, by: str = "") -> Entry:
    return entry(when, intend=Intention(work, read_when(by) if by else None, work))


@pytest.mark.parametrize(
    ("species", "work"),
    [
        ("Cedrus libani", "full defoliation"),
        ("Fagus sylvatica", "full defoliation"),
        ("Picea abies", "candle removal"),
        ("Pinus sylvestris", "trunk chop"),
        ("Acer palmatum", "candle removal"),
    ],
)
@pytest.mark.parametrize("by", ["", "2026-06"])
def test_what_a_kind_must_never_get_is_refused_even_where_it_was_meant(species: str, work: str, by: str) -> None:
    plan = story(species, known("2026-03-01"), meant("2026-03-02", work, by), today="2026-05-20")
    assert job(plan, work) is None
    assert next(r for r in plan.refusals if r.work == work).why.code in (
        ByState.NOT_OF_GROUP,
        ByMark.SEASON_TOO_SHORT,
    )


def test_a_heavy_bend_that_was_meant_has_its_window_and_its_sign() -> None:
    log = (known("2026-03-01", repotted="2024-04"), meant("2026-03-02", "bending", "2026-06"))
    bend = job(story("Juniperus chinensis", *log, today="2026-05-20"), "bending")
    assert bend and bend.opens and bend.opens > date(2026, 8, 1) and bend.sign and bend.how and bend.own == "bending"


@pytest.mark.parametrize("species", ["Adenium obesum", "Ficus religiosa", "Carmona retusa"])
def test_the_tenderest_stay_in_and_are_told_so(species: str) -> None:
    """At 62 N no week is safe: the night is told all the same, and the calendar and the minder's card have it."""
    cold = garden_at(wave(-7, 15, 8), 62.0)
    plan = story(species, known("2026-03-01"), today="2026-09-15", garden=cold)
    shelter = next(j for j in plan.care if j.work == "winter shelter")
    assert shelter.night and shelter.night >= 5 and "stays in" in say(shelter.conditions[0])


def test_soft_roots_of_early_autumn_have_the_autumn_limit() -> None:
    """Roots are hard in the winter's months alone: on a night of September a pine comes in as early as in October."""
    nights = {
        today: next(j.night for j in story("Pinus thunbergii", known("2025-03-01"), today=today).care if j.night)
        for today in ("2026-09-20", "2026-10-20", "2027-01-10", "2027-04-10")
    }
    assert nights["2026-09-20"] == nights["2026-10-20"] == nights["2027-04-10"] > nights["2027-01-10"]


def test_ailing_roots_are_told_which_repotting_is_meant() -> None:
    """The emergency one is offered beside the bar that forbids all others."""
    plan = story("Acer palmatum", known("2026-03-01"), entry("2026-06-01", trouble="roots"), today="2026-06-12")
    assert any(job.work == "emergency repotting" for job in plan.jobs)
    assert "NO OTHER REPOTTING" in [WORDING.hold_what(hold).rpartition(", ")[2] for hold in plan.holds]
    plan = story("Acer palmatum", known("2026-03-01"), entry("2026-06-01", rest="begins"), today="2026-06-12")
    assert plan.holds and all("OTHER" not in WORDING.hold_what(hold) for hold in plan.holds)


def test_tender_roots_have_one_night_for_all_the_winter() -> None:
    """A fig in a house kept above 5 °C is never said to stand 2 °C in midwinter: what is told of it can be read as one thing only."""
    for today in ("2026-09-20", "2026-11-25", "2027-01-10"):
        plan = story("Ficus microcarpa", known("2025-03-01"), today=today)
        job = next(job for job in plan.care if job.work == "winter shelter")
        limits = {value for reason in job.conditions for value in reason.given if isinstance(value, float)}
        assert limits == {job.night}, limits
        assert "indoors" in say(job.conditions[1])


def test_ailing_roots_are_neither_fed_nor_kept_wet() -> None:
    plan = story("Acer palmatum", known("2026-03-01"), entry("2026-06-01", trouble="roots"), today="2026-06-12")
    assert fed(plan) == [] and any("dries" in WORDING.hold(hold) for hold in plan.holds)
    rescue = next(j for j in plan.jobs if j.record and j.record.urgent)
    assert "rotten" in rescue.how
    log = (entry("2026-06-01", trouble="roots"), entry("2026-06-13", work="emergency repotting"))
    later = story("Acer palmatum", known("2026-03-01"), *log, today="2027-06-12")
    half = next(j for j in later.care if j.work == "feeding")
    assert "half strength" in say(half.conditions[0])


@pytest.mark.parametrize("stage", ["seedling", "trunk growing"])
@pytest.mark.parametrize("species", ["Pinus sylvestris", "Picea abies", "Acer palmatum", "Juniperus chinensis"])
def test_a_tree_that_grows_a_trunk_keeps_its_shoots(species: str, stage: str) -> None:
    for month in range(1, 13):
        plan = story(species, known("2026-01-01", stage=stage, repotted="2025-04"), today=f"2026-{month:02d}-20")
        assert Kind.FLUSH not in {j.record.kind for j in plan.jobs if j.record and not j.optional}, (species, month)


@pytest.mark.parametrize("species", ["Acer palmatum", "Betula pendula", "Carpinus betulus"])
def test_what_bleeds_is_not_chopped_at_swell(species: str) -> None:
    chop = job(
        story(species, known("2026-03-01"), meant("2026-03-02", "trunk chop"), today="2026-03-20"), "trunk chop"
    )
    assert chop and chop.opens and chop.opens > date(2026, 5, 15)


def test_the_wood_of_stone_fruit_is_cut_in_a_dry_summer() -> None:
    branch = Branch("S1", role="sacrifice", until="2026")
    plan = story("Prunus mume", known("2025-03-01"), today="2026-11-20", branches=(branch,))
    off = job(plan, "sacrifice branch off")
    assert off is None or (off.opens and off.opens.month in (5, 6, 7))


def test_a_pine_without_temperatures_is_repotted_in_the_end() -> None:
    """Sixteen years in its pot, candles never taken: the roots are the most overdue."""
    log = (known("2026-01-01", repotted="2010-04"),)
    assert job(story("Pinus thunbergii", *log, today="2026-04-10", garden=BARE), "repotting")


def test_defoliation_that_gave_way_is_told() -> None:
    plan = story("Acer palmatum", known("2026-03-01", repotted="2025-04"), today="2026-06-12")
    told = {r.work: say(r.why) for r in plan.refusals}
    assert "unless you write down that you mean it" in told["partial defoliation"]
    assert "partial defoliation" not in {r.work for r in plan.expected_refusals}
    log = (known("2026-03-01", repotted="2025-04"), meant("2026-03-02", "partial defoliation"))
    assert job(story("Acer palmatum", *log, today="2026-06-12"), "partial defoliation")


@pytest.mark.parametrize("latitude", [1.0, -1.0])
def test_at_the_equator_a_fig_is_fed_and_trimmed_all_year(latitude: float) -> None:
    """No month under 18 °C is the tropics of Köppen and Geiger: any active flush, whatever the calendar says."""
    site = garden_at(wave(26, 27, 8), latitude)
    for month in range(1, 13):
        plan = story(
            "Ficus microcarpa", known("2026-01-01", repotted="2025-06"), today=f"2026-{month:02d}-15", garden=site
        )
        fed_now = next(j for j in plan.care if j.work == "feeding")
        assert fed_now.opens and fed_now.opens <= plan.today, month


def test_a_layer_stands_alone_on_its_day() -> None:
    log = (known("2026-03-01", repotted="2024-04"), meant("2026-03-02", "air layering"))
    plan = story("Acer palmatum", *log, today="2026-05-25")
    for visit in plan.visits:
        works = {j.work for j in visit.jobs}
        assert "air layering" not in works or not works & {"structural pruning", "shoot trimming", "summer pruning"}


def test_a_tree_kept_indoors_lives_by_light() -> None:
    plan = story("Ficus microcarpa", known("2026-01-01"), today="2026-05-01", indoors="always")
    care = {j.work for j in plan.care}
    assert "feeding" in care and not care & {"hardening off", "winter shelter", "winter wash", "autumn leaf removal"}


def test_what_is_best_after_another_flush_work_is_not_begun_before_it() -> None:
    """Where both windows open in a long spring: trimming that is best at midsummer waits until pinching has been borne."""
    normals, latitude = SITES["mediterranean, 33 S"]
    site = garden_at(normals, latitude)
    plan = story("Juniperus formosana", entry("2026-09-15", found=Found()), today="2027-04-03", garden=site)
    dated = {j.work: j for j in plan.jobs if j.work in ("pinching", "shoot trimming") and j.best and j.opens}
    first, then = dated["pinching"], dated["shoot trimming"]
    assert first.best and then.opens and then.opens >= first.best + timedelta(days=42)


@pytest.mark.parametrize("where", GARDENS)
def test_a_chopped_trunk_is_not_cut_hard_again_that_season(where: str) -> None:
    """What is left has to grow the new leader; light cuts may be made."""
    log = (known("2025-04-01", stage="trunk growing"), entry("2027-03-10", work="trunk chop"))
    plan = story("Acer palmatum", *log, today="2027-05-05", garden=GARDENS[where])
    cut = next((j for j in plan.jobs if j.work == "structural pruning"), None)
    assert cut is None or "only lightly before" in WORDING.reasons(cut.conditions), cut
