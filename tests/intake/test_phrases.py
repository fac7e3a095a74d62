"""Pencil lines as growers write them: 622 that were judged by hand, our own, and lines composed of the reader's own words.

The lines are an invented scenario and common practice of the trade, no source.
"""

from __future__ import annotations

import contextlib
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from logbook.cli.main import run as run_cli
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.vocabulary import Frame, vocabulary

from . import phrases_judge
from .own_lines import GRAMMAR, Line, answer_to, is_right, lines
from .test_lines import read

WORDS = vocabulary(shipped_knowledge())
HERE = Path(__file__).parent


def planned(folder: Path, notes: Path, today: str) -> list[dict[str, Any]]:
    out = io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(io.StringIO()):
        run_cli(["-C", str(folder), "reconcile", str(notes), "--dry-run", "--json", "--today", today])
    items: list[dict[str, Any]] = json.loads(out.getvalue())["items"]
    return items


def test_the_lines_that_were_judged_by_hand(tmp_path: Path) -> None:
    results = phrases_judge.verdicts(tmp_path, planned)
    bad = [
        f"{c['id']}: {' // '.join(phrases_judge.typed(c))}: {v}, {why}"
        for c, v, why, _ in results
        if v not in ("exact", "partial")
    ]
    told = "\n".join(bad)
    assert len(results) == 622
    assert not [b for b in bad if ": harmful" in b], told
    assert phrases_judge.share(results, 1) >= 99, told
    assert phrases_judge.share(results, 2) >= 97, told
    assert phrases_judge.asked_of_readable(results) <= 5


OWN = [
    line
    for name in (
        "own_lines.txt",
        "own_lines2.txt",
        "own_lines3.txt",
        "own_lines4.txt",
        "own_lines5.txt",
        "own_lines6.txt",
    )
    for line in lines(HERE / name)
]


def test_our_own_lines() -> None:
    wrong = [(line.text, answer) for line in OWN if not is_right(line, *(answer := answer_to(line)))]
    assert len(OWN) >= 1600
    assert not wrong


@pytest.mark.parametrize(("name", "right"), [("own_lines7.txt", 228), ("own_lines8.txt", 93), ("own_lines9.txt", 52)])
def test_lines_that_were_written_before_they_were_read(name: str, right: int) -> None:
    """What the reader reaches, of 250, 101 and 52: those of the first were looked at since, of the second only what did harm; the third
    was written to be misheard.

    Before it was mended by any of them it read 211 of the first rightly, then 92 of the second.
    """
    answers = [(line, *answer_to(line)) for line in lines(HERE / name)]
    wrong = [(line.text, word, entries) for line, word, entries in answers if not is_right(line, word, entries)]
    assert len(answers) - len(wrong) >= right, wrong
    for text, word, entries in wrong:
        said = next(line for line, *_ in answers if line.text == text).answers
        works = {str(entry["work"]) for entry in entries if "work" in entry and not word}
        assert all(any(work in answer for answer in said) for work in works - {"measuring"}), (text, entries)


@pytest.mark.parametrize(("kind", "name"), sorted(WORDS.samples))
def test_every_word_has_two_lines_that_say_it(kind: str, name: str) -> None:
    key = {"work": "work", "sign": "saw", "trouble": "trouble"}.get(kind)
    day = {"leaf fall": "14 oct"}.get(name, "20 apr" if name in ("swell", "open") else "2 jul")
    said = WORDS.samples[kind, name]  # type: ignore[index]
    assert len(said) >= 2
    for sample in said:
        (reading,) = read(f"{day} {sample}")
        if kind == "ending":
            assert "come to an end" in reading.question and name in reading.question, sample
        else:
            assert not reading.question, reading
            assert name in [part.get(str(key)) for part in reading.parts], sample


@pytest.mark.parametrize("work", shipped_knowledge().works.values(), ids=lambda work: work.name)
def test_the_words_a_work_is_typed_by_say_it_or_are_asked(work: Any) -> None:
    for typed in work.typed:
        (reading,) = read(f"2 jul {typed}")
        assert reading.question or work.name in [p.get("work") for p in reading.parts], typed
        assert work.name in [p.get("work") for p in reading.parts], typed


# -- lines composed of the same words ------------------------------------------------------------------------------

ODD = {"ID", "SID", "SIZE", "BITE", "CUTIN"}  # made of numbers; and no bite is a fact
SAYS = [f for f in WORDS.frames if f.kind == "work" and not (f.asks or f.alone or ODD & set(f.classes))]
SPELT: dict[str, list[str]] = {}
for _word, _classes in WORDS.classes.items():
    for _name in _classes:
        SPELT.setdefault(_name, []).append(_word)
for _key, _classes in WORDS.terms.items():
    for _name in _classes:
        SPELT.setdefault(_name, []).append(" ".join(_key))
SPELT |= {"NPK": ["6-6-6"], "TOLEAF": ["to two leaves", "to 2 lvs"]}
GUARDS = (
    "not {}", "should be {}", "needs {}", "if dry {}", "{} next year", "{} when it rains", "never {}", "did not {}",
    "plan: {}", "neighbour {}", "must be {}", "{} until june", "might be {}", "to do: {}",
)  # fmt: skip


@st.composite
def sayings(draw: st.DrawFn) -> tuple[Frame, str]:
    frame = draw(st.sampled_from(SAYS))
    words = [draw(st.sampled_from(sorted(SPELT[name]))) for name in frame.classes]
    return frame, " ".join(draw(st.permutations(words)))


@given(sayings(), st.sampled_from(GUARDS))
@settings(max_examples=250, deadline=None)
def test_a_guard_in_no_work_out(saying: tuple[Frame, str], guard: str) -> None:
    """Whatever is denied, wished, meant for later or on a condition becomes no work."""
    for reading in read(f"14 oct {guard.format(saying[1])}", grammar=GRAMMAR):
        written = [] if reading.question else [p for p in reading.parts if "work" in p or "saw" in p]
        assert not written, (reading.text, written)


TAILS = st.lists(
    st.sampled_from(
        ["1", "2", "4-5", "copper 2.5", "3mm alu", "90 min", "12 shoots", "at 5 cm", "branch 3", "xyzzy", "the old front",
         "#4", "roots light", "6-6-6", "2 or 3", "bite starting", "on 1 and 2", "hard", "S1", "7 litres", "till noon"]
    ),
    max_size=4,
)  # fmt: skip


@given(sayings(), TAILS, st.sampled_from([" ", ", ", "; ", " - ", ". "]))
@settings(max_examples=250, deadline=None)
def test_every_number_out_stands_in_the_line_and_no_word_is_lost(
    saying: tuple[Frame, str], tails: list[str], mark: str
) -> None:
    line = mark.join([saying[1], *tails])
    for reading in read(f"14 oct {line}", grammar=GRAMMAR):
        assert reading.parts
        said = set(re.findall(r"\d+(?:\.\d+)?", line)) | {"1", "2", "3", "4", "5"} & _ranged(line)
        for part in reading.parts:
            bare = {k: v for k, v in part.items() if k not in ("note", "intend")}
            numbers = {n.removesuffix(".0") for n in re.findall(r"\d+(?:\.\d+)?", repr(bare))}
            assert numbers <= said | {"60", "120"}, (line, bare)
        told = " ".join(str(p) for p in reading.parts)
        assert "xyzzy" not in line or "xyzzy" in told, (line, reading.parts)
        assert "the old front" not in line or "front" in told, (line, reading.parts)


def _ranged(line: str) -> set[str]:
    return {"4", "5"} if "4-5" in line else set()


def test_the_judge_sees_harm() -> None:
    """The judge itself: a work nobody did is harmful, a lost one is told, a remark for a remark is right."""
    case = {"context": {"units": "metric"}, "expect": "remark", "date": ["2027-04-10"]}
    entry = {"date": "2027-04-10", "work": "wiring"}
    assert phrases_judge.judge(case, [{"fate": "write", "tag": "q", "entry": entry}], "q")[0] == "harmful"
    note = {"date": "2027-04-10", "note": "x"}
    assert phrases_judge.judge(case, [{"fate": "write", "tag": "q", "entry": note}], "q")[0] == "exact"
    lost = {**case, "expect": [{"work": "wiring"}]}
    assert phrases_judge.judge(lost, [{"fate": "write", "tag": "q", "entry": note}], "q")[0] == "remark"
    assert not is_right(Line("", "", "", ("wiring [1]",)), "", [{"work": "wiring", "branches": ["2"]}])


# -- an `off` that lost a letter: wire that came off must not stay on for ever, nor come on -----------------------------------


@pytest.mark.parametrize("line", ["wire of 1 2 3", "wires of", "wired of 2", "wired off 2", "removed wire of 2"])
def test_wire_of_is_asked(line: str) -> None:
    (reading,) = read(f"2 jul {line}")
    assert reading.question and "off" in reading.question, reading


@pytest.mark.parametrize("line", ["put wire of 3mm on 2", "put new wire of 2.5 mm on 2"])
def test_wire_of_a_size_is_wire(line: str) -> None:
    (reading,) = read(f"2 jul {line}")
    assert not reading.question and [part.get("work") for part in reading.parts] == ["wiring"]
