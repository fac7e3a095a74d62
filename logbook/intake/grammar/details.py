"""Details of a work: metal and wire, roots, bite, force, mix, pot, feed, minutes, and branches last of all."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ...collection.units import Units, sides_mm
from .listed import listed
from .numbers import branches_in, minutes_in, wire_in
from .vocabulary import Vocabulary
from .words import Token

Fields = Mapping[str, Any]
_NEGATIONS = listed("no not without never didnt isnt arent dont left undisturbed")
_FORCE = {
    "hard": "heavy", "heavy": "heavy", "heavily": "heavy", "severely": "heavy", "drastically": "heavy",
    "light": "light", "lightly": "light", "gently": "light", "slightly": "light",
}  # fmt: skip
_ROOTS = {
    "hard": "hard", "heavy": "hard", "heavily": "hard", "severely": "hard",
    "light": "light", "lightly": "light", "gently": "light", "slightly": "light", "none": "none",
    "untouched": "none", "undisturbed": "none", "intact": "none",
}  # fmt: skip
_BITE = {
    "bite": "", "bites": "starting", "biting": "starting", "marking": "starting", "tight": "starting",
    "tightening": "starting", "marks": "", "bit": "cut", "bitten": "cut",
}  # fmt: skip
_SHORT = {"non": "none", "start": "starting", "sta": "starting"}


_THINGS = frozenset(("BRANCH", "SHOOT", "APEX", "TWIG", "TRUNK", "ROOT", "GROWTH"))


@dataclass(frozen=True, slots=True)
class Tongue:
    """What a line is read with: the words, units, and the tree's branches where they are known."""

    words: Vocabulary
    units: Units
    known: frozenset[str] | None = None


@dataclass(slots=True)
class Details:
    """Fields found, the places they take, and what must be asked. `strong`: more than branches was found."""

    fields: dict[str, Any] = field(default_factory=dict)
    used: set[int] = field(default_factory=set)
    asks: str = ""
    strong: bool = False

    def put(self, name: str, value: Any, places: set[int]) -> None:
        """Take a value for a field, with the tokens that said it."""
        self.fields[name] = value
        self.used |= places
        self.strong = True


def details_in(
    tokens: Sequence[Token], free: Sequence[int], allowed: Sequence[str], work: str, tongue: Tongue
) -> Details:
    """What the free places of a clause tell of a work; `allowed` are the details that it bears."""
    found = Details()
    minutes, places = minutes_in(tokens, free)
    if minutes:
        found.put("minutes", minutes, places)
    if "bite" in allowed:
        _bite(tokens, tongue.words.wire_looked_at(work), found)
    if "roots" in allowed:
        _roots(tokens, free, found)
    if "wire" in allowed:
        _wire(tokens, [n for n in free if n not in found.used], tongue, found)
    if "mix" in allowed:
        _mix(tokens, [n for n in free if n not in found.used], tongue, found)
    if "pot" in allowed:
        _pot(tokens, [n for n in free if n not in found.used], tongue, found)
    _single_words(tokens, [n for n in free if n not in found.used], allowed, found)
    if "branches" in allowed:
        _branches(tokens, [n for n in free if n not in found.used], tongue, found)
    return found


def _branches(tokens: Sequence[Token], free: Sequence[int], tongue: Tongue, found: Details) -> None:
    at = [n for n in free if not _told_as_left(tokens, n)]
    seen = _masked(tokens, found.used)
    branches = branches_in(seen, at, tongue.known, tongue.words)
    if branches.names:
        found.fields = {"branches": branches.names, **found.fields}
    found.used |= branches.used
    found.asks = found.asks or branches.asks


def _masked(tokens: Sequence[Token], used: set[int]) -> list[Token]:
    """The tokens with those that were read already turned into marks, so that they stand for no noun."""
    return [Token(t.text, ",", t.start, t.end, "mark") if n in used else t for n, t in enumerate(tokens)]


def _told_as_left(tokens: Sequence[Token], place: int) -> bool:
    """`2 not 3`: what stands behind the `not` is told as left alone."""
    return any(t.low in ("not", "but", "except", "without", "no") and t.kind == "word" for t in tokens[:place]) and (
        "not" in {t.low for t in tokens[:place]} or "except" in {t.low for t in tokens[:place]}
    )


def _wire(tokens: Sequence[Token], free: Sequence[int], tongue: Tongue, found: Details) -> None:
    wire = wire_in(tokens, free, tongue.units)
    if wire.metal:
        found.put("metal", wire.metal, wire.used)
    if wire.sizes:
        found.put("wire", wire.sizes[0] if len(wire.sizes) == 1 else wire.sizes, wire.used)
    found.asks = found.asks or wire.asks


def _bite(tokens: Sequence[Token], looks: bool, found: Details) -> None:
    lows = [t.low for t in tokens]
    told = [n for n in range(len(tokens)) if lows[n] in _BITE or "CUTIN" in tokens[n].classes]
    places = [n for n in told if lows[n] != "bit" or not n or lows[n - 1] not in ("a", "little")]
    if places:
        at = places[0]
        near = set(range(max(0, at - 3), min(len(tokens), at + 3)))
        denied = {
            n for n in near if lows[n] in ("no", "not", "isnt", "arent", "none", "non", "without", "havent", "hasnt")
        }
        begins = {
            n
            for n in near
            if lows[n] in ("starting", "just", "start", "starts", "beginning", "slight", "slightly", "getting")
        }
        deep = {n for n in near if lows[n] in ("cut", "deep", "deeply", "badly")}
        value = "none" if denied else "starting" if begins else "cut" if deep else ""
        value = value or ("cut" if "CUTIN" in tokens[at].classes else _BITE[lows[at]])
        extra = {n for n in near if lows[n] in ("to", "yet", "marks", "any") and abs(n - at) <= 2} - {at}
        if value:
            found.put("bite", value, {at} | denied | begins | deep | extra)
        return
    fine = {n for n, t in enumerate(tokens) if "OKAY" in t.classes}
    if looks and fine:
        found.put("bite", "none", fine)


def _roots(tokens: Sequence[Token], free: Sequence[int], found: Details) -> None:
    lows = [t.low for t in tokens]
    if any(low in ("bare", "barerooted") for low in lows) and any(low in ("rooted", "root") for low in lows):
        found.put("roots", "hard", {n for n in free if lows[n] in ("bare", "rooted", "root", "barerooted")})
        return
    roots = [n for n in free if "ROOT" in tokens[n].classes]
    if not roots:
        return
    at = roots[0]
    near = [n for n in free if abs(n - at) <= 4]
    denied = {n for n in near if lows[n] in ("no", "not", "didnt", "without", "left")}
    how = [n for n in near if lows[n] in _ROOTS]
    touched = {
        n
        for n in near
        if lows[n] in ("work", "touched", "touch", "alone", "disturbed", "pruning", "cut", "cutting", "prune")
    }
    if denied and touched:
        found.put("roots", "none", {at} | denied | touched)
    elif how and not denied:
        did = {
            n
            for n in near
            if tokens[n].classes & {"CUT", "TRIM", "PRUNED", "CUTBACK", "WORK", "SHORTEN"}
            or lows[n] in ("prune", "trim", "pruned")
        }
        found.put("roots", _ROOTS[lows[how[0]]], {at, how[0]} | did)


def _mix(tokens: Sequence[Token], free: Sequence[int], tongue: Tongue, found: Details) -> None:
    """`mix 2 pumice 1 lava`, `2:1:1 akadama pumice lava`, `60% akadama 40% pumice`, `pure akadama`."""
    told = [n for n in free if tokens[n].low == "mix"]
    if told and (mix := _parts_behind(tokens, told[0] + 1)):
        found.put("mix", mix[0], {told[0], *range(told[0] + 1, mix[1])})
        return
    named = [n for n in free if tokens[n].low in tongue.words.materials]
    if not named:
        return
    ratio = next(
        (n for n in free if tokens[n].kind in ("ratio", "npk") and abs(n - named[0]) <= len(named) + 2), None
    )
    if ratio is not None:
        parts = [float(p) for p in re.split(r"[:/-]", tokens[ratio].text)]
        if len(parts) == len(named) and all(parts):
            _put_mix(found, tokens, named, parts, {ratio})
        return
    counted = {n: n - 1 for n in named if n and tokens[n - 1].kind in ("number", "percent")}
    if len(counted) == len(named):
        parts = [float(re.sub(r"[^\d.]", "", tokens[c].text.replace(",", "."))) for c in counted.values()]
        _put_mix(found, tokens, named, parts, set(counted.values()))
    elif len(named) == 1 and named[0] and tokens[named[0] - 1].low in ("pure", "straight", "neat", "all", "in"):
        word = tokens[named[0] - 1]
        if (word.low != "in" and word.low != "all") or tokens[named[0]].low not in ("soil", "compost", "bark"):
            _put_mix(found, tokens, named, [1.0], {named[0] - 1})
    elif len(named) > 1 and any(tokens[n].low in ("equal", "equally") for n in free):
        _put_mix(
            found,
            tokens,
            named,
            [1.0] * len(named),
            {n for n in free if tokens[n].low in ("equal", "parts", "equally")},
        )


def _put_mix(
    found: Details, tokens: Sequence[Token], named: Sequence[int], parts: Sequence[float], more: set[int]
) -> None:
    mix = {tokens[n].low: (int(p) if p.is_integer() else p) for n, p in zip(named, parts, strict=True)}
    if len(mix) == 1:
        mix = dict.fromkeys(mix, 1)
    if len(mix) == len(named):
        joined = {
            n
            for n in range(min(named), max(named))
            if tokens[n].low in ("and", "&", "+", ",", "/", "parts", "part", ":")
        }
        soft = {n for n in range(len(tokens)) if tokens[n].low in ("mix", "mixture", "ratio", "pure", "straight")}
        found.put("mix", mix, set(named) | more | joined | soft)


def _parts_behind(tokens: Sequence[Token], index: int) -> tuple[dict[str, float], int] | None:
    mix: dict[str, float] = {}
    while index + 1 < len(tokens) and tokens[index].kind == "number" and tokens[index + 1].kind == "word":
        name = tokens[index + 1].text
        if name in mix or not re.fullmatch(r"\d+(?:\.\d+)?", tokens[index].text):
            return None
        parts = float(tokens[index].text)
        mix[name] = int(parts) if parts.is_integer() else parts
        index += 2
    return (mix, index) if mix else None


def _pot(tokens: Sequence[Token], free: Sequence[int], tongue: Tongue, found: Details) -> None:
    """`oval 310x240x60`: a shape and inner dimensions, mm."""
    shaped = [n for n in free if tokens[n].low in tongue.words.shapes]
    sized = [n for n in free if tokens[n].kind == "dims"]
    if not shaped:
        return
    sides = sides_mm(tokens[sized[0]].text.replace(" ", ""), tongue.units) if sized else None
    if sides is None or not 2 <= len(sides) <= 3:
        _shape_alone(tokens, shaped[0], tongue, found)
        return
    pots = {n for n in free if tokens[n].low in ("pot", "new", "a", "into", "in") and abs(n - shaped[0]) <= 3}
    inner = [round(side, 2) for side in sides]
    found.put(
        "pot", {"shape": tongue.words.shapes[tokens[shaped[0]].low], "inner": inner}, {shaped[0], sized[0]} | pots
    )


def _shape_alone(tokens: Sequence[Token], at: int, tongue: Tongue, found: Details) -> None:
    """`oval pot`, `pot oval`: a shape without sides, but not of the pot it came from; a number behind it wants to be sides."""
    before = [t.low for t in tokens[max(0, at - 3) : at]]
    behind = tokens[at + 1] if at + 1 < len(tokens) else None
    if before[-1:] == ["pot"] and behind is not None and behind.numeric:
        found.asks = f"'{tokens[at].text}' wants its inner sides behind it, as in 310x240x60"
    elif before[-1:] == ["pot"]:
        found.put("pot", {"shape": tongue.words.shapes[tokens[at].low]}, {at - 1, at})
    elif behind is not None and behind.low == "pot" and not _OF_BEFORE & set(before):
        near = {n for n in range(max(0, at - 3), at) if tokens[n].low in ("new", "a", "an", "into", "in")}
        found.put("pot", {"shape": tongue.words.shapes[tokens[at].low]}, {*near, at, at + 1})


_OF_BEFORE = frozenset(("from", "of", "old", "same", "its"))


def _single_words(tokens: Sequence[Token], free: Sequence[int], allowed: Sequence[str], found: Details) -> None:
    """A force, a feed by its three numbers, a wire that stays on, vigour beside the work."""
    for place in free:
        token = tokens[place]
        after = tokens[place + 1] if place + 1 < len(tokens) else None
        of_a_thing = after is not None and bool(after.classes & _THINGS)
        if "force" in allowed and token.low in _FORCE and "force" not in found.fields and not of_a_thing:
            found.put("force", _FORCE[token.low], {place})
        elif "feed" in allowed and token.kind == "npk":
            found.put("feed", token.text, {place})
        elif "keep" in allowed and token.low in ("keep", "stays") and (after is None or after.kind == "mark"):
            found.put("keep", True, {place})
        elif "keep" in allowed and [t.low for t in tokens] == ["stays", "on"]:
            found.put("keep", True, {0, 1})
