"""Ticks and lines of one work, tree and day in any order, run and channel, by two growers: one entry, and every undo is exact."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
import tempfile
from collections import Counter
from datetime import date
from pathlib import Path
from typing import Any

import yaml
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from logbook.cli.main import run
from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake import line_status
from logbook.planning.tree_state import effective, wires_on
from logbook.storage.disk import RealDisk
from logbook.storage.printed import Offered, Sheet, run_text

from ..conftest import make_collection

BLOCK = """tag: "001"
species: Acer palmatum   # from the hedge
branches: [{id: 1}, {id: 2}, {id: 3}]
log:
  - date: 2026-01-10
    found: {stage: ramification, vigour: 3}
  - date: 2026-04-01
    work: wiring
    branches: [1, 2, 3]
"""
FLOW = """tag: "001"
species: Acer palmatum
branches: [{id: 1}, {id: 2}, {id: 3}]
log:
  - {date: 2026-01-10, found: {stage: ramification, vigour: 3}}
  - {date: 2026-04-01, work: wiring, branches: [1, 2, 3]}   # mine
"""
JOBS = {"A": ("wire off", ("1", "2", "3")), "C": ("repotting", ()), "D": ("feeding", ())}
WORDS = {
    "wire off": ["wire off", "wire off 1 2 3", "wire off 1 2 3 bite starting", "wire removed, 30 min"],
    "repotting": [
        "repotted",
        "repotted roots light",
        "repotted, roots light, mix 2 akadama 1 pumice",
        "repotted; moss gone",
    ],
    "feeding": ["fed", "fed 6-6-6", "fed, 10 min"],
}
DAYS = ("14 oct", "20 oct")
DATES = {"14 oct": "2026-10-14", "20 oct": "2026-10-20"}
RECORD = Sheet(
    "00142-4", date(2026, 10, 1), "pocket-a6", 1, "metric", ("001",), {str(n): "001" for n in range(1, 29)},
    tuple(Offered(letter, "001", work, branches) for letter, (work, branches) in JOBS.items()),
)  # fmt: skip
LIST = Sheet(
    "00143-2", date(2026, 10, 1), "walk-a4", 1, "metric", ("001", "002"), {"1": "001", "2": "002"},
    (Offered("1", "001", "repotting"), Offered("2", "002", "repotting")),
)  # fmt: skip
HANDS = st.sampled_from(["", " by m", " by j"])


class Season(RuleBasedStateMachine):
    """One tree, two growers, and four ways by which their notes come in."""

    TREE = FLOW

    def __init__(self) -> None:
        super().__init__()
        self.home = Path(tempfile.mkdtemp(prefix="season-"))
        self.count = 0
        self.lines: Counter[tuple[str, str]] = Counter()
        self.begin()

    def teardown(self) -> None:
        while "there is no batch" not in self.call("undo", "--yes", "--today", "2026-11-20"):
            pass
        assert self.tree.read_text("utf-8") == self.first, "every run taken back, not a byte is left of it"
        shutil.rmtree(self.home, ignore_errors=True)

    def begin(self) -> None:
        text = self.TREE
        two = FLOW.replace('"001"', '"002"')
        self.folder = make_collection(self.home / "c", {"001": text, "002": two})
        (self.folder / "printed").mkdir()
        (self.folder / "printed" / "a.json").write_text(run_text([RECORD, LIST]), encoding="utf-8")
        self.tree, self.first = self.folder / "trees" / "001.yaml", text

    def call(self, *words: str) -> str:
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            code = run(["-C", str(self.folder), *words])
        assert code in (0, 3), err.getvalue()
        return out.getvalue()

    def give(self, text: str, name: str = "typed.txt") -> list[dict[str, Any]]:
        path = self.home / name
        path.write_text(text, encoding="utf-8")
        said = self.call("reconcile", str(path), "--yes", "--json", "--today", "2026-11-20")
        items: list[dict[str, Any]] = json.loads(said)["items"]
        before = self.tree.read_bytes()
        again = json.loads(self.call("reconcile", str(path), "--yes", "--json", "--today", "2026-11-20"))["items"]
        assert self.tree.read_bytes() == before, (text, "given twice in a row, nothing changes")
        written = [i for i in items if i["fate"] in ("write", "there")]
        assert len([i for i in again if i["fate"] == "there"]) >= len(written), text
        return items

    # -- what happens ------------------------------------------------------------------------------------------------

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS), hand=HANDS)
    def ticks_on_the_sheet(self, letter: str, day: str, hand: str) -> None:
        self.give(f"sheet 00142-4{hand}\n{letter} {day}\n")

    @rule(
        day=st.sampled_from(DAYS),
        row=st.sampled_from(["1", "001"]),
        more=st.sampled_from(["done", "", "done; vigour 4"]),
    )
    def ticks_on_the_list(self, day: str, row: str, more: str) -> None:
        self.give(f"sheet 00143-2\n{row} {day} {more}".rstrip() + "\n")

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS))
    def ticks_on_a_picture(self, letter: str, day: str) -> None:
        values = {f"job{letter}": "x", f"day{letter}": day}
        said = {"answers": 1, "day": "", "sheets": [{"serial": "00142-4", "values": values}]}
        self.give(json.dumps(said), "answers.json")

    @rule(
        work=st.sampled_from(sorted(JOBS.values())),
        day=st.sampled_from(DAYS),
        hand=HANDS,
        data=st.data(),
        sheet=st.booleans(),
    )
    def writes_a_line(
        self, work: tuple[str, tuple[str, ...]], day: str, hand: str, data: st.DataObject, sheet: bool
    ) -> None:
        words = data.draw(st.sampled_from(WORDS[work[0]]))
        self.count += 1
        line = (
            f"sheet 00142-4{hand}\n{self.count % 28 + 1} {day} {words}\n"
            if sheet
            else f"tree 001{hand}\n{day} {words}\n"
        )
        self.lines[work[0], DATES[day]] += 1
        self.give(line)

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS), data=st.data(), first=st.booleans())
    def ticks_and_writes_at_once(self, letter: str, day: str, data: st.DataObject, first: bool) -> None:
        work = JOBS[letter][0]
        words = data.draw(st.sampled_from(WORDS[work]))
        dated = data.draw(st.sampled_from([f"{day} ", ""]))
        self.count += 1
        both = [f"{letter} {day}", f"{self.count % 28 + 1} {dated}{words}"]
        self.lines[work, DATES[day]] += 1
        self.give("sheet 00142-4\n" + "\n".join(both if first or not dated else reversed(both)) + "\n")

    @rule()
    def undoes(self) -> None:
        self.call("undo", "--yes", "--today", "2026-11-20")

    # -- what always holds ---------------------------------------------------------------------------------------------

    def log(self) -> list[dict[str, Any]]:
        data = yaml.load(self.tree.read_text("utf-8"), Loader=yaml.BaseLoader)
        log: list[dict[str, Any]] = data["log"]
        return log

    @invariant()
    def a_tick_adds_no_entry_beside_its_line(self) -> None:
        stood = Counter((e["work"], e["date"]) for e in self.log() if "work" in e and e["date"] in DATES.values())
        for about, number in stood.items():
            assert number <= max(1, self.lines[about]), (about, self.log())

    @invariant()
    def a_source_stands_once(self) -> None:
        sources = [
            s for e in self.log() for s in ([e["from"]] if isinstance(e.get("from"), str) else e.get("from", ()))
        ]
        whole = Counter(s for s in sources if "." not in s)
        assert all(number == 1 for number in whole.values()), sources

    @invariant()
    def wire_on_the_tree_is_wire_in_the_log(self) -> None:
        """Replayed here by hand, from the file."""
        on: set[str] = set()
        for entry in sorted(self.log(), key=lambda e: str(e["date"])):
            if entry.get("work") == "wiring":
                on |= set(entry["branches"])
            elif entry.get("work") == "wire off":
                on -= set(entry.get("branches", on))
        knowledge = shipped_knowledge()
        tree = load(self.folder, knowledge).tree("001")
        assert tree is not None
        stands = {
            b
            for w in wires_on(effective(tree.log, date(2026, 11, 20), knowledge), knowledge, tree)
            for b in w.branches
        }
        assert stands == on

    @invariant()
    def the_audit_balances(self) -> None:
        audit = line_status.audit(RealDisk(self.folder))
        assert audit.balanced, audit


class BlockSeason(Season):
    """The same, in a file whose entries stand as blocks."""

    TREE = BLOCK


for _machine in (Season, BlockSeason):
    _machine.TestCase.settings = settings(
        max_examples=8, stateful_step_count=6, deadline=None, suppress_health_check=list(HealthCheck)
    )
TestSeason = Season.TestCase
TestBlockSeason = BlockSeason.TestCase
