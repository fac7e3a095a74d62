"""What forbids a work: the tree's rest, what was done to it lately, recovery, and how much one season may ask of it.

A partial date counts as its latest day here: may I? is asked of the worst case.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date, timedelta

from ..collection.model import Entry
from ..horticulture.forbids import State as HeldState
from ..horticulture.work import Hard, Kind, Recovery, Row, Unless, Within, Work
from ..season.cache import Slot
from ..season.climate import day_index
from ..season.reasons import Reason, because
from .condition import MONTH_DAYS, fresh_vigour, soonest
from .grounds import ByLog, ByRule, ByState
from .model import Context
from .tree_state import HOLDING
from .windows import Span

LEAST_DAYS_LEFT = timedelta(days=5)  # of a window, for it to be worth a visit
HOT_PAUSE = 32.0  # °C, mean daily maximum; common practice, no source
HEAT_HARDY = "heat hardy"
CANDLES = "candles"
_HEAT: Slot[tuple[int, date], tuple[date, date] | None] = Slot("heat by season and day")
SHEET_IS_READ = timedelta(days=183)


def part_left(context: Context, work: Work, span: Span) -> Span | Reason:
    """The part of a window that heat and what was done before leave free; a reason where they leave none."""
    cool = _out_of_the_heat(context, work, span)
    return cool if isinstance(cool, Reason) else _bearable(context, work, cool)


def _bearable(context: Context, work: Work, span: Span) -> Span | Reason:
    """The part of a window that what was done before leaves free; a reason where it leaves none."""
    block = soonest(context.blocks, work, span.opens)
    if block is None:
        return span
    why = because(ByRule.WAITS_UNTIL, day=block.end, why=block.reason)
    if block.end > span.closes - LEAST_DAYS_LEFT:
        return why
    how = (*span.how, because(ByRule.NOT_BEFORE, day=block.end, why=block.reason))
    return replace(span, opens=block.end, best=max(span.best, block.end), how=how)


def _out_of_the_heat(context: Context, work: Work, span: Span) -> Span | Reason:
    """A window without the weeks in which it is too hot for flush, roots and wire: before them where it opens before."""
    heat = hot_pause(context, work)
    if heat is None or span.opens > heat[1] or span.closes < heat[0]:
        return span
    why = because(ByRule.TOO_HOT, base=HOT_PAUSE, first=heat[0], last=heat[1])
    before, after = heat[0] - timedelta(days=1), heat[1] + timedelta(days=1)
    if span.opens <= before - LEAST_DAYS_LEFT and before >= context.today:
        return replace(span, best=min(span.best, before), closes=before, how=(*span.how, why))
    if after <= span.closes - LEAST_DAYS_LEFT:
        return replace(span, opens=after, best=max(span.best, after), how=(*span.how, why))
    return why


def hot_pause(context: Context, work: Work) -> tuple[date, date] | None:
    """The first and last day of the summer's heat, where there is one and the work waits in it."""
    heat = heat_of(context)
    return heat if heat is not None and rests_in_heat(context, work) else None


def rests_in_heat(context: Context, work: Work) -> bool:
    """Whether a work waits while it is hot, with trees of this group."""
    kinds = (Kind.FLUSH, Kind.ROOTS, Kind.WIRE)
    exempt = work.is_exempt or CANDLES in work.acts
    return (
        not exempt and work.kind_of_turn("") in kinds and context.group.name not in context.knowledge.sets[HEAT_HARDY]
    )


def heat_of(context: Context) -> tuple[date, date] | None:
    """The first and last day of the season's summer whose mean maximum reaches 32 °C; None where none does."""
    season = context.calendar.season_of(context.today)
    return context.site.cache.get(_HEAT, (season, context.today), lambda: _hot_days(context, season))


def _hot_days(context: Context, season: int) -> tuple[date, date] | None:
    climate = context.site.climate
    if climate is None:
        return None
    for summer in (context.calendar.midsummer(season), context.calendar.midsummer(season + 1)):
        days = (summer + timedelta(days=i) for i in range(-120, 121))
        hot = [day for day in days if climate.tmax[day_index(day)] >= HOT_PAUSE]
        if hot and hot[-1] >= context.today:
            return hot[0], hot[-1]
    return None


def forbidden(context: Context, work: Work, row: Row, span: Span, season: int) -> list[Reason]:
    """Everything that speaks against a work in this window, the plainest first."""
    found = held(context, work)
    told = (_against(context, unless, span, season) for unless in row.unless)
    found += [reason for reason in told if reason and reason not in found]
    found += _weakness(context, row, span.opens)
    if row.growing_days:
        left = context.calendar.growing_days(span.best, context.calendar.season_start(season + 1))
        if left < row.growing_days:
            found.append(because(ByRule.GROWING_DAYS_LEFT, left=left, wanted=row.growing_days))
    if is_hard(work):
        found += hard_limits(context, context.state.hard, span, season)
    return found


def held(context: Context, work: Work) -> list[Reason]:
    """The states of the tree in which a work waits."""
    return [hold.reason for hold in context.holds if hold.forbids(work)]


def standing(context: Context, work: Work, row: Row) -> list[Reason]:
    """What speaks against a work today, where no window can be given."""
    block = soonest(context.blocks, work, context.today)
    waits = [because(ByRule.WAITS_UNTIL, day=block.end, why=block.reason)] if block else []
    return held(context, work) + waits + _weakness(context, row, context.today)


def _weakness(context: Context, row: Row, day: date) -> list[Reason]:
    """Too little strength by a score that counts; one that is too old forbids nothing."""
    if not row.vigour or context.state.resting is not None:
        return []
    vigour = fresh_vigour(context.garden, context.state, score_day(context, day))
    return [_too_weak(vigour, row)] if vigour is not None and vigour < row.vigour else []


def score_day(context: Context, opens: date) -> date:
    """The day for which a score must be fresh: when the work opens, but not further ahead than a sheet is read."""
    return min(max(opens, context.today), context.today + SHEET_IS_READ)


def is_hard(work: Work) -> bool:
    """Whether an ordinary turn of this work counts as hard; pruning and bending only do when they are heavy."""
    return work.hard is Hard.ALWAYS


def hard_limits(context: Context, done: Sequence[Entry], span: Span, season: int) -> list[Reason]:
    """Recovery from earlier hard works, and the number of them one season bears."""
    for entry in reversed(done):
        reason = _recovering(context, entry, span)
        if reason:
            return [reason]
    start = context.calendar.season_start(season)
    in_season = [e for e in done if start <= e.date.latest <= span.closes]
    most = 1 if context.state.vigour == HOLDING else context.knowledge.hard_works.get(context.group.name, 1)
    if len(in_season) >= most:
        return [because(ByRule.ENOUGH_HARD_WORK, works=tuple(_told(context, e) for e in in_season))]
    return []


def _recovering(context: Context, entry: Entry, span: Span) -> Reason | None:
    work = context.knowledge.works[entry.work]
    rule = next((r for r in work.recovery if r.roots in ("", entry.roots) and r.force in ("", entry.force)), None)
    if rule is None:
        return None
    over = _recovered(context, rule, entry.date.latest)
    if over <= span.best:
        return None
    return because(ByLog.RECOVERING, until=over, done=work.past(entry.force), when=entry.date)


def _recovered(context: Context, rule: Recovery, done: date) -> date:
    if rule.months:
        return done + timedelta(days=round(rule.months * MONTH_DAYS))
    if rule.seasons:
        return context.calendar.season_start(context.calendar.season_of(done) + rule.seasons)
    limit = done + timedelta(days=800)
    return context.calendar.after_growing_days(done, rule.weeks * 7, limit) or limit


def _against(context: Context, unless: Unless, span: Span, season: int) -> Reason | None:
    if unless.resting:
        return next((hold.reason for hold in context.holds if hold.state is HeldState.RESTING), None)
    state = context.state
    entry = state.last_of(context.knowledge.acting(unless.done), unless.force)
    if entry is None:
        return None
    done = because(ByLog.DONE, done=context.knowledge.works[entry.work].past(unless.force), when=entry.date)
    latest = entry.date.latest
    if unless.within is not None:
        start = context.calendar.season_start(season - (unless.within is Within.LAST_SEASON))
        return done if start <= latest <= span.closes else None
    return done if latest + timedelta(days=round(unless.months * MONTH_DAYS)) > span.best else None


def _too_weak(vigour: int, row: Row) -> Reason:
    return because(ByState.VIGOUR_LOW, vigour=vigour, wanted=row.vigour)


def _told(context: Context, entry: Entry) -> str:
    return f"{context.knowledge.works[entry.work].past(entry.force)} {entry.date.told()}"
