"""Windows of upkeep: frost on open leaves, and the season in which plants grow."""

from __future__ import annotations

from ...horticulture.window_syntax import MarkName
from ...season.mark import Absent
from ...season.reasons import because
from ..grounds import ByMark
from ..windows import Answer, NoSpan, Span
from .registry import RuleContext, season_rule
from .warmth import active_growth


@season_rule("growing season")
def growing_season(context: RuleContext) -> Answer:
    """From swelling (or warm nights) to the end of growth."""
    begins, end = context.mark(MarkName.SWELL), context.mark(MarkName.GROWTH_END)
    if isinstance(begins, Absent) or isinstance(end, Absent) or begins.day > end.day:
        return active_growth(context)
    return Span(begins.day, begins.day, end.day, begins.band, (because(ByMark.FROM_SWELL, day=begins.day),))


@season_rule("frost watch")
def frost_watch(context: RuleContext) -> Answer:
    """From open leaves to the last frost at 10 % risk."""
    opened, last = context.mark(MarkName.OPEN), context.mark(MarkName.LAST_FROST_10)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    if isinstance(last, Absent):
        return NoSpan(last.why)
    if last.day <= opened.day:
        return NoSpan(because(ByMark.FROST_BEFORE_LEAVES))
    how = because(ByMark.FROST_ON_LEAVES, opened=opened.day, last=last.day)
    return Span(opened.day, opened.day, last.day, opened.band, (how,))
