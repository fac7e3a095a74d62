"""Days of weather out of any table a thermometer or a weather service writes: read, asked about or left out and told.

Separator, heads, order of columns and of day and month, unit, decimal commas, gaps, doubles and flags are found out; hours are
gathered into days. Nothing is guessed: what heads and figures leave open is a question, and with a question open no day is given.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ..diagnostics import Place, Problem, counted
from ..values import dataclass
from .loose_days import Days, days_in_column, days_in_parts
from .loose_table import Asked, Line, cut, is_missing, number
from .model import Normals
from .weather_columns import Layout, layout_of
from .weather_file import Days as DaysKnown
from .weather_gathering import HINT, Reading, Report, gathered, local
from .weather_units import in_celsius, off_normals, units_found

FAR_OFF = 8.0  # °C between the months and the site's normals; the oddest of months are 6 off
COMMON = 0.6  # share of a column from which its commonest flag is taken for the one that says nothing
CONTRADICTED = 0.05  # share of rows with the low above the high from which the columns themselves are doubted


@dataclass(frozen=True, slots=True)
class WeatherRead:
    """What came of a table: days (none while a question is open), what was understood, questions, what was left out and why."""

    days: DaysKnown
    understood: tuple[tuple[str, str], ...]
    questions: tuple[Asked, ...] = ()
    problems: tuple[Problem, ...] = ()


def read_weather(
    text: str,
    shown: str,
    *,
    answers: Mapping[str, str] | None = None,
    date_order: str = "",
    longitude: float | None = None,
    normals: Normals | None = None,
) -> WeatherRead:
    """Read a table. `answers` holds replies to questions of an earlier reading, by their field.

    `date_order` decides 3/4 where the figures leave it open; `longitude` moves hours given in Greenwich's time to the site's; `normals`
    help to tell °C from °F. Never raises for what stands in the text.
    """
    told = dict(answers or {})
    report = Report(shown, [], [], [])
    table = cut(text)
    layout = layout_of(table, told)
    report.questions += layout.questions
    report.understood.append(("cells", f"parted by {table.separator_told}"))
    days = _days(layout, told.get("date order", date_order)) if layout.rows else None
    if days is None or layout.faults or layout.low is None or layout.high is None:
        return _refused(layout, days is None, report)
    if days.open_orders:
        report.questions.append(Asked("date order", f"how is '{_first_day_cell(layout)}' read?", days.open_orders))
    report.understood.append(("days", days.order))
    readings = _readings(layout, days, told, report)
    readings = in_celsius(readings, *units_found(layout, readings, told, normals, report))
    _doubt_columns(layout, readings, told, report)
    _doubt_place(readings, normals, told, report)
    readings = local(readings, told, longitude, report)
    # while something is open, what would be left out is not yet known either
    known = {} if report.questions else gathered(readings, report, layout.low == layout.high)
    return _finished(known, layout, report)


def _refused(layout: Layout, no_days: bool, report: Report) -> WeatherRead:
    """No day or no temperature to be found: the faults, or the questions that may mend it."""
    line = layout.rows[0].number if layout.rows else 1
    faults = layout.faults or (("no column of days",) if no_days else ())
    report.problems += [Problem(fault, Place(report.shown, line), HINT) for fault in faults]
    return WeatherRead({}, tuple(report.understood), tuple(report.questions), tuple(report.problems))


def _days(layout: Layout, wanted: str) -> Days | None:
    if "date" not in layout.at:
        return days_in_parts([row.cells for row in layout.rows], layout.at)
    times = layout.cells(layout.at["time"]) if "time" in layout.at else [""] * len(layout.rows)
    return days_in_column(layout.cells(layout.at["date"]), times, wanted)


def _first_day_cell(layout: Layout) -> str:
    return layout.cells(layout.at["date"])[0]


def _readings(layout: Layout, days: Days, answers: Mapping[str, str], report: Report) -> list[Reading]:
    """The rows' numbers as written; rows without a day, flagged ones and what is no number are left out and told."""
    assert layout.low is not None and layout.high is not None
    bad = _flagged(layout, answers, report)
    greenwich = any(re.search(r"\b(?:UTC|GMT|Greenwich)\b", head) for head in (*layout.heads, *layout.above))
    found = []
    for line, moment in zip(layout.rows, days.moments, strict=True):
        if moment is None:
            report.left_out(line, "no day that can be read")
        elif line.number in bad:
            report.left_out(line, f"the service flags it ('{bad[line.number]}')")
        else:
            told = len(report.problems)
            low, high = (_value(line, n, report) for n in (layout.low, layout.high))
            if len(report.problems) > told:
                continue
            moment = replace(moment, utc=moment.utc or (greenwich and moment.hour is not None))
            found.append(Reading(line, moment, low, high))
    return found


def _value(line: Line, column: int, report: Report) -> float | None:
    cell = line.cells[column]
    if is_missing(cell):
        return None
    found = number(cell)
    if found is None or found.flag:
        report.left_out(line, f"'{cell}' is flagged" if found else f"'{cell}' is no temperature")
        return None
    return found.value


def _flagged(layout: Layout, answers: Mapping[str, str], report: Report) -> dict[int, str]:
    """Lines whose flag differs from the column's commonest, which is taken for 'good'; asked where none is common."""
    bad: dict[int, str] = {}
    for column in _flag_columns(layout):
        cells = layout.cells(column)
        good, often = Counter(cells).most_common(1)[0]
        kept = set(answers.get("flags", good).split()) or {good}
        if often < COMMON * len(cells) and "flags" not in answers:
            question = f"which signs in {layout.told(column)} mark sound values?"
            report.questions.append(Asked("flags", question, tuple(sorted(set(cells)))))
        bad |= {row.number: cell for row, cell in zip(layout.rows, cells, strict=True) if cell not in kept}
    return bad


def _flag_columns(layout: Layout) -> list[int]:
    """Columns of flags that stand behind a temperature; else the only one there is."""
    temperatures = {layout.low, layout.high}
    flags = [n for n, kind in enumerate(layout.kinds) if kind == "flag"]
    beside = [n for n in flags if n - 1 in temperatures or (n - 2 in temperatures and n - 1 in flags)]
    return beside or (flags if len(flags) == 1 else [])


def _doubt_columns(layout: Layout, readings: Sequence[Reading], answers: Mapping[str, str], report: Report) -> None:
    """Ask where the column named for the lows is the warmer one."""
    assert layout.low is not None and layout.high is not None
    pairs = [(r.low, r.high) for r in readings if r.low is not None and r.high is not None]
    crossed = sum(low > high for low, high in pairs)
    report.understood += [("lowest", layout.told(layout.low)), ("highest", layout.told(layout.high))]
    if pairs and crossed > CONTRADICTED * len(pairs) and "lowest" not in answers:
        choices = tuple(layout.told(n).strip("'") for n in (layout.low, layout.high))
        question = f"{layout.told(layout.low)} is named for the lows, but is the warmer in {crossed} of {counted(len(pairs), 'row')}: which column holds the lowest?"
        report.questions.append(Asked("lowest", question, choices))


def _doubt_place(
    readings: list[Reading], normals: Normals | None, answers: Mapping[str, str], report: Report
) -> None:
    """Ask where months lie so far off the site's normals that another place, or a room, was measured."""
    off = off_normals(readings, normals, "C") if normals is not None and not report.questions else 0.0
    if FAR_OFF < off < 90 and answers.get("place") != "ok":
        question = f"its months lie {off:.0f} °C off this site's normals: was it measured where the trees stand?"
        report.questions.append(Asked("place", question, ("ok",)))


def _finished(known: DaysKnown, layout: Layout, report: Report) -> WeatherRead:
    if known:
        first, last = min(known), max(known)
        gaps = (last - first).days + 1 - len(known)
        report.understood.append(
            ("span", f"{first} to {last}: {counted(len(known), 'day')}, {counted(gaps, 'day')} missing")
        )
        report.understood.append(("first day", f"{first}: {known[first].tmin:g} to {known[first].tmax:g} °C"))
    elif not report.questions and not any(p.severity == "error" for p in report.problems):
        report.problems.append(
            Problem("no whole day in this table", Place(report.shown, layout.rows[0].number), HINT)
        )
    return WeatherRead(
        {} if report.questions else known, tuple(report.understood), tuple(report.questions), tuple(report.problems)
    )
