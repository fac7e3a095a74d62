"""What to do with a tree, and when: its jobs, what must be left alone, and what to ask, each with its reason.

Pure: (tree, site, knowledge, today) → Plan. Every date is a span with a band; every reason is data that can be told
in plain sentences. What is not known about a tree never refuses a work; it is offered with its condition in words.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from typing import Literal

from ..craft.wire import wire_days, yearly_thickening
from ..record.dates import When
from ..record.model import Intention, Settings, Tree
from ..season.marks import Mark, SiteYear
from ..trade.knowledge import Group, Knowledge, Row, Unless, Work
from .rules import SEASON_RULES, Answer, NoSpan, Span, window_span
from .state import State, WireOn, state_of

NEAR_DAYS = 200
DONE_SLACK_DAYS = 60
LOOK_OVER_DAYS = 21

Status = Literal["now", "ahead", "overdue", "by sign"]


@dataclass(frozen=True, slots=True)
class Reason:
    """One ground for a job or a refusal: its kind (mark, rule, log, state, interval) and a plain sentence."""

    kind: str
    text: str


@dataclass(frozen=True, slots=True)
class Job:
    """A work on offer. No dates where only the tree's own signs can tell."""

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
    asks: tuple[str, ...] = ()
    notes: tuple[str, ...] = field(default_factory=tuple)

    @property
    def wire_job(self) -> Job | None:
        return next((j for j in self.jobs if j.work == "wire check"), None)

    def open_within(self, days: int) -> tuple[Job, ...]:
        limit = self.today + timedelta(days=days)
        return tuple(j for j in self.jobs if j.opens is None or j.opens <= limit)


@dataclass(frozen=True, slots=True)
class _Desk:
    """What every step below needs."""

    tree: Tree
    state: State
    site: SiteYear
    knowledge: Knowledge
    group: Group
    today: date


def group_of(tree: Tree, settings: Settings, knowledge: Knowledge) -> str:
    """The growth group a tree is worked as: its own word first, then the species."""
    from_species = settings.species.get(tree.species, "") or knowledge.group_of(tree.species)
    return tree.treat_as or tree.group or from_species


def plan_tree(tree: Tree, site: SiteYear, knowledge: Knowledge, today: date) -> Plan:
    """The plan of one tree on one day."""
    state = state_of(tree, site, today)
    name = group_of(tree, site.settings, knowledge)
    if tree.ended is not None:
        return Plan(tree, state, name, today, notes=(f"{tree.ended.how} {tree.ended.date.told()}",))
    desk = _Desk(tree, state, site, knowledge, knowledge.groups[name], today)
    jobs: list[Job] = []
    refusals: list[Refusal] = []
    for work in knowledge.works.values():
        row = work.row(name)
        if row is None:
            continue
        for outcome in _outcomes(desk, work, row):
            (jobs if isinstance(outcome, Job) else refusals).append(outcome)  # type: ignore[arg-type]
    jobs = _with_own_words(desk, jobs)
    ordered = tuple(sorted(jobs, key=lambda job: _urgency(job, today)))
    return Plan(tree, state, name, today, ordered, tuple(refusals), _asks(desk))


def _urgency(job: Job, today: date) -> tuple[object, ...]:
    """Open windows by how soon they close, then those ahead by how soon they open; dateless last."""
    far = date.max
    if job.opens is None:
        return (2, job.optional, far, job.work)
    if job.opens <= today:
        return (0, job.optional, job.closes or far, job.work)
    return (1, False, job.opens, job.work)


def _outcomes(desk: _Desk, work: Work, row: Row) -> list[Job | Refusal]:
    if row.rule == "wire check":
        return [_wire_check(desk, work, row, wire) for wire in desk.state.wires]
    if row.rule == "look-over":
        return [_look_over(desk, work, row)]
    if row.rule == "root look":
        return _root_look(desk, work, row)
    if work.name == "repotting" and desk.state.repotted is None:
        return []  # the root look asks first
    if not row.every and desk.state.wires and work.name == "wiring":
        return []  # one set of wire at a time, unless the grower means otherwise
    return _seasonal(desk, work, row)


def _seasonal(desk: _Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """A work with one window a season: the next one that is due, or why not."""
    season, missed, reasons = _due_season(desk, work, row)
    answer = _answer(desk, row, season)
    if isinstance(answer, NoSpan):
        if answer.refused:
            return [Refusal(desk.tree.tag, work.name, answer.why, (Reason("rule", answer.why),))]
        return [_by_sign(desk, work, row, answer)] if _fits(desk, row) else []
    near = answer.opens <= desk.today + timedelta(days=NEAR_DAYS)
    against = _forbidden(desk, row, answer, season)
    if against:
        return [Refusal(desk.tree.tag, work.name, against[0].text, tuple(against))] if near else []
    if not _fits(desk, row):
        return []
    marks = tuple(Reason("mark", text) for text in answer.how)
    status: Status = "ahead" if answer.opens > desk.today else "overdue" if missed else "now"
    return [
        Job(
            desk.tree.tag,
            work.name,
            row.sign,
            row.too_late,
            status,
            answer.opens,
            answer.best,
            answer.closes,
            answer.band,
            _condition(desk, row),
            reasons=marks + tuple(reasons),
            caution=work.caution,
            optional=not row.every,
        )
    ]


def _by_sign(desk: _Desk, work: Work, row: Row, answer: NoSpan) -> Job:
    return Job(
        desk.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        "by sign",
        condition=_condition(desk, row),
        reasons=(Reason("mark", answer.why),),
        caution=work.caution,
        optional=not row.every,
    )


def _answer(desk: _Desk, row: Row, season: int) -> Answer:
    if row.rule:
        return SEASON_RULES[row.rule](desk.site, desk.group, season, desk.state)
    assert row.window is not None
    return window_span(desk.site, desk.group.name, row.window, season)


def _due_season(desk: _Desk, work: Work, row: Row) -> tuple[int, int, list[Reason]]:
    """The season to look in, how many due windows have been missed, and the log's reasons."""
    coming = _first_open_season(desk, row)
    done = desk.state.repotted if work.name == "repotting" else _done(desk, work.name)
    if done is None or not row.every:
        already = done is not None and _season_done(desk, row, done.earliest, coming) >= coming
        return coming + already, 0, [] if done is None else [Reason("log", f"last {work.name}: {done.told()}")]
    years = _interval(desk, row)
    due = _season_done(desk, row, done.earliest, coming) + max(1, round(years))
    reasons = [
        Reason("log", f"last {work.name}: {done.told()}"),
        Reason(
            "interval",
            f"usual interval {years:g} years at this stage (common practice)"
            if years != 1
            else "usually once a year (common practice)",
        ),
    ]
    missed = max(0, coming - due)
    if missed and years > 1:
        reasons.append(Reason("interval", f"due since {due}: this window is the next chance"))
    return max(coming, due), missed if years > 1 else 0, reasons


def _done(desk: _Desk, work: str) -> When | None:
    entry = desk.state.last(work)
    return entry.date if entry else None


def _first_open_season(desk: _Desk, row: Row) -> int:
    """The first season whose window has not closed yet."""
    season = desk.site.season_of(desk.today) - 1
    for candidate in (season, season + 1, season + 2):
        answer = _answer(desk, row, candidate)
        if isinstance(answer, Span) and answer.closes >= desk.today:
            return candidate
    return season + 1


def _season_done(desk: _Desk, row: Row, done: date, coming: int) -> int:
    """The season whose window a finished work belongs to: the last that opened before it, with some slack."""
    guess = desk.site.season_of(done)
    for season in (guess + 1, guess, guess - 1):
        answer = _answer(desk, row, season)
        if isinstance(answer, Span) and answer.opens - timedelta(days=DONE_SLACK_DAYS) <= done:
            return season
    return min(guess, coming)


def _interval(desk: _Desk, row: Row) -> float:
    ages = desk.knowledge.ages
    stage = desk.state.stage
    age = "young" if stage in ages["young"] else "old" if stage in ages["old"] else "grown"
    return row.every[age]


def _fits(desk: _Desk, row: Row) -> bool:
    return not row.stages or not desk.state.stage or desk.state.stage in row.stages


def _condition(desk: _Desk, row: Row) -> str:
    """What must be true where the record does not say."""
    parts = []
    if row.vigour and desk.state.vigour is None:
        strength = "strong (vigour 4 or 5)" if row.vigour >= 4 else "holding or better (vigour 3 to 5)"
        parts.append(f"only if {strength}: score it first")
    if row.stages and not desk.state.stage:
        parts.append(f"only in {' or '.join(row.stages[:2])}")
    return "; ".join(parts)


def _forbidden(desk: _Desk, row: Row, span: Span, season: int) -> list[Reason]:
    """Everything that speaks against a work in this window."""
    found: list[Reason] = []
    state = desk.state
    for unless in row.unless:
        reason = _against(desk, unless, span, season)
        if reason:
            found.append(reason)
    if row.vigour and state.vigour is not None and state.vigour < row.vigour and state.resting is None:
        found.append(Reason("state", f"vigour {state.vigour}, wants {row.vigour}"))
    return found


def _against(desk: _Desk, unless: Unless, span: Span, season: int) -> Reason | None:
    state = desk.state
    if unless.resting:
        if state.resting is None or (unless.roots_excuse and state.trouble in ("roots", "pot")):
            return None
        return Reason("state", f"resting since {state.resting.since.told()}: {state.resting.why}")
    entry = state.last(unless.done, unless.force)
    if entry is None:
        return None
    done, latest = f"{_past(unless)} {entry.date.told()}", entry.date.latest
    if unless.within == "season":
        start = desk.site.season_start(season)
        return Reason("log", done) if start <= latest <= span.closes and entry.work != "" else None
    if unless.within == "last season":
        start = desk.site.season_start(season - 1)
        return Reason("log", done) if start <= latest <= span.closes else None
    months = int(unless.within.split()[0])
    return Reason("log", done) if latest + timedelta(days=round(months * 30.44)) > span.best else None


def _past(unless: Unless) -> str:
    named = {
        "repotting": "repotted",
        "candle removal": "candles off",
        "bending": "bent",
        "structural pruning": "pruned",
    }
    word = named.get(unless.done, unless.done)
    return f"{word} {'hard' if unless.force == 'heavy' else ''}".strip()


def _root_look(desk: _Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """With no repotting on record: look at the roots in the repotting window before anything else."""
    if desk.state.repotted is not None:
        return []
    repotting = desk.knowledge.works["repotting"].row(desk.group.name)
    if repotting is None:
        return []
    last = desk.state.last(work.name)
    season = _first_open_season(desk, repotting)
    answer = _answer(desk, repotting, season)
    reasons = (Reason("log", "no repotting is on record"),)
    condition = f"repot then if roots fill the pot ({repotting.sign})"
    if isinstance(answer, NoSpan):
        return [
            Job(
                desk.tree.tag,
                work.name,
                row.sign,
                row.too_late,
                "by sign",
                condition=condition,
                reasons=(*reasons, Reason("mark", answer.why)),
            )
        ]
    if last is not None and last.date.latest >= answer.opens - timedelta(days=DONE_SLACK_DAYS):
        return []
    marks = tuple(Reason("mark", text) for text in answer.how)
    status: Status = "now" if answer.opens <= desk.today else "ahead"
    return [
        Job(
            desk.tree.tag,
            work.name,
            row.sign,
            row.too_late,
            status,
            answer.opens,
            answer.best,
            answer.closes,
            answer.band,
            condition,
            reasons=reasons + marks,
        )
    ]


def _wire_check(desk: _Desk, work: Work, row: Row, wire: WireOn) -> Job:
    """When to look at this wire, and the day it must be off by."""
    factor = desk.knowledge.thickening_factor.get("resting" if desk.state.resting else desk.state.stage, 1.0)
    rule = desk.knowledge.wire_rules[desk.group.wire]
    mm = yearly_thickening(desk.group.thickening, factor)
    days = wire_days(desk.site, rule, wire.on.earliest, wire.looked, mm, wire.keep)
    status: Status = "overdue" if days.look < desk.today else "ahead"
    reasons = [Reason("log", f"wired {wire.on.told()}"), Reason("rule", days.look_why)]
    if wire.looked:
        reasons.insert(1, Reason("log", f"last looked at {wire.looked.day} {wire.looked:%b %Y}"))
    if days.off:
        reasons.append(Reason("rule", f"off by {days.off.day} {days.off:%b %Y}: {days.off_why}"))
    return Job(
        desk.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        status,
        max(days.look, desk.today),
        max(days.look, desk.today),
        max(days.off, desk.today) if days.off else None,
        14,
        branches=wire.branches,
        reasons=tuple(reasons),
        caution=desk.knowledge.works["wire off"].caution,
    )


def _look_over(desk: _Desk, work: Work, row: Row) -> Job:
    """Twice a year: three weeks before growth ends, and a month before buds swell."""
    last = desk.state.last(work.name)
    spans: list[Span] = []
    now = desk.site.season_of(desk.today)
    for season in (now - 1, now, now + 1):
        for name, lead in (("growth end", 21), ("swell", 30)):
            mark = desk.site.mark(desk.group.name, name, season)
            if isinstance(mark, Mark):
                day = mark.day - timedelta(days=lead)
                how = f"{lead} days before {mark.name}, about {mark.day.day} {mark.day:%b %Y} ({mark.how})"
                spans.append(Span(day, day, day + timedelta(days=LOOK_OVER_DAYS), mark.band, (how,)))
    seen = last.date.latest if last else date.min
    ahead = [
        s
        for s in sorted(spans, key=lambda s: s.opens)
        if s.closes >= desk.today and not s.opens - timedelta(days=45) <= seen
    ]
    if not ahead:
        return Job(
            desk.tree.tag,
            work.name,
            row.sign,
            row.too_late,
            "by sign",
            reasons=(Reason("mark", "before the buds move, and before growth ends"),),
        )
    span = ahead[0]
    status: Status = "now" if span.opens <= desk.today else "ahead"
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
        reasons=tuple(Reason("mark", t) for t in span.how),
    )


def _with_own_words(desk: _Desk, jobs: list[Job]) -> list[Job]:
    """The grower's own intentions among the jobs: an intended work that is due anyway keeps its dates and takes the words."""
    jobs = list(jobs)
    for said, intention in desk.state.intentions:
        if not intention.by and not intention.work:
            continue  # a thought to keep in mind; the sheet prints it, but there is nothing to tick
        reason = Reason("log", f"you meant this on {said.told()}: {intention.what}")
        by = intention.by.told() if intention.by else ""
        same = next((i for i, job in enumerate(jobs) if intention.work and job.work == intention.work), None)
        if same is None:
            jobs.append(_own_job(desk, intention, reason, by))
        else:
            jobs[same] = replace(
                jobs[same], own=intention.what, by=by, reasons=(*jobs[same].reasons, reason), optional=False
            )
    return jobs


def _own_job(desk: _Desk, intention: Intention, reason: Reason, by: str) -> Job:
    when = intention.by
    opens = max(when.earliest, desk.today) if when else None
    closes = max(when.latest, desk.today) if when else None
    status: Status = "by sign"
    if when:
        status = "overdue" if when.latest < desk.today else "now" if when.earliest <= desk.today else "ahead"
    return Job(
        desk.tree.tag,
        intention.work or "intention",
        "",
        "",
        status,
        opens,
        opens,
        closes,
        0,
        branches=intention.branches,
        reasons=(reason,),
        own=intention.what,
        by=by,
    )


def _asks(desk: _Desk) -> tuple[str, ...]:
    """The one thing the record most lacks, asked for on paper."""
    state = desk.state
    if not state.stage:
        return (f"stage? ({', '.join(desk.knowledge.stages)})",)
    if state.vigour is None:
        return ("vigour? (1 failing, 3 holding, 5 strong)",)
    if state.repotted is None:
        return ("last repotted? (a year will do)",)
    return ()
