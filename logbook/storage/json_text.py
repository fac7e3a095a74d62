"""JSON for files that people may look into: one value a line, as `json.dumps(…, indent=1)` writes it, many times as fast.

The standard library leaves its compiled encoder as soon as lines are broken. What holds no further lists or mappings is
written by that encoder here, with a separator that breaks the line.
"""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from json import JSONEncoder
from typing import Any


def json_text(data: Mapping[str, Any]) -> str:
    """The text of a file, its last line ended; characters beyond ASCII stand as they are."""
    return _text(data, 0) + "\n"


def _text(value: Any, depth: int) -> str:
    if not isinstance(value, (dict, list, tuple)) or not value:
        return _encoder(0).encode(value)
    values = value.values() if isinstance(value, dict) else value
    inner = "\n" + " " * (depth + 1)
    if not any(isinstance(one, (dict, list, tuple)) for one in values):
        flat = _encoder(depth + 1).encode(value)
        return f"{flat[0]}{inner}{flat[1:-1]}{inner[:-1]}{flat[-1]}"
    if isinstance(value, dict):
        rows = [f"{_encoder(0).encode(key)}: {_text(one, depth + 1)}" for key, one in value.items()]
        return f"{{{inner}{f',{inner}'.join(rows)}{inner[:-1]}}}"
    return f"[{inner}{f',{inner}'.join(_text(one, depth + 1) for one in value)}{inner[:-1]}]"


@cache
def _encoder(depth: int) -> JSONEncoder:
    """The compiled encoder, whose items stand on lines of their own at this depth."""
    return JSONEncoder(ensure_ascii=False, separators=(f",\n{' ' * depth}", ": "))
