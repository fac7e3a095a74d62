"""Which day each row of a table is about: one column or three, any order of day and month, the hour beside it or none."""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from datetime import date, datetime, timedelta
from itertools import pairwise

from ..values import dataclass
from .weather_words import Kind, month_of

ORDERS = ("year-month-day", "day-month", "month-day")
_TIME = re.compile(
    r"[T\s]*(?<!\d)(\d{1,2})[:.h](\d{2})(?:[:.](\d{2}))?(?:\.\d+)?\s*([ap])?\.?m?\.?\s*(Z|UTC|GMT|[+-]\d{2}:?\d{2})?\s*$",
    re.IGNORECASE,
)
_PACKED = re.compile(r"(\d{4})(\d{2})(\d{2})(?:(\d{2})(\d{2})?)?")
_WEEKDAY = re.compile(r"^\s*(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Moment:
    """A day, and the hour (0 ≤ h < 24, of the table's own clock) where one stands there; `utc` where that clock is Greenwich's."""

    day: date
    hour: float | None = None
    utc: bool = False

    def on_clock(self, offset_hours: float) -> Moment:
        """The same moment on a clock so many hours ahead of this one."""
        if self.hour is None:
            return self
        moved = datetime(self.day.year, self.day.month, self.day.day) + timedelta(hours=self.hour + offset_hours)
        return Moment(moved.date(), moved.hour + moved.minute / 60)


@dataclass(frozen=True, slots=True)
class Days:
    """The moment of each row (None where it could not be read), the order of day and month, and whether the figures left it open."""

    moments: tuple[Moment | None, ...]
    order: str
    open_orders: tuple[str, ...] = ()


def days_in_column(cells: Sequence[str], times: Sequence[str], wanted: str = "") -> Days | None:
    """Moments of a column of dates, with a column of times beside it (or empties). None where too few cells are dates.

    Where the figures allow two orders, that in which day follows day is taken; `wanted` decides where even that leaves two.
    """
    readings = {order: [_moment(c, t, order) for c, t in zip(cells, times, strict=True)] for order in ORDERS}
    filled = sum(any(map(str.isdigit, c)) for c in cells)
    most = max(map(_count, readings.values()))
    if not filled or most < max(1, 0.9 * filled):
        return None
    fit = {order: found for order, found in readings.items() if _count(found) == most}
    steadiest = max(map(_steps, fit.values()))
    different: dict[str, list[Moment | None]] = {}
    for order, found in fit.items():
        if _steps(found) == steadiest and found not in different.values():
            different[order] = found
    chosen = wanted if wanted in different else next(iter(different))
    undecided = tuple(different) if len(different) > 1 and wanted not in different else ()
    return Days(tuple(different[chosen]), chosen, undecided)


def _count(moments: Sequence[Moment | None]) -> int:
    return sum(m is not None for m in moments)


def days_in_parts(rows: Sequence[Sequence[str]], at: Mapping[Kind, int]) -> Days | None:
    """Moments from separate columns: year, month and day, or year and day of the year; an hour beside them if there is one."""
    if "year" not in at or not ("yearday" in at or {"month", "day"} <= set(at)):
        return None
    read = _by_year_day if "yearday" in at else _by_month
    found = tuple(_with_hour(read(row, at), row[at["time"]] if "time" in at else "") for row in rows)
    return Days(found, "year, month and day apart") if any(found) else None


def _by_year_day(row: Sequence[str], at: Mapping[Kind, int]) -> date | None:
    year, number = _whole(row[at["year"]]), _whole(row[at["yearday"]])
    if not year or not number or not 1 <= number <= 366:
        return None
    found = _date(year, 1, 1)
    return (
        found + timedelta(days=number - 1)
        if found and (found + timedelta(days=number - 1)).year == found.year
        else None
    )


def _by_month(row: Sequence[str], at: Mapping[Kind, int]) -> date | None:
    month = _whole(row[at["month"]]) or month_of(row[at["month"]])
    year, day = _whole(row[at["year"]]), _whole(row[at["day"]])
    return _date(year, month, day) if year and month and day else None


def _whole(cell: str) -> int:
    bare = cell.strip().removesuffix(".0")
    return int(bare) if bare.isdecimal() else 0


def _date(year: int, month: int, day: int) -> date | None:
    if year < 100:
        year += 2000 if year < 70 else 1900
    try:
        return date(year, month, day)
    except (ValueError, OverflowError):
        return None


def _moment(cell: str, time: str, order: str) -> Moment | None:
    packed = _PACKED.fullmatch(cell.strip())
    if packed:
        day = _date(int(packed[1]), int(packed[2]), int(packed[3]))
        return _with_hour(day, time or (f"{packed[4]}:{packed[5] or '00'}" if packed[4] else ""))
    found = _TIME.search(cell)
    body = cell[: found.start()] if found and found.start() > 5 else cell
    return _with_hour(
        _read_day(_WEEKDAY.sub("", body).strip(), order), time or (found[0] if body != cell and found else "")
    )


def _read_day(text: str, order: str) -> date | None:
    parts = [p for p in re.split(r"[-/.,\s年月日]+", text) if p]
    if len(parts) != 3:
        return None
    named = [n for n, p in enumerate(parts) if month_of(p)]
    if named:
        return _named_month(parts, named[0])
    if not all(p.isdecimal() for p in parts):
        return None
    return _ORDERED[order](parts)


def _named_month(parts: list[str], at: int) -> date | None:
    """`1 Mar 2026`, `Mar 1 2026`, `2026 Mar 1`, `1-Mar-26`: a name leaves no doubt but where both figures are short."""
    rest = [re.sub(r"(?<=\d)(?:st|nd|rd|th)$", "", p) for n, p in enumerate(parts) if n != at]
    if not all(p.isdecimal() for p in rest):
        return None
    day, year = (rest[1], rest[0]) if len(rest[0]) == 4 else (rest[0], rest[1])
    return _date(int(year), month_of(parts[at]), int(day))


def _year_first(parts: list[str]) -> date | None:
    return (
        _date(int(parts[0]), int(parts[1]), int(parts[2])) if len(parts[0]) in (2, 4) and len(parts[2]) <= 2 else None
    )


def _day_first(parts: list[str]) -> date | None:
    return (
        _date(int(parts[2]), int(parts[1]), int(parts[0])) if len(parts[0]) <= 2 and len(parts[2]) in (2, 4) else None
    )


def _month_first(parts: list[str]) -> date | None:
    return (
        _date(int(parts[2]), int(parts[0]), int(parts[1])) if len(parts[0]) <= 2 and len(parts[2]) in (2, 4) else None
    )


_ORDERED: dict[str, Callable[[list[str]], date | None]] = {
    "year-month-day": _year_first,
    "day-month": _day_first,
    "month-day": _month_first,
}


def _with_hour(day: date | None, time: str) -> Moment | None:
    if day is None:
        return None
    bare = time.strip()
    if bare.isdecimal() and len(bare) <= 4:
        number = int(bare)
        hour = float(number) if len(bare) <= 2 else number // 100 + number % 100 / 60
        return Moment(day, hour) if hour < 24 else Moment(day + timedelta(days=1), 0.0)
    found = _TIME.search(" " + bare)
    if not found:
        return Moment(day)
    hour = int(found[1]) + int(found[2]) / 60
    if found[4]:
        hour = hour % 12 + (12 if found[4].lower() == "p" else 0)
    utc = (found[5] or "").upper() in ("Z", "UTC", "GMT")
    return Moment(day, hour, utc) if hour < 24 else Moment(day + timedelta(days=1), hour - 24, utc)


def _steps(moments: Sequence[Moment | None]) -> int:
    """How many rows lie on the same day as the row before, or one day from it."""
    days = [m.day for m in moments if m]
    return sum(abs((b - a).days) <= 1 for a, b in pairwise(days))
