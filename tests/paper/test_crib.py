"""The crib: all that a note may say, made from the registers, in type that can be read at a bench."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from pathlib import Path

import pypdf
import pytest

from logbook.cli.common import Opened
from logbook.cli.saying import announced_to
from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.announced import fields_said, lines_said, seen_said
from logbook.paper.crib import crib_pages
from logbook.paper.layouts import layout
from logbook.paper.page import Page, Text
from logbook.planning.garden import Garden
from logbook.shipped import shipped

from ..conftest import DEMO, TODAY, Answer, day
from .pages import proved

Bench = Callable[..., Answer]
SHEETS = sorted(p.stem for p in shipped("layouts").glob("*.yaml") if "kind: sheet" in p.read_text("utf-8"))
KNOWLEDGE = shipped_knowledge()


@pytest.fixture(scope="module")
def opened() -> Opened:
    collection = load(DEMO, KNOWLEDGE)
    return Opened(DEMO, collection, Garden(collection.settings, KNOWLEDGE, collection.trees), day(TODAY))


def texts(pages: Sequence[Page]) -> list[Text]:
    return [item for page in pages for item in page.items if isinstance(item, Text)]


def in_columns(pages: Sequence[Page]) -> str:
    """All that stands there, block by block and column by column, so that a wrapped phrase is whole again."""
    blocks: dict[tuple[str, float], list[str]] = {}
    for text in texts(pages):
        blocks.setdefault((text.block, round(text.x, 1)), []).append(text.text)
    return " ".join(" ".join(rows) for rows in blocks.values())


@pytest.mark.parametrize("name", SHEETS)
def test_it_fits_every_pocket_and_binder(name: str, opened: Opened) -> None:
    plan = layout(name)
    pages = crib_pages(announced_to(opened, []), KNOWLEDGE, plan)
    for page in pages:
        proved(page)
    feet = [text for text in texts(pages) if text.block == "foot"]
    assert len(feet) == len(pages) and all(t.size_pt >= 9.0 for t in texts(pages) if t not in feet)


def test_all_of_it_stands_there(opened: Opened) -> None:
    said = in_columns(crib_pages(announced_to(opened, []), KNOWLEDGE, layout("pocket-a6")))
    phrases = [line.said for line in lines_said()]
    phrases += [phrase for field in fields_said(KNOWLEDGE) for phrase in field.said if field.key != "work"]
    phrases += [
        phrase for kind in ("sign", "trouble") for some in seen_said(KNOWLEDGE, kind).values() for phrase in some
    ]  # type: ignore[arg-type]
    phrases += [phrase for work in KNOWLEDGE.works.values() for phrase in (work.name, *work.typed)]
    missing = [phrase for phrase in phrases if not re.search(rf"(?<!\w){re.escape(phrase)}(?!\w)", said)]
    assert len(phrases) > 250 and not missing
    assert "outlined, open; black, the best days" in said, "what the year on a sheet means"


def test_the_works_are_those_of_the_trees_it_is_for(opened: Opened) -> None:
    """No candles are taken off a larch (common practice, no source)."""
    larch = opened.collection.tree("003")
    assert larch is not None
    own, of_all = (dict(announced_to(opened, trees).works) for trees in ([larch], []))
    assert set(own) < set(of_all) and "candle removal" not in own and own["wiring"] == of_all["wiring"]


def test_a_collections_own_words_stand_on_it(demo: Path, tmp_path: Path, bench: Bench) -> None:
    path = demo / "collection.yaml"
    own = "\nworks:\n  moss care: {groups: all, window: open / open / open + 9, sign: moss thick, typed: [moss done]}\n  repotting: {typed: [tubbed]}\n"
    path.write_text(path.read_text("utf-8") + own, encoding="utf-8")
    out = tmp_path / "crib.pdf"
    assert bench("cards", "crib", "-o", out, "--today", TODAY, folder=demo).code == 0
    said = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(out).pages).split())
    assert "moss care" in said and "moss done" in said and "tubbed" in said


def test_the_pocket_book_ends_with_it(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "book.pdf"
    assert bench("sheets", "--booklet", "--draft", "-o", out, "--today", TODAY, folder=demo).code == 0
    said = " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(out).pages).split())
    for title in ("How a note is typed", "What it can say", "Works, by name or by other words", "Take care"):
        assert title in said
