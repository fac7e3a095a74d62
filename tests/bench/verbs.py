"""Every verb a grower waits for, as one table: CPU seconds and memory at 100 and 1,000 trees, against a floor of the same run, and in a
garden of twenty years (2,000 printed sheets, 200 typed batches) against a young one. The trees have been kept for fourteen years (`kept`).

Floors: the bare interpreter (13 ms or so) for the start; PyYAML's C loader over the same files for what reads all of them; the same
loader over one file for what asks about one tree; all sheets of the same garden for the run that finds that none changed. A machine is
noisy: read the ratios.

    python -m tests.bench.verbs [--quick]
"""

from __future__ import annotations

import math
import os
import random
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from pathlib import Path

from tests.bench.kept import garden

TODAY = date(2026, 11, 25)
SHEETS, BATCHES = 2_000, 200
ALL_FILES = "import sys, yaml, pathlib\nfor p in pathlib.Path(sys.argv[1]).glob('trees/*.yaml'): yaml.load(p.read_text(), Loader=yaml.CSafeLoader)"
ONE_FILE = "import sys, yaml, pathlib\nyaml.load(pathlib.Path(sys.argv[1], 'trees', '014.yaml').read_text(), Loader=yaml.CSafeLoader)"
BARE = "pass"
ALL_SHEETS = "sheets"  # the verb, in this very run


@dataclass(frozen=True, slots=True)
class Cost:
    """CPU seconds and the most memory, MB."""

    cpu: float
    mb: float


@dataclass(frozen=True, slots=True)
class Row:
    """A verb, what it is held against, and whether it is tried in an old garden."""

    name: str
    words: tuple[str, ...]
    floor: str
    goal: str
    aged: bool = True


ROWS = (
    Row("--version", ("--version",), BARE, "9×", aged=False),
    Row("check", ("check",), ALL_FILES, "1.3×"),
    Row("due", ("due",), ALL_FILES, "1.8×"),
    Row("due --json", ("due", "--json"), ALL_FILES, ""),
    Row("due 014", ("due", "014"), ONE_FILE, ""),
    Row("find 014", ("find", "014"), ONE_FILE, ""),
    Row("history 014", ("history", "014"), ONE_FILE, ""),
    Row("sheets", ("sheets", "--dry-run"), ALL_FILES, ""),
    Row("sheets --tag 014", ("sheets", "--tag", "014", "--dry-run"), ONE_FILE, ""),
    Row("sheets --changed", ("sheets", "--changed", "--dry-run"), ALL_SHEETS, "0.3×", aged=False),
    Row("walk", ("walk", "--dry-run"), ALL_FILES, ""),
    Row("reconcile 5 lines", ("reconcile", "{notes}", "--dry-run"), ALL_FILES, ""),
    Row("waiting", ("waiting",), ALL_FILES, ""),
    Row("review", ("review", "--season", "2026"), ALL_FILES, ""),
)


# what a process takes is told by a small one that starts it: a fork of this one would begin with all that this one holds
STARTER = """import os, sys
pid = os.fork()
if not pid:
    nothing = os.open(os.devnull, os.O_RDWR)
    for stream in (0, 1, 2):
        os.dup2(nothing, stream)
    os.execv(sys.executable, [sys.executable, *sys.argv[1:]])
_, _, used = os.wait4(pid, 0)
print(used.ru_utime + used.ru_stime, used.ru_maxrss / 1024)
"""


def cost(words: Sequence[str], cwd: Path) -> Cost:
    """What one process takes."""
    started = [sys.executable, "-I", "-S", "-c", STARTER, *words]
    told = subprocess.run(started, cwd=cwd, capture_output=True, text=True, check=True).stdout
    cpu, mb = map(float, told.split())
    return Cost(cpu, mb)


def best(words: Sequence[str], cwd: Path, runs: int) -> Cost:
    """The least of several: what else the machine does only adds."""
    costs = [cost(words, cwd) for _ in range(runs)]
    return Cost(min(c.cpu for c in costs), min(c.mb for c in costs))


def aged(folder: Path, sheets: int, batches: int) -> Path:
    """The garden after many prints and typed batches."""
    draw, trees = random.Random(8), len(list((folder / "trees").iterdir()))
    for n in range(max(1, sheets // trees)):
        day = TODAY - timedelta(days=365 + 30 * n)
        cost(["-m", "logbook", "sheets", "-o", str(folder.parent / "out.pdf"), "--today", day.isoformat()], folder)
    notes = folder.parent / "old.txt"
    for n in range(batches):
        day = TODAY - timedelta(days=3 * n + 30)
        tags = [f"{draw.randint(1, trees):03d}" for _ in range(3)]
        notes.write_text("".join(f"tree {tag}\n{day} looked, number {n}\n" for tag in tags), encoding="utf-8")
        cost(["-m", "logbook", "reconcile", str(notes), "--yes", "--today", TODAY.isoformat()], folder)
    return folder


def printed_today(home: Path, folder: Path) -> Path:
    """A copy of a garden of which all sheets were printed today."""
    shutil.copytree(home, folder)
    cost(["-m", "logbook", "sheets", "-o", str(folder.parent / "out.pdf"), "--today", TODAY.isoformat()], folder)
    return folder


def words_of(row: Row, scratch: Path) -> list[str]:
    today = [] if row.words[0] in ("--version", "find") else ["--today", TODAY.isoformat()]
    return ["-m", "logbook", *(word.format(notes=scratch / "notes.txt") for word in row.words), *today]


def main() -> None:
    quick = "--quick" in sys.argv
    runs, large = (1, 300) if quick else (3, 1000)
    with tempfile.TemporaryDirectory() as name:
        scratch = Path(name)
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)  # as it is installed: modules are compiled once
        os.environ["PYTHONPYCACHEPREFIX"] = str(scratch / "compiled")
        small, many = garden(scratch / "small", 100), garden(scratch / "many", large)
        old = aged(garden(scratch / "old", 100), SHEETS // (10 if quick else 1), BATCHES // (10 if quick else 1))
        fresh = [printed_today(home, scratch / f"fresh-{home.name}") for home in (small, many)]
        (scratch / "notes.txt").write_text(
            "".join(f"tree 0{n}\n14 oct looked, {n}\n" for n in (14, 15, 16, 17, 18)), encoding="utf-8"
        )
        floors = {(code, folder): best(["-c", code, str(folder)], folder, runs) for code in (ALL_FILES, ONE_FILE, BARE) for folder in (small, many)}  # fmt: skip
        print(
            f"{'verb':20} {'100':>7} {large:>7} {'floor':>7} {'ratio':>7} {'growth':>7} {'aged':>7} {'MB':>5} {'MB':>5}"
        )
        for row in ROWS:
            words = words_of(row, scratch)
            homes = fresh if row.floor == ALL_SHEETS else [small, many]
            cost(words, small)
            few, more = (best(words, home, runs) for home in homes)
            floors[row.name, many] = more
            floor = floors[row.floor, many].cpu
            growth = math.log(more.cpu / few.cpu) / math.log(large / 100)
            years = f"{best(words, old, runs).cpu / few.cpu:6.2f}×" if row.aged else ""
            goal = f"  (goal {row.goal})" if row.goal else ""
            print(
                f"{row.name:20} {few.cpu:7.2f} {more.cpu:7.2f} {floor:7.2f} {more.cpu / floor:6.2f}× {growth:7.2f} {years:>7} {few.mb:5.0f} {more.mb:5.0f}{goal}",
                flush=True,
            )


if __name__ == "__main__":
    main()
