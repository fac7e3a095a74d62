"""One picture: its time, its limits, and that nothing but its pixels comes out."""

from __future__ import annotations

import io
import json
import struct
import zlib
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import numpy as np
import pytest
from PIL import Image, ImageCms, PngImagePlugin

from logbook.diagnostics import ProblemsFound
from logbook.photographs.opening import open_picture
from logbook.photographs.stripped import LONGEST_PIXELS, stripped
from logbook.photographs.taken import Taken, taken

from ..conftest import Answer, snapshot
from .test_rolls import TODAY, TREE, assert_bare, collection_of
from .world import LINK, OTHERS, PHONE, as_jpeg, tag_picture, tag_side, view

Bench = Callable[..., Answer]
NOON = datetime(2027, 5, 2, 12, 0, 0)


def saved(picture: Image.Image, kind: str, **more: object) -> bytes:
    out = io.BytesIO()
    picture.save(out, kind, **more)
    return out.getvalue()


def half(turned: int = 1) -> bytes:
    """The left half of it red, the right blue, in the file of a camera that was held so."""
    pixels = np.zeros((40, 80, 3), np.uint8)
    pixels[:, :40], pixels[:, 40:] = (250, 0, 0), (0, 0, 250)
    return as_jpeg(pixels, NOON, turned=turned)


@pytest.mark.parametrize(
    ("turned", "size", "red"),
    [(1, (80, 40), (5, 20)), (3, (80, 40), (75, 20)), (6, (40, 80), (20, 5)), (8, (40, 80), (20, 75))],
)
def test_it_stands_upright(turned: int, size: tuple[int, int], red: tuple[int, int]) -> None:
    made = Image.open(io.BytesIO(stripped(half(turned), "p.jpg")))
    assert made.size == size
    assert made.getpixel(red)[0] > 200, "EXIF 3.0, Orientation: 3 is turned by half, 6 to the right, 8 to the left"


def test_nothing_of_the_file_comes_with_it(tmp_path: Path) -> None:
    profile = ImageCms.ImageCmsProfile(ImageCms.createProfile("sRGB")).tobytes()
    texts = PngImagePlugin.PngInfo()
    texts.add_itxt("XML:com.adobe.xmp", "<x:xmpmeta>Anycam GPS</x:xmpmeta>")
    picture = Image.fromarray(view(np.random.default_rng(1)).clip(0, 255).astype(np.uint8))
    exif = Image.open(io.BytesIO(half())).getexif()
    kinds = {
        "jpeg": saved(picture, "JPEG", exif=exif, icc_profile=profile, comment=b"Anycam", xmp=b"<x>GPS</x>"),
        "png": saved(picture.convert("RGBA"), "PNG", exif=exif, pnginfo=texts, icc_profile=profile),
        "webp": saved(picture, "WEBP", exif=exif.tobytes()),
        "tiff": saved(picture, "TIFF"),
        "gray": saved(picture.convert("I;16"), "PNG"),
        "palette": saved(picture.convert("P"), "GIF"),
    }
    for name, raw in kinds.items():
        (tmp_path / f"{name}.jpg").write_bytes(stripped(raw, name))
    assert_bare(tmp_path, len(kinds))
    behind = kinds["jpeg"] + b"GPS Anycam hidden behind the picture"
    assert b"hidden" not in stripped(behind, "p.jpg") and stripped(behind, "p.jpg") == stripped(
        kinds["jpeg"], "p.jpg"
    )


def test_a_heic_picture_is_read_where_its_library_is(tmp_path: Path) -> None:
    pillow_heif = pytest.importorskip("pillow_heif")
    pillow_heif.register_heif_opener()
    raw = saved(Image.new("RGB", (90, 60), "green"), "HEIF")
    (tmp_path / "h.jpg").write_bytes(stripped(raw, "p.heic"))
    assert_bare(tmp_path, 1)


def test_it_is_made_small() -> None:
    large = stripped(saved(Image.new("RGB", (6000, 3000), "green"), "JPEG"), "p.jpg")
    assert Image.open(io.BytesIO(large)).size == (LONGEST_PIXELS, LONGEST_PIXELS // 2)


def bomb(side: int) -> bytes:
    """A PNG's head that asks for this many pixels a side."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(b"\0" * 1000))
        + chunk(b"IEND", b"")
    )


@pytest.mark.parametrize(
    "raw",
    [bomb(9_000), bomb(60_000), b"", b"\xff\xd8\xff\xe0 no", half()[:300], b"BM" + bytes(60), b"\0\0\0\x18ftypheic"],
)
def test_what_is_too_large_or_no_picture_is_refused(raw: bytes) -> None:
    with pytest.raises(ProblemsFound) as found:
        stripped(raw, "p.jpg")
    assert found.value.problems[0].hint


def test_when_it_was_taken() -> None:
    def of(raw: bytes, name: str = "P1.jpg", file_time: float = 1_790_000_000.0) -> Taken:
        with open_picture(raw, name) as picture:
            return taken(picture, name, file_time)

    pixels = np.zeros((20, 20, 3), np.uint8)
    assert of(as_jpeg(pixels, NOON, part="25")) == Taken(
        NOON.replace(microsecond=250_000), "camera", "Anycam Anycam P1"
    )
    bare = as_jpeg(pixels, None)
    assert of(bare, "20270502_141503.jpg") == Taken(datetime(2027, 5, 2, 14, 15, 3), "name")
    assert of(bare, "PXL_20270502_141503123.jpg").moment.microsecond == 123_000
    assert of(bare, "Photo 2027-05-02 at 14.15.03.jpg").clock == "name"
    assert of(bare, "IMG-20270502-WA0007.jpg") == Taken(datetime(2027, 5, 2), "day")
    assert of(bare, "P1040311.jpg").clock == "file" and of(bare, "20279902_999999.jpg").clock == "file"
    exif = Image.Exif()
    exif.get_ifd(0x8769)[0x9003] = "0000:00:00 00:00:00"
    assert of(saved(Image.new("RGB", (20, 20)), "JPEG", exif=exif)).clock == "file"


# -- the verb ------------------------------------------------------------------------------------------------------


def some(folder: Path, **pictures: bytes) -> Path:
    folder.mkdir(exist_ok=True)
    for name, raw in pictures.items():
        (folder / f"{name}.jpg").write_bytes(raw)
    return folder


def at(second: int, tag: str = "", link: str = LINK, camera: str = PHONE) -> bytes:
    rng = np.random.default_rng(second)
    pixels = tag_picture(tag_side(tag, link), rng) if tag else view(rng)
    return as_jpeg(pixels.clip(0, 255).astype(np.uint8), NOON.replace(second=second), camera)


def test_it_files_what_it_says(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014", "015"])
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9), c=at(20, "015"), d=at(28), e=at(30, camera=OTHERS))
    before = snapshot(folder)
    told = bench("photos", roll, "--dry-run", *TODAY, folder=folder)
    assert "would file 2 pictures" in told.out and snapshot(folder) == before
    told = bench("photos", roll, *TODAY, folder=folder)
    assert told.code == 3 and "run again with --yes" in told.out and "left alone: e.jpg" in told.out
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 0 and "filed 2 pictures under 2 trees" in told.out, told.all
    assert (
        "  - {date: 2027-05-02, photo: photos/014-2027-05-02-a.jpg, from: picture "
        in (folder / "trees/014.yaml").read_text()
    )
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 0 and "2 pictures already there" in told.out and "nothing to file" in told.out


@pytest.mark.parametrize("notes_first", [True, False])
def test_a_picture_that_a_page_named_is_one_entry_with_its_note(
    bench: Bench, tmp_path: Path, notes_first: bool
) -> None:
    """A page's PHOTO button saves the picture under a name and notes it; whoever hands in both gets one entry, in either order."""
    folder = collection_of(tmp_path / "c", ["014", "015"])
    name = "014-2027-05-02.jpg"
    given = some(tmp_path / "roll", **{name.removesuffix(".jpg"): at(9)}) / name
    notes = tmp_path / "notes-2027-05-02.txt"
    notes.write_text(f"tree 014\n2027-05-02 photo photos/{name}\n")
    calls = [("reconcile", notes), ("photos", given)]
    for verb, path in (calls if notes_first else calls[::-1]) * 2:
        told = bench(verb, path, "--yes", *TODAY, folder=folder)
        assert told.code == 0, told.all
    log = (folder / "trees/014.yaml").read_text()
    assert log.count("photo:") == 1 and f"photos/{name}" in log
    assert [one.name for one in (folder / "photos").iterdir()] == [name]
    assert bench("check", folder=folder).code == 0
    other = some(tmp_path / "other", **{name.removesuffix(".jpg"): at(30)}) / name
    assert bench("photos", other, "--yes", *TODAY, folder=folder).code == 0
    assert (folder / "photos/014-2027-05-02-a.jpg").is_file(), "another picture of the same name is lost to none"


def test_codes_of_another_garden_are_asked_and_answered(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    other = "https://other.example/{file}"
    roll = some(tmp_path / "roll", a=at(1, "014", other), b=at(9))
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 3 and "no tree's of this collection" in told.out and not (folder / "photos").exists()
    told = bench("photos", roll, "--yes", "--answer", "b.jpg=099", *TODAY, folder=folder)
    assert told.code == 1 and "there is no tree 099" in told.err
    assert bench("photos", roll, "--dry-run", "--link", other, *TODAY, folder=folder).code == 0
    told = bench("photos", roll, "--yes", "--answer", "b.jpg=014", *TODAY, folder=folder)
    assert told.code == 0 and (folder / "photos/014-2027-05-02-a.jpg").is_file()


def test_a_tree_that_has_left_gets_none(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    bench("end", "014", "--how", "sold", *TODAY, folder=folder)
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9))
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert (
        told.code == 3 and "behind the tag of a tree that has left" in told.out and not (folder / "photos").exists()
    )


def test_without_the_extra_names_alone_count(bench: Bench, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    from logbook.cli import photos_seen

    monkeypatch.setattr(photos_seen, "_reader", lambda: (None, "cv2"))
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", **{"014-front": at(9), "b": at(12)})
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 0 and ".[camera]" in told.err and "left alone: b.jpg" in told.out
    assert [p.name for p in (folder / "photos").iterdir()] == ["014-2027-05-02-a.jpg"]


def test_undo_leaves_what_a_log_still_names(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9), c=at(15))
    assert bench("photos", roll, "--yes", *TODAY, folder=folder).code == 0
    file = folder / "trees/014.yaml"
    text = file.read_text()
    file.write_text(
        text.replace("photo: photos/014-2027-05-02-b.jpg", "note: best, photo: photos/014-2027-05-02-b.jpg")
    )
    assert bench("undo", "--yes", *TODAY, folder=folder).code == 0
    assert [p.name for p in (folder / "photos").iterdir()] == ["014-2027-05-02-b.jpg"]
    assert "photo: photos/014-2027-05-02-b.jpg" in file.read_text() and "-a.jpg" not in file.read_text()


def test_a_picture_that_was_edited_stays(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9))
    assert bench("photos", roll, "--yes", *TODAY, folder=folder).code == 0
    picture = folder / "photos/014-2027-05-02-a.jpg"
    picture.write_bytes(b"mine")
    told = bench("undo", "--yes", *TODAY, folder=folder)
    assert told.code == 1 and "edited since" in told.err and picture.read_bytes() == b"mine"


def test_names_that_are_taken_are_left_alone(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    (folder / "photos").mkdir()
    (folder / "photos/014-2027-05-02-A.JPG").write_bytes(b"mine")
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9))
    assert bench("photos", roll, "--yes", *TODAY, folder=folder).code == 0
    assert sorted(p.name for p in (folder / "photos").iterdir()) == ["014-2027-05-02-A.JPG", "014-2027-05-02-b.jpg"]


def test_what_is_no_picture_is_told_and_the_rest_goes_in(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["014"])
    roll = some(tmp_path / "roll", a=at(1, "014"), b=at(9), c=b"no picture", d=bomb(60_000))
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 1 and "c.jpg" in told.err and "too large" in told.err and "filed 1 picture" in told.out
    assert (folder / "trees/014.yaml").read_text() != TREE.format("014")


def test_a_name_that_is_no_living_trees_is_asked(bench: Bench, tmp_path: Path) -> None:
    """`012-front.jpg` of a tree that has left, and `999.jpg` of none, are not swallowed by the roll; nor is what follows them."""
    folder = collection_of(tmp_path / "c", ["004", "012"])
    assert bench("end", "012", "--how", "sold", *TODAY, folder=folder).code == 0
    names = {"004-front": at(1), "012-ended": at(5), "after": at(9), "999-none": at(20), "2027-05-02 walk": at(30)}
    roll = some(tmp_path / "roll", **names)
    told = bench("photos", roll, "--yes", "--json", *TODAY, folder=folder)
    data = json.loads(told.out)
    assert told.code == 3 and [one["file"] for one in data["photos"]] == ["004-front.jpg"]
    asked = [name for question in data["questions"] for name in question["pictures"]]
    assert set(asked) == {"012-ended.jpg", "after.jpg", "999-none.jpg", "2027-05-02 walk.jpg"}
    alone = bench("photos", roll / "999-none.jpg", "--yes", *TODAY, folder=folder)
    assert alone.code == 3 and "no living tree's" in alone.out
    wrong = bench("photos", roll, "--yes", "--answer", "nope.jpg=004", *TODAY, folder=folder)
    assert wrong.code == 1 and "no picture is called nope.jpg" in wrong.err


def test_a_copy_that_is_gone_is_told(bench: Bench, tmp_path: Path) -> None:
    """Whoever cleared the camera because it is "there" would have none."""
    folder = collection_of(tmp_path / "c", ["004", "005"])
    roll = some(tmp_path / "roll", **{"004-a": at(1)})
    assert bench("photos", roll, "--yes", *TODAY, folder=folder).code == 0
    (path,) = (folder / "photos").iterdir()
    path.unlink()
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 1 and f"photos/{path.name}, and it is not there" in told.err


def test_one_picture_by_two_names_is_asked(bench: Bench, tmp_path: Path) -> None:
    folder = collection_of(tmp_path / "c", ["004", "005"])
    roll = some(tmp_path / "roll", **{"004-a": at(1), "005-a": at(1)})
    told = bench("photos", roll, "--yes", *TODAY, folder=folder)
    assert told.code == 3 and not (folder / "photos").exists()
