"""Numbers of a clause: which are branches, which are wire, a length, minutes; and which are left to the remark.

A number is a branch only where the tree's table or log knows it (or the tree has none), no noun or unit follows and no
at, to, for or above stands before. Lengths come out in mm.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import field

from ...collection.units import Units, length_mm, wire_mm
from ...values import dataclass
from .vocabulary import Vocabulary
from .words import NAMES_BRANCH, Token, may_be_branch

MOST_IN_A_RANGE = 30
_BRANCH = re.compile(r"[A-Za-z]{0,2}\d{1,3}[a-z]?")
_RANGE = re.compile(r"([A-Za-z]?)(\d{1,3})[-–](\d{1,3})")
WIRE_MM = (0.3, 13.0)


@dataclass(slots=True)
class Branches:
    """Branches of a clause: their names, the places of their tokens, and what must be asked."""

    names: list[str] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    asks: str = ""


def branches_in(
    tokens: Sequence[Token], free: Sequence[int], known: frozenset[str] | None, words: Vocabulary
) -> Branches:
    """The branches that the free places of a clause name."""
    found = Branches()
    listed = [n for n in free if _is_branch(tokens, n, known, words)]
    for place in listed:
        if place in found.used:
            continue
        names, last = _names_at(tokens, place, listed)
        found.names += [_as_known(name, known) for name in names]
        found.used |= set(range(place, last + 1))
        if not names:
            found.asks = f"'{tokens[place].text}' is no range of branches"
        elif place - 2 in listed and _tells_nothing(tokens[place - 1], words):
            told = f"{tokens[place - 1].text} {tokens[place].text}"
            found.asks = f"'{told}' was not understood: is {tokens[place].text} a branch?"
    found.used |= {n for n in free if _goes_with(tokens, n, found.used)}
    return found


def _tells_nothing(token: Token, words: Vocabulary) -> bool:
    """A word that no list knows, between two numbers: `wired S1 zlu 3`."""
    known = (words.fillers, words.not_slips, words.after_ids, words.measures, words.materials, NAMES_BRANCH)
    plain = token.kind == "word" and not (token.classes or token.inert or token.plan)
    return plain and not any(token.low in some for some in known)


def _is_branch(tokens: Sequence[Token], place: int, known: frozenset[str] | None, words: Vocabulary) -> bool:
    token = tokens[place]
    if token.kind == "word":
        named = bool(place) and tokens[place - 1].low in ("branch", "branches", "br", "no", "number", "limb")
        return token.low in words.numbers and named
    if not may_be_branch(tokens, place, words):
        return False
    if token.kind == "id" and not token.text.startswith("#"):
        return re.match(r"[vV]\d", token.text) is None or known is None or token.text.casefold() in known
    return True


def _names_at(tokens: Sequence[Token], place: int, listed: Sequence[int]) -> tuple[list[str], int]:
    """The names at a place, ranges told one by one, and the last place they take."""
    token = tokens[place]
    if token.kind == "word":
        return [_NUMBERS[token.low]], place
    spread = _RANGE.fullmatch(token.text.replace("#", ""))
    if spread:
        return _between(spread[1], int(spread[2]), int(spread[3])), place
    spoken = place + 2 in listed and tokens[place + 1].low in ("to", "thru", "through")
    if spoken and token.text.isdecimal() and tokens[place + 2].text.isdecimal():
        return _between("", int(token.text), int(tokens[place + 2].text)), place + 2
    return [name.strip("# ") for name in token.text.split(",")], place


_NUMBERS = {
    w: str(n)
    for n, w in enumerate(["one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten"], start=1)
}


def _between(letter: str, first: int, last: int) -> list[str]:
    return [f"{letter}{n}" for n in range(first, last + 1)] if 0 < last - first <= MOST_IN_A_RANGE else []


def _as_known(name: str, known: frozenset[str] | None) -> str:
    """A name as the tree's table has it: S1 for s1."""
    return next((k for k in sorted(known or ()) if k.casefold() == name.casefold()), name)


def _goes_with(tokens: Sequence[Token], place: int, used: set[int]) -> bool:
    """Words that only name what follows or part a list: branch, no., #, and."""
    token = tokens[place]
    if token.low in NAMES_BRANCH or token.text in ("#", "."):
        stopped = place + 2 in used and place + 1 < len(tokens) and tokens[place + 1].text == "."
        return (
            place + 1 in used
            or stopped
            or (token.text == "." and place - 1 >= 0 and tokens[place - 1].low in NAMES_BRANCH)
        )
    return token.low in ("and", "&", "+", ",", "/", "the", "to", "thru") and place - 1 in used and place + 1 in used


@dataclass(slots=True)
class Wire:
    """Metal and sizes, mm, with the places of their tokens; `asks` where a number may be two things."""

    metal: str = ""
    sizes: list[float] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    asks: str = ""


def wire_in(tokens: Sequence[Token], free: Sequence[int], units: Units) -> Wire:
    """Next to a metal, or with mm or a gauge, a number is a size."""
    found = Wire()
    metals = [n for n in free if "METAL" in tokens[n].classes]
    if metals:
        found.metal = "copper" if tokens[metals[0]].low in ("copper", "cu") else "aluminium"
        found.used |= set(metals)
    _sizes(found, tokens, free, metals, units)
    found.used |= {n for n in free if tokens[n].low in _OF_SIZES and n - 1 in found.used}
    found.used |= {n for n in free if tokens[n].text in (",", "+", "&") and {n - 1, n + 1} <= found.used}
    return found


def _sizes(found: Wire, tokens: Sequence[Token], free: Sequence[int], metals: Sequence[int], units: Units) -> None:
    first_metal = metals[0] if metals else len(tokens)
    branches_before = False
    for place in free:
        token = tokens[place]
        if _is_size(token, place, metals):
            _add(found, token.text, place)
        elif token.kind in ("number", "id"):
            if place > first_metal:
                _behind_metal(found, tokens, place, metals, branches_before, units)
            else:
                branches_before = True


_OF_SIZES = frozenset(("size", "gauge", "ga", "mm", "diameter", "thick"))


def _is_size(token: Token, place: int, metals: Sequence[int]) -> bool:
    """`2 mm`, `10 ga`; `2.5` anywhere; `2,5` where a metal stands before it and no list is possible."""
    if token.kind != "number":
        return token.kind == "size"
    return "." in token.text or (token.text.count(",") == 1 and place - 1 in metals)


def _add(found: Wire, text: str, place: int) -> None:
    bare = text.casefold().replace("gauge", "ga").replace(" ", "").replace(",", ".")
    size = wire_mm(bare)
    if size is None or not WIRE_MM[0] <= size <= WIRE_MM[1]:
        found.asks = f"'{text}' is no size of wire"
        return
    found.sizes.append(round(size, 3))
    found.used.add(place)


def _behind_metal(
    found: Wire, tokens: Sequence[Token], place: int, metals: Sequence[int], branches_before: bool, units: Units
) -> None:
    """A whole number behind a metal: its size, a second size, or a branch."""
    token, between = tokens[place], tokens[metals[0] + 1 : place]
    if token.kind != "number" or any(t.low in (*NAMES_BRANCH, "on", "for") for t in between):
        return
    if found.sizes and any(t.low == "and" for t in between):
        return
    if units.us:
        found.asks = f"'{token.text}' may be a gauge, millimetres or a branch"
    elif found.sizes and not branches_before:
        found.asks = f"'{token.text}' may be a size or a branch"
    else:
        _add(found, token.text, place)


def minutes_in(tokens: Sequence[Token], free: Sequence[int]) -> tuple[int, set[int]]:
    """`90 min`, `1h30`, `1.5 hours`, `half an hour`: minutes, and the places they take."""
    for place in free:
        token = tokens[place]
        if token.kind == "time":
            return _minutes(token.low), {place}
        if token.low == "half" and [t.low for t in tokens[place + 1 : place + 3]] == ["an", "hour"]:
            return 30, {place, place + 1, place + 2}
        if token.low in ("an", "one", "1") and place + 1 < len(tokens) and tokens[place + 1].low == "hour":
            return 60, {place, place + 1}
    return 0, set()


def _minutes(low: str) -> int:
    both = re.fullmatch(r"(\d+)h(\d+)", low)
    if both:
        return int(both[1]) * 60 + int(both[2])
    number = float(re.sub(r"[^\d.,]", "", low).replace(",", "."))
    return round(number * 60) if "h" in low else round(number)


def length_at(tokens: Sequence[Token], place: int, units: Units) -> tuple[float | None, int]:
    """A length that begins at a place, mm, and how many tokens it takes."""
    if place >= len(tokens) or tokens[place].kind not in ("number", "size", "length", "ratio"):
        return None, 0
    text = re.sub(r"(?<=\d)-(?=\d)", " ", tokens[place].text.casefold()).replace("inches", "in").replace("inch", "in")
    following = tokens[place + 1].low if place + 1 < len(tokens) else ""
    if (
        tokens[place].kind == "number"
        and following == "in"
        and (place + 2 == len(tokens) or tokens[place + 2].classes)
    ):
        mm = length_mm(f"{text} in", units)
        return (round(mm, 2), 2) if mm else (None, 0)
    split = re.fullmatch(r"(?:\d+ )?(\d+)/(\d+)\D*", text)
    if split and not (int(split[1]) < int(split[2]) and int(split[2]) in (2, 3, 4, 8, 16, 32, 64)):
        return None, 0
    mm = length_mm(text, units)
    return (round(mm, 2), 1) if mm is not None and mm > 0 else (None, 0)
