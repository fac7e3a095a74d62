"""The README's promises: its first command is run as it stands, and its words name what there is."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.shipped import shipped
from logbook.storage.printed import Ledger

from .conftest import Answer

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")


def test_it_opens_with_the_job() -> None:
    assert README.split("\n\n")[1].startswith("You grow bonsai outdoors")


def test_the_first_command_makes_both_files(tmp_path: Path) -> None:
    """In a fresh copy of the repository, with a fresh environment: needs the package registry, as its user does."""
    tracked = subprocess.run(
        ["git", "ls-files", "-z", "--cached", "--others", "--exclude-standard"],
        cwd=ROOT,
        capture_output=True,
        check=True,
    )
    for name in filter(None, tracked.stdout.decode().split("\0")):
        target = tmp_path / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if (ROOT / name).is_file():
            target.write_bytes((ROOT / name).read_bytes())
    command = re.search(r"^python3 -m venv \.venv && .*$", README, re.MULTILINE)
    assert command
    done = subprocess.run(
        ["bash", "-euo", "pipefail", "-c", command[0]],
        cwd=tmp_path,
        capture_output=True,
        text=True,
        timeout=280,
        check=False,
    )
    assert done.returncode == 0, done.stdout + done.stderr
    for name in ("sheets.pdf", "tags.pdf"):
        assert (tmp_path / name).read_bytes().startswith(b"%PDF")
    assert list((tmp_path / "my-trees" / "printed").glob("*.json"))


@pytest.mark.parametrize("typed", re.findall(r"^\| `(.+?)` ?(?:\||,)", README, re.MULTILINE))
def test_every_note_in_the_table_is_understood(typed: str) -> None:
    if typed in ("V 3", "3 ?` / `3 -"):
        return  # stands on a sheet; see tests/notes
    (one,) = read_notes(f"tree 014\n14 oct {typed}\n", Grammar(shipped_knowledge(), Ledger()))
    assert not one.question and not one.fault
    assert all("note" not in part for part in one.parts)


def test_the_demo_is_as_it_says(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = tmp_path / "demo"
    bench("start", "--demo", folder)
    assert bench("check", folder=folder).out == "no problems in 13 files: 11 living trees\n"
    notes = re.search(
        r"```\n(tree 004.*?)```", (ROOT / "demo_collection" / "README.md").read_text("utf-8"), re.DOTALL
    )
    assert notes
    (tmp_path / "n.txt").write_text(notes[1], encoding="utf-8")
    assert bench("reconcile", tmp_path / "n.txt", "--yes", "--today", "2027-04-10", folder=folder).code == 0
    assert "last repotted?" in bench("due", "--why", "006", "--today", "2027-04-10", folder=folder).out


def test_layouts_and_demo_are_found() -> None:
    assert (shipped("layouts") / "pocket-a6.yaml").is_file()
    assert (shipped("demo_collection") / "collection.yaml").is_file()
