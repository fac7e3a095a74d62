"""The tree itself is gone, or some of a tray are: never written, always asked, with the way out in the question."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import Literal


@dataclass(frozen=True, slots=True)
class Proposal:
    """What may follow of a line beside its remark: the record ends (`how`), or a tray's count goes down to `count`."""

    kind: Literal["end", "count"]
    how: str = ""
    count: int = 0


@dataclass(frozen=True, slots=True)
class Question:
    """A question about what is gone, its hint, and what is proposed."""

    why: str
    hint: str
    proposal: Proposal


_GOES = r"(?:dead|died|sold|lost|binned|stolen|given away|gave away|gave|failed|damped off|rotted|gone)"
_SOME = re.compile(
    rf"(?<![\w.])(\d+)\s+(?:(?:more|of them|seedlings|plants|trees|cuttings|have|were|are)\s+){{0,2}}({_GOES})(?!\w)"
    rf"|(?<!\w)({_GOES})\s+(\d+)(?![\w.,]*\d)(?!\s*(?:cm|mm|m|in|min|years?|days?|weeks?|leaves|branch|%))",
    re.IGNORECASE,
)


def ending_question(how: str) -> Question:
    """The question about a tree that is gone."""
    return Question(
        f"has this tree's record come to an end ({how})?",
        f"close it with 'benchleaf end TAG' ({how}), or keep the line as a remark",
        Proposal("end", how),
    )


def less_of_a_tray(line: str, count: int) -> Question | None:
    """How many of a tray are gone, by a line such as `3 dead, sold 12`; None where it tells of no loss."""
    if count <= 1:
        return None
    gone = [(int(m[1] or m[4]), (m[2] or m[3]).casefold()) for m in _SOME.finditer(line)]
    less = sum(number for number, _ in gone)
    if not gone:
        return None
    if less > count:
        return Question(
            f"{less} gone of {count}: how many are left?", "correct the numbers", Proposal("count", count=count)
        )
    if less == count:
        return ending_question(
            "died" if gone[-1][1] in ("dead", "died") else "sold" if gone[-1][1] == "sold" else "lost"
        )
    left = count - less
    return Question(
        f"{less} gone of {count}: does the tray's count go down to {left}?",
        f"write count: {left} in its file; when none is left, end it with 'benchleaf end TAG'",
        Proposal("count", count=left),
    )
