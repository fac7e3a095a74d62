"""From what was read to the fields of a log entry: in the order that files keep, lengths in the collection's own unit."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import Any

from ..collection.fields import ENTRY
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
    "bench",
    "by",
    "photo",
    "note",
)
_KEPT_AS_WORDS = {"bench": "moved to {}", "by": "by {}"}
_RECORDED = frozenset(ENTRY.by_key)


def _bearable(part: Mapping[str, Any]) -> dict[str, Any]:
    """The fields a log entry has; what it has none for stands in the remark."""
    odd = {
        name: form.format(part[name])
        for name, form in _KEPT_AS_WORDS.items()
        if name in part and name not in _RECORDED
    }
    said = [*odd.values(), *([part["note"]] if part.get("note") and odd else [])]
    kept = {name: value for name, value in part.items() if name not in odd}
    return {**kept, "note": "; ".join(said)} if odd else kept


def entry_of(part: Mapping[str, Any], day: date | str, source: str, units: Units) -> dict[str, Value]:
    """Entry fields in the order files keep them; lengths in the collection's own unit. `day` may be part of a date as text."""
    values: dict[str, Any] = {"date": day if isinstance(day, str) else day.isoformat(), **_bearable(part)}
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
