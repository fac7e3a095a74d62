"""A tree that has left: on no paper that it is not named for, and no reason to print its neighbours again."""

from __future__ import annotations

import json
import re
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from ..conftest import Answer

TODAY = ["--today", "2026-12-29"]
TAG, NAME = "008", "Snow Lantern"
PAPERS = (
    "sheets",
    "sheets --season-card --more",
    "sheets --booklet",
    "sheets --form",
    "sheets --large",
    "walk",
    "walk --all",
    "walk --first-look",
    "walk --large",
    "tags",
    "plan --saturday 4h",
    *(f"cards {card}" for card in ("season", "wiring", "repotting", "minder", "display", "crib", "years")),
    *(f"cards {card}" for card in ("wall", "wall --by group", "roll", "roll --heirs --value", "ahead")),
)  # not the review of a season in which it stood
HEAVY = ("sheets --season-card --more", "sheets --large", "cards roll --heirs --value")  # in the soak
NAMELESS = ("cards wiring", "cards crib")  # it was on neither of these while it lived
RANGE = re.compile(r"\b(\d{3})[–-](\d{3})\b")
Bench = Callable[..., Answer]


def said(bench: Bench, paper: str, folder: Path, out: Path) -> str:
    """All the words of a paper, printed of the whole collection."""
    answer = bench(*paper.split(), "-o", out, *TODAY, folder=folder)
    assert answer.code == 0, answer.err
    return " ".join(page.extract_text() for page in pypdf.PdfReader(out).pages)


def names_it(text: str) -> bool:
    """Whether a text has its tag, its name, or a range of tags that runs over it."""
    ranges = any(int(first) < int(TAG) < int(last) for first, last in RANGE.findall(text))
    return bool(re.search(rf"(?<![\d-]){TAG}(?![\d-])", text)) or NAME in " ".join(text.split()) or ranges


def photographed(bench: Bench, folder: Path, notes: Path) -> None:
    """This tree and another have photographs on record."""
    (folder / "photos").mkdir(exist_ok=True)
    Image.new("RGB", (60, 80), "gray").save(folder / "photos" / "a.jpg")
    told = "".join(f"tree {tag}\n20 nov photo photos/a.jpg\n" for tag in (TAG, "009"))
    notes.write_text(told, encoding="utf-8")
    assert bench("reconcile", notes, "--yes", *TODAY, folder=folder).code == 0


@pytest.mark.parametrize("paper", [pytest.param(p, marks=pytest.mark.soak) if p in HEAVY else p for p in PAPERS])
def test_it_is_on_no_paper(paper: str, demo: Path, tmp_path: Path, bench: Bench) -> None:
    photographed(bench, demo, tmp_path / "notes.txt")
    before = said(bench, paper, demo, tmp_path / "before.pdf")
    assert bench("end", TAG, "--how", "died", *TODAY, folder=demo).code == 0
    after = said(bench, paper, demo, tmp_path / "after.pdf")
    assert not names_it(after)
    assert names_it(before) == (paper not in NAMELESS)


def test_every_paper_is_looked_at() -> None:
    from logbook.cli.cards import _CARDS

    cards = {paper.split()[1] for paper in PAPERS if paper.startswith("cards")}
    assert cards == set(_CARDS) - {"review"}


@pytest.mark.parametrize("how", [("died",), ("merged", "--into", "009")], ids=lambda how: how[0])
def test_its_neighbours_are_not_printed_again(how: tuple[str, ...], demo: Path, tmp_path: Path, bench: Bench) -> None:
    """Their fronts say what they said; only that of the planting it went into may say more."""
    out = ["-o", tmp_path / "s.pdf", *TODAY]
    assert bench("sheets", *out, folder=demo).code == 0
    tags = [path.stem for path in sorted((demo / "trees").glob("*.yaml")) if path.stem not in (TAG, "009")]
    only = " ".join(f"--tag {tag}" for tag in tags)
    before = said(bench, f"sheets --draft {only}", demo, tmp_path / "before.pdf")
    assert bench("end", TAG, "--how", *how, *TODAY, folder=demo).code == 0
    again = json.loads(bench("sheets", "--changed", "--json", *out, folder=demo).out)["sheets"]
    assert {sheet["tag"] for sheet in again} <= ({"009"} if len(how) > 1 else set())
    assert said(bench, f"sheets --draft {only}", demo, tmp_path / "after.pdf") == before
