"""One declaration a field: read, checked, in the schema, in its place in the file, printed, heard in notes, and all the way round."""

from __future__ import annotations

import json
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

import jsonschema
import pytest

from logbook.collection.dates import read_when
from logbook.collection.entry_text import render_entry
from logbook.collection.fields import COLLECTION, ENTRY, TREE, UNITS, Entry, key, record, record_of
from logbook.collection.fields.entry import entry_of
from logbook.collection.kinds import (
    FAILED,
    AnyField,
    Context,
    Heard,
    NoteContext,
    Record,
    Text,
    Whole,
    Word,
    Words,
    read_value,
)
from logbook.collection.model import NOWHERE, Tree
from logbook.collection.tree_text import read_tree
from logbook.collection.units import METRIC, US, Units
from logbook.collection.yaml_editor import entry_text
from logbook.collection.yaml_reader import Document, read_text
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.storage.printed import Ledger

KNOWLEDGE = shipped_knowledge()
DAY = date(2026, 10, 14)
WORDS = {**KNOWLEDGE.words}


@dataclass(frozen=True)
class Sample:
    """Words as a grower types them, and what the file then holds of the field; `us` where inches say another number."""

    typed: str
    holds: object
    us: object = None


# every field that a note can say; a field without a sample here or in FILE_ONLY fails below
TYPED: Mapping[str, tuple[Sample, ...]] = {
    "work": (Sample("wired", "wiring"), Sample("needles thinned", "needle thinning")),
    "branches": (
        Sample("wired 1 2 S1", ["1", "2", "S1"]),
        Sample("wired branches 4, 5 and 6", ["4", "5", "6"]),
        Sample("look-over, branches 3", ["3"]),
    ),
    "metal": (Sample("wired copper", "copper"), Sample("wired 1 alu 2.5", "aluminium")),
    "wire": (
        Sample("wired 1 copper 2.5", 2.5),
        Sample("wired 1 copper 2.5, 1.6 mm", [2.5, 1.6]),
        Sample("wiring, branches 1, copper 3, 2 mm", [3, 2]),
        Sample("wired 10ga", 2.588),
    ),
    "roots": (Sample("repotted roots hard", "hard"), Sample("repotted light roots", "light")),
    "force": (Sample("pruned hard", "heavy"), Sample("pruned light", "light")),
    "feed": (Sample("fed 5-5-5", "5-5-5"),),
    "bite": (Sample("wire off 1 bite starting", "starting"), Sample("wire off 1 bite non", "none")),
    "keep": (Sample("wired 1 keep", True), Sample("wired 1 copper 2.5 mm, stays on", True)),
    "mix": (Sample("repotted mix 2 pumice 0.5 lava", {"pumice": 2, "lava": 0.5}),),
    "pot": (
        Sample(
            "repotted pot oval 310x240x60mm",
            {"shape": "oval", "inner": [310, 240, 60]},
            {"shape": "oval", "inner": [12.205, 9.449, 2.362]},
        ),
        Sample(
            "repotted pot round 8x5 in",
            {"shape": "round", "inner": [203.2, 127]},
            {"shape": "round", "inner": [8, 5]},
        ),
        Sample("repotting, drum pot", {"shape": "drum"}),
    ),
    "measured": (
        Sample(
            "trunk 1.5in height 12 in tips 64",
            {"trunk": 38.1, "height": 304.8, "tips": 64},
            {"trunk": 1.5, "height": 12, "tips": 64},
        ),
        Sample("needles 10in crown 20in", {"crown": 508, "leaf": 254}, {"crown": 20, "leaf": 10}),
    ),
    "vigour": (Sample("vigour 4", 4), Sample("V 3", 3), Sample("vig 5", 5)),
    "saw": (Sample("saw flower over", "flower over"), Sample("saw lea fal", "leaf fall")),
    "stage": (Sample("stage trunk growing", "trunk growing"), Sample("sta ref", "refinement")),
    "rest": (Sample("rest", "begins"), Sample("rest over", "ends")),
    "trouble": (Sample("trouble roots", "roots"), Sample("tro pes", "pests"), Sample("trouble over", "over")),
    "intend": (
        Sample("intend remove S1 by autumn 2028", {"what": "remove S1", "by": "2028-23"}),
        Sample("intend shorten by a third by 14 Oct 2027", {"what": "shorten by a third", "by": "2027-10-14"}),
        Sample("meant: lower the apex by Mar 2028", {"what": "lower the apex", "by": "2028-03"}),
        Sample("intend more light", "more light"),
    ),
    "did": (Sample("done: shorten S2", "shorten S2"),),
    "found": (
        Sample(
            "record begins: ramification, vigour 3, repotted about 2021, wired Oct 2025",
            {"stage": "ramification", "vigour": 3, "repotted": "2021~", "wired": "2025-10"},
        ),
        Sample("record begins: repotted the 1990s", {"repotted": "199X"}),
        Sample("record begins: nothing known", {}),
    ),
    "weighed": (Sample("weighed wet 5.2 dry 4.1", {"wet": 5.2, "dry": 4.1}), Sample("wei dry 4", {"dry": 4})),
    "new": (Sample("new: 031, 032b", ["031", "032b"]),),
    "merged": (Sample("merged with 015 and 016", ["015", "016"]),),
    "count": (Sample("count 37", 37),),
    "bench": (Sample("moved east 2", "east 2"), Sample("moved to terrace 3", "terrace 3"), Sample("bench 4", "4")),
    "aim": (
        Sample("aim: a broad crown, low", "a broad crown, low"),
        Sample("aim a clump of five", "a clump of five"),
    ),
    "front": (
        Sample("front: scar to the left", "scar to the left"),
        Sample("front is under the old wound", "under the old wound"),
    ),
    "style": (Sample("style: informal upright", "informal upright"),),
    "targets": (
        Sample("target trunk 2in, height 12 in", {"trunk": 50.8, "height": 304.8}, {"trunk": 2, "height": 12}),
        Sample("targets tips 200", {"tips": 200}),
    ),
    "placed": (
        Sample(
            "branch 3 at 4 o'clock, 4in up, 0.5in thick",
            [{"id": "3", "clock": 4, "height": 101.6, "diameter": 12.7}],
            [{"id": "3", "clock": 4, "height": 4, "diameter": 0.5}],
        ),
        Sample(
            "branch S1, 2 in up, 8 o'clock, sacrifice",
            [{"id": "S1", "clock": 8, "height": 50.8, "role": "sacrifice"}],
            [{"id": "S1", "clock": 8, "height": 2, "role": "sacrifice"}],
        ),
    ),
    "minutes": (
        Sample("repotted 90 min", 90),
        Sample("repotted roots light 75min", 75),
        Sample("wired 1; 40 min", 40),
    ),
    "by": (Sample("wired 1 by m", "m"), Sample("vigour 4; by Ida", "Ida")),
    "note": (
        Sample("moss gone yellow", "moss gone yellow"),
        Sample("note by hand, in the rain", "by hand, in the rain"),
    ),
    "photo": (
        Sample("photo photos/014-2026-03.jpg", "photos/014-2026-03.jpg"),
        Sample("photo photos/my tree.jpg", "photos/my tree.jpg"),
    ),
}
# what paper and notes never say: out of a file and back into it
FILE_ONLY: Mapping[str, tuple[object, ...]] = {
    "date": ("2026-10-14", "2026~", "199X"),
    "from": ("00142-4/3", ["00142-4/rp", "00142-4/1.2"], "log wiring 2026:14"),
    "replaces": ("00142-4/3",),
}


def context(units: Units = METRIC) -> Context:
    return Context(Document("t", "", None), units, words=WORDS)


def from_file(text: str, units: Units = METRIC, entries: Record[Entry] = ENTRY) -> Entry:
    """An entry out of a file's text; the text must be sound."""
    document = read_text(text, "t")
    assert document.root is not None, text
    reading = Context(document, units, words=WORDS)
    value = entries.read(document.root, reading)
    assert not reading.problems, (text, reading.problems)
    assert value is not FAILED
    return replace(value, spot=0)


def heard(typed: str, units: Units, entries: Record[Entry] = ENTRY) -> dict[str, object]:
    """The one entry that a typed line makes."""
    grammar = Grammar(KNOWLEDGE, Ledger(), units=units, entries=entries)
    (reading,) = read_notes(f"tree 014\n14 oct 2026 {typed}\n", grammar)
    assert not reading.fault and not reading.question, (typed, reading)
    (part,) = reading.parts
    return dict(part)


def samples() -> list[tuple[str, Sample, Units]]:
    return [(name, sample, units) for name, some in TYPED.items() for sample in some for units in (METRIC, US)]


def test_every_field_has_a_sample() -> None:
    assert set(TYPED) | set(FILE_ONLY) == {f.key for f in ENTRY.fields}


def test_what_notes_can_say_paper_says_too() -> None:
    assert {f.key for f in ENTRY.fields if f.words.paper} == set(TYPED)


@pytest.mark.parametrize(
    ("name", "sample", "units"), samples(), ids=lambda v: getattr(v, "typed", getattr(v, "name", v))
)
def test_typed_to_file_to_entry_to_paper_and_typed_again(name: str, sample: Sample, units: Units) -> None:
    parts = heard(sample.typed, units)
    file = entry_of(parts, DAY, "", units)
    assert file[name] == (sample.us if units.us and sample.us is not None else sample.holds)
    entry = from_file(entry_text(file), units)
    paper = render_entry(entry, units)
    again = from_file(entry_text(entry_of(heard(paper, units), DAY, "", units)), units)
    if name in ("pot", "measured") and units.us:  # paper rounds inches to hundredths
        assert render_entry(again, units) == paper
    else:
        assert again == entry, paper


@pytest.mark.parametrize(("name", "holds"), [(n, value) for n, some in FILE_ONLY.items() for value in some])
def test_what_paper_never_says_goes_from_file_to_file(name: str, holds: object) -> None:
    text = json.dumps({"date": "2026-10-14", name: holds})
    entry = from_file(text)
    written = ENTRY.written(entry, METRIC)
    assert isinstance(written, Mapping) and written[name] == holds
    assert from_file(entry_text(written)) == entry


@pytest.mark.parametrize("units", [METRIC, US], ids=lambda u: u.name)
def test_an_entry_with_everything_goes_from_file_to_file(units: Units) -> None:
    whole = {name: some[0].holds for name, some in TYPED.items()}
    text = json.dumps({"date": "2026-10-14", **whole, "from": "00142-4/3", "replaces": "00142-4/2"})
    entry = from_file(text, units)
    written = ENTRY.written(entry, units)
    assert isinstance(written, Mapping)
    assert from_file(entry_text(written), units) == entry
    assert list(written) == [f.key for f in ENTRY.fields], "in the order of the declarations"


def test_a_part_that_no_field_declares_is_refused() -> None:
    with pytest.raises(KeyError, match="'colour' is no key of a log entry"):
        entry_of({"work": "wiring", "colour": "red"}, DAY, "", METRIC)


def test_an_attribute_that_is_not_declared_is_refused() -> None:
    with pytest.raises(TypeError, match=r"Bare\.size is not declared"):

        @record("a bare thing")
        class Bare:
            size: int = 0


def test_a_key_that_is_declared_twice_is_refused() -> None:
    with pytest.raises(TypeError, match="declares the key 'one' twice"):

        @record("a double thing")
        class Double:
            one: str = key(Text(), "one", default="")
            two: str = key(Text(), "two", default="", name="one")


# -- a new field: this declaration is all there is of it ---------------------------------------------------------------


@record("a log entry")
class WateredEntry(Entry):
    """An entry that knows one thing more."""

    water: str = key(
        Word("a water", ("rain", "tap", "well")),
        "what it was watered with",
        default="",
        words=Words("water {}", starts=("water",), any_work=True),
    )
    cans: int | None = key(
        Whole("cans", 1, 40),
        "how many cans",
        default=None,
        words=Words("{} cans", ends=("can", "cans"), any_work=True),
    )


WATERED: Record[Entry] = record_of(WateredEntry)  # type: ignore[assignment]


@pytest.mark.parametrize(
    ("typed", "held", "paper"),
    [
        ("water rain", {"water": "rain"}, "water rain"),
        ("wat ra", None, ""),
        ("wired 1 water tap 3 cans", {"work": "wiring", "branches": ["1"], "water": "tap", "cans": 3}, ""),
        ("looked; vigour 4", None, ""),
    ],
)
def test_a_new_field_is_heard_written_read_and_printed(
    typed: str, held: dict[str, object] | None, paper: str
) -> None:
    if held is None:
        grammar = Grammar(KNOWLEDGE, Ledger(), entries=WATERED)
        readings = read_notes(f"tree 014\n14 oct 2026 {typed}\n", grammar)
        assert all("water" not in part for r in readings for part in r.parts)
        return
    file = entry_of(heard(typed, METRIC, WATERED), DAY, "", METRIC, WATERED)
    assert file == {"date": "2026-10-14", **held}
    entry = from_file(entry_text(file), METRIC, WATERED)
    assert isinstance(entry, WateredEntry) and entry.water == held["water"]
    said = render_entry(entry, METRIC)
    assert not paper or said == paper
    assert f"water {held['water']}" in said
    if ";" not in said:
        assert entry_of(heard(said, METRIC, WATERED), DAY, "", METRIC, WATERED) == file


def test_a_new_field_is_checked_and_in_the_schema() -> None:
    document = read_text("{date: 2026-10-14, water: rian, catns: 3}", "t")
    assert document.root is not None
    reading = Context(document, words=WORDS)
    assert WATERED.read(document.root, reading) is FAILED
    assert [(p.message, p.hint) for p in reading.problems] == [
        ("expected a water, found 'rian'", "did you mean 'rain'?"),
        ("'catns' is no key of a log entry", "did you mean 'cans'?"),
    ]
    validator = jsonschema.Draft202012Validator(dict(WATERED.schema(WORDS)))
    assert validator.is_valid({"date": "2026-10-14", "water": "well", "cans": 2})
    assert not validator.is_valid({"date": "2026-10-14", "water": "sea"})
    assert not jsonschema.Draft202012Validator(dict(ENTRY.schema(WORDS))).is_valid(
        {"date": "2026-10-14", "water": "well"}
    )


def test_a_new_field_stands_where_it_is_declared() -> None:
    keys = [f.key for f in WATERED.fields]
    assert keys[-2:] == ["water", "cans"]
    entry = WateredEntry(date=read_when("2026-10-14"), note="x", water="tap", cans=2)
    assert list(WATERED.parts(entry)) == ["date", "note", "water", "cans"]
    assert render_entry(entry, METRIC) == "x; water tap; 2 cans"


# -- one field's value, for whoever reads notes ------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "words", "value", "used"),
    [
        ("mix", "mix 2 pumice 1 lava 75 min", {"pumice": 2.0, "lava": 1.0}, 5),
        ("branches", "1, 2 and S1 copper", ("1", "2", "S1"), 4),
        ("branches", "4 40 min", ("4",), 1),
        ("minutes", "40 min and so on", 40, 2),
        ("vigour", "vigor: 4, tips 3", 4, 2),
        ("wire", "2.5mm 1 2", (2.5,), 1),
        ("bench", "moved to east 2", "east 2", 4),
        ("stage", "stage primary branches soon", "primary branches", 3),
        ("roots", "light roots", "light", 2),
        ("by", "by autumn", None, 0),
        ("merged", "merged with the neighbour", None, 0),
        ("vigour", "vigour 9", None, 0),
        ("weighed", "weighed wet 4 dry 5", None, 0),
        ("photo", "photo of the front", None, 0),
    ],
)
def test_a_value_is_read_by_its_field(name: str, words: str, value: object, used: int) -> None:
    field: AnyField = ENTRY.by_key[name]
    note = NoteContext(METRIC, WORDS, ends=ENTRY.note_words.ends)
    found = read_value(field, words.split(), note)
    assert found == (None if value is None else Heard(field, value, used))


@pytest.mark.parametrize(
    "remark",
    [
        "new leaves",
        "merged with the neighbour's roots",
        "by the gate",
        "count the tips",
        "bench needs paint",
        "done it again",
    ],
)
def test_what_only_begins_like_a_field_stays_a_remark(remark: str) -> None:
    assert heard(remark, METRIC) == {"note": remark}


def test_a_tree_goes_from_file_to_file(demo_trees: list[str]) -> None:
    def bare(tree: Tree) -> Tree:
        log = tuple(replace(e, spot=0) for e in tree.log)
        return replace(tree, place=NOWHERE, log=log, branches=tuple(replace(b, place=NOWHERE) for b in tree.branches))

    for text in demo_trees:
        tree, problems = read_tree(text, "t", lambda document: Context(document, words=WORDS))
        assert tree is not None and not problems
        written = TREE.written(tree, METRIC)
        assert isinstance(written, Mapping)
        again, faults = read_tree(json.dumps(written), "t", lambda document: Context(document, words=WORDS))
        assert again is not None and not faults
        assert bare(again) == bare(tree)


@pytest.fixture
def demo_trees() -> list[str]:
    from ..conftest import DEMO

    return [p.read_text("utf-8") for p in sorted((DEMO / "trees").glob("*.yaml"))]


COLLECTION_TEXT = """
format: 1
title: Slope garden
link: "https://trees.example.org/{file}"
units: UNITS
site:
  latitude: 46.1
  longitude: 14.5
  elevation: 310
  normals:
    tmin: [-3.4, -2.5, 1.2, 5.1, 9.8, 13.4, 15.1, 14.8, 10.9, 7.0, 2.2, -2.1]
    tmax: [3.6, 6.4, 11.6, 16.4, 21.2, 25.0, 27.1, 26.8, 21.5, 15.4, 8.9, 4.0]
    years: 1991-2020
    coldest_night: -13
  frost: {last: 04-24, first: 10-16}
bench_days: {saturday: 3h, sunday: 90min}
species: {Ginkgo biloba: {group: maple}}
groups: {maple: {swell: 210, root_limit: -4, thickening: 0.1}}
works: {moss care: {groups: [all], window: open / open + 10 / midsummer, every: 2, vigour: 3, sign: moss thick, too_late: no, typed: [mossed]}}
places: {tunnel: {warmer: 3, frost_free: true, from: 11-01, to: 04-15}, cottage: {latitude: 47}}
date_order: month-day
marks: {maple: {swell: 03-20}}
months: {2027-03: {tmin: 0.4, tmax: 9.8}}
"""


@pytest.mark.parametrize("units", ["metric", "us"])
def test_the_settings_go_from_file_to_file(units: str) -> None:
    """Every key of `collection.yaml`, in both systems of units."""
    document = read_text(COLLECTION_TEXT.replace("UNITS", units), "collection.yaml")
    assert document.root is not None
    known = UNITS[units]
    read = COLLECTION.read(document.root, reading := Context(document, known, words=WORDS))
    assert read is not FAILED and not reading.problems, reading.problems
    written = COLLECTION.written(read, known)
    assert isinstance(written, Mapping)
    assert set(written) == {f.key for f in COLLECTION.fields} - ({"units"} if units == "metric" else set())
    again = read_text(json.dumps(written), "collection.yaml")
    assert again.root is not None
    twice = COLLECTION.read(again.root, other := Context(again, known, words=WORDS))
    assert twice is not FAILED and not other.problems, other.problems
    assert json.dumps(COLLECTION.written(twice, known)) == json.dumps(written)


@pytest.mark.parametrize(
    ("place", "message"),
    [
        ("{}", "a place says nothing"),
        (
            "{normals: {tmin: [0,0,0,0,0,0,0,0,0,0,0,0], tmax: [9,9,9,9,9,9,9,9,9,9,9,9]}}",
            "a place with normals lacks 'latitude'",
        ),
        ("{warm: 3}", "'warm' is no key of a place"),
    ],
)
def test_a_place_that_can_not_be_meant_is_told(place: str, message: str) -> None:
    document = read_text(f"{{format: 1, title: t, places: {{tunnel: {place}}}}}", "collection.yaml")
    assert document.root is not None
    reading = Context(document, words=WORDS)
    COLLECTION.read(document.root, reading)
    assert [p.message for p in reading.problems] == [message]
