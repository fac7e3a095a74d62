"""How a picture is called in `photos/`, and how it is known again."""

from __future__ import annotations

import hashlib
import re
from collections.abc import Iterable, Iterator
from itertools import count

PHOTOS = "photos"
PICTURE = "picture"  # as in an entry's `from: picture 0123456789abcdef`
SUM_DIGITS = 16


class Names:
    """Free names in `photos/`; each is given once. Case does not count, since some disks know none."""

    def __init__(self, taken: Iterable[str]) -> None:
        self._taken = {name.rpartition("/")[2].casefold() for name in taken}

    def own(self, base: str, tag: str, day: str) -> str:
        """The name that a page for a telephone gave it and noted (`014-2027-05-02.jpg`, then `-2` and on); empty for another name."""
        return f"{PHOTOS}/{base}" if re.fullmatch(rf"{re.escape(tag)}-{day}(-\d{{1,3}})?\.jpe?g", base) else ""

    def next(self, tag: str, day: str) -> str:
        """`photos/014-2027-05-02-a.jpg`, or the first letters behind that are free."""
        for letters in _letters():
            name = f"{tag}-{day}-{letters}.jpg"
            if name.casefold() not in self._taken:
                self._taken.add(name.casefold())
                return f"{PHOTOS}/{name}"
        raise AssertionError  # letters never end


def _letters() -> Iterator[str]:
    """a to z, then aa, ab …"""
    for number in count():
        said, left = "", number
        while True:
            said = chr(97 + left % 26) + said
            left = left // 26 - 1
            if left < 0:
                break
        yield said


def sum_of(raw: bytes) -> str:
    """The first digits of the SHA-256 of an original's bytes, by which it is known again."""
    return hashlib.sha256(raw).hexdigest()[:SUM_DIGITS]


def source_of(digest: str) -> str:
    """What an entry says of where its picture came from."""
    return f"{PICTURE} {digest}"
