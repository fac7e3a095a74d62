"""The wire for a branch: its size, the length to cut along the taper, turns, and mass. Needs no collection.

Lengths in mm, or with a unit: 12, 0.5in, 3cm. A third of the branch in aluminium is common practice; copper is taken thinner for
the same hold. Wire ends and cutters spring back - guard your eyes.

examples:
  benchleaf wire 12 --length 300
  benchleaf wire 0.5in --tip 0.25in --length 12in --metal copper
"""

from __future__ import annotations

import argparse
from typing import TypedDict

from ..collection.units import METRIC, length_mm
from ..diagnostics import stop
from ..formulas.wire_gauge import Choice, choose, helix_turns, length_to_cut_mm, wanted_mm
from ..planning.lists.wire_list import TIP_SHARE
from .common import json_argument
from .results import Result


class WireSize(TypedDict):
    """A size as sold, and how many of it side by side."""

    name: str
    mm: float
    count: int


class WireData(TypedDict, total=False):
    """The wire for a branch: mm, turns, grams; `wire` is null where the branch is too thick."""

    wanted_mm: float
    wire: WireSize | None
    cut_mm: float
    turns: float
    grams: float


SHAPE = WireData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("diameter", type=a_length, help="the branch at its base")
    parser.add_argument("--tip", type=a_length, metavar="D", help="the branch at its tip (default: half its base)")
    parser.add_argument("--length", type=a_length, metavar="L", help="the branch's length")
    parser.add_argument(
        "--metal", choices=("aluminium", "copper"), default="aluminium", help="wire metal (default: aluminium)"
    )
    json_argument(parser)


def a_length(text: str) -> float:
    """A length on the command line, mm."""
    found = length_mm(text, METRIC)
    if found is None or not 0.1 <= found <= 20_000:
        raise argparse.ArgumentTypeError(f"expected a length such as 12, 0.5in or 3cm, found '{text}'")
    return found


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    base: float = options.diameter
    tip: float = options.tip if options.tip is not None else base * TIP_SHARE
    if tip > base:
        raise stop(f"the tip ({tip:g} mm) is thicker than the base ({base:g} mm)", hint="swap the two")
    choice = choose(base, options.metal)
    data: WireData = {"wanted_mm": round(wanted_mm(base, options.metal), 2), "wire": None}
    if choice is None:
        return Result(lines=(f"{base:g} mm is too thick for wire: use a guy wire or a clamp",), data=data)
    lines = [f"{options.metal} {choice.told()} ({choice.size.mm:.2f} mm; wanted about {data['wanted_mm']} mm)"]
    data["wire"] = {"name": choice.size.name, "mm": round(choice.size.mm, 3), "count": choice.count}
    if options.length:
        lines.append(_length_told(options.length, base, tip, choice, data))
    return Result(lines=tuple(lines), data=data)


def _length_told(length: float, base: float, tip: float, choice: Choice, data: WireData) -> str:
    cut = length_to_cut_mm(length, base, tip, choice.size.mm)
    turns = helix_turns(length, base, tip, choice.size.mm)
    grams = cut / 1000 * choice.count * choice.size.grams_a_metre
    data.update({"cut_mm": round(cut, 1), "turns": round(turns, 2), "grams": round(grams, 1)})
    each = " each" if choice.count > 1 else ""
    return f"cut {cut:.0f} mm{each} (two turns to anchor included), {turns:.1f} turns at 45°, {grams:.0f} g in all"
