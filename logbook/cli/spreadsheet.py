"""A spreadsheet's first sheet as rows of cells. Needs the extra `spreadsheets`."""

from __future__ import annotations

import io
import zipfile
from datetime import date, datetime
from pathlib import Path

from ..collection.tree_table.grid import MOST_ROWS, Grid, GridRow, grid_of
from ..collection.yaml_reader import file_bytes
from ..diagnostics import stop
from ..extras import SPREADSHEETS, lacking

SUFFIXES = (".xlsx", ".xlsm")
MOST_COLUMNS = 200
MOST_UNPACKED = 100_000_000  # bytes


def file_grid(path: Path) -> Grid:
    """The rows of a text table or of a spreadsheet. Raises ProblemsFound for a file that is neither."""
    return (spreadsheet_grid if path.suffix.casefold() in SUFFIXES else grid_of)(path)


def spreadsheet_grid(path: Path) -> Grid:
    """The rows of the first sheet that hold anything. Raises ProblemsFound for a file that is no spreadsheet."""
    shown = str(path)
    raw = file_bytes(path, shown)  # no device, no giant
    if _unfolds_to(raw) > MOST_UNPACKED:
        raise stop(
            f"the spreadsheet unpacks to more than {MOST_UNPACKED // 1_000_000} MB",
            path=shown,
            hint="save the sheet alone as CSV and give that",
        )
    try:
        import openpyxl  # type: ignore[import-untyped] # an extra
    except ImportError:
        otherwise = "save the sheet as CSV and give that"
        raise lacking("reading a spreadsheet", SPREADSHEETS, path=shown, otherwise=otherwise) from None
    try:
        book = openpyxl.load_workbook(io.BytesIO(raw), read_only=True, data_only=True)
        sheet = book.worksheets[0]
        found = [
            GridRow(number, tuple(_told(value) for value in values[:MOST_COLUMNS]))
            for number, values in enumerate(sheet.iter_rows(values_only=True, max_row=MOST_ROWS), start=1)
        ]
        names = [one.title for one in book.worksheets]
    except Exception as error:
        raise stop(
            f"the spreadsheet can't be read: {error}", path=shown, hint="save it as CSV and give that"
        ) from None
    rows = tuple(row for row in found if row.filled)
    if not rows:
        raise stop("the table is empty", path=shown, hint="its first row names the columns, as in: tag,species,name")
    more = f"; not read: {', '.join(names[1:])}" if len(names) > 1 else ""
    return Grid(rows, (("sheet", f"{names[0]}{more}"),))


def _unfolds_to(raw: bytes) -> int:
    """How many bytes a packed file says that it holds; none for what is no packed file."""
    try:
        with zipfile.ZipFile(io.BytesIO(raw)) as packed:
            return sum(part.file_size for part in packed.infolist())
    except (zipfile.BadZipFile, ValueError, NotImplementedError, OSError):
        return 0


def _told(value: object) -> str:
    """A spreadsheet's value as text; days by ISO 8601."""
    if value is None:
        return ""
    if isinstance(value, datetime | date):
        return value.strftime("%Y-%m-%d")
    if isinstance(value, float) and value.is_integer():
        return str(int(value))
    return " ".join(str(value).split())
