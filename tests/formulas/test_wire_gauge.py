"""Wire: gauges and masses against published tables, the helix against its own geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import Branch, Tree
from logbook.collection.units import awg_mm
from logbook.formulas.wire_gauge import (
    COPPER_SHARE,
    TWO_FOR_ONE,
    choose,
    helix_length_mm,
    helix_turns,
    length_to_cut_mm,
    sizes_of,
    wanted_mm,
)
from logbook.planning.lists.wire_list import totals, wire_for
from logbook.planning.tree_state import State

GRAM_PER_POUND = 453.59237


@pytest.mark.parametrize(
    ("gauge", "mm"), [(4, 5.189), (8, 3.264), (10, 2.588), (12, 2.053), (14, 1.628), (18, 1.024)]
)
def test_gauges(gauge: int, mm: float) -> None:
    """ASTM B258, nominal diameters (table values from memory)."""
    assert awg_mm(gauge) == pytest.approx(mm, abs=0.0005)


@pytest.mark.parametrize(("gauge", "pounds"), [(10, 31.43), (12, 19.77), (14, 12.43)])
def test_copper_masses(gauge: int, pounds: float) -> None:
    """Copper wire tables, lb per 1000 ft (NBS Handbook 100, from memory)."""
    size = next(s for s in sizes_of("copper") if s.name == f"{gauge}ga")
    assert size.grams_a_metre == pytest.approx(pounds * GRAM_PER_POUND / 304.8, rel=0.001)


@pytest.mark.parametrize(("gauge", "grams"), [(10, 14.21), (12, 8.93)])
def test_aluminium_masses(gauge: int, grams: float) -> None:
    """Aluminium at 2.70 g/cm³, g per metre (from memory)."""
    assert math.pi / 4 * (awg_mm(gauge) / 10) ** 2 * 100 * 2.70 == pytest.approx(grams, abs=0.01)


def test_the_helix_on_a_taper() -> None:
    """A worked example: 300 mm from 12 to 6 mm, wire 3 mm, 45°; and the same path summed in small steps."""
    assert helix_length_mm(300, 12, 6) == pytest.approx(424.285, abs=0.001)
    assert helix_turns(300, 12, 6, 3) == pytest.approx(8.1304, abs=0.0001)
    along = np.linspace(0, 1, 200_001)
    radius = (12 + (6 - 12) * along + 3) / 2
    slant = math.hypot(300, 3.0) / 200_000  # steps along the cone's side
    turn = np.cumsum(slant * math.tan(math.radians(45)) / ((radius[1:] + radius[:-1]) / 2))
    assert turn[-1] / (2 * math.pi) == pytest.approx(8.1304, abs=0.001)


def test_forty_five_degrees_is_the_root_of_two() -> None:
    """Geometry; the trade's 1.3 to 1.5 times the branch is 39.7° to 48.2°."""
    assert helix_length_mm(100, 8, 8) == pytest.approx(100 * math.sqrt(2))
    assert math.degrees(math.acos(1 / 1.3)) == pytest.approx(39.7, abs=0.05)
    assert math.degrees(math.acos(1 / 1.5)) == pytest.approx(48.2, abs=0.05)
    assert helix_turns(100, 8, 8, 2) == pytest.approx(100 / (2 * math.pi * 5))


def test_copper_is_thinner_for_the_same_hold() -> None:
    """(48/28)^(1/3) = 1.20 by the plastic moment σd³/6; strengths from Smithells and the Aluminum Association, from memory."""
    assert pytest.approx(1.20, abs=0.005) == 1 / COPPER_SHARE
    assert pytest.approx(1.26, abs=0.001) == TWO_FOR_ONE
    assert wanted_mm(12, "aluminium") == pytest.approx(4.0), "a third of the branch: common practice, no source"


@given(
    st.floats(5, 3000), st.floats(1, 60), st.floats(0.1, 1.0), st.floats(0.5, 6), st.floats(5, 80), st.floats(0.1, 4)
)
def test_lengths(length: float, base: float, share: float, wire: float, degrees: float, more: float) -> None:
    tip = base * share
    found = length_to_cut_mm(length, base, tip, wire, degrees)
    assert found >= length, "never shorter than the branch"
    assert length_to_cut_mm(length, base, tip, wire, degrees + more) >= found, "a steeper lay takes more"
    assert length_to_cut_mm(length, base + more, tip, wire, degrees) >= found - 1e-9, "a thicker branch takes more"
    assert 0 < helix_turns(length, base, tip, wire, degrees) < 1e5
    near = helix_turns(length, base, base - 1e-9, wire, degrees)
    assert near == pytest.approx(helix_turns(length, base, base, wire, degrees), rel=1e-4)


@given(st.floats(1, 40), st.sampled_from(["copper", "aluminium"]))
def test_a_choice_holds(branch: float, metal: str) -> None:
    choice = choose(branch, metal)
    strongest = sizes_of(metal)[-1].mm * TWO_FOR_ONE
    if choice is None:
        assert wanted_mm(branch, metal) * 0.9 > strongest
        return
    held = choice.size.mm * (TWO_FOR_ONE if choice.count == 2 else 1.0)
    assert held >= wanted_mm(branch, metal) * 0.9
    thinner = [s for s in sizes_of(metal) if s.mm < choice.size.mm]
    if choice.count == 1 and thinner:
        assert thinner[-1].mm < wanted_mm(branch, metal) * 0.9, "the thinnest that holds"


def test_what_a_session_needs() -> None:
    from logbook.collection.dates import read_when
    from logbook.planning.wires import WireOn

    branches = (
        Branch("1", diameter=12, length=300, role="keep"),
        Branch("2", diameter=12, length=300, role="undecided"),
        Branch("3", diameter=9, role="keep"),
        Branch("4", diameter=21, length=300, role="keep"),
        Branch("5", diameter=8, length=100, role="keep"),
        Branch("S1", diameter=8, length=100, role="sacrifice"),
        Branch("6", length=100, role="keep"),
    )
    state = State((), wires=(WireOn(read_when("2026-10-01"), ("5",)),))
    rows = wire_for(Tree("1", (), branches=branches), state, "aluminium")
    assert [row.branch.id for row in rows] == ["1", "2", "3", "4"], (
        "wired, sacrifice and unmeasured ones are left out"
    )
    assert rows[2].cut_mm is None and rows[3].choice is not None and rows[3].choice.count == 2
    four = next(t for t in totals(rows) if t.size.name == "4 mm")
    assert four.metres == pytest.approx(2 * length_to_cut_mm(300, 12, 6, 4) / 1000)
    assert four.grams == pytest.approx(four.metres * math.pi / 4 * 0.16 * 100 * 2.70)
