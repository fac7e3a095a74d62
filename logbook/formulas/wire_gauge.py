"""Wire to take: its size for a branch, its length along the helix, turns, mass, and two wires for one.

Gauges by ASTM B258. Densities: copper 8.89 g/cm³ (what published copper wire tables fit), aluminium 2.70 g/cm³. Most of this is geometry; that a third of the branch is the right size is common practice with no mechanical source.
"""

from __future__ import annotations

import math

from ..collection.units import awg_mm
from ..values import dataclass

GRAMS_PER_CM3 = {"copper": 8.89, "aluminium": 2.70}
SHARE_OF_BRANCH = 1 / 3  # aluminium; common practice, no source
# fully plastic moment σd³/6: d_al/d_cu = (48 MPa / 28 MPa)^(1/3); annealed OFHC copper (Smithells 8th ed., table 22.7),
# 1350-O aluminium (Aluminum Association), both from memory
COPPER_SHARE = (28 / 48) ** (1 / 3)
TWO_FOR_ONE = 2 ** (1 / 3)  # two equal wires hold as one of 1.26 times their diameter
ANCHOR_TURNS = 2
LAY_DEGREES = 45.0
# sizes as sold: aluminium in mm, copper by even gauges (4 to 20)
ALUMINIUM_MM = (1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0, 4.5, 5.0, 6.0)
COPPER_GAUGES = (20, 18, 16, 14, 12, 10, 8, 6, 4)


@dataclass(frozen=True, slots=True)
class Size:
    """One wire as sold: its metal, diameter in mm, and how it is named (`2.5 mm`, `10ga`)."""

    metal: str
    mm: float
    name: str

    @property
    def grams_a_metre(self) -> float:
        """Mass of a metre, g."""
        return math.pi / 4 * (self.mm / 10) ** 2 * 100 * GRAMS_PER_CM3[self.metal]


@dataclass(frozen=True, slots=True)
class Choice:
    """What to lay on a branch: one size, once or doubled."""

    size: Size
    count: int = 1

    def told(self) -> str:
        """The size's name, with the number of strands where they are several."""
        return f"{self.count} × {self.size.name}" if self.count > 1 else self.size.name


def sizes_of(metal: str) -> tuple[Size, ...]:
    """The sizes sold of a metal, thin to thick."""
    if metal == "copper":
        return tuple(Size(metal, awg_mm(n), f"{n}ga") for n in COPPER_GAUGES)
    return tuple(Size(metal, mm, f"{mm:g} mm") for mm in ALUMINIUM_MM)


def wanted_mm(branch_mm: float, metal: str) -> float:
    """The diameter that holds a branch of this diameter, mm."""
    return branch_mm * SHARE_OF_BRANCH * (COPPER_SHARE if metal == "copper" else 1.0)


def choose(branch_mm: float, metal: str) -> Choice | None:
    """The thinnest size that holds the branch, or two equal wires side by side; None where even those do not."""
    wish = wanted_mm(branch_mm, metal)
    for count, held in ((1, 1.0), (2, TWO_FOR_ONE)):
        for size in sizes_of(metal):
            if size.mm * held >= wish * 0.9:  # a size within a tenth will do
                return Choice(size, count)
    return None


def helix_length_mm(length_mm: float, base_mm: float, tip_mm: float, degrees: float = LAY_DEGREES) -> float:
    """Wire on a tapering branch, laid at an angle to its axis: length / (cos t · cos a), tan t = (D0 − D1)/(2L), mm.

    The wire's own thickness moves the helix outwards and leaves its length as it is.
    """
    taper = math.atan((base_mm - tip_mm) / (2 * length_mm))
    return length_mm / (math.cos(taper) * math.cos(math.radians(degrees)))


def helix_turns(
    length_mm: float, base_mm: float, tip_mm: float, wire_mm: float, degrees: float = LAY_DEGREES
) -> float:
    """Turns of that helix: tan a · ln(r0/r1) / (2π · sin t), with r = (D + d)/2; on a cylinder L · tan a / (2π r)."""
    slope = math.tan(math.radians(degrees))
    thick, thin = (base_mm + wire_mm) / 2, (tip_mm + wire_mm) / 2
    taper = math.atan((base_mm - tip_mm) / (2 * length_mm))
    if abs(taper) < 1e-6:
        return length_mm * slope / (2 * math.pi * thick)
    return slope * math.log(thick / thin) / (2 * math.pi * math.sin(taper))


def length_to_cut_mm(
    length_mm: float, base_mm: float, tip_mm: float, wire_mm: float, degrees: float = LAY_DEGREES
) -> float:
    """Length to cut for a branch: the helix, and two turns to anchor it at the base, mm."""
    anchor = ANCHOR_TURNS * math.pi * (base_mm + wire_mm)
    return helix_length_mm(length_mm, base_mm, tip_mm, degrees) + anchor
