"""Ticks and lines, ranges of tags, the hand that wrote, parts of dates, trays: what one run of notes makes of them."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path
from typing import Any

import pytest

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar, Known
from logbook.intake.grammar.lines import Reading, read_notes
from logbook.planning.tree_state import effective
from logbook.planning.wires import wires_on
from logbook.storage.printed import Ledger, Offered, Sheet, run_text

from ..conftest import Answer, make_collection, snapshot

Bench = Callable[..., Answer]
TREE = 'tag: "{0}"\nspecies: Acer palmatum\n{1}log:\n  - {{date: 2026-01-10, found: {{stage: ramification, vigour: 3}}}}\n'
WIRE = "  - {date: 2026-04-01, work: wiring, branches: [1, 2, 3], metal: copper, wire: 2.5}\n"
TABLE = "branches: [{id: 1}, {id: 2}, {id: 3}]\n"


class Garden:
    """A tree with wire on it, a record sheet with three jobs, and a list of many trees."""

    def __init__(self, home: Path, bench: Bench) -> None:
        trees = {
            "001": TREE.format("001", TABLE) + WIRE,
            "002": TREE.format("002", ""),
            "004": TREE.format("004", "count: 40\n"),
        }
        self.folder, self.bench = make_collection(home / "c", trees), bench
        jobs = (
            Offered("A", "001", "wire off", ("1", "2", "3")),
            Offered("B", "001", "repotting"),
            Offered("C", "001", "feeding"),
        )
        lines = {str(n): "001" for n in range(1, 9)}
        rows = (Offered("1", "001", "look-over"), Offered("2", "002", "look-over"))
        sheets = [
            Sheet("00142-4", date(2026, 10, 1), "pocket-a6", 1, "metric", ("001",), lines, jobs),
            Sheet(
                "00143-2", date(2026, 10, 1), "walk-a4", 1, "metric", ("001", "002"), {"1": "001", "2": "002"}, rows
            ),
        ]
        (self.folder / "printed").mkdir()
        (self.folder / "printed" / "a.json").write_text(run_text(sheets), encoding="utf-8")

    def type(self, text: str) -> list[dict[str, Any]]:
        path = self.folder.parent / "typed.txt"
        path.write_text(text, encoding="utf-8")
        answer = self.bench("reconcile", path, "--yes", "--json", "--today", "2026-11-20", folder=self.folder)
        items: list[dict[str, Any]] = json.loads(answer.out)["items"]
        return items


@pytest.fixture
def garden(tmp_path: Path, bench: Bench) -> Garden:
    return Garden(tmp_path, bench)


def told(items: list[dict[str, Any]]) -> list[tuple[str, dict[str, Any]]]:
    return [(i["fate"], {k: v for k, v in i["entry"].items() if k not in ("date", "from")}) for i in items]


@pytest.mark.parametrize(
    "text",
    [
        "sheet 00142-4\nA 14 oct\n1 14 oct wire off 1 2 bite starting\n",
        "sheet 00142-4\n1 14 oct wire off 1 2 bite starting\nA 14 oct\n",
        "sheet 00142-4\nA 14 oct\ntree 001\n14 oct wire off 1 2 bite starting\n",
    ],
)
def test_a_tick_and_a_line_are_one_entry(garden: Garden, text: str) -> None:
    """Whichever comes first, and wherever the line stands; the line that names fewer branches has the word."""
    items = garden.type(text)
    written = [e for f, e in told(items) if f == "write"]
    assert written == [{"work": "wire off", "branches": ["1", "2"], "bite": "starting"}]
    assert next(i["why"] for i in items if i["fate"] == "there").startswith("with line")
    before = snapshot(garden.folder / "trees")
    assert {i["fate"] for i in garden.type(text)} == {"there"}
    assert snapshot(garden.folder / "trees") == before


def test_details_under_a_tick_belong_to_it(garden: Garden) -> None:
    items = garden.type("sheet 00142-4\nB 14 oct\n1 14 oct roots light, 90 min\n2 14 oct trunk 42\n")
    assert [e for f, e in told(items) if f == "write"] == [
        {"work": "repotting", "roots": "light", "minutes": 90},
        {"measured": {"trunk": 42}},
    ]


def test_a_tick_given_later_adds_nothing_to_the_line(garden: Garden) -> None:
    garden.type("sheet 00142-4\n1 14 oct repotted, roots light\n")
    assert told(garden.type("sheet 00142-4\nB 14 oct\n"))[0][0] == "there"
    assert told(garden.type("sheet 00142-4\nB 15 oct\n"))[0][0] == "question", "twice within days is asked"


def test_two_lines_stay_two_where_something_tells_them_apart(garden: Garden) -> None:
    apart = garden.type("sheet 00142-4\n1 14 oct pruned 1\n2 14 oct pruned 2\n")
    assert [i["fate"] for i in apart] == ["write", "write"]
    same = garden.type("sheet 00142-4\n3 16 oct fed\n4 16 oct fed\n")
    assert [i["fate"] for i in same] == ["write", "question"] and "the same, or again?" in same[1]["why"]


def test_wire_is_judged_on_the_whole_run(garden: Garden) -> None:
    """The line that puts wire on stands below the one that takes it off, and is a day older."""
    items = garden.type("tree 002\n16 oct wire off 1\n14 oct wired 1\n")
    assert [i["fate"] for i in items] == ["write", "write"]


def test_wire_on_where_wire_is_on_is_asked(garden: Garden) -> None:
    (asked,) = garden.type("tree 001\n14 oct wire on 3\n")
    assert asked["fate"] == "question" and "looked at, or wired anew" in asked["why"]
    (anew,) = garden.type("tree 001\n14 oct wired 3\n")
    assert anew["fate"] == "write"
    (off,) = garden.type("tree 001\n15 oct wire off\n")
    assert off["fate"] == "write" and "branches" not in off["entry"], "unnamed, it takes all off"


def test_what_was_read_in_part_is_told(garden: Garden) -> None:
    (item,) = garden.type("tree 001\n14 oct pruned 3 gnarled stubs\n")
    assert item["partly"] and item["unread"] == "3 gnarled stubs" and item["entry"]["work"] == "structural pruning"
    path = garden.folder.parent / "typed.txt"
    path.write_text("tree 002\n14 oct pruned 3 gnarled stubs\n15 oct fed\n16 oct vigour 6\n", encoding="utf-8")
    shown = garden.bench("reconcile", path, "--dry-run", "--today", "2026-11-20", folder=garden.folder).out
    assert [line.split()[0] for line in shown.splitlines()[:3]] == ["in", "reads", "asked"]


def test_several_letters_at_once(garden: Garden) -> None:
    for letters in ("B+C", "B, C", "B & C", "B C"):
        items = garden.type(f"sheet 00142-4\n{letters} 14 oct\n")
        assert {i["entry"].get("work") for i in items} == {"repotting", "feeding"}, letters


def test_a_tree_that_is_gone_is_asked_with_the_way_out(garden: Garden) -> None:
    (died,) = garden.type("tree 001\n14 oct died\n")
    assert died["fate"] == "question" and "end" in died["why"] and "benchleaf end" in died["hint"]
    lines = "tree 004\n14 oct 3 dead, sold 12, potted on 20\n15 oct 2 died\n16 oct lost 1\n"
    written = [
        ("write", {"count": 25, "note": "3 dead, sold 12"}),
        ("write", {"work": "potting on", "note": "20"}),
        ("write", {"count": 23, "note": "2 died"}),
        ("write", {"count": 22, "note": "lost 1"}),
    ]
    assert told(garden.type(lines)) == written
    before = snapshot(garden.folder / "trees")
    assert {i["fate"] for i in garden.type(lines)} == {"there"} and snapshot(garden.folder / "trees") == before
    for doubtful in ("maybe 3 dead", "3 dead?", "sold 90"):
        (asked,) = garden.type(f"tree 004\n17 oct {doubtful}\n")
        assert asked["fate"] == "question" and "how many" in asked["why"]
    (all_of_it,) = garden.type("tree 004\n17 oct sold 22\n")
    assert all_of_it["fate"] == "question" and "come to an end" in all_of_it["why"]


def test_a_letter_that_denies_is_no_tick(garden: Garden) -> None:
    (item,) = garden.type("sheet 00142-4\nB 14 oct not needed\n")
    assert item["fate"] == "write" and set(item["entry"]) == {"date", "note", "from"}
    (asked,) = garden.type("sheet 00142-4\nA 15 oct not 3\n")
    assert asked["fate"] == "question"


TAGS = frozenset(f"{n:03d}" for n in range(21, 31)) - {"027"}
MANY = Grammar(shipped_knowledge(), Ledger(), tags=TAGS, partial=True)


def readings(text: str, grammar: Grammar = MANY) -> list[Reading]:
    return read_notes(text, grammar)


def test_a_range_of_tags() -> None:
    (line,) = readings("021-025 14 oct fed but not 023 024\n")
    assert line.tags == ("021", "022", "025") and line.parts == ({"work": "feeding"},)
    (gap,) = readings("021-030 14 oct fed\n")
    assert "027" in gap.tags, "a tag that does not exist is told by the plan, tree by tree"
    (other,) = readings("021-025 14 oct fed but not 029\n")
    assert "029 is not among" in other.fault
    (headed,) = readings("trees 021-023\n14 oct fed\n")
    assert headed.tags == ("021", "022", "023")


def test_a_range_on_a_list_says_that_its_jobs_were_done(garden: Garden) -> None:
    items = garden.type("sheet 00143-2\n001-002 14 oct done\n")
    assert [(i["tag"], i["entry"].get("work")) for i in items] == [("001", "look-over"), ("002", "look-over")]


def test_the_hand_that_wrote() -> None:
    for text in (
        "tree 021 by m\n14 oct fed\n",
        "tree 021\n14 oct m: fed\n",
        "tree 021\n14 oct m fed\n",
        "tree 021\n14 oct fed by m\n",
    ):
        (line,) = readings(text)
        assert line.parts == ({"work": "feeding", "by": "m"},), text
    (few,) = readings("tree 021\n14 oct a few leaves yellow\n")
    assert few.parts == ({"note": "a few leaves yellow"},)


@pytest.mark.parametrize(
    ("typed", "day"),
    [
        ("10apr fed", "2027-04-10"),
        ("5-Feb-27 fed", "2027-02-05"),
        ("10-apr fed", "2027-04-10"),
        ("10 apr - fed", "2027-04-10"),
        ("10 apr: fed", "2027-04-10"),
        ("the 10th of april fed", "2027-04-10"),
        ("fed on 10 apr", "2027-04-10"),
        ("fed 2027-04-10", "2027-04-10"),
        ("today fed", "2027-04-20"),
        ("fed yesterday", "2027-04-19"),
        ("on saturday fed", "2027-04-17"),
        ("fri: fed", "2027-04-16"),
        ("2019 repotted", "2019"),
        ("2019-04 repotted", "2019-04"),
        ("spring 2021 repotted", "2021-21"),
        ("~2015 repotted", "2015~"),
        ("repotted mar 2026", "2026-03"),
    ],
)
def test_days_as_people_write_them(typed: str, day: str) -> None:
    """20 April 2027 is a Tuesday (ISO calendar)."""
    from logbook.intake.days import day_of

    (line,) = readings(f"tree 021\n{typed}\n")
    found = day_of(line, date(2027, 4, 20))
    assert found.when is not None and found.when.text == day and not found.why and "work" in line.parts[0]


def test_a_day_that_could_be_two_is_asked_where_no_order_stands() -> None:
    unsaid = Grammar(shipped_knowledge(), Ledger(), date_order=None)
    (line,) = readings("tree 1\n3/4 fed\n", unsaid)
    assert line.date is not None and "may be two days" in line.date.asks
    for sure in ("13/4 fed", "4/4 fed", "3.4. fed"):
        (line,) = readings(f"tree 1\n{sure}\n", unsaid)
        assert line.date is not None and not line.date.asks and line.date.month == 4
    from logbook.collection.units import US

    (line,) = readings("tree 1\n3/4 fed\n", Grammar(shipped_knowledge(), Ledger(), date_order=None, units=US))
    assert line.date is not None and (line.date.month, line.date.day) == (3, 4)


@pytest.mark.parametrize(
    "typed", ["fed 3 apr and 10 apr", "10 apr fed, 12 apr fed again", "10 apr repotted yesterday"]
)
def test_two_days_on_one_line_are_asked(typed: str) -> None:
    (line,) = readings(f"tree 021\n{typed}\n")
    assert "two days" in line.question


def test_a_place_on_the_benches() -> None:
    known = Grammar(shipped_knowledge(), Ledger(), benches=frozenset(("shade house",)), trees={"1": Known()})
    for typed, place in (
        ("moved east 2", "east 2"),
        ("bench east 2", "east 2"),
        ("moved to shade house", "shade house"),
    ):
        (line,) = readings(f"tree 1\n14 oct {typed}\n", known)
        assert line.parts == ({"bench": place},)
    (line,) = readings("tree 1\n14 oct moved to a sunnier spot\n", known)
    assert line.parts == ({"note": "moved to a sunnier spot"},)


def test_a_collections_own_works_join() -> None:
    from dataclasses import replace

    from logbook.horticulture.knowledge import Work

    knowledge = shipped_knowledge()
    own = replace(knowledge, works={**knowledge.works, "moss laid": Work("moss laid", ("moss laid", "mossed"))})
    (line,) = readings("tree 1\n14 oct mossed 2 hours\n", Grammar(own, Ledger()))
    assert line.parts == ({"work": "moss laid", "minutes": 120},)
    (no,) = readings("tree 1\n14 oct not mossed\n", Grammar(own, Ledger()))
    assert no.parts == ({"note": "not mossed"},)


def test_every_hand_that_is_told_stays(garden: Garden) -> None:
    """A tick by one and a line by the other, in one run or two; the nearer hand counts; read back as it stands."""
    for n, text in enumerate(
        [
            "sheet 00142-4 by m\nB 14 oct\ntree 001 by j\n14 oct repotted roots light\n",
            "tree 001\n14 oct k: repotted\n",
        ]
    ):
        garden.type(text)
        told_by = ["m", "j", "k"][: 2 + n]
        stands = (garden.folder / "trees" / "001.yaml").read_text("utf-8")
        found = stands.partition("by: ")[2].split(",")[0].split("}")[0].split("/")
        assert sorted(found) == sorted(told_by), stands
    (own,) = garden.type("tree 002 by m\n14 oct j: fed\n")
    assert own["entry"]["by"] == "j", "what the line says outranks the header"
    (both,) = garden.type("tree 002\n20 sep pruned, by m/j\n")
    assert both["entry"]["by"] == "m/j"


def test_a_tick_by_another_hand_is_no_edit(garden: Garden) -> None:
    garden.type("sheet 00142-4 by m\nC 14 oct\n")
    (asked,) = garden.type("sheet 00142-4 by j\nC 14 oct\n")
    assert asked["fate"] == "question" and "typed before with other words" in asked["why"]


TWO_WIRES = (
    "  - {date: 2026-04-01, work: wiring, branches: [1, 2], metal: copper, wire: 2}\n"
    "  - {date: 2026-04-02, work: wiring, metal: aluminium, wire: 3, note: top bit}\n"
)


@pytest.fixture
def two_wires(tmp_path: Path, bench: Bench) -> Garden:
    """A tree with wire on two branches and with wire whose place nobody told, each with a box of its own."""
    made = Garden(tmp_path, bench)
    (made.folder / "trees" / "001.yaml").write_text(TREE.format("001", "") + TWO_WIRES, encoding="utf-8")
    jobs = (Offered("xw", "001", "wire off", ("1", "2")), Offered("xw2", "001", "wire off"))
    lines = {str(n): "001" for n in range(1, 9)}
    sheet = Sheet("00142-4", date(2026, 10, 1), "pocket-a6", 1, "metric", ("001",), lines, jobs)
    (made.folder / "printed" / "a.json").write_text(run_text([sheet]), encoding="utf-8")
    return made


def wire_left(garden: Garden) -> list[tuple[str, ...]]:
    """The branches of each wire that the log says is on."""
    tree = load(garden.folder, shipped_knowledge()).tree("001")
    assert tree is not None
    knowledge = shipped_knowledge()
    return [w.branches for w in wires_on(effective(tree.log, date(2026, 12, 1), knowledge), knowledge, tree)]


OFF = ["xw2 14 oct", "1 14 oct wire off 1 2 bite starting"]


@pytest.mark.parametrize("lines", [OFF, OFF[::-1], ["xw2 14 oct", "xw 14 oct"], ["xw 14 oct", "xw2 14 oct"]])
@pytest.mark.parametrize("runs", [1, 2])
def test_a_tick_for_other_wire_than_the_lines_is_another_doing(
    two_wires: Garden, lines: list[str], runs: int
) -> None:
    texts = ["\n".join(["sheet 00142-4", *lines])] if runs == 1 else [f"sheet 00142-4\n{line}\n" for line in lines]
    made = [item for text in texts for item in two_wires.type(text + "\n")]
    if runs == 2 and lines[0].startswith("xw2"):
        assert "as well: did all of it come off?" in made[0]["why"], "what is left on is not known yet"
        made = [*made[1:], *two_wires.type(texts[0])]
    assert [i["fate"] for i in made] == ["write", "write"]
    assert sorted(len(i["entry"].get("branches", ())) for i in made) == [0, 2]
    assert wire_left(two_wires) == []


def test_a_tick_for_wire_of_no_branch_asks_while_other_wire_is_on(two_wires: Garden) -> None:
    (asked,) = two_wires.type("sheet 00142-4\nxw2 14 oct\n")
    assert asked["fate"] == "question" and "wire is on branch 1, 2 as well" in asked["why"]
    assert wire_left(two_wires) == [("1", "2"), ()]
    assert [i["fate"] for i in two_wires.type("sheet 00142-4\nxw 14 oct\n")] == ["write"]
    assert wire_left(two_wires) == [()], "the wire of no branch is still on"


@pytest.mark.parametrize(
    ("line", "entries"),
    [
        ("wire off 3, bite", [["1", "2"], ["3"]]),  # asked: no wire is there
        ("wire off 1, bite", [["1"]]),
        ("wire off, bite", [["1", "2"]]),
    ],
)
def test_a_line_for_other_branches_than_the_job_is_another_doing(
    two_wires: Garden, line: str, entries: list[list[str]]
) -> None:
    items = two_wires.type(f"sheet 00142-4\nxw 14 oct\n1 14 oct {line}\n")
    assert [i["entry"].get("branches", []) for i in items if i["fate"] != "there"] == entries
