"""Dossiers: everything about one tree, or everything but what is private, proved by text and by bytes."""

from __future__ import annotations

import zlib
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from PIL import Image

from ..conftest import Answer
from .test_printing import a_photo

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
PRIVATE = ("Kettle Yard", "4200 crowns", "Aunt Ottoline", "window at night", "north of the shed", "Quarry Lane")
TREE = """tag: "077"
name: Old Pilgrim
species: Taxus baccata
origin: {kind: collected, date: 1987~, place: "Kettle Yard, with leave"}
started: 1990
style: windswept
bench: north of the shed
aim: Let it look its age.
provenance: from Aunt Ottoline
value: 4200 crowns
log:
  - {date: 2020-05-01, found: {stage: maintenance, vigour: 4}, note: stood at the window at night}
  - {date: 2021-06-01, photo: photos/a.jpg, note: north of the shed}
  - {date: 2022-06-01, photo: photos/b.jpg}
  - {date: 2022-06-02, note: sold a cutting to Aunt Ottoline}
  - {date: 2024-04-10, work: repotting, pot: {shape: oval, inner: [400, 300, 70], material: stoneware}}
  - {date: 2025-10-10, measured: {trunk: 80, height: 520}}
"""


@pytest.fixture
def pilgrim(demo: Path) -> Path:
    (demo / "trees" / "077.yaml").write_text(TREE, encoding="utf-8")
    a_photo(demo / "photos" / "a.jpg")
    Image.new("RGB", (300, 200), "green").save(demo / "photos" / "b.jpg")
    return demo


def said_in(path: Path) -> str:
    return " ".join(" ".join(page.extract_text() for page in pypdf.PdfReader(path).pages).split())


def test_the_whole_record(pilgrim: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "d.pdf"
    answer = bench("dossier", "077", "-o", out, *TODAY, folder=pilgrim)
    assert answer.code == 0, answer.err
    said = said_in(out)
    for words in (
        *PRIVATE[:5],
        "Old Pilgrim",
        "Taxus baccata",
        "windswept",
        "about 1987",
        "stoneware oval",
        "In whose hands",
    ):
        assert words in said, words
    assert "Poisonous" in said and "1 Jun 2021" in said and "as it was on 1 Jun 2022" in said
    assert said.index("1 Jun 2022") < said.index("Earlier photographs") < said.index("1 Jun 2021"), "the newest first"
    assert sum(len(page.images) for page in pypdf.PdfReader(out).pages) == 2


def test_the_public_one_gives_nothing_away(pilgrim: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "p.pdf"
    assert bench("dossier", "077", "--public", "-o", out, *TODAY, folder=pilgrim).code == 0
    said, raw = said_in(out), out.read_bytes()
    streams = b""
    for piece in raw.split(b"stream\n")[1:]:
        try:
            streams += zlib.decompress(piece.split(b"endstream")[0])
        except zlib.error:
            streams += piece
    for words in PRIVATE:
        assert words not in said and words.encode() not in raw + streams, words
    for secret in (b"Exif", b"GPS", b"Secret", b"47.9"):
        assert secret not in raw + streams
    assert "repotting" in said and "trunk 80 mm" in said and "In whose hands" not in said


def test_display_cards_in_two_sizes(pilgrim: Path, tmp_path: Path, bench: Bench) -> None:
    for name in ("pocket-a6", "pocket-a7"):
        out = tmp_path / f"{name}.pdf"
        assert (
            bench("cards", "display", "--tag", "077", "--layout", name, "-o", out, *TODAY, folder=pilgrim).code == 0
        )
        said = said_in(out)
        assert "Old Pilgrim" in said and "about 39 years old" in said and "in training since 1990" in said
        assert not any(words in said for words in PRIVATE[:5])


def test_a_purchase_tells_no_age(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """Tree 001 of the demo came from a nursery in 2008."""
    out = tmp_path / "d.pdf"
    assert bench("cards", "display", "--tag", "001", "-o", out, *TODAY, folder=demo).code == 0
    said = said_in(out)
    assert "Ferryman" in said and "years old" not in said and "in training since 2008" in said


def test_what_can_not_be(pilgrim: Path, tmp_path: Path, bench: Bench) -> None:
    assert bench("dossier", "078", folder=pilgrim).code == 1
    assert "not a dossier" in bench("dossier", "077", "--layout", "pocket-a6", folder=pilgrim).err
    (pilgrim / "photos" / "a.jpg").unlink()
    answer = bench("dossier", "077", "-o", tmp_path / "d.pdf", *TODAY, folder=pilgrim)
    assert answer.code == 1 and "there is no photo 'photos/a.jpg'" in answer.err and (tmp_path / "d.pdf").exists()
