"""Which of a climate table's series are the usual nights and the usual days, in which unit, and whether they can be right.

Records, rain and sun are put aside by their names; names decide, then figures; what stays open is asked.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace
from itertools import pairwise
from statistics import correlation, fmean
from typing import NamedTuple

from .loose_table import Asked
from .normals_shapes import Series
from .weather_words import is_record, kind_of, unit_of, words_of

WARMEST_MONTH = 48.0  # °C: no station's month has a mean maximum above it (from memory)
COLDEST_MONTH = -60.0  # °C, mean minimum
COOLEST_SUMMER = 5.0  # °C: where the warmest month stays below it no tree grows
SMALLEST_SWING, LARGEST_SWING = (
    2.0,
    22.0,
)  # °C between night and day, a year's mean: oceans and high deserts (from memory)
TROPICS = 23.5
ALIKE = 3.0  # °C between the year's months under which their order says nothing
OUT_OF_LINE = 12.0  # °C from the mean of the months on either side at which a figure is asked about
_USUAL = frozenset(("daily", "average", "avg", "usual", "typical", "normal"))


class Chosen(NamedTuple):
    """The series of nights and of days, or what must be asked or mended first."""

    low: Series | None = None
    high: Series | None = None
    how: str = ""
    questions: tuple[Asked, ...] = ()
    faults: tuple[tuple[str, int], ...] = ()  # words and line


def chosen(series: Sequence[Series], answers: Mapping[str, str]) -> Chosen:
    """Nights and days among the series."""
    both = next((s for s in series if {"low", "high"} <= set(map(kind_of, words_of(s.label)))), None)
    if both is not None:
        return Chosen(faults=(("one row names nights and days both", both.line),))
    series = [_plain_unit(s) for s in _told_apart(series) if _is_temperature(s.label)]
    lows, highs = _named_pair(series, answers)
    if len(lows) > 1 or len(highs) > 1:
        found = (("lowest", lows), ("highest", highs))
        return Chosen(questions=tuple(_which(word, several) for word, several in found if len(several) > 1))
    if lows and highs:
        return Chosen(lows[0], highs[0], "by name")
    rest = [s for s in series if s not in (*lows, *highs) and kind_of(s.label) in ("", "temperature")]
    return _half_named(lows, highs, rest) if [*lows, *highs] else _by_figures(rest, series)


def _named_pair(series: Sequence[Series], answers: Mapping[str, str]) -> tuple[list[Series], list[Series]]:
    """The series named for the nights and those named for the days."""
    lows, highs = _named(series, "lowest", ("low",), answers), _named(series, "highest", ("high", "day"), answers)
    if not lows or lows != highs:
        return lows, highs
    # a name was overruled: the other one takes its place
    others = [s for s in series if s not in lows and kind_of(s.label) in ("low", "high", "day")]
    return (lows, others) if "lowest" in answers else (others, highs)


def _half_named(lows: Sequence[Series], highs: Sequence[Series], rest: Sequence[Series]) -> Chosen:
    """Only the nights, or only the days, have a name: one series that is left is the other."""
    missing, known = ("highest", lows[0]) if lows else ("lowest", highs[0])
    if len(rest) == 1:
        low, high = (known, rest[0]) if lows else (rest[0], known)
        return Chosen(low, high, f"the {missing} by what is left")
    if rest:
        return Chosen(questions=(_which(missing, rest),))
    return Chosen(faults=((f"there is no row or column of the {missing}", known.line),))


def _is_temperature(label: str) -> bool:
    return kind_of(label) not in ("other", "year", "month") and not is_record(label)


def _told_apart(series: Sequence[Series]) -> list[Series]:
    """The series with names by which each can be answered."""
    seen: dict[str, int] = {}
    found = []
    for at, one in enumerate(series, start=1):
        name = one.label or f"column {at}"
        seen[name] = seen.get(name, 0) + 1
        found.append(replace(one, label=name if seen[name] == 1 else f"{name} ({seen[name]})"))
    return found


def _plain_unit(series: Series) -> Series:
    """A series of pairs such as `46.2 (7.9)` as its °C half, told from the other by the figures."""
    months = [m for m in series.values if m in series.other]
    if not months or len(months) < len(series.values):
        return series
    pairs = [(series.values[m], series.other[m]) for m in months]
    if fmean(abs(f - (c * 1.8 + 32)) for f, c in pairs) < 1.5:
        return replace(series, values={m: series.other[m] for m in months}, units=frozenset("C"), annual=None)
    if fmean(abs(f - (c * 1.8 + 32)) for c, f in pairs) < 1.5:
        return replace(series, units=frozenset("C"))
    return series


def _named(series: Sequence[Series], word: str, kinds: Sequence[str], answers: Mapping[str, str]) -> list[Series]:
    """The series whose name says low (high); of several the daily one, of one quantity in two units the one in °C."""
    said = [s for s in series if answers.get(word, "").casefold() == s.label.casefold()]
    if said:
        return said[:1]
    found = [s for s in series if kind_of(s.label) in kinds]
    found = [s for s in found if _USUAL & set(words_of(s.label))] or found
    celsius = [s for s in found if unit_of(s.label) == "C" or s.units == {"C"}]
    return celsius if len(celsius) == 1 else found


def _which(word: str, series: Sequence[Series]) -> Asked:
    names = tuple(s.label for s in series)
    shown = "; ".join(
        f"{n}: {', '.join(f'{v:g}' for v in list(s.values.values())[:3])} …"
        for n, s in zip(names, series, strict=True)
    )
    return Asked(word, f"which holds the usual {'nights' if word == 'lowest' else 'days'}? {shown}", names)


def _by_figures(rest: Sequence[Series], series: Sequence[Series]) -> Chosen:
    """No name says low or high. Of two series the lower one, of three that whose middle is the mean of the others."""
    if len(rest) == 2:
        return _lower_of(rest[0], rest[1])
    if len(rest) == 3:
        low, mean, high = sorted(rest, key=lambda s: fmean(s.values.values()))
        if all(abs(mean.values.get(m, 99) - (low.values[m] + high.values.get(m, 99)) / 2) <= 1.0 for m in low.values):
            return Chosen(low, high, "the third series is their mean")
    if len(rest) > 2:
        return Chosen(questions=(_which("lowest", rest), _which("highest", rest)))
    means = next((s for s in series if kind_of(s.label) == "mean" or s in rest), None)
    if means is not None:
        return Chosen(faults=(("one mean a month: nights and days are needed apart", means.line),))
    return Chosen(faults=(("no monthly temperatures", series[0].line if series else 1),))


def _lower_of(one: Series, other: Series) -> Chosen:
    if _ordered(other, one):
        return Chosen(other, one, "the second is the lower throughout")
    crossed = next((m for m in sorted(one.values) if m in other.values and one.values[m] > other.values[m]), None)
    return (
        Chosen(one, other, "the first is the lower throughout") if crossed is None else _crossed(crossed, one, other)
    )


def _ordered(low: Series, high: Series) -> bool:
    return set(low.values) == set(high.values) and all(low.values[m] <= high.values[m] for m in low.values)


def _crossed(month: int, low: Series, high: Series) -> Chosen:
    words = f"month {month}: the nights ({low.values[month]:g}) are warmer than the days ({high.values[month]:g})"
    return Chosen(faults=((words, high.line if low.line != high.line else low.line + month - 1),))


def doubts(low: Series, high: Series, answers: Mapping[str, str]) -> Chosen:
    """The two series as they stand, or the question or fault that their figures raise."""
    shared = sorted(set(low.values) & set(high.values))
    crossed = [m for m in shared if low.values[m] > high.values[m]]
    if shared and len(crossed) == len(shared) and "lowest" not in answers:
        question = f"'{low.label}' is named for the nights, but is warmer than '{high.label}' in every month: which holds the lowest?"
        return Chosen(low, high, questions=(Asked("lowest", question, (low.label, high.label)),))
    if crossed:
        return _crossed(crossed[0], low, high)
    return Chosen(low, high)


def celsius_of(value: float, unit: str) -> float:
    """A temperature in °C from `F`, `tenths` of a °C, or `C`."""
    return (value - 32) / 1.8 if unit == "F" else value / 10 if unit == "tenths" else value


def unit_by_figures(high: Series) -> str:
    """The one unit in which the warmest month's days can be those of a garden; empty where two can.

    Of a whole year the second warmest is asked, since the warmest may be a slip.
    """
    warmest = sorted(high.values.values())[-2 if len(high.values) > 6 else -1]
    fit = [u for u in ("C", "F") if COOLEST_SUMMER <= celsius_of(warmest, u) <= WARMEST_MONTH]
    return fit[0] if len(fit) == 1 else ""


def wrong_half(latitude: float, high: Mapping[int, float]) -> str:
    """Why days by month (any unit) can't be those of a latitude, where the warm months are the other half's; empty where they can."""
    gap = high[7] - high[1]
    if abs(latitude) <= TROPICS or abs(gap) <= ALIKE or (gap > 0) == (latitude > 0):
        return ""
    half, warm = ("north", "January") if latitude > 0 else ("south", "July")
    return f"latitude {latitude:g} is {half} of the equator, but {warm} is the warmer"


def beyond(low: Series, high: Series, units: tuple[str, str]) -> tuple[str, int] | None:
    """Words and line of the first figure that no month on earth has as its mean; None where there is none."""
    for name, series, unit in (("nights", low, units[0]), ("days", high, units[1])):
        for month, value in sorted(series.values.items()):
            if not COLDEST_MONTH <= celsius_of(value, unit) <= WARMEST_MONTH:
                return f"month {month}: {value:g} is no mean of its {name}", series.line
    return None


def no_pair(nights: Sequence[float], days: Sequence[float], answers: Mapping[str, str]) -> list[Asked]:
    """A question where twelve nights and days (°C) do not go together as those of one place do; `ok` settles it."""
    swing = fmean(b - a for a, b in zip(nights, days, strict=True))
    cycle = max(days) - min(days)
    together = correlation(nights, days) if cycle > ALIKE and len(set(nights)) > 1 else 1.0
    if (SMALLEST_SWING <= swing <= LARGEST_SWING and together >= 0.7) or answers.get("nights and days") == "ok":
        return []
    words = f"days are {swing:.1f} °C warmer than nights on average, and rise and fall {'with' if together >= 0.7 else 'without'} them"
    return [
        Asked("nights and days", f"{words}: are these the lowest and the highest temperatures of one place?", ("ok",))
    ]


def out_of_line(
    name: str, months: Sequence[float], told: Callable[[int], str], answers: Mapping[str, str]
) -> list[Asked]:
    """A question for each of twelve months (°C) that lies far off the mean of the two around it; `ok` settles it."""
    asked = []
    for at, value in enumerate(months):
        around = (months[at - 1] + months[(at + 1) % 12]) / 2
        # a neighbour that is itself the odd one must not put the blame on its sound neighbours
        steps = [abs(b - a) for a, b in pairwise([months[at - 1], value, months[(at + 1) % 12]])]
        key = f"{name} {told(at)}"
        if abs(value - around) > OUT_OF_LINE and min(steps) > OUT_OF_LINE / 2 and answers.get(key) != "ok":
            asked.append(
                Asked(
                    key,
                    f"{name} of {told(at)} ({value:.1f} °C) lie far off the months beside it: is that right?",
                    ("ok",),
                )
            )
    return asked
