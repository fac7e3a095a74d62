"""Wire on a branch: one size, or several twisted side by side, as files and notes give them."""

from __future__ import annotations

import re
from collections.abc import Sequence

from ..units import wire_mm
from .base import NoteContext, bare
from .compound import Listing
from .numbers import LEAST_WIRE, MOST_WIRE, Wire

_WHOLE = re.compile(r"\d{1,2},?")
_PLAIN = re.compile(r"\d{1,2}(?:[.,]\d{1,3})?,?")


class WireSizes(Listing[float]):
    """Sizes of wire, mm. In a note a bare whole number is a size behind a metal only, and there only where no branch is meant."""

    def __init__(self) -> None:
        super().__init__(Wire(), "wire sizes", lone=True, bared=True)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[tuple[float, ...], int] | None:
        """Sizes one behind the other, in mm; None where a bare number may be a gauge or a branch."""
        metal = "metal" in note.had or note.named
        if metal and (run := _run_in_mm(tokens, "branches" in note.had)):
            return run
        sizes: list[float] = []
        at = 0
        while at < len(tokens) and (found := self.kind.typed(tokens[at:], note)) is not None:
            whole = found[1] == 1 and _WHOLE.fullmatch(tokens[at])
            if whole and not metal:
                break
            if whole and _may_be_another(note, bool(sizes)):
                return None
            sizes.append(found[0])
            at += found[1]
        return (tuple(sizes), at) if sizes else None


def _may_be_another(note: NoteContext, behind_a_size: bool) -> bool:
    """Whether a bare whole number behind a metal may be a gauge instead of millimetres, or a branch."""
    behind = behind_a_size or "wire" in note.had
    return note.units.us or (behind and "branches" not in note.had)


def _run_in_mm(tokens: Sequence[str], of_branches: bool) -> tuple[tuple[float, ...], int] | None:
    """`3, 2 mm`: sizes with commas between and one unit behind the last, as paper has them; whole ones only for named branches."""
    count = next((n for n, token in enumerate(tokens) if bare(token) == "mm"), 0)
    said = tokens[:count]
    if not said or not all(t.endswith(",") for t in said[:-1]):
        return None
    sizes = [wire_mm(bare(t)) for t in said if _PLAIN.fullmatch(t)]
    whole = any(_WHOLE.fullmatch(t) for t in said)
    if len(sizes) < len(said) or (whole and len(said) > 1 and not of_branches):
        return None
    found = tuple(size for size in sizes if size is not None and LEAST_WIRE <= size <= MOST_WIRE)
    return (found, count + 1) if len(found) == len(said) else None
