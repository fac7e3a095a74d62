"""Every file in tests/broken/ holds one fault and, as a comment, exactly the message it must give."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from logbook.storage.printed import Offered, Sheet, run_text

from .conftest import Answer, make_collection, snapshot

FILES = sorted((Path(__file__).parent / "broken").iterdir())
GOOD_TREE = 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2020, found: {stage: ramification}}\n'


def expected(path: Path) -> tuple[str, str]:
    text = path.read_text("utf-8")
    message = re.search(r"^[#?] expect (.*)$", text, re.MULTILINE)
    hint = re.search(r"^[#?] hint (.*)$", text, re.MULTILINE)
    assert message, f"{path.name} names no expected message"
    return message[1], hint[1] if hint else ""


def test_there_are_enough() -> None:
    assert len(FILES) >= 45


@pytest.mark.parametrize("path", [p for p in FILES if p.suffix == ".yaml"], ids=lambda p: p.stem)
def test_broken_yaml(path: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = make_collection(tmp_path / "c", {"001": GOOD_TREE})
    if path.stem.startswith("tree-"):
        shown = "trees/014.yaml"
    else:
        shown = "collection.yaml"
    (folder / shown).write_bytes(path.read_bytes())
    before = snapshot(folder)
    answer = bench("check", folder=folder)
    message, hint = expected(path)
    place, _, words = message.partition(" ")
    told = [line for line in answer.err.splitlines() if " error: " in line]
    assert told == [f"{shown}:{place}: {words}"]
    hints = [line.strip() for line in answer.err.splitlines() if line.startswith("  hint: ")]
    # a collection without a site is warned about as well; the fault's own hint comes first
    assert (hints[0] if hint else "") == (f"hint: {hint}" if hint else "")
    assert answer.code == 1
    assert "Traceback" not in answer.all
    assert snapshot(folder) == before


@pytest.mark.parametrize("path", [p for p in FILES if p.suffix == ".txt"], ids=lambda p: p.stem)
def test_broken_notes(path: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = make_collection(tmp_path / "c", {"001": GOOD_TREE})
    sheet = Sheet(
        "55553-5",
        date(2026, 10, 1),
        "pocket-a6",
        1,
        "metric",
        ("001",),
        {str(n): "001" for n in range(1, 13)},
        (Offered("A", "001", "wiring"), Offered("C", "001", "look-over")),
    )
    (folder / "printed").mkdir()
    (folder / "printed" / "run.json").write_text(run_text([sheet]), encoding="utf-8")
    trees = snapshot(folder / "trees")
    message, hint = expected(path)
    typed = tmp_path / path.name  # notes have no comment signs, so the two lines of expectation are blanked
    typed.write_text(
        re.sub(r"^\? (?:expect|hint) .*$", "", path.read_text("utf-8"), flags=re.MULTILINE), encoding="utf-8"
    )
    answer = bench("reconcile", typed, "--yes", "--json", "--today", "2026-11-20", folder=folder)
    items = json.loads(answer.out)["items"]
    first = next(i for i in items if i["fate"] != "write")
    assert f"{first['line']} {first['fate']}: {first['why']}" == message
    assert first["hint"] == hint
    assert answer.code == 3
    assert snapshot(folder / "trees") == trees
    kept = list((folder / "notes").glob("*.txt"))
    assert typed.read_bytes() in [p.read_bytes() for p in kept], "the typed text is kept as it came"
    assert first["why"] in (folder / "notes" / "waiting.txt").read_text("utf-8")
