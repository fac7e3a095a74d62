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
            hits += tag in [one.tree.tag for one in found_by_sight(said, opened).likely[:3]]
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


def test_how_sure_it_is_in_words(tmp_path: Path, bench: Bench) -> None:
    """How many fit about as well, how far each figure is off, and how old it is; the shares are sums by hand."""
    entry = "- {{date: {day}, measured: {{trunk: {trunk}}}}}"
    trees = {
        tag: f'tag: "{tag}"\nspecies: {species}\nlog:\n  {entry.format(day=day, trunk=trunk)}\n'
        for tag, species, day, trunk in (
            ("001", "Larix decidua", "2026-11-20", 40),
            ("002", "Larix decidua", "2026-06-20", 41),
            ("003", "Larix decidua", "2023-06-20", 70),
            ("004", "Acer palmatum", "2026-06-20", 90),
        )
    }
    folder = make_collection(tmp_path / "c", trees | {"005": 'tag: "005"\nspecies: Acer palmatum\nlog: []\n'})

    def told(*words: str) -> str:
        answer = bench("find", *words, "--today", "2026-11-20", folder=folder)
        assert answer.code == 0, answer.all
        return answer.out

    larch = told("larix decidua, trunk 40")
    assert "trunk 40 mm, measured today: as you say" in larch
    assert "trunk 41 mm, measured 5 months ago: yours is 2 % less" in larch
    assert larch.splitlines()[-1].startswith("two fit about as well: 001, 002.")
    old = told("larix decidua, trunk 75")
    assert "trunk 70 mm, measured 3 years ago: yours is 7 % more, it may have grown" in old
    assert old.splitlines()[-1] == "one fits: 003"
    none = told("acer palmatum, trunk 40")
    assert "none fits all that you said" in none and "trunk never measured" in none


def test_a_number_without_its_zeros_finds_the_one_tree_of_it(tmp_path: Path, bench: Bench) -> None:
    tree = 'tag: "{0}"\nspecies: Acer palmatum\nlog: []\n'
    folder = make_collection(tmp_path / "c", {tag: tree.format(tag) for tag in ("005", "007", "07", "050")})
    assert bench("find", "5", folder=folder).out == "trees/005.yaml\n"
    assert bench("find", "50", folder=folder).out == "trees/050.yaml\n"
    assert "trees/007.yaml" not in bench("find", "7", folder=folder).out, "two trees may be meant"
