"""Serials against ISO 7064 MOD 11,10 (oracle: python-stdnum, and the standard's own recursion written out here)."""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from stdnum.iso7064 import mod_11_10

from logbook.collection.fields import SOURCE_FORM
from logbook.diagnostics import ProblemsFound
from logbook.storage.printed import (
    LETTERS,
    Ledger,
    Offered,
    Sheet,
    Spot,
    check_digit,
    draw_serials,
    is_serial,
    load_ledger,
    run_text,
    serial_in,
    serial_typed,
)
from logbook.storage.printed_text import read_run

five = st.integers(0, 99_999).map(lambda n: f"{n:05d}")


@given(five)
def test_check_digit(number: str) -> None:
    """ISO/IEC 7064:2003, hybrid system MOD 11,10, by its recursion (from memory): P = ((P+a) mod 10 or 10)·2 mod 11."""
    product = 10
    for digit in number:
        product = ((product + int(digit)) % 10 or 10) * 2 % 11
    assert check_digit(number) == str((11 - product) % 10)
    assert mod_11_10.is_valid(number + check_digit(number))


@given(five, st.integers(0, 4), st.integers(1, 9))
def test_every_single_slip_is_caught(number: str, place: int, shift: int) -> None:
    wrong = number[:place] + str((int(number[place]) + shift) % 10) + number[place + 1 :]
    assert not is_serial(f"{wrong}-{check_digit(number)}")
    assert is_serial(f"{number}-{check_digit(number)}")


def test_letters_leave_out_what_reads_as_a_digit() -> None:
    assert not set("BIOSZV") & set(LETTERS)


def sheet(serial: str, tag: str = "001") -> Sheet:
    return Sheet(serial, date(2026, 1, 1), "pocket-a6", 1, "metric", (tag,), {"1": tag})


def test_draws_are_free_and_repeat_by_their_seed_alone() -> None:
    first = draw_serials(500, Ledger(), seed=1)
    assert len(set(first)) == 500 and all(map(is_serial, first))
    assert first == draw_serials(500, Ledger(), seed=1)
    assert first != draw_serials(500, Ledger(), seed=2)
    used = Ledger({s: sheet(s) for s in first})
    assert not set(draw_serials(500, used, seed=1)) & set(first)


def test_two_copies_of_a_folder_do_not_draw_alike() -> None:
    """Without a seed the system's randomness draws: 20 serials of 100,000 are alike once in 10^100."""
    assert draw_serials(20, Ledger()) != draw_serials(20, Ledger())


def all_of(digits: int, count: int) -> frozenset[str]:
    return frozenset(f"{n:0{digits}d}-0" for n in range(count))


def test_six_digits_once_half_of_five_are_used() -> None:
    """So a draw ends soon: more than half of what may be drawn is free. Past both there is an error, not a search."""
    assert all(len(s) == 7 for s in draw_serials(3, Ledger(doubled=all_of(5, 49_997)), seed=1))
    longer = draw_serials(3, Ledger(doubled=all_of(5, 50_000)), seed=1)
    assert all(len(s) == 8 and is_serial(s) for s in longer)
    with pytest.raises(ProblemsFound, match="not enough free serials"):
        draw_serials(1, Ledger(doubled=all_of(5, 50_000) | all_of(6, 500_000)), seed=1)


def test_long_serials_are_read_wherever_short_ones_are() -> None:
    (serial,) = draw_serials(1, Ledger(doubled=all_of(5, 50_000)), seed=3)
    assert serial_in(f"HTTPS://X.ORG/#{serial}/2") == (serial, 2)
    assert serial_typed(serial.replace("-", "")) == serial and serial_typed("001424") == "00142-4"
    assert re.fullmatch(SOURCE_FORM, f"{serial}/12.2") and not re.fullmatch(SOURCE_FORM, f"1{serial}/12")


def test_round_trip_and_doubles(tmp_path: Path) -> None:
    folder = tmp_path / "printed"
    folder.mkdir()
    (folder / "a.json").write_text(run_text([sheet("00142-4"), sheet("00143-1")]), encoding="utf-8")
    ledger = load_ledger(tmp_path)
    assert ledger.sheets["00142-4"] == sheet("00142-4")
    (folder / "b.json").write_text(run_text([sheet("00142-4", "002")]), encoding="utf-8")
    (folder / "c.json").write_text("{not json", encoding="utf-8")
    ledger = load_ledger(tmp_path)
    assert ledger.doubled == {"00142-4"} and "00142-4" not in ledger.sheets
    assert "00143-1" in ledger.sheets
    assert len(ledger.problems) == 1


# -- the second format ---------------------------------------------------------------------------------------------

names = st.text(st.characters(exclude_categories=["Cs", "Cc"]), min_size=1, max_size=12)
mm = st.integers(0, 300_000).map(lambda n: n / 1000)
spots_drawn = st.lists(
    st.builds(
        Spot,
        kind=st.sampled_from(["line", "job", "day", "vigour", "say", "told", "square", "code"]),
        id=names | st.just(""),
        tag=names | st.just(""),
        page=st.integers(1, 9),
        x=mm,
        y=mm,
        width=mm,
        height=mm,
    ),
    max_size=12,
)
drawn = st.builds(
    Sheet,
    serial=five.map(lambda n: f"{n}-{check_digit(n)}"),
    day=st.dates(date(2020, 1, 1), date(2060, 1, 1)),
    layout=names,
    version=st.integers(1, 99),
    units=st.sampled_from(["metric", "us"]),
    tags=st.lists(names.filter(lambda name: "/" not in name), min_size=1, max_size=4, unique=True).map(tuple),
    lines=st.dictionaries(names, names, min_size=1, max_size=5),
    jobs=st.lists(
        st.builds(
            Offered,
            letter=names,
            tag=names,
            work=names,
            branches=st.lists(names, max_size=3).map(tuple),
            opens=st.sampled_from(["", "2027-03-01"]),
            closes=st.sampled_from(["", "2027-04-01"]),
            own=names | st.just(""),
        ),
        max_size=4,
    ).map(tuple),
    spots=spots_drawn.map(tuple),
    files=st.dictionaries(names, names, max_size=3),
    fronts=st.dictionaries(names, names, max_size=3),
    asks=st.lists(names, max_size=2).map(tuple),
    rows=st.dictionaries(names, st.lists(names, min_size=2, max_size=3).map(tuple), max_size=2),
    by_tag=st.booleans(),
)


@given(st.lists(drawn, min_size=1, max_size=3))
def test_what_is_written_is_read(sheets: list[Sheet]) -> None:
    found, spare = read_run(run_text(sheets))
    assert found == sheets and not spare
    assert [tuple(sheet.spots) for sheet in found] == [tuple(sheet.spots) for sheet in sheets]


@given(drawn, st.data())
def test_a_record_that_was_changed_is_not_believed(one: Sheet, data: st.DataObject) -> None:
    """A character put in another's place: the record is refused, or says the same."""
    text = run_text([one])
    at = data.draw(st.integers(0, len(text) - 2))
    other = text[:at] + data.draw(st.sampled_from("0159az[]{}, \n")) + text[at + 1 :]
    try:
        found, _ = read_run(other)
    except (ValueError, KeyError, TypeError, AttributeError, IndexError):
        return
    assert found == [one] or '"format": ' not in other


def test_line_ends_and_spaces_do_not_count() -> None:
    text = run_text([sheet("00142-4")])
    assert read_run(text.replace("\n", "\r\n"))[0] == [sheet("00142-4")]


def test_what_lies_alike_is_written_once() -> None:
    """Two hundred sheets of one form: some 200 bytes a sheet."""
    one = tuple(Spot("line", str(n), "001", 2, 11.5, 30.0 + 7.5 * n, 82.0, 7.5) for n in range(1, 12))
    many = [
        Sheet(
            f"{n:05d}-{check_digit(f'{n:05d}')}",
            date(2026, 1, 1),
            "pocket-a6",
            1,
            "metric",
            (f"{n:03d}",),
            {str(k): f"{n:03d}" for k in range(1, 12)},
            spots=tuple(replace(spot, tag=f"{n:03d}") for spot in one),
        )
        for n in range(200)
    ]
    text = run_text(many)
    assert len(text) < 200 * 200 + 1000
    assert read_run(text)[0] == many


def test_the_first_format_is_read_for_ever() -> None:
    kept = Path(__file__).resolve().parent.parent / "kept" / "list_by_numbers" / "printed"
    (path,) = kept.glob("*.json")
    (found,), _ = read_run(path.read_text("utf-8"))
    assert found.lines["1"] and found.spots and not found.by_tag
    (again,), _ = read_run(run_text([found]))
    assert again.lines == found.lines and again.jobs == found.jobs
    assert len(run_text([found])) < 0.5 * len(path.read_text("utf-8"))


def test_sheets_of_a_tree_by_day() -> None:
    early, late = replace(sheet("00143-1"), day=date(2025, 1, 1)), sheet("00142-4")
    ledger = Ledger({s.serial: s for s in (early, late, sheet("00144-9", "002"))})
    assert ledger.out_for("001") == [late, early] and not ledger.out_for("003")
