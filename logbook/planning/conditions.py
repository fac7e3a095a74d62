"""What must be true of a tree where its record does not say, before a work on offer is done."""

from __future__ import annotations

from datetime import date

from ..horticulture.work import Row, Work
from ..season.reasons import Reason, because
from .condition import fresh_vigour, lightly, lightly_held
from .grounds import ByState
from .model import Context
from .restrictions import score_day
from .tree_state import STRONG


def conditions_of(context: Context, work: Work, row: Row, opens: date) -> tuple[bool, tuple[Reason, ...]]:
    """Whether strength must be scored first, and what must be true where the record does not say."""
    found = []
    vigour = fresh_vigour(context.garden, context.state, score_day(context, opens))
    rate_first = vigour is None and work.wants_strength
    if rate_first:
        found.append(because(ByState.RATE_FIRST))
    elif vigour is None and context.group.name in work.wants_strength_of:
        found.append(because(ByState.LIGHT_ROOTS))
    elif vigour is None and row.vigour:
        found.append(because(ByState.ONLY_IF_VIGOUR, wanted=row.vigour, strong=int(row.vigour >= STRONG)))
    if row.stages and not context.state.stage:
        found.append(because(ByState.ONLY_IN_STAGES, stages=row.stages[:2]))
    hold = lightly_held(context.holds, work)
    if hold is not None:
        found.append(because(ByState.LIGHTLY, why=hold.reason))
    block = lightly(context.blocks, work, opens)
    if block is not None:
        found.append(because(ByState.LIGHTLY_UNTIL, day=block.end, why=block.reason))
    return rate_first, tuple(found)
