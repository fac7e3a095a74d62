"""Leaf colour and fall from the year's mean."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.model import Normals
from logbook.season.autumn import COLOUR_BAND, annual_mean, autumn, holds_leaves
from logbook.season.climate import Climate

from ..conftest import INLAND

CLIMATE = Climate(INLAND)


def test_the_years_mean_weighs_months_by_their_days() -> None:
    means = [(a + b) / 2 for a, b in zip(INLAND.tmin, INLAND.tmax, strict=True)]
    days = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)
    assert annual_mean(CLIMATE) == pytest.approx(sum(m * d for m, d in zip(means, days, strict=True)) / 365)


def test_a_maple_and_one_that_holds_its_leaves() -> None:
    """Day of year 267 + 2.18 × mean, 286 for those that hold their leaves; a year's mean of 9.0 °C gives 286.6 and 305.6."""
    flat = Climate(Normals((4.0,) * 12, (14.0,) * 12))
    usual, late = autumn(flat, 47.9, 2027, "Acer campestre"), autumn(flat, 47.9, 2027, "Acer palmatum")
    assert usual and late
    assert usual.colour == date(2027, 1, 1) + timedelta(days=286) and late.colour == date(2027, 1, 1) + timedelta(
        days=305
    )
    assert usual.fall == usual.colour + timedelta(days=14) and usual.band == COLOUR_BAND


def test_the_south_counts_from_july() -> None:
    north = autumn(CLIMATE, 47.9, 2027, "Larix decidua")
    turned = Climate(Normals(INLAND.tmin[6:] + INLAND.tmin[:6], INLAND.tmax[6:] + INLAND.tmax[:6]))
    south = autumn(turned, -47.9, 2027, "Larix decidua")
    assert north and south
    assert abs((south.colour - date(2027, 7, 1)).days - (north.colour - date(2027, 1, 1)).days) <= 1
    assert south.colour.year == 2028


def test_no_autumn_in_the_tropics() -> None:
    assert autumn(CLIMATE, 10.0, 2027, "Acer palmatum") is None and autumn(CLIMATE, -23.0, 2027, "") is None


def test_selections_hold_their_leaves_as_their_species_does() -> None:
    assert (
        holds_leaves("Acer palmatum 'Kiyohime'")
        and holds_leaves("Ginkgo biloba")
        and not holds_leaves("Acer campestre")
    )
