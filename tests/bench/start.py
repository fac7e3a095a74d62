"""How long the command takes to start, as a ratio to the bare interpreter in the same run. Goal: --version ≤ 4×."""

from __future__ import annotations

import statistics
import subprocess
import sys
import time


def median_seconds(words: list[str], runs: int = 21) -> float:
    times = []
    for _ in range(runs):
        begun = time.perf_counter()
        subprocess.run(words, check=True, capture_output=True)
        times.append(time.perf_counter() - begun)
    return statistics.median(times)


def main() -> None:
    bare = median_seconds([sys.executable, "-c", "pass"])
    for name, words in {"--version": ["--version"], "--help": ["--help"]}.items():
        ours = median_seconds([sys.executable, "-m", "logbook", *words])
        print(f"benchleaf {name}: {ours / bare:.2f}× the bare interpreter")


if __name__ == "__main__":
    main()
