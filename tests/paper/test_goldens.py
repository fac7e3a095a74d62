"""What one sheet, walk list and tag of each layout looks like, kept as small readable pictures in characters.

A golden is the page at 2 mm a cell: ` ` white, `.` light, `o` half, `#` dark. After a wanted change: `pytest
tests/paper/test_goldens.py --renew-goldens`, then read the diff.
"""

from __future__ import annotations

from collections.abc import Callable
from pathlib import Path

import numpy as np
import pypdfium2
import pytest

from logbook.paper.layouts import layout
from logbook.shipped import shipped

from ..conftest import Answer

ALL = sorted(p.stem for p in shipped("layouts").glob("*.yaml"))
KEPT = Path(__file__).parent / "goldens"
VERBS = {
    "sheet": ["sheets", "--draft", "--tag"],
    "walk": ["walk", "--draft", "--tag"],
    "tag": ["tags", "--tag"],
    "dossier": ["dossier"],
    "wall": ["cards", "wall", "--tag"],
}
CELL_MM, SCALE = 2.0, 6  # millimetres and pixels a cell


@pytest.mark.parametrize("name", ALL)
def test_it_looks_as_it_did(
    name: str, demo: Path, tmp_path: Path, bench: Callable[..., Answer], request: pytest.FixtureRequest
) -> None:
    plan = layout(name)
    out = tmp_path / "page.pdf"
    words = [*VERBS[plan.kind], "004", "--layout", name, "--today", "2026-11-25"]
    answer = bench(*words, "-o", out, folder=demo)
    assert answer.code == 0, answer.err
    seen = "\n\n".join(picture(page) for page in pypdfium2.PdfDocument(out)) + "\n"
    kept = KEPT / f"{name}.txt"
    if request.config.getoption("--renew-goldens"):
        kept.parent.mkdir(exist_ok=True)
        kept.write_text(seen, encoding="utf-8")
    rows, wanted = seen.splitlines(), kept.read_text("utf-8").splitlines()
    assert len(rows) == len(wanted)
    off = [
        f"line {n}:\n  was {w}\n  is  {r}" for n, (r, w) in enumerate(zip(rows, wanted, strict=True), 1) if far(r, w)
    ]
    assert not off, "\n".join(off[:6])


def picture(page: pypdfium2.PdfPage) -> str:
    """The page as characters, without the white edge on its right and below."""
    gray = page.render(scale=SCALE / CELL_MM * 25.4 / 72, grayscale=True).to_numpy().squeeze()
    high, wide = (side // SCALE for side in gray.shape)
    cells = gray[: high * SCALE, : wide * SCALE].reshape(high, SCALE, wide, SCALE).mean(axis=(1, 3))
    tones = np.array(list("#o. "))[np.digitize(cells, (90, 170, 235))]
    return "\n".join("".join(row).rstrip() for row in tones).rstrip()


def far(row: str, wanted: str) -> bool:
    """Whether more than a stray cell differs: two builds of the renderer round edges differently."""
    width = max(len(row), len(wanted))
    return sum(a != b for a, b in zip(row.ljust(width), wanted.ljust(width), strict=True)) > max(2, width // 25)
