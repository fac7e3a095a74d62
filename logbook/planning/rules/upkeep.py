"""Windows of upkeep: feeding, frost on open leaves, and the season in which plants grow."""

from __future__ import annotations

from datetime import date, timedelta

from ...horticulture.group import Group
from ...horticulture.window_syntax import MarkName
from ...season.mark import Absent
from ...season.reasons import Reason, because
from ...season.site_year import SiteYear
from ..grounds import ByMark
from ..tree_state import State
from ..windows import Answer, NoSpan, Span
from .registry import RuleContext, season_rule
from .warmth import active_growth

SETTLED = ("refinement", "maintenance")
EARLY_FED = ("two-flush pine", "scale juniper", "cypress")
PAUSED = "two-flush pine"


def fed_in(site: SiteYear, group: Group, season: int, stage: str) -> Answer:
    """When a group's trees of a stage are fed, whatever else the tree's log says."""
    return feeding(RuleContext(site, group, season, State((), stage=stage)))


@season_rule("growing season", of_the_tree=True)
def growing_season(context: RuleContext) -> Answer:
    """From swelling (or warm nights) to the end of growth."""
    begins, end = context.mark(MarkName.SWELL), context.mark(MarkName.GROWTH_END)
    if isinstance(begins, Absent) or isinstance(end, Absent) or begins.day > end.day:
        return active_growth(context)
    return Span(begins.day, begins.day, end.day, begins.band, (because(ByMark.FROM_SWELL, day=begins.day),))


@season_rule("feeding", of_the_tree=True)
def feeding(context: RuleContext) -> Answer:
    """By stage: from open while the trunk is grown, from hardened in refinement; two-flush pines from swell. Pauses are told."""
    first = _feeding_begins(context)
    begins, end = context.mark(first), context.mark(MarkName.GROWTH_END)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(begins, Absent):
        return active_growth(context)
    opens = begins.day
    how = [because(ByMark.FEEDING_FROM, mark=first.value, day=opens)]
    after = _after_potting(context)
    if after is not None and opens < after:
        opens = after
        how.append(because(ByMark.NOT_AFTER_POTTING))
    how += _pauses(context)
    closes = end.day - timedelta(days=21)
    if opens > closes:
        return NoSpan(because(ByMark.SEASON_TOO_SHORT), refused=True)
    return Span(opens, opens, closes, begins.band, tuple(how))


def _feeding_begins(context: RuleContext) -> MarkName:
    if context.group.name in EARLY_FED:
        return MarkName.SWELL
    return MarkName.HARDENED if context.state.stage in SETTLED else MarkName.OPEN


def _after_potting(context: RuleContext) -> date | None:
    """The day until which a tree repotted in this season is not fed."""
    potted = context.state.repotted
    if potted is None or potted.about or potted.latest < context.calendar.season_start(context.season):
        return None
    return potted.latest + timedelta(days=28)


def _pauses(context: RuleContext) -> list[Reason]:
    how = []
    if context.group.name == PAUSED:
        how.append(because(ByMark.FEEDING_PAUSE, days=60 if context.state.stage in SETTLED else 30))
    if context.state.resting:
        how.append(because(ByMark.HALF_STRENGTH))
    return how


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
