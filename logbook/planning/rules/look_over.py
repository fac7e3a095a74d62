"""The walk round a tree, twice a year: three weeks before growth ends, and a month before buds swell."""

from __future__ import annotations

from datetime import date, timedelta

from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.cache import Slot
from ...season.mark import Mark
from ...season.reasons import because
from ..grounds import ByMark
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..windows import Span
from .registry import job_rule

LOOK_OVER_DAYS = 21
SEEN_EARLY_DAYS = 45
HALF_YEAR_DAYS = 182
LEADS = ((MarkName.GROWTH_END, 21), (MarkName.SWELL, 30))
_SPANS: Slot[None, list[Span]] = Slot("days to walk round")


@job_rule("look-over")
def look_over(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """The next of the year's two walks that was not made early."""
    last = context.state.last(work.name)
    seen = last.date.latest if last else date.min
    spans = _spans(context) if _is_its_own(context) else context.kin.cache.get(_SPANS, None, lambda: _spans(context))
    early = timedelta(days=SEEN_EARLY_DAYS)
    ahead = [s for s in spans if s.closes >= context.today and not s.opens - early <= seen]
    if not ahead and last is None:
        return [job_by_sign(context, work, row, (because(ByMark.LOOK_TWICE),))]
    span = ahead[0] if ahead else _half_a_year_on(context, seen)
    status = Status.NOW if span.opens <= context.today else Status.AHEAD
    return [job_in(context, work, row, span, status, span.how)]


def _is_its_own(context: Context) -> bool:
    """Whether something was seen on the tree that moves its days."""
    now = context.calendar.season_of(context.today)
    return any(context.own_marks(season) for season in (now - 1, now, now + 1))


def _half_a_year_on(context: Context, seen: date) -> Span:
    """Where no mark can be given: half a year after the last walk."""
    opens = max(seen + timedelta(days=HALF_YEAR_DAYS), context.today)
    return Span(opens, opens, opens + timedelta(days=LOOK_OVER_DAYS), LOOK_OVER_DAYS, (because(ByMark.LOOK_TWICE),))


def _spans(context: Context) -> list[Span]:
    """The days to walk round, of the seasons about today."""
    spans: list[Span] = []
    now = context.calendar.season_of(context.today)
    for season in (now - 1, now, now + 1):
        for name, lead in LEADS:
            mark = context.site.marks.mark(context.group.name, name, season, context.who)
            if isinstance(mark, Mark):
                day = mark.day - timedelta(days=lead)
                how = because(ByMark.BEFORE_MARK, days=lead, mark=str(mark.name), day=mark.day, how=mark.how)
                spans.append(Span(day, day, day + timedelta(days=LOOK_OVER_DAYS), mark.band, (how,)))
    return sorted(spans, key=lambda s: s.opens)
