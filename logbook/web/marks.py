"""The mark of a page: who made it, for whom, and a checksum, so that no page of anybody else is written over and no unchanged one anew.

The day a page was made does not count: a page that says the same as yesterday stays as it is.
"""

from __future__ import annotations

import re
from enum import StrEnum
from hashlib import sha256

from ..values import dataclass

DOCTYPE = "<!DOCTYPE html>\n"
HEAD_BYTES = 200
_MARK = re.compile(
    r"<!DOCTYPE html>\n<!-- made by benchleaf pages for (anybody|the keeper alone): ([0-9a-f]{64}) -->\n"
)
_MADE = re.compile(r'<time class="made"[^>]*>[^<]*</time>')


class Readers(StrEnum):
    """For whom a page is."""

    ANYBODY = "anybody"
    KEEPER = "the keeper alone"


@dataclass(frozen=True, slots=True)
class Mark:
    """What a page's mark says, and whether the page is as it was made."""

    readers: Readers
    checksum: str
    intact: bool


def marked(body: str, readers: Readers) -> str:
    """The page under its mark; `body` begins behind the document type."""
    return f"{DOCTYPE}<!-- made by benchleaf pages for {readers}: {_checksum(body)} -->\n{body}"


def checksum_in(page: bytes) -> str:
    """The checksum that a page just made carries."""
    found = _MARK.match(page[:HEAD_BYTES].decode("utf-8", "replace"))
    return found[2] if found else ""


def readers_of(head: bytes) -> Readers | None:
    """For whom a page is, by its first bytes; None where it has no mark."""
    found = _MARK.match(head.decode("utf-8", "replace").replace("\r\n", "\n"))
    return Readers(found[1]) if found else None


def mark_of(page: bytes) -> Mark | None:
    """The mark of a page; None where it has none, or is no text."""
    try:
        text = page.decode("utf-8").replace("\r\n", "\n")  # as version control may have changed it
    except UnicodeDecodeError:
        return None
    found = _MARK.match(text)
    if found is None:
        return None
    return Mark(Readers(found[1]), found[2], _checksum(text[found.end() :]) == found[2])


def _checksum(body: str) -> str:
    return sha256(_MADE.sub("", body).encode("utf-8")).hexdigest()
