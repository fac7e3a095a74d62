"""Windows that no mark gives: each rule computes a season's window, or says why there is none."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from ..season.climate import day_index
from ..season.learning import NOBODY, Who
from ..season.marks import Absent, Mark, SiteYear
from ..trade.knowledge import Group
from ..trade.windows import Window
from .state import State

ACTIVE_NIGHTS = 12.0
MILD_NIGHTS = 8.0
STILL_TO_COME = 800.0  # °C·d above 10 °C that a second flush wants
RISK_10 = 1.2816  # the standard normal's 90 % point


@dataclass(frozen=True, slots=True)
class Span:
    """A window with days: opens ≤ best ≤ closes, the 80 % band of its marks (± days), and how it was found."""

    opens: date
    best: date
    closes: date
    band: int
    how: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NoSpan:
    """No window this season. `refused`: the work must not be done; otherwise only its date is unknown."""

    why: str
    refused: bool = False


Answer = Span | NoSpan


def window_span(site: SiteYear, group: str, window: Window, season: int, who: Who = NOBODY) -> Answer:
    """A window of marks as days of one season."""
    marks: list[Mark] = []
    for moment in (window.opens, window.best, window.closes):
        mark = site.mark(group, moment.mark, season + moment.next_season, who)
        if isinstance(mark, Absent):
            return NoSpan(mark.why)
        marks.append(mark)
    opens, best, closes = (
        mark.day + timedelta(days=moment.days)
        for mark, moment in zip(marks, (window.opens, window.best, window.closes), strict=True)
    )
    if not opens <= closes:
        return NoSpan("the season is too short here for it", refused=True)
    best = min(max(best, opens), closes)
    return Span(opens, best, closes, max(m.band for m in marks), tuple(dict.fromkeys(_told(m) for m in marks)))


def _told(mark: Mark) -> str:
    band = f" ± {mark.band} days" if mark.band else ""
    return f"{mark.name} about {mark.day.day} {mark.day:%b %Y}{band} ({mark.how})"


def candle_removal(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """About a hundred days before growth ends, so that a second flush hardens; earlier on large trees."""
    if site.climate is None:
        return NoSpan("no monthly normals on record: about 100 days before growth ends")
    end, opened = site.growth_end(season, 13.0), site.mark(group.name, "open", season)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    size, lead, after_midsummer = _size(state)
    best = min(end.day - timedelta(days=lead), site.midsummer(season) + timedelta(days=after_midsummer))
    while best > opened.day and site.climate.sum_between(best, end.day, 10.0) < STILL_TO_COME:
        best -= timedelta(days=1)
    if best <= opened.day:
        return NoSpan("season too short here: leave the candles or only shorten the strong ones", refused=True)
    limit = site.midsummer(season) + timedelta(days=after_midsummer)
    how = [
        f"{lead} days before days cool under 13 °C (about {end.day.day} {end.day:%b}), at the latest {limit.day} {limit:%b}"
    ]
    if best < min(end.day - timedelta(days=lead), limit):
        how.append(f"moved to {best.day} {best:%b}, so that 800 °C·d above 10 °C are still to come")
    how.append(f"reckoned for a {size} tree")
    opens = max(best - timedelta(days=10), opened.day)
    return Span(opens, best, best + timedelta(days=10), end.band, tuple(how))


def _size(state: State) -> tuple[str, int, int]:
    height = state.height_mm()
    if height is None:
        return "medium (height not on record)", 100, 4
    if height < 250:
        return "small", 90, 18
    return ("medium", 100, 4) if height <= 600 else ("large", 115, -10)


def active_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """The stretch of the season with warm nights."""
    return _nights(site, season, ACTIVE_NIGHTS, "nights average 12 °C or more")


def lengthening_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """Up to sixty days of active growth, best while the days still lengthen."""
    if state.indoors:
        summer = site.midsummer(season)
        return Span(
            summer - timedelta(days=40), summer, summer + timedelta(days=40), 0, ("kept indoors: about midsummer",)
        )
    active = active_growth(site, group, season, state)
    if isinstance(active, NoSpan):
        return active
    closes = min(active.closes, active.opens + timedelta(days=60))
    return Span(active.opens, min(active.opens + timedelta(days=20), closes), closes, active.band, active.how)


def mild_nights(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From the time nights average 8 °C in spring, for 45 days."""
    mild = _nights(site, season, MILD_NIGHTS, "nights average 8 °C or more")
    if isinstance(mild, NoSpan):
        return mild
    closes = min(mild.closes, mild.opens + timedelta(days=45))
    return Span(mild.opens, min(mild.opens + timedelta(days=14), closes), closes, mild.band, mild.how)


def after_flowering(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """Four weeks from the end of flowering, by this tree's own record of it."""
    over = _flower_day(site, season, state, over=True)
    if over is None:
        return NoSpan("no flowering on record: log 'saw flower' or 'saw flower over'")
    return Span(
        over,
        over + timedelta(days=10),
        over + timedelta(days=28),
        10,
        (f"flowers over about {over.day} {over:%b %Y}, from this tree's log",),
    )


def while_flowering(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From a week into flower until three weeks after it."""
    begins, over = _flower_day(site, season, state, over=False), _flower_day(site, season, state, over=True)
    if begins is None or over is None:
        return NoSpan("no flowering on record: log 'saw flower' or 'saw flower over'")
    opens = begins + timedelta(days=7)
    return Span(
        opens,
        max(opens, over - timedelta(days=7)),
        over + timedelta(days=21),
        10,
        (f"in flower about {begins.day} {begins:%b} to {over.day} {over:%b %Y}, from this tree's log",),
    )


def _flower_day(site: SiteYear, season: int, state: State, *, over: bool) -> date | None:
    """Flowering's end or beginning in a season: the mean day of what the log says, four weeks apart where one is missing."""
    shift = {("flower", True): 28, ("flower over", False): -28}
    summer = site.midsummer
    offsets = []
    for entry in state.entries:
        if entry.saw in ("flower", "flower over"):
            seen = entry.date.earliest + timedelta(days=shift.get((entry.saw, over), 0))
            offsets.append((seen - summer(site.season_of(entry.date.earliest))).days)
    if not offsets:
        return None
    return summer(season) + timedelta(days=round(sum(offsets) / len(offsets)))


def height_of_growth(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """The middle of active growth."""
    active = active_growth(site, group, season, state)
    if isinstance(active, NoSpan):
        return active
    best = active.opens + (active.closes - active.opens) / 2
    return Span(
        max(active.opens, best - timedelta(days=20)),
        best,
        min(active.closes, best + timedelta(days=20)),
        active.band,
        active.how,
    )


def growing_season(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """From swelling (or warm nights) to the end of growth."""
    begins, end = site.mark(group.name, "swell", season), site.mark(group.name, "growth end", season)
    if isinstance(begins, Absent) or isinstance(end, Absent) or begins.day > end.day:
        return active_growth(site, group, season, state)
    return Span(
        begins.day,
        begins.day,
        end.day,
        begins.band,
        (f"from swell about {begins.day.day} {begins.day:%b} to growth end",),
    )


def feeding(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """By stage: from open while the trunk is grown, from hardened in refinement; two-flush pines from swell. Pauses are told."""
    start_mark = (
        "swell"
        if group.name in ("two-flush pine", "scale juniper")
        else "hardened"
        if state.stage in ("refinement", "maintenance")
        else "open"
    )
    begins, end = site.mark(group.name, start_mark, season), site.mark(group.name, "growth end", season)
    if isinstance(end, Absent):
        return NoSpan(end.why)
    if isinstance(begins, Absent):
        return active_growth(site, group, season, state)
    opens = begins.day
    how = [f"from {start_mark} about {opens.day} {opens:%b} to three weeks before growth ends"]
    if state.repotted and not state.repotted.about:
        after = state.repotted.latest + timedelta(days=28)
        if opens < after and state.repotted.latest >= site.season_start(season):
            opens = after
            how.append("not for four weeks after repotting")
    if group.name == "two-flush pine":
        pause = 60 if state.stage in ("refinement", "maintenance") else 30
        how.append(f"pause {pause} days from candle removal")
    if state.resting:
        how.append("half strength while it rests")
    closes = end.day - timedelta(days=21)
    if opens > closes:
        return NoSpan("the season is too short here for it", refused=True)
    return Span(opens, opens, closes, begins.band, tuple(how))


def shelter(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From the first to the last night of the winter before a season whose 10 %-risk minimum is under the roots' limit."""
    climate = site.climate
    if climate is None:
        return NoSpan("no monthly normals on record")
    start = site.midsummer(season)
    nights = [start + timedelta(days=i) for i in range(364)]
    cold = [
        d for d in nights if climate.tmin[day_index(d)] - RISK_10 * climate.sigma_min[day_index(d)] < group.root_limit
    ]
    if not cold or len(cold) > 330:
        return NoSpan(
            "roots stand the usual winter here" if not cold else "too cold here to stand outdoors", refused=bool(cold)
        )
    limit = site.settings.units.temperature_told(group.root_limit)
    return Span(
        cold[0],
        cold[0],
        cold[-1],
        12,
        (
            f"one night in ten is under {limit} at the roots from about {cold[0].day} {cold[0]:%b} to {cold[-1].day} {cold[-1]:%b}",
        ),
    )


def frost_watch(site: SiteYear, group: Group, season: int, state: State) -> Answer:  # noqa: ARG001
    """From open leaves to the last frost at 10 % risk."""
    opened, last = site.mark(group.name, "open", season), site.mark(group.name, "last frost 10 %", season)
    if isinstance(opened, Absent):
        return NoSpan(opened.why)
    if isinstance(last, Absent):
        return NoSpan(last.why)
    if last.day <= opened.day:
        return NoSpan("frost is over before the leaves open")
    return Span(
        opened.day,
        opened.day,
        last.day,
        opened.band,
        (
            f"leaves open about {opened.day.day} {opened.day:%b}, one frost in ten still to come until {last.day.day} {last.day:%b}",
        ),
    )


def a_season_later(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """About swelling buds, or as warm nights return: when a layer or graft of last season is taken off."""
    swell = site.mark(group.name, "swell", season)
    if isinstance(swell, Mark):
        start = swell.day - timedelta(days=14)
        how = f"a season after it was made, about swell {swell.day.day} {swell.day:%b %Y}"
        return Span(start, swell.day, swell.day + timedelta(days=14), swell.band, (how,))
    return active_growth(site, group, season, state)


def pest_watch(site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """From the first soft shoots to the end of growth; mites and scale once days reach 27 °C."""
    growing = growing_season(site, group, season, state)
    if isinstance(growing, NoSpan) or site.climate is None:
        return growing
    hot = [
        d
        for d in (growing.opens + timedelta(days=i) for i in range((growing.closes - growing.opens).days))
        if site.climate.tmax[day_index(d)] >= 27
    ]
    heat = (f"days reach 27 °C from about {hot[0].day} {hot[0]:%b}: mites and scale",) if hot else ()
    return Span(growing.opens, growing.opens, growing.closes, growing.band, (*growing.how, *heat))


def _nights(site: SiteYear, season: int, warmth: float, words: str) -> Answer:
    climate = site.climate
    if climate is None:
        return NoSpan("no monthly normals on record")
    start = site.midsummer(season) - timedelta(days=182)
    days = [start + timedelta(days=i) for i in range(364)]
    warm = {d for d in days if climate.tmin[day_index(d)] >= warmth}
    if not warm:
        return NoSpan(f"it is never so warm here that {words}: follow the signs")
    if len(warm) == len(days):
        opens = start + timedelta(days=70)
        return Span(
            opens,
            opens + timedelta(days=20),
            opens + timedelta(days=240),
            15,
            (f"{words} all year: while days lengthen",),
        )
    summer = site.midsummer(season)
    if summer not in warm:
        return NoSpan(f"{words} at no settled time here: follow the signs")
    opens, closes = summer, summer
    while opens - timedelta(days=1) in warm:
        opens -= timedelta(days=1)
    while closes + timedelta(days=1) in warm:
        closes += timedelta(days=1)
    return Span(
        opens, min(opens + timedelta(days=30), closes), closes, 12, (f"{words} from about {opens.day} {opens:%b}",)
    )


def season_rule(name: str, site: SiteYear, group: Group, season: int, state: State) -> Answer:
    """A rule's answer for a group in a season."""
    return SEASON_RULES[name](site, group, season, state)


# rules whose answer hangs on the tree's own state; the others may be kept for every tree of a group
OF_THE_TREE = frozenset(("candle removal", "lengthening growth", "after flowering", "while flowering", "feeding"))
SEASON_RULES: dict[str, Callable[[SiteYear, Group, int, State], Answer]] = {
    "candle removal": candle_removal,
    "active growth": active_growth,
    "lengthening growth": lengthening_growth,
    "mild nights": mild_nights,
    "after flowering": after_flowering,
    "while flowering": while_flowering,
    "height of growth": height_of_growth,
    "growing season": growing_season,
    "feeding": feeding,
    "shelter": shelter,
    "frost watch": frost_watch,
    "pest watch": pest_watch,
    "a season later": a_season_later,
}
