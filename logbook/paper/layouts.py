"""Layouts: paper, trims, margins and blocks, from `layouts/*.yaml`. About paper only, never about a tree."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from functools import cache
from pathlib import Path
from typing import Any

from ..problems import Place, Problem, ProblemsFound, nearest, stop
from ..record.reading import Mapping as MappingNode
from ..record.reading import file_text, read_text
from ..record.schema import FAILED, Context, Field, Listing, Number, Record, Table, Word
from ..shipped import shipped

# ISO 216 and ANSI/ASME Y14.1, mm
PAPERS = {"a4": (210.0, 297.0), "a5": (148.0, 210.0), "letter": (215.9, 279.4), "legal": (215.9, 355.6)}
LEAST_LINE_MM = 7.0
LEAST_BOX_MM = 4.0
FRONT_BLOCKS = ("wire", "next", "leave", "meant", "state", "care", "aim", "last")


@dataclass(frozen=True, slots=True)
class Layout:
    """One way to put things on paper; all lengths in mm."""

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
    row: float = 15.0
    front: tuple[str, ...] = FRONT_BLOCKS
    number_height: float = 8.0
    hole: float = 0.0
    sizes: Mapping[str, float] = field(default_factory=dict)

    def size(self, role: str) -> float:
        """Type size of a role, pt."""
        return self.sizes.get(role, _SIZES[role])


_SIZES = {"tag": 20.0, "name": 11.0, "work": 11.0, "bench": 9.0, "small": 7.5}
_MM = Number("millimetres", 0, 500)
_LAYOUT = Record(
    "a layout",
    (
        Field("version", Number("a version", 1, 9999, whole=True), "rises when places move", True),
        Field("kind", Word("a kind of layout", ("sheet", "walk", "tag")), "what it lays out", True),
        Field("paper", Word("a paper", tuple(PAPERS)), "the paper it is printed on", True),
        Field(
            "page",
            Listing(Number("a page size", 15, 400), "a page size", exactly=2),
            "width and height after cutting",
        ),
        Field("margin", _MM, "white inside the trim"),
        Field("gap", _MM, "between pages on the paper"),
        Field("edge_margin", _MM, "paper edge the printer can't reach"),
        Field("line", Number("a line height", LEAST_LINE_MM, 30, unit=" mm"), "pencil line height"),
        Field("box", Number("a box size", LEAST_BOX_MM, 12, unit=" mm"), "tick box size"),
        Field("row", Number("a row height", 12, 60, unit=" mm"), "walk list row"),
        Field("front", Listing(Word("a block", FRONT_BLOCKS), "blocks"), "blocks of the front, in order"),
        Field("number_height", Number("a number height", 5, 40, unit=" mm"), "height of a tag's number"),
        Field("hole", _MM, "diameter of a hanging hole"),
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
    values: Any = _LAYOUT.read(document.root, context) if isinstance(document.root, MappingNode) else FAILED
    problems = document.problems + context.problems
    if values is FAILED or problems:
        raise ProblemsFound(problems or [Problem("this is no layout", Place(path.name))])
    values["paper"] = PAPERS[values["paper"]]
    values["page"] = values.get("page", values["paper"])
    made = Layout(name=path.stem, **values)
    if made.page[0] > made.paper[0] + 0.01 or made.page[1] > made.paper[1] + 0.01:
        raise stop(
            f"a page of {made.page[0]:g} × {made.page[1]:g} mm does not fit on paper of {made.paper[0]:g} × {made.paper[1]:g} mm",
            path=path.name,
            hint="choose larger paper or a smaller page",
        )
    return made
