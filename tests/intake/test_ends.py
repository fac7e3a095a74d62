"""Where a block of notes ends: whatever looks like a header closes the sheet above it, so that no row goes to another tree."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from logbook.intake.grammar.lines import read_notes

from ..conftest import Answer
from .test_lines import GRAMMAR, SHEET
from .test_list_rows import GRAMMAR as LISTS
from .test_plan import Garden

Bench = Callable[..., Answer]
ROW = "1 6.12. done, trunk 67"


@pytest.mark.parametrize(
    "typed",
    [
        "walk {0}",
        "list {0}",
        "bench walk {0}",
        "days {0}",
        "walk list {0}",
        "{0}",
        "Walk: {0}",
        "walk no. {0}",
        "{0}:",
    ],
)
@pytest.mark.parametrize("serial", ["00143-1", "001431", "00143–1"])
def test_a_serial_begins_a_sheet_by_whatever_its_paper_is_called(typed: str, serial: str) -> None:
    lines = read_notes(f"sheet 00142-4\n1 14 oct looked\n{typed.format(serial)}\n{ROW}\n", GRAMMAR)
    assert [r.sheet.serial if r.sheet else "" for r in lines] == ["00142-4", "00143-1"]
    assert not any(r.fault for r in lines)


@pytest.mark.parametrize(
    "typed",
    [
        "walk 00999-9", "00999-9", "sheeet 00143-1", "shet 00143-1", "lits 00143-1", "walk lsit 00143-1", "page 00143-1",
        "the list of the east bench 00143-1", "sheeet 014", "tre 014", "treee 015", "shheet 00143 1", "sheet: the walk 00143-1",
        "walk 0143",
    ],
)  # fmt: skip
@pytest.mark.parametrize("above", ["sheet 00142-4", "tree 014", "sheet 00143-1"])
def test_what_only_looks_like_a_header_closes_the_sheet(above: str, typed: str) -> None:
    grammar = replace(GRAMMAR, tags=frozenset({"014", "015"}))
    lines = read_notes(f"{above}\n{typed}\n{ROW}\n1 3 nov trunk 40\nsheet 00142-4\n2 14 oct looked\n", grammar)
    assert lines[0].fault and lines[0].header and not lines[0].tags
    for row in lines[1:3]:
        assert "not understood" in row.fault and not row.tags and row.sheet is None, "nothing is written below it"
    assert lines[3].sheet == SHEET and not lines[3].fault, "until the next good header"


@pytest.mark.parametrize(
    ("above", "typed"),
    [
        ("sheet 00142-4", "3 14 oct label lost, see sheet 00143-1"),
        ("sheet 00142-4", "A 14 oct as on sheet 00143-1"),
        ("tree 014", "14 oct new label, sheet 00143-1 is void"),
        ("tree 014", "three buds swelling"),
        ("tree 014", "list of wounds: 3"),
        ("tree 014", "wall side is bare"),
        ("tree 014", "free draining mix, all good"),
        ("tree 014", "bench 2"),
        ("tree 014", "12345 seeds counted"),
        ("tree 014", ":"),
    ],
)
def test_lines_of_the_open_block_stay_its_lines(above: str, typed: str) -> None:
    lines = read_notes(f"{above}\n1 14 oct looked\n{typed}\n", replace(GRAMMAR, tags=frozenset({"014", "015"})))
    assert not lines[-1].header and lines[-1].tags == ("014",)


def test_rows_named_by_tags_stay_rows() -> None:
    lines = read_notes("sheet 00143-2\n014 14 oct done; replaces 00144-9\neast 14 oct see 00144-9\n", LISTS)
    assert [r.tags for r in lines] == [("014",), ("014", "015", "005")]


def test_nothing_is_lost_below_it_and_it_is_mended_like_any_header(tmp_path: Path, bench: Bench) -> None:
    garden = Garden(tmp_path, bench)
    garden.type("sheet 00142-4\n1 14 oct looked\nwlak 00999-9\n2 15 oct trunk 38\n")
    assert "trunk" not in garden.tree()
    folder, again = garden.folder, tmp_path / "again.txt"
    waits = (folder / "notes" / "waiting.txt").read_text("utf-8")
    assert "wlak 00999-9" in waits and "2 15 oct trunk 38" in waits
    audit = bench("waiting", folder=folder).out
    assert "2 waiting" in audit or "wlak" in audit
    again.write_text("sheet 00142-4\n2 15 oct trunk 38\n", encoding="utf-8")
    bench("reconcile", again, "--yes", "--today", "2026-11-20", folder=folder)
    assert "trunk: 38" in garden.tree()


@pytest.mark.parametrize(
    ("typed", "how"),
    [
        ("tree 001 died", "died"), ("tree 1 is dead", "died"), ("tree 001 was sold.", "sold"), ("Tree 001, given away", "given"),
        ("tree 1 planted out", "planted out"),
    ],
)  # fmt: skip
def test_a_tree_that_left_is_told_the_right_way_and_not_lost(
    tmp_path: Path, bench: Bench, typed: str, how: str
) -> None:
    garden = Garden(tmp_path, bench)
    before = garden.tree()
    told = garden.type(f"{typed}\n")
    assert told.code == 3 and f"benchleaf end 001 --how {how} closes its record" in told.out, told.all
    assert garden.tree() == before and typed in bench("waiting", folder=garden.folder).out
    assert bench("end", "001", "--how", how, "--today", "2026-11-20", folder=garden.folder).code == 0
