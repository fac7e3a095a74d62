"""The bench walk list: which trees have a row, what a row says, and that sixty of them stay on three sides."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from logbook.cli.due_lines import due_lines
from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Found, Intention, Settings, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.headings import Heading
from logbook.paper.layouts import layout
from logbook.paper.page import Box, Page, Rule, Text
from logbook.paper.row_words import branch_ranges, row_names
from logbook.paper.sheet.sheets import record_sheet
from logbook.paper.walk import Walk, WalkList, walk_list
from logbook.planning.lists.due_rows import FIRST, GROUPS, OPEN, Shown, heard_and_silent
from logbook.planning.lists.walk_rows import AHEAD_DAYS, bench_part, benches_of, row_of, tag_ranges
from logbook.planning.planner import plan_tree
from logbook.planning.wording import Wording
from logbook.storage.printed import Spot

from ..conftest import day, garden_at
from .pages import proved
from .walk_garden import stress_trees, stress_walk

WINTER = [date(2027, 1, 18) + timedelta(days=n) for n in (0, 3, 6)]
JUNE = [date(2027, 6, 7) + timedelta(days=n) for n in (0, 3, 6)]


@cache
def made_on(today: date, name: str = "walk-a4", *, everyone: bool = False) -> tuple[Walk, WalkList]:
    walk, settings = stress_walk(today, everyone=everyone)
    return walk, walk_list(walk, settings, layout(name), "00142-4")


@pytest.mark.parametrize("name", ["walk-a4", "walk-letter"])
@pytest.mark.parametrize("today", [*WINTER, *JUNE], ids=str)
def test_sixty_awkward_trees_stay_on_three_sides(today: date, name: str) -> None:
    _, made = made_on(today, name)
    assert len(made.pages) <= 3
    for page in made.pages:
        proved(page)


def spots(made: WalkList, kind: str) -> list[Spot]:
    assert made.sheet is not None
    return [spot for spot in made.sheet.spots if spot.kind == kind]


@pytest.mark.parametrize("name", ["walk-a4", "walk-letter"])
def test_boxes_and_fields_are_large_enough_for_a_pencil(name: str) -> None:
    """Sizes of the design: common practice, no source."""
    for today in (WINTER[0], JUNE[0]):
        walk, made = made_on(today, name)
        assert {(s.width, s.height) for s in spots(made, "job")} == {(6.0, 6.0)}
        benches = {b.ident for b in headings(made)}
        for spot in spots(made, "say"):
            assert spot.width >= (5.0 if spot.tag in benches else 6.0)
        for box in spots(made, "job"):
            beside = next(s for s in spots(made, "say") if s.tag == box.tag and s.id == "looked")
            assert beside.x - (box.x + box.width) == pytest.approx(4.0)
        assert all(s.width == pytest.approx(13.0) for s in spots(made, "day"))
        free = [s for s in spots(made, "line") if s.height > 8]
        assert free and all(s.width >= 60.0 and s.height >= 11.0 - 1e-6 for s in free)
        tags = [i for page in made.pages for i in page.items if isinstance(i, Text) and i.size_pt == 19.0]
        assert len(tags) >= 0.8 * len({row for row in lines_of(made) if row not in benches})
        assert walk.plans[0].today == today


def headings(made: WalkList) -> list[Heading]:
    assert made.sheet is not None
    ticked = {s.tag for s in made.sheet.spots if s.kind == "say"} - {
        s.tag for s in made.sheet.spots if s.kind == "line"
    }
    return [Heading(ident, ident=ident) for ident in ticked]


def lines_of(made: WalkList) -> list[str]:
    assert made.sheet is not None
    return list(made.sheet.lines)


def test_nothing_is_printed_where_the_pencil_goes() -> None:
    for today in (*WINTER[:1], *JUNE[:1], date(2027, 4, 18)):
        _, made = made_on(today)
        for spot in (*spots(made, "line"), *spots(made, "day"), *spots(made, "told"), *spots(made, "by")):
            page = made.pages[spot.page - 1]
            for item in page.items:
                if not isinstance(item, Text):
                    continue
                over_x = min(item.x + item.width, spot.x + spot.width) - max(item.x, spot.x)
                over_y = min(item.y, spot.y + spot.height) - max(item.y - 2.0, spot.y)
                assert over_x <= 0.01 or over_y <= 0.01, (spot, item)


def test_every_place_has_its_rule_and_every_box_its_frame() -> None:
    _, made = made_on(date(2027, 4, 18))
    for spot in (*spots(made, "line"), *spots(made, "day"), *spots(made, "told"), *spots(made, "by")):
        page = made.pages[spot.page - 1]
        ruled = [i for i in page.items if isinstance(i, Rule) and abs(i.y1 - spot.y - spot.height) < 0.01]
        assert any(i.x1 <= spot.x + 0.01 and i.x2 >= spot.x + spot.width - 0.01 for i in ruled), spot
        near = [
            i.y1
            for i in page.items
            if isinstance(i, Rule)
            and i.y1 == i.y2
            and 0.01 < abs(i.y1 - spot.y - spot.height) < 2.6
            and i.x1 < spot.x + spot.width
            and i.x2 > spot.x
        ]
        assert not near, "a camera follows the rule of a place and must not meet another one beside it"
    for spot in (*spots(made, "job"), *spots(made, "say"), *spots(made, "vigour")):
        page = made.pages[spot.page - 1]
        assert any(isinstance(i, Box) and (i.x, i.y, i.width) == (spot.x, spot.y, spot.width) for i in page.items)


# -- which trees ---------------------------------------------------------------------------------------------------


def test_a_row_is_for_what_falls_in_three_weeks() -> None:
    walk, _ = stress_walk(WINTER[0])
    rows_there = {tag for bench in benches_of(walk.plans) for row in bench.rows for tag in row.tags}
    last = WINTER[0] + timedelta(days=AHEAD_DAYS)
    for plan in walk.plans:
        asked = [j for j in plan.jobs if not (j.is_look_over or (j.optional and not j.own))]
        falls = any(
            d and WINTER[0] <= d <= last
            for j in asked
            for d in (j.opens if j.record else None, j.closes, j.by.latest if j.by else None)
        )
        if falls and not all(j.is_about_wire for j in asked):
            assert plan.tree.tag in rows_there
    idle = len(walk.plans) - len(rows_there)
    assert idle >= 20, "an open window alone gives no row"
    everyone, _ = stress_walk(WINTER[0], everyone=True)
    assert {t for b in benches_of(everyone.plans, everyone=True) for r in b.rows for t in r.tags} == {
        p.tree.tag for p in everyone.plans
    }


def test_every_tree_stands_on_the_list() -> None:
    """With a row, in a row of neighbours, or among those that need nothing."""
    for today in (*WINTER[:1], *JUNE[:1]):
        walk, made = made_on(today)
        assert made.sheet is not None
        assert sorted(made.sheet.tags) == sorted(walk.living)
        said = " ".join(i.text for page in made.pages for i in page.items if isinstance(i, Text))
        for bench in benches_of(walk.plans):
            assert all(part in said for part in tag_ranges(bench.idle, walk.living))


@pytest.mark.parametrize("today", [*WINTER[:1], *JUNE[:1], date(2026, 12, 29), date(2027, 4, 18)], ids=str)
def test_a_tree_whose_work_is_open_is_never_said_to_need_nothing(today: date) -> None:
    """What `due` lists as open or pressing has a row, or is named with its work; so is a tree of which something must not be done."""
    walk, _ = stress_walk(today)
    idle = {tag for bench in benches_of(walk.plans) for tag in bench.idle}
    group, listed = "", set()
    for line in due_lines(walk.plans, Shown(today), Wording()):
        group = line if line in GROUPS else group if line[:1].isdigit() and " trees not " not in line else ""
        listed |= {line.split()[0]} if group in (FIRST, OPEN) and line != group else set()
    assert len(listed) > 10 and not listed & idle
    assert not {plan.tree.tag for plan in walk.plans if plan.holds} & idle


def test_the_line_of_a_bench_says_what_is_still_open_and_what_must_not_be_done() -> None:
    refined = Entry(read_when("2026-03-01"), found=Found(stage="refinement", vigour=4, repotted=read_when("2026-03")))
    weak = Entry(read_when("2026-09-01"), vigour=1)
    some = [tree(refined, tag=str(n), species="Pinus sylvestris", bench="a") for n in (14, 16, 17, 18)]
    some.append(tree(FOUND, weak, tag="23", bench="a"))
    some += [tree(FOUND, tag=str(n), species="Ficus microcarpa", bench="a") for n in (24, 25, 26)]
    plans = [plan_tree(one, garden_at(trees=some), day("2026-12-29")) for one in some]
    (bench,) = benches_of(plans)
    first = {job.closes for plan in plans[:4] for job in plan.jobs if job.work == "shoot selection"}
    (closes,) = first
    assert closes is not None
    said = " ".join(text for text in texts(some, "2026-12-29"))
    told = f"still open: 14 16–18 (shoot selection until {closes.day} {closes:%b}) · no cutting, no wiring, no repotting: 23 · nothing needed: 24–26"
    assert not bench.rows and told in said


def tree(*log: Entry, tag: str = "014", species: str = "Acer palmatum", **more: object) -> Tree:
    return Tree(tag, log, species=species, **more)  # type: ignore[arg-type]


FOUND = Entry(read_when("2026-03-01"), found=Found(stage="ramification", vigour=4, repotted=read_when("2026-03")))


def texts(trees: list[Tree], today: str, **more: object) -> list[str]:
    plans = [plan_tree(one, garden_at(trees=trees), day(today)) for one in trees]
    walk = Walk(plans, [one.tag for one in trees], **more)  # type: ignore[arg-type]
    pages: tuple[Page, ...] = walk_list(walk, Settings("G"), layout("walk-a4"), "00142-4").pages
    return [i.text for page in pages for i in page.items if isinstance(i, Text)]


def test_wire_that_is_due_is_the_row_and_done_means_all_of_it() -> None:
    wired = [
        Entry(read_when("2026-06-01"), work="wiring", branches=("1", "2"), metal="copper"),
        Entry(read_when("2026-06-08"), work="wiring", branches=("3",), metal="copper"),
    ]
    one = tree(FOUND, *wired)
    for n in range(400):
        made = plan_tree(one, garden_at(), day("2026-06-10") + timedelta(days=n))
        row = row_of(made)
        if row and row.is_wire_due and len(row.branches) == 3:
            break
    else:
        raise AssertionError("never due together")
    assert row.job is not None and row.off is not None and row.off <= made.today + timedelta(days=14)
    walk = walk_list(Walk([made], ["014"]), Settings("G"), layout("walk-a4"), "00142-4")
    assert walk.sheet is not None
    (job,) = walk.sheet.jobs
    assert (job.letter, job.work, job.branches) == ("014", "wire off", ("1", "2", "3"))
    said = [i.text for i in walk.pages[0].items if isinstance(i, Text)]
    assert "WIRE 1–3 OFF" in said and any(t.startswith("by ") for t in said)


def test_wire_that_is_not_due_is_told_and_never_bold() -> None:
    wired = Entry(read_when("2026-11-01"), work="wiring", branches=("1", "2", "3"), metal="copper")
    one = tree(FOUND, wired)
    plans = [plan_tree(one, garden_at(), day("2026-11-25"))]
    made = walk_list(Walk(plans, ["014"], everyone=True), Settings("G"), layout("walk-a4"), "00142-4")
    told = [i for i in made.pages[0].items if isinstance(i, Text) and i.text.startswith("wire 1–3 off by")]
    assert len(told) == 1 and not told[0].bold


def test_the_growers_own_words_are_never_cut() -> None:
    meant = "remove the lowest left branch and let the cut heal before any wire goes near the second, then think about the apex"
    one = tree(FOUND, Entry(read_when("2026-05-01"), intend=Intention(what=meant, by=read_when("2027-01-30"))))
    said = " ".join(texts([one], "2027-01-20"))
    assert all(word in said for word in meant.split()) and "…" not in said and "by 30 Jan" in said


def test_a_job_that_wants_a_rating_has_five_boxes_and_no_tick() -> None:
    unrated = Entry(read_when("2024-03-01"), found=Found(stage="refinement", repotted=read_when("2024-03")))
    one = tree(unrated, species="Pinus thunbergii")
    made = plan_tree(one, garden_at(), day("2027-06-10"))
    row = row_of(made)
    assert row is not None and row.rates
    walk = walk_list(Walk([made], ["014"]), Settings("G"), layout("walk-a4"), "00142-4")
    assert walk.sheet is not None and not walk.sheet.jobs
    assert [s.id for s in walk.sheet.spots if s.kind == "vigour"] == list("12345")
    assert {(s.width, s.height) for s in walk.sheet.spots if s.kind == "vigour"} == {(5.0, 5.0)}
    assert not [s for s in walk.sheet.spots if s.kind in ("job", "say") and s.tag == "014"]
    assert "rate vigour first" in [i.text for i in walk.pages[0].items if isinstance(i, Text)]


def test_neighbours_of_one_kind_are_one_row() -> None:
    _, made = made_on(date(2027, 4, 18))
    assert made.sheet is not None
    assert made.sheet.rows["048-059"] == tuple(f"{n:03d}" for n in range(48, 60))
    said = [i.text for page in made.pages for i in page.items if isinstance(i, Text)]
    assert "048–059" in said and "(12) Zelkova serrata" in said and "but not" in said
    assert any(s.kind == "told" and (s.id, s.tag) == ("but not _", "048-059") for s in made.sheet.spots)


def test_a_tray_is_counted() -> None:
    walk, made = made_on(date(2027, 6, 10))
    assert made.sheet is not None and walk.plans
    assert any(s.kind == "told" and (s.id, s.tag) == ("count _", "060") for s in made.sheet.spots)


@pytest.mark.parametrize(
    ("tags", "living", "told"),
    [
        ("005 031 032 033", "005 031 032 033", "005 031–033"),
        ("031 032 033", "005 031 032 033 034", "031–033"),
        ("031 033 034", "031 032 033 034", "031 033 034"),
        ("031 033 034 035", "031 032 033 034 035", "031 033–035"),
        ("031 040 052", "031 040 052", "031 040 052"),
        ("11 12 13 15", "11 12 13 15", "11–13 15"),  # 14 is gone, or its file could not be read
        ("A11 A12 A13 a14", "A11 A12 A13 a14", "A11–a14"),
        ("9 10 11", "9 10 11", "9 10 11"),
        ("A1 B2 C3", "A1 B2 C3", "A1 B2 C3"),
    ],
)
def test_a_range_holds_every_number_between_its_ends(tags: str, living: str, told: str) -> None:
    assert tag_ranges(tags.split(), living.split()) == told.split()


def test_names_of_rows() -> None:
    assert row_names(("014",), ("014",)) == ("014", "014")
    assert row_names(("1", "3", "4"), ("1", "2", "3", "4")) == ("1+2", "1 +2")
    assert branch_ranges(("S1", "1", "2", "3", "10", "11")) == "1–3, 10, 11, S1"
    assert [bench_part(p) for p in ("east 2", "east 1, winter window", "north bed", "2", "")] == [
        "east",
        "east",
        "north bed",
        "2",
        "",
    ]


def test_a_bench_of_one_row_has_no_tick_of_its_own() -> None:
    one = tree(
        FOUND, Entry(read_when("2026-05-01"), intend=Intention(what="cut it", by=read_when("2027-01-30"))), bench="a"
    )
    alone = texts([one], "2027-01-20")
    assert "all looked over" not in alone
    assert "all looked over" in texts([one, replace(one, tag="015", log=(FOUND,))], "2027-01-20")


def test_in_spring_the_earliest_trees_are_watched() -> None:
    walk, made = made_on(date(2027, 4, 18))
    assert len(walk.watched) == 4
    told = [s for s in spots(made, "told") if s.id == "_ saw open"]
    assert [s.tag for s in told] == list(walk.watched) and all(s.width >= 8 for s in told)
    winter, _ = made_on(WINTER[0])
    assert not winter.watched


def test_first_look_asks_the_same_of_each_tree() -> None:
    walk, settings = stress_walk(date(2027, 4, 18), first_look=True, count=30)
    made = walk_list(walk, settings, layout("walk-a4"), "00142-4")
    assert made.sheet is not None and not made.sheet.jobs
    assert len({bool(plan.state.wires) for plan in walk.plans}) == 2
    for plan in walk.plans:
        mine = [s for s in made.sheet.spots if s.tag == plan.tree.tag]
        assert [s.id for s in mine if s.kind == "say"] == [
            "looked",
            "tree gone",
            *(("wire checked", "took all wire off") if plan.state.wires else ("wire on", "no wire on it")),
            "2026 repotted",
            "2025 repotted",
            "not repotted in these years",
        ]
        assert sum(s.kind == "vigour" for s in mine) == 5 and sum(s.kind == "day" for s in mine) == 1


def test_the_garden_is_the_same_each_time() -> None:
    assert stress_trees() == stress_trees() and len(stress_trees()) == 60


# -- what a row must not leave open --------------------------------------------------------------------------------


def said_of(trees: list[Tree], today: str) -> str:
    plans = [plan_tree(tree, garden_at(), day(today)) for tree in trees]
    made = walk_list(Walk(plans, [tree.tag for tree in trees]), Settings("Garden"), layout("walk-a4"), "00142-4")
    return " ".join(item.text for page in made.pages for item in page.items if isinstance(item, Text))


def wired(when: str, note: str = "", *branches: str) -> Entry:
    return Entry(read_when(when), work="wiring", metal="copper", wire=(2.5,), note=note, branches=branches)


@pytest.mark.parametrize(
    ("log", "told"),
    [
        ((wired("2026-04-02", "lower left"),), "WIRE OFF (lower left)"),
        ((wired("2026-04-02", "apex"), wired("2026-04-05", "tip")), "WIRE OFF (apex, tip)"),
        ((wired("2026-04-02"),), "WIRE OFF (all of it)"),
        ((wired("2026-04-02"), wired("2026-11-20", "", "3")), "WIRE OFF"),  # what is on 3 stays on
        ((wired("2026-04-02", "", "1", "2"),), "WIRE 1, 2 OFF"),
    ],
)
def test_a_row_tells_which_wire_comes_off(log: tuple[Entry, ...], told: str) -> None:
    said = said_of([Tree("4", log, species="Acer palmatum", path="trees/4.yaml")], "2026-11-25")
    assert told in said and (told != "WIRE OFF" or "WIRE OFF (" not in said)


def test_a_tree_long_silent_wants_a_look_and_is_not_among_those_that_need_nothing() -> None:
    """The same trees as those that `due` asks to look at."""
    found = Found(stage="refinement", vigour=4, repotted=read_when("2024"))
    days = {"1": "2026-10-01", "2": "2024-10-01", "3": "2026-09-01"}
    trees = [
        Tree(
            tag,
            (Entry(read_when(when), found=found),),
            species="Acer palmatum",
            bench="east",
            path=f"trees/{tag}.yaml",
        )
        for tag, when in days.items()
    ]
    plans = [plan_tree(tree, garden_at(), day("2026-10-14")) for tree in trees]
    (bench,) = benches_of(plans)
    assert bench.unheard == tuple(plan.tree.tag for plan in heard_and_silent(plans)[1]) == ("2",)
    assert "2" not in bench.idle
    said = said_of(trees, "2026-10-14")
    assert "not written of for over a year, look: 2" in said and "Look at it first" not in said
    assert "Look at it first: nothing written since" in said_of(trees, "2026-11-25"), "a row says it before its work"
    front = record_sheet(plans[1], Settings("Garden"), shipped_knowledge(), layout("pocket-a6"), "00142-4").leaves[0][
        0
    ]
    words = " ".join(item.text for item in front.items if isinstance(item, Text))
    assert "Look at it first: nothing written since 1 Oct 2024" in words and "No work" not in words
    heard = record_sheet(plans[0], Settings("Garden"), shipped_knowledge(), layout("pocket-a6"), "00142-4").leaves[0][
        0
    ]
    assert not any("Look at it first" in item.text for item in heard.items if isinstance(item, Text))
