"""Earlier years from a table: partial dates kept, questions wait, given again nothing is doubled, a new row is one entry."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
import yaml

from ..conftest import Answer, make_collection, snapshot

Bench = Callable[..., Answer]
TREE = 'tag: "{0}"\nname: {1}\nspecies: Larix kaempferi\nlog:\n  - {{date: 2026-01-10, found: {{vigour: 3}}}}\n'
TABLE = """Date;Tree;What was done
2019;001;repotted, roots hard
2019-04;002;pruned
spring 2021;001;wired 1 copper 2
~2015;Ridge;"collected from the hills,
with friends"
03/2024;001;pruned; fed
12.5.2022;002;fed 6-6-6
"""


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    return make_collection(tmp_path / "g", {"001": TREE.format("001", "Mill"), "002": TREE.format("002", "Ridge")})


def given(text: str, garden: Path, bench: Bench, *more: str) -> tuple[Answer, dict[str, Any]]:
    path = garden.parent / "history.csv"
    path.write_text(text, encoding="utf-8")
    answer = bench("import-log", path, "--yes", "--json", "--today", "2027-04-12", *more, folder=garden)
    return answer, json.loads(answer.out) if answer.out else {}


def log_of(garden: Path, tag: str) -> list[dict[str, Any]]:
    data = yaml.load((garden / "trees" / f"{tag}.yaml").read_text("utf-8"), Loader=yaml.BaseLoader)
    entries: list[dict[str, Any]] = data["log"][1:]
    return entries


def test_years_come_in_with_their_dates_as_known(garden: Path, bench: Bench) -> None:
    answer, _ = given(TABLE, garden, bench)
    assert answer.code == 0
    assert [(e["date"], e.get("work", "")) for e in log_of(garden, "001")] == [
        ("2019", "repotting"), ("2021-21", "wiring"), ("2024-03", "structural pruning"), ("2024-03", "feeding"),
    ]  # fmt: skip
    collected = log_of(garden, "002")[1]
    assert collected["date"] == "2015~" and collected["note"].endswith("with friends")
    assert log_of(garden, "001")[0]["from"] == "log history.csv:2"
    assert log_of(garden, "001")[2]["from"] == "log history.csv:7", "the row on which it begins"
    assert bench("check", folder=garden).code == 0


def test_given_again_nothing_is_doubled_and_a_row_at_the_top_is_one_entry(garden: Path, bench: Bench) -> None:
    given(TABLE, garden, bench)
    before = snapshot(garden / "trees")
    _, said = given(TABLE, garden, bench)
    assert snapshot(garden / "trees") == before and {i["fate"] for i in said["items"]} == {"there"}
    head, rest = TABLE.split("\n", 1)
    _, said = given(f"{head}\n5 may 2017;001;looked over\n{rest}", garden, bench)
    assert [i["entry"]["date"] for i in said["items"] if i["fate"] == "write"] == ["2017-05-05"]
    bench("undo", "--yes", folder=garden)
    assert snapshot(garden / "trees") == before


def test_no_row_takes_its_day_or_tree_from_another(garden: Path, bench: Bench) -> None:
    table = "date,tree,done\n2019,001,pruned\n,001,fed\n2020,,fed\n2020,009,fed\n31.02.2020,001,fed\n2018,001,height 45\n2031,001,fed\n"
    answer, said = given(table, garden, bench)
    assert answer.code == 3 and [i["fate"] for i in said["items"] if i["row"] == 2] == ["write"]
    assert {q["row"] for q in said["questions"]} == {3, 4, 5, 6, 7, 8}
    assert len(log_of(garden, "001")) == 1 and not log_of(garden, "002")


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("a,b\n1,2\n", "no column is named"),
        ("", "the table is empty"),
        ('date,tree,done\n2019,001,"fed\n', ""),
        ("date,tree\n2019,001\n", "the what was done"),
    ],
)
def test_tables_that_can_not_be_read_are_told(text: str, why: str, garden: Path, bench: Bench) -> None:
    answer, _ = given(text, garden, bench)
    assert answer.code in (0, 1, 3) and why in answer.err and "Traceback" not in answer.err


def test_nothing_is_written_without_a_yes(garden: Path, bench: Bench) -> None:
    before = snapshot(garden)
    assert "nothing written" in given(TABLE, garden, bench, "--dry-run")[1]["told"]
    assert snapshot(garden) == before


def test_rows_that_are_not_read_wait_with_their_reason(garden: Path, bench: Bench) -> None:
    """An impossible day, no day at all, all trees: each row is kept in the notes, counted, and can be mended there."""
    table = (
        'date,tree,done\n2019,001,pruned\n30/02/2026,001,fed\nsometime,002,fed\n2020,all,fed\n2021,"001,002",fed\n'
    )
    _, said = given(table, garden, bench)
    assert [(q["row"], q["field"]) for q in said["questions"]] == [(3, "date"), (4, "date"), (5, "date"), (6, "date")]
    assert "4 lines waiting" in said["told"]
    assert all("a range of them, as 1-22" in q["question"] for q in said["questions"][2:])
    waits = (garden / "notes" / "waiting.txt").read_text("utf-8")
    assert "'30/02/2026' is no day that is known" in waits and "tree 001\n" in waits and "30/02/2026 fed" in waits
    again = garden.parent / "again.txt"
    again.write_text(waits.replace("\n30/02/2026 fed", "\n28/02/2026 fed"), encoding="utf-8")
    bench("reconcile", again, "--yes", "--today", "2027-04-12", folder=garden)
    assert log_of(garden, "001")[-1]["date"] == "2026-02-28"
    left = (garden / "notes" / "waiting.txt").read_text("utf-8")
    assert "30/02/2026" not in left and "sometime fed" in left
    assert log_of(garden, "002") == []


def test_every_row_is_in_the_sum_and_seasons_have_their_names(garden: Path, bench: Bench) -> None:
    table = "date,tree,done\nspring 2021,001,pruned\n30/02/2026,001,fed\n~2015,002,pruned; fed\n"
    path = garden.parent / "history.csv"
    path.write_text(table, encoding="utf-8")
    answer = bench("import-log", path, "--dry-run", "--today", "2027-04-12", folder=garden)
    assert "3 rows = 2 to write + 1 waiting" in answer.out
    assert "001 spring 2021  structural pruning" in answer.out and "2021-21" not in answer.out


def test_a_range_of_trees_is_each_of_them(garden: Path, bench: Bench) -> None:
    _, said = given("date,tree,done\n2019,1-2,fed\n2020,001-002,pruned\n", garden, bench)
    assert [(i["tag"], i["fate"]) for i in said["items"]] == [
        ("001", "write"), ("002", "write"), ("001", "write"), ("002", "write"),
    ]  # fmt: skip
    assert log_of(garden, "002")[0]["from"] == "log history.csv:2"


def test_a_row_whose_words_look_like_a_header_is_not_lost(garden: Path, bench: Bench) -> None:
    _, said = given("date,tree,done\n,001,see sheet 00142-4\n2019,002,pruned\n", garden, bench)
    assert {q["row"] for q in said["questions"]} == {2} and len(log_of(garden, "002")) == 1
