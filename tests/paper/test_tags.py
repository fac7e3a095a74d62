"""Pot tags: each stock's codes are read at 300 dpi, warnings stand away from numbers, a begun sheet is gone on with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import pypdfium2
import pytest
import zxingcpp

from logbook.collection.model import Settings, Tree
from logbook.paper.imposition import cut_marks, grid_for
from logbook.paper.layouts import layout
from logbook.paper.page import Rule, Shape, Text
from logbook.paper.tags import pot_tag
from logbook.shipped import shipped

from ..conftest import Answer
from .pages import proved

STOCKS = sorted(p.stem for p in shipped("layouts").glob("tag-*.yaml"))
Bench = Callable[..., Answer]


@pytest.mark.parametrize("name", STOCKS)
def test_the_codes_of_each_stock_are_read(name: str, demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "t.pdf"
    assert bench("tags", "--layout", name, "-o", out, folder=demo).code == 0
    found: list[str] = []
    for page in pypdfium2.PdfDocument(out):
        picture = page.render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
        found += [code.text for code in zxingcpp.read_barcodes(picture)]
    wanted = {f"https://quarrylane.example/trees/{n:03d}.yaml" for n in range(1, 12)}
    assert set(found) == wanted
    plan = layout(name)
    each = 2 if plan.stock == "wrap" or plan.sides == 2 else 1
    assert all(found.count(text) == each for text in wanted), (
        "a band has its code twice, and so has a tag of two sides"
    )


@pytest.mark.parametrize("name", STOCKS)
def test_a_warning_stands_away_from_the_number(name: str) -> None:
    tree = Tree(
        "014", (), species="Rhododendron indicum", cultivar="Kazan no Hikari of the Long Terrace", name="Low Tide"
    )
    tag = pot_tag(tree, Settings("G", link="https://g.example/{tag}"), layout(name), poisonous=True)
    for side in (tag.front, tag.back):
        if side is None:
            continue
        proved(side, least_x=0.9)
        number = next(i for i in side.items if isinstance(i, Text) and i.text == "014")
        signs = [i for i in side.items if isinstance(i, Shape) and i.block.startswith("poison")]
        assert signs and all(len(sign.points) == 3 for sign in signs), "the general warning sign is a triangle"
        assert all(min(y for _, y in sign.points) > number.y + 4.0 for sign in signs)
        said = [i.text for i in side.items if isinstance(i, Text)]
        assert "poisonous" in said and "!" in said


def test_a_cultivar_takes_a_second_line_before_it_is_cut() -> None:
    tree = Tree("014", (), species="Acer palmatum", cultivar="Shishigashira of Quarry Lane")
    tag = pot_tag(tree, Settings("G", link="https://g.example/{tag}"), layout("tag-sticker"))
    said = " ".join(i.text for i in tag.front.items if isinstance(i, Text))
    assert "Shishigashira of Quarry Lane" in said and "…" not in said


def test_tags_butt_and_are_cut_by_ticks_outside_them() -> None:
    for name in STOCKS:
        plan = layout(name)
        if plan.labels:
            continue
        grid = grid_for(plan.paper, plan.page, plan.gap, plan.edge_margin)
        assert not plan.gap and grid.pitch == plan.page
        left, top = grid.corner
        right, bottom = left + grid.columns * plan.page[0], top + grid.rows * plan.page[1]
        for mark in cut_marks(grid, inner=False):
            assert isinstance(mark, Rule)
            x, y = (mark.x1 + mark.x2) / 2, (mark.y1 + mark.y2) / 2
            assert not (left + 0.01 < x < right - 0.01 and top + 0.01 < y < bottom - 0.01)


def test_a_begun_sheet_is_gone_on_with(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "t.pdf"
    words = ["tags", "--layout", "tag-sticker", "--tag", "003", "--tag", "004", "-o", out]
    assert bench(*words, "--first", "5", folder=demo).code == 0
    page = pypdfium2.PdfDocument(out)[0]
    picture = page.render(scale=300 / 72, grayscale=True).to_numpy().squeeze()
    places = {code.text[-8:-5]: code.position.top_left for code in zxingcpp.read_barcodes(picture)}
    px = 300 / 25.4
    column, row = (places["003"].x / px - 7) // 66, (places["003"].y / px - 12.5) // 34
    assert (column, row) == (1, 1), "the fifth of three across"
    assert (places["004"].x / px - 7) // 66 == 2
    too_far = bench(*words, "--first", "25", folder=demo)
    assert too_far.code == 1 and "a sheet has 24 labels" in too_far.err
