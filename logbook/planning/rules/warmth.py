"""Windows that hang on warmth: nights that stay mild, active growth, and autumns mild enough for a second chance."""

from __future__ import annotations

from datetime import date, timedelta

from ...horticulture.window_syntax import MarkName
from ...season.cache import Slot
from ...season.climate import YEAR_DAYS, Climate, day_index
from ...season.estimator import WITHIN_80
from ...season.mark import Absent
from ...season.reasons import Found, because
from ..grounds import ByMark
from ..tree_state import INDOORS
from ..windows import Answer, NoSpan, Span
from .registry import RuleContext, season_rule

MILD_NIGHTS = 8.0
WARM_FOR_DAYS, TO_ROOT_IN_DAYS = 14, 75
TO_GROW_ON_DAYS = 56  # of warm nights, after roots or leaves were taken; common practice, no source
MILD_COLDEST_MONTH = 5.0
# °C, the coldest month's mean of a tropical climate (class A of Köppen and Geiger: Peel et al. 2007, Hydrol. Earth Syst. Sci. 11:1633)
TROPICAL_MONTH = 18.0
ALMOST_A_YEAR = 330  # days
ALL_YEAR_OPENS, ALL_YEAR_DAYS = 70, 240
MONTH_SCATTER = 1.2  # °C by which a month's mean night scatters from year to year (from memory)
SHORTEST_BAND, LONGEST_BAND = 8, 30  # days
_NIGHTS: Slot[tuple[int, float], Answer] = Slot("warm nights by season and warmth")


@season_rule("active growth")
def active_growth(context: RuleContext) -> Answer:
    """The stretch of the season with nights warm enough for the species; where they never are, warm enough for its group."""
    if context.state.indoors == INDOORS:
        return _by_light(context)
    usual = context.group.active_night
    if context.night is not None:
        own = _nights(context, context.night)
        if isinstance(own, Span) or context.night <= usual:
            return own
    return _nights(context, usual)


def _by_light(context: RuleContext) -> Span:
    """Behind glass all year: warm enough always, so the light decides; from the equinox until it wanes."""
    summer = context.calendar.midsummer(context.season)
    opens, closes = summer - timedelta(days=90), summer + timedelta(days=75)
    return Span(opens, summer, closes, 0, (because(ByMark.INDOORS_LIGHT),))


@season_rule("lengthening growth")
def lengthening_growth(context: RuleContext) -> Answer:
    """Up to sixty days of active growth, best while the days still lengthen, and none of its last eight weeks but where it has hardly more."""
    if context.state.indoors:
        summer = context.calendar.midsummer(context.season)
        half = timedelta(days=40)
        return Span(summer - half, summer, summer + half, 0, (because(ByMark.INDOORS),))
    active = active_growth(context)
    if isinstance(active, NoSpan):
        return active
    last = max(active.closes - timedelta(days=TO_GROW_ON_DAYS), active.opens + timedelta(days=WARM_FOR_DAYS))
    closes = min(active.closes, last, active.opens + timedelta(days=60))
    return Span(active.opens, min(active.opens + timedelta(days=20), closes), closes, active.band, active.how)


@season_rule("height of growth")
def height_of_growth(context: RuleContext) -> Answer:
    """The middle of active growth."""
    active = active_growth(context)
    if isinstance(active, NoSpan):
        return active
    best = active.opens + (active.closes - active.opens) / 2
    opens, closes = max(active.opens, best - timedelta(days=20)), min(active.closes, best + timedelta(days=20))
    return Span(opens, best, closes, active.band, active.how)


@season_rule("warm roots")
def warm_roots(context: RuleContext) -> Answer:
    """Root work in warm growth alone: two weeks after nights turn warm, and not in their last 75 days."""
    active = active_growth(context)
    if isinstance(active, NoSpan):
        return active
    opens = active.opens + timedelta(days=WARM_FOR_DAYS)
    last = active.closes - timedelta(days=TO_ROOT_IN_DAYS)
    closes = last if _all_year(active) else min(active.opens + timedelta(days=90), last)
    if opens > closes:
        return NoSpan(because(ByMark.SEASON_TOO_SHORT), refused=True)
    return Span(opens, min(active.opens + timedelta(days=45), closes), closes, active.band, active.how)


@season_rule("mild nights")
def mild_nights(context: RuleContext) -> Answer:
    """From the time nights average 8 °C in spring, for 45 days."""
    mild = _nights(context, MILD_NIGHTS)
    if isinstance(mild, NoSpan):
        return mild
    closes = min(mild.closes, mild.opens + timedelta(days=45))
    return Span(mild.opens, min(mild.opens + timedelta(days=14), closes), closes, mild.band, mild.how)


@season_rule("mild autumn")
def mild_autumn(context: RuleContext) -> Answer:
    """Early autumn, where winters are mild: sixty to thirty days before growth ends, once the heat is over."""
    climate, end = context.climate, context.mark(MarkName.GROWTH_END)
    if climate is None or isinstance(end, Absent):
        return NoSpan(because(Found.NO_NORMALS))
    if climate.coldest_month < MILD_COLDEST_MONTH:
        return NoSpan(because(ByMark.AUTUMN_TOO_COLD))
    opens, closes = end.day - timedelta(days=60), end.day - timedelta(days=30)
    return Span(opens, opens + timedelta(days=15), closes, end.band, (because(ByMark.MILD_AUTUMN, day=end.day),))


def _all_year(active: Span) -> bool:
    return (active.closes - active.opens).days >= ALMOST_A_YEAR


def _nights(context: RuleContext, warmth: float) -> Answer:
    key = (context.season, warmth)
    return context.site.cache.get(_NIGHTS, key, lambda: _warm_nights(context, warmth))


def _warm_nights(context: RuleContext, warmth: float) -> Answer:
    climate = context.climate
    if climate is None:
        return NoSpan(because(Found.NO_NORMALS))
    summer = context.calendar.midsummer(context.season)
    start = summer - timedelta(days=182)
    days = [start + timedelta(days=i) for i in range(364)]
    warm = {d for d in days if _is_warm(climate, d, warmth)}
    if not warm:
        return NoSpan(because(ByMark.NIGHTS_NEVER, base=warmth))
    if len(warm) == len(days) and climate.coldest_month >= TROPICAL_MONTH:
        how = because(ByMark.WARM_ALL_YEAR, base=TROPICAL_MONTH)
        return Span(days[0], summer, days[-1], 15, (how,))
    if len(warm) == len(days):
        opens = start + timedelta(days=ALL_YEAR_OPENS)
        best, closes = opens + timedelta(days=20), opens + timedelta(days=ALL_YEAR_DAYS)
        return Span(opens, best, closes, LONGEST_BAND, (because(ByMark.NIGHTS_ALL_YEAR, base=warmth),))
    if summer not in warm:
        return NoSpan(because(ByMark.NIGHTS_UNSETTLED, base=warmth))
    opens, closes = _stretch(summer, warm)
    best = min(opens + timedelta(days=30), closes)
    how = because(ByMark.NIGHTS_FROM, base=warmth, day=opens)
    return Span(opens, best, closes, _crossing_band(climate, opens), (how,))


def _crossing_band(climate: Climate, day: date) -> int:
    """How far single years scatter about the day on which nights reach a warmth: a month's scatter over the rise at that day."""
    at = day_index(day)
    rise = abs(climate.tmin[(at + 7) % YEAR_DAYS] - climate.tmin[at - 7]) / 14
    days = WITHIN_80 * MONTH_SCATTER / rise if rise > 0 else LONGEST_BAND
    return round(min(max(days, SHORTEST_BAND), LONGEST_BAND))


def _is_warm(climate: Climate, day: date, warmth: float) -> bool:
    return climate.tmin[day_index(day)] >= warmth


def _stretch(summer: date, warm: set[date]) -> tuple[date, date]:
    """The unbroken stretch of warm days about midsummer."""
    opens = closes = summer
    while opens - timedelta(days=1) in warm:
        opens -= timedelta(days=1)
    while closes + timedelta(days=1) in warm:
        closes += timedelta(days=1)
    return opens, closes
