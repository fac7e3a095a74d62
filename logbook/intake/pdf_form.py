"""A filled form becomes typed notes: the same text a grower would have typed, and the same way from there on.

Only the fields' values are read, in a process of its own with limits on time and memory: a PDF from anywhere may be built to
exhaust a reader. Run as a module it reads a PDF from standard input and prints the fields as JSON.
"""

from __future__ import annotations

import io
import json
import logging
import re
import subprocess
import sys
import tempfile
from collections.abc import Collection, Iterator, Mapping
from pathlib import Path
from typing import TYPE_CHECKING, Any

from ..diagnostics import stop
from ..storage.own_limits import limit_self

if TYPE_CHECKING:
    from pypdf import PdfReader

MOST_BYTES = 50_000_000
MOST_SECONDS = 20
MOST_MEMORY = 1_500_000_000
MOST_FIELDS = 50_000
_NAME = re.compile(r"s(\d{5,6})(\d)_(line|day|job|vigour)([0-9A-Za-z]{1,4})")
_FAILURES = {
    "encrypted": ("the PDF is locked with a password", "save it without one, then give it again"),
    "broken": ("the PDF can't be read", "save it again from the viewer it was filled in"),
    "many": (f"the PDF has more than {MOST_FIELDS:,} fields", "is this a form of 'sheets --form'?"),
    "limits": ("the PDF takes too long or too much memory to read", "is this a form of 'sheets --form'?"),
}


def is_pdf(raw: bytes) -> bool:
    """Whether bytes begin as a PDF does, some rubbish before it allowed (ISO 32000-1, annex H)."""
    return b"%PDF-" in raw[:1024]


def text_if_form(raw: bytes, shown: str, day: str = "") -> str | None:
    """The notes that a filled form amounts to; None for a PDF that is sound and holds no form of ours, as a scan does.

    `day` is for boxes that have none. Raises ProblemsFound where the PDF is locked, broken or a trap.
    """
    if len(raw) > MOST_BYTES:
        raise stop(f"the PDF is larger than {MOST_BYTES // 1_000_000} MB", path=shown, hint=_FAILURES["many"][1])
    found = _fields_apart(raw)
    if found == "none":
        return None
    if isinstance(found, str):
        message, hint = _FAILURES[found]
        raise stop(message, path=shown, hint=hint)
    return notes_of(found, day)


def notes_of(fields: Mapping[str, str], day: str = "") -> str:
    """Typed notes out of field values: lines, ticked jobs with their days, the vigour box; by sheet."""
    sheets: dict[str, dict[tuple[str, str], str]] = {}
    for name, value in fields.items():
        found = _NAME.fullmatch(name)
        if found and value.strip():
            sheets.setdefault(f"{found[1]}-{found[2]}", {})[found[3], found[4]] = " ".join(value.split())
    return "".join(f"sheet {serial}\n{lines_of(filled, day)}" for serial, filled in sorted(sheets.items()))


def lines_of(filled: Mapping[tuple[str, str], str], day: str = "", there: Collection[str] = ()) -> str:
    """The lines of one record sheet out of what stands in its places, by kind and id.

    `day` is for boxes that have none, but not for those `there`, which were typed before.
    """
    rows = [row for (kind, ident), value in filled.items() for row in _row_of(kind, ident, value, filled, day, there)]
    scores = " or ".join(sorted(ident for kind, ident in filled if kind == "vigour"))
    if scores:
        words = ("V", "" if "V" in there else day, scores)
        rows.append((3, 0, "V", " ".join(word for word in words if word)))
    return "".join(f"{text}\n" for *_, text in sorted(rows))


_Row = tuple[int, int, str, str]  # undated boxes, lines, dated boxes, vigour; then by number, by letter; the text


def _row_of(
    kind: str, ident: str, value: str, filled: Mapping[tuple[str, str], str], day: str, there: Collection[str]
) -> list[_Row]:
    if kind == "line":
        return [(1, int(ident) if ident.isdecimal() else 0, ident, f"{ident} {value}")]
    if kind == "job":  # those without a day first: none may take another box's or line's
        own = filled.get(("day", ident), "") or ("" if ident in there else day)
        return [(2 if own else 0, 0, ident, f"{ident} {own}".rstrip())]
    if kind == "day" and ("job", ident) not in filled:
        return [(2, 0, ident, f"{ident} {value} (the box is not ticked)")]
    return []


# run apart from the folder that is current: what lies there is a grower's, and is never imported
_ROOT = Path(__file__).resolve().parents[2]
_HELPER = "import sys; sys.path.insert(0, sys.argv[1]); from logbook.intake.pdf_form import main; main()"


def _fields_apart(raw: bytes) -> dict[str, str] | str:
    """The fields, or the name of what went wrong; read in another process."""
    words = [sys.executable, "-I", "-c", _HELPER, str(_ROOT)]
    try:
        with tempfile.TemporaryDirectory(prefix="benchleaf-form-") as folder:
            done = subprocess.run(
                words, input=raw, capture_output=True, timeout=MOST_SECONDS + 10, check=False, cwd=folder
            )
    except subprocess.TimeoutExpired:
        return "limits"
    if done.returncode != 0:
        return "limits"
    told = json.loads(done.stdout)
    return str(told["failure"]) if told.get("failure") else dict(told["fields"])


def _opens_freely(reader: PdfReader) -> bool:
    """Whether the PDF opens without a password, as one does that is only kept from being changed."""
    from pypdf.errors import DependencyError

    try:
        return bool(reader.decrypt(""))
    except DependencyError:  # a cipher that no library here knows
        return False


def read_fields(raw: bytes) -> dict[str, object]:
    """Field values by name, or {"failure": …}."""
    from pypdf import PdfReader

    logging.disable(logging.CRITICAL)
    reader = PdfReader(io.BytesIO(raw), strict=False)
    if reader.is_encrypted and not _opens_freely(reader):
        return {"failure": "encrypted"}
    form = reader.trailer["/Root"].get_object().get("/AcroForm")  # type: ignore[union-attr]
    values: dict[str, str] = {}
    for count, (name, field) in enumerate(_fields_of(form.get_object() if form is not None else {}), start=1):
        if count > MOST_FIELDS:
            return {"failure": "many"}
        if _NAME.fullmatch(name):
            value = _value_of(field)
            values[name] = value or values.get(name, "")
    return {"fields": values} if values else {"failure": "none"}


def _value_of(field: Any) -> str:
    """What stands in a field, `x` for a box that is ticked; an empty string where nothing does."""
    value = field.get("/V")
    value = value.get_object() if value is not None else None
    if not isinstance(value, str) or value == "/Off":
        return ""
    return "x" if value and str(field.get("/FT", "/Tx")) == "/Btn" else value


def _fields_of(form: Any) -> Iterator[tuple[str, Any]]:
    """The fields of a form in their order with their names, each once; a nameless one has the name of the one above it."""
    from pypdf.generic import IndirectObject

    waiting: list[tuple[Any, str]] = [(kid, "") for kid in reversed(form.get("/Fields", []))]
    seen: set[tuple[int, int]] = set()
    while waiting:
        raw_field, above = waiting.pop()
        if isinstance(raw_field, IndirectObject):
            spot = (raw_field.idnum, raw_field.generation)
            if spot in seen:
                continue
            seen.add(spot)
        field = raw_field.get_object()
        name = str(field.get("/T", "")) or above
        yield name, field
        waiting += [(kid, name) for kid in reversed(field.get("/Kids", []))]


def main() -> None:
    """Read a form from standard input in a process of its own, with limits, and print its values as JSON."""
    limit_self(MOST_SECONDS, MOST_MEMORY)
    raw = sys.stdin.buffer.read(MOST_BYTES + 1)
    try:
        told = read_fields(raw)
    except MemoryError:
        told = {"failure": "limits"}
    except Exception:  # a reader of other people's files: whatever it trips over, the file is what is broken
        told = {"failure": "broken"}
    sys.stdout.write(json.dumps(told))
