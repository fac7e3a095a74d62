"""Lines as hurried growers typed them, and what must not become of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.storage.printed import load_ledger

from ..conftest import Answer, make_collection

Bench = Callable[..., Answer]
TREE = 'tag: "{0}"\nname: {1}\nspecies: Ulmus parvifolia\nlog:\n  - {{date: 2024-04-01, work: repotting}}\n'


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    return make_collection(
        tmp_path / "g", {"001": TREE.format("001", "Ridge"), "004": TREE.format("004", "Mill elm")}
    )


def planned(text: str, garden: Path, bench: Bench, today: str = "2027-04-12") -> list[dict[str, object]]:
    (garden.parent / "n.txt").write_text(text, encoding="utf-8")
    answer = bench("reconcile", garden.parent / "n.txt", "--yes", "--json", "--today", today, folder=garden)
    items: list[dict[str, object]] = json.loads(answer.out)["items"]
    return items


@pytest.mark.parametrize("header", ["tree Mill elm", "tree: 004", "tree mill ELM", "Tree 004"])
def test_a_header_is_a_tag_or_a_name(header: str, garden: Path, bench: Bench) -> None:
    items = planned(f"tree 001\n20 mar looked\n{header}\n21 mar pruned\n", garden, bench)
    assert [(i["tag"], i["fate"]) for i in items] == [("001", "write"), ("004", "write")]


@pytest.mark.parametrize("header", ["tree Mill oak", "tree by the door", "tree 24"])
def test_work_under_an_unknown_header_goes_to_no_tree(header: str, garden: Path, bench: Bench) -> None:
    items = planned(f"tree 001\n20 mar looked\n{header}\n21 mar pruned\n", garden, bench)
    assert [i["fate"] for i in items] == ["write", "left over", "left over"]
    assert "pruning" not in (garden / "trees" / "001.yaml").read_text("utf-8")


@pytest.mark.parametrize("day", ["1 may", "30 apr", "1 jul"])
def test_a_day_shortly_ahead_is_not_taken_for_last_years(day: str, garden: Path, bench: Bench) -> None:
    (item,) = planned(f"tree 001\n{day} repotted\n", garden, bench)
    assert item["fate"] == "question" and "still to come" in str(item["why"]) and "2026-" in str(item["hint"])
    (sure,) = planned(f"tree 001\n{day} 2026 repotted\n", garden, bench)
    assert sure["fate"] == "write"


def test_a_day_of_last_autumn_is_believed(garden: Path, bench: Bench) -> None:
    (item,) = planned("tree 001\n10 oct looked\n", garden, bench)
    assert item["fate"] == "write" and item["entry"] == {"date": "2026-10-10", "work": "look-over"}


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("pinched. aphids seen", ["pinching", "trouble: pests; aphids seen"]),
        ("repotted! roots were awful", ["repotting", "roots were awful"]),
        ("wired. 1 2 copper 2", ["wiring, branches 1, 2, copper 2 mm"]),
        ("vig. 4", ["vigour 4"]),
        ("moss gone. fed", ["moss gone", "feeding"]),
        ("photo photos/a.jpg", ["photo photos/a.jpg"]),
        ("moss gone. nothing else", ["moss gone. nothing else"]),
        ("Fed. Looked. Wired 1 2 copper 2.5.", ["feeding", "look-over", "wiring, branches 1, 2, copper 2.5 mm"]),
        ("Moss gone yellow. Wired 1 copper 2.", ["Moss gone yellow", "wiring, branches 1, copper 2 mm"]),
        ("Vigour 4. Looked.", ["vigour 4", "look-over"]),
        ("trunk 38.5. fed 5-5-5.", ["trunk 38.5 mm", "feeding, 5-5-5"]),
    ],
)
def test_stops_between_words_do_not_hide_work(typed: str, told: list[str], garden: Path, bench: Bench) -> None:
    items = planned(f"tree 001\n20 mar {typed}\n", garden, bench)
    assert [i["told"] for i in items] == told and {i["fate"] for i in items} == {"write"}


@pytest.mark.parametrize(
    ("typed", "word", "hint"),
    [
        ("vigour 6", "'6'", "1, 2, 3, 4, 5"),
        ("trouble hiccups", "'hiccups'", "roots, pot, pests"),
        ("stage somewhere", "'somewhere'", "seedling, trunk growing"),
        ("trunk 71 heigth 520", "'heigth'", ""),
    ],
)
def test_the_word_that_was_not_understood_is_named(
    typed: str, word: str, hint: str, garden: Path, bench: Bench
) -> None:
    (item,) = planned(f"tree 001\n20 mar {typed}\n", garden, bench)
    assert item["fate"] == "question" and word in str(item["why"]) and hint in str(item["hint"])


def test_a_bare_sign_is_asked(garden: Path, bench: Bench) -> None:
    (item,) = planned("tree 001\n20 mar swell\n", garden, bench)
    assert item["fate"] == "question" and "saw swell" in str(item["why"])


def test_a_mended_line_of_the_waiting_list_takes_its_place(garden: Path, bench: Bench) -> None:
    planned("tree 001\n20 mar vigour 6\n35 mar fed\n21 mar wired 1 or 4\n", garden, bench)
    waiting = (garden / "notes" / "waiting.txt").read_text("utf-8")
    assert waiting.count("\n") == 7
    mended = waiting.replace("vigour 6", "vigour 5").replace("35 mar", "25 mar")
    items = planned(mended, garden, bench)
    assert [i["fate"] for i in items] == ["write", "write", "question"]
    left = bench("waiting", "--json", folder=garden)
    assert [w["text"] for w in json.loads(left.out)["waiting"]] == ["21 mar wired 1 or 4"]
    assert "astray" not in bench("waiting", folder=garden).all


def test_the_same_file_on_another_day_adds_nothing_to_what_waits(garden: Path, bench: Bench) -> None:
    text = "tree 001\n20 mar vigour 6\n21 mar looked\n"
    for today in ("2027-04-12", "2027-04-13", "2027-04-20"):
        planned(text, garden, bench, today)
    assert len(list((garden / "notes").glob("2*.txt"))) == 1
    assert len(json.loads(bench("waiting", "--json", folder=garden).out)["waiting"]) == 1


def test_ask_without_a_terminal_says_so(garden: Path, bench: Bench) -> None:
    (garden.parent / "n.txt").write_text("tree 001\n20 mar vigour 6\n", encoding="utf-8")
    answer = bench("reconcile", garden.parent / "n.txt", "--ask", "--today", "2027-04-12", folder=garden)
    assert "--ask needs a terminal" in answer.err and answer.code == 3


@pytest.mark.parametrize(
    ("typed", "fate"), [("trunk 840", "question"), ("trunk 38", "write"), ("height 9m", "question")]
)
def test_a_first_measure_that_is_rare_is_asked(typed: str, fate: str, garden: Path, bench: Bench) -> None:
    (item,) = planned(f"tree 001\n20 mar {typed}\n", garden, bench)
    assert item["fate"] == fate


def test_a_work_that_no_tree_bears_twice_is_asked(garden: Path, bench: Bench) -> None:
    items = planned("tree 001\n20 mar repotted\n24 mar repotted\n25 mar looked\n27 mar looked\n", garden, bench)
    assert [i["fate"] for i in items] == ["write", "question", "write", "write"]
    assert "20 Mar 2027 already: twice?" in str(items[1]["why"])


def test_a_day_belongs_on_the_line_of_notes(garden: Path, bench: Bench) -> None:
    (garden.parent / "n.txt").write_text("tree 001\nfed\n", encoding="utf-8")
    answer = bench("reconcile", garden.parent / "n.txt", "--day", "14 oct", folder=garden)
    assert answer.code == 1 and "--day is for pictures and forms" in answer.err


@pytest.mark.parametrize("typed", ["moss gone. wired 1 or 4", "nice day. vigour 6. fed"])
def test_work_that_hides_behind_a_remark_is_asked(typed: str, garden: Path, bench: Bench) -> None:
    (item,) = planned(f"tree 001\n20 mar {typed}\n", garden, bench)
    assert item["fate"] == "question", item


def audit(garden: Path, bench: Bench) -> dict[str, object]:
    made: dict[str, object] = json.loads(bench("waiting", "--json", folder=garden).out)["audit"]
    assert made["balanced"]
    return made


@pytest.fixture
def serial(garden: Path, bench: Bench) -> str:
    out = garden.parent / "s.pdf"
    assert bench("sheets", "--tag", "001", "-o", out, "--today", "2027-03-01", folder=garden).code == 0
    (found,) = load_ledger(garden).sheets
    return found


def test_setting_one_line_aside_leaves_the_others_waiting(serial: str, garden: Path, bench: Bench) -> None:
    planned(f"sheet {serial}\n3 20 mar wirde 3; new buds low\n", garden, bench)
    planned(f"sheet {serial}\n3 20 mar fedd 5-5-5\n", garden, bench)
    assert audit(garden, bench)["waiting"] == 2
    assert bench("waiting", "--dismiss", "1", "--today", "2027-04-12", folder=garden).code == 3
    assert audit(garden, bench)["waiting"] == 1 and "fedd" in bench("waiting", folder=garden).out


def test_what_is_undone_is_not_told_as_there(garden: Path, bench: Bench) -> None:
    text = "tree 001\n20 mar fed\n"
    for expected in ({"written": 1}, {"written": 1}):
        planned(text, garden, bench)
        assert {k: v for k, v in audit(garden, bench).items() if k in expected} == expected
    planned("tree 001\n20 mar fed\n\n", garden, bench)
    assert audit(garden, bench)["there"] == 1
    assert bench("undo", "--yes", "--today", "2027-04-12", folder=garden).code == 0
    made = audit(garden, bench)
    assert (made["written"], made["there"], made["set_aside"]) == (0, 0, 2)
    planned(text, garden, bench)
    assert audit(garden, bench)["written"] == 1


def test_a_mended_line_that_is_undone_lets_the_old_one_wait_again(garden: Path, bench: Bench) -> None:
    planned("tree 001\n20 mar wirde 1\n", garden, bench)
    mended = (garden / "notes" / "waiting.txt").read_text("utf-8").replace("wirde", "wired")
    assert [i["fate"] for i in planned(mended, garden, bench)] == ["write"]
    assert audit(garden, bench)["waiting"] == 0
    assert bench("undo", "--yes", "--today", "2027-04-12", folder=garden).code == 0
    assert audit(garden, bench)["waiting"] == 1 and "wirde" in bench("waiting", folder=garden).out


def test_a_mended_header_waits_no_longer(garden: Path, bench: Bench) -> None:
    planned("tree 9\n20 mar fed\n", garden, bench)
    waiting = (garden / "notes" / "waiting.txt").read_text("utf-8")
    planned(waiting.replace("tree 9\n", "tree 004\n"), garden, bench)
    assert "feeding" in (garden / "trees" / "004.yaml").read_text("utf-8")
    assert audit(garden, bench)["waiting"] == 0, bench("waiting", folder=garden).out


def test_a_byte_order_mark_is_no_line(garden: Path, bench: Bench) -> None:
    (garden.parent / "n.txt").write_bytes(b"\xef\xbb\xbftree 001\n20 mar fed\n")
    answer = bench("reconcile", garden.parent / "n.txt", "--yes", "--today", "2027-04-12", folder=garden)
    assert not answer.err and answer.code == 0
    assert audit(garden, bench)["typed"] == 1


@pytest.mark.parametrize(
    "header", ["tree Ridge:", "tree 001.", "trees Ridge, 004", "trees 001 004", "trees mill elm, ridge"]
)
def test_names_and_stops_in_headers(header: str, garden: Path, bench: Bench) -> None:
    items = planned(f"{header}\n20 mar fed\n", garden, bench)
    assert {i["fate"] for i in items} == {"write"} and "001" in {i["tag"] for i in items}
    assert len(items) == (2 if header.startswith("trees") else 1)


def test_a_sheets_header_takes_the_name_too(serial: str, garden: Path, bench: Bench) -> None:
    for name in ("Ridge", "001", "ridge:"):
        (item,) = planned(f"sheet {serial} {name}\n1 20 mar moss {name.strip(':')}\n", garden, bench)
        assert item["tag"] == "001"
        bench("undo", "--yes", "--today", "2027-04-12", folder=garden)


def test_a_dash_says_that_nothing_stands_there(serial: str, garden: Path, bench: Bench) -> None:
    planned(f"sheet {serial}\n1 ?\nrp ?\nV ?\n", garden, bench)
    assert audit(garden, bench)["waiting"] == 3
    items = planned(f"sheet {serial}\n1 -\nrp -\nV -\n", garden, bench)
    assert {i["fate"] for i in items} == {"there"} and audit(garden, bench)["waiting"] == 0
    (remark,) = planned("tree 001\n20 mar -\n", garden, bench)
    assert remark["fate"] != "there"


@pytest.mark.parametrize(
    "line",
    [
        "meant to take off the leaves but didnt",
        "I meant to take off the leaves but didn't",
        "was meaning to repot but forgot",
        "intended to repot but ran out of time",
        "meant to wire it, never did",
    ],
)
def test_what_came_to_nothing_is_a_remark(line: str, garden: Path, bench: Bench) -> None:
    (item,) = planned(f"tree 001\n4 apr {line}\n", garden, bench)
    entry = item["entry"]
    assert isinstance(entry, dict) and item["fate"] == "write"
    assert set(entry) == {"date", "note"} and entry["note"] == line


def test_what_is_meant_still_is(garden: Path, bench: Bench) -> None:
    (item,) = planned("tree 001\n4 apr meant: remove S1 by 2028\n", garden, bench)
    assert isinstance(item["entry"], dict) and "intend" in item["entry"]
