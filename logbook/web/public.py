"""What any visitor may see of a tree: its plan without place, value, provenance, the grower's own words, names of people and files.

That a tree rests anybody may see, since it bears no touching; what ails it nobody: no trouble, no help for its roots while it is
held, no work that would tell of them. What may be seen is listed, field by field; a field that comes to the model later is hidden until it is put on the list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import replace

from ..collection.model import Branch, Entry, Origin, Tree
from ..horticulture.forbids import State as HeldState
from ..planning.condition import RESCUE, Hold
from ..planning.grounds import ByLog, ByState
from ..planning.model import Job, Plan, Refusal, Visit
from ..planning.tree_state import State
from ..season.reasons import Reason, because

OF_TREE = (
    "tag",
    "name",
    "species",
    "cultivar",
    "group",
    "treat_as",
    "indoors",
    "started",
    "style",
    "targets",
    "count",
)
OF_BRANCH = ("id", "clock", "height", "role", "diameter", "length")
OF_ENTRY = frozenset({
    "work", "branches", "metal", "wire", "roots", "force", "feed", "bite", "keep", "mix", "pot", "measured", "vigour", "saw", "stage",
    "rest", "found", "weighed", "count", "minutes", "photo",
})  # fmt: skip
AILS = frozenset((HeldState.TROUBLE, HeldState.RESCUED))
ILL = (ByState.TROUBLED, ByState.RESCUED, ByLog.TROUBLE)
LEFT_ALONE = because(ByState.LEFT_ALONE)
Ailing = frozenset[object]  # names of works, and days


def public_plan(plan: Plan) -> Plan:
    """The plan of a tree as anybody may see it."""
    ailing = _ailing(plan)
    jobs = {
        id(job): _job(job, ailing) for job in plan.jobs if job.record is not None and job.record.name not in ailing
    }
    return replace(
        plan,
        tree=public_tree(plan.tree),
        state=_state(plan.state, ailing),
        jobs=tuple(jobs.values()),
        refusals=tuple(
            _refusal(r, ailing)
            for r in plan.refusals
            if r.work not in ailing and not any(reason.code is ByLog.MEANT for reason in (r.why, *r.reasons))
        ),
        care=tuple(_job(job, ailing) for job in plan.care),
        asks=(),
        holds=tuple(_hold(hold, ailing) for hold in plan.holds),
        visits=tuple(Visit(v.day, tuple(jobs[id(j)] for j in v.jobs if id(j) in jobs)) for v in plan.visits),
        advice=_reasons(plan.advice, ailing),
    )


def _ailing(plan: Plan) -> Ailing:
    """What would tell what ails a tree that is held for it: the works that help its roots by name, and the days they were done."""
    works = {job.record.name for job in plan.jobs if job.record is not None and RESCUE in job.record.acts}
    helped = {hold.since for hold in plan.holds if hold.state is HeldState.RESCUED}
    works |= {entry.work for entry in plan.state.entries if entry.work and entry.date in helped}
    return frozenset((*works, *helped, *(e.date for e in plan.state.entries if e.work in works)))


def _hold(hold: Hold, ailing: Ailing) -> Hold:
    """The state; where it tells what ails the tree, that it rests, until it is strong."""
    if hold.state not in AILS:
        return replace(hold, reason=_reason(hold.reason, ailing))
    return replace(
        hold, state=HeldState.RESTING, until=None, strong=True, reason=LEFT_ALONE, asked=False, roots_ail=False
    )


def _refusal(refusal: Refusal, ailing: Ailing) -> Refusal:
    why, reasons = _reason(refusal.why, ailing), _reasons(refusal.reasons, ailing)
    same = why == refusal.why and reasons == refusal.reasons
    return refusal if same else replace(refusal, why=why, reasons=reasons)


def _reasons(reasons: Iterable[Reason], ailing: Ailing) -> tuple[Reason, ...]:
    return tuple(_reason(reason, ailing) for reason in reasons)


def _reason(reason: Reason, ailing: Ailing) -> Reason:
    """The ground, and what it rests on; where it is what ails the tree, that it rests."""
    if reason.code in ILL or (ailing and any(value in ailing for value in reason.given)):
        return LEFT_ALONE
    given = tuple([_reason(value, ailing) if isinstance(value, Reason) else value for value in reason.given])
    return reason if given == reason.given else replace(reason, given=given)


def public_tree(tree: Tree) -> Tree:
    """The tree as anybody may see it; its file's name and digest are left out too, and of its log all but photographs: a plan has the rest."""
    origin = Origin(kind=tree.origin.kind, date=tree.origin.date) if tree.origin else None
    seen = {name: getattr(tree, name) for name in OF_TREE}
    log = tuple(Entry(date=entry.date, photo=entry.photo) for entry in tree.log if entry.photo)
    return Tree(log=log, origin=origin, branches=tuple(map(_branch, tree.branches)), **seen)


def _branch(branch: Branch) -> Branch:
    return Branch(**{name: getattr(branch, name) for name in OF_BRANCH})


def _entries(entries: Iterable[Entry], ailing: Ailing) -> tuple[Entry, ...]:
    """The entries without what is the grower's own; those that say nothing else are left out, and works that tell what ails the tree."""
    parts = (entry.only(OF_ENTRY) for entry in entries if entry.work not in ailing)
    return tuple(part for part in parts if part is not None)


def _state(state: State, ailing: Ailing) -> State:
    return replace(
        state,
        entries=_entries(state.entries, ailing),
        wires=tuple(replace(wire, note="") if wire.note else wire for wire in state.wires),
        trouble="",
        trouble_entry=None,
        intentions=(),
        hard=(),
    )


def _job(job: Job, ailing: Ailing) -> Job:
    """The job under its work's name, where the grower meant it in words of their own."""
    bare = replace(job, own="", by=None, reasons=()) if job.own or job.by else job
    reasons, conditions = _reasons(bare.reasons, ailing), _reasons(bare.conditions, ailing)
    if reasons == bare.reasons and conditions == bare.conditions:
        return bare  # as most jobs are
    return replace(bare, reasons=reasons, conditions=conditions)
