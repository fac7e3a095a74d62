"""Details of a work: metal and wire, roots, bite, force, mix, pot, feed, minutes, and branches last of all."""

from __future__ import annotations

import re
from collections.abc import Callable, Collection, Mapping, Sequence
from dataclasses import field

from ...collection.units import Units, sides_mm
from ...values import dataclass
from .listed import listed
from .numbers import branches_in, minutes_in, wire_in
from .vocabulary import Vocabulary
from .words import Token

Fields = Mapping[str, object]


def branches_of(fields: Fields) -> tuple[str, ...]:
    """The branches that fields name, in their order."""
    said = fields.get("branches", ())
    return tuple(said) if isinstance(said, list | tuple) else ()


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

    fields: dict[str, object] = field(default_factory=dict)
    used: set[int] = field(default_factory=set)
    asks: str = ""
    strong: bool = False

    def put(self, name: str, value: object, places: set[int]) -> None:
        """Take a value for a field, with the tokens that said it."""
        self.fields[name] = value
        self.used |= places
        self.strong = True


@dataclass(frozen=True, slots=True)
class Region:
    """The tokens of a clause, the places there that belong to a work, and what they are read with."""

    tokens: Sequence[Token]
    places: Sequence[int]
    work: str
    tongue: Tongue

    def free(self, found: Details) -> list[int]:
        """The places that no detail has taken."""
        return [n for n in self.places if n not in found.used]

    def saying(self, words: Collection[str]) -> set[int]:
        """The places, the taken ones too, on which one of some words stands."""
        return {n for n in self.places if self.tokens[n].low in words}


def details_in(
    tokens: Sequence[Token], free: Sequence[int], allowed: Sequence[str], work: str, tongue: Tongue
) -> Details:
    """What the free places of a clause tell of a work; `allowed` are the details that it bears."""
    found = Details()
    region = Region(tokens, free, work, tongue)
    minutes, places = minutes_in(tokens, free)
    if minutes:
        found.put("minutes", minutes, places)
    for name, read in _READERS:
        if name in allowed:
            read(region, found)
    _single_words(tokens, region.free(found), allowed, found)
    if "branches" in allowed:
        _branches(region, found)
    return found


def _branches(region: Region, found: Details) -> None:
    tokens, tongue = region.tokens, region.tongue
    at = [n for n in region.free(found) if not _told_as_left(tokens, n)]
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


def _wire(region: Region, found: Details) -> None:
    wire = wire_in(region.tokens, region.free(found), region.tongue.units)
    if wire.metal:
        found.put("metal", wire.metal, wire.used)
    if wire.sizes:
        found.put("wire", wire.sizes[0] if len(wire.sizes) == 1 else wire.sizes, wire.used)
    found.asks = found.asks or wire.asks


def _bite(region: Region, found: Details) -> None:
    """How far wire cuts in, by its own words wherever they stand; `all fine` where the work looks at wire."""
    tokens = region.tokens
    place = next((n for n in range(len(tokens)) if _tells_bite(tokens, n)), None)
    if place is not None:
        _bite_at(tokens, place, found)
        return
    fine = {n for n, t in enumerate(tokens) if "OKAY" in t.classes}
    if fine and region.tongue.words.wire_looked_at(region.work):
        found.put("bite", "none", fine)


def _tells_bite(tokens: Sequence[Token], place: int) -> bool:
    token = tokens[place]
    a_little = token.low == "bit" and place > 0 and tokens[place - 1].low in ("a", "little")
    return not a_little and (token.low in _BITE or "CUTIN" in token.classes)


def _bite_at(tokens: Sequence[Token], at: int, found: Details) -> None:
    near = range(max(0, at - 3), min(len(tokens), at + 3))
    said = {value: {n for n in near if tokens[n].low in words} for value, words in _BITE_NEAR.items()}
    value = next((value for value, places in said.items() if places), "")
    value = value or ("cut" if "CUTIN" in tokens[at].classes else _BITE[tokens[at].low])
    if value:
        beside = {n for n in near if tokens[n].low in ("to", "yet", "marks", "any") and abs(n - at) <= 2}
        found.put("bite", value, {at}.union(beside, *said.values()))


# what stands near a word of biting and tells how far; of several the first one holds
_BITE_NEAR = {
    "none": listed("no not isnt arent none non without havent hasnt"),
    "starting": listed("starting just start starts beginning slight slightly getting"),
    "cut": listed("cut deep deeply badly"),
}


def _roots(region: Region, found: Details) -> None:
    """How hard the roots were worked: `bare rooted`, `roots untouched`, `cut roots hard`."""
    tokens = region.tokens
    lows = {t.low for t in tokens}
    if lows & {"bare", "barerooted"} and lows & {"rooted", "root"}:
        found.put("roots", "hard", region.saying(("bare", "rooted", "root", "barerooted")))
        return
    roots = [n for n in region.places if "ROOT" in tokens[n].classes]
    if roots:
        _roots_at(region, roots[0], found)


def _roots_at(region: Region, at: int, found: Details) -> None:
    tokens = region.tokens
    near = {n for n in region.places if abs(n - at) <= 4}
    denied = near & region.saying(("no", "not", "didnt", "without", "left"))
    how = sorted(near & region.saying(_ROOTS))
    touched = near & region.saying(_ROOT_TOUCHED)
    if denied and touched:
        found.put("roots", "none", {at} | denied | touched)
    elif how and not denied:
        did = {n for n in near if tokens[n].classes & _ROOT_WORK or tokens[n].low in ("prune", "trim", "pruned")}
        found.put("roots", _ROOTS[tokens[how[0]].low], {at, how[0]} | did)


_ROOT_TOUCHED = listed("work touched touch alone disturbed pruning cut cutting prune")
_ROOT_WORK = listed("CUT TRIM PRUNED CUTBACK WORK SHORTEN")


def _mix(region: Region, found: Details) -> None:
    """`mix 2 pumice 1 lava`, `2:1:1 akadama pumice lava`, `60% akadama 40% pumice`, `pure akadama`."""
    tokens, free = region.tokens, region.free(found)
    told = [n for n in free if tokens[n].low == "mix"]
    if told and (mix := _parts_behind(tokens, told[0] + 1)):
        found.put("mix", mix[0], {told[0], *range(told[0] + 1, mix[1])})
        return
    named = [n for n in free if tokens[n].low in region.tongue.words.materials]
    soil = _Soil(tokens, free, named)
    shares = next((s for read in _SHARES if named and (s := read(soil))), None)
    if shares and shares.parts:
        _put_mix(found, tokens, named, shares)


@dataclass(frozen=True, slots=True)
class _Soil:
    """Tokens, the free places among them, and those of these that name a material."""

    tokens: Sequence[Token]
    free: Sequence[int]
    named: Sequence[int]


@dataclass(frozen=True, slots=True)
class _Shares:
    """The parts of the materials named, in their order, and the places that told them; no parts where they fit nothing."""

    parts: tuple[float, ...]
    places: set[int]


def _by_ratio(soil: _Soil) -> _Shares | None:
    tokens, named = soil.tokens, soil.named
    near = (n for n in soil.free if tokens[n].kind in ("ratio", "npk") and abs(n - named[0]) <= len(named) + 2)
    ratio = next(near, None)
    if ratio is None:
        return None
    parts = tuple(float(p) for p in re.split(r"[:/-]", tokens[ratio].text))
    return _Shares(parts if len(parts) == len(named) and all(parts) else (), {ratio})


def _by_count(soil: _Soil) -> _Shares | None:
    counts = [n - 1 for n in soil.named if n and soil.tokens[n - 1].kind in ("number", "percent")]
    if len(counts) != len(soil.named):
        return None
    said = [re.sub(r"[^\d.]", "", soil.tokens[n].text.replace(",", ".")) for n in counts]
    return _Shares(tuple(float(number) for number in said), set(counts))


def _pure(soil: _Soil) -> _Shares | None:
    if len(soil.named) != 1 or not soil.named[0]:
        return None
    at = soil.named[0]
    before, material = soil.tokens[at - 1].low, soil.tokens[at].low
    loosely = before in ("in", "all") and material not in ("soil", "compost", "bark")
    return _Shares((1.0,), {at - 1}) if loosely or before in ("pure", "straight", "neat") else None


def _equal(soil: _Soil) -> _Shares | None:
    tokens, named = soil.tokens, soil.named
    if len(named) < 2 or not any(tokens[n].low in ("equal", "equally") for n in soil.free):
        return None
    told = {n for n in soil.free if tokens[n].low in ("equal", "parts", "equally")}
    return _Shares((1.0,) * len(named), told)


_SHARES = (_by_ratio, _by_count, _pure, _equal)


def _put_mix(found: Details, tokens: Sequence[Token], named: Sequence[int], shares: _Shares) -> None:
    mix = {tokens[n].low: (int(p) if p.is_integer() else p) for n, p in zip(named, shares.parts, strict=True)}
    if len(mix) == 1:
        mix = dict.fromkeys(mix, 1)
    if len(mix) == len(named):
        joined = {
            n
            for n in range(min(named), max(named))
            if tokens[n].low in ("and", "&", "+", ",", "/", "parts", "part", ":")
        }
        soft = {n for n in range(len(tokens)) if tokens[n].low in ("mix", "mixture", "ratio", "pure", "straight")}
        found.put("mix", mix, set(named) | shares.places | joined | soft)


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


def _pot(region: Region, found: Details) -> None:
    """`oval 310x240x60`: a shape and inner dimensions, mm."""
    tokens, tongue, free = region.tokens, region.tongue, region.free(found)
    shape = next((n for n in free if tokens[n].low in tongue.words.shapes), None)
    if shape is None:
        return
    dims = next((n for n in free if tokens[n].kind == "dims"), None)
    sides = sides_mm(tokens[dims].text.replace(" ", ""), tongue.units) if dims is not None else None
    if dims is None or sides is None or not 2 <= len(sides) <= 3:
        _shape_alone(region, shape, found)
        return
    pots = {n for n in free if tokens[n].low in ("pot", "new", "a", "into", "in") and abs(n - shape) <= 3}
    pot = {"shape": tongue.words.shapes[tokens[shape].low], "inner": [round(side, 2) for side in sides]}
    found.put("pot", pot, {shape, dims} | pots)


def _shape_alone(region: Region, at: int, found: Details) -> None:
    """`oval pot`, `pot oval`: a shape without sides, but not of the pot it came from; a number behind it wants to be sides."""
    tokens, shape = region.tokens, region.tongue.words.shapes[region.tokens[at].low]
    before = [t.low for t in tokens[max(0, at - 3) : at]]
    behind = tokens[at + 1] if at + 1 < len(tokens) else None
    if before[-1:] == ["pot"] and behind is not None and behind.numeric:
        found.asks = f"'{tokens[at].text}' wants its inner sides behind it, as in 310x240x60"
    elif _OF_BEFORE & set(before):
        return
    elif before[-1:] == ["pot"]:
        found.put("pot", {"shape": shape}, {at - 1, at})
    elif behind is not None and behind.low == "pot":
        near = {n for n in range(max(0, at - 3), at) if tokens[n].low in ("new", "a", "an", "into", "in")}
        found.put("pot", {"shape": shape}, {*near, at, at + 1})


_OF_BEFORE = frozenset(("from", "of", "old", "same", "its"))


_READERS: tuple[tuple[str, Callable[[Region, Details], None]], ...] = (
    ("bite", _bite),
    ("roots", _roots),
    ("wire", _wire),
    ("mix", _mix),
    ("pot", _pot),
)


# the fields of a work that are heard here or beside, in any order and spelling; others are read by their declarations alone
HEARD = frozenset(
    ("branches", "minutes", "metal", "force", "feed", "keep", "vigour", "by", *(name for name, _ in _READERS))
)


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
