"""The grower's own numbers: they change what they name, say so, and leave the rest alone."""

from __future__ import annotations

import json
import sys
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from logbook.collection.fields import COLLECTION
from logbook.collection.kinds import Context
from logbook.collection.model import Settings
from logbook.collection.yaml_reader import read_text
from logbook.diagnostics import Problem
from logbook.horticulture.knowledge import Knowledge
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Hard, Kind, OnSheet, Thing
from logbook.horticulture.work_fields import OWN_WORK, ROW, WORK

from ..conftest import Answer

OWN = """
groups: {maple: {swell: 260, root_limit: -2}}
works:
  repotting: {groups: [maple], every: 5, window: swell - 10 / swell / open}
  moss care: {groups: all, window: open / open + 10 / midsummer, sign: moss thick, typed: [moss done]}
"""


def jobs(bench: Callable[..., Answer], folder: Path, tag: str) -> dict[str, dict[str, object]]:
    trees = json.loads(bench("due", "--today", "2026-11-25", "--json", "--tag", tag, folder=folder).out)["trees"]
    return {j["work"]: j for j in trees[0]["jobs"]}


def test_own_numbers(demo: Path, bench: Callable[..., Answer]) -> None:
    maple, fig = jobs(bench, demo, "002"), jobs(bench, demo, "011")
    path = demo / "collection.yaml"
    path.write_text(path.read_text("utf-8") + OWN, encoding="utf-8")
    assert bench("check", folder=demo).code == 0
    after = jobs(bench, demo, "002")
    assert maple["repotting"]["opens"].startswith("2027") and after["repotting"]["opens"].startswith("2028")  # type: ignore[attr-defined]
    assert any("your own numbers" in r["text"] for r in after["repotting"]["reasons"])  # type: ignore[attr-defined, index]
    mine = {k: v for k, v in jobs(bench, demo, "011").items() if k != "moss care"}
    assert mine == fig, "other groups keep their dates"
    assert "moss care" in after
    notes = demo.parent / "n.txt"
    notes.write_text("tree 002\n20 nov moss done\n", encoding="utf-8")
    assert "moss care" in bench("reconcile", notes, "--yes", "--today", "2026-11-25", folder=demo).out
    assert bench("check", folder=demo).code == 0


def laid_over(text: str, knowledge: Knowledge | None = None) -> tuple[Knowledge, list[Problem]]:
    """Knowledge under the `works:` of a collection, given as YAML."""
    base = knowledge or shipped_knowledge()
    document = read_text(f"format: 1\ntitle: Test\nworks:\n{text}\n", "collection.yaml")
    assert document.root is not None and not document.problems
    context = Context(document, words=base.words)
    settings = COLLECTION.read(document.root, context)
    assert isinstance(settings, Settings), context.problems
    return base.own(settings)


def test_a_further_group_takes_the_numbers_but_no_condition_of_another() -> None:
    """Common practice asks a species' leave for full defoliation; a grower who adds a group to it takes that upon themselves."""
    knowledge, problems = laid_over(
        "  full defoliation: {groups: evergreen broadleaf, window: hardened / hardened + 7 / midsummer}"
    )
    assert not problems
    row = knowledge.works["full defoliation"].row("evergreen broadleaf")
    assert row is not None and row.overridden and row.vigour == 5 and row.also is None
    assert knowledge.works["full defoliation"].row("maple") is None


def test_own_groups_may_be_called_by_a_name_of_before() -> None:
    knowledge, problems = laid_over("  repotting: {groups: [azalea], every: 4}")
    assert not problems
    for group in ("early azalea", "satsuki azalea"):
        row = knowledge.works["repotting"].row(group)
        assert row is not None and row.every["grown"] == 4 and row.also is not None


WHOLE = """
  needle bath:
    kind: flush
    typed: [bathed]
    mark: nb
    short: bath
    minutes: 25
    hard: true
    recovery: [{seasons: 1}]
    acts: [bathing]
    caution: poison
    puts: paste
    rows:
      - groups: conifers
        except: cypress
        window: swell / swell + 7 / open
        every: {young: 1, grown: 2, old: 3}
        vigour: 4
        not_if: [resting, {done: bathing, within: 9 months}]
        sign: needles dull
        too_late: candles out
"""


def test_a_work_of_ones_own_takes_every_key_that_the_shipped_ones_have() -> None:
    """The same words in works.yaml and in a collection make the same record."""
    knowledge, problems = laid_over(WHOLE)
    assert not problems
    own = knowledge.works["needle bath"]
    assert own.kind is Kind.FLUSH and own.hard is Hard.ALWAYS and own.mark == "nb" and Thing.PASTE in own.puts
    row = own.row("two-flush pine")
    assert row and row.every["old"] == 3 and len(row.unless) == 2 and row.overridden and not own.row("cypress")
    shipped = {f.key for f in WORK.fields} | {f.key for f in ROW.fields}
    assert {f.key for f in OWN_WORK.fields} == shipped


def test_the_traits_of_a_shipped_work_may_be_ones_own() -> None:
    knowledge, problems = laid_over("  repotting: {minutes: 90, typed: [tubbed], sheet: later}")
    assert not problems
    mine, theirs = knowledge.works["repotting"], shipped_knowledge().works["repotting"]
    assert (mine.minutes, mine.sheet) == (90, OnSheet.LATER) and mine.typed == (*theirs.typed, "tubbed")
    assert mine.rows == theirs.rows, "dates are as shipped"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("  repoting: {every: 3}", "did you mean 'repotting'"),
        ("  moss: {groups: mapel, window: open / open / open, sign: x}", "expected a growth group"),
        ("  moss: {groups: maple, window: soon, sign: x}", "opens / best / closes"),
        ("  moss: {groups: maple, rule: full moon, sign: x}", "expected a rule"),
        ("  moss: {groups: maple}", "needs groups, window and sign"),
        ("  candle removal: {groups: maple, every: 1}", "no rule of 'candle removal'"),
        ("  repotting: {caution: bees}", "expected a caution"),
        ("  repotting: {groups: maple, kind: magic}", "expected a kind of work"),
        ("  repotting: {rows: [{groups: maple, every: 3}]}", "lacks 'sign'"),
    ],
)
def test_faults_stand_where_they_are(text: str, said: str) -> None:
    knowledge, problems = laid_over(text)
    told = " ".join(f"{p.message} {p.hint}" for p in problems)
    assert said in told and all(p.place and p.place.line == 4 for p in problems), told
    assert knowledge.works == shipped_knowledge().works, "what is at fault changes nothing"


def test_a_renamed_work_is_one_line(
    demo: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A shipped work under another name plans, prints and reads; logs that call it by its name of before still count."""
    shipped = shipped_knowledge()
    before = shipped.works["candle removal"]
    renamed = {
        ("decandling" if n == before.name else n): (
            replace(w, name="decandling", was=(before.name,)) if n == before.name else w
        )
        for n, w in shipped.works.items()
    }
    other = replace(shipped, works=renamed)
    for module in list(sys.modules.values()):
        if getattr(module, "__name__", "").startswith("logbook.") and hasattr(module, "shipped_knowledge"):
            monkeypatch.setattr(module, "shipped_knowledge", lambda: other)
    told = bench("due", "--today", "2027-06-10", "--json", folder=demo)
    assert told.code == 0, told.err
    works = {j["work"] for tree in json.loads(told.out)["trees"] for j in tree["jobs"]}
    assert "decandling" in works and before.name not in works
    assert bench("check", folder=demo).code == 0, "old logs name it as it was called before"
    assert (
        bench("sheets", "--tag", "001", "-o", demo.parent / "s.pdf", "--today", "2027-06-10", folder=demo).code == 0
    )
    notes = demo.parent / "n.txt"
    notes.write_text("tree 001\n8 jun candles off\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", "--today", "2027-06-10", folder=demo).code == 0
    assert "work: decandling" in (demo / "trees" / "001.yaml").read_text("utf-8")
