"""The small language of `own_lines.txt`: lines of growers and what each may become, and a judge of them."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from logbook.collection.fields import ENTRY
from logbook.collection.units import METRIC
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar, Known
from logbook.intake.grammar.lines import read_notes
from logbook.storage.printed import Ledger

GRAMMAR = Grammar(
    shipped_knowledge(),
    Ledger(),
    trees={"1": Known(frozenset(("1", "2", "3", "4", "5", "S1")))},
    partial=True,
)
_WORKS = sorted(GRAMMAR.knowledge.works, key=len, reverse=True)
_WORDS = ("remark", "ask", "intend", "bench", "aim")


@dataclass(frozen=True)
class Line:
    """A typed line, its day, and the answers that are right: a word, or entries."""

    topic: str
    text: str
    day: str
    answers: tuple[str, ...]


def lines(path: Path | None = None) -> Iterator[Line]:
    topic = ""
    for raw in (path or Path(__file__).with_name("own_lines.txt")).read_text("utf-8").splitlines():
        if raw.startswith("## "):
            topic = raw[3:]
        if "=>" not in raw or raw.startswith("#"):
            continue
        text, answers = raw.split("=>")
        dated = re.match(r"\[([^\]]+)\] ", text)
        day = dated[1] if dated else "10 apr"
        yield Line(
            topic, text[dated.end() if dated else 0 :].strip(), day, tuple(a.strip() for a in answers.split(" | "))
        )


def fields_of(told: str) -> dict[str, Any]:
    """One entry of an answer as fields: `wiring [1 2] copper 2.5`."""
    made: dict[str, Any] = {}
    work = next((w for w in _WORKS if told == w or told.startswith(w + " ")), "")
    if work:
        made["work"], told = work, told[len(work) :]
    for found in re.finditer(r"\[([^\]]*)\]", told):
        made["branches"] = found[1].split()
    for word in re.sub(r"\[[^\]]*\]", "", told).split():
        key, _, value = word.partition("=")
        if value:
            made[key] = _value(key, value)
        elif word in ("copper", "aluminium"):
            made["metal"] = word
        elif word == "keep":
            made["keep"] = True
        elif word.endswith("min"):
            made["minutes"] = int(word[:-3])
        else:
            made["wire"] = float(word)
    return made


def _value(key: str, value: str) -> Any:
    if ":" in value:
        parts = {name: float(number) for name, number in (p.split(":") for p in value.split(","))}
        return _shares(parts) if key == "mix" else parts
    return int(value) if value.isdigit() else value.replace("_", " ")


def _shares(mix: dict[str, Any]) -> dict[str, float]:
    return {name: round(float(part) / sum(map(float, mix.values())), 3) for name, part in mix.items()}


def answer_to(line: Line, grammar: Grammar = GRAMMAR) -> tuple[str, list[dict[str, Any]]]:
    """What the reader makes of a line: a word, and its entries without remarks."""
    reading = read_notes(f"tree 1\n{line.day} {line.text}", grammar)[-1]
    if reading.question or reading.fault:
        return "ask", []
    entries = [{k: v for k, v in ENTRY.entries(p, METRIC).items() if k != "note"} for p in reading.parts]
    entries = [e for e in entries if e]
    if not entries:
        return "remark", []
    word = next((w for w in ("intend", "bench", "aim") if all(w in e for e in entries)), "")
    for entry in entries:
        if "mix" in entry:
            entry["mix"] = _shares(entry["mix"])
    return word, entries


def is_right(line: Line, word: str, entries: list[dict[str, Any]]) -> bool:
    if word:
        return word in line.answers
    for answer in line.answers:
        if answer in _WORDS:
            continue
        wanted = [fields_of(part.strip()) for part in answer.split(" + ")]
        if sorted(map(_plain, wanted)) == sorted(map(_plain, entries)):
            return True
    return False


def _plain(entry: dict[str, Any]) -> str:
    return repr(sorted((k, _floats(v)) for k, v in entry.items()))


def _floats(value: Any) -> Any:
    if isinstance(value, dict):
        return sorted((k, float(v)) for k, v in value.items())
    return float(value) if isinstance(value, int | float) else value


if __name__ == "__main__":
    import sys

    wrong = 0
    given = list(lines(Path(sys.argv[1]) if len(sys.argv) > 1 else None))
    for one in given:
        word, entries = answer_to(one)
        if not is_right(one, word, entries):
            wrong += 1
            print(f"{one.topic[:10]:11}{one.text:52} want {' | '.join(one.answers):38} got {word or entries}")
    print(len(given) - wrong, "of", len(given))
