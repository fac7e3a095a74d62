"""One spring mark of one tree: computed by warmth, shifted by what was seen, with its chances and the reasons in words.

Joins `warmth` and `estimator`; knows a tree only by its habit (the sums of its species) and its case (place, species, season).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta

from .estimator import SCATTER, Case, Estimator, Shift, Spread, spread_of
from .warmth import Warmth, season_start, why_no_marks

BY_WARMTH = ("swell", "open", "flower")
GUESSED_VARIANCE = 16.0  # days²: what normals guessed from a few numbers add to any mark


@dataclass(frozen=True, slots=True)
class Habit:
    """What species and group say of a tree's spring: weighted sums by mark, the way from open to hardened, need of a winter."""

    sums: Mapping[str, float]
    hardened_gap: float | None = None  # °C·d above 0 °C
    chill: str = "yes"


@dataclass(frozen=True, slots=True)
class SpringMark:
    """A mark with its chances, the day computed before any shift, and where it comes from."""

    name: str
    computed: date
    shift: Shift
    spread: Spread
    reasons: tuple[str, ...]

    @property
    def day(self) -> date:
        """The middle of the spread."""
        return self.spread.middle


def why_absent(warmth: Warmth, habit: Habit, name: str) -> str:
    """Why a site or a tree has no such mark; empty where it has."""
    if not habit.sums:
        return "it follows warmth, not a winter"
    if name == "hardened" and (habit.hardened_gap is None or "open" not in habit.sums):
        return "it grows in pushes and never hardens at once"
    if name in BY_WARMTH and name not in habit.sums:
        return f"it has no '{name}'"
    return why_no_marks(warmth.climate, warmth.latitude, habit.chill)


def computed_day(warmth: Warmth, habit: Habit, name: str, season: int) -> date | None:
    """The day of swell, open, flower or hardened before any shift; None where `why_absent` says so or summers are too cool."""
    if why_absent(warmth, habit, name):
        return None
    if name == "hardened":
        opened = warmth.reaching(season, habit.sums["open"])
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
    guessed: str = "",
) -> SpringMark | str:
    """The mark of a tree, or why there is none.

    The estimator must have been built with `warmth.shared_variance`, so that both mean the same weather. `opened`: the day the tree itself was seen to open this season, from which `hardened` then counts. `today`: told only where the sign
    would have been typed, had it been seen; it narrows marks that were logged in some year. `guessed`: `from four numbers` and
    the like, where the normals are.
    """
    day = computed_day(warmth, habit, name, case.season)
    if day is None:
        return why_absent(warmth, habit, name) or "summers are too cool here for this mark"
    # a season's own variance is the estimator's; what the days to come add is this mark's alone
    ahead = warmth.split_variance(case.season, day)[1] + (GUESSED_VARIANCE if guessed else 0.0)
    shift = estimator.shift(name, case, tag, ahead)
    if name == "hardened" and opened is not None and habit.hardened_gap is not None and not shift.own:
        day = warmth.hardened(opened, habit.hardened_gap)
        shift = Shift(0.0, SCATTER + ahead, shift.seasons)
    waited = today if today is not None and estimator.logged(name) else None
    spread = spread_of(day, shift, waited)
    return SpringMark(
        name, day, shift, spread, tuple(_reasons(warmth, case.season, day, shift, spread, opened, guessed))
    )


def _reasons(
    warmth: Warmth, season: int, day: date, shift: Shift, spread: Spread, opened: date | None, guessed: str
) -> list[str]:
    if shift.own:
        return ["seen on this tree"]
    found = [_source(warmth, season, day) + (f" {guessed}" if guessed else "")]
    moved = round(shift.days)
    if opened is not None and not shift.days:
        found.append("counted from the day it opened")
    elif shift.seasons and moved:
        found.append(
            f"moved {moved:+d} days by {shift.seasons} logged {'season' if shift.seasons == 1 else 'seasons'}"
        )
    if shift.kin:
        found.append(f"seen this season on {', '.join(shift.kin[:3])}")
    if spread.not_seen:
        found.append("not seen yet")
    return found


def _source(warmth: Warmth, season: int, day: date) -> str:
    start = season_start(season, warmth.southern)
    begun = f"warmth and daylight summed from {start.day} {start:%b}"
    if not warmth.knows(season, day):
        return f"{begun}, from your monthly normals"
    last = day
    while last > start and warmth.unknown(season, last).days != warmth.unknown(season, last - timedelta(days=1)).days:
        last -= timedelta(days=1)
    if last >= day:
        return f"{begun}, from this year's weather"
    return f"{begun}, from this year's weather to {last.day} {last:%b} and your monthly normals"
