"""Where the tree was moved to: `moved east 2`, `bench east 2`."""

from __future__ import annotations

import re
from collections.abc import Collection
from itertools import dropwhile

from .listed import listed
from .words import Clause

_PLACE = re.compile(r"(?:[^\W\d_][\w\-]*\s+){1,2}(?:\d{1,3}|[A-Za-z])|[A-Za-z]\d{1,3}")
_LEADING = ("to", "onto", "into", "on", "in", "the", "bench", "now", "back", ":")
_NO_PLACE = listed("away pot tray branch branches to from for in out the back by round")


def bench_in(clause: Clause, benches: Collection[str], named_so: Collection[str]) -> str:
    """The bench that a clause names behind `moved` or `bench`; an empty string where it names none that can be told.

    `named_so`: words that are places of a garden wherever they stand last: the lower shelf, the terrace.
    """
    words = [t.text for t in clause.tokens]
    first = clause.tokens[0].low
    put = first in ("put", "placed", "stands", "standing", "now", "back")
    if not (put or first in ("moved", "bench", "shifted")) or len(words) < 2:
        return ""
    rest = list(dropwhile(lambda word: word.casefold() in _LEADING, _without_its_start(words[1:])))
    said, low = " ".join(rest), {word.casefold() for word in rest}
    if 0 < len(rest) <= 3 and rest[-1].casefold() in named_so and "of" not in low:
        return said
    known = {bench.casefold(): bench for bench in benches}.get(said.casefold(), "")
    if known or put:
        return known
    so_written = (first == "bench" and len(rest) == 1) or (_PLACE.fullmatch(said) and not low & _NO_PLACE)
    return said if so_written and len(rest) <= 4 else ""


def _without_its_start(words: list[str]) -> list[str]:
    """`from east 2 to west 1` is to west 1; a place that was only left names none."""
    low = [word.casefold() for word in words]
    return words[low.index("to") :] if low[:1] == ["from"] and "to" in low else words
