"""One spring mark of one tree: computed by warmth, shifted by what was seen, with its chances and where it comes from.

Joins `warmth` and `estimator`; knows a tree only by its habit (the sums of its species) and its case (place, species, season).
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ..horticulture.window_syntax import MarkName
from ..values import dataclass
from .estimator import SCATTER, Case, Estimator, Shift, Spread, spread_of
from .reasons import Found, Reason, because
from .warmth import Warmth, season_start, why_no_marks

BY_WARMTH = (MarkName.SWELL, MarkName.OPEN, MarkName.FLOWER)
NAMED = 4  # of the trees on which a sign was seen; of the rest a reason tells how many
GUESSED_VARIANCE = 16.0  # days²: what normals guessed from a few numbers add to any mark


@dataclass(frozen=True, slots=True)
class Habit:
    """What species and group say of a tree's spring: weighted sums by mark, the way from open to hardened, need of a winter."""

    sums: Mapping[str, float]
    hardened_gap: float | None = None  # °C·d above 0 °C
    chill: str = "yes"
    group: str = ""


@dataclass(frozen=True, slots=True)
class SpringMark:
    """A mark with its chances, the day computed before any shift, and where it comes from."""

    name: str
    computed: date
    shift: Shift
    spread: Spread
    how: Reason

    @property
    def day(self) -> date:
        """The middle of the spread."""
        return self.spread.middle


def why_absent(warmth: Warmth, habit: Habit, name: str) -> Reason | None:
    """Why a site or a tree has no such mark; None where it has."""
    if not habit.sums:
        return because(Found.FOLLOWS_WARMTH, group=habit.group, mark=name)
    if name == MarkName.HARDENED and (habit.hardened_gap is None or MarkName.OPEN not in habit.sums):
        return because(Found.GROWS_IN_PUSHES, group=habit.group, mark=name)
    if name == MarkName.OPEN and name not in habit.sums:
        return because(Found.GROWS_IN_PUSHES, group=habit.group, mark=name)
    if name in BY_WARMTH and name not in habit.sums:
        return because(Found.NOT_ITS_MARK, group=habit.group, mark=name)
    code = why_no_marks(warmth.climate, warmth.latitude, habit.chill)
    return because(code) if code is not None else None


def computed_day(warmth: Warmth, habit: Habit, name: str, season: int) -> date | None:
    """The day of swell, open, flower or hardened before any shift; None where `why_absent` says so or summers are too cool."""
    if why_absent(warmth, habit, name) is not None:
        return None
    if name == MarkName.HARDENED:
        opened = warmth.reaching(season, habit.sums[MarkName.OPEN])
        return None if opened is None or habit.hardened_gap is None else warmth.hardened(opened, habit.hardened_gap)
    return warmth.reaching(season, habit.sums[name])


def spring_mark(
    warmth: Warmth,
    estimator: Estimator,
    habit: Habit,
    name: str,
    case: Case,
    *,
    tag: str = "",
    opened: date | None = None,
    today: date | None = None,
) -> SpringMark | Reason:
    """The mark of a tree, or why there is none.

    The estimator must have been built with `warmth.shared_variance`, so that both mean the same weather. `opened`: the day the tree itself
    was seen to open this season, from which `hardened` then counts. `today`: told only where the sign would have been typed, had it
    been seen; it narrows marks that were logged in some year.
    """
    day = computed_day(warmth, habit, name, case.season)
    if day is None:
        return why_absent(warmth, habit, name) or because(Found.SUMMER_TOO_COOL)
    # a season's own variance is the estimator's; what the days to come add is this mark's alone
    ahead = warmth.split_variance(case.season, day)[1] + (GUESSED_VARIANCE if warmth.guessed else 0.0)
    shift = estimator.shift(name, case, tag, ahead)
    how = source(warmth, habit, name, case.season, day)
    if name == MarkName.HARDENED and opened is not None and habit.hardened_gap is not None and not shift.own:
        day = warmth.hardened(opened, habit.hardened_gap)
        shift = Shift(0.0, SCATTER + ahead, shift.seasons)
        how = because(Found.COUNTED_FROM_OPEN, day=opened)
    waited = today if today is not None and estimator.logged(name, tag, case.species) else None
    spread = spread_of(day, shift, waited)
    return SpringMark(name, day, shift, spread, chain(how, shift, spread))


def chain(how: Reason, shift: Shift, spread: Spread) -> Reason:
    """Where a mark comes from, with what was seen told behind it."""
    if shift.own:
        return because(Found.SEEN_ON_TREE)
    moved = round(shift.days)
    if shift.seasons and moved:
        how = because(Found.MOVED, how=how, days=moved, seasons=shift.seasons)
    if shift.kin:
        how = because(Found.SEEN_ON_KIN, how=how, tags=shift.kin[:NAMED], more=max(0, len(shift.kin) - NAMED))
    if spread.not_seen:
        how = because(Found.NOT_SEEN, how=how)
    return how


def source(warmth: Warmth, habit: Habit, name: str, season: int, day: date) -> Reason:
    """What the computed day rests on: normals, and this year's weather as far as it is known."""
    start, guessed = season_start(season, warmth.southern), warmth.guessed
    if not warmth.knows(season, day):
        return because(Found.NORMALS_ALONE, start=start, guessed=guessed)
    usual = computed_day(warmth.usual, habit, name, season) or day
    last = warmth.known_to(season, day)
    if last >= day:
        return because(Found.WEATHER, start=start, usual=usual)
    return because(Found.WEATHER_SO_FAR, start=start, known=last, usual=usual, guessed=guessed)
