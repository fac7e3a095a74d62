"""Headers of notes: which sheet or tree the lines below belong to; and which lines are this tool's own words."""

from __future__ import annotations

import re
from collections.abc import Hashable, Mapping, Sequence
from dataclasses import field, replace
from functools import cached_property

from ...collection.fields import ENDINGS, ENTRY, Entry
from ...collection.kinds import Record
from ...collection.model import tag_key
from ...collection.units import METRIC, Units
from ...diagnostics import nearest
from ...horticulture.knowledge import Knowledge
from ...storage.printed import Ledger, Sheet, is_serial, serial_typed
from ...values import dataclass
from .page import Heard
from .slips import one_apart
from .tokens import TypedDate, plain_line
from .vocabulary import Vocabulary, vocabulary

NAME_WORDS = 6  # of a tree, at most
OWN_WORDS = re.compile(r"\? (?:\d{4}-\d{2}-\d{2}-[0-9a-f]{12}(?:-\d+)?\.txt line |\(the header itself|nothing waits)")
WAITED = re.compile(r"\? (\d{4}-\d{2}-\d{2}-[0-9a-f]{12}(?:-\d+)?\.txt) line (\d{1,6}):")


@dataclass(slots=True)
class Under:
    """What the lines below a header belong to."""

    tags: tuple[str, ...] = ()
    sheet: Sheet | None = None
    fault: str = ""
    hint: str = ""
    last_date: TypedDate | None = None
    started: bool = False
    note: str = ""
    by: str = ""
    ticked: tuple[str, ...] = ()
    asked_at: int = 0  # the line at which it was asked whether these lines begin with a row or with a day


@dataclass(frozen=True, slots=True)
class Known:
    """What is known of one tree: its branches by table and log (None: it has no table), and how many a tray counts."""

    branches: frozenset[str] | None = None
    count: int = 1


@dataclass(frozen=True)
class Grammar:
    """The words a line may use, how numbers and dates are meant, and what an entry can hold.

    `date_order` None: a day that could be two is asked (in us units the month comes first). `partial`: a month, a season
    or a year will do for a day. `trees` by tag key; `benches` by name; `southern`: the site's half of the world. `ticked`: works
    of a tree's log that were ticked, by tag key and serial.
    """

    knowledge: Knowledge
    ledger: Ledger
    date_order: str | None = "day-month"
    units: Units = METRIC
    tags: frozenset[str] | None = None
    names: Mapping[str, str] = field(default_factory=dict)
    entries: Record[Entry] = ENTRY
    trees: Mapping[str, Known] = field(default_factory=dict)
    benches: frozenset[str] = frozenset()
    southern: bool = False
    partial: bool = False
    ticked: Mapping[str, Mapping[str, tuple[str, ...]]] = field(default_factory=dict)

    @property
    def order(self) -> str | None:
        """How 3/4 is read: the grower's own order, else the usual one of US units."""
        return self.date_order or ("month-day" if self.units.us else None)

    @cached_property
    def words(self) -> Vocabulary:
        """The vocabulary of the knowledge in use."""
        return vocabulary(self.knowledge)

    @cached_property
    def heard(self) -> dict[Hashable, Heard]:
        """What lines came to, by their words and all else that they were heard with: logs say the same again and again."""
        return {}


@dataclass(frozen=True, slots=True)
class TypedLine:
    """Where a line of notes stands and what it is read with: its number, how it was typed, and the header above it."""

    number: int
    raw: str
    under: Under
    grammar: Grammar


_GONE_AS = {"dead": "died", "gone": "lost", "binned": "died", "given away": "given"}
_GONE = re.compile(rf"(.+?),?\s+(?:(?:is|was|has)\s+)?({'|'.join((*ENDINGS[:-1], *_GONE_AS))})[.!]?", re.IGNORECASE)
HEADER_ITSELF = "? (the header itself"


def says_something(raw: str) -> bool:
    """Whether a line of notes is more than white space, a header or this tool's own words."""
    line = plain_line(raw)
    if not line or OWN_WORDS.match(line):
        return False
    first, *rest = _BY.sub("", line).split()
    if PAPER.fullmatch(_BY.sub("", line)):
        return False
    counts = {"sheet": (1, 1 + NAME_WORDS), "tree": (1, NAME_WORDS), "trees": (1, 10_000)}.get(
        first.casefold().rstrip(":")
    )
    return counts is None or not counts[0] <= len(rest) <= counts[1]


# a serial by itself, or behind what its paper is called: `walk 00142-4`, `bench walk no. 00142-4`
PAPER = re.compile(
    r"((?:(?:sheet|bench|walk|list|days?)\s*:?\s+){0,3})(?:(?:no\.?|number|nr\.?|#)\s*:?\s*)?(\d{5,6})\s?([-–—]?)\s?(\d)[:.]?",
    re.IGNORECASE,
)
MOST_IN_A_HAND = 12
_HAND = rf"[^\W\d_]{{1,{MOST_IN_A_HAND}}}"
_BY = re.compile(rf"\s+by\s+(\?|{_HAND}(?:/{_HAND})*)\s*$", re.IGNORECASE)
_RANGE = re.compile(r"([^\W\d_]{0,6})(\d{1,5})[-–]([^\W\d_]{0,6})(\d{1,5})")
MOST_IN_A_RANGE = 400


def header_of(line: str, grammar: Grammar) -> Under | None:
    """What a header says, with the hand that wrote (`tree 014 by m`); None where the line is no header."""
    hand = _BY.search(line)
    under = _header(line[: hand.start()], grammar) if hand else None
    if hand and under is not None and not (under.fault or under.note):
        return replace(under, by=hand[1])
    return _header(line, grammar)


def _header(line: str, grammar: Grammar) -> Under | None:
    paper = PAPER.fullmatch(line)
    if paper:
        return _paper_header(paper, grammar)
    words = re.sub(r"^(sheet)\s+(?:no\.?|number|nr\.?|#)\s*:?\s*", r"\1 ", line, flags=re.IGNORECASE).split()
    first, rest = words[0].casefold().rstrip(":"), words[1:]
    if first == "sheet" and rest and (len(rest) <= 2 or " ".join(rest[1:]).casefold() in grammar.names):
        return _sheet_header(rest, grammar)
    if first == "tree" and 1 <= len(rest) <= NAME_WORDS:
        return _tree_header(rest, grammar)
    if first == "trees" and rest:
        return Under(tags=_each_tree(" ".join(rest), grammar), started=True)
    return None


def _paper_header(named: re.Match[str], grammar: Grammar) -> Under | None:
    """A serial, or what only looks like one; bare figures that are near to none on record are no header."""
    word, number, hyphen, check = named.groups()
    serial, ledger = f"{number}-{check}", grammar.ledger
    known = serial in ledger.sheets or serial in ledger.doubled
    if not (known or word or hyphen or is_serial(serial) or ledger.nearest(serial)):
        return None
    return _sheet_header([serial], grammar)


def _each_tree(said: str, grammar: Grammar) -> tuple[str, ...]:
    """Tags, or names between commas."""
    found: list[str] = []
    for part in said.rstrip(":.").split(","):
        named = grammar.names.get(part.strip().casefold())
        found += (
            [named]
            if named
            else [
                tag
                for word in part.split()
                for tag in tags_between(word, grammar) or (without_zeros(word, grammar) or word,)
            ]
        )
    return tuple(found)


def tags_between(word: str, grammar: Grammar) -> tuple[str, ...]:
    """The tags of a range such as 021-060, those that do not exist as well; nothing where the word is a tag or no range."""
    found = _RANGE.fullmatch(word)
    if not found or tag_key(word) in (grammar.tags or ()):
        return ()
    first, last = int(found[2]), int(found[4])
    same = found[3].casefold() in ("", found[1].casefold())
    if not same or not first < last <= first + MOST_IN_A_RANGE:
        return ()
    return tuple(f"{found[1]}{number:0{len(found[2])}d}" for number in range(first, last + 1))


def without_zeros(word: str, grammar: Grammar) -> str:
    """The tag that a number means whose zeros in front were left out; nothing where a slip could make it of another tree's tag."""
    tags = grammar.tags or ()
    if not word.isascii() or not word.isdecimal() or word.startswith("0") or word in tags:
        return ""
    meant = [tag for tag in tags if tag.lstrip("0") == word]
    near = any(one_apart(word, tag) for tag in tags if tag not in meant)
    return meant[0] if len(meant) == 1 and not near else ""


def _tree_header(rest: Sequence[str], grammar: Grammar) -> Under:
    """A tree by its tag or its name. What is neither is told, and what stands below it waits: it may be meant for any tree."""
    called = " ".join(rest).rstrip(":.")
    named = grammar.names.get(called.casefold())
    if grammar.tags is not None and len(rest) == 1 and tag_key(called) in grammar.tags:
        return Under(tags=(called,), started=True)
    named = named or (without_zeros(called, grammar) if len(rest) == 1 else "")
    if named:
        return Under(tags=(named,), started=True)
    if len(rest) == 1:
        close = nearest(called, list(grammar.tags or ()), 0.5)
        note = f"there is no tree {called}" + (f"; did you mean {close}?" if close else "")
        return Under(tags=(called,), started=True, note=note if grammar.tags is not None else "")
    return _gone(rest, grammar) or Under(
        fault=f"'{called}' is no tree's tag or name",
        hint="write the tag, as in: tree 014; a remark that begins so wants its day in front",
        started=True,
    )


def _gone(rest: Sequence[str], grammar: Grammar) -> Under | None:
    """`tree 5 died`: a whole line that says how a tree left; None where it is none."""
    said = _GONE.fullmatch(" ".join(rest))
    called = said[1] if said else ""
    known = tag_key(called) in (grammar.tags or ())
    tag = called if known else grammar.names.get(called.casefold(), "") or without_zeros(called, grammar)
    if not said or not tag:
        return None
    word = said[2].casefold()
    how = _GONE_AS.get(word, word)
    return Under(
        fault=f"it tells how tree {tag} left, which a note does not end",
        hint=f"benchleaf end {tag} --how {how} closes its record (in the evening 5, then 7), or give it as a note: tree {tag}, and below it the day and '{said[2]}'",
        started=True,
    )


def _sheet_header(rest: Sequence[str], grammar: Grammar) -> Under:
    said = " ".join(rest[1:]).rstrip(":.")
    ledger, serial, tag = grammar.ledger, serial_typed(rest[0].rstrip(":.")), grammar.names.get(said.casefold(), said)
    sheet = ledger.sheets.get(serial)
    if sheet is not None:
        if tag and tag.casefold() not in {t.casefold() for t in sheet.tags}:
            return Under(
                fault=f"sheet {serial} is not of tree {tag}",
                hint=f"it was printed for {', '.join(sheet.tags[:5])}",
                started=True,
            )
        return Under(tags=sheet.tags, sheet=sheet, started=True)
    if serial in ledger.doubled:
        return Under(
            fault=f"two printed sheets carry the serial {serial}",
            hint="type its lines under 'tree TAG' instead",
            started=True,
        )
    if re.fullmatch(r"\d{5,6}-?\d?", serial):
        near = ledger.nearest(serial)
        what = "no sheet has the serial" if is_serial(serial) else "the check digit does not fit the serial"
        return Under(
            fault=f"{what} {serial}",
            hint=f"the nearest printed one is {near}" if near else "no sheet like it was printed here",
            started=True,
        )
    out = [s for s in ledger.out_for(rest[0]) if len(s.tags) == 1]
    if len(out) == 1:
        return Under(tags=out[0].tags, sheet=out[0], started=True)
    why = f"{len(out)} sheets of tree {rest[0]} are out" if out else f"no sheet of tree {rest[0]} was printed"
    hint = f"name one: {', '.join(s.serial for s in out[:4])}" if out else "type its lines under 'tree TAG'"
    return Under(fault=why, hint=hint, started=True)
