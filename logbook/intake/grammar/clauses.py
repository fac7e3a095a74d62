"""One clause read: what it says, what denies it, the details of its works, and the words it leaves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from ...collection.fields import ENTRY, Entry
from ...collection.kinds import Record
from ...horticulture.knowledge import Knowledge
from .details import Details, Tongue, details_in
from .frames import Match, matches_in
from .guards import NO_GUARD, Guarded, guard_on, left_alone
from .listed import listed
from .measures import seen_in
from .places import bench_in
from .vocabulary import Vocabulary
from .words import NAMES_BRANCH, Clause, Token

_LITTLE = listed("gave did had made done got give well job session off on out in back up down work it saw seen")


@dataclass(frozen=True, slots=True)
class Ear:
    """What a line is heard with. `job`: the offered work whose box or row it stands at; `month` of the day, 0 unknown,
    by the northern calendar; `count` of a tray; `benches` known by name; `entries`: what an entry can hold; `ticked`: works ticked on the same sheet."""

    tongue: Tongue
    knowledge: Knowledge
    job: Mapping[str, Any] | None = None
    month: int = 0
    count: int = 1
    benches: frozenset[str] = frozenset()
    southern: bool = False
    entries: Record[Entry] = ENTRY
    ticked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fact:
    """Fields of an entry that a clause makes, and the words of it that were not read."""

    fields: dict[str, Any]
    left: tuple[tuple[int, int], ...] = ()
    bare_wire: bool = False
    asks: str = ""
    hint: str = ""
    well: bool = False
    only_bite: bool = False


@dataclass(frozen=True, slots=True)
class Read:
    """A clause, read."""

    facts: tuple[Fact, ...] = ()
    matches: tuple[Match, ...] = ()
    guard: Guarded = NO_GUARD
    asks: tuple[tuple[str, str], ...] = ()
    ending: str = ""
    left: tuple[tuple[int, int], ...] = ()


@dataclass(slots=True)
class _Work:
    match: Match
    region: range
    details: Details = field(default_factory=Details)


def read_clause(clause: Clause, ear: Ear, noun: frozenset[str] = frozenset()) -> Read:  # noqa: ARG001
    """Read a clause; its guard is told even where it leaves no fact standing."""
    tokens, words = clause.tokens, ear.tongue.words
    seen = seen_in(tokens, ear.knowledge, ear.tongue)
    bench = bench_in(clause, ear.benches) if not seen.facts else None
    matches = matches_in(tokens, frozenset(seen.used), words)
    if bench and (bench in ear.benches or not any(m.frame.kind == "work" for m in matches)):
        return Read((Fact({"bench": bench}),))
    works = _works(tokens, matches, seen.used, ear)
    read = frozenset(seen.used) | frozenset(p for w in works for p in w.details.used)
    keyword = len(seen.used) == len(tokens) and bool(seen.facts)
    guard = NO_GUARD if keyword else guard_on(clause, matches, read, words)
    ending = next((m.frame.name for m in matches if m.frame.kind == "ending"), "")
    if ending:
        guard = guard_on(clause, matches, read | matches[0].places, words)
    if ending and not (guard.kind and guard.kind != "ask"):
        return Read((), tuple(matches), Guarded(), (), ending)
    asks = [(seen.asks, seen.hint)] if seen.asks and guard.kind not in ("no", "wish", "time") else []
    facts, more = _facts(clause, works, matches, seen.facts, ear)
    if guard.kind == "state" and any(w.details.fields.get("branches") for w in works):
        guard = replace(guard, kind="ask")
    if guard.kind and guard.kind != "ask":
        return Read((), tuple(matches), guard, ())
    left = _left(tokens, read | frozenset(p for m in matches for p in m.places), read, matches, ear)
    if any(m.frame.kind == "trouble" for m in matches):
        asks = []
        left = left if works else [n for n, t in enumerate(tokens) if n not in read and t.kind != "mark"]
    asks += _of_another_thing(clause, works, left, ear)
    asks += more + _unread_numbers(clause, left, works, seen.facts, words)
    spans = tuple((tokens[n].start, tokens[n].end) for n in left)
    loose = f"'{clause_text(clause)}': was it wired, or only looked at?"
    facts = [replace(f, asks=f.asks or loose) if f.bare_wire and left else f for f in facts]
    made = [*facts[:-1], replace(facts[-1], left=spans)] if facts else []
    return Read(tuple(made), tuple(matches), guard, tuple(asks), "", spans if not made else ())


def clause_text(clause: Clause) -> str:
    """The clause's words as they were typed, one space between them."""
    return " ".join(t.text for t in clause.tokens)


def _works(tokens: Sequence[Token], matches: Sequence[Match], taken: set[int], ear: Ear) -> list[_Work]:
    """Each work with its part of the clause, and the details found there."""
    found = sorted((m for m in matches if m.frame.kind == "work"), key=lambda m: m.start)
    works: list[_Work] = []
    for index, match in enumerate(found):
        first = 0 if index == 0 else match.start
        last = found[index + 1].start if index + 1 < len(found) else len(tokens)
        works.append(_Work(match, range(first, last)))
    used = set(taken) | {p for m in matches for p in m.places if not _told_by_number(tokens[p])}
    for work in works:
        known = ear.knowledge.works.get(work.match.frame.name)
        free = [n for n in work.region if n not in used]
        allowed = known.details if known else ()
        work.details = details_in(tokens, free, allowed, work.match.frame.name, ear.tongue)
    return works


def _told_by_number(token: Token) -> bool:
    return token.numeric or "METAL" in token.classes or "ROOT" in token.classes


def _facts(
    clause: Clause, works: Sequence[_Work], matches: Sequence[Match], seen: Sequence[dict[str, Any]], ear: Ear
) -> tuple[list[Fact], list[tuple[str, str]]]:
    facts: list[tuple[int, Fact]] = []
    asks: list[tuple[str, str]] = []
    told = clause_text(clause)
    for work in works:
        name = work.match.frame.name
        if ear.tongue.words.measures_only(name) and any("measured" in s for s in seen):
            continue
        fields = {"work": name, **work.details.fields}
        if work.details.asks:
            asks.append((work.details.asks, ""))
        if work.match.bare:
            asks.append(
                (f"'{told}': was it done, or is it meant?", f"as done it is {name}; to mean it, write: intend …")
            )
        classes = set(work.match.frame.classes)
        why = f"'{told}' may be {name}: was that done?" if work.match.frame.asks else ""
        loose = classes in ({"WIRE", "ON"}, {"SIZE", "METAL", "ON"})
        facts.append(
            (
                work.match.start,
                Fact(fields, (), loose, why, "", classes == {"ALLWELL"}, classes <= {"BITE", "WIRE", "CUTIN"}),
            )
        )
    for match in matches:
        if match.frame.kind in ("sign", "trouble"):
            fields = {"saw" if match.frame.kind == "sign" else "trouble": match.frame.name}
            facts.append((match.start, Fact(fields)))
            asks += _out_of_season(match, told, ear)
    facts.sort(key=lambda pair: pair[0])
    plain = [Fact(dict(s)) for s in seen]
    if len(plain) == 1 and set(plain[0].fields) == {"vigour"} and works:
        facts[0][1].fields.update(plain[0].fields)
        plain = []
    return [*(fact for _, fact in facts), *plain], asks


def _out_of_season(match: Match, told: str, ear: Ear) -> list[tuple[str, str]]:
    frame = match.frame
    if frame.asks:
        return [
            (f"'{told}' may be a sign of the season: is it 'saw {frame.name}'?", f"if so, write: saw {frame.name}")
        ]
    if frame.months and ear.month and ear.month not in frame.months:
        return [(f"'{told}' at this time of the year: is it {frame.name}?", f"if so, write: saw {frame.name}")]
    return []


_NO_PART = frozenset(("PLACE", "COVER", "ANIMAL"))


def _of_another_thing(clause: Clause, works: Sequence[_Work], left: Sequence[int], ear: Ear) -> list[tuple[str, str]]:
    """`fed the worms`: a verb with another thing than a part of a tree as its object, at the end of the clause."""
    last = len(clause.tokens) - 1
    if not works or last < 2 or last not in left or clause.tokens[last - 1].low not in ("the", "my", "our"):
        return []
    thing = clause.tokens[last]
    own = (
        thing.kind != "word"
        or thing.classes - _NO_PART
        or thing.low in ear.tongue.words.parts
        or last - 2 not in works[-1].match.places
    )
    return [] if own else [(f"'{thing.text}': was it done to this tree?", "")]


def _left(
    tokens: Sequence[Token], read: frozenset[int], fixed: frozenset[int], matches: Sequence[Match], ear: Ear
) -> list[int]:
    """Places of words that nothing was made of; a count keeps the noun it counts."""
    words = ear.tongue.words
    along = frozenset(c for m in matches if m.frame.kind != "trouble" for c in words.spoken[m.frame.name])
    left: list[int] = []
    alone = left_alone(tokens)
    for place, token in enumerate(tokens):
        counted = place > 0 and place - 1 in left and tokens[place - 1].kind == "number" and token.kind == "word"
        told = bool(token.classes & _TELLS_WHERE) or (
            place > 0 and token.low == "back" and tokens[place - 1].low == "the"
        )
        if token.kind == "mark" or (place in read and not counted and not (told and place not in fixed)):
            continue
        if told or place in alone:
            left.append(place)
            continue
        little = token.low in words.fillers or token.low in _LITTLE or token.low in NAMES_BRANCH
        goes = bool(token.classes & along) and not token.inert
        if counted or not (little or goes) or token.inert:
            left.append(place)
    return with_little_words(tokens, left, read, words.fillers)


def with_little_words(
    tokens: Sequence[Token], left: list[int], read: frozenset[int], fillers: frozenset[str]
) -> list[int]:
    """What is left with the small words that lead to it: `from the front`, `by a third`."""
    whole = set(left)
    for place in left:
        before = place - 1
        while (
            before >= 0
            and before not in read
            and (tokens[before].low in fillers or tokens[before].low in ("two", "off"))
        ):
            whole.add(before)
            before -= 1
    return sorted(whole)


# words that tell where, or of what: they stay with the remark though they helped to tell the work
_TELLS_WHERE = listed("APEX TRUNK TWIG GROWTH BARK MOSS DEBRIS GROUND PLACE UNDERCOVER BIG HALF LARGE DEAD SOIL")


def _unread_numbers(
    clause: Clause, left: Sequence[int], works: Sequence[_Work], seen: Sequence[dict[str, Any]], words: Vocabulary
) -> list[tuple[str, str]]:
    """A number that was not read asks where it might be a branch: a count with its noun does so of wire only."""
    if not works:
        return []
    for place in left:
        token = clause.tokens[place]
        if place and clause.tokens[place - 1].low == "not":
            continue
        if seen or (token.kind not in ("number", "id", "range", "ratio") and token.low not in _COUNTING):
            continue
        after = clause.tokens[place + 1] if place + 1 < len(clause.tokens) else None
        wire = any(words.wire(w.match.frame.name) for w in works)
        bears = any(not w.details.fields.get("branches") for w in works if words.bears_branches(w.match.frame.name))
        if wire or (bears and (after is None or after.kind == "mark" or after.numeric)):
            return [
                (
                    f"'{token.text}' was not understood there: a branch, or a count?",
                    "branches stand right behind the work: wired 1 2",
                )
            ]
    return []


_COUNTING = listed("one two three four five six seven eight nine ten couple")
