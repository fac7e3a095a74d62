"""What the weeks after a hard work ask for: the lines of aftercare.yaml as frozen values. Decides nothing about a tree."""

from __future__ import annotations

from ..collection.kinds import Field, Flag, Given, Listing, Number, Record, Text
from ..values import dataclass
from .forbids import Match
from .forbids_fields import FINISHED, match_of


@dataclass(frozen=True, slots=True)
class AfterCare:
    """One line: after which works, from which day and for how many, in words; `frost_free` where frost may lengthen it."""

    after: Match
    begins: int
    days: int
    say: str
    frost_free: bool = False


@dataclass(frozen=True, slots=True)
class FeedingPause:
    """After which works a tree is not fed, and for how many days; from refinement on for `refined` days."""

    after: Match
    days: int
    refined: int


AFTERCARE_FILE = Record(
    "aftercare.yaml",
    (
        Field(
            "aftercare",
            Listing(
                Record(
                    "a line",
                    (
                        Field("after", FINISHED, "after which works", True),
                        Field("from", Number("days", 0, 400, whole=True), "from which day", True),
                        Field("days", Number("days", 1, 400, whole=True), "for how many", True),
                        Field("say", Text(), "the line on paper", True),
                        Field("frost_free", Flag(), "lasts while frost may come"),
                    ),
                ),
                "lines",
            ),
            "lines",
            True,
        ),
        Field(
            "feeding_pauses",
            Listing(
                Record(
                    "a pause",
                    (
                        Field("after", FINISHED, "after which works", True),
                        Field("days", Number("days", 1, 400, whole=True), "for how many", True),
                        Field("refined", Number("days", 1, 400, whole=True), "for how many from refinement on"),
                    ),
                ),
                "pauses",
            ),
            "pauses",
            True,
        ),
    ),
)


def aftercare_of(lines: tuple[Given, ...]) -> tuple[AfterCare, ...]:
    """The lines out of their keys."""
    return tuple(
        AfterCare(match_of(line["after"]), line["from"], line["days"], line["say"], line.get("frost_free", False))
        for line in lines
    )


def pauses_of(lines: tuple[Given, ...]) -> tuple[FeedingPause, ...]:
    """The pauses in feeding out of their keys."""
    return tuple(FeedingPause(match_of(p["after"]), p["days"], p.get("refined", p["days"])) for p in lines)
