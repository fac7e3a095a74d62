"""How many pixels of a picture are decoded at all, told by its head: a small file may unfold to gigabytes."""

from __future__ import annotations

SCALED_PIXELS = 250_000_000  # of one that its decoder can make smaller as it goes, a few rows at a time
WHOLE_BYTES = 120_000_000  # of one that is in memory whole, with a copy or two
GRAY = ("1", "L")


def most_pixels(kind: str | None, mode: str = "RGB", *, progressive: bool) -> int:
    """The limit for a picture of this format and mode; a progressive JPEG is held whole while it is decoded."""
    if kind in ("JPEG", "MPO") and not progressive:
        return SCALED_PIXELS
    return WHOLE_BYTES if mode in GRAY else WHOLE_BYTES // 3
