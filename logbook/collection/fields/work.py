"""The grower's own numbers for a work, or a work of their own, as `collection.yaml` gives them."""

from __future__ import annotations

from ...diagnostics import Place
from ..kinds import Listing, Number, Placed, Text
from .declare import NOWHERE, apart, key, place_of, record
from .shared import VIGOUR


@record("a work's numbers")
class WorkOverride:
    """What a collection says of a work. Words that the trade must know carry their place."""

    groups: tuple[tuple[str, Place], ...] = key(
        Listing(Placed(Text("a group or a set")), "groups or sets", lone=True), "for which groups or sets", default=()
    )
    window: tuple[str, Place] | None = key(
        Placed(Text("a window")), "opens / best / closes, as in: swell - 21 / swell - 3 / open", default=None
    )
    every: float | None = key(Number("years", 0.25, 50), "years between two turns", default=None)
    vigour: int | None = key(VIGOUR, "least vigour", default=None)
    sign: str = key(Text("a sign"), "do it when", default="")
    too_late: str = key(Text("a sign"), "too late when", default="")
    typed: tuple[str, ...] = key(
        Listing(Text("typed words"), "typed words", lone=True), "how a note names it", default=()
    )
    place: Place = apart(default=NOWHERE, source=place_of)
