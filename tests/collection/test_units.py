"""Units at the edges; wire gauges against ASTM B258."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.units import METRIC, US, awg_mm, length_mm, plain, wire_mm


@pytest.mark.parametrize(
    ("gauge", "mm"), [(4, 5.189), (8, 3.264), (10, 2.588), (12, 2.053), (14, 1.628), (18, 1.024)]
)
def test_gauges(gauge: int, mm: float) -> None:
    """ASTM B258, Standard Specification for Standard Nominal Diameters of Solid Round Wires."""
    assert awg_mm(gauge) == pytest.approx(mm, abs=0.0006)
    assert wire_mm(f"{gauge}ga") == pytest.approx(mm, abs=0.0006)


@pytest.mark.parametrize(
    ("text", "units", "mm"),
    [
        ("38.5", METRIC, 38.5),
        ("38,5", METRIC, 38.5),
        ("4 cm", METRIC, 40),
        ("1.2m", METRIC, 1200),
        ("1.5in", METRIC, 38.1),
        ("1 1/2in", US, 38.1),
        ("1 1/2", US, 38.1),
        ("3/8", US, 9.525),
        ("38mm", US, 38),
        ("2", US, 50.8),
    ],
)
def test_typed_lengths(text: str, units: object, mm: float) -> None:
    assert length_mm(text, units) == pytest.approx(mm)  # type: ignore[arg-type]


@pytest.mark.parametrize("text", ["", "abc", "3 furlongs", "1/0", "1.2.3", "-4"])
def test_what_is_no_length(text: str) -> None:
    assert length_mm(text, METRIC) is None


@given(st.floats(1, 2000))
def test_a_printed_length_reads_back(mm: float) -> None:
    """At printed precision: a hundredth of an inch is 0.254 mm, half of it the rounding."""
    for units, slack in ((METRIC, 0.0006), (US, 0.13)):
        read = length_mm(units.length_told(mm), METRIC)
        assert read is not None
        assert abs(read - mm) <= slack


@given(st.floats(1, 2000))
def test_a_recorded_length_reads_back(mm: float) -> None:
    for units, slack in ((METRIC, 0.006), (US, 0.0128)):
        assert abs(units.length_mm(float(plain(units.length_own(mm)))) - mm) <= slack


def test_sums_of_warmth_are_told_in_both_where_units_are_us() -> None:
    """A degree Celsius is 1.8 degrees Fahrenheit (NIST SP 811), so 220 °C·d are 396 °F·d."""
    assert METRIC.warmth_told(220, 0) == "220 °C·d above 0 °C"
    assert US.warmth_told(220, 0) == "396 °F·d above 32 °F (220 °C·d)"
