"""The one place that knows where the shipped layouts and the demo collection lie."""

from __future__ import annotations

from pathlib import Path

_PACKAGE = Path(__file__).resolve().parent


def shipped(name: str) -> Path:
    """The folder `name` ("layouts", "demo_collection"): inside an installed wheel, else beside the package."""
    inside = _PACKAGE / "_shipped" / name
    return inside if inside.is_dir() else _PACKAGE.parent / name
