"""What an ill-willed tester found: nothing that failed looks like success, and every refusal leads on."""

from __future__ import annotations

import io
import json
import os
import shutil
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Settings, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.layouts import layout
from logbook.paper.page import Text
from logbook.paper.sheet.sheets import _in_short, record_sheet
from logbook.planning.planner import plan_tree

from ..conftest import TODAY, Answer, garden_at, snapshot

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


def test_one_file_never_takes_the_place_of_pages_for_others(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """The keeper's garden, with what trees are worth, on the address that everybody has."""
    web = tmp_path / "web"
    assert bench("pages", "-o", web, "--today", TODAY, folder=demo).code == 0
    before = snapshot(web)
    for name in ("004.html", "index.html", "all.html"):
        told = bench("pages", "--own", "--one", web / name, "--today", TODAY, folder=demo)
        assert told.code == 1 and "pages for anybody" in told.err, told.all
    assert snapshot(web) == before
    alone = tmp_path / "alone"
    alone.mkdir()
    assert bench("pages", "--one", alone / "any.html", "--today", TODAY, folder=demo).code == 0
    assert bench("pages", "--own", "--one", alone / "own.html", "--today", TODAY, folder=demo).code == 0
    assert bench("pages", "--own", "--one", alone / "any.html", "--today", TODAY, folder=demo).code == 1


def test_the_page_of_a_faulty_tree_is_not_said_to_be_nobodys(demo: Path, tmp_path: Path, bench: Bench) -> None:
    web = tmp_path / "web"
    bench("pages", "-o", web, "--today", TODAY, folder=demo)
    with (demo / "trees/010.yaml").open("a") as file:
        file.write("{{\n")
    told = bench("pages", "-o", web, "--today", TODAY, folder=demo)
    assert told.code == 1 and "010.yaml" in told.err and "of no tree here" not in told.out


def test_standard_input_goes_by_itself(
    demo: Path, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    notes = tmp_path / "n.txt"
    notes.write_text("tree 004\n17 nov fed\n")
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"tree 004\n18 nov fed\n")))
    told = bench("reconcile", "-", notes, "--yes", "--today", TODAY, folder=demo)
    assert told.code == 1 and "goes by itself" in told.err and "is NOT kept" in told.err


def test_many_branches_in_a_box_are_told_as_ranges() -> None:
    """`wire off 1, 2, … 15, 16, 1…` would be read as branch 1."""
    job = next(
        job
        for job in plan_tree(wired(30), garden_at(), date(2026, 11, 25)).jobs
        if job.record and job.record.takes and len(job.branches) == 30
    )
    assert _in_short(job).endswith(" 1–30")


def wired(count: int) -> Tree:
    log = (
        Entry(
            date=read_when("2026-04-10"),
            work="wiring",
            branches=tuple(str(n) for n in range(1, count + 1)),
            wire=(2.0,),
        ),
    )
    return Tree("004", log, path="trees/004.yaml", species="Acer palmatum")


def test_a_long_aim_gives_way_before_the_signs_do() -> None:
    aim = " ".join(f"word{n}" for n in range(700))
    plain, long = (
        record_sheet(
            plan_tree(replace(wired(3), aim=text), garden_at(), date(2026, 11, 25)),
            Settings("G"),
            shipped_knowledge(),
            layout("pocket-a6"),
            "",
        )
        for text in ("A short aim.", aim)
    )
    said = [
        [item.text for item in made.leaves[0][0].items if isinstance(item, Text) and item.block == "jobs"]
        for made in (plain, long)
    ]
    assert (
        any(text.startswith("when ") for text in said[0])
        and sum("when " in t or "too late" in t for t in said[1]) >= 1
    )
    assert len(long.leaves) == 1
