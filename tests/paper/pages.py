"""What the page tests share: trees of every awkward kind, and the proof that a page keeps its rooms."""

from __future__ import annotations

import itertools

import numpy as np
import pypdfium2
import pytest
from hypothesis import strategies as st

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Entry, Intention, Targets, Tree, TrunkTarget
from logbook.paper import typesetting as setting
from logbook.paper.page import Page, Paper, Placed, Text
from logbook.paper.pdf import render
from logbook.paper.sheet.blocks.bars import wire_bars
from logbook.paper.sheet.blocks.jobs import newest_thought
from logbook.paper.sheet.blocks.leave import vital_care
from logbook.paper.sheet.offers import offers_of
from logbook.paper.sheet.sheets import RecordSheet
from logbook.planning.model import Plan
from logbook.planning.wording import Wording, besides

WORDING = Wording()
words = st.text(st.sampled_from("abcdefg nopq ÄéŌ 欅夕霧 🌱 WM.-…"), min_size=1, max_size=70)
entries = st.builds(
    Entry,
    date=st.sampled_from(["2019-03", "2023-04-02", "2025~", "2026-06-13"]).map(read_when),
    work=st.sampled_from(["", "wiring", "wiring", "repotting", "candle removal"]),
    branches=st.sampled_from([(), ("1",), tuple(str(n) for n in range(1, 31))]),
    note=words | st.just(""),
    vigour=st.sampled_from([None, 1, 4]),
    intend=st.none() | st.builds(Intention, what=words),
    measured=st.dictionaries(st.sampled_from(["trunk", "tips", "leaf"]), st.floats(1, 900)),
)
branches = st.builds(
    Branch,
    id=st.sampled_from([*map(str, range(1, 60)), "S1", "S12"]),
    clock=st.none() | st.floats(0, 12.99),
    height=st.none() | st.floats(0, 2000),
    role=st.sampled_from(["keep", "undecided", "sacrifice", "deadwood"]),
)
trees = st.builds(
    Tree,
    tag=st.sampled_from(["001", "A1", "WWWWWWWWWWWWWWWW", "松12"]),
    log=st.lists(entries, max_size=200).map(tuple),
    path=st.just("trees/001.yaml"),
    name=words | st.just(""),
    species=st.sampled_from(["Acer palmatum", "Pinus thunbergii", "Juniperus chinensis", "Ficus microcarpa"]),
    aim=st.lists(words, max_size=40).map(" ".join),
    bench=words | st.just(""),
    front=words | st.just(""),
    branches=st.lists(branches, max_size=30, unique_by=lambda b: b.id).map(tuple),
    targets=st.builds(
        Targets, trunk=st.none() | st.builds(TrunkTarget, to=st.floats(5, 400)), tips=st.none() | st.integers(1, 500)
    ),
)


MORE = "… more in the file"


def nothing_is_dropped(plan: Plan, made: RecordSheet, said: str) -> None:
    """What may never go is on the front, whatever gave way: jobs with their marks, refusals, wire, holds, the newest intention, names."""
    squeezed = said.replace(" ", "")

    def stands(text: str, why: str) -> None:
        for word in setting.tidy(text).split():
            assert word in squeezed, (why, word, plan.tree.tag)

    tree = plan.tree
    for name in (tree.tag, tree.name, tree.bench):
        stands(name, "names and place")
    marks = {i.text for front, _ in made.leaves for i in front.items if isinstance(i, Text) and i.block == "jobs"}
    for marked in offers_of(plan).front:
        assert marked.mark in marks
        stands(marked.job.own or marked.job.work, "a job")
        stands(WORDING.reasons(marked.job.conditions), "what must be true")
        stands(marked.job.how, "how much")
    barred = {hold.reason for hold in plan.holds}
    for refusal in plan.expected_refusals:
        stands(refusal.work if refusal.why not in barred else "", "a refusal")
    for bar in wire_bars(plan):
        stands("BITES" if bar.bites else "WIRE", "wire")
    for hold in plan.holds:
        stands(f"{WORDING.hold_what(hold)} {WORDING.hold_ends(hold)}", "a state in which the tree is left alone")
        stands(besides(hold) if hold.roots_ail else "", "ailing roots drown before they starve")
    for job in vital_care(plan):
        stands(job.what, "care that it may die without")
    thought = newest_thought(plan)
    stands(thought.intend.what if thought and thought.intend else "", "the newest intention")
    if MORE.replace(" ", "") not in squeezed:
        stands(tree.aim, "the aim")


def extent(item: Text) -> tuple[float, float, float, float]:
    """Left, top, right and bottom of a text, mm, however it is turned."""
    up, down = item.size_pt * 0.3528 * 0.76, item.size_pt * 0.3528 * 0.26
    if item.turn == 1:
        return item.x - up, item.y - item.width, item.x + down, item.y
    if item.turn == 3:
        return item.x - down, item.y, item.x + up, item.y + item.width
    return item.x, item.y - up, item.x + item.width, item.y + down


def proved(page: Page, least_x: float = 2.9) -> None:
    """No text under 7.5 pt, none outside the page or its block, no two blocks over each other."""
    blocks = {b.name: b for b in page.blocks}
    for item in page.items:
        if isinstance(item, Text):
            assert item.size_pt >= setting.LEAST_PT
            width = setting.width_mm(item.text, item.size_pt, item.bold)
            assert width == pytest.approx(item.width, abs=0.01), "a text knows its width"
            left, top, right, bottom = extent(item)
            assert left >= least_x and right <= page.width - min(1.0, least_x) + 1e-6, (page.label, item)
            assert top >= min(1.0, least_x) and bottom <= page.height - min(1.0, least_x)
            if item.block in blocks:
                room = blocks[item.block]
                assert left >= room.x - 0.05 and right <= room.x + room.width + 0.05, (page.label, item, room)
                assert bottom <= room.y + room.height + 0.6 and top >= room.y - 0.6, (page.label, item, room)
    foot = sorted((i.x, i.x + i.width) for i in page.items if isinstance(i, Text) and i.block == "foot")
    assert all(one[1] < other[0] for one, other in itertools.pairwise(foot)), (
        page.label,
        "the foot's words stand apart",
    )
    for index, one in enumerate(page.blocks):
        for other in page.blocks[index + 1 :]:
            over_x = min(one.x + one.width, other.x + other.width) - max(one.x, other.x)
            over_y = min(one.y + one.height, other.y + other.height) - max(one.y, other.y)
            assert over_x <= 0.05 or over_y <= 0.05, (page.label, one, other)


def eroded(page: Page) -> tuple[np.ndarray, float]:
    """The page as a bad photocopy: in one bit at 300 dpi, eroded by a pixel on all sides, at half size; and its pixels a millimetre."""
    pdf = render([Paper(page.width, page.height, (Placed(page, 0.0, 0.0),))], "p", "夕霧")
    dpi = 300.0
    dark = pypdfium2.PdfDocument(pdf)[0].render(scale=dpi / 72, grayscale=True).to_numpy().squeeze() < 128
    across = dark[:, :-2] & dark[:, 1:-1] & dark[:, 2:]
    thin = across[:-2] & across[1:-1] & across[2:]
    high, wide = (side // 2 for side in thin.shape)
    half = thin[: high * 2, : wide * 2].reshape(high, 2, wide, 2).mean(axis=(1, 3)) >= 0.5
    return half, dpi / 2 / 25.4
