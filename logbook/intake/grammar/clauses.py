"""One clause read: what it says, what denies it, the details of its works, and the words it leaves."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace

from ...collection.fields import ENTRY, Entry
from ...collection.kinds import Record
from ...horticulture.knowledge import Knowledge
from ...values import dataclass
from .details import Details, Tongue, details_in
from .frames import Match, matches_in
from .guards import NO_GUARD, Guarded, guard_on, left_alone
from .listed import listed
from .measures import Seen, seen_in
from .places import bench_in
from .scraps import are_scraps
from .vocabulary import Vocabulary
from .words import NAMES_BRANCH, Clause, Token

_LITTLE = listed("gave did had made done got give well job session off on out in back up down work it saw seen")


@dataclass(frozen=True, slots=True)
class Ear:
    """What a line is heard with. `job`: the offered work whose box or row it stands at; `month` of the day, 0 unknown,
    by the northern calendar; `count` of a tray; `benches` known by name; `entries`: what an entry can hold; `ticked`: works ticked on the same sheet."""

    tongue: Tongue
    knowledge: Knowledge
    job: Mapping[str, object] | None = None
    month: int = 0
    count: int = 1
    benches: frozenset[str] = frozenset()
    southern: bool = False
    entries: Record[Entry] = ENTRY
    ticked: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Fact:
    """Fields of an entry that a clause makes, and the words of it that were not read."""

    fields: dict[str, object]
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

    @property
    def may_be_a_plan(self) -> bool:
        """Whether one of its works stands as a bare verb."""
        return any(match.bare and match.frame.kind == "work" for match in self.matches)


@dataclass(slots=True)
class _Work:
    match: Match
    region: range
    details: Details = field(default_factory=Details)

    @property
    def name(self) -> str:
        return self.match.frame.name


_Ask = tuple[str, str]  # a question and its hint


@dataclass(frozen=True, slots=True)
class _Parts:
    """What a clause holds: facts that are no work, the sets of classes, and the works with their details."""

    clause: Clause
    ear: Ear
    seen: Seen
    matches: tuple[Match, ...]
    works: tuple[_Work, ...]

    @property
    def read(self) -> frozenset[int]:
        """The places that measures and details have used up."""
        return frozenset(self.seen.used) | frozenset(p for w in self.works for p in w.details.used)

    @property
    def ending(self) -> str:
        """How the tree left the collection, or an empty string."""
        return next((m.frame.name for m in self.matches if m.frame.kind == "ending"), "")

    @property
    def trouble(self) -> bool:
        """Whether a trouble is told."""
        return any(m.frame.kind == "trouble" for m in self.matches)


def read_clause(clause: Clause, ear: Ear) -> Read:
    """Read a clause; its guard is told even where it leaves no fact standing."""
    seen = seen_in(clause.tokens, ear.knowledge, ear.tongue)
    matches = tuple(matches_in(clause.tokens, frozenset(seen.used), ear.tongue.words))
    bench = bench_in(clause, ear.benches, ear.tongue.words.places) if not seen.facts else ""
    if bench and (bench in ear.benches or not any(m.frame.kind == "work" for m in matches)):
        return Read((Fact({"bench": bench}),))
    parts = _Parts(clause, ear, seen, matches, _works(clause.tokens, matches, seen.used, ear))
    guard = _guard_of(parts)
    if parts.ending and guard.lets_stand:
        return Read(matches=matches, ending=parts.ending)
    if guard.kind == "state" and any(w.details.fields.get("branches") for w in parts.works):
        guard = replace(guard, kind="ask")
    return _facts_read(parts, guard) if guard.lets_stand else Read(matches=matches, guard=guard)


def _guard_of(parts: _Parts) -> Guarded:
    words = parts.ear.tongue.words
    if parts.ending:
        return guard_on(parts.clause, parts.matches, parts.read | parts.matches[0].places, words)
    wholly_seen = bool(parts.seen.facts) and len(parts.seen.used) == len(parts.clause.tokens)
    return NO_GUARD if wholly_seen else guard_on(parts.clause, parts.matches, parts.read, words)


def _facts_read(parts: _Parts, guard: Guarded) -> Read:
    """The facts of a clause that stand, what must be asked about them, and the words left over."""
    facts, more = _facts(parts)
    left = _left(parts)
    asks = [(parts.seen.asks, parts.seen.hint)] if parts.seen.asks and not parts.trouble else []
    asks += _of_another_thing(parts, left)
    asks += more + _unread_numbers(parts, left)
    spans = tuple((parts.clause.tokens[n].start, parts.clause.tokens[n].end) for n in left)
    if parts.works and are_scraps(parts.clause.tokens, left, parts.ear.tongue.words.fillers):
        spans = ((parts.clause.start, parts.clause.tokens[-1].end),)
    if not facts:
        return Read((), parts.matches, guard, tuple(asks), "", spans)
    if left:
        loose = f"'{clause_text(parts.clause)}': was it wired, or only looked at?"
        facts = [replace(f, asks=f.asks or loose) if f.bare_wire else f for f in facts]
    return Read((*facts[:-1], replace(facts[-1], left=spans)), parts.matches, guard, tuple(asks))


def clause_text(clause: Clause) -> str:
    """The clause's words as they were typed, one space between them."""
    return " ".join(t.text for t in clause.tokens)


def _works(tokens: Sequence[Token], matches: Sequence[Match], taken: set[int], ear: Ear) -> tuple[_Work, ...]:
    """Each work with its part of the clause, and the details found there."""
    found = sorted((m for m in matches if m.frame.kind == "work"), key=lambda m: m.start)
    works: list[_Work] = []
    for index, match in enumerate(found):
        first = 0 if index == 0 else match.start
        last = found[index + 1].start if index + 1 < len(found) else len(tokens)
        works.append(_Work(match, range(first, last)))
    used = set(taken) | {p for m in matches for p in m.places if not _told_by_number(tokens[p])}
    for work in works:
        known = ear.knowledge.works.get(work.name)
        free = [n for n in work.region if n not in used]
        allowed = known.details if known else ()
        work.details = details_in(tokens, free, allowed, work.name, ear.tongue)
    return tuple(works)


def _told_by_number(token: Token) -> bool:
    return token.numeric or "METAL" in token.classes or "ROOT" in token.classes


def _facts(parts: _Parts) -> tuple[list[Fact], list[_Ask]]:
    """Facts in the order of their words, those that are no work last, and what must be asked about them."""
    told = clause_text(parts.clause)
    seen = [Fact(dict(s)) for s in parts.seen.facts]
    measured = any("measured" in fact.fields for fact in seen)
    placed: list[tuple[int, Fact]] = []
    asks: list[_Ask] = []
    for work in parts.works:
        if measured and parts.ear.tongue.words.measures_only(work.name):
            continue
        placed.append((work.match.start, _fact_of(work, told)))
        asks += _asks_of(work, told)
    for match in parts.matches:
        if match.frame.kind in ("sign", "trouble"):
            kind = "saw" if match.frame.kind == "sign" else "trouble"
            placed.append((match.start, Fact({kind: match.frame.name})))
            asks += _out_of_season(match, told, parts.ear)
    placed.sort(key=lambda pair: pair[0])
    if parts.works and len(seen) == 1 and set(seen[0].fields) == {"vigour"}:
        placed[0][1].fields.update(seen.pop().fields)
    return [*(fact for _, fact in placed), *seen], asks


def _fact_of(work: _Work, told: str) -> Fact:
    classes = set(work.match.frame.classes)
    return Fact(
        {"work": work.name, **work.details.fields},
        bare_wire=classes in ({"WIRE", "ON"}, {"SIZE", "METAL", "ON"}),
        asks=f"'{told}' may be {work.name}: was that done?" if work.match.frame.asks else "",
        well=classes == {"ALLWELL"},
        only_bite=classes <= {"BITE", "WIRE", "CUTIN"},
    )


def _asks_of(work: _Work, told: str) -> list[_Ask]:
    asks = [(work.details.asks, "")] if work.details.asks else []
    if work.match.bare:
        hint = f"as done it is {work.name}; to mean it, write: intend …"
        asks.append((f"'{told}': was it done, or is it meant?", hint))
    return asks


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


def _of_another_thing(parts: _Parts, left: Sequence[int]) -> list[_Ask]:
    """`fed the worms`: a verb with another thing than a part of a tree as its object, at the end of the clause."""
    tokens = parts.clause.tokens
    last = len(tokens) - 1
    if not parts.works or last < 2 or last not in left or tokens[last - 1].low not in ("the", "my", "our"):
        return []
    thing = tokens[last]
    own = (
        thing.kind != "word"
        or thing.classes - _NO_PART
        or thing.low in parts.ear.tongue.words.parts
        or last - 2 not in parts.works[-1].match.places
    )
    return [] if own else [(f"'{thing.text}': was it done to this tree?", "")]


def _left(parts: _Parts) -> list[int]:
    """Places of words that nothing was made of; a count keeps the noun it counts."""
    tokens = parts.clause.tokens
    spoken = [n for n, t in enumerate(tokens) if t.kind != "mark"]
    if parts.trouble and not parts.works:
        return [n for n in spoken if n not in parts.read]
    read = parts.read | frozenset(p for m in parts.matches for p in m.places)
    kept = _kept(parts, spoken, read)
    left: list[int] = []
    for place in spoken:
        if place in kept or _is_counted_noun(tokens, place, left):
            left.append(place)
    return with_little_words(tokens, left, read, parts.ear.tongue.words.fillers)


def _kept(parts: _Parts, spoken: Sequence[int], read: frozenset[int]) -> set[int]:
    """Places of words that say more than was read, or that tell where it was done."""
    tokens, words = parts.clause.tokens, parts.ear.tongue.words
    along = frozenset(c for m in parts.matches if m.frame.kind != "trouble" for c in words.spoken[m.frame.name])
    alone = left_alone(tokens)
    unread = {n for n in spoken if n not in read and (n in alone or not _adds_nothing(tokens[n], along, words))}
    said = _said_wholly(parts)
    where = {n for n in spoken if n not in parts.read and n not in said and _tells_where(tokens, n)}
    return unread | where | _came_out_of(tokens)


def _said_wholly(parts: _Parts) -> set[int]:
    """Places of words that a work's set names itself, by a class that tells nothing else: the `old` of old needles."""
    tokens = parts.clause.tokens
    named = {n: set(m.frame.classes) & tokens[n].classes for m in parts.matches for n in m.places}
    return {n for n, classes in named.items() if classes and not classes & _TELLS_WHERE}


def _came_out_of(tokens: Sequence[Token]) -> set[int]:
    """Places of `from the round pot`: what it stood in before is no detail of the work, and stays."""
    for start in (n for n, token in enumerate(tokens) if token.low in ("from", "out")):
        end = next((n for n in range(start + 1, min(start + 6, len(tokens))) if "POT" in tokens[n].classes), None)
        if end is not None and not any(token.low in ("to", "into") for token in tokens[start:end]):
            return set(range(start, end + 1))
    return set()


def _is_counted_noun(tokens: Sequence[Token], place: int, left: Sequence[int]) -> bool:
    return place - 1 in left and tokens[place - 1].kind == "number" and tokens[place].kind == "word"


def _tells_where(tokens: Sequence[Token], place: int) -> bool:
    whole = [t.low for t in tokens[place : place + 2]], [t.low for t in tokens[max(place - 1, 0) : place + 1]]
    if any(len(two) == 2 and two[0] in _WHOLE and two[1] == "tree" for two in whole):
        return True
    at_the_back = place > 0 and tokens[place].low == "back" and tokens[place - 1].low == "the"
    return at_the_back or bool(tokens[place].classes & _TELLS_WHERE)


_WHOLE = listed("whole entire complete")


def _adds_nothing(token: Token, along: frozenset[str], words: Vocabulary) -> bool:
    """Whether a word is small, or goes with what was read of its clause."""
    little = token.low in words.fillers or token.low in _LITTLE or token.low in NAMES_BRANCH
    return not token.inert and (little or bool(token.classes & along))


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
_TELLS_WHERE = listed(
    "APEX TRUNK TWIG GROWTH BARK MOSS DEBRIS GROUND PLACE UNDERCOVER BIG HALF LARGE DEAD SOIL FEEDSTUFF"
)


def _unread_numbers(parts: _Parts, left: Sequence[int]) -> list[_Ask]:
    """A number that was not read asks where it might be a branch: a count with its noun does so of wire only."""
    if not parts.works or parts.seen.facts:
        return []
    tokens, words = parts.clause.tokens, parts.ear.tongue.words
    wire = any(words.wire(work.name) for work in parts.works)
    bears = any(words.bears_branches(w.name) and not w.details.fields.get("branches") for w in parts.works)
    counts = [n for n in left if _is_a_count(tokens, n) and (wire or (bears and _counts_no_noun(tokens, n)))]
    if not counts:
        return []
    why = f"'{tokens[counts[0]].text}' was not understood there: a branch, or a count?"
    return [(why, "branches stand right behind the work: wired 1 2")]


def _is_a_count(tokens: Sequence[Token], place: int) -> bool:
    token = tokens[place]
    denied = place > 0 and tokens[place - 1].low == "not"
    return not denied and (token.kind in ("number", "id", "range", "ratio") or token.low in _COUNTING)


def _counts_no_noun(tokens: Sequence[Token], place: int) -> bool:
    return place + 1 == len(tokens) or tokens[place + 1].kind == "mark" or tokens[place + 1].numeric


_COUNTING = listed("one two three four five six seven eight nine ten couple")
