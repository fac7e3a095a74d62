"""Choosing among jobs: one hard work at a time, the grower's own intentions among them, and the order they stand in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import on_day
from ..collection.model import Entry
from ..horticulture.work import POT, Kind
from ..season.reasons import because
from .condition import Block, blocks_if_done, fresh_vigour, soonest
from .grounds import ByInterval, ByRule, ByState
from .model import Context, Job, Refusal, Status
from .restrictions import LEAST_DAYS_LEFT, hard_limits, is_hard, score_day
from .seasons_due import NEAR_DAYS, YEAR_DAYS, interval_years
from .windows import Span


def one_thing_at_a_time(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of works that would forbid one another, the one that was meant, is overdue or comes earlier stays.

    Another one keeps what is left of its window after it; where nothing is left, it says which comes first.
    """
    choosy = {id(j): j for j in jobs if j.best and j.opens and j.closes and j.record and not j.record.is_exempt}
    kept: dict[int, Job] = {}  # by the job as it came
    refusals: list[Refusal] = []
    for job in sorted(choosy.values(), key=_first_choice):
        found = _beside(context, list(kept.values()), job)
        if isinstance(found, Job):
            kept = {name: _not_sooner(context, found, other) for name, other in kept.items()} | {id(job): found}
        elif found is not None:
            refusals.append(found)
    left = [kept.get(id(job), job) for job in jobs if id(job) in kept or id(job) not in choosy]
    dateless, waiting = _most_overdue(context, left)
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
        return _comes_first(context, first, job) if near and (job.own or not job.optional or _instead(job)) else None
    return job


def _instead(job: Job) -> bool:
    """Whether a work that only may be done is worth a word where another took its place: the one flush might be given to it."""
    return job.record is not None and job.record.kind is Kind.FLUSH


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


def _not_sooner(context: Context, first: Job, job: Job) -> Job:
    """A work that is best after another, begun only when that other one bears it: its window opened before both."""
    assert first.best and job.best and job.record and job.opens
    block = (
        soonest(_simulated(context, first), job.record, max(job.opens, first.best)) if first.best < job.best else None
    )
    if block is None or not job.opens < block.end <= job.best:
        return job
    why = because(ByRule.NOT_BEFORE, day=block.end, why=because(ByRule.AFTER, work=first.work))
    moved = replace(job, opens=block.end, reasons=(*job.reasons, why))
    return _scored(context, replace(moved, status=Status.AHEAD) if block.end > context.today else moved)


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
    entries = (*context.state.hard, done)
    span = Span(job.opens, job.best, job.closes, job.band)
    return bool(hard_limits(context, entries, span, context.calendar.season_of(job.best)))


def _comes_first(context: Context, first: Job, job: Job) -> Refusal:
    assert first.best
    meant = job.optional and not job.own
    code = ByRule.COMES_FIRST_UNLESS_MEANT if meant else ByRule.COMES_FIRST
    why = because(code, work=first.work, day=first.best)
    return Refusal(context.tree.tag, job.work, why, (because(ByRule.TOO_MUCH_TOGETHER), *job.reasons), optional=meant)


def _most_overdue(context: Context, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of several hard works that only their signs can date, the one that was meant or was longest not done."""
    hard = [
        j for j in jobs if j.status is Status.BY_SIGN and j.record and is_hard(j.record) and not j.record.is_exempt
    ]
    if len(hard) < 2:
        return jobs, []

    def longest_ago(job: Job) -> tuple[bool, bool, float]:
        return (not job.own, job.optional, -_turns_late(context, job))

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


def _turns_late(context: Context, job: Job) -> float:
    """How many of its usual turns have gone by since a work was last done; one where that is not on record."""
    work = job.record
    assert work is not None
    last = context.state.last(work.name)
    done = context.state.repotted if work.counts_from == POT else last.date if last else None
    row = context.knowledge.row_for(work, context.group.name, context.tree.species)
    if done is None or row is None or not row.every:
        return 1.0
    return (context.today - done.latest).days / (interval_years(context, row) * YEAR_DAYS)


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
