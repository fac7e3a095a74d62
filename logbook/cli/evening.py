"""The evening: `benchleaf` by itself, in a collection on a terminal. What waits is told, and numbers stand for verbs.

Enter takes the likeliest. Each answer names the command that was run, so that whoever wants to can type it the next time.
"""

from __future__ import annotations

import contextlib
import re
import shlex
import sys
from collections.abc import Callable, Sequence
from dataclasses import field
from datetime import date
from itertools import count
from pathlib import Path
from typing import Any

from ..collection.fields import ENDINGS
from ..collection.load import SETTINGS_FILE
from ..collection.model import Tree
from ..diagnostics import errors_in
from ..storage.printed import load_ledger
from ..values import dataclass
from .common import by_number_or_name
from .double_click import remade
from .evening_add import species_words
from .evening_state import Tonight, told, tonight
from .inbox import INBOX, NOT_READ, of_sheets, put_away
from .results import QUESTION, Result, ask, say

# runs a verb's words and shows what it gives; None where it was stopped or refused
Do = Callable[..., Result | None]
PRINT = "print"
TYPE, READ, NEXT, CARRY, ELSE = "12345"
MENU = {
    TYPE: "type what I wrote",
    READ: f"read pictures, scans and notes from {INBOX}/",
    NEXT: "what comes next",
    CARRY: "print what to carry",
    ELSE: "something else",
}
_LEAVING = ENDINGS[:-1]  # what was merged wants the other tree named as well
_NOTES = re.compile(r"(?:trees?|sheet|walk|bench|list)\s*:?\s+\S|\d{5,6}-\d\b", re.IGNORECASE)
_AWAY = ("q", "quit", "exit", "bye")


@dataclass(slots=True)
class Evening:
    """One sitting: where it is, how verbs are run, and what was done in it."""

    folder: Path
    day: date | None
    do: Do
    done: set[str] = field(default_factory=set)

    def verb(self, *words: str, begun: str = "") -> Result | None:
        """Run a verb and name it; `begun`: the first line of notes, where it is known."""
        result = self.do(words, begun) if begun else self.do(words)
        _say(f"  (benchleaf {shlex.join(words)})")
        return result


def collection_near(folder: Path) -> list[Path]:
    """The collection that a folder is, lies in, or holds; several where it holds several."""
    for around in (folder, *folder.resolve().parents):
        if (around / SETTINGS_FILE).is_file():
            return [around]
    try:
        return sorted(inner for inner in folder.iterdir() if (inner / SETTINGS_FILE).is_file())
    except OSError:
        return []


def evening(folders: Sequence[Path], day: date | None, do_in: Callable[[Path], Do]) -> int:
    """Sit with one of these collections until its grower leaves. Raises ProblemsFound where its settings can't be used."""
    folder = folders[0] if len(folders) == 1 else _which(folders)
    if folder is None:
        return 0
    sitting = Evening(folder, day, do_in(folder))
    with contextlib.suppress(OSError):  # a file of that name is no reason not to sit down
        (folder / INBOX).mkdir(exist_ok=True)
    while True:
        now = tonight(folder, day)
        _say("", *told(now), "")
        likely = _likeliest(now, sitting.done)
        _say(*(f"{key} {what}" for key, what in MENU.items()))
        said = _asked(f"[{likely}] " if likely else "[Enter leaves] ")
        if said is None or said.casefold() in _AWAY or not (said or likely):
            return 0
        choice = said or likely
        if _NOTES.match(choice):  # typed at once, without asking for the place to type
            sitting.done.add(TYPE)
            sitting.verb("reconcile", "-", "--ask", begun=choice)
            continue
        if choice not in _CHOICES:
            _say(f"'{choice}' is not on the list: a number from 1 to 5, or q to leave")
            continue
        sitting.done.add(choice)
        _CHOICES[choice](sitting, now)


def _which(folders: Sequence[Path]) -> Path | None:
    """The one of several collections that is meant."""
    _say("Which collection?", *(f"{n} {folder.name}" for n, folder in enumerate(folders, start=1)))
    while (said := _asked("[1] ")) is not None and said.casefold() not in _AWAY:
        number = int(said or 1) if (said or "1").isdecimal() else 0
        if 1 <= number <= len(folders):
            return folders[number - 1]
        _say(f"'{said}' is not on the list: a number, or q to leave")
    return None


def _likeliest(now: Tonight, done: set[str]) -> str:
    """What Enter does: what lies ready is read, then notes are typed, then paper is printed; then Enter leaves."""
    if now.inbox.waiting and READ not in done:
        return READ
    if not now.printed and CARRY not in done:
        return CARRY
    return next((choice for choice in (TYPE, CARRY) if choice not in done), "")


def _type(sitting: Evening, _now: Tonight) -> None:
    sitting.verb("reconcile", "-", "--ask")


def _read(sitting: Evening, now: Tonight) -> None:
    """Everything in the inbox, each kind by its own verb; what was read is put away."""
    inbox = now.inbox
    if not inbox.waiting:
        _say(f"nothing to read lies in {sitting.folder / INBOX}: drop pictures, scans or notes there")
    sheets, trees = of_sheets(inbox.pictures, load_ledger(sitting.folder))
    runs = [[path] for path in (*inbox.notes, *inbox.answers)]
    for files in (*runs, *([[*sheets, *inbox.papers]] if sheets or inbox.papers else [])):
        page = sitting.folder / PRINT / f"to type {now.today}.html"
        pictures = files[0] in sheets or files[0] in inbox.papers
        page.parent.mkdir(exist_ok=True)
        more = ("--page", str(page)) if pictures else ("--ask",)
        _filed(sitting, now, files, "reconcile", *map(str, files), *more)
    if trees:
        _filed(sitting, now, trees, "photos", *map(str, trees))
    for path in inbox.archives:
        _filed(sitting, now, [path], "add", "--handover", str(path))
    for path in inbox.strange:
        _say(f"{path.name} is nothing that can be read; it stays where it is")


def _filed(sitting: Evening, now: Tonight, files: list[Path], *words: str) -> None:
    """Run a verb on files, and put them away where it took all of them in."""
    result = sitting.verb(*words)
    if result is None:
        return
    if result.code == QUESTION and "photos" in result.data:  # nothing was agreed to, or something is still to be said
        return
    left = _left_of(result)
    faulty = [path for path in files if _is_at_fault(path, result) or str(path) in left]
    done = {str(path) for path in files} if result.data.get("filed") else _done_with(result)
    put_away(sitting.folder, [path for path in files if str(path) in done and path not in faulty], now.today)
    if faulty:
        room = put_away(sitting.folder, faulty, now.today, NOT_READ)
        names = ", ".join(path.name for path in faulty)
        _say(f"{names}: kept as it is in {room.relative_to(sitting.folder)}/, and not asked for again")


def _left_of(result: Result) -> set[str]:
    """The pictures that were left alone, where no question is open: they are no tree's, or their day is still to come."""
    data: dict[str, Any] = dict(result.data)
    return {one["file"] for one in data.get("left", ())} if "photos" in data and not data["questions"] else set()


def _is_at_fault(path: Path, result: Result) -> bool:
    """Whether a file itself can't be read, which it will not be the next time either."""
    faults = errors_in(result.problems)
    return any(fault.place is not None and fault.place.path.startswith(str(path)) for fault in faults)


def _done_with(result: Result) -> set[str]:
    """The pictures of which nothing is left to do, where something is of others."""
    data: dict[str, Any] = dict(result.data)
    if "photos" not in data or data["questions"]:
        return set()
    return {one["file"] for one in data["photos"]} | {*data["tags"], *data["there"]}


def _next(sitting: Evening, now: Tonight) -> None:
    """What is due, and on request why."""
    sitting.verb("due")
    while said := _asked("a tree's number tells why; Enter goes back: "):
        tree = _tree(now, said)
        sitting.verb(*(("due", "--why", tree.tag) if tree else ("due", said)))


def _carry(sitting: Evening, now: Tonight) -> None:
    """The sheets that changed, and the walk list; after a silence that asks for a first look."""
    look = ("--first-look",) if now.silent else ()
    sitting.verb("sheets", "--changed", "-o", _paper(sitting, now, "sheets"))
    sitting.verb("walk", *look, "-o", _paper(sitting, now, "walk"))


def _paper(sitting: Evening, now: Tonight, name: str) -> str:
    room = sitting.folder / PRINT
    room.mkdir(exist_ok=True)
    numbered = (room / f"{name} {now.today}{f' {n}' if n > 1 else ''}.pdf" for n in count(1))
    return str(next(path for path in numbered if not path.exists()))


def _else(sitting: Evening, now: Tonight) -> None:
    """All else that is wanted now and then."""
    _say(*(f"{key} {what}" for key, (what, _) in _OTHERS.items()))
    said = _asked("Enter goes back: ")
    if said in _OTHERS:
        _OTHERS[said][1](sitting, now)
    elif said:
        _say(f"'{said}' is not on the list")


def _answer(sitting: Evening, now: Tonight) -> None:
    if not (now.lines or now.unread):
        _say("nothing waits")
        return
    for name in (*now.unread, *(["waiting.txt"] if now.lines else [])):
        sitting.verb("reconcile", str(sitting.folder / "notes" / name), "--ask")
    while tonight(sitting.folder, sitting.day).lines:
        sitting.verb("waiting")
        said = _asked("a number sets that line aside for good; Enter leaves them waiting: ")
        if not said or not said.isdecimal():
            return
        sitting.verb("waiting", "--dismiss", said)


def _first_look(sitting: Evening, now: Tonight) -> None:
    sitting.verb("walk", "--first-look", "-o", _paper(sitting, now, "first look"))


def _roll(sitting: Evening, now: Tonight) -> None:
    sitting.verb("cards", "roll", "-o", _paper(sitting, now, "roll"))


def _tags(sitting: Evening, now: Tonight) -> None:
    said = _asked("tags for which trees? numbers with blanks between; Enter for all: ")
    if said is not None:
        sitting.verb(
            "tags", *(word for tag in said.split() for word in ("--tag", tag)), "-o", _paper(sitting, now, "tags")
        )


def _find(sitting: Evening, _now: Tonight) -> None:
    if said := _asked("its number, its name, or what it looks like (trident, east 2, trunk 38): "):
        sitting.verb("find", said)


def _add(sitting: Evening, now: Tonight) -> None:
    from ..paper.tags import free_tags

    used = [tag for tree in now.opened.collection.trees for tag in (tree.tag, *tree.also)]
    free = free_tags([*used, *load_ledger(sitting.folder).spare], 1)[0]
    species = _asked("its species, in Latin or as you call it: ")
    words = species_words(species, now.opened, _asked, _say) if species else []
    if words:
        sitting.verb("add", _asked(f"its number [{free}]: ") or free, *words)
    elif species:
        _say("no tree was added")


def _left(sitting: Evening, now: Tonight) -> None:
    tag = _asked("which tree left? its number: ")
    tree = _tree(now, tag) if tag else None
    if tag and tree is None:
        _say(f"there is no tree {tag}")
    how = (_asked(f"{', '.join(_LEAVING)}? ") or "").casefold() if tree else ""
    if tree and how.replace("dead", "died") in _LEAVING:
        sure = _asked(
            f"{tree.tag} {tree.name or tree.full_name}, {how}: is that so? (5, then 8 takes it back) [Y/n] "
        )
        if sure is not None and sure.casefold() in ("", "y", "yes"):
            sitting.verb("end", tree.tag, "--how", how.replace("dead", "died"))
    elif how:
        _say(f"'{how}' is none of these: nothing was written")


def _tree(now: Tonight, said: str) -> Tree | None:
    """A tree by its number, with or without zeros in front, or by its name."""
    collection = now.opened.collection
    return collection.tree(said) or by_number_or_name(collection, said)


def _undo(sitting: Evening, _now: Tonight) -> None:
    sitting.verb("undo")


def _check(sitting: Evening, _now: Tonight) -> None:
    sitting.verb("check")


def _icon(sitting: Evening, _now: Tonight) -> None:
    _say(remade(sitting.folder))


_CHOICES: dict[str, Callable[[Evening, Tonight], None]] = {
    TYPE: _type,
    READ: _read,
    NEXT: _next,
    CARRY: _carry,
    ELSE: _else,
}
_OTHERS: dict[str, tuple[str, Callable[[Evening, Tonight], None]]] = {
    "1": ("answer what waits", _answer),
    "2": ("print a first look, after a silence", _first_look),
    "3": ("print tags", _tags),
    "4": ("print the roll of all trees", _roll),
    "5": ("find a tree", _find),
    "6": ("add a tree", _add),
    "7": ("a tree left the garden", _left),
    "8": ("take the last batch back", _undo),
    "9": ("check all files", _check),
    "0": ("make the file to double-click anew", _icon),
}


def _say(*lines: str) -> None:
    say(*lines, stream=sys.stdout)


def _asked(prompt: str) -> str | None:
    """One answer; None where nobody is there any more."""
    ask(prompt.removesuffix(" "), stream=sys.stdout)
    try:
        said = sys.stdin.readline()
    except KeyboardInterrupt:
        said = ""
    if not said:
        _say("")
        return None
    return said.strip()
