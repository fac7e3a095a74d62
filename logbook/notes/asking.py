"""Questions one by one: what may be answered, and what an answer makes of an item. Reads and shows through a callable."""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import replace

from ..problems import Problem
from ..record.telling import entry_told
from ..record.writing import Value, entry_text
from .keeping import with_answers
from .reconcile import Desk, Item, Plan, as_new, old_entry

Talk = Callable[[Sequence[str]], str]
CHOICES: Mapping[str, str] = {
    "w": "write it as read",
    "n": "take the new words; the old entry stays and is marked as replaced",
    "r": "keep it as a remark",
    "d": "set it aside for good",
    "l": "leave it waiting",
}


def choices(item: Item) -> tuple[str, ...]:
    """The answers that make sense for a question."""
    if item.kind == "conflict":
        return ("n", "d", "l")
    if not item.entry:
        return ("d", "l")
    return ("w", "r", "d", "l") if set(item.entry) - {"date", "note", "from"} else ("w", "d", "l")


def answered(desk: Desk, item: Item, choice: str) -> Item:
    """The item after its answer."""
    if choice == "w":
        return replace(item, fate="write", why="", hint="")
    if choice == "n":
        return as_new(desk, item)
    if choice == "r":
        kept = {"date": item.entry["date"], "note": item.reading.text}
        source = {"from": item.entry["from"]} if "from" in item.entry else {}
        entry: dict[str, Value] = {**kept, **source}
        model = desk.read_entry(entry_text(entry))
        told = item.told if isinstance(model, Problem) else entry_told(model, desk.collection.settings.units)
        return replace(item, fate="write", entry=entry, told=told, why="", hint="")
    if choice == "d":
        return replace(item, fate="dismissed", why="")
    return item


def asked(plan: Plan, desk: Desk, talk: Talk) -> Plan:
    """Put every question to the grower; an empty or unknown answer leaves it waiting."""
    answers: dict[int, Item] = {}
    questions = [(n, item) for n, item in enumerate(plan.items) if item.fate == "question"]
    for place, (number, item) in enumerate(questions, start=1):
        allowed = choices(item)
        shown = [
            "",
            f"question {place} of {len(questions)}, line {item.reading.number}: {item.why}",
            f"  typed: {item.reading.text}",
        ]
        shown += [f"  read as: {item.tag} {item.told}"] if item.told else []
        old = old_entry(desk, item)
        if old is not None and old.place.path:
            shown.append(
                f"  stands in {old.place.path}:{old.place.line}: {entry_told(old, desk.collection.settings.units)}"
            )
        shown += [f"  hint: {item.hint}"] if item.hint else []
        shown += [f"  {letter}  {CHOICES[letter]}" for letter in allowed]
        answer = talk(shown).casefold()[:1]
        if answer in allowed:
            answers[number] = answered(desk, item, answer)
    return with_answers(plan, answers)
