"""What a species' name in a grower's table comes to."""

from __future__ import annotations

from ..values import dataclass


@dataclass(frozen=True, slots=True)
class SpeciesAnswer:
    """What a species' name comes to: as it is written, or the names it may stand for, or what to do about it."""

    written: str = ""
    choices: tuple[str, ...] = ()
    why: str = ""
    hint: str = ""
    group: str = ""
