"""Due work for 1,000 trees: growth, and time against reading the files, in the same run. Goals: 10× trees ≤ 11× time, ≤ 1.5× reading."""

from __future__ import annotations

import statistics
import time
from datetime import date
from pathlib import Path

from logbook.record.collection import load_settings, read_tree, tree_context
from logbook.record.model import Settings, Tree
from logbook.season.marks import SiteYear
from logbook.trade.knowledge import shipped_knowledge
from logbook.work.due import plan_tree
from tests.bench.reading import DEMO, texts

TODAY = date(2026, 11, 25)


def main() -> None:
    knowledge = shipped_knowledge()
    settings, _ = load_settings(Path(DEMO), knowledge)
    context = tree_context(settings or Settings("demo"), knowledge)

    def measured(count: int) -> tuple[float, float]:
        some = texts(count)
        begun = time.perf_counter()
        trees = [t for text in some if isinstance(t := read_tree(text, "t", context)[0], Tree)]
        read = time.perf_counter()
        site = SiteYear(settings or Settings("demo"), knowledge, trees)
        for tree in trees:
            plan_tree(tree, site, knowledge, TODAY)
        return read - begun, time.perf_counter() - read

    small = [measured(100) for _ in range(3)]
    large = [measured(1000) for _ in range(3)]
    print(
        f"ten times the trees: {statistics.median(d for _, d in large) / statistics.median(d for _, d in small):.1f}× the time"
    )
    print(f"due against reading: {statistics.median(d / r for r, d in large):.2f}×")


if __name__ == "__main__":
    main()
