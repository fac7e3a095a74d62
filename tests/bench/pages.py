"""Pages of 1,000 kept trees: time against working out their plans, in the same run; and what a run costs in which nothing changed.

Goal: making all pages ≤ 1.5× the time of the plans, with the two processes that a machine of two cores has. Where the two cores are not
whole ones, or somebody else's too, they get in each other's way: so what one process alone takes is told as well. The least ratio is what
a quiet minute gives.
"""

from __future__ import annotations

import argparse
import gc
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date
from functools import partial
from pathlib import Path
from statistics import median

from logbook.cli import in_two, pages
from logbook.cli.common import Opened, open_collection
from tests.bench.kept import garden

TODAY = date(2026, 11, 25)
COUNT = 1000


def opened(folder: Path) -> Opened:
    """The collection as a command has it: what was planned before is not remembered."""
    return open_collection(argparse.Namespace(folder=str(folder), today=TODAY))


def planning(folder: Path) -> float:
    """Seconds for the plans alone, by one process."""
    collection = opened(folder)
    begun = time.perf_counter()
    for tree in collection.collection.living:
        collection.plan(tree)
    return time.perf_counter() - begun


def making(folder: Path, out: Path, *, own: bool = False) -> float:
    """Seconds for all pages, plans with them, from the collection as it was read."""
    collection = opened(folder)
    options = argparse.Namespace(output=out, one=None, own=own, no_photos=False, dry_run=False)
    begun = time.perf_counter()
    pages._folder(options, collection)
    return time.perf_counter() - begun


def by_one(folder: Path, out: Path) -> float:
    """The same by one process, which no other gets in the way of."""
    can_fork, in_two._can_fork = in_two._can_fork, lambda: False
    try:
        return making(folder, out)
    finally:
        in_two._can_fork = can_fork


Making = Callable[[Path, Path], float]
RUNS: dict[str, Making] = {
    "for anybody": making,
    "for the keeper": partial(making, own=True),
    "for anybody, by one process": by_one,
}
ROUNDS = 4


def main() -> None:
    gc.set_threshold(100_000)
    with tempfile.TemporaryDirectory() as place:
        folder = garden(Path(place) / "garden", COUNT)
        for name, run in RUNS.items():
            ratios = [list(_round(folder, Path(place) / f"{name}-{n}", run)) for n in range(ROUNDS)]
            first, again = (f"{min(some):.2f}–{median(some):.2f}×" for some in zip(*ratios, strict=True))
            print(
                f"{COUNT} trees, {name}: all pages {first} of their plans, again {again} (least and middle; goal 1.5×)"
            )


def _round(folder: Path, out: Path, run: Making) -> Iterator[float]:
    """The pages made, and made again, each by the plans just before and just after: a machine is quick and slow by turns."""
    before = planning(folder)
    for _ in range(2):
        made = run(folder, out)
        after = planning(folder)
        yield made / ((before + after) / 2)
        before = after


if __name__ == "__main__":
    main()
