"""What an index lists: first, open, the next thirty days; and all trees, by bench on the keeper's own."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from ..collection.load import bench_order
from ..collection.model import Tree
from ..paper.sheet.blocks.jobs import title_of, when_told
from ..planning.lists.due_rows import GROUPS, SOON, Shown, due_rows
from ..planning.lists.walk_rows import bench_part
from ..planning.model import Job, Plan
from ..values import dataclass
from .render import Front, Row
from .words import say


@dataclass(frozen=True, slots=True)
class DueTold:
    """One visit that is due to a tree: under which heading and in which order, what it would do and when."""

    group: str
    order: tuple[object, ...]
    what: str
    when: str


@dataclass(frozen=True, slots=True)
class TreeDue:
    """What is due of one tree; whether something was ever written of it, and within a year."""

    rows: tuple[DueTold, ...]
    silent: bool
    logged: bool


Found = tuple[Tree, TreeDue, str]  # a tree, what is due of it, and the address of its page


def tree_due(plan: Plan, *, logged: bool) -> TreeDue:
    """What is due of a tree within thirty days."""
    rows = tuple(
        DueTold(
            row.group, row.order, ", ".join(_title(job, plan) for job in row.jobs), when_told(row.jobs[0], plan.today)
        )
        for row in due_rows([plan], Shown(plan.today + SOON))
    )
    return TreeDue(rows, plan.silent_since is not None, logged)


def _title(job: Job, plan: Plan) -> str:
    """A job's title; wire that should be off already comes off, and is not looked at."""
    late = job.is_about_wire and job.since is not None
    off = (other for other in plan.jobs if other.branches == job.branches and other.takes_wire)
    return title_of(next(off, job) if late else job)


def front_of(title: str, found: Sequence[Found], left: Iterable[tuple[str, str]], *, own: bool) -> Front:
    """The index of these trees, each with the address of its page; `left`: tags and addresses of those that have left."""
    lists = [*_groups(found), (say("silent"), [_row(tree, address) for tree, _, address in _silent(found)])]
    gone = [Row(tag, "", address, words=tag.casefold()) for tag, address in left] if own else []
    places = [*_places(found, own=own), (say("gone"), gone)]
    return Front(title, [(n, r) for n, r in lists if r], [(n, r) for n, r in places if r])


def _silent(found: Sequence[Found]) -> Sequence[Found]:
    """The trees of which nothing was written for over a year; none in a garden of which nothing ever was."""
    heard = any(due.logged and not due.silent for _, due, _ in found)
    return [one for one in found if one[1].silent and heard]


def _groups(found: Sequence[Found]) -> Iterator[tuple[str, Sequence[Row]]]:
    """What is due of the others, under its headings, the dearest first."""
    silent = {tree.tag for tree, _, _ in _silent(found)}
    rows = [(told, tree, address) for tree, due, address in found if tree.tag not in silent for told in due.rows]
    for name in GROUPS:
        own = sorted((row for row in rows if row[0].group == name), key=lambda row: row[0].order)
        yield name, [_row(tree, address, told.what, told.when) for told, tree, address in own]


def _places(found: Sequence[Found], *, own: bool) -> Iterator[tuple[str, Sequence[Row]]]:
    if not own:
        yield say("all"), [_row(tree, address) for tree, _, address in found]
        return
    benches: dict[str, list[Row]] = {}
    for tree, _, address in sorted(found, key=lambda one: (not one[0].bench, bench_order(one[0].bench))):
        benches.setdefault(bench_part(tree.bench) or say("no bench"), []).append(_row(tree, address))
    yield from benches.items()


def _row(tree: Tree, address: str, what: str = "", when: str = "") -> Row:
    name = tree.name or tree.full_name
    words = " ".join((tree.tag, tree.tag.lstrip("0"), name, tree.full_name)).casefold()
    return Row(tree.tag, name, address, what, when, tree.full_name if tree.name else "", words)
