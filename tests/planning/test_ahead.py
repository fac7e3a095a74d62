"""Several years ahead: what waits for what, and that a forecast breaks no rule of what a tree can bear."""

from __future__ import annotations

from datetime import date, timedelta
from itertools import pairwise

import pytest

from logbook.collection.dates import on_day, read_when
from logbook.collection.model import Branch, Entry, Found, Pot, Targets, Tree, TrunkTarget
from logbook.planning.ahead import ahead, garden_years

from ..conftest import garden_at

GARDEN = garden_at()
TODAY = date(2026, 11, 25)


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


PINE = Tree(
    "1",
    (
        entry("2025-10-01", found=Found(stage="refinement", vigour=5, repotted=read_when("2023-04"))),
        entry("2026-10-20", vigour=5),
        entry("2023-04-05", pot=Pot("rectangle", (300.0, 200.0, 80.0))),
    ),
    species="Pinus thunbergii",
)


def test_a_year_of_repotting_is_no_year_of_candles() -> None:
    made = ahead(PINE, GARDEN, TODAY, 6)
    by_season: dict[int, set[str]] = {}
    for step in made.steps:
        by_season.setdefault(step.season, set()).add(step.work)
    potted = [season for season, works in by_season.items() if "repotting" in works]
    assert potted and all("candle removal" not in by_season[season] for season in potted)
    assert all("candle removal" in works for season, works in by_season.items() if season not in potted)


def test_bands_widen_and_say_on_what_they_hang() -> None:
    steps = [s for s in ahead(PINE, GARDEN, TODAY, 5).steps if s.work == "needle thinning"]
    assert [s.band for s in steps] == sorted(s.band for s in steps) and steps[-1].band > steps[0].band
    removal = next(s for s in ahead(PINE, GARDEN, TODAY, 5).steps if s.work == "candle removal" and s.season > 2027)
    assert removal.hangs_on, "if the tree is still as strong"


def test_soil_and_hours_add_up() -> None:
    made = [ahead(PINE, GARDEN, TODAY, 3)]
    years = garden_years(made, GARDEN, 2027, 3)
    potting = [s for s in made[0].steps if s.work == "repotting"]
    assert sum(y.potted for y in years) == len(potting)
    litres = 0.08 * 60_000 / 1000  # mm³ of 300 × 200 × 80 in litres
    assert sum(y.litres for y in years) == pytest.approx(len(potting) * litres * 1.15, rel=0.01)
    assert sum(y.hours for y in years) == pytest.approx(sum(s.minutes for s in made[0].steps) / 60)


def test_a_trunk_that_will_be_there_frees_its_sacrifice() -> None:
    growing = tuple(
        entry(f"{year}-11-01", measured={"trunk": 40.0 + 4 * (year - 2022)}, stage="trunk growing", vigour=4)
        for year in range(2022, 2027)
    )
    larch = Tree(
        "7",
        growing,
        species="Larix decidua",
        targets=Targets(trunk=TrunkTarget(60.0, 40.0)),
        branches=(Branch("S1", role="sacrifice", until="trunk target"),),
    )
    made = ahead(larch, GARDEN, TODAY, 4)
    off = next(s for s in made.steps if s.work == "sacrifice branch off")
    assert made.trunk is not None and off.season >= 2028 and off.what.endswith("S1")


def test_a_resting_tree_is_let_be_in_the_forecast_too() -> None:
    weak = Tree("2", (entry("2026-06-01", vigour=1, stage="ramification"),), species="Acer palmatum")
    made = ahead(weak, GARDEN, TODAY, 4)
    assert made.holds and all(step.day >= made.holds[0].until for step in made.steps if made.holds[0].until)  # type: ignore[operator]


def test_nothing_is_done_that_its_own_forecast_forbids() -> None:
    """Six weeks between two flush works, a season between roots and candles, over the whole forecast."""
    for species in ("Acer palmatum", "Fagus crenata", "Pinus sylvestris", "Ulmus parvifolia", "Rhododendron indicum"):
        begun = entry("2025-10-01", found=Found(stage="refinement", vigour=5, repotted=read_when("2024-04")))
        tree = Tree("3", (begun, Entry(date=on_day(TODAY - timedelta(days=30)), vigour=5)), species=species)
        steps = [s for s in ahead(tree, GARDEN, TODAY, 5).steps if s.kind == "flush"]
        for first, then in pairwise(steps):
            assert first.work == then.work or (then.day - first.day).days >= 42, (species, first, then)
