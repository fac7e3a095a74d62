"""The day a typed line belongs to, and what speaks against it. Pure."""

from __future__ import annotations

from datetime import date

from ..collection.dates import NotADate, When, day_told, on_day, read_when
from ..values import dataclass
from .grammar.readings import Reading
from .grammar.tokens import TypedDate, dated_not_after, part_told

SOON, SOON_ON_SHEET = 92, 31  # days ahead that a slip of the month may lie


@dataclass(frozen=True, slots=True)
class Day:
    """When it was, a day or a part of a date; None where that can't be told. Where it is doubtful, `why` asks."""

    when: When | None = None
    why: str = ""
    hint: str = ""


def day_of(reading: Reading, today: date, southern: bool = False) -> Day:
    """The line's day; and, where it is doubtful, the question it raises (the day is then given as well)."""
    typed = reading.date
    if typed is None:
        return Day(why="no day stands on this line or above it", hint="write it first, as in: 14 oct")
    if typed.bad or typed.asks:
        return Day(why=typed.bad or typed.asks, hint="write it as in: 14 oct, or 2026-10-14")
    day = dated_not_after(typed, today)
    if day is None:
        return Day(why=f"'{typed.words}' is not a day of the calendar", hint="write it as in: 14 oct")
    try:
        when = read_when(part_told(typed, day), southern) if typed.part else on_day(day)
    except NotADate as error:
        return Day(why=str(error), hint=error.hint)
    return Day(when, *_doubt(reading, typed, day, today))


def _doubt(reading: Reading, typed: TypedDate, day: date, today: date) -> tuple[str, str]:
    if day > today:
        return f"{day_told(day)} is still to come", "correct the day and give the line again"
    if not typed.year and typed.ago < 0 and typed.weekday < 0 and _soon(typed, today, day, reading):
        told = f"{typed.words} is still to come; written as read, it is {day_told(day)}"
        return told, f"correct the day, or write its year: {day.isoformat()}"
    if reading.sheet and day < reading.sheet.day:
        told = f"{day_told(day)} is before the day the sheet was printed ({day_told(reading.sheet.day)})"
        return told, f"if that is right, give it under 'tree {reading.tags[0]}'"
    return reading.question, reading.hint


def _soon(typed: TypedDate, today: date, day: date, reading: Reading) -> bool:
    """Whether a day without a year, taken for a past one, may be a slip for one close by: it lies shortly ahead in this year.

    On a sheet only where it would else be before the sheet was printed.
    """
    if reading.sheet and day >= reading.sheet.day:
        return False
    for year in (today.year, today.year + 1):
        try:
            ahead = (date(year, typed.month, typed.day or 1) - today).days
        except ValueError:
            continue
        if 0 < ahead <= (SOON_ON_SHEET if reading.sheet else SOON):
            return True
    return False
