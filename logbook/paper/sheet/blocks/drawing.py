"""The tree seen from its front: trunk in its pot, branches at their heights and sides with their numbers."""

from __future__ import annotations

import math
from collections.abc import Sequence

from ....collection.model import Branch
from ....planning.tree_state import State
from ....values import dataclass
from ...flow import Piece, baseline_text
from ...page import Item, Rule, Shape, moved
from ...typesetting import line_mm, shrunk, width_mm

WIDE_MM = 33.0
APART_MM = 2.7  # between two numbers on one side
NUMBER_PT = 7.5
POT_MM, POT_WIDE_MM = 3.6, 15.0
HIGHEST = 1.45  # times the highest branch, which the trunk is drawn to at most
HEAD_ON = 0.2
REACH_MM, NUMBER_MM = 9.5, 1.2
RISE_MM = 2.0
SACRIFICE, DEADWOOD = "sacrifice", "deadwood"


@dataclass(frozen=True, slots=True)
class _Limb:
    """A branch to draw: on which side (1 right, -1 left), how far out, and where it leaves the trunk, mm from the top."""

    branch: Branch
    side: float
    reach: float
    y: float


def drawing(branches: Sequence[Branch], state: State, tall: float, width: float = WIDE_MM) -> tuple[Piece, list[str]]:
    """The drawing, `tall` mm high, and the numbers of branches that have no height or found no room."""
    wired = {b for wire in state.wires for b in wire.branches}
    placed, left_out = _placed(branches, state, tall, wired)
    middle, soil = width / 2, tall - POT_MM
    items: list[Item] = [_trunk(middle, soil), *_pot(middle, soil)]
    for limb, y in placed:
        items += _limb(limb, y, middle, limb.branch.id in wired)
    return Piece(tall, tuple(items)), left_out


def to_draw(words: str, tall: float, size: float, width: float = WIDE_MM) -> Piece:
    """A pot and a dashed trunk, for a tree whose branches are not on record."""
    middle, soil, height = width / 2, tall - POT_MM, line_mm(size)
    label = baseline_text(words, 0.0, height, shrunk(words, size, width))
    trunk = Rule(middle, height + 0.6, middle, soil, 0.3, dash=0.7)
    return Piece(tall, (moved(label, (width - label.width) / 2, 0.0), trunk, *_pot(middle, soil)))


def _placed(
    branches: Sequence[Branch], state: State, tall: float, wired: set[str]
) -> tuple[list[tuple[_Limb, float]], list[str]]:
    """Each limb with the height its number stands at; where a side has more than fit, only wired and sacrificed ones."""
    soil, top = tall - POT_MM, 1.2
    left_out = [b.id for b in branches if not b.height]
    limbs = _limbs([b for b in branches if b.height], state, top, soil)
    made: list[tuple[_Limb, float]] = []
    most = max(1, int((soil - top) / APART_MM))
    for side in (1.0, -1.0):
        own = [limb for limb in limbs if limb.side == side]
        kept = own if len(own) <= most else [limb for limb in own if _stands_out(limb, wired)][:most]
        left_out += [limb.branch.id for limb in own if limb not in kept]
        made += zip(kept, _apart([limb.y - RISE_MM for limb in kept], top, soil), strict=True)
    return made, left_out


def _stands_out(limb: _Limb, wired: set[str]) -> bool:
    return limb.branch.id in wired or limb.branch.role == SACRIFICE


def _limbs(known: Sequence[Branch], state: State, top: float, soil: float) -> list[_Limb]:
    """Branches of known heights on the stem, from below; those that point at the eye stand left and right in turns."""
    highest = max((b.height or 0.0 for b in known), default=0.0)
    whole = max(min(state.height_mm() or highest * 1.15, highest * HIGHEST) or 1.0, highest)
    limbs: list[_Limb] = []
    turn = 1.0
    for branch in sorted(known, key=lambda b: b.height or 0.0):
        across = math.sin(branch.clock * math.pi / 6) if branch.clock is not None else 0.0
        head_on = abs(across) < HEAD_ON
        turn = -turn if head_on else turn
        side, reach = (turn, 0.55) if head_on else (math.copysign(1.0, across), 1.0)
        limbs.append(_Limb(branch, side, REACH_MM * reach, soil - (soil - top) * (branch.height or 0.0) / whole))
    return limbs


def _apart(wanted: Sequence[float], top: float, bottom: float) -> list[float]:
    """Heights (from the lowest up) moved so that two are APART_MM or more apart, between top and bottom."""
    made: list[float] = []
    for y in wanted:
        made.append(min(y, bottom - APART_MM / 2, made[-1] - APART_MM if made else bottom))
    for n in range(len(made) - 1, -1, -1):
        least = top + APART_MM * (len(made) - 1 - n)
        made[n] = max(made[n], least)
    return made


def _trunk(middle: float, soil: float) -> Shape:
    return Shape(((middle - 0.9, soil), (middle - 0.3, 0.4), (middle + 0.3, 0.4), (middle + 0.9, soil)), 0.0)


def _pot(middle: float, soil: float) -> list[Item]:
    half = POT_WIDE_MM / 2
    low = soil + POT_MM - 0.8
    body = Shape(
        ((middle - half, soil), (middle + half, soil), (middle + half - 1.6, low), (middle - half + 1.6, low)),
        None,
        0.35,
    )
    feet = [Rule(middle + side * (half - 2.6), low, middle + side * (half - 1.6), low + 0.7, 0.5) for side in (-1, 1)]
    return [body, *feet]


def _limb(limb: _Limb, y: float, middle: float, wired: bool) -> list[Item]:
    branch = limb.branch
    x1, x2 = middle, middle + limb.side * limb.reach
    start = min(limb.y, y + 3 * RISE_MM) if y < limb.y else limb.y
    dash = 0.9 if branch.role == SACRIFICE else 0.0
    items: list[Item] = [Rule(x1, start, x2, y, 0.3 if branch.role == "undecided" else 0.55, dash=dash)]
    if branch.role == DEADWOOD:
        items.append(_ring(x2, y))
    if wired:
        items += _coils((x1, start), (x2, y))
    wide = width_mm(branch.id, NUMBER_PT, True)
    label = baseline_text(branch.id, 0.0, APART_MM, NUMBER_PT, bold=True)
    beyond = NUMBER_MM + (0.8 if branch.role == DEADWOOD else 0.0)
    left = x2 + beyond if limb.side > 0 else x2 - beyond - wide
    return [*items, moved(label, left, y - APART_MM / 2)]


def _ring(x: float, y: float) -> Shape:
    angles = [math.pi * n / 8 for n in range(16)]
    return Shape(tuple((x + 0.8 * math.cos(a), y + 0.8 * math.sin(a)) for a in angles), None, 0.25)


def _coils(start: tuple[float, float], end: tuple[float, float]) -> list[Item]:
    """Strokes across a limb: wire is on it."""
    (x1, y1), (x2, y2) = start, end
    long = math.hypot(x2 - x1, y2 - y1) or 1.0
    lean = math.copysign(0.5, x2 - x1)
    made: list[Item] = []
    for share in (0.4, 0.52, 0.64, 0.76):
        x, y = x1 + (x2 - x1) * share, y1 + (y2 - y1) * share
        across = -(y2 - y1) / long
        made.append(Rule(x - across - lean, y - 1.1, x + across + lean, y + 1.1, 0.3))
    return made
