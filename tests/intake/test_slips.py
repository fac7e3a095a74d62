"""Slips of the typing hand that once lost, doubled or misread something."""

from __future__ import annotations

import json
from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.storage.printed import Ledger

from ..conftest import Answer, snapshot
from .test_lines import GRAMMAR, parts, read, written
from .test_plan import Garden

Bench = Callable[..., Answer]


@pytest.fixture
def garden(tmp_path: Path, bench: Bench) -> Garden:
    return Garden(tmp_path, bench)


def test_a_part_added_to_a_line_does_not_double_the_rest(garden: Garden) -> None:
    garden.type("sheet 00142-4\n1 14 oct pinched\n")
    fates = garden.fates("sheet 00142-4\n1 14 oct pinched; trunk 38\n")
    assert [f for f, _ in fates] == ["there", "write"]
    assert garden.tree().count("pinching") == 1


def test_what_a_written_sibling_leaves_unwritten_waits(garden: Garden) -> None:
    garden.type("tree 001\n14 oct pinched; wire off 9\n")
    garden.type("trees 001 999\n15 oct looked\n")
    waiting = garden.bench("waiting", folder=garden.folder).out
    assert "wire off 9" in waiting and "999" in waiting


def test_waiting_lines_keep_the_day_they_took_from_above(garden: Garden) -> None:
    garden.type("tree 001\n12 oct looked\nwire off 8\n14 oct cleaned\nwire off 9\n")
    text = (garden.folder / "notes" / "waiting.txt").read_text("utf-8")
    assert "12 oct wire off 8" in text and "14 oct wire off 9" in text


def test_lines_without_a_header_stay_without_one(garden: Garden) -> None:
    garden.type("tree 001\n14 oct wire off 8\n")
    garden.type("14 oct pinched\n")
    before = snapshot(garden.folder / "trees")
    (garden.folder.parent / "again.txt").write_text(
        (garden.folder / "notes" / "waiting.txt").read_text("utf-8"), encoding="utf-8"
    )
    garden.bench(
        "reconcile", garden.folder.parent / "again.txt", "--yes", "--today", "2026-11-20", folder=garden.folder
    )
    assert snapshot(garden.folder / "trees") == before


def test_dismissing(garden: Garden) -> None:
    garden.type("tree 001\n14 oct wire off 8\n15 oct wire off 9\n")
    assert garden.bench("waiting", "--dismiss", "1", "--today", "2026-11-20", folder=garden.folder).code == 3
    left = garden.bench("waiting", folder=garden.folder).out
    assert "wire off 9" in left and "wire off 8" not in left
    assert garden.bench("waiting", "--dismiss", "7", "--today", "2026-11-20", folder=garden.folder).code == 1


@pytest.mark.parametrize(
    "typed",
    [
        "14 oct: wired 1",
        "14 oct, wired 1",
        "14/10/26 wired 1",
        "14th oct wired 1",
        "sat 14 oct wired 1",
        "14-10-2026 wired 1",
        "2026/10/14 wired 1",
        "Wednesday, October 14 wired 1",
        "14 oct; wired 1",
    ],
)
def test_days_in_other_spellings(typed: str) -> None:
    (one,) = read(typed)
    assert one.date and (one.date.day, one.date.month) == (14, 10)
    assert [written(p) for p in one.parts] == [{"work": "wiring", "branches": ["1"]}]


@pytest.mark.parametrize("typed", ["3.5 cm candles left", "1/2 of needles fallen", "2 may be dead", "2½ cm thick"])
def test_numbers_that_are_no_days(typed: str) -> None:
    lines = read(f"14 oct looked\n{typed}")
    assert lines[1].date and lines[1].date.month == 10
    assert dict(lines[1].parts[0]) == {"note": typed}


def test_a_day_that_was_not_read_is_asked() -> None:
    assert "looks like a day" in read("14 oct looked\n14.13.26.1 wired 1")[1].question
    impossible = read("14 oct looked\n99/99/99 wired 1")[1].date
    assert impossible is not None and "is not a day of the calendar" in impossible.bad


def test_wire_sizes() -> None:
    assert parts("14 oct wired 1 copper 2,5") == [
        {"work": "wiring", "branches": ["1"], "metal": "copper", "wire": 2.5}
    ]
    assert parts("14 oct wired 3 2,5mm") == [{"work": "wiring", "branches": ["3"], "wire": 2.5}]
    assert parts("14 oct wired copper 2.5 branches 1 2") == [
        {"work": "wiring", "branches": ["1", "2"], "metal": "copper", "wire": 2.5}
    ]
    assert parts("14 oct wired copper 2.5, 1.6") == [{"work": "wiring", "metal": "copper", "wire": [2.5, 1.6]}]


def test_minutes_are_no_soil() -> None:
    assert parts("14 oct repotted mix 2 pumice 1 lava 90 min") == [
        {"work": "repotting", "mix": {"pumice": 2, "lava": 1}, "minutes": 90}
    ]


def test_a_forgotten_line_number_is_asked() -> None:
    (one,) = read("4 oct moss gone", "sheet 00142-4")
    assert "is this line 4" in one.fault


def test_unknown_headers_and_foreign_question_marks_are_told() -> None:
    grammar = Grammar(shipped_knowledge(), Ledger(), tags=frozenset({"001"}))
    readings = read_notes("tree 001\n14 oct moss bad\ntree weak\n? scale insect maybe\n", grammar)
    assert [bool(r.fault) for r in readings] == [False, True, False]
    assert readings[2].tags == ("weak",), "and what stands under it goes to no other tree"
    assert readings[2].text == "? scale insect maybe"


def test_facts_part_by_themselves() -> None:
    assert parts("14 oct vigour 3 stage ramification") == [{"vigour": 3}, {"stage": "ramification"}]
    assert parts("14 oct needles thinned trunk 38.5") == [{"work": "needle thinning"}, {"measured": {"trunk": 38.5}}]
    assert parts("14 oct V 3; stage ramification") == [{"vigour": 3}, {"stage": "ramification"}]


@pytest.mark.parametrize("typed", ["wierd branch 2 copper 3", "repoted roots light", "neddles thinned"])
def test_misspelt_work_is_asked(typed: str) -> None:
    (one,) = read(f"14 oct {typed}")
    assert "did you mean" in one.question
    assert not read("14 oct roots fine and white")[0].question


def test_done_with_details() -> None:
    assert [dict(p) for p in read("1 14 oct done vigour 4", "sheet 00143-1")[0].parts] == [
        {"work": "repotting", "vigour": 4}
    ]
    assert [dict(p) for p in read("1 14 oct done, roots light", "sheet 00143-1")[0].parts] == [
        {"work": "repotting", "roots": "light"}
    ]
    assert [dict(p) for p in read("1 14 oct done.", "sheet 00143-1")[0].parts] == [{"work": "repotting"}]
    assert read("1 14 oct done what was it", "sheet 00143-1")[0].question
    assert [dict(p) for p in read("A 14 oct done", "sheet 00142-4")[0].parts] == [{"work": "repotting"}]


def test_serials_without_the_hyphen() -> None:
    assert read_notes("sheet 001424\n1 14 oct looked\n", GRAMMAR)[0].sheet is not None


@pytest.mark.parametrize(
    "text", ['{"runs": 5}', '{"runs": [5]}', '{"runs": [[{"fate":"write"}]]}', "[" * 100_000, "{"]
)
def test_damaged_records_are_told_and_left_alone(garden: Garden, text: str) -> None:
    garden.type("tree 001\n14 oct looked\n")
    (record,) = (garden.folder / "notes").glob("*.json")
    record.write_text(text, encoding="utf-8")
    answer = garden.type("tree 001\n14 oct looked\n")
    assert answer.code == 0 and "damaged" in answer.err
    assert record.read_text("utf-8") == text
    (garden.folder / "printed" / "b.json").write_text(text, encoding="utf-8")
    told = garden.type("sheet 77777-7\n1 14 oct looked\n")
    assert "this record of printed sheets is damaged" in told.err and told.code in (1, 3)


def test_wrong_season_sightings_teach_nothing(demo: Path, bench: Bench) -> None:
    before = json.loads(bench("season", "--today", "2026-11-25", "--json", folder=demo).out)
    tree = demo / "trees" / "003.yaml"
    tree.write_text(tree.read_text("utf-8") + "  - {date: 2026-11-14, saw: swell}\n", encoding="utf-8")
    after = json.loads(bench("season", "--today", "2026-11-25", "--json", folder=demo).out)
    told = after.pop("teach_nothing")
    assert before.pop("teach_nothing") == [] and len(told) == 1 and "003 saw swell" in told[0], "but it is told"
    assert after == before


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("weighed wet 5.2 d3y 4.1", {"weighed": {"wet": 5.2, "dry": 4.1}}),
        ("trimmed 40 m7n", {"work": "shoot trimming", "minutes": 40}),
        ("bent 2 heav5", {"work": "bending", "branches": ("2",), "force": "heavy"}),
        ("wired S1 al6 3", {"work": "wiring", "branches": ("S1",), "metal": "aluminium", "wire": (3.0,)}),
        ("repotted mix 2 9umice 1 lava", {"work": "repotting", "mix": {"pumice": 2.0, "lava": 1.0}}),
    ],
)
def test_a_figure_among_letters_is_asked_and_names_the_word(typed: str, meant: dict[str, object]) -> None:
    reading = read(f"14 oct {typed}")[0]
    assert reading.question and reading.meant is not None
    told = {key: value for key, value in reading.meant.items() if key != "note"}
    assert {k: tuple(v) if isinstance(v, list) else v for k, v in told.items()} == meant


@pytest.mark.parametrize(
    "typed",
    [
        "14 oct weighed wet 5..2 dry 4.1",
        "14 oct weighed wet 5.q dry 4.1",
        "14 oct weighed wet 52. dry 4.1",
        "14 oct weighed wet5 .2 dry 4.1",
        "14 oct weighed wet 5.2dry 4.1",
        "14 oct wired 1 copper 2.r",
        "14 oct trunk 38..5",
        "14 oct repotted mix 2 pumice 1lava",
        "1 4oct needles thinned",
    ],
)
def test_numbers_and_days_that_came_apart_are_asked(typed: str) -> None:
    (reading,) = read(typed)
    assert reading.question


@pytest.mark.parametrize(
    ("typed", "told"),
    [
        ("repotted, 2nd time since 2020", {"work": "repotting"}),
        ("wired S1 1a alu 3", {"work": "wiring"}),
        ("repotted mix 2 akadama 1 pumice, topped with sphagnum", {"work": "repotting"}),
        ("trunk 38.5cm", {"measured": {"trunk": 385.0}}),
        ("weighed wet 5.2kg dry 4.1kg", {"weighed": {"wet": 5.2, "dry": 4.1}}),
        ("moved from east 2 to west 1", {"bench": "west 1"}),
    ],
)
def test_figures_that_belong_are_not_asked(typed: str, told: dict[str, object]) -> None:
    reading = read(f"14 oct {typed}")[0]
    assert not reading.question and told.items() <= dict(reading.parts[0]).items()


def test_implausible_weights_and_hours_are_asked(garden: Garden) -> None:
    fates = garden.fates("tree 001\n14 oct weighed wet 52 dry 4.1\n14 oct trimmed 440 min\n14 oct pinched 40 min\n")
    assert [fate for fate, _ in fates] == ["question", "question", "write"]


def test_zeros_in_front_of_a_number_may_be_left_out_where_no_slip_can_make_it_of_another() -> None:
    few = replace(GRAMMAR, tags=frozenset(("003", "014", "020")))
    assert read("14 oct looked", "tree 14", few)[0].tags == ("014",)
    assert [tag for r in read("14 oct looked", "trees 3 14", few) for tag in r.tags] == ["003", "014"]
    many = replace(GRAMMAR, tags=frozenset(("003", "014", "114")))
    for header, grammar in (("tree 14", many), ("tree 01", few)):  # 114 with a figure left out looks like 14
        told = read("14 oct looked", header, grammar)
        assert told and not {"001", "014", "114"} & {tag for r in told for tag in r.tags}


def test_a_line_that_begins_with_another_trees_name_is_asked() -> None:
    named = replace(GRAMMAR, names={"threshold beech": "006", "slow water": "004", "moss": "007"})
    (other,) = read("14 oct Threshold beech repotted", "tree 004", named)
    assert "is the name of tree 006" in other.question and set(other.parts[0]) == {"note"}
    for own in ("14 oct Slow Water repotted", "14 oct moss gone yellow", "14 oct repotted beside threshold beech"):
        assert "is the name of" not in read(own, "tree 004", named)[0].question


def test_a_second_day_behind_a_comma_is_asked() -> None:
    (reading,) = read("21.4. looked, 22.4. wired 1 2 mm")
    assert "two days stand on this line" in reading.question
    assert not read("21.4. trunk 38.5, height 22.4")[0].question
