"""A part of a tree's text teaches what the whole does: the same signs, in the same place, by the same hand."""

from __future__ import annotations

import random
from datetime import date

import pytest

from logbook.collection.as_logged import as_logged
from logbook.collection.model import Settings, Tree
from logbook.collection.teaching import what_it_teaches
from logbook.collection.tree_text import read_tree, tree_context
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden

from ..bench.kept import text_of
from ..conftest import DEMO
from ..fuzz.mutator import mutated

KNOWLEDGE = shipped_knowledge()
SETTINGS = Settings("a garden")
CONTEXT = tree_context(SETTINGS, KNOWLEDGE)
HEAD = 'tag: "014"\nspecies: Larix kaempferi\nbench: south 2\n'
ODD = {
    "long text": "aim: |\n  one\n  log:\n    - {date: 2026-01-01, saw: open}\nlog:\n  - {date: 2026-03-20, saw: swell}\n",
    "quoted over lines": 'aim: "one\n  - two"\nlog:\n  - {date: 2026-03-20, saw: swell, note: "a\n      - b, saw: open"}\n',
    "quoted to the margin": 'aim: "one\nlog: two"\nlog:\n  - {date: 2026-03-20, saw: swell}\n',
    "an entry within a quotation": "log:\n  - {date: 2026-03-20, note: 'one\n  - {date: 2026-03-21, saw: open}'}\n  - {date: 2026-03-22, saw: swell}\n",
    "apostrophes": "log:\n  - {date: 2026-03-20, note: the tree's bud}\n  - {date: 2026-03-22, saw: swell, note: don't}\n",
    "an entry over lines": "log:\n  - date: 2026-03-20\n    note: dry\n\n  # looked\n  - date: 2026-03-22\n    saw: swell\n    by: R\n",
    "at the margin": "log:\n- {date: 2026-03-20, note: dry}\n- {date: 2026-03-22, saw: swell}\n",
    "in brackets": "log: [{date: 2026-03-20, saw: swell}]\n",
    "moved": "log:\n  - {date: 2025-05-01, bench: tunnel}\n  - {date: 2026-03-22, saw: swell}\n  - {date: 2026-04-01, bench: south 1}\n",
    "corrected": "log:\n  - {date: 2026-03-22, saw: swell, from: 00142-4/1}\n  - {date: 2026-03-25, note: no, from: 00142-4/2, replaces: 00142-4/1}\n",
    "come over": "log:\n  - {date: 2025-01-05, found: {stage: ramification}, from: handover 2025}\n  - {date: 2024-03-22, saw: swell}\n",
    "an anchor": "log:\n  - &one {date: 2026-03-20, note: dry}\n  - {date: 2026-03-22, saw: swell}\n",
    "Windows": "log:\r\n  - {date: 2026-03-20, note: dry}\r\n  - {date: 2026-03-22, saw: swell}\r\n",
    "a bracket to the margin": "log:\n- {\ndate: 2026-03-20, note: dry}\n- {date: 2026-03-22, saw: swell}\n",
    "nothing": "log: []\n",
    "log first": "log:\n  - {date: 2026-03-22, saw: swell}\nname: One\naim: two\n",
}


def read(text: str) -> Tree | None:
    """The tree of a sound text."""
    tree, problems = read_tree(text, "trees/014.yaml", CONTEXT)
    return as_logged(tree) if tree is not None and not any(p.severity == "error" for p in problems) else None


def taught(tree: Tree) -> list[object]:
    """What a garden hears of a tree."""
    return [*Garden(SETTINGS, KNOWLEDGE, [tree], None, date(2026, 11, 25))._seen()]


def same(text: str) -> bool:
    """Whether a part was cut out; it has to teach what a sound whole does."""
    whole, part = read(text), what_it_teaches(text)
    if part is None or whole is None:
        return False
    cut = read(part)
    assert cut is not None, part
    assert taught(cut) == taught(whole), (text, part)
    assert (cut.tag, cut.bench, cut.first_bench) == (whole.tag, whole.bench, whole.first_bench)
    return True


@pytest.mark.parametrize("name", ODD)
def test_odd_texts_teach_the_same(name: str) -> None:
    same(HEAD + ODD[name])


def test_what_keepers_write_is_cut() -> None:
    draw = random.Random(5)
    demo = [path.read_text("utf-8") for path in sorted((DEMO / "trees").glob("*.yaml"))]
    kept = [text_of(number, draw) for number in range(1, 30)]
    assert sum(map(same, demo)) >= 10 and all(map(same, kept))
    parts = [what_it_teaches(text) or "" for text in kept]
    assert sum(map(len, parts)) < sum(map(len, kept)) / 3
    for name in ("apostrophes", "an entry over lines", "at the margin", "moved", "corrected", "Windows", "log first"):
        assert same(HEAD + ODD[name]), name


def test_texts_changed_at_random_teach_the_same() -> None:
    """Those that are still sound, and can still be cut."""
    draw = random.Random(11)
    texts = [HEAD + odd for odd in ODD.values()] + [text_of(number, draw) for number in range(1, 8)]
    cut = sum(same(mutated(draw.choice(texts), texts, draw)) for _ in range(4_000))
    assert cut > 150, cut
