"""Whether a tree can live in the long run where it stands: said once beside its works, and forbidding none of them."""

from __future__ import annotations

from ..horticulture.species import CHILL
from ..season.reasons import Reason, because
from .grounds import ByState
from .model import Context
from .rules.warmth import TROPICAL_MONTH
from .tree_state import INDOORS

NEEDS_WINTER, LIKES_WINTER, UNCHILLED = CHILL


def advice_of(context: Context) -> tuple[Reason, ...]:
    """Of a tree that wants a winter's rest: that its place has none, in a tropical climate or behind glass all year."""
    wanted = _winter_wanted(context)
    if wanted == UNCHILLED:
        return ()
    if context.tree.indoors == INDOORS:
        return (because(ByState.WINTER_INDOORS),)
    climate = context.site.climate
    if climate is None or climate.coldest_month < TROPICAL_MONTH:
        return ()
    code = ByState.NO_WINTER_HERE if wanted == NEEDS_WINTER else ByState.HARDLY_WINTER_HERE
    return (because(code, base=TROPICAL_MONTH),)


def _winter_wanted(context: Context) -> str:
    """How much of a winter it needs: its species' answer where it is grown as its own group, else its group's."""
    species, group = context.knowledge.species_of(context.tree.species), context.group
    if species is not None and species.group == group.name:
        return species.chill
    return NEEDS_WINTER if group.chill else UNCHILLED
