"""Readings gathered into days: the clock made the site's, hours summed up, doubles and broken days left out and told."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Mapping, Sequence
from datetime import date
from statistics import median_low
from typing import NamedTuple

from ..diagnostics import Place, Problem
from ..values import dataclass
from .loose_days import Moment
from .loose_table import Asked, Line, number
from .weather_file import Days, Extremes, sensible

HOURLY = 3  # rows a day from which they are readings through the day
OFTEN = 8  # readings a day without which one column of them tells neither the lowest nor the highest
WHOLE_DAY = 0.8  # of the usual readings a day needs
HINT = (
    "a table with a column of days and columns for the lowest and the highest temperature, as a thermometer writes it"
)
LONGEST_GAP = 4.0  # hours without a reading that a day may have


class Reading(NamedTuple):
    """One line of a weather file with the moment it tells of."""

    line: Line
    moment: Moment
    low: float | None
    high: float | None


@dataclass(slots=True)
class Report:
    """Collects while a table is read."""

    shown: str
    understood: list[tuple[str, str]]
    questions: list[Asked]
    problems: list[Problem]

    def left_out(self, line: Line, why: str) -> None:
        """Warn that a line is not used, and why."""
        place = Place(self.shown, line.number, 1, len(line.source), line.source)
        self.problems.append(Problem(f"left out: {why}", place, "", "warning"))


def local(
    readings: list[Reading], answers: Mapping[str, str], longitude: float | None, report: Report
) -> list[Reading]:
    """Readings by Greenwich's clock moved to the site's own, by its longitude."""
    if not any(r.moment.utc for r in readings):
        return readings
    hours = _hours(answers.get("hours ahead", ""))
    if hours is None and longitude is not None:
        hours = float(round(longitude / 15))
    if hours is None:
        report.questions.append(
            Asked("hours ahead", "the hours are Greenwich's: how many hours is your clock ahead of them?")
        )
        return readings
    report.understood.append(("hours", f"Greenwich's, moved by {hours:+g}"))
    return [r._replace(moment=r.moment.on_clock(hours)) for r in readings]


def _hours(answer: str) -> float | None:
    found = number(answer)
    return found.value if found and abs(found.value) <= 14 else None


def gathered(readings: Sequence[Reading], report: Report, one_column: bool = False) -> Days:
    """Readings as days. `one_column`: lows and highs are the same readings, of which a day needs several."""
    by_day: dict[date, list[Reading]] = defaultdict(list)
    for r in readings:
        by_day[r.moment.day].append(r)
    usual = median_low([len(rows) for rows in by_day.values()]) if by_day else 0
    if usual >= HOURLY:
        report.understood.append(("readings", f"about {usual} a day, gathered into days"))
    if one_column and usual < OFTEN:
        report.problems.append(
            Problem(
                "one column of temperatures, and too few readings a day to tell its lowest and highest",
                Place(report.shown),
                HINT,
            )
        )
        return {}
    known: Days = {}
    for day, rows in sorted(by_day.items()):
        found = _of_hours(rows, usual, report) if usual >= HOURLY else _of_day(rows, report)
        if found is not None:
            known[day] = found
    return known


def _of_hours(rows: Sequence[Reading], usual: int, report: Report) -> Extremes | None:
    lows, highs = [r.low for r in rows if r.low is not None], [r.high for r in rows if r.high is not None]
    hours = sorted(r.moment.hour for r in rows if r.moment.hour is not None and r.low is not None)
    gaps = [b - a for a, b in zip([0.0, *hours], [*hours, 24.0], strict=True)] if hours else [0.0]
    if len(lows) < WHOLE_DAY * usual or max(gaps) > max(LONGEST_GAP, 36 / usual):
        report.left_out(rows[0].line, f"{rows[0].moment.day}: readings of only part of the day")
        return None
    return _checked(rows[0], min(lows), max(highs), report)


def _of_day(rows: Sequence[Reading], report: Report) -> Extremes | None:
    lows, highs = {r.low for r in rows if r.low is not None}, {r.high for r in rows if r.high is not None}
    if len(lows) > 1 or len(highs) > 1:
        report.left_out(rows[-1].line, f"{rows[0].moment.day} stands in several rows that differ")
        return None
    if not lows or not highs:
        report.left_out(rows[0].line, f"{rows[0].moment.day}: one of the two temperatures is missing")
        return None
    return _checked(rows[0], lows.pop(), highs.pop(), report)


def _checked(reading: Reading, low: float, high: float, report: Report) -> Extremes | None:
    if low == high == 0:
        report.left_out(reading.line, "0 and 0 is what a broken thermometer writes")
        return None
    if low > high:
        report.left_out(reading.line, f"the low ({low:g} °C) is above the high ({high:g} °C)")
        return None
    if not sensible(low, high):
        report.left_out(reading.line, f"no day goes from {low:g} to {high:g} °C")
        return None
    return Extremes(low, high)
