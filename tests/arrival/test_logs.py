"""Fifteen logs of earlier years as growers keep them: each entry read or asked about, none silently wrong, nothing lost.

Growers, trees and works are invented. What a careful reader would make of each row stands in the JSON beside the file, and was written
before the reader of logs was looked at.
"""

from __future__ import annotations

import json
import time
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pytest

from logbook.collection.tree_table.grid import grid_in
from logbook.intake.log_table import rows_in
from tests.arrival.judging import Verdict, has, load, same, settings_of, truth_of
from tests.conftest import TODAY, Answer, make_collection, snapshot

LOGS = sorted(f for f in (Path(__file__).resolve().parent / "logs").iterdir() if f.suffix != ".json")
NOT_SAID = ("date", "note", "from")  # keys of an entry that are no claim of their own


@dataclass
class Came:
    """What came of a log: items and questions by row, all that was told, and the entries in the files."""

    data: dict[str, Any]
    told: str
    entries: list[tuple[str, dict[str, Any]]]
    waiting: str

    def written(self, row: int) -> list[tuple[str, dict[str, Any]]]:
        """Tag and entry of all that a row made."""
        made = [i for i in self.data["items"] if i["row"] == row and i["fate"] in ("write", "there")]
        return [(i["tag"], i["entry"]) for i in made]

    def asked(self, row: int) -> bool:
        waits = [i for i in self.data["items"] if i["row"] == row and i["fate"] in ("question", "left over")]
        return bool(waits) or any(q["row"] == row for q in self.data["questions"])

    def faulty(self, row: int) -> bool:
        return any(p.get("line") == row for p in self.data.get("problems", []))


def folder_for(truth: dict[str, Any], folder: Path) -> Path:
    trees = {
        tag: f'tag: "{tag}"\nname: {t["name"]}\nspecies: {t["species"]}\nlog: []\n'
        for tag, t in truth["trees"].items()
    }
    return make_collection(folder, trees, settings_of(truth))


def entries_of(folder: Path) -> list[tuple[str, dict[str, Any]]]:
    return [(f.stem, entry) for f in sorted((folder / "trees").glob("*.yaml")) for entry in load(f)["log"]]


def in_plain_dress(file: Path, folder: Path) -> Path:
    """A copy in UTF-8 under the three heads that the command's help names, so that its rows are tried too where the dress is not read."""
    plain = truth_of(file)["plain heads"]
    lines = file.read_bytes().decode(plain["encoding"]).splitlines()
    copy = folder / f"{file.stem}-plain.csv"
    copy.write_text("\n".join([plain["heads"], *lines[plain["row"] :]]) + "\n", "utf-8")
    rows = truth_of(file)
    for row in rows["rows"]:
        row["row"] += 1 - plain["row"]
    copy.with_suffix(".json").write_text(json.dumps(rows), "utf-8")
    return copy


def arrive(file: Path, folder: Path, bench: Callable[..., Answer]) -> Came:
    truth = truth_of(file)
    words = ("import-log", file, "--yes", "--today", TODAY)
    spoken = bench(*words, folder=folder_for(truth, folder / "spoken"))
    place = folder_for(truth, folder / "data")
    answer = bench(*words, "--json", folder=place)
    assert "Traceback" not in spoken.all + answer.all
    refused: dict[str, Any] = {"items": [], "questions": [], "problems": [], "told": "", "refused": True}
    waiting = place / "notes" / "waiting.txt"
    return Came(
        json.loads(answer.out) if answer.out else refused,
        spoken.all + answer.all,
        entries_of(place),
        waiting.read_text("utf-8") if waiting.exists() else "",
    )


def holds(entry: dict[str, Any], wanted: dict[str, Any]) -> bool:
    return all(k in entry and same(entry[k], v) for k, v in wanted.items())


def claims(entry: dict[str, Any]) -> set[str]:
    """What an entry says beside its day and its remark."""
    return set(entry) - set(NOT_SAID)


def allowed(tag: str, entry: dict[str, Any], row: dict[str, Any]) -> bool:
    """Whether a written entry is one that the row may make: the tree, the day, and each work, size or sign of it."""
    right = [e["entry"] for e in (*row.get("entries", []), *row.get("accept", [])) if e["tag"] == tag]
    if not right and not claims(entry):
        return True  # a remark takes nothing for done; its day is judged by the words that are kept
    day = [e for e in right if same(entry["date"], e["date"])]
    if not day:
        return False
    told = {k for e in day for k in e} | {
        "branches",
        "wire",
        "metal",
        "minutes",
        "by",
        "force",
        "roots",
        "mix",
        "pot",
    }
    work = "work" not in entry or any(e.get("work") == entry["work"] for e in day)
    return work and claims(entry) <= told


def judge_row(row: dict[str, Any], came: Came, verdict: Verdict) -> None:
    made, number = came.written(row["row"]), row["row"]
    for tag, entry in made:
        if not allowed(tag, entry, row):
            verdict.wrong.append(f"row {number}: nobody may take it as {tag} {entry}")
    for wanted in row.get("entries", []):
        if any(t == wanted["tag"] and holds(e, wanted["entry"]) for t, e in made):
            verdict.read += 1
        elif came.asked(number):
            (verdict.asked_for if "asks" in row else verdict.unread).append(
                f"row {number}: {wanted} was not read; told: {came.data['questions']}"[:400]
            )
        elif came.faulty(number) or any("note" in e for _, e in made):
            verdict.unread.append(f"row {number}: {wanted} was refused or is only a remark; made: {made}")
        else:
            verdict.lost.append(f"row {number}: {wanted} is neither read nor asked; made: {made}")
    for key in ("asks", "told"):
        if key not in row or row.get("entries"):
            continue
        right = any(t == a["tag"] and holds(e, a["entry"]) for a in row.get("accept", []) for t, e in made)
        kept = any(has(str(e.get("note", "")), row[key]) for _, e in made)
        if not (right or kept or came.asked(number) or came.faulty(number)):
            verdict.lost.append(f"row {number}: {row[key]!r} is neither asked, told nor kept; made: {made}")
    everywhere = came.told + came.waiting + json.dumps([e for _, e in came.entries], ensure_ascii=False)
    verdict.lost += [f"row {number}: {p!r} is lost" for p in row.get("kept", []) if not has(everywhere, p)]


def judge(file: Path, came: Came) -> Verdict:
    verdict, rows = Verdict(), truth_of(file)["rows"]
    if "refused" in came.data:
        verdict.unread.append(f"the whole log was refused: {came.told}")
        return verdict
    for row in rows:
        judge_row(row, came, verdict)
    known = {r["row"] for r in rows}
    verdict.wrong += [
        f"row {i['row']} holds no entry, came {i}"
        for i in came.data["items"]
        if i["row"] not in known and i["fate"] == "write"
    ]
    return verdict


@pytest.mark.parametrize("file", LOGS, ids=lambda f: f.stem)
def test_no_entry_is_silently_wrong_and_nothing_is_lost(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    verdict = judge(file, arrive(file, tmp_path, bench))
    assert not verdict.wrong + verdict.lost, "\n".join([*verdict.wrong, *verdict.lost])


@pytest.mark.parametrize("file", [f for f in LOGS if "plain heads" in truth_of(f)], ids=lambda f: f.stem)
def test_the_same_rows_under_plain_heads_are_not_silently_wrong(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    plain = in_plain_dress(file, tmp_path)
    verdict = judge(plain, arrive(plain, tmp_path, bench))
    assert not verdict.wrong + verdict.lost, "\n".join([*verdict.wrong, *verdict.lost])


@pytest.mark.parametrize("file", [f for f in LOGS if "plain heads" in truth_of(f)], ids=lambda f: f.stem)
def test_the_same_rows_under_plain_heads_are_read(file: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    plain = in_plain_dress(file, tmp_path)
    verdict = judge(plain, arrive(plain, tmp_path, bench))
    assert not verdict.unread, "\n".join(verdict.unread)


@pytest.mark.parametrize("file", LOGS, ids=lambda f: f.stem)
def test_what_a_careful_reader_understands_is_read(file: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    verdict = judge(file, arrive(file, tmp_path, bench))
    assert not verdict.unread, "\n".join(verdict.unread)


@pytest.mark.parametrize("file", LOGS, ids=lambda f: f.stem)
def test_the_plan_is_what_is_written_and_given_again_nothing_is_doubled(
    file: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    truth = truth_of(file)
    place = folder_for(truth, tmp_path / "once")
    before = snapshot(place)
    bench("import-log", file, "--dry-run", "--today", TODAY, folder=place)
    assert snapshot(place) == before, "a plan wrote something"
    bench("import-log", file, "--yes", "--today", TODAY, folder=place)
    once = entries_of(place)
    again = bench("import-log", file, "--yes", "--today", TODAY, folder=place)
    assert entries_of(place) == once, again.all
    assert bench("check", folder=place).code == 0


def test_there_are_fifteen_and_each_has_its_truth() -> None:
    assert len(LOGS) == 15
    assert all(truth_of(f)["rows"] for f in LOGS)


@pytest.mark.parametrize("joint", ["/", ", ", " and ", "&"])
def test_many_trees_in_one_cell_are_told_in_time(joint: str) -> None:
    """A pattern that can read a number in several ways would take for ever over many of them."""
    cell = joint.join(["0081"] * 200)
    for tail in ("", "#", " maples"):
        began = time.process_time()
        read = rows_in(grid_in(f'date,trees,done\n2022-03-25,"{cell}{tail}",fed\n', "h.csv"), "h.csv")
        assert time.process_time() - began < 2.0 and read
        assert tail or "may be several trees" in read[0].unread
