"""Pages: nothing leaves its block, nothing is tiny, backs lie behind fronts, and the bytes are the same each time."""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
from hypothesis import given
from hypothesis import settings as run_settings
from hypothesis import strategies as st

from logbook.paper import type as setting
from logbook.paper.imposition import grid_for
from logbook.paper.layouts import BENT_SHARE, layout
from logbook.paper.page import Box, Shape, Text
from logbook.paper.sheets import record_sheet
from logbook.paper.tags import pot_tag
from logbook.paper.walk import walk_list
from logbook.record.dates import read_when
from logbook.record.model import Entry, Found, Settings, Tree
from logbook.record.units import METRIC, US
from logbook.shipped import shipped
from logbook.trade.files import shipped_knowledge
from logbook.work.due import plan_tree

from ..conftest import Answer, day, site_year
from .pages import proved, trees

KNOWLEDGE = shipped_knowledge()
SITE = site_year()
ALL = sorted(p.stem for p in shipped("layouts").glob("*.yaml"))
SHEETS, WALKS, TAGS = ([n for n in ALL if layout(n).kind == kind] for kind in ("sheet", "walk", "tag"))


@given(
    trees,
    st.sampled_from(SHEETS),
    st.sampled_from([METRIC, US]),
    st.sampled_from(["2026-11-25", "2027-05-20"]),
)
@run_settings(max_examples=80)
def test_any_tree_fits_its_sheet(tree: Tree, name: str, units: object, today: str) -> None:
    plan = plan_tree(tree, SITE, KNOWLEDGE, day(today))
    made = record_sheet(
        plan,
        Settings("Garden", units=units, link="https://garden.example/{file}"),
        KNOWLEDGE,
        layout(name),
        "00142-4",
    )  # type: ignore[arg-type]
    for front, back in made.leaves:
        proved(front)
        if back is not None:
            proved(back)
    said = " ".join(i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text))
    squeezed = said.replace(" ", "")
    for word in setting.tidy(tree.aim).split():
        assert word in squeezed, "the aim is printed whole, over as many pages as it takes"
    if len(made.leaves) > 1:
        assert "more on the next page" in said
    sheet = made.sheet
    assert sheet is not None
    assert list(sheet.lines) == [str(n) for n in range(1, len(sheet.lines) + 1)]
    assert len(sheet.lines) >= 2, "there is always somewhere to write"
    sides = [side for leaf in made.leaves for side in leaf]
    for spot in sheet.spots:
        drawn = sides[spot.page - 1]
        assert drawn is not None
        if spot.kind != "line":
            found = {(round(i.x, 3), round(i.y, 3)) for i in drawn.items if isinstance(i, Box)}
            assert (spot.x, spot.y) in found, "the ledger knows where each box was drawn"
    assert {s.id for s in sheet.spots if s.kind == "job"} == {j.letter for j in sheet.jobs}, "every job has its box"


@given(
    st.lists(trees, min_size=1, max_size=40, unique_by=lambda t: t.tag),
    st.sampled_from(WALKS),
)
@run_settings(max_examples=25)
def test_any_trees_fit_the_walk_list(some: list[Tree], name: str) -> None:
    plans = [plan_tree(tree, SITE, KNOWLEDGE, day("2026-11-25")) for tree in some]
    made = walk_list(plans, Settings("Garden"), layout(name), "00142-4")
    for page in made.pages:
        proved(page)
    assert made.sheet is not None
    assert list(made.sheet.lines.values()) == [t.tag for t in some]


@given(trees, st.sampled_from(TAGS), st.booleans())
@run_settings(max_examples=25)
def test_any_tree_fits_its_tag(tree: Tree, name: str, poisonous: bool) -> None:
    plan = layout(name)
    tag = pot_tag(tree, Settings("Garden", link="https://g.example/{tag}"), plan, poisonous=poisonous)
    assert (tag.back is None) is (plan.sides == 1)
    for side in (tag.front, tag.back):
        if side is None:
            continue
        proved(side, least_x=0.9)
        number = next(i for i in side.items if isinstance(i, Text) and i.block == "words")
        assert number.text == tree.tag, "a tag's number is never cut"
        if len(tree.tag) <= 3:
            assert number.size_pt * 25.4 / 72 * setting.CAP_HEIGHT >= 8.0
        assert any(isinstance(i, Shape) and i.block == "poison" for i in side.items) is poisonous
    if plan.bends:
        assert tag.symbol.size <= BENT_SHARE * plan.bends + 1e-6


def test_the_same_input_gives_the_same_bytes(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch
) -> None:
    import shutil

    twin = tmp_path / "twin"
    shutil.copytree(demo, twin)
    made = []
    for folder, epoch in ((demo, None), (twin, "1")):
        if epoch:
            monkeypatch.setenv("SOURCE_DATE_EPOCH", epoch)
        for verb in ("sheets", "walk", "tags"):
            words = ["--today", "2026-11-25"] if verb != "tags" else []
            assert bench(verb, "-o", tmp_path / f"{folder.name}-{verb}.pdf", *words, folder=folder).code == 0
        made.append([(tmp_path / f"{folder.name}-{v}.pdf").read_bytes() for v in ("sheets", "walk", "tags")])
    assert made[0] == made[1]
    assert sorted(p.name for p in (demo / "printed").iterdir()) == sorted(
        p.name for p in (twin / "printed").iterdir()
    )


def test_fonts_are_embedded_and_kanji_printed(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    out = tmp_path / "s.pdf"
    bench("sheets", "-o", out, "--today", "2026-11-25", folder=demo)
    reader = pypdf.PdfReader(out)
    for page in reader.pages:
        for font in page["/Resources"]["/Font"].values():  # type: ignore[index]
            descriptor = font.get_object()["/FontDescriptor"].get_object()
            assert "/FontFile2" in descriptor, "every font is embedded"
    assert reader.metadata and reader.metadata.title == "Quarry Lane benches: record sheets"
    assert reader.trailer["/Root"]["/Lang"] == "en"
    text = pypdfium2.PdfDocument(out)[0].get_textpage().get_text_range()
    assert "夕霧" in text and "Yūgiri, née" in text


def test_what_no_font_holds_prints_as_a_box_with_a_warning(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    tree = demo / "trees" / "006.yaml"
    tree.write_text(tree.read_text("utf-8").replace("Threshold beech", "Beech 🌱"), encoding="utf-8")
    answer = bench("sheets", "--tag", "006", "-o", tmp_path / "s.pdf", "--today", "2026-11-25", folder=demo)
    assert answer.code == 0 and "U+1F331" in answer.err
    picture = pypdfium2.PdfDocument(tmp_path / "s.pdf")[0].render(scale=4).to_numpy()
    assert picture.min() < 50


def test_pocket_pages_print_at_true_size(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """The corner squares of a back, measured in the rasterised PDF: 5 mm wide, 3 mm from the trim."""
    bench("sheets", "--tag", "001", "-o", tmp_path / "s.pdf", "--today", "2026-11-25", folder=demo)
    scale = 300 / 72
    picture = pypdfium2.PdfDocument(tmp_path / "s.pdf")[1].render(scale=scale, grayscale=True).to_numpy()
    mm = 300 / 25.4
    plan = layout("pocket-a6")
    grid = grid_for(plan.paper, plan.page)
    x, y, _ = grid.back_slot(0, "long")
    patch = picture[int((y + 3) * mm) + 2 : int((y + 8) * mm) - 2, int((x + 3) * mm) + 2 : int((x + 8) * mm) - 2]
    assert patch.max() < 60
    around = picture[int((y + 1) * mm) : int((y + 2.8) * mm), int((x + 3) * mm) : int((x + 8) * mm)]
    assert np.median(around) > 200


def test_a_layout_that_can_not_fit_is_refused_with_the_numbers(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    own = tmp_path / "tiny.yaml"
    own.write_text("version: 1\nkind: tag\npaper: a4\npage: [60, 16]\n", encoding="utf-8")
    answer = bench("tags", "--layout", own, "-o", tmp_path / "t.pdf", folder=demo)
    assert answer.code == 1 and "needs 13.9 mm; this tag has 4.0 mm" in answer.err
    own = tmp_path / "large.yaml"
    own.write_text("version: 1\nkind: sheet\npaper: a5\npage: [210, 297]\n", encoding="utf-8")
    assert "does not fit on paper" in bench("sheets", "--layout", own, folder=demo).err
    own = tmp_path / "odd.yaml"
    own.write_text("version: 1\nkind: sheet\npaper: a4\nline: 4\nfrnt: []\n", encoding="utf-8")
    err = bench("sheets", "--layout", own, folder=demo).err
    assert "odd.yaml:4:7: error: 4 is out of range for a line height" in err and "did you mean 'front'?" in err
    assert "did you mean 'pocket-a6'?" in bench("sheets", "--layout", "poket-a6", folder=demo).err


def test_a_found_opening_is_told() -> None:
    tree = Tree(
        "1",
        (Entry(date=read_when("2026"), found=Found(stage="refinement", vigour=3)),),
        path="trees/1.yaml",
        species="Ficus microcarpa",
    )
    made = record_sheet(
        plan_tree(tree, SITE, KNOWLEDGE, day("2026-11-25")), Settings("G"), KNOWLEDGE, layout("pocket-a6"), ""
    )
    said = " ".join(i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text))
    assert "record begins: refinement, vigour 3" in said
    back = " ".join(i.text for i in made.leaves[0][1].items if isinstance(i, Text))  # type: ignore[union-attr]
    assert "DRAFT" in back and made.sheet is None


@pytest.mark.parametrize("name", SHEETS)
@pytest.mark.parametrize("latitude", [47.9, -37.0, 1.0])
def test_the_season_card_fits(name: str, latitude: float) -> None:
    from logbook.paper.cards import season_card

    site = site_year(latitude=latitude)
    groups = tuple(KNOWLEDGE.groups)
    for page in season_card(site, site.settings, groups, layout(name), 2027, day("2026-11-25")):
        proved(page)
