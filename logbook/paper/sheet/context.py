"""What every block of the front is made from."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import timedelta

from ...collection.model import Settings
from ...horticulture.knowledge import Knowledge
from ...planning.model import Job, Plan
from ...planning.wording import Wording, wording_of
from ..layouts import Layout
from ..photos import Photo

AHEAD_DAYS = 150

LATER_DAYS = 370

BADGE_MM = 5.0

INDENT_MM = 7.0

LAST_LINES = 5

TO_DRAW = "chart to draw"

ASKS = "asks"


@dataclass(frozen=True, slots=True)
class SheetContext:
    """What the blocks are made from."""

    plan: Plan
    settings: Settings
    knowledge: Knowledge
    layout: Layout
    width: float
    letters: tuple[str, ...]
    last_lines: int = LAST_LINES
    photo: Photo | None = None

    @property
    def wording(self) -> Wording:
        """How reasons are said on this sheet."""
        return wording_of(self.settings)

    @property
    def bench(self) -> float:
        """Size of what is read at the bench, points."""
        return self.layout.size("bench")

    @property
    def small(self) -> float:
        """Size of what is read at a table, points."""
        return self.layout.size("small")


def jobs_on_sheet(plan: Plan) -> tuple[Job, ...]:
    """The jobs a sheet offers: what is open and what opens before the next visit, what was planned by date first."""
    limit = plan.today + timedelta(days=AHEAD_DAYS)
    works = [j for j in plan.jobs if not j.is_look_over]
    shown = [j for j in works if j.opens is None or j.opens <= limit] or works[:1]
    return tuple(shown + [j for j in plan.jobs if j.is_look_over][:1])
