"""Collections to lay out: sixty heavy trees, and any number of invented ones from a seed.

All of it is invented; how long growers write and how much is on a tree are guesses from memory, at the heavy end.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from datetime import date, timedelta

from logbook.collection.dates import on_day, read_when
from logbook.collection.model import Branch, Entry, Found, Intention, Pot, Targets, Tree, TrunkTarget

TODAY = date(2026, 11, 25)
DAYS = ("2026-11-25", "2027-02-20", "2027-05-20", "2027-08-15")
LAYOUTS = ("pocket-a6", "pocket-quarter-letter", "pocket-4x6in")
SPECIES = (
    "Acer palmatum", "Acer buergerianum", "Ulmus parvifolia", "Carpinus betulus", "Fagus crenata", "Zelkova serrata", "Larix decidua",
    "Pinus thunbergii", "Pinus sylvestris", "Pinus parviflora", "Juniperus chinensis", "Juniperus rigida", "Picea glauca", "Picea jezoensis",
    "Taxus baccata", "Chamaecyparis obtusa", "Cryptomeria japonica", "Rhododendron indicum", "Malus sylvestris", "Prunus mume",
    "Chaenomeles speciosa", "Crataegus monogyna", "Olea europaea", "Buxus sempervirens", "Quercus robur", "Ficus microcarpa", "Bougainvillea glabra",
    "Portulacaria afra", "Ginkgo biloba", "Wisteria floribunda", "Punica granatum", "Cotoneaster horizontalis", "Taxodium distichum",
    "Metasequoia glyptostroboides", "Stewartia pseudocamellia", "Camellia japonica",
)  # fmt: skip
STAGES = ("seedling", "trunk growing", "primary branches", "ramification", "refinement", "maintenance")
WORDS = str.split(
    "the low branch comes toward you and carries the width of the crown; keep the hollow on the left open and let nobody cut the root "
    "that turns to the front. The apex is a third too high and leans back. Thin the second branch over three winters, wire it flat, and "
    "wait for buds behind the scar before anything is taken off. It stood in shade for years, so the inner twigs are weak and bare"
)
BENCHES = ("south 1", "east wall, upper shelf behind the water butt", "cold house", "north bed", "")
NAMES = (
    "Ferry",
    "The Old Hornbeam from the Ropewalk Garden Sale, Left-hand One",
    "夕霧",
    "",
    "Grandmother's quince by the kitchen door",
    "Kiln",
)
WORKS = (
    "repotting",
    "wiring",
    "structural pruning",
    "shoot trimming",
    "candle removal",
    "needle thinning",
    "partial defoliation",
    "shoot selection",
)


def sentence(draw: random.Random, most: int) -> str:
    """Some words of a grower, perhaps with a full stop within."""
    count = draw.randint(3, most)
    start = draw.randrange(len(WORDS))
    return " ".join((WORDS * 3)[start : start + count]).strip(";,. ").capitalize() + "."


def tree_of(number: int, draw: random.Random, *, heavy: bool) -> Tree:
    """One invented tree; a heavy one has much of everything."""
    much = (lambda low, high: draw.randint(max(low, high // 2), high)) if heavy else draw.randint
    branches = tuple(branch_of(n, draw) for n in range(1, much(0, 14) + 1))
    log = sorted(entries_of(draw, branches, much(0, 40), heavy=heavy), key=lambda e: e.date.earliest)
    return Tree(
        tag=f"{number:03d}",
        log=(Entry(date=read_when("2018-04"), found=Found(stage=draw.choice(STAGES), vigour=draw.choice([None, 3, 4, 5]))), *log),
        path=f"trees/{number:03d}.yaml",
        name=draw.choice(NAMES),
        species=SPECIES[number % len(SPECIES)] if heavy else draw.choice(SPECIES),
        cultivar=draw.choice(["", "", "Seigen", "Mikawa Yatsubusa"]),
        bench=draw.choice(BENCHES),
        aim=sentence(draw, 70 if heavy else 45) if heavy or draw.random() < 0.8 else "",
        front=draw.choice(["", "the low branch points left", "both trunks seen, the smaller in front"]),
        targets=Targets(trunk=TrunkTarget(float(draw.randint(30, 120))) if draw.random() < 0.5 else None, tips=draw.choice([None, 120])),
        branches=branches,
    )  # fmt: skip


def branch_of(number: int, draw: random.Random) -> Branch:
    role = draw.choice(["keep", "keep", "keep", "undecided", "sacrifice", "deadwood"])
    clock = draw.choice([None, *range(1, 13)])
    until = "trunk target" if role == "sacrifice" else ""
    return Branch(str(number), clock, draw.choice([None, 60.0 + 35 * number, 60.0 + 35 * number]), role, until)


def entries_of(draw: random.Random, branches: tuple[Branch, ...], count: int, *, heavy: bool) -> Iterator[Entry]:
    ids = [b.id for b in branches]
    for _ in range(count):
        day = TODAY - timedelta(days=int(draw.paretovariate(0.7) * 40) % 2600)
        yield entry_of(draw, day, ids, heavy=heavy)
    if draw.random() < (0.6 if heavy else 0.2):
        yield Entry(
            date=on_day(TODAY - timedelta(days=draw.randint(5, 60))),
            work="wiring",
            branches=tuple(ids[: draw.randint(0, 9)]),
            metal="copper",
            wire=(2.5, 1.6),
        )
    if draw.random() < (0.5 if heavy else 0.2):
        yield Entry(
            date=on_day(TODAY - timedelta(days=draw.randint(5, 300))),
            work="wiring",
            branches=tuple(ids[9:]) or ("90",),
            metal="aluminium",
            wire=(3.0,),
        )
    for thought in range(draw.randint(1, 3) if heavy else draw.randint(0, 1)):
        by = draw.choice([None, read_when("2027-04"), read_when("2028")])
        yield Entry(
            date=on_day(TODAY - timedelta(days=3 + thought)),
            intend=Intention(what=sentence(draw, 24).rstrip("."), by=by),
        )
    state = draw.random()
    if state < 0.12:
        yield Entry(date=on_day(TODAY - timedelta(days=40)), trouble=draw.choice(["roots", "pests", "disease"]))
    elif state < 0.24:
        yield Entry(date=on_day(TODAY - timedelta(days=50)), vigour=draw.choice([1, 2]))
    elif state < 0.3:
        yield Entry(date=on_day(TODAY - timedelta(days=200)), work="air layering")
    elif state < 0.36:
        yield Entry(date=on_day(TODAY - timedelta(days=200)), work="lifting")


def entry_of(draw: random.Random, day: date, ids: list[str], *, heavy: bool) -> Entry:
    kind = draw.random()
    when = on_day(day)
    if kind < 0.45:
        work = draw.choice(WORKS)
        some = tuple(draw.sample(ids, min(len(ids), 3))) if work == "wiring" else ()
        pot = (
            Pot(shape="oval", inner=(draw.uniform(200, 600), 200.0, 60.0))
            if work == "repotting" and draw.random() < 0.6
            else None
        )
        return Entry(
            date=when,
            work=work,
            branches=some,
            pot=pot,
            roots="light" if work == "repotting" else "",
            note=sentence(draw, 20 if heavy else 8) if draw.random() < 0.5 else "",
        )
    if kind < 0.7:
        return Entry(
            date=when,
            measured={
                "trunk": round(30 + (day - date(2018, 1, 1)).days / 365 * 1.7 + draw.uniform(0, 0.8), 1),
                "height": 400.0,
            },
        )
    if kind < 0.85:
        return Entry(date=when, vigour=draw.choice([3, 4, 5]), note=sentence(draw, 40 if heavy else 12))
    return Entry(date=when, note=sentence(draw, 45 if heavy else 15))


def stress() -> list[Tree]:
    """Sixty heavy trees."""
    draw = random.Random(60)
    return [tree_of(number, draw, heavy=True) for number in range(1, 61)]


def generated(count: int, seed: int) -> list[Tree]:
    """So many invented trees of every weight."""
    draw = random.Random(seed)
    return [tree_of(number, draw, heavy=draw.random() < 0.15) for number in range(1, count + 1)]
