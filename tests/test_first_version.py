"""Nothing a grower has is lost: a collection as the first version left it, with its prints, notes, and a run cut short."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from .conftest import Answer, snapshot

HERE = Path(__file__).resolve().parent / "kept"
TODAY = "2027-03-20"
CUT_SHORT = "trees/011.yaml"


@pytest.fixture
def old(tmp_path: Path) -> Path:
    return Path(shutil.copytree(HERE / "first_version", tmp_path / "old"))


def test_it_is_read_as_it_was(old: Path, bench: Callable[..., Answer]) -> None:
    assert bench("check", folder=old).code == 0
    due = bench("due", "--today", TODAY, folder=old)
    assert due.code == 0 and "misting" in due.out, "a work of the grower's own, in the first version's short form"


def test_what_waited_still_waits(old: Path, bench: Callable[..., Answer]) -> None:
    told = bench("waiting", "--today", TODAY, folder=old)
    assert "4 lines waiting" in told.out and "wired 9 foo bar" in told.out
    assert "there is no tree 999" in told.out and "wired 4 copper" not in told.out, "one was set aside"


def test_the_run_that_was_cut_short_is_finished_once_and_can_be_undone(
    old: Path, bench: Callable[..., Answer]
) -> None:
    before = (old / CUT_SHORT).read_text("utf-8")
    note = old.parent / "more.txt"
    note.write_text("tree 002\n14 mar 2027 look-over\n", encoding="utf-8")
    told = bench("reconcile", note, "--yes", "--today", TODAY, folder=old)
    assert told.code in (0, 3) and "finished a run of 2027-03-13" in told.out
    after = (old / CUT_SHORT).read_text("utf-8")
    assert after.count("2027-03-09") == 2 and before.count("2027-03-09") == 0
    assert bench("undo", "--yes", "--today", TODAY, folder=old).code == 0
    assert "2027-03-14" not in (old / "trees/002.yaml").read_text("utf-8")
    assert bench("undo", "--yes", "--today", TODAY, folder=old).code == 0
    assert (old / CUT_SHORT).read_text("utf-8") == before, "the batch of the first version, taken out again"


def test_its_sheets_are_typed_by_serial_letter_and_line(old: Path, bench: Callable[..., Answer]) -> None:
    note = old.parent / "sheets.txt"
    note.write_text(
        "sheet 23186-8\nC 16 mar\n7 17 mar 2027 trunk 41\nsheet 35015-1\n5 18 mar done\n", encoding="utf-8"
    )
    told = bench("reconcile", note, "--yes", "--today", TODAY, folder=old)
    assert told.code in (0, 3)
    assert "work: repotting, from: 23186-8/C" in (old / "trees/004.yaml").read_text("utf-8")
    assert "trunk: 41" in (old / "trees/004.yaml").read_text("utf-8")
    assert "work: shoot selection, from: 35015-1/5" in (old / "trees/009.yaml").read_text("utf-8")


def test_its_notes_given_again_write_nothing(old: Path, bench: Callable[..., Answer]) -> None:
    bench("reconcile", HERE / "first_version_notes.txt", "--yes", "--today", TODAY, folder=old)
    trees = {name: data for name, data in snapshot(old).items() if name.startswith("trees/")}
    bench("reconcile", HERE / "first_version_notes.txt", "--yes", "--today", TODAY, folder=old)
    assert trees == {name: data for name, data in snapshot(old).items() if name.startswith("trees/")}
    for tag in ("004", "011", "002"):
        assert trees[f"trees/{tag}.yaml"].count(b"from: 23186-8/") + trees[f"trees/{tag}.yaml"].count(
            b"from: 35015"
        ) in (1, 2, 3)


def test_its_codes_and_spare_numbers_are_known(old: Path, bench: Callable[..., Answer]) -> None:
    found = bench("find", "23186-8", folder=old)
    assert found.code == 0 and "004" in found.out
    told = bench("tags", "--spare", "1", "--today", TODAY, "-o", old.parent / "t.pdf", folder=old)
    assert "015" in told.out, "13 and 14 are on spare tags"
