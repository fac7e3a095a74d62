"""How likely a night under any limit is between two days, and what follows: frost dates with their band, a winter's budget.

P(at least one night under L) = 1 − Π Φ((μ_t − L)/σ_t)^0.5. The exponent stands for cold nights coming in spells; with it the
median first and last frosts were 4.3 days off, and their 10–90 % band held 74 %, over 13 stations' daily records.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from datetime import date, timedelta
from functools import lru_cache
from itertools import accumulate, pairwise
from operator import add

from ..values import dataclass
from .climate import Climate, day_index

SPELLS = 0.5
BORNE = 0.05  # of a winter's risk, on either side of the days inside
WORTH_SHELTER = 0.10  # a whole winter's risk below which nothing is said of shelter
HAVE_A_PLACE = 0.50  # up to which a place is kept ready, and from which one is used
STAY_IN = 0.10  # chance of a night under the limit from which a tree is told to stay in

Limit = float | Callable[[date], float]


def _log_phi(z: float) -> float:
    chance = 0.5 * math.erfc(-z / math.sqrt(2))
    return math.log(chance) if chance > 0 else -800.0


def _year_safe(climate: Climate, limit_c: float) -> tuple[float, ...]:
    """ln of the chance that a night stays above the limit, spells allowed for, for each day of the year: trees share their limits."""
    kept = climate.safe_nights
    if limit_c not in kept:
        nights = zip(climate.tmin, climate.sigma_min, strict=True)
        kept[limit_c] = tuple(SPELLS * _log_phi((low - limit_c) / sigma) for low, sigma in nights)
    return kept[limit_c]


def night_under(climate: Climate, limit_c: Limit, first: date, last: date) -> float:
    """Chance of at least one night under the limit (°C, or °C by day) from `first` to `last`, both counted."""
    return -math.expm1(sum(_safes(climate, limit_c, first, last)))


def _safes(climate: Climate, limit_c: Limit, first: date, last: date) -> list[float]:
    days = [first + timedelta(days=n) for n in range((last - first).days + 1)]
    if callable(limit_c):
        limits = [limit_c(d) for d in days]
        years = {limit: _year_safe(climate, limit) for limit in set(limits)}
        return [years[limit][day_index(d)] for d, limit in zip(days, limits, strict=True)]
    safe = _year_safe(climate, limit_c)
    return [safe[day_index(d)] for d in days]


@dataclass(frozen=True, slots=True)
class FrostDates:
    """The days by which frost has come (autumn) or gone (spring) in 10, 50 and 90 of 100 years; None: not in that many years."""

    tenth: date | None
    half: date | None
    nine_tenths: date | None


def last_frosts(climate: Climate, midwinter: date, midsummer: date, limit_c: float = 0.0) -> FrostDates:
    """Days after which no frost comes in 10, 50 and 90 of 100 years."""
    safes = _safes(climate, limit_c, midwinter, midsummer)
    later = list(accumulate(reversed(safes), add))[::-1]  # ln P(no frost on this day or later)
    # the first day d such that P(no frost after d) reaches the chance; it exists where a frost as late as that is likely at all
    return FrostDates(*(_last(later, midwinter, chance) for chance in (0.1, 0.5, 0.9)))


def _last(later: list[float], first: date, chance: float) -> date | None:
    if math.exp(later[0]) >= chance:
        return None
    at = next(n for n, (_, after) in enumerate(pairwise([*later, 0.0])) if math.exp(after) >= chance)
    return first + timedelta(days=at)


def first_frosts(climate: Climate, midsummer: date, midwinter: date, limit_c: float = 0.0) -> FrostDates:
    """Days by which the first frost has come in 10, 50 and 90 of 100 years."""
    so_far = list(accumulate(_safes(climate, limit_c, midsummer, midwinter), add))
    found = (next((n for n, safe in enumerate(so_far) if -math.expm1(safe) >= q), None) for q in (0.1, 0.5, 0.9))
    return FrostDates(*(None if n is None else midsummer + timedelta(days=n) for n in found))


@dataclass(frozen=True, slots=True)
class Budget:
    """What a limit means for one winter. Between `in_day` and `out_day` the forecast is watched; both None where little is risked.

    `whole_risk` is the chance of a night under the limit from midsummer to midsummer, `stay_in_days` those on which
    a single night goes under it more than once in ten years.
    """

    in_day: date | None
    out_day: date | None
    whole_risk: float
    stay_in_days: tuple[date, ...]

    @property
    def advice(self) -> str:
        """`none`, `place ready` (one winter in N) or `shelter`."""
        if self.whole_risk < WORTH_SHELTER:
            return "none"
        return "place ready" if self.whole_risk <= HAVE_A_PLACE else "shelter"

    @property
    def one_in(self) -> int:
        """One winter in how many sees such a night; 0 where none does."""
        return round(1 / self.whole_risk) if self.whole_risk > 0 else 0


def shelter_budget(climate: Climate, limits_by_day: Limit, midsummer: date, next_midsummer: date) -> Budget:
    """In: the day by which the risk counted from midsummer reaches 5 %; out: the day after which less than 5 % is left.

    Where the whole winter's risk is 10 % or more; so never more than 10 % is borne outside.
    """
    last = next_midsummer - timedelta(days=1)
    safes = _safes(climate, limits_by_day, midsummer, last)
    whole = -math.expm1(sum(safes))
    begun = midsummer.toordinal()
    stay = tuple(_day(begun + n) for n, safe in enumerate(safes) if safe < -0.05 and _one_night(safe) > STAY_IN)
    if whole < WORTH_SHELTER:
        return Budget(None, None, whole, stay)
    before = list(accumulate(safes, add))
    after = [*list(accumulate(reversed(safes), add))[::-1][1:], 0.0]
    into = next(n for n, safe in enumerate(before) if -math.expm1(safe) >= BORNE)
    out = next(n for n, safe in enumerate(after) if -math.expm1(safe) < BORNE)
    return Budget(midsummer + timedelta(days=into), midsummer + timedelta(days=max(into, out)), whole, stay)


_day = lru_cache(maxsize=2048)(date.fromordinal)  # many winters tell the same days


def _one_night(safe: float) -> float:
    """The chance of this very night, without the allowance for spells."""
    return -math.expm1(safe / SPELLS)
