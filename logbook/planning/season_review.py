"""A season looked back on: what was done and missed, wires that came off in time, strength, growth."""

from __future__ import annotations

from bisect import bisect_right
from collections import Counter
from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import field
from datetime import date, timedelta
from itertools import pairwise

from ..collection.model import Entry, Tree
from ..horticulture.work import Row, Thing, Work
from ..season.solar import midwinter_before
from ..values import dataclass
from .closings import closing_rows
from .conflicts import was_missed
from .garden import Garden
from .lists.branch_growth import thickening_of
from .model import Job
from .planner import context_of, outcomes_of, works_of
from .rules.wire_bite import wire_days
from .tree_state import State, effective, state_of
from .wires import WireOn, wires_on

SEASONS = 6
LOOK_DAYS = 14
BEFORE_GROWTH = (
    75  # days from midwinter to a trunk's new growth: what is measured in the dormant months is the season before's
)


@dataclass(frozen=True, slots=True)
class Change:
    """A number at the season's end beside the one before it."""

    tag: str
    before: float
    after: float


@dataclass(frozen=True, slots=True)
class Scores:
    """A tree's vigour by season, the last one given in each; in the order of the seasons."""

    tag: str
    by_season: tuple[tuple[int, int], ...]


@dataclass(frozen=True, slots=True)
class Review:
    """One season of a garden, from the day growth ended to the day it ended again."""

    season: int
    first: date
    last: date
    trees: int = 0
    visits: int = 0
    works: dict[str, int] = field(default_factory=dict)
    missed: tuple[tuple[str, str], ...] = ()
    wires_in_time: int = 0
    wires_late: tuple[str, ...] = ()
    vigour: tuple[Change, ...] = ()
    trunks: tuple[Change, ...] = ()
    scores: tuple[Scores, ...] = ()
    came: tuple[str, ...] = ()
    left: tuple[str, ...] = ()


def review(trees: Sequence[Tree], garden: Garden, season: int, today: date) -> Review:
    """Look back on a season; `today` bounds one that is still going on."""
    calendar = garden.site.calendar
    first, last = calendar.season_start(season), min(calendar.season_start(season + 1) - timedelta(days=1), today)
    over = last < today
    grown = min(_thickens_from(season + 1, garden), today)
    logged = [(tree.tag, entry) for tree in trees for entry in _entries_in(tree, garden, first, last)]
    wires = [_wires(tree, garden, first, last) for tree in trees]
    return Review(
        season,
        first,
        last,
        sum(_stood(tree, first, last) for tree in trees),
        len({(tag, entry.date.earliest) for tag, entry in logged if not entry.found}),
        _counted([entry for _, entry in logged]),
        tuple(_missed(trees, garden, first, last)) if over else (),
        sum(in_time for in_time, _ in wires),
        tuple(tag for _, late in wires for tag in late),
        tuple(_changes(trees, garden, first, last, "vigour")),
        tuple(_changes(trees, garden, _thickens_from(season, garden), grown, "trunk")),
        tuple(_scores(trees, garden, last)),
        tuple(tree.tag for tree in trees if _came(tree, first, last)),
        tuple(tree.tag for tree in trees if _left(tree, first, last)),
    )


def _thickens_from(season: int, garden: Garden) -> date:
    """The day from which a measured trunk shows a season's own growth."""
    return midwinter_before(season, garden.site.calendar.southern) + timedelta(days=BEFORE_GROWTH)


def _entries_in(tree: Tree, garden: Garden, first: date, last: date) -> list[Entry]:
    """The entries of a season that count."""
    since = max(first, tree.came_over or first)
    return [e for e in effective(tree.log, last, garden.knowledge) if since <= e.date.earliest]


def _came(tree: Tree, first: date, last: date) -> bool:
    """Whether the tree's log begins in the season, or it came over from another garden in it."""
    return bool(tree.log) and first <= _begun(tree, first) <= last


def _begun(tree: Tree, otherwise: date) -> date:
    """The day from which its log tells of this garden."""
    return tree.came_over or min((e.date.earliest for e in tree.log), default=otherwise)


def _left(tree: Tree, first: date, last: date) -> bool:
    """Whether the tree left the garden in the season."""
    return tree.ended is not None and first <= tree.ended.date.earliest <= last


def _counted(entries: Sequence[Entry]) -> dict[str, int]:
    """How often each work was done, the most frequent first."""
    return dict(Counter(entry.work for entry in entries if entry.work).most_common())


def _stood(tree: Tree, first: date, last: date) -> bool:
    """Whether the tree was in the garden in the season: its log had begun, and it had not left before."""
    begun = _begun(tree, last) <= last
    return begun and (tree.ended is None or tree.ended.date.latest >= first)


def _wires(tree: Tree, garden: Garden, first: date, last: date) -> tuple[int, list[str]]:
    """Wires that came off in the season: how many by their last day, and which trees' came later."""
    good = [_in_time(tree, garden, entry, wire) for entry, wire in _taken_off(tree, garden, first, last)]
    return sum(good), [tree.tag] * good.count(False) + _still_on(tree, garden, last)


def _taken_off(tree: Tree, garden: Garden, first: date, last: date) -> Iterator[tuple[Entry, WireOn]]:
    """Each wire that was on when an entry of the season took wire off, with that entry."""
    entries = effective(tree.log, last, garden.knowledge)
    off_works = {w.name for w in garden.knowledge.doing(takes=Thing.WIRE)}
    for index, entry in enumerate(entries):
        if entry.work in off_works and entry.date.earliest >= first:
            on = wires_on(entries[:index], garden.knowledge, tree)
            yield from ((entry, wire) for wire in on if _same_wire(entry, wire.branches))


def _in_time(tree: Tree, garden: Garden, entry: Entry, wire: WireOn) -> bool:
    """Whether a wire came off before it cut in and by its last day, where one is known."""
    if entry.bite == "cut":
        return False
    off = _off_by(tree, garden, wire, entry.date.earliest)
    return off is None or entry.date.earliest <= off


def _off_by(tree: Tree, garden: Garden, wire: WireOn, today: date) -> date | None:
    """The day by which a wire had to be off, as it was reckoned on a day."""
    garden = garden.around(tree, today)
    group = garden.group_of(tree)
    mm = thickening_of(tree, state_of(tree, garden, today), garden, group).mm_a_year
    rule = garden.knowledge.wire_rules[garden.knowledge.groups[group].wire]
    return wire_days(garden.site, rule, wire.on.earliest, None, mm, wire.keep).off


def _still_on(tree: Tree, garden: Garden, last: date) -> list[str]:
    """The tree's tag for each wire that was on past its day when the season ended."""
    if tree.ended:
        return []
    days = (_off_by(tree, garden, wire, last) for wire in state_of(tree, garden, last).wires)
    return [tree.tag for off in days if off is not None and off < last]


def _same_wire(entry: Entry, branches: tuple[str, ...]) -> bool:
    return not entry.branches or not branches or bool(set(entry.branches) & set(branches))


def _missed(trees: Sequence[Tree], garden: Garden, first: date, last: date) -> list[tuple[str, str]]:
    """Works that were due and whose window went by in the season without an entry of them."""
    standing = (tree for tree in trees if tree.ended is None and _stood(tree, first, last))
    return [(tree.tag, work) for tree in standing for work in _missed_of(tree, garden, first, last)]


def _missed_of(tree: Tree, garden: Garden, first: date, last: date) -> list[str]:
    looks = [first + timedelta(days=n) for n in range(0, (last - first).days + 1, LOOK_DAYS)] + [last]
    entries = effective(tree.log, last, garden.knowledge)
    done = {e.work for e in entries if e.work and e.date.latest >= first}
    works = garden.knowledge.works
    states = _States(tree, garden)
    ever = [works[name] for name in {e.work for e in tree.log} & works.keys()]
    begun = _begun(tree, first)
    missed: dict[str, None] = {}
    for today, following in pairwise(looks):
        if begun <= today:
            rows = closing_rows(tree, garden, today, following, ever)
            missed |= dict.fromkeys(
                _closed(states, [one for one in rows if one[0].name not in done], today, following, done)
            )
    return list(missed | dict.fromkeys(_late(states, last)))


def _closed(
    states: _States, rows: Sequence[tuple[Work, Row]], today: date, following: date, done: AbstractSet[str]
) -> list[str]:
    """Works of a look's plan that were not done before the next. The plan is made only where one of these rows may have been missed."""
    if not rows:
        return []
    context = context_of(states.tree, states.garden, today, states.on(today))
    if not any(isinstance(one, Job) and _went_by(one, today, following) for one in outcomes_of(context, rows)):
        return []
    return [job.work for job in works_of(context) if _went_by(job, today, following) and job.work not in done]


class _States:
    """A tree's state on one day after the other: between two entries nothing changes of it, but that a rest may end."""

    def __init__(self, tree: Tree, garden: Garden) -> None:
        self.tree, self.garden = tree, garden
        self._begins = sorted(entry.date.earliest for entry in tree.log)
        self._by_entries: dict[int, State] = {}

    def on(self, today: date) -> State:
        """The state on a day."""
        entries = bisect_right(self._begins, today)
        found = self._by_entries.get(entries)
        rest = found.resting if found else None
        if found is None or (rest is not None and rest.not_before is not None and rest.not_before <= today):
            found = self._by_entries[entries] = state_of(self.tree, self.garden, today)
        return found


def _late(states: _States, last: date) -> list[str]:
    """Works on offer on the last day that had been due before; only what is done every few years can be."""
    context = context_of(states.tree, states.garden, last, states.on(last))
    rows = [(work, row) for work, row in context.kin.rows if max(row.every.values(), default=0.0) > 1]
    if not any(isinstance(one, Job) and was_missed(one) for one in outcomes_of(context, rows)):
        return []
    return [job.work for job in works_of(context) if not job.optional and was_missed(job)]


def _went_by(job: Job, today: date, following: date) -> bool:
    """Whether a window that had to be used closed between two looks; looks and wire coming off are told elsewhere."""
    closed = job.closes is not None and today <= job.closes < following
    told_elsewhere = job.record is not None and (bool(job.record.looks) or job.is_about_wire)
    return closed and not (job.optional or job.own or told_elsewhere)


def _changes(trees: Sequence[Tree], garden: Garden, first: date, last: date, what: str) -> list[Change]:
    """The last number of the season beside the last before it, tree by tree."""
    changes = []
    for tree in trees:
        numbers = [(e.date.earliest, _number(e, what)) for e in effective(tree.log, last, garden.knowledge)]
        before = [v for d, v in numbers if v and d < first]
        during = [v for d, v in numbers if v and d >= first]
        if before and during:
            changes.append(Change(tree.tag, before[-1], during[-1]))
    return changes


def _number(entry: Entry, what: str) -> float:
    """An entry's vigour, or one of its measures in mm; 0 where it has none."""
    return float(entry.vigour or 0) if what == "vigour" else entry.measured.get(what, 0.0)


def _scores(trees: Sequence[Tree], garden: Garden, last: date) -> list[Scores]:
    """Trees with vigour on record in two seasons or more, the latest few seasons of each."""
    found = []
    for tree in trees:
        by_season = {
            garden.site.calendar.season_of(e.date.earliest): e.vigour
            for e in effective(tree.log, last, garden.knowledge)
            if e.vigour
        }
        if len(by_season) > 1:
            found.append(Scores(tree.tag, tuple(sorted(by_season.items())[-SEASONS:])))
    return found
