"""One tree's plan in sentences, with every reason it rests on."""

from __future__ import annotations

from collections.abc import Iterator

from ..collection.dates import day_told
from ..planning.asked import ask_words
from ..planning.lists.shared_pests import passed_on
from ..planning.model import Job, Plan, Refusal, Status
from ..planning.wording import Wording
from .common import Opened


def sentences(plan: Plan, opened: Opened) -> Iterator[str]:
    """Who the tree is and how it stands, each job, each work to leave alone, and what else there is to know."""
    tree = plan.tree
    yield f"{tree.tag} {tree.name or ''}".rstrip() + f": {tree.full_name}, grown as {plan.group}"
    yield from _standing(plan, opened.wording)
    for job in plan.jobs:
        yield from _job_sentences(job, opened)
    for job in plan.care:
        yield from _job_sentences(job, opened)
    for refusal in plan.refusals:
        yield from _refusal_sentences(refusal, opened.wording)
    yield from _outlook(plan, opened)
    yield opened.knowledge.cautions["estimate"]


def _standing(plan: Plan, say: Wording) -> Iterator[str]:
    """How the tree stands: its stage and vigour, its rest, its end, and what waits."""
    state, ended = plan.state, plan.tree.ended
    stage = f"stage {state.stage}" if state.stage else "stage not on record"
    scored = f"vigour {state.vigour} ({state.vigour_on.told()})" if state.vigour and state.vigour_on else ""
    yield f"  {stage}, {scored or 'vigour not on record'}"
    if state.resting:
        rest = state.resting
        yield f"  resting since {rest.since.told()} ({say.rest_why(rest)}); rest ends {say.rest_ends(rest)}"
    if ended:
        yield f"  {ended.how} {ended.date.told()}"
    yield from map(say.reason, plan.advice)
    yield from map(say.hold, plan.holds)


def _refusal_sentences(refusal: Refusal, say: Wording) -> Iterator[str]:
    yield f"no {refusal.work}: {say.reason(refusal.why)}"
    yield from (f"  because {say.reason(reason)}" for reason in refusal.reasons if reason != refusal.why)


def _outlook(plan: Plan, opened: Opened) -> Iterator[str]:
    """How it grows, what one visit would do for, what harms, and what to find out."""
    if plan.growth:
        yield opened.wording.growth(plan.growth)
    for visit in plan.visits:
        if len(visit.works) > 1:
            yield f"one visit about {day_told(visit.day)} would do for: {', '.join(visit.works)}"
    if caution := opened.knowledge.poison_words(plan.tree.species):
        yield caution
    for passed in passed_on(opened.garden):
        if plan.tree.tag in (*passed.on, *passed.to):
            yield opened.wording.passed(passed)
    yield from (f"please find out: {ask_words(ask, opened.knowledge.stages)}" for ask in plan.asks)


def _job_sentences(job: Job, opened: Opened) -> list[str]:
    lines = [f"{job.what}: {_span_told(job)}{_overdue_told(job)}"]
    lines += [f"  condition: {opened.wording.reasons(job.conditions)}"] if job.conditions else []
    lines += [f"  how: {job.how}"] if job.how else []
    lines += [f"  do it when: {job.sign}"] if job.sign else []
    lines += [f"  too late when: {job.too_late}"] if job.too_late else []
    lines += [f"  because {opened.wording.reason(reason)}" for reason in job.reasons]
    lines += [f"  care: {opened.knowledge.cautions[job.caution]}"] if job.caution else []
    return lines


def _span_told(job: Job) -> str:
    """From when to when, best when, and how sure that is."""
    band = f" (± {job.band} days)" if job.band else ""
    if job.opens is None or job.best is None:
        return "by its signs, no date can be given"
    if job.closes is None or job.best == job.opens:
        until = f", at the latest by {day_told(job.closes)}" if job.closes else ""
        return f"from {day_told(job.opens)}{until}{band}"
    return f"{day_told(job.opens)} to {day_told(job.closes)}, best about {day_told(job.best)}{band}"


def _overdue_told(job: Job) -> str:
    if job.since:
        return f", overdue since {day_told(job.since)}"
    return ", overdue" if job.status is Status.OVERDUE else ""
