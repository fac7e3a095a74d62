"""What a note tells of a tree beside its work: `aim: …`, `front: …`, `style: …`, `target trunk 60`, where a branch is and how thick.

Nothing that paper asks for needs another pencil: it is kept in the log, and holds from that day on.
"""

from __future__ import annotations

import re

from ...collection.fields import ROLES, Branch
from ...collection.kinds import NoteContext, read_value
from ...collection.units import length_mm
from .clauses import Ear
from .details import Fields

_WORDED = re.compile(r"(aim|front|style)\s*(?::|=|\s(?:is|now|will be)\s)\s*(?:now\s+)?(\S.*)", re.IGNORECASE)
_AIMED = re.compile(r"aim\s+(?!for\b|to\b|at\b)(\S.*)", re.IGNORECASE)
_TARGET = re.compile(r"targets?\s*:?\s+(\S.*)", re.IGNORECASE)
_BRANCH = re.compile(
    r"(?:branch|br\.?|b)\s*#?(?P<id>[A-Za-z]{0,2}\d{1,3}[a-z]?)\s*[:,]?\s+(?P<rest>\S.*)", re.IGNORECASE
)
_LENGTH = r"(\d+(?:[.,]\d+)?(?:\s*(?:mm|cm|in|inch|\"))?)"
_CLOCK = re.compile(r"(?:at\s+)?(\d{1,2}(?:[.:]\d{1,2})?)\s*(?:o\W?\s?clock|h\b|hrs?\b)", re.IGNORECASE)
_PARTS = {
    "height": re.compile(rf"{_LENGTH}\s*(?:up|high|above(?:\s+(?:the\s+)?soil)?)|(?:height|up)\s+{_LENGTH}", re.IGNORECASE),
    "diameter": re.compile(
        rf"{_LENGTH}\s*(?:thick|dia(?:meter|m)?\b|ø|across|at\s+(?:its|the)\s+base)|(?:ø|dia(?:meter|m)?)\s+{_LENGTH}", re.IGNORECASE
    ),
    "length": re.compile(rf"{_LENGTH}\s*long|length\s+{_LENGTH}", re.IGNORECASE),
}  # fmt: skip
_ROLE = re.compile(rf"\b({'|'.join(ROLES)})(?:\s+branch)?\b", re.IGNORECASE)
_LEFT = re.compile(r"(?:[\s,.;]|\band\b|\bis\b|\bit\b|\bleaves\b|\bnow\b)*", re.IGNORECASE)


def told_key(segment: str, ear: Ear) -> Fields | None:
    """The field that a part of a line tells, word for word; None where it tells none."""
    worded = _WORDED.fullmatch(segment)
    if worded:
        return {worded[1].casefold(): worded[2].strip()}
    aimed = _AIMED.fullmatch(segment)
    if aimed:
        return {"aim": aimed[1].strip()}
    return _target(segment, ear) or _branch(segment, ear)


def _target(segment: str, ear: Ear) -> Fields | None:
    """`target trunk 60, height 400`; words that say more than sizes are heard as others are."""
    found = _TARGET.fullmatch(segment)
    if not found:
        return None
    words = ["targets", *found[1].replace(",", " ").split()]
    heard = read_value(ear.entries.by_key["targets"], words, NoteContext(ear.tongue.units, ear.knowledge.words))
    return {"targets": heard.value} if heard and heard.used == len(words) else None


def _branch(segment: str, ear: Ear) -> Fields | None:
    """`branch 3 at 4 o'clock, 120 up, 9 thick, sacrifice`: a part that says something else makes it a line like any other."""
    found = _BRANCH.fullmatch(segment)
    if not found:
        return None
    rest, said = found["rest"], dict[str, object]()
    for key, form in _PARTS.items():
        if part := form.search(rest):
            size = length_mm(next(filter(None, part.groups())), ear.tongue.units)
            said[key] = size
            rest = rest[: part.start()] + " " + rest[part.end() :]
    if clock := _CLOCK.search(rest):
        said["clock"] = _hour(clock[1])
        rest = rest[: clock.start()] + " " + rest[clock.end() :]
    placed = bool(said)
    if role := _ROLE.search(rest):
        said["role"] = role[1].casefold()
        rest = rest[: role.start()] + " " + rest[role.end() :]
    if not placed or not _LEFT.fullmatch(rest) or None in said.values():
        return None
    return {"placed": (Branch(id=found["id"], **said),)}  # type: ignore[arg-type]


def _hour(text: str) -> float | None:
    """`4`, `4.5`, `4:30` as hours on the clock's face, 12 as 0 is; None where it is no hour."""
    whole, colon, minutes = text.partition(":")
    hour = float(whole) + (int(minutes) / 60 if colon else 0.0)
    return hour if 0 < hour <= 12 else None
