"""Monthly means out of any table a person or a weather service writes; or out of four numbers, or eight.

What was understood is given as a table of words, to be shown before anything is written; what stays open is asked. With a question
open there are no normals.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from statistics import fmean

from ..diagnostics import Place, Problem, listed
from ..values import dataclass
from .few_normals import EQUATOR, FOUR, TWO
from .loose_table import Asked, number
from .model import Normals
from .normals_choice import beyond, celsius_of, chosen, doubts, no_pair, out_of_line, unit_by_figures, wrong_half
from .normals_shapes import Series, Shape, shape_of
from .weather_words import MONTH_SHORT, unit_of

HINT = "paste twelve rows 'Jan -3.4 3.6', or two rows of twelve numbers, nights and days"
FOUR_IN_ORDER = "January night, January day, July night, July day"
ANNUAL_OFF = 0.35  # °C between a table's own yearly mean and that of its months


@dataclass(frozen=True, slots=True)
class NormalsRead:
    """What came of a table. `normals` in °C; `low` and `high` as written, by month.

    `guessed` is empty, `from four numbers` or `from eight numbers`; `means_only` where four numbers near the equator tell a
    month's mean and no more.
    """

    normals: Normals | None
    understood: tuple[tuple[str, str], ...] = ()
    questions: tuple[Asked, ...] = ()
    problems: tuple[Problem, ...] = ()
    guessed: str = ""
    means_only: bool = False
    unit: str = ""
    low: tuple[float, ...] = ()
    high: tuple[float, ...] = ()


@dataclass(slots=True)
class _Task:
    """A reading under way: what was given, and what is understood so far."""

    shape: Shape
    shown: str
    answers: Mapping[str, str]
    latitude: float | None
    unit: str
    known: list[tuple[str, str]]

    def asked(self, *questions: Asked) -> NormalsRead:
        return NormalsRead(None, tuple(self.known), questions)

    def refused(self, words: str, line: int, hint: str = HINT) -> NormalsRead:
        return NormalsRead(None, tuple(self.known), problems=(Problem(words, Place(self.shown, line), hint),))


def read_normals_table(
    text: str, shown: str, *, answers: Mapping[str, str] | None = None, latitude: float | None = None, unit: str = ""
) -> NormalsRead:
    """Read a table of monthly means.

    `answers` holds replies to questions of an earlier reading; `latitude` is needed where months must be guessed; `unit` (C or F) says
    what a table is in that does not tell it by itself. Never raises for what stands in the text.
    """
    told = dict(answers or {})
    said = number(told.get("latitude", ""))
    if latitude is None and said and abs(said.value) <= 90:
        latitude = said.value
    shape = shape_of(text)
    known = [("months", shape.layout)] if shape.series else []
    known += [("years", shape.years)] if shape.years else []
    task = _Task(shape, shown, told, latitude, unit, known)
    if shape.doubled:
        return task.refused("a month stands here twice", shape.doubled[1])
    return _of_series(task) if shape.series else _of_bare_numbers(task)


def _of_series(task: _Task) -> NormalsRead:
    found = chosen(task.shape.series, task.answers)
    if found.low is not None and found.high is not None:
        task.known += [(word, f"{s.label}, {found.how}") for word, s in (("nights", found.low), ("days", found.high))]
        rest = [s.label for s in task.shape.series if s.label and s.label not in (found.low.label, found.high.label)]
        task.known += [("left aside", ", ".join(rest))] if rest else []
        return _of_pair(task, found.low, found.high)
    return task.refused(*found.faults[0]) if found.faults else task.asked(*found.questions)


def _of_bare_numbers(task: _Task) -> NormalsRead:
    """A text without months: four numbers, which must be said to be January's and July's, night before day."""
    bare = task.shape.bare
    if len(bare) != 4:
        return task.refused("no monthly means found" + (f", but {len(bare)} numbers" if bare else ""), 1)
    task.known.append(("numbers", ", ".join(f"{n:g}" for n in bare)))
    if task.answers.get("order") != FOUR_IN_ORDER:
        return task.asked(Asked("order", f"{task.known[-1][1]}: are these {FOUR_IN_ORDER}?", (FOUR_IN_ORDER,)))
    return _of_pair(task, Series("nights", {1: bare[0], 7: bare[2]}, 1), Series("days", {1: bare[1], 7: bare[3]}, 1))


def _of_pair(task: _Task, low: Series, high: Series) -> NormalsRead:
    """Nights and days as written: doubted, then taken to °C."""
    seen = doubts(low, high, task.answers)
    if seen.questions:
        return task.asked(*seen.questions)
    if seen.faults:
        return task.refused(*seen.faults[0])
    units = _units(low, high, task)
    if units is None:
        span = f"from {min(low.values.values()):g} to {max(high.values.values()):g}"
        return task.asked(Asked("unit", f"in which unit are the temperatures ({span})?", ("C", "F")))
    told = f"°{units[0]}" if units[0] == units[1] else f"nights °{units[0]}, days °{units[1]}"
    task.known.append(("unit", f"{told}, {units[2]}"))
    return _in_celsius(task, low, high, units)


def _in_celsius(task: _Task, low: Series, high: Series, units: tuple[str, str, str]) -> NormalsRead:
    """Nights and days whose units are known: looked at for slips, months that lack and the wrong half of the earth."""
    slip = beyond(low, high, units[:2])
    if slip is not None:
        return task.refused(*slip)
    pairs = {
        m: (celsius_of(low.values[m], units[0]), celsius_of(high.values[m], units[1]))
        for m in sorted(set(low.values) & set(high.values))
    }
    if len(pairs) < 12 and tuple(pairs) not in (TWO, FOUR):
        return task.refused(_lacking(low, high), low.line)
    half = wrong_half(task.latitude, high.values) if task.latitude is not None else ""
    if half:
        return task.refused(half, high.line, "south of the equator the latitude is negative; and January comes first")
    return _whole(task, low, high, units, pairs) if len(pairs) == 12 else _completed(task, units[0], pairs)


def _whole(
    task: _Task, low: Series, high: Series, units: tuple[str, str, str], pairs: Mapping[int, tuple[float, float]]
) -> NormalsRead:
    """All twelve months are there: single figures and the yearly mean are looked at once more."""
    twelve = [tuple(round(pairs[m][at], 2) for m in range(1, 13)) for at in (0, 1)]
    odd = [
        q
        for name, months in zip(("nights", "days"), twelve, strict=True)
        for q in out_of_line(name, months, MONTH_SHORT.__getitem__, task.answers)
    ]
    asked = [*odd, *no_pair(twelve[0], twelve[1], task.answers), *_annual(low, high, units, task.answers)]
    if asked:
        return task.asked(*asked)
    written = [tuple(s.values[m] for m in range(1, 13)) for s in (low, high)]
    normals = Normals(twelve[0], twelve[1], years=task.shape.years)
    return NormalsRead(normals, tuple(task.known), unit=units[0], low=written[0], high=written[1])


def _completed(task: _Task, unit: str, pairs: Mapping[int, tuple[float, float]]) -> NormalsRead:
    """Two or four months are there: the others are guessed, and the answer says so."""
    if task.latitude is None:
        return task.asked(Asked("latitude", "at which latitude is the garden (south negative)?"))
    normals = Normals.of_months(pairs, task.latitude, task.shape.years)
    how = normals.guessed
    means_only = len(pairs) == 2 and abs(task.latitude) <= EQUATOR
    task.known.append(
        ("other months", f"guessed {how}" + ("; near the equator only their means" if means_only else ""))
    )
    return NormalsRead(normals, tuple(task.known), guessed=how, means_only=means_only, unit=unit)


def _units(low: Series, high: Series, task: _Task) -> tuple[str, str, str] | None:
    """Units of nights and of days, and how they were told; None where that must be asked."""
    figures = unit_by_figures(high)
    answer = unit_of(f" {task.answers.get('unit', '')}")
    around = _only(u for line in task.shape.lines if (u := unit_of(line)) in ("C", "F"))
    beside, names = [_only(s.units) for s in (low, high)], [unit_of(s.label) for s in (low, high)]
    ways = (
        (answer, answer, "as you said"),
        (*_both(beside), "written beside the values"),
        (*_both(names), "by name"),
        (around, around, "by the lines around"),
        (figures, figures, "by the figures"),
        (task.unit, task.unit, "your collection's"),
    )
    found = next((way for way in ways if way[0] and way[1]), None)
    if found is None or (figures and figures != found[1] and not answer):
        return None
    return found


def _only(units: Iterable[str]) -> str:
    found = set(units)
    return found.pop() if len(found) == 1 else ""


def _both(units: Sequence[str]) -> tuple[str, str]:
    """A unit told of one series speaks for both."""
    return units[0] or units[1], units[1] or units[0]


def _lacking(low: Series, high: Series) -> str:
    """Which months have no night, which no day."""
    parts = []
    for word, series in (("nights", low), ("days", high)):
        missing = [MONTH_SHORT[m - 1] for m in range(1, 13) if m not in series.values]
        if missing:
            parts.append(
                f"{word} of {listed(missing, 'and')}" if len(missing) < 10 else f"{word} of {len(missing)} months"
            )
    return f"months are missing: {'; '.join(parts)}"


def _annual(low: Series, high: Series, units: Sequence[str], answers: Mapping[str, str]) -> list[Asked]:
    """A question where a table's own yearly mean does not fit its months: a sign lost, a row slipped."""
    found = []
    for name, series, unit in (("nights", low, units[0]), ("days", high, units[1])):
        mean = fmean(series.values.values())
        scale = 1.8 if unit == "F" else 1.0
        key = f"yearly mean of {name}"
        if series.annual is not None and abs(series.annual - mean) > ANNUAL_OFF * scale and answers.get(key) != "ok":
            words = f"the {name} of the months have a mean of {mean:.1f}, but the table says {series.annual:g}: is a minus sign lost?"
            found.append(Asked(key, words, ("ok",), series.line))
    return found
