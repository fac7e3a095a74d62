"""Works that fit one visit: windows that overlap on a day, never two hard works together."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from ..model import Job, Plan
from ..restrictions import is_hard


@dataclass(frozen=True, slots=True)
class Visit:
    """A day that suits several works at once."""

    day: date
    jobs: tuple[Job, ...]

    @property
    def works(self) -> tuple[str, ...]:
        return tuple(job.what for job in self.jobs)


def visits(plan: Plan) -> tuple[Visit, ...]:
    """Group the dated jobs: the one that closes first takes along every other whose window holds its best day."""
    left = [j for j in plan.jobs if j.opens and j.closes and j.record and not j.is_look_over]
    left.sort(key=lambda j: (j.closes or date.max, j.work))
    found: list[Visit] = []
    while left:
        first = left.pop(0)
        assert first.closes is not None
        day = min(max(first.best or first.closes, plan.today), first.closes)
        along = [first]
        for job in list(left):
            if _holds(job, day) and not (_hard(job) and any(map(_hard, along))):
                along.append(job)
                left.remove(job)
        found.append(Visit(day, tuple(along)))
    return tuple(found)


def _holds(job: Job, day: date) -> bool:
    return bool(job.opens and job.closes and job.opens <= day <= job.closes)


def _hard(job: Job) -> bool:
    return job.record is not None and is_hard(job.record)
