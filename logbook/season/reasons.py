"""Why a date is what it is, as data: a code and the values it speaks of. Words are made at the edge, in `planning.wording`.

Nothing may be decided by the words of a reason; what a caller has to know stands in its code and values.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import field
from datetime import date
from enum import StrEnum
from typing import TypeAlias

from ..collection.dates import When
from ..values import dataclass


class Code(StrEnum):
    """What a reason says. Each room that has reasons of its own lists them in an enum made from this one."""


class Found(Code):
    """How a mark of the season was found, or why there is none."""

    OWN_DATE = "own date"
    OWN_FROST = "own frost date"
    FROM_OWN_FROST = "from own frost date"
    FROST_HALF = "half of all years"
    FROST_HALF_ROUGH = "half of all years, without the coldest night"
    FROST_FREE = "no frost reaches this place"
    FROST_TENTH = "one year in ten"
    SEEN_ON_TREE = "seen on this tree"
    SEEN_ON_KIN = "seen on kin"
    REMEMBERED = "remembered"
    MOVED = "moved by what was seen"
    NORMALS_ALONE = "sum of warmth, from normals"
    WEATHER_SO_FAR = "sum of warmth, from weather so far and normals"
    WEATHER = "sum of warmth, from weather"
    COUNTED_FROM_OPEN = "counted from the day it opened"
    NOT_SEEN = "not seen yet"
    YEARS_MEAN = "from the year's mean"
    AFTER_COLOUR = "after leaves colour"
    NO_AUTUMN = "no autumn"
    ALL_ALIKE = "all months alike"
    NOT_ITS_MARK = "no such mark"
    LONGEST_DAY = "longest day"
    SHORTEST_DAY = "shortest day"
    FROST_ENDS_GROWTH = "first frost ends growth"
    FIRST_COOL_DAY = "first cool day"
    STAYS_WARM = "days stay warm"
    AFTER_FLOWERING_BEGAN = "after flowering began"
    NO_NORMALS = "no normals"
    NO_NORMALS_NO_FROST = "no normals and no frost date"
    MOSTLY_NO_FROST = "mostly no frost"
    KEEPS_LEAVES = "keeps its leaves"
    FOLLOWS_WARMTH = "follows warmth"
    GROWS_IN_PUSHES = "grows in pushes"
    WINTER_TOO_WARM = "winter too warm"
    SUMMER_TOO_COOL = "summer too cool"


Value: TypeAlias = "str | int | float | date | When | tuple[str, ...] | Reason"


@dataclass(frozen=True, slots=True)
class Reason:
    """One ground. `values` are named: days as dates, temperatures in °C, lengths in mm, other reasons whole."""

    code: Code
    names: tuple[str, ...] = ()
    given: tuple[Value, ...] = ()
    _hash: int = field(init=False, repr=False, compare=False)  # asked for over and over, of some: worked out once

    def __hash__(self) -> int:
        try:
            return self._hash
        except AttributeError:
            found = hash((self.code, self.names, self.given))
            object.__setattr__(self, "_hash", found)
            return found

    @property
    def values(self) -> Mapping[str, Value]:
        """The values by their names."""
        return dict(zip(self.names, self.given, strict=True))

    def value(self, name: str) -> Value | None:
        """A named value; None where the reason has none of that name."""
        return self.given[self.names.index(name)] if name in self.names else None


_NAMES: dict[tuple[str, ...], tuple[str, ...]] = {}  # one for all reasons of a kind, of which there are many


def because(code: Code, **values: Value) -> Reason:
    """A reason with its values by name."""
    names = tuple(values)
    return Reason(code, _NAMES.setdefault(names, names), tuple(values.values()))
