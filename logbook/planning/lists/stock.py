"""What stands in a garden on a day, what came and what left in the year before it: before + came − left = after."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date, timedelta

from ...collection.model import Tree
from ...values import dataclass


@dataclass(frozen=True, slots=True)
class Stock:
    """Trees of a year that ends on a day: those that stood before it, came in it, left in it (by how), and stand after it."""

    first: date
    last: date
    before: tuple[Tree, ...]
    came: tuple[Tree, ...]
    left: Mapping[str, tuple[Tree, ...]]
    after: tuple[Tree, ...]


def stock_on(trees: Sequence[Tree], last: date) -> Stock:
    """The stock of the year up to a day, that day counted. A tree of which no day is known stood before."""
    first = _year_before(last) + timedelta(days=1)
    came = tuple(tree for tree in trees if first <= came_on(tree) <= last)
    before = tuple(tree for tree in trees if came_on(tree) < first and not _had_left(tree, first))
    left: dict[str, list[Tree]] = {}
    for tree in (*before, *came):
        if tree.ended is not None and _had_left(tree, last + timedelta(days=1)):
            left.setdefault(tree.ended.how, []).append(tree)
    gone = {tree.tag for some in left.values() for tree in some}
    after = tuple(tree for tree in (*before, *came) if tree.tag not in gone)
    return Stock(first, last, before, came, {how: tuple(some) for how, some in sorted(left.items())}, after)


def _year_before(day: date) -> date:
    try:
        return day.replace(year=day.year - 1)
    except ValueError:  # 29 February
        return day.replace(year=day.year - 1, day=28)


def came_on(tree: Tree) -> date:
    """The first day that is known of a tree's time here: when it was acquired, begun or first written of."""
    if tree.came_over is not None:
        return tree.came_over
    found = (entry.found.acquired for entry in tree.log if entry.found and entry.found.acquired)
    days = [when.earliest for when in found]
    days += [tree.origin.date.earliest] if tree.origin and tree.origin.date else []
    days += [entry.date.earliest for entry in tree.log]
    return min(days, default=date.min)


def _had_left(tree: Tree, day: date) -> bool:
    return tree.ended is not None and tree.ended.date.latest < day


def value_of(trees: Sequence[Tree]) -> tuple[float, int]:
    """The sum of the values that are plain numbers, and how many trees have one that is not, or none."""
    numbers = [found for tree in trees if (found := _number(tree.value)) is not None]
    return sum(numbers), len(trees) - len(numbers)


def _number(text: str) -> float | None:
    bare = re.sub(r"[^\d.,]", "", text)
    found = re.fullmatch(r"(\d{1,3}(?:[,.]\d{3})+|\d+)(?:[.,](\d{1,2}))?", bare)
    return float(f"{re.sub('[.,]', '', found[1])}.{found[2] or 0}") if found else None


def kinds_of(trees: Sequence[Tree]) -> dict[str, int]:
    """How many of each species stand, the most frequent first."""
    return dict(Counter(tree.species or tree.group for tree in trees).most_common())
