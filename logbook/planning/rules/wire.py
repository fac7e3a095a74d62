"""Jobs about wire that is on a tree: when to look at it, and the last weeks before it must be off."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ...horticulture.knowledge import WireRule
from ...horticulture.work import Row, Thing, Work
from ...season.cache import Slot
from ...season.reasons import Reason, because
from ..grounds import ByLog, ByRule
from ..lists.branch_growth import Thickening, thickening_of
from ..model import Context, Job, Refusal, Status, job_in
from ..windows import Span
from ..wires import WireOn
from .registry import job_rule
from .wire_bite import WireDays, wire_days

LAST_WEEKS_DAYS = 42
WIRE_BAND = 14
_DAYS: Slot[tuple[WireRule, date, date | None, float, bool], WireDays] = Slot("days of wire by when it went on")


@job_rule("wire check")
def wire_check(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """When to look at each wire; one that was found biting has to come off instead."""
    return [_check(context, work, row, wire) for wire in context.state.wires if not wire.bites]


def _check(context: Context, work: Work, row: Row, wire: WireOn) -> Job:
    days, today = _days_of(context, wire), context.today
    gone = days.off is not None and days.off < today
    look = max(days.look, today)
    status = Status.OVERDUE if gone else Status.NOW if days.look <= today else Status.AHEAD
    caution = next((w.caution for w in context.knowledge.doing(takes=Thing.WIRE) if w.caution), "")
    span = Span(look, look, max(days.off or look, today), WIRE_BAND)
    job = job_in(context, work, row, span, status, tuple(_check_reasons(context, wire, days)))
    return _with(job, wire, caution, days.off if gone else None, open_ended=days.off is None)


def _check_reasons(context: Context, wire: WireOn, days: WireDays) -> list[Reason]:
    reasons = [because(ByLog.WIRED, when=wire.on)]
    reasons += [because(ByLog.LOOKED, day=wire.looked)] if wire.looked else []
    reasons.append(days.look_why)
    learned = _thickening(context)
    reasons += [because(ByLog.THICKENING_LEARNED, factor=learned.factor, looks=learned.looks)] if learned.told else []
    reasons += [because(ByRule.OFF_BY, day=days.off, why=days.off_why)] if days.off else []
    return reasons


def _with(job: Job, wire: WireOn, caution: str, since: date | None, *, open_ended: bool = False) -> Job:
    closes = None if open_ended else job.closes
    return replace(job, branches=wire.branches, caution=caution, since=since, closes=closes)


def _days_of(context: Context, wire: WireOn) -> WireDays:
    rule = context.knowledge.wire_rules[context.group.wire]
    mm = _thickening(context).mm_a_year
    key = (rule, wire.on.earliest, wire.looked, mm, wire.keep)
    return context.site.cache.get(_DAYS, key, lambda: wire_days(context.site, *key))


def _thickening(context: Context) -> Thickening:
    return thickening_of(context.tree, context.state, context.garden, context.group.name)


@job_rule("wire off")
def wire_off(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """For each wire the last six weeks before it must be off; at once where it bites; never where it is meant to stay."""
    jobs = (_off(context, work, row, wire) for wire in context.state.wires)
    return [job for job in jobs if job is not None]


def _off(context: Context, work: Work, row: Row, wire: WireOn) -> Job | None:
    days, today = _days_of(context, wire), context.today
    if days.off is None and not wire.bites:
        return None
    limit = today if wire.bites or days.off is None else days.off
    opens, closes = max(limit - timedelta(days=LAST_WEEKS_DAYS), today), max(limit, today)
    best = max(opens, closes - timedelta(days=LAST_WEEKS_DAYS // 2))
    why = because(ByLog.BITING, bite=wire.bite) if wire.bites else because(ByRule.OFF_BY, day=limit, why=days.off_why)
    late = limit < today
    status = Status.OVERDUE if late else Status.NOW if opens <= today else Status.AHEAD
    reasons = (because(ByLog.WIRED, when=wire.on), why)
    job = job_in(context, work, row, Span(opens, best, closes, WIRE_BAND), status, reasons)
    return _with(job, wire, work.caution, limit if late else None)
