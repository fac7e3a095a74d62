"""Trees as growers keep them for long, for the benches: fourteen years, 43 entries, about 5 kB a file, written as a keeper or the tool writes them.

Invented. Each year: looks with the tree's strength, a work or two of its season, what was seen in spring, measures in autumn.
"""

from __future__ import annotations

import random
import shutil
from collections.abc import Iterator
from datetime import date, timedelta
from pathlib import Path

from tests.conftest import DEMO
from tests.paper.gardens import SPECIES, STAGES, sentence

FIRST_YEAR, YEARS, ENTRIES = 2013, 14, 43
CUTS = ("structural pruning", "summer pruning", "pinching")


def garden(folder: Path, count: int) -> Path:
    """So many such trees at the demo's site, one file each."""
    (folder / "trees").mkdir(parents=True)
    shutil.copy(DEMO / "collection.yaml", folder)
    draw = random.Random(43)
    for number in range(1, count + 1):
        (folder / "trees" / f"{number:03d}.yaml").write_text(text_of(number, draw), encoding="utf-8")
    return folder


def text_of(number: int, draw: random.Random) -> str:
    """One tree's file."""
    branches = range(1, draw.randint(4, 12))
    lines = [
        f'tag: "{number:03d}"',
        f"name: {draw.choice(['Slow Water', 'Grey Heron', 'Old Gate', 'Low Cloud', 'Second Winter'])}",
        f"species: {draw.choice(SPECIES)}",
        "origin: {kind: nursery, date: 2011}",
        f"bench: {draw.choice(['south', 'north', 'east'])} {draw.randint(1, 9)}",
        f"aim: {_words(draw, 12)}",
        f"targets: {{trunk: {draw.randint(40, 90)}}}",
        "branches:",
        *(f"  - {{id: {n}, clock: {draw.randint(1, 12)}, height: {60 + 35 * n}, role: keep}}" for n in branches),
        "log:",
        f"  - {{date: {FIRST_YEAR}-03-01, found: {{stage: {draw.choice(STAGES)}, vigour: 4}}, note: {_words(draw, 8)}}}",
    ]
    entries = sorted(
        entry for year in range(FIRST_YEAR, FIRST_YEAR + YEARS) for entry in _year(year, draw, len(branches))
    )
    lines += [f"  - {{date: {day}, {told}}}" for day, told in entries[-ENTRIES:]]
    return "\n".join(lines) + "\n"


def _year(year: int, draw: random.Random, branches: int) -> Iterator[tuple[date, str]]:
    """What one year leaves in the log; nothing after the day of the benches."""

    def on(month: int) -> date:
        return date(year, month, 1) + timedelta(days=draw.randint(0, 27))

    if year % 3 == 0:
        pot = f"{{shape: oval, inner: [{draw.randint(20, 45) * 10}, {draw.randint(15, 20) * 10}, 60]}}"
        yield (
            on(3),
            f"work: repotting, roots: light, pot: {pot}, mix: {{pumice: 2, lava: 1, akadama: 3}}, note: {_words(draw, 8)}",
        )
    if draw.random() < 0.6:
        yield on(4), f"saw: swell, note: {_words(draw, 4)}"
    yield on(6), f"work: {draw.choice(CUTS)}, minutes: {draw.randint(2, 12) * 10}, note: {_words(draw, 12)}"
    if year % 2 and year < FIRST_YEAR + YEARS - 1:
        some = ", ".join(str(draw.randint(1, branches)) for _ in range(2))
        yield on(9), f"work: wiring, branches: [{some}], metal: copper, wire: [2.5, 1.6], minutes: 90"
    if year % 2 == 0:
        yield on(5), f"work: wire off, note: {_words(draw, 6)}"
    yield (
        on(9),
        f"vigour: {draw.randint(2, 5)}, measured: {{trunk: {30 + (year - FIRST_YEAR) * 1.7:.1f}, height: {300 + year % 100}}}",
    )
    if draw.random() < 0.5:
        yield on(8), f"note: {_words(draw, 20)}"


def _words(draw: random.Random, most: int) -> str:
    """Some words, quoted where they hold what would end them in a list of one line."""
    said = sentence(draw, most)
    return f'"{said}"' if set(said) & set(",;:") else said
