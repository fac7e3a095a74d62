"""A note that contradicts its tree is asked, "is this the right tree?", and written on yes; ordinary notes never are.

What contradicts is common practice of the trade, no source: a maple has no candles, nobody pots a tree twice within months.
"""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning import contradictions
from logbook.planning.contradictions import speaks_against
from logbook.planning.garden import Garden
from logbook.season.site_year import SiteYear
from logbook.storage.printed import Offered, Sheet, run_text

from ..conftest import DEMO, Answer, day, make_collection
from . import phrases_judge
from .test_phrases import planned

Bench = Callable[..., Answer]
RIGHT = "is this the right tree?"
LOGS = {
    "maple": ("Acer palmatum", "- {date: 2024-10-01, found: {stage: refinement, vigour: 4, repotted: 2022}}"),
    "pine": ("Pinus thunbergii", "- {date: 2024-10-01, found: {stage: refinement, vigour: 4, repotted: 2022}}"),
    "potted": ("Acer palmatum", "- {date: 2026-03-20, work: repotting, roots: hard}"),
    "weak": ("Acer palmatum", "- {date: 2026-03-01, vigour: 1}"),
    "sick": ("Acer palmatum", "- {date: 2026-05-01, trouble: roots}"),
    "unknown": ("", "- {date: 2024-10-01, found: {vigour: 4}}"),
}


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    trees = {}
    for tag, (species, row) in LOGS.items():
        kind = f"species: {species}" if species else "name: Foundling"
        trees[tag] = f"tag: {tag}\n{kind}\nlog:\n  {row}\n"
    trees["dead"] = (
        "tag: dead\nspecies: Acer palmatum\nended: {date: 2025-02-01, how: died}\nlog:\n  - {date: 2024-10-01, vigour: 1}\n"
    )
    return make_collection(tmp_path / "c", trees)


def typing(garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch, text: str, *answers: str) -> Answer:
    """Notes given at a terminal, and what is answered there."""
    stream = io.StringIO("".join(f"{answer}\n" for answer in answers))
    stream.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr("sys.stdin", stream)
    notes = garden.parent / "n.txt"
    notes.write_text(text, encoding="utf-8")
    return bench("reconcile", notes, "--yes", "--ask", "--today", "2026-11-20", folder=garden)


def fates(garden: Path, bench: Bench, text: str, *more: str) -> list[tuple[str, str]]:
    notes = garden.parent / "n.txt"
    notes.write_text(text, encoding="utf-8")
    answer = bench("reconcile", notes, "--yes", "--json", "--today", "2026-11-20", *more, folder=garden)
    return [(item["fate"], item["why"]) for item in json.loads(answer.out)["items"]]


@pytest.mark.parametrize(
    ("tag", "typed", "says"),
    [
        ("maple", "20 jun candles off", "candle removal is not done to maple"),
        ("maple", "14 oct needles thinned", "needle thinning is not done to maple"),
        ("pine", "20 jun defoliated", "full defoliation is not done to two-flush pine"),
        ("potted", "20 jun repotted", "repotted 20 Mar 2026"),
        ("potted", "20 jun potted on", "repotted 20 Mar 2026"),
        ("weak", "20 mar repotted roots hard", "resting since 1 Mar 2026: vigour 1"),
        ("sick", "20 jun chopped the trunk", "its roots were in trouble 1 May 2026"),
        ("dead", "20 jun pruned hard", "the tree left the collection (died 1 Feb 2025)"),
    ],
)
def test_what_contradicts_the_tree_is_asked(garden: Path, bench: Bench, tag: str, typed: str, says: str) -> None:
    ((fate, why),) = fates(garden, bench, f"tree {tag}\n{typed}\n")
    assert fate == "question" and why.startswith(says)
    assert tag == "dead" or why.endswith(RIGHT)


@pytest.mark.parametrize(
    ("tag", "typed"),
    [
        ("pine", "20 jun candles off"),
        ("pine", "14 oct needles thinned"),
        ("maple", "20 jun defoliated"),
        ("maple", "20 mar repotted roots hard"),
        ("potted", "20 jun trimmed"),
        ("potted", "20 jun emergency repotted"),
        ("weak", "20 mar repotted roots light"),
        ("weak", "20 jun fed"),
        ("sick", "20 jun emergency repotted roots hard"),
        ("sick", "20 jun wire off"),
        ("unknown", "20 jun candles off"),
    ],
)
def test_what_does_not_is_not(garden: Path, bench: Bench, tag: str, typed: str) -> None:
    assert not any(RIGHT in why for _, why in fates(garden, bench, f"tree {tag}\n{typed}\n", "--dry-run"))


def test_on_yes_it_is_written_and_not_asked_again(
    garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    stream = io.StringIO("w\n")
    stream.isatty = lambda: True  # type: ignore[method-assign]
    monkeypatch.setattr("sys.stdin", stream)
    notes = garden.parent / "n.txt"
    notes.write_text("tree maple\n20 jun candles off\n", encoding="utf-8")
    said = bench("reconcile", notes, "--yes", "--ask", "--today", "2026-11-20", folder=garden)
    assert said.code == 0 and RIGHT in said.err and "Enter leaves it waiting" in said.err
    assert "work: candle removal" in (garden / "trees" / "maple.yaml").read_text("utf-8")
    assert fates(garden, bench, "tree maple\n20 jun candles off\n") == [("there", "")]
    assert fates(garden, bench, "tree maple\n20 sep candles off\n") == [("write", "")], "it was this tree's before"


@pytest.mark.parametrize("said", ["pine", "no, it is pine", "No: tree pine.", "it's of pine", "Old Pine"])
def test_another_number_answers_which_tree_it_is(
    garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch, said: str
) -> None:
    """The line goes to that tree with its day, nothing of it to the first one, and given again nothing is asked or doubled."""
    pine = garden / "trees" / "pine.yaml"
    pine.write_text(pine.read_text("utf-8").replace("log:", "name: Old Pine\nlog:"), encoding="utf-8")
    maple = (garden / "trees" / "maple.yaml").read_bytes()
    told = typing(garden, bench, monkeypatch, "tree maple\n20 jun candles off; fed\n", said)
    assert told.code == 0 and "or the number of the tree it is of" in told.err, told.all
    assert (garden / "trees" / "maple.yaml").read_bytes() == maple, "the other part of the line goes with it"
    text = pine.read_text("utf-8")
    assert "2026-06-20, work: candle removal" in text and "2026-06-20, work: feeding" in text
    stands = json.loads(bench("waiting", "--json", folder=garden).out)
    assert not stands["waiting"] and stands["audit"]["balanced"] and stands["audit"]["written"] == 1
    again = typing(garden, bench, monkeypatch, "tree maple\n20 jun candles off; fed\n")
    assert "question" not in again.err and pine.read_text("utf-8") == text
    assert (garden / "trees" / "maple.yaml").read_bytes() == maple
    assert bench("undo", "--yes", "--today", "2026-11-20", folder=garden).code == 0
    assert fates(garden, bench, "tree maple\n20 jun candles off\n", "--dry-run")[0][0] == "question", (
        "undone, asked again"
    )


def test_a_number_that_is_none_and_one_where_none_is_asked(
    garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    told = typing(garden, bench, monkeypatch, "tree maple\n20 jun candles off\n", "no, it is 777", "l")
    assert "'no, it is 777' is none of" in told.err and told.code == 3
    told = typing(garden, bench, monkeypatch, "tree maple\n20 jun wire off 2\n", "pine", "l")
    assert "'pine' is none of" in told.err, "wire that is not on says nothing of the tree"


def test_a_line_that_begins_with_another_trees_name_goes_there_by_its_number(
    garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    pine = garden / "trees" / "pine.yaml"
    pine.write_text(pine.read_text("utf-8").replace("log:", "name: Old Pine\nlog:"), encoding="utf-8")
    told = typing(garden, bench, monkeypatch, "tree maple\n20 jun looked\nold pine, candles off\n", "pine")
    assert told.code == 0 and "as in: pine" in told.err, told.all
    assert "2026-06-20, work: candle removal}" in pine.read_text("utf-8"), "its name is no remark"
    assert "2026-06-20, work: look-over" in (garden / "trees" / "maple.yaml").read_text("utf-8")


def test_the_lines_before_on_the_same_page_count(garden: Path, bench: Bench) -> None:
    first, second = fates(garden, bench, "tree maple\n20 mar repotted\n20 jun repotted\n", "--dry-run")
    assert first == ("write", "") and second[0] == "question" and second[1].endswith(RIGHT)


def test_what_the_sheet_offered_is_no_wonder(garden: Path, bench: Bench) -> None:
    offered = (Offered("A", "weak", "repotting"),)
    sheet = Sheet("00142-4", day("2026-02-01"), "pocket-a6", 1, "metric", ("weak",), {"1": "weak"}, offered)
    (garden / "printed").mkdir()
    (garden / "printed" / "a.json").write_text(run_text([sheet]), encoding="utf-8")
    assert fates(garden, bench, "sheet 00142-4\nA 20 mar roots hard\n", "--dry-run") == [("write", "")]
    ((fate, why),) = fates(garden, bench, "sheet 00142-4\n1 20 mar repotted roots hard\n", "--dry-run")
    assert fate == "question" and RIGHT in why


# -- ordinary notes ------------------------------------------------------------------------------------------------


def test_the_logs_of_the_demo_would_not_be_asked_about() -> None:
    """Each entry as if it were typed today, with the log before it: kept records, in which no tag is wrong."""
    knowledge = shipped_knowledge()
    collection = load(DEMO, knowledge)
    garden = Garden(collection.settings, knowledge, collection.trees)
    told = [
        (tree.tag, entry.date.told(), why)
        for tree in collection.trees
        for n, entry in enumerate(tree.log)
        if (why := speaks_against(replace(tree, log=tree.log[:n]), garden, entry))
    ]
    assert sum(len(tree.log) for tree in collection.trees) > 60
    assert not told


def test_lines_judged_by_hand_are_hardly_ever_asked_so(tmp_path: Path) -> None:
    results = phrases_judge.verdicts(tmp_path, planned)
    readable = [items for case, _, _, items in results if isinstance(case["expect"], list)]
    asked = [items for items in readable if any(RIGHT in item["why"] for item in items)]
    assert len(readable) > 400 and len(asked) <= 0.01 * len(readable)


# -- what it costs -------------------------------------------------------------------------------------------------


def test_no_tree_but_the_one_that_is_noted_is_looked_at(
    garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    seen: list[str] = []
    plain = contradictions.state_of

    def watched(tree: contradictions.Tree, *more: object) -> object:
        seen.append(tree.tag)
        return plain(tree, *more)  # type: ignore[arg-type]

    monkeypatch.setattr(contradictions, "state_of", watched)
    fates(garden, bench, "tree weak\n20 mar repotted roots hard\ntree maple\n20 jun trimmed\n21 jun wired 1\n")
    assert seen == ["weak"]


def test_notes_of_lighter_works_need_no_season(garden: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    def never(*_: object) -> None:
        raise AssertionError("a season was reckoned")

    monkeypatch.setattr(SiteYear, "__init__", never)
    typed = "tree maple\n20 jun trimmed; fed 5-5-5\n21 jun wired 1 2 copper 2.5\n22 jun looked\n"
    assert {fate for fate, _ in fates(garden, bench, typed, "--dry-run")} == {"write"}
