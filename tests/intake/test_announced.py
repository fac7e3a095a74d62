"""Whatever is announced is understood: every word of `words`, of works.yaml and of paper, typed and held to what it should become.

The measure is the announcement itself: what growers are told that they may write.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from dataclasses import replace
from datetime import date
from itertools import chain
from pathlib import Path
from typing import Any

import pytest

from logbook.collection.dates import on_day
from logbook.collection.entry_text import render_entry
from logbook.collection.fields import COLLECTION, ENTRY, Settings
from logbook.collection.kinds import AnyField, Context, Record
from logbook.collection.load import load
from logbook.collection.units import METRIC, US, Units
from logbook.collection.yaml_reader import read_text
from logbook.horticulture.knowledge import Knowledge
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Thing, Work
from logbook.intake.announced import fields_said, lines_said, seen_said, work_said
from logbook.intake.grammar.headers import Grammar, Known
from logbook.intake.grammar.lines import read_notes
from logbook.intake.grammar.readings import Reading
from logbook.intake.grammar.vocabulary import vocabulary
from logbook.planning.asked import ask_words
from logbook.planning.grounds import Ask
from logbook.storage.printed import Offered, Sheet

from ..conftest import DEMO, Answer, make_collection
from .test_lines import SHEET, Ledger

KNOWLEDGE = shipped_knowledge()
WORDS = vocabulary(KNOWLEDGE)
WORKS = list(KNOWLEDGE.works.values())
OFF = next(work.typed[0] for work in WORKS if Thing.WIRE in work.takes)
BRANCHES = Known(frozenset(("1", "2", "3", "4", "5", "6", "S1")))
DAY_OF = {"leaf fall": "14 oct", "swell": "20 apr", "open": "20 apr"}
FIELDS = fields_said(KNOWLEDGE)
AFTER = {said.key: said for said in FIELDS}


def read(
    typed: str, day: str = "2 jul", units: Units = METRIC, knowledge: Knowledge = KNOWLEDGE, **more: Any
) -> Reading:
    """The one reading of a plain line of a tree whose branches are known."""
    grammar = Grammar(knowledge, Ledger(), units=units, trees={"014": BRANCHES}, partial=True, **more)
    (one,) = read_notes(f"tree 014\n{day} {typed}\n", grammar)
    return one


def heard(typed: str, **more: Any) -> list[dict[str, Any]]:
    """Its entries; nothing may be asked."""
    one = read(typed, **more)
    assert not one.question and not one.fault and not one.unread, (typed, one.question or one.fault)
    return [dict(part) for part in one.parts]


def whole(typed: str, **more: Any) -> dict[str, Any]:
    """The one entry that it makes, with no word left over."""
    (part,) = heard(typed, **more)
    assert "note" not in part, (typed, part)
    return part


# -- works -----------------------------------------------------------------------------------------------------------


def names_of(work: Work) -> list[str]:
    """What a work is called where nothing else stands: its name, the words it is typed by, and how paper says it was done."""
    return list(dict.fromkeys((work.name, *work.typed, work.past())))


@pytest.mark.parametrize(("name", "typed"), [(w.name, said) for w in WORKS for said in names_of(w)])
def test_a_works_names_are_the_work(name: str, typed: str) -> None:
    hard = {"force": "heavy"} if typed.endswith(" hard") else {}
    assert whole(typed) == {"work": name, **hard}


@pytest.mark.parametrize(("name", "typed"), [(w.name, said) for w in WORKS for said in work_said(w, WORDS)])
def test_what_words_tells_of_a_work_is_the_work(name: str, typed: str) -> None:
    """Where it is, or how far it went, may stay as the entry's remark, in its own words."""
    (part,) = heard(typed)
    assert part["work"] == name
    assert set(part.get("note", "").split()) <= set(typed.split())


@pytest.mark.parametrize(("name", "detail"), [(w.name, d) for w in WORKS for d in w.details])
def test_a_work_bears_the_details_that_words_tells_of_it(name: str, detail: str) -> None:
    """Behind the first of its words, each phrase of the detail says what it says behind the work of its example."""
    first = KNOWLEDGE.works[name].typed[0]
    told = re.sub(r"^[^\d]*", "", AFTER[detail].after)  # the branch that stands before the detail
    for phrase, example in zip(AFTER[detail].said, AFTER[detail].lines, strict=True):
        meant = whole(example)[detail]
        for between in (" ", ", "):
            line = f"{first}{between}{f'{told} {phrase}'.strip()}"
            if detail == "bite" and OFF in line and between == ", ":
                assert "off that branch only" in read(line).question, "one branch, or all of them?"
                continue
            if between == " " and name in LOOSE:
                assert read(line).question.endswith(f"may be {name}: was that done?")
                continue
            made = whole(line)
            assert made["work"] == name and made[detail] == meant, made


LOOSE = {"lifting"}  # a pot is lifted as well, or roots to look at them: with more behind it and no comma it is asked


@pytest.mark.parametrize("name", [w.name for w in WORKS if "branches" in w.details])
def test_a_job_as_a_sheet_prints_it_is_the_work_on_those_branches(name: str) -> None:
    assert whole(f"{name} 1, 2") == {"work": name, "branches": ("1", "2")}


@pytest.mark.parametrize("name", [w.name for w in WORKS if "force" in w.details])
def test_a_heavy_turn_as_paper_says_it_was_done(name: str) -> None:
    assert whole(KNOWLEDGE.works[name].past("heavy")) == {"work": name, "force": "heavy"}


@pytest.mark.parametrize("name", [w.name for w in WORKS])
def test_an_entry_with_all_its_details_is_typed_as_it_is_printed(name: str) -> None:
    made: dict[str, Any] = {"work": name}
    for detail in KNOWLEDGE.works[name].details:
        made[detail] = whole(AFTER[detail].lines[0])[detail]
    made |= {"minutes": 90, "by": "m"}
    printed = render_entry(ENTRY.heard({"date": on_day(date(2026, 7, 2)), **made}), METRIC)
    assert whole(printed) == made, printed


# -- what is seen, measured and meant --------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("name", "typed"), [(n, s) for n, said in seen_said(KNOWLEDGE, "sign").items() for s in said]
)
def test_a_sign(name: str, typed: str) -> None:
    assert {"saw": name} in heard(typed, day=DAY_OF.get(name, "2 jul"))


@pytest.mark.parametrize(
    ("name", "typed"), [(n, s) for n, said in seen_said(KNOWLEDGE, "trouble").items() for s in said]
)
def test_a_trouble(name: str, typed: str) -> None:
    assert name in [part.get("trouble") for part in heard(typed)]


@pytest.mark.parametrize("units", [METRIC, US], ids=lambda u: u.name)
@pytest.mark.parametrize("key", list(AFTER))
def test_a_field(key: str, units: Units) -> None:
    (row,) = (said for said in fields_said(KNOWLEDGE, units) if said.key == key)
    for line in row.lines:
        (part,) = heard(line, units=units)
        assert key in part and ("note" not in part or key == "note"), (line, part)


def test_every_field_that_a_note_says_is_announced() -> None:
    assert set(AFTER) == {f.key for f in ENTRY.fields if f.words.paper}


# the words that `explain fields` tells, each with what it stands before (or behind) to be a whole line
EXAMPLES: dict[str, tuple[str, str]] = {
    "branches": ("wired", "1 2"),
    "roots": ("repotted", "hard"),
    "bite": ("wire off 1", "none"),
    "keep": ("wired 1,", ""),
    "mix": ("repotted", "2 pumice 1 lava"),
    "pot.shape": ("repotted", "oval"),
    "measured.trunk": ("", "38"),
    "measured.height": ("", "310"),
    "measured.crown": ("", "260"),
    "measured.leaf": ("", "15"),
    "measured.tips": ("", "64"),
    "vigour": ("", "4"),
    "saw": ("", "swell"),
    "stage": ("", "refinement"),
    "rest": ("", "over"),
    "trouble": ("", "pests"),
    "intend": ("", "more light"),
    "intend.by": ("intend more light", "autumn 2028"),
    "did": ("", "shorten S2"),
    "found": ("", "ramification"),
    "found.stage": ("record begins:", "ramification"),
    "found.vigour": ("record begins:", "3"),
    "found.repotted": ("record begins:", "2021"),
    "found.wired": ("record begins:", "Oct 2025"),
    "found.acquired": ("record begins:", "2009"),
    "weighed": ("", "wet 5.2 dry 4.1"),
    "weighed.wet": ("weighed", "5.2"),
    "weighed.dry": ("weighed", "4.1"),
    "new": ("", "031"),
    "merged": ("", "015"),
    "count": ("", "37"),
    "bench": ("", "east 2"),
    "aim": ("", "a broad crown"),
    "front": ("", "scar to the left"),
    "style": ("", "informal upright"),
    "targets": ("", "trunk 60"),
    "targets.trunk": ("target", "60"),
    "targets.height": ("target", "400"),
    "targets.crown": ("target", "300"),
    "targets.leaf": ("target", "12"),
    "targets.tips": ("target", "200"),
    "minutes": ("repotted", "90"),
    "by": ("repotted", "m"),
    "note": ("", "wired look"),
    "photo": ("", "photos/014.jpg"),
}


def spoken() -> Iterator[tuple[str, AnyField]]:
    """Every field of an entry that is known by words of its own, those within others too."""
    for field in ENTRY.fields:
        inner = field.kind.inner()
        within = ((f"{field.key}.{part.key}", part) for part in inner.fields) if isinstance(inner, Record) else ()
        for name, one in ((field.key, field), *within):
            if one.words.starts or one.words.exact or one.words.ends:
                yield name, one


def test_every_word_that_explain_tells_has_an_example() -> None:
    assert set(EXAMPLES) == {name for name, _ in spoken()}


@pytest.mark.parametrize(("name", "field"), list(spoken()), ids=lambda v: v if isinstance(v, str) else "")
def test_a_fields_words_say_it(name: str, field: AnyField) -> None:
    before, value = EXAMPLES[name]
    key, _, inner = name.partition(".")
    typed = [f"{before} {word} {value}" for word in (*field.words.starts, *field.words.exact)]
    for line in chain(typed, (f"{before} {value} {word}" for word in field.words.ends)):
        (part,) = heard(line.strip())
        assert key in part and ("note" not in part or key == "note"), (line, part)
        held = part[key]
        assert not inner or (held.get(inner) if isinstance(held, dict) else getattr(held, inner)), (line, held)


# -- what paper says besides -----------------------------------------------------------------------------------------


@pytest.mark.parametrize("line", lines_said(), ids=lambda line: line.said)
def test_a_line_of_a_sheet(line: Any) -> None:
    printed = replace(SHEET, jobs=(*SHEET.jobs, Offered("rp", "014", "repotting")))
    if line.on == "walk":
        tags, jobs = ("014", "016"), (Offered("016", "016", "repotting"),)
        lines = {tag: tag for tag in tags}
        printed = Sheet("00143-1", SHEET.day, "walk-a4", 2, "metric", tags, lines, jobs, by_tag=True)
    grammar = Grammar(KNOWLEDGE, Ledger({printed.serial: printed}))
    one = read_notes(f"sheet {printed.serial}\n1 2 jul looked\n{line.said}\n", grammar)[-1]
    if line.said.endswith("?"):
        assert one.unread
    elif line.said.endswith("-"):
        assert one.nothing
    else:
        assert not one.question and not one.fault and one.parts
        assert all("note" not in part for part in one.parts)


@pytest.mark.parametrize("title", ["looked, all well", "look it over"])
def test_the_look_over_as_paper_calls_it(title: str) -> None:
    assert KNOWLEDGE.works[whole(title)["work"]].is_look_over


ANSWERS = {
    Ask.TROUBLE: ("trouble over", "trouble"),
    Ask.STAGE: ("stage refinement", "stage"),
    Ask.VIGOUR: ("vigour 3", "vigour"),
    Ask.STILL_STRONG: ("vigour 4", "vigour"),
    Ask.POTTING: ("2021 repotted", "work"),
}


@pytest.mark.parametrize("ask", Ask)
def test_what_a_sheet_asks_can_be_answered_in_its_words(ask: Ask) -> None:
    typed, key = ANSWERS[ask]
    told = ask_words(ask, KNOWLEDGE.stages)
    assert set(typed.rstrip("34").split()) <= set(re.findall(r"\w+", told)), "the sheet itself tells the words"
    part = whole(typed, day="" if key == "work" else "2 jul")
    assert key in part


@pytest.mark.parametrize("stage", KNOWLEDGE.stages)
def test_every_stage_that_a_sheet_names(stage: str) -> None:
    assert whole(f"stage {stage}") == {"stage": stage}


PLACES = ("greenhouse", "cold frame", "Nordseite", "by the pond", "shed 3", "in the porch", "A2", "north", "pot wall")


@pytest.mark.parametrize("form", ["moved to {}", "moved {}", "bench {}", "moved to the {}"])
@pytest.mark.parametrize("place", [*PLACES, *sorted({t.bench for t in load(DEMO, KNOWLEDGE).trees if t.bench})])
def test_a_bench_of_the_collection_is_known_by_its_name(place: str, form: str) -> None:
    if form.endswith("the {}") and " " in place:
        return  # nobody says: moved to the by the pond
    assert whole(form.format(place), benches=frozenset((place, "east 1"))) == {"bench": place}


# -- words of one's own ----------------------------------------------------------------------------------------------


def own(text: str) -> Knowledge:
    document = read_text(f"format: 1\ntitle: t\nworks:\n{text}", "collection.yaml")
    context = Context(document, words=KNOWLEDGE.words)
    assert document.root is not None
    settings = COLLECTION.read(document.root, context)
    assert isinstance(settings, Settings), context.problems
    knowledge, problems = KNOWLEDGE.own(settings)
    assert not problems
    return knowledge


def test_a_collections_own_words_for_a_shipped_work_say_it() -> None:
    knowledge = own("  repotting: {typed: [tubbed, rehoused]}\n")
    for typed in ("tubbed", "rehoused roots light", "tubbed; trunk 42"):
        assert heard(typed, knowledge=knowledge)[0]["work"] == "repotting"
    assert heard("tubbed") == [{"note": "tubbed"}], "others' words stay as they were"


def test_a_collections_own_work_is_said_by_its_words() -> None:
    text = "  moss care: {groups: all, window: open / open + 10 / midsummer, sign: moss thick, typed: [moss done]}\n"
    knowledge = own(text)
    assert whole("moss done", knowledge=knowledge) == whole("moss care", knowledge=knowledge) == {"work": "moss care"}


def test_own_words_that_no_note_could_say_are_told(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    works = "works:\n  repotting: {typed: [tubbed, not watered, wired]}\n"
    folder = make_collection(tmp_path, {}, f"format: 1\ntitle: t\n{works}")
    out = bench("check", folder=folder).all
    assert "'not watered' is a word of repotting, but a note that says it is not read so" in out
    assert "'wired' is a word of wiring, but" in out, "another work has it now"
    assert "'tubbed'" not in out and out.count("is not read so") == 2
