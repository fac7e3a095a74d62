"""Windows of candle removal, and of what follows flowering."""

from __future__ import annotations

from datetime import date, timedelta
from statistics import fmean

from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Row, Work
from ...season.mark import Absent
from ...season.reasons import because
from ...season.remembered import remembered
from ..grounds import ByMark
from ..model import Context, Job, Refusal, Status, job_in, refusal
from ..restrictions import forbidden
from ..tree_state import State
from ..windows import Answer, NoSpan, Span
from .registry import RuleContext, job_rule, season_rule

STILL_TO_COME = 800.0  # °C·d above 10 °C that a second flush wants
WARM_BASE = 10.0
END_BASE = 13.0
HALF_WINDOW = timedelta(days=10)
SMALL_MM, LARGE_MM = 250, 600
CANDLES = "candles"
SECOND_FLUSH_DAYS = (60, 75, 100)
# size: days before growth ends, and the latest day counted from midsummer
SIZES = {"small": (90, 18), "medium": (100, 4), "large": (115, -10)}


@season_rule("candle removal", of_the_tree=True)
def candle_removal(context: RuleContext) -> Answer:
    """About a hundred days before growth ends, so that a second flush hardens; earlier on large trees."""
    if context.climate is None:
        return NoSpan(because(ByMark.CANDLES_NO_NORMALS))
    end, opened = context.calendar.growth_end(context.season, END_BASE), context.mark(MarkName.OPEN)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    size, known = _size(context.state)
    lead, after_midsummer = SIZES[size]
    limit = context.calendar.midsummer(context.season) + timedelta(days=after_midsummer)
    wanted = min(end.day - timedelta(days=lead), limit)
    best = wanted
    while best > opened.day and context.climate.sum_between(best, end.day, WARM_BASE) < STILL_TO_COME:
        best -= timedelta(days=1)
    if best <= opened.day:
        return NoSpan(because(ByMark.CANDLES_SEASON_SHORT), refused=True)
    how = [because(ByMark.CANDLE_LEAD, days=lead, base=END_BASE, end=end.day, limit=limit)]
    if best < wanted:
        how.append(because(ByMark.CANDLE_MOVED, day=best, sum=STILL_TO_COME, base=WARM_BASE))
    how.append(because(ByMark.CANDLE_SIZE, size=size, known=int(known)))
    return Span(max(best - HALF_WINDOW, opened.day), best, best + HALF_WINDOW, end.band, tuple(how))


def _size(state: State) -> tuple[str, bool]:
    """The tree's size by its height, and whether that is on record; medium where it is not."""
    height = state.height_mm()
    if height is None:
        return "medium", False
    return ("small" if height < SMALL_MM else "medium" if height <= LARGE_MM else "large"), True


@job_rule("second flush", follows=lambda work: CANDLES in work.acts)
def second_flush(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Two to three months after this season's candles came off, where they did and it is not done yet."""
    off, done = context.state.last_of(context.knowledge.acting(CANDLES)), context.state.last(work.name)
    if off is None or (done is not None and done.date.latest >= off.date.earliest):
        return []
    opens, best, closes = (off.date.latest + timedelta(days=days) for days in SECOND_FLUSH_DAYS)
    if closes < context.today:
        return []
    how = because(ByMark.AFTER_CANDLES, when=off.date, days=SECOND_FLUSH_DAYS[0])
    span = Span(opens, best, closes, 10, (how,))
    against = forbidden(context, work, row, span, context.calendar.season_of(best))
    if against:
        return [refusal(context, work, against)]
    status = Status.NOW if opens <= context.today else Status.AHEAD
    return [job_in(context, work, row, span, status, span.how)]


@season_rule("after flowering", of_the_tree=True)
def after_flowering(context: RuleContext) -> Answer:
    """Four weeks from the end of flowering, by this tree's own record of it."""
    flowers = _flower_day(context, MarkName.FLOWER_OVER)
    if flowers is None:
        return NoSpan(because(ByMark.NO_FLOWERING))
    over, band = flowers
    how = because(ByMark.FLOWERS_OVER, day=over)
    return Span(over, over + timedelta(days=10), over + timedelta(days=28), band, (how,))


@season_rule("while flowering", of_the_tree=True)
def while_flowering(context: RuleContext) -> Answer:
    """From a week into flower until three weeks after it."""
    begun, ended = _flower_day(context, MarkName.FLOWER), _flower_day(context, MarkName.FLOWER_OVER)
    if begun is None or ended is None:
        return NoSpan(because(ByMark.NO_FLOWERING))
    (begins, band), (over, _) = begun, ended
    opens = begins + timedelta(days=7)
    best = max(opens, over - timedelta(days=7))
    how = because(ByMark.IN_FLOWER, first=begins, last=over)
    return Span(opens, best, over + timedelta(days=21), band, (how,))


def _flower_day(context: RuleContext, wanted: MarkName) -> tuple[date, int] | None:
    """Flowering's beginning or end in a season with its band: the mean of the years in the log, four weeks apart where one is missing."""
    shift = {(MarkName.FLOWER, MarkName.FLOWER_OVER): 28, (MarkName.FLOWER_OVER, MarkName.FLOWER): -28}
    calendar = context.calendar
    years: dict[int, list[int]] = {}
    for entry in context.state.entries:
        if entry.saw in (MarkName.FLOWER, MarkName.FLOWER_OVER):
            season = calendar.season_of(entry.date.earliest)
            seen = entry.date.earliest + timedelta(days=shift.get((MarkName(entry.saw), wanted), 0))
            years.setdefault(season, []).append((seen - calendar.midsummer(season)).days)
    if not years:
        return None
    mean, band = remembered([fmean(days) for _, days in sorted(years.items())])
    return calendar.midsummer(context.season) + timedelta(days=round(mean)), round(band)
