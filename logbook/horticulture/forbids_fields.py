"""The keys of forbids.yaml, and what is made of them."""

from __future__ import annotations

from collections.abc import Mapping

from ..collection.kinds import Field, Flag, Given, Listing, Number, Record, Table, Text, Word
from .forbids import Forbid, Forbids, HoldRule, Match, Separating, State, Until
from .work import Kind

_KINDS = Listing(Word("a kind of work", tuple(kind.value for kind in Kind)), "kinds", lone=True)
_TEXTS = Listing(Text("what a work acts as"), "acts", lone=True)


def _number(what: str, most: int) -> Number:
    return Number(what, 1, most, whole=True)


FINISHED = Record(
    "finished works",
    (
        Field("kinds", _KINDS, "of these kinds"),
        Field("acts", _TEXTS, "acting so"),
        Field("heavy", _TEXTS, "of these kinds or acts, when they were heavy"),
        Field("hard", Flag(), "only with hard roots"),
    ),
)
_WORKS = Record(
    "works that wait",
    (
        Field("kinds", _KINDS, "of these kinds"),
        Field("acts", _TEXTS, "acting so"),
        Field("heavy", _TEXTS, "of these kinds or acts, when they are heavy"),
        Field("hard", _KINDS, "of these kinds, when roots are cut hard"),
        Field("others", Flag(), "but for further turns of the same work, and works that act as it does and more"),
    ),
)
_UNTIL = Record(
    "an end",
    (
        Field("seasons", _number("seasons", 9), "end of so many growing seasons"),
        Field("months", _number("months", 90), "calendar months"),
        Field("weeks", _number("weeks", 60), "growing weeks"),
        Field("hardened", Flag(), "new shoots have hardened"),
    ),
)
_HOLD = Record(
    "a hold",
    (
        Field("kinds", _KINDS, "the kinds of work that wait", True),
        Field("seasons", _number("seasons", 9), "at least to the end of so many growing seasons"),
        Field("strong", Flag(), "until strength is proven"),
    ),
)
FORBIDS_FILE = Record(
    "forbids.yaml",
    (
        Field(
            "forbids",
            Listing(
                Record(
                    "a line",
                    (
                        Field("after", FINISHED, "after which works", True),
                        Field("works", _WORKS, "which works wait", True),
                        Field("until", _UNTIL, "until when", True),
                        Field("groups", Listing(Text("a set"), "sets", lone=True), "only for trees of these"),
                    ),
                ),
                "lines",
            ),
            "what is forbidden after what",
            True,
        ),
        Field(
            "holds",
            Table(_HOLD, "holds", names=Word("a state", tuple(state.value for state in State))),
            "states in which a tree is left alone",
            True,
        ),
        Field(
            "separating",
            Listing(
                Record(
                    "a line",
                    (
                        Field("groups", Listing(Text("a set"), "sets", lone=True), "for trees of these", True),
                        Field("weeks", _number("weeks", 60), "growing weeks"),
                        Field("seasons", _number("seasons", 9), "whole growing seasons"),
                    ),
                ),
                "lines",
            ),
            "when a layer or graft may be separated",
            True,
        ),
        Field("vigour_months", _number("months", 90), "for how long a score counts", True),
    ),
)


def forbids_of(values: Given, sets: Mapping[str, frozenset[str]]) -> Forbids:
    """The table out of its keys; sets of groups become the groups themselves."""
    return Forbids(
        tuple(_line(line, sets) for line in values["forbids"]),
        {State(name): _hold(hold) for name, hold in values["holds"].items()},
        tuple(_separating(line, sets) for line in values["separating"]),
        values["vigour_months"],
    )


def _line(line: Given, sets: Mapping[str, frozenset[str]]) -> Forbid:
    groups: frozenset[str] = frozenset().union(*(sets[name] for name in line.get("groups", ())))
    after, works = line["after"], line["works"]
    return Forbid(
        match_of(after, hard_roots=after.get("hard", False)), match_of(works), Until(**line["until"]), groups
    )


def _separating(line: Given, sets: Mapping[str, frozenset[str]]) -> Separating:
    groups: frozenset[str] = frozenset().union(*(sets[name] for name in line["groups"]))
    return Separating(groups, Until(seasons=line.get("seasons", 0), weeks=line.get("weeks", 0)))


def match_of(given: Given, *, hard_roots: bool = False) -> Match:
    """Which works a line speaks of."""
    hard = () if hard_roots else given.get("hard", ())
    return Match(
        frozenset(map(Kind, given.get("kinds", ()))),
        frozenset(given.get("acts", ())),
        frozenset(given.get("heavy", ())),
        frozenset(hard),
        hard_roots,
        given.get("others", False),
    )


def _hold(given: Given) -> HoldRule:
    return HoldRule(frozenset(map(Kind, given["kinds"])), given.get("seasons", 0), given.get("strong", False))
