"""Thirst: the arithmetic of litres and square metres, the oracle for evapotranspiration, and what a weighing changes."""

from __future__ import annotations

import math
from datetime import date

import pandas
import pyet
import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Pot, Tree
from logbook.formulas.water import canopy_m2, check_every_days, every_told, store_litres
from logbook.planning.lists.watering import highest_et0_mm, thirst_between
from logbook.planning.tree_state import state_of

from ..conftest import INLAND, day, garden_at

JULY = (date(2027, 7, 1), date(2027, 7, 31))


def test_a_litre_is_a_millimetre_on_a_square_metre() -> None:
    assert check_every_days(1.2, 1.0, 1.0) == pytest.approx(1.0), "Kc 1.2"
    assert store_litres(8.0) == pytest.approx(1.0), "AW 0.25 and p 0.5: from memory, unmeasured"
    assert store_litres(8.0, 5.2, 4.1) == pytest.approx(1.1), "a weighing replaces the guess"
    assert canopy_m2(1000.0, None) == pytest.approx(math.pi / 4)
    assert canopy_m2(None, 50_000.0) == pytest.approx(0.05) and canopy_m2(None, None) is None


def test_evapotranspiration_of_july_against_pyet() -> None:
    """pyet (MIT), Hargreaves (FAO-56 equation 52), on the site's own daily normals."""
    garden = garden_at()
    site = garden.site
    assert site.climate is not None
    days = pandas.date_range("2027-07-01", "2027-07-31")
    index = [d.dayofyear - 1 for d in days]
    low, high = ([series[i] for i in index] for series in (site.climate.tmin, site.climate.tmax))
    mean = pandas.Series([(a + b) / 2 for a, b in zip(low, high, strict=True)], days)
    reference = pyet.hargreaves(mean, pandas.Series(high, days), pandas.Series(low, days), lat=math.radians(47.9))
    assert highest_et0_mm(site, *JULY) == pytest.approx(float(reference.max()), rel=0.01)


@given(st.floats(0.05, 60), st.floats(0.1, 9), st.floats(0.005, 2))
def test_thirst_is_monotone(litres: float, et0: float, area: float) -> None:
    store = store_litres(litres)
    assert store is not None
    found = check_every_days(store, et0, area)
    assert 0 < found <= 14
    assert check_every_days(store * 1.5, et0, area) >= found >= check_every_days(store, et0 * 1.5, area)
    assert every_told(found) in {"twice a day", "daily", "every two weeks"} | {
        f"every {n} days" for n in range(2, 14)
    }


def thirst(*entries: Entry) -> tuple[float, str]:
    garden = garden_at()
    site = garden.site
    tree = Tree("1", entries, species="Acer palmatum")
    found = thirst_between(state_of(tree, garden, day("2027-07-01")), site, *JULY)
    return found.days, found.how


def potted(when: str, pot: Pot, **more: object) -> Entry:
    return Entry(date=read_when(when), work="repotting", pot=pot, **more)  # type: ignore[arg-type]


def test_a_small_pot_in_july() -> None:
    """A shallow pot of 0.35 L under a crown of 20 cm is looked at twice a day."""
    small = potted("2027-03-20", Pot("oval", inner=(130, 100, 34.3)))
    days, how = thirst(small, Entry(date=read_when("2027-04-01"), measured={"crown": 200.0}))
    assert every_told(days) == "twice a day" and how == "from a pot of 0.4 L"
    large, _ = thirst(
        potted("2027-03-20", Pot("rectangle", inner=(400, 300, 120))),
        Entry(date=read_when("2027-04-01"), measured={"crown": 200.0}),
    )
    assert large > 10 * days


def test_an_outer_measure_and_an_unknown_pot_say_so() -> None:
    assert "about a pot" in thirst(potted("2027-03-20", Pot("oval", outer=(300, 220, 60))))[1]
    assert thirst() == (1.0, "its pot was never measured: look daily")
    assert thirst(Entry(date=read_when("2027-05-01"), weighed={"wet": 2.0, "dry": 1.6}))[1].startswith(
        "neither its crown"
    )


def test_a_weighing_of_an_earlier_pot_counts_no_more() -> None:
    pot = Pot("oval", inner=(300, 220, 60))
    weighed = Entry(date=read_when("2026-06-01"), weighed={"wet": 5.2, "dry": 4.1})
    assert thirst(potted("2025-03-20", pot), weighed)[1] == "from its weighing"
    assert thirst(potted("2027-03-20", pot), weighed)[1].startswith("from a pot")


def test_a_garden_without_normals_is_looked_at_daily() -> None:
    garden = garden_at(None)
    site = garden.site
    tree = Tree("1", (potted("2027-03-20", Pot("oval", inner=(300, 220, 60))),), species="Acer palmatum")
    found = thirst_between(state_of(tree, garden, day("2027-07-01")), site, *JULY)
    assert (found.days, found.how) == (1.0, "no monthly normals on record: look daily")
    assert INLAND.years
