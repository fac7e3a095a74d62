"""Which columns of a weather table are the day, the hour, the lowest and the highest temperature, and in which unit.

Heads decide; where a table has none, its figures do if they leave no doubt; what stays open is asked. A table that names its
element in a column (`TMIN`, `TMAX` and a value beside them) is turned into one with columns first.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from ..values import dataclass
from .loose_table import Asked, Line, LooseTable, is_missing, number
from .weather_words import Kind, kind_of, unit_of, words_of

_TIME = re.compile(r"\d{1,2}[:h]\d{2}(?::\d{2})?(?:\s*[ap]m)?", re.IGNORECASE)
_ONCE: tuple[Kind, ...] = ("date", "year", "month", "day", "yearday", "time")


@dataclass(frozen=True, slots=True)
class Layout:
    """A table's data rows, the heads of its columns (empty where it has none) and what each column holds.

    `low` and `high` are columns; both the same where one column of readings through the day serves for both.
    """

    rows: tuple[Line, ...]
    heads: tuple[str, ...]
    kinds: tuple[Kind, ...]
    above: tuple[str, ...] = ()  # lines before the data
    low: int | None = None
    high: int | None = None
    questions: tuple[Asked, ...] = ()
    faults: tuple[str, ...] = ()
    at: Mapping[Kind, int] = field(default_factory=dict)

    def told(self, column: int) -> str:
        """How a column is spoken of: by its head, else by its number."""
        head = self.heads[column] if column < len(self.heads) else ""
        return f"'{head}'" if head else f"column {column + 1}"

    def cells(self, column: int) -> list[str]:
        """One column's texts, row by row."""
        return [row.cells[column] for row in self.rows]


def layout_of(table: LooseTable, answers: Mapping[str, str]) -> Layout:
    """The table's layout; `questions` and `faults` say what stands in the way."""
    rows, above = _data_rows(table)
    if not rows:
        return Layout(
            (), (), (), tuple(line.source for line in table.lines), faults=("no row with a day and a temperature",)
        )
    heads = _heads(above, len(rows[0].cells))
    kinds = tuple(map(kind_of, heads or ("",) * len(rows[0].cells)))
    found = _pivoted(Layout(rows, heads, kinds, tuple(line.source for line in above)))
    found = replace(found, at=_moment_columns(found))
    return _with_temperatures(found, answers)


def _data_rows(table: LooseTable) -> tuple[tuple[Line, ...], tuple[Line, ...]]:
    """Rows of the commonest length that hold figures, from the first one on; and the lines above them."""
    full = [line for line in table.lines if _is_data(line)]
    lengths = Counter(len(line.cells) for line in full)
    if not lengths:
        return (), table.lines
    length = max(lengths, key=lambda n: (lengths[n], n))
    rows = tuple(line for line in full if len(line.cells) == length)
    return rows, tuple(line for line in table.lines if line.number < rows[0].number)


def _is_data(line: Line) -> bool:
    """Two cells with figures at least, one of them a plain number or a gap, and more of such cells than of words."""
    figures = sum(any(c.isdigit() for c in cell) for cell in line.cells)
    values = sum(number(cell) is not None or is_missing(cell) for cell in line.cells)
    words = sum(kind_of(cell) != "" and number(cell) is None for cell in line.cells)
    return len(line.cells) > 1 and figures >= 1 and values >= 1 and words <= 1 and not (words and figures < 2)


def _heads(above: Sequence[Line], columns: int) -> tuple[str, ...]:
    """The nearest line above the data whose words name columns, one for each of them; empty where there is none."""
    for line in reversed(above):
        if len(line.cells) == columns and sum(kind_of(c) != "" for c in line.cells) >= min(2, columns):
            return line.cells
    for line in reversed(above):
        merged = _merged(line.cells)
        if len(merged) == columns:
            return merged
    return ()


def _merged(cells: Sequence[str]) -> tuple[str, ...]:
    """Heads of several words cut at every space (`Min Temp Max Temp`), put together again: each known word but `temp` begins one."""
    found: list[str] = []
    for cell in cells:
        if kind_of(cell) in ("", "temperature") and found:
            found[-1] += f" {cell}"
        elif kind_of(cell):
            found.append(cell)
    return tuple(found)


def _pivoted(layout: Layout) -> Layout:
    """A table of elements and values as one of days, lows and highs; any other unchanged."""
    element = next((n for n in range(len(layout.kinds)) if _names_elements(layout.cells(n))), None)
    if element is None:
        return layout
    value = _value_column(layout, element)
    rows = tuple(
        row._replace(cells=(*row.cells, *(row.cells[value] if kind == k else "" for k in ("low", "high"))))
        for row in layout.rows
        if (kind := kind_of(row.cells[element])) in ("low", "high")
    )
    heads = layout.heads or ("",) * len(layout.kinds)
    kinds: list[Kind] = [*layout.kinds, "low", "high"]
    kinds[element] = kinds[value] = "other"
    unit = unit_of(heads[value])
    behind = f" °{unit}" if unit in ("C", "F") else ""
    return replace(layout, rows=rows, heads=(*heads, f"lowest{behind}", f"highest{behind}"), kinds=tuple(kinds))


def _value_column(layout: Layout, element: int) -> int:
    """The column whose head says value, else the first of numbers behind the elements'."""
    if "value" in layout.kinds:
        return layout.kinds.index("value")
    behind = range(element + 1, len(layout.kinds))
    return next((n for n in behind if _is_numeric(layout.cells(n))), min(element + 1, len(layout.kinds) - 1))


def _names_elements(cells: Sequence[str]) -> bool:
    kinds = {kind_of(c) for c in set(cells) if number(c) is None}
    return {"low", "high"} <= kinds and not any(c.isdigit() for cell in cells[:1] for c in cell)


def _is_numeric(cells: Sequence[str]) -> bool:
    """Whether a column holds numbers and gaps, and numbers for the most part."""
    numbers = sum(number(c) is not None for c in cells)
    return numbers >= 0.3 * len(cells) and numbers + sum(is_missing(c) for c in cells) >= 0.95 * len(cells)


def _moment_columns(layout: Layout) -> dict[Kind, int]:
    """Where the day (and the hour) stand, by the heads; without heads the first column that looks like days."""
    at: dict[Kind, int] = {kind: layout.kinds.index(kind) for kind in _ONCE if kind in layout.kinds}
    if "year" in at and ({"month", "day"} <= set(at) or "yearday" in at):
        at.pop("date", None)
    elif "date" not in at:
        _add_day(layout, at)
    if "time" in at and at["time"] == at.get("date"):
        del at["time"]
    if "time" not in at:
        clock = next((n for n in range(len(layout.kinds)) if all(map(_TIME.fullmatch, layout.cells(n)))), None)
        if clock is not None:
            at["time"] = clock
    return at


def _add_day(layout: Layout, at: dict[Kind, int]) -> None:
    """The column that looks like days: one named for a day or a time before others."""
    looks = [n for n in range(len(layout.kinds)) if _looks_like_days(layout.cells(n))]
    named = [n for n in looks if n in (at.get("day"), at.get("time"))]
    if looks:
        at["date"] = (named or looks)[0]


def _looks_like_days(cells: Sequence[str]) -> bool:
    return sum(bool(re.match(r"\s*\w+[-/. ]\w+[-/. ]\w+|(?:19|20)\d{6}", c)) for c in cells) >= 0.9 * len(cells)


def _with_temperatures(layout: Layout, answers: Mapping[str, str]) -> Layout:
    """The layout with its low and high columns, by answer, by heads or by figures."""
    taken = set(layout.at.values())
    numeric = [n for n in range(len(layout.kinds)) if n not in taken and _is_numeric(layout.cells(n))]
    lows, highs = (
        _claims(layout, numeric, "low", "lowest", answers),
        _claims(layout, numeric, "high", "highest", answers),
    )
    if lows and lows == highs:  # one of the two was told to be the other than its head says
        others = [n for n in numeric if n not in lows and layout.kinds[n] in ("low", "high")]
        lows, highs = (lows, others) if "lowest" in answers else (others, highs)
    bare = [n for n in numeric if layout.kinds[n] in ("", "temperature", "mean", "value")]
    if [*lows, *highs]:
        return _named(layout, lows, highs, bare)
    return _unnamed(layout, bare, answers)


def _named(layout: Layout, lows: Sequence[int], highs: Sequence[int], bare: Sequence[int]) -> Layout:
    """Heads name lows or highs: taken, or asked about where two do or one has no partner."""
    if lows and highs:
        claims = ((lows, "lowest"), (highs, "highest"))
        doubt = tuple(_which(layout, columns, word) for columns, word in claims if len(columns) > 1)
        return replace(layout, low=lows[0], high=highs[0], questions=doubt)
    missing = "lowest" if highs else "highest"
    if bare:
        return replace(layout, questions=(_which(layout, bare, missing),))
    return replace(layout, faults=(f"there is a column for the one temperature but none for the {missing}",))


def _claims(layout: Layout, numeric: Sequence[int], kind: Kind, word: str, answers: Mapping[str, str]) -> list[int]:
    """The columns that an answer or a head names for the lowest (highest)."""
    answer = answers.get(word, "").casefold()
    named = [n for n in numeric if answer and answer == layout.told(n).strip("'").casefold()]
    claims = [n for n in numeric if layout.kinds[n] == kind]
    # 'outdoor' and 'air' say which of two thermometers is meant
    outside = [n for n in claims if {"outdoor", "outside", "air"} & set(words_of(layout.heads[n]))]
    return named[:1] or (outside if len(outside) == 1 else claims)


def _which(layout: Layout, columns: Sequence[int], word: str) -> Asked:
    shown = "; ".join(f"{layout.told(n)} begins {', '.join(layout.cells(n)[:3])}" for n in columns)
    choices = tuple(layout.told(n).strip("'") for n in columns)
    return Asked(word, f"which column holds the {word} temperature of the day? {shown}", choices)


def _unnamed(layout: Layout, bare: Sequence[int], answers: Mapping[str, str]) -> Layout:
    """No head says low or high: one column is a reading through the day; of two, the figures tell which is the lower."""
    air = [n for n in bare if layout.kinds[n] == "temperature"]
    if not bare:
        return replace(layout, faults=("no column of temperatures",))
    if len(air) == 1 or len(bare) == 1:
        return replace(layout, low=(air or bare)[0], high=(air or bare)[0])
    if len(bare) == 2:
        for low, high in (bare, bare[::-1]):
            if _lies_under(layout.cells(low), layout.cells(high)):
                return replace(layout, low=low, high=high)
    asked = tuple(_which(layout, bare, word) for word in ("lowest", "highest") if word not in answers)
    return replace(layout, questions=asked)


def _lies_under(lows: Sequence[str], highs: Sequence[str]) -> bool:
    """Whether one column is never above the other, is mostly under it, and lies as near to it as night to day (in °C or °F)."""
    read = zip(map(number, lows), map(number, highs), strict=True)
    steps = [high.value - low.value for low, high in read if low and high]
    return (
        bool(steps)
        and min(steps) >= 0
        and 1 < sum(steps) / len(steps) < 36
        and sum(s > 0 for s in steps) > len(steps) / 2
    )
