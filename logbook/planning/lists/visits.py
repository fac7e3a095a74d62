"""Works that fit one visit: windows that overlap on a day, and nothing that the tree could not bear on one day."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ...horticulture.forbids import State
from ...horticulture.work import Thing, Work
from ..condition import blocks_if_done, soonest
from ..garden import Garden
from ..model import Job, Visit
from ..restrictions import is_hard


def visits_of(jobs: Sequence[Job], garden: Garden, group: str, today: date) -> tuple[Visit, ...]:
    """Group the dated jobs: the one that closes first takes along every other whose window holds its best day."""
    left = [j for j in jobs if j.opens and j.closes and j.record and not j.is_look_over]
    left.sort(key=lambda j: (j.closes or date.max, j.work))
    found: list[Visit] = []
    while left:
        first = left.pop(0)
        assert first.closes is not None
        day = min(max(first.best or first.closes, today), first.closes)
        along = [first]
        for job in list(left):
            if _holds(job, day) and all(on_one_day(garden, group, one, job, day) for one in along):
                along.append(job)
                left.remove(job)
        found.append(Visit(day, tuple(along)))
    return tuple(found)


def on_one_day(garden: Garden, group: str, one: Job, other: Job, day: date) -> bool:
    """Whether neither of two works forbids the other, and not both are hard."""
    if one.record is None or other.record is None:
        return True
    if is_hard(one.record) and is_hard(other.record):
        return False
    if _rules_out(garden, one.record, other.record) or _rules_out(garden, other.record, one.record):
        return False
    pairs = ((one, other.record), (other, one.record))
    return not any(soonest(blocks_if_done(garden, group, job.work, day), work, day) for job, work in pairs)


def _rules_out(garden: Garden, one: Work, other: Work) -> bool:
    """A layer or graft that is made: from that hour on it wants the leaves and the roots it has."""
    makes = Thing.LAYER in one.puts or Thing.GRAFT in one.puts
    may_wait = other is not one and not other.is_exempt
    return makes and may_wait and other.kind in garden.knowledge.forbids.holds[State.LAYERED].kinds


def _holds(job: Job, day: date) -> bool:
    return bool(job.opens and job.closes and job.opens <= day <= job.closes)
