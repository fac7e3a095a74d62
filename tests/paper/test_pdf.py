"""The PDF itself: sound for three engines, the same bytes each time, faces embedded, labels, links, true size.

Engines: PDFium (pypdfium2), qpdf (pikepdf) and, where it is installed, poppler.
"""

from __future__ import annotations

import shutil
import subprocess
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pikepdf
import pypdf
import pypdfium2
import pytest

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.imposition import grid_for, impose
from logbook.paper.layouts import layout
from logbook.paper.page import Text
from logbook.paper.sheet.sheets import record_sheet
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree

from ..conftest import Answer, day

PRINTS = {
    "sheets": ["sheets", "--today", "2026-11-25", "--season-card"],
    "book": ["sheets", "--booklet", "--draft", "--today", "2026-11-25"],
    "walk": ["walk", "--today", "2026-11-25"],
    "tags": ["tags"],
    "scale": ["cards", "scale"],
}


@pytest.fixture(scope="module")
def prints(tmp_path_factory: pytest.TempPathFactory) -> dict[str, Path]:
    """One PDF of each kind, of the demo."""
    from logbook.cli.main import run

    folder = tmp_path_factory.mktemp("prints")
    assert run(["start", "--demo", str(folder / "demo")]) == 0
    for name, words in PRINTS.items():
        assert run(["-C", str(folder / "demo"), *words, "-o", str(folder / f"{name}.pdf")]) == 0
    return {name: folder / f"{name}.pdf" for name in PRINTS}


@pytest.mark.parametrize("name", PRINTS)
def test_three_engines_find_nothing_wrong(prints: dict[str, Path], name: str) -> None:
    with pikepdf.open(prints[name]) as opened:
        assert opened.check_pdf_syntax() == []
    assert len(pypdfium2.PdfDocument(prints[name])) == len(pypdf.PdfReader(prints[name]).pages)
    if shutil.which("pdftoppm"):
        told = subprocess.run(["pdftoppm", "-r", "20", prints[name], "/dev/null"], capture_output=True, text=True)
        assert told.stderr == ""


@pytest.mark.parametrize("name", PRINTS)
def test_title_language_and_labels(prints: dict[str, Path], name: str) -> None:
    reader = pypdf.PdfReader(prints[name])
    assert (
        reader.metadata is not None
        and reader.metadata.title
        and reader.metadata.title.startswith("Quarry Lane benches: ")
    )
    assert reader.trailer["/Root"]["/Lang"] == "en"
    labels = reader.page_labels
    assert len(labels) == len(reader.pages)
    wanted = {
        "sheets": "front 1",
        "tags": "tag 001",
        "scale": "scale page",
        "walk": "walk list",
        "book": "back cover",
    }
    assert any(wanted[name] in label for label in labels)


def test_codes_are_links_that_can_be_clicked(prints: dict[str, Path]) -> None:
    linked = {
        annotation.get_object()["/A"]["/URI"]
        for page in pypdf.PdfReader(prints["tags"]).pages
        for annotation in page.get("/Annots", ())
    }
    assert linked == {f"https://quarrylane.example/trees/{n:03d}.yaml" for n in range(1, 12)}


def test_text_stands_where_the_layout_put_it(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """PDFium's own boxes of what was printed, against the pages: within 0.4 mm, and none beyond the trim."""
    out = tmp_path / "s.pdf"
    bench("sheets", "--draft", "--tag", "004", "-o", out, "--today", "2026-11-25", folder=demo)
    knowledge, plan = shipped_knowledge(), layout("pocket-a6")
    collection = load(demo, knowledge)
    tree = collection.tree("004")
    assert tree is not None
    garden = Garden(collection.settings, knowledge, collection.trees)
    sheet = record_sheet(plan_tree(tree, garden, day("2026-11-25")), collection.settings, knowledge, plan, "")
    sides = list(impose(sheet.leaves, grid_for(plan.paper, plan.page)))
    document = pypdfium2.PdfDocument(out)
    assert len(document) == len(sides)
    for side, printed in zip(sides, document, strict=True):
        page = printed.get_textpage()
        for placed in side.placed:
            for item in placed.page.items:
                if isinstance(item, Text) and len(item.text) > 3 and item.text.isascii():
                    boxes = _found(page, item.text, side.height)
                    left, base = placed.x + item.x, placed.y + item.y
                    assert any(abs(x - left) < 0.6 and abs(y - base) < 0.8 for x, y, _ in boxes), item
                    assert all(right <= placed.x + placed.page.width for x, _, right in boxes if abs(x - left) < 0.6)


def _found(page: pypdfium2.PdfTextPage, text: str, height: float) -> list[tuple[float, float, float]]:
    """Left edge, baseline and right edge, mm from the upper left, of every place where a text stands."""
    search, spots, mm = page.search(text, match_case=True), [], 25.4 / 72
    while (at := search.get_next()) is not None:
        boxes = [page.get_charbox(at[0] + k, loose=False) for k in range(at[1])]
        feet = sorted(b[1] for b in boxes if b[3] > b[1])
        spots.append((boxes[0][0] * mm, height - feet[len(feet) // 2] * mm, max(b[2] for b in boxes) * mm))
    return spots


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
            words = ["--today", "2026-11-25", "--seed", "1"] if verb != "tags" else []
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
