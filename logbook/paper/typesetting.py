"""Measuring type: how wide a text is, where it breaks, and which face holds which character.

Faces are static TrueType from the registry (IBM Plex Sans Condensed, OFL) with a Japanese face (Noto Sans CJK JP,
OFL) behind it, opened only when a text needs it. A character no face holds is set as a visible box and reported.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping, Sequence
from functools import cache, lru_cache
from pathlib import Path

from ..values import dataclass
from .font_widths import font_widths, widths_in_groups
from .page import MM_PER_POINT

REGULAR, BOLD, JAPANESE, NONE = "regular", "bold", "japanese", "none"
CAP_HEIGHT = 0.698
LEAST_PT = 7.5  # of any type; twice that where all of it is printed large
LEADING = 1.22
BOX_EM = 0.6
GAPS = re.compile(r"(?<!±) (?!°|±|d\b)")  # a text of degrees or bands may be broken at


@dataclass(frozen=True)
class Face:
    """Advance widths of one font file, in em, by code point."""

    name: str
    path: Path
    advances: Mapping[int, float]

    def holds(self, character: str) -> bool:
        """Whether the face has this character."""
        return ord(character) in self.advances


@cache
def face(name: str) -> Face:
    """Open a face: `regular`, `bold` or `japanese`; that holds no character where its extra is not installed."""
    if name != JAPANESE:
        path = font_path(name)
        return Face(name, path, font_widths(path))
    try:
        path = font_path(name)
        return Face(name, path, widths_in_groups(path))
    except ImportError:
        return Face(name, Path(), {})


def font_path(name: str) -> Path:
    """The font file of a face."""
    if name == JAPANESE:
        from noto_cjk_sans_jp_regular import FONT_PATH

        return Path(str(FONT_PATH))
    from fontpkg_ibm_plex_sans_condensed import ROOT

    weight = "Bold" if name == BOLD else "Regular"
    return Path(ROOT) / "files" / f"IBMPlexSansCondensed-{weight}.ttf"


@lru_cache(maxsize=1024)
def tidy(text: str) -> str:
    """Composed Unicode on one line; control characters and odd spaces become plain spaces."""
    if text.isascii() and text.isprintable():
        return " ".join(text.split())
    composed = unicodedata.normalize("NFC", text)
    return re.sub(r"\s+", " ", "".join(" " if unicodedata.category(c)[0] in "CZ" else c for c in composed)).strip()


def runs(text: str, bold: bool = False) -> Iterator[tuple[str, str]]:
    """(face name, piece) in order; `none` for characters that no face holds."""
    first = face(BOLD if bold else REGULAR)
    if text.isascii() or first.advances.keys() >= set(map(ord, text)):
        yield first.name, text
        return
    second = face(JAPANESE)
    current, piece = "", ""
    for character in text:
        name = first.name if first.holds(character) else JAPANESE if second.holds(character) else NONE
        if name != current and piece:
            yield current, piece
            piece = ""
        current, piece = name, piece + character
    if piece:
        yield current, piece


def missing(text: str) -> set[str]:
    """Characters that print as a box."""
    return {c for name, piece in runs(text) if name == NONE for c in piece}


def lacks_japanese() -> bool:
    """Whether the Japanese face is not installed."""
    return not face(JAPANESE).advances


def beyond_first_face(characters: Iterable[str]) -> str:
    """Those of these characters that the Japanese face has to supply, in order."""
    wanted = sorted(
        {c for c in characters if not c.isascii() and not (face(REGULAR).holds(c) and face(BOLD).holds(c))}
    )
    return "".join(c for c in wanted if face(JAPANESE).holds(c))


def width_mm(text: str, size_pt: float, bold: bool = False) -> float:
    """Width of a text on one line, mm."""
    return _em(text, bold) * size_pt * MM_PER_POINT


@lru_cache(maxsize=2048)
def _em(text: str, bold: bool) -> float:
    if text.isascii():
        advances = face(BOLD if bold else REGULAR).advances
        return sum(advances.get(ord(c), BOX_EM) for c in text)
    return sum(_run_em(name, piece) for name, piece in runs(text, bold))


def _run_em(name: str, piece: str) -> float:
    if name == NONE:
        return BOX_EM * len(piece)
    advances = face(name).advances
    return sum(advances.get(ord(c), BOX_EM) for c in piece)


def line_mm(size_pt: float) -> float:
    """Distance from baseline to baseline, mm."""
    return size_pt * MM_PER_POINT * LEADING


def wrap(text: str, size_pt: float, room_mm: float, bold: bool = False) -> list[str]:
    """Break a text into lines no wider than the room; a word wider than a line is broken within."""
    return list(_wrapped(text, size_pt, room_mm, bold))


@lru_cache(maxsize=1024)  # a sheet's paragraphs are tried in several rooms, and most of them again
def _wrapped(text: str, size_pt: float, room_mm: float, bold: bool) -> tuple[str, ...]:
    room = room_mm / (size_pt * MM_PER_POINT)
    space = _em(" ", bold)
    lines: list[str] = []
    line: list[str] = []
    filled = 0.0
    for word in words_of(text):
        wide = _em(word, bold)
        if line and filled + space + wide <= room:
            line.append(word)
            filled += space + wide
            continue
        if line:
            lines.append(" ".join(line))
        *full, word = _broken(word, size_pt, room_mm, bold)
        lines += full
        line, filled = ([word], _em(word, bold)) if word else ([], 0.0)
    return (*lines, " ".join(line)) if line else tuple(lines)


def words_of(text: str) -> list[str]:
    """What a line may be broken between: a number stays with its degrees, a band whole."""
    return GAPS.split(tidy(text)) if "°" in text or "±" in text else tidy(text).split(" ")


def _broken(word: str, size_pt: float, room_mm: float, bold: bool) -> list[str]:
    if width_mm(word, size_pt, bold) <= room_mm:
        return [word]
    pieces, piece = [], ""
    for character in word:
        if piece and width_mm(piece + character, size_pt, bold) > room_mm:
            pieces.append(piece)
            piece = ""
        piece += character
    return [*pieces, piece]


def fitted(
    text: str, size_pt: float, room_mm: float, bold: bool = False, least_pt: float = LEAST_PT
) -> tuple[str, float]:
    """A text for one line: first set smaller, then cut with an ellipsis. Only for names that stand in full elsewhere."""
    clean = tidy(text)
    size = size_pt
    while size > least_pt and width_mm(clean, size, bold) > room_mm:
        size = max(least_pt, size - 0.5)
    if width_mm(clean, size, bold) <= room_mm:
        return clean, size
    while clean and width_mm(clean + "…", size, bold) > room_mm:
        clean = clean[:-1].rstrip()
    return clean + "…", size


def uncut(text: str, size_pt: float, rooms_mm: Sequence[float], bold: bool = False) -> tuple[str, float]:
    """A text for one line in the first of these rooms where it is not cut; in the last one it may be."""
    made = [fitted(text, size_pt, room, bold) for room in rooms_mm]
    clean = tidy(text)
    return next((one for one in made if one[0] == clean), made[-1])


def shrunk(text: str, size_pt: float, room_mm: float, bold: bool = False, least_pt: float = LEAST_PT) -> float:
    """The size at which a text that must never be cut (a tag) fits its room, not under `least_pt`."""
    wide = width_mm(text, size_pt, bold)
    return size_pt if wide <= room_mm else max(least_pt, size_pt * room_mm / wide)
