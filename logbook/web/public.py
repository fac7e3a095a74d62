"""What any visitor may see of a tree: its plan without place, value, provenance, the grower's own words, names of people and files.

What may be seen is listed, field by field; a field that comes to the model later is hidden until it is put on the list.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import fields, replace
from datetime import date

from ..collection.dates import on_day
from ..collection.model import Branch, Entry, Origin, Tree
from ..planning.grounds import ByLog
from ..planning.model import Job, Plan, Visit
from ..planning.tree_state import State

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
_BARE = Entry(date=on_day(date.min))
_FIELDS = [(f.name, f.name in OF_ENTRY, getattr(_BARE, f.name)) for f in fields(Entry)[1:]]
_NOTHING = [bare for _, _, bare in _FIELDS]


def public_plan(plan: Plan) -> Plan:
    """The plan of a tree as anybody may see it."""
    jobs = {id(job): _job(job) for job in plan.jobs if job.record is not None}
    return replace(
        plan,
        tree=public_tree(plan.tree),
        state=_state(plan.state),
        jobs=tuple(jobs.values()),
        refusals=tuple(
            r for r in plan.refusals if not any(reason.code is ByLog.MEANT for reason in (r.why, *r.reasons))
        ),
        visits=tuple(Visit(v.day, tuple(jobs[id(j)] for j in v.jobs if id(j) in jobs)) for v in plan.visits),
    )


def public_tree(tree: Tree) -> Tree:
    """The tree as anybody may see it; its file's name and digest are left out too, and of its log all but photographs: a plan has the rest."""
    origin = Origin(kind=tree.origin.kind, date=tree.origin.date) if tree.origin else None
    seen = {name: getattr(tree, name) for name in OF_TREE}
    log = tuple(Entry(date=entry.date, photo=entry.photo) for entry in tree.log if entry.photo)
    return Tree(log=log, origin=origin, branches=tuple(map(_branch, tree.branches)), **seen)


def _branch(branch: Branch) -> Branch:
    return Branch(**{name: getattr(branch, name) for name in OF_BRANCH})


def _entries(entries: Iterable[Entry]) -> tuple[Entry, ...]:
    """The entries without what is the grower's own; those that say nothing else are left out."""
    said = (
        (entry.date, [getattr(entry, name) if seen else bare for name, seen, bare in _FIELDS]) for entry in entries
    )
    return tuple(Entry(day, *values) for day, values in said if values != _NOTHING)


def _state(state: State) -> State:
    return replace(
        state,
        entries=_entries(state.entries),
        wires=tuple(replace(wire, note="") for wire in state.wires),
        trouble_entry=None,
        intentions=(),
        hard=(),
    )


def _job(job: Job) -> Job:
    """The job under its work's name, where the grower meant it in words of their own."""
    return replace(job, own="", by=None, reasons=()) if job.own or job.by else job
