"""Sixty trees of every awkward kind, drawn from a seed: names and benches long and short, wire, intentions, trays, silence, nothing known."""

from __future__ import annotations

import random
from datetime import date, timedelta

from logbook.collection.dates import on_day, read_when
from logbook.collection.load import bench_order
from logbook.collection.model import Entry, Found, Intention, Settings, Site, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.walk import Walk
from logbook.planning.garden import Garden
from logbook.planning.lists.walk_rows import watched_trees
from logbook.planning.planner import plan_tree

from ..conftest import INLAND

SPECIES = (
    "Acer palmatum", "Pinus thunbergii", "Pinus sylvestris", "Juniperus chinensis", "Larix kaempferi", "Ulmus parvifolia",
    "Fagus crenata", "Rhododendron indicum", "Malus halliana", "Carpinus betulus", "Picea jezoensis", "Zelkova serrata",
    "Prunus mume", "Ficus microcarpa", "Olea europaea", "Cryptomeria japonica",
)  # fmt: skip
BENCHES = (
    "east 1",
    "east 2",
    "south bench by the wall 1",
    "south bench by the wall 2",
    "north bed",
    "nursery row",
    "tunnel",
    "",
)
STAGES = ("trunk growing", "ramification", "refinement", "maintenance")
NAMES = ("", "Low Tide", "The Old Satsuki from the Ropewalk Garden Sale", "Kiln", "夕霧 Yūgiri, née Brume", "Ödland")
MEANT = (
    "shorten S2 by half",
    "remove the lowest left branch and let the cut heal before any wire goes near the second",
    "repot",
)
FIRST = date(2026, 1, 10)


def stress_trees(count: int = 60, seed: int = 7) -> tuple[Tree, ...]:
    """The trees, tags 001 and on; twelve at the end are nameless neighbours of one kind, and one is a tray."""
    draw = random.Random(seed)
    trees = [_tree(f"{n:03d}", draw) for n in range(1, count - 12)]
    log = (Entry(read_when("2026-03-20"), found=Found(stage="trunk growing", vigour=4, repotted=read_when("2025"))),)
    for n in range(count - 12, count):
        trees.append(
            Tree(f"{n:03d}", log, species="Zelkova serrata", bench="nursery row", path=f"trees/{n:03d}.yaml")
        )
    seedlings = Entry(read_when("2026-04-02"), found=Found(stage="seedling", vigour=3))
    trees.append(Tree(f"{count:03d}", (seedlings,), species="Pinus thunbergii", bench="tunnel", count=24))
    return tuple(trees)


def _tree(tag: str, draw: random.Random) -> Tree:
    entries: list[Entry] = []
    if draw.random() < 0.85:
        stage, vigour = draw.choice(STAGES), draw.choice((None, 2, 3, 4, 5))
        repotted = draw.choice((None, read_when("2023"), read_when("2025-04")))
        entries.append(Entry(on_day(FIRST), found=Found(stage=stage, vigour=vigour, repotted=repotted)))
    if draw.random() < 0.4:
        branches = draw.choice(((), ("1", "2", "3"), ("1", "4", "S1"), tuple(str(n) for n in range(1, 12))))
        when = on_day(date(2026, 5, 1) + timedelta(days=draw.randrange(180)))
        entries.append(Entry(when, work="wiring", branches=branches, metal="copper", wire=(2.5,)))
    if draw.random() < 0.3:
        by = draw.choice((None, read_when("2027-05"), read_when("2027-06-14")))
        entries.append(Entry(read_when("2026-10-04"), intend=Intention(what=draw.choice(MEANT), by=by)))
    entries += [
        Entry(on_day(date(2026, 6, 1) + timedelta(days=9 * n)), note="moss gone yellow on the north side")
        for n in range(draw.randrange(6))
    ]
    return Tree(
        tag,
        tuple(entries),
        species=draw.choice(SPECIES),
        name=draw.choice(NAMES),
        bench=draw.choice(BENCHES),
        path=f"trees/{tag}.yaml",
        digest=f"{int(tag):064x}",
    )


def stress_walk(
    today: date, *, everyone: bool = False, first_look: bool = False, count: int = 60
) -> tuple[Walk, Settings]:
    """The walk of these trees on a day."""
    trees = stress_trees(count)
    settings = Settings("Quarry Lane", site=Site(latitude=47.9, normals=INLAND))
    garden = Garden(settings, shipped_knowledge(), trees)
    standing = sorted(trees, key=lambda tree: (not tree.bench, bench_order(tree.bench)))
    plans = [plan_tree(tree, garden, today) for tree in standing]
    tags = [tree.tag for tree in trees]
    return Walk(plans, tags, watched_trees(plans, garden), everyone, first_look), settings
