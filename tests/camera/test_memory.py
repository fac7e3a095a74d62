"""How much memory a picture takes, in a process of its own: bounded, however large the picture and thick the scan."""

from __future__ import annotations

import io
import json
import subprocess
import sys
from pathlib import Path

import cv2
import numpy as np
import pytest
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from logbook.storage.printed import FOLDER, Record

from .world import EASY, as_bytes, leaves, photographed, write_on

READ = """
import json, sys
from pathlib import Path
from logbook.camera.pictures import pictures_in
from logbook.camera.sheet_reader import read_pictures
from logbook.storage.printed import load_ledger
raw = Path(sys.argv[2]).read_bytes()
pages, problems = read_pictures(pictures_in(raw, "p"), load_ledger(Path(sys.argv[1])))
told = Path("/proc/self/status").read_text()  # its own: what getrusage says begins with the size of who started it
peak = int(told.partition("VmHWM:")[2].split()[0]) / 1024
print(json.dumps([len(pages), len(problems), peak]))
"""


@pytest.fixture(scope="module")
def place(tmp_path_factory: pytest.TempPathFactory) -> tuple[Path, np.ndarray]:
    """A record of printed sheets, and a photograph of one of them."""
    folder = tmp_path_factory.mktemp("memory")
    leaf = next(leaf for leaf in leaves(("pocket-a6",), 2) if any(s.kind == "job" for s in leaf.spots))
    (folder / FOLDER).mkdir()
    record = Record([leaf.sheet])
    (folder / FOLDER / record.name).write_text(record.text, encoding="utf-8")
    rng = np.random.default_rng(1)
    return folder, photographed(write_on(leaf, rng).image, leaf.size, EASY, rng)


def peak_of(folder: Path, raw: bytes) -> tuple[int, int, float]:
    """Pages read, problems, and the peak of resident memory in MB."""
    (folder / "picture").write_bytes(raw)
    words = [sys.executable, "-c", READ, str(folder), str(folder / "picture")]
    done = subprocess.run(words, capture_output=True, text=True, check=True)
    pages, problems, peak = json.loads(done.stdout)
    return pages, problems, peak


def scan_of(picture: np.ndarray, count: int) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(298, 420))
    for _ in range(count):  # a picture of its own for each page, as a scanner would
        image = ImageReader(io.BytesIO(as_bytes(picture, quality=80)))
        canvas.drawImage(image, 0, 0, 298, 420)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


@pytest.mark.parametrize("kind", [".jpg", ".png"])
def test_a_picture_of_a_hundred_megapixels(place: tuple[Path, np.ndarray], kind: str) -> None:
    folder, picture = place
    high, wide = picture.shape
    large = cv2.resize(
        picture, (round(wide * (1e8 / picture.size) ** 0.5), round(high * (1e8 / picture.size) ** 0.5))
    )
    assert large.size > 99_000_000
    pages, problems, peak = peak_of(folder, cv2.imencode(kind, large)[1].tobytes())
    assert (pages, problems) == (1, 0)
    assert peak < 800, f"{peak:.0f} MB"


def test_a_thick_scan_takes_no_more_than_a_thin_one(place: tuple[Path, np.ndarray]) -> None:
    folder, picture = place
    thin, thick = (peak_of(folder, scan_of(picture, n)) for n in (2, 12))
    assert thin[:2] == thick[:2] == (1, 0), "the same page over and over is one page"
    assert thick[2] < thin[2] + 60, f"{thin[2]:.0f} MB, {thick[2]:.0f} MB"


@pytest.mark.soak
def test_a_scan_of_two_hundred_pages(place: tuple[Path, np.ndarray]) -> None:
    folder, picture = place
    thin, thick = (peak_of(folder, scan_of(picture, n)) for n in (2, 200))
    assert thick[:2] == (1, 0)
    assert thick[2] < thin[2] + 300, f"{thin[2]:.0f} MB, {thick[2]:.0f} MB"
