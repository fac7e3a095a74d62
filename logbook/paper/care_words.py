"""Care of many trees in one paragraph: what, till when, before which night, and the trees."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..collection.dates import day_told
from ..planning.lists.care_list import Cared
from ..planning.model import Job
from ..planning.wording import Wording

MOST_TAGS = 30


def care_words(care: Iterable[Cared], wording: Wording, everyone: int) -> str:
    """`Care: winter shelter until 26 Feb 2027, before a night under -6 °C: 001 002; feeding from 4 Aug 2027: 001`; else nothing.

    `everyone` is how many trees there are, which need no naming where all of them are meant.
    """
    told = "; ".join(care_rows(care, wording, everyone))
    return f"Care: {told}" if told else ""


def care_rows(care: Iterable[Cared], wording: Wording, everyone: int) -> list[str]:
    """The same, each kind of care by itself."""
    return [_told(one, wording, everyone) for one in care]


def _told(care: Cared, wording: Wording, everyone: int) -> str:
    when = f"from {day_told(care.opens[0])}" if care.ahead else f"until {day_told(care.closes[0])}"
    if len(care.tags) == everyone and all(job.night is None for job in care.jobs):
        return f"{care.what} {when}: all"
    return f"{care.what} {when}{', '.join(_by_night(care.jobs, wording))}"


def _by_night(jobs: Sequence[Job], wording: Wording) -> Iterator[str]:
    """The trees, those that come in before a milder night first."""
    nights = sorted({job.night for job in jobs if job.night is not None}, reverse=True)
    others = [job for job in jobs if job.night is None]
    if others:
        yield f": {_tags(others)}"
    for number, night in enumerate(nights):
        lead = "" if number else "before a night under "
        yield f" {lead}{wording.units.temperature_told(night)}: {_tags(job for job in jobs if job.night == night)}"


def _tags(jobs: Iterable[Job]) -> str:
    tags = list(dict.fromkeys(job.tag for job in jobs))
    more = f" and {len(tags) - MOST_TAGS} more" if len(tags) > MOST_TAGS else ""
    return " ".join(tags[:MOST_TAGS]) + more
