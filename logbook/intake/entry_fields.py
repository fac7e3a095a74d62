"""From what was read to the fields of a log entry: in the order that files keep, lengths in the collection's own unit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from ..collection.units import Units, plain
from ..collection.yaml_editor import Value

ORDER = (
    "date",
    "work",
    "branches",
    "metal",
    "wire",
    "keep",
    "bite",
    "roots",
    "force",
    "pot",
    "mix",
    "measured",
    "vigour",
    "saw",
    "stage",
    "rest",
    "trouble",
    "did",
    "intend",
    "weighed",
    "feed",
    "minutes",
    "photo",
    "note",
)


def entry_of(part: Mapping[str, Any], day: date, source: str, units: Units) -> dict[str, Value]:
    """Entry fields in the order files keep them; lengths in the collection's own unit."""
    values: dict[str, Any] = {"date": day.isoformat(), **part}
    if "pot" in part:
        inner = [float(units.length_number(side)) for side in part["pot"]["inner"]]
        values["pot"] = {"shape": part["pot"]["shape"], "inner": [_simple(side) for side in inner]}
    if "measured" in part:
        values["measured"] = {
            n: v if n == "tips" else float(units.length_number(v)) for n, v in part["measured"].items()
        }
    entry: dict[str, Value] = {name: _simple(values[name]) for name in ORDER if name in values}
    if source:
        entry["from"] = source
    return entry


def _simple(value: Any) -> Value:
    if isinstance(value, float):
        return int(value) if value.is_integer() else float(plain(value))
    if isinstance(value, Mapping):
        return {name: _simple(item) for name, item in value.items()}
    if isinstance(value, list):
        return [_simple(item) for item in value]
    result: Value = value
    return result
