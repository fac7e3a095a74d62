"""Paper: backs in register, ready-cut stock, a printer that is off, and books that fold into order."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.cli.printing import in_pairs
from logbook.paper.flow import Chunk, Piece, Room, flow
from logbook.paper.imposition import CREEP_MM, Shift, booklet_leaves, grid_for, impose
from logbook.paper.layouts import PAPERS
from logbook.paper.page import Box, Page, Rule, Text

TRIMS = [(105.0, 148.0), (107.95, 139.7), (74.0, 105.0), (76.2, 127.0), (101.6, 152.4), (80.0, 26.0), (210.0, 148.0)]


@pytest.mark.parametrize("paper", sorted(PAPERS))
@pytest.mark.parametrize("trim", TRIMS)
@pytest.mark.parametrize("landscape", [False, True])
@pytest.mark.parametrize("edge", ["long", "short"])
def test_backs_lie_behind_fronts(paper: str, trim: tuple[float, float], landscape: bool, edge: str) -> None:
    """Turning a sheet over an edge mirrors it in the axis along that edge: geometry, no source needed.

    A mark is drawn at one spot of the front page and at the spot that lies behind it on the back page; after turning
    the paper over, both must be within 0.1 mm of one another.
    """
    width, height = PAPERS[paper]
    size = (height, width) if landscape else (width, height)
    grid = grid_for(size, trim)
    front = Page(*trim, (Box(10.0, 7.0, 1.0, 1.0),))
    back = Page(*trim, (Box(trim[0] - 11.0, 7.0, 1.0, 1.0),))  # a leaf is turned like a page of a book
    if not grid.count:
        return
    sides = list(impose([(front, back)] * grid.count, grid, edge))
    over_height = (edge == "long") == (size[1] >= size[0])
    for one, other in zip(sides[0].placed, sides[1].placed, strict=True):
        seen = _on_paper(one.page.items[0], one.x, one.y, one.turned, trim)
        behind = _on_paper(other.page.items[0], other.x, other.y, other.turned, trim)
        through = (size[0] - behind[0], behind[1]) if over_height else (behind[0], size[1] - behind[1])
        assert through == (pytest.approx(seen[0], abs=0.1), pytest.approx(seen[1], abs=0.1))
        assert one.x >= -0.01 and one.y >= -0.01
        assert one.x + trim[0] <= size[0] + 0.01 and one.y + trim[1] <= size[1] + 0.01


def _on_paper(box: object, x: float, y: float, turned: bool, trim: tuple[float, float]) -> tuple[float, float]:
    """The middle of a box on the paper, mm."""
    assert isinstance(box, Box)
    middle_x, middle_y = box.x + box.width / 2, box.y + box.height / 2
    if turned:
        middle_x, middle_y = trim[0] - middle_x, trim[1] - middle_y
    return x + middle_x, y + middle_y


def test_paper_sizes() -> None:
    """ISO 216:2007 (A series) and ANSI/ASME Y14.1 (letter 8.5 × 11 in; legal by common usage)."""
    assert PAPERS["a4"] == (210, 297) and PAPERS["a5"] == (148, 210)
    assert PAPERS["letter"] == pytest.approx((8.5 * 25.4, 11 * 25.4))
    assert PAPERS["legal"] == pytest.approx((8.5 * 25.4, 14 * 25.4))


def test_several_up_never_scales() -> None:
    page = Page(105, 148)
    papers = impose([(page, page)] * 5, grid_for((210, 297), (105, 148)))
    assert [len(p.placed) for p in papers] == [4, 4, 1, 1]


def test_a_printer_that_is_off_is_told_so() -> None:
    page = Page(105, 148)
    grid = grid_for((210, 297), (105, 148))
    plain = list(impose([(page, page)], grid))
    moved = list(impose([(page, page)], grid, shift=Shift((1.0, -0.5), (0.25, 2.0))))
    for side, by in ((0, (1.0, -0.5)), (1, (1.25, 1.5))):
        was, now = plain[side].placed[0], moved[side].placed[0]
        assert (now.x - was.x, now.y - was.y) == pytest.approx(by)
    mark, other = plain[0].marks[0], moved[0].marks[0]
    assert isinstance(mark, Rule) and isinstance(other, Rule) and other.x1 - mark.x1 == pytest.approx(1.0)


@given(st.integers(1, 64))
def test_a_folded_book_shows_its_pages_in_order(count: int) -> None:
    """Fold it: nest the sheets, fold in the middle, and leaf through from the front."""
    pages = [Page(105, 148, (Text(0, 5, str(n), 9.0),)) for n in range(1, count + 1)]
    spreads = booklet_leaves(pages, Page(105, 148))
    order = folded(spreads)
    assert len(order) % 4 == 0 and len(order) == 4 * len(spreads)
    assert [n for n in order if n] == [str(n) for n in range(1, count + 1)]
    if count >= 2:
        assert order[-1] == str(count), "the last page is the cover's back"
    assert order[0] == "1"


def folded(spreads: list[tuple[Page, Page | None]]) -> list[str]:
    """What a reader meets: right half of the outer side, left half of the inner side, and so on inwards, then outwards."""

    def half(spread: Page | None, right: bool) -> str:
        assert spread is not None
        middle = spread.width / 2
        found = [i.text for i in spread.items if isinstance(i, Text) and (i.x >= middle - 5) is right]
        return found[0] if found else ""

    inwards, outwards = [], []
    for outer, inner in spreads:
        inwards += [half(outer, True), half(inner, False)]
        outwards = [half(inner, True), half(outer, False), *outwards]
    return inwards + outwards


def test_inner_sheets_of_a_book_creep_towards_the_fold() -> None:
    pages = [Page(105, 148, (Text(20, 5, str(n), 9.0),)) for n in range(1, 13)]
    spreads = booklet_leaves(pages, Page(105, 148))
    for depth, (outer, _) in enumerate(spreads):
        left, right = sorted(i.x for i in outer.items if isinstance(i, Text))
        assert left == pytest.approx(20 + depth * CREEP_MM)
        assert right == pytest.approx(125 - depth * CREEP_MM)


def test_cards_share_a_sheet_of_paper_but_no_leaf() -> None:
    """The second page of a card lies on the back of its first; no card begins on another one's back."""
    names = [
        "season card 1",
        "season card 2",
        "season card 3",
        "minder's card 1",
        "004 display card 1",
        "005 display card 1",
    ]
    pages = [Page(105, 148, (), (), name) for name in names]
    leaves = [(front.label, back and back.label) for front, back in in_pairs(pages)]
    assert leaves == [
        ("season card 1", "season card 2"), ("season card 3", None), ("minder's card 1", None),
        ("004 display card 1", None), ("005 display card 1", None),
    ]  # fmt: skip


def test_a_block_is_kept_whole_where_a_page_holds_it() -> None:
    def room(_number: int) -> Room:
        return Room(0.0, 0.0, 50.0, 10.0)

    parts = tuple(Piece(2.0) for _ in range(4))
    long = tuple(Piece(2.0) for _ in range(7))
    rooms = flow([Chunk("one", parts), Chunk("two", parts, whole=True), Chunk("three", long, whole=True)], room)
    assert [[block.name for block in made.blocks] for made in rooms] == [["one"], ["two"], ["three"], ["three"]]
