"""What ails a tree stays with its keeper: anybody sees that it rests, on no page what it has, since when, or where."""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from logbook.collection.fields.entry import TROUBLES
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.condition import RESCUE
from logbook.planning.planner import plan_tree
from logbook.planning.tree_state import ROOT_TROUBLES
from logbook.season.reasons import Reason
from logbook.web.public import AILS, ILL, LEFT_ALONE, public_plan

from ..conftest import TODAY, day, garden_at, make_collection
from ..paper.gardens import SPECIES, generated, stress
from .conftest import made
from .gardens import SETTINGS

OTHERS = sorted(set(TROUBLES) - {"over", *ROOT_TROUBLES})
TELLING = re.compile(r"trouble|disease|\bpests?\b|emergency|ailing|in need|still\?", re.IGNORECASE)
RESTS = "resting: no work"


def ill(folder: Path, trouble: str, *more: dict[str, object], since: str = "2026-09-20") -> Path:
    """Trees of every kind, each with a sound history and one trouble, written down at a place."""
    texts = {}
    for number, species in enumerate(SPECIES, 1):
        log: list[dict[str, object]] = [
            {"date": "2022-04-02", "work": "repotting"},
            {"date": "2024-05-01", "found": {"stage": "refinement", "vigour": 4}},
            {"date": "2025-06-01", "work": "wiring", "branches": [1], "note": "guy it"},
            {"date": since, "trouble": trouble, "note": f"SECRET {trouble}", "bench": "SECRET bench"},
            *more,
        ]
        tree = {"tag": f"{number:03d}", "species": species, "branches": [{"id": 1}], "log": log}
        texts[f"{number:03d}"] = yaml.safe_dump(tree, sort_keys=False)
    return make_collection(folder, texts, SETTINGS)


def public(garden: Path, out: Path) -> dict[str, bytes]:
    """All that anybody may see of a garden, by the name of the file."""
    made(garden, "-o", out / "any")
    made(garden, "--one", out / "any.html")
    return {str(path.relative_to(out)): path.read_bytes() for path in sorted(out.rglob("*.html"))}


def test_one_trouble_looks_like_another_to_anybody(tmp_path: Path) -> None:
    """By bytes: pages of a garden with pests are those of a garden with disease, and those written a week later."""
    first, *others = (public(ill(tmp_path / one / "g", one), tmp_path / one / "p") for one in OTHERS)
    assert len(OTHERS) > 1 and len(first) == len(SPECIES) + 3
    assert all(first == other for other in others)
    later = ill(tmp_path / "later" / "g", OTHERS[0], since="2026-09-27")
    assert public(later, tmp_path / "later" / "p") == first
    for name, page in first.items():
        text = page.decode("utf-8")
        assert (RESTS in text) == (re.search(r"\d\d\d\.html|any\.html", name) is not None)
        assert "SECRET" not in text and not TELLING.search(text), name


@pytest.mark.parametrize("helped", [(), ({"date": "2026-10-02", "work": "emergency repotting", "roots": "light"},)])
def test_nor_does_anybody_see_that_it_is_the_roots(tmp_path: Path, helped: tuple[dict[str, object], ...]) -> None:
    """Neither what is to be done about them nor that it was done, while the tree is held for it; the keeper's pages say all of it."""
    garden = ill(tmp_path / "g", "roots", *helped)
    for name, page in public(garden, tmp_path / "p").items():
        text = page.decode("utf-8")
        assert not TELLING.search(text) and "SECRET" not in text, name
        assert RESTS not in text or ("only as the soil dries" in text and "as usual" not in text), (
            "what harms no tree"
        )
    made(garden, "--own", "-o", tmp_path / "own")
    own = (tmp_path / "own" / "001.html").read_text("utf-8")
    assert "trouble" in own and RESTS not in own and ("emergency repotting" in own or not helped)


def grounds(value: object) -> Iterator[Reason]:
    """Every reason within a plan."""
    if isinstance(value, Reason):
        yield value
        for inner in value.given:
            yield from grounds(inner)
    elif isinstance(value, tuple | list):
        for inner in value:
            yield from grounds(inner)


def test_no_ground_of_a_public_plan_tells_what_ails_the_tree() -> None:
    """Of heavy and of plain trees: no state, no reason however deep, no work that helps roots while they are held for it."""
    trees = [*stress(), *generated(300, 9)]
    garden, seen = garden_at(trees=trees), 0
    helping = {work.name for work in shipped_knowledge().acting(RESCUE)}
    for tree in trees:
        plan = plan_tree(tree, garden, day(TODAY))
        shown = public_plan(plan)
        jobs = [reason for job in (*shown.jobs, *shown.care) for reason in (*job.reasons, *job.conditions)]
        refused = [reason for refusal in shown.refusals for reason in (refusal.why, *refusal.reasons)]
        found = list(grounds([*jobs, *refused, *(hold.reason for hold in shown.holds), *shown.advice]))
        assert not [reason for reason in found if reason.code in ILL]
        assert not [hold for hold in shown.holds if hold.state in AILS] and not shown.asks
        assert not shown.state.trouble and shown.state.trouble_entry is None
        if any(hold.state in AILS for hold in plan.holds):
            assert LEFT_ALONE in found and not [job for job in shown.jobs if job.work in helping]
            assert [hold.kinds for hold in shown.holds] == [hold.kinds for hold in plan.holds]
            seen += 1
    assert seen > 25
