"""What was printed: sheets with serials, their lines, boxes and offered jobs, one JSON file a run in `printed/`.

The ledger carries what paper and notes both need, places in mm included, so that a sheet printed today can still be
read after the code has changed; `printed_text.py` has its two formats. Serials are five digits and an ISO 7064 MOD 11,10
check digit: `00142-4`; six digits once half of those are used up.
"""

from __future__ import annotations

import random
import re
from collections.abc import Mapping, Sequence
from dataclasses import field
from datetime import date
from functools import cached_property
from pathlib import Path

from ..diagnostics import Place, Problem, nearest, stop
from ..values import dataclass
from .disk import names_in, read_regular, why
from .printed_checks import SERIAL_FORM
from .printed_sheet import Offered, Sheet, Spot
from .printed_text import Record, read_run, run_text, spare_text

__all__ = [
    "FOLDER",
    "LETTERS",
    "SEEN",
    "SERIAL_FORM",
    "Ledger",
    "Offered",
    "Record",
    "Sheet",
    "Spot",
    "check_digit",
    "draw_serials",
    "field_name",
    "is_serial",
    "load_ledger",
    "run_text",
    "serial_in",
    "serial_owners",
    "serial_typed",
    "spare_run",
    "with_page",
]  # fmt: skip

FOLDER = "printed"
_DAMAGED = (OSError, ValueError, KeyError, TypeError, AttributeError, IndexError, RecursionError)
MOST_BYTES = 50_000_000  # of a run: a thousand sheets take one
DIGITS = (5, 6)  # of a serial before its check digit
SEEN = ("square", "code")
LETTERS = "ACDEFGHJKLMNPQRTUWXY"  # no B I O S Z (read as digits) and no V (the vigour boxes)


@dataclass(frozen=True)
class Ledger:
    """Every sheet on record, by serial; a serial with two owners is in `doubled` and waits. `spare`: numbers on spare tags."""

    sheets: Mapping[str, Sheet] = field(default_factory=dict)
    doubled: frozenset[str] = frozenset()
    problems: tuple[Problem, ...] = ()
    spare: tuple[str, ...] = ()

    def nearest(self, serial: str) -> str:
        """The known serial closest to one that is unknown, or an empty string."""
        return nearest(serial, self.sheets, 0.7)

    def last_fronts(self, tag: str) -> set[str]:
        """What the fronts said that were printed for a tree on the latest day, as hashes."""
        wanted = tag.casefold()
        found = [(s.day, front) for s in self._of(tag) for t, front in s.fronts.items() if t.casefold() == wanted]
        latest = max((day for day, _ in found), default=None)
        return {front for day, front in found if day == latest}

    def asked_since(self, tag: str, day: date) -> set[str]:
        """Questions printed on a tree's own sheets from that day on."""
        wanted = tag.casefold()
        sheets = (s for s in self._of(tag) if s.day >= day and [t.casefold() for t in s.tags] == [wanted])
        return {ask for sheet in sheets for ask in sheet.asks}

    def out_for(self, tag: str) -> list[Sheet]:
        """Sheets that carry lines of a tree, latest first."""
        return sorted(self._of(tag), key=lambda s: s.day, reverse=True)

    def _of(self, tag: str) -> Sequence[Sheet]:
        """The sheets of a tree by day, the earliest first."""
        return self._by_tag.get(tag.casefold(), ())

    @cached_property
    def _by_tag(self) -> dict[str, list[Sheet]]:
        found: dict[str, list[Sheet]] = {}
        for sheet in sorted(self.sheets.values(), key=lambda s: s.day):
            for tag in dict.fromkeys(t.casefold() for t in sheet.tags):
                found.setdefault(tag, []).append(sheet)
        return found


def field_name(serial: str, kind: str, ident: str) -> str:
    """The name of a form's field: `s001424_line3`. No dots, which PDF gives another meaning."""
    return f"s{serial.replace('-', '')}_{kind}{ident}"


def serial_typed(text: str) -> str:
    """A serial as printed, where the hyphen may have been forgotten; anything else as it came, in capitals."""
    bare = text.replace("-", "")
    return f"{bare[:-1]}-{bare[-1]}" if re.fullmatch(r"[0-9]{6,7}", bare) else text.upper()


def with_page(code: str, page: int, first: int) -> str:
    """A code's text for one page of a sheet: the first says only the sheet's, the others their number behind a `/`."""
    return code if page == first else f"{code}/{page}"


def serial_in(code: str) -> tuple[str, int]:
    """Serial and page out of a code's text; page 0 is the sheet's first, an empty serial says that it names no sheet."""
    last = code.rpartition("#")[2]
    serial, _, page = last.partition("/")
    if is_serial(serial) and (not page or (page.isascii() and page.isdecimal() and len(page) < 4)):
        return serial, int(page or 0)
    return "", 0


def check_digit(number: str) -> str:
    """The check digit of a row of digits: ISO 7064, the hybrid system MOD 11,10."""
    product = 10
    for digit in number:
        product = ((product + int(digit)) % 10 or 10) * 2 % 11
    return str((11 - product) % 10)


def is_serial(text: str) -> bool:
    """Whether a text has the form of a serial and its check digit holds."""
    return re.fullmatch(SERIAL_FORM, text) is not None and check_digit(text[:-2]) == text[-1]


def draw_serials(count: int, ledger: Ledger, seed: int | None = None) -> list[str]:
    """`count` free serials, from the system's randomness; with a `seed` the same ledger gives the same ones.

    A run is drawn from five digits while no more than half of those are used, else from six, so that a draw never has to
    be made often. Raises ProblemsFound where half of both are used.
    """
    draw = random.SystemRandom() if seed is None else random.Random(seed)
    used = set(ledger.sheets) | ledger.doubled
    digits = _digits(count, used)
    serials: list[str] = []
    while len(serials) < count:
        number = f"{draw.randrange(10**digits):0{digits}d}"
        serial = f"{number}-{check_digit(number)}"
        if serial not in used:
            used.add(serial)
            serials.append(serial)
    return serials


def _digits(count: int, used: set[str]) -> int:
    """How many digits a run of serials takes. Raises ProblemsFound where there is no room for it."""
    for digits in DIGITS:
        taken = sum(len(serial) == digits + 2 for serial in used)
        if (taken + count) * 2 <= 10**digits:
            return digits
    raise stop("there are not enough free serials", path=f"{FOLDER}/", hint="move old files of this folder elsewhere")


def load_ledger(folder: Path) -> Ledger:
    """Read every run in `printed/`. A damaged file is a problem, and the rest is still read.

    Raises ProblemsFound where the folder is there and can't be read: every serial would look free.
    """
    sheets: dict[str, Sheet] = {}
    doubled: set[str] = set()
    problems: list[Problem] = []
    spare: list[str] = []
    for name in _names(folder):
        try:
            found, numbers = read_run(read_regular(folder / FOLDER / name, MOST_BYTES).decode("utf-8"))
        except _DAMAGED:
            problems.append(
                Problem(
                    "this record of printed sheets is damaged",
                    Place(f"{FOLDER}/{name}"),
                    "restore it from a backup; its sheets can't be typed in without it",
                )
            )
            continue
        spare += numbers
        for sheet in found:
            if sheet.serial in sheets and sheets[sheet.serial] != sheet:
                doubled.add(sheet.serial)
            sheets[sheet.serial] = sheet
    for serial in doubled:
        del sheets[serial]
    return Ledger(sheets, frozenset(doubled), tuple(problems), tuple(spare))


def serial_owners(folder: Path) -> dict[str, list[str]]:
    """The records that name each serial."""
    owners: dict[str, list[str]] = {}
    for name in _names(folder):
        for sheet in _run(folder, name)[0]:
            owners.setdefault(sheet.serial, []).append(name)
    return owners


def _run(folder: Path, name: str) -> tuple[list[Sheet], list[str]]:
    """A run's sheets and spare numbers; none where it is damaged."""
    try:
        return read_run(read_regular(folder / FOLDER / name, MOST_BYTES).decode("utf-8"))
    except _DAMAGED:
        return [], []


def _names(folder: Path) -> list[str]:
    try:
        names = names_in(folder / FOLDER)
    except FileNotFoundError:
        return []
    except OSError as error:
        raise stop(
            f"the records of printed sheets can't be read: {why(error)}",
            path=f"{FOLDER}/",
            hint="it has to be a folder that may be opened",
        ) from None
    return [name for name in names if name.endswith(".json") and not name.startswith(".")]


def spare_run(day: date, tags: list[str]) -> tuple[str, str]:
    """File name and JSON text of a run of spare tags, whose numbers are given to no other tree."""
    return f"{day.isoformat()}-spare-{tags[0]}.json", spare_text(tags)
