"""Folders that are no collection, tags that clash, and cross-file rules."""

from __future__ import annotations

import os
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge

from ..conftest import Answer, make_collection

TREE = 'tag: "{0}"\nspecies: Acer palmatum\nlog: []\n'


def test_folders_that_are_no_collection(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    (tmp_path / "empty").mkdir()
    (tmp_path / "other").mkdir()
    (tmp_path / "other" / "x.txt").write_text("x")
    (tmp_path / "file").write_text("x")
    for name, words in (
        ("none", "there is no such folder"),
        ("empty", "the folder is empty"),
        ("other", "holds no collection.yaml"),
        ("file", "this is a file"),
    ):
        for verb in (
            ["check"],
            ["due"],
            ["sheets"],
            ["tags"],
            ["walk"],
            ["find", "1"],
            ["reconcile", "-"],
            ["waiting"],
            ["add", "1"],
        ):
            answer = bench(*verb, folder=tmp_path / name)
            assert answer.code == 1
            assert words in answer.err and "hint:" in answer.err
            assert "Traceback" not in answer.all


@pytest.mark.skipif(os.geteuid() == 0, reason="root may read everything")
def test_unreadable_folder(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = make_collection(tmp_path / "c")
    folder.chmod(0)
    try:
        assert "can't be read" in bench("check", folder=folder).err
    finally:
        folder.chmod(0o755)


def test_two_files_one_tag_both_wait(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Tags are the same whatever their case or Unicode form."""
    trees = {"a": TREE.format("Äb1"), "b": TREE.format("A\u0308B1"), "c": TREE.format("003")}
    answer = bench("check", folder=make_collection(tmp_path, trees))
    assert "belongs to trees/a.yaml too" in answer.err
    due = bench("due", folder=tmp_path)
    assert "003" in due.out and "Äb1" not in due.out
    assert due.code == 1


def test_older_number_that_is_a_tag(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    trees = {"014": TREE.format("014"), "015": TREE.format("015") + 'also: ["014"]\n'}
    assert (
        "is an older number of this tree, and the tag of trees/014.yaml"
        in bench("check", folder=make_collection(tmp_path, trees)).err
    )


def test_name_of_the_file_is_only_a_warning(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    answer = bench("check", folder=make_collection(tmp_path, {"ridge": TREE.format("014")}))
    assert answer.code == 0
    assert "the file is named 'ridge.yaml', its tag is '014'" in answer.err


def test_one_broken_tree_does_not_stop_the_others(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = make_collection(tmp_path / "c", {"001": TREE.format("001"), "002": "tag: [\n"})
    answer = bench("sheets", "-o", tmp_path / "s.pdf", "--today", "2026-03-01", folder=folder)
    assert answer.code == 1
    assert (tmp_path / "s.pdf").read_bytes().startswith(b"%PDF")
    assert "1 tree left out" in answer.err


def test_the_growers_own_keys_are_kept_quiet(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    tree = TREE.format("001") + "x-soil-supplier: {whatever: [1, 2]}\n"
    assert "x-" not in bench("check", folder=make_collection(tmp_path, {"001": tree})).err


def test_us_units_are_inches_in_the_file(tmp_path: Path) -> None:
    from logbook.collection.load import load
    from logbook.horticulture.loader import shipped_knowledge

    text = "format: 1\ntitle: T\nunits: us\nsite: {latitude: 40, elevation: 1000, normals: {tmin: [20, 22, 30, 40, 50, 60, 64, 62, 55, 44, 33, 24], tmax: [38, 42, 52, 64, 74, 83, 87, 85, 78, 66, 53, 42]}}\n"
    tree = 'tag: "001"\nspecies: Acer palmatum\ntargets: {trunk: 2}\nlog:\n  - {date: 2026-01-01, measured: {trunk: 1.5}, work: wiring, wire: 10ga}\n'
    collection = load(make_collection(tmp_path, {"001": tree}, text), shipped_knowledge())
    assert not collection.problems
    entry, site = collection.trees[0].log[0], collection.settings.site
    assert entry.measured["trunk"] == pytest.approx(38.1)
    assert entry.wire[0] == pytest.approx(2.588, abs=0.001)  # ASTM B258, AWG 10
    assert collection.trees[0].targets.trunk.to == pytest.approx(50.8)  # type: ignore[union-attr]
    assert site and site.normals and site.normals.tmin[0] == pytest.approx(-6.667, abs=0.001)
    assert site.elevation_m == pytest.approx(304.8)


def test_entries_of_days_to_come_are_told(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    log = "log:\n  - {date: 2026-10-14, note: a}\n  - {date: 2062-10-14, work: repotting}\n"
    folder = make_collection(tmp_path, {"014": TREE.format("014").replace("log: []\n", log)})
    answer = bench("check", "--today", "2026-11-25", folder=folder)
    assert answer.code == 0 and answer.err.count("is still to come") == 1
    assert "trees/014.yaml:5:5: warning: 14 Oct 2062 is still to come" in answer.err
    assert "still to come" not in bench("check", "--today", "2062-10-14", folder=folder).err


def test_normals_of_two_months_or_four(tmp_path: Path) -> None:
    """Two are completed by fixed shares of the way between them, four by a wave through all; both say so."""
    for months, how in (
        ("january: [-3, 4], july: [15, 27]", "from four numbers"),
        ("january: [-3, 4], april: [5, 16], july: [15, 27], october: [7, 15]", "from eight numbers"),
    ):
        text = f"format: 1\ntitle: T\nsite: {{latitude: 46, normals: {{{months}, coldest_night: -13}}}}\n"
        site = load(make_collection(tmp_path, settings_text=text), shipped_knowledge()).settings.site
        assert site and site.normals and site.normals.guessed == how and site.normals.coldest_night == -13
        assert (site.normals.tmin[0], site.normals.tmax[6]) == (-3, 27) and len(site.normals.tmin) == 12


def test_a_tree_stands_where_it_was_moved_to_last(tmp_path: Path) -> None:
    moves = (
        "- {date: 2026-05-02, bench: east 2}\n  - {date: 2026-03-01, bench: shed}\n  - {date: 2026-06-01, vigour: 4}"
    )
    trees = {
        "1": f'tag: "1"\nspecies: Acer palmatum\nbench: west 1\nlog:\n  {moves}\n',
        "2": 'tag: "2"\nspecies: Acer palmatum\nbench: west 1\nlog: []\n',
    }
    found = load(make_collection(tmp_path, trees), shipped_knowledge())
    assert not found.problems
    assert [tree.bench for tree in found.trees] == ["east 2", "west 1"]
