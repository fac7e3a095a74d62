"""What a note tells of a tree holds from that day on, over what its file says; nothing of the file is changed for it."""

from __future__ import annotations

from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from logbook.collection.as_logged import as_logged
from logbook.collection.dates import on_day
from logbook.collection.fields import Branch, Entry, Targets, Tree, TrunkTarget

from ..conftest import Answer, make_collection

SITE = "format: 1\ntitle: T\nsite: {latitude: 47.9}\ndate_order: day-month\n"
TREE = (
    'tag: "014"\nspecies: Larix kaempferi\naim: a thick trunk\nbench: east 1\n'
    "targets: {trunk: {to: 60, at: 20}, height: 400}\n"
    "branches:\n  - {id: 3, clock: 4, height: 120, role: keep}\nlog: []\n"
)


def on(day: str, **fields: object) -> Entry:
    return Entry(date=on_day(date.fromisoformat(day)), **fields)  # type: ignore[arg-type]


def test_the_latest_word_holds_and_the_rest_stays() -> None:
    tree = Tree(
        "014",
        (
            on("2026-05-01", aim="a clump", front="by the scar"),
            on("2025-05-01", aim="a raft"),
            on("2026-06-01", targets=Targets(height=500.0)),
            on("2026-06-02", placed=(Branch("3", diameter=9.0), Branch("S1", clock=8.0))),
        ),
        aim="a thick trunk",
        bench="east 1",
        targets=Targets(TrunkTarget(60.0, 20.0), 400.0),
        branches=(Branch("3", 4.0, 120.0, "keep"),),
    )
    told = as_logged(tree)
    assert (told.aim, told.front, told.bench, told.first_bench) == ("a clump", "by the scar", "east 1", "east 1")
    assert told.targets == Targets(TrunkTarget(60.0, 20.0), 500.0)
    assert told.branches == (Branch("3", 4.0, 120.0, "keep", diameter=9.0), Branch("S1", 8.0))


def test_a_tree_of_which_nothing_is_told_is_as_its_file_says() -> None:
    tree = Tree("014", (on("2026-05-01", work="feeding"),), aim="a clump", bench="east 1")
    assert as_logged(tree).aim == "a clump" and as_logged(tree).bench == "east 1"


def test_pencil_answers_what_paper_asks_for(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Aim, front, style, target, branch and pot by typed lines: kept once, on the next sheet, and taken back by undo."""
    folder = make_collection(tmp_path / "c", {"014": TREE}, SITE)
    notes = tmp_path / "n.txt"
    notes.write_text(
        "tree 014\n1 jun 2026 aim: a clump of three, low\n"
        "front: scar to the left\nstyle: informal upright; target trunk 70\n"
        "branch 3 at 5 o'clock, 130 up, 9 thick\nbranch S1 8 o'clock 60 up sacrifice\n",
        encoding="utf-8",
    )
    first = bench("reconcile", notes, "--yes", "--today", "2026-06-02", folder=folder)
    assert first.code == 0 and "wrote 6 entries" in first.out, first.all
    again = bench("reconcile", notes, "--yes", "--today", "2026-06-02", folder=folder)
    assert "wrote 6" not in again.out and "already there" in again.out
    told = bench("history", "014", folder=folder).out
    for words in (
        "aim: a clump of three, low",
        "front: scar to the left",
        "target trunk 70",
        "branch 3, at 5 o'clock, 130 mm up",
    ):
        assert words in told, told
    text = (folder / "trees/014.yaml").read_text("utf-8")
    assert text.startswith(TREE.partition("log:")[0]), "the file's own keys stand as they were"
    bench("undo", "--yes", folder=folder)
    assert (folder / "trees/014.yaml").read_text("utf-8") == TREE


@pytest.mark.parametrize(
    "line",
    [
        "front branch cut back hard",
        "branch 3 wired copper 2.5",
        "branch 3 is 9 thick and dead",
        "aim to repot next spring",
        "target practice with the cat",
        "branch 3 at 14 o'clock",
    ],
)
def test_lines_that_only_look_like_it(line: str, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = make_collection(tmp_path / "c", {"014": TREE}, SITE)
    notes = tmp_path / "n.txt"
    notes.write_text(f"tree 014\n1 jun 2026 {line}\n", encoding="utf-8")
    bench("reconcile", notes, "--yes", "--today", "2026-06-02", folder=folder)
    written = (folder / "trees/014.yaml").read_text("utf-8").partition("log:")[2]
    assert not any(f"{key}:" in written for key in ("aim", "front", "targets", "placed")), written


def test_what_an_entry_says_is_told_wherever_it_stands() -> None:
    """Nothing left in a tray is something said; the place in the file, and what is as it always is, are not."""
    day = on_day(date(2026, 10, 14))
    assert Entry(date=day, count=0).content() == [("count", 0), ("date", day)]
    assert Entry(date=day, spot=99, note="", measured={}).content() == Entry(date=day).content()
