"""A whole season from the outside, by the command alone: print, write, type, reconcile, print again.

The season is run with a process for each command, as its user does, so that nothing but the files carries over; the smaller
tests run the command in this process.
"""

from __future__ import annotations

import csv
import io
import json
import os
import subprocess
import sys
from collections.abc import Callable, Sequence
from contextlib import redirect_stderr, redirect_stdout
from dataclasses import dataclass
from pathlib import Path

import pypdfium2
import pytest

from logbook.cli.main import run
from logbook.horticulture.loader import shipped_knowledge
from logbook.storage.printed import load_ledger

from ..conftest import snapshot


@dataclass
class Told:
    """What a command wrote."""

    stdout: str
    stderr: str


def words_of(words: Sequence[object], folder: Path | None) -> list[str]:
    return [*(["-C", str(folder)] if folder else []), *(str(w) for w in words)]


def checked(told: Told, code: int, expected: int) -> Told:
    assert code == expected, told.stdout + told.stderr
    assert "Traceback" not in told.stdout + told.stderr
    return told


def command(*words: object, folder: Path | None = None, text: str | None = None, code: int = 0) -> Told:
    """The command in this process."""
    out, err = io.StringIO(), io.StringIO()
    with pytest.MonkeyPatch.context() as patch, redirect_stdout(out), redirect_stderr(err):
        patch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO((text or "").encode()), encoding="utf-8"))
        try:
            ended = run(words_of(words, folder))
        except SystemExit as stop:
            ended = int(stop.code or 0)
    return checked(Told(out.getvalue(), err.getvalue()), ended, code)


def apart(*words: object, folder: Path | None = None, text: str | None = None, code: int = 0) -> Told:
    """The command as its user runs it, in a process of its own."""
    done = subprocess.run(
        [sys.executable, "-m", "logbook", *words_of(words, folder)],
        input=text or "",
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        env={**os.environ, "PYTHONIOENCODING": "utf-8"},
    )
    return checked(Told(done.stdout, done.stderr), done.returncode, code)


Run = Callable[..., Told]


def data(*words: object, folder: Path, by: Run = command) -> dict[str, object]:
    loaded: dict[str, object] = json.loads(by(*words, "--json", folder=folder).stdout)
    return loaded


def plans(folder: Path, today: str, by: Run = command) -> dict[str, dict[str, object]]:
    return {tree["tag"]: tree for tree in data("due", "--today", today, folder=folder, by=by)["trees"]}  # type: ignore[attr-defined, index]


def works(plan: dict[str, object]) -> set[str]:
    return {job["work"] for job in plan["jobs"]}  # type: ignore[attr-defined, index]


def page_text(path: Path) -> str:
    return " ".join(" ".join(page.get_textpage().get_text_range() for page in pypdfium2.PdfDocument(path)).split())


@pytest.mark.long
def test_a_season(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    apart("start", "--demo", folder)
    printed = data("sheets", "-o", tmp_path / "spring.pdf", "--today", "2026-11-25", folder=folder, by=apart)
    serial = {s["tag"]: s["serial"] for s in printed["sheets"]}  # type: ignore[attr-defined, index]
    before = plans(folder, "2027-04-30", apart)
    assert "repotting" in works(before["002"]) and "wire check" in works(before["004"])
    assert not before["009"]["resting"]

    ledger = load_ledger(folder).sheets

    def letter(tag: str, work: str) -> str:
        return next(j.letter for j in ledger[serial[tag]].jobs if j.work == work)

    notes = f"""sheet {serial["001"]} 001
1  12 dec  needles thinned 45 min
2          trunk 63 tips 108 vigour 4
sheet {serial["002"]}
{letter("002", "repotting")}  28 mar  roots light mix 2 pumice 1 lava
1  28 mar  roots fine and white, pot a little small
sheet {serial["003"]}
1  20 mar  trunk 51.5; vigour 5
{letter("003", "intention")}  20 mar
sheet {serial["004"]}
1  2 apr   wire off bite starting
2          branch 1 has set, 3 sprang back
sheet {serial["009"]}
V  15 apr 2
1          two spurs dead on the left
sheet {serial["011"]}
1  20 apr  stage refinement
2          wired 3 with what was it
"""
    typed = tmp_path / "notes.txt"
    typed.write_text(notes, encoding="utf-8")
    plan = apart("reconcile", typed, "--today", "2027-04-30", "--dry-run", folder=folder, code=3)
    assert "needle thinning; 45 min" in plan.stdout and "nothing written" in plan.stdout
    done = apart("reconcile", typed, "--today", "2027-04-30", "--yes", folder=folder, code=3)
    assert "leaves open what was done" in done.stdout
    assert "wired 3 with what was it" in (folder / "notes" / "waiting.txt").read_text("utf-8")
    apart("check", folder=folder)

    after = plans(folder, "2027-04-30", apart)
    assert after["009"]["resting"]
    refused = {r["work"]: r["why"] for r in plans(folder, "2027-10-30", apart)["009"]["refused"]}  # type: ignore[attr-defined, index]
    assert refused["wiring"] == "resting since 15 Apr 2027: vigour 2"
    assert "wire check" not in works(after["004"]) and not after["004"]["wires"]
    again = [j for j in after["002"]["jobs"] if j["work"] == "repotting"]  # type: ignore[attr-defined, index]
    assert not again or again[0]["opens"] >= "2030-01-01", "the repotting that was ticked is not offered again"
    assert "intention" not in works(after["003"])
    assert after["001"]["vigour"] == 4

    apart("sheets", "-o", tmp_path / "summer.pdf", "--today", "2027-10-30", folder=folder)
    first, second = page_text(tmp_path / "spring.pdf"), page_text(tmp_path / "summer.pdf")
    assert "WIRE ON 1–3" in first and "WIRE ON" not in second
    assert "resting since 15 Apr 2027: vigour 2" in second and "resting since 15 Apr" not in first
    assert "shorten S2 by half (by" in first and "shorten S2 by half (by" not in second

    trees = snapshot(folder / "trees")
    once_more = apart("reconcile", typed, "--today", "2027-05-01", "--yes", folder=folder, code=3)
    assert "wrote 0 entries" in once_more.stdout
    assert snapshot(folder / "trees") == trees, "typed twice, not one byte changes"

    mended = tmp_path / "mended.txt"
    mended.write_text(f"sheet {serial['011']}\n2 20 apr wired 3 alu 2\n", encoding="utf-8")
    apart("reconcile", mended, "--today", "2027-05-01", "--yes", folder=folder)
    assert "nothing waits" in apart("waiting", folder=folder).stdout


def test_sixty_trees_from_nothing(tmp_path: Path) -> None:
    folder, table = tmp_path / "garden", tmp_path / "trees.csv"
    command("start", folder, "--title", "Sixty", "--latitude", "47.9")
    settings = folder / "collection.yaml"
    text = settings.read_text("utf-8")
    own = "\n".join(
        line.replace("  # ", "  ", 1)
        if line.startswith(("  # normals", "  #   tmin", "  #   tmax", "  #   years", "  #   coldest"))
        else line
        for line in text.splitlines()
    )
    settings.write_text(own + "\n", encoding="utf-8")
    species = sorted(
        s.capitalize()
        for s in (
            "acer palmatum",
            "pinus thunbergii",
            "larix kaempferi",
            "juniperus chinensis",
            "ulmus parvifolia",
            "fagus crenata",
        )
    )
    with table.open("w", newline="", encoding="utf-8") as file:
        rows = csv.writer(file)
        rows.writerow(["tag", "species", "name", "bench", "stage", "vigour", "repotted"])
        for n in range(1, 61):
            rows.writerow(
                [
                    f"{n:03d}",
                    species[n % 6],
                    f"Tree, the {n}th",
                    f"bench {n % 4}",
                    "ramification" if n % 3 else "",
                    n % 3 + 3 if n % 2 else "",
                    f"{2020 + n % 5}" if n % 4 else "",
                ]
            )
    assert "added 60 trees" in command("add", "--table", table, "--today", "2026-11-01", folder=folder).stdout
    first = snapshot(folder / "trees")
    assert (
        "added 0 trees; 60 already there"
        in command("add", "--table", table, "--today", "2026-11-02", folder=folder).stdout
    )
    assert snapshot(folder / "trees") == first, "added twice, nothing doubled"
    assert "no problems in 61 files: 60 living trees" in command("check", folder=folder).stdout
    walk = data("walk", "--all", "-o", tmp_path / "walk.pdf", "--today", "2026-11-25", folder=folder)
    pages = pypdfium2.PdfDocument(tmp_path / "walk.pdf")
    assert len(pages) == walk["pages"] and 3 <= len(pages) <= 5 and len(walk["rows"]) == 60
    lines = [f"sheet {walk['serial']}"]
    for n in range(1, 21):
        said = ["looked", "vigour 4", "moss gone yellow", "trunk 30 tips 20"][n % 4]
        lines.append(f"{n:03d} 28 nov {said}" if n == 1 else f"{n:03d} {said}")
    done = command("reconcile", "-", "--yes", "--today", "2026-11-29", folder=folder, text="\n".join(lines) + "\n")
    assert "wrote 20 entries into 20 files" in done.stdout
    trees = snapshot(folder / "trees")
    command("reconcile", "-", "--yes", "--today", "2026-11-29", folder=folder, text="\n".join(lines) + "\n")
    assert snapshot(folder / "trees") == trees
    assert plans(folder, "2026-12-01")["001"]["vigour"] == 4
    assert set(shipped_knowledge().words["stages"])


@pytest.mark.parametrize(
    ("table", "told"),
    [
        ("number,colour\n001,green\n", ["t.csv:1:1: error: no column tells the species", "found 'number', 'colour'"]),
        (
            "tag;species;repotted\n001;Exampleus arboreus;2021\n002;Acer palmatum;2021-13\n",
            [
                "t.csv:2:5: error: the species 'Exampleus arboreus' is not known",
                "t.csv:3:19: error: 13 is neither a month nor a season",
            ],
        ),
        ("tag,species,name\n001,Acer palmatum,Red, old\n", ["row 2 has 4 cells, the header 3"]),
        ("tag,species\na/b,Acer palmatum\n", ["t.csv:2:1: error: expected a tag, found 'a/b'"]),
        (
            "tag,species,repotted,started\n001,Acer palmatum,2999,\n002,Acer palmatum,,2999-21\n",
            [
                "t.csv:2:19: error: repotted: 2999 is still to come",
                "t.csv:3:20: error: started: spring 2999 is still",
            ],
        ),
        ("", ["the table is empty"]),
    ],
)
def test_faults_of_a_table_are_placed_and_nothing_is_written(tmp_path: Path, table: str, told: list[str]) -> None:
    folder = tmp_path / "g"
    command("start", folder)
    (tmp_path / "t.csv").write_text(table, encoding="utf-8")
    done = command("add", "--table", tmp_path / "t.csv", folder=folder, code=1)
    for words in told:
        assert words in done.stderr.replace(f"{tmp_path}/", "")
    assert not list((folder / "trees").iterdir())


def test_adding_one_tree(tmp_path: Path) -> None:
    folder = tmp_path / "g"
    command("start", folder)
    line = [
        "add",
        "014",
        "--species",
        "Larix kaempferi",
        "--name",
        "Ridge: the larch",
        "--stage",
        "ramification",
        "--today",
        "2026-11-01",
    ]
    assert "added 1 tree" in command(*line, folder=folder).stdout
    assert "1 already there" in command(*line, folder=folder).stdout
    other = command("add", "014", "--species", "Acer palmatum", folder=folder, code=1)
    assert "tag 014 is in use" in other.stderr
    assert "no key" not in command("check", folder=folder).stderr
    assert "lacks 'species'" in command("add", "015", folder=folder, code=1).stderr


def test_wrong_usage_and_help(tmp_path: Path) -> None:
    for run_it in (apart, command):
        run_it("--help")
        run_it(code=2)
    command("frobnicate", code=2)
    command("due", "--today", "soon", folder=tmp_path, code=2)
    for verb in ("check", "sheets", "reconcile", "add"):
        assert "example" in apart(verb, "--help").stdout, "each verb loads by itself"


def test_finding(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    command("start", "--demo", folder)
    for text in (
        "https://quarrylane.example/trees/003.yaml",
        "http://elsewhere.example/x/003",
        "003",
        "trees/003.yaml",
        "https://x.example/trees/003.yaml#00142-4",
    ):
        assert command("find", text, folder=folder).stdout == "trees/003.yaml\n"
    lost = command("find", "https://x.example/trees/093.yaml", folder=folder, code=1)
    assert "leads to no tree" in lost.stderr and "did you mean" in lost.stderr


def test_a_collection_without_a_site_still_prints(tmp_path: Path) -> None:
    folder = tmp_path / "g"
    command("start", folder, "--units", "us")
    command("add", "001", "--species", "Acer palmatum", folder=folder)
    assert "offered by their signs" in command("check", folder=folder).stderr
    command("sheets", "-o", tmp_path / "s.pdf", folder=folder)
    assert "by its signs" in page_text(tmp_path / "s.pdf")
    size = pypdfium2.PdfDocument(tmp_path / "s.pdf")[0].get_size()
    assert size == (612, 792), "us units print on letter paper"


def test_outputs_that_can_not_be_written_are_told_before_the_work(tmp_path: Path) -> None:
    folder = tmp_path / "demo"
    command("start", "--demo", folder)
    assert "does not exist" in command("sheets", "-o", tmp_path / "no" / "s.pdf", folder=folder, code=1).stderr
    assert not (folder / "printed").exists(), "no serial was spent"
    assert "already" in command("start", folder, code=1).stderr
    assert "not empty" in command("start", "--demo", tmp_path, code=1).stderr
