"""Due work for 1,000 trees: growth, and time against reading their files from disk, in the same run.

Goals: ten times the trees ≤ 11× the time; due ≤ 1.5× the time that reading the files takes; with ten years of daily weather ≤ 1.2×
what it takes without, reading and planning together.
"""

from __future__ import annotations

import random
import shutil
import statistics
import tempfile
import time
from datetime import date, timedelta
from pathlib import Path

from logbook.collection.load import load
from logbook.collection.weather_file import Extremes, weather_texts
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from logbook.season.climate import Climate, day_index
from logbook.season.weather import Weather
from tests.bench.reading import DEMO, texts

TODAY = date(2026, 11, 25)


def garden(folder: Path, count: int) -> Path:
    (folder / "trees").mkdir(parents=True)
    shutil.copy(DEMO / "collection.yaml", folder)
    for n, text in enumerate(texts(count)):
        (folder / "trees" / f"{n:05d}.yaml").write_text(text, encoding="utf-8")
    return folder


def with_weather(folder: Path) -> Path:
    """The collection with ten years of days: the site's normals and a daily scatter of 3 °C."""
    site = load(folder, shipped_knowledge()).settings.site
    assert site and site.normals
    climate, chance = Climate(site.normals), random.Random(1)
    days = {}
    for n in range(3652):
        day = TODAY - timedelta(days=n + 1)
        off, at = chance.gauss(0, 3), day_index(day)
        days[day] = Extremes(round(climate.tmin[at] + off, 1), round(climate.tmax[at] + off, 1))
    (folder / "weather").mkdir()
    for name, text in weather_texts(days).items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder


def measured(folder: Path) -> tuple[float, float]:
    """Seconds to read, seconds to plan."""
    knowledge = shipped_knowledge()
    begun = time.perf_counter()
    collection = load(folder, knowledge)
    read = time.perf_counter()
    weather = Weather(collection.weather).before(TODAY)
    garden = Garden(collection.settings, knowledge, collection.trees, weather)
    for tree in collection.trees:
        plan_tree(tree, garden, TODAY)
    return read - begun, time.perf_counter() - read


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        small, large = garden(Path(scratch) / "small", 100), garden(Path(scratch) / "large", 1000)
        known = with_weather(garden(Path(scratch) / "known", 1000))
        few, many = [measured(small) for _ in range(5)], [measured(large) for _ in range(5)]
        # in turns, so that a busy machine slows both
        turns = [(sum(measured(large)), sum(measured(known))) for _ in range(5)]
    print(
        f"ten times the trees: {statistics.median(d for _, d in many) / statistics.median(d for _, d in few):.1f}× the time"
    )
    print(f"due against reading: {statistics.median(d / r for r, d in many):.2f}×")
    print(f"with ten years of daily weather: {statistics.median(b / a for a, b in turns):.2f}×")


if __name__ == "__main__":
    main()
