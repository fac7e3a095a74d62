"""Which trees a walk round the benches asks for, with the one job of each that loses most by waiting.

A tree has a row where an asked work's best days, opening or end, a look at wire or its last day, or the grower's own date fall in the
days ahead; an open window alone is none. The rest are named on their bench's heading, by what is still open, what must not be done,
or that nothing is needed. Neighbours that want the same are one row.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta

from ...horticulture.work import Kind, Thing
from ...season.learning import Who
from ...season.mark import Mark
from ...values import dataclass
from ..condition import Hold
from ..garden import Garden
from ..model import Job, Plan
from .due_rows import heard_and_silent

AHEAD_DAYS = 21
WIRE_DAYS = 14  # wires that are due within so many days are one row
NEXT_DAYS = 60  # how far off the job behind the first may open
LEAST_NEIGHBOURS = 3
WATCHED = 4  # trees whose opening leaves are asked for
SEEN_BEFORE, SEEN_AFTER = timedelta(days=21), timedelta(days=14)  # about the mark itself
OPEN = "open"


@dataclass(frozen=True, slots=True)
class Row:
    """One row: its trees, their job (None: only to be looked over), the job behind it, and wire that is none of the row's own.

    `branches` are those whose wire is due, `is_all_wire`: it is all that the tree carries; `off`: the first last day of the wire that is on, due or not.
    """

    plans: tuple[Plan, ...]
    job: Job | None = None
    follows: Job | None = None
    branches: tuple[str, ...] = ()
    off: date | None = None
    wired: tuple[str, ...] = ()
    is_wire_due: bool = False
    is_all_wire: bool = False

    @property
    def plan(self) -> Plan:
        """The first tree's plan."""
        return self.plans[0]

    @property
    def tags(self) -> tuple[str, ...]:
        """The tags of its trees."""
        return tuple(plan.tree.tag for plan in self.plans)

    @property
    def rates(self) -> bool:
        """Whether a score of vigour is asked for in place of the job."""
        return self.job is not None and self.job.rate_first and not self.is_wire_due


@dataclass(frozen=True, slots=True)
class Open:
    """Trees without a row for which the same work is open, and the first and the last of the days on which it closes."""

    job: Job
    tags: tuple[str, ...]
    closes: tuple[date, date] | None = None


@dataclass(frozen=True, slots=True)
class Bench:
    """A bench as one walks past it: its rows, the plans of the trees that have none, and the tags of the garden's silent trees."""

    name: str
    rows: tuple[Row, ...]
    rest: tuple[Plan, ...] = ()
    silent: frozenset[str] = frozenset()

    @property
    def tags(self) -> tuple[str, ...]:
        """All its trees."""
        return (*(tag for row in self.rows for tag in row.tags), *_tags(self.rest))

    @property
    def idle(self) -> tuple[str, ...]:
        """Those that need nothing: no work is open for them, none is kept waiting, and something was written of them."""
        heard = (plan for plan in self.rest if plan.tree.tag not in self.silent)
        return _tags(plan for plan in heard if not plan.holds and open_job(plan) is None)

    @property
    def unheard(self) -> tuple[str, ...]:
        """Trees without a row of which nothing was written for more than a year: whatever else, they want a look."""
        return tuple(tag for tag in _tags(self.rest) if tag in self.silent)

    @property
    def still_open(self) -> tuple[Open, ...]:
        """What may be done to trees without a row, by the work that loses most by waiting."""
        found: dict[str, list[tuple[Plan, Job]]] = {}
        for plan in self.rest:
            if job := open_job(plan):
                found.setdefault(job.work, []).append((plan, job))
        return tuple(_open(some) for some in found.values())

    @property
    def held(self) -> Mapping[Hold, tuple[str, ...]]:
        """Trees without a row of which something must not be done, by what: one state stands for all that forbid the same."""
        found: dict[frozenset[Kind], list[Plan]] = {}
        for plan in self.rest:
            for hold in plan.holds[:1]:
                found.setdefault(hold.kinds, []).append(plan)
        return {some[0].holds[0]: _tags(some) for some in found.values()}


def benches_of(plans: Sequence[Plan], *, everyone: bool = False, apart: bool = False) -> tuple[Bench, ...]:
    """The benches in the order of the plans. `everyone`: each tree is on it; `apart`: in a row of its own."""
    benches: dict[str, list[Plan]] = {}
    for plan in plans:
        benches.setdefault(bench_part(plan.tree.bench), []).append(plan)
    silent = frozenset(_tags(heard_and_silent(plans)[1]))
    return tuple(_bench(name, found, silent, everyone=everyone, apart=apart) for name, found in benches.items())


def bench_part(place: str) -> str:
    """The bench that a place belongs to: `east 2` and `east 1, winter window` are both of `east`."""
    return re.sub(r"[\s,]*\d+\s*(?:,.*)?$", "", place).strip() or place


def _bench(name: str, plans: Sequence[Plan], silent: frozenset[str], *, everyone: bool, apart: bool) -> Bench:
    rows = [(plan, row_of(plan)) for plan in plans]
    wanted = [row or Row((plan,)) for plan, row in rows if row or everyone]
    places = dict.fromkeys(plan.tree.bench for plan in plans)
    told = name if len(places) > 1 else next(iter(places))
    return Bench(
        told,
        tuple(wanted if apart else _neighbours(wanted)),
        tuple(plan for plan, row in rows if not (row or everyone)),
        silent,
    )


def _tags(plans: Iterable[Plan]) -> tuple[str, ...]:
    return tuple(plan.tree.tag for plan in plans)


def _open(some: Sequence[tuple[Plan, Job]]) -> Open:
    days = [job.closes for _, job in some if job.closes]
    return Open(some[0][1], _tags(plan for plan, _ in some), (min(days), max(days)) if days else None)


def open_job(plan: Plan) -> Job | None:
    """The work that loses most by waiting of those that are open, wire included; None where there is none."""
    asked = [job for job in plan.jobs if _is_asked(job)]
    wires = [job for job in plan.jobs if job.is_about_wire]
    return next((job for job in (*asked, *wires) if job.opens is None or job.opens <= plan.today), None)


# -- one tree ------------------------------------------------------------------------------------------------------


def row_of(plan: Plan) -> Row | None:
    """A tree's row; None where nothing of it falls in the days ahead."""
    wires = [job for job in plan.jobs if job.is_about_wire]
    asked = [job for job in plan.jobs if _is_asked(job)]
    off, wired = _off_by(wires), _branches(plan)
    due = [job for job in wires if (day := last_day(job)) and day <= plan.today + timedelta(days=WIRE_DAYS)]
    if due:
        taking = next((j for j in due if j.takes_wire), due[0])
        return Row((plan,), taking, _next(plan, asked, None), _joint(due), off, wired, True, _is_all(plan, due))
    job = next((j for j in (*asked, *wires) if is_near(j, plan.today)), None)
    return Row((plan,), job, _next(plan, asked, job), (), off, wired) if job else None


def _is_asked(job: Job) -> bool:
    """Whether a job is one to be done: no looking over, no wire, nothing that may as well be left."""
    return not (job.is_look_over or job.is_about_wire or (job.optional and not job.own))


def is_near(job: Job, today: date) -> bool:
    """Whether a job's best days, opening, end or the grower's own date fall in the days ahead; or it is late, or has no date."""
    last = today + timedelta(days=AHEAD_DAYS)
    if job.opens is None or job.since:
        return True
    ends = job.closes is not None and job.closes <= last
    if _has_last_day_only(job):
        return ends
    if job.best:
        band = timedelta(days=job.band)
        if job.best - band <= last and job.best + band >= today:
            return True
    return ends or today <= job.opens <= last


def _has_last_day_only(job: Job) -> bool:
    """Wire that has to come off, and what the grower alone set a day for: no season opens them."""
    return job.record is None or Thing.WIRE in job.record.takes


def last_day(job: Job) -> date | None:
    """The last day of a job; the one that has passed where it is late."""
    return job.since or job.closes


def _next(plan: Plan, asked: Sequence[Job], first: Job | None) -> Job | None:
    """The job behind the first: open, or opening before long."""
    limit = plan.today + timedelta(days=NEXT_DAYS)
    return next((j for j in asked if j is not first and (j.opens is None or j.opens <= limit)), None)


def _off_by(wires: Iterable[Job]) -> date | None:
    return min((day for job in wires if (day := last_day(job))), default=None)


def _branches(plan: Plan) -> tuple[str, ...]:
    """The branches that carry wire, each once; none where one of the wires is on the whole tree."""
    wires = plan.state.wires
    return tuple(dict.fromkeys(b for wire in wires for b in wire.branches)) if all(w.branches for w in wires) else ()


def _is_all(plan: Plan, due: Sequence[Job]) -> bool:
    """Whether these jobs are about all wire that is on the tree."""
    told = {job.branches for job in due}
    return all(wire.branches in told for wire in plan.state.wires)


def _joint(due: Sequence[Job]) -> tuple[str, ...]:
    """The branches of several jobs; none where one of them means the whole tree."""
    return tuple(dict.fromkeys(b for job in due for b in job.branches)) if all(j.branches for j in due) else ()


# -- neighbours ----------------------------------------------------------------------------------------------------


def _neighbours(rows: Sequence[Row]) -> Iterator[Row]:
    """Rows of one species, stage and place that say the same, one behind the other, as one row."""
    index = 0
    while index < len(rows):
        same = [rows[index]]
        while index + len(same) < len(rows) and _alike(rows[index], rows[index + len(same)]):
            same.append(rows[index + len(same)])
        index += len(same)
        yield from [_joined(same)] if len(same) >= LEAST_NEIGHBOURS else same


def _alike(one: Row, other: Row) -> bool:
    return not (one.wired or other.wired or one.rates or one.job is None) and _said(one) == _said(other)


def _said(row: Row) -> tuple[object, ...]:
    tree, job, follows = row.plan.tree, row.job, row.follows
    told = [(j.what, j.opens, j.closes, j.status, j.optional) if j else None for j in (job, follows)]
    return (
        tree.species,
        tree.cultivar,
        tree.group,
        tree.bench,
        tree.count > 1,
        row.plan.state.stage,
        row.plan.silent_since is None,
        *told,
        row.off,
    )


def _joined(rows: Sequence[Row]) -> Row:
    first = rows[0]
    return Row(tuple(row.plan for row in rows), first.job, first.follows)


def tag_ranges(tags: Sequence[str], order: Sequence[str]) -> list[str]:
    """Tags in few words: `005`, `031–033`; a range holds every number between its ends, so that it says nothing of a tree that is gone,
    stands elsewhere, or has a file that could not be read.
    """
    place: Mapping[str, int] = {tag: n for n, tag in enumerate(order)}
    runs: list[list[str]] = []
    for tag in sorted(tags, key=lambda t: place.get(t, -1)):
        follows = runs and place.get(tag, -1) == place.get(runs[-1][-1], -3) + 1 and _is_next(runs[-1][-1], tag)
        runs[-1].append(tag) if follows else runs.append([tag])
    return [part for run in runs for part in ([f"{run[0]}–{run[-1]}"] if len(run) > 2 else run)]


def _is_next(one: str, other: str) -> bool:
    """Whether two tags are a number and the next with the same letters before them, so that a range of them can be typed."""
    first, second = (re.fullmatch(r"([^\W\d_]{0,6})(\d{1,5})", tag) for tag in (one, other))
    if first is None or second is None or len(one) != len(other):
        return False
    return first[1].casefold() == second[1].casefold() and int(second[2]) == int(first[2]) + 1


# -- spring --------------------------------------------------------------------------------------------------------


def watched_trees(plans: Sequence[Plan], garden: Garden) -> tuple[str, ...]:
    """The tags of the earliest trees whose leaves open about now, and were not seen to this season."""
    found: list[tuple[date, int, str]] = []
    for plan in plans:
        today, season = plan.today, garden.site.calendar.season_of(plan.today)
        mark = garden.site.marks.mark(plan.group, OPEN, season, Who(plan.tree.tag, plan.tree.species))
        near = isinstance(mark, Mark) and mark.day - SEEN_BEFORE <= today <= mark.day + SEEN_AFTER
        seen = any(
            e.saw == OPEN and e.date.is_day and garden.site.calendar.season_of(e.date.earliest) == season
            for e in plan.state.entries
        )
        if isinstance(mark, Mark) and near and not seen:
            found.append((mark.day, len(found), plan.tree.tag))
    return tuple(tag for *_, tag in sorted(found)[:WATCHED])
