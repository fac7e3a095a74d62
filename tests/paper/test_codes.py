"""QR codes (ISO/IEC 18004), each read back by two independent readers: zxing-cpp and OpenCV."""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator
from pathlib import Path

import cv2
import numpy as np
import pypdfium2
import pytest
import zxingcpp
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.model import Settings, Tree
from logbook.paper import codes
from logbook.paper.layouts import layout
from logbook.paper.tags import pot_tag
from logbook.shipped import shipped
from logbook.storage.printed import load_ledger

from ..conftest import Answer
from .weather import code_of, printed, reads, weathered

STOCKS = sorted(p.stem for p in shipped("layouts").glob("tag-*.yaml"))


def painted(rows: tuple[tuple[bool, ...], ...], pixels: int = 6) -> np.ndarray:
    cells = np.pad(np.where(np.array(rows), 0, 255).astype(np.uint8), codes.QUIET_MODULES, constant_values=255)
    return np.kron(cells, np.ones((pixels, pixels), np.uint8))


def read_by_zxing(picture: np.ndarray) -> list[str]:
    return [r.text for r in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCodeModel2)]


def read_by_opencv(picture: np.ndarray) -> list[str]:
    _, texts, _, _ = cv2.QRCodeDetectorAruco().detectAndDecodeMulti(picture)
    return [t for t in texts if t]


payloads = st.one_of(
    st.integers(0, 9999).map(lambda n: f"https://garden.example/trees/{n:03d}.yaml#{n:05d}-4"),
    st.integers(0, 9999).map(lambda n: f"HTTPS://GARDEN.EXAMPLE/{n}"),
    st.text(st.sampled_from("ABCXYZ0123456789-./:"), min_size=1, max_size=40),
)


@given(payloads, st.sampled_from(codes.LEVELS))
def test_every_code_is_read_by_both(text: str, level: str) -> None:
    picture = painted(codes.modules(text, level))
    assert read_by_zxing(picture) == [text]
    assert read_by_opencv(picture) == [text]


@given(payloads, st.floats(10, 60))
def test_modules_are_whole_dots_and_never_too_small(text: str, room: float) -> None:
    symbol = codes.fit(text, room)
    if symbol is None:
        assert (len(codes.modules(text, "L")) + 8) * codes.LEAST_MODULE_MM > room - (
            len(codes.modules(text, "L")) + 8
        ) * codes.DOT_MM
        return
    assert symbol.module >= codes.LEAST_MODULE_MM
    assert symbol.module / codes.DOT_MM == pytest.approx(round(symbol.module / codes.DOT_MM))
    assert symbol.room <= room + 1e-6


def each_by_itself(picture: np.ndarray) -> Iterator[tuple[str, np.ndarray]]:
    """The codes of a page as the first reader reads them, each with the piece of the page around it."""
    for code in zxingcpp.read_barcodes(picture, formats=zxingcpp.BarcodeFormat.QRCodeModel2):
        at = code.position
        corners = np.array([(p.x, p.y) for p in (at.top_left, at.top_right, at.bottom_right, at.bottom_left)])
        margin = int(np.ptp(corners, axis=0).max() / 3)
        (left, top), (right, bottom) = corners.min(axis=0) - margin, corners.max(axis=0) + margin
        yield code.text, np.ascontiguousarray(picture[max(0, top) : bottom, max(0, left) : right])


def recorded_codes(folder: Path) -> int:
    return sum(spot.kind == "code" for sheet in load_ledger(folder).sheets.values() for spot in sheet.spots)


def test_all_printed_codes_lead_to_their_files(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """Tags, sheets and walk list at 300 dpi; each code, by each reader; `find` goes from its text to the file.

    As many are found as were printed, on a tag one a side; the second reader, which is slow on whole pages, is given each by itself.
    """
    tags = [p.stem for p in (demo / "trees").glob("*.yaml") if p.stem != "012"]
    for verb in ("tags", "sheets", "walk"):
        before = recorded_codes(demo)
        today = [] if verb == "tags" else ["--today", "2026-11-25"]
        assert bench(verb, "-o", tmp_path / f"{verb}.pdf", *today, folder=demo).code == 0
        found: list[str] = []
        for page in pypdfium2.PdfDocument(tmp_path / f"{verb}.pdf"):
            picture = page.render(scale=300 / 72, grayscale=True).to_numpy().copy()
            for text, piece in each_by_itself(picture):
                assert read_by_opencv(piece) == [text], verb
                found.append(text)
        seen = set(found)
        assert len(found) == (2 * len(tags) if verb == "tags" else recorded_codes(demo) - before), verb
        led = {
            name
            for text in seen
            for name in json.loads(bench("find", text, "--json", folder=demo).out)["trees"]
            for name in [name["tag"]]
        }
        assert led == set(tags), verb
        assert len({text.split("/")[-1] if verb == "walk" else text.split("#")[0] for text in seen}) == (
            1 if verb == "walk" else len(tags)
        )


@pytest.mark.parametrize("seed", range(60))
def test_tags_are_read_in_the_weather(seed: int) -> None:
    """Sixty fixed tries over every stock, both printers (300 and 203 dpi) and five conditions; rates: tests/bench/tags.py."""
    name = STOCKS[seed % len(STOCKS)]
    condition = ("clean", "faded", "blurred", "tilted", "dirt 5 %")[seed % 5]
    plan, tag = layout(name), f"{seed + 1:03d}"
    link = "https://garden.example/{file}"
    made = pot_tag(Tree(tag, (), path=f"trees/{tag}.yaml", species="Acer palmatum"), Settings("G", link=link), plan)
    picture = weathered(printed(code_of(made.front), (300, 203)[seed % 2]), condition, seed, plan.bends)
    assert reads(picture, f"https://garden.example/trees/{tag}.yaml")


def test_what_bends_round_a_thin_stem_is_kept_small() -> None:
    free = codes.fit("HTTPS://G.EX/014", 30.0)
    bent = codes.fit("HTTPS://G.EX/014", 30.0, bends_mm=18.0)
    assert free is not None and bent is not None and bent.size <= 0.7 * 18.0 < free.size
    assert codes.fit("https://garden.example/trees/014.yaml", 30.0, bends_mm=12.0) is None
