"""The talk with which a collection begins: eight questions, each with an example, none of which has to be answered."""

from __future__ import annotations

import argparse
import re
import sys
from collections.abc import Callable
from pathlib import Path

from ..collection.coordinates import place_in
from ..collection.dates import NotADate, month_number, read_month_day
from ..collection.fields import DAYS, hours_of
from ..collection.loose_table import number
from ..intake.leaving import is_later
from .results import ask, say

TRIES = 3
_FIRST = "A few questions; Enter leaves any of them open, q all that follow, and all of it can be told later."
_QUARTERS = {4: ("january", "july"), 8: ("january", "april", "july", "october")}


def talk(options: argparse.Namespace) -> None:
    """Ask on the terminal, and put what was answered into the options."""
    say(_FIRST)
    for question, take in _QUESTIONS:
        if take in _OF_A_PLACE and options.latitude is None:
            continue
        degrees = "°F, as in 27 39 59 81" if options.units == "us" else "°C, as in -3 4 15 27"
        if not _asked(question.format(degrees=degrees, night="8" if options.units == "us" else "-13"), take, options):
            return


def _asked(question: str, take: Callable[[str, argparse.Namespace], str], options: argparse.Namespace) -> bool:
    """Ask until an answer is understood, or given up; whether anybody is there still."""
    for _ in range(TRIES):
        ask(question)
        said = sys.stdin.readline()
        if not said or is_later(said):
            say(*([] if said else [""]))
            return False
        wrong = take(said.strip(), options) if said.strip() else ""
        if not wrong:
            return True
        say(f"  {wrong}")
    return True


def _title(said: str, options: argparse.Namespace) -> str:
    options.title = said
    return ""


def _units(said: str, options: argparse.Namespace) -> str:
    word = said.casefold()
    if word in ("us", "usa", "imperial", "inches", "inch", "f", "u"):
        options.units = "us"
    elif word not in ("metric", "m", "cm", "mm", "c"):
        return "write metric or us"
    return ""


def _place(said: str, options: argparse.Namespace) -> str:
    found = place_in(said)
    if found is None:
        return f"'{said}' is no place on a map: write degrees, as in 46.05, 14.5"
    options.latitude, options.longitude = found
    return ""


def _temperatures(said: str, options: argparse.Namespace) -> str:
    numbers = [number(part) for part in re.split(r"[\s;]+", said)]
    if len(numbers) in _QUARTERS and all(numbers):
        values = [one.value for one in numbers if one]
        pairs = zip(values[::2], values[1::2], strict=True)
        for month, (night, day) in zip(_QUARTERS[len(numbers)], pairs, strict=True):
            setattr(options, month, [min(night, day), max(night, day)])
        return ""
    if Path(said).is_file():
        options.normals = said
        return ""
    return f"'{said}' is neither four numbers nor a file that is there"


def _cold(said: str, options: argparse.Namespace) -> str:
    one = number(said)
    if one is not None:
        options.coldest_night = one.value
        return ""
    days = [month_day_in(part) for part in re.split(r"\s*(?:,|;| and | to )\s*", said)]
    if not all(days) or len(days) > 2:
        return f"'{said}' is neither a temperature nor one or two days, as in 24 Apr, 16 Oct"
    options.last_frost, options.first_frost = [*days, ""][:2]
    return ""


def _bench_days(said: str, options: argparse.Namespace) -> str:
    try:
        options.bench_days = bench_days_in(said)
    except argparse.ArgumentTypeError as error:
        return str(error)
    return ""


def _table(said: str, options: argparse.Namespace) -> str:
    options.table = said if Path(said).is_file() else None
    return "" if options.table else f"there is no file '{said}'"


def _log(said: str, options: argparse.Namespace) -> str:
    options.log = said if Path(said).is_file() else None
    return "" if options.log else f"there is no file '{said}'"


_QUESTIONS: tuple[tuple[str, Callable[[str, argparse.Namespace], str]], ...] = (
    ("What do you call it? [My trees]", _title),
    ("Units: metric, or us (inches, °F, letter paper)? [metric]", _units),
    (
        "Where is it? Latitude and longitude as any map shows them, as in 46.05, 14.5 (south and west negative)",
        _place,
    ),
    (
        "Usual temperatures? January night, January day, July night, July day in {degrees}; or a file with a station's table",
        _temperatures,
    ),
    ("The coldest night of a usual year ({night}), or your last and first frost (24 Apr, 16 Oct)?", _cold),
    ("On which days do you work at the bench, and how long (sat 3h, wed 90min)?", _bench_days),
    ("A table of your trees to bring along (a CSV file, any columns)?", _table),
    ("A table of what was done in earlier years (a CSV file: date, tree, what was done)?", _log),
)


_OF_A_PLACE = (_temperatures, _cold)


def month_day_in(text: str) -> str:
    """`24 Apr`, `Apr 24`, `04-24` as a month and a day of the file; empty where it is none."""
    words = re.findall(r"[^\W\d_]{3,}|\d{1,2}", text)
    named = next((month_number(word) for word in words if word.isalpha()), 0)
    figures = [int(word) for word in words if word.isdecimal()]
    said = f"{named:02d}-{figures[0]:02d}" if named and len(figures) == 1 else text.strip()
    try:
        month, day = read_month_day(said)
    except NotADate:
        return ""
    return f"{month:02d}-{day:02d}"


def bench_days_in(text: str) -> dict[str, str]:
    """`sat 3h, wednesday 90 min` as weekdays with their time. Raises ArgumentTypeError."""
    found: dict[str, str] = {}
    for part in filter(None, re.split(r"\s*[,;]\s*", text.strip())):
        said = re.fullmatch(
            r"([^\W\d_]{3,})\s*:?\s*(\d+(?:[.,]\d+)?)\s*(h|hours?|hrs?|min|minutes?|m)?", part, re.IGNORECASE
        )
        day = next((day for day in DAYS if said and day.startswith(said[1].casefold().rstrip("s")[:9])), "")
        unit = "min" if said and (said[3] or "h").casefold().startswith("m") else "h"
        time = f"{said[2].replace(',', '.')}{unit}" if said else ""
        if not day or hours_of(time) is None:
            raise argparse.ArgumentTypeError(
                f"expected days with their time, as in 'sat 3h, wed 90min', found '{part}'"
            )
        found[day] = time
    return found
