"""Monthly tables in any shape taken apart into series: one row of months each, with what is written beside it.

Months may be rows or columns, named, numbered or unnamed; pairs may stand in one cell; °F and °C may stand side by side.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import field
from itertools import pairwise

from ..values import dataclass
from .loose_table import Line, LooseTable, clean, cut, is_missing, number
from .weather_words import kind_of, month_of, months_in

_NUMBER = r"-?\d+(?:[.,]\d+)?"
_YEARS = re.compile(r"\(?\b((?:18|19|20)\d\d)\s*(?:[-/]|to|bis)\s*((?:(?:18|19|20)\d\d)|\d\d)\b\)?")
_DUAL = re.compile(rf"({_NUMBER})\s*\(\s*({_NUMBER})\s*\)")
_PAIR = re.compile(rf"({_NUMBER}\s*°?[CF]?)\s*(?:/|\.\.\.?|…|\bto\b|\bbis\b)\s*(?={_NUMBER})")
_LISTED = re.compile(r"^\s*[\"']?([^\[\]:\"']*)[\"']?\s*:\s*\[([^\]]*)\],?\s*$")
_ANNUAL = re.compile(r"\W*(?:year|annual|mean\b|average|total|jahr|ann|año|anno|an\b|avg|sum)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Series:
    """One quantity by month (1…12), as written. `other` holds the numbers that stood in brackets beside them."""

    label: str
    values: dict[int, float]
    line: int
    source: str = ""
    other: dict[int, float] = field(default_factory=dict)
    annual: float | None = None
    units: frozenset[str] = frozenset()  # written beside the values


@dataclass(frozen=True, slots=True)
class Shape:
    """All series of a text, how they lay, the years they cover, months that stand twice, and the text's own lines."""

    series: tuple[Series, ...]
    layout: str
    years: str
    lines: tuple[str, ...]
    separator: str = ""
    doubled: tuple[int, int] | None = None  # month, line
    bare: tuple[float, ...] = ()  # numbers of a text that has no months


def shape_of(text: str) -> Shape:
    """The series in a text; none where it holds no monthly figures."""
    years = ""
    rows: list[str] = []
    for raw in text.removeprefix("\ufeff").splitlines():
        line = clean(raw)
        found = _YEARS.search(line)
        if found and not years:
            years = f"{found[1]}-{found[2] if len(found[2]) == 4 else found[1][:2] + found[2]}"
        rows.append(_plain(_YEARS.sub(" ", line)))
    lined = _one_month_a_line("\n".join(rows))
    table = cut(lined)
    series, layout, doubled = _by_columns(table)
    if not series:
        series, layout, doubled = _by_rows(table)
    if not series and not doubled:
        series, layout = _unnamed(table)
    bare = () if series else tuple(n.value for line in table.lines for c in line.cells if (n := number(c)))
    return Shape(tuple(series), layout, years, tuple(rows), table.separator_told, doubled, bare)


def _plain(line: str) -> str:
    """A line with lists, pairs and brackets written as cells."""
    listed = _LISTED.match(line)
    if listed:
        return ";".join([listed[1].strip(), *(p.strip() for p in listed[2].split(","))])
    joined = _DUAL.sub(r"\1(\2)", line)
    gap = ";" if ";" in line else "\t" if "\t" in line else "|" if "|" in line else " "
    return _PAIR.sub(rf"\1{gap}", joined)


def _one_month_a_line(text: str) -> str:
    """Lines that run through the months (`Jan -3 4, Feb -2 6, …`) cut into one a month."""
    found = []
    for line in text.splitlines():
        starts = [m.start() for m in re.finditer(r"[^\W\d]{3,}\.?", line) if month_of(m[0])]
        parts = [line[a:b] for a, b in pairwise([*starts, len(line)])]
        if len(parts) >= 2 and all(len(re.findall(_NUMBER, part)) >= 2 for part in parts):
            found += [part.strip(" ,;|") for part in parts]
        else:
            found.append(line)
    return "\n".join(found)


def _value(cell: str) -> tuple[float | None, float | None, str]:
    """A cell's number, the one in brackets behind it, and its unit."""
    dual = _DUAL.fullmatch(cell.strip())
    if dual:
        return float(dual[1].replace(",", ".")), float(dual[2].replace(",", ".")), ""
    found = number(cell)
    if found is None or is_missing(cell) or (found.flag and not found.unit):
        return None, None, ""
    return found.value, None, found.unit


def _is_value(cell: str) -> bool:
    return _value(cell)[0] is not None or is_missing(cell)


Found = tuple[list[Series], str, tuple[int, int] | None]


def _by_columns(table: LooseTable) -> Found:
    """Months across: a head of months, and rows of values under it."""
    series: list[Series] = []
    head: tuple[list[int], int] | None = None
    for line in table.lines:
        months = months_in(line.cells)
        if len(months) >= 2 and sum(_value(c)[0] is not None for c in line.cells) in (0, len(months)):
            start = min(months.values())
            order = sorted(months, key=lambda m: months[m])
            head = (order, len(line.cells) - start)
            continue
        if head is not None:
            found = _row_of_months(line, *head)
            if found is not None:
                series.append(found)
    return series, "months across", None


def _row_of_months(line: Line, order: Sequence[int], width: int) -> Series | None:
    """A row's label and its values under a head of so many months and columns; None for a line that is no such row."""
    cells = list(line.cells)
    tail = len(cells) - width if len(cells) > width else None
    begins = tail if tail is not None and all(_is_value(c) for c in cells[tail:]) else _first_value(cells)
    values = cells[begins:]
    if len(values) < len(order) or sum(_value(c)[0] is not None for c in values) < 2:
        return None
    label = " ".join(c for c in cells[:begins] if c)
    return _series(label, zip(order, values, strict=False), line, values[len(order) :])


def _first_value(cells: Sequence[str]) -> int:
    return next((n for n, c in enumerate(cells) if _value(c)[0] is not None), len(cells))


def _series(label: str, cells: Iterable[tuple[int, str]], line: Line, behind: Sequence[str] = ()) -> Series:
    read = {month: _value(cell) for month, cell in cells}
    annual = next((v for c in behind if (v := _value(c)[0]) is not None), None)
    return Series(
        label.strip(" :"),
        {m: v for m, (v, _, _) in read.items() if v is not None},
        line.number,
        line.source,
        {m: o for m, (_, o, _) in read.items() if o is not None},
        annual,
        frozenset(u for _, _, u in read.values() if u),
    )


def _by_rows(table: LooseTable) -> Found:
    """Months down: rows that begin with a month, in one block or in several that each have a line above them."""
    named = [(line, *_month_row(line)) for line in table.lines]
    if sum(month > 0 for _, month, _ in named) < 2:
        named = _numbered(table)
    blocks = _blocks(named)
    if isinstance(blocks, tuple):
        return [], "", blocks
    series = [s for head, rows in blocks for s in _columns_of(head, rows)]
    return series, "a row for each month", None


def _month_row(line: Line) -> tuple[int, list[str]]:
    """The month a row begins with (0 if with none) and the cells behind it."""
    for at, cell in enumerate(line.cells[:2]):
        month = month_of(cell)
        if (
            month
            and (at == 0 or number(line.cells[0]))
            and any(_value(c)[0] is not None for c in line.cells[at + 1 :])
        ):
            return month, list(line.cells[at + 1 :])
    return 0, []


def _numbered(table: LooseTable) -> list[tuple[Line, int, list[str]]]:
    """Rows that begin with 1 to 12, all twelve in order."""
    rows = [
        (line, int(line.cells[0].strip(" .")), list(line.cells[1:]))
        for line in table.lines
        if re.fullmatch(r"0?[1-9]|1[0-2]", line.cells[0].strip(" .")) and len(line.cells) > 2
    ]
    if [month for _, month, _ in rows] != list(range(1, 13)):
        return []
    first = rows[0][0].number
    return [*((line, 0, []) for line in table.lines if line.number < first), *rows]


Block = tuple[list[Line], list[tuple[Line, int, list[str]]]]


def _blocks(named: Sequence[tuple[Line, int, list[str]]]) -> list[Block] | tuple[int, int]:
    """Runs of month rows with the lines above them; (month, line) where a month stands twice in one run."""
    blocks: list[Block] = []
    above: list[Line] = []
    for line, month, cells in named:
        if not month:
            if not _ANNUAL.match(line.cells[0]) or not any(_value(c)[0] is not None for c in line.cells):
                above.append(line)
            continue
        if not blocks or (above and len(blocks[-1][1]) > 1 and month in [m for _, m, _ in blocks[-1][1]]):
            blocks.append((above, []))
        if month in [m for _, m, _ in blocks[-1][1]]:
            return month, line.number
        blocks[-1][1].append((line, month, cells))
        above = []
    return blocks


def _columns_of(above: Sequence[Line], rows: Sequence[tuple[Line, int, list[str]]]) -> list[Series]:
    """The columns of a block of month rows as series, named by the head above them where it has one word group for each."""
    width = max(len(cells) for _, _, cells in rows)
    heads = _heads(above, width)
    if width == 1 and above:  # the line above a block of single numbers is its title
        heads = [above[-1].source.strip()]
    found = []
    for at in range(width):
        cells = [(month, row[at]) for _, month, row in rows if at < len(row)]
        one = _series(heads[at], cells, rows[0][0])
        if one.values:
            found.append(one)
    return found


def _heads(above: Sequence[Line], width: int) -> list[str]:
    for line in reversed(above):
        cells = list(line.cells)
        known = [c for c in cells if kind_of(c)]
        if len(cells) in (width, width + 1) and known and not any(_value(c)[0] is not None for c in cells):
            return cells[-width:]
        merged = _merged(cells)
        if len(merged) in (width, width + 1) and len(merged) > 1:
            return merged[-width:]
    return [""] * width


def _merged(cells: Sequence[str]) -> list[str]:
    """`Month Mean min Mean max Rain` cut at spaces, put together again: a word without meaning, or `mean` before another, joins the next."""
    found: list[str] = []
    pending = ""
    for cell in cells:
        kind = kind_of(cell)
        if kind in ("mean", "temperature"):
            pending += f"{cell} "
        elif kind or month_of(cell):
            found.append(pending + cell)
            pending = ""
        elif found:
            found[-1] += f" {cell}"
    return [*found, pending.strip()] if pending.strip() else found


def _unnamed(table: LooseTable) -> tuple[list[Series], str]:
    """Rows of twelve numbers and more, or twelve rows of two: January first."""
    rows = [(line, [c for c in line.cells if _value(c)[0] is not None]) for line in table.lines]
    across = [_unheaded(line, cells) for line, cells in rows if len(cells) >= 12]
    if across:
        return across, "rows of twelve, January first"
    down = [(line, cells) for line, cells in rows if len(cells) >= 2]
    if len(down) != 12 or len({len(cells) for _, cells in down}) > 1:
        return [], ""
    months = [(line, month, cells) for month, (line, cells) in enumerate(down, start=1)]
    above = [line for line in table.lines if line.number < down[0][0].number]
    return _columns_of(above, months), "twelve rows, January first"


def _unheaded(line: Line, values: Sequence[str]) -> Series:
    label = " ".join(line.cells[: _first_value(line.cells)])
    return _series(label, enumerate(values[:12], start=1), line, values[12:])
