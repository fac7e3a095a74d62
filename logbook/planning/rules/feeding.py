"""Feeding: from when to when by group and stage, without the weeks after works that a tree is not fed in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from ...horticulture.forbids import State as HeldState
from ...horticulture.group import Group
from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.mark import Absent
from ...season.reasons import Found, Reason, because
from ...season.site_year import SiteYear
from ..grounds import ByMark
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..tree_state import State
from ..windows import Answer, NoSpan, Span
from .registry import RuleContext, job_rule, rule_context
from .warmth import active_growth

SETTLED = ("refinement", "maintenance")
FEED = "feed"  # the key of an entry that says what was fed
EARLY_FED = ("two-flush pine", "scale juniper", "cypress")
STOPS_BEFORE_GROWTH_ENDS = timedelta(days=21)
WEAKENED = (HeldState.RESTING, HeldState.RESCUED, HeldState.TROUBLE, HeldState.LIFTED, HeldState.LIFTED_CONIFER)
LONGEST_PAUSE = timedelta(days=400)
LEAST_DAYS = 14  # of feeding before a pause: fewer days are not worth beginning


def fed_in(site: SiteYear, group: Group, season: int, stage: str) -> Answer:
    """When a group's trees of a stage are fed, whatever the tree's log says."""
    return _season_of_feeding(RuleContext(site, group, season, State((), stage=stage)))


@job_rule("feeding")
def feeding(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """What is left of this season's feeding, or the next; it begins again where a pause ends."""
    if any(hold.roots_ail for hold in context.holds):
        return []
    gently = (because(ByMark.HALF_STRENGTH),) if any(hold.state in WEAKENED for hold in context.holds) else ()
    if context.site.climate is None:
        return [job_by_sign(context, work, row, (because(Found.NO_NORMALS),), conditions=gently)]
    now = context.calendar.season_of(context.today)
    for season in (now - 1, now, now + 1):
        answer = _season_of_feeding(rule_context(context, season))
        if not isinstance(answer, Span) or answer.closes < context.today:
            continue
        span = _after_pauses(context, answer)
        if span.opens > span.closes:
            continue
        status = Status.NOW if span.opens <= context.today else Status.AHEAD
        return [job_in(context, work, row, span, status, span.how, conditions=gently)]
    return []


def without_pauses(context: Context, care: Iterable[Job], planned: Iterable[Job]) -> Iterator[Job]:
    """Care with feeding parted by the pauses that planned works will ask for."""
    works = [
        (max(job.best, context.today), job.record) for job in planned if job.best and job.record and not job.optional
    ]
    for job in care:
        if job.record is None or FEED not in job.record.details:
            yield job
        else:
            yield from _parted(context, job, works)


def _parted(context: Context, job: Job, works: Iterable[tuple[date, Work]]) -> Iterator[Job]:
    if job.opens is None or job.closes is None:
        yield job
        return
    for day, work in sorted(works, key=lambda found: found[0]):
        days = _pause(context, work, "", "")
        if not days or not job.opens < day <= job.closes:
            continue
        until = day + timedelta(days=days)
        why = because(ByMark.FEEDING_PAUSE, days=days, work=work.name, day=day)
        if (day - job.opens).days >= LEAST_DAYS:
            yield replace(job, closes=day, reasons=(*job.reasons, why))
        if until >= job.closes:
            return
        job = replace(job, opens=until, best=until, status=Status.AHEAD, reasons=(*job.reasons, why))
    yield job


def _after_pauses(context: Context, span: Span) -> Span:
    """A season's feeding from the end of the pause that ends last."""
    ends: list[tuple[date, Reason]] = []
    for entry in context.state.entries:
        work = context.knowledge.works.get(entry.work)
        done = entry.date.latest
        if work is None or entry.date.about or not span.opens - LONGEST_PAUSE <= done <= span.closes:
            continue
        days = _pause(context, work, entry.force, entry.roots)
        if days and done + timedelta(days=days) > max(span.opens, context.today):
            ends.append(
                (
                    done + timedelta(days=days),
                    because(ByMark.NOT_FED_AFTER, done=work.past(entry.force), when=entry.date),
                )
            )
    if not ends:
        return span
    until, why = max(ends, key=lambda end: end[0])
    return replace(span, opens=until, best=until, how=(*span.how, why))


def _pause(context: Context, work: Work, force: str, roots: str) -> int:
    """Days without feeding after a work; 0 where it asks for none."""
    settled = context.state.stage in SETTLED
    pauses = [p for p in context.knowledge.feeding_pauses if p.after.was(work, force, roots)]
    return max((p.refined if settled else p.days for p in pauses), default=0)


def _season_of_feeding(context: RuleContext) -> Answer:
    """By stage: from open while the trunk is grown, from hardened in refinement; two-flush pines from swell."""
    first = _feeding_begins(context)
    begins, end = context.mark(first), context.mark(MarkName.GROWTH_END)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(begins, Absent):
        return active_growth(context)
    closes = end.day - STOPS_BEFORE_GROWTH_ENDS
    if begins.day > closes:
        return NoSpan(because(ByMark.SEASON_TOO_SHORT), refused=True)
    how = because(ByMark.FEEDING_FROM, mark=first.value, day=begins.day)
    return Span(begins.day, begins.day, closes, begins.band, (how,))


def _feeding_begins(context: RuleContext) -> MarkName:
    if context.group.name in EARLY_FED:
        return MarkName.SWELL
    return MarkName.HARDENED if context.state.stage in SETTLED else MarkName.OPEN
