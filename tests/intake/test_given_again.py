"""Lines that wait, mended and given again in every way a grower may; and what is asked once, asked at all, or never lost."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from logbook.intake import line_status
from logbook.storage.disk import RealDisk
from logbook.storage.printed import Sheet, run_text

from ..conftest import INLAND, Answer, make_collection

Bench = Callable[..., Answer]
TREE = 'tag: "{0}"\nspecies: {1}\nlog:\n  - {{date: 2024-01-10, found: {{stage: ramification, vigour: 4}}}}\n'
SETTINGS = (
    "format: 1\ntitle: Test\nsite: {latitude: 47.9, normals: "
    f"{{tmin: {list(INLAND.tmin)}, tmax: {list(INLAND.tmax)}}}}}\n"
)


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    trees = {"001": "Acer palmatum", "002": "Larix kaempferi", "14": "Acer palmatum", "16": "Acer palmatum"}
    made = make_collection(tmp_path / "c", {tag: TREE.format(tag, name) for tag, name in trees.items()}, SETTINGS)
    (made / "printed").mkdir()
    return made


def give(bench: Bench, folder: Path, text: str | Path) -> list[dict[str, Any]]:
    path = text if isinstance(text, Path) else folder.parent / "typed.txt"
    if isinstance(text, str):
        path.write_text(text, encoding="utf-8")
    answer = bench("reconcile", path, "--yes", "--json", "--today", "2026-11-20", folder=folder)
    items: list[dict[str, Any]] = json.loads(answer.out)["items"]
    return items


def waiting(folder: Path) -> list[str]:
    audit = line_status.audit(RealDisk(folder))
    assert audit.balanced, audit
    return [row.text for row in line_status.waiting(RealDisk(folder))]


@pytest.mark.parametrize("tag", ["001", "002"])
def test_potting_far_out_of_season_is_asked_and_then_written(folder: Path, bench: Bench, tag: str) -> None:
    """Nobody pots a maple or a larch in July (common practice, no source): it is asked, and kept as the grower says."""
    (asked,) = give(bench, folder, f"tree {tag}\n12 jul repotted\n")
    assert asked["fate"] == "question" and "repotting is due here from" in asked["why"]
    (spring,) = give(bench, folder, f"tree {tag}\n4 apr repotted\n")
    assert spring["fate"] == "write"


def test_a_line_mended_in_the_growers_own_notes_settles_its_old_self(folder: Path, bench: Bench) -> None:
    give(bench, folder, "tree 001\n14 oct heigth 265\n15 oct fed\n")
    assert waiting(folder) == ["14 oct heigth 265"]
    mended = give(bench, folder, "tree 001\n14 oct height 265\n15 oct fed\n16 oct moss gone\n")
    assert [item["fate"] for item in mended] == ["write", "there", "write"] and waiting(folder) == []
    assert bench("undo", "--yes", "--today", "2026-11-20", folder=folder).code == 0
    assert waiting(folder) == ["14 oct heigth 265"], "where it is taken back, the old line waits again"


def test_another_evenings_line_settles_nothing(folder: Path, bench: Bench) -> None:
    give(bench, folder, "tree 001\n14 oct heigth 265\n")
    give(bench, folder, "tree 001\n15 oct fed\n")
    assert waiting(folder) == ["14 oct heigth 265"]


def test_an_entry_written_by_hand_settles_the_line_that_waited(folder: Path, bench: Bench) -> None:
    give(bench, folder, "tree 001\n14 oct wire off 7\n")
    tree = folder / "trees" / "001.yaml"
    wired = (
        "  - {date: 2026-04-01, work: wiring, branches: [7]}\n  - {date: 2026-10-14, work: wire off, branches: [7]}\n"
    )
    tree.write_text(tree.read_text("utf-8") + wired, encoding="utf-8")
    (item,) = give(bench, folder, folder / "notes" / "waiting.txt")
    assert item["fate"] == "there" and waiting(folder) == []
    assert tree.read_text("utf-8").count("wire off") == 1


def test_what_waits_given_again_as_it_is_doubles_nothing(folder: Path, bench: Bench) -> None:
    for text in ("tree 998\n14 oct fed\ntree 001\n14 oct heigth 265\n", "tree 998\n16 oct pruned\ntree 999\n"):
        give(bench, folder, text)
    before = sorted(waiting(folder))
    for _ in range(3):
        give(bench, folder, folder / "notes" / "waiting.txt")
        assert sorted(waiting(folder)) == before
    tree = folder / "trees" / "998.yaml"
    tree.write_text(TREE.format("998", "Acer palmatum"), encoding="utf-8")
    give(bench, folder, folder / "notes" / "waiting.txt")
    assert sorted(waiting(folder)) == ["14 oct heigth 265", "tree 999"]


def test_a_row_or_a_day_is_asked_once_for_the_list(folder: Path, bench: Bench) -> None:
    lines = {tag: tag for tag in ("001", "002", "14", "16")}
    walk = Sheet("00143-2", date(2026, 10, 1), "walk-a4", 1, "metric", tuple(lines), lines, by_tag=True)
    (folder / "printed" / "a.json").write_text(run_text([walk]), encoding="utf-8")
    items = give(bench, folder, "sheet 00143-2\n14 oct moss gone\n16 oct moss gone\n001 16 oct moss gone\n")
    assert [item["fate"] for item in items] == ["left over", "left over", "write"]
    assert "is this row 14, or the day" in items[0]["why"] and items[0]["hint"]
    assert items[1]["why"] == "a row or a day, as asked at line 2" and not items[1]["hint"]


def test_a_row_of_an_unknown_tree_is_told_once(folder: Path, bench: Bench) -> None:
    table = folder.parent / "old.csv"
    table.write_text("date,tree,done\n2019,999,repotted\n2020,001,pruned\n", encoding="utf-8")
    answer = bench("import-log", table, "--yes", "--today", "2026-11-20", folder=folder)
    assert answer.out.count("there is no tree 999") == 1 and waiting(folder) == ["2019 repotted"]


@pytest.mark.parametrize("rest", ["from the round pot", "from the round pot into the oval", "from a cracked pot"])
def test_the_pot_it_came_from_is_not_lost(folder: Path, bench: Bench, rest: str) -> None:
    (item,) = give(bench, folder, f"tree 002\n4 apr repotted {rest}\n")
    assert item["entry"]["work"] == "repotting" and item["entry"]["note"] == rest and "pot" not in item["entry"]


def test_what_is_piped_in_is_kept_even_where_the_folder_is_not_whole(
    bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A folder that is still being synced is refused; what was typed could be given by nobody again."""
    tags = [f"{n:03d}" for n in range(1, 7)]
    folder = make_collection(tmp_path / "c", {t: f'tag: "{t}"\nspecies: Acer palmatum\nlog: []\n' for t in tags})
    notes = tmp_path / "first.txt"
    notes.write_text("tree 001\n2 oct fed\n")
    assert bench("reconcile", notes, "--yes", "--today", "2026-11-20", folder=folder).code == 0
    away = tmp_path / "away"
    (folder / "trees").rename(away)
    (folder / "trees").mkdir()
    typed = "tree 003\n14 oct fed, moss is yellow\n"

    def piped() -> Answer:
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(typed.encode())))
        return bench("reconcile", "-", "--yes", "--today", "2026-11-20", folder=folder)

    for _ in range(2):
        told = piped()
        assert told.code == 1 and "trees that stood here are not there" in told.err, told.all
        (kept,) = [p for p in (folder / "notes").glob("*.txt") if p.read_bytes() == typed.encode()]
        assert f"what was typed is kept in notes/{kept.name}" in told.err
    assert not list((folder / "trees").iterdir())
    (folder / "trees").rmdir()
    away.rename(folder / "trees")
    assert bench("reconcile", kept, "--yes", "--today", "2026-11-20", folder=folder).code == 0
    log = (folder / "trees/003.yaml").read_text()
    assert "moss is yellow" in log and piped().code == 0 and (folder / "trees/003.yaml").read_text() == log
