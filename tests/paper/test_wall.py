"""The wall chart, the roll and the years ahead: what does not hang on the print day, and that nothing leaves its room."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Entry as LogEntry
from logbook.collection.model import Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import layout
from logbook.paper.page import Page, Rule, Shape, Text
from logbook.paper.roll import Entry, roll
from logbook.paper.wall import Wall, by_bench, wall_pages
from logbook.planning.fixed_year import fixed_year
from logbook.planning.garden import Garden
from logbook.planning.lists.wall_rows import frost_in, gathered, group_marks, wall_rows
from logbook.planning.planner import plan_tree
from logbook.planning.wording import wording_of
from logbook.storage.printed import load_ledger

from ..conftest import INLAND, Answer
from .pages import eroded, proved
from .walk_garden import stress_trees

SETTINGS = Settings("Quarry Lane", site=Site(latitude=47.9, normals=INLAND))
TREES = stress_trees(30)
GARDEN = Garden(SETTINGS, shipped_knowledge(), TREES)


def wall(today: str, by: str = "bench", name: str = "wall-a4") -> list[Page]:
    day, year = date.fromisoformat(today), fixed_year(date.fromisoformat(today))
    rows = wall_rows(TREES, GARDEN, day)
    placed = by_bench(rows) if by == "bench" else [(GARDEN.group_of(r.trees[0]), r) for r in gathered(rows, GARDEN)]
    marks = group_marks(GARDEN, sorted({GARDEN.group_of(t) for t in TREES}), year)
    chart = Wall("Quarry Lane", day, year, placed, frost_in(GARDEN, year), marks, [t.tag for t in TREES])
    return wall_pages(chart, layout(name), wording_of(SETTINGS))


def test_a_year_is_one_of_two_fixed_ones() -> None:
    for n in range(800):
        day = date(2026, 1, 1) + timedelta(days=n)
        year = fixed_year(day)
        assert year.first.month in (3, 9) and year.first.day == 1 and (year.last + timedelta(days=1)).day == 1
        assert 0 <= (day - year.first).days <= 184, "the print day lies in its first half"
        assert 365 <= (year.last - year.first).days + 1 <= 366 and len(year.months) == 12


@pytest.mark.parametrize(("one", "other"), [("2026-11-25", "2027-01-20"), ("2027-03-05", "2027-08-20")])
def test_two_prints_with_no_notes_between_differ_in_the_print_date_alone(one: str, other: str) -> None:
    first, second = wall(one), wall(other)
    assert len(first) == len(second)
    for before, after in zip(first, second, strict=True):
        differing = [(a, b) for a, b in zip(before.items, after.items, strict=True) if a != b]
        assert len(differing) == 1
        ((a, b),) = differing
        assert isinstance(a, Text) and isinstance(b, Text) and a.block == b.block == "printed"


def test_the_demo_differs_in_the_print_date_alone(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """By the command, in pixels: nothing outside the corner with the day."""
    seen = []
    for today in ("2026-11-25", "2027-01-20"):
        out = tmp_path / f"{today}.pdf"
        assert bench("cards", "wall", "-o", out, "--today", today, folder=demo).code == 0
        seen.append(
            [page.render(scale=1.5, grayscale=True).to_numpy().squeeze() for page in pypdfium2.PdfDocument(out)]
        )
    for before, after in zip(*seen, strict=True):
        rows, columns = np.nonzero(np.abs(before.astype(int) - after.astype(int)) > 40)
        high, wide = before.shape
        assert len(rows) and rows.max() < 0.09 * high and columns.min() > 0.8 * wide


@pytest.mark.parametrize("by", ["bench", "group"])
@pytest.mark.parametrize("name", ["wall-a4", "wall-letter"])
@pytest.mark.parametrize("today", ["2026-11-25", "2027-04-20"])
def test_nothing_leaves_its_room(today: str, by: str, name: str) -> None:
    pages = wall(today, by, name)
    for page in pages:
        proved(page)
        assert not [i for i in page.items if isinstance(i, Rule) and i.gray], "nothing is carried by gray"
    told = {i.text for page in pages for i in page.items if isinstance(i, Text)}
    assert not any("today" in text for text in told)
    if by == "bench":
        assert {tree.tag for tree in TREES} <= told


def test_equal_trees_are_one_row_by_group() -> None:
    rows = gathered(wall_rows(TREES, GARDEN, date(2026, 11, 25)), GARDEN)
    assert len(rows) < len(TREES) and sum(len(row.trees) for row in rows) == len(TREES)
    assert max(len(row.trees) for row in rows) >= 12


@pytest.mark.parametrize("name", ["wall-a4", "wall-letter"])
def test_a_bad_copy_still_has_each_windows_ends(name: str) -> None:
    """One bit, eroded by a pixel on all sides, half size: a vertical line of ink stands within 0.5 mm of each end."""
    seen = 0
    for page in wall("2026-11-25", name=name):
        dark, px = eroded(page)
        for end in page.items:
            if not isinstance(end, Rule) or end.x1 != end.x2 or end.thick != 0.5 or not end.block.startswith("row"):
                continue
            x, middle = end.x1 * px, (end.y1 + end.y2) / 2 * px
            rows = dark[round(middle - 0.6 * px) : round(middle + 0.6 * px) + 1].all(axis=0)
            assert rows[round(x - 0.5 * px) : round(x + 0.5 * px) + 1].any(), end
            seen += 1
    assert seen > 30


def test_wire_that_comes_off_has_its_triangle() -> None:
    rows = wall_rows(TREES, GARDEN, date(2026, 11, 25))
    first = fixed_year(date(2026, 11, 25)).first
    wired = sum(wire[0] >= first for row in rows for wire in row.wires)
    drawn = sum(isinstance(i, Shape) for page in wall("2026-11-25") for i in page.items)
    assert wired and drawn == wired


# -- the roll, the years ahead -------------------------------------------------------------------------------------


@pytest.mark.parametrize("count", [11, 30, 60])
@pytest.mark.parametrize("worth", [False, True])
def test_the_roll_holds_every_tree(count: int, worth: bool) -> None:
    trees = [
        replace(tree, value="about 300 of a quiet currency" if n % 2 else "")
        for n, tree in enumerate(stress_trees(60)[:count])
    ]
    garden = Garden(SETTINGS, shipped_knowledge(), trees)
    entries = [Entry(plan_tree(tree, garden, date(2026, 11, 25)), None, n % 5 == 0) for n, tree in enumerate(trees)]
    made = roll(entries, SETTINGS, layout("dossier-a4"), "00142-4", worth=worth)
    assert len(made.pages) == -(-count // (20 if count > 48 else 12))
    for page in made.pages:
        proved(page)
    assert made.sheet is not None and made.sheet.by_tag
    ticks = [s for s in made.sheet.spots if s.kind == "say"]
    assert [s.tag for s in ticks] == [tree.tag for tree in trees] and {s.id for s in ticks} == {"looked"}
    said = " ".join(i.text for page in made.pages for i in page.items if isinstance(i, Text))
    assert ("value:" in said) is worth


def test_a_tick_on_the_roll_is_a_look(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    out = tmp_path / "r.pdf"
    made = bench("cards", "roll", "--heirs", "--value", "-o", out, "--today", "2026-11-25", folder=demo)
    assert made.code == 0
    (serial,) = load_ledger(demo).sheets
    first = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_bounded()
    for words in ("Start here", "winter shelter", "off by 24 Aug 2027", "NO CUTTING", "Whom to ask", "trees/"):
        assert words in first, words
    notes = tmp_path / "n.txt"
    notes.write_text(f"sheet {serial}\n003 26 nov looked\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", "--today", "2026-11-27", folder=demo).code == 0
    assert f"from: {serial}/003" in (demo / "trees/003.yaml").read_text("utf-8")
    draft = bench("cards", "roll", "--draft", "-o", out, "--today", "2026-11-25", folder=demo)
    assert draft.code == 0 and len(load_ledger(demo).sheets) == 1


def test_the_years_ahead_on_paper(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    out = tmp_path / "a.pdf"
    assert bench("cards", "ahead", "-o", out, "--today", "2026-11-25", folder=demo).code == 0
    said = "".join(page.get_textpage().get_text_bounded() for page in pypdfium2.PdfDocument(out))
    assert "Years ahead" in said and "to repot" in said and "2031" in said and "Ferryman" in said
    assert not [band for band in re.findall(r"± (\d+) d", said) if int(band) > 90], "years, where no day can be told"
    assert re.search(r"sacrifice branch off[^;]* between 20\d\d and 20\d\d", " ".join(said.split()))


def test_wire_that_was_due_before_the_year_stands_across_it() -> None:
    """It has no day in the year that is drawn, and is the last thing that a wall may keep silent about."""
    wired = LogEntry(date=read_when("2024-10-10"), work="wiring", branches=("1", "2"), wire=(2.0,))
    tree = Tree("1", (wired,), path="trees/1.yaml", species="Acer palmatum")
    today, year = date(2026, 11, 25), fixed_year(date(2026, 11, 25))
    rows = wall_rows([tree], GARDEN, today)
    assert rows[0].wires and rows[0].wires[0][0] < year.first
    chart = Wall("Quarry Lane", today, year, by_bench(rows), frost_in(GARDEN, year), (), ["1"])
    (page,) = wall_pages(chart, layout("wall-a4"), wording_of(SETTINGS))
    said = [item.text for item in page.items if isinstance(item, Text)]
    assert any(text.startswith("WIRE 1, 2 OFF, overdue since") for text in said), said
    proved(page)
