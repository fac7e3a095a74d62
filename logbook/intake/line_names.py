"""What names a typed line and the entry it makes: the sheet's line, the tree and its content, its own words. Pure."""

from __future__ import annotations

import hashlib
import json
from collections.abc import Mapping, Sequence

from ..collection.model import Entry
from ..collection.yaml_editor import Value
from .grammar.readings import Reading


def next_source(source: str, log: Sequence[Entry]) -> str:
    """A source of its own for a correction: the line's number with the next free point."""
    taken = {source for e in log for source in e.sources}
    stem = source.split(".")[0]
    return next(f"{stem}.{n}" for n in range(2, 100) if f"{stem}.{n}" not in taken)


def source_of(reading: Reading, part: int) -> str:
    """The line of a sheet that a part of a reading stands on, as `from` names it; empty where it stands on none."""
    if reading.sheet is None:
        return ""
    return f"{reading.sheet.serial}/{reading.line}" + (f".{part}" if part else "")


def is_header(reading: Reading) -> bool:
    """Whether it is a header that was not understood."""
    return bool(reading.fault) and reading.header


def words_of(reading: Reading) -> str:
    """The line's words with one space between them."""
    return " ".join(reading.text.split())


def key_of(reading: Reading, tag: str, source: str, part: int, entry: Mapping[str, Value] | None = None) -> str:
    """What names a typed entry: its sheet line, or the tree with the entry's own content."""
    if source:
        return f"{tag} {source}"
    content = json.dumps(entry, sort_keys=True, default=str) if entry else f"{words_of(reading)} {part}"
    return f"{tag} {hashlib.sha256(content.encode()).hexdigest()[:16]}"
