"""A growth group: the trees that keep one calendar."""

from __future__ import annotations

from collections.abc import Mapping

from ..values import dataclass
from .species import RootPruning


@dataclass(frozen=True, slots=True)
class Group:
    """Trees that keep one calendar: degree-days of marks, °C the roots stand, mm a branch thickens in a year.

    Where the species is not known: `roots`, how much one repotting may take; `shade`, the mean daily maximum (°C) from
    which midday shade is usual; `active_night`, the mean night minimum (°C) from which it grows without a winter.
    `formerly`: the group it was part of before.
    """

    name: str
    marks: Mapping[str, float]
    root_limit: float
    thickening: float
    wire: str
    chill: bool
    roots: RootPruning = "medium"
    shade: float | None = None
    active_night: float = 12.0
    formerly: str = ""
