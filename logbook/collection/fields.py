"""The one table of keys: what may stand in `collection.yaml` and in a tree's file.

The checks, the did-you-mean and the docs all come from here. Words of the trade (works, stages, sightings,
groups) are only named; the trade's data supplies them.
"""

from __future__ import annotations

import re
from typing import Any

from ..storage.printed import SOURCE_FORM
from .builders import branch_of, entry_of, made, normals_of, pot_of, settings_of, site_of, tree_of
from .kinds import (
    FAILED,
    Context,
    Date,
    Either,
    Field,
    Flag,
    InnerPath,
    Listing,
    Number,
    Pattern,
    Placed,
    Record,
    Table,
    Text,
    Wire,
    Word,
)
from .model import Ended, Found, Intention, MonthMean, Origin, Targets, TrunkTarget, WorkOverride
from .units import US, Units
from .yaml_reader import Mapping as MappingNode

RESERVED = r"(?!(?:[Cc][Oo][Nn]|[Pp][Rr][Nn]|[Aa][Uu][Xx]|[Nn][Uu][Ll]|(?:[Cc][Oo][Mm]|[Ll][Pp][Tt])\d)(?:\.|$))"
TAG_FORM = RESERVED + r"[^\s/\\:;,#?*\"'“”‘’<>|.\x00-\x1f][^\s/\\:;,#?*\"'“”‘’<>|\x00-\x1f]{0,15}"
ENDINGS = ("died", "sold", "given", "lost", "stolen", "planted out", "merged")
STYLES = (
    "formal upright",
    "informal upright",
    "slanting",
    "cascade",
    "semi-cascade",
    "broom",
    "literati",
    "windswept",
    "clump",
    "forest",
    "root over rock",
    "raft",
    "twin trunk",
)
ORIGINS = ("seed", "cutting", "layer", "nursery", "collected", "bought", "gift", "graft", "split")
POT_SHAPES = ("rectangle", "oval", "round", "drum", "bowl", "other")
FEED_FORM = r"\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?"
TROUBLES = ("roots", "pot", "pests", "disease", "frost", "drought", "damage")


def _length(what: str, low_mm: float = 0.1, high_mm: float = 20_000) -> Number:
    return Number(what, low_mm, high_mm, convert=Units.length_mm, unit=" mm")


def _temperature(what: str) -> Number:
    return Number(what, -60, 55, convert=Units.celsius, unit=" °C")


TAG = Pattern(
    "a tag",
    TAG_FORM,
    "1 to 16 letters and digits, no spaces or slashes, and not con, nul or the like; quote it if it begins with 0",
)
BRANCH_ID = Pattern("a branch number", r"[A-Za-z]{0,2}\d{0,3}[a-z]?", "a number or a letter and a number: 1, S1")
VIGOUR = Number("vigour", 1, 5, whole=True)
STAGE = Word("a stage", named="stages")
COUNT = Number("a count", 1, 100_000, whole=True)

POT = Record(
    "a pot",
    (
        Field("shape", Word("a pot's shape", POT_SHAPES), "its shape", True),
        Field("inner", Listing(_length("an inner dimension"), "inner dimensions"), "inside: length, width, depth"),
        Field(
            "base",
            Listing(_length("an inner dimension"), "inner dimensions of the bottom"),
            "inside bottom: length, width",
        ),
        Field(
            "outer",
            Listing(_length("an outer dimension"), "outer dimensions"),
            "outside, where the inside is unknown",
        ),
        Field(
            "areas",
            Listing(Number("an area", 1, 4_000_000, convert=Units.area_mm2, unit=" mm²"), "cross-sections"),
            "an odd pot's inside areas, cm² (us: square inches), from bottom to rim at equal steps",
        ),
        Field("material", Text(), "clay, wood, plastic …"),
    ),
    pot_of,
)

FOUND = Record(
    "the opening state",
    (
        Field("stage", STAGE, "the stage it was in"),
        Field("repotted", Date(), "when it was last repotted"),
        Field("vigour", VIGOUR, "1 failing, 3 holding, 5 strong"),
        Field("wired", Date(), "when the wire on it was put on"),
    ),
    made(Found),
)

MEASURED = Record(
    "measurements",
    (
        Field("trunk", _length("trunk calliper", 0.5, 2000), "calliper, the mean of two directions"),
        Field("height", _length("height"), "above the soil"),
        Field("crown", _length("crown width"), "the mean of two directions"),
        Field("leaf", _length("leaf or needle length", 0.3, 1000), "a typical leaf or needle"),
        Field("tips", COUNT, "growing tips counted"),
    ),
)

INTENTION = Record(
    "an intention",
    (
        Field("what", Text(), "in your own words", True),
        Field("by", Date(), "by when"),
        Field("work", Word("a work", named="works"), "the work it is"),
        Field("branches", Listing(BRANCH_ID, "branch numbers", lone=True), "which branches"),
    ),
    made(Intention),
)


class _PlainIntention(Text):
    """An intention given as bare text."""

    def read(self, node: Any, context: Context) -> Any:
        text = super().read(node, context)
        return text if text is FAILED else Intention(text)


ENTRY = Record(
    "a log entry",
    (
        Field("date", Date(), "the day, or as much of it as is known", True),
        Field("work", Word("a work", named="works"), "what was done"),
        Field("branches", Listing(BRANCH_ID, "branch numbers", lone=True), "which branches"),
        Field("measured", MEASURED, "what was measured"),
        Field("vigour", VIGOUR, "1 failing, 3 holding, 5 strong"),
        Field("saw", Word("a sign of the season", named="sightings"), "a sign of the season seen on this tree"),
        Field("stage", STAGE, "the stage it enters"),
        Field("rest", Word("'begins' or 'ends'", ("begins", "ends")), "a rest begins or ends"),
        Field("trouble", Word("a trouble", TROUBLES), "what ails it"),
        Field("intend", Either(INTENTION, _PlainIntention("an intention")), "what is meant next"),
        Field("did", Text("what was done"), "an intention carried out, in its own words"),
        Field("note", Text("a note"), "a remark"),
        Field("photo", InnerPath("a photo's path"), "a path inside the collection"),
        Field("minutes", Number("minutes", 1, 6000, whole=True), "how long it took"),
        Field(
            "from", Pattern("a sheet and line", SOURCE_FORM, "as in 00142-4/3"), "sheet and line it was typed from"
        ),
        Field("replaces", Pattern("a sheet and line", SOURCE_FORM, "as in 00142-4/3"), "the entry this one corrects"),
        Field("found", FOUND, "what was known when the record began"),
        Field("pot", POT, "the pot it went into"),
        Field("mix", Table(Number("parts", 0.01, 1000), "a soil mix"), "components and their parts"),
        Field("roots", Word("root work", ("none", "light", "hard")), "how much was cut"),
        Field("force", Word("light or heavy", ("light", "heavy")), "how heavy the work was"),
        Field("metal", Word("a wire metal", ("copper", "aluminium")), "the wire's metal"),
        Field("wire", Listing(Wire(), "wire sizes", lone=True), "its thickness, mm or gauge"),
        Field("bite", Word("a wire's bite", ("none", "starting", "cut")), "how far the wire had bitten"),
        Field("keep", Flag(), "this wire stays on past its season"),
        Field(
            "weighed",
            Record(
                "a weighing",
                (
                    Field("wet", Number("a weight", 0.05, 500), "after watering"),
                    Field("dry", Number("a weight", 0.05, 500), "when it wants water"),
                ),
            ),
            "the pot's weight wet and dry",
        ),
        Field(
            "feed", Pattern("a feed", FEED_FORM, "nitrogen, phosphorus, potassium: 5-5-5"), "N-P-K of what was fed"
        ),
        Field("new", Listing(TAG, "tags", lone=True), "tags of trees made from this one"),
        Field("merged", Listing(TAG, "tags", lone=True), "tags of trees planted together with this one"),
    ),
    entry_of,
)

BRANCH = Record(
    "a branch",
    (
        Field("id", BRANCH_ID, "its number; never used again", True),
        Field("clock", Number("a clock direction", 0, 12.99), "direction seen from above, 6 towards the viewer"),
        Field("height", _length("a height", 0), "where it leaves the trunk"),
        Field("role", Word("a branch's role", ("keep", "undecided", "sacrifice", "deadwood")), "what it is for"),
        Field("until", Text(), "what ends it: 'trunk target', or a date"),
        Field("diameter", _length("a diameter", 0.3, 1000), "at its base"),
        Field("length", _length("a length"), "along the branch"),
        Field("note", Text(), "a remark"),
    ),
    branch_of,
)

TREE = Record(
    "a tree",
    (
        Field("tag", TAG, "its identity; never changes, never used again", True),
        Field("name", Text("a name"), "what you call it"),
        Field("species", Text("a species"), "botanical name"),
        Field("cultivar", Text("a cultivar"), "without quotes"),
        Field("group", Word("a growth group", named="groups"), "how it grows, where the species does not say"),
        Field("treat_as", Word("a growth group", named="groups"), "work it like this group"),
        Field("indoors", Word("indoors", ("always", "winter")), "kept indoors always, or in winter"),
        Field(
            "origin",
            Record(
                "an origin",
                (
                    Field("kind", Word("an origin", ORIGINS), "how it began"),
                    Field("date", Date(), "when"),
                    Field("place", Text(), "where, or with whose leave"),
                    Field("parent", TAG, "the tag it was taken from"),
                ),
                made(Origin),
            ),
            "where it came from",
        ),
        Field("started", Date(), "in training since"),
        Field("style", Word("a style", STYLES), "its style"),
        Field("bench", Text("a bench place"), "where it stands"),
        Field("aim", Text("an aim"), "what you want of it"),
        Field("front", Text("a front"), "how the front is found again"),
        Field(
            "targets",
            Record(
                "targets",
                (
                    Field(
                        "trunk",
                        Either(
                            Record(
                                "a trunk target",
                                (
                                    Field("to", _length("calliper"), "calliper to reach", True),
                                    Field("at", _length("a height", 0), "the height it is taken at"),
                                ),
                                made(TrunkTarget),
                            ),
                            _length("calliper"),
                        ),
                        "calliper to reach",
                    ),
                    Field("height", _length("height"), "height to reach"),
                    Field("crown", _length("crown width"), "width to reach"),
                    Field("leaf", _length("leaf or needle length", 0.3, 1000), "leaf length to reach"),
                    Field("tips", COUNT, "tips to reach"),
                ),
                lambda values, _context, _node: Targets(**_trunk_target(values)),
            ),
            "what to measure against",
        ),
        Field("branches", Listing(BRANCH, "branches"), "the branch table"),
        Field("log", Listing(ENTRY, "log entries"), "what happened; may be empty", True),
        Field("count", COUNT, "how many stand in a seedling tray"),
        Field("provenance", Text(), "for a dossier"),
        Field("value", Text(), "for a dossier"),
        Field("also", Listing(TAG, "tags", lone=True), "older numbers"),
        Field(
            "ended",
            Record(
                "an ending",
                (
                    Field("date", Date(), "when", True),
                    Field("how", Word("an ending", ENDINGS), "how", True),
                    Field("note", Text(), "a remark"),
                ),
                made(Ended),
            ),
            "the tree has left the collection",
        ),
    ),
    tree_of,
)


def _trunk_target(values: dict[str, Any]) -> dict[str, Any]:
    trunk = values.get("trunk")
    if isinstance(trunk, float):
        values["trunk"] = TrunkTarget(trunk)
    return values


NORMALS = Record(
    "normals",
    (
        Field("years", Pattern("a span of years", r"\d{4}-\d{4}", "as in 1991-2020"), "the years they cover"),
        Field(
            "tmin",
            Listing(_temperature("a monthly mean minimum"), "the monthly mean minimums", exactly=12),
            "twelve monthly mean minimums, January first",
            True,
        ),
        Field(
            "tmax",
            Listing(_temperature("a monthly mean maximum"), "the monthly mean maximums", exactly=12),
            "twelve monthly mean maximums, January first",
            True,
        ),
        Field("coldest_night", _temperature("the coldest night"), "average coldest night of the year"),
    ),
    normals_of,
)

SITE = Record(
    "a site",
    (
        Field("latitude", Number("latitude", -90, 90, unit="°"), "degrees, south negative", True),
        Field("longitude", Number("longitude", -180, 180, unit="°"), "degrees, west negative"),
        Field("elevation", Number("elevation", -450, 6000, convert=Units.metres, unit=" m"), "above the sea"),
        Field("normals", NORMALS, "twelve monthly means"),
        Field(
            "frost",
            Record(
                "frost dates",
                (
                    Field("last", Date("month-day"), "usual last frost of spring"),
                    Field("first", Date("month-day"), "usual first frost of autumn"),
                ),
            ),
            "your own frost dates; they win over the computed ones",
        ),
    ),
    site_of,
)

MONTH = Record(
    "a month's means",
    (
        Field("tmin", _temperature("a mean minimum"), "mean minimum", True),
        Field("tmax", _temperature("a mean maximum"), "mean maximum", True),
    ),
    made(MonthMean),
)

DAY_NAMES = Word("a weekday", ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"))


class _Hours(Text):
    """`3h`, `90min` → hours."""

    def read(self, node: Any, context: Context) -> Any:
        text = super().read(node, context)
        if text is FAILED:
            return text
        hours = hours_of(str(text))
        if hours is None:
            return context.fault(node, f"expected a time, found '{text}'", "write 3h or 90min")
        return hours


def hours_of(text: str) -> float | None:
    """`3h`, `90min` as hours; None where it is no time within a day."""
    found = re.fullmatch(r"(\d+(?:\.\d+)?)\s*(h|min)", text)
    if not found or not 0 < float(found[1]) <= (24 if found[2] == "h" else 1440):
        return None
    return float(found[1]) / (1 if found[2] == "h" else 60)


def _override(values: dict[str, Any], context: Context, node: MappingNode) -> Any:
    return WorkOverride(place=context.document.place(node), **values)


_DEGREE_DAYS = Number("degree-days", 1, 5000)
GROUP_NUMBERS = Record(
    "a group's numbers",
    (
        Field("swell", _DEGREE_DAYS, "degree-days to swelling buds"),
        Field("open", _DEGREE_DAYS, "degree-days to open leaves"),
        Field("hardened", _DEGREE_DAYS, "degree-days to hardened shoots"),
        Field("flower", _DEGREE_DAYS, "degree-days to flowers"),
        Field(
            "root_limit", Number("a root limit", -40, 20, convert=Units.celsius, unit=" °C"), "what its roots stand"
        ),
        Field(
            "thickening",
            Number("thickening", 0.1, 20, convert=Units.length_mm, unit=" mm"),
            "what a small branch gains in a year",
        ),
    ),
)
WORK_OVERRIDE = Record(
    "a work's numbers",
    (
        Field(
            "groups",
            Listing(Placed(Text("a group or a set")), "groups or sets", lone=True),
            "for which groups or sets",
        ),
        Field("window", Placed(Text("a window")), "opens / best / closes, as in: swell - 21 / swell - 3 / open"),
        Field("every", Number("years", 0.25, 50), "years between two turns"),
        Field("vigour", VIGOUR, "least vigour"),
        Field("sign", Text("a sign"), "do it when"),
        Field("too_late", Text("a sign"), "too late when"),
        Field("typed", Listing(Text("typed words"), "typed words", lone=True), "how a note names it"),
    ),
    _override,
)

COLLECTION = Record(
    "a collection",
    (
        Field("format", Number("the format", 1, 1, whole=True), "1", True),
        Field("title", Text("a title"), "what you call the collection", True),
        Field("link", Text("a link"), "what the code on a tag opens"),
        Field("units", Word("units", ("metric", "us")), "metric or us"),
        Field("site", SITE, "where the trees stand"),
        Field("bench_days", Table(_Hours("a time"), "bench days", names=DAY_NAMES), "the time you have"),
        Field(
            "species",
            Table(
                Record(
                    "a species",
                    (Field("group", Word("a growth group", named="groups"), "how it grows", True),),
                    lambda values, _context, _node: values["group"],
                ),
                "own species",
            ),
            "own species and their growth groups",
        ),
        Field(
            "groups",
            Table(GROUP_NUMBERS, "groups' numbers", names=Word("a growth group", named="groups")),
            "your own numbers for a group",
        ),
        Field("works", Table(WORK_OVERRIDE, "works"), "your own numbers for a work, or works of your own"),
        Field("date_order", Word("a date order", ("day-month", "month-day")), "how 3/4 is read"),
        Field(
            "marks",
            Table(
                Table(Date("month-day"), "marks", names=Word("a mark", named="marks")),
                "marks of groups",
                names=Word("a growth group", named="groups"),
            ),
            "your own dates for a group's marks",
        ),
        Field(
            "months",
            Table(MONTH, "months", key_form=r"\d{4}-(?:0[1-9]|1[0-2])", key_hint="write year-month, as in 2027-03"),
            "this year's monthly means as they come",
        ),
    ),
    settings_of,
)

UNITS = {"metric": Units("metric"), "us": US}
