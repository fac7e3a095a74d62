"""A season looked back on: what was missed, wire that stayed too long, visits that were visits."""

from __future__ import annotations

from datetime import timedelta

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Found, Tree
from logbook.planning.season_review import Review, review

from ..conftest import day
from .test_planner import NORTH, STRONG, entry


def looked_back(*log: Entry, species: str = "Acer palmatum", season: int = 2027) -> Review:
    return review([Tree("001", tuple(log), species=species)], NORTH, season, day("2028-02-01"))


def test_wire_that_is_still_on_or_had_cut_in_was_not_off_in_time() -> None:
    wired = entry("2026-10-20", work="wiring", branches=("1",))
    assert looked_back(STRONG, wired).wires_late == ("001",)
    cut = entry("2027-06-10", work="wire off", branches=("1",), bite="cut")
    assert (looked_back(STRONG, wired, cut).wires_in_time, looked_back(STRONG, wired, cut).wires_late) == (
        0,
        ("001",),
    )
    fine = entry("2027-06-10", work="wire off", branches=("1",))
    assert (looked_back(STRONG, wired, fine).wires_in_time, looked_back(STRONG, wired, fine).wires_late) == (1, ())


def test_a_window_that_went_by_unused_was_missed() -> None:
    shortened = [work for _, work in looked_back(STRONG, species="Pinus sylvestris").missed]
    assert "candle shortening" in shortened
    done = entry("2027-05-20", work="candle shortening")
    assert "candle shortening" not in [w for _, w in looked_back(STRONG, done, species="Pinus sylvestris").missed]
    tired = entry("2026-11-01", vigour=1)
    assert not looked_back(STRONG, tired, species="Pinus sylvestris").missed, "a tree at rest misses nothing"


def test_the_beginning_of_a_record_is_no_visit() -> None:
    first = NORTH.site.calendar.season_start(2027) + timedelta(days=30)
    begun = Entry(date=read_when(first.isoformat()), found=Found(stage="ramification"))
    made = looked_back(begun)
    assert made.visits == 0 and made.came == ("001",)
    assert looked_back(begun, Entry(date=read_when("2027-06-01"), work="look-over")).visits == 1
