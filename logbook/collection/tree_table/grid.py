"""A grower's file as rows of cells: text cut by the separator that fits, bytes in the usual encodings, spreadsheets by an extra."""

from __future__ import annotations

import csv
import io
import re
from collections import Counter
from collections.abc import Iterator
from pathlib import Path

from ...diagnostics import Place, Problem, ProblemsFound, stop
from ...values import dataclass
from ..loose_table import SEPARATORS
from ..yaml_reader import file_bytes

QUOTE_OPEN = "unexpected end of data"  # what the csv module says
MOST_ROWS = 20_000
OTHER_BOOKS = (".ods", ".numbers", ".xls")
_CUTTERS = ("\t", ";", ",", "|")
_RULING = re.compile(r"[\s|:+=-]+")


@dataclass(frozen=True, slots=True)
class GridRow:
    """A row's cells, without spaces at their ends; the line of the file on which it begins, and that line."""

    number: int
    cells: tuple[str, ...]
    source: str = ""

    @property
    def filled(self) -> int:
        """How many cells hold something."""
        return sum(map(bool, self.cells))


@dataclass(frozen=True, slots=True)
class Grid:
    """The rows of a file that hold anything, and in words how it was read."""

    rows: tuple[GridRow, ...]
    told: tuple[tuple[str, str], ...] = ()


def grid_of(path: Path) -> Grid:
    """The rows of a text table. Raises ProblemsFound for a file that is none."""
    shown = str(path)
    if path.suffix.casefold() in OTHER_BOOKS:
        raise stop(
            "this kind of spreadsheet is not read", path=shown, hint="save it as CSV, or as .xlsx, and give that"
        )
    text, encoding = text_in(file_bytes(path, shown), shown)
    return grid_in(text, shown, encoding)


def text_in(raw: bytes, shown: str) -> tuple[str, str]:
    """Bytes as text, and the encoding where it is not UTF-8: those in which spreadsheets of the last decades were saved."""
    if raw.startswith((b"PK\x03\x04", b"\xd0\xcf\x11\xe0", b"%PDF")):
        raise stop("this is no text", path=shown, hint="save the sheet as CSV, and give that")
    if raw.startswith((b"\xff\xfe", b"\xfe\xff")):
        return raw.decode("utf-16", "replace"), "UTF-16"
    if raw[1:40:2].count(0) > 10:
        return raw.decode("utf-16-le", "replace"), "UTF-16"
    try:
        return raw.decode("utf-8-sig"), ""
    except UnicodeDecodeError:
        return _older(raw)


def _older(raw: bytes) -> tuple[str, str]:
    """Text from before UTF-8: Japanese where its letters come out Japanese, else the west's."""
    try:
        japanese = raw.decode("cp932")
    except UnicodeDecodeError:
        japanese = ""
    letters = [c for c in japanese if not c.isascii()]
    full = sum("\u3040" <= c <= "\u30ff" or "\u4e00" <= c <= "\u9fff" for c in letters)
    if letters and full >= 0.9 * len(letters) and full >= 4:
        return japanese, "Shift JIS"
    return raw.decode("cp1252", "replace"), "Windows-1252"


def grid_in(text: str, shown: str, encoding: str = "") -> Grid:
    """The rows of a text. Raises ProblemsFound where it is empty, too long, or a quoted cell is never closed."""
    plain = text.replace("\r\n", "\n").replace("\r", "\n")
    if not plain.strip():
        raise stop("the table is empty", path=shown, hint="its first row names the columns, as in: tag,species,name")
    told = [("encoding", encoding)] if encoding else []
    first, _, rest = plain.partition("\n")
    offset = 0
    said = re.fullmatch(r"sep=(.)", first.strip())  # what a spreadsheet writes for itself
    cutter = said[1] if said else _cutter(plain)
    if said:
        plain, offset = rest, 1
    rows = tuple(_rows(plain, cutter, shown, offset))
    return Grid(rows, (*told, ("separator", SEPARATORS.get(cutter, f"'{cutter}'"))))


def _cutter(text: str) -> str:
    """The separator by which most rows come to one length, of two cells or more."""
    best, most = ",", 0.0
    sample = "\n".join(text.split("\n")[:60])
    for cutter in _CUTTERS:
        try:
            lengths = [len(cells) for cells in csv.reader(io.StringIO(sample), delimiter=cutter) if any(cells)]
        except csv.Error:
            continue
        counted = Counter(length for length in lengths if length > 1)
        if not counted:
            continue
        length, often = counted.most_common(1)[0]
        score = often / len(lengths) + 0.01 * min(length, 20)
        if score > most:
            best, most = cutter, score
    return best


def _rows(text: str, cutter: str, shown: str, offset: int) -> Iterator[GridRow]:
    lines = text.split("\n")
    reader = csv.reader(io.StringIO(text), delimiter=cutter, strict=True, skipinitialspace=True)
    before = 0
    try:
        for cells in reader:
            number, before = before + 1, reader.line_num
            source = lines[number - 1] if number <= len(lines) else ""
            bare = _bare(cells, source, cutter)
            if any(bare):
                yield GridRow(number + offset, bare, source)
            if number > MOST_ROWS:
                raise stop(f"more than {MOST_ROWS:,} rows", path=shown, hint="give the table in parts")
    except csv.Error as error:
        closed = QUOTE_OPEN in str(error)
        what = "a quoted cell is never closed" if closed else f"the row can't be read: {error}"
        place = Place(shown, before + 1 + offset, 1)
        raise ProblemsFound([Problem(what, place, "check the double quotes")]) from None


def _bare(cells: list[str], source: str, cutter: str) -> tuple[str, ...]:
    """Cells without needless spaces; of a table with bars none for its ruling and its edge."""
    if cutter == "|" and _RULING.fullmatch(source):
        return ()
    edged = cutter == "|" and source.lstrip().startswith("|")
    return tuple(" ".join(cell.replace("\u00a0", " ").split()) for cell in cells[edged:])
