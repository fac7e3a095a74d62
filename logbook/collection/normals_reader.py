"""Monthly means out of any table a person or a weather service writes; or out of four numbers, or eight.

What was understood is given as a table of words, to be shown before anything is written; what stays open is asked. With a question
open there are no normals.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from statistics import fmean

from ..diagnostics import Place, Problem, listed
from .few_normals import EQUATOR, FOUR, TWO, guessed
from .loose_table import Asked
from .model import Normals
from .normals_choice import beyond, celsius_of, chosen, doubts, no_pair, out_of_line, unit_by_figures
from .normals_shapes import Series, Shape, shape_of
from .weather_words import MONTH_SHORT, unit_of

HINT = "paste twelve rows 'Jan -3.4 3.6', or two rows of twelve numbers, nights and days"
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


def read_normals_table(
    text: str, shown: str, *, answers: Mapping[str, str] | None = None, latitude: float | None = None, unit: str = ""
) -> NormalsRead:
    """Read a table of monthly means.

    `answers` holds replies to questions of an earlier reading; `latitude` is needed where months must be guessed; `unit` (C or F) says
    what a table is in that does not tell it by itself. Never raises for what stands in the text.
    """
    told = dict(answers or {})
    shape = shape_of(text)
    known: list[tuple[str, str]] = [("months", shape.layout)] if shape.series else []
    if shape.years:
        known.append(("years", shape.years))
    if shape.doubled:
        return _refused("a month stands here twice", shape.doubled[1], shown, known)
    if not shape.series:
        return _bare(shape, shown, told, latitude, unit)
    found = chosen(shape.series, told)
    if found.low is not None and found.high is not None:
        known += [(word, f"{s.label}, {found.how}") for word, s in (("nights", found.low), ("days", found.high))]
        known += _left_aside(shape.series, found.low, found.high)
        seen = doubts(found.low, found.high, told)
        if not (seen.questions or seen.faults):
            return _converted(found.low, found.high, shape, shown, known, told, latitude, unit)
        found = seen
    if found.faults:
        return _refused(found.faults[0][0], found.faults[0][1], shown, known)
    return NormalsRead(None, tuple(known), found.questions)


def _refused(words: str, line: int, shown: str, known: Sequence[tuple[str, str]]) -> NormalsRead:
    return NormalsRead(None, tuple(known), problems=(Problem(words, Place(shown, line), HINT),))


def _left_aside(series: Sequence[Series], low: Series, high: Series) -> list[tuple[str, str]]:
    rest = [s.label for s in series if s.label and s.label not in (low.label, high.label)]
    return [("left aside", ", ".join(rest))] if rest else []


def _bare(shape: Shape, shown: str, answers: Mapping[str, str], latitude: float | None, unit: str) -> NormalsRead:
    """A text without months: four numbers, which must be said to be January's and July's, night before day."""
    if len(shape.bare) != 4:
        return _refused(
            f"no monthly means found, but {len(shape.bare)} numbers" if shape.bare else "no monthly means found",
            1,
            shown,
            [],
        )
    order = "January night, January day, July night, July day"
    if answers.get("order") != order:
        numbers = ", ".join(f"{n:g}" for n in shape.bare)
        return NormalsRead(
            None, (("numbers", numbers),), (Asked("order", f"{numbers}: are these {order}?", (order,)),)
        )
    low, high = (
        Series("nights", {1: shape.bare[0], 7: shape.bare[2]}, 1),
        Series("days", {1: shape.bare[1], 7: shape.bare[3]}, 1),
    )
    seen = doubts(low, high, {"lowest": "nights"})
    if seen.faults:
        return _refused(seen.faults[0][0], seen.faults[0][1], shown, [])
    return _converted(low, high, shape, shown, [("numbers", order)], answers, latitude, unit)


def _converted(
    low: Series,
    high: Series,
    shape: Shape,
    shown: str,
    known: list[tuple[str, str]],
    answers: Mapping[str, str],
    latitude: float | None,
    unit: str,
) -> NormalsRead:
    """The two series in °C, completed to twelve months where two or four were given."""
    units = _units(low, high, shape, answers, unit)
    if units is None:
        span = f"from {min(low.values.values()):g} to {max(high.values.values()):g}"
        return NormalsRead(
            None, tuple(known), (Asked("unit", f"in which unit are the temperatures ({span})?", ("C", "F")),)
        )
    known.append(
        ("unit", f"°{units[0]}, {units[2]}" if units[0] == units[1] else f"nights °{units[0]}, days °{units[1]}")
    )
    slip = beyond(low, high, units[:2])
    if slip is not None:
        return _refused(*slip, shown, known)
    pairs = {
        m: (celsius_of(low.values[m], units[0]), celsius_of(high.values[m], units[1]))
        for m in sorted(set(low.values) & set(high.values))
    }
    whole = len(pairs) == 12
    if not whole and tuple(pairs) not in (TWO, FOUR):
        return _refused(_lacking(low, high), low.line, shown, known)
    if not whole and latitude is None:
        return NormalsRead(
            None, tuple(known), (Asked("latitude", "at which latitude is the garden (south negative)?"),)
        )
    twelve = _twelve(pairs, latitude)
    if whole and (asked := _doubted(low, high, units, twelve, answers)):
        return NormalsRead(None, tuple(known), tuple(asked), unit=units[0])
    how = "" if whole else "from four numbers" if tuple(pairs) == TWO else "from eight numbers"
    means_only = tuple(pairs) == TWO and abs(latitude or 0) <= EQUATOR
    if how:
        known.append(
            ("other months", f"guessed {how}" + ("; near the equator only their means" if means_only else ""))
        )
    written = tuple(tuple(s.values[m] for m in sorted(s.values)) for s in (low, high)) if whole else ((), ())
    return NormalsRead(Normals(*twelve, years=shape.years), tuple(known), (), (), how, means_only, units[0], *written)


def _doubted(
    low: Series, high: Series, units: Sequence[str], twelve: Sequence[Sequence[float]], answers: Mapping[str, str]
) -> list[Asked]:
    """Questions about single months, and about the year's mean."""
    odd = [
        q
        for name, months in zip(("nights", "days"), twelve, strict=True)
        for q in out_of_line(name, months, _name, answers)
    ]
    return [*odd, *no_pair(twelve[0], twelve[1], answers), *_annual(low, high, units, answers)]


def _name(month: int) -> str:
    return MONTH_SHORT[month]


def _twelve(
    pairs: Mapping[int, tuple[float, float]], latitude: float | None
) -> tuple[tuple[float, ...], tuple[float, ...]]:
    found = guessed(pairs, latitude or 0.0)
    if found is not None:
        return found
    low, high = (tuple(round(pairs[m][at], 2) for m in range(1, 13)) for at in (0, 1))
    return low, high


def _units(
    low: Series, high: Series, shape: Shape, answers: Mapping[str, str], unit: str
) -> tuple[str, str, str] | None:
    """Units of nights and of days, and how they were told; None where that must be asked."""
    lines = {u for line in shape.lines if (u := unit_of(line)) in ("C", "F")}
    around = next(iter(lines)) if len(lines) == 1 else ""
    beside = [next(iter(s.units)) if len(s.units) == 1 else "" for s in (low, high)]
    names = [unit_of(s.label) for s in (low, high)]
    answer = unit_of(f" {answers.get('unit', '')}")
    figures = unit_by_figures(high)
    ways = (
        (answer, answer, "as you said"),
        (beside[0] or beside[1], beside[1] or beside[0], "written beside the values"),
        (names[0] or names[1], names[1] or names[0], "by name"),
        (around, around, "by the lines around"),
        (figures, figures, "by the figures"),
        (unit, unit, "your collection's"),
    )
    first, second, how = next(((a, b, how) for a, b, how in ways if a and b), ("", "", ""))
    if not first or (figures and figures != second and how != "as you said"):
        return None
    return first, second, how


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
