"""Measures, vigour, stage, rest, weights and keywords of a clause: facts that are no work."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import field
from itertools import product

from ...collection.fields import TROUBLES
from ...collection.kinds import words_match
from ...horticulture.knowledge import Knowledge
from ...values import dataclass
from .details import Tongue
from .listed import listed
from .numbers import length_at
from .words import Token

_BETWEEN = listed(
    "is now about around roughly approx approximately ca c circa measured measures of to = : ~ ≈ . , diameter "
    "length width size - mean widest base tallest highest"
)
_VAGUE = listed(
    "good fine ok okay poor weak strong high low excellent great medium average bad normal improving better worse"
)
_REST_WORDS = listed(
    "rest resting rested begins begin began begun started starts start on ends end ended over off of finished "
    "period now is tree the its in this year until today from 's"
)
_ENDS = frozenset(["ends", "end", "ended", "over", "off", "finished"])


@dataclass(slots=True)
class Seen:
    """Facts of a clause that are no work: fields in the order of their words, and the places they take."""

    facts: list[dict[str, object]] = field(default_factory=list)
    used: set[int] = field(default_factory=set)
    asks: str = ""
    hint: str = ""

    def ask(self, why: str, hint: str = "") -> None:
        """Keep the first thing to ask about it."""
        self.asks, self.hint = self.asks or why, self.hint or hint


def seen_in(tokens: Sequence[Token], knowledge: Knowledge, tongue: Tongue) -> Seen:
    """What tokens say was measured or seen."""
    found = Seen()
    if _keyword(tokens, knowledge, found):
        return found
    _measures(tokens, tongue, found)
    _vigour(tokens, tongue, found)
    _stage(tokens, tongue, found)
    _rest(tokens, found)
    return found


def _measures(tokens: Sequence[Token], tongue: Tongue, found: Seen) -> None:
    measured: dict[str, object] = {}
    counted = any(t.low in ("counted", "count") for t in tokens)
    for place, token in enumerate(tokens):
        name = tongue.words.measures.get(token.low, "") if token.kind == "word" else ""
        if not name or name == "vigour" or name in measured or place in found.used:
            continue
        value, places = _behind(tokens, place, name, tongue, found)
        if value is None:
            value, places = _before(tokens, place, name, counted, tongue, found.used)
        if value is not None:
            measured[name] = value
            found.used |= (
                {place} | places | {n for n, t in enumerate(tokens) if t.low in ("counted", "measured", "count")}
            )
    if measured:
        found.facts.append({"measured": measured})


def _behind(tokens: Sequence[Token], place: int, name: str, tongue: Tongue, found: Seen) -> tuple[object, set[int]]:
    at = place + 1
    while at < len(tokens) and at <= place + 3 and (tokens[at].low in _BETWEEN or _now_at(tokens, at)):
        at += 1
    if at >= len(tokens):
        return None, set()
    token = tokens[at]
    if (
        token.kind in ("range", "ratio")
        and length_at(tokens, at, tongue.units)[0] is None
        and tokens[place].low not in ("leaf", "needle", "needles", "tip")
    ):
        found.ask(f"'{token.text}' is two numbers: which is it?")
        return None, set()
    if name == "tips":
        return (int(token.text), set(range(place, at + 1))) if token.text.isdecimal() else (None, set())
    value, count = length_at(tokens, at, tongue.units)
    if value is None or (tokens[place].low in _WANTS_UNIT and token.kind not in ("size", "length")):
        return None, set()
    return value, set(range(place, at + count))


_WANTS_UNIT = listed("leaves lvs top")  # the number behind these counts something, unless it has its unit


_AT = listed("widest base tallest highest")


def _now_at(tokens: Sequence[Token], place: int) -> bool:
    """`trunk now at 42`: elsewhere an `at` tells where it was measured."""
    behind = tokens[place + 1].low if place + 1 < len(tokens) else ""
    return tokens[place].low == "at" and (tokens[place - 1].low in ("now", "is", "still") or behind in _AT)


def _before(
    tokens: Sequence[Token], place: int, name: str, counted: bool, tongue: Tongue, used: set[int]
) -> tuple[object, set[int]]:
    """`64 tips` where it is counted or stands alone; `42 mm trunk`, `31 cm tall`."""
    if not place or place - 1 in used:
        return None, set()
    token = tokens[place - 1]
    if name == "tips":
        alone = all(t.low in ("about", "around", "~", "tips", "now", token.low) for t in tokens)
        return (int(token.text), {place - 1}) if token.text.isdecimal() and (counted or alone) else (None, set())
    if token.kind in ("size", "length") and tokens[place].low not in ("needle", "needles", "leaf"):
        value, _ = length_at(tokens, place - 1, tongue.units)
        return value, {place - 1}
    bare = token.kind == "number" and tokens[place].low in ("tall", "wide", "high")
    value, _ = length_at(tokens, place - 1, tongue.units) if bare else (None, 0)
    return value, {place - 1}


def _vigour(tokens: Sequence[Token], tongue: Tongue, found: Seen) -> None:
    for place, token in enumerate(tokens):
        glued = _glued_vigour(tokens, place, tongue)
        if glued:
            _score(glued, {place}, found)
            return
        if tongue.words.measures.get(token.low) == "vigour" or (token.low == "v" and not place):
            _vigour_behind(tokens, place, found)
            return


def _glued_vigour(tokens: Sequence[Token], place: int, tongue: Tongue) -> str:
    """The number of `v4`, where no branch has that name and little else stands there."""
    low = tokens[place].low
    glued = re.fullmatch(r"v(\d{1,3})", low) if tokens[place].kind == "id" and len(tokens) <= 2 else None
    is_branch = low in {name.casefold() for name in tongue.known or ()}
    return glued[1] if glued and not is_branch else ""


def _vigour_behind(tokens: Sequence[Token], place: int, found: Seen) -> None:
    """The number behind the word at a place: `vigour is 4 out of 5`, `vigour from 2 to 4`; the last one holds."""
    at = _place_of_vigour(tokens, place + 1)
    if at >= len(tokens):
        return
    if tokens[at].kind in ("number", "ratio", "range", "id"):
        of = {n for n in range(at, len(tokens)) if tokens[n].low in ("out", "of")}
        of |= {n + 1 for n in of if n + 1 < len(tokens) and tokens[n + 1].low == "5"}
        _score(tokens[at].text, set(range(place, at + 1)) | of, found)
    elif tokens[at].low in _VAGUE:
        found.ask(f"vigour is a number from 1 to 5: which is '{tokens[at].text}'?", _SCORES)


def _place_of_vigour(tokens: Sequence[Token], first: int) -> int:
    """Where the number stands, up to three small words further, or behind a `to`; the line's end where there is none."""
    at = first
    while at < min(len(tokens), first + 3) and tokens[at].low in _BEFORE_VIGOUR:
        at += 1
    to = next((n for n in range(at, min(at + 3, len(tokens) - 1)) if tokens[n].low in ("to", "now")), None)
    return to + 1 if to is not None and tokens[to + 1].kind == "number" else at


_BEFORE_VIGOUR = _BETWEEN | {"back", "from", "still"}


_SCORES = "behind 'vigour' stands one of: 1, 2, 3, 4, 5"


def _score(text: str, places: set[int], found: Seen) -> None:
    number = re.fullmatch(r"([1-5])(?:/5)?", text)
    if number is None:
        found.ask(f"'{text}' was not understood as vigour: one number from 1 to 5 belongs here", _SCORES)
        return
    found.facts.append({"vigour": int(number[1])})
    found.used |= places


def _stage(tokens: Sequence[Token], tongue: Tongue, found: Seen) -> None:
    """`now in refinement`, `moved into refinement`: a stage behind one of its leading words."""
    lows = [t.low for t in tokens]
    leads = _STAGE_LEADS if set(lows) & _STAGE_TOLD else _STAGE_LEADS - {"in", "to", "into"}
    for place, count in product(range(len(lows)), (2, 1)):
        last = place + 1 + count
        name = tongue.words.stages.get(" ".join(lows[place + 1 : last])) if lows[place] in leads else None
        if name:
            found.facts.append({"stage": name})
            found.used |= {*range(place, last), *(n for n, low in enumerate(lows) if low in _STAGE_WORDS)}
            return


_STAGE_LEADS = listed("stage now enters entered into in moves moved to")
_STAGE_TOLD = listed(
    "stage now moves moved phase enters"
)  # without one, `in`, `to` and `into` lead to something else
_STAGE_WORDS = _STAGE_LEADS | {"phase"}


def _rest(tokens: Sequence[Token], found: Seen) -> None:
    lows = [t.low for t in tokens if t.kind != "mark"]
    if not ({"rest", "resting"} & set(lows)) or set(lows) - _REST_WORDS or lows[:2] == ["the", "rest"]:
        return
    found.facts.append({"rest": "ends" if _ENDS & set(lows) else "begins"})
    found.used |= set(range(len(tokens)))


def _keyword(tokens: Sequence[Token], knowledge: Knowledge, found: Seen) -> bool:
    """`saw open`, `stage refinement`, `trouble pests`, `weighed wet 5.2 dry 4.1`: words typed on purpose, perhaps cut short."""
    first = tokens[0].low.split(" ")[0]
    said = [t.low for t in tokens[1:] if t.kind == "word" and t.low not in ("now", "is", "on")]
    said = " ".join(said).split(" ") if said else []
    if first == "saw" and said:
        return _chosen("saw", said, knowledge.sightings, tokens, found)
    if first in ("stage", "sta") and said:
        return _one_of("stage", "no stage", said, knowledge.stages, tokens, found)
    if first in ("trouble", "tro", "troub") and said:
        return _one_of("trouble", "no trouble that is known", said, TROUBLES, tokens, found)
    weighed = first in ("wet", "dry") and len(tokens) > 1 and tokens[1].numeric
    if weighed or first in ("weighed", "wei", "weighs", "weight", "weigh"):
        return _weighed(tokens, found)
    return False


def _one_of(
    key: str, none: str, said: list[str], choices: Sequence[str], tokens: Sequence[Token], found: Seen
) -> bool:
    """A word that has to be one of a few: where it is not, they are told."""
    hit = _chosen(key, said, choices, tokens, found)
    if not hit:
        found.ask(f"'{said[0]}' is {none}", f"behind '{key}' stands one of: {', '.join(choices)}")
    return hit


def _chosen(key: str, said: list[str], choices: Sequence[str], tokens: Sequence[Token], found: Seen) -> bool:
    hits = [c for c in choices if c.split() == said] or [c for c in choices if words_match(said, c.split())]
    one = hits[0] if len(hits) == 1 else _the_one(" ".join(said), choices)
    if one:
        found.facts.append({key: one})
        found.used |= set(range(len(tokens)))
    return bool(one)


def _weighed(tokens: Sequence[Token], found: Seen) -> bool:
    """Wet and dry, kg: `weighed wet 5.2 dry 4.1`, `wet 5.2 kg dry 4.1`."""
    values: dict[str, float] = {}
    used = {0}
    before = (
        tokens[0].low not in ("wet", "dry") and len(tokens) > 1 and tokens[1].numeric
    )  # `weighed 5.2 wet 4.1 dry`
    for place, token in enumerate(tokens):
        beside = place - 1 if before else place + 1
        if token.low not in ("wet", "dry") or beside >= len(tokens):
            continue
        if number := re.match(r"\d+(?:[.,]\d+)?(?=$|\s?kg)", tokens[beside].text):
            values[token.low] = float(number[0].replace(",", "."))
            used |= {place, beside}
    if not values:
        return False
    if values.get("dry", 0) >= values.get("wet", float("inf")):
        found.ask("dry is lighter than wet: which is which?")
        return True
    found.facts.append({"weighed": values})
    found.used |= used
    return True


def _the_one(typed: str, choices: Sequence[str]) -> str:
    """The word that was typed, whole or shortened to three letters or more while it fits one only; else an empty string."""
    if typed in choices:
        return typed
    hits = [word for word in choices if len(typed) >= 3 and word.startswith(typed)]
    return hits[0] if len(hits) == 1 else ""
