"""How many pixels of a picture are decoded at all, told by its head: a small file may unfold to gigabytes."""

from __future__ import annotations

SCALED_PIXELS = 250_000_000  # of one that its decoder can make smaller as it goes, a few rows at a time
WHOLE_PIXELS = 40_000_000  # of one that is in memory whole, with a copy or two


def most_pixels(kind: str | None, *, progressive: bool) -> int:
    """The limit for a picture of this format; a progressive JPEG is held whole while it is decoded."""
    return SCALED_PIXELS if kind in ("JPEG", "MPO") and not progressive else WHOLE_PIXELS
