"""In which unit a weather table is written: by its heads, by the lines above them, or by what its figures allow."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from statistics import fmean

from .loose_table import Asked, number
from .model import Normals
from .weather_columns import Layout
from .weather_gathering import Reading, Report
from .weather_words import unit_of

HOTTEST = 57.0  # °C, the highest air temperature on record


def units_found(
    layout: Layout, readings: Sequence[Reading], answers: Mapping[str, str], normals: Normals | None, report: Report
) -> tuple[str, str]:
    """The units of lows and of highs, each `C`, `F` or `tenths`; asked where nothing tells them, or what tells can't be true.

    By answer, by the heads, by signs in the cells, by the lines above, by what the figures allow, in this order.
    """
    assert layout.low is not None and layout.high is not None
    lows, highs = _values(readings)
    ways = _told_units(layout, readings, answers, normals)
    low, high, how = next((way for way in ways if way[0] and way[1]), ("", "", ""))
    doubtful = "unit" not in answers and (_impossible(low, lows) or _impossible(high, highs))
    if not low or doubtful:
        values = [*lows, *highs]
        shown = f"from {min(values):g} to {max(values):g}" if values else "none read"
        report.questions.append(Asked("unit", f"in which unit are the temperatures ({shown})?", ("C", "F", "tenths")))
        return "C", "C"
    told = _spoken(low) if low == high else f"{_spoken(low)} (lows), {_spoken(high)} (highs)"
    report.understood.append(("unit", f"{told}, {how}"))
    return low, high


def _values(readings: Sequence[Reading]) -> tuple[list[float], list[float]]:
    """All lows, and all highs, as written."""
    return [r.low for r in readings if r.low is not None], [r.high for r in readings if r.high is not None]


def _told_units(
    layout: Layout, readings: Sequence[Reading], answers: Mapping[str, str], normals: Normals | None
) -> Iterator[tuple[str, str, str]]:
    """What each way of telling says of (lows, highs), and how."""
    assert layout.low is not None and layout.high is not None
    answer = unit_of(f" {answers.get('unit', '')}")
    yield answer, answer, "as you said"
    heads = [unit_of(layout.heads[n]) for n in (layout.low, layout.high)] if layout.heads else ["", ""]
    # one head with a unit speaks for both columns
    yield heads[0] or heads[1], heads[1] or heads[0], "by the head"
    cells = [_agreed(_unit_beside(r, n) for r in readings[:50]) for n in (layout.low, layout.high)]
    yield cells[0], cells[1], "written beside the values"
    above = _agreed(unit_of(line) for line in layout.above)
    yield above, above, "by the lines above"
    lows, highs = _values(readings)
    figures = _by_figures(readings, [*lows, *highs], normals)
    yield figures, figures, "by the figures"


def _unit_beside(reading: Reading, column: int) -> str:
    found = number(reading.line.cells[column])
    return found.unit if found else ""


def _spoken(unit: str) -> str:
    return "tenths of °C" if unit == "tenths" else f"°{unit}"


def in_celsius(readings: Sequence[Reading], low: str, high: str) -> list[Reading]:
    """The readings with lows and highs taken from their units to °C."""
    return [
        r._replace(
            low=None if r.low is None else celsius(r.low, low), high=None if r.high is None else celsius(r.high, high)
        )
        for r in readings
    ]


def _agreed(units: Iterable[str]) -> str:
    found = {u for u in units if u}
    return found.pop() if len(found) == 1 else ""


def _impossible(unit: str, values: Sequence[float]) -> bool:
    """Whether a tenth of the values and more lie beyond anything measured in that unit."""
    beyond = sum(not -70 <= celsius(v, unit) <= HOTTEST for v in values)
    return bool(values) and beyond > 0.1 * len(values)


def celsius(value: float, unit: str) -> float:
    """A temperature in °C from `F` (to two places), `tenths` of a °C, or `C`."""
    return round((value - 32) / 1.8, 2) if unit == "F" else value / 10 if unit == "tenths" else value


def _by_figures(readings: Sequence[Reading], values: Sequence[float], normals: Normals | None) -> str:
    """The one unit in which such a record can be from a garden, or is near the site's normals; empty where two can."""
    if not values or _impossible("C", values):
        return "F" if values and not _impossible("F", values) else ""
    hottest = sorted(values)[int(0.98 * (len(values) - 1))]
    if hottest > HOTTEST:
        return "F"
    if normals is not None:
        off = {unit: off_normals(readings, normals, unit) for unit in ("C", "F")}
        best = min(off, key=lambda unit: off[unit])
        return best if off[best] < 6 and max(off.values()) > off[best] + 6 else ""
    span = {r.moment.day for r in readings}
    # two thirds of a year with no day over 10 °C grows no trees
    return "C" if len(span) >= 240 and hottest < 50 else ""


def off_normals(readings: Sequence[Reading], normals: Normals, unit: str) -> float:
    """Mean distance from the site's normals, °C, of monthly means read in a unit."""
    months: dict[int, list[float]] = defaultdict(list)
    for r in readings:
        if r.low is not None and r.high is not None:
            months[r.moment.day.month].append(celsius((r.low + r.high) / 2, unit))
    return (
        fmean(abs(fmean(v) - (normals.tmin[m - 1] + normals.tmax[m - 1]) / 2) for m, v in months.items())
        if months
        else 99.0
    )
