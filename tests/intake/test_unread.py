"""A `?` in notes: something stands on the paper there that nobody has typed yet. It waits, and is settled when it is typed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.storage.printed import load_ledger

from ..conftest import Answer, snapshot

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
LATER = ["--today", "2026-12-20"]


@pytest.fixture
def serial(demo: Path, tmp_path: Path, bench: Bench) -> str:
    assert bench("sheets", "--tag", "003", "-o", tmp_path / "s.pdf", *TODAY, folder=demo).code == 0
    (sheet,) = load_ledger(demo).sheets
    return sheet


def fates(answer: Answer) -> list[tuple[str, str]]:
    return [(i["fate"], i["typed"]) for i in json.loads(answer.out)["items"]]


def given(text: str, demo: Path, tmp_path: Path, bench: Bench, *more: str) -> list[tuple[str, str]]:
    (tmp_path / "n.txt").write_text(text, encoding="utf-8")
    return fates(bench("reconcile", tmp_path / "n.txt", "--yes", "--json", *LATER, *more, folder=demo))


def test_it_waits_until_it_is_typed(serial: str, demo: Path, tmp_path: Path, bench: Bench) -> None:
    text = f"sheet {serial}\n1 28 nov moss gone\n2 ?\nrp ?\n3 bark split\nV ?\n"
    assert [f for f, _ in given(text, demo, tmp_path, bench)] == [
        "write",
        "question",
        "question",
        "question",
        "question",
    ]
    said = bench("waiting", folder=demo).out
    assert "what stands there" in said and "is it ticked" in said and "vigour boxes" in said
    assert said.count("no day stands") == 1, "the day of line 1 is not handed on past what was not read"
    typed = f"sheet {serial}\n2 29 nov fed\n3 29 nov bark split\nrp 29 nov\nV 4\n"
    assert {f for f, _ in given(typed, demo, tmp_path, bench)} == {"write"}
    assert "nothing waits" in bench("waiting", folder=demo).out
    before = snapshot(demo / "trees")
    assert {f for f, _ in given(text, demo, tmp_path, bench)} == {"there"}, (
        "the picture given again asks nothing again"
    )
    assert snapshot(demo / "trees") == before


def test_a_part_may_be_unread_and_nothing_of_the_line_is_lost(
    serial: str, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    assert given(f"sheet {serial}\n1 28 nov fed; ?\n", demo, tmp_path, bench) == [("question", "1 28 nov fed; ?")]
    assert "1 28 nov fed; ?" in (demo / "notes" / "waiting.txt").read_text("utf-8")


def test_a_box_without_its_day_is_there_when_the_log_has_it(
    serial: str, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    assert given(f"sheet {serial}\nrp 29 nov\n", demo, tmp_path, bench)[0][0] == "write"
    assert given(f"sheet {serial}\nrp\n", demo, tmp_path, bench) == [("there", "rp")]
    assert given(f"sheet {serial}\nwi\n", demo, tmp_path, bench)[0][0] == "question"


def test_a_question_mark_in_words_stays_a_remark(serial: str, demo: Path, tmp_path: Path, bench: Bench) -> None:
    assert given(f"sheet {serial}\n1 28 nov is this rot?\n", demo, tmp_path, bench)[0][0] == "write"
