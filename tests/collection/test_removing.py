"""Entries taken back out of files that were edited since: flow, block and mixed logs."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.collection.removing import entries_removed
from logbook.collection.yaml_editor import with_entries
from logbook.diagnostics import ProblemsFound

from ..conftest import Answer

A = {"date": "2026-11-20", "work": "look-over"}
B = {"date": "2026-11-21", "note": "moss, yellow: east"}
AT, BT = "{date: 2026-11-20, work: look-over}", '{date: 2026-11-21, note: "moss, yellow: east"}'


@pytest.mark.parametrize(
    ("text", "left"),
    [
        (f"tag: a\nlog: [{AT}, {BT}]\n", "tag: a\nlog: []\n"),
        (f"tag: a\nlog: [{{date: 2020}}, {AT}, {BT}] # c\n", "tag: a\nlog: [{date: 2020}] # c\n"),
        (f"tag: a\nlog: [{AT}, {{date: 2020}}, {BT}, ]\n", "tag: a\nlog: [{date: 2020}, ]\n"),
        (f"tag: a\nlog:\n  - {AT}\n  - {{date: 2020}} # mine\n  - {BT}\n", "tag: a\nlog:\n  - {date: 2020} # mine\n"),
        (f"tag: a\r\nlog:\r\n- {AT}\r\n- {BT}\r\nbench: x\r\n", "tag: a\r\nlog:\r\nbench: x\r\n"),
        (
            "tag: a\nlog:\n  - date: 2026-11-20\n    work: look-over\n  - date: 2020\n    note: |\n      x\n",
            "tag: a\nlog:\n  - date: 2020\n    note: |\n      x\n",
        ),
        (f"tag: a\nlog:\n  - {{date: 2020}}\n  - {BT}", "tag: a\nlog:\n  - {date: 2020}\n"),
        (f"tag: a\nlog:\n  - {{date: 2026-11-20, work: feeding}}\n  - {BT}\n", "tag: a\nlog:\n  - {date: 2026-11-20, work: feeding}\n"),
    ],
)  # fmt: skip
def test_taken_out_word_for_word(text: str, left: str) -> None:
    assert entries_removed(text, "trees/a.yaml", [A, B]) == left


def test_what_can_not_be_taken_out_is_refused() -> None:
    with pytest.raises(ProblemsFound):
        entries_removed(f"tag: a\nkept: &x [{AT}]\nlog: *x\n", "trees/a.yaml", [A])


def test_an_empty_log_becomes_lines() -> None:
    assert with_entries("tag: a\nlog: []\n", "a", [A, B]) == f"tag: a\nlog:\n  - {AT}\n  - {BT}\n"
    assert with_entries("{tag: a, log: []}\n", "a", [A]) == f"{{tag: a, log: [{AT}]}}\n"


def test_undo_after_a_hand_has_been_in_the_file(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = tmp_path / "u"
    bench("start", folder, "--latitude", "47")
    for tag in ("001", "002"):
        assert bench("add", tag, "--species", "Larix kaempferi", folder=folder).code == 0
    notes = tmp_path / "n.txt"
    notes.write_text("tree 001\n20 nov looked\n21 nov fed\ntree 002\n20 nov looked\n", encoding="utf-8")
    day = ["--today", "2026-11-25"]
    assert bench("reconcile", notes, "--yes", *day, folder=folder).code == 0
    one, two = folder / "trees" / "001.yaml", folder / "trees" / "002.yaml"
    whole = one.read_text("utf-8")
    one.write_text("not: [yaml\n", encoding="utf-8")
    answer = bench("undo", "--yes", *day, folder=folder)
    assert answer.code == 1 and "once that is out of the way" in answer.out and "look-over" in two.read_text("utf-8")
    one.write_text(whole.replace("work: feeding", "work: feeding, feed: 5-5-5"), encoding="utf-8")
    assert bench("add", "003", "--from", "001", *day, folder=folder).code == 0
    assert 'new: "003"' in one.read_text("utf-8") and (folder / "trees" / "003.yaml").exists()
    answer = bench("undo", "--yes", *day, folder=folder)
    assert answer.code == 0 and "the whole file, as it was added" in answer.out, (
        "the last batch is the tree that was added"
    )
    assert "new:" not in one.read_text("utf-8") and not (folder / "trees" / "003.yaml").exists()
    answer = bench("undo", "--yes", *day, folder=folder)
    assert answer.code == 0 and "edited since, so it stays" in answer.err and "taken out of 2 files" in answer.out
    assert "look-over" not in one.read_text("utf-8") + two.read_text("utf-8")
    assert "feed: 5-5-5" in one.read_text("utf-8")
    assert bench("check", folder=folder).code == 0
