"""What a pot holds by its inner dimensions, and the soil to have ready for it. Needs no collection.

Dimensions in mm or with a unit, joined by x: length x width x depth; round pots and bowls: diameter x depth.

examples:
  benchleaf pot rectangle 300x200x80 --base 270x170
  benchleaf pot round 250x90 --mix "pumice 2 lava 1"
"""

from __future__ import annotations

import argparse
import re
from typing import TypedDict

from ..collection.model import Pot
from ..collection.units import METRIC, plain, sides_mm
from ..diagnostics import stop
from ..formulas.pots import holds, mix_litres
from .common import json_argument
from .results import Result

SHAPES = ("rectangle", "oval", "round", "drum", "bowl")


class PotData(TypedDict):
    """What a pot holds, and the soil to have ready for it, litres."""

    litres: float
    guessed: bool
    soil_litres: dict[str, float]
    mix: dict[str, str]


SHAPE = PotData


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("shape", choices=SHAPES, help="its shape")
    parser.add_argument("inner", type=_sides, help="inside: length x width x depth, or diameter x depth")
    parser.add_argument(
        "--base", type=_sides, default=(), metavar="LxW", help="the inside bottom, where it is smaller"
    )
    parser.add_argument("--outer", action="store_true", help="the dimensions are outer ones: a guess is made")
    parser.add_argument("--mix", type=_mix, default={}, metavar="PARTS", help="soil by parts: 'pumice 2 lava 1'")
    json_argument(parser)


def _sides(text: str) -> tuple[float, ...]:
    sides = sides_mm(text, METRIC)
    if sides is None or not 1 <= len(sides) <= 3 or not all(side > 0 for side in sides):
        raise argparse.ArgumentTypeError(f"expected up to three lengths joined by x, found '{text}'")
    return sides


def _mix(text: str) -> dict[str, float]:
    found = re.findall(r"([^\d\s][^\d]*?)\s+(\d+(?:\.\d+)?)(?:\s+|$)", text.strip())
    if not found or "".join(f"{n} {v}" for n, v in found).replace(" ", "") != text.replace(" ", ""):
        raise argparse.ArgumentTypeError(
            f"expected components with their parts, found '{text}': write 'pumice 2 lava 1'"
        )
    mix = {name: float(parts) for name, parts in found}
    if not all(mix.values()):
        raise argparse.ArgumentTypeError(f"a component of no parts in '{text}': leave it out")
    return mix


def run(options: argparse.Namespace) -> Result:
    """What the verb does; the result it prints."""
    count = len(options.inner)
    if count != 3 and not (count == 2 and options.shape in ("round", "drum", "bowl")):
        raise stop(
            f"{count} lengths don't measure a {options.shape} pot",
            hint="write length x width x depth, or diameter x depth for a round one",
        )
    sides = {"outer": options.inner} if options.outer else {"inner": options.inner, "base": options.base}
    if any(below > above for below, above in zip(options.base, options.inner, strict=False)):
        raise stop(
            "the base is larger than the top", hint="give the inside top first, then --base for the inside bottom"
        )
    found = holds(Pot(options.shape, **sides))
    assert found is not None
    soil = mix_litres(found.litres, options.mix) if options.mix else {}
    lines = [f"holds {found.told()}" + (": outer dimensions overstate; measure inside" if found.guessed else "")]
    lines += [f"  {name}: {litres:.1f} L" for name, litres in soil.items()]
    lines += ["  (15 % more included for waste and settling)"] if soil else []
    data: PotData = {
        "litres": round(found.litres, 4),
        "guessed": found.guessed,
        "soil_litres": {name: round(litres, 3) for name, litres in soil.items()},
        "mix": {name: plain(parts) for name, parts in options.mix.items()},
    }
    return Result(lines=tuple(lines), data=data)
