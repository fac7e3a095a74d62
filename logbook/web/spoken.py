"""The title of a tree's page: what a voice says first."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..paper.row_words import branch_ranges
from ..paper.sheet.blocks.bars import WireBar
from ..paper.sheet.blocks.jobs import first_needed, title_of, when_told
from ..paper.sheet.offers import Marked
from ..paper.words import say as say_on_paper
from ..planning.model import Plan
from ..planning.wording import Wording
from .words import say

FAR_DAYS = 300  # beyond which a day carries its year


def headline(plan: Plan, wires: Sequence[WireBar], jobs: Sequence[Marked], wording: Wording) -> str:
    """The first of: wire that is on, what waits, the first job, from when on something is needed."""
    if wires:
        return _wire(wires[0], plan.today)
    if plan.holds:
        return wording.held(plan.holds[0]).lower()
    if jobs:
        first = jobs[0].job
        return ", ".join(part for part in (title_of(first), when_told(first, plan.today)) if part)
    day = first_needed(plan)
    return say_on_paper("nothing needed", day=day_spoken(day, plan.today)).lower() if day else ""


def _wire(bar: WireBar, today: date) -> str:
    what = say("wire on", branches=branches_spoken(bar.branches)) if bar.branches else say("wire")
    if bar.bites:
        return say("bites", what=what)
    if bar.off is None:
        return say("stays" if bar.stays else "look", what=what)
    return say("overdue" if bar.overdue else "off by", what=what, day=day_spoken(bar.off, today))


def branches_spoken(branches: Sequence[str]) -> str:
    """`1 to 3, 5, S1`: three and more numbers in a row as a range."""
    return branch_ranges(branches, f" {say('range')} ")


def day_spoken(day: date, today: date) -> str:
    """`24 August`; with its year where the day is past, or far."""
    told = f"{day.day} {day:%B}"
    return told if 0 <= (day - today).days <= FAR_DAYS else f"{told} {day.year}"
