"""Pages of 1,000 kept trees: time against working out their plans, in the same run; and what a run costs in which nothing changed.

Goal: making all pages ≤ 1.5× the time of the plans, with the two processes that a machine of two cores has. Where the two cores are not
whole ones, or somebody else's too, they get in each other's way: so what one process alone takes is told as well.
"""

from __future__ import annotations

import argparse
import gc
import tempfile
import time
from datetime import date
from pathlib import Path

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


def making(folder: Path, out: Path, *, own: bool) -> float:
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
        return making(folder, out, own=False)
    finally:
        in_two._can_fork = can_fork


def main() -> None:
    gc.set_threshold(100_000)
    with tempfile.TemporaryDirectory() as place:
        folder = garden(Path(place) / "garden", COUNT)
        for own in (False, True):
            rounds = []
            for n in range(4):
                out = Path(place) / f"pages-{own}-{n}"
                rounds.append((planning(folder), making(folder, out, own=own), making(folder, out, own=own)))
            planned, made, again = (min(times) for times in zip(*rounds, strict=True))
            readers = "the keeper" if own else "anybody"
            print(
                f"{COUNT} trees, for {readers}: plans {planned:.2f} s; all pages {made / planned:.2f}×, again {again / planned:.2f}× (goal 1.5×)"
            )
        alone = by_one(folder, Path(place) / "alone")
        print(f"for anybody, by one process: {alone / planned:.2f}×")


if __name__ == "__main__":
    main()
