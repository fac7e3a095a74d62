"""Monthly means as people paste them: twelve rows of two numbers, or two rows of twelve, in °C or °F.

Months in words, column heads, units and footnotes may stand around the numbers; decimal commas and long minus signs are read.
"""

from __future__ import annotations

import re

from ..diagnostics import Place, Problem, ProblemsFound

_NUMBER = re.compile(r"(?<![\w.])[-−–]?\d{1,3}(?:[.,]\d+)?(?![\w])")
_DAYS = re.compile(r"max|high|day", re.IGNORECASE)
_NIGHTS = re.compile(r"min|low|night", re.IGNORECASE)
_MONTHS = ("jan", "feb", "mar", "apr", "may", "jun", "jul", "aug", "sep", "oct", "nov", "dec")
_MONTH = re.compile(rf"\W*({'|'.join(_MONTHS)})", re.IGNORECASE)
_YEARLY = re.compile(r"\W*(?:year|annual|mean|average)", re.IGNORECASE)
HINT = "paste twelve rows 'Jan -3.4 3.6', or two rows of twelve numbers, nights and days"
Months = tuple[float, ...]


def read_normals(text: str, shown: str, *, fahrenheit: bool = False) -> tuple[Months, Months]:
    """Twelve mean minimums and twelve mean maximums, °C, January first. Raises ProblemsFound with the row."""
    rows = [(number, line, _numbers(line)) for number, line in enumerate(text.splitlines(), start=1)]
    long = [(n, line, found) for n, line, found in rows if len(found) >= 12]
    pairs = _in_order([(n, line, found) for n, line, found in rows if len(found) == 2], shown)
    if len(long) == 2:
        low, high = _two_rows(long, shown)
    elif len(pairs) == 12:
        low, high = tuple(f[0] for _, _, f in pairs), tuple(f[1] for _, _, f in pairs)
    else:
        raise ProblemsFound([_odd(rows, shown, len(long), len(pairs))])
    if all(a >= b for a, b in zip(low, high, strict=True)):
        low, high = high, low
    for month, (a, b) in enumerate(zip(low, high, strict=True), start=1):
        if a > b:
            where = Place(shown, (long[0] if len(long) == 2 else pairs[month - 1])[0])
            raise ProblemsFound(
                [Problem(f"month {month}: the nights ({a:g}) are warmer than the days ({b:g})", where, HINT)]
            )
    return (_celsius(low), _celsius(high)) if fahrenheit else (low, high)


def _numbers(line: str) -> list[float]:
    bare = line.replace("−", "-").replace("–", "-")
    found = [float(n.replace(",", ".")) for n in _NUMBER.findall(bare)]
    if len(found) in (3, 13, 14) and re.match(r"\s*\d{1,2}\b", bare):
        found = found[1:]  # the month's own number
    return found[:12] if len(found) > 12 else found  # a yearly mean behind the months


def _in_order(pairs: list[tuple[int, str, list[float]]], shown: str) -> list[tuple[int, str, list[float]]]:
    """Rows that all name their month, January first; a row of the year left out. Raises ProblemsFound for a month named twice."""
    months = [row for row in pairs if not _YEARLY.match(row[1])] if len(pairs) == 13 else pairs
    named = [_MONTH.match(line) for _, line, _ in months]
    numbers = [_MONTHS.index(found[1].casefold()) for found in named if found]
    if len(numbers) != len(months) or not months:
        return months
    for at, number in enumerate(numbers):
        if number in numbers[:at]:
            raise ProblemsFound([Problem("a month stands here twice", Place(shown, months[at][0]), HINT)])
    return [row for _, row in sorted(zip(numbers, months, strict=True), key=lambda pair: pair[0])]


def _two_rows(long: list[tuple[int, str, list[float]]], shown: str) -> tuple[Months, Months]:
    (_, first, one), (number, second, other) = long
    if _DAYS.search(first) and _NIGHTS.search(first):
        raise ProblemsFound([Problem("one row names nights and days both", Place(shown, number - 1), HINT)])
    if _DAYS.search(first) or _NIGHTS.search(second):
        one, other = other, one
    return tuple(one), tuple(other)


def _odd(rows: list[tuple[int, str, list[float]]], shown: str, long: int, pairs: int) -> Problem:
    odd = next(((n, line) for n, line, found in rows if found and len(found) not in (2, 12)), None)
    what = f"found {pairs} rows of two numbers and {long} rows of twelve"
    return Problem(f"expected twelve monthly minimums and maximums, {what}", Place(shown, odd[0] if odd else 1), HINT)


def _celsius(months: Months) -> Months:
    return tuple(round((m - 32) / 1.8, 1) for m in months)
