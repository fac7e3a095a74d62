"""The sums at which marks come, in the weighted measure of `warmth`: settings, each with where it comes from.

Groups and species are given in the older plain measure (degree-days above 0 °C from 1 March; south: 1 September) and are
converted by one table; species that were measured in the weighted measure itself carry their own.
"""

from __future__ import annotations

from collections.abc import Mapping

from ..horticulture.warmth_sums import FARTHEST, PAIRS, weighted_sum

_START_IN_FEBRUARY = 5.0  # what January's warmth held of the sums below, which were measured from 1 January
# Bud break and three-quarter leaf, counted from 1 January: Harvard Forest Archive hf003 (J. O'Keefe, CC BY) with the forest's daily
# temperatures. The first of each pair is `open`; the second serves tests only. (The record's rhododendron, 710 and 1434, is left out:
# it would stand for azaleas from other winters.)
MEASURED_AT_HARVARD_FOREST: Mapping[str, tuple[float, float]] = {
    "Acer saccharum": (445, 961),
    "Acer rubrum": (555, 1223),
    "Acer pensylvanicum": (555, 1223),
    "Betula alleghaniensis": (579, 1106),
    "Betula lenta": (629, 1144),
    "Betula papyrifera": (487, 1032),
    "Fraxinus americana": (656, 1479),
    "Fagus grandifolia": (579, 1032),
    "Quercus alba": (739, 1479),
    "Quercus rubra": (579, 1305),
    "Prunus serotina": (261, 1032),
    "Amelanchier": (425, 1069),
    "Crataegus": (466, 1183),
    "Ilex verticillata": (604, 1524),
    "Tsuga canadensis": (1144, 2016),
    "Pinus strobus": (1664, 3098),
}
# Full bloom of cherries: 396 at 43 places of Japan, 435 at Klein-Altendorf (open records of bloom).
CHERRY_BLOOM = 410.0
CHERRIES = (
    "Prunus × yedoensis",
    "Prunus serrulata",
    "Prunus jamasakura",
    "Prunus speciosa",
    "Prunus × subhirtella",
    "Prunus avium",
)


def weighted(plain: float) -> float:
    """A plain sum in the weighted measure, linear between the table's figures and along its last line beyond them."""
    if plain <= FARTHEST:
        return weighted_sum(plain)
    (old, new), (next_old, next_new) = PAIRS[-2:]
    return new + (next_new - new) * (plain - old) / (next_old - old)


def sums_of(
    group: Mapping[str, float], species: str = "", own: Mapping[str, float] | None = None
) -> dict[str, float]:
    """Weighted sums of the marks swell, open and flower (those there are) for a species of a group.

    `group` and `own` (the species' own, where it differs) are plain sums. A measured `open` outranks both, and swell keeps the
    proportion that the group has between swell and open. `hardened` is no such sum: see `hardened_gap`.
    """
    plain = {**group, **(own or {})}
    found: dict[str, float] = {mark: weighted(plain[mark]) for mark in ("swell", "open", "flower") if mark in plain}
    opened = measured_open(species)
    if opened is not None and "open" in group:
        found["open"] = opened
        if "swell" in group:
            found["swell"] = opened * weighted(group["swell"]) / weighted(group["open"])
    if species in CHERRIES:
        found["flower"] = CHERRY_BLOOM
    return found


def measured_open(species: str) -> float | None:
    """The weighted sum at which a measured species, or a species of a genus measured as a whole, opens; else None."""
    words = species.split()
    genus = words[0] if words else ""
    pair = MEASURED_AT_HARVARD_FOREST.get(species) or MEASURED_AT_HARVARD_FOREST.get(genus)
    return pair[0] - _START_IN_FEBRUARY if pair else None


def hardened_gap(group: Mapping[str, float]) -> float | None:
    """Plain degree-days above 0 °C from open to hardened, °C·d; None for groups without such marks."""
    if "hardened" not in group or "open" not in group:
        return None
    return group["hardened"] - group["open"]
