"""Layouts: paper, trims, margins and blocks, from `layouts/*.yaml`. About paper only, never about a tree."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import field, replace
from functools import cache
from pathlib import Path
from typing import Any

from ..collection.kinds import (
    FAILED,
    Context,
    Failed,
    Field,
    Flag,
    Kind,
    Listing,
    Number,
    Record,
    Schema,
    Table,
    Word,
    WordLists,
)
from ..collection.units import Units
from ..collection.yaml_editor import Value
from ..collection.yaml_reader import Mapping as MappingNode
from ..collection.yaml_reader import Node, file_text, read_text
from ..collection.yaml_reader import Sequence as SequenceNode
from ..diagnostics import Place, Problem, ProblemsFound, nearest, stop
from ..shipped import shipped
from ..values import dataclass

# ISO 216 and ANSI/ASME Y14.1, mm
PAPERS = {"a4": (210.0, 297.0), "a5": (148.0, 210.0), "letter": (215.9, 279.4), "legal": (215.9, 355.6)}
LEAST_LINE_MM = 7.0
LEAST_BOX_MM = 4.0
LEAST_MARGIN_MM = 3.0
SHEET_BOX_MM = 5.0
LEAST_TEXT_MM = (60.0, 80.0)
LEAST_WALK_MM = 120.0
SLACK_MM = 0.01
LARGE = 2.0
LEAST_LARGE_MM = {"walk": 100.0, "wall": 138.0, "dossier": 100.0}  # width that is drawn on
FRONT_BLOCKS = ("bars", "meant", "jobs", "leave", "care", "year", "tree", "log")
# what took the place of blocks that layouts of before name
FORMER_BLOCKS: dict[str, tuple[str, ...]] = {
    "wire": ("bars",),
    "next": ("jobs", "year"),
    "state": (),
    "aim": ("tree",),
    "branches": ("tree",),
    "charts": ("tree",),
    "last": ("log",),
}
BACK_BLOCKS = ("jobs", "vigour", "lines")
STOCKS = ("hanging", "stake", "wrap", "sticker")


@dataclass(frozen=True, slots=True)
class Binder:
    """A bound edge of the front: room kept free, and punch marks so far along it, mm. It changes sides on the back."""

    edge: str
    room: float
    punch: tuple[float, ...] = ()


@dataclass(frozen=True, slots=True)
class Labels:
    """Ready-cut stock: rows and columns, the distance from one to the next, and the first one's corner, mm."""

    columns: int
    rows: int
    pitch: tuple[float, float]
    corner: tuple[float, float]


@dataclass(frozen=True, slots=True)
class Layout:
    """One way to put things on paper; all lengths in mm. `times`: how many times as large it is printed as it is drawn."""

    name: str
    version: int
    kind: str
    paper: tuple[float, float]
    page: tuple[float, float]
    margin: float = 6.0
    gap: float = 0.0
    edge_margin: float = 0.0
    line: float = 7.5
    box: float = 4.2
    row: float = 12.0
    front: tuple[str, ...] = FRONT_BLOCKS
    back: tuple[str, ...] = BACK_BLOCKS
    binder: Binder | None = None
    photo: float = 22.0
    stock: str = "hanging"
    number_height: float = 8.0
    hole: float = 0.0
    point: float = 0.0
    bends: float = 0.0
    sides: int = 2
    labels: Labels | None = None
    sizes: Mapping[str, float] = field(default_factory=dict)
    notices: tuple[Problem, ...] = ()
    times: float = 1.0

    @property
    def room(self) -> tuple[float, float]:
        """The page without its bound edge: what fronts and backs are drawn on."""
        width, height = self.page
        if self.binder is None:
            return width, height
        if self.binder.edge == "left":
            return width - self.binder.room, height
        return width, height - self.binder.room

    def size(self, role: str) -> float:
        """Type size of a role, pt."""
        return self.sizes.get(role, _SIZES[role])


_SIZES = {"tag": 24.0, "name": 12.0, "work": 13.0, "bench": 9.0, "small": 8.0}
_LEAST_SIZE = {"bench": 9.0}
_MM = Number("millimetres", 0, 500)
_SIDE = Number("a side", 15, 1000, unit=" mm")


class _Paper(Kind[tuple[float, ...]]):
    """A named paper, or its width and height in mm."""

    _name = Word("a paper", tuple(PAPERS))
    _sides = Listing(_SIDE, "a paper's width and height", exactly=2)

    def read(self, node: Node, context: Context) -> tuple[float, ...] | Failed:
        if type(node) is SequenceNode:
            return self._sides.read(node, context)
        named = self._name.read(node, context)
        return named if named is FAILED else PAPERS[named]

    def written(self, value: tuple[float, ...], units: Units) -> Value:
        named = next((name for name, sides in PAPERS.items() if sides == value), "")
        return named or self._sides.written(value, units)

    def schema(self, words: WordLists) -> Schema:
        return {"anyOf": [self._name.schema(words), self._sides.schema(words)]}

    def described(self) -> str:
        return f"{self._name.described()}, or {self._sides.described()}"


LAYOUT = Record(
    "a layout",
    (
        Field("version", Number("a version", 1, 9999, whole=True), "rises when places move", True),
        Field(
            "kind", Word("a kind of layout", ("sheet", "walk", "tag", "dossier", "wall")), "what it lays out", True
        ),
        Field("paper", _Paper(), "the paper it is printed on: a name, or [width, height]", True),
        Field("landscape", Flag(), "the paper lies on its long side"),
        Field("page", Listing(_SIDE, "a page size", exactly=2), "width and height after cutting"),
        Field("margin", _MM, "white inside the trim"),
        Field("gap", _MM, "between pages on the paper"),
        Field("edge_margin", _MM, "paper edge the printer can't reach"),
        Field("line", Number("a line height", LEAST_LINE_MM, 30, unit=" mm"), "pencil line height"),
        Field("box", Number("a box size", LEAST_BOX_MM, 12, unit=" mm"), "tick box size"),
        Field("row", Number("a row height", 12, 60, unit=" mm"), "walk list row"),
        Field(
            "front",
            Listing(Word("a block", (*FRONT_BLOCKS, *FORMER_BLOCKS)), "blocks"),
            "blocks of the front, in order",
        ),
        Field("back", Listing(Word("a block", BACK_BLOCKS), "blocks"), "blocks of the back, in order"),
        Field(
            "binder",
            Record(
                "a binder edge",
                (
                    Field("edge", Word("an edge", ("left", "top")), "the bound edge of the front", True),
                    Field("room", Number("millimetres", 5, 40), "mm kept free for it", True),
                    Field("punch", Listing(_MM, "punch marks"), "where holes go, mm from its upper or left end"),
                ),
                lambda values, _context, _node: Binder(**values),
            ),
            "room and punch marks for a binder",
        ),
        Field("photo", Number("a photo's side", 12, 80, unit=" mm"), "the thumbnail's longer side"),
        Field("stock", Word("a tag stock", STOCKS), "what the tag is made of"),
        Field("number_height", Number("a number height", 5, 40, unit=" mm"), "height of a tag's number"),
        Field("hole", _MM, "diameter of a hanging hole"),
        Field("point", _MM, "length of a stake's point, kept free"),
        Field("bends", Number("a diameter", 5, 500, unit=" mm"), "diameter of what the tag bends round"),
        Field("sides", Number("sides", 1, 2, whole=True), "printed sides"),
        Field(
            "labels",
            Record(
                "ready-cut stock",
                (
                    Field("columns", Number("columns", 1, 60, whole=True), "labels across", True),
                    Field("rows", Number("rows", 1, 60, whole=True), "labels down", True),
                    Field("pitch", Listing(_MM, "a pitch", exactly=2), "mm from one label to the next", True),
                    Field("corner", Listing(_MM, "a corner", exactly=2), "the first label's upper left corner", True),
                ),
                lambda values, _context, _node: Labels(**values),
            ),
            "ready-cut label sheets",
        ),
        Field(
            "sizes",
            Table(Number("a type size", 7, 60, unit=" pt"), "type sizes", names=Word("a role", tuple(_SIZES))),
            "type sizes",
        ),
    ),
)


@cache
def layout(name: str) -> Layout:
    """A shipped layout by name, or one of the grower's by the path of its file. Raises ProblemsFound."""
    path = Path(name)
    if path.suffix not in (".yaml", ".yml"):
        path = shipped("layouts") / f"{name}.yaml"
        if not path.is_file():
            known = sorted(p.stem for p in shipped("layouts").glob("*.yaml"))
            close = nearest(name, known)
            raise stop(
                f"there is no layout '{name}'",
                hint=f"did you mean '{close}'?" if close else f"one of: {', '.join(known)}",
            )
    document = read_text(file_text(path, path.name), path.name)
    context = Context(document)
    values: Any = LAYOUT.read(document.root, context) if isinstance(document.root, MappingNode) else FAILED
    problems = document.problems + context.problems
    if values is FAILED or problems:
        raise ProblemsFound(problems or [Problem("this is no layout", Place(path.name))])
    if values.pop("landscape", False):
        values["paper"] = (max(values["paper"]), min(values["paper"]))
    values["page"] = values.get("page", values["paper"])
    root = document.root
    assert isinstance(root, MappingNode)
    blocks = values.get("front", FRONT_BLOCKS)
    values["front"] = _present(blocks)
    if values["kind"] == "sheet":
        values.setdefault("box", SHEET_BOX_MM)
    made = Layout(name=path.stem, notices=_former(blocks, document.place(root.items.get("front", root))), **values)
    for key, message, hint in _misfits(made):
        raise ProblemsFound([Problem(message, document.place(root.items.get(key, root)), hint)])
    return made


def large(plan: Layout) -> Layout:
    """The layout for large type: drawn on half the paper's width and height, printed at twice the size, a page a side.

    Raises ProblemsFound where half the paper is too small to draw on.
    """
    width, height = (side / LARGE for side in plan.paper)
    margin = plan.margin / LARGE if plan.page == plan.paper else plan.margin
    made = replace(plan, page=(width, height), margin=margin, gap=0.0, edge_margin=0.0, binder=None, times=LARGE)
    needs = LEAST_LARGE_MM.get(plan.kind, 0.0)
    if width + SLACK_MM < needs:
        raise stop(
            f"large type needs paper of {LARGE * needs:g} mm or wider; '{plan.name}' is for {plan.paper[0]:g} mm",
            hint="choose a layout for A4 or letter",
        )
    for _, message, hint in _misfits(made) if plan.kind == "sheet" else ():
        raise stop(f"{message} (in large type)", hint=hint)
    return made


def _present(blocks: Iterable[str]) -> tuple[str, ...]:
    """The blocks that are named, those of before as what took their place, each once."""
    return tuple(dict.fromkeys(one for name in blocks for one in FORMER_BLOCKS.get(name, (name,))))


def _former(blocks: Iterable[str], place: Place) -> tuple[Problem, ...]:
    """A word about blocks of before."""
    old = [name for name in blocks if name in FORMER_BLOCKS]
    if not old:
        return ()
    told = ", ".join(f"{name} is {' and '.join(FORMER_BLOCKS[name]) or 'part of the head'}" for name in old)
    return (
        Problem(
            f"blocks of before are read as what took their place: {told}",
            place,
            f"the blocks are: {', '.join(FRONT_BLOCKS)}; leave front out for all of them",
            severity="warning",
        ),
    )


def _misfits(made: Layout) -> Iterator[tuple[str, str, str]]:
    """What can't fit, with the numbers: (key to point at, message, hint)."""
    if made.page[0] > made.paper[0] + SLACK_MM or made.page[1] > made.paper[1] + SLACK_MM:
        yield (
            "page",
            f"a page of {_size(made.page)} does not fit on paper of {_size(made.paper)}",
            "choose larger paper, a smaller page, or landscape: true",
        )
    if made.labels:
        yield from _label_misfits(made, made.labels)
    if made.sizes.get("bench", 9.0) < _LEAST_SIZE["bench"]:
        yield (
            "sizes",
            f"bench type of {made.sizes['bench']:g} pt is under 9 pt",
            "what is read at the bench needs 9 pt or more",
        )
    if made.kind == "sheet":
        yield from _sheet_misfits(made)
    if made.kind == "walk" and made.page[0] < LEAST_WALK_MM:
        yield (
            "page",
            f"a walk list needs pages of {LEAST_WALK_MM:g} mm or wider; these are {made.page[0]:g} mm",
            "choose wider paper",
        )
    if made.kind == "tag" and made.stock == "stake" and made.page[0] - made.point < 30:
        yield (
            "point",
            f"the point leaves {made.page[0] - made.point:g} mm of the stake; it needs 30 mm",
            "shorten the point",
        )


def _label_misfits(made: Layout, labels: Labels) -> Iterator[tuple[str, str, str]]:
    for axis, count, name in ((0, labels.columns, "columns"), (1, labels.rows, "rows")):
        if count > 1 and labels.pitch[axis] + SLACK_MM < made.page[axis]:
            yield (
                "labels",
                f"labels of {made.page[axis]:g} mm overlap at a pitch of {labels.pitch[axis]:g} mm",
                "measure from one label's edge to the next one's same edge",
            )
        end = labels.corner[axis] + (count - 1) * labels.pitch[axis] + made.page[axis]
        if end > made.paper[axis] + SLACK_MM:
            yield (
                "labels",
                f"{count} {name} reach to {end:.1f} mm; the paper has {made.paper[axis]:g} mm",
                f"fewer {name}, a smaller pitch or corner",
            )


def _sheet_misfits(made: Layout) -> Iterator[tuple[str, str, str]]:
    width, height = made.room[0] - 2 * made.margin, made.room[1] - 2 * made.margin
    if width < LEAST_TEXT_MM[0] or height < LEAST_TEXT_MM[1]:
        yield (
            "page",
            f"the text area would be {width:g} × {height:g} mm; a sheet needs {_size(LEAST_TEXT_MM)}",
            "a larger page, or a smaller margin or binder room",
        )
    if made.margin < LEAST_MARGIN_MM:
        yield (
            "margin",
            f"a margin of {made.margin:g} mm is under the {LEAST_MARGIN_MM:g} mm that printers drift",
            "raise the margin",
        )
    if "lines" not in made.back:
        yield "back", "a back without lines has no place to write", "add lines to back"
    if made.binder:
        along = made.page[1] if made.binder.edge == "left" else made.page[0]
        if any(at > along for at in made.binder.punch):
            yield (
                "binder",
                f"a punch mark lies beyond the edge, which is {along:g} mm long",
                "measure along the bound edge",
            )


def _size(pair: tuple[float, float]) -> str:
    return f"{pair[0]:g} × {pair[1]:g} mm"
