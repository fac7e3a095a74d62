"""Frost at the roots: how cold a pot may get, when that has to be watched, and where the tree goes.

Limits are the species' own where it is known (horticulture/species.csv, each with its basis), else the group's, or the
grower's. Roots bear less while they are young, just cut, in a small pot, or not hardened: in autumn, and once buds move.
"""

from __future__ import annotations

from collections.abc import Callable
from datetime import date, timedelta

from ...formulas.pots import holds
from ...horticulture.forbids import State as HeldState
from ...horticulture.window_syntax import MarkName
from ...horticulture.work import Kind, Row, Work
from ...season.cache import Slot
from ...season.climate import Climate
from ...season.frost_risk import Budget, shelter_budget
from ...season.mark import Absent
from ...season.reasons import Found, Reason, because
from ...values import dataclass
from ..grounds import ByMark
from ..model import Context, Job, Refusal, Status, job_by_sign, job_in
from ..seasons_due import DONE_SLACK_DAYS
from ..tree_state import INDOORS
from ..windows import Answer, NoSpan, Span
from .aftercare import fresh_roots_stand
from .registry import job_rule, rule_context
from .turn_of_year import once_a_season
from .warmth import active_growth

GROWN_DAYS = 84  # growing days until cut roots are as hardy as before; common practice, no source
SMALL_POT_LITRES = 0.5  # whose soil follows the air; common practice, no source
LEFT_OVER = 2.0  # °C kept between a mature root ball's limit and what is risked
ON_THE_GROUND = -10.0  # °C: roots that stand so much stay outdoors, on the ground and mulched
TENDER = 0.0  # °C: roots that stand no frost
MOST_OF_A_YEAR, YEAR = 330, 365  # days
NO_WINTER = "no winter"
MOST_LATER = 75  # days that warm nights may come after the frost is over, and still be waited for
PLACE_READY = "place ready"
_BUDGETS: Slot[tuple[object, ...], Budget] = Slot("winters by limit")


@dataclass(frozen=True, slots=True)
class Limits:
    """°C of the root ball under which roots die: `young` where they bear less, `mature` in midwinter."""

    young: float
    mature: float

    @property
    def tender(self) -> bool:
        """Whether they stand no frost: then the place is kept warm, and there is one night for all the winter."""
        return self.mature > TENDER


def limits_of(context: Context) -> Limits:
    """The tree's limits; a grower's own number for the group, and a group's where no species is known, hold all year. Roots that ail, or
    were helped, stand what freshly cut ones do.
    """
    healthy = _healthy(context)
    if not any(hold.roots_ail or hold.state is HeldState.RESCUED for hold in context.holds):
        return healthy
    limit = max(healthy.young, fresh_roots_stand(context))
    return Limits(limit, limit)


def _healthy(context: Context) -> Limits:
    settings, group = context.garden.settings, context.group
    species = context.knowledge.species_of(context.tree.species)
    own = any("root_limit" in settings.groups.get(name, {}) for name in (group.name, group.formerly) if name)
    if species is None or own:
        return Limits(group.root_limit, group.root_limit)
    if _always_young(context):
        return Limits(species.root_young, species.root_young)
    return Limits(species.root_young, min(species.root_young, species.root_mature + LEFT_OVER))


def _always_young(context: Context) -> bool:
    """A young tree, one in a small pot, or one whose roots were cut this season, or too late in the last one to have grown again."""
    state, knowledge = context.state, context.knowledge
    if state.stage in knowledge.ages.get("young", ()):
        return True
    pot = holds(state.pot) if state.pot else None
    if pot is not None and pot.litres < SMALL_POT_LITRES:
        return True
    cut = (e for e in context.done if e.work and (work := knowledge.works.get(e.work)) and work.kind is Kind.ROOTS)
    return any(_still_young(context, entry.date.latest) for entry in cut)


def _still_young(context: Context, cut: date) -> bool:
    """Whether roots cut on a day are not as hardy as before: all that season, and until they have grown for twelve weeks."""
    calendar, today = context.calendar, context.today
    return cut >= calendar.season_start(calendar.season_of(today)) or calendar.growing_days(cut, today) < GROWN_DAYS


@job_rule("shelter")
def winter_shelter(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """The days on which the forecast is watched for a tree, with the night to bring it in before; by that night alone without normals."""
    if context.tree.indoors == INDOORS:
        return []
    limits = limits_of(context)
    climate = context.site.climate
    if climate is None:
        return [
            job_by_sign(
                context, work, row, (because(Found.NO_NORMALS),), conditions=_conditions(limits), night=limits.young
            )
        ]
    now, last = context.calendar.season_of(context.today), context.state.last(work.name)
    for season in (now - 1, now, now + 1):
        budget = winter(context, climate, limits, season)
        if budget.in_day is None or budget.out_day is None or budget.out_day < context.today:
            continue
        if (budget.out_day - budget.in_day).days > MOST_OF_A_YEAR:
            return [_kept_in(context, work, row, limits)]
        if last is not None and last.date.latest >= budget.in_day - timedelta(days=DONE_SLACK_DAYS):
            continue
        return [_watched(context, work, row, budget, limits)]
    return []


def _kept_in(context: Context, work: Work, row: Row, limits: Limits) -> Job:
    """A tree that could stand outside for a few weeks at most: it stays in, the whole year round."""
    span = Span(context.today, context.today, context.today + timedelta(days=YEAR), 0)
    conditions = (because(ByMark.STAYS_IN, limit=limits.young),)
    why = (because(ByMark.TOO_COLD_OUTDOORS),)
    return job_in(context, work, row, span, Status.NOW, why, conditions=conditions, night=limits.young)


def _watched(context: Context, work: Work, row: Row, budget: Budget, limits: Limits) -> Job:
    assert budget.in_day and budget.out_day
    ready = budget.advice == PLACE_READY
    risk = because(
        ByMark.ONE_WINTER_IN if ready else ByMark.COLD_AT_ROOTS, winters=budget.one_in, limit=limits.mature
    )
    how: list[Reason] = [risk, because(ByMark.WATCHED, first=budget.in_day, last=budget.out_day)]
    stay = [day for day in budget.stay_in_days if budget.in_day <= day <= budget.out_day]
    if stay:
        how.append(because(ByMark.STAY_IN, first=stay[0], last=stay[-1]))
    span = Span(budget.in_day, budget.in_day, max(budget.out_day, _warm_from(context, budget.out_day)), 0)
    status = Status.NOW if span.opens <= context.today else Status.AHEAD
    limit = _limit_by_day(context, limits, context.calendar.season_of(span.closes))
    by_day = limit(max(span.opens, context.today)) if callable(limit) else limit
    night = limits.young if limits.tender else by_day
    return job_in(context, work, row, span, status, tuple(how), conditions=_conditions(limits), night=night)


def _warm_from(context: Context, out: date) -> date:
    """Of trees without a winter: the day from which nights are warm enough to grow; no earlier day matters."""
    if context.group.name not in context.knowledge.sets[NO_WINTER]:
        return out
    warm = active_growth(rule_context(context, context.calendar.season_of(out)))
    near = isinstance(warm, Span) and warm.opens <= out + timedelta(days=MOST_LATER)
    return warm.opens if isinstance(warm, Span) and near else out


def _conditions(limits: Limits) -> tuple[Reason, ...]:
    """Before which night, and where to."""
    if limits.young == limits.mature or limits.tender:
        night = because(ByMark.IN_BEFORE, limit=limits.young)
    else:
        night = because(ByMark.IN_BEFORE_BY_SEASON, young=limits.young, mature=limits.mature)
    if limits.mature <= ON_THE_GROUND + LEFT_OVER:
        return (night, because(ByMark.ON_THE_GROUND))
    return (night, because(ByMark.KEPT_ABOVE, limit=limits.young) if limits.tender else because(ByMark.IN_A_FRAME))


def winter(context: Context, climate: Climate, limits: Limits, season: int) -> Budget:
    """The budget of the winter that follows a season's midsummer."""
    if context.site.sheltered is not None:
        return Budget(None, None, 0.0, ())
    calendar = context.calendar
    first, last = calendar.midsummer(season), calendar.midsummer(season + 1)
    key = (season, limits.young, limits.mature, _buds_move(context, season + 1))
    limit = _limit_by_day(context, limits, season + 1)
    return context.site.cache.get(_BUDGETS, key, lambda: shelter_budget(climate, limit, first, last))


def _buds_move(context: Context, season: int) -> date | None:
    swell = context.site.marks.mark(context.group.name, MarkName.SWELL, season, context.who)
    return None if isinstance(swell, Absent) else swell.day


def _limit_by_day(context: Context, limits: Limits, season: int) -> float | Callable[[date], float]:
    """What roots stand in the winter before a season's spring."""
    return _by_day(limits, _buds_move(context, season), southern=context.calendar.southern)


def _by_day(limits: Limits, moves: date | None, *, southern: bool) -> float | Callable[[date], float]:
    """The limit of each day: the young one but for the months in which roots are hard, until buds move (or spring comes)."""
    if limits.young == limits.mature:
        return limits.mature
    winter_months, spring_months = ((6, 7, 8), (9, 10, 11, 12)) if southern else ((12, 1, 2), (3, 4, 5, 6))

    def of_day(day: date) -> float:
        still = moves is not None and day < moves
        hard = (still or moves is None) if day.month in winter_months else still and day.month in spring_months
        return limits.mature if hard else limits.young

    return of_day


@job_rule("hardening off")
def hardening_off(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Out again after the winter, for trees that are sheltered here: as buds move, or as warm nights return."""

    def answer_in(season: int) -> Answer:
        climate = context.site.climate
        if climate is None:
            return NoSpan(because(Found.NO_NORMALS))
        if winter(context, climate, limits_of(context), season - 1).in_day is None:
            return NoSpan(because(ByMark.ROOTS_STAND_WINTER))
        return _out_again(context, season)

    return once_a_season(context, work, row, answer_in)


def _out_again(context: Context, season: int) -> Answer:
    marks, group = context.site.marks, context.group.name
    swell, frost = (
        marks.mark(group, MarkName.SWELL, season, context.who),
        marks.mark(group, MarkName.LAST_FROST_10, season),
    )
    if isinstance(swell, Absent):
        warm = active_growth(rule_context(context, season))
        if isinstance(warm, NoSpan):
            return warm
        best, closes = (min(warm.opens + timedelta(days=n), warm.closes) for n in (7, 21))
        return Span(warm.opens, best, closes, warm.band, warm.how)
    closes = swell.day + timedelta(days=14)
    if not isinstance(frost, Absent):
        closes = max(closes, frost.day)
    how = because(ByMark.FROM_SWELL, day=swell.day)
    return Span(swell.day - timedelta(days=14), swell.day, closes, swell.band, (how,))
