"""A grower who wrote nothing for one year, or two: one first look, typed in a few words a tree, and the garden is in order again.

The demo and sixty heavy trees. What a person would find and write is simulated: the tree is there and well, and wire that is still on
it comes off. Nothing may then be overdue, and no work may be locked only because a tree was not rated.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from logbook.collection.fields import TREE
from logbook.collection.units import METRIC

from ..conftest import DEMO, Answer
from ..paper.gardens import stress

Bench = Callable[..., Answer]
MOST_WORDS = 6


def folder_of(name: str, tmp_path: Path) -> Path:
    """The demo, or sixty heavy trees at its site."""
    folder = tmp_path / name
    shutil.copytree(DEMO, folder)
    if name == "stress":
        shutil.rmtree(folder / "trees")
        (folder / "trees").mkdir()
        for tree in stress():
            text = json.dumps(TREE.written(tree, METRIC), ensure_ascii=False)
            (folder / "trees" / f"{tree.tag}.yaml").write_text(text, encoding="utf-8")
    return folder


def data(bench: Bench, folder: Path, today: date) -> list[dict[str, object]]:
    return list(json.loads(bench("due", "--json", "--today", today, folder=folder).out)["trees"])


def locked_by_rating(tree: dict[str, object]) -> list[object]:
    """Works that wait for a rating, and no other ground."""
    jobs: list[dict[str, object]] = tree["jobs"]  # type: ignore[assignment]
    refused: list[dict[str, object]] = tree["refused"]  # type: ignore[assignment]
    waits = [job["what"] for job in jobs if job["rate_first"]]
    return [*waits, *(r["work"] for r in refused if "vigour" in str(r["why"]))]


@pytest.mark.parametrize(
    ("name", "months"),
    [
        ("demo", 24),
        *(pytest.param(*case, marks=pytest.mark.soak) for case in (("demo", 12), ("stress", 12), ("stress", 24))),
    ],
)
def test_one_first_look_puts_all_in_order(name: str, months: int, tmp_path: Path, bench: Bench) -> None:
    folder = folder_of(name, tmp_path)
    today = date(2026 + months // 12, 12, 4)
    assert bench("check", folder=folder).code == 0
    before = data(bench, folder, today)
    assert sum(tree["silent_since"] is not None for tree in before) >= 0.9 * len(before)
    told = bench("walk", "--first-look", "-o", tmp_path / "look.pdf", "--today", today, "--json", folder=folder)
    serial = json.loads(told.out)["serial"]
    lines = {
        str(tree["tag"]): "wire off; looked; vigour 4" if tree["wires"] else "looked; vigour 4; no wire"
        for tree in before
    }
    assert all(len(line.split()) <= MOST_WORDS for line in lines.values())
    notes = [f"walk {serial}", *(f"{tag} 4 dec {line}" for tag, line in lines.items())]
    (tmp_path / "look.txt").write_text("\n".join(notes), encoding="utf-8")
    answer = bench("reconcile", tmp_path / "look.txt", "--yes", "--today", today, folder=folder)
    assert answer.code == 0 and "wait" not in answer.out, answer.all[-2000:]
    after = data(bench, folder, today)
    assert len(after) == len(before)
    for tree in after:
        jobs: list[dict[str, object]] = tree["jobs"]  # type: ignore[assignment]
        assert [job["what"] for job in jobs if job["status"] == "overdue"] == [], tree["tag"]
        assert tree["silent_since"] is None and not locked_by_rating(tree), (tree["tag"], locked_by_rating(tree))
