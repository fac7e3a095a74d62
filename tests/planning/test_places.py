"""Where a tree stands is read from its log, and every rule reads the place of that day."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from pathlib import Path

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Settings, Site, StandingPlace, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree

from ..conftest import INLAND, Answer, make_collection

TREE = 'tag: "001"\nspecies: Acer palmatum\nbench: tunnel\nlog: []\n'
PLACES = {
    "tunnel": StandingPlace(warmer=3.0, frost_free=True, since=(11, 1), until=(4, 15)),
    "tunnel back": StandingPlace(warmer=1.0),
}
SETTINGS = Settings("T", site=Site(47.9, normals=INLAND), places=PLACES)
LOG = (Entry(date=on_day(date(2022, 4, 1)), work="repotting", stage="ramification", vigour=4),)


def tree(*log: Entry, bench: str = "") -> Tree:
    return Tree("001", (*LOG, *log), species="Acer palmatum", bench=bench)


def moved(day: date, bench: str) -> Entry:
    return Entry(date=on_day(day), bench=bench)


def garden(*trees: Tree) -> Garden:
    return Garden(SETTINGS, shipped_knowledge(), trees)


def test_the_place_is_that_of_the_day() -> None:
    here = garden()
    one = tree(moved(date(2026, 11, 2), "Tunnel 3"), moved(date(2027, 4, 16), "east 2"), bench="east 1")
    assert [here.place_of(one, day) for day in (date(2026, 10, 1), date(2027, 1, 1), date(2027, 5, 1))] == [
        "",
        "tunnel",
        "",
    ]
    began = replace(tree(moved(date(2026, 11, 2), "east 2"), bench="east 2"), first_bench="tunnel")
    assert here.place_of(began, date(2026, 10, 1)) == "tunnel", "a file that was read holds where it stands now"
    assert here.place_of(tree(bench="tunnel back 1"), date(2027, 1, 1)) == "tunnel back"
    assert here.place_of(tree(bench="tunnels"), date(2027, 1, 1)) == ""


def test_a_plan_reads_the_place() -> None:
    outside, inside = tree(bench="east 1"), tree(bench="tunnel 1")
    plans = [plan_tree(t, garden(t), date(2027, 1, 10)) for t in (outside, inside)]
    opens = [next(j.opens for j in p.jobs if j.work == "repotting") for p in plans]
    assert opens[0] and opens[1] and opens[1] < opens[0]
    shelter = [any(j.work == "winter shelter" for j in p.care) for p in plans]
    assert shelter == [True, False], "no frost reaches the tunnel"


def test_signs_belong_to_the_place_of_their_day() -> None:
    one = tree(
        moved(date(2025, 11, 2), "tunnel"),
        Entry(date=on_day(date(2026, 3, 28)), saw="swell"),
        moved(date(2026, 4, 16), "east 2"),
        bench="east 1",
    )
    here = garden(one)
    assert [s.place for s in here.site.marks.sightings.every] == ["tunnel"]


def test_places_without_normals_give_no_fault(tmp_path: Path, bench: object) -> None:
    settings = "format: 1\ntitle: T\nsite: {latitude: 47.9}\nplaces: {tunnel: {warmer: 3, frost_free: true, from: 11-01, to: 04-15}}\n"
    folder = make_collection(
        tmp_path, {"001": 'tag: "001"\nspecies: Acer palmatum\nbench: tunnel\nlog: []\n'}, settings
    )
    told: Answer = bench("due", "--today", "2027-01-10", folder=folder)  # type: ignore[operator]
    assert told.code == 0


def test_the_year_of_a_place_can_be_asked(tmp_path: Path, bench: object) -> None:
    settings = "format: 1\ntitle: T\nsite: {latitude: 47.9, normals: {january: [-3, 4], july: [13, 25]}}\nplaces: {tunnel: {warmer: 3}}\n"
    folder = make_collection(tmp_path, {"001": TREE}, settings)
    told = {
        place: bench("season", "--group", "maple", *place, "--today", "2027-01-10", folder=folder).out  # type: ignore[operator]
        for place in ((), ("--place", "tunnel"))
    }
    assert told[()] != told["--place", "tunnel"]
    wrong: Answer = bench("season", "--place", "tunel", "--today", "2027-01-10", folder=folder)  # type: ignore[operator]
    assert wrong.code == 1 and "did you mean 'tunnel'?" in wrong.err
