"""Signs seen in a garden, and for whom a mark is asked. What signs teach is `estimator`'s part."""

from __future__ import annotations

from datetime import date
from typing import NamedTuple


class Seen(NamedTuple):
    """A sign seen on a tree: which mark, on what day, in which place of the garden the tree stood then, and by whom."""

    tag: str
    species: str
    group: str
    mark: str
    day: date
    place: str = ""
    by: str = ""


class Who(NamedTuple):
    """The tree a mark is asked for; empty words ask for the group alone. A tuple, since it is part of many keys."""

    tag: str = ""
    species: str = ""


NOBODY = Who()
