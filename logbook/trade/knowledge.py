"""What growers know, read from the YAML files beside this module into frozen values.

Knows groups, sets, species, works and cautions; decides nothing. Everything in the files is common practice with
no published source unless a line names one, and a grower may override it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache, cached_property
from pathlib import Path
from typing import Any

from ..problems import Problem, ProblemsFound, nearest
from ..record.model import Settings
from ..record.reading import Mapping as MappingNode
from ..record.reading import file_text, read_text
from ..record.schema import FAILED, Context, Either, Field, Flag, Listing, Number, Record, Table, Text, Word
from .windows import MARKS, NotAWindow, Window, read_window

_HERE = Path(__file__).resolve().parent


@dataclass(frozen=True, slots=True)
class Group:
    """Trees that keep one calendar: degree-days of marks, °C the roots stand, mm a branch thickens in a year."""

    name: str
    marks: Mapping[str, float]
    root_limit: float
    thickening: float
    wire: str
    chill: bool


@dataclass(frozen=True, slots=True)
class WireRule:
    first_check_weeks: int
    seasons: int


@dataclass(frozen=True, slots=True)
class Unless:
    """What forbids a work: `resting`, or another work done `within` a span (`season`, `9 months`, `last season`)."""

    resting: bool = False
    roots_excuse: bool = False
    done: str = ""
    force: str = ""
    within: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row of a work: for whom, when, how often, on what condition, by which sign."""

    groups: frozenset[str]
    sign: str
    too_late: str
    window: Window | None = None
    rule: str = ""
    every: Mapping[str, float] = field(default_factory=dict)
    vigour: int = 0
    stages: tuple[str, ...] = ()
    unless: tuple[Unless, ...] = ()
    offered: str = ""
    optional: bool = False
    growing_days: int = 0
    overridden: bool = False
    genera: frozenset[str] = frozenset()
    also: Window | None = None
    made_by: str = ""


@dataclass(frozen=True, slots=True)
class Work:
    """`hard` is "", "always" or "heavy" (hard only with `force: heavy`); `care` is upkeep that no sheet offers to tick."""

    name: str
    typed: tuple[str, ...]
    rows: tuple[Row, ...] = ()
    hard: str = ""
    always_allowed: bool = False
    details: tuple[str, ...] = ()
    caution: str = ""
    care: bool = False

    def row(self, group: str, genus: str = "") -> Row | None:
        """The row for a group; one for a genus of it comes first, and is for that genus alone."""
        return next((r for r in self.rows if group in r.groups and (not r.genera or genus in r.genera)), None)


@dataclass(frozen=True, slots=True)
class Recovery:
    """How long after a hard work the next may come: seasons, growing weeks or calendar months."""

    work: str
    roots: str = ""
    force: str = ""
    seasons: int = 0
    weeks: int = 0
    months: int = 0


@dataclass(frozen=True)
class Knowledge:
    groups: Mapping[str, Group]
    sets: Mapping[str, frozenset[str]]
    works: Mapping[str, Work]
    species: Mapping[str, str]
    poisonous: frozenset[str]
    stages: tuple[str, ...]
    ages: Mapping[str, tuple[str, ...]]
    sightings: tuple[str, ...]
    thickening_factor: Mapping[str, float]
    wire_rules: Mapping[str, WireRule]
    cautions: Mapping[str, str]
    recovery: tuple[Recovery, ...] = ()
    hard_works: Mapping[str, int] = field(default_factory=dict)

    @cached_property
    def _rows(self) -> dict[tuple[str, str], tuple[tuple[Work, Row], ...]]:
        return {}

    def rows(self, group: str, genus: str) -> tuple[tuple[Work, Row], ...]:
        """The works that have a row for a group (and genus), in the order of works.yaml."""
        if (group, genus) not in self._rows:
            self._rows[group, genus] = tuple((w, row) for w in self.works.values() if (row := w.row(group, genus)))
        return self._rows[group, genus]

    @property
    def words(self) -> Mapping[str, tuple[str, ...]]:
        """The word lists a record is checked against."""
        return {
            "works": tuple(self.works),
            "stages": self.stages,
            "sightings": self.sightings,
            "groups": tuple(self.groups),
            "marks": MARKS,
        }

    def group_of(self, species: str) -> str:
        """The growth group of a botanical name, or an empty string."""
        return self.species.get(species_key(species), "")

    def is_poisonous(self, species: str) -> bool:
        return species_key(species) in self.poisonous

    def species_advice(self, species: str, own: Mapping[str, str]) -> str:
        """An empty string for a known species, else what to do about it."""
        key = species_key(species)
        if key in self.species or key in {species_key(s) for s in own}:
            return ""
        close = nearest(key, self.species, 0.88)
        if close:
            return f"did you mean '{close[:1].upper()}{close[1:]}'? otherwise add group: (how it grows)"
        kin = {g for s, g in self.species.items() if s.split()[0] == key.split(" ")[0]}
        if len(kin) == 1:
            group = kin.pop()
            return f"other {key.split(' ')[0].capitalize()} grow as '{group}': add group: {group}"
        return "add group: (how it grows), or list it under species: in collection.yaml"

    def own(self, settings: Settings) -> tuple[Knowledge, list[Problem]]:
        """This knowledge with a collection's overrides laid over it, and their faults."""
        from .overrides import with_overrides  # which is built on this module

        return with_overrides(self, settings)


def species_key(species: str) -> str:
    """Genus and species in lower case: cultivar, author, variety and the hybrid sign put away."""
    bare = re.sub(r"['‘’\"].*", "", species).replace("×", " ")
    words = [w for w in bare.casefold().split() if w != "x"]
    return " ".join(words[:2])


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


def _words(what: str) -> Listing:
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
                                        Field("made_by", Text(), "the work a season before it"),
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


def _read(name: str, record: Record, words: Mapping[str, tuple[str, ...]]) -> dict[str, Any]:
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
            made_by=row.get("made_by", ""),
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
