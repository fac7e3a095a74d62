"""What makes an entry doubtful though it reads well: wire that is not on, measures out of reach, works done twice. Pure.

The limits are common practice, no source.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import fields
from datetime import date
from typing import Literal

from ..collection.model import Entry, Tree
from ..collection.units import Units, plain
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Thing, Work
from ..planning.contradictions import speaks_against
from ..planning.garden import Garden
from ..planning.tree_state import counting
from ..planning.wires import WireOn, wires_on
from ..planning.wording import wording_of
from ..values import dataclass
from .hands import same_hands
from .log_as_read import lines_of
from .one_entry import another_doing, told_of_another

FIRST_MM = {
    "trunk": (2.0, 350.0),
    "height": (60.0, 2500.0),
    "crown": (20.0, 3000.0),
    "leaf": (1.0, 250.0),
}  # common practice, no source
PLAUSIBLE = (0.75, 1.6)  # a measure against the last one of its kind
PLAUSIBLE_TIPS = (0.4, 2.2)
THICK_WIRE = 0.7  # of the branch
NO_WIRE = "no wire"  # the kind of doubt that a later line may lift
WRONG_TREE = "tree"
POT_MM = (15.0, 1500.0)


@dataclass(frozen=True, slots=True)
class Doubt:
    """A question about an entry, and what may help to answer it; `kind` sorts questions that can be counted."""

    why: str
    hint: str
    kind: str = ""


def first_doubt(model: Entry, tree: Tree, log: Sequence[Entry], units: Units, knowledge: Knowledge) -> Doubt | None:
    """The plainest thing that speaks against an entry, given the tree and its log up to there."""
    doubts = (
        _wire_doubt(model, tree, log, knowledge),
        _measure_doubt(model, log, units, knowledge),
        _pace_doubt(model, log, units, knowledge),
        _size_doubt(model, tree),
        _branch_doubt(model, tree, log),
        _pot_doubt(model, units),
        _weight_doubt(model),
        _time_doubt(model),
        _ended_doubt(tree, model),
        _twice_doubt(model, log, knowledge),
        _two_hands_doubt(model, log, knowledge),
    )
    return next((doubt for doubt in doubts if doubt), None)


def _wire_doubt(model: Entry, tree: Tree, log: Sequence[Entry], knowledge: Knowledge) -> Doubt | None:
    work = knowledge.works.get(model.work)
    if work is None or Thing.WIRE not in (*work.looks, *work.takes) or Thing.BRANCH in work.takes:
        return None
    about = _about_wire(knowledge)
    told = counting(log, model.date.latest, knowledge, lambda e: e.work in about or bool(e.found and e.found.wired))
    wires = wires_on([e for e in told if not _beside_it(e, model, work)], knowledge, tree)
    if Thing.WIRE in work.takes and _is_tick(model) and (also := _wire_elsewhere(model, wires)):
        return Doubt(f"wire is on branch {', '.join(also)} as well: did all of it come off?", _ALL_OFF, NO_WIRE)
    if not wires:
        return Doubt("no wire is on this tree", "give the branch, or keep it as a remark: note …", NO_WIRE)
    named = {b for w in wires for b in w.branches}
    stray = [b for b in model.branches if b not in named]
    if not stray or any(not w.branches for w in wires):  # wire of which nobody told where it is may be anywhere
        return None
    return Doubt(f"no wire is on branch {', '.join(stray)}", f"wire is on {', '.join(sorted(named))}", NO_WIRE)


_ALL_OFF = "write it if so; if not, give the other wire a branch in the tree's file, and write: wire off BRANCH"


def _beside_it(entry: Entry, model: Entry, work: Work) -> bool:
    """Whether an entry of the same day is of the tick for wire whose place nobody told: it takes nothing off that is named here."""
    same = entry.work == model.work and entry.date == model.date
    return same and _is_tick(entry) and another_doing(entry.branches, model.branches, work)


def _wire_elsewhere(model: Entry, wires: Sequence[WireOn]) -> list[str]:
    """The branches with wire beside wire without any, where a job without branches is ticked: the log takes all of it off."""
    if model.branches or all(w.branches for w in wires):
        return []
    return sorted({b for w in wires for b in w.branches})


def _about_wire(knowledge: Knowledge) -> set[str]:
    """Works by which wire comes on, goes off or is looked at."""
    about = {w.name for w in knowledge.doing(puts=Thing.WIRE, looks=Thing.WIRE, takes=Thing.WIRE)}
    return about | {w.name for w in knowledge.doing(takes=Thing.BRANCH)}


def wire_is_on(model: Entry, tree: Tree, log: Sequence[Entry], knowledge: Knowledge) -> Doubt | None:
    """`wire on 3` where wire is on 3: perhaps it was only looked at."""
    work = knowledge.works.get(model.work)
    if work is None or Thing.WIRE not in work.puts:
        return None
    about = _about_wire(knowledge)
    told = counting(log, model.date.latest, knowledge, lambda e: e.work in about or bool(e.found and e.found.wired))
    wires = wires_on(told, knowledge, tree)
    on = {b for w in wires for b in w.branches or ("",)}
    both = [b for b in model.branches if b in on]
    if not on or (model.branches and not both):
        return None
    where = f"wire is on {', '.join(both)} already" if both else "wire is on this tree already"
    return Doubt(f"{where}: was it looked at, or wired anew?", "write 'wire checked', or 'wired'")


def wrong_tree(model: Entry, tree: Tree, log: Sequence[Entry], garden: Garden) -> Doubt | None:
    """A work that this tree is never given, or hardly on that day: the tag is more often wrong than the work."""
    why = speaks_against(tree, garden, model, log)
    if why is None:
        return None
    told = wording_of(garden.settings).reason(why)
    return Doubt(
        f"{told}: is this the right tree?", "check the tag, or write it if it was done to this tree", WRONG_TREE
    )


# what does not tell two doings of one work apart
_BESIDE = frozenset(("date", "sources", "replaces", "place", "note", "photo", "minutes", "vigour"))
_TELLING = tuple(f.name for f in fields(Entry) if f.name not in _BESIDE)
_EMPTY: tuple[object, ...] = ("", (), None, False)


def same_again(model: Entry, log: Sequence[Entry], knowledge: Knowledge) -> Doubt | Literal[False] | None:
    """The same work on one day told twice: False where nothing is doubtful, None where the log has it and a tick adds nothing."""
    if not model.work or model.replaces or not model.date.is_day:
        return False
    for entry in counting(log, date.max, knowledge, lambda e: e.work == model.work and e.date == model.date):
        if _one_line(entry, model) or told_of_another(entry, model, _is_tick, knowledge.works.get(model.work)):
            continue
        if _is_tick(model) and not _adds(model, entry):
            return None
        if not _told_apart(model, entry):
            why = f"{model.work} of {entry.date.told()} is in the log already: the same, or again?"
            return Doubt(why, "write it if it was done twice that day", "twice")
    return False


def _one_line(a: Entry, b: Entry) -> bool:
    return bool(lines_of(a.sources) & lines_of(b.sources))


def _is_tick(entry: Entry) -> bool:
    return any(source.partition("/")[2][:1].isalpha() for source in entry.sources)


def _adds(model: Entry, entry: Entry) -> bool:
    """Whether an entry tells something that the other does not."""
    told = {
        f.name: getattr(model, f.name)
        for f in fields(model)
        if f.name not in ("date", "sources", "place", "branches")
    }
    return any(value not in (*_EMPTY, {}) and value != getattr(entry, name) for name, value in told.items())


def _told_apart(a: Entry, b: Entry) -> bool:
    """Whether two entries of one work differ in a branch, a metal or another detail; two ticks, or a tick and a line, by none."""
    return any(getattr(a, name) != getattr(b, name) for name in _TELLING) and not (_is_tick(a) or _is_tick(b))


def _measure_doubt(model: Entry, log: Sequence[Entry], units: Units, knowledge: Knowledge) -> Doubt | None:
    """A measure far from the last one is more often a slip than growth; tips may double or be halved in a season."""
    for name, value in model.measured.items():
        before = _measured(log, model, name, knowledge)
        why = _far_from(name, value, before[-1], units) if before else _rare_first(name, value, units)
        if why:
            return Doubt(why, "check the number and its unit", "measure")
    return None


def _measured(log: Sequence[Entry], model: Entry, name: str, knowledge: Knowledge) -> list[Entry]:
    """The entries up to a new one's day that measured the same thing."""
    return counting(log, model.date.latest, knowledge, lambda entry: name in entry.measured)


def _rare_first(name: str, value: float, units: Units) -> str:
    """What speaks against a measure that has none before it; an empty string where nothing does."""
    low, high = FIRST_MM.get(name, (0.0, float("inf")))
    said = str(plain(value)) if name == "tips" else units.length_told(value)
    rare = f"{name} {said} is rare for a tree in a pot, and there is none before it"
    return "" if low <= value <= high else rare


def _far_from(name: str, value: float, before: Entry, units: Units) -> str:
    """What speaks against a measure by the last one of its kind; an empty string where nothing does."""
    last = before.measured[name]
    low, high = PLAUSIBLE_TIPS if name == "tips" else PLAUSIBLE
    if low <= value / last <= high:
        return ""
    told = plain if name == "tips" else units.length_told
    return f"{name} {told(value)} is far from the last, {told(last)} on {before.date.told()}"


# mm a day that no tree in a pot keeps up; taken over at least a week, so that a second reading may differ a little
PACE_MM = {"trunk": 0.6, "height": 25.0, "crown": 25.0}
LEAST_DAYS, SLACK = 7, 0.06  # of the last measure: how far two readings of one thing lie apart


def _pace_doubt(model: Entry, log: Sequence[Entry], units: Units, knowledge: Knowledge) -> Doubt | None:
    """More growth within days than a tree can make is a slip, though the measure itself may be."""
    for name, most in PACE_MM.items():
        if name not in model.measured or not model.date.is_day:
            continue
        before = [e for e in _measured(log, model, name, knowledge) if e.date.is_day]
        if not before:
            continue
        last, days = before[-1].measured[name], (model.date.earliest - before[-1].date.earliest).days
        grown = model.measured[name] - last
        if grown > most * max(days, LEAST_DAYS) + SLACK * last:
            told = f"{units.length_told(grown)} in {days} days"
            why = f"{name} {units.length_told(model.measured[name])} would be {told} since {before[-1].date.told()}"
            return Doubt(why, "check the number, its unit and the day", "measure")
    return None


def _twice_doubt(model: Entry, log: Sequence[Entry], knowledge: Knowledge) -> Doubt | None:
    """A work that no tree bears twice in a few weeks."""
    work = knowledge.works.get(model.work)
    if work is None or not work.once_days:
        return None
    for entry in counting(log, date.max, knowledge, lambda e: e.work == model.work):
        apart = abs((entry.date.earliest - model.date.earliest).days)
        if 0 < apart <= work.once_days:
            why = f"{model.work} is in the log on {entry.date.told()} already: twice?"
            return Doubt(why, "correct the day, or write it if it was done again")
    return None


def _two_hands_doubt(model: Entry, log: Sequence[Entry], knowledge: Knowledge) -> Doubt | None:
    """Fed by one hand and within days by another, who may not have known."""
    work = knowledge.works.get(model.work)
    if work is None or not work.one_hand_days or not model.date.is_day:
        return None
    for entry in counting(log, date.max, knowledge, lambda e: e.work == model.work and e.date.is_day):
        apart = abs((entry.date.earliest - model.date.earliest).days)
        other = not same_hands(entry.by, model.by)
        if other and apart <= work.one_hand_days:
            hand = f" by {entry.by}" if entry.by else ""
            why = f"{model.work}{hand} is in the log on {entry.date.told()}: by two hands within days, or the same?"
            return Doubt(why, "write it if it was done twice", "twice")
    return None


def _branch_doubt(model: Entry, tree: Tree, log: Sequence[Entry]) -> Doubt | None:
    """A branch named twice on a line, or one that neither the tree's table nor its log knows."""
    twice = next((b for b in model.branches if model.branches.count(b) > 1), "")
    if twice:
        return Doubt(f"branch {twice} is named twice", "which other one was meant?")
    known = {b.id for b in tree.branches} | {b for entry in log for b in entry.branches}
    stray = [b for b in model.branches if b not in known] if tree.branches else []
    if not stray:
        return None
    why = f"branch {', '.join(stray)} stands neither in the tree's table nor in its log"
    return Doubt(why, f"known: {', '.join(sorted(known, key=_branch_order))}")


def _pot_doubt(model: Entry, units: Units) -> Doubt | None:
    """A pot more than five times as long as wide, or of a size that nobody carries."""
    sides = model.pot.inner if model.pot else ()
    if not sides:
        return None
    across = sides[:-1]
    if POT_MM[0] <= min(sides) and max(sides) <= POT_MM[1] and max(across) <= 5 * min(across):
        return None
    told = " × ".join(units.length_told(side) for side in sides)
    return Doubt(f"a pot of {told} inside", "check the numbers and their unit")


# a pot of wet soil weighs less than this many times what it does when it wants water; nobody works on one tree longer than
# a day without a pause; both common practice, no source
MOST_WATER, LONG_MINUTES = 3.0, 360


def _weight_doubt(model: Entry) -> Doubt | None:
    """A pot with more water in it than soil can hold: a stop was left out, or a figure typed twice."""
    wet, dry = model.weighed.get("wet"), model.weighed.get("dry")
    if wet is None or dry is None or wet <= MOST_WATER * dry:
        return None
    return Doubt(f"wet {plain(wet)} kg is far from dry {plain(dry)} kg", "check the numbers", "measure")


def _time_doubt(model: Entry) -> Doubt | None:
    """More minutes than anybody works on one tree at a stretch."""
    if model.minutes is None or model.minutes <= LONG_MINUTES:
        return None
    return Doubt(f"{model.minutes} minutes are {model.minutes / 60:.0f} hours", "check the number", "minutes")


def _branch_order(ident: str) -> tuple[str, int]:
    return ident.rstrip("0123456789abcdefghijklmnopqrstuvwxyz"), int(re.sub(r"\D", "", ident) or 0)


def _size_doubt(model: Entry, tree: Tree) -> Doubt | None:
    """Wire nearly as thick as the branch it is said to be on."""
    for branch in tree.branches:
        thick = max(model.wire, default=0.0)
        if branch.id in model.branches and branch.diameter and thick > THICK_WIRE * branch.diameter:
            why = f"wire of {plain(thick)} mm on branch {branch.id} of {plain(branch.diameter)} mm"
            return Doubt(why, "check the size, or the branch", "wire size")
    return None


def _ended_doubt(tree: Tree, model: Entry) -> Doubt | None:
    if tree.ended is None or model.date.earliest <= tree.ended.date.latest:
        return None
    return Doubt(f"the tree left the collection ({tree.ended.how} {tree.ended.date.told()})", "check the tag")
