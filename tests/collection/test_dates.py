"""Dates against ISO 8601-2:2019 (EDTF), with the PyPI package edtf as an independent reader."""

from __future__ import annotations

from datetime import date

import edtf
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import NotADate, read_day, read_month_day, read_when

# forms of ISO 8601-2:2019 level 0 and 1 on which the edtf package is sound (its open intervals, winter and
# uncertain seasons are not, and are left out)
FORMS = ["2016-10-14", "2016-10", "2016", "199X", "20XX", "2016-02-29", "1900-01"]


@pytest.mark.parametrize("text", FORMS)
def test_spans_agree_with_edtf(text: str) -> None:
    theirs = edtf.parse_edtf(text)
    ours = read_when(text)
    lower, upper = theirs.lower_strict(), theirs.upper_strict()
    assert (ours.earliest.year, ours.earliest.month, ours.earliest.day) == tuple(lower[:3])
    assert (ours.latest.year, ours.latest.month, ours.latest.day) == tuple(upper[:3])


@pytest.mark.parametrize("text", ["2015~", "2015-04?", "2015-04-03%"])
def test_doubt_is_kept(text: str) -> None:
    assert edtf.parse_edtf(text) is not None
    assert read_when(text).about


@given(st.dates(date(1000, 1, 1), date(2999, 12, 31)))
def test_whole_days_round_trip(day: date) -> None:
    when = read_when(day.isoformat())
    assert when.earliest == when.latest == day == read_day(day.isoformat())


@pytest.mark.parametrize(
    ("text", "southern", "first", "last"),
    [
        # ISO 8601-2 codes 21-24; months by the meteorological seasons (WMO usage, from memory)
        ("2016-21", False, date(2016, 3, 1), date(2016, 5, 31)),
        ("2016-23", False, date(2016, 9, 1), date(2016, 11, 30)),
        ("2016-24", False, date(2016, 12, 1), date(2017, 2, 28)),
        ("2016-21", True, date(2016, 9, 1), date(2016, 11, 30)),
        ("2016-22", True, date(2016, 12, 1), date(2017, 2, 28)),
        ("2016-23", True, date(2016, 3, 1), date(2016, 5, 31)),
        ("2016-24", True, date(2016, 6, 1), date(2016, 8, 31)),
    ],
)
def test_seasons_follow_the_hemisphere(text: str, southern: bool, first: date, last: date) -> None:
    when = read_when(text, southern)
    assert (when.earliest, when.latest) == (first, last)


@pytest.mark.parametrize(
    ("text", "words"),
    [
        ("2016-10-14", "14 Oct 2016"),
        ("2016-10", "Oct 2016"),
        ("2009~", "about 2009"),
        ("2016-23", "autumn 2016"),
        ("199X", "the 1990s"),
    ],
)
def test_told(text: str, words: str) -> None:
    assert read_when(text).told() == words


@pytest.mark.parametrize(
    "text",
    [
        "",
        "16-10-14",
        "2016-13",
        "2016-25",
        "2016-02-30",
        "0000",
        "199X-04",
        "2016/10",
        "yesterday",
        "2016-1-4",
        "9999",
    ],
)
def test_what_is_no_date_says_what_to_write(text: str) -> None:
    with pytest.raises(NotADate) as error:
        read_when(text)
    assert error.value.hint


def test_month_and_day() -> None:
    assert read_month_day("04-24") == (4, 24)
    with pytest.raises(NotADate):
        read_month_day("02-29")  # an ordinary year has none
    with pytest.raises(NotADate):
        read_month_day("4-24")
