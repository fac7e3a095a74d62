"""The README's ten minutes, run as they stand: each command, what it prints, and what its pages look like.

After a wanted change: `pytest tests/test_tour.py --renew-goldens` draws the pictures anew; the words are mended by hand.
A line of `…` in the README stands for any lines.
"""

from __future__ import annotations

import re
import shlex
from collections.abc import Callable, Iterator
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from .conftest import Answer

ROOT = Path(__file__).resolve().parent.parent
KEPT = ROOT / "tests" / "tour"
README = (ROOT / "README.md").read_text("utf-8")
TOUR = README.partition("## A spring with the demo")[2].partition("\n## ")[0]
BLOCK = re.compile(r"```(console|text) ?(\S*)\n(.*?)```", re.DOTALL)
LEFT_OUT = "…"
CELL = 12  # pixels
DRAWS, SEED = {"sheets", "walk"}, "1"


def commands(block: str) -> Iterator[tuple[str, str]]:
    """Each typed command of a console block with what is said to follow it."""
    for part in re.split(r"^\$ ", block, flags=re.MULTILINE)[1:]:
        typed, _, said = part.partition("\n")
        yield typed, said


def as_pattern(said: str) -> str:
    rows = [r"(?:.*\n)*?" if row == LEFT_OUT else re.escape(row) + r"\n" for row in said.splitlines()]
    return "".join(rows)


@pytest.fixture
def walked(tmp_path: Path, bench: Callable[..., Answer], monkeypatch: pytest.MonkeyPatch) -> Path:
    """The tour, taken: the folder it ends in. Serials are drawn by chance, so here they are given a seed."""
    monkeypatch.chdir(tmp_path)
    for kind, name, inside in BLOCK.findall(TOUR):
        if kind == "text":
            Path(name).write_text(inside, encoding="utf-8")
            continue
        for typed, said in commands(inside):
            words = shlex.split(typed)
            if words[0] == "cd":
                monkeypatch.chdir(words[1])
                continue
            if DRAWS & set(words):
                words += ["--seed", SEED]
            answer = bench(*words[1:])
            assert not answer.err, answer.err
            assert re.fullmatch(as_pattern(said), answer.out), f"{typed}\n{answer.out}"
    return Path.cwd()


def cells(path: Path) -> np.ndarray:
    gray = np.asarray(Image.open(path).convert("L"), dtype=float)
    high, wide = (side // CELL for side in gray.shape)
    return gray[: high * CELL, : wide * CELL].reshape(high, CELL, wide, CELL).mean(axis=(1, 3))


def test_the_tour_is_as_it_says(walked: Path, request: pytest.FixtureRequest) -> None:
    shown = re.findall(r'<img src="tests/tour/([^"]+)"', TOUR)
    assert len(shown) >= 4
    assert {path.name for path in KEPT.glob("*.png")} <= set(shown) or request.config.getoption("--renew-goldens")
    for name in shown:
        if request.config.getoption("--renew-goldens"):
            KEPT.mkdir(exist_ok=True)
            (KEPT / name).write_bytes((walked / name).read_bytes())
        seen, kept = cells(walked / name), cells(KEPT / name)
        assert seen.shape == kept.shape, name
        assert (abs(seen - kept) > 40).mean() < 0.01, f"{name} no longer looks as in the README"


def test_a_page_with_a_word_more_would_be_seen(tmp_path: Path) -> None:
    """The comparison is not blind: a line of type painted over changes more than it allows."""
    page = Image.open(KEPT / "sheet-1.png").convert("L")
    page.paste(255, (0, 120, page.width, 150))
    page.save(tmp_path / "changed.png")
    assert (abs(cells(tmp_path / "changed.png") - cells(KEPT / "sheet-1.png")) > 40).mean() > 0.01


def test_every_picture_has_words_for_those_who_do_not_see_it() -> None:
    assert TOUR.count("<img ") == len(re.findall(r'<img [^>]*alt="[^"]{20,}"', TOUR))
