"""Choosing among jobs: one hard work at a time, the grower's own intentions among them, and the order they stand in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import on_day
from ..collection.model import Entry, Intention
from ..horticulture.work import Kind
from ..season.reasons import Reason, because
from .condition import Block, blocks_if_done, fresh_vigour, soonest
from .grounds import ByInterval, ByLog, ByRule, ByState
from .model import INTENTION, Context, Job, Refusal, Status
from .restrictions import LEAST_DAYS_LEFT, hard_limits, held, is_hard, score_day
from .seasons_due import NEAR_DAYS
from .windows import Span

BEFORE_DEADLINE_DAYS = 182


def one_thing_at_a_time(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of works that would forbid one another, the one that was meant, is overdue or comes earlier stays.

    Another one keeps what is left of its window after it; where nothing is left, it says which comes first.
    """
    choosy = [j for j in jobs if j.best and j.opens and j.closes and j.record and not j.record.is_exempt]
    kept: list[Job] = []
    placed: dict[int, Job | None] = {}
    refusals: list[Refusal] = []
    for job in sorted(choosy, key=_first_choice):
        found = _beside(context, kept, job)
        if isinstance(found, Job):
            kept.append(found)
            placed[id(job)] = found
            continue
        placed[id(job)] = None
        refusals += [] if found is None else [found]
    left = [placed.get(id(job), job) for job in jobs]
    dateless, waiting = _most_overdue(context, [job for job in left if job is not None])
    return dateless, refusals + waiting


def _beside(context: Context, kept: list[Job], job: Job) -> Job | Refusal | None:
    """The job as it may stand beside those that were chosen before it; a refusal, or nothing where none is expected."""
    for first in kept:
        against = _excluded_by(context, first, job)
        if against is None:
            continue
        if isinstance(against, Job):
            job = against
            continue
        near = job.opens is not None and job.opens <= context.today + timedelta(days=NEAR_DAYS)
        return _comes_first(context, first, job) if near and (job.own or not job.optional) else None
    return job


def _excluded_by(context: Context, first: Job, job: Job) -> Job | bool | None:
    """None where the two bear one another; the job with a later window; True where it can't be done in this one."""
    assert first.best and first.record and job.best and job.record and job.opens and job.closes
    if first.best > job.best:
        later = _simulated(context, job)
        blocked = soonest(later, first.record, first.best)
        return True if blocked or _too_much(context, job, first) else None
    blocks = _simulated(context, first)
    block = soonest(blocks, job.record, job.opens)
    if block is not None:
        if block.end > job.closes - LEAST_DAYS_LEFT:
            return True
        why = because(ByRule.NOT_BEFORE, day=block.end, why=because(ByRule.AFTER, work=first.work))
        moved = replace(job, opens=block.end, best=max(job.best, block.end), reasons=(*job.reasons, why))
        job = _scored(context, replace(moved, status=Status.AHEAD) if block.end > context.today else moved)
        return True if _too_much(context, first, job) else job
    return True if _too_much(context, first, job) else None


def _scored(context: Context, job: Job) -> Job:
    """A job that was moved: the score that counted for its first day may be too old for its new one."""
    if job.record is None or not job.record.wants_strength or job.rate_first or job.opens is None:
        return job
    if fresh_vigour(context.garden, context.state, score_day(context, job.opens)) is not None:
        return job
    return replace(job, rate_first=True, conditions=(because(ByState.RATE_FIRST), *job.conditions))


def _simulated(context: Context, job: Job) -> tuple[Block, ...]:
    """What a job would forbid, if it were done on its best day."""
    assert job.best
    return blocks_if_done(context.garden, context.group.name, job.work, job.best)


def _too_much(context: Context, first: Job, job: Job) -> bool:
    """Whether two hard works are more than one season bears, or the tree has not recovered from the first."""
    if not (first.record and job.record and is_hard(first.record) and is_hard(job.record)):
        return False
    assert first.best and job.best and job.opens and job.closes
    done = Entry(date=on_day(first.best), work=first.work)
    entries = (*context.state.entries, done)
    span = Span(job.opens, job.best, job.closes, job.band)
    return bool(hard_limits(context, entries, span, context.calendar.season_of(job.best)))


def _comes_first(context: Context, first: Job, job: Job) -> Refusal:
    assert first.best
    why = because(ByRule.COMES_FIRST, work=first.work, day=first.best)
    return Refusal(context.tree.tag, job.work, why, (because(ByRule.TOO_MUCH_TOGETHER), *job.reasons))


def _most_overdue(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of several hard works that only their signs can date, the one that was meant or was longest not done."""
    hard = [
        j for j in jobs if j.status is Status.BY_SIGN and j.record and is_hard(j.record) and not j.record.is_exempt
    ]
    if len(hard) < 2:
        return jobs, []

    def longest_ago(job: Job) -> tuple[bool, bool, date]:
        last = context.state.last(job.work)
        return (not job.own, job.optional, last.date.latest if last else date.min)

    first = min(hard, key=longest_ago)
    others = [job for job in hard if job is not first]
    refused = [
        Refusal(
            context.tree.tag, job.work, because(ByRule.AFTER, work=first.work), (because(ByRule.TOO_MUCH_TOGETHER),)
        )
        for job in others
        if job.own or not job.optional
    ]
    return [job for job in jobs if not any(job is other for other in others)], refused


def _first_choice(job: Job) -> tuple[bool, bool, bool, date]:
    """What was meant first, then what is open or was missed, then what has to be before what may be."""
    waiting = job.status not in (Status.NOW, Status.OVERDUE) and not was_missed(job)
    return (not job.own, job.optional, waiting, job.opens or date.max)


def was_missed(job: Job) -> bool:
    """Whether its window went by before, and this is the next chance."""
    return any(reason.code is ByInterval.DUE_SINCE for reason in job.reasons)


def urgency(job: Job, today: date) -> tuple[object, ...]:
    """Open windows by what is lost by waiting and how soon they close, then those ahead by how soon they open; dateless last."""
    far = date.max
    if job.opens is None:
        return (2, job.optional, lost_by_waiting(job), far, job.work)
    if job.opens <= today:
        return (0, False, lost_by_waiting(job), job.closes or far, job.work)
    return (1, False, 0, job.opens, job.work)


# what a season's delay costs, by kind: a pot-bound year, the one flush, then branches, then what can wait
_LOSS = {Kind.ROOTS: 1, Kind.FLUSH: 2, Kind.THIN: 3, Kind.WOOD: 4, Kind.WIRE: 5, Kind.CARE: 6}
MAY_WAIT = 8


def lost_by_waiting(job: Job) -> int:
    """How much waiting costs, the most first: wire that bites and roots that ail, then by kind; what only may be done last."""
    if job.is_urgent:
        return 0
    if job.optional and not job.own:
        return MAY_WAIT
    return _LOSS[job.record.kind_of_turn("")] if job.record else MAY_WAIT - 1


def with_own_words(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """The grower's own intentions among the jobs: an intended work that is due anyway keeps its dates and takes the words.

    What the tree can't bear is refused even where it was meant.
    """
    jobs, denied = list(jobs), []
    for said, intention in context.state.intentions:
        if not intention.by and not intention.work:
            continue  # a thought to keep in mind; the sheet prints it, but there is nothing to tick
        reason = because(ByLog.MEANT, when=said, what=intention.what)
        same = next((i for i, job in enumerate(jobs) if intention.work and job.work == intention.work), None)
        against = _speaks_against(context, intention) if same is None else None
        if against is not None:
            denied.append(Refusal(context.tree.tag, intention.work, against, (against, reason)))
        elif same is None:
            jobs.append(_own_job(context, intention, reason))
        else:
            jobs[same] = replace(
                jobs[same], own=intention.what, by=intention.by, reasons=(*jobs[same].reasons, reason), optional=False
            )
    return jobs, denied


def _speaks_against(context: Context, intention: Intention) -> Reason | None:
    """What forbids a meant work up to the day it was meant for."""
    work = context.knowledge.works.get(intention.work)
    if work is None:
        return None
    reasons = held(context, work)
    day = max(context.today, intention.by.latest) if intention.by else context.today
    block = soonest(context.blocks, work, day)
    return next(iter(reasons), None) or (
        because(ByRule.WAITS_UNTIL, day=block.end, why=block.reason) if block else None
    )


def _own_job(context: Context, intention: Intention, reason: Reason) -> Job:
    when = intention.by
    opens = max(when.earliest - timedelta(days=BEFORE_DEADLINE_DAYS), context.today) if when else None
    closes = max(when.latest, context.today) if when else None
    status = Status.BY_SIGN
    if when:
        late = when.latest < context.today
        status = (
            Status.OVERDUE
            if late and not context.silent
            else Status.NOW
            if opens == context.today or late
            else Status.AHEAD
        )
    return Job(
        context.tree.tag,
        intention.work or INTENTION,
        "",
        "",
        status,
        opens,
        opens,
        closes,
        0,
        branches=intention.branches,
        reasons=(reason,),
        own=intention.what,
        by=when,
        since=when.latest if when and when.latest < context.today and not context.silent else None,
        record=context.knowledge.works.get(intention.work),
    )
