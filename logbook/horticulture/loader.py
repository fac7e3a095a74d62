"""The shipped YAML files read into knowledge: their tables of keys, and what is made of each."""

from __future__ import annotations

from collections.abc import Mapping
from functools import cache
from pathlib import Path

from ..collection.kinds import FAILED, Context, Field, Flag, Listing, Number, Record, Table, Text, Values, Word
from ..collection.yaml_reader import Mapping as MappingNode
from ..collection.yaml_reader import file_text, read_text
from ..diagnostics import Problem, ProblemsFound
from .aftercare import AFTERCARE_FILE, aftercare_of, pauses_of
from .forbids_fields import FORBIDS_FILE, forbids_of
from .group import Group
from .knowledge import Knowledge, WireRule
from .pests import PESTS_FILE, pest_of
from .sources import Source
from .species import ROOT_PRUNING
from .species_register import SpeciesRegister
from .window_syntax import MARKS
from .work_fields import WORK, work_of

_HERE = Path(__file__).resolve().parent


@cache
def shipped_knowledge() -> Knowledge:
    """The knowledge that ships with the tool. Raises ProblemsFound if a file was damaged."""
    groups = _read("groups.yaml", _GROUPS_FILE, {})
    sets = _flat_sets(groups["sets"], {name: group.get("formerly", "") for name, group in groups["groups"].items()})
    cautions = _read("cautions.yaml", _CAUTIONS_FILE, {})["cautions"]
    names = {
        "group names": tuple(groups["groups"]),
        "sets": tuple(groups["sets"]),
        "groups or sets": tuple(sets),
        "cautions": tuple(cautions),
    }
    work_file = _read("works.yaml", _WORKS_FILE, names)
    works = work_file["works"]
    forbids = _read("forbids.yaml", FORBIDS_FILE, names)
    aftercare = _read("aftercare.yaml", AFTERCARE_FILE, {})
    pests = _read("pests.yaml", PESTS_FILE, names)["pests"]
    return Knowledge(
        groups={n: Group(n, **g) for n, g in groups["groups"].items()},
        sets=sets,
        works={name: work_of(name, given, sets) for name, given in works.items()},
        register=SpeciesRegister(lambda: {n: g["marks"] for n, g in groups["groups"].items()}),
        stages=groups["stages"],
        ages=groups["ages"],
        sightings=groups["sightings"],
        thickening_factor=groups["thickening_factor"],
        wire_rules={n: WireRule(**r) for n, r in groups["wire_rules"].items()},
        cautions=cautions,
        forbids=forbids_of(forbids, sets),
        aftercare=aftercare_of(aftercare["aftercare"]),
        feeding_pauses=pauses_of(aftercare["feeding_pauses"]),
        hard_works={g: n for name, n in reversed(work_file["hard_works"].items()) for g in sets[name]},
        pests=tuple(pest_of(name, given, sets) for name, given in pests.items()),
        root_shares=groups["root_shares"],
    )


@cache
def shipped_sources() -> Mapping[str, Source]:
    """Where the figures of species.csv come from, by key. Raises ProblemsFound if the file was damaged."""
    read = _read("sources.yaml", _SOURCES_FILE, {})["sources"]
    return {key: Source(key, **source) for key, source in read.items()}


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
                        Field("roots", Word("a share of the roots", ROOT_PRUNING), "what a repotting may take", True),
                        Field("shade", Number("a mean daily maximum", 10, 45), "°C"),
                        Field("active_night", Number("a mean night minimum", 0, 30), "°C"),
                        Field("formerly", Text(), "the group it was part of before"),
                    ),
                ),
                "groups",
            ),
            "groups",
            True,
        ),
        Field("sets", Table(_words("groups"), "sets"), "sets", True),
        Field(
            "root_shares",
            Table(Text(), "shares", names=Word("a share of the roots", ROOT_PRUNING)),
            "what a repotting may take",
            True,
        ),
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
_WORKS_FILE = Record(
    "works.yaml",
    (
        Field("works", Table(WORK, "works"), "works", True),
        Field(
            "hard_works",
            Table(Number("works", 1, 9, whole=True), "hard works in a season"),
            "by set, the first that fits",
            True,
        ),
    ),
)
_SOURCES_FILE = Record(
    "sources.yaml",
    (
        Field(
            "sources",
            Table(
                Record(
                    "a source",
                    (
                        Field("citation", Text(), "who, when, where", True),
                        Field("read", Text(), "how much of it was read", True),
                        Field("use", Text(), "what was taken, how sure", True),
                    ),
                ),
                "sources",
            ),
            "sources",
            True,
        ),
    ),
)
_CAUTIONS_FILE = Record("cautions.yaml", (Field("cautions", Table(Text(), "cautions"), "cautions", True),))


def _read(name: str, record: Record[Values], words: Mapping[str, tuple[str, ...]]) -> Values:
    document = read_text(file_text(_HERE / name, name), name)
    context = Context(document, words=words)
    value = record.read(document.root, context) if isinstance(document.root, MappingNode) else FAILED
    problems: list[Problem] = document.problems + context.problems
    if problems or value is FAILED:
        raise ProblemsFound(problems or [Problem(f"{name} is damaged", hint="install the tool again")])
    return value


def _flat_sets(sets: Mapping[str, tuple[str, ...]], groups: Mapping[str, str]) -> dict[str, frozenset[str]]:
    """Sets may name sets above them; every group is a set of its own, and so are the groups that were one before."""
    flat = {name: frozenset([name]) for name in groups}
    for before in {name for name in groups.values() if name}:
        flat[before] = frozenset(name for name, formerly in groups.items() if formerly == before)
    for name, members in sets.items():
        flat[name] = frozenset().union(*(flat[m] for m in members))
    return flat
