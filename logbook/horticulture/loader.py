"""The shipped YAML files read into knowledge: their tables of keys, and what is made of each."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path
from typing import Any

from ..collection.kinds import FAILED, Context, Either, Field, Flag, Listing, Number, Record, Table, Text, Word
from ..collection.yaml_reader import Mapping as MappingNode
from ..collection.yaml_reader import file_text, read_text
from ..diagnostics import Problem, ProblemsFound
from .knowledge import Group, Knowledge, Recovery, Row, Unless, WireRule, Work, species_key
from .window_syntax import MARKS, NotAWindow, read_window

_HERE = Path(__file__).resolve().parent


@cache
def shipped_knowledge() -> Knowledge:
    """The knowledge that ships with the tool. Raises ProblemsFound if a file was damaged."""
    groups = _read("groups.yaml", _GROUPS_FILE, {})
    names = {"group names": tuple(groups["groups"]), "sets": tuple(groups["sets"])}
    sets = _flat_sets(groups["sets"], tuple(groups["groups"]))
    work_file = _read("works.yaml", _WORKS_FILE, names)
    works = work_file["works"]
    species, poisonous = _species(_read("species.yaml", _SPECIES_FILE, names)["species"])
    cautions = _read("cautions.yaml", _CAUTIONS_FILE, {})["cautions"]
    return Knowledge(
        groups={n: Group(n, **g) for n, g in groups["groups"].items()},
        sets=sets,
        works={n: _work(n, w, sets) for n, w in works.items()},
        species=species,
        poisonous=poisonous,
        stages=groups["stages"],
        ages=groups["ages"],
        sightings=groups["sightings"],
        thickening_factor=groups["thickening_factor"],
        wire_rules={n: WireRule(**r) for n, r in groups["wire_rules"].items()},
        cautions=cautions,
        recovery=tuple(Recovery(**r) for r in work_file["recovery"]),
        hard_works={g: n for name, n in reversed(work_file["hard_works"].items()) for g in sets[name]},
    )


class _WindowText(Text):
    def read(self, node: Any, context: Context) -> Any:
        text = super().read(node, context)
        if text is FAILED:
            return text
        try:
            return read_window(str(text))
        except NotAWindow as error:
            return context.fault(node, str(error), "moments are separated by ' / '")


class _Condition(Text):
    def read(self, node: Any, context: Context) -> Any:
        text = super().read(node, context)
        if text == "resting":
            return Unless(resting=True)
        if text == "resting unless roots":
            return Unless(resting=True, roots_excuse=True)
        return text if text is FAILED else context.fault(node, f"expected a condition, found '{text}'")


def _words(what: str) -> Listing[str]:
    return Listing(Text(what), what, lone=True)


_YEARS = Number("years", 0.25, 50)
_GROUPS_FILE = Record(
    "groups.yaml",
    (
        Field(
            "groups",
            Table(
                Record(
                    "a group",
                    (
                        Field(
                            "marks",
                            Table(Number("degree-days", 1, 5000), "marks", names=Word("a mark", MARKS)),
                            "degree-days",
                            True,
                        ),
                        Field("root_limit", Number("a root limit", -40, 20), "°C", True),
                        Field("thickening", Number("thickening", 0.1, 20), "mm a year", True),
                        Field("wire", Word("a wire rule", ("conifer", "deciduous", "tropical")), "wire rule", True),
                        Field("chill", Flag(), "needs a winter", True),
                    ),
                ),
                "groups",
            ),
            "groups",
            True,
        ),
        Field("sets", Table(_words("groups"), "sets"), "sets", True),
        Field("stages", _words("stages"), "stages", True),
        Field("ages", Table(_words("stages"), "ages"), "ages", True),
        Field("sightings", _words("sightings"), "sightings", True),
        Field("thickening_factor", Table(Number("a factor", 0.1, 10), "factors"), "factors", True),
        Field(
            "wire_rules",
            Table(
                Record(
                    "a wire rule",
                    (
                        Field("first_check_weeks", Number("weeks", 1, 52, whole=True), "growing weeks", True),
                        Field("seasons", Number("seasons", 1, 9, whole=True), "growing seasons", True),
                    ),
                ),
                "wire rules",
            ),
            "wire rules",
            True,
        ),
    ),
)
_UNLESS = Record(
    "a condition",
    (
        Field("done", Text(), "the work", True),
        Field("force", Word("force", ("light", "heavy")), "only if it was this heavy"),
        Field("within", Text(), "season, last season, or a number of months", True),
    ),
    lambda values, _context, _node: Unless(**values),
)
_RECOVERY = Record(
    "a recovery",
    (
        Field("work", Text(), "the work", True),
        Field("roots", Word("roots", ("light", "hard")), "only with this root work"),
        Field("force", Word("force", ("light", "heavy")), "only if it was this heavy"),
        Field("seasons", Number("seasons", 1, 5, whole=True), "the rest of so many growing seasons"),
        Field("weeks", Number("weeks", 1, 60, whole=True), "growing weeks"),
        Field("months", Number("months", 1, 60, whole=True), "calendar months"),
    ),
)
_WORKS_FILE = Record(
    "works.yaml",
    (
        Field(
            "works",
            Table(
                Record(
                    "a work",
                    (
                        Field("typed", _words("typed words"), "how a note names it", True),
                        Field("hard", Word("hard", ("true", "heavy")), "a hard work, always or when heavy"),
                        Field("always", Flag(), "allowed whatever the tree's state"),
                        Field("details", _words("details"), "entry keys it takes"),
                        Field("caution", Text(), "a caution's name"),
                        Field("care", Flag(), "upkeep, not offered to tick"),
                        Field(
                            "rows",
                            Listing(
                                Record(
                                    "a row",
                                    (
                                        Field("groups", _words("groups or sets"), "for whom", True),
                                        Field("window", _WindowText("a window"), "opens / best / closes"),
                                        Field("genera", _words("genera"), "only for these genera of the groups"),
                                        Field("also", _WindowText("a window"), "a second chance in the season"),
                                        Field("also_rule", Text(), "a second chance that a rule computes"),
                                        Field("made_by", _words("works"), "the works that call for it"),
                                        Field("except", _words("groups or sets"), "but not for these"),
                                        Field(
                                            "offered", Word("offered", ("intended", "sacrifice", "made")), "only when"
                                        ),
                                        Field("optional", Flag(), "as the grower plans"),
                                        Field("growing_days", Number("days", 1, 300, whole=True), "still to come"),
                                        Field("rule", Text(), "the computed rule instead of a window"),
                                        Field("every", Table(_YEARS, "intervals"), "years by age"),
                                        Field("vigour", Number("vigour", 1, 5, whole=True), "least vigour"),
                                        Field("stages", _words("stages"), "only in these stages"),
                                        Field(
                                            "not_if",
                                            Listing(Either(_UNLESS, _Condition("a condition")), "conditions"),
                                            "what forbids it",
                                        ),
                                        Field("sign", Text(), "do it when", True),
                                        Field("too_late", Text(), "too late when", True),
                                    ),
                                ),
                                "rows",
                            ),
                            "when, by group",
                        ),
                    ),
                ),
                "works",
            ),
            "works",
            True,
        ),
        Field("recovery", Listing(_RECOVERY, "recovery times"), "after hard works", True),
        Field(
            "hard_works",
            Table(Number("works", 1, 9, whole=True), "hard works in a season"),
            "by set, the first that fits",
            True,
        ),
    ),
)
_SPECIES_FILE = Record("species.yaml", (Field("species", Table(_words("species"), "species"), "by group", True),))
_CAUTIONS_FILE = Record("cautions.yaml", (Field("cautions", Table(Text(), "cautions"), "cautions", True),))


def _read(name: str, record: Record[dict[str, Any]], words: Mapping[str, tuple[str, ...]]) -> dict[str, Any]:
    document = read_text(file_text(_HERE / name, name), name)
    context = Context(document, words=words)
    value: Any = record.read(document.root, context) if isinstance(document.root, MappingNode) else FAILED
    problems: list[Problem] = document.problems + context.problems
    if problems or value is FAILED:
        raise ProblemsFound(problems or [Problem(f"{name} is damaged", hint="install the tool again")])
    result: dict[str, Any] = value
    return result


def _flat_sets(sets: Mapping[str, tuple[str, ...]], groups: tuple[str, ...]) -> dict[str, frozenset[str]]:
    """Sets may name sets above them; every group is a set of its own."""
    flat = {name: frozenset([name]) for name in groups}
    for name, members in sets.items():
        flat[name] = frozenset().union(*(flat[m] for m in members))
    return flat


def _work(name: str, values: dict[str, Any], sets: Mapping[str, frozenset[str]]) -> Work:
    rows = tuple(
        Row(
            groups=_all_of(row["groups"], sets) - _all_of(row.get("except", ()), sets),
            sign=row["sign"],
            too_late=row["too_late"],
            window=row.get("window"),
            rule=row.get("rule", ""),
            every=row.get("every", {}),
            vigour=row.get("vigour", 0),
            stages=row.get("stages", ()),
            unless=row.get("not_if", ()),
            offered=row.get("offered", ""),
            optional=row.get("optional", not row.get("every")),
            growing_days=row.get("growing_days", 0),
            genera=frozenset(row.get("genera", ())),
            also=row.get("also"),
            also_rule=row.get("also_rule", ""),
            made_by=row.get("made_by", ()),
        )
        for row in values.get("rows", ())
    )
    hard = {"true": "always"}.get(values.get("hard", ""), values.get("hard", ""))
    return Work(
        name,
        values["typed"],
        rows,
        hard,
        values.get("always", False),
        values.get("details", ()),
        values.get("caution", ""),
        values.get("care", False),
    )


def _all_of(names: tuple[str, ...], sets: Mapping[str, frozenset[str]]) -> frozenset[str]:
    return frozenset().union(*(sets[name] for name in names))


def _species(lists: Mapping[str, tuple[str, ...]]) -> tuple[dict[str, str], frozenset[str]]:
    groups: dict[str, str] = {}
    poisonous: set[str] = set()
    for group, lines in lists.items():
        for line in lines:
            names = [species_key(name) for name in line.rstrip(" !").split(" = ")]
            groups |= dict.fromkeys(names, group)
            poisonous |= set(names) if line.endswith("!") else set()
    return groups, frozenset(poisonous)
