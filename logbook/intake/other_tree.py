"""A line that was typed under the wrong tree: "no, it is 001" gives it to that one."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Protocol

from ..collection.model import Collection
from ..values import dataclass
from .plan_items import Item
from .plausibility import WRONG_TREE

_LEAD = re.compile(r"(?:(?:no|it is|it's|its|this is|that is|is|of|under|tree)\b[\s,;:]*)*", re.IGNORECASE)


class Rereads(Protocol):
    """Makes items of a line as one of the tree `tag`."""

    def __call__(self, item: Item, text: str, tag: str = "") -> Sequence[Item]:
        """The items."""
        ...


@dataclass(frozen=True, slots=True)
class Trees:
    """The trees that a line may be of after all, the items of the run, and what reads a line anew."""

    collection: Collection
    items: Sequence[Item]
    reread: Rereads | None

    def asked_of(self, item: Item) -> list[str]:
        """What is offered where it is in doubt which tree a line is of; nothing elsewhere."""
        if self.reread is None or not (item.kind == WRONG_TREE or item.reading.other):
            return []
        return [f"  or the number of the tree it is of, as in: {item.reading.other or 'no, it is 001'}"]

    def named_in(self, said: str) -> str:
        """The tag of the tree that an answer names, by its number, with or without zeros in front, or by its name; empty where it names none."""
        name = _LEAD.sub("", said, count=1).strip(" .!")
        tree = self.collection.tree(name)
        if tree is not None:
            return tree.tag
        low = name.casefold()
        named = [t for t in self.collection.trees if low and low in (t.name.casefold(), t.tag.lstrip("0").casefold())]
        return named[0].tag if len(named) == 1 else ""

    def moved(self, item: Item, tag: str) -> Sequence[Item]:
        """The whole line as one of that tree; what is doubtful there as well waits there."""
        assert self.reread is not None, "asked only where it can be read anew"
        if tag == item.tag:
            return (replace(item, fate="write", why="", hint=""),)
        text, other = item.reading.text, self.collection.tree(item.reading.other)
        if other is not None and other.name:
            text = re.sub(rf"{re.escape(other.name)}[\s:,;]*", "", text, count=1, flags=re.IGNORECASE)
        keys = tuple(one.key for one in self.items if _of_one_line(one, item))
        return [replace(one, instead=keys) for one in self.reread(item, text, tag)]

    def parted(self, number: int, item: Item, settled: Sequence[Item]) -> Mapping[int, Sequence[Item]]:
        """The answer by the place of its item; of a line that went to another tree its other parts go with it."""
        rest = range(len(self.items)) if any(one.instead for one in settled) else ()
        gone: dict[int, Sequence[Item]] = {n: () for n in rest if _of_one_line(self.items[n], item)}
        return {**gone, number: settled}


def _of_one_line(one: Item, other: Item) -> bool:
    return (one.reading.number, one.tag) == (other.reading.number, other.tag)
