"""When a sheet is printed again: by what it says, not by the day it says it on."""

from __future__ import annotations

import random
import shutil
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, MonthMean, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import layout
from logbook.paper.sheet.said import Said, front_said, is_changed
from logbook.paper.sheet.sheets import record_sheet
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree

from ..conftest import INLAND, Answer, day, garden_at
from .gardens import generated, stress

KNOWLEDGE = shipped_knowledge()


def said_on(trees: Sequence[Tree], today: date, garden: Garden) -> list[Said]:
    return [front_said(plan_tree(tree, garden, today), KNOWLEDGE) for tree in trees]


def changed(trees: Sequence[Tree], first: date, later: date, garden: Garden, then: Garden) -> list[str]:
    """The trees whose front would be printed again."""
    before, now = said_on(trees, first, garden), said_on(trees, later, then)
    return [t.tag for t, old, new in zip(trees, before, now, strict=True) if is_changed(new, old.text, later)]


def weather(last: date, seed: int) -> dict[str, MonthMean]:
    """Months as they come, up to the one before a day: a spread of 1.5 °C about the normals, which is common inland (from memory)."""
    draw = random.Random(seed)
    months = {}
    first = date(2026, 9, 1)
    while (first.year, first.month) < (last.year, last.month):
        apart = draw.gauss(0.0, 1.5)
        low, high = INLAND.tmin[first.month - 1] + apart, INLAND.tmax[first.month - 1] + apart
        months[f"{first:%Y-%m}"] = MonthMean(low, high)
        first = (first + timedelta(days=32)).replace(day=1)
    return months


@pytest.mark.parametrize(
    "first", ["2026-11-25", "2027-01-31", "2027-03-20", "2027-04-30", "2027-06-10", "2027-08-20"]
)
def test_the_day_after_nothing_is_printed_again(first: str) -> None:
    """Windows that open or close over night are no change; a sheet that was good to this very day is one."""
    trees, garden = stress(), garden_at()
    last = day(first)
    expired = {
        t.tag for t, s in zip(trees, said_on(trees, last, garden), strict=True) if date.fromisoformat(s.good) <= last
    }
    assert set(changed(trees, last, last + timedelta(days=1), garden, garden)) <= expired
    assert not expired, "no front is printed that is good for less than a day"


@pytest.mark.parametrize(
    ("first", "most"), [("2026-12-05", 0.10), ("2027-01-10", 0.10), ("2027-03-15", 0.25), ("2027-04-10", 0.25)]
)
@pytest.mark.parametrize("seed", [1, *(pytest.param(n, marks=pytest.mark.soak) for n in (2, 3))])
def test_a_month_later_few_are(first: str, most: float, seed: int) -> None:
    """Nothing done, and each month's weather coming in."""
    trees = generated(60, 3)
    begun, later = day(first), day(first) + timedelta(days=30)
    found = changed(
        trees, begun, later, garden_at(months=weather(begun, seed)), garden_at(months=weather(later, seed))
    )
    assert len(found) <= most * len(trees), found


def test_what_was_written_is_a_change() -> None:
    garden, today = garden_at(), day("2026-11-25")
    for tree in stress()[:10]:
        old = front_said(plan_tree(tree, garden, today), KNOWLEDGE)
        told = replace(tree, log=(*tree.log, Entry(date=on_day(today), note="moss on the soil")))
        for other in (
            told,
            replace(tree, aim="another"),
            replace(tree, name="another"),
            replace(tree, bench="east 9"),
        ):
            assert is_changed(front_said(plan_tree(other, garden, today), KNOWLEDGE), old.text, today)
        assert not is_changed(old, old.text, today)


def test_dates_count_by_their_band() -> None:
    plan = plan_tree(generated(9, 2)[1], garden_at(), day("2026-11-25"))
    now = front_said(plan, KNOWLEDGE)
    name, dates = next((n, d) for n, d in now.jobs.items() if d.opens > "2026-12-20" and d.band >= 10)

    def moved(days: int) -> Said:
        opens = (date.fromisoformat(dates.opens) + timedelta(days=days)).isoformat()
        return replace(now, jobs={**now.jobs, name: replace(dates, opens=opens)})

    assert not is_changed(moved(dates.band), now.text, plan.today) and not is_changed(moved(-4), now.text, plan.today)
    assert is_changed(moved(dates.band + 1), now.text, plan.today)
    narrow = replace(now, jobs={name: replace(dates, band=0)})
    assert is_changed(replace(narrow, jobs={name: replace(moved(5).jobs[name], band=0)}), narrow.text, plan.today)


@pytest.mark.parametrize(
    "kept",
    [
        "",
        "0123456789abcdef0123456789abcdef",
        "[]",
        '{"words": 1}',
        "{",
        '{"words":"","good":"x","jobs":{},"bars":{}}',
    ],
)
def test_what_older_versions_kept_is_printed_again(kept: str) -> None:
    plan = plan_tree(stress()[0], garden_at(), day("2026-11-25"))
    assert is_changed(front_said(plan, KNOWLEDGE), kept, plan.today)


VISITS = ("2027-03-20", "2027-06-12", "2027-10-10")


def visited(tree: Tree, day_of_visit: date, garden: Garden, draw: random.Random) -> Tree:
    """The tree after a visit: one of its open jobs is done, now and then something is seen or measured."""
    plan = plan_tree(tree, garden, day_of_visit)
    doable = [
        j
        for j in plan.jobs
        if j.record and j.opens and j.opens <= day_of_visit and not j.is_look_over and not j.optional
    ]
    when = on_day(day_of_visit)
    entries = (
        [Entry(date=when, work=doable[0].work, branches=doable[0].branches)]
        if doable
        else [Entry(date=when, work="look-over")]
    )
    entries += [Entry(date=when, vigour=draw.choice([3, 4]))] if draw.random() < 0.3 else []
    entries += [Entry(date=when, measured={"trunk": 40.0})] if draw.random() < 0.2 else []
    return replace(tree, log=(*tree.log, *entries))


def leaves_of(tree: Tree, garden: Garden, today: date) -> int:
    plan = plan_tree(tree, garden, today)
    return len(record_sheet(plan, garden.settings, KNOWLEDGE, layout("pocket-a6"), "00142-4").leaves)


@pytest.mark.parametrize("seed", [1, pytest.param(2, marks=pytest.mark.soak)])
def test_a_year_of_three_visits_takes_three_leaves_a_tree(seed: int) -> None:
    """Sixty trees, the spring that is coming in; before each round what changed is printed, after it what was done is noted."""
    draw, trees, kept, leaves = random.Random(seed), generated(60, 3 + seed), {}, 0
    for visit in map(day, VISITS):
        garden = garden_at(months=weather(visit, seed))
        for n, tree in enumerate(trees):
            said = front_said(plan_tree(tree, garden, visit), KNOWLEDGE)
            if tree.tag not in kept or is_changed(said, kept[tree.tag], visit):
                leaves += leaves_of(tree, garden, visit)
                kept[tree.tag] = said.text
            trees[n] = visited(tree, visit + timedelta(days=draw.randint(0, 6)), garden, draw)
    assert leaves <= 3 * len(trees)
    assert leaves >= 2 * len(trees), "what was noted is printed again"


def test_where_an_entry_stands_is_not_what_it_says(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """A comment, a blank line, an indent, or keys in another order in the file: no sheet is another for it."""
    folder = tmp_path / "garden"
    shutil.copytree(demo, folder)
    assert bench("sheets", "-o", tmp_path / "all.pdf", "--today", "2026-11-25", folder=folder).code == 0
    tree = folder / "trees" / "004.yaml"
    text = tree.read_text("utf-8").replace("{date: 2025-10-11, vigour: 4, ", "{vigour: 4, date: 2025-10-11, ")
    tree.write_text("# a comment\n" + text.replace("log:\n", "log:\n\n  # another\n"), encoding="utf-8")
    told = bench("sheets", "--changed", "--dry-run", "--today", "2026-11-25", folder=folder)
    assert "nothing to print" in told.out, told.all
