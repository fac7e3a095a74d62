"""What a front says, in short, so that a sheet is printed again only where it would say something else.

A window that opens or closes is no change. A date counts only when it moved by more than half its band, which is drawn on
both sides of it, and by five days at least. What may be done is a change: a job that is not on the paper and begins within a fortnight, one that is and may not be
done any more, a bar that came or went; so is whatever was written since, and the day the paper is no longer good.
"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Iterator, Mapping
from dataclasses import asdict, field, replace
from datetime import date, timedelta
from typing import Any

from ...collection.model import NOWHERE
from ...horticulture.knowledge import Knowledge
from ...planning.model import Job, Plan
from ...values import dataclass
from .blocks.bars import bar_of
from .blocks.leave import vital_care
from .good_to import good_to
from .offers import is_asked

LEAST_DAYS = 5
SOON = timedelta(days=14)
FARTHEST = "9999-12-31"


@dataclass(frozen=True, slots=True)
class Dates:
    """A job or a care of a front: its days, and how far its band reaches on either side, days."""

    opens: str
    closes: str
    band: int = 0


@dataclass(frozen=True, slots=True)
class Said:
    """What one front says: its words as a hash, how long it is good, its jobs and bars by what they are."""

    words: str
    good: str
    jobs: Mapping[str, Dates] = field(default_factory=dict)
    bars: Mapping[str, Dates] = field(default_factory=dict)

    @property
    def text(self) -> str:
        """As the record of printed sheets keeps it."""
        return json.dumps(asdict(self), ensure_ascii=False, separators=(",", ":"))


def front_said(plan: Plan, knowledge: Knowledge) -> Said:
    """What a front of this plan says."""
    return Said(_words(plan, knowledge), good_to(plan).isoformat(), dict(_jobs(plan)), dict(_bars(plan)))


def _words(plan: Plan, knowledge: Knowledge) -> str:
    """A hash of all that does not hang on the day: names, aim, branches, how the tree stands, the log."""
    tree, state = plan.tree, plan.state
    told = [tree.tag, tree.name, tree.full_name, tree.bench, tree.aim, tree.front, str(tree.count)]
    branches = [replace(b, place=NOWHERE) for b in tree.branches if b.id not in state.removed]
    told += [repr(tree.targets), repr(branches), state.stage, repr(state.vigour)]
    told += [repr([entry.content() for entry in state.entries]), knowledge.poison_words(tree.species)]
    told += [reason.code.value for reason in plan.advice]
    told += [f"silent since {plan.silent_since}"] if plan.silent_since else []
    return hashlib.sha256("\n".join(told).encode()).hexdigest()[:24]


def _jobs(plan: Plan) -> Iterator[tuple[str, Dates]]:
    for job in plan.jobs:
        if is_asked(job):
            yield _name(job), _dates(job)
    for job in vital_care(plan):
        nights = [str(round(v)) for reason in job.conditions for v in reason.given if isinstance(v, float)]
        yield f"care {_name(job)} {' '.join(nights)}", _dates(job)


def _name(job: Job) -> str:
    mark = (job.record.mark or job.work) if job.record else job.work
    codes = " ".join(sorted(reason.code.value for reason in job.conditions))
    return "/".join([mark, " ".join(job.branches), job.own, job.says, codes])


def _dates(job: Job) -> Dates:
    """A job's days; of what the grower meant to do by a day, and of what is overdue, that day alone."""
    last = job.since or (job.by.latest if job.own and job.by and job.record is None else None)
    if last is not None:
        return Dates("", last.isoformat())
    return Dates(
        job.opens.isoformat() if job.opens else "", job.closes.isoformat() if job.closes else FARTHEST, job.band
    )


def _bars(plan: Plan) -> Iterator[tuple[str, Dates]]:
    for wire in (bar_of(plan, wire) for wire in plan.state.wires):
        kind = "bites" if wire.bites else "stays" if wire.stays else "on"
        band = next((j.band for j in plan.jobs if j.takes_wire), 0)
        yield f"wire {kind} {' '.join(wire.branches)}", Dates("", wire.off.isoformat() if wire.off else "", band)
    for hold in plan.holds:
        kinds = " ".join(sorted(kind.value for kind in hold.kinds))
        yield f"{hold.state.value} {kinds} {hold.strong}", Dates("", hold.until.isoformat() if hold.until else "")


def is_changed(now: Said, kept: str, today: date) -> bool:
    """Whether a front printed today would say something else than one that was kept as `kept`."""
    before = _read(kept)
    if before is None or before.words != now.words or date.fromisoformat(before.good) < today:
        return True
    if set(before.bars) != set(now.bars):
        return True
    if any(_moved(before.bars[name], dates) for name, dates in now.bars.items()):
        return True
    return any(_is_news(name, dates, before, today) for name, dates in now.jobs.items()) or any(
        name not in now.jobs and _is_open_or_soon(dates, today) for name, dates in before.jobs.items()
    )


def _read(kept: str) -> Said | None:
    """What was kept; None for what older versions kept, which tells nothing."""
    try:
        raw: dict[str, Any] = json.loads(kept)
        jobs, bars = ({name: Dates(**dates) for name, dates in raw[part].items()} for part in ("jobs", "bars"))
        return Said(raw["words"], raw["good"], jobs, bars)
    except (ValueError, KeyError, TypeError, AttributeError):
        return None


def _is_news(name: str, dates: Dates, before: Said, today: date) -> bool:
    """A job that is not on the paper and begins soon, or whose days moved; days that are past can't move."""
    old = before.jobs.get(name)
    if old is None:
        return not dates.opens or date.fromisoformat(dates.opens) <= today + SOON
    if old.closes < today.isoformat() <= dates.closes:
        return dates.opens <= (today + SOON).isoformat()  # its next turn, which the paper does not tell
    return _moved(old, dates, today.isoformat())


def _is_open_or_soon(dates: Dates, today: date) -> bool:
    """Whether the paper offers it today, or will within a fortnight."""
    return (
        dates.opens <= (today + SOON).isoformat() and dates.closes > (today + timedelta(days=LEAST_DAYS)).isoformat()
    )


def _moved(old: Dates, new: Dates, today: str = "") -> bool:
    """Whether a date left the days on either side of it that the paper draws as its band, and moved by five days at least."""
    pairs = ((old.opens, new.opens), (old.closes, new.closes))
    return any((days := _apart(a, b, today)) >= LEAST_DAYS and days > old.band for a, b in pairs)


def _apart(one: str, other: str, today: str) -> float:
    """Days between two dates as they are kept; 0 where both are past."""
    if one == other or (one <= today and other <= today):
        return 0.0
    if not one or not other or FARTHEST in (one, other):
        return float("inf")
    return abs((date.fromisoformat(one) - date.fromisoformat(other)).days)
