"""Twelve short stories: a tree, its log, a day; what is offered, what is refused, and why. All invented."""

from __future__ import annotations

from datetime import date

from logbook.collection.dates import read_when
from logbook.collection.model import (
    Branch,
    Entry,
    Found,
    Intention,
    MonthMean,
    Normals,
    Settings,
    Site,
    Targets,
    Tree,
    TrunkTarget,
)
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Kind
from logbook.planning.garden import Garden
from logbook.planning.grounds import Ask
from logbook.planning.planner import Job, Plan, plan_tree
from logbook.season.mark import Mark

from ..conftest import INLAND, garden_at, say
from .test_world import wave

KNOWLEDGE = shipped_knowledge()
HILLSIDE = garden_at()


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def story(species: str, *log: Entry, today: str, site: Garden = HILLSIDE, **tree: object) -> Plan:
    one = Tree("001", tuple(log), species=species, **tree)  # type: ignore[arg-type]
    return plan_tree(one, Garden(site.settings, KNOWLEDGE, [one]), date.fromisoformat(today))


def offered(plan: Plan) -> dict[str, Job]:
    return {j.work: j for j in plan.jobs}


def refused(plan: Plan) -> dict[str, str]:
    return {r.work: say(r.why) for r in plan.refusals}


def test_a_black_pine_after_repotting_keeps_its_candles() -> None:
    plan = story(
        "Pinus thunbergii",
        entry("2025-10-01", found=Found(stage="refinement", vigour=4)),
        entry("2026-04-15", work="repotting"),
        today="2026-05-20",
    )
    assert refused(plan)["candle removal"] == "repotted 15 Apr 2026"
    assert "candle removal" not in offered(plan)


def test_a_tired_maple_rests_until_it_has_proved_itself() -> None:
    plan = story(
        "Acer palmatum",
        entry("2026-03-20", work="repotting", stage="ramification"),
        entry("2026-06-10", vigour=2),
        today="2026-11-25",
    )
    assert {"wiring", "structural pruning", "shoot selection"} <= set(refused(plan))
    assert all(why == "resting since 10 Jun 2026: vigour 2" for why in refused(plan).values())
    assert set(offered(plan)) == {"look-over"}
    assert any(j.work == "feeding" and any("half strength" in say(r) for r in j.conditions) for j in plan.care)


def test_a_larch_in_a_cold_garden_stands_out_all_winter() -> None:
    cold = garden_at(wave(-7, 18, 10), 49.0)
    plan = story(
        "Larix kaempferi",
        entry("2022-04-10", work="repotting", stage="ramification", vigour=4),
        today="2026-11-25",
        site=cold,
    )
    assert offered(plan)["repotting"].opens > date(2027, 3, 1)  # type: ignore[operator]
    tender = story(
        "Acer buergerianum", entry("2022-04-10", work="repotting", vigour=4), today="2026-11-25", site=cold
    )
    assert any(j.work == "winter shelter" for j in tender.care)


def test_a_juniper_bent_hard_is_not_repotted_for_nine_months() -> None:
    plan = story(
        "Juniperus chinensis",
        entry("2019-04-20", work="repotting", stage="ramification", vigour=4),
        entry("2026-10-10", work="bending", force="heavy"),
        today="2027-03-01",
    )
    assert refused(plan)["repotting"].startswith("bent hard 10 Oct 2026")


def test_an_olive_in_the_south_waits_for_mild_nights() -> None:
    south = garden_at(wave(12, 23, 10, 1), -33.0)
    plan = story(
        "Olea europaea",
        entry("2022", work="repotting", stage="primary branches", vigour=4),
        today="2026-07-01",
        site=south,
    )
    repotting = offered(plan)["repotting"]
    assert repotting.opens and repotting.opens.month in (7, 8, 9, 10) and "8 °C" in say(repotting.reasons[0])


def test_a_fig_indoors_half_the_year_is_driven_by_warm_nights() -> None:
    plan = story(
        "Ficus microcarpa",
        entry("2023-06-10", work="repotting", stage="ramification", vigour=4),
        today="2026-11-25",
        indoors="winter",
    )
    assert offered(plan)["repotting"].best == date(2027, 6, 21)
    assert any(j.work == "winter shelter" for j in plan.care)


def test_a_satsuki_after_flowering_is_cleaned_and_trimmed() -> None:
    plan = story(
        "Rhododendron indicum",
        entry("2025-03-28", work="repotting", stage="ramification", vigour=4),
        entry("2026-06-12", saw="flower over"),
        today="2026-06-15",
    )
    flowers = offered(plan)["spent flowers off"]
    assert flowers.status == "now" and flowers.band == 3
    assert any("seen on this tree" in say(r) for r in flowers.reasons)


def test_a_beech_is_never_defoliated_fully() -> None:
    plan = story(
        "Fagus crenata",
        entry("2024-04-20", work="repotting", stage="refinement"),
        entry("2026-04-01", vigour=5, intend=Intention("large leaves off", work="partial defoliation")),
        today="2026-05-20",
    )
    assert "full defoliation" not in offered(plan) and "full defoliation" not in refused(plan)
    assert "partial defoliation" in offered(plan)


def test_a_tree_with_no_log_is_offered_everything_with_its_conditions() -> None:
    plan = story("Pinus parviflora", today="2026-04-01")
    assert not plan.expected_refusals
    assert "root look" in offered(plan) and "repotting" not in offered(plan)
    assert "rate it first" in say(offered(plan)["candle shortening"].conditions)
    assert len(plan.asks) == 1


def test_where_the_season_is_too_short_candles_stay() -> None:
    high = garden_at(wave(-9, 13, 9), 60.0)
    plan = story(
        "Pinus thunbergii",
        entry("2025-10-01", found=Found(stage="refinement", vigour=5)),
        today="2026-05-20",
        site=high,
    )
    assert "season too short here" in refused(plan)["candle removal"]


def test_a_late_spring_typed_in_moves_the_buds() -> None:
    cold = {f"2027-{m:02d}": MonthMean(INLAND.tmin[m - 1] - 4, INLAND.tmax[m - 1] - 4) for m in (1, 2, 3, 4)}
    late = Garden(Settings("t", site=Site(47.9, normals=INLAND), months=cold), KNOWLEDGE)
    log = entry("2023-04-02", work="repotting", stage="ramification", vigour=4)
    usual = offered(story("Acer palmatum", log, today="2027-02-01"))["repotting"]
    moved = offered(story("Acer palmatum", log, today="2027-02-01", site=late))["repotting"]
    assert usual.best and moved.best and 7 <= (moved.best - usual.best).days <= 40
    # 1.2816 · √(16 + 25 + 6.25 + 9): garden, species, a season whose weather is known, scatter
    assert moved.band == 10 and any("this year's weather" in say(r) for r in moved.reasons)


def test_three_logged_springs_teach_the_garden() -> None:
    seen = tuple(entry(f"{y}-04-14", saw="swell") for y in (2024, 2025, 2026))
    tree = Tree(
        "001", (*seen, entry("2023-04-02", work="repotting", stage="ramification", vigour=4)), species="Acer palmatum"
    )
    taught = Garden(HILLSIDE.settings, KNOWLEDGE, [tree])
    mine = offered(plan_tree(tree, taught, date(2026, 11, 25)))["repotting"]
    usual = offered(plan_tree(tree, HILLSIDE, date(2026, 11, 25)))["repotting"]
    swell = HILLSIDE.site.marks.mark("maple", "swell", 2027)
    assert mine.best and usual.best and isinstance(swell, Mark)
    # garden and species (41 days²) are shared by all springs, each spring has 34 of its own: 41 · 3 / (41 · 3 + 34) of their mean
    mean = (date(2027, 4, 14) - swell.day).days
    assert abs((mine.best - usual.best).days - 0.78 * mean) <= 1 and mean >= 5
    assert (usual.band, mine.band) == (12, 9)
    assert any("3 logged seasons" in say(r) for r in mine.reasons)


def test_a_sacrifice_branch_goes_when_the_trunk_is_there() -> None:
    tree = {
        "targets": Targets(trunk=TrunkTarget(45.0)),
        "branches": (Branch("S1", role="sacrifice", until="trunk target"), Branch("1")),
    }
    thin = story("Larix decidua", entry("2026-10-01", measured={"trunk": 38.0}, vigour=4), today="2026-11-25", **tree)
    thick = story(
        "Larix decidua", entry("2026-10-01", measured={"trunk": 45.5}, vigour=4), today="2026-11-25", **tree
    )
    assert "sacrifice branch off" not in offered(thin)
    assert offered(thick)["sacrifice branch off"].branches == ("S1",)
    gone = story(
        "Larix decidua",
        entry("2026-10-01", measured={"trunk": 45.5}),
        entry("2026-11-10", work="sacrifice branch off", branches=("S1",)),
        today="2026-11-25",
        **tree,
    )
    assert "sacrifice branch off" not in offered(gone)


def test_two_hard_works_never_meet_in_one_season() -> None:
    plan = story(
        "Pinus thunbergii",
        entry("2020-04-01", work="repotting"),
        entry("2025-10-01", stage="refinement", vigour=5),
        today="2027-03-10",
    )
    assert "repotting" in offered(plan) and "candle removal" not in offered(plan)
    assert refused(plan)["candle removal"].startswith("repotting comes first")


def test_three_years_of_building_are_asked_about() -> None:
    log = [entry("2023-01-01", found=Found(stage="refinement", vigour=4, repotted=read_when("2023-03")))]
    log += [entry(f"{y}-06-20", work="candle removal") for y in (2024, 2025, 2026)]
    assert story("Pinus thunbergii", *log, today="2026-11-25").asks == (Ask.STILL_STRONG,)
    assert not story("Pinus thunbergii", *log, entry("2026-11-01", vigour=4), today="2026-11-25").asks


def test_meant_works_are_offered_in_their_season() -> None:
    plan = story(
        "Acer palmatum",
        entry("2025-04-01", work="repotting", vigour=5, stage="primary branches"),
        entry("2026-11-01", intend=Intention("layer the top", work="air layering")),
        today="2027-05-20",
    )
    assert offered(plan)["air layering"].own == "layer the top"
    assert "air layering" not in offered(
        story("Acer palmatum", entry("2025-04-01", work="repotting", vigour=5), today="2027-05-20")
    )


def test_roots_in_trouble_are_never_blocked() -> None:
    plan = story(
        "Ulmus parvifolia",
        entry("2025-04-01", work="repotting", stage="refinement"),
        entry("2026-06-10", vigour=1, trouble="roots"),
        today="2026-08-01",
    )
    urgent = offered(plan)["emergency repotting"]
    assert urgent.status == "now" and "shade and shelter" in say(urgent.conditions)


def test_a_genus_may_have_its_own_row() -> None:
    strong = entry("2025-10-01", found=Found(stage="ramification", vigour=4, repotted=read_when("2025-04")))
    assert offered(story("Betula pendula", strong, today="2026-11-01"))["structural pruning"].closes < date(
        2027, 1, 1
    )  # type: ignore[operator]
    assert offered(story("Ulmus minor", strong, today="2026-11-15"))["structural pruning"].closes > date(2027, 2, 1)  # type: ignore[operator]
    assert offered(story("Malus sylvestris", strong, today="2026-11-15"))["structural pruning"].closes > date(
        2027, 2, 1
    )  # type: ignore[operator]
    assert offered(story("Prunus mume", strong, today="2026-11-15"))["structural pruning"].opens is None, (
        "never in winter"
    )


def test_second_chances() -> None:
    strong = entry("2024-10-01", found=Found(stage="ramification", vigour=4, repotted=read_when("2022-04")))
    azalea = story("Rhododendron indicum", strong, entry("2026-06-12", saw="flower over"), today="2026-06-15")
    assert offered(azalea)["repotting"].opens == date(2026, 6, 12)
    maple = story("Acer palmatum", strong, entry("2026-04-01", work="repotting"), today="2026-06-12")
    assert offered(maple)["wiring"].status == "now" and offered(maple)["wiring"].closes.month == 7  # type: ignore[union-attr]


def test_a_layer_is_separated_after_its_weeks_of_growth() -> None:
    """Ten to twelve growing weeks on a broadleaf: common practice, no source."""
    strong = entry("2024-10-01", found=Found(stage="ramification", vigour=4, repotted=read_when("2025-04")))
    made = entry("2026-05-28", work="air layering")
    off = offered(story("Acer palmatum", strong, made, today="2026-06-01"))["layer separated"]
    assert off.opens and date(2026, 8, 6) <= off.opens <= date(2026, 8, 20) and off.status == "ahead"
    late = entry("2026-07-20", work="air layering")
    waits = offered(story("Acer palmatum", strong, late, today="2026-10-01"))["layer separated"]
    assert waits.opens and waits.opens.year == 2027 and "wrap the sleeve" in say(waits.conditions)
    done = entry("2027-04-05", work="layer separated")
    assert "layer separated" not in offered(story("Acer palmatum", strong, made, done, today="2027-05-01"))


def test_a_tree_that_wants_winter_is_told_once_that_the_tropics_give_none() -> None:
    """Common practice, no source: hardy trees fail in tropical lowlands. Tropical is no month under 18 °C (class A; Peel et al. 2007)."""
    tropics = Garden(Settings("garden", site=Site(1.0, normals=wave(26.5, 27.5, 8))), KNOWLEDGE)
    hills = Garden(Settings("garden", site=Site(1.0, normals=wave(16, 17, 8))), KNOWLEDGE)
    strong = entry("2026-01-10", found=Found(stage="refinement", vigour=5))
    for species, code in (
        ("Pinus sylvestris", "no winter here"),
        ("Larix decidua", "no winter here"),
        ("Pinus thunbergii", "hardly a winter here"),
        ("Ficus microcarpa", None),
    ):
        plan = story(species, strong, today="2026-05-20", site=tropics)
        assert [r.code.value for r in plan.advice] == ([code] if code else []), species
        assert not story(species, strong, today="2026-05-20", site=hills).advice, species
        assert not story(species, strong, today="2026-05-20").advice, species
    told = say(story("Pinus sylvestris", strong, today="2026-05-20", site=tropics).advice[0])
    assert "can't live here in the long run" in told


def test_a_hardy_tree_kept_indoors_is_told_that_it_belongs_outside() -> None:
    """Common practice, no source: trees of cold winters do not live in a room."""
    kept = story("Juniperus chinensis", entry("2026-03-01", vigour=4), today="2026-05-20", indoors="always")
    assert [r.code.value for r in kept.advice] == ["no winter indoors"]
    assert not story("Ficus microcarpa", entry("2026-03-01", vigour=4), today="2026-05-20", indoors="always").advice


# round figures for a cool maritime place in the far south, and for one a degree or two cooler in summer (from memory)
NELSON = Normals(
    (13.0, 13.2, 11.5, 8.9, 6.5, 4.2, 3.2, 4.3, 6.3, 8.0, 9.8, 11.9),
    (22.2, 22.5, 20.8, 18.0, 15.2, 12.8, 12.2, 13.0, 14.8, 16.5, 18.4, 20.5),
)


def test_candles_at_41_south_come_off_late_in_december_or_not_at_all() -> None:
    """Common practice, no source: about 100 days before growth ends, so mid to late December; none where summers are too cool."""
    strong = entry("2026-08-01", found=Found(stage="refinement", vigour=5))
    mild = Garden(Settings("garden", site=Site(-41.3, normals=NELSON)), KNOWLEDGE)
    job = offered(story("Pinus thunbergii", strong, today="2026-10-01", site=mild))["candle removal"]
    assert job.best and date(2026, 12, 12) <= job.best <= date(2026, 12, 31)
    cool = Garden(Settings("garden", site=Site(-41.3, normals=wave(6, 17, 8, 1))), KNOWLEDGE)
    plan = story("Pinus thunbergii", strong, today="2026-10-01", site=cool)
    assert "season too short here" in refused(plan)["candle removal"]


def test_the_last_trim_of_a_long_summer_is_early_in_september() -> None:
    """Common practice, no source: shoots cut back after that push again and are soft when the first cold night comes."""
    strong = entry("2026-03-01", found=Found(stage="ramification", vigour=4))
    coast = Garden(Settings("garden", site=Site(41.0, normals=wave(9, 25, 9))), KNOWLEDGE)
    for species in ("Acer palmatum", "Carpinus betulus", "Quercus ilex", "Picea abies"):
        jobs = offered(story(species, strong, today="2026-05-01", site=coast))
        job = jobs.get("shoot trimming") or jobs["cutting hardened shoots back"]
        assert job.opens and job.closes and job.opens.month in (5, 6), species
        assert date(2026, 8, 25) <= job.closes <= date(2026, 9, 12), species


def test_no_shoot_is_thinned_while_its_page_says_no_cutting() -> None:
    """Common practice, no source: a tree hurt by frost, or one that feeds a layer or graft, keeps every leaf it has."""
    strong = entry("2025-10-01", found=Found(stage="refinement", vigour=5))
    hurt = story("Zelkova serrata", strong, entry("2026-05-20", trouble="frost"), today="2027-02-20")
    layered = story("Acer palmatum", strong, entry("2026-05-25", work="air layering"), today="2026-11-20")
    for plan in (hurt, layered):
        assert Kind.THIN in plan.holds[0].kinds
        assert not [j.work for j in plan.jobs if j.record and j.record.kind is Kind.THIN and not j.record.is_exempt]
        assert "shoot selection" in refused(plan)


def test_a_tray_that_was_sown_is_a_tray_of_seedlings() -> None:
    """Common practice, no source: nothing is cut, wired or repotted in the year of sowing; what is written of its stage counts first."""
    tray = story("Larix decidua", entry("2026-03-28", work="sowing"), today="2026-04-25")
    assert tray.state.stage == "seedling"
    asked = {j.work for j in tray.jobs if j.record and j.record.kind in (Kind.WOOD, Kind.FLUSH) and not j.optional}
    assert not asked
    grown = story(
        "Larix decidua",
        entry("2016-03-28", work="sowing"),
        entry("2024-04-01", stage="ramification"),
        today="2026-04-25",
    )
    assert grown.state.stage == "ramification"


def test_roots_of_a_tree_that_is_let_be_are_looked_at_and_no_more() -> None:
    """Common practice, no source: a tired, hurt or layered tree is not potted because its roots were seen to fill the pot."""
    strong = entry("2025-10-01", found=Found(stage="refinement", vigour=5))
    for told in (
        entry("2026-10-01", vigour=2),
        entry("2026-10-01", trouble="frost"),
        entry("2026-08-01", work="air layering"),
        entry("2026-10-20", work="bending", force="heavy"),
    ):
        look = offered(story("Acer palmatum", strong, told, today="2027-03-20"))["root look"]
        assert [r.code.value for r in look.conditions] == ["look only"], told
    sound = offered(story("Acer palmatum", strong, today="2026-03-20"))["root look"]
    assert [r.code.value for r in sound.conditions] == ["repot if roots fill the pot"]
