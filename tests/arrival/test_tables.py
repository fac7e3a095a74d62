"""Twenty-six tables of trees as growers keep them: each value read or asked about, none silently wrong, nothing lost.

Growers, trees and figures are invented. What a careful reader would make of each table stands in the JSON beside it, and was written
before the reader of tables was looked at. A number may come in any unit that the file's own head, cell or collection tells.
"""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from tests.arrival.judging import Verdict, has, load, same, settings_of, truth_of, values
from tests.conftest import TODAY, Answer, make_collection

TABLES = sorted(f for f in (Path(__file__).resolve().parent / "tables").iterdir() if f.suffix != ".json")
FIELDS = {"crown": ("crown", "width", "spread"), "trunk": ("trunk", "calliper")}  # a question of units names the head
REFUSED: dict[str, Any] = {"questions": [], "waiting": [], "problems": [], "understood": {}, "refused": True}


@dataclass
class Arrived:
    """What came of a table: the files, and what was told."""

    data: dict[str, Any]
    told: str
    texts: dict[str, str]
    trees: dict[str, dict[str, Any]]

    def asked(self, key: str, row: int, cell: str = "") -> bool:
        """Whether a question is put about a key: in this row, for the same cell in another, or for its whole column."""
        fields = FIELDS.get(key, (key, key.split(".")[0]))
        for question in self.data["questions"]:
            first, *more = question["field"].split()
            column = not more or more == ["unit"]
            if first in fields and (column or question["row"] == row or (cell and same(question["cell"], cell))):
                return True
        return False

    def told_of(self, row: int) -> bool:
        """Whether anything is told of a row."""
        lines = [p.get("line") for p in self.data.get("problems", [])] + [q["row"] for q in self.data["questions"]]
        waiting = [w["row"] for w in self.data["waiting"]]
        return row in lines or row in waiting or f"row {row}" in self.data["understood"]


def arrive(file: Path, folder: Path, bench: Callable[..., Answer], *more: str) -> Arrived:
    truth = truth_of(file)
    told = ""
    words = ("add", "--table", file, "--yes", "--columns", "keep", "--today", TODAY, *more)
    spoken = bench(*words, folder=make_collection(folder / "spoken", settings_text=settings_of(truth)))
    told += spoken.all
    place = make_collection(folder / "data", settings_text=settings_of(truth))
    answer = bench(*words, "--json", folder=place)
    assert "Traceback" not in told + answer.all
    data = json.loads(answer.out) if answer.out else dict(REFUSED)
    files = {f.stem: f for f in sorted((place / "trees").glob("*.yaml"))}
    texts = {tag: f.read_text("utf-8") for tag, f in files.items()}
    return Arrived(data, told + answer.all, texts, {tag: load(f) for tag, f in files.items()})


def file_of(tree: dict[str, Any], came: Arrived) -> str | None:
    """The tag under which a tree of the truth stands: its own, or that of the file in which one of its words stands."""
    tag = tree["tag"]
    if tag is not None:
        return next((t for t in came.trees if t.lstrip("0") == tag.lstrip("0")), None)
    name = tree["values"].get("name")
    if name:
        return next((t for t, held in came.trees.items() if held.get("name") == name), None)
    marks = tree.get("kept", [])
    return next((t for t, text in came.texts.items() if any(m and has(text, m) for m in marks)), None)


def judge_value(tree: dict[str, Any], key: str, wanted: Any, tag: str, came: Arrived, verdict: Verdict) -> None:
    got = values(came.trees[tag], key)
    where = f"row {tree['row']} {key}: expected {wanted!r}"
    if got and all(same(g, wanted) for g in got):
        verdict.read += 1
    elif got:
        verdict.wrong.append(f"{where}, came {got!r}")
    elif came.asked(key, tree["row"]):
        verdict.asked += 1
    elif came.told_of(tree["row"]):
        verdict.unread.append(f"{where}, not read, but something is told of the row")
    elif isinstance(wanted, str) and has(came.texts[tag], wanted):
        verdict.unread.append(f"{where}, only kept as text")
    else:
        cell = next((c for c in tree.get("cells", {}).get(key, ()) if has(came.texts[tag] + came.told, c)), None)
        where = f"{where}, came nothing:\n{came.texts[tag]}"
        (verdict.lost if cell is None else verdict.unread).append(where)


def judge_doubt(tree: dict[str, Any], key: str, cell: str, tag: str, came: Arrived, verdict: Verdict) -> None:
    """A cell that wants a question: asked, kept as it is written, told, or read to a value that is allowed."""
    allowed = {"one of": tree.get("accept", {}).get(key, [])}
    got = [g for g in values(came.trees[tag], key) if not same(g, allowed)]
    if key == "species" and got and same(got[0], cell) and has(came.told, f"'{cell}'"):
        got = []  # the grower's own word, with what is told of it
    if key == "tag":
        return
    if got and key != "species":
        verdict.wrong.append(f"row {tree['row']} {key}: {cell!r} was taken as {got!r} without a question")
    elif got:
        verdict.wrong.append(f"row {tree['row']} {key}: {cell!r} was taken as {got!r}")
    elif values(came.trees[tag], key):
        verdict.read += 1
    elif came.asked(key, tree["row"], cell) or has(came.told, cell) or has(came.texts[tag], cell):
        verdict.asked += 1
    else:
        verdict.lost.append(f"row {tree['row']} {key}: {cell!r} is asked nowhere, told nowhere and kept nowhere")


def judge_tree(tree: dict[str, Any], came: Arrived, verdict: Verdict) -> None:
    tag = file_of(tree, came)
    if tag is None:
        asks = tree.get("asks", {})
        keys = {"species", "tag", *asks, *tree["values"], *tree.get("values_any", {})}
        asked = [k for k in keys if came.asked(k, tree["row"], asks.get(k, ""))]
        left = "ended.how" in tree["values"] or "ended.how" in tree.get("asks", {})
        if asked or (asks and came.told_of(tree["row"])):
            verdict.asked += 1
        elif came.told_of(tree["row"]):
            told = f"row {tree['row']}: no file, though the row is told"
            (verdict.unread if not left else []).append(told)
        else:
            verdict.lost.append(f"row {tree['row']} ({tree['tag']}): no file, and told nowhere")
        return
    expected = dict(tree["values"])
    expected.update({k: {"one of": v} for k, v in tree.get("values_any", {}).items()})
    for key, wanted in expected.items():
        judge_value(tree, key, wanted, tag, came, verdict)
    for key, cell in tree.get("asks", {}).items():
        judge_doubt(tree, key, cell, tag, came, verdict)
    for key in tree.get("absent", []):
        got = values(came.trees[tag], key)
        if got:
            verdict.wrong.append(f"row {tree['row']} {key}: nothing was said, came {got!r}")
    everywhere = came.texts[tag] + came.told
    pieces = [[p] for p in tree.get("kept", [])] + tree.get("kept_any", [])
    for choices in pieces:
        if not any(has(everywhere, p) for p in choices):
            verdict.lost.append(f"row {tree['row']}: {choices[0]!r} is lost:\n{came.texts[tag]}")


def judge(file: Path, came: Arrived) -> Verdict:
    truth, verdict = truth_of(file), Verdict()
    if "refused" in came.data:
        verdict.unread.append(f"the whole table was refused: {came.told}")
        return verdict
    for tree in truth["trees"]:
        judge_tree(tree, came, verdict)
    for word in truth.get("no trees", []):
        holding = [t for t, text in came.texts.items() if has(text.split("log:")[0], f"species: {word}") or t == word]
        if holding:
            verdict.wrong.append(f"{word!r} became a tree: {holding}")
    if len(came.trees) > len(truth["trees"]):
        verdict.wrong.append(f"{len(came.trees)} trees came of {len(truth['trees'])}: {sorted(came.trees)}")
    verdict.lost += [f"{word!r} is told nowhere" for word in truth.get("told", []) if not has(came.told, word)]
    for word in truth.get("asked of a column", []):
        if not any(word == q["cell"] for q in came.data["questions"]) and not all(
            has(came.texts[t], word) or word not in str(truth["trees"]) for t in list(came.texts)[:1]
        ):
            verdict.lost.append(f"the column of {word!r} is neither asked about nor kept")
    return verdict


@pytest.mark.parametrize("file", TABLES, ids=lambda f: f.stem)
def test_no_value_is_silently_wrong_and_nothing_is_lost(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    verdict = judge(file, arrive(file, tmp_path, bench, "--only-good"))
    assert not verdict.wrong + verdict.lost, "\n".join([*verdict.wrong, *verdict.lost])


@pytest.mark.parametrize("file", TABLES, ids=lambda f: f.stem)
def test_what_a_careful_reader_understands_is_read_or_asked(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    verdict = judge(file, arrive(file, tmp_path, bench, "--only-good"))
    assert not verdict.unread, "\n".join(verdict.unread)


@pytest.mark.parametrize("file", TABLES, ids=lambda f: f.stem)
def test_without_a_fault_each_row_is_written_or_waits_and_with_one_nothing_is_written(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    came = arrive(file, tmp_path, bench)
    assert all(q["question"] and (q["cell"] or q["choices"]) for q in came.data["questions"])
    if "refused" in came.data or any(p["severity"] == "error" for p in came.data["problems"]):
        assert not came.trees and " error: " in came.told and "hint: " in came.told
        return
    waiting = {w["row"] for w in came.data["waiting"]}
    for tree in truth_of(file)["trees"]:
        held = file_of(tree, came) or tree["row"] in waiting or f"row {tree['row']}" in came.data["understood"]
        assert held, f"row {tree['row']} is neither written nor waits"


@pytest.mark.parametrize("file", TABLES, ids=lambda f: f.stem)
def test_what_was_written_passes_the_check(file: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    came = arrive(file, tmp_path, bench, "--only-good")
    checked = bench("check", folder=tmp_path / "data")
    assert checked.code == 0, checked.all
    assert came.trees or "refused" in came.data


@pytest.mark.parametrize("file", TABLES, ids=lambda f: f.stem)
def test_every_question_ends_with_one_of_its_answers(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    answers: dict[str, str] = {}
    for turn in range(4):
        given = [word for field, value in answers.items() for word in ("--answer", f"{field}={value}")]
        came = arrive(file, tmp_path / str(turn), bench, "--only-good", *given)
        open_questions = {q["field"]: q["choices"] for q in came.data["questions"] if q["choices"]}
        assert not set(open_questions) & set(answers), "asked again after it was answered"
        if not open_questions:
            break
        answers |= {field: choices[0] for field, choices in open_questions.items()}
    assert not open_questions
    assert bench("check", folder=tmp_path / str(turn) / "data").code == 0


def test_there_are_twenty_six_and_each_has_its_truth() -> None:
    assert len(TABLES) == 26
    assert all(truth_of(f)["trees"] for f in TABLES)
