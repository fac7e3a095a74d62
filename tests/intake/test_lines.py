"""The notes grammar: what a line means, and what stays a remark."""

from __future__ import annotations

from datetime import date

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.fields import ENTRY
from logbook.collection.units import METRIC, US
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.details import Fields
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import Reading, read_notes
from logbook.intake.grammar.tokens import dated_not_after, leading_date
from logbook.storage.printed import Ledger, Offered, Sheet

SHEET = Sheet(
    "00142-4",
    date(2026, 10, 1),
    "pocket-a6",
    1,
    "metric",
    ("014",),
    {str(n): "014" for n in range(1, 14)},
    (
        Offered("A", "014", "repotting"),
        Offered("C", "014", "wire off", ("1", "2")),
        Offered("D", "014", "intention", own="shorten S2"),
    ),
)
WALK = Sheet(
    "00143-1",
    date(2026, 10, 1),
    "walk-a4",
    1,
    "metric",
    ("014", "015"),
    {"1": "014", "2": "015"},
    (Offered("1", "014", "repotting"), Offered("2", "015", "look-over")),
)
GRAMMAR = Grammar(shipped_knowledge(), Ledger({s.serial: s for s in (SHEET, WALK)}))


def read(body: str, header: str = "tree 014", grammar: Grammar = GRAMMAR) -> list[Reading]:
    return read_notes(f"{header}\n{body}\n", grammar)


def parts(body: str, header: str = "tree 014", grammar: Grammar = GRAMMAR) -> list[dict[str, object]]:
    (one,) = read(body, header, grammar)
    assert not one.fault and not one.question, one
    return [written(p) for p in one.parts]


def written(part: Fields) -> dict[str, object]:
    """What was read as a file would hold it, in mm."""
    return dict(ENTRY.entries(part, METRIC))


@pytest.mark.parametrize(
    ("typed", "meant"),
    [
        ("wired 1 2 copper 2.5", [{"work": "wiring", "branches": ["1", "2"], "metal": "copper", "wire": 2.5}]),
        (
            "wired 1, 2, S1 alu 2.5 keep",
            [{"work": "wiring", "branches": ["1", "2", "S1"], "metal": "aluminium", "wire": 2.5, "keep": True}],
        ),
        ("wired 10ga", [{"work": "wiring", "wire": 2.588}]),
        ("wired 3 2.5mm", [{"work": "wiring", "branches": ["3"], "wire": 2.5}]),
        ("Wire off", [{"work": "wire off"}]),
        ("wire off 1 bite starting", [{"work": "wire off", "branches": ["1"], "bite": "starting"}]),
        ("repotted light roots 90 min", [{"work": "repotting", "roots": "light", "minutes": 90}]),
        (
            "repotted roots hard mix 2 pumice 1 lava",
            [{"work": "repotting", "roots": "hard", "mix": {"pumice": 2, "lava": 1}}],
        ),
        (
            "repotted pot oval 310x240x60 mix 2 pumice 1 lava",
            [
                {
                    "work": "repotting",
                    "pot": {"shape": "oval", "inner": [310, 240, 60]},
                    "mix": {"pumice": 2, "lava": 1},
                }
            ],
        ),
        ("fed 5-5-5", [{"work": "feeding", "feed": "5-5-5"}]),
        ("candles off; needles thinned", [{"work": "candle removal"}, {"work": "needle thinning"}]),
        ("needle thinning done", [{"work": "needle thinning"}]),
        ("pruned hard", [{"work": "structural pruning", "force": "heavy"}]),
        ("trunk 38.5 tips 64 vigour 4", [{"measured": {"trunk": 38.5, "tips": 64}, "vigour": 4}]),
        ("trunk 38,5 height 41cm", [{"measured": {"trunk": 38.5, "height": 410}}]),
        ("leaf 1 1/2in", [{"measured": {"leaf": 38.1}}]),
        ("vigor 4", [{"vigour": 4}]),
        ("saw flower over", [{"saw": "flower over"}]),
        ("stage refinement", [{"stage": "refinement"}]),
        ("rest", [{"rest": "begins"}]),
        ("rest over", [{"rest": "ends"}]),
        ("trouble roots", [{"trouble": "roots"}]),
        ("intend remove S1 by autumn 2028", [{"intend": {"what": "remove S1", "by": "2028-23"}}]),
        ("intend more light", [{"intend": "more light"}]),
        ("weighed wet 5.2 dry 4.1", [{"weighed": {"wet": 5.2, "dry": 4.1}}]),
        ("note wired look, but no wire", [{"note": "wired look, but no wire"}]),
        ("moss gone yellow on the north side", [{"note": "moss gone yellow on the north side"}]),
        ("wired 1; moss yellow", [{"work": "wiring", "branches": ["1"]}, {"note": "moss yellow"}]),
        ("moss yellow; bark loose", [{"note": "moss yellow; bark loose"}]),
        ("#2 is text", [{"note": "#2 is text"}]),
        ("trunk looks thicker", [{"note": "trunk looks thicker"}]),
        ("３８ leaves fell", [{"note": "３８ leaves fell"}]),
        ("wired copper 2.5 on 1 and 2", [{"work": "wiring", "branches": ["1", "2"], "metal": "copper", "wire": 2.5}]),
        ("wired 1 copper 3 2", [{"work": "wiring", "branches": ["1"], "metal": "copper", "wire": [3, 2]}]),
        ("repotted pot oval 31x24x6cm", [{"work": "repotting", "pot": {"shape": "oval", "inner": [310, 240, 60]}}]),
        ("tru 38.5 tip 64 vig 4", [{"measured": {"trunk": 38.5, "tips": 64}, "vigour": 4}]),
        ("wire check 3 bite none", [{"work": "wire check", "branches": ["3"], "bite": "none"}]),
        ("rep light roots", [{"note": "rep light roots"}]),
        ("wired S1 zzz", [{"work": "wiring", "branches": ["S1"], "note": "zzz"}]),
        ("wired main branch", [{"work": "wiring", "note": "wired main branch"}]),
        ("wired whole tree", [{"work": "wiring", "note": "whole tree"}]),
        ("pulled old needles", [{"work": "needle thinning"}]),
        ("cut back long shoots", [{"work": "shoot trimming", "note": "cut back long shoots"}]),
        ("pruned lower left branches", [{"work": "structural pruning", "note": "pruned lower left branches"}]),
        (
            "cleaned trunk and removed dead leaves",
            [{"work": "cleaning", "note": "cleaned trunk and removed dead leaves"}],
        ),
        ("pruned top lightly", [{"work": "structural pruning", "force": "light", "note": "top"}]),
        ("repotted, roots fine on the left", [{"work": "repotting", "note": "roots fine on the left"}]),
        ("trunk 38.5 wide", [{"measured": {"trunk": 38.5}, "note": "wide"}]),
        ("saw blossom", [{"saw": "flower"}]),
        ("trouble mites", [{"trouble": "pests", "note": "trouble mites"}]),
        ("saw lea fal", [{"saw": "leaf fall"}]),
        ("sta ref", [{"stage": "refinement"}]),
        ("tro pes", [{"trouble": "pests"}]),
        ("int more light", [{"intend": "more light"}]),
        ("wei dry 4.1", [{"weighed": {"dry": 4.1}}]),
        ("not wired", [{"note": "not wired"}]),
        ("need 2 trays", [{"note": "need 2 trays"}]),
        ("ｗｉｒｅｄ １ ２", [{"work": "wiring", "branches": ["1", "2"]}]),
    ],
)
def test_what_a_line_means(typed: str, meant: list[dict[str, object]]) -> None:
    assert parts(f"14 oct {typed}") == meant


@pytest.mark.parametrize(
    "typed",
    [
        "needl thin",
        "repotted into what?",
        "vigour 9",
        "stage nowhere",
        "wire off no branches",
        "mix 2 x",
        "trouble nowhere",
    ],
)
def test_a_known_beginning_that_does_not_parse_is_asked(typed: str) -> None:
    (one,) = read(f"14 oct {typed}")
    if typed.startswith("mix"):
        assert one.parts == ({"note": typed},)
        return
    assert one.question and written(one.parts[0]) == {"note": typed}


def test_us_sheets_are_inches() -> None:
    assert parts("14 oct trunk 1.5", grammar=Grammar(GRAMMAR.knowledge, GRAMMAR.ledger, "month-day", US)) == [
        {"measured": {"trunk": 38.1}}
    ]
    assert parts("14 oct trunk 38mm", grammar=Grammar(GRAMMAR.knowledge, GRAMMAR.ledger, "month-day", US)) == [
        {"measured": {"trunk": 38.0}}
    ]


@pytest.mark.parametrize(
    ("typed", "day", "month", "year"),
    [
        ("14 oct x", 14, 10, 0),
        ("oct 14 x", 14, 10, 0),
        ("14. October x", 14, 10, 0),
        ("14/10 x", 14, 10, 0),
        ("14.10. x", 14, 10, 0),
        ("20 nov 2026 x", 20, 11, 2026),
        ("2026-11-20 x", 20, 11, 2026),
        ("3/4 x", 3, 4, 0),
        ("sept 3", 3, 9, 0),
    ],
)
def test_days_as_typed(typed: str, day: int, month: int, year: int) -> None:
    read = leading_date(typed, "day-month")
    assert read and (read.day, read.month, read.year) == (day, month, year)
    assert read.rest in ("x", "")


def test_order_of_day_and_month() -> None:
    read = leading_date("3/4 x", "month-day")
    assert read and (read.day, read.month) == (4, 3)
    assert leading_date("3 needles fell", "day-month") is None
    assert leading_date("may be dry", "day-month") is None
    for said in ("not wired", "in the shade", "well watered", "need water"):
        dated = leading_date(f"14 oct {said}", "day-month")
        assert dated and (dated.day, dated.month, dated.rest) == (14, 10, said)


@given(st.dates(date(2023, 1, 1), date(2026, 12, 31)), st.integers(0, 360))
def test_the_year_is_the_latest_not_after_the_typing_day(day: date, later: int) -> None:
    from datetime import timedelta

    today = day + timedelta(days=later)
    read = leading_date(f"{day.day} {day:%b}", "day-month")
    assert read and dated_not_after(read, today) == day


def test_a_line_without_a_day_takes_the_one_above() -> None:
    lines = read("14 oct wired 1\ntips 60\n15 oct looked\nvigour 4")
    assert [(r.date.day if r.date else None) for r in lines] == [14, 14, 15, 15]


def test_sheet_lines_jobs_and_scores() -> None:
    lines = read("1 14 oct wired 1\nA 20 oct roots light\nC\nD\nV 3", "sheet 00142-4 014")
    assert [r.line for r in lines] == ["1", "A", "C", "D", "V"]
    assert [written(r.parts[0]) for r in lines] == [
        {"work": "wiring", "branches": ["1"]},
        {"work": "repotting", "roots": "light"},
        {"work": "wire off", "branches": ["1", "2"]},
        {"did": "shorten S2"},
        {"vigour": 3},
    ]
    assert all(r.tags == ("014",) for r in lines)


def test_walk_list_lines_go_to_their_trees() -> None:
    lines = read("1 14 oct done; tips 60\n2 vigour 4", "sheet 00143-1")
    assert [r.tags for r in lines] == [("014",), ("015",)]
    assert [written(p) for p in lines[0].parts] == [{"work": "repotting"}, {"measured": {"tips": 60}}]


def test_the_tag_will_do_when_one_sheet_of_it_is_out() -> None:
    (one,) = read("1 14 oct looked", "sheet 014")
    assert one.sheet == SHEET


def test_trees_each_get_the_line() -> None:
    (one,) = read("14 oct wired 1", "trees 014, 015 022")
    assert one.tags == ("014", "015", "022")


@given(st.text(st.characters(exclude_categories=["Cs"]), max_size=80))
def test_no_line_is_ever_lost_or_crashes(text: str) -> None:
    readings = read_notes("tree 014\n" + text, GRAMMAR)
    said = list(("tree 014\n" + text).splitlines())
    for reading in readings:
        assert reading.text == said[reading.number - 1].strip()
        assert reading.fault or reading.parts or reading.unread


@given(st.text("abc dgéf欅", min_size=1, max_size=40).map(str.strip).filter(bool))
def test_a_remark_is_kept_as_typed(remark: str) -> None:
    (one,) = read(f"14 oct xx {remark}")
    assert one.parts[0]["note"] == " ".join(f"xx {remark}".split())


@pytest.mark.parametrize("typed", ["wired copper 2.5 1 2", "repotted pot oval 9m", "weighed wet 4 dry 5"])
def test_what_may_mean_two_things_is_asked(typed: str) -> None:
    (one,) = read(f"14 oct {typed}")
    assert one.question


@pytest.mark.parametrize(
    "typed",
    [
        "14 okt wired 1 2",
        "14. mai looked",
        "14-16 oct looked",
        "2026-12 looked",
        "20261214 looked",
        "1-2 fed",
    ],
)
def test_a_day_that_is_none_never_takes_the_day_above(typed: str) -> None:
    first, second, third = read(f"3 sep looked\n{typed}\nmoss yellow")
    assert not first.question and second.question and "day" in second.question
    assert third.date is None, "nor does the line below it"


def test_a_bare_wire_size_in_us_units_is_asked() -> None:
    us = Grammar(shipped_knowledge(), Ledger(), units=US)
    assert read("14 oct wired 1 copper 10", grammar=us)[0].question
    assert parts("14 oct wired 1 copper 10ga", grammar=us)[0]["wire"] == 2.588


def test_two_vigour_boxes_are_asked() -> None:
    first, second = read("1 14 oct looked\nV 3 or 4", header="sheet 00142-4")
    assert not first.question and "which is it" in second.question
