"""A year with sixty trees as the README tells it: what a grower prints, carries and types, month by month.

An invented garden (tests/paper/walk_garden.py), inland at 48°. On the first of each month the walk list is printed; until the next one each tree's
first works whose best day falls into the month are done, two at most. A line takes 12 seconds to type, a walk list two minutes to print
(both guesses).
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import date, timedelta

from logbook.collection.dates import on_day
from logbook.collection.load import bench_order
from logbook.collection.model import Entry, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import layout
from logbook.paper.walk import Walk, walk_list
from logbook.planning.garden import Garden
from logbook.planning.lists.walk_rows import watched_trees
from logbook.planning.model import Job, Plan
from logbook.planning.planner import plan_tree
from tests.conftest import INLAND
from tests.paper.walk_garden import stress_trees

FIRST = date(2027, 1, 1)
A_LINE_S, A_LIST_S = 12, 120
MOST_WORKS, MOST_TOLD = 2, 2


@dataclass(frozen=True)
class Month:
    """A month: sides of its walk list, trees worked, lines typed, the commonest works, and the minutes that printing and typing take."""

    first: date
    sides: int
    trees: int
    lines: int
    works: tuple[str, ...] = ()

    @property
    def minutes(self) -> int:
        return round((self.lines * A_LINE_S + A_LIST_S) / 60)


def months(count: int = 12, trees: int = 60) -> Iterator[Month]:
    """The year, as far as it is wanted."""
    settings = Settings("Quarry Lane", site=Site(latitude=47.9, normals=INLAND))
    standing = stress_trees(trees)
    for n in range(count):
        first, last = _month(n)
        garden = Garden(settings, shipped_knowledge(), standing)
        ordered = sorted(standing, key=lambda tree: (not tree.bench, bench_order(tree.bench)))
        plans = [plan_tree(tree, garden, first) for tree in ordered]
        sides = _sides(plans, garden, settings)
        done = {plan.tree.tag: _done(plan, last) for plan in plans}
        standing = tuple(_with(tree, done[tree.tag]) for tree in standing)
        works = [works for works in done.values() if works]
        count_of = Counter(job.work for some in works for job, _ in some if job.record and not job.is_look_over)
        count_of = count_of or Counter(job.work for some in works for job, _ in some)
        mostly = tuple(name for name, _ in count_of.most_common(MOST_TOLD))
        yield Month(first, sides, len(works), sum(map(len, works)), mostly)


def _month(n: int) -> tuple[date, date]:
    first = date(FIRST.year, n + 1, 1)
    return first, (first + timedelta(days=32)).replace(day=1) - timedelta(days=1)


def _sides(plans: list[Plan], garden: Garden, settings: Settings) -> int:
    walk = Walk(plans, [plan.tree.tag for plan in plans], watched_trees(plans, garden), False, False)
    return len(walk_list(walk, settings, layout("walk-a4"), "").pages)


def _done(plan: Plan, last: date) -> list[tuple[Job, date]]:
    """The works whose best day is in the month, or whose window closes in it."""
    wanted = [job for job in plan.jobs if not job.optional and job.best and job.opens and job.opens <= last]
    soon = [job for job in wanted if job.best <= last or (job.closes and job.closes <= last)]
    return [(job, max(plan.today, min(job.best or last, last))) for job in soon[:MOST_WORKS]]


def _with(tree: Tree, done: list[tuple[Job, date]]) -> Tree:
    entries = [Entry(on_day(day), work=job.work, branches=job.branches) for job, day in done if job.work]
    return replace(tree, log=(*tree.log, *entries))


def main() -> None:
    print("month  sides  trees  lines  minutes")
    for month in months():
        print(f"{month.first:%b}    {month.sides:5}  {month.trees:5}  {month.lines:5}  {month.minutes:7}")


if __name__ == "__main__":
    main()
