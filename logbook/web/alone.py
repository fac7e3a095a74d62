"""The page of one tree by itself, for whoever gets the tree: as anybody may see it, with no way up to any other page."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from ..collection.model import Settings
from ..horticulture.knowledge import Knowledge
from ..planning.model import Plan
from .facts import Garden, Shot, tree_facts
from .public import public_plan
from .render import tree_page


def page_alone(plan: Plan, settings: Settings, knowledge: Knowledge, shots: Mapping[str, Shot], made: date) -> str:
    """The page; `shots` are photographs by their path as it is logged, each with its file beside the page."""
    garden = Garden(settings, knowledge, own=False, shots=shots)
    return tree_page(tree_facts(public_plan(plan), garden), "", made)
