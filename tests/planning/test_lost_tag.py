"""A tree that lost its tag, found again by what can be seen of it. How well: by invented gardens (tests/paper/gardens.py)."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.lists.lost_tag import Seen, likeliest, size_of
from logbook.planning.tree_state import state_of

from ..conftest import Answer, garden_at
from ..paper.gardens import TODAY, generated, stress

KNOWLEDGE = shipped_knowledge()


def measured(trees: list[Tree], seed: int) -> list[Tree]:
    """The trees with a trunk each, drawn between 15 and 120 mm."""
    draw = random.Random(seed)
    made = []
    for n, tree in enumerate(trees):
        entry = Entry(on_day(TODAY), measured={"trunk": round(draw.uniform(15, 120), 1)})
        made.append(Tree(f"{n:03d}", (*tree.log, entry), species=tree.species, name=tree.name, bench=tree.bench))
    return made


@pytest.mark.parametrize(
    "trees", [measured(stress(), 3), measured(generated(200, 5), 4)], ids=["stress", "generated"]
)
def test_species_and_a_trunk_within_a_tenth_lead_to_it(trees: list[Tree]) -> None:
    garden, draw = garden_at(trees=trees), random.Random(9)
    states = {tree.tag: state_of(tree, garden, TODAY) for tree in trees}
    ranks = []
    for tree in trees:
        trunk = size_of(states[tree.tag], "trunk")
        assert trunk
        seen = Seen(frozenset([tree.species]), {"trunk": trunk * draw.uniform(0.9, 1.1)})
        order = [one.tree.tag for one in likeliest(seen, trees, lambda t: states[t.tag], lambda t: [t.species])]
        ranks.append(order.index(tree.tag))
    share = sum(rank < 3 for rank in ranks) / len(ranks)
    assert share >= (0.95 if len(trees) <= 60 else 0.80), share


def test_what_speaks_against_a_tree() -> None:
    trees = measured([Tree("1", (), species="Acer palmatum"), Tree("2", (), species="Larix decidua")], 1)
    garden = garden_at(trees=trees)
    found = likeliest(
        Seen(frozenset(["Larix decidua"])), trees, lambda t: state_of(t, garden, TODAY), lambda t: [t.species]
    )
    assert [one.tree.species for one in found] == ["Larix decidua"]


@pytest.mark.parametrize(
    ("words", "first"),
    [
        ("larch trunk 50", "003"),
        ("fig", "011"),
        ("juniper south 3", "004"),
        ("trident maple", "002"),
        ("pine, south 2", "008"),
        ("Long Meadow tree", "003"),
    ],
)
def test_words_at_a_pot_without_its_tag(words: str, first: str, demo: Path, bench: Callable[..., Answer]) -> None:
    told = bench("find", *words.split(), folder=demo)
    assert told.code == 0 and told.out.splitlines()[1].startswith(first), told.all


def test_nothing_understood_is_no_tree(demo: Path, bench: Callable[..., Answer]) -> None:
    told = bench("find", "xyzzy", "plugh", folder=demo)
    assert told.code == 1 and "leads to no tree" in told.err
