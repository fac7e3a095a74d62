"""Words and numbers of a typed line: dates, branches, wire, measures.

Small readers over tokens; each gives what it read, or nothing. They know the grammar and no tree.
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import dataclass
from datetime import date

_MONTHS = (
    "january",
    "february",
    "march",
    "april",
    "may",
    "june",
    "july",
    "august",
    "september",
    "october",
    "november",
    "december",
)
_MONTH = r"(?P<month>[a-z]{3,9})\.?"
_YEAR = r"(?:,?\s+(?P<year>\d{4}))?"
_FORMS = (
    re.compile(r"(?P<iso>\d{4}-\d{2}-\d{2})(?=\s|$)"),
    re.compile(rf"(?P<day>\d{{1,2}})\.?\s+{_MONTH}{_YEAR}(?=\s|$)", re.IGNORECASE),
    re.compile(rf"{_MONTH}\s+(?P<day>\d{{1,2}}){_YEAR}(?=\s|$)", re.IGNORECASE),
    re.compile(r"(?P<first>\d{1,2})[/.](?P<second>\d{1,2})(?:[/.](?P<year>\d{4}))?\.?(?=\s|$)"),
)


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
    for form in _FORMS:
        found = form.match(text)
        if not found:
            continue
        parts = found.groupdict()
        rest, words = text[found.end() :].strip(), found[0].strip()
        if parts.get("iso"):
            year, month, day = (int(p) for p in parts["iso"].split("-"))
            return _checked(day, month, year, rest, words)
        year = int(parts["year"] or 0)
        if "month" in parts:
            month = month_number(parts["month"])
            if month:
                return _checked(int(parts["day"]), month, year, rest, words)
            continue
        first, second = int(parts["first"]), int(parts["second"])
        day, month = (first, second) if order == "day-month" else (second, first)
        return _checked(day, month, year, rest, words)
    return None


def month_number(word: str) -> int:
    """1 to 12 for a month's name or its first three or more letters, else 0."""
    word = word.casefold()
    if word == "sept":
        return 9
    hits = [i for i, name in enumerate(_MONTHS, start=1) if name.startswith(word)]
    return hits[0] if len(word) >= 3 and len(hits) == 1 else 0


def _checked(day: int, month: int, year: int, rest: str, words: str) -> TypedDate:
    try:
        date(year or 2024, month, day)
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


def words_match(typed: list[str], phrase: list[str]) -> bool:
    """Whether typed tokens are the phrase's words, each perhaps shortened (to three letters or more)."""
    return len(typed) == len(phrase) and all(
        word == full or (len(word) >= 3 and full.startswith(word)) for word, full in zip(typed, phrase, strict=True)
    )
