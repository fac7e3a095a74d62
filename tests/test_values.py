"""The project's `dataclass` says, compares and hashes as the standard library's does."""

from __future__ import annotations

import dataclasses
from dataclasses import field

import pytest

from logbook import values


def classes(made):  # type: ignore[no-untyped-def]
    """The same classes, by one decorator or the other."""

    @made(frozen=True, slots=True)
    class Point:
        x: int
        y: float = 0.5
        note: str = field(default="", compare=False, repr=False)
        table: dict[str, int] = field(default_factory=dict, hash=False)

    @made(slots=True)
    class Bag:
        inside: list[object] = field(default_factory=list)

    @made(frozen=True)
    class Nothing:
        pass

    @made(frozen=True)
    class Own:
        x: int

        def __hash__(self) -> int:
            return 7

        def __repr__(self) -> str:
            return "own"

    return Point, Bag, Nothing, Own


@pytest.mark.parametrize("made", [dataclasses.dataclass, values.dataclass])
def test_it_is_compared_and_told_by_its_fields(made: object) -> None:
    point, bag, nothing, own = classes(made)
    assert point(1, note="a") == point(1, note="b") and point(1) != point(2) and point(1) != bag()
    assert hash(point(1, table={"a": 1})) == hash(point(1, table={"b": 1}))
    assert point(1, table={"a": 1}) != point(1, table={"b": 1})
    assert repr(point(1, note="a")).endswith("Point(x=1, y=0.5, table={})")
    assert nothing() == nothing() and hash(nothing()) == hash(nothing())
    assert repr(nothing()).endswith("Nothing()")
    assert hash(own(1)) == 7 and repr(own(1)) == "own" and own(1) == own(1) != own(2)
    with pytest.raises(TypeError):
        hash(bag())
    full = bag()
    full.inside.append(full)
    assert repr(full).endswith("Bag(inside=[...])")
