"""Lines of a list whose rows are named by tags: which row and trees they mean, and what was done there."""

from __future__ import annotations

from datetime import date
from typing import Any

import pytest

from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.intake.grammar.readings import Reading
from logbook.storage.printed import Ledger, Offered, Sheet

TAGS = ("014", "015", "14", "3", "a1", *(f"{n:03d}" for n in range(21, 31)), "005", "007")
NEIGHBOURS = tuple(f"{n:03d}" for n in range(21, 31))
LINES = {
    **{tag: tag for tag in ("014", "015", "14", "3", "a1", "007")},
    "021-030": "021",
    "east": "014",
    "south-bench": "3",
    "007+rp": "007",
}
ROWS = {"021-030": NEIGHBOURS, "east": ("014", "015", "005"), "south-bench": ("3", "14")}
JOBS = (
    Offered("014", "014", "repotting"),
    Offered("015", "015", "wire off", ("1", "2", "3")),
    Offered("14", "14", "shoot trimming"),
    Offered("3", "3", "intention", own="shorten S2 by half"),
    Offered("a1", "a1", "shoot trimming"),
    Offered("021-030", "021", "shoot trimming"),
    Offered("007", "007", "wiring"),
    Offered("007+rp", "007", "repotting"),
)
SHEET = Sheet("00143-2", date(2026, 10, 1), "walk-a4", 2, "metric", TAGS, LINES, JOBS, rows=ROWS, by_tag=True)
OLD = Sheet(
    "00144-9",
    date(2026, 10, 1),
    "walk-a4",
    1,
    "metric",
    ("014", "015"),
    {"1": "014", "2": "015"},
    (Offered("1", "014", "repotting"),),
)
GRAMMAR = Grammar(
    shipped_knowledge(),
    Ledger({SHEET.serial: SHEET, OLD.serial: OLD}),
    tags=frozenset(tag.casefold() for tag in TAGS),
)


def read(*lines: str, serial: str = "00143-2") -> list[Reading]:
    return read_notes("\n".join((f"sheet {serial}", *lines)) + "\n", GRAMMAR)


def parts(reading: Reading) -> list[dict[str, Any]]:
    return [dict(part) for part in reading.parts]


REPOTTED, LOOKED, TRIMMED = {"work": "repotting"}, {"work": "look-over"}, {"work": "shoot trimming"}


@pytest.mark.parametrize(
    ("line", "ident", "tags", "told"),
    [
        ("014 14 oct done; trunk 38", "014", ("014",), [REPOTTED, {"measured": {"trunk": 38}}]),
        ("014 14 oct", "014", ("014",), [REPOTTED]),
        ("014: 14 oct done", "014", ("014",), [REPOTTED]),
        ("014 14 oct done; looked", "014", ("014",), [REPOTTED, LOOKED]),
        ("014 14 oct looked", "014", ("014",), [LOOKED]),
        ("014 14 oct moss gone", "014", ("014",), [{"note": "moss gone"}]),
        ("015 14 oct done", "015", ("015",), [{"work": "wire off", "branches": ("1", "2", "3")}]),
        ("3 14 oct done", "3", ("3",), [{"did": "shorten S2 by half"}]),
        ("A1 14 oct done", "a1", ("a1",), [TRIMMED]),
        ("14 20 oct done", "14", ("14",), [TRIMMED]),
        ("021-030 14 oct done", "021-030", NEIGHBOURS, [TRIMMED]),
        ("021–030 14 oct", "021-030", NEIGHBOURS, [TRIMMED]),
        ("021-030 14 oct done but not 023 025", "021-030", tuple(t for t in NEIGHBOURS if t not in ("023", "025")), [TRIMMED]),
        ("021-023 14 oct looked", "021-023", NEIGHBOURS[:3], [LOOKED]),
        ("021-023 14 oct done", "021-023", NEIGHBOURS[:3], [TRIMMED]),
        ("023 14 oct done", "023", ("023",), [TRIMMED]),
        ("023 14 oct looked", "023", ("023",), [LOOKED]),
        ("005 14 oct fed", "005", ("005",), [{"work": "feeding"}]),
        ("east 14 oct", "east", ("014", "015", "005"), [LOOKED]),
        ("East 14 oct all looked over", "east", ("014", "015", "005"), [LOOKED]),
        ("east 14 oct done but not 015", "east", ("014", "005"), [LOOKED]),
        ("south bench 14 oct looked", "south-bench", ("3", "14"), [LOOKED]),
        ("007 14 oct done", "007", ("007",), [{"work": "wiring"}]),
        ("007 rp 14 oct done", "007+rp", ("007",), [REPOTTED]),
        ("005 14 oct 3", "005", ("005",), [{"vigour": 3}]),
        ("005 14 apr saw open", "005", ("005",), [{"saw": "open"}]),
        ("005 14 oct count 20", "005", ("005",), [{"count": 20}]),
    ],
)  # fmt: skip
def test_a_line_goes_to_its_row(line: str, ident: str, tags: tuple[str, ...], told: list[dict[str, Any]]) -> None:
    (reading,) = read(line)
    assert not reading.fault and not reading.question, (reading.fault, reading.question)
    assert (reading.line, reading.tags, parts(reading)) == (ident, tags, told)
    assert reading.date is not None


def test_a_day_goes_on_to_the_lines_below() -> None:
    first, second = read("014 14 oct done", "015 done")
    assert first.date == second.date and parts(second)[0]["work"] == "wire off"


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("14 oct done", "is this row 14, or the day '14 oct'"),
        ("3 oct", "is this row 3, or the day '3 oct'"),
        ("016 14 oct done", "has no row '016'"),
        ("021-030 14 oct done but not 035", "035 is not among 021-030"),
        ("west 14 oct looked", "has no row 'west'"),
    ],
)
def test_what_can_not_be_placed_is_asked(line: str, why: str) -> None:
    (reading,) = read(line)
    assert why in reading.fault and not reading.parts


@pytest.mark.parametrize(
    ("line", "why"),
    [
        ("014 14 oct (the box is not ticked)", "a day beside an empty box"),
        ("005 14 oct done", "nothing was asked of 005"),
        ("005 14 oct", "nothing was asked of 005"),
        ("014 14 oct half done", "half of it only"),
        ("014 14 oct done?", "was it done"),
        ("014 ?", "line 014: what stands there"),
        ("014 done ?", "line 014: is its box ticked"),
    ],
)
def test_what_is_in_doubt_is_asked(line: str, why: str) -> None:
    (reading,) = read(line)
    assert why in reading.question


def test_lists_printed_before_keep_their_numbers() -> None:
    first, second = read("1 14 oct done; tips 60", "2 vigour 4", serial=OLD.serial)
    assert first.tags == ("014",) and parts(first) == [REPOTTED, {"measured": {"tips": 60}}]
    assert second.tags == ("015",) and parts(second) == [{"vigour": 4}]
    (other,) = read("014 14 oct done", serial=OLD.serial)
    assert other.tags == ("014",) and other.line == "1" and parts(other) == [REPOTTED], (
        "a tag names its row there too"
    )


def test_nothing_stands_there() -> None:
    (reading,) = read("014 -")
    assert reading.nothing
