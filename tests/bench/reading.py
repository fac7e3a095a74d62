"""Reading tree files against plain CSafeLoader on the same files in the same run.

Goals: reading with places and duplicate-key errors ≤ 0.6×, with all checks ≤ 1.2×, growth linear to 10,000 files.
"""

from __future__ import annotations

import statistics
import sys
import time
from collections.abc import Callable
from pathlib import Path

import yaml

from logbook.collection.load import load_settings
from logbook.collection.model import Settings
from logbook.collection.tree_text import read_tree, tree_context
from logbook.collection.yaml_reader import read_text
from logbook.horticulture.loader import shipped_knowledge

DEMO = Path(__file__).resolve().parents[2] / "demo_collection"


def texts(count: int) -> list[str]:
    sources = [p.read_text("utf-8") for p in sorted((DEMO / "trees").glob("*.yaml"))]
    return [sources[n % len(sources)].replace('tag: "', f'tag: "{n}-', 1) for n in range(count)]


def seconds(work: Callable[[str], object], some: list[str]) -> float:
    begun = time.perf_counter()
    for text in some:
        work(text)
    return time.perf_counter() - begun


def main() -> None:
    knowledge = shipped_knowledge()
    settings, _ = load_settings(DEMO, knowledge)
    context = tree_context(settings or Settings("demo"), knowledge)
    ways: dict[str, Callable[[str], object]] = {
        "CSafeLoader": lambda t: yaml.load(t, Loader=yaml.CSafeLoader),
        "read with places": lambda t: read_text(t, "t"),
        "read with all checks": lambda t: read_tree(t, "t", context),
    }
    some = texts(1000)
    rounds = [{name: seconds(way, some) for name, way in ways.items()} for _ in range(5)]
    for name in ways:
        ratio = statistics.median(r[name] / r["CSafeLoader"] for r in rounds)
        print(f"{name}: {ratio:.2f}× CSafeLoader on 1,000 files")
    many = texts(10_000)
    ten = statistics.median(seconds(ways["read with all checks"], many) for _ in range(3))
    one = statistics.median(r["read with all checks"] for r in rounds)
    print(f"ten times the files: {ten / one:.1f}× the time")
    sys.stdout.flush()


if __name__ == "__main__":
    main()
