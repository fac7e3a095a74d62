"""Every example of every verb's help, and every command of the README, is run as it stands."""

from __future__ import annotations

import importlib
import io
import re
import shlex
import shutil
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from logbook.cli.main import VERBS, run
from logbook.storage.printed import Sheet, run_text

from ..conftest import Answer, make_collection

FENCED = re.compile(r"^```.*?^```$", re.DOTALL | re.MULTILINE)
ROOT = Path(__file__).resolve().parents[2]
README = (ROOT / "README.md").read_text("utf-8")
Bench = Callable[..., Answer]
SETTINGS = """format: 1
title: Examples
link: "https://trees.example.org/{file}"
bench_days: {saturday: 3h, sunday: 2h}
site:
  latitude: 47.9
  normals:
    tmin: [-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5]
    tmax: [2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3]
"""
TREE = 'tag: "{0}"\nspecies: Larix kaempferi\nbench: east 1\nlog:\n  - {{date: 2024-04-01, work: repotting, stage: ramification, vigour: 4, measured: {{trunk: 30}}}}\n'
NORMALS = "".join(
    f"{m} {a} {b}\n"
    for m, (a, b) in enumerate(
        [
            (-3, 3),
            (-2, 6),
            (1, 11),
            (5, 16),
            (9, 21),
            (13, 25),
            (15, 27),
            (14, 26),
            (10, 21),
            (7, 15),
            (2, 8),
            (-2, 4),
        ],
        1,
    )
)
DAYS = "date;low;high\n" + "".join(f"{d:02d}.03.2026;{d / 10:.1f};{d / 2 + 3:.1f}\n" for d in range(1, 29))
TAGS = ("001", "002", "003", "004", "005", "011", "012", "014", "015", "031")


def examples_of(verb: str) -> list[str]:
    text = importlib.import_module(f"logbook.cli.{verb.replace('-', '_')}").__doc__ or ""
    return [
        re.sub(r"\s+\(.*\)$", "", row.strip())
        for row in re.findall(r"^(?:  |example: )(benchleaf .*)$", text, re.MULTILINE)
    ]


def readme_commands() -> list[str]:
    blocks = re.findall(r"```sh\n(.*?)```", README, re.DOTALL)
    rows = [re.split(r"\s+# ", row)[0].strip() for block in blocks for row in block.splitlines()]
    told = re.findall(r"`(benchleaf [^`]+)`", FENCED.sub("", README))
    return list(dict.fromkeys(row for row in (*rows, *told) if row.startswith("benchleaf")))


EXAMPLES = [(verb, example) for verb in VERBS for example in examples_of(verb)]


@pytest.fixture(scope="module")
def made(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder that is a collection, holds one under `my-garden`, and has the files that examples name."""
    home = tmp_path_factory.mktemp("examples") / "home"
    for folder in (home, home / "my-garden"):
        make_collection(folder, {t: TREE.format(t) for t in TAGS}, SETTINGS)
    (home / "trees.csv").write_text("tag,species\n101,Acer palmatum\n", encoding="utf-8")
    (home / "saturday.txt").write_text("tree 001\n14 oct looked\n", encoding="utf-8")
    (home / "station.txt").write_text(NORMALS, encoding="utf-8")
    (home / "history.csv").write_text("date,tree,done\n2019-04,014,repotted\n", encoding="utf-8")
    (home / "my-garden" / "history.csv").write_text("date,tree,done\n2019-04,014,repotted\n", encoding="utf-8")
    (home / "thermometer.csv").write_text(DAYS, encoding="utf-8")
    for words in (("--form", "-o", home / "form.pdf"), ("-o", home / "photo.png")):
        assert run(["-C", str(home), "sheets", "--tag", "014", "--today", "2026-10-01", *map(str, words)]) == 0
    with Image.open(home / "photo-2.png") as back:
        back.save(home / "photo.jpg")
    for name in ("holiday/014-front.jpg", "P1040311.jpg", "P1040312.jpg", "camera/P1040330.jpg"):
        (home / name).parent.mkdir(exist_ok=True)
        Image.new("RGB", (60, 40), "green").save(home / name)
    assert (
        run(["-C", str(home), "handover", "014", "-o", str(home / "014.zip"), "--yes", "--today", "2026-10-01"]) == 0
    )
    printed = Sheet("00142-4", date(2026, 10, 1), "pocket-a6", 1, "metric", ("014",), {"1": "014"})
    (home / "printed").mkdir(exist_ok=True)
    (home / "printed" / "2026-10-01-00142-4.json").write_text(run_text([printed]), encoding="utf-8")
    return home


@pytest.fixture
def here(made: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A copy of that folder to work in."""
    home = tmp_path / "home"
    shutil.copytree(made, home)
    monkeypatch.chdir(home)
    monkeypatch.setenv("HOME", str(home))
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(b"tree 002\n14 oct looked\n"), encoding="utf-8"))
    return home


def prepared(example: str, here: Path) -> list[str]:
    """The words of an example, with what it makes out of the way and what it needs in place."""
    words = shlex.split(example.partition(" >")[0])[1:]
    for tag in ("014", "031"):
        if "add" in words and tag in words[:4]:
            for folder in (here, here / "my-garden"):
                (folder / "trees" / f"{tag}.yaml").unlink(missing_ok=True)
                (folder / "trees" / "014.yaml").write_text(
                    TREE.format("014"), encoding="utf-8"
                ) if tag == "031" else None
    if words == ["find"]:
        words.append("https://trees.example.org/trees/014.yaml")  # whatever a phone read
    if "waiting" in words:
        (here / "waits.txt").write_text("tree 001\n14 oct wire off 1\n15 oct wire off 2\n", encoding="utf-8")
    if "start" in words and "--demo" not in words:
        words = [w if w not in ("my-trees", "my-garden") else f"{w}-new" for w in words]
    return words


@pytest.mark.parametrize(("verb", "example"), EXAMPLES, ids=[f"{v} {n}" for n, (v, _) in enumerate(EXAMPLES)])
def test_every_example_of_help_runs(verb: str, example: str, here: Path, bench: Bench) -> None:
    words = prepared(example, here)
    if verb == "waiting":
        bench("reconcile", "waits.txt", "--yes", "--today", "2026-11-20")
    answer = bench(*words)
    assert answer.code in (0, 3), (example, answer.err)


def test_every_verb_has_an_example() -> None:
    assert {verb for verb, _ in EXAMPLES} == set(VERBS)


@pytest.mark.parametrize("command", readme_commands())
def test_every_command_of_the_readme_runs(command: str, here: Path, bench: Bench) -> None:
    words = prepared(command, here)
    if {"waiting", "undo"} & set(words):
        (here / "waits.txt").write_text(
            "tree 001\n13 oct cleaned\n14 oct wire off 1\n15 oct wire off 2\n", encoding="utf-8"
        )
        bench("reconcile", "waits.txt", "--yes", "--today", "2026-11-20")
    answer = bench(*words)
    assert answer.code in (0, 3), (command, answer.err)


def test_commands_in_the_text_are_whole() -> None:
    """What is told to type begins with the program's name, so that the test above finds it and runs it."""
    spans = re.findall(r"`([^`\n]+)`", FENCED.sub("", README))
    cut = [s for s in spans if s.split()[0] in VERBS and re.search(r"\s--?\w", s)]
    assert not cut


def test_every_option_in_the_text_is_one(bench: Bench) -> None:
    spans = re.findall(r"`([^`\n]+)`", FENCED.sub("", README))
    benches = [span.split() for span in spans if span.startswith("tests/")]
    assert all(word in (ROOT / path).read_text("utf-8") for path, *words in benches for word in words)
    others = [span for span in spans if not span.startswith("tests/")]
    options = {word for span in others for word in span.split() if re.fullmatch(r"--[a-z-]+", word)}
    told = "\n".join([bench("--help").out, *(bench(verb, "--help").out for verb in VERBS)])
    assert len(options) >= 8
    assert not {option for option in options if not re.search(rf"{option}\b", told)}


def test_every_verb_is_in_the_readme() -> None:
    for verb in VERBS:
        assert re.search(rf"\b{verb}\b", README), f"'{verb}' is nowhere in the README"
