"""Separating layers and grafts: never before they have had their weeks, nor so late that no growth is left."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from operator import sub

from ...collection.model import Entry
from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Thing, Work
from ...season.mark import Mark
from ...season.reasons import because
from ..condition import layers_on, separable_from
from ..grounds import ByLog, ByMark, ByState
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..windows import Span
from .registry import job_rule

LATEST_DAYS = 30  # before growth ends
SPRING_DAYS = 14
FROSTY = -3.0
LAYER_BAND = 14


@job_rule("separating", follows=lambda work: Thing.LAYER in work.puts or Thing.GRAFT in work.puts)
def separating(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """A job for the oldest layer or graft of the kind this work takes off; those of one season go together."""
    made = [e for e in layers_on(context.garden, context.state) if _takes(context, work, e)]
    if not made:
        return []
    ready = max(separable_from(context.garden, context.group.name, e) for e in _of_one_season(context, made))
    reasons = (because(ByLog.PUT_ON, what=context.knowledge.works[made[0].work].past(), when=made[0].date),)
    span = _window(context, ready)
    if span is None:
        day = because(ByMark.NOT_SEPARABLE_BEFORE, day=ready)
        jobs = [job_by_sign(context, work, row, (*reasons, day))] if ready <= context.today else []
        return [*jobs]
    status = Status.NOW if span.opens <= context.today else Status.AHEAD
    job = job_in(
        context, work, row, span, status, (*reasons, because(ByMark.NOT_SEPARABLE_BEFORE, day=ready), *span.how)
    )
    sleeve = (because(ByState.WRAP_SLEEVE),) if _winters_on(context, made[0], span) else ()
    return [replace(job, conditions=sleeve, branches=_branches(made))]


def _takes(context: Context, work: Work, entry: Entry) -> bool:
    return bool(set(context.knowledge.works[entry.work].puts) & set(work.takes))


def _of_one_season(context: Context, made: list[Entry]) -> list[Entry]:
    first = context.calendar.season_of(made[0].date.latest)
    return [e for e in made if context.calendar.season_of(e.date.latest) == first]


def _branches(made: list[Entry]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(branch for entry in made for branch in entry.branches))


def _window(context: Context, ready: date) -> Span | None:
    """From the day it is ready until a month before growth ends; else about the next swelling of buds."""
    day = max(ready, context.today)
    for season in (context.calendar.season_of(day), context.calendar.season_of(day) + 1):
        end = context.site.marks.mark(context.group.name, MarkName.GROWTH_END, season, context.who)
        swell = context.site.marks.mark(context.group.name, MarkName.SWELL, season, context.who)
        opens = max(ready, swell.day - timedelta(days=SPRING_DAYS)) if isinstance(swell, Mark) else ready
        if not isinstance(end, Mark):
            return None
        closes = end.day - timedelta(days=LATEST_DAYS)
        if max(opens, context.today) <= closes:
            band = max(swell.band if isinstance(swell, Mark) else LAYER_BAND, LAYER_BAND)
            return Span(opens, max(opens, min(context.today, closes)), closes, band)
    return None


def _winters_on(context: Context, made: Entry, span: Span) -> bool:
    """Whether it stays on the tree through a winter with hard frost."""
    climate = context.site.climate
    later = context.calendar.season_of(span.opens) > context.calendar.season_of(made.date.latest)
    if climate is None or not later:
        return climate is None and later
    coldest: float = min(map(sub, climate.tmin, climate.sigma_min))
    return coldest < FROSTY
