"""One part of a typed line: a work with its details, measures, a sighting, an intention, a remark.

Works on words and the trade's vocabulary; knows neither sheets nor trees. Lengths come out in mm.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping, Sequence
from typing import Any

from ...collection.fields import FEED_FORM, POT_SHAPES, TROUBLES
from ...collection.units import Units, length_mm, sides_mm, wire_mm
from ...diagnostics import nearest
from ...horticulture.knowledge import Knowledge
from ...horticulture.work import Work
from .tokens import the_one, words_match

_BRANCH = re.compile(r"[A-Za-z]{0,2}\d{1,3}[a-z]?")
# a decimal comma, where no list is possible: behind a metal, before a unit
_DECIMAL = re.compile(
    r"((?:copper|cu|aluminium|aluminum|alu|al) \d{1,2}|\b\d{1,2}(?=,\d{1,2} ?mm)),(\d{1,2})(?=\b| ?mm)", re.IGNORECASE
)
_FILLERS = frozenset(("and", "&", "branch", "branches", "with", "on"))
_METALS = {
    "copper": "copper",
    "cu": "copper",
    "aluminium": "aluminium",
    "aluminum": "aluminium",
    "alu": "aluminium",
    "al": "aluminium",
}
_MEASURES = {
    "trunk": "trunk",
    "calliper": "trunk",
    "caliper": "trunk",
    "height": "height",
    "crown": "crown",
    "leaf": "leaf",
    "needle": "leaf",
    "needles": "leaf",
    "tips": "tips",
    "vigour": "vigour",
    "vigor": "vigour",
}
# an end of a sentence, or of a word that was cut short; behind a number only where no further number follows
_STOP = re.compile(r"(?:(?<=[^\W\d])[.!:]|(?<=\d)[.!])(?=\s+[^\W\d]|\s*$)|(?<=[^\W\d])[.!:](?=\s)")
_CHOICES: Mapping[str, Sequence[str]] = {
    "roots": ("none", "light", "hard"),
    "bite": ("none", "starting", "cut"),
    "vigour": ("1", "2", "3", "4", "5"),
    "v": ("1", "2", "3", "4", "5"),
    "rest": ("begins", "ends"),
}
_MINUTES = ("min", "mins", "minutes")
_DAYS_IN_WORDS = frozenset(("today", "yesterday", "last week", "this morning", "last night"))
_REST = {"": "begins", "begins": "begins", "on": "begins", "ends": "ends", "over": "ends", "off": "ends"}
Fields = Mapping[str, Any]


def read_segment(segment: str, knowledge: Knowledge, units: Units) -> Fields | None:
    """One part of a line as entry fields, or None where it is no work."""
    tokens = _DECIMAL.sub(r"\1.\2", segment).replace(",", " ").split()
    if not tokens:
        return None
    if tokens[0].casefold() == "photo" and len(tokens) == 2 and "." in tokens[1]:
        return {"photo": tokens[1]}
    work, used = find_work(tokens, knowledge)
    if work is not None:
        details = read_details(tokens[used:], work, units)
        return None if details is None else {"work": work.name, **details}
    start = _start(tokens[0])
    if start:
        return _STARTS[start](segment, tokens, knowledge, units)
    return _measures(segment, tokens, knowledge, units)


def read_segments(segment: str, knowledge: Knowledge, units: Units) -> list[Fields] | None:
    """One part of a line as one or more entries' fields: whole if it parses, else split where known words begin."""
    whole = read_segment(segment, knowledge, units)
    if whole is not None:
        return [whole]
    words = segment.split(" ")
    for at in range(1, len(words)):
        rest = " ".join(words[at:])
        if not known_start(rest, knowledge):
            continue
        first = read_segment(" ".join(words[:at]), knowledge, units)
        if first is None or "note" in first or "intend" in first:
            continue
        others = read_segments(rest, knowledge, units)
        if others is not None:
            return [first, *others]
    return None


def read_sentences(segment: str, knowledge: Knowledge, units: Units) -> list[Fields] | None:
    """A part of a line as people punctuate it: `vig. 4`, `wired. 1 2`, `pinched. aphids seen`; None where nothing of it is work."""
    bare = _STOP.sub("", segment).strip()
    if bare != segment and (whole := read_segments(bare, knowledge, units)) is not None:
        return whole
    sentences = [s.strip() for s in _STOP.split(segment) if s.strip()]
    if len(sentences) < 2:
        return None
    read = [read_segments(sentence, knowledge, units) for sentence in sentences]
    if not any(read) or any(r is None and known_start(s, knowledge) for r, s in zip(read, sentences, strict=True)):
        return None
    return [part for r, s in zip(read, sentences, strict=True) for part in (r or [{"note": s}])]


def hides_work(segment: str, knowledge: Knowledge) -> bool:
    """Whether a part that reads as a remark has a sentence in it that begins like work."""
    return any(known_start(sentence.strip(), knowledge) for sentence in _STOP.split(segment)[1:])


def not_understood(segment: str, knowledge: Knowledge, units: Units) -> tuple[str, str]:
    """Of a part that begins like work: the first word that can't be read there, and what could stand there, where that is a list."""
    words = segment.split()
    read = next(
        (n for n in range(len(words) - 1, 0, -1) if read_segment(" ".join(words[:n]), knowledge, units) is not None),
        1,
    )
    at = min(read, len(words) - 1)
    if at + 1 < len(words) and words[at].casefold() in _CHOICES:
        at += 1
    before = words[at - 1].casefold() if at else ""
    lists = {**_CHOICES, "trouble": TROUBLES, "stage": knowledge.stages, "saw": knowledge.sightings}
    return words[at], f"behind '{before}' stands one of: {', '.join(lists[before])}" if before in lists else ""


def near_work(segment: str, knowledge: Knowledge, units: Units) -> str:
    """What a misspelt line may have meant, where it would be work with its first words mended; else an empty string."""
    tokens = segment.split()
    if segment.casefold() in knowledge.sightings:
        return f"saw {segment.casefold()}"
    single = set(_MEASURES) | set(_STARTS)
    for count in range(min(3, len(tokens)), 0, -1):
        low = " ".join(tokens[:count]).casefold().strip(",.:")
        phrases = {
            p for work in knowledge.works.values() for p in (*work.typed, work.name) if p.count(" ") == count - 1
        }
        close = nearest(low, (phrases | single if count == 1 else phrases) - {low}, 0.75)
        if len(low) < 4 or not close or (count > 1 and not nearest(low, [close], 0.8)):
            continue
        mended = " ".join([close, *tokens[count:]])
        if read_segment(mended, knowledge, units) is not None:
            return mended
    return ""


def find_work(tokens: Sequence[str], knowledge: Knowledge) -> tuple[Work | None, int]:
    """The work whose typed words stand at the start, and how many tokens they take; the longest wins.

    Shortened words count while they fit one work only.
    """
    low = [token.casefold() for token in tokens]
    longest = max(len(phrase.split()) for work in knowledge.works.values() for phrase in (*work.typed, work.name))
    for count in range(min(longest, len(low)), 0, -1):
        exact: set[str] = set()
        near: set[str] = set()
        for work in knowledge.works.values():
            for phrase in (*work.typed, work.name):
                words = phrase.split()
                if low[:count] == words:
                    exact.add(work.name)
                elif words_match(low[:count], words):
                    near.add(work.name)
        hits = exact or near
        if len(hits) == 1:
            return knowledge.works[hits.pop()], count
    return None, 0


def known_start(segment: str, knowledge: Knowledge) -> bool:
    tokens = segment.replace(",", " ").split()
    if not tokens:
        return False
    work, _ = find_work(tokens, knowledge)
    return (
        work is not None
        or _start(tokens[0]) not in ("", "note", "remark")
        or (bool(_measure(tokens[0])) and len(tokens) > 1 and tokens[1][:1].isdigit())
    )


def day_before_work(segment: str, knowledge: Knowledge) -> str:
    """What stands where a day would, before known work, and is none that is read (`14 okt wired 1`); else an empty string."""
    tokens = segment.split()
    for count in (1, 2, 3):
        head, rest = " ".join(tokens[:count]), " ".join(tokens[count:])
        dayish = any(c.isdigit() for c in tokens[0]) if tokens else False
        if (dayish or head.casefold() in _DAYS_IN_WORDS) and known_start(rest, knowledge):
            return head
    return ""


def read_details(tokens: Sequence[str], work: Work, units: Units) -> dict[str, Any] | None:
    """What stands behind a work's name; None where a word is not understood."""
    found: dict[str, Any] = {}
    branches: list[str] = []
    sizes: list[float] = []
    only_branches = False
    index = 0
    tokens = [t for token in tokens for t in token.replace(",", " ").split()]
    while index < len(tokens):
        word = tokens[index].casefold()
        following = tokens[index + 1] if index + 1 < len(tokens) else ""
        index += 1
        if word in _FILLERS:
            only_branches = only_branches or word.startswith("branch") or (word == "on" and bool(sizes))
            continue
        if only_branches and _BRANCH.fullmatch(tokens[index - 1]):
            branches.append(tokens[index - 1])
            continue
        if word in _METALS and "metal" in work.details and "metal" not in found:
            found["metal"] = _METALS[word]
        elif "wire" in work.details and (size := _wire(word, bool(found.get("metal")), following)) is not None:
            if word.isdigit() and not size[1] and (units.us or (sizes and not branches)):
                return None  # a gauge, millimetres, or a branch?
            sizes.append(size[0])
            index += size[1]
        elif (pair := _pair(word, following, work)) is not None:
            if pair[0] in found:
                return None
            found[pair[0]] = pair[1]
            index += pair[2]
        elif "branches" in work.details and _BRANCH.fullmatch(tokens[index - 1]):
            branches.append(tokens[index - 1])
        elif (mix := _mix(tokens, index - 1)) is not None and "mix" in work.details:
            found["mix"], index = mix
        elif word == "pot" and "pot" in work.details and (pot := _pot(tokens[index : index + 2], units)) is not None:
            found["pot"] = pot
            index += 2
        else:
            return None
    if branches:
        found = {"branches": branches, **found}
    if sizes:
        found["wire"] = sizes[0] if len(sizes) == 1 else sizes
    return found


def _wire(word: str, metal_named: bool, following: str) -> tuple[float, int] | None:
    """A wire size and how many further tokens it took: behind the metal any number, elsewhere a decimal or a unit."""
    if re.fullmatch(r"\d{1,2}", word) and following.casefold() in ("ga", "awg"):
        size = wire_mm(f"{word}ga")
        return None if size is None else (round(size, 3), 1)
    if re.fullmatch(r"\d+(?:[.,]\d+)?", word) and following.casefold() == "mm":
        return float(word.replace(",", ".")), 1
    explicit = re.search(r"mm|ga|awg|[.,]", word)
    size = wire_mm(word) if explicit or metal_named else None
    if size is None or not 0.3 <= size <= 13:
        return None
    return round(size, 3), 0


def _pair(word: str, following: str, work: Work) -> tuple[str, Any, int] | None:
    """Short details: roots light, heavy, bite none, vigour 4, 40 min, keep."""
    after = following.casefold()
    if word == "roots" and "roots" in work.details and (how := the_one(after, ("none", "light", "hard"))):
        return "roots", how, 1
    if word in ("light", "hard") and after == "roots" and "roots" in work.details:
        return "roots", word, 1
    if word in ("heavy", "hard", "light") and "force" in work.details:
        return "force", "heavy" if word == "hard" else word, 0
    if re.fullmatch(FEED_FORM, word) and "feed" in work.details:
        return "feed", word, 0
    if word == "bite" and "bite" in work.details and (bite := the_one(after, ("none", "starting", "cut"))):
        return "bite", bite, 1
    if word in ("keep", "stays") and "keep" in work.details:
        return "keep", True, 0
    if _measure(word) == "vigour" and re.fullmatch(r"[1-5]", after):
        return "vigour", int(after), 1
    if re.fullmatch(r"\d{1,4}", word) and after in _MINUTES:
        return "minutes", int(word), 1
    if re.fullmatch(r"\d{1,4}min", word):
        return "minutes", int(word[:-3]), 0
    return None


def _pot(tokens: Sequence[str], units: Units) -> dict[str, Any] | None:
    """`oval 310x240x60`: a shape and inner dimensions, mm."""
    if len(tokens) < 2 or tokens[0].casefold() not in POT_SHAPES:
        return None
    sides = sides_mm(tokens[1], units)
    if sides is None or not 2 <= len(sides) <= 3:
        return None
    return {"shape": tokens[0].casefold(), "inner": [round(side, 2) for side in sides]}


def _mix(tokens: Sequence[str], index: int) -> tuple[dict[str, float], int] | None:
    """`mix 2 pumice 1 lava`: parts and components to the end."""
    if tokens[index].casefold() != "mix":
        return None
    mix: dict[str, float] = {}
    index += 1
    while index + 1 < len(tokens) and re.fullmatch(r"\d+(?:\.\d+)?", tokens[index]):
        if tokens[index + 1].casefold() in _MINUTES:
            break
        parts, name = float(tokens[index]), tokens[index + 1]
        if name in mix:
            return None
        mix[name] = int(parts) if parts.is_integer() else parts
        index += 2
    return (mix, index) if mix else None


def _measures(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    """`trunk 38.5 tips 64 vigour 4`, read to the end or not at all."""
    measured: dict[str, Any] = {}
    out: dict[str, Any] = {}
    words = segment.split()
    index = 0
    while index < len(words):
        measure = _measure(words[index].rstrip(":,"))
        value = words[index + 1].rstrip(",") if index + 1 < len(words) else ""
        if measure == "vigour" and re.fullmatch(r"[1-5]", value) and "vigour" not in out:
            out["vigour"] = int(value)
            index += 2
            continue
        if measure in ("", "vigour") or measure in measured:
            return None
        taken = _length_words(words, index + 1, units) if measure != "tips" else _count_words(value)
        if taken is None:
            return None
        measured[measure], used = taken
        index += 1 + used
    if measured:
        out = {"measured": measured, **out}
    return out or None


def _measure(word: str) -> str:
    """The measure, or vigour, that a word names; it may be shortened. An empty string where it names none."""
    low = word.casefold()
    named = _MEASURES.get(low) or {_MEASURES[name] for name in _MEASURES if _shortens(low, name)}
    if isinstance(named, str):
        return named
    return named.pop() if len(named) == 1 else ""


def _shortens(low: str, name: str) -> bool:
    return len(low) >= 3 and low != "need" and name.startswith(low)


def _count_words(value: str) -> tuple[int, int] | None:
    return (int(value), 1) if re.fullmatch(r"\d{1,5}", value) else None


def _length_words(words: Sequence[str], index: int, units: Units) -> tuple[float, int] | None:
    """A length of up to three tokens (`1 1/2 in`), the longest that reads; mm."""
    for count in (3, 2, 1):
        text = " ".join(words[index : index + count]).rstrip(",")
        if len(words) - index >= count and (mm := length_mm(text, units)) is not None and mm > 0:
            return round(mm, 2), count
    return None


def _score(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    """`V 3`: the vigour box that was ticked."""
    return {"vigour": int(tokens[1])} if len(tokens) == 2 and re.fullmatch(r"[1-5]", tokens[1]) else None


def _saw(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    said = [token.casefold() for token in tokens[1:]]
    seen = " ".join(said)
    hits = [s for s in knowledge.sightings if s == seen] or [
        s for s in knowledge.sightings if words_match(said, s.split())
    ]
    return {"saw": hits[0]} if len(hits) == 1 else None


def _stage(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    said = " ".join(tokens[1:]).casefold()
    hit = the_one(said, knowledge.stages)
    return {"stage": hit} if hit else None


def _rest(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    said = " ".join(tokens[1:]).casefold()
    return {"rest": _REST[said]} if said in _REST else None


def _intend(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    """`intend remove S1 by autumn 2028`: the day at the end is when it is to be done by."""
    said = segment.split(" ", 1)[1].strip() if " " in segment else ""
    if not said:
        return None
    found = re.fullmatch(
        r"(.+?) by (?:(spring|summer|autumn|fall|winter) )?(\d{4}(?:-\d{2}){0,2})", said, re.IGNORECASE
    )
    if not found:
        return {"intend": said}
    season = {"spring": "21", "summer": "22", "autumn": "23", "fall": "23", "winter": "24"}.get(
        (found[2] or "").casefold()
    )
    return {"intend": {"what": found[1], "by": f"{found[3]}-{season}" if season else found[3]}}


def _note(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    said = segment.split(" ", 1)[1].strip() if " " in segment else ""
    return {"note": said} if said else None


def _trouble(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    said = " ".join(tokens[1:]).casefold()
    hit = the_one(said, TROUBLES)
    return {"trouble": hit} if hit else None


def _photo(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    return {"photo": tokens[1]} if len(tokens) == 2 else None


def _weighed(segment: str, tokens: list[str], knowledge: Knowledge, units: Units) -> Fields | None:  # noqa: ARG001
    found = re.fullmatch(
        r"wei(?:g|gh|ghe|ghed)?(?: wet (\d+(?:\.\d+)?))?(?: dry (\d+(?:\.\d+)?))?", " ".join(tokens).casefold()
    )
    if not found or not (found[1] or found[2]):
        return None
    if found[1] and found[2] and float(found[2]) >= float(found[1]):
        return None  # dry is lighter than wet
    return {"weighed": {name: float(v) for name, v in (("wet", found[1]), ("dry", found[2])) if v}}


_STARTS: dict[str, Callable[[str, list[str], Knowledge, Units], Fields | None]] = {
    "v": _score,
    "saw": _saw,
    "stage": _stage,
    "rest": _rest,
    "intend": _intend,
    "meant": _intend,
    "note": _note,
    "remark": _note,
    "trouble": _trouble,
    "photo": _photo,
    "weighed": _weighed,
}
# not note, remark and meant: "not", "mean" are words of their own
_SHORTENED = ("stage", "intend", "trouble", "weighed")


def _start(word: str) -> str:
    """The word that says what kind of line this is; some may be shortened. An empty string where it is none."""
    low = word.casefold()
    return low if low in _STARTS else the_one(low, _SHORTENED)
