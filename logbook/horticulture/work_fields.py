"""The keys of a work, declared once for works.yaml and for a collection's own works, and the record made of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from typing import Any

from ..collection.fields import OWN_WORK_NAME
from ..collection.kinds import (
    FAILED,
    AnyField,
    Context,
    Either,
    Failed,
    Field,
    Flag,
    Given,
    Listing,
    Number,
    Record,
    Table,
    Text,
    Values,
    Word,
)
from ..collection.kinds import Kind as KindOfValue
from ..collection.yaml_reader import Mapping as MappingNode
from .window_syntax import NotAWindow, read_window
from .work import Hard, Kind, Offer, OnSheet, Recovery, Row, Thing, Trait, Turns, Unless, Within, Work

_YEARS = Number("years", 0.25, 50)
AGES = ("young", "grown", "old")


class WindowText(Text):
    """`opens / best / closes`, read into a Window."""

    def read(self, node: Any, context: Context) -> Any:
        """The Window that the text spells; FAILED, with the form told, where it spells none."""
        text = super().read(node, context)
        if text is FAILED:
            return text
        try:
            return read_window(str(text))
        except NotAWindow as error:
            return context.fault(
                node, str(error), "write opens / best / closes, as in: swell - 21 / swell - 3 / open"
            )


class _Condition(Text):
    """A condition that is a word or two; others are mappings."""

    def read(self, node: Any, context: Context) -> Any:
        text = super().read(node, context)
        known = {"resting": Unless(resting=True), "resting unless roots": Unless(resting=True)}
        if not isinstance(text, str) or text in known:
            return known.get(text, text) if isinstance(text, str) else text
        return context.fault(node, f"expected a condition, found '{text}'", f"one of: {', '.join(known)}")


def _unless(values: Values, context: Context, node: MappingNode) -> Unless | Failed:
    within = values.pop("within")
    if within in tuple(Within):
        return Unless(within=Within(within), **values)
    number, _, unit = within.partition(" ")
    if number.isdecimal() and unit == "months":
        return Unless(months=int(number), **values)
    hint = "write season, last season, or a number of months: 9 months"
    return context.fault(node.items["within"], f"expected a span, found '{within}'", hint)


def words(what: str) -> Listing[str]:
    """A list of words, or one word."""
    return Listing(Text(what), what, lone=True)


def _choice(what: str, choices: type[Kind | Hard | OnSheet | Thing | Offer | Trait]) -> Word:
    return Word(what, tuple(choice.value for choice in choices if choice.value))


def _whole(what: str, most: int) -> Number:
    return Number(what, 1, most, whole=True)


_GROUPS = Listing(Word("a growth group or a set of them", named="groups or sets"), "groups or sets", lone=True)
_FORCE = Word("force", ("light", "heavy"))
_THINGS = Listing(_choice("a thing on a tree", Thing), "things on a tree", lone=True)
_TRAITS = Listing(_choice("what a species is like", Trait), "what a species is like", lone=True)
_TURNS = Record(
    "turns",
    (
        Field("within", _whole("days", 120), "days in which all turns are one work", True),
        Field("apart", _whole("days", 60), "days between two turns", True),
    ),
    lambda values, _context, _node: Turns(**values),
)
_UNLESS = Record(
    "a condition",
    (
        Field("done", Text(), "what a work done before acts as", True),
        Field("force", _FORCE, "only if it was this heavy"),
        Field("within", Text(), "season, last season, or a number of months", True),
    ),
    _unless,
)
_RECOVERY = Record(
    "a recovery",
    (
        Field("roots", Word("roots", ("light", "hard")), "only with this root work"),
        Field("force", _FORCE, "only if it was this heavy"),
        Field("seasons", _whole("seasons", 5), "the rest of so many growing seasons"),
        Field("weeks", _whole("weeks", 60), "growing weeks"),
        Field("months", _whole("months", 60), "calendar months"),
    ),
    lambda values, _context, _node: Recovery(**values),
)
ROW = Record(
    "a row",
    (
        Field("groups", _GROUPS, "for whom", True),
        Field("window", WindowText("a window"), "opens / best / closes"),
        Field("genera", words("genera"), "only for these genera of the groups"),
        Field("where", _TRAITS, "only for species like this"),
        Field("not_where", _TRAITS, "but not for species like this"),
        Field("also", WindowText("a window"), "a second chance in the season"),
        Field("also_rule", Text(), "a second chance that a rule computes"),
        Field("also_sign", Text(), "the second chance's sign"),
        Field("also_too_late", Text(), "when the second chance has passed"),
        Field("how", Text(), "how much, or in what way"),
        Field("except", _GROUPS, "but not for these"),
        Field("offered", _choice("offered", Offer), "only when"),
        Field("optional", Flag(), "as the grower plans"),
        Field("growing_days", _whole("days", 300), "still to come"),
        Field("latest", _whole("days", 180), "days after midsummer on which its window closes at the latest"),
        Field("rule", Text(), "the computed rule instead of a window"),
        Field("every", Table(_YEARS, "intervals", names=Word("an age", AGES)), "years by age"),
        Field("vigour", _whole("vigour", 5), "least vigour"),
        Field("stages", words("stages"), "only in these stages"),
        Field("not_if", Listing(Either(_UNLESS, _Condition("a condition")), "conditions"), "what forbids it"),
        Field("sign", Text(), "do it when", True),
        Field("too_late", Text(), "too late when", True),
    ),
)
WORK = Record(
    "a work",
    (
        Field("typed", words("typed words"), "how a note names it", True),
        Field("kind", _choice("a kind of work", Kind), "what it asks something of", True),
        Field("acts", words("acts"), "what conditions of other works call it by"),
        Field("short", Text(), "its name where there is little room", True),
        Field("mark", Text(), "two letters that stand for it on paper", True),
        Field("done", Text(), "how paper says that it was done"),
        Field("turns", _TURNS, "done in several turns"),
        Field("minutes", _whole("minutes", 600), "what it takes on a tree of middling size"),
        Field("hard", _choice("hard", Hard), "a hard work, always or when heavy"),
        Field("recovery", Listing(_RECOVERY, "recovery times"), "how long until the next hard work"),
        Field("always", Flag(), "allowed whatever the tree's state"),
        Field("details", words("details"), "entry keys it takes"),
        Field("caution", Word("a caution", named="cautions"), "a caution's name"),
        Field("sheet", _choice("a place on the sheet", OnSheet), "offered, later or never"),
        Field("urgent", Flag(), "before others"),
        Field("puts", _THINGS, "what it puts on a tree"),
        Field("looks", _THINGS, "what it looks at"),
        Field("takes", _THINGS, "what it takes off a tree"),
        Field("begins", Text(), "the stage in which it begins a tree of which none is written"),
        Field("into", Word("what it goes into", ("pot",)), "where it puts the tree"),
        Field("counts_from", Word("what it counts from", ("pot",)), "what its interval counts from"),
        Field("builds", Flag(), "building work"),
        Field("once_days", _whole("days", 400), "within which a second one is more likely a slip"),
        Field("one_hand_days", _whole("days", 60), "within which another hand's turn is more likely the same one"),
        Field("changes_growth", Flag(), "the trunk's rate is another one after it"),
        Field("light_kind", _choice("a kind of work", Kind), "the kind of a turn that was not heavy"),
        Field("wants_strength", Flag(), "kills a weak tree"),
        Field("wants_strength_of", _GROUPS, "kills a weak tree of these, with hard roots"),
        Field("only_on", _GROUPS, "of any other tree it is asked whether that is the right one"),
        Field("not_stages", words("stages"), "stages in which it is not offered, unless it was meant"),
        Field("outdoors", Flag(), "not for a tree that is kept indoors all year"),
        Field("minded", Flag(), "whoever minds the tree has to see to it"),
        Field("was", words("names of before"), "what it was called before, in older files"),
        Field("rows", Listing(ROW, "rows"), "when, by group"),
    ),
)
_EVERY = Either(Table(_YEARS, "intervals", names=Word("an age", AGES)), _YEARS, lambda n: dict.fromkeys(AGES, n))
_RULE = Word("a rule", named="rules")


def _own(field: AnyField) -> AnyField:
    """A key as a collection may give it: none must be there, and what the trade must know is checked where it stands."""
    kinds: dict[str, KindOfValue[Any]] = {"rule": _RULE, "also_rule": _RULE, "every": _EVERY}
    return replace(field, required=False, kind=kinds.get(field.key, field.kind))


_OWN_ROW = tuple(replace(_own(f), required=f.required) for f in ROW.fields)
OWN_WORK: Record[Values] = Record(
    OWN_WORK_NAME,
    (
        *(_own(f) for f in ROW.fields),
        *(_own(f) for f in WORK.fields if f.key != "rows"),
        Field("rows", Listing(Record("a row", _OWN_ROW), "rows"), "further rows, by group"),
    ),
)


def work_of(name: str, values: Given, sets: Mapping[str, frozenset[str]]) -> Work:
    """The record of a work out of its keys; sets of groups become the groups themselves."""
    return Work(name, rows=tuple(row_of(row, sets) for row in values.get("rows", ())), **traits_of(values, sets))


def traits_of(values: Given, sets: Mapping[str, frozenset[str]]) -> Values:
    """What a work's keys say, by attribute of Work; its name and rows apart."""
    made: dict[str, Callable[[Any], Any]] = {
        "kind": Kind,
        "hard": Hard,
        "light_kind": Kind,
        "sheet": OnSheet,
        "puts": _things,
        "looks": _things,
        "takes": _things,
        "wants_strength_of": lambda names: all_of(names, sets),
        "only_on": lambda names: all_of(names, sets),
    }
    renamed = {"always": "always_allowed"}
    plain = (f.key for f in WORK.fields if f.key not in ("rows",) and f.key in values)
    return {renamed.get(key, key): made[key](values[key]) if key in made else values[key] for key in plain}


def _things(words: tuple[str, ...]) -> tuple[Thing, ...]:
    return tuple(Thing(word) for word in words)


def row_of(values: Given, sets: Mapping[str, frozenset[str]]) -> Row:
    """A row out of its keys; one without an interval is optional where it does not say."""
    return Row(**{"optional": not values.get("every"), **row_traits_of(values, sets)})


def row_traits_of(values: Given, sets: Mapping[str, frozenset[str]]) -> Values:
    """What a row's keys say, by attribute of Row."""
    made: dict[str, Callable[[Any], Any]] = {
        "groups": lambda names: all_of(names, sets) - all_of(values.get("except", ()), sets),
        "offered": Offer,
        "genera": frozenset,
        "where": _traits,
        "not_where": _traits,
    }
    renamed = {"not_if": "unless"}
    plain = (f.key for f in ROW.fields if f.key != "except" and f.key in values)
    return {renamed.get(key, key): made[key](values[key]) if key in made else values[key] for key in plain}


def _traits(words: tuple[str, ...]) -> tuple[Trait, ...]:
    return tuple(Trait(word) for word in words)


def all_of(names: tuple[str, ...], sets: Mapping[str, frozenset[str]]) -> frozenset[str]:
    """The groups of several groups or sets of them."""
    return frozenset().union(*(sets[name] for name in names))
