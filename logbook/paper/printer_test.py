"""A page that tells whether a printer keeps the scale and the register: rules of 100 mm, a frame, crosses on both sides."""

from __future__ import annotations

from .flow import lines
from .page import Item, Page, Rule, Text, moved
from .typesetting import LEAST_PT, width_mm
from .words import say

FRAME_MM = 10.0
RULE_MM = 100


def scale_page(paper: tuple[float, float], *, back: bool = False) -> Page:
    """One side of the trial page, as large as the paper."""
    width, height = paper
    items: list[Item] = _cross(width / 2, height / 2)
    if back:
        return Page(width, height, (*items, *_said((say("try back"),), width, height * 0.6)), (), "scale page back")
    left, top, right, bottom = FRAME_MM, FRAME_MM, width - FRAME_MM, height - FRAME_MM
    items += [
        Rule(left, top, right, top, 0.3),
        Rule(left, bottom, right, bottom, 0.3),
        Rule(left, top, left, bottom, 0.3),
        Rule(right, top, right, bottom, 0.3),
    ]
    items += _ruler(left + 12.0, top + 14.0, down=False)
    items += _ruler(left + 12.0, top + 22.0, down=True)
    told = (
        say("try print"),
        say("try rules", rule=RULE_MM),
        say("try frame", frame=FRAME_MM),
        say("try offset"),
        say("try light"),
    )
    return Page(width, height, (*items, *_said(told, width, top + 24.0)), (), "scale page")


def _ruler(x: float, y: float, *, down: bool) -> list[Item]:
    items: list[Item] = []
    for mm in range(RULE_MM + 1):
        long = 5.0 if mm % 10 == 0 else 3.5 if mm % 5 == 0 else 2.0
        if down:
            items.append(Rule(x, y + mm, x + long, y + mm, 0.15))
        else:
            items.append(Rule(x + mm, y, x + mm, y - long, 0.15))
        if mm % 10 == 0:
            words = str(mm)
            spot = (x + 6.0, y + mm + 1.0) if down else (x + mm - 1.2, y + 3.2)
            items.append(Text(*spot, words, LEAST_PT, width=width_mm(words, LEAST_PT)))
    end = (x, y + RULE_MM) if down else (x + RULE_MM, y)
    return [*items, Rule(x, y, *end, 0.2)]


def _cross(x: float, y: float) -> list[Item]:
    return [Rule(x - 8.0, y, x + 8.0, y, 0.15), Rule(x, y - 8.0, x, y + 8.0, 0.15)]


def _said(texts: tuple[str, ...], width: float, top: float) -> list[Item]:
    left = FRAME_MM + 32.0
    items: list[Item] = []
    y = top
    for text in texts:
        for piece in lines(text, 10.0, width - left - FRAME_MM - 4.0):
            items += [moved(item, left, y) for item in piece.items]
            y += piece.height
        y += 2.0
    return items
