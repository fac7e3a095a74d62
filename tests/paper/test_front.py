"""The front: one leaf for every tree, nothing clipped or dropped, no *now*, own words whole, and a year whose ends can be read."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from logbook.collection.dates import read_when
from logbook.collection.load import load
from logbook.collection.model import Entry, Found, Intention, Settings, Tree
from logbook.collection.units import METRIC, US, Units
from logbook.diagnostics import ProblemsFound
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import FORMER_BLOCKS, FRONT_BLOCKS, layout
from logbook.paper.page import Box, Page, Shape, Text
from logbook.paper.sheet.back import HEAD_MM
from logbook.paper.sheet.blocks.year import LABEL_MM, OUTLINE_MM, ROW_MM
from logbook.paper.sheet.front import BLOCKS
from logbook.paper.sheet.good_to import good_to
from logbook.paper.sheet.offers import offers_of
from logbook.paper.sheet.sheets import RecordSheet, record_sheet
from logbook.paper.typesetting import wrap
from logbook.planning.fixed_year import fixed_year
from logbook.planning.garden import Garden
from logbook.planning.model import Plan
from logbook.planning.planner import plan_tree

from ..conftest import DEMO, INLAND, day, garden_at, mirrored
from .gardens import DAYS, LAYOUTS, generated, stress
from .pages import eroded, nothing_is_dropped, proved

KNOWLEDGE = shipped_knowledge()
NEVER = re.compile(r"\b(now|today)\b", re.IGNORECASE)
MARGIN_MM = 6.0
LEAST_BENCH_PT, LEAST_SMALLER_PT = 9.0, 7.5


def settings_of(garden: Garden, units: Units) -> Settings:
    return Settings("Garden", units=units, site=garden.settings.site, link="https://g.example/{file}")


def sheet_of(plan: Plan, name: str, units: Units, garden: Garden) -> RecordSheet:
    return record_sheet(plan, settings_of(garden, units), KNOWLEDGE, layout(name), "00142-4")


def texts(page: Page) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text)]


def sound(plan: Plan, made: RecordSheet) -> None:
    """Every page keeps its rooms, nothing is dropped, no word ties it to the print day."""
    for front, back in made.leaves:
        proved(front)
        if back is not None:
            proved(back)
    fronts = [front for front, _ in made.leaves if "front" in front.label]
    said = " ".join(item.text for front in fronts for item in texts(front))
    nothing_is_dropped(plan, made, said)
    own = " ".join([plan.tree.aim, *(e.note for e in plan.state.entries), *(job.own for job in plan.jobs)])
    assert "…" not in own and said.count("…") == said.count("… more in the file")
    assert not NEVER.search(said) or NEVER.search(own)


def over(
    trees: Sequence[Tree], days: Sequence[str], layouts: Sequence[str], units: Sequence[Units], garden: Garden
) -> Iterator[str]:
    """The sheets that take more than one leaf, each proved."""
    for today in days:
        plans = [plan_tree(tree, garden, day(today)) for tree in trees]
        for name in layouts:
            for unit in units:
                for plan in plans:
                    made = sheet_of(plan, name, unit, garden)
                    sound(plan, made)
                    if len(made.leaves) > 1:
                        yield f"{plan.tree.tag} {plan.tree.species} {today} {name} {unit.name}"


def demo_garden() -> tuple[Garden, Sequence[Tree]]:
    collection = load(DEMO, KNOWLEDGE)
    return Garden(collection.settings, KNOWLEDGE, collection.trees), collection.living


def test_one_leaf_for_every_tree_of_the_demo() -> None:
    garden, trees = demo_garden()
    assert not list(over(trees, DAYS[:2], LAYOUTS, [METRIC], garden))
    assert not list(over(trees, DAYS[2:], LAYOUTS[:2], [US], garden))


def test_one_leaf_for_heavy_trees() -> None:
    """A sample of the sixty: all of them in the soak."""
    trees = stress()
    for number, (today, name) in enumerate(zip(DAYS, ("pocket-quarter-letter", *LAYOUTS), strict=True)):
        assert not list(over(trees[number::4], [today], [name], [(METRIC, US)[number % 2]], garden_at()))


def test_one_leaf_for_most_invented_trees() -> None:
    trees = generated(80, 7)
    found = [
        one for n, today in enumerate(DAYS) for one in over(trees[n::4], [today], LAYOUTS[:2], [METRIC], garden_at())
    ]
    assert len(found) <= 0.01 * 160, found


@pytest.mark.soak
@pytest.mark.parametrize("southern", [False, True], ids=["north", "south"])
def test_one_leaf_for_all_of_them(southern: bool) -> None:
    """Sixty heavy trees all on one leaf, and 99 of 100 of five hundred from a seed: three papers, four days, both units."""
    garden = garden_at(mirrored(INLAND), -47.9) if southern else garden_at()
    assert not list(over(stress(), DAYS, LAYOUTS, [METRIC, US], garden))
    found = list(over(generated(500, 21), DAYS, LAYOUTS, [METRIC, US], garden))
    assert len(found) <= 0.01 * 500 * len(DAYS) * len(LAYOUTS) * 2, found[:40]


def test_more_prints_the_whole_log() -> None:
    garden, tree = garden_at(), stress()[0]
    plan = plan_tree(tree, garden, day(DAYS[0]))
    made = record_sheet(plan, settings_of(garden, METRIC), KNOWLEDGE, layout("pocket-a6"), "00142-4", more=True)
    fronts = [front for front, _ in made.leaves if "front" in front.label]
    assert len(fronts) > 1 and any(item.text == "more on the next page" for item in texts(fronts[0]))
    said = "".join(item.text for front in fronts for item in texts(front) if item.block == "log").replace(" ", "")
    for entry in plan.state.entries:
        assert entry.note.replace(" ", "") in said, "the whole log, however many leaves it takes"


def test_type_is_large_enough_at_the_bench() -> None:
    """9 pt or more for what is read at the bench and 8 for the rest, half a point less only where a leaf would not do."""
    garden, trees = demo_garden()
    for tree in trees:
        made = sheet_of(plan_tree(tree, garden, day(DAYS[0])), "pocket-a6", METRIC, garden)
        for item in texts(made.leaves[0][0]):
            least = LEAST_BENCH_PT if item.block in ("bars", "meant", "jobs", "care") else 7.5
            assert item.size_pt >= least or (item.block == "jobs" and len(item.text) == 3), item


# -- what it says ----------------------------------------------------------------------------------------------------


def test_good_to_is_the_first_day_on_which_something_else_holds() -> None:
    garden = garden_at()
    for tree in stress()[:20]:
        plan = plan_tree(tree, garden, day(DAYS[0]))
        until = good_to(plan)
        assert day(DAYS[0]) < until <= fixed_year(day(DAYS[0])).last
        offered = {id(m.job) for m in offers_of(plan).front}
        for job in plan.jobs:
            if (
                job.opens
                and not job.optional
                and not job.is_about_wire
                and not job.is_look_over
                and id(job) not in offered
            ):
                assert until <= job.opens
        for hold in plan.holds:
            assert hold.until is None or hold.until <= day(DAYS[0]) or until <= hold.until


def test_every_window_keeps_its_ends_on_a_bad_photocopy() -> None:
    garden, trees = demo_garden()
    seen = 0
    for tree in trees:
        made = sheet_of(plan_tree(tree, garden, day(DAYS[0])), "pocket-a6", METRIC, garden)
        page = made.leaves[0][0]
        dark, scale = eroded(page)
        frames = [
            i
            for i in page.items
            if isinstance(i, Shape) and i.block == "year" and i.fill is None and i.thick == OUTLINE_MM
        ]
        for frame in frames:
            xs, ys = [x for x, _ in frame.points], [y for _, y in frame.points]
            middle = (min(ys) + max(ys)) / 2
            if len(frame.points) > 4:
                continue  # an end that the year cuts off is notched
            row = dark[round((middle - 0.6) * scale) : round((middle + 0.6) * scale) + 1].all(axis=0)
            for x in (min(xs), max(xs)):
                near = np.flatnonzero(row[round((x - 0.5) * scale) : round((x + 0.5) * scale) + 1])
                assert len(near), (tree.tag, x)
                seen += 1
    assert seen > 20


def test_what_may_be_wanted_on_the_print_day_stands_before_what_is_ahead() -> None:
    """A reader begins at the top: open works and such as only their signs tell, then those to come."""
    garden, mixed = garden_at(), 0
    for today in DAYS:
        for tree in (*stress(), *generated(60, 99)):
            ahead = [
                m.job.opens is not None and m.job.opens > day(today)
                for m in offers_of(plan_tree(tree, garden, day(today))).front
            ]
            assert ahead == sorted(ahead), (tree.tag, today)
            mixed += len(set(ahead)) == 2
    assert mixed > 20


def front_of(tree: Tree, today: str, name: str = "pocket-a6") -> Page:
    return sheet_of(plan_tree(tree, garden_at(), day(today)), name, METRIC, garden_at()).leaves[0][0]


def entry(when: str, **told: Any) -> Entry:
    return Entry(read_when(when), **told)


def test_a_log_does_not_say_where_a_photograph_lies() -> None:
    log = (
        entry("2026-09-01", photo="photos/3.jpg"),
        entry("2026-10-04", photo="photos/4.jpg", note="after the storm"),
    )
    said = [t.text for t in texts(front_of(Tree("4", log, species="Acer palmatum"), DAYS[0])) if t.block == "log"]
    assert said == ["4 Oct 26", "after the storm"]


@pytest.mark.parametrize(
    ("note", "told"),
    [
        ("lower left", "WIRE ON (lower left)"),
        ("apex only; the rest next year", "WIRE ON (apex only)"),
        ("", "WIRE ON"),
        ("put on while it was too cold for anything else, so look early", "WIRE ON"),  # stands in the log
    ],
)
def test_wire_without_a_branch_says_what_its_note_says(note: str, told: str) -> None:
    log = (entry("2026-10-10", work="wiring", metal="aluminium", wire=(3.0,), note=note),)
    for more in ((), (entry("2026-11-01", work="wire check"),)):
        page = front_of(Tree("4", (*log, *more), species="Acer palmatum"), DAYS[0])
        assert told in [t.text for t in texts(page) if t.block == "bars"]


def test_wires_that_come_off_together_say_where_all_of_them_are_or_nothing() -> None:
    days = {"lower left": "2026-10-08", "apex": "2026-10-10"}
    wires = [entry(when, work="wiring", metal="copper", note=note) for note, when in days.items()]
    page = front_of(Tree("4", tuple(wires), species="Acer palmatum"), DAYS[0])
    assert "WIRE ON (lower left, apex)" in [t.text for t in texts(page)]
    unnamed = entry("2026-10-10", work="wiring", metal="copper")
    page = front_of(Tree("4", (wires[0], unnamed), species="Acer palmatum"), DAYS[0])
    assert "WIRE ON" in [t.text for t in texts(page)]


def test_what_is_open_and_what_is_best_is_told_beside_the_year() -> None:
    garden, trees = demo_garden()
    for name in LAYOUTS:
        for tree in trees:
            page = sheet_of(plan_tree(tree, garden, day(DAYS[0])), name, METRIC, garden).leaves[0][0]
            year = next(b for b in page.blocks if b.name == "year")
            first = [
                t.text for t in sorted(texts(page), key=lambda t: t.x) if t.block == "year" and t.y < year.y + 3.5
            ]
            assert first[:2] == ["open", "best"] and len(first) == 14, "the months stand right of it"
            swatches = [i for i in page.items if isinstance(i, Box) and i.block == "year" and i.y < year.y + 3.5]
            assert [box.fill for box in swatches] == [None, 0.0]


def test_a_tree_without_a_stage_says_that_it_is_not_known() -> None:
    said = " ".join(t.text for t in texts(front_of(Tree("4", (), species="Acer palmatum"), DAYS[2])))
    assert "stage not known: only in" in said and not re.search("(?<!stage not known: )only in (ramif|refin)", said)


# -- what two strangers could not tell from twenty fronts --------------------------------------------------------------


def said_on(page: Page, block: str) -> str:
    return " ".join(item.text for item in texts(page) if item.block == block)


def test_feeding_is_drawn_or_said_and_each_row_of_the_year_has_a_name() -> None:
    """A row that gave way, or had no name, was read as no feeding at all, or as a mistake."""
    garden = garden_at()
    for tree in stress()[::4]:
        plan = plan_tree(tree, garden, day(DAYS[2]))
        page = sheet_of(plan, "pocket-a6", METRIC, garden).leaves[0][0]
        feeding = [j for j in plan.care if j.work == "feeding" and j.opens and j.opens <= day("2027-11-19")]
        year, care = said_on(page, "year"), said_on(page, "care")
        assert not feeding or "feed" in f"{year} {care}", tree.tag
        names = [t for t in texts(page) if t.block == "year" and t.x < MARGIN_MM + LABEL_MM and t.text.strip()]
        windows = [i for i in page.items if isinstance(i, Shape) and i.block == "year" and i.fill is None]
        for top in {min(y for _, y in window.points) for window in windows}:
            assert any(top - 1.0 < t.y < top + ROW_MM for t in names), f"{tree.tag}: a window without a name"


def test_what_was_meant_for_later_has_a_name_in_the_year() -> None:
    """It has no mark yet, and its own words are too long for the row."""
    meant = Intention("take the low branch off above the second fork", read_when("2028"))
    page = front_of(Tree("4", (entry("2026-10-01", intend=meant),), species="Acer palmatum"), DAYS[0])
    assert "as you meant" in said_on(page, "year")


def test_water_is_said_where_no_bar_says_it() -> None:
    assert "water as the soil dries" in said_on(front_of(Tree("4", (), species="Acer palmatum"), DAYS[2]), "care")
    resting = front_of(Tree("4", (entry("2027-05-01", vigour=1),), species="Acer palmatum"), DAYS[2])
    assert "water and shelter as usual" in said_on(resting, "bars") and "water" not in said_on(resting, "care")


def test_fresh_roots_are_told_with_the_work_that_makes_them() -> None:
    """Six weeks without frost, four without feeding: common practice, no source; aftercare.yaml says the same once it is done."""
    found = entry("2026-10-01", found=Found(stage="trunk growing", vigour=5, repotted=read_when("2022")))
    page = front_of(Tree("4", (found,), species="Acer palmatum"), DAYS[1])
    assert "repotting" in said_on(page, "jobs")
    assert "then shade and shelter, no frost for 6 weeks, no feeding for 4" in said_on(page, "jobs")
    assert "no frost" not in said_on(front_of(Tree("4", (found,), species="Acer palmatum"), DAYS[3]), "jobs")


def test_wire_that_may_have_grown_in_is_told_how_to_come_off() -> None:
    old = entry("2025-05-10", work="wiring", metal="copper", branches=("1",))
    fresh = entry("2027-05-01", work="wiring", metal="copper", branches=("2",))
    assert "do not unwind" in said_on(front_of(Tree("4", (old,), species="Acer palmatum"), DAYS[2]), "bars")
    assert "unwind" not in said_on(front_of(Tree("4", (fresh,), species="Acer palmatum"), DAYS[2]), "bars")


def test_a_number_stays_with_its_degrees() -> None:
    for room in range(8, 60):
        assert not any(
            line.startswith("°") for line in wrap("before a night under -6 °C, in midwinter -10 °C", 9.0, room)
        )


def test_the_heaviest_front_of_a_quarter_letter_stays_on_one_leaf() -> None:
    assert not list(over(stress(), DAYS[1:2], LAYOUTS[1:2], [METRIC], garden_at()))


# -- marks -----------------------------------------------------------------------------------------------------------


def slips(mark: str) -> set[str]:
    """The mark with one letter wrong, lost or doubled, or two in the wrong order."""
    letters = "abcdefghijklmnopqrstuvwxyz"
    wrong = {mark[:n] + c + mark[n + 1 :] for n in range(len(mark)) for c in letters if mark[n].isalpha()}
    lost = {mark[:n] + mark[n + 1 :] for n in range(len(mark)) if mark[n].isalpha()}
    more = {mark[:n] + c + mark[n:] for n in range(len(mark) + 1) for c in letters}
    return (wrong | lost | more | {mark[1] + mark[0] + mark[2:]}) - {mark}


def test_no_slip_of_a_letter_is_another_offered_job() -> None:
    """A slip is an unknown mark, which is asked; with single letters it was another work, done in silence."""
    garden, tried = garden_at(), 0
    for today in DAYS:
        for tree in stress():
            offers = offers_of(plan_tree(tree, garden, day(today)))
            marks = {m.mark for m in (*offers.boxes, *offers.spare)}
            for mark in marks:
                found = slips(mark) & marks
                tried += len(slips(mark))
                assert not found, (tree.tag, today, mark, found)
    assert tried > 50_000


@pytest.mark.soak
@pytest.mark.parametrize("southern", [False, True], ids=["north", "south"])
def test_no_slip_of_a_letter_is_another_job_of_five_hundred_trees(southern: bool) -> None:
    garden = garden_at(mirrored(INLAND), -47.9) if southern else garden_at()
    for today in DAYS:
        for tree in generated(500, 21):
            offers = offers_of(plan_tree(tree, garden, day(today)))
            marks = {m.mark for m in (*offers.boxes, *offers.spare)}
            for mark in marks:
                assert not slips(mark) & marks, (tree.tag, today, mark, slips(mark) & marks)


def test_a_second_of_a_kind_has_a_number() -> None:
    garden = garden_at()
    marks = {m.mark for tree in stress() for m in offers_of(plan_tree(tree, garden, day(DAYS[0]))).boxes}
    assert {"m1", "m2", "ok"} <= marks and any(re.fullmatch("[a-ln-z][a-z]2", mark) for mark in marks)
    assert all(re.fullmatch(r"[a-z]{2}\d?|m\d", mark) for mark in marks)


@pytest.mark.parametrize("name", LAYOUTS)
def test_a_mark_stands_apart_from_the_words_behind_it(name: str) -> None:
    """A millimetre between `xw2` and `wire off`, on the back, in the year and among the jobs."""
    garden, seen = garden_at(), 0
    for tree in stress()[::3]:
        for today in DAYS[1:3]:
            for pages in sheet_of(plan_tree(tree, garden, day(today)), name, METRIC, garden).leaves:
                for page in filter(None, pages):
                    for mark in (t for t in texts(page) if t.bold and re.fullmatch(r"[a-z]{2}\d|m\d", t.text)):
                        behind = [t for t in texts(page) if t.x > mark.x and -2.0 < t.y - mark.y < 2.0]
                        assert all(t.x - mark.x - mark.width >= 0.99 for t in behind), (tree.tag, mark)
                        seen += bool(behind) and mark.text[0] != "m"
    assert seen > 10


# -- the back --------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("name", LAYOUTS)
def test_boxes_are_five_millimetres_and_words_stand_outside_the_writing_room(name: str) -> None:
    garden, trees = demo_garden()
    for tree in trees:
        made = sheet_of(plan_tree(tree, garden, day(DAYS[0])), name, METRIC, garden)
        assert made.sheet is not None
        boxes = [s for s in made.sheet.spots if s.kind in ("job", "vigour")]
        assert boxes and all(s.width >= 5.0 and s.height >= 5.0 for s in boxes)
        first = next(s for s in made.sheet.spots if s.kind == "line" and s.id == "1")
        back = made.leaves[0][1]
        assert back is not None
        for item in texts(back):
            if item.block == "lines" and not item.text.isdecimal():
                assert item.y <= first.y and item.y >= first.y - HEAD_MM, "the column words stand above line 1"
        frames = [i for i in back.items if isinstance(i, Box) and i.block == "squares"]
        assert len(frames) == 6


# -- layouts and words -----------------------------------------------------------------------------------------------


def test_every_block_of_a_layout_is_in_the_register() -> None:
    assert set(BLOCKS) == set(FRONT_BLOCKS)


def test_a_layout_of_before_loads_with_a_word(tmp_path: Path) -> None:
    own = tmp_path / "own.yaml"
    before = "front: [wire, next, leave, meant, state, care, aim, branches, charts, last]"
    own.write_text(f"version: 1\nkind: sheet\npaper: a4\npage: [105, 148]\n{before}\n", encoding="utf-8")
    made = layout(str(own))
    assert made.front == ("bars", "jobs", "year", "leave", "meant", "care", "tree", "log")
    (notice,) = made.notices
    assert notice.severity == "warning" and notice.place is not None and notice.place.line == 5
    for name in FORMER_BLOCKS:
        assert f"{name} is " in notice.message
    assert not layout("pocket-a6").notices
    own.write_text("version: 1\nkind: sheet\npaper: a4\npage: [105, 148]\nfront: [wires]\n", encoding="utf-8")
    layout.cache_clear()
    with pytest.raises(ProblemsFound):
        layout(str(own))
