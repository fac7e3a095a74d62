"""The lines of `due`: first what presses, what is open, the next thirty days, later; the care beside it; what is left alone.

A row is one tree and one visit. A tree of which nothing was written for more than a year has one line: the tool knows no better,
and does not scold.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace
from datetime import date

from ..collection.dates import day_told
from ..collection.load import bench_order
from ..diagnostics import counted
from ..horticulture.work import Kind
from ..planning.lists.care_list import Cared, care_until
from ..planning.lists.due_rows import (
    FIRST,
    GROUPS,
    LATER,
    SOON,
    DueRow,
    Shown,
    due_rows,
    heard_and_silent,
    jobs_due,
    takes_wire,
)
from ..planning.model import Job, Plan, Status
from ..planning.wording import Wording
from .results import fitted_table, painted, table

HEAD = ("tag", "name", "work", "when", "best")
CARE_HEAD = ("care", "from", "to", "trees")
MOST_TAGS = 8


def due_lines(plans: Sequence[Plan], shown: Shown, wording: Wording) -> list[str]:
    """All of it for people; nothing where no tree has any."""
    heard, silent = heard_and_silent(plans)
    rows = sorted(due_rows(heard, shown), key=lambda row: (GROUPS.index(row.group), row.order))
    lines = [*_groups(rows, shown), *_silent_lines(silent)] or ["nothing is due"]
    care = care_lines([*heard, *map(_nights_only, silent)], plans[0].today + SOON) if plans else []
    for more in (care, [line for plan in heard for line in _left_alone(plan, wording)]):
        lines += ["", *more] if more else []
    return lines


def plain_lines(plans: Sequence[Plan], shown: Shown, wording: Wording) -> list[str]:
    """The same as one sentence a job, tree by tree, for a voice or a narrow screen."""
    heard, silent = heard_and_silent(plans)
    lines = []
    for plan in heard:
        name = _name(plan)
        jobs = [job for job in jobs_due(plan, shown) if shown.later or _opens(job) <= plan.today + SOON]
        lines += [f"{name}: {_what(plan, job)}, {_when((job,), plan.today)}." for job in jobs]
        lines += [f"{name}: {job.what}, {_when((job,), plan.today)}." for job in _near_care(plan)]
        lines += [f"{name}: {words}." for words in _against(plan, wording)]
    for plan in silent:
        lines.append(f"{_name(plan)}: {_look(plan)}, {_last_told(plan)}.")
        lines += [
            f"{_name(plan)}: {job.what}, {_when((job,), plan.today)}." for job in _near_care(_nights_only(plan))
        ]
    return lines or ["Nothing is due."]


# -- rows ----------------------------------------------------------------------------------------------------------


def _groups(rows: Sequence[DueRow], shown: Shown) -> list[str]:
    """The rows under their headings, all columns alike; of what is later only how much it is."""
    told = [row for row in rows if shown.later or row.group != LATER]
    cells = [_cells(row) for row in told]
    aligned = fitted_table(cells, HEAD, shrink=1) if cells else []
    lines = aligned[:1]
    for number, (row, line) in enumerate(zip(told, aligned[1:], strict=True)):
        if number == 0 or row.group != told[number - 1].group:
            lines.append(painted(row.group, "bold"))
        lines.append(painted(line, "red") if row.group == FIRST else line)
    left = len(rows) - len(told)
    return [*lines, f"{LATER}: {left} more, see benchleaf due --all"] if left else lines


def _cells(row: DueRow) -> list[str]:
    plan, first = row.plan, row.jobs[0]
    best = max(first.best, plan.today) if first.best else None
    band = f" ± {first.band} d" if first.band else ""
    return [
        plan.tree.tag,
        plan.tree.name or plan.tree.full_name,
        ", ".join(_what(plan, job) for job in row.jobs),
        _when(row.jobs, plan.today),
        f"{day_told(best)}{band}" if best and not first.since else "",
    ]


def _when(jobs: Sequence[Job], today: date) -> str:
    """From when, until when: of several the days that suit all of them."""
    if jobs[0].opens is None:
        return "by its signs"
    since = next((job.since for job in jobs if job.since), None)
    if since:
        return f"overdue since {day_told(since)}"
    ends = [job.closes for job in jobs if job.closes]
    until = f"until {day_told(min(ends))}" if ends else ""
    opens = max(_opens(job) for job in jobs)
    if opens <= today:
        return f"now, {until}" if until else "now"
    return f"from {day_told(opens, min(ends))}, {until}" if ends else f"from {day_told(opens)}"


def _opens(job: Job) -> date:
    return job.opens or date.min


def _what(plan: Plan, job: Job) -> str:
    off = next((o for o in plan.jobs if takes_wire(o) and o is not job and o.branches == job.branches), None)
    what = job.what
    if off is not None and off.closes and job.is_about_wire:
        what += f", off by {day_told(off.closes)}"
    what += " (only if you mean to)" if job.optional else ""
    what += ": rate vigour first" if job.rate_first else ""
    return what + (" - overdue" if job.status is Status.OVERDUE and not job.since else "")


# -- trees not written of --------------------------------------------------------------------------------------------


def _silent_lines(silent: Sequence[Plan]) -> list[str]:
    """A row a tree, those with wire on first, then by how long ago; trees of which nothing was ever written last."""
    if not silent:
        return []
    far = date.max
    ordered = sorted(
        silent, key=lambda plan: (not _wire_waits(plan), plan.silent_since or far, bench_order(plan.tree.tag))
    )
    rows = [[plan.tree.tag, plan.tree.name or plan.tree.full_name, _look(plan), _last_told(plan)] for plan in ordered]
    head = f"{counted(len(silent), 'tree')} not written of for over a year: look, type what you see; all of it: due --why TAG"
    return [painted(head, "bold"), *fitted_table(rows, ("tag", "name", "to do", "last written"), shrink=1)[1:]]


def _nights_only(plan: Plan) -> Plan:
    """The plan with no more care than that for which a night may come that kills: nobody need have written for that."""
    return replace(plan, care=tuple(job for job in plan.care if job.night is not None))


def _wire_waits(plan: Plan) -> bool:
    return any(job.is_about_wire and job.opens and job.opens <= plan.today for job in plan.jobs)


def _look(plan: Plan) -> str:
    first = next((job for job in plan.jobs if _may_follow_a_look(job)), None)
    parts = ["look at its wire" if _wire_waits(plan) else "look"]
    if plan.holds:
        parts.append("leave it alone till then")
    elif first is not None and not _wire_waits(plan):
        waits = first.opens is not None and first.opens > plan.today
        parts.append(f"then {first.what}" + (f" from {day_told(_opens(first))}" if waits else ""))
    return ", ".join(parts)


def _may_follow_a_look(job: Job) -> bool:
    """Not what asks strength of a tree that nobody scored for a year, unless it was meant."""
    if job.is_about_wire or job.is_look_over or job.record is None:
        return job.record is None
    mild = job.record.is_exempt or job.record.kind in (Kind.CARE, Kind.ROOTS)
    return bool(job.own) or (mild and not job.rate_first)


def _last_told(plan: Plan) -> str:
    return f"last written of {day_told(plan.silent_since)}" if plan.silent_since else "never written of"


# -- care, and what is left alone ----------------------------------------------------------------------------------


def care_lines(plans: Iterable[Plan], last: date) -> list[str]:
    """Care that is open or begins by a day, a line for all trees that have it: shelter, frost, feeding, shade, pests."""
    plans = list(plans)
    today = max((plan.today for plan in plans), default=last)
    rows = [
        [care.what, _care_from(care, today), _span(care.closes), _tags(care.tags)] for care in care_until(plans, last)
    ]
    return table(rows, CARE_HEAD) if rows else []


def _care_from(care: Cared, today: date) -> str:
    if care.ahead:
        return _span(care.opens)
    return f"now … {day_told(care.opens[1])}" if care.opens[1] > today else "now"


def _near_care(plan: Plan) -> list[Job]:
    return [job for care in care_until([plan], plan.today + SOON) for job in care.jobs]


def _span(days: tuple[date, date]) -> str:
    """One day, or the first and the last of several."""
    first, last = days
    return day_told(first) if first == last else f"{day_told(first)} … {day_told(last)}"


def _tags(tags: Sequence[str]) -> str:
    shown = " ".join(tags[:MOST_TAGS])
    return f"{shown} and {len(tags) - MOST_TAGS} more" if len(tags) > MOST_TAGS else shown


def _left_alone(plan: Plan, wording: Wording) -> list[str]:
    return [f"{plan.tree.tag}  {words}" for words in _against(plan, wording)]


def _against(plan: Plan, wording: Wording) -> list[str]:
    """Whether it can live there, the states in which kinds of work wait, and what is refused for other grounds than those."""
    held = {hold.reason for hold in plan.holds}
    told = [*map(wording.reason, plan.advice), *map(wording.hold, plan.holds)]
    return told + [f"no {r.work}: {wording.reason(r.why)}" for r in plan.expected_refusals if r.why not in held]


def _name(plan: Plan) -> str:
    return f"{plan.tree.tag} {plan.tree.name or plan.tree.full_name}"
