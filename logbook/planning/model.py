"""What a plan is made of: jobs on offer, works to leave alone, and the reasons for both."""

from __future__ import annotations

from dataclasses import dataclass, field
from datetime import date
from typing import Any, Literal

from ..collection.model import Tree
from ..horticulture.knowledge import Group, Knowledge, Row, Work
from ..season.learning import NOBODY, Who
from ..season.marks import SiteYear
from .tree_state import State
from .windows import Span

Status = Literal["now", "ahead", "overdue", "by sign"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One ground for a job or a refusal: its kind (mark, rule, log, state, interval) and a plain sentence."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """A work on offer. No dates where only the tree's own signs can tell; `since` is the last day of one that is overdue."""

    tag: str
    work: str
    sign: str
    too_late: str
    status: Status
    opens: date | None = None
    best: date | None = None
    closes: date | None = None
    band: int = 0
    condition: str = ""
    branches: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    caution: str = ""
    optional: bool = False
    own: str = ""
    by: str = ""
    since: date | None = None

    @property
    def what(self) -> str:
        """The work as printed, with its branches."""
        if self.own:
            return self.own + (f" (by {self.by})" if self.by else "")
        return f"{self.work} {', '.join(self.branches)}" if self.branches else self.work


@dataclass(frozen=True, slots=True)
class Refusal:
    """A work to leave alone, and why; `until` where that ends by the calendar."""

    tag: str
    work: str
    why: str
    reasons: tuple[Reason, ...] = ()


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything the paper says about one tree on one day."""

    tree: Tree
    state: State
    group: str
    today: date
    jobs: tuple[Job, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    care: tuple[Job, ...] = ()
    asks: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)
    growth: str = ""

    def wire_job(self, branches: tuple[str, ...]) -> Job | None:
        """The look at this wire; where the last one found it biting, its coming off."""
        jobs = {j.work: j for j in self.jobs if j.branches == branches and j.work in ("wire check", "wire off")}
        return jobs.get("wire check") or jobs.get("wire off")


@dataclass(frozen=True, slots=True)
class Desk:
    """What every step of planning needs."""

    tree: Tree
    state: State
    site: SiteYear
    knowledge: Knowledge
    group: Group
    today: date
    who: Who = NOBODY


def job_in(
    desk: Desk, work: Work, row: Row, span: Span, status: Status, reasons: tuple[Reason, ...], **more: Any
) -> Job:
    """A work of a row on offer in a span of days."""
    return Job(
        desk.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        status,
        span.opens,
        span.best,
        span.closes,
        span.band,
        reasons=reasons,
        **more,
    )


def job_by_sign(desk: Desk, work: Work, row: Row, reasons: tuple[Reason, ...], **more: Any) -> Job:
    """A work of a row on offer with no date: the tree's own signs must tell."""
    return Job(desk.tree.tag, work.name, row.sign, row.too_late, "by sign", reasons=reasons, **more)


def told(span: Span) -> tuple[Reason, ...]:
    """How a span's marks were found, as reasons."""
    return tuple(Reason("mark", text) for text in span.how)
