"""What was seen corrects what was computed, and says how sure the answer is: one estimator for shift and band.

A residual (seen − computed, days) is taken as garden + species + season + scatter, independent normal parts with variances, days²:
16, 25, 25 (6.25 where the season's weather is known) and 9 (leaf fall: 16). They were measured on Harvard Forest hf003
(22 species, J. O'Keefe, CC BY) and on springs seen by cameras (PhenoCam, 58 sites). A place of its own, as a tunnel, is a garden
of its own. The best linear prediction comes from Henderson's mixed-model equations (Henderson 1975, Biometrics 31:423), solved in
the parts, whose number stays small however much is logged.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import field
from datetime import date, timedelta
from operator import mul
from statistics import NormalDist, fmean
from typing import NamedTuple

from ..horticulture.window_syntax import MarkName
from ..values import dataclass

GARDEN, SPECIES, SEASON, SCATTER = 16.0, 25.0, 25.0, 9.0
LEAF_FALL_SCATTER = 16.0
FAR_DAYS = 60  # a sighting this far off is a slip of the pencil, or another sign
SEEN_BAND = 3.0  # days either way of a sign seen on the tree itself
SURELY_COME = 0.99  # the chance beyond which a sign that is not in the log is taken to have come unseen
NORMAL = NormalDist()
WITHIN_80 = NORMAL.inv_cdf(0.9)  # 1.2816
TENTHS = tuple(map(NORMAL.inv_cdf, (0.1, 0.5, 0.9)))
_SURELY = NORMAL.inv_cdf(SURELY_COME)
FAMILIES = {
    "swell": "spring",
    "open": "spring",
    "hardened": "spring",
    "flower": "flowering",
    "flower over": "flowering",
}

_KIN = {mark: tuple(m for m, other in FAMILIES.items() if other == family) for mark, family in FAMILIES.items()}


def family_of(mark: str) -> str:
    """Marks that teach each other share a family: the spring's three, the flowering's two; leaf fall stands alone."""
    return FAMILIES.get(mark, mark)


def kin_of(mark: str) -> tuple[str, ...]:
    """The marks that one of a family tells something of."""
    return _KIN.get(mark, (mark,))


class Case(NamedTuple):
    """Whose date is asked: the place the tree stands in, its species (its group's name where it has none) and the season."""

    place: str
    species: str
    season: int


@dataclass(frozen=True, slots=True)
class Residual:
    """One sign seen: on which tree, which mark, and how many days after the computed date (before it: negative)."""

    tag: str
    case: Case
    mark: str
    days: float


@dataclass(frozen=True, slots=True)
class Shift:
    """Days to add to a computed date, with their variance (days²), and where that comes from."""

    days: float
    variance: float
    seasons: int = 0  # seasons with a sign of this family logged in this garden
    own: bool = False  # seen on the tree itself this season
    kin: tuple[str, ...] = ()  # other trees of the same place seen this season

    @property
    def band(self) -> float:
        """Half the width of the 80 % band, days."""
        return WITHIN_80 * math.sqrt(self.variance)


class Estimator:
    """Built once from all residuals; then asked for any tree, mark and season. The order of the log does not matter."""

    def __init__(
        self, seen: Iterable[Residual], season_variance: Mapping[int, float] | Callable[[int], float] | None = None
    ) -> None:
        """`season_variance`: days² of a season, 25 where a mapping holds none (see `Warmth.shared_variance`)."""
        every = sorted(seen, key=_order)
        self.far = tuple(r for r in every if abs(r.days) > FAR_DAYS)
        self.season_variance = _by_season(season_variance)
        self._own: dict[tuple[str, str, int], float] = {}
        families: dict[str, list[Residual]] = {}
        for rest in every:
            key = (rest.tag, rest.mark, rest.case.season)
            if abs(rest.days) <= FAR_DAYS and key not in self._own:
                self._own[key] = rest.days  # of two, the earlier: a sign is first seen once
                families.setdefault(family_of(rest.mark), []).append(rest)
        known = [r for rests in families.values() for r in rests]
        self._marks = frozenset(r.mark for r in known)
        self._of_species = frozenset((r.mark, r.case.species) for r in known)
        self._of_tags = frozenset((r.mark, r.tag) for r in known)
        self._families = {name: _Family(rests, self.season_variance, name) for name, rests in families.items()}

    def shift(self, mark: str, case: Case, tag: str = "", ahead: float = 0.0) -> Shift:
        """The shift of a mark. `ahead`: days², what weather yet to come adds (`Warmth.split_variance`)."""
        family = self._families.get(family_of(mark))
        seasons = len(family.seasons) if family else 0
        own = self._own.get((tag, mark, case.season)) if tag else None
        if own is not None:
            return Shift(own, (SEEN_BAND / WITHIN_80) ** 2, seasons, own=True)
        if family is None:
            prior = GARDEN + SPECIES + self.season_variance(case.season) + _scatter(family_of(mark))
            return Shift(0.0, prior + ahead)
        days, variance = family.predicted(case)
        return Shift(days, variance + ahead, seasons, kin=family.kin(case, tag))

    def logged(self, mark: str, tag: str = "", species: str = "") -> bool:
        """Whether a mark was ever seen on a tree or on its species; on any, where neither is given.

        Where it never was, that it is not in the log this season says nothing.
        """
        if not tag and not species:
            return mark in self._marks
        return (mark, species) in self._of_species or (mark, tag) in self._of_tags


def _by_season(given: Mapping[int, float] | Callable[[int], float] | None) -> Callable[[int], float]:
    if given is None:
        return lambda _: SEASON
    return given if callable(given) else lambda season: given.get(season, SEASON)


def _order(rest: Residual) -> tuple[object, ...]:
    return rest.tag, rest.mark, rest.case, rest.days


def _scatter(family: str) -> float:
    return LEAF_FALL_SCATTER if family == MarkName.LEAF_FALL else SCATTER


Part = tuple[str, str | int]


class _Family:
    """The parts of one family's residuals, solved once."""

    def __init__(self, rests: Sequence[Residual], season_variance: Callable[[int], float], name: str) -> None:
        self.rests = tuple(rests)
        self.seasons = frozenset(r.case.season for r in rests)
        self._variances = season_variance
        self._scatter = _scatter(name)
        cells = _cells(rests)
        self._at: dict[Part, int] = {
            p: n for n, p in enumerate(sorted({p for c in cells for p in _parts(c)}, key=str))
        }
        matrix, right = self._equations(cells)
        self._root = cholesky(matrix)
        self._effects = back_substituted(self._root, forward_substituted(self._root, right))
        self._known: dict[Case, tuple[float, float]] = {}
        tags: dict[tuple[str, int], set[str]] = {}
        for rest in rests:
            tags.setdefault((rest.case.place, rest.case.season), set()).add(rest.tag)
        self._seen_in = {key: tuple(sorted(found)) for key, found in tags.items()}

    def _equations(self, cells: Mapping[Case, float]) -> tuple[list[list[float]], list[float]]:
        """The normal equations: what is known beforehand on the diagonal, and each cell's mean with its scatter."""
        matrix = [[0.0] * len(self._at) for _ in self._at]
        right = [0.0] * len(self._at)
        for part, n in self._at.items():
            matrix[n][n] = 1 / self._prior(part)
        for cell, days in cells.items():
            where = [self._at[p] for p in _parts(cell)]
            for one in where:
                right[one] += days / self._scatter
                for other in where:
                    matrix[one][other] += 1 / self._scatter
        return matrix, right

    def predicted(self, case: Case) -> tuple[float, float]:
        """Mean and variance of a new tree's residual: its three parts as far as they are known, and scatter."""
        if case not in self._known:
            parts = _parts(case)
            ask = [0.0] * len(self._at)
            variance = self._scatter
            for part in parts:
                if part in self._at:
                    ask[self._at[part]] = 1.0
                else:
                    variance += self._prior(part)
            half = forward_substituted(self._root, ask)
            self._known[case] = sum(map(mul, ask, self._effects)), variance + sum(map(mul, half, half))
        return self._known[case]

    def kin(self, case: Case, tag: str) -> tuple[str, ...]:
        here = self._seen_in.get((case.place, case.season), ())
        at = bisect_left(here, tag)
        return (*here[:at], *here[at + 1 :]) if at < len(here) and here[at] == tag else here

    def _prior(self, part: Part) -> float:
        kind, name = part
        if kind == "season":
            return self._variances(int(name))
        return GARDEN if kind == "garden" else SPECIES


def _parts(case: Case) -> tuple[Part, Part, Part]:
    return ("garden", case.place), ("species", case.species), ("season", case.season)


def _cells(rests: Sequence[Residual]) -> dict[Case, float]:
    """The mean of each place, species and season: a tree's marks first, then its trees, so that much looking at one tree counts once."""
    trees: dict[Case, dict[str, list[float]]] = {}
    for rest in rests:
        trees.setdefault(rest.case, {}).setdefault(rest.tag, []).append(rest.days)
    return {case: fmean(fmean(days) for days in by_tag.values()) for case, by_tag in trees.items()}


def cholesky(matrix: Sequence[Sequence[float]]) -> list[list[float]]:
    """Rows, to the diagonal, of the lower triangle L with L·Lᵀ = matrix (symmetric, positive definite)."""
    root: list[list[float]] = []
    for n, row in enumerate(matrix):
        line: list[float] = []
        for m in range(n):
            above = root[m]
            line.append((row[m] - sum(map(mul, line, above))) / above[m])
        line.append(math.sqrt(row[n] - sum(map(mul, line, line))))
        root.append(line)
    return root


def forward_substituted(root: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """x of L·x = right."""
    found: list[float] = []
    for line, value in zip(root, right, strict=True):
        found.append((value - sum(map(mul, line, found))) / line[-1])
    return found


def back_substituted(root: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """x of Lᵀ·x = right."""
    rest = list(right)
    for n in range(len(rest) - 1, -1, -1):
        rest[n] /= root[n][n]
        for m in range(n):
            rest[m] -= root[n][m] * rest[n]
    return rest


@dataclass(frozen=True, slots=True)
class Spread:
    """A date by its chances: the days by which it comes in 10, 50 and 90 of 100 cases."""

    early: date
    middle: date
    late: date
    not_seen: bool = field(default=False)  # whether it was narrowed by not having been seen yet


def spread_of(day: date, shift: Shift, today: date | None = None) -> Spread:
    """A computed day with its shift. With `today`: the sign has not been seen by then, which tells something too."""
    sd = math.sqrt(shift.variance)
    plain = _days(day, [shift.days + sd * z for z in TENTHS])
    late = shift.days + sd * _SURELY
    if today is None or shift.own or (today - day).days > late:
        return Spread(*plain)  # so late that it has come unseen, or was not written down
    waited = _days(day, list(not_seen_yet(shift.days, sd, (today - day).days)))
    # long before the mark, not having seen it tells nothing
    return Spread(*waited, not_seen=waited != plain)


def _days(day: date, quantiles: Sequence[float]) -> tuple[date, date, date]:
    early, middle, late = (day + timedelta(days=_nearest(q)) for q in quantiles)
    return early, middle, late


def _nearest(days: float) -> int:
    """Whole days, halves upwards: a sign can't be told for half a day, and a late page costs less than an early one."""
    return math.floor(days + 0.5)


def not_seen_yet(mean: float, sd: float, last: float) -> tuple[float, float, float]:
    """The 10, 50 and 90 % days of a normal date known to lie after day `last`: μ + sd·Φ⁻¹(a + q(1−a)), a = Φ((last+½−μ)/sd)."""
    begins = last + 0.5
    # in the upper tail, where 1−a is small, differences of 1 would lose every digit
    left = 0.5 * math.erfc((begins - mean) / sd / math.sqrt(2))
    if left < 1e-300:
        return begins, begins, begins

    def quantile(q: float) -> float:
        return max(begins, mean - sd * NORMAL.inv_cdf(left * (1 - q)))

    return quantile(0.1), quantile(0.5), quantile(0.9)
