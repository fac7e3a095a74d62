"""A log entry: every field of it is declared here once, in the order in which files and paper keep them.

A new field is one attribute with its `key`, and a sample in the test of round trips.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from ..dates import When, on_day
from ..kinds import (
    AREA,
    Context,
    Date,
    Either,
    Field,
    Flag,
    InnerPath,
    Listing,
    NoteContext,
    Number,
    Pattern,
    Person,
    PlaceName,
    Record,
    Sides,
    Table,
    Text,
    Values,
    Whole,
    WireSizes,
    Word,
    Words,
    bare,
)
from ..units import Units
from ..yaml_editor import Value
from ..yaml_reader import Mapping as MappingNode
from .aims import Branch, Targets
from .declare import apart, key, record, record_of, spot_of
from .found import MEASURED, Found
from .held import held, held_among, maker
from .shared import BRANCH_ID, COUNT, STAGE, TAG, VIGOUR, WORK, length_of

SOURCE_FORM = r"\d{5,6}-\d/[^\s/:;,]{1,40}|log [^\s:][^:]{0,60}:\d{1,6}|(?:picture|handover) [0-9a-f]{16}"
FEED_FORM = r"\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?-\d{1,2}(?:\.\d)?"
TROUBLES = ("roots", "pot", "pests", "disease", "frost", "drought", "damage", "over")
POT_SHAPES = ("rectangle", "oval", "round", "drum", "bowl", "other")
ROUND_SHAPES = ("round", "drum", "bowl")
UNITS_BEHIND = frozenset(("mm", "cm", "m", "in", "ga", "awg"))
METALS_TYPED = {"cu": "copper", "aluminum": "aluminium", "alu": "aluminium", "al": "aluminium"}
REST_TYPED = {"on": "begins", "over": "ends", "off": "ends"}
SOURCE = Pattern("a sheet and line", SOURCE_FORM, "as in 00142-4/3")


class BranchNumbers(Listing[str]):
    """Branches by number. In a note a number is none before a unit, nor behind a metal unless it is called a branch."""

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[tuple[str, ...], int] | None:
        """Numbers heard up to the one that a unit or another field's word claims."""
        if not note.named and "metal" in note.had:
            return None
        units = UNITS_BEHIND | note.ends
        unit = next((n for n, token in enumerate(tokens) if bare(token) in units), 0)
        return Listing.typed(self, tokens[: unit - 1] if unit else tokens, note)


def _pot_is_sound(values: Values, context: Context, node: MappingNode) -> bool:
    """Whether a pot's measures fit its shape."""
    shape = values["shape"]
    wanted = (2, 3) if shape in ROUND_SHAPES else (3,)
    for side in ("inner", "outer"):
        if side in values and len(values[side]) not in wanted:
            article = "an" if shape[0] in "aeiou" else "a"
            form = "[diameter, depth]" if 2 in wanted else "[length, width, depth]"
            context.fault(
                node.items[side], f"{len(values[side])} numbers don't measure {article} {shape} pot", f"write {form}"
            )
            return False
    if "areas" in values and (len(values["areas"]) < 2 or "inner" not in values):
        context.fault(
            node.items["areas"],
            "cross-sections need two areas or more, and 'inner' with the depth last",
            "areas: [110, 150, 180] beside inner: [220, 160, 60]",
        )
        return False
    return True


@record("a pot", _pot_is_sound)
class Pot:
    """A container. `inner` is length, width, depth (round: diameter, depth) in mm, `base` the inside bottom; `areas` are cross-sections, mm², from bottom to rim."""

    shape: str = key(
        Word("a pot's shape", POT_SHAPES), "its shape", words=Words("{} pot", " ", exact=("pot",), ends=("pot",))
    )
    inner: tuple[float, ...] = key(
        Sides(length_of("an inner dimension"), "inner dimensions"),
        "inside: length, width, depth",
        default=(),
        words=Words("{}", bare=True),
    )
    base: tuple[float, ...] = key(
        Sides(length_of("an inner dimension"), "inner dimensions of the bottom"),
        "inside bottom: length, width",
        default=(),
    )
    outer: tuple[float, ...] = key(
        Sides(length_of("an outer dimension"), "outer dimensions"),
        "outside, where the inside is unknown",
        default=(),
    )
    areas: tuple[float, ...] = key(
        Listing(Number("an area", 1, 4_000_000, quantity=AREA, unit=" mm²"), "cross-sections"),
        "an odd pot's inside areas, cm² (us: square inches), from bottom to rim at equal steps",
        default=(),
    )
    material: str = key(Text(), "clay, wood, plastic …", default="")


@record("an intention")
class Intention:
    """What the grower means to do, and by when if that was said."""

    what: str = key(Text(), "in your own words", words=Words("{}", " ", bare=True))
    by: When | None = key(Date(), "by when", default=None, words=Words("by {}", exact=("by",)))
    work: str = key(WORK, "the work it is", default="")
    branches: tuple[str, ...] = key(Listing(BRANCH_ID, "branch numbers", lone=True), "which branches", default=())


class _Weighing(Record[Mapping[str, float]]):
    """A pot's weight; a note that has it lighter wet than dry is not understood."""

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[Mapping[str, float], int] | None:
        found = super().typed(tokens, note)
        if found and found[0].get("wet", float("inf")) <= found[0].get("dry", 0.0):
            return None
        return found


WEIGHED = _Weighing(
    "a weighing",
    (
        Field("wet", Number("a weight", 0.05, 500), "after watering", words=Words("wet {}", exact=("wet",))),
        Field("dry", Number("a weight", 0.05, 500), "when it wants water", words=Words("dry {}", exact=("dry",))),
    ),
    lambda values, _context, _node: values,
    lambda values: values,
)


def _stands_alone(values: Values, context: Context, node: MappingNode) -> bool:  # noqa: ARG001
    """Whether an entry is its own text: one that is shared could not be corrected by itself."""
    if node.shared:
        context.fault(node, "a log entry is an anchor or an alias", "write each entry out")
    return not node.shared


@record("a log entry", _stands_alone)
class Entry:
    """One entry of a tree's log: one date, and what was done, seen, measured or meant on it."""

    date: When = key(Date(), "the day, or as much of it as is known")
    work: str = key(WORK, "what was done", default="", words=Words("{}", detail=True))
    branches: tuple[str, ...] = key(
        BranchNumbers(BRANCH_ID, "branch numbers", lone=True),
        "which branches",
        default=(),
        words=Words(
            "branches {}",
            exact=("branches", "branch", "on branches", "on branch", "on"),
            bare=True,
            detail=True,
            any_work=True,
        ),
    )
    metal: str = key(
        Word("a wire metal", ("copper", "aluminium"), also=METALS_TYPED),
        "the wire's metal",
        default="",
        words=Words("{}", " ", bare=True, detail=True),
    )
    wire: tuple[float, ...] = key(
        WireSizes(),
        "its thickness, mm or gauge",
        default=(),
        words=Words("{} mm", bare=True, detail=True),
    )
    roots: str = key(
        Word("root work", ("none", "light", "hard")),
        "how much was cut",
        default="",
        words=Words("roots {}", exact=("roots",), ends=("roots",), detail=True),
    )
    force: str = key(
        Word("light or heavy", ("light", "heavy"), also={"hard": "heavy"}),
        "how heavy the work was",
        default="",
        words=Words("{}", bare=True, detail=True),
    )
    feed: str = key(
        Pattern("a feed", FEED_FORM, "nitrogen, phosphorus, potassium: 5-5-5"),
        "N-P-K of what was fed",
        default="",
        words=Words("{}", bare=True, detail=True),
    )
    bite: str = key(
        Word("a wire's bite", ("none", "starting", "cut")),
        "how far the wire had bitten",
        default="",
        words=Words("bite {}", exact=("bite",), detail=True),
    )
    keep: bool = key(
        Flag(),
        "this wire stays on past its season",
        default=False,
        words=Words("stays on", exact=("keep", "stays on", "stays"), detail=True),
    )
    mix: Mapping[str, float] = key(
        Table(Number("parts", 0.01, 1000), "a soil mix"),
        "components and their parts",
        default_factory=dict,
        words=Words("mix {}", exact=("mix",), detail=True),
    )
    pot: Pot | None = key(
        record_of(Pot), "the pot it went into", default=None, words=Words("{}", bare=True, detail=True)
    )
    measured: Mapping[str, float] = key(
        MEASURED, "what was measured", default_factory=dict, words=Words("{}", bare=True, together=True)
    )
    vigour: int | None = key(
        VIGOUR,
        "1 failing, 3 holding, 5 strong",
        default=None,
        words=Words("vigour {}", starts=("vigour", "vigor"), exact=("v",), any_work=True, together=True),
    )
    saw: str = key(
        Word("a sign of the season", named="sightings"),
        "a sign of the season seen on this tree",
        default="",
        words=Words("saw {}", exact=("saw",)),
    )
    stage: str = key(STAGE, "the stage it enters", default="", words=Words("stage {}", starts=("stage",)))
    rest: str = key(
        Word("'begins' or 'ends'", ("begins", "ends"), also=REST_TYPED, silent="begins"),
        "a rest begins or ends",
        default="",
        words=Words("rest {}", exact=("rest",)),
    )
    trouble: str = key(
        Word("a trouble", TROUBLES),
        "what ails it; 'over' when nothing does any more",
        default="",
        words=Words("trouble: {}", starts=("trouble",)),
    )
    intend: Intention | None = key(
        Either(record_of(Intention), Text("an intention"), Intention),
        "what is meant next",
        default=None,
        words=Words("meant: {}", starts=("intend",), exact=("meant",)),
    )
    did: str = key(
        Text("what was done"),
        "an intention carried out, in its own words",
        default="",
        words=Words("done: {}", exact=("done:",), quiet=True),
    )
    found: Found | None = key(
        record_of(Found),
        "what was known when the record began",
        default=None,
        words=Words("record begins: {}", exact=("record begins",), quiet=True),
    )
    weighed: Mapping[str, float] = key(
        WEIGHED,
        "the pot's weight wet and dry",
        default_factory=dict,
        words=Words("weighed {}", starts=("weighed",)),
    )
    new: tuple[str, ...] = key(
        Listing(TAG, "tags", lone=True),
        "tags of trees made from this one",
        default=(),
        words=Words("new: {}", exact=("new:",), quiet=True),
    )
    merged: tuple[str, ...] = key(
        Listing(TAG, "tags", lone=True),
        "tags of trees planted together with this one",
        default=(),
        words=Words("merged with {}", exact=("merged with",), quiet=True),
    )
    count: int | None = key(
        COUNT, "how many are left in a tray", default=None, words=Words("count {}", exact=("count",), quiet=True)
    )
    bench: str = key(
        PlaceName("a bench place"),
        "where it stands from that day on",
        default="",
        words=Words("moved to {}", exact=("moved", "bench"), quiet=True),
    )
    aim: str = key(
        Text("an aim"),
        "what you want of it, from that day on",
        default="",
        words=Words("aim: {}", exact=("aim:",), quiet=True),
    )
    front: str = key(
        Text("a front"),
        "how the front is found again, from that day on",
        default="",
        words=Words("front: {}", exact=("front:",), quiet=True),
    )
    style: str = key(
        Text("a style"),
        "its style, from that day on",
        default="",
        words=Words("style: {}", exact=("style:",), quiet=True),
    )
    targets: Targets | None = key(
        record_of(Targets),
        "what to measure against, from that day on",
        default=None,
        words=Words("target {}", exact=("target", "targets"), quiet=True),
    )
    placed: tuple[Branch, ...] = key(
        Listing(record_of(Branch), "branches"),
        "where a branch is and how thick, for the branch table",
        default=(),
        words=Words("branch {}", quiet=True),
    )
    minutes: int | None = key(
        Whole("minutes", 1, 6000),
        "how long it took",
        default=None,
        words=Words("{} min", ends=("min", "mins", "minutes"), any_work=True, follows=True),
    )
    by: str = key(
        Person("a name or initials"),
        "who did it",
        default="",
        words=Words("by {}", exact=("by",), any_work=True, follows=True, quiet=True),
    )
    note: str = key(Text("a note"), "a remark", default="", words=Words("{}", exact=("note", "remark"), quiet=True))
    photo: str = key(
        InnerPath("a photo's path"),
        "a path inside the collection",
        default="",
        words=Words("photo {}", exact=("photo",)),
    )
    sources: tuple[str, ...] = key(
        Listing(SOURCE, "sheets and lines", lone=True, bared=True),
        "sheet and line it was typed from, or a list of them; the picture or the archive that it came with",
        default=(),
        name="from",
    )
    replaces: str = key(SOURCE, "the entry this one corrects", default="")
    spot: int = apart(default=0, source=spot_of)  # where it stands in its file

    def content(self) -> list[tuple[str, object]]:
        """What it says by name, wherever it stands in its file and in whatever order."""
        return sorted(
            (n, value) for n, value in held(self).items() if n != "spot" and value != getattr(Entry, n, None)
        )

    def only(self, names: frozenset[str]) -> Entry | None:
        """The entry with its date and what it says under these names; None where that is nothing."""
        part: dict[str, object] = {"date": self.date}
        says = False
        for name in held_among(self, names):
            value = part[name] = getattr(self, name)
            says = says or value != getattr(Entry, name)
        return _MADE(part) if says else None

    @property
    def source(self) -> str:
        """The sheet and line it was first typed from, or an empty string."""
        return self.sources[0] if self.sources else ""


ENTRY = record_of(Entry)
_MADE = maker(Entry)


def entry_of(
    parts: Mapping[str, object],
    day: date | When,
    source: str | Sequence[str],
    units: Units,
    entries: Record[Entry] = ENTRY,
) -> dict[str, Value]:
    """What a file holds for an entry that a note gave: keys in their order, lengths in the collection's own unit.

    Raises KeyError for a part that no field declares: nothing that was read is ever left out.
    """
    lines = (source,) if isinstance(source, str) and source else tuple(source)
    named = {"from": lines} if lines else {}
    return entries.entries({"date": day if isinstance(day, When) else on_day(day), **parts, **named}, units)
