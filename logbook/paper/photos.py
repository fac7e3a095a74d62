"""Photographs for paper: turned the right way up, made small, and stripped of everything but the picture.

The only importer of Pillow. What comes out is a fresh JPEG of bare pixels: no place, no camera, no date.
"""

from __future__ import annotations

import errno
import io
import struct
import warnings
from dataclasses import replace
from pathlib import Path

from ..collection.model import Collection, Entry, Tree
from ..collection.pointing import on_disk, pointed_out
from ..diagnostics import Place, Problem
from ..storage.disk import read_regular
from ..storage.picture_limits import most_pixels
from ..values import dataclass

PRINT_DPI = 300
LARGEST_PIXELS = 150_000_000
LARGEST_BYTES = 100_000_000
QUALITY = 85


@dataclass(frozen=True, slots=True)
class Photo:
    """A picture made ready for paper: JPEG bytes without metadata, its size in pixels, and when it was taken."""

    jpeg: bytes
    width: int
    height: int
    taken: str = ""

    def size_mm(self, longest: float) -> tuple[float, float]:
        """Width and height on paper with this longer side, mm."""
        scale = longest / max(self.width, self.height)
        return self.width * scale, self.height * scale


def latest_photo(collection: Collection, tree: Tree, longest_mm: float) -> tuple[Photo | None, list[Problem]]:
    """The tree's latest photo for paper; a picture that can't be used is a problem at its log entry."""
    entries = [e for e in tree.log if e.photo]
    if not entries:
        return None, []
    entry = max(entries, key=lambda e: e.date.latest)
    made = photo_of_entry(collection.folder, tree, entry, longest_mm)
    if isinstance(made, Problem):
        return None, [made]
    return Photo(made.jpeg, made.width, made.height, entry.date.told()), []


def all_photos(collection: Collection, tree: Tree, longest_mm: float) -> tuple[list[Photo], list[Problem]]:
    """Every photo of a tree in time order, made ready for paper; those that can't be used are problems at their entries."""
    made, problems = photos_by_path(collection, tree, longest_mm)
    first = {e.photo: e for e in reversed(tree.log) if e.photo in made}  # one that is logged twice is shown once
    ordered = sorted(first.values(), key=lambda e: (e.date.earliest, e.date.latest))
    return [replace(made[e.photo], taken=e.date.told()) for e in ordered], problems


def photos_by_path(collection: Collection, tree: Tree, longest_mm: float) -> tuple[dict[str, Photo], list[Problem]]:
    """Every photo of a tree, by its path as it is logged, made ready for paper; and what can't be used."""
    made: dict[str, Photo] = {}
    problems: list[Problem] = []
    for entry in tree.log:
        if entry.photo and entry.photo not in made:
            photo = photo_of_entry(collection.folder, tree, entry, longest_mm)
            if isinstance(photo, Problem):
                problems.append(photo)
            else:
                made[entry.photo] = photo
    return made, problems


def photo_of_entry(folder: str, tree: Tree, entry: Entry, longest_mm: float) -> Photo | Problem:
    """An entry's picture; one that lies outside the collection is on no paper and no page, whatever it is."""
    photo = _photo_of(Path(folder), tree, entry, longest_mm)
    return pointed_out(on_disk(Path(folder)), [photo])[0] if isinstance(photo, Problem) else photo


def _photo_of(root: Path, tree: Tree, entry: Entry, longest_mm: float) -> Photo | Problem:
    try:
        inside = (root / entry.photo).resolve().is_relative_to(root.resolve())
    except (OSError, RuntimeError, ValueError):
        inside = False
    if not inside:
        hint = "copy it into photos/ and name it from there"
        return Problem(f"the photo '{entry.photo}' lies outside the collection", tree.place_of(entry), hint)
    return photo_for_paper(root / entry.photo, longest_mm, tree.place_of(entry), entry.photo)


def photo_for_paper(path: Path, longest_mm: float, place: Place, shown: str) -> Photo | Problem:
    """Read, turn, shrink to print resolution and strip one picture."""
    from PIL import Image, ImageOps

    wanted = max(1, round(longest_mm / 25.4 * PRINT_DPI))
    try:
        raw = read_regular(path, LARGEST_BYTES)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", Image.DecompressionBombWarning)  # the limit below is ours
            opened = Image.open(io.BytesIO(raw))
        with opened:
            width, height = opened.size
            limit = min(LARGEST_PIXELS, most_pixels(opened.format, progressive=bool(opened.info.get("progressive"))))
            if width * height > limit:
                return _too_large(shown, f"{width} × {height} pixels", place, limit)
            opened.draft("RGB", (wanted * 2, wanted * 2))
            upright = ImageOps.exif_transpose(opened) or opened
            plain = upright.convert("RGB")
    except FileNotFoundError:
        return Problem(f"there is no photo '{shown}'", place, "copy it there, or correct the path")
    except Image.DecompressionBombError:
        return _too_large(shown, f"over {LARGEST_PIXELS // 1_000_000} million pixels", place)
    except (OSError, ValueError, SyntaxError, EOFError, struct.error) as error:
        large = getattr(error, "errno", 0) == errno.EFBIG
        return (
            _too_large(shown, f"over {LARGEST_BYTES // 1_000_000} MB", place) if large else _no_picture(shown, place)
        )
    plain.thumbnail((wanted, wanted), Image.Resampling.LANCZOS)
    bare = Image.frombytes("RGB", plain.size, plain.tobytes())
    out = io.BytesIO()
    bare.save(out, "JPEG", quality=QUALITY, optimize=False)
    return Photo(out.getvalue(), *bare.size)


def smaller(photo: Photo, longest: int, quality: int) -> Photo:
    """The picture with a longer side of so many pixels at most, and in fewer bytes."""
    from PIL import Image

    with Image.open(io.BytesIO(photo.jpeg)) as image:
        image.thumbnail((longest, longest), Image.Resampling.LANCZOS)
        out = io.BytesIO()
        image.save(out, "JPEG", quality=quality, optimize=True)
        return replace(photo, jpeg=out.getvalue(), width=image.width, height=image.height)


def _no_picture(shown: str, place: Place) -> Problem:
    return Problem(f"the photo '{shown}' can't be read as a picture", place, "open and save it again as JPEG or PNG")


def _too_large(shown: str, size: str, place: Place, pixels: int = LARGEST_PIXELS) -> Problem:
    return Problem(
        f"the photo '{shown}' is too large to print: {size}",
        place,
        f"save a smaller copy, under {pixels // 1_000_000} million pixels and {LARGEST_BYTES // 1_000_000} MB",
    )
