"""Notes that contradict what is known of a tree: more often the wrong tree than the wrong work.

Nothing is refused here: what was done is written, once the grower has said that it was this tree.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import timedelta

from ..collection.model import Entry, Tree
from ..horticulture.work import HEAVY, Work
from ..season.reasons import Reason, because
from .condition import holds_of
from .garden import Garden
from .grounds import ByLog, ByState
from .tree_state import State, state_of
from .windows import Span, window_span

FULL, ALLOWED = "full", "yes"
# of the shortest usual interval: sooner than that, one of two pottings was another tree's; common practice, no source
TOO_SOON = 1 / 3
YEAR_DAYS = 365.25
# a potting this far from any window of its kind was noted with another day, or on another tree; common practice, no source
FAR_DAYS = 45


def speaks_against(tree: Tree, garden: Garden, entry: Entry, log: Sequence[Entry] | None = None) -> Reason | None:
    """Why an entry may belong to another tree; None where nothing says so.

    A work that its kind is never given, a potting soon after another or far out of season, or a hard work while the tree is
    left alone. Only where the work calls for it the log is read, of this one tree; `log` where it is longer than the tree's own.
    """
    work = garden.knowledge.works.get(entry.work)
    if work is None or work.is_exempt:
        return None
    group = garden.group_of(tree)
    logged = tree.log if log is None else log
    if never := _never_done_to(tree, logged, garden, group, work):
        return never
    hard = work.wants_strength or (work.was_hard(entry.force) and entry.roots != "light")
    if not (hard or work.into_pot):
        return None
    return _not_now(replace(tree, log=tuple(logged)), garden, group, work, entry, hard=hard)


def _never_done_to(tree: Tree, log: Sequence[Entry], garden: Garden, group: str, work: Work) -> Reason | None:
    """A work on what a tree of this kind does not have or bear; what the log has already was done to this one."""
    if not group or any(before.work == work.name for before in log):
        return None
    own = any(group in row.groups for row in work.rows)  # the grower may have given the work to further groups
    if work.only_on and group not in work.only_on and not own:
        return because(ByState.NOT_OF_GROUP, work=work.name, group=group)
    if _never_for_species(tree, garden, work):
        return because(ByState.NOT_OF_GROUP, work=work.name, group=tree.species)
    return None


def _not_now(tree: Tree, garden: Garden, group: str, work: Work, entry: Entry, *, hard: bool) -> Reason | None:
    """What the tree's own log says against a work on that day."""
    state = state_of(tree, garden, entry.date.latest)
    potted = _potted_lately(state, garden, group, work, entry) if work.into_pot else None
    left_alone = _while_left_alone(tree, garden, group, work, entry, state) if hard and not potted else None
    return potted or left_alone or (_out_of_season(tree, garden, group, work, entry) if work.into_pot else None)


def _out_of_season(tree: Tree, garden: Garden, group: str, work: Work, entry: Entry) -> Reason | None:
    """A day far from every window in which such a tree is potted; nothing where no window has days."""
    row = garden.knowledge.row_for(work, group, tree.species) if group and entry.date.is_day else None
    if row is None or row.window is None or row.rule or row.also_rule:
        return None
    day = entry.date.earliest
    site = garden.around(tree, day).site
    windows = [window for window in (row.window, row.also) if window is not None]
    answers = [window_span(site, group, window, day.year + year) for window in windows for year in (-1, 0, 1)]
    spans = [answer for answer in answers if isinstance(answer, Span)]
    away = [max((span.opens - day).days, (day - span.closes).days) for span in spans]
    if not spans or min(away) <= FAR_DAYS:
        return None
    near = spans[away.index(min(away))]
    return because(ByState.OUT_OF_SEASON, work=work.name, opens=near.opens, closes=near.closes)


def _never_for_species(tree: Tree, garden: Garden, work: Work) -> bool:
    species = garden.knowledge.species_of(tree.species)
    return FULL in work.acts and species is not None and species.full_defoliation != ALLOWED


def _potted_lately(state: State, garden: Garden, group: str, work: Work, entry: Entry) -> Reason | None:
    """The last potting, where it was so short a time ago that nobody pots the tree again: of two told loosely it may be the same."""
    when, works = state.repotted, garden.knowledge.works
    years = [years for row in work.rows if group in row.groups for years in row.every.values()]
    if when is None or not years or when.earliest > entry.date.latest or when == entry.date:
        return None
    if when.earliest + timedelta(days=round(min(years) * TOO_SOON * YEAR_DAYS)) <= entry.date.latest:
        return None
    last = state.last_of(one for one in works.values() if one.into_pot)
    return because(ByLog.DONE, done=(works[last.work] if last else work).past(), when=when)


def _while_left_alone(
    tree: Tree, garden: Garden, group: str, work: Work, entry: Entry, state: State
) -> Reason | None:
    """A state that the tree was in before that day, in which such a turn of the work waits."""
    day = entry.date.latest
    kind = work.kind_of_turn(entry.force or HEAVY)
    held = (hold for hold in holds_of(tree, garden, group, state, day) if kind in hold.kinds)
    hold = next((one for one in held if one.since.latest < day), None)
    return hold.reason if hold else None
