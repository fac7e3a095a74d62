"""Photographs within the one file: the newest of each tree first, bare of what the camera wrote, and never more than a telephone opens."""

from __future__ import annotations

import base64
import io
import json
import re
from collections.abc import Callable, Sequence
from dataclasses import replace
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from logbook.collection.dates import on_day
from logbook.collection.model import Entry, Tree

from ..conftest import TODAY, Answer
from ..paper.gardens import generated, stress
from .browser import Browser
from .gardens import on_disk, photo

Bench = Callable[..., Answer]
MOST = 2_500_000
IMG = re.compile(
    r'<img src="data:image/jpeg;base64,([A-Za-z0-9+/=]+)" width="(\d+)" height="(\d+)"[^>]*alt="tree ([^,]*), ([^"]*)"'
)


def photographed(folder: Path, trees: Sequence[Tree], each: int, size: tuple[int, int] = (1600, 1200)) -> Path:
    """A garden with so many photographs of each tree; every file is another picture, none small."""
    full = []
    for tree in trees:
        shots = tuple(
            Entry(on_day(date(2020 + n, 5, 2)), photo=f"photos/SECRET-{tree.tag}-{n}.jpg", note=f"SECRET {n}")
            for n in range(each)
        )
        full.append(replace(tree, log=tuple(sorted((*tree.log, *shots), key=lambda e: e.date.earliest))))
    made = on_disk(folder, full)
    (folder / "photos").mkdir()
    picture = photo("SECRET-exif", size)
    for tree in trees:
        for n in range(each):
            (folder / "photos" / f"SECRET-{tree.tag}-{n}.jpg").write_bytes(picture)
    return made


def one_file(bench: Bench, folder: Path, out: Path, *words: str) -> tuple[dict[str, object], str]:
    told = bench("pages", "--one", out, *words, "--json", "--today", TODAY, folder=folder)
    assert told.code == 0, told.all
    return json.loads(told.out), out.read_text("utf-8")


def shown(text: str) -> dict[str, list[str]]:
    """The days of the photographs of each tree, as they stand."""
    found: dict[str, list[str]] = {}
    for _, _, _, tag, day in IMG.findall(text):
        found.setdefault(tag, []).append(day)
    return found


def test_all_photographs_are_in_it_where_there_is_room(tmp_path: Path, bench: Bench) -> None:
    """In time order, of the size they say; by bytes: nothing of the file's name, the place, the maker or the remark is left for anybody."""
    folder = photographed(tmp_path / "garden", generated(3, 4), 2)
    told, text = one_file(bench, folder, tmp_path / "any.html")
    assert (told["photos"], told["photos_left_out"]) == (6, 0) and "img-src data:;" in text and "SECRET" not in text
    assert shown(text) == {f"00{n}": ["2 May 2020", "2 May 2021"] for n in (1, 2, 3)}
    for data, width, height, _, _ in IMG.findall(text):
        raw = base64.b64decode(data, validate=True)
        with Image.open(io.BytesIO(raw)) as image:
            assert image.size == (int(width), int(height)) and max(image.size) == 640
            assert image.format == "JPEG" and not image.getexif() and "comment" not in image.info
        assert b"SECRET" not in raw and b"Exif" not in raw
    _, own = one_file(bench, folder, tmp_path / "own.html", "--own")
    assert own.count("<figcaption>2 May 2020: SECRET 0") == 3
    told, without = one_file(bench, folder, tmp_path / "bare.html", "--no-photos")
    assert told["photos"] == told["photos_left_out"] == 0 and "data:image" not in without


@pytest.mark.soak
def test_sixty_heavy_trees_stay_under_the_limit(tmp_path: Path, bench: Bench) -> None:
    """Each tree keeps its newest photograph; how many were left out is told; the same again is not written."""
    folder = photographed(tmp_path / "garden", stress(), 2, (1000, 750))
    out = tmp_path / "own.html"
    told, text = one_file(bench, folder, out, "--own")
    assert out.stat().st_size <= MOST and told["photos"] + told["photos_left_out"] == 120  # type: ignore[operator]
    days = shown(text)
    assert len(days) == 60 and all("2 May 2021" in one for one in days.values())
    assert out.stat().st_size > 0.8 * MOST
    stamp = out.stat().st_mtime_ns
    said = bench("pages", "--one", out, "--own", "--today", TODAY, folder=folder).out
    assert out.stat().st_mtime_ns == stamp
    assert f"{told['photos_left_out']} pictures left out for size" in said


def test_a_share_for_each(tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    """With hardly any room the newest are small, older ones left out; with none at all every one is, and the file is made all the same."""
    folder = photographed(tmp_path / "garden", generated(4, 4), 2)
    bare = len(one_file(bench, folder, tmp_path / "bare.html", "--no-photos")[1].encode())
    for room, trees in ((50_000, 4), (2_000, 0)):
        monkeypatch.setattr("logbook.web.one_file.SIXTY_TREES_BYTES", bare + room)
        told, text = one_file(bench, folder, tmp_path / f"{room}.html")
        days = shown(text)
        assert len(days) == trees and all("2 May 2021" in one for one in days.values())
        assert told["photos"] == sum(map(len, days.values())) < 8 and told["photos_left_out"] == 8 - told["photos"]  # type: ignore[operator]
        assert len(text.encode()) <= bare + room


def test_a_picture_that_is_none_or_lies_elsewhere_is_told(tmp_path: Path, bench: Bench) -> None:
    folder = photographed(tmp_path / "garden", generated(2, 4), 1)
    (folder / "photos" / "SECRET-001-0.jpg").write_bytes(b"no picture")
    (tmp_path / "elsewhere.jpg").write_bytes(photo("SECRET", (900, 700)))
    (folder / "photos" / "SECRET-002-0.jpg").unlink()
    (folder / "photos" / "SECRET-002-0.jpg").symlink_to(tmp_path / "elsewhere.jpg")
    for words in (("--one", tmp_path / "one.html"), ("-o", tmp_path / "pages")):
        told = bench("pages", *words, "--today", TODAY, folder=folder)
        assert told.code == 1 and "can't be read as a picture" in told.err and "outside the collection" in told.err
    assert (
        "data:image" not in (tmp_path / "one.html").read_text("utf-8")
        and not (tmp_path / "pages" / "photos").exists()
    )


def test_a_browser_shows_them(browser: Browser, tmp_path: Path, bench: Bench) -> None:
    """Under the page's own policy, from the disk, at 320 px; nothing is asked of anybody."""
    folder = photographed(tmp_path / "garden", generated(2, 4), 1)
    one_file(bench, folder, tmp_path / "own.html", "--own")
    browser.requested()
    browser.open(f"file://{tmp_path}/own.html#002")
    seen = browser.run(
        "const i = [...document.querySelectorAll('img')].find(i => i.offsetParent); i.loading = 'eager'; i.scrollIntoView();"
        "return i.decode().then(() => [i.naturalWidth, i.getBoundingClientRect().right <= innerWidth, document.documentElement.scrollWidth])"
    )
    assert seen == [640, True, 320]
    assert not [
        url for url in browser.requested() if not url.startswith(("about:", "data:", f"file://{tmp_path}/own.html"))
    ]
