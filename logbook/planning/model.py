"""What a plan is made of: jobs on offer, works to leave alone, and the reasons for both."""

from __future__ import annotations

from dataclasses import field
from datetime import date
from enum import StrEnum
from typing import TypedDict, Unpack

from ..collection.dates import When
from ..collection.model import Entry, Tree
from ..horticulture.group import Group
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import POT, Row, Thing, Work
from ..season.calendar import Calendar
from ..season.learning import NOBODY, Who
from ..season.reasons import Reason
from ..season.site_year import SiteYear
from ..values import dataclass
from .condition import Block, Hold
from .garden import Garden
from .grounds import Ask
from .kin import Kin
from .lists.trunk_growth import Growth
from .tree_state import State
from .windows import Answer, Span

INTENTION = "intention"
ROOTS = "roots"


class Status(StrEnum):
    """How a job stands on the day of its plan."""

    NOW = "now"
    AHEAD = "ahead"
    OVERDUE = "overdue"
    BY_SIGN = "by sign"


@dataclass(frozen=True, slots=True)
class Job:
    """A work on offer. No dates where only the tree's own signs can tell; `since` is the last day of one that is overdue.

    `costs_a_year`: where its window closes unused, the next is a year away or more. `says`: the line itself, for care that is said in
    words of its own. `how`: how much, or in what way. `night`: °C of the
    night before which a tree comes under cover, as its roots bear it on the first day that counts. `rate_first`: a weak tree dies of it and no fresh score is on record, so the score is asked for in place of the tick.
    """

    tag: str
    work: str
    sign: str
    too_late: str
    status: Status
    opens: date | None = None
    best: date | None = None
    closes: date | None = None
    band: int = 0
    conditions: tuple[Reason, ...] = ()
    branches: tuple[str, ...] = ()
    reasons: tuple[Reason, ...] = ()
    caution: str = ""
    optional: bool = False
    own: str = ""
    by: When | None = None
    since: date | None = None
    record: Work | None = None
    rate_first: bool = False
    says: str = ""
    costs_a_year: bool = False
    how: str = ""
    night: float | None = None

    @property
    def is_look_over(self) -> bool:
        """The walk round a tree, which closes any visit."""
        return self.record is not None and self.record.is_look_over

    @property
    def is_about_wire(self) -> bool:
        """A look at wire, or its coming off."""
        return self.record is not None and Thing.WIRE in (*self.record.looks, *self.record.takes)

    @property
    def takes_wire(self) -> bool:
        """Wire's coming off."""
        return self.record is not None and Thing.WIRE in self.record.takes

    @property
    def is_urgent(self) -> bool:
        """Whether waiting costs more than with other works."""
        return self.record is not None and self.record.urgent

    @property
    def what(self) -> str:
        """The work as printed, with its branches; the line itself where it says one."""
        if self.says:
            return self.says
        if self.own:
            return self.own + (f" (by {self.by.told()})" if self.by else "")
        return f"{self.work} {', '.join(self.branches)}" if self.branches else self.work


@dataclass(frozen=True, slots=True)
class Refusal:
    """A work to leave alone, and why: the plainest ground first, then what it rests on; `optional` where it only might be done."""

    tag: str
    work: str
    why: Reason
    reasons: tuple[Reason, ...] = ()
    optional: bool = False


@dataclass(frozen=True, slots=True)
class Visit:
    """A day that suits several works at once."""

    day: date
    jobs: tuple[Job, ...]

    @property
    def works(self) -> tuple[str, ...]:
        """The works as printed."""
        return tuple(job.what for job in self.jobs)


@dataclass(frozen=True, slots=True)
class Plan:
    """Everything the paper says about one tree on one day.

    `silent_since`: the day of the last note, where that is more than a year ago: then missed windows pass without a word.
    `vigour_aged`: there is a score, but it is too old to count, or from before what shook the tree. `advice`: whether it can live there.
    """

    tree: Tree
    state: State
    group: str
    today: date
    jobs: tuple[Job, ...] = ()
    refusals: tuple[Refusal, ...] = ()
    care: tuple[Job, ...] = ()
    asks: tuple[Ask, ...] = ()
    holds: tuple[Hold, ...] = ()
    visits: tuple[Visit, ...] = ()
    silent_since: date | None = None
    growth: Growth | None = None
    vigour_aged: bool = False
    advice: tuple[Reason, ...] = ()

    @property
    def expected_refusals(self) -> tuple[Refusal, ...]:
        """The works to leave alone that a grower would look for; those that only might be done are told where reasons are."""
        return tuple(refusal for refusal in self.refusals if not refusal.optional)

    def wire_job(self, branches: tuple[str, ...]) -> Job | None:
        """The look at this wire; where the last one found it biting, its coming off."""
        about = [job for job in self.jobs if job.branches == branches and job.is_about_wire]
        looks = [job for job in about if job.record and job.record.looks]
        return next(iter(looks or about), None)


Own = tuple[frozenset[str], frozenset[str]]


@dataclass(frozen=True, slots=True)
class Context:
    """What every step of planning one tree needs."""

    tree: Tree
    state: State
    garden: Garden
    group: Group
    today: date
    kin: Kin
    who: Who = NOBODY
    blocks: tuple[Block, ...] = ()
    holds: tuple[Hold, ...] = ()
    silent: bool = False
    lifting: Entry | None = None  # by which it was collected, where its log does not tell of it
    own_answers: dict[tuple[int, int], Answer] = field(default_factory=dict)  # of rows whose days hang on this tree
    told: dict[int, Own | None] = field(default_factory=dict)  # by season, as `own_marks` found them
    site: SiteYear = field(init=False)  # the year of the place: asked for so often that it is kept

    def __post_init__(self) -> None:
        object.__setattr__(self, "site", self.garden.site)

    @property
    def done(self) -> tuple[Entry, ...]:
        """What was done to the tree, the lifting that its log does not tell of with it."""
        return (*self.state.entries, self.lifting) if self.lifting else self.state.entries

    @property
    def calendar(self) -> Calendar:
        """The site's seasons."""
        return self.site.calendar

    def own_marks(self, season: int) -> Own | None:
        """The marks of a season and of the one behind it that may be this tree's own, and not those of its kin; None where none are."""
        try:
            return self.told[season]
        except KeyError:
            names, who, group = self.site.marks.own_names, self.who, self.group.name
            this, coming = names(who, group, season), names(who, group, season + 1)
            found = self.told[season] = (this, coming) if this or coming else None
            return found

    @property
    def knowledge(self) -> Knowledge:
        """What growers know, with the collection's own numbers."""
        return self.garden.knowledge


class _More(TypedDict, total=False):
    """What a rule may say of its job besides."""

    conditions: tuple[Reason, ...]
    branches: tuple[str, ...]
    caution: str
    optional: bool
    rate_first: bool
    says: str
    costs_a_year: bool
    night: float | None


def job_in(
    context: Context,
    work: Work,
    row: Row,
    span: Span,
    status: Status,
    reasons: tuple[Reason, ...],
    **more: Unpack[_More],
) -> Job:
    """A work of a row on offer in a span of days."""
    return Job(
        context.tree.tag,
        work.name,
        *row.signs(span.second),
        status,
        span.opens,
        span.best,
        span.closes,
        span.band,
        reasons=reasons,
        record=work,
        how=_how(context, work, row),
        **more,
    )


def job_by_sign(context: Context, work: Work, row: Row, reasons: tuple[Reason, ...], **more: Unpack[_More]) -> Job:
    """A work of a row on offer with no date: the tree's own signs must tell."""
    return Job(
        context.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        Status.BY_SIGN,
        reasons=reasons,
        record=work,
        how=_how(context, work, row),
        **more,
    )


def _how(context: Context, work: Work, row: Row) -> str:
    """The row's own clause; where roots are cut, how much of them this species bears comes before it."""
    if ROOTS not in work.details or work.counts_from != POT:
        return row.how
    share = context.knowledge.root_share(context.group.name, context.tree.species)
    return "; ".join(part for part in (share, row.how) if part)


def refusal(context: Context, work: Work, reasons: tuple[Reason, ...] | list[Reason]) -> Refusal:
    """A work refused for these reasons, the plainest first."""
    return Refusal(context.tree.tag, work.name, reasons[0], tuple(reasons))
