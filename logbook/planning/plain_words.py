"""How single values are told in a sentence, where that wants nothing but the value."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date

from ..collection.dates import When

NUMBERS = {2: "two", 3: "three", 4: "four", 5: "five", 6: "six", 8: "eight"}


def rest_told(vigour: int) -> str:
    """What put a tree to rest."""
    return f"vigour {vigour}" if vigour else "you put it to rest"


def _strength(wanted: int) -> str:
    return "strong (vigour 4 or 5)" if wanted >= 4 else "holding or better (vigour 3 to 5)"


def days_band(days: int) -> str:
    """`± 12 days` behind a day; nothing where it is certain."""
    return f" ± {days} days" if days else ""


def _bite(bite: str) -> str:
    return "cut in" if bite == "cut" else "begun to bite"


def _of_seasons(seasons: int) -> str:
    return "growing season" if seasons == 1 else f"{seasons} growing seasons"


def _day(day: date) -> str:
    return f"{day.day} {day:%b %Y}"


def _short(day: date) -> str:
    return f"{day.day} {day:%b}"


# ways of telling a value that want nothing but the value
PLAIN: dict[str, Callable[..., str]] = {
    "day": _day,
    "short": _short,
    "month": lambda day: f"{day:%b %Y}",
    "when": When.told,
    "list": ", ".join,
    "or": lambda words: " or ".join(words),
    "signed": lambda days: f"{days:+d} day" + ("s" if abs(days) != 1 else ""),
    "seasons": lambda number: "season" if number == 1 else "seasons",
    "guessed": lambda guessed: f", guessed {guessed}" if guessed else "",
    "more": lambda number: f" and {number} more" if number else "",
    "band": days_band,
    "height": lambda known: "" if known else " (height not on record)",
    "number": lambda number: NUMBERS.get(number, str(number)),
    "of seasons": _of_seasons,
    "are": lambda what: f"{what} are" if what == "roots" else f"{what} is",
    "bite": _bite,
    "looks": lambda looks: f"{looks} look" + ("s" if looks > 1 else ""),
    "rest": rest_told,
    "strength": _strength,
}
