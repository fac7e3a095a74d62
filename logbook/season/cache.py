"""Answers that hang on the site alone, kept: each kind of answer has a slot, which says what its key and its answer are."""

from __future__ import annotations

from collections.abc import Callable, Hashable
from typing import Generic, TypeVar, cast

MOST_TREES = 128  # whose own answers are kept at a time: many are asked for one after the other, and then not again
K = TypeVar("K", bound=Hashable)
V = TypeVar("V")
_MISSING = object()


class Slot(Generic[K, V]):
    """A place for answers of one kind; two slots of one name are two places."""

    __slots__ = ("name",)

    def __init__(self, name: str) -> None:
        self.name = name


class Cache:
    """Answers by slot and key. Lives as long as the site's year it belongs to."""

    def __init__(self) -> None:
        self._slots: dict[object, dict[object, object]] = {}

    def get(self, slot: Slot[K, V], key: K, make: Callable[[], V]) -> V:
        """The answer of a key, made where it is not there yet."""
        answers = self._slots.get(slot)
        if answers is None:
            answers = self._slots[slot] = {}
        found = answers.get(key, _MISSING)
        if found is _MISSING:
            found = answers[key] = make()
        return cast(V, found)
