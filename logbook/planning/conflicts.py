"""Choosing among jobs: one hard work at a time, the grower's own intentions among them, and the order they stand in."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import on_day
from ..collection.model import Entry, Intention
from .model import Desk, Job, Reason, Refusal, Status
from .restrictions import forbidden, hard_limits, is_hard
from .seasons_due import NEAR_DAYS
from .windows import Span

BEFORE_DEADLINE_DAYS = 182


def one_hard_work_at_a_time(desk: Desk, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of hard works that would exclude one another, the one that was meant, is overdue or comes earlier stays; the others say which comes first."""
    hard = [
        j
        for j in jobs
        if j.opens
        and j.best
        and j.closes
        and j.work in desk.knowledge.works
        and is_hard(desk.knowledge.works[j.work])
    ]
    kept: list[Job] = []
    refusals: list[Refusal] = []
    dropped: set[int] = set()
    for job in sorted(
        hard, key=lambda j: (not j.own, j.status not in ("now", "overdue") and not _missed(j), j.optional, j.opens)
    ):
        against = next((first for first in kept if _excludes(desk, first, job)), None)
        if against is None:
            kept.append(job)
            continue
        dropped.add(id(job))
        if job.opens and job.opens <= desk.today + timedelta(days=NEAR_DAYS):
            why = f"{against.work} comes first (about {against.best:%b %Y})"
            refusals.append(
                Refusal(
                    desk.tree.tag,
                    job.work,
                    why,
                    (Reason("rule", "the two in one season are too much for the tree"), *job.reasons),
                )
            )
    return [j for j in jobs if id(j) not in dropped], refusals


def _missed(job: Job) -> bool:
    return any(r.kind == "interval" and r.text.startswith("due since") for r in job.reasons)


def _excludes(desk: Desk, first: Job, job: Job) -> bool:
    """Whether doing `first` at its best day would forbid `job` in its window, or the other way round."""
    one, other = (first, job) if first.best <= job.best else (job, first)  # type: ignore[operator]
    work = desk.knowledge.works[other.work]
    row = work.row(desk.group.name)
    if row is None or one.best is None or other.best is None or other.opens is None or other.closes is None:
        return False
    done = Entry(date=on_day(one.best), work=one.work)
    after = replace(desk, state=replace(desk.state, entries=(*desk.state.entries, done)))
    span = Span(other.opens, other.best, other.closes, other.band, ())
    season = desk.site.season_of(other.best)
    return bool(forbidden(after, work, row, span, season)) or bool(
        hard_limits(after, after.state.entries, span, season)
    )


def urgency(job: Job, today: date) -> tuple[object, ...]:
    """Open windows by how soon they close, then those ahead by how soon they open; dateless last."""
    far = date.max
    if job.opens is None:
        return (2, job.optional, far, job.work)
    if job.opens <= today:
        return (0, False, job.closes or far, job.work)
    return (1, False, job.opens, job.work)


def with_own_words(desk: Desk, jobs: list[Job]) -> list[Job]:
    """The grower's own intentions among the jobs: an intended work that is due anyway keeps its dates and takes the words."""
    jobs = list(jobs)
    for said, intention in desk.state.intentions:
        if not intention.by and not intention.work:
            continue  # a thought to keep in mind; the sheet prints it, but there is nothing to tick
        reason = Reason("log", f"you meant this on {said.told()}: {intention.what}")
        by = intention.by.told() if intention.by else ""
        same = next((i for i, job in enumerate(jobs) if intention.work and job.work == intention.work), None)
        if same is None:
            jobs.append(_own_job(desk, intention, reason, by))
        else:
            jobs[same] = replace(
                jobs[same], own=intention.what, by=by, reasons=(*jobs[same].reasons, reason), optional=False
            )
    return jobs


def _own_job(desk: Desk, intention: Intention, reason: Reason, by: str) -> Job:
    when = intention.by
    opens = max(when.earliest - timedelta(days=BEFORE_DEADLINE_DAYS), desk.today) if when else None
    closes = max(when.latest, desk.today) if when else None
    status: Status = "by sign"
    if when:
        status = "overdue" if when.latest < desk.today else "now" if opens == desk.today else "ahead"
    return Job(
        desk.tree.tag,
        intention.work or "intention",
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
        by=by,
        since=when.latest if when and when.latest < desk.today else None,
    )
