"""A year of all trees for a wall: windows, wire, rest, from the log alone, so that two prints with no notes between are the same.

Each tree is planned on the day of its last note, or on the first day of the fixed year where that is later.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from ...collection.model import Tree
from ...horticulture.window_syntax import MarkName
from ...season.mark import Mark
from ...values import dataclass
from ..condition import Hold
from ..fixed_year import Year, fixed_year
from ..garden import Garden
from ..model import Job, Plan
from ..planner import plan_tree
from .walk_rows import last_day

OWN_MARK = "m1"
LEAST_DAYS = 12  # a window with fewer days inside the year has no bar, unless it lies there whole


@dataclass(frozen=True, slots=True)
class Bar:
    """A work's window with its mark on the best day."""

    mark: str
    short: str
    opens: date
    best: date
    closes: date


@dataclass(frozen=True, slots=True)
class Resting:
    """A state in which kinds of work wait, and its last day (None: it has to be seen)."""

    hold: Hold
    until: date | None


@dataclass(frozen=True, slots=True)
class WallRow:
    """One row of the wall: its trees, their windows, what waits, and the last days of wire with its branches; a day before the year is one
    that passed.
    """

    trees: tuple[Tree, ...]
    bars: tuple[Bar, ...] = ()
    rests: tuple[Resting, ...] = ()
    wires: tuple[tuple[date, tuple[str, ...]], ...] = ()

    @property
    def said(self) -> tuple[object, ...]:
        """What it says but for its trees."""
        rests = tuple((rest.hold.kinds, rest.until) for rest in self.rests)
        return self.bars, rests, self.wires


def wall_rows(trees: Iterable[Tree], garden: Garden, today: date) -> list[WallRow]:
    """A row a tree, in their order."""
    year = fixed_year(today)
    return [row_of(plan_tree(tree, garden, _planned_on(tree, year, today)), year) for tree in trees]


def gathered(rows: Sequence[WallRow], garden: Garden) -> list[WallRow]:
    """Trees of one growth group whose rows say the same as one row, by group."""
    found: dict[tuple[object, ...], list[WallRow]] = {}
    for row in rows:
        found.setdefault((garden.group_of(row.trees[0]), row.said), []).append(row)
    joined = (
        WallRow(tuple(t for row in same for t in row.trees), same[0].bars, same[0].rests, same[0].wires)
        for same in found.values()
    )
    return sorted(joined, key=lambda row: garden.group_of(row.trees[0]))


def _planned_on(tree: Tree, year: Year, today: date) -> date:
    """The day of the last note, or the year's first day where that is later; never one to come."""
    days = [entry.date.latest for entry in tree.log if entry.date.latest <= today]
    return max([year.first, *days])


def row_of(plan: Plan, year: Year) -> WallRow:
    """A tree's row, from its plan."""
    rests = tuple(Resting(hold, hold.until) for hold in plan.holds)
    return WallRow((plan.tree,), tuple(_bars(plan, year)), rests, tuple(_wires(plan, year)))


def _bars(plan: Plan, year: Year) -> Iterator[Bar]:
    """What is asked, by its days."""
    asked = [j for j in plan.jobs if not (j.is_look_over or j.is_about_wire or (j.optional and not j.own))]
    bars = (_bar(job, year) for job in asked)
    yield from sorted((bar for bar in bars if bar is not None), key=lambda bar: (bar.opens, bar.closes, bar.mark))


def _bar(job: Job, year: Year) -> Bar | None:
    if job.opens is None or job.closes is None:
        return None
    inside = (min(job.closes, year.last) - max(job.opens, year.first)).days + 1
    if inside < min(LEAST_DAYS, (job.closes - job.opens).days + 1):
        return None
    mark = job.record.mark if job.record and job.record.mark else OWN_MARK
    short = job.record.short if job.record and job.record.short else job.own or job.work
    best = job.closes if job.record is None else min(max(job.best or job.opens, job.opens), job.closes)
    return Bar(mark, "what you meant" if job.record is None else short, job.opens, best, job.closes)


def _wires(plan: Plan, year: Year) -> Iterator[tuple[date, tuple[str, ...]]]:
    """The last day of each wire, once; that of wire that should have been off before the year began as well."""
    days: dict[date, list[str]] = {}
    for job in plan.jobs:
        day = last_day(job) if job.is_about_wire else None
        if day and (year.holds(day) or (job.since and day < year.first)):
            days.setdefault(day, []).extend(b for b in job.branches if b not in days.get(day, ()))
    yield from ((day, tuple(branches)) for day, branches in sorted(days.items()))


# -- the site's year -----------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Frost:
    """Frost in the year: the day by which it has mostly begun and the day after which it has mostly ended; None: not in it."""

    begins: date | None
    ends: date | None


def frost_in(garden: Garden, year: Year) -> Frost:
    """The even frost days that fall into the year."""
    return Frost(*(_in_year(garden, "", name, year) for name in (MarkName.FIRST_FROST, MarkName.LAST_FROST)))


def group_marks(garden: Garden, groups: Iterable[str], year: Year) -> list[tuple[str, tuple[tuple[str, date], ...]]]:
    """When buds swell, leaves open and shoots harden, by group; a group without any of them is left out."""
    names = (MarkName.SWELL, MarkName.OPEN, MarkName.HARDENED)
    found = []
    for group in groups:
        marks = [(name.value, day) for name in names if (day := _in_year(garden, group, name, year))]
        if marks:
            found.append((group, tuple(marks)))
    return found


def _in_year(garden: Garden, group: str, name: MarkName, year: Year) -> date | None:
    season = garden.site.calendar.season_of(year.first)
    found = (garden.site.marks.mark(group, name, n) for n in (season - 1, season, season + 1, season + 2))
    return next((mark.day for mark in found if isinstance(mark, Mark) and year.holds(mark.day)), None)
