"""Tables as people and services write them, cut into cells: the separator found by trying, numbers in any common dress.

Knows nothing of what a table means. What was asked of the grower and what was understood have their types here, since every
reader of such tables answers in them.
"""

from __future__ import annotations

import csv
import re
import unicodedata
from collections import Counter
from collections.abc import Sequence
from functools import lru_cache
from typing import NamedTuple

from ..values import dataclass

SEPARATORS = {"\t": "tabs", ";": "semicolons", "|": "bars", ",": "commas", "  ": "wide spaces", " ": "spaces"}
CACHED = 1 << 16  # a year of hours has few thousand different cells
SAMPLE = 400  # lines by which the separator is chosen
_MINUSES = str.maketrans(dict.fromkeys("−–‒﹣－‐‑", "-"))
_NUMBER = re.compile(
    r"(?P<sign>[-+]?)\s*(?P<digits>\d+(?:[.,]\d+)?|[.,]\d+)\s*(?P<unit>°?\s*[CF]|º\s*[CF]|deg\.?\s*[CF]?|°|℃|℉)?\s*(?P<flag>[A-Za-z*#?†‡]{0,2})",
    re.IGNORECASE,
)
_CLOCK = r"\d{1,2}[:.h]\d{2}.*"
_HOUR = re.compile(_CLOCK)
_DAY = re.compile(
    rf"(?:[^\W\d]{{3,9}}\.?,?\s+)?(?:\d{{1,4}}[-/.\s]\w{{1,9}}[-/.,\s]+\d{{1,4}}|[^\W\d]{{3,9}}\.?\s+\d{{1,2}},?\s+\d{{4}})(?:[T\s]+{_CLOCK})?"
)
_MISSING_WORDS = frozenset(
    ("", "-", "--", "---", "na", "n/a", "nan", "null", "none", "m", "missing", "...", "…", "*", "?", "x", "/", "//")
)
_MISSING_NUMBERS = frozenset(
    (-99.9, -999.0, -999.9, -9999.0, -9999.9, 999.0, 999.9, 9999.0, 9999.9, 99999.0, -99999.0, -32768.0)
)


@dataclass(frozen=True, slots=True)
class Asked:
    """A question that only the grower can answer. `field` is the name under which the answer is given back."""

    field: str
    question: str
    choices: tuple[str, ...] = ()
    row: int = 0  # line of the text, 0 where it is the table as a whole
    cell: str = ""


class Line(NamedTuple):
    """One row of a table, with the line of the text it stands on and that line as written."""

    number: int
    cells: tuple[str, ...]
    source: str


class Number(NamedTuple):
    """A number as written, its unit (`C`, `F` or empty) and a letter or mark behind it."""

    value: float
    unit: str = ""
    flag: str = ""


@dataclass(frozen=True, slots=True)
class LooseTable:
    """The rows of a text and what separates their cells."""

    lines: tuple[Line, ...]
    separator: str

    @property
    def separator_told(self) -> str:
        """The separator in words."""
        return SEPARATORS[self.separator]


def clean(text: str) -> str:
    """Long minus signs, full-width figures and hard spaces made plain."""
    if text.isascii():
        return text
    # superscripts and fractions are footnotes and not figures: only widths are folded, letter by letter
    folded = "".join(unicodedata.normalize("NFKC", c) if unicodedata.east_asian_width(c) in "FW" else c for c in text)
    return folded.translate(_MINUSES).replace("\u00a0", " ").replace("\u202f", " ").replace("\u2009", " ")


@lru_cache(maxsize=CACHED)
def is_missing(cell: str) -> bool:
    """Whether a cell says that there is no value: empty, a dash, NA, or a service's −9999."""
    bare = clean(cell).strip().casefold()
    if bare in _MISSING_WORDS:
        return True
    found = number(cell)
    return found is not None and found.value in _MISSING_NUMBERS


@lru_cache(maxsize=CACHED)
def number(cell: str) -> Number | None:
    """The number a cell holds (`-3.4`, `−3,4 °C`, `41F`, `12.5*`), or None where it holds none, or more than one."""
    found = _NUMBER.fullmatch(clean(cell).strip().strip('"').strip())
    if not found:
        return None
    value = float((found["sign"] + found["digits"]).replace(",", "."))
    unit = re.sub(
        r"[^CF]", "", clean(found["unit"] or "").upper().replace("℃", "C").replace("℉", "F").replace("DEG", "")
    )
    return Number(value, unit, found["flag"])


def cut(text: str) -> LooseTable:
    """The text's rows by the separator that gives the most rows of one length with cells that are clean.

    Empty lines and lines that are all ruling (`---+---`) are left out; so are the marks that start a comment line.
    """
    lines = [
        (n, line) for n, line in enumerate(text.removeprefix("\ufeff").splitlines(), start=1) if _says_something(line)
    ]
    best, best_score = " ", -1.0
    for separator in SEPARATORS:
        score = _score([_cells(line, separator) for _, line in lines[:SAMPLE]])
        if score > best_score + 1e-9:
            best, best_score = separator, score
    return LooseTable(tuple(Line(n, _cells(line, best), line) for n, line in lines), best)


def _says_something(line: str) -> bool:
    return any(c.isalnum() for c in line)


def _cells(line: str, separator: str) -> tuple[str, ...]:
    bare = line.strip(" \r\n").lstrip("#").strip(" ")
    if separator == " ":
        parts = re.sub(r"(?<![\w)])([-−–])\s+(?=\d)", r"\1", bare).split()
        parts = [part.rstrip(",;") or part for part in parts]
    elif separator == "  ":
        parts = re.split(r"\s{2,}|\t", bare)
    elif separator == "|":
        parts = bare.strip("|").split("|")
    else:
        parts = next(csv.reader([bare], delimiter=separator, skipinitialspace=True), [])
    return tuple(clean(part).strip() for part in parts)


def _score(rows: Sequence[tuple[str, ...]]) -> float:
    """Share of rows that have the commonest length (of two cells or more), times the share of their cells that hold one thing."""
    lengths = Counter(len(row) for row in rows if len(row) > 1 and any(c.isdigit() for cell in row for c in cell))
    if not lengths:
        return 0.0
    length = lengths.most_common(1)[0][0]
    often = sum(len(row) == length for row in rows)  # heads count too: they have no figures, but as many cells
    cells = [cell for row in rows if len(row) == length for cell in row]
    return often / len(rows) * sum(map(_holds_one_thing, cells)) / len(cells)


@lru_cache(maxsize=CACHED)
def _holds_one_thing(cell: str) -> bool:
    """A number, a missing value, a day or hour, a code, or words without figures: what one cell of a table holds."""
    if number(cell) or is_missing(cell) or not any(c.isdigit() for c in cell):
        return True
    return bool(_DAY.fullmatch(cell) or _HOUR.fullmatch(cell) or re.fullmatch(r"\w+|-?[\d.]+\s*\(-?[\d.]+\)", cell))
