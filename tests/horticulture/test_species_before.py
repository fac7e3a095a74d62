"""Every name the tool knew before the register came still resolves, and to the same calendar but for those named here."""

from __future__ import annotations

from pathlib import Path

import yaml

from logbook.horticulture.loader import shipped_knowledge

KNOWLEDGE = shipped_knowledge()
BEFORE = yaml.safe_load((Path(__file__).parent / "species_of_before.yaml").read_text("utf-8"))["species"]
MOVED = {  # and those of before whose group has parted since
    "Cedrus atlantica": "spruce",
    "Cedrus libani": "spruce",
    "Cedrus deodara": "spruce",
    "Cedrus brevifolia": "spruce",
    "Lonicera nitida": "evergreen broadleaf",
    "Cotoneaster horizontalis": "fruit bearing deciduous",
}
PARTED = {
    "two-flush pine": {"several-flush pine"},
    "scale juniper": {"cypress"},
    "deciduous conifer": {"late deciduous conifer"},
    "flowering deciduous": {"fruit bearing deciduous", "new-wood flowering"},
    "azalea": {"early azalea", "satsuki azalea"},
    "tropical": {"succulent", "australasian evergreen"},
}
NAMES = [
    (name, group, line.endswith("!"))
    for group, lines in BEFORE.items()
    for line in lines
    for name in line.rstrip(" !").split(" = ")
]


def test_all_names_resolve_to_their_calendar() -> None:
    assert len(NAMES) == 288
    for name, group, poisonous in NAMES:
        found = KNOWLEDGE.group_of(name)
        assert found == MOVED.get(name, group) or (name not in MOVED and found in PARTED.get(group, ())), name
        assert KNOWLEDGE.is_poisonous(name) or not poisonous, name


def test_synonyms_of_before_mean_one_species() -> None:
    """Malpighia glabra was filed under M. emarginata; they are two species, often sold one as the other."""
    for lines in BEFORE.values():
        for line in lines:
            names = [n for n in line.rstrip(" !").split(" = ") if n != "Malpighia glabra"]
            assert len({found.name for n in names if (found := KNOWLEDGE.species_of(n))}) == 1, line
