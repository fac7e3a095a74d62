"""Saying that a tree has left, and reading one tree's history."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.collection.yaml_editor import with_key
from logbook.diagnostics import ProblemsFound

from ..conftest import Answer, snapshot

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]


def test_a_tree_that_left_keeps_its_file_and_its_tag(demo: Path, bench: Bench) -> None:
    path = demo / "trees" / "005.yaml"
    before = path.read_text("utf-8")
    assert "nothing written" in bench("end", "005", "--how", "died", "--dry-run", *TODAY, folder=demo).out
    assert path.read_text("utf-8") == before
    answer = bench(
        "end", "005", "--how", "given", "--date", "2026-11-01", "--note", "to: a friend", *TODAY, folder=demo
    )
    assert answer.code == 0 and "its tag is never given again" in answer.out
    assert path.read_text("utf-8") == before + 'ended: {date: 2026-11-01, how: given, note: "to: a friend"}\n'
    assert bench("check", folder=demo).code == 0
    assert "005" not in [
        t["tag"]
        for t in json.loads(bench("sheets", "--json", "--draft", "-o", demo / "s.pdf", *TODAY, folder=demo).out)[
            "sheets"
        ]
    ]
    again = bench("end", "005", "--how", "died", *TODAY, folder=demo)
    assert again.code == 1 and "has left already: given 1 Nov 2026" in again.err
    assert bench("end", "055", "--how", "died", *TODAY, folder=demo).code == 1
    assert bench("end", "004", "--how", "bored", *TODAY, folder=demo).code == 2


@pytest.mark.parametrize(
    ("text", "after"),
    [
        ("tag: a\nlog: []\n", "tag: a\nlog: []\nended: {how: died}\n"),
        ("tag: a\nlog: []", "tag: a\nlog: []\nended: {how: died}\n"),
        ("tag: a\r\nlog: []\r\n", "tag: a\r\nlog: []\r\nended: {how: died}\r\n"),
        (
            "\ufefftag: a\nlog:\n  - {date: 2020} # c\n",
            "\ufefftag: a\nlog:\n  - {date: 2020} # c\nended: {how: died}\n",
        ),
        ("{tag: a, log: []}", None),
        ("tag: a\nlog: []\n...\n", None),
        ("tag: a\nlog: []\nended: {how: sold}\n", None),
        (
            "tag: a\nlog:\n  - date: 2020\n    note: |+\n      hi\n",
            "tag: a\nlog:\n  - date: 2020\n    note: |+\n      hi\nended: {how: died}\n",
        ),
    ],
)
def test_a_key_at_the_end_or_a_refusal(text: str, after: str | None) -> None:
    if after is None:
        with pytest.raises(ProblemsFound, match="no safe place"):
            with_key(text, "t.yaml", "ended", {"how": "died"})
    else:
        assert with_key(text, "t.yaml", "ended", {"how": "died"}) == after


def test_history_tells_everything_once(demo: Path, bench: Bench) -> None:
    before = snapshot(demo)
    said = bench("history", "003", *TODAY, folder=demo)
    assert said.code == 0 and "9 entries" in said.out and "trunk growing · vigour 5" in said.out
    for line in (
        "1 Nov 2020: trunk 27.5 mm; stage trunk growing",
        "7 Nov 2026: meant: shorten S2 by half by spring 2027",
    ):
        assert said.out.count(line) == 1
    bars = [line.rstrip().count("█") for line in said.out.splitlines() if " mm  " in line]
    assert bars == sorted(bars) and len(bars) == 7
    assert len(json.loads(bench("history", "003", "--json", *TODAY, folder=demo).out)["entries"]) == 9
    assert "wire on 1, 2, 3 since 17 Oct 2026 copper 2.5, 1.6 mm" in bench("history", "004", *TODAY, folder=demo).out
    assert bench("history", "077", folder=demo).code == 1
    assert snapshot(demo) == before
