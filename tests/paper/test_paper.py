"""Pages: nothing leaves its block, nothing is tiny, backs lie behind fronts, and the bytes are the same each time."""

from __future__ import annotations

import itertools
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import settings as run_settings
from hypothesis import strategies as st

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Entry, Found, Pot, Settings, Targets, Tree, TrunkTarget
from logbook.collection.units import METRIC, US, Units
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper import typesetting as setting
from logbook.paper.bench_cards import repotting_card, wiring_card
from logbook.paper.booklet import Content, book_pages
from logbook.paper.charts import growth_charts
from logbook.paper.crib import Announced
from logbook.paper.day_list import day_list
from logbook.paper.dossier import Dossier, dossier_pages
from logbook.paper.layouts import layout
from logbook.paper.minder import Minded, minder_card
from logbook.paper.page import MM_PER_POINT, Box, Code, Picture, Rule, Shape, Text
from logbook.paper.photos import Photo
from logbook.paper.sheet.offers import offers_of
from logbook.paper.sheet.sheets import record_sheet
from logbook.paper.tags import pot_tag
from logbook.paper.walk import Walk, walk_list
from logbook.planning.garden import Garden
from logbook.planning.lists.repotting_list import repottings, shopping
from logbook.planning.lists.walk_rows import row_of
from logbook.planning.lists.watering import thirst_between
from logbook.planning.lists.wire_list import totals, wire_for
from logbook.planning.planner import plan_tree
from logbook.planning.scheduler import bench_days, schedule, tasks_of
from logbook.planning.tree_state import Reading
from logbook.shipped import shipped

from ..conftest import day, garden_at
from .pages import nothing_is_dropped, proved, trees, words

KNOWLEDGE = shipped_knowledge()
GARDEN = garden_at()
ALL = sorted(p.stem for p in shipped("layouts").glob("*.yaml"))
SHEETS, WALKS, TAGS = ([n for n in ALL if layout(n).kind == kind] for kind in ("sheet", "walk", "tag"))


@pytest.mark.parametrize("branches", [(), (Branch("54", role="sacrifice"),)])
@pytest.mark.parametrize("name", SHEETS)
def test_an_aim_longer_than_a_page_goes_on_on_the_next(name: str, branches: tuple[Branch, ...]) -> None:
    aim = " ".join(f"Word {n} of a long aim." for n in range(400))
    tree = Tree("A1", (), "trees/A1.yaml", species="Acer palmatum", aim=aim, branches=branches)
    plan = plan_tree(tree, GARDEN, day("2027-05-20"))
    made = record_sheet(
        plan, Settings("Garden", link="https://garden.example/{file}"), KNOWLEDGE, layout(name), "00142-4", more=True
    )
    for front, _ in made.leaves:
        proved(front)
    said = " ".join(i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text))
    assert len(made.leaves) > 1 and {str(n) for n in range(400)} <= set(said.split())


@given(
    trees,
    st.sampled_from(SHEETS),
    st.sampled_from([METRIC, US]),
    st.sampled_from(["2026-11-25", "2027-05-20"]),
)
@run_settings(max_examples=50)
def test_any_tree_fits_its_sheet(tree: Tree, name: str, units: object, today: str) -> None:
    plan = plan_tree(tree, GARDEN, day(today))
    made = record_sheet(
        plan,
        Settings("Garden", units=units, link="https://garden.example/{file}"),
        KNOWLEDGE,
        layout(name),
        "00142-4",
    )  # type: ignore[arg-type]
    for front, back in made.leaves:
        proved(front)
        if back is not None:
            proved(back)
    said = " ".join(i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text))
    nothing_is_dropped(plan, made, said)
    if len(made.leaves) > 1 and any(i.label.endswith("front 2") for i, _ in made.leaves):
        assert "more on the next page" in said
    sheet = made.sheet
    assert sheet is not None
    assert list(sheet.lines) == [str(n) for n in range(1, len(sheet.lines) + 1)]
    assert len(sheet.lines) >= 2, "there is always somewhere to write"
    sides = [side for leaf in made.leaves for side in leaf]
    for spot in sheet.spots:
        drawn = sides[spot.page - 1]
        assert drawn is not None
        if spot.kind in ("job", "vigour"):
            found = {(round(i.x, 3), round(i.y, 3)) for i in drawn.items if isinstance(i, Box)}
            assert (spot.x, spot.y) in found, "the ledger knows where each box was drawn"
    assert {s.id for s in sheet.spots if s.kind == "job"} == {j.letter for j in sheet.jobs}, "every job has its box"
    offers = offers_of(plan)
    assert {m.mark for m in offers.boxes} <= {j.letter for j in sheet.jobs}, "every job of the front has a box"
    assert len({j.letter.lower() for j in sheet.jobs}) == len(sheet.jobs), "no two marks are told apart by case"


@given(
    st.lists(trees, min_size=1, max_size=40, unique_by=lambda t: t.tag),
    st.sampled_from(WALKS),
)
@run_settings(max_examples=12)
def test_any_trees_fit_the_walk_list(some: list[Tree], name: str) -> None:
    plans = [plan_tree(tree, GARDEN, day("2026-11-25")) for tree in some]
    tags = [tree.tag for tree in some]
    for walk in (Walk(plans, tags, tags[:4]), Walk(plans, tags, everyone=True), Walk(plans, tags, first_look=True)):
        made = walk_list(walk, Settings("Garden"), layout(name), "00142-4")
        for page in made.pages:
            proved(page)
        sheet = made.sheet
        assert sheet is not None and sorted(sheet.tags) == sorted(tags)
        told = {tag for line in sheet.lines for tag in sheet.trees_of(line)}
        assert walk.everyone is False or told == set(tags)
        assert {s.id for s in sheet.spots if s.kind == "job"} >= {j.letter for j in sheet.jobs}, (
            "every job has its box"
        )


@given(trees, st.sampled_from(TAGS), st.booleans())
@run_settings(max_examples=20)
def test_any_tree_fits_its_tag(tree: Tree, name: str, poisonous: bool) -> None:
    plan = layout(name)
    tag = pot_tag(tree, Settings("Garden", link="https://g.example/{tag}"), plan, poisonous=poisonous)
    assert (tag.back is None) is (plan.sides == 1)
    for side in (tag.front, tag.back):
        if side is None:
            continue
        proved(side, least_x=0.9)
        number, *more = [i for i in side.items if isinstance(i, Text) and i.block in ("number", "words")]
        said = number.text + "".join(i.text for i in more if i.size_pt == number.size_pt and i.bold)
        assert said.startswith(tree.tag), "a tag's number is never cut"
        if len(tree.tag) <= 3:
            assert number.size_pt * 25.4 / 72 * setting.CAP_HEIGHT >= 8.0
        assert any(isinstance(i, Shape) and i.block == "poison" for i in side.items) is poisonous
    if plan.bends:
        share = 0.7 if len(tag.symbol.rows) <= 29 else 0.5
        assert tag.symbol.size <= share * plan.bends + 1e-6


def test_a_found_opening_is_told() -> None:
    tree = Tree(
        "1",
        (Entry(date=read_when("2026"), found=Found(stage="refinement", vigour=3)),),
        path="trees/1.yaml",
        species="Ficus microcarpa",
    )
    made = record_sheet(plan_tree(tree, GARDEN, day("2026-11-25")), Settings("G"), KNOWLEDGE, layout("pocket-a6"), "")
    said = " ".join(i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text))
    assert "record begins: refinement, vigour 3" in said
    back = " ".join(i.text for i in made.leaves[0][1].items if isinstance(i, Text))  # type: ignore[union-attr]
    assert "DRAFT" in back and made.sheet is None


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("latitude", [47.9, -37.0, 1.0])
def test_the_season_card_fits(name: str, latitude: float) -> None:
    from logbook.paper.cards import season_card

    garden = garden_at(latitude=latitude)
    groups = tuple(KNOWLEDGE.groups)
    pages = season_card(garden, groups, layout(name), 2027, day("2026-11-25"))
    for page in pages:
        proved(page)
    said = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text))
    assert "outlined, open; black, the best days" in said, "what the year on a sheet means"


SAID = Announced(
    [("1 14 oct wired 1", "what stands on a line")],
    [("roots", "light roots")],
    [("wiring", "wired")],
    [("swell", "buds moved")],
    [],
)


@given(
    st.lists(trees, min_size=1, max_size=6, unique_by=lambda t: t.tag),
    st.sampled_from(SHEETS),
    st.text(min_size=1, max_size=300),
)
@run_settings(max_examples=12)
def test_any_trees_fit_a_book(some: list[Tree], name: str, title: str) -> None:
    plan = layout(name)
    settings = Settings(setting.tidy(title) or "Garden", link="https://garden.example/{tag}")
    made = [record_sheet(plan_tree(t, GARDEN, day("2026-11-25")), settings, KNOWLEDGE, plan, "00142-4") for t in some]
    pages = book_pages(Content(some, made, (), settings, KNOWLEDGE, SAID, "25 Nov 2026"), plan)
    assert len(pages) % 4 == 0
    for page in pages:
        proved(page)
    said = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text)).replace(" ", "")
    for word in settings.title.split():
        assert word in said, "a title is printed whole"


lengths = st.none() | st.floats(1, 3000)
limbs = st.builds(
    Branch, id=st.integers(1, 99).map(str), diameter=st.floats(0.5, 200), length=lengths, role=st.just("keep")
)
potted = st.builds(
    Entry,
    date=st.just(read_when("2020-03-20")),
    work=st.just("repotting"),
    pot=st.builds(Pot, shape=st.just("oval"), inner=st.tuples(*[st.floats(20, 900)] * 3)),
    mix=st.dictionaries(words, st.floats(0.5, 9), max_size=5),
)
workable = st.builds(
    Tree,
    tag=st.sampled_from(["001", "A1", "WWWWWWWWWWWWWWWW", "松12"]),
    log=st.lists(potted, max_size=3).map(tuple),
    path=st.just("trees/001.yaml"),
    name=words | st.just(""),
    species=st.sampled_from(["Acer palmatum", "Taxus baccata", "Olea europaea"]),
    bench=words | st.just(""),
    branches=st.lists(limbs, max_size=30, unique_by=lambda b: b.id).map(tuple),
)


@given(
    st.lists(workable, min_size=1, max_size=4, unique_by=lambda t: t.tag),
    st.sampled_from(SHEETS),
    st.sampled_from([METRIC, US]),
    st.sampled_from(["copper", "aluminium"]),
)
@run_settings(max_examples=30)
def test_any_trees_fit_the_cards(some: list[Tree], name: str, units: Units, metal: str) -> None:
    plan, today = layout(name), day("2026-11-25")
    plans = [plan_tree(tree, GARDEN, today) for tree in some]
    laid = [(p.tree, rows) for p in plans if (rows := wire_for(p.tree, p.state, metal))]
    sums = totals(row for _, rows in laid for row in rows)
    groups = {tree.tag: GARDEN.group_of(tree) for tree in some}
    due = repottings(plans, some, groups)
    span = (day("2027-07-01"), day("2027-07-20"))
    minded = [Minded(p.tree, thirst_between(p.state, GARDEN.site, *span)) for p in plans]
    cards = {
        "wiring": wiring_card(laid, sums, units, plan, today, metal),
        "repotting": repotting_card(due, shopping(due, 10.0), units, plan, today, 10.0),
        "minder": minder_card(minded, span, KNOWLEDGE, plan, "Garden"),
    }
    for kind, pages in cards.items():
        for page in pages:
            proved(page)
        said = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text))
        assert len(pages) == 1 or "more on the next page" in said, kind
        heads = [next(b for b in page.blocks if b.name == "head") for page in pages[1:]]
        assert len(heads) == len(pages) - 1, "a further page begins with the card's name"
    said = " ".join(i.text for page in cards["wiring"] for i in page.items if isinstance(i, Text))
    for _, rows in laid:
        for row in rows:
            assert f"{row.branch.id}: " in said, "every branch has its row"


@given(
    st.lists(trees, min_size=1, max_size=6, unique_by=lambda t: t.tag),
    st.sampled_from(SHEETS),
    st.sampled_from(["", "00142-4"]),
)
@run_settings(max_examples=20)
def test_any_bench_days_fit_their_list(some: list[Tree], name: str, serial: str) -> None:
    plan, today = layout(name), day("2027-03-01")
    plans = [plan_tree(tree, GARDEN, today) for tree in some]
    tasks = tasks_of(plans, some, day("2027-04-20"))
    made = schedule(tasks, bench_days({"saturday": 9, "sunday": 9}, today, 7))
    drawn = day_list(made, {t.tag: t for t in some}, Settings("Garden"), plan, serial, today)
    for page in drawn.pages:
        proved(page)
    placed = [t for ts in made.days.values() for t in ts]
    assert (drawn.sheet is None) is (not serial or not placed)
    if drawn.sheet:
        assert len(drawn.sheet.lines) == len(placed)


@given(trees, st.sampled_from(["dossier-a4", "dossier-letter"]), st.sampled_from([METRIC, US]), st.booleans())
@run_settings(max_examples=30)
def test_any_tree_fits_its_dossier(tree: Tree, name: str, units: Units, public: bool) -> None:
    settings = Settings("Garden", units=units)
    garden = Garden(settings, KNOWLEDGE)
    plan = plan_tree(tree, garden, day("2026-11-25"))
    pages = dossier_pages(Dossier(plan, settings, KNOWLEDGE, (), public), layout(name))
    for page in pages:
        proved(page)
    said = "".join(i.text for page in pages for i in page.items if isinstance(i, Text)).replace(" ", "")
    for word in () if public else setting.tidy(tree.aim).split():
        assert word in said, "nothing is cut"
    assert len(pages) == 1 or "moreonthenextpage" in said


def test_a_chart_begins_at_zero_and_tells_its_ends() -> None:
    """Twice the height is twice the measure; a scale of doublings has no zero, and its foot is broken."""
    days = [date(2019, 5, 1), date(2020, 5, 1), date(2024, 5, 1), date(2026, 5, 1)]
    readings = {
        name: [Reading(day, value) for day, value in zip(days, values, strict=True)]
        for name, values in (("trunk", (20.0, 25.0, 35.0, 40.0)), ("tips", (10.0, 20.0, 40.0, 80.0)))
    }
    aims = Targets(trunk=TrunkTarget(60.0), tips=160)
    (piece,) = growth_charts(readings, aims, METRIC, 114.0)
    said = [i.text for i in piece.items if isinstance(i, Text)]
    assert said[:4] == ["trunk", "40 mm", "20 mm", "aim 60 mm"] and {"tips", "80", "10", "aim 160"} <= set(said)
    dots = [i for i in piece.items if isinstance(i, Box)]
    trunk, tips = dots[:4], dots[4:]
    foot = max(i.y1 for i in piece.items if isinstance(i, Rule) and i.y1 == i.y2)
    high = [foot - (box.y + 0.6) for box in trunk]
    assert high[3] == pytest.approx(2 * high[0]), "from zero up"
    steps = [box.x for box in trunk]
    assert (steps[2] - steps[1]) / (steps[1] - steps[0]) == pytest.approx(4.0, abs=0.02), (
        "years without one keep their room"
    )
    rises = [one.y - other.y for one, other in itertools.pairwise(tips)]
    assert max(rises) - min(rises) < 1e-6, "doubling is a straight line"
    breaks = [i for i in piece.items if isinstance(i, Rule) and i.x1 != i.x2 and i.y1 - i.y2 == pytest.approx(2.0)]
    assert len(breaks) == 2 and all(i.x1 > 50 for i in breaks), "only the scale without a zero is broken"
    assert max(i.y for i in piece.items if isinstance(i, Text)) <= piece.height


@pytest.mark.parametrize("values", [(52.0, 41.0, 46.0, 44.0), (20.0, 25.0, 35.0, 40.0), (30.0, 30.0, 30.0, 30.5)])
def test_no_aim_is_drawn_through_a_value(values: tuple[float, ...]) -> None:
    days = [date(2023, 5, 1), date(2024, 5, 1), date(2025, 5, 1), date(2026, 5, 1)]
    readings = {"trunk": [Reading(day, value) for day, value in zip(days, values, strict=True)]}
    for aim in range(8, 90):
        (piece,) = growth_charts(readings, Targets(trunk=TrunkTarget(float(aim))), METRIC, 114.0)
        (line,) = [i.y1 for i in piece.items if isinstance(i, Rule) and i.dash]
        for text in (i for i in piece.items if isinstance(i, Text)):
            high = text.size_pt * MM_PER_POINT * setting.CAP_HEIGHT
            assert not text.y - high < line < text.y, (values, aim, text.text)


def test_a_dossier_begins_with_the_tree_as_it_is() -> None:
    photos = [Photo(b"", 300, 200, f"{n} Jun 2021") for n in range(1, 7)]
    measured = tuple(
        Entry(read_when(f"{year}-10-01"), measured={"trunk": 20.0 + year % 100, "height": 300.0})
        for year in range(2020, 2027)
    )
    tree = Tree("014", measured, path="trees/014.yaml", species="Acer palmatum", name="Kiln")
    settings = Settings("Garden", link="https://g.example/{file}")
    plan = plan_tree(tree, Garden(settings, KNOWLEDGE), day("2026-11-25"))
    pages = dossier_pages(Dossier(plan, settings, KNOWLEDGE, photos), layout("dossier-a4"))
    shown = [i for page in pages for i in page.items if isinstance(i, Picture)]
    assert len(shown) == len(photos), "none twice"
    assert shown[0].width > 1.5 * shown[1].width and shown[0].block == "photo"
    names = list(dict.fromkeys(b.name for page in pages for b in page.blocks))
    wanted = ["title", "photo", "facts", "photos", "measured", "log", "hands"]
    assert [name for name in names if name in wanted] == wanted
    said = [i.text for page in pages for i in page.items if isinstance(i, Text)]
    assert "as it was on 6 Jun 2021" in said and said.index("2026") < said.index("2020")
    codes = [i for page in pages for i in page.items if isinstance(i, Code)]
    assert [code.text for code in codes] == ["https://g.example/trees/014.yaml"]
    public = dossier_pages(Dossier(plan, settings, KNOWLEDGE, photos, True), layout("dossier-a4"))
    assert not [i for page in public for i in page.items if isinstance(i, Code)]
    for page in (*pages, *public):
        proved(page)
    assert all("014 Kiln" in [i.text for i in page.items if isinstance(i, Text)] for page in pages[1:])


def test_all_wire_of_a_tree_stands_on_the_walk_list() -> None:
    wires = [
        Entry(read_when("2026-10-17"), work="wiring", branches=("1", "2", "3"), metal="copper"),
        Entry(read_when("2026-11-01"), work="wiring", branches=("4",), metal="aluminium"),
    ]
    tree = Tree("001", tuple(wires), species="Acer palmatum", bench="east 2")
    for today, said in (("2026-11-25", "wire 1–4 off by "), ("2027-12-20", "WIRE 1–4 OFF")):
        assert any(t.startswith(said) for t in walk_texts(tree, today)), walk_texts(tree, today)
    assert "east 2" in walk_texts(tree, "2026-11-25")
    bitten = Tree(
        "001", (*wires, Entry(read_when("2027-06-01"), work="wire check", bite="cut")), species="Acer palmatum"
    )
    assert any("IT BITES" in t for t in walk_texts(bitten, "2027-06-02"))
    made = plan_tree(bitten, garden_at(), day("2027-06-02"))
    front = record_sheet(made, Settings("G"), shipped_knowledge(), layout("pocket-a6"), "00142-4").leaves[0][0]
    bar = [i.text for i in front.items if isinstance(i, Text) and i.block == "bars"]
    assert bar[:2] == ["WIRE BITES 1–4", "TAKE IT OFF"] and "do not unwind" in bar[2] and len(bar) == 3, (
        "two wires that bite are one bar"
    )


def walk_texts(tree: Tree, today: str) -> list[str]:
    made = plan_tree(tree, garden_at(), day(today))
    walk = walk_list(Walk([made], [tree.tag], everyone=True), Settings("G"), layout("walk-a4"), "00142-4")
    return [i.text for i in walk.pages[0].items if isinstance(i, Text)]


def test_a_walk_list_names_what_is_wanted_before_what_may_be_done() -> None:
    strong = Entry(
        read_when("2026-03-01"), found=Found(stage="ramification", vigour=5, repotted=read_when("2026-03"))
    )
    tree = Tree("001", (strong,), species="Acer palmatum")
    named = 0
    for week in range(52):
        made = plan_tree(tree, garden_at(), day("2027-01-04") + timedelta(weeks=week))
        wanted = [j for j in made.jobs if j.opens and j.opens <= made.today and not j.optional]
        row = row_of(made)
        assert row is None or (row.job and not row.job.optional), (made.today, row)
        assert wanted or row is None or (row.job and row.job.opens and row.job.opens > made.today)
        named += row is not None
    assert 10 < named < 52
