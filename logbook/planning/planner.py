"""What to do with a tree, and when: its jobs, what must be left alone, and what to ask, each with its reason.

Pure: (tree, garden, today) → Plan. Every date is a span with a band; every reason is data that can be told
in plain sentences. What is not known about a tree never refuses a work; it is offered with its condition in words.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from ..collection.dates import NotADate, read_when
from ..collection.model import Tree
from ..formulas.growth import Reach
from ..horticulture.forbids import State as HeldState
from ..horticulture.work import POT, Offer, Row, Thing, Work
from ..season.learning import Who
from ..season.reasons import Reason, because
from .advice import advice_of
from .condition import blocks_of, fresh_vigour, holds_of, unlogged_lifting
from .conditions import conditions_of
from .conflicts import one_thing_at_a_time, urgency
from .garden import Garden
from .grounds import Ask, ByMeasure, ByOverride, ByState
from .intentions import with_own_words
from .kin import kin_of
from .lists.trunk_growth import trunk_growth
from .lists.visits import visits_of
from .model import Context, Job, Plan, Refusal, Status, job_by_sign, job_in, refusal
from .restrictions import forbidden, part_left, standing
from .rules import shipped as shipped_rules
from .rules.feeding import without_pauses
from .rules.registry import job_rule_of
from .seasons_due import NEAR_DAYS, Due, answer_of, due_by_log, due_season, turn_of
from .tree_state import INDOORS, State, silent_since, state_of
from .turns import further_turn
from .windows import NoSpan, Span

__all__ = ["Job", "Plan", "Refusal", "plan_tree", "shipped_rules"]

TRUNK_TARGET = "trunk target"
SACRIFICE = "sacrifice"


def plan_tree(tree: Tree, garden: Garden, today: date, *, upkeep: bool = True) -> Plan:
    """The plan of one tree on one day; without `upkeep` no care is planned (feeding, shelter, measuring …), which takes less time."""
    if tree.ended is not None:
        garden = garden.around(tree, today)
        return Plan(tree, state_of(tree, garden, today), garden.group_of(tree), today)
    context = context_of(tree, garden, today)
    garden, state, name = context.garden, context.state, context.group.name
    jobs, refusals = _chosen(context, (row for row in context.kin.rows if upkeep or not row[0].is_upkeep))
    works = tuple(j for j in jobs if not (j.record and j.record.is_upkeep))
    return Plan(
        tree,
        state,
        name,
        today,
        jobs=works,
        refusals=tuple({r.work: r for r in reversed(refusals)}.values())[::-1],
        holds=context.holds,
        visits=visits_of(works, garden, name, today),
        silent_since=silent_since(state, today),
        care=tuple(without_pauses(context, (j for j in jobs if j.record and j.record.is_upkeep), works)),
        asks=_asks(context),
        growth=trunk_growth(tree.targets, state, garden),
        advice=advice_of(context),
        vigour_aged=state.vigour is not None and fresh_vigour(garden, state, today) is None,
    )


def context_of(tree: Tree, garden: Garden, today: date, state: State | None = None) -> Context:
    """What every step of planning a tree that stands in the garden needs; `state` is the tree's on that day, where it is known."""
    garden = garden.around(tree, today)
    state, name = state or state_of(tree, garden, today), garden.group_of(tree)
    knowledge, who = garden.knowledge, garden.site.marks.known(Who(tree.tag, tree.species), name)
    lifting = unlogged_lifting(tree, garden, state, today)
    blocks = tuple(blocks_of(garden, name, (*state.entries, lifting) if lifting else state.entries, today))
    holds = holds_of(tree, garden, name, state, today)
    kin = kin_of(tree, knowledge, garden.site.cache, name, who, today)
    silent = silent_since(state, today) is not None
    return Context(tree, state, garden, knowledge.groups[name], today, kin, who, blocks, holds, silent, lifting)


def works_of(context: Context) -> list[Job]:
    """The works on offer as a plan has them, in their order, without the rest of it."""
    rows = (
        row for row in context.kin.rows if not (row[0].is_upkeep and row[0].is_exempt)
    )  # which stand in no work's way
    return [job for job in _chosen(context, rows)[0] if not (job.record and job.record.is_upkeep)]


def outcomes_of(context: Context, rows: Iterable[tuple[Work, Row]]) -> list[Job | Refusal]:
    """What each work comes to by itself, before one is chosen beside another."""
    return [
        outcome for work, row in rows if _is_offered(context, work, row) for outcome in _outcomes(context, work, row)
    ]


def _chosen(context: Context, rows: Iterable[tuple[Work, Row]]) -> tuple[list[Job], tuple[Refusal, ...]]:
    """Of these works those on offer beside one another, the most urgent first, and the refusals."""
    outcomes = outcomes_of(context, rows)
    refused = [o for o in outcomes if isinstance(o, Refusal)]
    jobs, denied = with_own_words(context, [o for o in outcomes if isinstance(o, Job)], refused)
    jobs, excluded = one_thing_at_a_time(context, jobs)
    return sorted(jobs, key=lambda job: urgency(job, context.today)), (*denied, *refused, *excluded)


def _is_offered(context: Context, work: Work, row: Row) -> bool:
    """Works done once are offered only where they were meant, or where what they follow was done; the rest by stage."""
    if work.outdoors and context.tree.indoors == INDOORS:
        return False
    intentions = context.state.intentions
    meant = bool(intentions) and any(i.work == work.name for _, i in intentions)
    if row.offered is Offer.INTENDED or context.state.stage in work.not_stages:
        return meant
    if row.offered is Offer.MADE:
        return bool(context.state.entries)  # its rule looks for what was made
    return row.offered is not Offer.SACRIFICE or bool(_ripe_sacrifices(context) or _ripening_sacrifices(context))


def _ripe_sacrifices(context: Context) -> tuple[str, ...]:
    """Sacrifice branches whose end has come: the trunk's target reached, or the date in the branch table."""
    readings, target = context.state.readings.get("trunk", ()), context.tree.targets.trunk
    grown = bool(target and readings and readings[-1].value >= target.to)
    ripe = []
    for branch in context.tree.branches:
        if branch.role != SACRIFICE or branch.id in context.state.removed:
            continue
        if (branch.until == TRUNK_TARGET and grown) or _date_has_come(branch.until, context):
            ripe.append(branch.id)
    return tuple(ripe)


def _ripening_sacrifices(context: Context) -> tuple[str, ...]:
    """Sacrifice branches that wait for the trunk's target."""
    waiting = (b for b in context.tree.branches if b.role == SACRIFICE and b.until == TRUNK_TARGET)
    return tuple(b.id for b in waiting if b.id not in context.state.removed)


def _date_has_come(text: str, context: Context) -> bool:
    try:
        limit = context.today + timedelta(days=NEAR_DAYS)
        return bool(text) and read_when(text, context.site.southern).earliest <= limit
    except NotADate:
        return False


def _sacrifice_to_come(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """Branches kept until the trunk is there: the window after the day it is likely to be, with the band of that guess."""
    growth = trunk_growth(context.tree.targets, context.state, context.garden)
    if growth is None or not isinstance(growth.outlook, Reach):
        return []
    found = growth.outlook
    season = context.calendar.season_of(found.day)
    spans = (answer_of(context, row, s) for s in (season, season + 1))
    span = next((s for s in spans if isinstance(s, Span) and s.closes >= max(found.day, context.today)), None)
    if span is None:
        return []
    band = max(span.band, (found.late - found.early).days // 2)
    opens = max(span.opens, context.today)
    guess = Span(opens, max(opens, span.best), span.closes, band, span.how)
    status = Status.NOW if opens <= context.today else Status.AHEAD
    reach = because(
        ByMeasure.GROWTH,
        now=growth.now_mm,
        target=growth.target_mm,
        early=found.early,
        day=found.day,
        late=found.late,
        rate=found.mm_a_year,
    )
    reasons = (reach, *span.how)
    return [job_in(context, work, row, guess, status, reasons, branches=_ripening_sacrifices(context))]


def _outcomes(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    rule = job_rule_of(row.rule)
    if rule is not None:
        return rule(context, work, row)
    if row.offered is Offer.SACRIFICE and not _ripe_sacrifices(context):
        return _sacrifice_to_come(context, work, row)
    if work.counts_from == POT and context.state.repotted is None:
        return []  # the root look asks first
    if not row.every and context.state.wires and Thing.WIRE in work.puts:
        return []  # one set of wire at a time, unless the grower means otherwise
    return _seasonal(context, work, row)


def _seasonal(context: Context, work: Work, row: Row) -> list[Job | Refusal]:
    """A work with one window a season: the next one that is due, or why not; a further turn of one that was begun."""
    again = further_turn(context, work, row)
    if again is not None:
        return [again]
    due = due_season(context, work, row)
    answer = turn_of(context, work, row, due.season)
    if isinstance(answer, NoSpan):
        return _undated(context, work, row, answer)
    span = part_left(context, work, answer)
    against = forbidden(context, work, row, answer, due.season)
    if isinstance(span, Reason):
        against = [*against, span]
    if against or isinstance(span, Reason):
        near = answer.opens <= context.today + timedelta(days=NEAR_DAYS)
        expected = near and not (row.optional and against[0].code is ByState.VIGOUR_LOW)
        return [refusal(context, work, against)] if expected else []
    return [_offered(context, work, row, span, due)] if _fits(context, row) else []


def _undated(context: Context, work: Work, row: Row, answer: NoSpan) -> list[Job | Refusal]:
    """A work without a window this season: refused, or left to its signs."""
    if work.is_upkeep:
        return []
    if answer.refused:
        return [refusal(context, work, (answer.why,))]
    against = standing(context, work, row)
    if against:
        expected = not (row.optional and against[0].code is ByState.VIGOUR_LOW)
        return [refusal(context, work, against)] if expected else []
    if not _fits(context, row) or not due_by_log(context, work, row):
        return []
    rate_first, conditions = conditions_of(context, work, row, context.today)
    return [
        job_by_sign(
            context,
            work,
            row,
            (answer.why,),
            conditions=conditions,
            caution=work.caution,
            optional=row.optional,
            rate_first=rate_first,
        )
    ]


def _offered(context: Context, work: Work, row: Row, span: Span, due: Due) -> Job:
    marks = (*span.how, because(ByOverride.OWN_NUMBERS)) if row.overridden else span.how
    late = Status.OVERDUE if due.missed else Status.NOW
    rate_first, conditions = conditions_of(context, work, row, span.opens)
    return job_in(
        context,
        work,
        row,
        span,
        Status.AHEAD if span.opens > context.today else late,
        (*marks, *due.reasons),
        conditions=conditions,
        rate_first=rate_first,
        branches=_ripe_sacrifices(context) if row.offered is Offer.SACRIFICE else (),
        caution=work.caution,
        optional=row.optional,
        costs_a_year=min(row.every.values(), default=0.0) >= 1 and not row.optional,
    )


def _fits(context: Context, row: Row) -> bool:
    stage = context.state.stage
    return not row.stages or not stage or stage in row.stages


def _asks(context: Context) -> tuple[Ask, ...]:
    """The one thing the record most lacks, asked for on paper."""
    state = context.state
    if any(hold.state is HeldState.TROUBLE and hold.asked for hold in context.holds):
        return (Ask.TROUBLE,)
    if not state.stage:
        return (Ask.STAGE,)
    if state.vigour is None:
        return (Ask.VIGOUR,)
    if _three_years_of_building(context):
        return (Ask.STILL_STRONG,)
    return (Ask.POTTING,) if state.repotted is None else ()


def _three_years_of_building(context: Context) -> bool:
    """Building work in three seasons in a row, and no vigour score since the last of it."""
    works = context.knowledge.works
    built = [e for e in context.state.entries if e.work in works and works[e.work].builds]
    if not built or context.state.resting:
        return False
    seasons = {context.calendar.season_of(e.date.earliest) for e in built}
    last = max(seasons)
    scored = context.state.vigour_on
    return {last, last - 1, last - 2} <= seasons and (scored is None or scored.latest < built[-1].date.earliest)
