"""What to do with a tree, and when: its jobs, what must be left alone, and what to ask, each with its reason.

Pure: (tree, site, knowledge, today) → Plan. Every date is a span with a band; every reason is data that can be told
in plain sentences. What is not known about a tree never refuses a work; it is offered with its condition in words.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..craft.wire import wire_days, yearly_thickening
from ..record.dates import NotADate, When, read_when
from ..record.model import Entry, Intention, Tree
from ..season.learning import NOBODY, Who
from ..season.marks import Mark, SiteYear
from ..trade.knowledge import Knowledge, Row, Work
from .jobs import Desk, Job, Plan, Reason, Refusal, Status
from .limits import forbidden, hard_limits, is_hard, standing
from .rules import OF_THE_TREE, Answer, NoSpan, Span, season_rule, window_span
from .state import WireOn, state_of

__all__ = ["Job", "Plan", "Reason", "Refusal", "plan_tree"]

NEAR_DAYS = 200
DONE_SLACK_DAYS = 60
LOOK_OVER_DAYS = 21
BEFORE_DEADLINE_DAYS = 182
BUILDING = frozenset(
    (
        "candle removal",
        "candle shortening",
        "cutting hardened shoots back",
        "pinching",
        "shoot pinching",
        "shoot trimming",
        "full defoliation",
        "partial defoliation",
    )
)


def plan_tree(tree: Tree, site: SiteYear, knowledge: Knowledge, today: date) -> Plan:
    """The plan of one tree on one day."""
    state = state_of(tree, site, today)
    name = site.group_of(tree)
    if tree.ended is not None:
        return Plan(tree, state, name, today, notes=(f"{tree.ended.how} {tree.ended.date.told()}",))
    desk = Desk(tree, state, site, knowledge, knowledge.groups[name], today, site.known(Who(tree.tag, tree.species)))
    outcomes = [
        outcome
        for work, row in knowledge.rows[name]
        if _is_offered(desk, work, row)
        for outcome in _outcomes(desk, work, row)
    ]
    jobs = _with_own_words(desk, [o for o in outcomes if isinstance(o, Job)])
    jobs, excluded = _one_hard_work_at_a_time(desk, jobs)
    refusals = (*(o for o in outcomes if isinstance(o, Refusal)), *excluded)
    ordered = sorted(jobs, key=lambda job: _urgency(job, today))
    care = tuple(j for j in ordered if j.work in knowledge.works and knowledge.works[j.work].care)
    return Plan(tree, state, name, today, tuple(j for j in ordered if j not in care), refusals, care, _asks(desk))


def _is_offered(desk: Desk, work: Work, row: Row) -> bool:
    """Works done once are offered only where the grower meant them, a sacrifice branch only when its time has come."""
    if row.offered == "intended":
        return any(i.work == work.name for _, i in desk.state.intentions)
    return row.offered != "sacrifice" or bool(_ripe_sacrifices(desk))


def _ripe_sacrifices(desk: Desk) -> tuple[str, ...]:
    """Sacrifice branches whose end has come: the trunk's target reached, or the date in the branch table."""
    readings, target = desk.state.readings.get("trunk", ()), desk.tree.targets.trunk
    grown = bool(target and readings and readings[-1].value >= target.to)
    ripe = []
    for branch in desk.tree.branches:
        if branch.role != "sacrifice" or branch.id in desk.state.removed:
            continue
        if (branch.until == "trunk target" and grown) or _date_has_come(branch.until, desk):
            ripe.append(branch.id)
    return tuple(ripe)


def _date_has_come(text: str, desk: Desk) -> bool:
    try:
        return bool(text) and read_when(text, desk.site.southern).earliest <= desk.today + timedelta(days=NEAR_DAYS)
    except NotADate:
        return False


def _one_hard_work_at_a_time(desk: Desk, jobs: list[Job]) -> tuple[list[Job], list[Refusal]]:
    """Of hard works that would exclude one another, the one that was meant, is overdue or comes earlier stays; the others say which comes first."""
    hard = [
        j
        for j in jobs
        if j.opens
        and j.best
        and j.closes
        and j.work in desk.knowledge.works
        and is_hard(desk.knowledge.works[j.work])
    ]
    kept: list[Job] = []
    refusals: list[Refusal] = []
    dropped: set[int] = set()
    for job in sorted(
        hard, key=lambda j: (not j.own, j.status not in ("now", "overdue") and not _missed(j), j.optional, j.opens)
    ):
        against = next((first for first in kept if _excludes(desk, first, job)), None)
        if against is None:
            kept.append(job)
            continue
        dropped.add(id(job))
        if job.opens and job.opens <= desk.today + timedelta(days=NEAR_DAYS):
            why = f"{against.work} comes first (about {against.best:%b %Y})"
            refusals.append(
                Refusal(
                    desk.tree.tag,
                    job.work,
                    why,
                    (Reason("rule", "the two in one season are too much for the tree"), *job.reasons),
                )
            )
    return [j for j in jobs if id(j) not in dropped], refusals


def _missed(job: Job) -> bool:
    return any(r.kind == "interval" and r.text.startswith("due since") for r in job.reasons)


def _excludes(desk: Desk, first: Job, job: Job) -> bool:
    """Whether doing `first` at its best day would forbid `job` in its window, or the other way round."""
    one, other = (first, job) if first.best <= job.best else (job, first)  # type: ignore[operator]
    work = desk.knowledge.works[other.work]
    row = work.row(desk.group.name)
    if row is None or one.best is None or other.best is None or other.opens is None or other.closes is None:
        return False
    done = Entry(date=When(one.best.isoformat(), one.best, one.best), work=one.work)
    after = replace(desk, state=replace(desk.state, entries=(*desk.state.entries, done)))
    span = Span(other.opens, other.best, other.closes, other.band, ())
    season = desk.site.season_of(other.best)
    return bool(forbidden(after, work, row, span, season)) or bool(
        hard_limits(after, after.state.entries, span, season)
    )


def _urgency(job: Job, today: date) -> tuple[object, ...]:
    """Open windows by how soon they close, then those ahead by how soon they open; dateless last."""
    far = date.max
    if job.opens is None:
        return (2, job.optional, far, job.work)
    if job.opens <= today:
        return (0, False, job.closes or far, job.work)
    return (1, False, job.opens, job.work)


def _outcomes(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    if row.rule == "wire check":
        return [_wire_check(desk, work, row, wire) for wire in desk.state.wires]
    if row.rule == "look-over":
        return [_look_over(desk, work, row)]
    if row.rule == "root look":
        return _root_look(desk, work, row)
    if row.rule == "roots in trouble":
        return _emergency(desk, work, row)
    if work.name == "repotting" and desk.state.repotted is None:
        return []  # the root look asks first
    if not row.every and desk.state.wires and work.name == "wiring":
        return []  # one set of wire at a time, unless the grower means otherwise
    return _seasonal(desk, work, row)


def _seasonal(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """A work with one window a season: the next one that is due, or why not."""
    season, missed, reasons = _due_season(desk, work, row)
    answer = _answer(desk, row, season)
    if isinstance(answer, NoSpan):
        if work.care:
            return []
        if answer.refused:
            return [Refusal(desk.tree.tag, work.name, answer.why, (Reason("rule", answer.why),))]
        against = standing(desk, work, row)
        if against:
            return [Refusal(desk.tree.tag, work.name, against[0].text, tuple(against))]
        return [_by_sign(desk, work, row, answer)] if _fits(desk, row) else []
    near = answer.opens <= desk.today + timedelta(days=NEAR_DAYS)
    against = forbidden(desk, work, row, answer, season)
    if against:
        expected = near and not (row.optional and against[0].text.startswith("vigour"))
        return [Refusal(desk.tree.tag, work.name, against[0].text, tuple(against))] if expected else []
    if not _fits(desk, row):
        return []
    marks = tuple(Reason("mark", text) for text in answer.how)
    if row.overridden:
        marks = (*marks, Reason("override", "with your own numbers from collection.yaml"))
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
            branches=_ripe_sacrifices(desk) if row.offered == "sacrifice" else (),
            caution=work.caution,
            optional=row.optional,
        )
    ]


def _by_sign(desk: Desk, work: Work, row: Row, answer: NoSpan) -> Job:
    return Job(
        desk.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        "by sign",
        condition=_condition(desk, row),
        reasons=(Reason("mark", answer.why),),
        caution=work.caution,
        optional=row.optional,
    )


def _answer(desk: Desk, row: Row, season: int) -> Answer:
    """A row's window in a season; what does not hang on the tree's own state is worked out once for all."""
    if row.rule in OF_THE_TREE:
        return season_rule(row.rule, desk.site, desk.group, season, desk.state)
    who = _who(desk, row)
    return desk.site.kept((id(row), desk.group.name, season, who), lambda: _fresh_answer(desk, row, season, who))


def _who(desk: Desk, row: Row) -> Who:
    """For whom an answer holds: rules ask the site alone, windows hear what was seen on the tree."""
    return NOBODY if row.rule else desk.who


def _fresh_answer(desk: Desk, row: Row, season: int, who: Who) -> Answer:
    if row.rule:
        return season_rule(row.rule, desk.site, desk.group, season, desk.state)
    assert row.window is not None
    return window_span(desk.site, desk.group.name, row.window, season, who)


def _due_season(desk: Desk, work: Work, row: Row) -> tuple[int, int, list[Reason]]:
    """The season to look in, how many due windows have been missed, and the log's reasons."""
    coming = _first_open_season(desk, row)
    done = desk.state.repotted if work.name == "repotting" else _done(desk, work.name)
    if done is None or not row.every:
        already = done is not None and _season_done(desk, row, done.earliest, coming) >= coming
        return coming + already, 0, [] if done is None else [Reason("log", f"last {work.name}: {done.told()}")]
    years = _interval(desk, row)
    if years < 1:
        return coming, 0, [Reason("log", f"last {work.name}: {done.told()}")]
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


def _done(desk: Desk, work: str) -> When | None:
    entry = desk.state.last(work)
    return entry.date if entry else None


def _first_open_season(desk: Desk, row: Row) -> int:
    """The first season whose window has not closed yet."""
    if row.rule in OF_THE_TREE:
        return _search_open_season(desk, row)
    who = _who(desk, row)
    return desk.site.kept(("open", id(row), desk.group.name, desk.today, who), lambda: _search_open_season(desk, row))


def _search_open_season(desk: Desk, row: Row) -> int:
    season = desk.site.season_of(desk.today) - 1
    for candidate in (season, season + 1, season + 2):
        answer = _answer(desk, row, candidate)
        if isinstance(answer, Span) and answer.closes >= desk.today:
            return candidate
    return season + 1


def _season_done(desk: Desk, row: Row, done: date, coming: int) -> int:
    """The season whose window a finished work belongs to: the last that opened before it, with some slack."""
    guess = desk.site.season_of(done)
    for season in (guess + 1, guess, guess - 1):
        answer = _answer(desk, row, season)
        if isinstance(answer, Span) and answer.opens - timedelta(days=DONE_SLACK_DAYS) <= done:
            return season
    return min(guess, coming)


def _interval(desk: Desk, row: Row) -> float:
    ages = desk.knowledge.ages
    stage = desk.state.stage
    age = "young" if stage in ages["young"] else "old" if stage in ages["old"] else "grown"
    return row.every[age]


def _fits(desk: Desk, row: Row) -> bool:
    return not row.stages or not desk.state.stage or desk.state.stage in row.stages


def _condition(desk: Desk, row: Row) -> str:
    """What must be true where the record does not say."""
    parts = []
    if row.vigour and desk.state.vigour is None:
        strength = "strong (vigour 4 or 5)" if row.vigour >= 4 else "holding or better (vigour 3 to 5)"
        parts.append(f"only if {strength}: score it first")
    if row.stages and not desk.state.stage:
        parts.append(f"only in {' or '.join(row.stages[:2])}")
    return "; ".join(parts)


def _root_look(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
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


def _emergency(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """Roots or pot in trouble: at any time, whatever the tree's strength."""
    if desk.state.trouble not in ("roots", "pot"):
        return []
    said = next(e for e in reversed(desk.state.entries) if e.trouble == desk.state.trouble)
    reasons = (
        Reason(
            "log",
            f"you wrote on {said.date.told()} that the {said.trouble} are the trouble"
            if said.trouble == "roots"
            else f"you wrote on {said.date.told()} that the pot is the trouble",
        ),
    )
    aftercare = "then shade and shelter, no feeding for four weeks, no frost for six"
    return [
        Job(
            desk.tree.tag,
            work.name,
            row.sign,
            row.too_late,
            "now",
            desk.today,
            desk.today,
            None,
            0,
            aftercare,
            reasons=reasons,
            caution=work.caution,
        )
    ]


def _wire_check(desk: Desk, work: Work, row: Row, wire: WireOn) -> Job:
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


def _look_over_spans(desk: Desk, who: Who) -> list[Span]:
    """The days to walk round, of the seasons about today."""
    spans: list[Span] = []
    now = desk.site.season_of(desk.today)
    for season in (now - 1, now, now + 1):
        for name, lead in (("growth end", 21), ("swell", 30)):
            mark = desk.site.mark(desk.group.name, name, season, who)
            if isinstance(mark, Mark):
                day = mark.day - timedelta(days=lead)
                how = f"{lead} days before {mark.name}, about {mark.day.day} {mark.day:%b %Y} ({mark.how})"
                spans.append(Span(day, day, day + timedelta(days=LOOK_OVER_DAYS), mark.band, (how,)))
    return sorted(spans, key=lambda s: s.opens)


def _look_over(desk: Desk, work: Work, row: Row) -> Job:
    """Twice a year: three weeks before growth ends, and a month before buds swell."""
    last = desk.state.last(work.name)
    who = desk.who
    spans: list[Span] = desk.site.kept(
        ("look-over", desk.group.name, desk.today, who), lambda: _look_over_spans(desk, who)
    )
    seen = last.date.latest if last else date.min
    ahead = [s for s in spans if s.closes >= desk.today and not s.opens - timedelta(days=45) <= seen]
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


def _with_own_words(desk: Desk, jobs: list[Job]) -> list[Job]:
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


def _own_job(desk: Desk, intention: Intention, reason: Reason, by: str) -> Job:
    when = intention.by
    opens = max(when.earliest - timedelta(days=BEFORE_DEADLINE_DAYS), desk.today) if when else None
    closes = max(when.latest, desk.today) if when else None
    status: Status = "by sign"
    if when:
        status = "overdue" if when.latest < desk.today else "now" if opens == desk.today else "ahead"
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


def _asks(desk: Desk) -> tuple[str, ...]:
    """The one thing the record most lacks, asked for on paper."""
    state = desk.state
    if not state.stage:
        return (f"stage? ({', '.join(desk.knowledge.stages)})",)
    if state.vigour is None:
        return ("vigour? (1 failing, 3 holding, 5 strong)",)
    if _three_years_of_building(desk):
        return ("three years of building: still strong? score vigour before the next",)
    if state.repotted is None:
        return ("last repotted? (a year will do)",)
    return ()


def _three_years_of_building(desk: Desk) -> bool:
    """Building work in three seasons in a row, and no vigour score since the last of it."""
    built = [e for e in desk.state.entries if e.work in BUILDING]
    if not built or desk.state.resting:
        return False
    seasons = {desk.site.season_of(e.date.earliest) for e in built}
    last = max(seasons)
    scored = desk.state.vigour_on
    return {last, last - 1, last - 2} <= seasons and (scored is None or scored.latest < built[-1].date.earliest)
