"""Notes that contradict what is known of a tree: more often the wrong tree than the wrong work.

Nothing is refused here: what was done is written, once the grower has said that it was this tree.
"""

from __future__ import annotations

from ..collection.model import Entry, Tree
from ..horticulture.work import HEAVY, Work
from ..season.reasons import Reason, because
from .condition import holds_of
from .garden import Garden
from .grounds import ByState
from .tree_state import state_of

FULL, ALLOWED = "full", "yes"


def speaks_against(tree: Tree, garden: Garden, entry: Entry) -> Reason | None:
    """Why an entry may belong to another tree: a work its kind is never given, or a hard one while it is left alone."""
    work = garden.knowledge.works.get(entry.work)
    if work is None or work.is_exempt:
        return None
    group = garden.group_of(tree)
    if work.rows and not any(group in row.groups for row in work.rows):
        return because(ByState.NOT_OF_GROUP, work=work.name, group=group)
    if _never_for_species(tree, garden, work):
        return because(ByState.NOT_OF_GROUP, work=work.name, group=tree.species)
    return _while_left_alone(tree, garden, group, work, entry)


def _never_for_species(tree: Tree, garden: Garden, work: Work) -> bool:
    species = garden.knowledge.species_of(tree.species)
    return FULL in work.acts and species is not None and species.full_defoliation != ALLOWED


def _while_left_alone(tree: Tree, garden: Garden, group: str, work: Work, entry: Entry) -> Reason | None:
    """A hard work on a tree that was resting, troubled or just lifted on that day."""
    hard = work.was_hard(entry.force) and entry.roots != "light"
    if not (hard or work.wants_strength):
        return None
    day = entry.date.latest
    kind = work.kind_of_turn(entry.force or HEAVY)
    state = state_of(tree, garden, day)
    held = (hold for hold in holds_of(tree, garden, group, state, day) if kind in hold.kinds)
    hold = next((one for one in held if one.since.latest < day), None)
    return hold.reason if hold else None
