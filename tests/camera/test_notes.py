"""Notes out of seen places: as a form makes them, and of what the page for typing saves."""

from __future__ import annotations

import re
from datetime import date

import dukpy
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import on_day
from logbook.collection.model import Collection, Entry, Settings, Tree
from logbook.diagnostics import ProblemsFound
from logbook.intake.page_answers import is_answers, notes_of_answers
from logbook.intake.pdf_form import notes_of
from logbook.intake.sheet_values import sheet_notes
from logbook.intake.typing_script import HANDS, SCRIPT
from logbook.storage.printed import Ledger, Sheet, field_name

DAY = date(2026, 10, 1)

WORDS = st.sampled_from(["14 oct wired 1", "moss gone", "?", "-", "oct 20 fed", "", "a  b", "fed; ?", "sat looked"])
TICKS = st.sampled_from(["x", "?", "", "-"])
RECORD = st.dictionaries(st.sampled_from([f"line{n}" for n in (1, 2, 10)] + ["dayA", "dayC"]), WORDS).flatmap(
    lambda some: st.dictionaries(st.sampled_from(["jobA", "jobrp", "jobrp2", "vigour1", "vigour4"]), TICKS).map(
        lambda more: {**some, **more}
    )
)
LISTED = st.dictionaries(st.sampled_from(["line1", "line2", "line10"]), WORDS).flatmap(
    lambda some: st.dictionaries(st.sampled_from(["job1", "job2", "job3"]), TICKS).flatmap(
        lambda more: st.dictionaries(
            st.sampled_from(["vigour1", "vigour10"]), st.sampled_from(["", "3", "?", "-"])
        ).map(lambda most: {**some, **more, **most})
    )
)
TAGGED = st.dictionaries(
    st.sampled_from(
        [f"{kind}:{tag}" for kind in ("line", "day", "told _ saw open", "told count _") for tag in ("014", "3")]
    ),
    WORDS,
).flatmap(
    lambda some: st.dictionaries(
        st.sampled_from(
            [
                f"{kind}:{tag}"
                for kind in ("job", "say looked", "say 2025 repotted")
                for tag in ("014", "3", "021-060")
            ]
        ),
        TICKS,
    ).flatmap(
        lambda more: st.dictionaries(
            st.sampled_from(["vigour:014", "told but not _:021-060"]), st.sampled_from(["", "3", "?", "-"])
        ).map(lambda most: {**some, **more, **most})
    )
)
DAYS = st.sampled_from(["", "20 oct"])


LEDGER = Ledger(
    {
        "00142-4": Sheet("00142-4", DAY, "pocket-a6", 1, "metric", ("001",), {"1": "001"}),
        "00143-2": Sheet("00143-2", DAY, "walk-a4", 1, "metric", ("001", "002"), {"1": "001", "2": "002"}),
    }
)
TREES = Collection(
    "", Settings(title="t"), (Tree("001", log=(Entry(on_day(DAY), note="x", sources=("00142-4/A", "00142-4/1")),)),)
)


def saved(day: str, sheets: list[dict[str, object]]) -> bytes:
    """What the page's own script saves, run without a browser."""
    said = dukpy.evaljs(SCRIPT + "answersOf(dukpy.day, dukpy.sheets)", day=day, sheets=sheets)
    return str(said).encode()


@given(RECORD, LISTED, DAYS)
def test_python_makes_the_notes_of_what_the_page_saves(
    record: dict[str, str], listed: dict[str, str], day: str
) -> None:
    raw = saved(day, [{"serial": "00142-4", "values": record}, {"serial": "00143-2", "values": listed, "asked": []}])
    assert is_answers(raw)
    made = notes_of_answers(raw, "a.json", LEDGER, TREES)
    wanted = sheet_notes("00142-4", False, record, day, {"A", "1"}) + sheet_notes("00143-2", True, listed, day)
    assert made == wanted


def test_the_page_decides_nothing() -> None:
    assert not re.search(r"RegExp|\.test\(|/\^|oct|vigour|done", SCRIPT + HANDS)


def test_what_was_asked_and_left_empty_says_that_nothing_stands_there() -> None:
    sheet = {"serial": "00142-4", "values": {"line1": " ", "jobC": "?"}, "asked": ["line1"]}
    assert notes_of_answers(saved("", [sheet]), "a.json", LEDGER, TREES) == "sheet 00142-4\n1 -\nC ?\n"


@pytest.mark.parametrize(
    ("raw", "why"),
    [
        (b'{"answers": 1, "sheets": [', "damaged"),
        (b'{"answers": 1, "sheets": [{"serial": "00142-4", "values": {"line1": 7}}]}', "damaged"),
        (b'{"answers": 1, "sheets": [{"serial": "00142-4", "values": {"../x": "7"}}]}', "damaged"),
        (b'{"answers": 2, "sheets": []}', "version 2"),
        (b'{"answers": 1, "sheets": [{"serial": "00999-9", "values": {}}]}', "no sheet has the serial 00999-9"),
    ],
)
def test_answers_that_can_not_be_used_are_told(raw: bytes, why: str) -> None:
    assert is_answers(raw)
    with pytest.raises(ProblemsFound, match=why):
        notes_of_answers(raw, "a.json", LEDGER, TREES)


@given(TAGGED, DAYS)
def test_python_makes_the_notes_of_a_list_named_by_tags(values: dict[str, str], day: str) -> None:
    made = notes_of_answers(saved(day, [{"serial": "00143-2", "values": values}]), "a.json", LEDGER, TREES)
    assert made == sheet_notes("00143-2", True, values, day)


def test_a_list_named_by_tags_says_what_was_done_where() -> None:
    values = {
        "told _ saw open:009": "12 apr",
        "job:014": "x",
        "day:014": "14 oct",
        "line:014": "trunk 38",
        "say looked:east": "x",
        "vigour:006": "3",
        "job:021-060": "x",
        "told but not _:021-060": "033 041",
        "say 2025 repotted:008": "x",
        "say wire off:008": "x",
        "told count _:070": "20",
        "job:002": "?",
        "day:003": "15 oct",
    }
    assert sheet_notes("00142-4", True, values, "16 oct") == (
        "sheet 00142-4\n002 done ?\n009 12 apr saw open\n014 14 oct trunk 38; done\neast 16 oct looked\n006 16 oct vigour 3\n"
        "021-060 16 oct done but not 033 041\n008 16 oct wire off\n008 2025 repotted\n070 16 oct count 20\n"
        "003 15 oct (the box is not ticked)\n"
    )
    assert sheet_notes("00142-4", True, {"say looked:014": "?"}) == "sheet 00142-4\n014 ?\n"
    assert sheet_notes("00142-4", True, {"line:014": "moss gone"}) == "sheet 00142-4\n014 moss gone\n"


@given(RECORD.map(lambda v: {k: t for k, t in v.items() if "?" not in t and t != "-"}))
def test_what_is_known_makes_the_notes_of_a_form(values: dict[str, str]) -> None:
    fields = {}
    for name, value in values.items():
        kind = name.rstrip("0123456789AC")
        fields[field_name("00142-4", kind, name[len(kind) :])] = value
    assert sheet_notes("00142-4", False, values) == notes_of(fields)


def test_a_list_says_what_was_done_where() -> None:
    values = {
        "line1": "14 oct wired 1",
        "job1": "x",
        "job2": "x",
        "vigour2": "4",
        "line3": "?",
        "job3": "x",
        "job4": "?",
    }
    assert sheet_notes("00142-4", True, values) == (
        "sheet 00142-4\n2 done; vigour 4\n4 done ?\n1 14 oct wired 1; done\n3 ?; done\n"
    ), "a tick beside words that nobody typed yet is not forgotten"
    assert "2 20 oct done; vigour 4\n" in sheet_notes("00142-4", True, values, "20 oct")
    undated = sheet_notes("00142-4", True, {"line3": "fed", "job3": "x"}, "2 dec")
    assert undated == "sheet 00142-4\n3 2 dec fed; done\n", "a tick never takes the day of another line"
    assert sheet_notes("00142-4", True, {"job2": "x"}, "2 dec", {"2"}) == "sheet 00142-4\n2 done\n"
    assert sheet_notes("00142-4", True, {"line2": "-", "job3": "-"}) == "sheet 00142-4\n2 -\n3 -\n"


def test_a_box_with_a_day_that_was_not_typed_waits() -> None:
    assert sheet_notes("00142-4", False, {"jobA": "x", "dayA": "?"}) == "sheet 00142-4\nA ?\n"
    assert sheet_notes("00142-4", False, {"jobA": "?"}, "20 oct") == "sheet 00142-4\nA ?\n"
    assert sheet_notes("00142-4", False, {"vigour2": "x", "vigour3": "?"}) == "sheet 00142-4\nV ?\n"
    assert sheet_notes("00142-4", False, {"vigour2": "x"}, "20 oct") == "sheet 00142-4\nV 20 oct 2\n"
    assert sheet_notes("00142-4", False, {}) == ""
