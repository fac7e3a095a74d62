"""Pot tags: each stock's codes are read at 300 dpi, warnings stand away from numbers, a begun sheet is gone on with."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest
import zxingcpp

from logbook.collection.model import Settings, Tree
from logbook.paper.imposition import cut_marks, grid_for
from logbook.paper.layouts import layout
from logbook.paper.page import Page, Paper, Placed, Rule, Shape, Text
from logbook.paper.pdf import render
from logbook.paper.tags import pot_tag
from logbook.paper.typesetting import width_mm
from logbook.shipped import shipped

from ..conftest import Answer
from .pages import extent, proved

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
        left, top, right, bottom = extent(number)
        for sign in signs:
            xs, ys = [x for x, _ in sign.points], [y for _, y in sign.points]
            apart = max(min(xs) - right, left - max(xs), min(ys) - bottom, top - max(ys))
            assert apart > 1.5
        said = [i.text for i in side.items if isinstance(i, Text)]
        assert "poisonous" in said and "!" in said


@pytest.mark.parametrize("name", ["tag-stake", "tag-stake-letter"])
def test_a_stake_is_read_standing(name: str) -> None:
    """Upright in its top third on both sides, so that neither soil nor moss hides it."""
    plan = layout(name)
    long, wide = plan.page
    tag = pot_tag(Tree("014", (), species="Acer palmatum"), Settings("G", link="https://g.example/{tag}"), plan)
    assert tag.back is not None
    for side, turn in ((tag.front, 1), (tag.back, 3)):
        texts = [i for i in side.items if isinstance(i, Text)]
        assert {i.turn for i in texts} == {turn}, (
            "one reads upwards, the other downwards, with the head at its own end"
        )
        number = next(i for i in texts if i.text == "014")
        left, top, right, bottom = extent(number)
        from_head = right if turn == 1 else long - left
        assert from_head < long / 3 and (top + bottom) / 2 == pytest.approx(wide / 2, abs=0.5)
        assert number.size_pt * 0.3528 * 0.698 >= 8.0


def test_turned_texts_are_painted_where_they_stand() -> None:
    """A text that reads upwards, downwards or across leaves its ink inside the room that it says it takes."""
    for turn in (0, 1, 3):
        text = Text(30.0, 30.0, "014 Ag", 20.0, True, width=width_mm("014 Ag", 20.0, True), turn=turn)
        page = Page(60.0, 60.0, (text,))
        pdf = render([Paper(60.0, 60.0, (Placed(page, 0.0, 0.0),))], "t")
        ink = pypdfium2.PdfDocument(pdf)[0].render(scale=10 * 25.4 / 72, grayscale=True).to_numpy().squeeze() < 128
        rows, columns = np.nonzero(ink)
        left, top, right, bottom = (10 * v for v in extent(text))
        assert (
            columns.min() > left - 3
            and columns.max() < right + 3
            and rows.min() > top - 3
            and rows.max() < bottom + 3
        )
        assert max(columns.max() - columns.min(), rows.max() - rows.min()) > 0.9 * 10 * text.width


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
