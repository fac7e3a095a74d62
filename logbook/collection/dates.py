"""Dates as growers write them: whole, partial and uncertain.

The subset of ISO 8601-2:2019 (EDTF levels 0 and 1) that a tree's record needs: `2016-10-14`, `2016-10`, `2016`,
the seasons `2016-21` (spring) to `2016-24` (winter), `199X` and `20XX`, each with `~` (about), `?` or `%`.
Seasons follow the hemisphere of the site: spring is March to May in the north, September to November in the south.
"""

from __future__ import annotations

import re
from calendar import month_name, monthrange
from datetime import date
from functools import lru_cache

from ..values import dataclass

WHEN_FORM = r"(\d{4}|\d{3}X|\d{2}XX)(?:-(\d{2})(?:-(\d{2}))?)?([~?%])?"
MONTH_DAY_FORM = r"\d{2}-\d{2}"
_FORM = re.compile(WHEN_FORM)
_FIRST_MONTH = {21: 3, 22: 6, 23: 9, 24: 12}
_SEASON_NAMES = {21: "spring", 22: "summer", 23: "autumn", 24: "winter"}
_SEASON_CODES = {"fall": 23, **{name: code for code, name in _SEASON_NAMES.items()}}
MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")


class NotADate(ValueError):  # noqa: N818 - reads as what it says
    """The text is no date; `hint` says what to write."""

    def __init__(self, message: str, hint: str) -> None:
        super().__init__(message)
        self.hint = hint


@dataclass(frozen=True, slots=True)
class When:
    """A date of some precision: the first and the last day it may mean, and its text as written."""

    text: str
    earliest: date
    latest: date
    about: bool = False

    @property
    def is_day(self) -> bool:
        """Whether it is one day, not a span."""
        return self.earliest == self.latest

    def told(self) -> str:
        """For paper: `14 Oct 2026`, `Oct 2026`, `autumn 2016`, `about 2009`."""
        return ("about " if self.about else "") + _told_body(self.text)


def on_day(day: date) -> When:
    """One day as a date of the record."""
    return When(day.isoformat(), day, day)


@lru_cache(maxsize=1 << 14)
def read_when(text: str, southern: bool = False) -> When:
    """Read a partial date. Raises NotADate with a hint."""
    found = _FORM.fullmatch(text)
    if not found:
        raise NotADate(
            f"expected a date, found '{text}'", "write 2026-10-14, 2026-10, 2026, 2026~ (about) or 2026-23 (autumn)"
        )
    year, month, day, doubt = found.groups()
    about = doubt is not None
    if "X" in year:
        return _decade(text, year, month, about)
    number = _year(year)
    if month is None:
        return When(text, date(number, 1, 1), date(number, 12, 31), about)
    if day is not None:
        one = _calendar_day(text, number, int(month), int(day))
        return When(text, one, one, about)
    if int(month) in _FIRST_MONTH:
        return _season(text, number, int(month), southern, about)
    if not 1 <= int(month) <= 12:
        raise NotADate(
            f"{month} is neither a month nor a season",
            "months are 01 to 12; seasons 21 spring, 22 summer, 23 autumn, 24 winter",
        )
    return When(text, date(number, int(month), 1), _month_end(number, int(month)), about)


def read_day(text: str) -> date:
    """Read a whole day, `2026-10-14`. Raises NotADate with a hint."""
    if not re.fullmatch(r"\d{4}-\d{2}-\d{2}", text):
        raise NotADate(f"expected a whole day, found '{text}'", "write year-month-day, as in 2026-10-14")
    year, month, day = (int(part) for part in text.split("-"))
    return _calendar_day(text, year, month, day)


def read_month_day(text: str) -> tuple[int, int]:
    """Read `04-24` as (4, 24). Raises NotADate with a hint."""
    if not re.fullmatch(MONTH_DAY_FORM, text):
        raise NotADate(f"expected a month and a day, found '{text}'", "write month-day, as in 04-24")
    month, day = int(text[:2]), int(text[3:])
    _calendar_day(text, 2023, month, day)
    return month, day


@lru_cache(maxsize=4096)
def month_number(word: str) -> int:
    """1 to 12 for a month's name or its first three or more letters, else 0."""
    word = word.casefold()
    if word == "sept":
        return 9
    hits = [i for i in range(1, 13) if month_name[i].casefold().startswith(word)]
    return hits[0] if len(word) >= 3 and len(hits) == 1 else 0


def typed_when(text: str, southern: bool = False) -> When | None:
    """A partial date as notes and paper say it: `autumn 2028`, `Oct 2026`, `14 Oct 2026`, `about 2009`, `2026-10`; else None."""
    words = text.casefold().split()
    about = words[:1] == ["about"]
    body = _file_form(words[about:])
    try:
        return read_when(body + "~" * (about and body[-1:] != "~"), southern) if body else None
    except NotADate:
        return None


def _file_form(words: list[str]) -> str:
    """The words of a date as files write it; an empty string where they are none."""
    *before, year = words or [""]
    if len(before) == 1 and before[0] == "the" and re.fullmatch(r"\d{3}0s", year):
        return f"{year[:3]}X"
    if not before:
        return year.upper() if _FORM.fullmatch(year.upper()) else ""
    return _year_and(before, year) if re.fullmatch(r"\d{4}", year) else ""


def _year_and(before: list[str], year: str) -> str:
    """A year with the season, the month, or the day and month said before it."""
    month = month_number(before[-1])
    if len(before) == 1 and before[0] in _SEASON_CODES:
        return f"{year}-{_SEASON_CODES[before[0]]}"
    if month and len(before) == 1:
        return f"{year}-{month:02d}"
    if month and len(before) == 2 and re.fullmatch(r"\d{1,2}", before[0]):
        return f"{year}-{month:02d}-{int(before[0]):02d}"
    return ""


def _year(text: str) -> int:
    year = int(text)
    if not 1000 <= year <= 2999:
        raise NotADate(f"{text} is no year a tree's record can hold", "write the year with four digits, 1000 to 2999")
    return year


def _calendar_day(text: str, year: int, month: int, day: int) -> date:
    if not 1 <= month <= 12:
        swapped = " (the month stands before the day)" if 1 <= day <= 12 else ""
        raise NotADate(f"{text} is not a day of the calendar", f"months are 01 to 12{swapped}")
    _year(str(year))
    last = monthrange(year, month)[1]
    if not 1 <= day <= last:
        named = f"{month_name[month]} {year}" if len(text) > 5 else month_name[month]
        raise NotADate(f"{text} is not a day of the calendar", f"{named} has {last} days")
    return date(year, month, day)


def _decade(text: str, year: str, month: str | None, about: bool) -> When:
    if month is not None:
        raise NotADate(f"expected a date, found '{text}'", "a decade such as 199X takes no month")
    first = _year(year.replace("X", "0"))
    return When(text, date(first, 1, 1), date(int(year.replace("X", "9")), 12, 31), about)


def _season(text: str, year: int, code: int, southern: bool, about: bool) -> When:
    month = _FIRST_MONTH[code]
    if southern:
        month = (month + 5) % 12 + 1
    end_year, end_month = (year, month + 2) if month <= 10 else (year + 1, month - 10)
    return When(text, date(year, month, 1), _month_end(end_year, end_month), about)


def _month_end(year: int, month: int) -> date:
    return date(year, month, monthrange(year, month)[1])


@lru_cache(maxsize=1 << 14)
def _told_body(text: str) -> str:
    body = text.rstrip("~?%")
    parts = body.split("-")
    if "X" in body:
        return f"the {body.replace('X', '0')}s"
    if len(parts) == 1:
        return body
    code = int(parts[1])
    if code in _SEASON_NAMES:
        return f"{_SEASON_NAMES[code]} {parts[0]}"
    month = MONTHS[code - 1]
    return f"{month} {parts[0]}" if len(parts) == 2 else f"{int(parts[2])} {month} {parts[0]}"


def day_told(day: date, today: date | None = None) -> str:
    """`14 Oct`, with the year where it is not the year of `today`."""
    plain = f"{day.day} {MONTHS[day.month - 1]}"
    return plain if today is not None and day.year == today.year else f"{plain} {day.year}"
