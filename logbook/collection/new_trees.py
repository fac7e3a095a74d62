"""New trees before they stand in files: rows given by hand or from a table, checked as their files would be read. Pure.

Faults are told by row and column.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from dataclasses import field, replace
from datetime import date

from ..diagnostics import Place, Problem, ProblemsFound, errors_in, tally
from ..values import dataclass
from .fields import MEASURES
from .model import Collection, Tree, tag_key
from .tree_text import Lexicon, read_tree, tree_context
from .yaml_editor import Value, file_with

TREE_KEYS = ("tag", "name", "species", "cultivar", "group", "started", "style", "bench", "aim", "front")
FOUND_KEYS = ("stage", "repotted", "vigour")
COLUMNS = (*TREE_KEYS, *FOUND_KEYS)
_TABLE_KEYS = ("indoors", "origin", "count", "value", "also")
_FOUND_IN_TABLES = (*FOUND_KEYS, "wired", "acquired")
MEASURED_ON = "measured-on"  # the day of a row's sizes; not a key of a file
_NEEDED = ("tag", "species", "group")


@dataclass(frozen=True, slots=True)
class Row:
    """One tree as given, and where each value came from; `entry`: what else its opening entry holds."""

    values: Mapping[str, Value]
    places: Mapping[str, Place] = field(default_factory=dict)
    place: Place = field(default_factory=lambda: Place(""))
    entry: Mapping[str, Value] = field(default_factory=dict)

    def without(self, keys: Sequence[str]) -> Row:
        """The row without some of its values."""
        values = {key: value for key, value in self.values.items() if key not in keys}
        return replace(
            self, values=values, entry={key: value for key, value in self.entry.items() if key not in keys}
        )


@dataclass(frozen=True, slots=True)
class Ground:
    """What rows are checked against; `is_file` says whether a path of the collection is taken."""

    collection: Collection
    lexicon: Lexicon
    today: date
    is_file: Callable[[str], bool]


@dataclass(frozen=True, slots=True)
class Checked:
    """Texts of new files by path, tags already there, and the faults of what was left out."""

    texts: Mapping[str, str]
    there: Sequence[str]
    problems: tuple[Problem, ...] = ()


def checked(
    ground: Ground, rows: Sequence[Row], origin: Mapping[str, Value] | None = None, *, only_good: bool = False
) -> Checked:
    """What rows come to. Raises ProblemsFound for any fault, with all of them; with `only_good` values and rows in fault are left out and told."""
    problems: list[Problem] = []
    texts: dict[str, str] = {}
    there: list[str] = []
    seen: set[str] = set()
    for row in rows:
        tree, text, faults = _read(ground, row, origin, only_good=only_good)
        problems += faults
        if tree is None:
            continue
        fault = _doubled(tree, row, seen) or _in_use(ground, tree, row)
        seen.add(tag_key(tree.tag))
        old = ground.collection.tree(tree.tag)
        if fault:
            problems.append(fault)
        elif old is not None:
            there.append(old.tag)
        else:
            texts[f"trees/{tree.tag}.yaml"] = text
    if problems and not only_good:
        raise ProblemsFound(with_tally(problems))
    return Checked(texts, there, tuple(replace(problem, severity="warning") for problem in problems))


def with_tally(problems: Sequence[Problem]) -> list[Problem]:
    """Faults of a table with their count behind them; those of a command line stand alone."""
    placed = any(problem.place and problem.place.line for problem in problems)
    return [*problems, *([Problem(tally(problems, 1, "nothing was written"), severity="warning")] if placed else [])]


def _read(
    ground: Ground, row: Row, origin: Mapping[str, Value] | None, *, only_good: bool
) -> tuple[Tree | None, str, list[Problem]]:
    """The tree as its file would be read (None where it can't be), the file's text, and the faults, each at the cell it came from."""
    text = _file_text(row, ground.today, origin)
    tree, found = read_tree(text, "new", tree_context(ground.collection.settings, ground.lexicon))
    keyed = [(_key_at(fault), fault) for fault in errors_in(found)]
    faults = [_placed(key, fault, row) for key, fault in keyed] + (_to_come(tree, row, ground.today) if tree else [])
    if not faults:
        return tree, text, []
    bad = [key for key, _ in keyed] + [fault.message.partition(":")[0] for fault in faults[len(keyed) :]]
    less = row.without([*bad, *(["measured"] if set(bad) & set(MEASURES) else [])])
    if not only_good or set(bad) & {"", *_NEEDED} or less == row:
        return None, text, faults
    tree, text, more = _read(ground, less, origin, only_good=only_good)
    return tree, text, faults + more


def _doubled(tree: Tree, row: Row, seen: set[str]) -> Problem | None:
    if tag_key(tree.tag) not in seen:
        return None
    place = row.places.get("tag", row.place)
    return Problem(f"the tag '{tree.tag}' stands twice", place, "a tag is never used again")


def _in_use(ground: Ground, tree: Tree, row: Row) -> Problem | None:
    """The tag belongs to another tree, or to a file that can't be read."""
    old = ground.collection.tree(tree.tag)
    if old is not None:
        return _clash(old, tree, row)
    path = f"trees/{tree.tag}.yaml"
    if not ground.is_file(path):
        return None
    place = row.places.get("tag", row.place)
    return Problem(f"{path} exists already and can't be read as a tree", place, "mend it first: benchleaf check")


def _to_come(tree: Tree, row: Row, today: date) -> list[Problem]:
    """What can't have been yet."""
    found = next((entry.found for entry in tree.log if entry.found), None)
    dated = {"started": tree.started}
    dated |= {"repotted": found.repotted, "acquired": found.acquired, "wired": found.wired} if found else {}
    return [
        Problem(f"{key}: {when.told()} is still to come", row.places.get(key, row.place), "correct the date")
        for key, when in dated.items()
        if when and when.earliest > today
    ]


def _file_text(row: Row, today: date, origin: Mapping[str, Value] | None) -> str:
    values, entry = row.values, dict(row.entry)
    keys: dict[str, Value] = {key: values[key] for key in (*TREE_KEYS, *_TABLE_KEYS) if key in values}
    keys |= {key: value for key, value in values.items() if key.startswith("x-")}
    keys |= {"origin": origin} if origin else {}
    keys.setdefault("tag", "")
    found: dict[str, Value] = {key: values[key] for key in _FOUND_IN_TABLES if key in values}
    day, sizes = entry.pop(MEASURED_ON, None), entry.pop("measured", None)
    log: list[Mapping[str, Value]] = []
    if sizes and day:
        log.append({"date": day, "measured": sizes})
    elif sizes:
        found["measured"] = sizes  # of a day that nobody knows: no reading to reckon growth from
    opening: dict[str, Value] = {"date": today.isoformat(), **({"found": found} if found else {}), **entry}
    return file_with(keys, [*log, opening] if len(opening) > 1 else log)


def _key_at(fault: Problem) -> str:
    """The key that stands before the spot of a fault in the new file's text."""
    if not fault.place:
        return ""
    before = fault.place.source[: fault.place.column - 1]
    keys = re.findall(r"([\w-]+): ", before) or re.findall(r"^([\w-]+):", fault.place.source)
    return keys[-1] if keys else ""


def _placed(key: str, fault: Problem, row: Row) -> Problem:
    """A fault of the new file's text, told at the cell its value came from."""
    place = row.places.get(key, row.place)
    return Problem(fault.message, place if place.path else None, fault.hint)


def _clash(old: Tree, new: Tree, row: Row) -> Problem | None:
    """The tag is in use: by the same tree (then nothing is to do), or by another."""
    for key in ("species", "group", "name", "cultivar"):
        was, now = getattr(old, key), getattr(new, key)
        if now and was != now:
            return Problem(
                f"tag {old.tag} is in use: {old.path} has {key} '{was}', this has '{now}'",
                row.places.get("tag", row.place) if row.place.path else None,
                "a tag is never used again: take another, or edit the file by hand",
            )
    return None
