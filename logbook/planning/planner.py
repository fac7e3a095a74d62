"""What to do with a tree, and when: its jobs, what must be left alone, and what to ask, each with its reason.

Pure: (tree, site, knowledge, today) → Plan. Every date is a span with a band; every reason is data that can be told
in plain sentences. What is not known about a tree never refuses a work; it is offered with its condition in words.
"""

from __future__ import annotations

from datetime import date, timedelta

from ..collection.dates import NotADate, read_when
from ..collection.model import Tree
from ..formulas.growth import Reach
from ..horticulture.knowledge import Knowledge, Row, Work
from ..season.learning import Who
from ..season.marks import SiteYear
from .conflicts import one_hard_work_at_a_time, urgency, with_own_words
from .lists.trunk_growth import growth_told, trunk_reach
from .model import Desk, Job, Plan, Reason, Refusal, Status, job_by_sign, job_in, told
from .restrictions import forbidden, standing
from .rules.wire_and_roots import emergency, last_of, look_over, paste_and_guys, root_look, wire_check, wire_off
from .seasons_due import NEAR_DAYS, answer_of, due_season, turn_of
from .tree_state import state_of
from .windows import NoSpan, Span

__all__ = ["Job", "Plan", "Reason", "Refusal", "plan_tree"]

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
        for work, row in knowledge.rows(name, knowledge.genus_of(tree.species))
        if _is_offered(desk, work, row)
        for outcome in _outcomes(desk, work, row)
    ]
    jobs = with_own_words(desk, [o for o in outcomes if isinstance(o, Job)])
    jobs, excluded = one_hard_work_at_a_time(desk, jobs)
    refusals = (*(o for o in outcomes if isinstance(o, Refusal)), *excluded)
    ordered = sorted(jobs, key=lambda job: urgency(job, today))
    upkeep = {work.name for work in knowledge.works.values() if work.care}
    care = tuple(j for j in ordered if j.work in upkeep)
    works = tuple(j for j in ordered if j.work not in upkeep)
    growth = growth_told(tree.targets, state, site, site.settings.units)
    return Plan(tree, state, name, today, works, refusals, care, _asks(desk), growth=growth)


def _is_offered(desk: Desk, work: Work, row: Row) -> bool:
    """Works done once are offered only where they were meant, or where what they follow was done; the rest always."""
    if row.offered == "intended":
        return any(i.work == work.name for _, i in desk.state.intentions)
    if row.offered == "made":
        return _made_a_season_ago(desk, work, row)
    return row.offered != "sacrifice" or bool(_ripe_sacrifices(desk) or _ripening_sacrifices(desk))


def _made_a_season_ago(desk: Desk, work: Work, row: Row) -> bool:
    """A layer or graft made, not yet separated, and a season old by the coming spring."""
    made, separated = last_of(desk, row.made_by), desk.state.last(work.name)
    if made is None or (separated and separated.date.latest >= made.date.earliest):
        return False
    return desk.site.season_of(desk.today + timedelta(days=NEAR_DAYS)) > desk.site.season_of(made.date.latest)


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


def _ripening_sacrifices(desk: Desk) -> tuple[str, ...]:
    """Sacrifice branches that wait for the trunk's target."""
    return tuple(
        b.id
        for b in desk.tree.branches
        if b.role == "sacrifice" and b.until == "trunk target" and b.id not in desk.state.removed
    )


def _sacrifice_to_come(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """Branches kept until the trunk is there: the window after the day it is likely to be, with the band of that guess."""
    found = trunk_reach(desk.tree.targets, desk.state, desk.site)
    if not isinstance(found, Reach):
        return []
    season = desk.site.season_of(found.day)
    spans = (answer_of(desk, row, s) for s in (season, season + 1))
    span = next((s for s in spans if isinstance(s, Span) and s.closes >= max(found.day, desk.today)), None)
    if span is None:
        return []
    band = max(span.band, (found.late - found.early).days // 2)
    reasons = (Reason("measured", growth_told(desk.tree.targets, desk.state, desk.site, desk.site.settings.units)),)
    opens = max(span.opens, desk.today)
    guess = Span(opens, max(opens, span.best), span.closes, band, span.how)
    status: Status = "now" if opens <= desk.today else "ahead"
    return [job_in(desk, work, row, guess, status, (*reasons, *told(span)), branches=_ripening_sacrifices(desk))]


def _date_has_come(text: str, desk: Desk) -> bool:
    try:
        return bool(text) and read_when(text, desk.site.southern).earliest <= desk.today + timedelta(days=NEAR_DAYS)
    except NotADate:
        return False


def _outcomes(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    if row.rule == "wire check":
        return [wire_check(desk, work, row, w) for w in desk.state.wires if w.bite not in ("starting", "cut")]
    if row.rule == "wire off":
        return [job for wire in desk.state.wires for job in wire_off(desk, work, row, wire)]
    if row.rule == "paste and guys":
        return paste_and_guys(desk, work, row)
    if row.rule == "look-over":
        return [look_over(desk, work, row)]
    if row.rule == "root look":
        return root_look(desk, work, row)
    if row.rule == "roots in trouble":
        return emergency(desk, work, row)
    if row.offered == "sacrifice" and not _ripe_sacrifices(desk):
        return _sacrifice_to_come(desk, work, row)
    if work.name == "repotting" and desk.state.repotted is None:
        return []  # the root look asks first
    if not row.every and desk.state.wires and work.name == "wiring":
        return []  # one set of wire at a time, unless the grower means otherwise
    return _seasonal(desk, work, row)


def _seasonal(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """A work with one window a season: the next one that is due, or why not."""
    season, missed, reasons = due_season(desk, work, row)
    answer = turn_of(desk, work, row, season)
    if isinstance(answer, NoSpan):
        if work.care:
            return []
        if answer.refused:
            return [Refusal(desk.tree.tag, work.name, answer.why, (Reason("rule", answer.why),))]
        against = standing(desk, work, row)
        if against:
            return [Refusal(desk.tree.tag, work.name, against[0].text, tuple(against))]
        if not _fits(desk, row):
            return []
        return [
            job_by_sign(
                desk,
                work,
                row,
                (Reason("mark", answer.why),),
                condition=_condition(desk, row),
                caution=work.caution,
                optional=row.optional,
            )
        ]
    near = answer.opens <= desk.today + timedelta(days=NEAR_DAYS)
    against = forbidden(desk, work, row, answer, season)
    if against:
        expected = near and not (row.optional and against[0].text.startswith("vigour"))
        return [Refusal(desk.tree.tag, work.name, against[0].text, tuple(against))] if expected else []
    if not _fits(desk, row):
        return []
    marks = told(answer)
    if row.overridden:
        marks = (*marks, Reason("override", "with your own numbers from collection.yaml"))
    status: Status = "ahead" if answer.opens > desk.today else "overdue" if missed else "now"
    branches = _ripe_sacrifices(desk) if row.offered == "sacrifice" else ()
    return [
        job_in(
            desk,
            work,
            row,
            answer,
            status,
            (*marks, *reasons),
            condition=_condition(desk, row),
            branches=branches,
            caution=work.caution,
            optional=row.optional,
        )
    ]


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
