"""Care that is open or near, gathered over many trees: shelter, shade, feeding, pests, the weeks after hard work."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from datetime import date

from ...values import dataclass
from ..model import Job, Plan


@dataclass(frozen=True, slots=True)
class Cared:
    """One kind of care and the trees that want it; `ahead` where it has not begun."""

    what: str
    ahead: bool
    jobs: tuple[Job, ...]

    @property
    def tags(self) -> tuple[str, ...]:
        """The trees, each once, in the order they came."""
        return tuple(dict.fromkeys(job.tag for job in self.jobs))

    @property
    def opens(self) -> tuple[date, date]:
        """The first and the last of the days on which it begins."""
        return _ends(job.opens for job in self.jobs)

    @property
    def closes(self) -> tuple[date, date]:
        """The first and the last of the days on which it ends."""
        return _ends(job.closes for job in self.jobs)


def care_until(plans: Iterable[Plan], last: date) -> list[Cared]:
    """What has begun or begins by a day, what has begun for any tree first."""
    found: dict[str, list[Job]] = {}
    ahead: dict[str, bool] = {}
    for plan in plans:
        for job in care_of(plan, last):
            found.setdefault(job.what, []).append(job)
            ahead[job.what] = ahead.get(job.what, True) and (job.opens is None or job.opens > plan.today)
    return [Cared(what, ahead[what], tuple(found[what])) for what in sorted(found, key=lambda w: (ahead[w], w))]


def care_of(plan: Plan, last: date) -> Sequence[Job]:
    """A tree's dated care that has begun or begins by a day."""
    return [job for job in plan.care if job.opens and job.closes and job.opens <= last]


def _ends(days: Iterable[date | None]) -> tuple[date, date]:
    told = sorted(day for day in days if day)
    return told[0], told[-1]
