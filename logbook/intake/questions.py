"""Questions one by one: what may be answered, and what an answer makes of an item. Reads and shows through a callable."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from contextlib import suppress
from dataclasses import replace
from typing import Protocol

from ..collection.entry_text import render_entry
from ..collection.yaml_editor import Value, entry_text
from ..diagnostics import Problem
from ..horticulture.work import Hard
from .archive import with_answers
from .leaving import LATER, TOLD, is_later
from .line_status import day_from_above
from .other_tree import Trees
from .plan import as_meant, as_new, old_entry
from .plan_items import UNSETTLED, Item, Plan, PlanContext


class Talk(Protocol):
    """Shows lines and gives the answer; `typed` stands in the line already, to be mended."""

    def __call__(self, lines: Sequence[str], typed: str = "") -> str:
        """The answer, without the space around it."""
        ...


class Reread(Protocol):
    """Makes items of a line as it is typed now, or as a line of the tree `tag`."""

    def __call__(self, item: Item, text: str, tag: str = "") -> Sequence[Item]:
        """The items."""
        ...


CHOICES: Mapping[str, str] = {
    "m": "that is what was meant",
    "w": "write it as read",
    "n": "take the new words; the old entry stays and is marked as replaced",
    "e": "close this tree's record",
    "r": "keep it as a remark",
    "t": "type it anew",
    "d": "set it aside for good",
    "l": "leave it waiting",
}


def choices(item: Item) -> tuple[str, ...]:
    """The answers that make sense for a question."""
    if item.kind == "conflict":
        return ("n", "d", "l")
    if not item.entry:
        return ("d", "l")
    if item.reading.proposal is not None:
        return ("e", "w", "d", "l")
    if set(item.entry) - {"date", "note", "from"}:
        return ("w", "r", "d", "l")
    return ("m", "w", "d", "l") if item.reading.meant else ("w", "d", "l")


def likeliest(item: Item, context: PlanContext) -> str:
    """The answer that Enter gives: what the line most likely says. Empty where a doubt stands against what was read well.

    A hard work that was only guessed is settled by no Enter, not even as a remark: the line waits.
    """
    allowed = choices(item)
    if _guesses_a_hard_work(item, context):
        return ""
    if "m" in allowed:
        return "m"
    read = bool(set(item.entry) - {"date", "note", "from"})
    asked_by_words = bool(item.reading.question) and item.why == item.reading.question
    return "w" if read and asked_by_words and "w" in allowed else ""


def _guesses_a_hard_work(item: Item, context: PlanContext) -> bool:
    work = (item.reading.meant or item.entry).get("work")
    known = context.knowledge.works.get(str(work))
    return item.reading.guessed and known is not None and known.hard is not Hard.NEVER


def answered(context: PlanContext, item: Item, choice: str) -> Item:
    """The item after its answer."""
    if choice == "w":
        return replace(item, fate="write", why="", hint="")
    if choice == "e" and item.reading.proposal is not None:
        return _as_ended(item, item.reading.proposal.how)
    if choice == "m":
        return as_meant(context, item)
    if choice == "n":
        return as_new(context, item)
    if choice == "r":
        return _as_remark(context, item)
    return replace(item, fate="dismissed", why="") if choice == "d" else item


def _as_ended(item: Item, how: str) -> Item:
    """The line as a remark, and the tree's record closed on its day."""
    ended = {"date": item.entry["date"], "how": how}
    return replace(
        item, fate="write", told=f"{item.told}; its record is closed ({how})", why="", hint="", ended=ended
    )


def _as_remark(context: PlanContext, item: Item) -> Item:
    kept = {"date": item.entry["date"], "note": item.reading.text}
    source = {"from": item.entry["from"]} if "from" in item.entry else {}
    entry: dict[str, Value] = {**kept, **source}
    model = context.read_entry(entry_text(entry))
    told = item.told if isinstance(model, Problem) else render_entry(model, context.collection.settings.units)
    return replace(item, fate="write", entry=entry, told=told, why="", hint="")


def asked(plan: Plan, context: PlanContext, talk: Talk, reread: Reread | None = None) -> Plan:
    """Put every question to the grower; an empty answer takes the likeliest or leaves it waiting, an unknown one is asked again.

    Whoever leaves, by a word or by Ctrl-C, keeps what was answered; the first question says so.
    `reread` makes items of a line typed anew; it is offered where the line has made this one item.
    """
    answers: dict[int, Sequence[Item]] = {}
    lines = Counter(item.reading.number for item in plan.items)
    trees = Trees(context.collection, plan.items, reread)
    questions = [(n, item) for n, item in enumerate(plan.items) if item.fate == "question"]
    with suppress(KeyboardInterrupt):
        for place, (number, item) in enumerate(questions, start=1):
            allowed = choices(item)
            if reread and lines[item.reading.number] == 1 and item.kind != "conflict":
                allowed = (*allowed[:-1], "t", allowed[-1])
            asks = f"question {place} of {len(questions)}, line {item.reading.number}: {item.why}"
            leave = [f"  {TOLD}"] if place == 1 else []
            other = trees.asked_of(item)
            shown = ["", asks, *_shown(item, context), *_offered(item, allowed, context), *other, *leave]
            if number in answers:  # it went to another tree with the line that it is a part of
                continue
            settled = _settled(item, talk, shown, allowed, context, reread, trees if other else None)
            if settled is None:
                break
            answers |= trees.parted(number, item, settled)
    return with_answers(plan, answers)


def _settled(
    item: Item,
    talk: Talk,
    shown: Sequence[str],
    allowed: Sequence[str],
    context: PlanContext,
    reread: Reread | None,
    trees: Trees | None,
) -> Sequence[Item] | None:
    """What the grower makes of a question; None where they leave. A line that was not typed anew after all comes back to the menu."""
    while True:
        answer = _answer(talk, shown, allowed, trees) or likeliest(item, context)
        if answer == LATER:
            return None
        if trees and answer not in allowed and answer:
            return trees.moved(item, answer)
        if answer != "t" or reread is None:
            return (answered(context, item, answer),) if answer else (item,)
        if made := _anew(item, talk, reread):
            return made


def _shown(item: Item, context: PlanContext) -> list[str]:
    """What was typed and read, what stands in the file of the same line, and the hint."""
    reading = item.reading
    day = day_from_above(reading.typed, reading.text) if reading.typed else ""
    shown = [f"  typed: {reading.typed or reading.text}", *([f"  {day}"] if day else [])]
    shown += [f"  read as: {item.tag} {item.told}"] if item.told else []
    old = old_entry(context, item)
    tree = context.collection.tree(item.tag)
    if old is not None and tree is not None:
        words = render_entry(old, context.collection.settings.units)
        shown.append(f"  stands in {tree.place_of(old)}: {words}")
    return [*shown, f"  hint: {item.hint}"] if item.hint else shown


def _offered(item: Item, allowed: Sequence[str], context: PlanContext) -> list[str]:
    """The answers, each with its letter, and what Enter does."""
    remark = set(item.entry) <= {"date", "note", "from"}
    named = {**CHOICES, "w": "keep it as a remark"} if remark else CHOICES
    first = likeliest(item, context)
    enter = f"  Enter: {first}" if first else "  Enter leaves it waiting"
    return [*(f"  {letter}  {named[letter]}" for letter in allowed), enter]


def _anew(item: Item, talk: Talk, reread: Reread) -> Sequence[Item]:
    """The line as it is typed now, until it reads well; nothing where it is left."""
    shown, text = ["  type it as it should be (empty or unchanged goes back)"], item.reading.text
    while (said := talk(shown, text)) not in ("", text) and not is_later(said):
        text = said
        made = reread(item, text)
        doubts = [m.why for m in made if m.fate in UNSETTLED]
        if made and not doubts:
            return made
        shown = [f"  {'; '.join(doubts) or 'that says nothing'}: type it again (empty goes back)"]
    return ()


def _answer(talk: Talk, shown: Sequence[str], allowed: Sequence[str], trees: Trees | None) -> str:
    """One of the letters, a tree's tag, or that they leave; an empty string where nothing was answered, or nothing that fits three times."""
    for _ in range(3):
        said = talk(shown).casefold()
        if is_later(said):
            return LATER
        if not said or said in allowed:
            return said
        if trees and (tag := trees.named_in(said)):
            return tag
        shown = [f"  '{said[:20]}' is none of {', '.join(allowed)}; empty leaves it waiting"]
    return ""
