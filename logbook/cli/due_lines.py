"""The lines of `due`: what is open by what is lost by waiting, then what is ahead; the care beside it; what is left alone.

A tree of which nothing was written for more than a year has one line: the tool knows no better, and does not scold.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date, timedelta

from ..collection.dates import day_told
from ..diagnostics import counted
from ..planning.conflicts import urgency
from ..planning.lists.care_list import care_until
from ..planning.model import Job, Plan, Status
from ..planning.wording import Wording
from .results import table

HEAD = ("tag", "name", "work", "begin looking", "best", "too late after", "±")
CARE_HEAD = ("care", "from", "to", "trees")
SOON = timedelta(days=30)
MOST_TAGS = 8


def due_lines(plans: Sequence[Plan], limit: date, wording: Wording) -> list[str]:
    """All of it for people, for works that open until `limit`; nothing where no tree has any."""
    heard = [plan for plan in plans if plan.silent_since is None]
    heard = heard if any(plan.tree.log for plan in heard) or len(heard) == len(plans) else []
    silent = [plan for plan in plans if plan not in heard]
    rows = [*_job_rows(heard, limit), *_silent_rows(silent)]
    lines = table(rows, HEAD) if rows else ["nothing is due"]
    if silent:
        lines.append(
            f"{counted(len(silent), 'tree')} not written of for over a year: look, type what you see; all of it: due --why TAG"
        )
    care = care_lines(heard, plans[0].today + SOON) if plans else []
    for more in (care, [line for plan in heard for line in _left_alone(plan, wording)]):
        lines += ["", *more] if more else []
    return lines


def _job_rows(plans: Iterable[Plan], limit: date) -> list[list[str]]:
    rows = [
        ((*urgency(job, plan.today), plan.tree.tag), _row(plan, job))
        for plan in plans
        for job in _shown(plan)
        if job.opens is None or job.opens <= limit
    ]
    rows.sort(key=lambda pair: pair[0])
    return [row for _, row in rows]


def _shown(plan: Plan) -> list[Job]:
    """Its jobs; a wire's look tells when the wire is off by, so that its coming off has no line of its own."""
    looked_at = {job.branches for job in plan.jobs if job.is_about_wire and job.record and job.record.looks}
    return [job for job in plan.jobs if not (_takes_wire(job) and job.branches in looked_at)]


def _takes_wire(job: Job) -> bool:
    return job.is_about_wire and job.record is not None and not job.record.looks


def _row(plan: Plan, job: Job) -> list[str]:
    when = "by its signs" if job.opens is None else "now" if job.opens <= plan.today else day_told(job.opens)
    late = job.since or job.closes
    return [
        plan.tree.tag,
        plan.tree.name or plan.tree.full_name,
        _what(plan, job),
        when,
        day_told(max(job.best, plan.today)) if job.best else "",
        day_told(late) if late else "",
        f"{job.band} d" if job.band else "",
    ]


def _what(plan: Plan, job: Job) -> str:
    off = next((o for o in plan.jobs if _takes_wire(o) and o is not job and o.branches == job.branches), None)
    what = job.what
    if off is not None and off.closes and job.is_about_wire:
        what += f", off by {day_told(off.closes)}"
    what += " (as planned)" if job.optional else ""
    what += ": rate vigour first" if job.rate_first else ""
    return what + (" - overdue" if job.status is Status.OVERDUE else "")


def _silent_rows(silent: Iterable[Plan]) -> list[list[str]]:
    """Those with wire on first, then by how long ago; trees of which nothing was ever written last."""
    far = date.max
    ordered = sorted(silent, key=lambda plan: (not _wire_waits(plan), plan.silent_since or far, plan.tree.tag))
    return [_silent_row(plan) for plan in ordered]


def _wire_waits(plan: Plan) -> bool:
    return any(job.is_about_wire and job.opens and job.opens <= plan.today for job in plan.jobs)


def _silent_row(plan: Plan) -> list[str]:
    first = next((job for job in plan.jobs if not (job.is_about_wire or job.is_look_over)), None)
    parts = ["look at its wire" if _wire_waits(plan) else "look"]
    if plan.holds:
        parts.append("leave it alone till then")
    elif first is not None and not _wire_waits(plan):
        parts.append(f"then {first.what}")
    since = f"last written of {day_told(plan.silent_since)}" if plan.silent_since else "never written of"
    return [plan.tree.tag, plan.tree.name or plan.tree.full_name, ", ".join(parts), "now", "", since, ""]


def care_lines(plans: Iterable[Plan], last: date) -> list[str]:
    """Care that is open or begins by a day, a line for all trees that have it: shelter, frost, feeding, shade, pests."""
    rows = [
        [
            care.what,
            _span(care.opens) if care.ahead else "now",
            _span(care.closes),
            _tags(care.tags),
        ]
        for care in care_until(plans, last)
    ]
    return table(rows, CARE_HEAD) if rows else []


def _span(days: tuple[date, date]) -> str:
    """One day, or the first and the last of several."""
    first, last = days
    return day_told(first) if first == last else f"{day_told(first)} … {day_told(last)}"


def _tags(tags: Sequence[str]) -> str:
    shown = " ".join(tags[:MOST_TAGS])
    return f"{shown} and {len(tags) - MOST_TAGS} more" if len(tags) > MOST_TAGS else shown


def _left_alone(plan: Plan, wording: Wording) -> list[str]:
    """The states in which kinds of work wait, and what is refused for other grounds than those."""
    held = {hold.reason for hold in plan.holds}
    told = [f"{plan.tree.tag}  {wording.hold(hold)}" for hold in plan.holds]
    return told + [
        f"{plan.tree.tag}  no {r.work}: {wording.reason(r.why)}" for r in plan.refusals if r.why not in held
    ]
