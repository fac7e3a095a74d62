"""Large type: twice the size on whole pages, nothing under 15 points, and what is on record stands where it is printed."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from pathlib import Path

import pypdfium2
import pypdfium2.raw as pdfium
import pytest

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper.bench_cards import wiring_card
from logbook.paper.layouts import large, layout
from logbook.paper.page import Box, Page, Rule, Text, enlarged
from logbook.paper.roll import Entry, roll
from logbook.paper.sheet.sheets import record_sheet
from logbook.paper.walk import Walk, walk_list
from logbook.planning.garden import Garden
from logbook.planning.lists.wire_list import totals, wire_for
from logbook.planning.planner import plan_tree
from logbook.storage.printed import Sheet, load_ledger

from ..conftest import DEMO, Answer, day, garden_at
from .gardens import stress
from .pages import nothing_is_dropped, proved
from .walk_garden import stress_walk

LEAST_PT = 15.0
KNOWLEDGE = shipped_knowledge()


def is_large(page: Page) -> None:
    texts = [item for item in page.items if isinstance(item, Text)]
    assert texts and min(item.size_pt for item in texts) >= LEAST_PT / 2, min(texts, key=lambda i: i.size_pt)
    proved(page)
    bigger = [item for item in enlarged(page, 2.0).items if isinstance(item, Text)]
    assert [i.size_pt for i in bigger] == [2 * i.size_pt for i in texts]


def on_record(pages: list[Page], sheet: Sheet | None) -> None:
    assert sheet is not None and sheet.spots
    for spot in sheet.spots:
        page = pages[spot.page - 1]
        if spot.kind in ("job", "say", "vigour"):
            assert spot.width >= 10.0
            boxes = [i for i in page.items if isinstance(i, Box)]
            assert any(max(abs(i.x - spot.x), abs(i.y - spot.y), abs(i.width - spot.width)) < 0.02 for i in boxes)
        elif spot.kind in ("line", "day", "told", "by"):
            base = spot.y + spot.height
            assert any(isinstance(i, Rule) and abs(i.y1 - base) < 0.02 for i in page.items), spot


@pytest.mark.parametrize("name", ["pocket-a6", "pocket-quarter-letter", "pocket-4x6in", "binder-a5"])
def test_sheets(name: str) -> None:
    garden, plan = garden_at(), large(layout(name))
    for tree in stress()[::6]:
        made = record_sheet(plan_tree(tree, garden, day("2026-11-25")), garden.settings, KNOWLEDGE, plan, "00142-4")
        for side in (side for leaf in made.leaves for side in leaf if side is not None):
            is_large(side)
        pages = [enlarged(side, plan.times) for leaf in made.leaves for side in leaf if side is not None]
        for page in pages:
            assert (page.width, page.height) == pytest.approx(plan.paper)
        assert made.sheet is not None
        on_record(pages, made.sheet.enlarged(plan.times))
        said = " ".join(i.text for page in pages for i in page.items if isinstance(i, Text))
        nothing_is_dropped(plan_tree(tree, garden, day("2026-11-25")), made, said)


@pytest.mark.parametrize("name", ["walk-a4", "walk-letter"])
@pytest.mark.parametrize("today", ["2027-01-18", "2027-04-18", "2027-06-10"])
@pytest.mark.parametrize("first_look", [False, True])
def test_walk_lists(name: str, today: str, first_look: bool) -> None:
    walk, settings = stress_walk(day(today), first_look=first_look, count=30)
    plan = large(layout(name))
    made = walk_list(walk, settings, plan, "00142-4")
    pages = [enlarged(page, plan.times) for page in made.pages]
    for page in made.pages:
        is_large(page)
    assert made.sheet is not None
    on_record(pages, made.sheet.enlarged(plan.times))
    ticks = [s for s in made.sheet.spots if s.kind in ("job", "say", "vigour")]
    for one in ticks:
        for other in ticks:
            if one is not other and one.page == other.page:
                apart = max(abs(one.x - other.x) - one.width, abs(one.y - other.y) - one.height)
                assert apart > 0.5, (one, other)
    for spot in made.sheet.spots:
        if spot.kind in ("line", "day", "told", "by"):
            for item in made.pages[spot.page - 1].items:
                if isinstance(item, Text):
                    over_x = min(item.x + item.width, spot.x + spot.width) - max(item.x, spot.x)
                    over_y = min(item.y, spot.y + spot.height) - max(item.y - 2.0, spot.y)
                    assert over_x <= 0.01 or over_y <= 0.01, (spot, item)
    said = " ".join(i.text for page in made.pages for i in page.items if isinstance(i, Text))
    assert "good to then" in said or first_look
    assert (
        first_look
        or not walk.watched
        or all(any(s.kind == "told" and s.tag == tag for s in made.sheet.spots) for tag in walk.watched)
    )


def demo_cards() -> Iterator[Page]:
    collection = load(DEMO, KNOWLEDGE)
    garden = Garden(collection.settings, KNOWLEDGE, collection.trees)
    plans = [plan_tree(tree, garden, day("2026-11-25")) for tree in collection.living]
    pocket, whole = large(layout("pocket-a6")), large(layout("dossier-a4"))
    laid = [(p.tree, found) for p in plans if (found := wire_for(p.tree, p.state, "copper"))]
    sums = totals(one for _, found in laid for one in found)
    yield from wiring_card(laid, sums, collection.settings.units, pocket, day("2026-11-25"), "copper")
    yield from roll([Entry(p, None, True) for p in plans], collection.settings, whole, "00142-4", worth=True).pages


def test_cards() -> None:
    for page in demo_cards():
        is_large(page)


@pytest.mark.parametrize(
    "card", ["season", "wiring", "repotting", "minder", "crib", "review", "wall", "ahead", "roll"]
)
def test_cards_by_the_command(card: str, demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    out = tmp_path / "c.pdf"
    answer = bench("cards", card, "--large", "-o", out, "--today", "2026-11-25", folder=demo)
    assert answer.code == 0, answer.err
    for page in pypdfium2.PdfDocument(out):
        wide, high = (side * 25.4 / 72 for side in page.get_size())
        assert sorted((wide, high)) == pytest.approx([210.0, 297.0], abs=0.1)
        text = page.get_textpage()
        sizes = [pdfium.FPDFText_GetFontSize(text, n) for n in range(text.count_chars())]
        assert min((size for size in sizes if size > 1.0), default=LEAST_PT) >= LEAST_PT


def test_what_is_large_goes_on_record_as_it_is_printed(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer]
) -> None:
    assert bench("sheets", "--large", "--tag", "004", "-o", tmp_path / "s.pdf", folder=demo).code == 0
    (sheet,) = load_ledger(demo).sheets.values()
    assert all(s.width == pytest.approx(10.0) for s in sheet.spots if s.kind in ("job", "vigour", "square"))
    for words, said in (
        (["sheets", "--large", "--booklet"], "a booklet and a form have one size"),
        (["sheets", "--large", "--form"], "a booklet and a form have one size"),
        (["cards", "scale", "--large"], "the trial page has the size it has"),
        (["walk", "--large", "--layout", "walk-a5"], "large type needs paper of 200 mm or wider"),
    ):
        answer = bench(*words, "-o", tmp_path / "x.pdf", folder=demo)
        assert answer.code == 1 and said in answer.err


def test_a_walk_of_one_page_is_the_same_list() -> None:
    collection = load(DEMO, KNOWLEDGE)
    garden = Garden(collection.settings, KNOWLEDGE, collection.trees)
    plans = [plan_tree(tree, garden, day("2026-11-25")) for tree in collection.living]
    tags = [tree.tag for tree in collection.living]
    small, wide = (
        walk_list(Walk(plans, tags), collection.settings, plan, "00142-4")
        for plan in (layout("walk-a4"), large(layout("walk-a4")))
    )
    assert small.tags == wide.tags and small.sheet and wide.sheet and small.sheet.jobs == wide.sheet.jobs
