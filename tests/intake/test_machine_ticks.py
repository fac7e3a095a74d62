"""Ticks and lines of one work, tree and day in any order, run and channel, by two growers: one entry, and every undo is exact.

The folder is made once and each season goes on in memory above it: the same calls as the command's, without its words.
"""

from __future__ import annotations

import functools
import json
import tempfile
from collections import Counter
from dataclasses import dataclass
from datetime import date
from pathlib import Path
from typing import Any

import pytest
import yaml
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, rule

from logbook.collection.load import load
from logbook.collection.model import Collection
from logbook.horticulture.knowledge import Knowledge
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake import archive, line_status
from logbook.intake.given_files import decoded_notes
from logbook.intake.page_answers import notes_of_answers
from logbook.intake.plan_items import Item
from logbook.intake.service import carry_out, look_ahead, plan_notes, take_back
from logbook.planning.tree_state import effective
from logbook.planning.wires import wires_on
from logbook.storage.disk import Overlay, RealDisk
from logbook.storage.printed import Offered, Sheet, load_ledger, run_text
from logbook.storage.store import Store

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
    "wiring": ["wired 1 copper 2.5", "wired 2 3 alu 3", "wired 1 2 3, 20 min"],
}
DETAILS = {
    "wire off": "bite starting, 20 min",
    "repotting": "roots light, mix 2 akadama 1 pumice",
    "feeding": "10 min",
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
HANDS = st.sampled_from(["", "m", "j"])
TODAY = date(2026, 11, 20)


@dataclass(frozen=True)
class Opened:
    """What notes are read against."""

    folder: Path
    collection: Collection
    knowledge: Knowledge
    today: date = TODAY


@functools.cache
def folder_with(tree: str) -> Path:
    home = Path(tempfile.mkdtemp(prefix="season-"))
    folder = make_collection(home / "c", {"001": tree, "002": FLOW.replace('"001"', '"002"')})
    (folder / "printed").mkdir()
    (folder / "printed" / "a.json").write_text(run_text([RECORD, LIST]), encoding="utf-8")
    return folder


@functools.lru_cache(maxsize=512)
def log_of(text: str) -> list[dict[str, Any]]:
    """By another reader than the project's own."""
    found: list[dict[str, Any]] = yaml.load(text, Loader=getattr(yaml, "CBaseLoader", yaml.BaseLoader))["log"]
    return found


def by(hand: str) -> str:
    return f" by {hand}" if hand else ""


class Season(RuleBasedStateMachine):
    """One tree, two growers, and four ways by which their notes come in."""

    TREE = FLOW

    def __init__(self) -> None:
        super().__init__()
        self.folder = folder_with(self.TREE)
        self.disk = Overlay(RealDisk(self.folder))
        self.store = Store(self.disk, archive.hooks())
        self.count = 0
        self.lines: Counter[tuple[str, str]] = Counter()
        self.before: list[tuple[str, str]] = []  # each batch that stands, and the tree's text before it

    def teardown(self) -> None:
        while self.before:
            self.undoes()
        assert self.text() == self.TREE, "every run taken back, not a byte is left of it"

    def text(self) -> str:
        return (self.disk.read("trees/001.yaml") or b"").decode()

    def opened(self) -> Opened:
        knowledge = shipped_knowledge()
        return Opened(self.folder, load(self.folder, knowledge, instead=self.disk.changed), knowledge)

    def given(self, text: str) -> tuple[Item, ...]:
        """One run of the command."""
        opened = self.opened()
        if text.startswith("{"):
            text = notes_of_answers(text.encode(), "answers", load_ledger(self.folder), opened.collection)
        self.store.recover()
        name = archive.keep_text(self.disk, text.encode(), TODAY)
        made = plan_notes(opened, self.disk, decoded_notes(text.encode(), "typed", name))
        fates = Counter(item.reading.number for item in made.items)
        for number, line in enumerate(text.splitlines(), start=1):
            assert fates[number] or not line.strip() or line.startswith(("sheet", "tree")), (line, "has a fate")
        return carry_out(self.store, made, name, TODAY).plan.items

    def give(self, text: str) -> tuple[Item, ...]:
        last, before = self.store.last(), self.text()
        hands = self.hands()
        items = self.given(text)
        now = self.store.last()
        if now is not None and (last is None or now.id != last.id):
            self.before.append((now.id, before))
        for about, names in hands.items():
            assert names <= self.hands().get(about, set()), (text, "a hand that was told stays")
        for item in items:
            if item.fate in ("write", "there") and item.entry.get("by") and item.tag == "001":
                about = (str(item.entry.get("work")), str(item.entry["date"]))
                assert str(item.entry["by"]) in self.hands().get(about, set()), (text, about)
        after = self.text()
        again = self.given(text)
        assert self.text() == after, (text, "given twice in a row, nothing changes")
        written = [i for i in items if i.fate in ("write", "there")]
        assert len([i for i in again if i.fate == "there"]) >= len(written), text
        return items

    # -- what happens ------------------------------------------------------------------------------------------------

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS), hand=HANDS)
    def ticks_on_the_sheet(self, letter: str, day: str, hand: str) -> None:
        self.give(f"sheet 00142-4{by(hand)}\n{letter} {day}\n")

    @rule(
        day=st.sampled_from(DAYS),
        row=st.sampled_from(["1", "001"]),
        more=st.sampled_from(["done", "", "done; vigour 4"]),
        hand=HANDS,
    )
    def ticks_on_the_list(self, day: str, row: str, more: str, hand: str) -> None:
        own = f"{hand}: " if hand and more else ""
        self.give(f"sheet 00143-2\n{row} {day} {own}{more}".rstrip() + "\n")

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS))
    def ticks_on_a_picture(self, letter: str, day: str) -> None:
        values = {f"job{letter}": "x", f"day{letter}": day}
        said = {"answers": 1, "day": "", "sheets": [{"serial": "00142-4", "values": values}]}
        self.give(json.dumps(said))

    @rule(
        work=st.sampled_from(sorted(WORDS)), day=st.sampled_from(DAYS), hand=HANDS, data=st.data(),
        where=st.sampled_from(["sheet", "tree", "trees"]),
    )  # fmt: skip
    def writes_a_line(self, work: str, day: str, hand: str, data: st.DataObject, where: str) -> None:
        words = data.draw(st.sampled_from(WORDS[work]))
        self.count += 1
        heads = {"sheet": "sheet 00142-4", "tree": "tree 001", "trees": "trees 001 002"}
        number = f"{self.count % 28 + 1} " if where == "sheet" else ""
        self.lines[work, DATES[day]] += 1
        self.give(f"{heads[where]}{by(hand)}\n{number}{day} {words}\n")

    @rule(letter=st.sampled_from(sorted(JOBS)), day=st.sampled_from(DAYS), hand=HANDS)
    def ticks_with_details_below(self, letter: str, day: str, hand: str) -> None:
        self.count += 1
        number = self.count % 28 + 1
        self.lines[JOBS[letter][0], DATES[day]] += 1
        self.lines["wire check", DATES[day]] += 1  # what `bite starting` says where the tick above it is asked
        self.give(f"sheet 00142-4{by(hand)}\n{letter} {day}\n{number} {day} {DETAILS[JOBS[letter][0]]}\n")

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
        last = self.store.last()
        assert (last.id if last else None) == (self.before[-1][0] if self.before else None)
        if last is not None:
            ahead = look_ahead(self.store, last)
            assert not (ahead.blocked or ahead.edited)
            take_back(self.store, last, TODAY)
            assert self.text() == self.before.pop()[1], "an undo is exact"

    # -- what always holds ---------------------------------------------------------------------------------------------

    def log(self) -> list[dict[str, Any]]:
        return log_of(self.text())

    def hands(self) -> dict[tuple[str, str], set[str]]:
        """Whose hands the log names, by work and day."""
        found: dict[tuple[str, str], set[str]] = {}
        for entry in self.log():
            told = set(entry["by"].split("/")) if "by" in entry else set()
            found.setdefault((entry.get("work", "None"), entry["date"]), set()).update(told)
        return found

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
        """Replayed here by hand, from the file: on one day wire comes off before it goes on (common practice, no source)."""
        on: set[str] = set()
        for entry in sorted(self.log(), key=lambda e: (str(e["date"]), e.get("work") != "wire off")):
            if entry.get("work") == "wiring":
                on |= set(entry["branches"])
            elif entry.get("work") == "wire off":
                on -= set(entry.get("branches", on))
        knowledge = shipped_knowledge()
        tree = self.opened().collection.tree("001")
        assert tree is not None
        stands = {b for w in wires_on(effective(tree.log, TODAY, knowledge), knowledge, tree) for b in w.branches}
        assert stands == on

    @invariant()
    def the_audit_balances(self) -> None:
        audit = line_status.audit(self.disk)
        assert audit.balanced, audit


class BlockSeason(Season):
    """The same, in a file whose entries stand as blocks."""

    TREE = BLOCK


def _settings(examples: int, steps: int) -> settings:
    return settings(
        max_examples=examples, stateful_step_count=steps, deadline=None, suppress_health_check=list(HealthCheck)
    )


for _machine in (Season, BlockSeason):
    _machine.TestCase.settings = _settings(8, 15)
TestSeason = Season.TestCase
TestBlockSeason = pytest.mark.soak(BlockSeason.TestCase)


class LongSeason(Season):
    """The same, much longer."""


LongSeason.TestCase.settings = _settings(1000, 40)
TestLongSeason = pytest.mark.soak(LongSeason.TestCase)
