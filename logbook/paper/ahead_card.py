"""The years ahead on cards: how much there is to do in each of the coming seasons, then the plan run forward tree by tree."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

from ..collection.dates import day_told
from ..planning.ahead import Outlook, Step, YearAhead
from ..planning.wording import Wording
from .cards import card_pages, card_title
from .flow import Chunk, heading, lines, row
from .layouts import Layout
from .page import Page
from .words import say

SIZE = 9.0
WIDE_DAYS = 90  # of a band: more says no day, but the years it may fall in


def ahead_pages(
    years: Sequence[YearAhead], trees: Sequence[Outlook], layout: Layout, wording: Wording, today: date
) -> list[Page]:
    """The garden's years in a table, then each tree's own, as many pages as they take."""
    width = layout.room[0] - 2 * layout.margin
    chunks = [
        Chunk("title", (card_title(say("ahead"), day_told(today), width),)),
        _garden(years, wording, width),
        *(_tree(outlook, wording, width) for outlook in trees),
        Chunk("note", tuple(lines(say("forecast"), SIZE, width))),
    ]
    return card_pages(chunks, layout, "years ahead", say("ahead"))


def _garden(years: Sequence[YearAhead], wording: Wording, width: float) -> Chunk:
    """A row a season: pots, litres of soil, hours."""
    heads = (say("ahead season"), say("ahead pots"), say("ahead soil"), say("ahead work"))
    shares = (0.0, 0.2, 0.42, 0.74)
    pieces = row([(share, name, True) for share, name in zip(shares, heads, strict=True)], width)
    for year in years:
        soil = wording.units.litres_told(year.litres)
        soil = say("unmeasured", litres=soil, count=year.unmeasured) if year.unmeasured else soil
        cells = (str(year.season), str(year.potted), soil, say("hours", hours=year.hours))
        pieces += row([(share, cell, not share) for share, cell in zip(shares, cells, strict=True)], width)
    return Chunk("garden", tuple(pieces))


def _tree(outlook: Outlook, wording: Wording, width: float) -> Chunk:
    """What waits, a row a season, and when the trunk is there."""
    tree = outlook.tree
    pieces = [heading(f"{tree.tag}  {tree.name or tree.full_name}", width, SIZE)]
    for hold in outlook.holds:
        pieces += lines(wording.held(hold), SIZE, width, bold=True)
    for season in dict.fromkeys(step.season for step in outlook.steps):
        steps = (step for step in outlook.steps if step.season == season)
        told = map(_step_told, steps)
        pieces += row([(0.0, str(season), True), (0.12, "; ".join(told), False)], width)
    if outlook.trunk:
        pieces += lines(say("trunk there", told=wording.reach(outlook.trunk)), SIZE, width)
    return Chunk(f"tree {tree.tag}", tuple(pieces), whole=True)


def _step_told(step: Step) -> str:
    """A work with its day and band; one that hangs on growth, with the years in which it may come."""
    if step.band <= WIDE_DAYS:
        return say("step", what=step.what, day=day_told(step.day, step.day), band=step.band)
    reach = timedelta(days=step.band)
    return say("step wide", what=step.what, first=(step.day - reach).year, last=(step.day + reach).year)
