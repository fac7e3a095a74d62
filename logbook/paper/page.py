"""Pages in millimetres: placed text, rules, boxes, badges and codes. Imports no PDF library.

The origin is the page's top left corner, y grows downwards; a text's `y` is its baseline. Every item names the
block it belongs to, so that tests can prove that nothing leaves its block.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..values import dataclass

MM_PER_POINT = 25.4 / 72


@dataclass(frozen=True, slots=True)
class Text:
    """One line of text: where its baseline begins in mm, its size in points; `width` in mm as it was measured.

    `turn`: quarter turns against the clock; 1 reads upwards, 3 downwards.
    """

    x: float
    y: float
    text: str
    size_pt: float
    bold: bool = False
    white: bool = False
    width: float = 0.0
    block: str = ""
    link: str = ""
    turn: int = 0


@dataclass(frozen=True, slots=True)
class Rule:
    """A straight line; `gray` 0 is black."""

    x1: float
    y1: float
    x2: float
    y2: float
    thick: float = 0.2
    gray: float = 0.0
    dash: float = 0.0
    block: str = ""


@dataclass(frozen=True, slots=True)
class Box:
    """A rectangle, framed with `thick` mm or, with `fill`, filled in that gray."""

    x: float
    y: float
    width: float
    height: float
    thick: float = 0.3
    fill: float | None = None
    block: str = ""


@dataclass(frozen=True, slots=True)
class Shape:
    """A closed polygon, filled in `fill` gray or only outlined."""

    points: tuple[tuple[float, float], ...]
    fill: float | None = None
    thick: float = 0.3
    block: str = ""


@dataclass(frozen=True, slots=True)
class Code:
    """A two-dimensional code: rows of modules, `module` mm each, without its quiet zone."""

    x: float
    y: float
    module: float
    rows: tuple[tuple[bool, ...], ...]
    text: str = ""
    link: str = ""
    block: str = ""

    @property
    def size(self) -> float:
        """Side length without the quiet zone, mm."""
        return self.module * len(self.rows)


@dataclass(frozen=True, slots=True)
class Picture:
    """A photo as JPEG bytes, stretched over its rectangle."""

    x: float
    y: float
    width: float
    height: float
    jpeg: bytes
    block: str = ""


@dataclass(frozen=True, slots=True)
class Input:
    """A place to fill in on a screen: a line of text, or a box to tick. `name` is the field's name in the PDF."""

    x: float
    y: float
    width: float
    height: float
    name: str
    tick: bool = False
    tip: str = ""
    block: str = ""


Item = Text | Rule | Box | Shape | Code | Picture | Input
At = Callable[[float, float], tuple[float, float]]


@dataclass(frozen=True, slots=True)
class Block:
    """The room a named block was given."""

    name: str
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Page:
    """A page in mm, with the items on it and the rooms of its blocks."""

    width: float
    height: float
    items: tuple[Item, ...] = ()
    blocks: tuple[Block, ...] = ()
    label: str = ""


@dataclass(frozen=True, slots=True)
class Placed:
    """A page at a spot on the paper (its top left corner, mm), turned by half a circle if `turned`."""

    page: Page
    x: float
    y: float
    turned: bool = False

    @property
    def label(self) -> str:
        """What the page is called."""
        return self.page.label


@dataclass(frozen=True, slots=True)
class Paper:
    """One side of a sheet of paper."""

    width: float
    height: float
    placed: tuple[Placed, ...]
    marks: tuple[Item, ...] = ()


def shifted(page: Page, dx: float, dy: float, width: float, height: float, more: tuple[Item, ...] = ()) -> Page:
    """The page's items on a larger page, further in by these mm, with `more` items beside them."""
    items = tuple(moved(item, dx, dy) for item in page.items)
    blocks = tuple(replace(block, x=block.x + dx, y=block.y + dy) for block in page.blocks)
    return Page(width, height, (*items, *more), blocks, page.label)


def enlarged(page: Page, times: float) -> Page:
    """The page so many times as wide and as high, and all that is on it."""
    blocks = tuple(
        replace(b, x=b.x * times, y=b.y * times, width=b.width * times, height=b.height * times) for b in page.blocks
    )
    items = tuple(replace(item, **_grown(item, times)) for item in page.items)  # type: ignore[arg-type]
    return Page(page.width * times, page.height * times, items, blocks, page.label)


_LENGTHS = ("x", "y", "x1", "y1", "x2", "y2", "width", "height", "thick", "dash", "size_pt", "module")


def _grown(item: Item, times: float) -> dict[str, object]:
    grown: dict[str, object] = {name: getattr(item, name) * times for name in _LENGTHS if hasattr(item, name)}
    if isinstance(item, Shape):
        grown["points"] = tuple((x * times, y * times) for x, y in item.points)
    return grown


def lying(page: Page, *, head_left: bool) -> Page:
    """A standing page laid down by a quarter turn, its head to the left or to the right."""

    def at(x: float, y: float) -> tuple[float, float]:
        return (y, page.width - x) if head_left else (page.height - y, x)

    items = tuple(_laid(item, at, 1 if head_left else 3) for item in page.items)
    blocks = tuple(Block(b.name, *_corner(b.x, b.y, b.width, b.height, at), b.height, b.width) for b in page.blocks)
    return Page(page.height, page.width, items, blocks, page.label)


def _corner(x: float, y: float, width: float, height: float, at: At) -> tuple[float, float]:
    """Upper left corner of a rectangle that was laid down."""
    (x1, y1), (x2, y2) = at(x, y), at(x + width, y + height)
    return min(x1, x2), min(y1, y2)


def _laid(item: Item, at: At, turn: int) -> Item:
    if isinstance(item, Text):
        x, y = at(item.x, item.y)
        return replace(item, x=x, y=y, turn=turn)
    if isinstance(item, Rule):
        (x1, y1), (x2, y2) = at(item.x1, item.y1), at(item.x2, item.y2)
        return replace(item, x1=x1, y1=y1, x2=x2, y2=y2)
    if isinstance(item, Shape):
        return replace(item, points=tuple(at(x, y) for x, y in item.points))
    if isinstance(item, Code):
        x, y = _corner(item.x, item.y, item.size, item.size, at)
        return replace(item, x=x, y=y)  # a code is read whichever way it lies
    assert isinstance(item, Box), "nothing else stands on a page that is laid down"
    x, y = _corner(item.x, item.y, item.width, item.height, at)
    return replace(item, x=x, y=y, width=item.height, height=item.width)


def moved_text(item: Text, dx: float, dy: float, block: str) -> Text:
    """The line of text shifted by millimetres, and put under a block's name."""
    at = item.x + dx, item.y + dy
    return Text(*at, item.text, item.size_pt, item.bold, item.white, item.width, block, item.link, item.turn)


def moved(item: Item, dx: float, dy: float, block: str | None = None) -> Item:
    """The item shifted by millimetres, and put under a block's name where one is given. Much used, so spelled out."""
    name = item.block if block is None else block
    if type(item) is Text:
        return moved_text(item, dx, dy, name)
    if type(item) is Rule:
        return Rule(item.x1 + dx, item.y1 + dy, item.x2 + dx, item.y2 + dy, item.thick, item.gray, item.dash, name)
    if type(item) is Box:
        return Box(item.x + dx, item.y + dy, item.width, item.height, item.thick, item.fill, name)
    if type(item) is Shape:
        points = tuple([(x + dx, y + dy) for x, y in item.points])
        return Shape(points, item.fill, item.thick, name)
    if isinstance(item, Code):
        return replace(item, x=item.x + dx, y=item.y + dy, block=name)
    assert isinstance(item, Picture | Input)
    return replace(item, x=item.x + dx, y=item.y + dy, block=name)
