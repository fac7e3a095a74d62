"""One tree's whole log in words, oldest first, with its measurements as charts in characters.

examples:
  benchleaf history 003
  benchleaf history 003 --json
"""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from datetime import date
from typing import TypedDict

from ..collection.entry_text import dated, render_intention, wire_told
from ..collection.units import Units
from ..diagnostics import counted
from ..planning.lists.trunk_growth import trunk_growth
from ..planning.tree_state import Reading, State, effective, state_of
from ..planning.wording import Wording
from .common import json_argument, no_tree, open_for, today_argument
from .results import Result

BAR = "▏▎▍▌▋▊▉█"
WIDE = 30


class EntryTold(TypedDict):
    """One entry of the log, in words."""

    date: str
    told: str


class HistoryData(TypedDict):
    """One tree's whole log in words."""

    tag: str
    entries: list[EntryTold]
    growth: str


SHAPE = HistoryData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("tag", help="the tree")
    json_argument(parser)
    today_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    opened = open_for(options, options.tag, alone=True)
    tree = opened.collection.tree(options.tag)
    if tree is None:
        raise no_tree(opened, options.tag)
    units = opened.collection.settings.units
    state = state_of(tree, opened.garden, opened.today)
    counting = {id(e) for e in effective(tree.log, date.max, opened.knowledge)}
    entries = sorted(tree.log, key=lambda e: (e.date.earliest, e.date.latest))
    lines = [f"{tree.tag} {tree.name or tree.full_name}", f"  {tree.full_name}" if tree.name else ""]
    lines += [f"  {said}" for said in _now(state, opened.wording)]
    lines += ["", counted(len(entries), "entry", "entries"), ""]
    lines += [f"{dated(e, units)}{'' if id(e) in counting else ' (corrected later)'}" for e in entries]
    for name in ("trunk", "height", "crown", "leaf", "tips"):
        lines += _chart(name, state.readings.get(name, ()), units)
    told = opened.wording.growth(trunk_growth(tree.targets, state, opened.garden.around(tree, opened.today)))
    lines += ["", told] if told else []
    data: HistoryData = {
        "tag": tree.tag,
        "entries": [_data(e.date.text, dated(e, units)) for e in entries],
        "growth": told,
    }
    return Result(lines=tuple(lines), data=data)


def _now(state: State, wording: Wording) -> list[str]:
    """Where the tree stands, as its log tells it."""
    said = [part for part in (state.stage, f"vigour {state.vigour}" if state.vigour else "") if part]
    said += (
        [f"resting since {state.resting.since.told()}: {wording.rest_why(state.resting)}"] if state.resting else []
    )
    said += [f"repotted {state.repotted.told()}"] if state.repotted else []
    lines = [" · ".join(said)] if said else []
    for wire in state.wires:
        where = f" on {', '.join(wire.branches)}" if wire.branches else ""
        lines.append(f"wire{where} since {wire.on.told()} {wire_told(wire.metal, wire.sizes)}".rstrip())
    last = [e for e in state.entries if e.intend]
    return [*lines, *([f"meant: {render_intention(last[-1])}"] if last else [])]


def _chart(name: str, readings: Sequence[Reading], units: Units) -> list[str]:
    """A bar a reading, from nothing to the largest."""
    if len(readings) < 2:
        return []
    most = max(r.value for r in readings)
    told = (lambda v: f"{v:.0f}") if name == "tips" else units.length_told
    words = [told(r.value) for r in readings]
    wide = max(map(len, words))
    return [
        "",
        name,
        *(f"  {r.day:%b %Y}  {w:>{wide}}  {_bar(r.value / most)}" for r, w in zip(readings, words, strict=True)),
    ]


def _bar(share: float) -> str:
    eighths = max(1, round(share * WIDE * 8))
    return "█" * (eighths // 8) + (BAR[eighths % 8 - 1] if eighths % 8 else "")


def _data(day: str, told: str) -> EntryTold:
    return {"date": day, "told": told}
