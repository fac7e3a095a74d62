"""Cards on whole pages: the wall chart, the roll, and the years ahead."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from ..collection.load import bench_order
from ..collection.model import Tree
from ..diagnostics import Problem
from ..paper.layouts import Layout
from ..paper.page import Page
from ..planning.ahead import ahead, garden_years
from ..planning.scheduler import usual_minutes
from ..storage.printed import Sheet
from .common import Opened, watched

SHELTER_WEEKS = 8
AHEAD_YEARS = 5
PICTURE_MM = 60.0


def in_walking_order(trees: Sequence[Tree]) -> list[Tree]:
    """Trees by bench, those without a place last."""
    return sorted(trees, key=lambda tree: (not tree.bench, bench_order(tree.bench)))


def wall(opened: Opened, trees: Sequence[Tree], layout: Layout, by: str) -> list[Page]:
    """The wall chart of these trees."""
    from ..paper.wall import Wall, by_bench, wall_pages
    from ..planning.fixed_year import fixed_year
    from ..planning.lists.wall_rows import frost_in, gathered, group_marks, wall_rows

    garden, year = opened.garden, fixed_year(opened.today)
    rows = wall_rows(watched(in_walking_order(trees), "working out dates"), garden, opened.today)
    placed = (
        [(garden.group_of(row.trees[0]), row) for row in gathered(rows, garden)] if by == "group" else by_bench(rows)
    )
    groups = [group for group in opened.knowledge.groups if group in {garden.group_of(tree) for tree in trees}]
    chart = Wall(
        opened.collection.settings.title,
        opened.today,
        year,
        placed,
        frost_in(garden, year),
        group_marks(garden, groups, year),
        [tree.tag for tree in opened.collection.living],
    )
    return wall_pages(chart, layout, opened.wording)


def the_roll(
    opened: Opened, trees: Sequence[Tree], layout: Layout, serial: str, *, worth: bool, heirs: bool
) -> tuple[list[Page], Sheet | None, list[Problem]]:
    """The roll's pages, for heirs with what must not wait before them; what goes on record, and what is wrong with photographs."""
    from ..paper.photos import latest_photo
    from ..paper.roll import Entry, Legacy, roll, start_here

    entries, problems = [], []
    for plan in opened.plans(in_walking_order(trees)):
        photo, faults = latest_photo(opened.collection, plan.tree, PICTURE_MM)
        problems += faults
        entries.append(Entry(plan, photo, opened.knowledge.is_poisonous(plan.tree.species)))
    settings = opened.collection.settings
    made = roll(entries, settings, layout, serial, worth=worth)
    first: list[Page] = []
    if heirs:
        legacy = Legacy(
            settings.title,
            opened.today,
            thirst_days(opened, trees),
            shelter_words(opened, entries_of=[entry.plan.tree for entry in entries]),
            opened.folder.resolve().name,
        )
        first = start_here(legacy, entries, layout, opened.wording)
    return [*first, *made.pages], made.sheet, list(problems)


def thirst_days(opened: Opened, trees: Sequence[Tree]) -> float | None:
    """Days between looks at the thirstiest tree in this month; None where there is no tree."""
    from ..planning.lists.watering import thirst_between

    last = opened.today + timedelta(days=30)
    days = (
        thirst_between(plan.state, opened.garden.around(plan.tree, opened.today).site, opened.today, last).days
        for plan in opened.plans(list(trees))
    )
    return min(days, default=None)


def shelter_words(opened: Opened, entries_of: Sequence[Tree]) -> list[str]:
    """Which trees come under cover, by when and before which night."""
    from ..paper.care_words import care_rows
    from ..planning.lists.care_list import care_until

    plans = opened.plans(list(entries_of))
    until = opened.today + timedelta(weeks=SHELTER_WEEKS)
    care = [one for one in care_until(plans, until) if any(job.night is not None for job in one.jobs)]
    return care_rows(care, opened.wording, len(plans))


def years_ahead(opened: Opened, trees: Sequence[Tree], layout: Layout) -> list[Page]:
    """The plan run forward, tree by tree, and how much of it there is in each year."""
    from ..paper.ahead_card import ahead_pages

    usual = usual_minutes(opened.garden.trees)
    made = [
        ahead(tree, opened.garden, opened.today, AHEAD_YEARS, usual)
        for tree in watched(in_walking_order(trees), "running years ahead")
    ]
    first = opened.site.calendar.season_of(opened.today)
    years = garden_years(made, opened.garden, first, AHEAD_YEARS)
    return ahead_pages(years, made, layout, opened.wording, opened.today)
