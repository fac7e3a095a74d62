"""The rows of what is due: one tree and one visit each, under headings by how soon they are wanted.

A tree of which nothing was written for more than a year has none: the tool knows no better, and does not scold.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta

from ...collection.load import bench_order
from ...values import dataclass
from ..conflicts import lost_by_waiting, urgency
from ..model import Job, Plan, Status, Visit
from ..tree_state import State
from .care_list import care_of

SOON = timedelta(days=30)
SAME_VISIT = timedelta(days=14)
PRESSES = timedelta(days=7)
FIRST, OPEN, NEXT, LATER, BY_SIGN = "First", "Open", "Next 30 days", "Later", "By their signs"
GROUPS = (FIRST, OPEN, BY_SIGN, NEXT, LATER)


@dataclass(frozen=True, slots=True)
class Shown:
    """How much is told: works that open until `limit`; `later` ones and those that only may be done, or a word that they are left out."""

    limit: date
    later: bool = False
    optional: bool = False


@dataclass(frozen=True, slots=True)
class DueRow:
    """What one visit to a tree would do."""

    plan: Plan
    jobs: tuple[Job, ...]

    @property
    def group(self) -> str:
        """Under which heading it stands."""
        today, first = self.plan.today, self.jobs[0]
        if first.opens is None:
            return BY_SIGN
        if first.opens > today:
            return NEXT if first.opens <= today + SOON else LATER
        return FIRST if any(_presses(job, today) for job in self.jobs) else OPEN

    @property
    def order(self) -> tuple[object, ...]:
        """Within its group: the dearest first, then trees as they are numbered."""
        return (*urgency(self.jobs[0], self.plan.today), bench_order(self.plan.tree.tag))


def _presses(job: Job, today: date) -> bool:
    """What is overdue, bites or ails; a window that costs a year and is about to close."""
    closing = job.costs_a_year and job.closes is not None and job.closes <= today + PRESSES
    return job.status is Status.OVERDUE or (lost_by_waiting(job) == 0 and not job.optional) or closing


def listed(plan: Plan) -> Plan:
    """A plan with no more than lists tell of it: nothing of its tree's state, not why a job is on offer, and of the care beside it what
    begins by `SOON`. Of many trees the plans would take a third of the room.
    """
    jobs = {id(job): replace(job, reasons=()) for job in plan.jobs}
    return Plan(
        plan.tree,
        State(()),
        plan.group,
        plan.today,
        tuple(jobs.values()),
        plan.refusals,
        tuple(replace(job, reasons=()) for job in care_of(plan, plan.today + SOON)),
        holds=plan.holds,
        visits=tuple(Visit(visit.day, tuple(jobs[id(job)] for job in visit.jobs)) for visit in plan.visits),
        silent_since=plan.silent_since,
        advice=plan.advice,
    )


def heard_and_silent(plans: Sequence[Plan]) -> tuple[list[Plan], list[Plan]]:
    """The trees of which something was written within a year, and the silent ones; a garden without any log is heard."""
    heard = [plan for plan in plans if plan.silent_since is None]
    heard = heard if any(plan.tree.log for plan in heard) or len(heard) == len(plans) else []
    told = {plan.tree.tag for plan in heard}
    return heard, [plan for plan in plans if plan.tree.tag not in told]


def due_rows(plans: Iterable[Plan], shown: Shown) -> Iterator[DueRow]:
    """A row a visit, tree by tree."""
    for plan in plans:
        left = jobs_due(plan, shown)
        while left:
            first, *left = left
            along = [job for job in left if _one_visit(plan, first, job)]
            left = [job for job in left if all(job is not other for other in along)]
            yield DueRow(plan, (first, *along))


def jobs_due(plan: Plan, shown: Shown) -> list[Job]:
    """A tree's jobs, the dearest first; a wire's look tells when the wire is off by, so its coming off has no line of its own."""
    looked_at = {job.branches for job in plan.jobs if job.is_about_wire and job.record and job.record.looks}
    jobs = [job for job in plan.jobs if not (takes_wire(job) and job.branches in looked_at)]
    asked = [job for job in jobs if shown.optional or job.own or not job.optional]
    near = [job for job in asked if job.opens is None or job.opens <= shown.limit]
    return sorted(near, key=lambda job: urgency(job, plan.today))


def _one_visit(plan: Plan, first: Job, job: Job) -> bool:
    """Whether two jobs are one row: of one visit, and both open, or opening about the same day."""
    visit = next((v for v in plan.visits if any(j is first for j in v.jobs)), None)
    if visit is None or not any(j is job for j in visit.jobs) or first.opens is None or job.opens is None:
        return False
    if _presses(first, plan.today) or _presses(job, plan.today):
        return False
    both_open = max(first.opens, job.opens) <= plan.today
    return both_open or (first.opens > plan.today and abs(job.opens - first.opens) <= SAME_VISIT)


def takes_wire(job: Job) -> bool:
    """Whether it is wire coming off."""
    return job.is_about_wire and job.record is not None and not job.record.looks
