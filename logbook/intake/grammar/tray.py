"""The tree itself is gone, or some of a tray are: never written, always asked, with the way out in the question."""

from __future__ import annotations

import re

from ...values import dataclass


@dataclass(frozen=True, slots=True)
class Proposal:
    """What may follow of a line beside its remark: the record ends, `how`."""

    how: str = ""


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
        Proposal(how),
    )


@dataclass(frozen=True, slots=True)
class Less:
    """How many of a tray are gone, how the last of them went, the words that say so, and the line without them."""

    number: int
    how: str
    words: str
    rest: str


def less_of_a_tray(line: str, count: int) -> Less | None:
    """How many of a tray are gone, by a line such as `3 dead, sold 12`; None where it tells of no loss."""
    found = list(_SOME.finditer(line)) if count > 1 else []
    if not found:
        return None
    ways = [(m[2] or m[3]).casefold() for m in found]
    number = sum(int(m[1] or m[4]) for m in found)
    how = "died" if ways[-1] in ("dead", "died", "failed", "damped off", "rotted") else "lost"
    how = {"sold": "sold", "gave": "given", "gave away": "given", "given away": "given"}.get(ways[-1], how)
    rest = re.sub(
        r"^[\s,;.&+]+|[\s,;&+]+$", "", re.sub(r"(?:[\s,;.]+(?:and\s+)?)+(?=[,;]|$)", "", _SOME.sub("", line))
    )
    return Less(number, how, ", ".join(m[0] for m in found), rest)
