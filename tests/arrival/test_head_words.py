"""What heads of columns say, as loggers and services write them."""

from __future__ import annotations

import pytest

from logbook.collection.loose_table import Number, clean, cut, is_missing, number
from logbook.collection.weather_words import is_record, kind_of, month_of, months_in, unit_of

HEADS = {
    "low": [
        "tmin",
        "TMIN",
        "T_min (°C)",
        "tempmin",
        "MinTemp",
        "Low",
        "Lo Temp",
        "Temp Low (F)",
        "TN",
        "TNK",
        "Minimum temperature (Degree C)",
        "Tiefstwert",
        "nights",
        "temp_min",
        "lowest °C",
    ],
    "high": [
        "tmax",
        "T_max (°C)",
        "tempmax",
        "MaxTemp",
        "High",
        "Hi Temp",
        "Temp High (F)",
        "TX",
        "TXK",
        "Maximum temperature (Degree C)",
        "Höchstwert",
        "temp_max",
    ],
    "other": [
        "Rain max mm",
        "Max gust km/h",
        "Max. humidity",
        "Min pressure hPa",
        "grass min",
        "soil temp min",
        "dew point max",
        "feelslikemax",
        "Days of accumulation of minimum temperature",
        "indoor temp min",
        "Frost days",
        "Sunshine h",
        "Niederschlag mm",
    ],
    "date": ["date", "Datum", "Date/Time", "fecha", "timestamp"],
    "mean": ["mean", "Tavg", "average temperature", "Mittel °C"],
    "flag": ["Q_TN", "quality", "QC flag"],
    "": ["minutes", "x", "Wert A"],
}


@pytest.mark.parametrize(("kind", "head"), [(k, h) for k, heads in HEADS.items() for h in heads])
def test_heads(kind: str, head: str) -> None:
    assert kind_of(head) == kind


@pytest.mark.parametrize(
    ("text", "unit"),
    [
        ("Tmin (°C)", "C"), ("Tmax[C]", "C"), ("MaxTempF", "F"), ("TMAX_F", "F"), ("deg F", "F"), ("Degrees Celsius", "C"),
        ("degrees Fahrenheit", "F"), ("℃", "C"), ("°F (°C)", ""), ("in 0.1 degrees Celsius", "tenths"), ("Tmax", ""), ("PRCP", ""), ("F", "F"),
    ],
)  # fmt: skip
def test_units(text: str, unit: str) -> None:
    assert unit_of(text) == unit


@pytest.mark.parametrize(
    ("word", "month"),
    [
        ("Jan", 1), ("january", 1), ("Janv.", 1), ("ene", 1), ("Févr.", 2), ("März", 3), ("mrt", 3), ("avr.", 4), ("Mai", 5), ("juin", 6),
        ("Juli", 7), ("août", 8), ("ago", 8), ("Sept.", 9), ("Okt", 10), ("déc.", 12), ("dic", 12), ("12月", 12), ("min", 0), ("ma", 0), ("13月", 0), ("Jx", 0),
    ],
)  # fmt: skip
def test_months(word: str, month: int) -> None:
    assert month_of(word) == month


def test_rows_of_months() -> None:
    assert months_in(["", "Jan", "Feb"]) == {1: 1, 2: 2}
    assert months_in(list("JFMAMJJASOND")) == {m: m - 1 for m in range(1, 13)}
    assert months_in(["x", *map(str, range(1, 13))])[12] == 12
    assert months_in(["1", "2", "4"]) == {}


def test_records_are_no_means() -> None:
    assert is_record("Record high °C") and is_record("Absolute minimum") and not is_record("Mean daily maximum")


@pytest.mark.parametrize(
    ("cell", "found"),
    [
        ("-3.4", Number(-3.4)), ("−3,4 °C", Number(-3.4, "C")), ("41F", Number(41.0, "F")), ("- 2", Number(-2.0)), ("+1.5", Number(1.5)),
        ("12.5*", Number(12.5, "", "*")), ("７.５", Number(7.5)), ("3 4", None), ("abc", None), ("", None), ("1-2", None), ("2027-01-01", None),
    ],
)  # fmt: skip
def test_numbers(cell: str, found: Number | None) -> None:
    assert number(cell) == found


def test_what_is_missing() -> None:
    assert all(map(is_missing, ("", " ", "NA", "n/a", "--", "-9999", "−999.9", "M")))
    assert not any(map(is_missing, ("0", "-9.9", "x1")))


def test_text_is_made_plain() -> None:
    assert clean("−3\u00a0°C") == "-3 °C" and clean("１２") == "12" and clean("3²") == "3²"


@pytest.mark.parametrize(
    ("separator", "told"),
    [(",", "commas"), (";", "semicolons"), ("\t", "tabs"), ("|", "bars"), ("   ", "wide spaces"), (" ", "spaces")],
)
def test_separators(separator: str, told: str) -> None:
    rows = [["month", "low", "high"], ["Jan", "-3.4", "3.6"], ["Feb", "-2.5", "6.4"]]
    table = cut("\n".join(separator.join(row) for row in rows))
    assert table.separator_told == told and [list(line.cells) for line in table.lines] == rows
