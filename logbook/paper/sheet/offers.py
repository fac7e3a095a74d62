"""What a sheet offers: the jobs of its front, those that only its back has a box for, and the mark of each.

A mark is the two letters of a work (`mark` in works.yaml), with a number behind the second one of a kind (`rp2`), and behind one
that is a slip of a letter away from another on the same sheet; what growers mean to do in words of their own is `m1`, `m2`. None
are told apart by case.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable
from datetime import date, timedelta
from itertools import count

from ...planning.model import Job, Plan
from ...values import dataclass

AHEAD_DAYS = 183
OWN = "m"


@dataclass(frozen=True, slots=True)
class Marked:
    """A job under its mark."""

    mark: str
    job: Job


@dataclass(frozen=True, slots=True)
class Offers:
    """The jobs of a front; those that only have a box on the back; those that get one where there is room."""

    front: tuple[Marked, ...]
    back: tuple[Marked, ...]
    spare: tuple[Marked, ...] = ()

    @property
    def boxes(self) -> tuple[Marked, ...]:
        """What has a box come what may."""
        return (*self.front, *self.back)


def offers_of(plan: Plan) -> Offers:
    """What is open or opens within half a year of the print day; looks at wire and what only may be done have a box where there is room."""
    near = [job for job in plan.jobs if is_near(job, plan.today)]
    front = sorted((job for job in near if is_asked(job)), key=lambda job: is_ahead(job, plan.today))
    off = [job for job in plan.jobs if job.takes_wire]
    over = [job for job in plan.jobs if job.is_look_over][:1]
    looks = [job for job in near if job.is_about_wire and job not in off]
    spare = [job for job in near if job.optional and not job.is_about_wire and not job.is_look_over]
    marked = marks_of([*front, *off, *over, *looks, *spare])
    ends = len(front), len(front) + len(off) + len(over)
    return Offers(marked[: ends[0]], marked[ends[0] : ends[1]], marked[ends[1] :])


def is_near(job: Job, today: date) -> bool:
    """Whether it is open on the print day, opens within half a year of it, or only its signs tell."""
    return job.opens is None or job.opens <= today + timedelta(days=AHEAD_DAYS)


def is_ahead(job: Job, today: date) -> bool:
    """Whether it opens after the print day; what only its signs tell may be wanted on that very day."""
    return job.opens is not None and job.opens > today


def is_asked(job: Job) -> bool:
    """Whether a front tells it among its jobs: not what only may be done, nor looks at wire, nor the walk round the tree."""
    return not (job.optional or job.is_about_wire or job.is_look_over)


def marks_of(jobs: Iterable[Job]) -> tuple[Marked, ...]:
    """Each job with its mark, in their order."""
    made: list[Marked] = []
    for job in jobs:
        own = job.record.mark if job.record else ""
        taken = {one.mark for one in made}
        forms = ((own or OWN) + (str(n) if n > 1 or not own else "") for n in count(1))
        made.append(Marked(next(form for form in forms if _is_free(form, taken)), job))
    return tuple(made)


def _is_free(mark: str, taken: Collection[str]) -> bool:
    """Whether a mark is not on the sheet yet, nor one that a slip of a letter makes of it; figures are read as they stand."""
    return mark not in taken and not any(
        mark.isalpha() and other.isalpha() and one_letter_apart(mark, other) for other in taken
    )


def one_letter_apart(a: str, b: str) -> bool:
    """Whether one of two marks becomes the other by a wrong letter, one left out, or two in the wrong order."""
    short, long = sorted((a, b), key=len)
    if len(short) < len(long):
        return any(long[:n] + long[n + 1 :] == short for n in range(len(long)))
    return a == b[::-1] or sum(x != y for x, y in zip(a, b, strict=True)) == 1
