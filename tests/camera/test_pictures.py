"""Pictures of sheets, simulated: what is read is right or asked; what can't be read is named. Figures: tests/bench/camera.py."""

from __future__ import annotations

import io
import time
from collections import Counter
from dataclasses import replace
from functools import cache

import cv2
import numpy as np
import pypdf
import pytest
from PIL import Image
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from logbook.camera import registration, sheet_reader
from logbook.camera.pictures import pictures_in
from logbook.camera.sheet_reader import SeenPage, read_picture, read_pictures
from logbook.diagnostics import Problem, ProblemsFound
from logbook.storage.printed import Ledger

from ..bench.camera import judged
from .world import (
    EASY,
    MARKED,
    PX,
    SCAN,
    SEVERITIES,
    Leaf,
    Written,
    as_bytes,
    leaves,
    ledger_of,
    photographed,
    pictures,
    scanned,
    write_on,
)


@cache
def pages() -> tuple[Leaf, ...]:
    found = leaves(("pocket-a6", "walk-a4", "pocket-3x5in"), 4, scored=False)
    return tuple(leaf for leaf in found if any(s.kind == "job" for s in leaf.spots))


@cache
def ledger() -> Ledger:
    return ledger_of(pages())


def one_page(seed: int = 4, which: int = 1) -> tuple[np.ndarray, Written]:
    rng = np.random.default_rng(seed)
    written = write_on(pages()[which], rng)
    return photographed(written.image, written.leaf.size, EASY, rng), written


def read(picture: np.ndarray, known: Ledger | None = None) -> tuple[list[SeenPage], list[Problem]]:
    return read_picture(picture, "p.jpg", known or ledger())


def wrongs(seen: list[SeenPage], written: list[Written]) -> list[tuple[str, ...]]:
    return [row for row in judged(seen, written) if row[-1] == "wrong" and row[:2] != ("line", "blank")]


@pytest.mark.long
@pytest.mark.parametrize("severity", SEVERITIES)
def test_a_sample_of_every_severity(severity: str) -> None:
    """Seeds of their own, neither those of tuning nor those of judging."""
    rows: Counter[tuple[str, ...]] = Counter()
    for picture, written in pictures(pages(), severity, 77_000, 4):
        seen, problems = read(picture)
        assert not problems
        rows.update(judged(seen, written))
    assert not [row for row in rows if row[-1] == "wrong"]
    boxes = sum(n for row, n in rows.items() if row[0] == "box")
    asked = sum(n for row, n in rows.items() if row[0] == "box" and row[-1] == "asked")
    assert boxes >= 30 and asked <= 0.1 * boxes + 2


@pytest.mark.long
@pytest.mark.parametrize("severity", ["scan", *(pytest.param(s, marks=pytest.mark.soak) for s in ("mid", "easy"))])
def test_sheets_in_large_type_are_read_as_well(severity: str) -> None:
    found = leaves(("pocket-a6 large", "walk-a4 large"), 2, scored=False)
    for picture, written in pictures(found, severity, 78_000, 3):
        seen, problems = read(picture, ledger_of(found))
        assert not problems and not wrongs(seen, written)
        assert len(seen) == len(written)


@pytest.mark.parametrize("turn", ["upside down", "sideways", "other side", "mirrored"])
def test_any_way_up(turn: str) -> None:
    picture, written = one_page()
    plain, _ = read(picture)
    turned = {
        "upside down": picture[::-1, ::-1],
        "sideways": np.rot90(picture),
        "other side": np.rot90(picture, 3),
        "mirrored": picture[:, ::-1],
    }[turn]
    seen, problems = read(np.ascontiguousarray(turned))
    assert not problems and len(seen) == 1
    assert not wrongs(seen, [written])
    assert list(seen[0].boxes.values()) == list(plain[0].boxes.values())


def test_what_is_cut_off_is_asked_or_refused_never_guessed() -> None:
    picture, written = one_page()
    for share in (0.95, 0.85, 0.7, 0.5, 0.3):
        cut = np.ascontiguousarray(picture[: int(picture.shape[0] * share)])
        seen, problems = read(cut)
        assert seen or problems
        assert not wrongs(seen, [written])
        if share <= 0.5:
            assert not seen and "too little" in problems[0].message


def test_what_another_sheet_lies_on_is_asked_or_refused() -> None:
    rng = np.random.default_rng(8)
    for across in (0.25, 0.5, 0.75):
        below, above = (write_on(pages()[n], rng) for n in (0, 1))
        picture = scanned([below], rng)
        top = scanned([above], rng)[60:-60, 60:-60]
        x = int(picture.shape[1] * across)
        wide = min(top.shape[1], picture.shape[1] - x)
        high = min(top.shape[0], picture.shape[0])
        picture[:high, x : x + wide] = top[:high, :wide]
        seen, problems = read(picture)
        assert not wrongs(seen, [below, above])
        assert seen or problems


def test_two_pictures_of_a_page_are_taken_together() -> None:
    picture, _ = one_page()
    (page,), _ = read(picture)
    found = [("a.jpg", picture), ("b.jpg", picture)]
    (both,), problems = read_pictures(found, ledger())
    assert not problems and both.boxes == page.boxes and both.lines == page.lines
    other, _ = one_page(seed=5)
    (mixed,), _ = read_pictures([("a.jpg", picture), ("b.jpg", other)], ledger())
    (second,), _ = read(other)
    for key, ticked in mixed.boxes.items():
        if page.boxes[key] is not None and second.boxes[key] is not None:
            assert ticked == (page.boxes[key] if page.boxes[key] == second.boxes[key] else None)


def known(leaf: Leaf, **changes: object) -> Ledger:
    return Ledger({leaf.sheet.serial: replace(leaf.sheet, **changes)})  # type: ignore[arg-type]


def answers() -> dict[str, tuple[Ledger, str]]:
    leaf = pages()[1]
    bare = tuple(s for s in leaf.sheet.spots if s.kind not in ("square", "code"))
    return {
        "unknown": (Ledger(), "was printed from this collection"),
        "doubled": (Ledger({}, frozenset((leaf.sheet.serial,))), "two printed sheets carry the serial"),
        "older record": (known(leaf, spots=bare, version=0), "does not say where things lie"),
    }


@pytest.mark.parametrize("case", ["unknown", "doubled", "older record"])
def test_sheets_that_the_record_does_not_know(case: str) -> None:
    picture, _ = one_page()
    record, said = answers()[case]
    seen, problems = read(picture, record)
    assert not seen and said in problems[0].message and problems[0].hint


def with_code(text: str) -> np.ndarray:
    import qrcode

    made = qrcode.QRCode(box_size=8, border=4)
    made.add_data(text)
    made.make()
    page = np.full((800, 600), 250, np.uint8)
    code = np.asarray(made.make_image().get_image().convert("L"))
    page[40 : 40 + code.shape[0], 40 : 40 + code.shape[1]] = code
    return page


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("https://trees.example.org/trees/014.yaml", "names no sheet: a pot tag, or a draft"),
        ("00001-1", "whose check digit is wrong"),
        ("hello", "names no sheet"),
        ("00142-4/123456", "names no sheet"),
    ],
)
def test_codes_that_are_no_sheets(text: str, said: str) -> None:
    seen, problems = read(with_code(text))
    assert not seen and said in problems[0].message


def test_no_code_and_no_sheet() -> None:
    for picture in (np.full((500, 400), 255, np.uint8), np.zeros((3, 3), np.uint8), np.full((1, 900), 9, np.uint8)):
        seen, problems = read(picture)
        assert not seen and "no sheet's code can be read" in problems[0].message


def test_too_small_to_be_read_is_told() -> None:
    picture, _ = one_page()
    small = cv2.resize(picture, None, fx=0.2, fy=0.2, interpolation=cv2.INTER_AREA)
    seen, problems = read(small)
    assert not seen and problems[0].hint


@pytest.mark.parametrize("noise", range(6))
def test_junk_is_answered(noise: int) -> None:
    rng = np.random.default_rng(noise)
    raw = rng.integers(0, 256, 3000, dtype=np.uint8).tobytes()
    start = [b"", b"\xff\xd8\xff", b"\x89PNG\r\n\x1a\n", b"%PDF-1.7\n", b"II*\0", b"\0\0\0\x18ftypheic"][noise]
    with pytest.raises(ProblemsFound) as found:
        list(pictures_in(start + raw, "junk"))
    assert found.value.problems[0].hint
    seen, problems = read(rng.integers(0, 256, (700, 500), dtype=np.uint8))
    assert not seen and problems


@pytest.mark.long
def test_kinds_of_files() -> None:
    picture, written = one_page()
    truth = list(read(picture)[0][0].boxes.values())
    image = Image.fromarray(picture)
    clear = image.convert("RGBA")
    clear.putalpha(Image.new("L", image.size, 255))
    wide = Image.fromarray(picture.astype(np.uint16) * 257)
    files = {
        "jpeg": as_bytes(picture, quality=90),
        "png": as_bytes(picture, "PNG", compress_level=1),
        "tiff": as_bytes(picture, "TIFF"),
        "webp": as_bytes(picture, "WEBP", quality=90),
    }
    for name, made, kind in (
        ("alpha", clear, "PNG"),
        ("sixteen bits", wide, "PNG"),
        ("colour", image.convert("RGB"), "JPEG"),
    ):
        out = io.BytesIO()
        made.save(out, kind, compress_level=1)
        files[name] = out.getvalue()
    for name, raw in files.items():
        ((shown, gray),) = pictures_in(raw, name)
        assert gray.dtype == np.uint8 and gray.shape == picture.shape
        seen, problems = read_picture(gray, shown, ledger())
        assert not problems, name
        assert not wrongs(seen, [written]), name
        differ = [a for a, b in zip(seen[0].boxes.values(), truth, strict=True) if a != b and None not in (a, b)]
        assert not differ, name


@pytest.mark.long
def test_a_telephones_own_format() -> None:
    heif = pytest.importorskip("pillow_heif")
    picture, written = one_page()
    picture = cv2.resize(picture, None, fx=0.6, fy=0.6, interpolation=cv2.INTER_AREA)  # its writer is slow
    out = io.BytesIO()
    heif.register_heif_opener()
    Image.fromarray(picture).save(out, "HEIF", quality=80)
    ((_, gray),) = pictures_in(out.getvalue(), "p.heic")
    assert gray.shape == picture.shape
    seen, problems = read(gray)
    assert len(seen) == 1 and not problems and not wrongs(seen, [written])


def pdf_of(picture: np.ndarray, count: int) -> bytes:
    out = io.BytesIO()
    canvas = Canvas(out, pagesize=(298, 420))
    image = ImageReader(io.BytesIO(as_bytes(picture, quality=85)))
    for _ in range(count):
        canvas.drawImage(image, 0, 0, 298, 420)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def test_a_scan_of_several_pages() -> None:
    rng = np.random.default_rng(3)
    written = [write_on(leaf, rng) for leaf in pages()[:2]]
    writer = pypdf.PdfWriter()
    for one in written:
        writer.append(io.BytesIO(pdf_of(scanned([one], rng), 1)))
    out = io.BytesIO()
    writer.write(out)
    found = list(pictures_in(out.getvalue(), "scan.pdf"))
    assert [name for name, _ in found] == ["scan.pdf page 1", "scan.pdf page 2"]
    seen, problems = read_pictures(found, ledger())
    assert not problems and len(seen) == 2 and not wrongs(seen, written)


def test_marks_at_their_plainest() -> None:
    """A scan of a page on which every box is ticked, and of one on which none is: nothing is asked."""
    leaf = pages()[1]
    for marked in (0.0, 1.0):
        rng = np.random.default_rng(21)
        written = write_on(leaf, rng, marked=marked, line_share=0.0)
        kinds = set(written.marks.values())
        if marked and not kinds <= set(MARKED):
            pytest.fail("the generator was asked for marks alone")
        (page,), _ = read(photographed(written.image, leaf.size, SCAN, rng))
        decided = [v for v in page.boxes.values() if v is not None]
        assert set(decided) == {bool(marked)} and len(decided) >= len(page.boxes) - 1
        assert set(page.lines.values()) == {False}


def test_a_sheet_whose_code_can_not_be_read_is_not_passed_over() -> None:
    """Two sheets on the glass, the code of one of them blotted: the other is read, and the picture is said to hold more."""
    rng = np.random.default_rng(6)
    small = [leaf for leaf in pages() if leaf.size == (105.0, 148.0)]
    written = [write_on(leaf, rng) for leaf in small[:2]]
    clean = scanned(written, rng)
    seen, problems = read(clean)
    assert len(seen) == 2 and not problems
    spot = next(s for s in small[1].spots if s.kind == "code")
    x, y, side = (round(v * PX) for v in (spot.x + 4, spot.y + 4, spot.width - 8))
    written[1].image[y : y + side, x : x + side] = 40
    seen, problems = read(scanned(written, rng))
    assert [page.sheet.serial for page in seen] == [small[0].sheet.serial] and not wrongs(seen, written)
    assert "another sheet in the picture" in problems[0].message and problems[0].severity == "warning"


def test_large_pictures_are_looked_at_closely_where_squares_are_left_over(monkeypatch: pytest.MonkeyPatch) -> None:
    """A first look at a much smaller copy finds one of two codes; the second look finds the other."""
    rng = np.random.default_rng(9)
    small = [leaf for leaf in pages() if leaf.size == (105.0, 148.0)]
    written = [write_on(leaf, rng) for leaf in small[:2]]
    picture = scanned(written, rng)
    plain = registration.find_codes

    def first_only(gray: np.ndarray, *, closely: bool = False) -> list[registration.SeenCode]:
        return plain(gray, closely=closely) if closely else plain(gray)[:1]

    monkeypatch.setattr(sheet_reader, "find_codes", first_only)
    found, problems = read(picture)
    assert len(found) == 2 and not problems and not wrongs(found, written)


def test_three_pictures_of_which_one_contradicts_are_asked() -> None:
    """Two against one is no proof: a box on which any two pictures differ is asked, in whatever order they come."""
    (page,), _ = read(one_page()[0])
    key = next(k for k, ticked in page.boxes.items() if ticked is not None)
    other = replace(page, boxes={**page.boxes, key: not page.boxes[key]})
    for three in ((page, other, page), (page, page, other), (other, page, page)):
        assert sheet_reader._together(three).boxes[key] is None
    unsure = replace(page, boxes={**page.boxes, key: None})
    assert sheet_reader._together((unsure, page, unsure)).boxes[key] == page.boxes[key], (
        "what one does not see another may"
    )


def test_a_picture_full_of_dark_squares_does_not_take_for_ever() -> None:
    """Gravel, tiles: hundreds of patches like corner squares, and a sheet whose own are half covered."""
    picture, _ = one_page()
    side = 5 * 12
    for y in range(0, picture.shape[0] - side, 2 * side):
        for x in range(0, picture.shape[1] - side, 2 * side):
            if y > picture.shape[0] // 3:
                picture[y : y + side, x : x + side] = 20
    begun = time.monotonic()
    read(picture)
    assert time.monotonic() - begun < 8
