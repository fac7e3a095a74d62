"""What `check` tells: like faults once, with the places of the others; photographs that are named and not there."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

from logbook.cli.results import MOST_PLACES, folded
from logbook.diagnostics import Place, Problem

from ..conftest import Answer

Bench = Callable[..., Answer]


def test_like_faults_are_told_once(demo: Path, bench: Bench) -> None:
    for tag in ("004", "005", "006"):
        file = demo / "trees" / f"{tag}.yaml"
        lines = file.read_text("utf-8").splitlines()
        file.write_text(
            "\n".join("species: Acer palmatun" if row.startswith("species:") else row for row in lines) + "\n",
            "utf-8",
        )
    told = bench("check", "--today", "2026-11-25", folder=demo)
    assert told.code == 1 and told.err.count("'Acer palmatun' is not known") == 1
    assert "the same 2 times more: trees/005.yaml:" in told.err and "trees/006.yaml:" in told.err
    assert "3 errors in 3 of" in told.all, "all of them are counted"


def test_few_and_other_faults_are_told_each() -> None:
    def fault(message: str, line: int) -> Problem:
        return Problem(message, Place("t", line, 1))

    two = [fault("a", 1), fault("b", 2), fault("a", 3)]
    assert folded(two) == [two[0].told(), two[2].told(), two[1].told()]
    many = [fault("a", n) for n in range(1, MOST_PLACES + 5)]
    assert folded(many)[1].endswith(f"t:{MOST_PLACES + 1}:1 and 3 more")


def test_a_photo_that_is_not_there(demo: Path, bench: Bench) -> None:
    file = demo / "trees" / "003.yaml"
    file.write_text(file.read_text("utf-8") + "  - {date: 2026-11-01, photo: photos/none.jpg}\n", "utf-8")
    told = bench("check", "--today", "2026-11-25", folder=demo)
    assert told.code == 1 and "trees/003.yaml" in told.err and "there is no photo 'photos/none.jpg'" in told.err
    assert bench("due", "003", "--today", "2026-11-25", folder=demo).code == 0, "it stops no work"
