"""What was typed on the page for pictures, as it was saved, and the notes that come of it. The page itself decides nothing.

The file is JSON: `answers` 1, the `day` of boxes that have none, and for each sheet its serial, the `values` of its places and
the places that were `asked` about. Anybody may have edited it, so every value is checked.
"""

from __future__ import annotations

import json
import re
from collections.abc import Collection, Mapping
from typing import Any

from ..collection.model import Collection as Trees
from ..diagnostics import stop
from ..storage.printed import SERIAL_FORM, Ledger
from .sheet_values import NOTHING, Values, is_list, sheet_notes

VERSION = 1
_NAME = re.compile(
    r"by|(?:line|job|day|vigour)[A-Za-z0-9.-]{1,16}|(?:line|job|day|vigour|(?:say|told) [\w .,-]{1,60}):[^\n]{1,80}"
)
MOST_CHARACTERS = 2_000


def is_answers(raw: bytes) -> bool:
    """Whether bytes are the answers that the page saves, told by how they begin."""
    return re.match(rb'\s*\{\s*"answers"\s*:', raw.removeprefix(b"\xef\xbb\xbf")) is not None


def notes_of_answers(raw: bytes, shown: str, ledger: Ledger, trees: Trees) -> str:
    """The notes that the answers come to. Raises ProblemsFound for a file that is damaged."""
    try:
        said = json.loads(raw.decode("utf-8-sig"))
        sheets = [(str(s["serial"]), _values(s), ledger.sheets.get(str(s["serial"]))) for s in said["sheets"]]
        day, version = _text(said.get("day", "")), said["answers"]
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        raise stop("these answers are damaged", path=shown, hint="save them again from the page") from None
    if version != VERSION:
        raise stop(f"answers of version {version} are not known", path=shown, hint="read the pictures again")
    unknown = next(
        (serial for serial, _, sheet in sheets if sheet is None or not re.fullmatch(SERIAL_FORM, serial)), ""
    )
    if unknown:
        raise stop(f"no sheet has the serial {unknown[:20]}", path=shown, hint="its record is missing in printed/")
    there = typed_before(trees, {serial for serial, _, _ in sheets})
    return "".join(
        sheet_notes(serial, is_list(sheet), values, day, there[serial]) for serial, values, sheet in sheets if sheet
    )


def _values(sheet: Mapping[str, Any]) -> Values:
    """The places' values; what was asked and left empty says that nothing stands there."""
    asked = {str(name) for name in sheet.get("asked", ())}
    values = {str(name): _text(value) for name, value in sheet["values"].items()}
    if not all(_NAME.fullmatch(name) for name in values):
        raise ValueError("a place that no sheet has")
    return {name: value or (NOTHING if name in asked else "") for name, value in values.items()}


def _text(value: Any) -> str:
    if not isinstance(value, str) or len(value) > MOST_CHARACTERS:
        raise ValueError("no text")
    return " ".join(value.split())


def typed_before(trees: Trees, serials: Collection[str]) -> dict[str, set[str]]:
    """The lines and letters of these sheets that the log has already: they need no day."""
    found: dict[str, set[str]] = {serial: set() for serial in serials}
    sources = (source for tree in trees.trees for entry in tree.log for source in entry.sources)
    for source in sources:
        serial, _, ident = source.partition("/")
        if serial in found:
            found[serial].add(ident.split(".")[0])
    return found
