"""What an ill-willed tester found: nothing that failed looks like success, and every refusal leads on."""

from __future__ import annotations

import io
import json
import os
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from ..conftest import TODAY, Answer, snapshot

Bench = Callable[..., Answer]


def test_no_changed_sheet_is_no_news_of_a_faulty_tree(demo: Path, tmp_path: Path, bench: Bench) -> None:
    assert bench("sheets", "-o", tmp_path / "s.pdf", "--today", TODAY, folder=demo).code == 0
    with (demo / "trees/005.yaml").open("a") as file:
        file.write("x: [\n")
    told = bench("sheets", "--changed", "-o", tmp_path / "t.pdf", "--today", TODAY, folder=demo)
    assert told.code == 1 and "005.yaml" in told.err and "nothing to print" in told.out
    data = json.loads(
        bench("sheets", "--changed", "--json", "-o", tmp_path / "t.pdf", "--today", TODAY, folder=demo).out
    )
    assert data["sheets"] == [] and data["problems"]


@pytest.mark.parametrize("where", ["trees", "trees/sub", "notes", "photos", "printed", "inbox", ".journal"])
def test_pages_never_lie_among_a_collections_own_files(where: str, demo: Path, bench: Bench) -> None:
    before = snapshot(demo)
    for words in (("-o", demo / where), ("--one", demo / where.split("/", maxsplit=1)[0] / "x.html")):
        told = bench("pages", *words, "--today", TODAY, folder=demo)
        assert told.code == 1, told.all
        assert "collection's own files" in told.err or "no file can be written here" in told.err
    assert snapshot(demo) == before


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_a_pipe_is_no_page(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """Nor is it waited for."""
    room = tmp_path / "room"
    room.mkdir()
    os.mkfifo(room / "004.html")
    told = bench("pages", "-o", room, "--today", TODAY, folder=demo)
    assert told.code == 1 and "no page that was made here" in told.err and "1 not" in told.out
    told = bench("pages", "--one", room / "004.html", "--today", TODAY, folder=demo)
    assert told.code == 1 and "in one file" not in told.out


def test_a_tag_that_two_files_claim_is_told_as_that(demo: Path, bench: Bench) -> None:
    """And not as a tree that is not there, with another one's number for a hint."""
    shutil.copy(demo / "trees/003.yaml", demo / "trees/zzz.yaml")
    for words in (("sheets", "--tag", "003", "--dry-run"), ("due", "003"), ("due", "3"), ("handover", "003")):
        told = bench(*words, "--today", TODAY, folder=demo)
        assert told.code == 1 and "belongs to trees/003.yaml too" in told.err and "010" not in told.err, told.all


def test_a_short_number_of_a_faulty_tree_is_told_as_its_fault(demo: Path, bench: Bench) -> None:
    with (demo / "trees/005.yaml").open("a") as file:
        file.write("x: [\n")
    for words in (("sheets", "--tag", "5", "--dry-run"), ("due", "5"), ("history", "5")):
        told = bench(*words, "--today", TODAY, folder=demo)
        assert told.code == 1 and "trees/005.yaml" in told.err and "there is no tree" not in told.err, told.all


def test_a_short_number_is_enough_everywhere_and_a_tree_asked_for_twice_is_one(
    demo: Path, tmp_path: Path, bench: Bench
) -> None:
    assert bench("handover", "7", "-o", tmp_path / "7.zip", "--yes", "--today", TODAY, folder=demo).code == 0
    out = bench(
        "sheets", "--tag", "4", "--tag", "004", "--json", "-o", tmp_path / "s.pdf", "--today", TODAY, folder=demo
    )
    assert [sheet["tag"] for sheet in json.loads(out.out)["sheets"]] == ["004"]


def test_whoever_reads_data_gets_data_of_a_refusal_too(demo: Path, bench: Bench) -> None:
    for words in (("sheets", "--tag", "99"), ("reconcile", "nope.txt"), ("pages", "-o", demo / "collection.yaml")):
        told = bench(*words, "--json", "--today", TODAY, folder=demo)
        problems = json.loads(told.out)["problems"]
        assert told.code == 1 and problems and problems[0]["message"] in told.err


def test_an_archive_and_a_table_are_two_things(demo: Path, tmp_path: Path, bench: Bench) -> None:
    archive = tmp_path / "7.zip"
    bench("handover", "007", "-o", archive, "--yes", "--today", TODAY, folder=demo)
    told = bench("add", "--handover", archive, "--table", "nope.csv", "--yes", folder=demo)
    assert told.code == 1 and "--handover goes with no --table" in told.err


@pytest.mark.parametrize("spoil", ["settings", "full", "file for a folder"])
def test_it_is_said_whether_what_was_piped_in_is_kept(
    spoil: str, demo: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    if spoil == "settings":
        (demo / "collection.yaml").unlink()
    elif spoil == "full":

        def full(*_: object) -> None:
            raise OSError(28, "No space left on device")

        monkeypatch.setattr("logbook.intake.archive.keep_text", full)
    else:
        shutil.rmtree(demo / "trees")
        (demo / "trees").write_text("hi")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"tree 004\n17 nov fed\n")))
    told = bench("reconcile", "-", "--yes", "--today", TODAY, folder=demo)
    assert told.code == 1
    assert ("is kept in notes/" if spoil == "file for a folder" else "is NOT kept") in told.err, told.err
