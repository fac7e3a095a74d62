"""Bytes of notes as UTF-8: what another program saved in an older encoding is read where it can be no other.

A byte that is damaged is not guessed at: then the text stays as it came, and is told.
"""

from __future__ import annotations

import re

UTF_16 = (b"\xff\xfe", b"\xfe\xff")
WESTERN = "Windows-1252"
_SIGNS = frozenset("°·×½¼¾±–—‘’“”…µ€£§«»²³")
_IN_UTF_8 = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}")
_SOME_BYTES = 400
MOSTLY = 0.8  # of a western text's letters have a zero beside them; dashes and quotes have none


def as_utf_8(raw: bytes) -> tuple[bytes, str]:
    """The text as UTF-8 and the encoding it came in; as it came, with no name, where that is UTF-8 or can't be told."""
    wide = encoding_of_wide(raw)
    if wide:
        text = _decoded(raw, wide)
        return (text.encode(), "UTF-16") if text is not None and "\0" not in text else (raw, "")
    if b"\0" in raw or _decoded(raw, "utf-8") is not None:
        return raw, ""
    western = _decoded(raw, "cp1252")
    if western is None or _IN_UTF_8.search(raw) or not _is_western(western):
        return raw, ""
    return western.encode(), WESTERN


def encoding_of_wide(raw: bytes) -> str:
    """The UTF-16 in which a text begins, told by its mark or by a zero beside each of its letters; empty where it is none."""
    if raw.startswith(UTF_16):
        return "utf-16"
    some = raw[: _SOME_BYTES & ~1]
    some = some[: len(some) & ~1]
    low, high = some[0::2], some[1::2]
    if len(some) < 8 or len(raw) % 2:
        return ""
    if b"\0" not in low and high.count(0) >= MOSTLY * len(high):
        return "utf-16-le"
    return "utf-16-be" if b"\0" not in high and low.count(0) >= MOSTLY * len(low) else ""


def _decoded(raw: bytes, encoding: str) -> str | None:
    try:
        return raw.decode(encoding)
    except UnicodeDecodeError:
        return None


def _is_western(text: str) -> bool:
    """Whether every letter with an accent stands in a word of plain ones, and all else is a sign that people type."""
    return all(
        character in _SIGNS or (character.isalpha() and _plain_beside(text, at))
        for at, character in enumerate(text)
        if not character.isascii()
    )


def _plain_beside(text: str, at: int) -> bool:
    beside = text[max(0, at - 1) : at] + text[at + 1 : at + 2]
    return any(one.isascii() and one.isalpha() for one in beside)
