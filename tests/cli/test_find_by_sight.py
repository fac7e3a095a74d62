"""The verb `find` with words as they are said at a pot: species by one of its names, and a trunk read off a calliper."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

from logbook.cli.common import Opened
from logbook.cli.find_by_sight import found_by_sight
from logbook.collection.load import load
from logbook.collection.yaml_editor import file_with
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden

from ..conftest import Answer, make_collection
from ..paper.gardens import TODAY, stress

Bench = Callable[..., Answer]
TREES = 60


def on_disk(folder: Path, seed: int) -> tuple[Path, dict[str, tuple[str, float]]]:
    """The trees of the stress collection with a trunk each: by tag its species and that trunk, mm."""
    draw = random.Random(seed)
    texts, known = {}, {}
    for tree in stress():
        trunk = round(draw.uniform(15, 120), 1)
        keys = {"tag": tree.tag, "species": tree.species} | ({"bench": tree.bench} if tree.bench else {})
        texts[tree.tag] = file_with(keys, [{"date": "2026-10-14", "measured": {"trunk": trunk}}])
        known[tree.tag] = (tree.species, trunk)
    return make_collection(folder, texts), known


def test_a_species_and_a_trunk_within_a_tenth_are_enough(tmp_path: Path) -> None:
    """At least 95 in 100 among the first three of sixty trees, over six draws of their trunks and of who measured."""
    knowledge = shipped_knowledge()
    hits = total = 0
    for seed in range(6):
        folder, known = on_disk(tmp_path / str(seed), seed)
        collection = load(folder, knowledge)
        opened = Opened(folder, collection, Garden(collection.settings, knowledge, collection.trees), TODAY)
        draw = random.Random(seed + 100)
        for tag, (species, trunk) in known.items():
            said = f"{species}, trunk {trunk * draw.uniform(0.9, 1.1):.0f}"
            hits += tag in [one.tree.tag for one in found_by_sight(said, opened)[:3]]
            total += 1
    assert total == 6 * TREES and hits >= 0.95 * total, (hits, total)


def test_the_verb_says_the_same(tmp_path: Path, bench: Bench) -> None:
    folder, known = on_disk(tmp_path / "c", 7)
    hits = 0
    for tag, (species, trunk) in list(known.items())[::6]:
        told = bench(
            "find", species + ",", "trunk", f"{trunk * 1.05:.0f}", "--today", TODAY.isoformat(), folder=folder
        )
        assert told.code == 0, told.err
        hits += tag in [line.split()[0] for line in told.out.splitlines()[1:4]]
    assert hits == len(list(known)[::6])
