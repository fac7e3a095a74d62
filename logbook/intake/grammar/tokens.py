"""Words and numbers of a typed line: dates, branches, wire, measures.

Small readers over tokens; each gives what it read, or nothing. They know the grammar and no tree.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date

from ...collection.dates import month_number

_MONTH = r"(?P<month>[a-z]{3,9})\.?"
_YEAR = r"(?:,?\s+(?P<year>\d{4}))?"
_END = r"(?:[.,:]?(?=[\s;]|$))"
_WEEKDAY = re.compile(r"(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+(?=\d|[a-z]{3,9}\.?\s+\d)", re.IGNORECASE)
_FORMS = (
    re.compile(rf"(?P<iso>\d{{4}}[-/]\d{{2}}[-/]\d{{2}}){_END}"),
    re.compile(rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th)?\.?\s+{_MONTH}{_YEAR}{_END}", re.IGNORECASE),
    re.compile(rf"{_MONTH}\s+(?P<day>\d{{1,2}})(?:st|nd|rd|th)?{_YEAR}{_END}", re.IGNORECASE),
    re.compile(rf"(?P<first>\d{{1,2}})(?P<mark>[/.-])(?P<second>\d{{1,2}})(?P=mark)(?P<year>\d{{4}}|\d{{2}}){_END}"),
    re.compile(r"(?P<first>\d{1,2})/(?P<second>\d{1,2})" + _END),
    re.compile(r"(?P<first>\d{1,2})\.(?P<second>\d{1,2})\.(?=[\s;]|$)"),
)
# words that make no date of what stands before them: `1/2 of the needles`, `2 may be dead`
_NOT_A_FRACTION = frozenset(("of", "cm", "mm", "m", "in", "inch", "inches"))
_NOT_THE_VERB = frozenset(("be", "have", "need", "not", "still", "well"))


@dataclass(frozen=True, slots=True)
class TypedDate:
    """A date as typed; `year` 0 where none was. `rest` is the line behind it; `bad` says why it is no day."""

    day: int
    month: int
    year: int
    rest: str
    words: str
    bad: str = ""


def plain_line(text: str) -> str:
    """The line as it is parsed: compatibility forms folded (full-width digits, ligatures), spaces single."""
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", text)).strip()


def leading_date(text: str, order: str) -> TypedDate | None:
    """A date at the start of a line, or None. `order` is day-month or month-day, for 3/4."""
    weekday = _WEEKDAY.match(text)
    start = weekday.end() if weekday else 0
    for form in _FORMS:
        found = form.match(text, start)
        if not found:
            continue
        parts = found.groupdict()
        rest, words = text[found.end() :].lstrip(" ;").strip(), found[0].strip(" ,:;")
        after = rest.split(" ")[0].casefold().strip(".,;")
        if (parts.get("first") and not parts.get("year") and after in _NOT_A_FRACTION) or (
            (parts.get("month") or "").casefold() == "may" and after in _NOT_THE_VERB
        ):
            continue
        if parts.get("iso"):
            year, month, day = (int(p) for p in re.split("[-/]", parts["iso"]))
            return _checked(day, month, year, rest, words)
        year = int(parts.get("year") or 0)
        year += 2000 if 0 < year < 100 else 0
        if parts.get("year") and not year:
            return TypedDate(1, 1, 1, rest, words, f"'{words}' is not a day of the calendar")
        if "month" in parts:
            month = month_number(parts["month"])
            if month:
                return _checked(int(parts["day"]), month, year, rest, words)
            continue
        first, second = int(parts["first"]), int(parts["second"])
        day, month = (first, second) if order == "day-month" else (second, first)
        return _checked(day, month, year, rest, words)
    return None


def almost_a_date(text: str) -> bool:
    """Whether a line begins like a date that was not read as one: it is asked about, not kept under another day."""
    first = re.match(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}\b", text)
    return bool(first) and leading_date(text, "day-month") is None


def _checked(day: int, month: int, year: int, rest: str, words: str) -> TypedDate:
    try:
        date(year or 2024, month, day)
        if year and not 1900 <= year <= 2999:
            raise ValueError
    except ValueError:
        return TypedDate(day, month, year, rest, words, f"'{words}' is not a day of the calendar")
    return TypedDate(day, month, year, rest, words)


def dated_not_after(typed: TypedDate, today: date) -> date | None:
    """The typed day in its year, or in the latest year that does not put it after today."""
    years = [typed.year] if typed.year else range(today.year, today.year - 5, -1)
    for year in years:
        try:
            day = date(year, typed.month, typed.day)
        except ValueError:
            continue
        if typed.year or day <= today:
            return day
    return None
