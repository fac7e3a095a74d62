"""The README's promises: its first command is run as it stands, and its words name what there is."""

from __future__ import annotations

import json
import re
import shlex
import subprocess
import tomllib
from collections import Counter
from collections.abc import Callable
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest

from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.shipped import shipped
from logbook.storage.printed import Ledger, Offered, Sheet, run_text

from . import readme_tables
from .conftest import Answer, make_collection
from .readme_tables import MARKED, TABLES, renewed

ROOT = Path(__file__).resolve().parent.parent
README = (ROOT / "README.md").read_text("utf-8")
FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)


def test_it_opens_with_the_job() -> None:
    assert README.split("\n\n")[1].startswith("You grow bonsai outdoors")


@pytest.mark.soak  # .ci/run runs it by itself: it installs all there is
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


# -- tables ----------------------------------------------------------------------------------------------------------


def test_its_tables_are_those_of_the_registers(request: pytest.FixtureRequest) -> None:
    """A changed register fails here, with the table to put in; --renew-tables puts it in."""
    if request.config.getoption("--renew-tables"):
        (ROOT / "README.md").write_text(renewed((ROOT / "README.md").read_text("utf-8")), encoding="utf-8")
    text = (ROOT / "README.md").read_text("utf-8")
    stands = dict(MARKED.findall(text))
    assert set(stands) == set(TABLES)
    for name, made in ((name, make()) for name, make in TABLES.items()):
        assert stands[name] == made, f"the table '{name}' is another now; pytest --renew-tables, or put in:\n\n{made}"


def test_no_table_stands_there_that_is_not_made() -> None:
    assert not re.findall(r"^\|.*$", FENCED.sub("", MARKED.sub("", README)), re.MULTILINE)


def test_a_changed_register_changes_its_table(monkeypatch: pytest.MonkeyPatch) -> None:
    """The comparison is not blind: one word more in works.yaml is another table, and the renewed README has it."""
    known = shipped_knowledge()
    works = {**known.works, "wiring": replace(known.works["wiring"], typed=("wired", "coiled"))}
    monkeypatch.setattr(readme_tables, "shipped_knowledge", lambda: replace(known, works=works))
    assert "`coiled`" in TABLES["works"]() and TABLES["works"]() != dict(MARKED.findall(README))["works"]
    assert renewed(README).count("`coiled`") == 1 and renewed(renewed(README)) == renewed(README)


@pytest.mark.parametrize("typed", re.findall(r"`([^`]+)`", dict(MARKED.findall(README))["notes"]))
def test_every_note_in_the_table_is_understood(typed: str) -> None:
    """As it stands there; what it must become is held in tests/intake/test_announced.py."""
    (one,) = read_notes(f"tree 014\n14 oct {typed}\n", Grammar(shipped_knowledge(), Ledger()))
    assert not one.question and not one.fault
    left = [part for part in one.parts if "note" in part]
    assert not left or typed in ("moss gone yellow", "note wired look")


# -- what stands in blocks -------------------------------------------------------------------------------------------


def blocks() -> list[tuple[str, str]]:
    """Each fenced block: its language, and what is inside."""
    return re.findall(r"^```(\w*)[^\n]*\n(.*?)^```$", README, re.MULTILINE | re.DOTALL)


def test_every_block_is_run_by_a_test() -> None:
    """Commands in tests/cli/test_examples.py, the tour in tests/test_tour.py, the evening in tests/evening, the others below; the first and the CI's by themselves."""
    kinds = Counter(kind for kind, _ in blocks())
    assert set(kinds) == {"sh", "console", "text", "yaml", ""}
    assert kinds[""] == 3, "the table of trees, the evening and the typed sheet"
    tour = README.partition("## A spring with the demo")[2].partition("\n## ")[0]
    assert kinds["console"] + kinds["text"] == len(re.findall(r"^```(?:console|text)", tour, re.MULTILINE))
    commands = [row for kind, inside in blocks() if kind == "sh" for row in inside.splitlines() if row]
    others = [row for row in commands if not row.startswith("benchleaf ")]
    assert [row.split(" && ")[0] for row in others] == ["python3 -m venv .venv", "python3 -m venv .venv-test"]
    assert "grep -m1 '^python3 -m venv .venv-test' README.md" in (ROOT / ".ci" / "run").read_text("utf-8")


def test_extras_that_are_installed_are_declared() -> None:
    declared = tomllib.loads((ROOT / "pyproject.toml").read_text("utf-8"))["project"]["optional-dependencies"]
    asked = re.findall(r"pip install [^`&]*'\.\[([\w,]+)\]'", README)
    assert {extra for one in asked for extra in one.split(",")} == {"test", "camera", "japanese"} <= set(declared)
    named = re.search(r"^\(`pip wheel \.`\).*?when it is wanted", README, re.DOTALL | re.MULTILINE)
    assert named and all(f"`{extra}`" in named[0] for extra in declared if extra not in ("test", "dev"))


@pytest.mark.parametrize("settings", [inside for kind, inside in blocks() if kind == "yaml"])
def test_its_settings_are_taken(settings: str, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    site = "site: {latitude: 47.9}\nformat: 1\ntitle: t\n"
    trees = {"014": 'tag: "014"\nspecies: Acer palmatum\nlog: []\n'}
    folder = make_collection(tmp_path / "c", trees, f"{site}{settings}")
    answer = bench("check", folder=folder)
    assert answer.code == 0 and "error" not in answer.err and "is not read so" not in answer.all, answer.all
    told = bench("words", "014", folder=folder).out
    assert all(name in told for name in re.findall(r"^  ([a-z ]+): ", settings, re.MULTILINE))


def test_its_table_of_trees_is_taken(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    (rows,) = (inside for kind, inside in blocks() if not kind and inside.startswith("No;"))
    (tmp_path / "trees.csv").write_text(rows, encoding="utf-8")
    folder = make_collection(tmp_path / "c")
    assert bench("add", "--table", tmp_path / "trees.csv", folder=folder).code == 0
    assert sorted(path.stem for path in (folder / "trees").iterdir()) == ["15", "16"]


def test_its_typed_sheet_is_read(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    (typed,) = (inside for kind, inside in blocks() if not kind and inside.startswith("sheet 00142-4"))
    jobs = (Offered("rp", "014", "repotting"),)
    sheet = Sheet(
        "00142-4", date(2026, 10, 1), "pocket-a6", 1, "metric", ("014",), {"1": "014", "2": "014", "3": "014"}, jobs
    )
    tree = 'tag: "014"\nname: Ridge larch\nspecies: Larix kaempferi\nlog: []\n'
    folder = make_collection(tmp_path / "c", {"014": tree})
    (folder / "printed").mkdir()
    (folder / "printed" / "a.json").write_text(run_text([sheet]), encoding="utf-8")
    (tmp_path / "saturday.txt").write_text(typed, encoding="utf-8")
    answer = bench("reconcile", tmp_path / "saturday.txt", "--yes", "--json", "--today", "2026-11-20", folder=folder)
    items = json.loads(answer.out)["items"]
    assert {item["fate"] for item in items} == {"write"}
    assert [item["told"] for item in items if "note" in item["entry"]] == ["moss gone yellow on the north side"]


def test_every_shipped_layout_is_named() -> None:
    for path in shipped("layouts").glob("*.yaml"):
        stem = path.stem.removesuffix("-letter")
        assert f"`{path.stem}`" in README or f"`{stem}`" in README or stem.startswith(("walk", "dossier", "days")), (
            path
        )


def test_the_demos_own_commands_run(
    tmp_path: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    """In their order, as the demo's README has them, with the notes it shows."""
    text = (ROOT / "demo_collection" / "README.md").read_text("utf-8")
    (notes,) = re.findall(r"^```\n(tree 004.*?)^```$", text, re.MULTILINE | re.DOTALL)
    monkeypatch.chdir(tmp_path)
    rows = [
        row
        for block in re.findall(r"^```sh\n(.*?)^```$", text, re.MULTILINE | re.DOTALL)
        for row in block.splitlines()
    ]
    for row in (re.split(r"\s+# ", row)[0] for row in rows):
        words = shlex.split(row)
        if words[0] == "cd":
            monkeypatch.chdir(words[1])
            Path("notes.txt").write_text(notes, encoding="utf-8")
            continue
        answer = bench(*words[1:])
        assert answer.code == 0, (row, answer.all)


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
