"""Due work for 1,000 trees: growth, and time against reading their files from disk, in the same run.

Goals: ten times the trees ≤ 11× the time; due ≤ 1.5× the time that reading the files takes.
"""

from __future__ import annotations

import shutil
import statistics
import tempfile
import time
from datetime import date
from pathlib import Path

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from tests.bench.reading import DEMO, texts

TODAY = date(2026, 11, 25)


def garden(folder: Path, count: int) -> Path:
    (folder / "trees").mkdir(parents=True)
    shutil.copy(DEMO / "collection.yaml", folder)
    for n, text in enumerate(texts(count)):
        (folder / "trees" / f"{n:05d}.yaml").write_text(text, encoding="utf-8")
    return folder


def measured(folder: Path) -> tuple[float, float]:
    """Seconds to read, seconds to plan."""
    knowledge = shipped_knowledge()
    begun = time.perf_counter()
    collection = load(folder, knowledge)
    read = time.perf_counter()
    garden = Garden(collection.settings, knowledge, collection.trees)
    for tree in collection.trees:
        plan_tree(tree, garden, TODAY)
    return read - begun, time.perf_counter() - read


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        small, large = garden(Path(scratch) / "small", 100), garden(Path(scratch) / "large", 1000)
        few, many = [measured(small) for _ in range(5)], [measured(large) for _ in range(5)]
    print(
        f"ten times the trees: {statistics.median(d for _, d in many) / statistics.median(d for _, d in few):.1f}× the time"
    )
    print(f"due against reading: {statistics.median(d / r for r, d in many):.2f}×")


if __name__ == "__main__":
    main()
