"""Verbs about one tree read little besides its file, and answer as if all had been read."""

from __future__ import annotations

import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.cli import common, due, find, history
from logbook.collection import load as loading

from ..conftest import TODAY, Answer
from ..evening.test_after_a_silence import folder_of

Bench = Callable[..., Answer]
VERBS = (("due", "{}"), ("due", "--tag", "{}", "--json"), ("history", "{}"), ("find", "{}"))


def everything(options: object, _tag: str, *, waits: bool = False) -> common.Opened:
    return common.open_collection(options, waits=waits)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["demo", "stress"])
def test_the_answer_is_the_same(name: str, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folder_of(name, tmp_path)
    tags = [path.stem for path in sorted((folder / "trees").glob("*.yaml"))][:: 2 if name == "demo" else 15]

    def told() -> list[Answer]:
        today = ("--today", TODAY)
        return [
            bench(*(word.format(tag) for word in words), *today, folder=folder) for tag in tags for words in VERBS
        ]

    little = told()
    for module in (due, find, history):
        monkeypatch.setattr(module, "open_for", everything)
    assert little == told() and len(little) == len(tags) * len(VERBS)


def test_little_is_read(tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folder_of("stress", tmp_path)
    for path in (folder / "trees").glob("*.yaml"):  # no signs of the spring in any but one
        path.write_text(path.read_text("utf-8").replace('"saw"', '"x-saw"'), encoding="utf-8")
    (folder / "trees" / "077.yaml").write_text(
        'tag: "077"\nspecies: Larix kaempferi\nlog:\n  - {date: 2026-03-20, saw: swell}\n', encoding="utf-8"
    )
    read: list[str] = []
    whole = loading._read_tree
    monkeypatch.setattr(
        loading, "_read_tree", lambda files, path, ctx: (read.append(path.stem), whole(files, path, ctx))[1]
    )
    for verb in ("due", "history", "find"):
        read.clear()
        assert bench(verb, "014", "--today", TODAY, folder=folder).code == 0
        assert read == ["014", "077"], verb


def test_a_tag_that_two_files_claim_is_told_all_the_same(tmp_path: Path, bench: Bench) -> None:
    folder = folder_of("demo", tmp_path)
    shutil.copy(folder / "trees" / "004.yaml", folder / "trees" / "004 copy.yaml")
    for words in (("due", "004"), ("history", "004")):
        answer = bench(*words, "--today", TODAY, folder=folder)
        assert answer.code == 1 and "004" in answer.err, answer.all


def test_what_is_no_tag_is_looked_for_everywhere(demo: Path, bench: Bench) -> None:
    assert "004" in bench("find", "slow water", folder=demo).out
    assert bench("due", "4", "--today", TODAY, folder=demo).code == 0
    assert bench("find", "../trees/004.yaml", folder=demo).out == "trees/004.yaml\n"
    assert "there is no tree 999" in bench("history", "999", "--today", TODAY, folder=demo).err
