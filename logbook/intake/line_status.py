"""How every typed line stands: written, waiting, mended, set aside; and the audit, like double entry. Reads `notes/` only."""

from __future__ import annotations

import json
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import field
from typing import NotRequired, TypedDict, TypeGuard, cast

from ..storage.disk import Disk
from ..values import dataclass
from .grammar.headers import says_something

FOLDER = "notes"
WAITING = "waiting.txt"


class Row(TypedDict):
    """What became of one line, as `notes/*.json` and the journal keep it.

    `of`: the text it belongs to, where that is not the record's own; `nth`: its number in the list of what waits; `mends`: the
    text and line that this one was made of; `instead`: the keys that it had under another tree;
    `typed`: how it was typed first.
    """

    number: int
    text: str
    header: str
    tag: str
    fate: str
    key: str
    why: str
    hint: str
    again: NotRequired[str]
    path: NotRequired[str]
    of: NotRequired[str]
    nth: NotRequired[int]
    mends: NotRequired[Sequence[str | int]]
    instead: NotRequired[Sequence[str]]
    typed: NotRequired[str]


class KeptRow(Row):
    """A row with the text whose record it stands in."""

    notes: str


class Run(TypedDict):
    """The rows of one batch."""

    batch: str
    rows: list[Row]


@dataclass(frozen=True, slots=True)
class Waiting:
    """A line that was not written: its header, its text, why, and what to do. `typed`: the same without a day that it took from above."""

    notes: str
    number: int
    header: str
    text: str
    why: str
    hint: str
    key: str
    tag: str = ""
    typed: str = ""

    @property
    def day(self) -> str:
        """The day that stands in its text and was typed on a line above; in words, empty where there is none."""
        return day_from_above(self.typed, self.text) if self.typed else ""


def day_from_above(typed: str, again: str) -> str:
    """What a line took of a day from above when it was made to stand by itself, in words; empty where it took none."""
    own, more = typed.split(), again.split()
    longer = len(more) - len(own)
    for at in (0, 1):
        if longer > 0 and own[:at] == more[:at] and own[at:] == more[at + longer :]:
            return f"its day, from a line above: {' '.join(more[at : at + longer])}"
    return ""


@dataclass(frozen=True, slots=True)
class Audit:
    """Where every typed line stands, like double entry: `typed` is the sum of all others, or `astray` names the rest."""

    typed: int
    written: int
    there: int
    waiting: int
    set_aside: int
    unread: int
    astray: tuple[tuple[str, int], ...] = ()

    @property
    def balanced(self) -> bool:
        """Whether every typed line is accounted for."""
        return not self.astray and self.typed == sum(
            (self.written, self.there, self.waiting, self.set_aside, self.unread)
        )

    def summary(self) -> str:
        """The count in one line of words."""
        parts = [
            f"{self.written} written",
            f"{self.there} already there",
            f"{self.waiting} waiting",
            f"{self.set_aside} set aside",
        ]
        parts += [f"{self.unread} kept but not yet read"] if self.unread else []
        return f"{self.typed} typed lines = " + " + ".join(parts)


_Spot = tuple[str, int, str, str]  # notes, line, tree, key


def waiting(disk: Disk) -> list[Waiting]:
    """Lines that were never written, in the order they came; one that stands word for word in several notes is told once."""
    rows = [row for fate, row in _stands(disk).values() if row and fate == "open"]
    once = {(row.key, row.text) if row.key else n: row for n, row in enumerate(rows)}
    return list(once.values())


def _stands(disk: Disk) -> dict[_Spot, tuple[str, Waiting | None]]:
    """How every line stands after all that was done: `open` or `mended` (with the line), or the fate that it came to."""
    standing = _Standing()
    for row in rows_of(disk):
        standing.take(row)
    return standing.at_the_end()


@dataclass(slots=True)
class _Standing:
    """Where every line stands so far, and the keys that the log has or that were taken out of it again."""

    states: dict[_Spot, tuple[str, Waiting | None]] = field(default_factory=dict)
    settled: set[str] = field(default_factory=set)
    undone: set[str] = field(default_factory=set)

    def take(self, row: KeptRow) -> None:
        """Go on by what one row of the record tells."""
        fate = row["fate"]
        spot = (row.get("of", row["notes"]), row["number"], row["tag"], row["key"])
        if row.get("mends"):
            _mend(self.states, tuple(row["mends"]), spot, again=fate == "undone")
        if fate == "dismissed":
            _set_aside(self.states, spot, row)
            return
        self._settle(row["key"], fate)
        if fate == "there" and self.states.get(spot, ("", None))[0] == "write":
            return  # given again: it is still the line that was written
        opened = None if fate in ("write", "there", "undone") else _waiting(row)
        self.states[spot] = ("open" if opened else fate, opened)

    def _settle(self, key: str, fate: str) -> None:
        both = {key, _line_key(key) + "*"} - {"", "*"}
        self.settled = self.settled | both if fate in ("write", "there") else self.settled - both
        if fate == "undone":
            self.undone.add(key)
        elif fate == "write":
            self.undone.discard(key)

    def at_the_end(self) -> dict[_Spot, tuple[str, Waiting | None]]:
        """The states once all is known: what was settled elsewhere waits no more, what was undone is not there."""
        return {spot: self._last(spot, *state) for spot, state in self.states.items()}

    def _last(self, spot: _Spot, fate: str, opened: Waiting | None) -> tuple[str, Waiting | None]:
        if opened and fate == "open" and _is_settled(opened.key, self.settled):
            return "there", None
        if fate == "there" and spot[3] in self.undone:
            return "undone", None
        return fate, opened


def _mend(
    states: dict[_Spot, tuple[str, Waiting | None]], old: tuple[str | int, ...], spot: _Spot, *, again: bool
) -> None:
    """A line given again from `waiting.txt`, mended, takes the place of the old one; where it is undone, that one waits again."""
    was, becomes = ("mended", "open") if again else ("open", "mended")
    for other, (fate, row) in states.items():
        if other[:2] == old and other != spot and fate == was:
            states[other] = (becomes, row)


def _set_aside(states: dict[_Spot, tuple[str, Waiting | None]], spot: _Spot, row: KeptRow) -> None:
    """The line that was dismissed, and the same words wherever else they wait."""
    for other, (fate, open_row) in states.items():
        same = open_row and spot[3] and (open_row.key, open_row.text) == (spot[3], row["text"])
        if fate == "open" and same:
            states[other] = ("dismissed", None)
    states[spot] = ("dismissed", None)


def _waiting(row: KeptRow) -> Waiting:
    text, typed = row.get("again", row["text"]), row.get("typed", row["text"])
    return Waiting(
        row["notes"], row["number"], row["header"], text, row["why"], row["hint"], row["key"], row["tag"], typed
    )


def _is_settled(key: str, settled: set[str]) -> bool:
    """A part is settled by itself or by its whole line; a whole line by itself or any of its parts."""
    line = _line_key(key)
    return bool(key) and (key in settled or line in settled or (key == line and f"{line}*" in settled))


def _line_key(key: str) -> str:
    """A sheet line's key without the part of the line: `001 00142-4/3.2` → `001 00142-4/3`."""
    tag, _, source = key.rpartition(" ")
    return f"{tag} {source.split('.')[0]}" if "/" in source else key


def audit(disk: Disk) -> Audit:
    """Every line of every kept text has one place: written, there, waiting, set aside, or its text was never read."""
    stands: dict[tuple[str, int], set[str]] = {}
    for (notes, number, _, _), (fate, _) in _stands(disk).items():
        stands.setdefault((notes, number), set()).add(fate)
    read = {row["notes"] for row in rows_of(disk)}
    places = {
        (name, number): _place_of(stands.get((name, number), set())) if name in read else "unread"
        for name, number, line in _kept_lines(disk)
        if (name, number) in stands or says_something(line)
    }
    counts = Counter(places.values())
    return Audit(
        typed=len(places),
        written=counts["written"],
        there=counts["there"],
        waiting=counts["waiting"],
        set_aside=counts["set aside"],
        unread=counts["unread"],
        astray=tuple(spot for spot, place in places.items() if not place),
    )


def _kept_lines(disk: Disk) -> Iterator[tuple[str, int, str]]:
    """Every line of the typed texts that were kept: its text's name, its number from 1, and its words."""
    for name in disk.names(FOLDER):
        is_text = name.endswith(".txt") and name != WAITING and not name.startswith(".")
        if is_text and disk.kind(f"{FOLDER}/{name}") == "file":  # `archive.damaged` tells of any other
            text = (disk.read(f"{FOLDER}/{name}") or b"").decode("utf-8-sig", "replace")
            yield from ((name, number, line) for number, line in enumerate(text.splitlines(), start=1))


def _place_of(fates: set[str]) -> str:
    """Where a line of several entries stands: what waits comes first, then what was written."""
    for fate, place in (("open", "waiting"), ("write", "written"), ("there", "there")):
        if fate in fates:
            return place
    return "set aside" if fates else ""


def rows_of(disk: Disk) -> list[KeptRow]:
    """All fates in the order of the batches."""
    runs: list[tuple[str, str, Run]] = []
    for name in disk.names(FOLDER):
        if name.endswith(".json") and not name.startswith("."):
            runs += [(run["batch"], name, run) for run in runs_of(disk, f"{FOLDER}/{name}") or []]
    ordered = sorted(runs, key=lambda r: (r[0], r[1]))
    return [{**row, "notes": _text_of(name)} for _, name, run in ordered for row in run["rows"]]


def _text_of(name: str) -> str:
    """The notes a record belongs to; `<day>-<hash>-2.json` is a second record of the same text."""
    parts = name.removesuffix(".json").split("-")
    stem = "-".join(parts[:4]) if len(parts) == 5 and parts[4].isdecimal() else "-".join(parts)
    return f"{stem}.txt"


_TEXTS = ("text", "header", "tag", "fate", "key", "why", "hint")


def runs_of(disk: Disk, path: str) -> list[Run] | None:
    """The runs of a record; none where there is no file, None where it is damaged."""
    if disk.kind(path) in ("folder", "other"):
        return None
    raw = disk.read(path)
    if raw is None:
        return []
    try:
        found = json.loads(raw.decode("utf-8"))["runs"]
        runs = [cast(Run, run) if isinstance(run, dict) else Run(batch="", rows=run) for run in found]
        sound = all(isinstance(run["batch"], str) and all(_is_row(row) for row in run["rows"]) for run in runs)
    except (ValueError, KeyError, TypeError, RecursionError):
        return None
    return runs if sound else None


def _is_row(row: object) -> TypeGuard[Row]:
    return (
        isinstance(row, dict)
        and isinstance(row.get("number"), int)
        and {type(row.get(text)) for text in _TEXTS} == {str}
    )
