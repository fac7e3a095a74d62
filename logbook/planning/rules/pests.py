"""The look for pests: one job a tree, with the pests of its group and genus that are about at that time of the year."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ...horticulture.pests import Pest
from ...horticulture.work import Row, Work
from ...season.cache import Slot
from ...season.climate import Climate, day_index
from ...season.reasons import Found as Grounds
from ...season.reasons import because
from ...season.site_year import SiteYear
from ..grounds import ByMark
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..windows import Answer, NoSpan, Span, window_span
from .registry import job_rule, rule_context
from .upkeep import growing_season

AGAIN_DAYS = 28
_HOT: Slot[tuple[float, date, date], Answer] = Slot("hot days by warmth and span")
MOST = 2  # pests that one line names; the rest are in the data
Found = list[tuple[Pest, Span]]
_ABOUT: Slot[tuple[int, date], Found] = Slot("pests about by season and day")


@job_rule("pest watch")
def pest_watch(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """From soft shoots to the end of growth, with the pests that are about then; again four weeks after the last look."""
    last, today = context.state.last(work.name), context.today
    day = max(today, last.date.latest + timedelta(days=AGAIN_DAYS)) if last else today
    now = context.calendar.season_of(today)
    for season in (now - 1, now, now + 1):
        grows = growing_season(rule_context(context, season))
        if isinstance(grows, Span) and grows.closes >= day:
            about = _pests_about(context, season, grows, max(day, grows.opens))
            return [_job(context, work, row, grows, about, day)]
    return [job_by_sign(context, work, row, (because(Grounds.NO_NORMALS),))] if context.site.climate is None else []


def _job(context: Context, work: Work, row: Row, grows: Span, about: Found, day: date) -> Job:
    opens = max(grows.opens, min((span.opens for _, span in about), default=day), day)
    closes = max(opens, min((span.closes for _, span in about), default=grows.closes))
    how = dict.fromkeys(reason for _, span in about for reason in span.how)
    status = Status.NOW if opens <= context.today else Status.AHEAD
    span = Span(opens, opens, closes, grows.band)
    job = job_in(context, work, row, span, status, tuple(how) or grows.how, caution=work.caution)
    if not about:
        return job
    told = [pest for pest, _ in about[:MOST]]
    return replace(job, sign="; ".join(p.sign for p in told), how="; ".join(p.look for p in told))


def _pests_about(context: Context, season: int, grows: Span, day: date) -> Found:
    """The pests about on a day; worked out once for trees of which nothing was seen that would move their days."""
    if context.own_marks(season) or context.own_marks(season + 1):
        return _about(context, season, grows, day)
    return context.kin.cache.get(_ABOUT, (season, day), lambda: _about(context, season, grows, day))


def _about(context: Context, season: int, grows: Span, day: date) -> Found:
    """The pests about on a day, the one that goes first before the others; where there are none, the next to come."""
    pests = context.knowledge.pests_of(context.group.name, context.tree.species)
    spans = [(pest, _span(context, pest, season, grows)) for pest in pests]
    ahead = [(pest, span) for pest, span in spans if isinstance(span, Span) and span.closes >= day]
    first = max(day, min((span.opens for _, span in ahead), default=day))
    return sorted(((p, s) for p, s in ahead if s.opens <= first), key=lambda found: (found[0].wet, found[1].closes))


def _span(context: Context, pest: Pest, season: int, grows: Span) -> Answer:
    if pest.window is not None:
        return window_span(context.site, context.group.name, pest.window, season, context.who)
    if pest.heat is None:
        return grows
    return hot_days(context.site, pest.heat, grows.opens, grows.closes)


def hot_days(site: SiteYear, heat: float, start: date, end: date) -> Answer:
    """From the first to the last day between two whose mean maximum reaches a temperature (°C)."""
    return site.cache.get(_HOT, (heat, start, end), lambda: _hot_days(site.climate, heat, start, end))


def _hot_days(climate: Climate | None, heat: float, start: date, end: date) -> Answer:
    days = (start + timedelta(days=i) for i in range((end - start).days + 1)) if climate else ()
    hot = [day for day in days if climate and climate.tmax[day_index(day)] >= heat]
    if not hot:
        return NoSpan(because(ByMark.NEVER_SO_HOT, base=heat))
    return Span(hot[0], hot[0], hot[-1], 12, (because(ByMark.HEAT_FROM, base=heat, day=hot[0]),))
