"""The words of pencil lines as data: classes, terms and the sets that say a work, a sign, a trouble or an ending.

`vocabulary.yaml` and `guards.yaml` stand beside this module; a collection's own works join them with the words they are
typed by. Everything in the files is common practice of the trade with no published source.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import field, replace
from functools import cache, cached_property
from pathlib import Path
from typing import Any, Literal

import yaml

from ...horticulture.knowledge import Knowledge
from ...horticulture.loader import shipped_knowledge
from ...horticulture.work import Thing, Work
from ...values import dataclass

Kind = Literal["work", "sign", "trouble", "ending"]
_HERE = Path(__file__).resolve().parent
_SECTIONS: tuple[tuple[str, Kind], ...] = (
    ("works", "work"),
    ("signs", "sign"),
    ("troubles", "trouble"),
    ("endings", "ending"),
)
# classes that tokens get from what they are, not from a list
_MADE_UP = frozenset(("ID", "SID", "SIZE", "NPK", "TOLEAF", "ALONE"))
OWN = "OWN "  # begins the class of a work that is said by its own words only
_MEASURED = "MEASURED"
_NO_WORK = Work("", ())
_PREFIX = re.compile(r"^(re|de|un|dis|over|up)-(?=[a-z])")


@dataclass(frozen=True, slots=True)
class Frame:
    """One set of classes that says something. `asks`: it may say it; `alone`: nothing else may stand in the clause."""

    kind: Kind
    name: str
    classes: tuple[str, ...]
    asks: bool = False
    alone: bool = False
    months: frozenset[int] = frozenset()
    samples: tuple[str, ...] = ()


@dataclass(frozen=True)
class Vocabulary:
    """All words, by what they are for. `terms` are classes by their words, longest first; an empty class says nothing."""

    classes: Mapping[str, frozenset[str]]
    plans: Mapping[str, frozenset[str]]
    terms: Mapping[tuple[str, ...], frozenset[str]]
    frames: tuple[Frame, ...]
    measures: Mapping[str, str]
    shapes: Mapping[str, str]
    stages: Mapping[str, str]
    numbers: Mapping[str, int]
    fillers: frozenset[str]
    beside: frozenset[str]
    parts: frozenset[str]
    not_before_ids: frozenset[str]
    after_ids: frozenset[str]
    not_slips: frozenset[str]
    materials: frozenset[str]
    places: frozenset[str]
    done_to_it: Mapping[str, frozenset[str]]
    guards: Mapping[str, re.Pattern[str]]
    spoken: Mapping[str, frozenset[str]] = field(default_factory=dict)
    longest: int = 1
    samples: Mapping[tuple[Kind, str], tuple[str, ...]] = field(default_factory=dict)
    works: Mapping[str, Work] = field(default_factory=dict)

    def of_word(self, low: str) -> frozenset[str]:
        """The classes a word belongs to; none for a word that is not known."""
        return self.classes.get(low, frozenset())

    def wire(self, name: object) -> bool:
        """Whether a work is about wire: a part of its line that was not read changes the fact."""
        return self.wire_off(name) or self.wire_looked_at(name) or Thing.WIRE in self._work(name).puts

    def wire_off(self, name: object) -> bool:
        """Whether a work takes wire off."""
        return Thing.WIRE in self._work(name).takes

    def wire_looked_at(self, name: object) -> bool:
        """Whether a work looks at wire."""
        return Thing.WIRE in self._work(name).looks

    def looks(self, name: object) -> bool:
        """Whether a work only looks at something."""
        return bool(self._work(name).looks)

    def is_look_over(self, name: object) -> bool:
        """Whether a work is the walk round the tree."""
        return self._work(name).is_look_over

    def bears_branches(self, name: object) -> bool:
        """Whether a work may name branches."""
        return "branches" in self._work(name).details

    def measures_only(self, name: object) -> bool:
        """Whether a work is the taking of measures, which says nothing where the measures themselves are told."""
        return name in self._measuring

    def _work(self, name: object) -> Work:
        return self.works.get(str(name), _NO_WORK)

    @cached_property
    def _measuring(self) -> frozenset[str]:
        return frozenset(f.name for f in self.frames if f.kind == "work" and f.classes == (_MEASURED,))

    @cached_property
    def heads(self) -> frozenset[str]:
        """Words that may begin a work, for telling slips of the pen."""
        alone = {frame.classes[0] for frame in self.frames if frame.kind == "work" and len(frame.classes) == 1}
        needed = alone | {"CANDLE", "NEEDLE", "REMOVE"}
        words = {word for word, named in self.classes.items() if named & needed}
        return frozenset(words | {w for w, name in self.measures.items() if len(w) > 4 or name == "height"})

    @cached_property
    def beside_works(self) -> tuple[str, ...]:
        """Words of four letters or more that say a work together with others, in the order of the alphabet."""
        needed = {
            name for frame in self.frames if frame.kind == "work" and len(frame.classes) > 1 for name in frame.classes
        }
        return tuple(sorted(word for word, named in self.classes.items() if named & needed and len(word) > 3))

    @cached_property
    def near_heads(self) -> dict[str, tuple[str, ...]]:
        """Of words that were heard, the heads that each may be a slip of; filled as they are asked for."""
        return {}

    @cached_property
    def near_beside(self) -> dict[str, tuple[str, ...]]:
        """The same of what says a work together with others."""
        return {}

    @cached_property
    def needs(self) -> tuple[tuple[int, Frame, frozenset[str]], ...]:
        """The sets with their place and the classes they need, made once."""
        return tuple((order, frame, frozenset(frame.classes)) for order, frame in enumerate(self.frames))

    @cached_property
    def needs_by_class(self) -> Mapping[str, tuple[tuple[int, Frame, frozenset[str]], ...]]:
        """The sets by one of their classes, that which fewest sets have: a clause without it holds none of these."""
        often = Counter(name for _, _, needed in self.needs for name in needed)
        found: dict[str, list[tuple[int, Frame, frozenset[str]]]] = {}
        for need in self.needs:
            found.setdefault(min(need[2], key=lambda name: (often[name], name)), []).append(need)
        return {name: tuple(some) for name, some in found.items()}

    @cached_property
    def lone_heads(self) -> Mapping[str, frozenset[str]]:
        """For each thing that can be said: the classes that say something else by themselves."""
        lone = [(f.classes[0], f.name) for f in self.frames if len(f.classes) == 1 and not f.asks]
        return {frame.name: frozenset(c for c, name in lone if name != frame.name) for frame in self.frames}


def folded(word: str) -> str:
    """A word as the lists have it: lower case, no apostrophe, and the hyphen behind re-, de-, un- folded away."""
    low = word.casefold().replace("'", "").replace("’", "").replace("‘", "")
    return _PREFIX.sub(r"\1", low)


def denied(phrase: str, guards: Mapping[str, re.Pattern[str]]) -> bool:
    """Whether a work's own words deny another (`not repotted`): what is denied is heard as no work, whatever its name."""
    return guards["no"].match(phrase) is not None


def _apart(phrase: str) -> tuple[str, ...]:
    """A work's own words as a line's are told apart: a hyphen that is no prefix's parts two."""
    return tuple(piece for word in phrase.split() for piece in folded(word).split("-") if piece)


def vocabulary(knowledge: Knowledge) -> Vocabulary:
    """The shipped words with a collection's own works added, and its own words for shipped ones."""
    own = ((work.name, own_phrases(work)) for work in knowledge.works.values())
    return replace(_with_own(tuple((name, said) for name, said in own if said)), works=knowledge.works)


def own_phrases(work: Work) -> tuple[str, ...]:
    """What a work is called beside the words of the vocabulary: all it is typed by and its name, or what a collection adds."""
    if work.name not in _shipped_works():
        return (*work.typed, work.name)
    shipped = shipped_knowledge().works.get(work.name, _NO_WORK)
    return tuple(phrase for phrase in work.typed if phrase not in shipped.typed)


@cache
def _shipped_works() -> frozenset[str]:
    return frozenset(_loaded("vocabulary.yaml")["works"])


_LOADER = getattr(yaml, "CBaseLoader", yaml.BaseLoader)  # ten times as quick where libyaml is there


@cache
def _loaded(name: str) -> dict[str, Any]:
    raw: dict[str, Any] = yaml.load((_HERE / name).read_text("utf-8"), Loader=_LOADER)
    return raw


@cache
def _with_own(own: tuple[tuple[str, tuple[str, ...]], ...]) -> Vocabulary:
    data = _loaded("vocabulary.yaml")
    guards_made = {name: _pattern(name, lines) for name, lines in _loaded("guards.yaml").items()}
    terms = _terms(data["terms"])
    frames = [frame for section, kind in _SECTIONS for frame in _frames(kind, data[section])]
    for work, phrases in own:
        said = [phrase for phrase in phrases if not denied(phrase, guards_made)]
        terms |= {_apart(phrase): frozenset((f"{OWN}{work}",)) for phrase in said}
        frames.append(Frame("work", work, (f"{OWN}{work}",), samples=phrases))
    return Vocabulary(
        classes=_by_word(data["classes"].items()),
        plans={word: frozenset((name,)) for word, name in data["plans"].items()},
        terms=terms,
        frames=tuple(frames),
        measures={w: name for name, words in data["measures"].items() for w in words.split()},
        shapes={w: name for name, words in data["shapes"].items() for w in words.split()},
        stages={w: name for name, words in data["stages"].items() for w in _alternatives(name, words)},
        numbers={word: int(number) for word, number in data["numbers"].items()},
        **{name: frozenset(data[name].split()) for name in _LISTS},
        guards=guards_made,
        works={},
        done_to_it={verb: frozenset(things.split()) for verb, things in data["done_to_it"].items()},
        spoken=_spoken(frames),
        longest=max(map(len, terms)),
        samples={
            (kind, name): tuple(entry.get("samples", ()))
            for section, kind in _SECTIONS
            for name, entry in data[section].items()
        },
    )


def _terms(phrases_by_class: Mapping[str, Sequence[str]]) -> dict[tuple[str, ...], frozenset[str]]:
    terms: dict[tuple[str, ...], frozenset[str]] = {}
    for name, phrases in phrases_by_class.items():
        for phrase in phrases:
            key = tuple(folded(word) for word in phrase.split())
            terms[key] = terms.get(key, frozenset()) | ({name} if name else set())
    return terms


_LISTS = ("fillers", "beside", "parts", "not_before_ids", "after_ids", "not_slips", "materials", "places")


def _alternatives(name: str, words: str) -> Iterable[str]:
    return (words,) if words == name else (name, *(w for w in words.split() if w not in name.split()))


def _by_word(classes: Iterable[tuple[str, str]]) -> dict[str, frozenset[str]]:
    found: dict[str, set[str]] = {}
    for name, words in classes:
        for word in words.split():
            found.setdefault(folded(word), set()).add(name)
    return {word: frozenset(names) for word, names in found.items()}


def _frames(kind: Kind, entries: Mapping[str, Mapping[str, Any]]) -> list[Frame]:
    made: list[Frame] = []
    for name, entry in entries.items():
        months = frozenset(int(m) for m in entry.get("months", ()))
        for said, asks in ((entry["says"], False), (entry.get("asks", ()), True)):
            for line in said:
                classes = tuple(line.split())
                alone = "ALONE" in classes
                bare = tuple(c for c in classes if c != "ALONE")
                made.append(Frame(kind, name, bare, asks or kind == "ending", alone, months, tuple(entry["samples"])))
    return made


def _spoken(frames: Iterable[Frame]) -> dict[str, frozenset[str]]:
    """For each thing that can be said, all classes of its sets: what of a clause goes with it."""
    found: dict[str, set[str]] = {}
    for frame in frames:
        found.setdefault(frame.name, set()).update(c for c in frame.classes if c not in _MADE_UP)
    return {name: frozenset(classes) for name, classes in found.items()}


def _pattern(name: str, lines: Iterable[str] | str) -> re.Pattern[str]:
    body = lines if isinstance(lines, str) else "|".join(lines)
    anchored = rf"^(?:{body})\b" if name.startswith("lead") else rf"\b(?:{body})(?!\w)"
    return re.compile(anchored)
