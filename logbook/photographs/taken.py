"""When a picture was taken, by whose clock, and by which camera.

The camera's own clock counts first, then a day and time in the file's name, last the file's own time. EXIF 3.0 (CIPA DC-008):
DateTimeOriginal 0x9003, SubSecTimeOriginal 0x9291, Make 0x010F, Model 0x0110, BodySerialNumber 0xA431.
"""

from __future__ import annotations

import re
from contextlib import suppress
from datetime import datetime
from typing import TYPE_CHECKING, Literal

from ..values import dataclass

if TYPE_CHECKING:
    from PIL.Image import Image as Opened

Clock = Literal["camera", "name", "day", "file"]
_EXIF_IFD, _ORIGINAL, _SUBSEC = 0x8769, 0x9003, 0x9291
_MAKE, _MODEL, _SERIAL = 0x010F, 0x0110, 0xA431
_DAY = r"(?<!\d)((?:19|20)\d\d)[-_.]?(0[1-9]|1[0-2])[-_.]?(0[1-9]|[12]\d|3[01])"
_DAY_TIME = re.compile(
    _DAY + r"[-_ .T]*(?:at )?([01]\d|2[0-3])[-_.:h]?([0-5]\d)[-_.:m]?([0-5]\d)(?:[-_.]?(\d{3}))?(?!\d)"
)
_DAY_ALONE = re.compile(_DAY + r"(?!\d)")


@dataclass(frozen=True, slots=True)
class Taken:
    """A moment of a picture's own time, without a zone; the clock that tells it, and the camera as it names itself."""

    moment: datetime
    clock: Clock
    camera: str = ""


def taken(opened: Opened, name: str, file_time: float) -> Taken:
    """When a picture was taken; `name` is the file's, `file_time` its time of change, seconds since 1970."""
    moment, camera = _by_camera(opened)
    if moment:
        return Taken(moment, "camera", camera)
    moment, clock = _by_name(name)
    return Taken(moment, clock, camera) if moment else Taken(datetime.fromtimestamp(file_time), "file", camera)


def _by_camera(opened: Opened) -> tuple[datetime | None, str]:
    try:
        exif = opened.getexif()
        inner = exif.get_ifd(_EXIF_IFD)
        said, part = inner.get(_ORIGINAL), inner.get(_SUBSEC)
        camera = " ".join(_text(v) for v in (exif.get(_MAKE), exif.get(_MODEL), inner.get(_SERIAL)) if _text(v))
    except Exception:  # a camera's data may be any bytes at all
        return None, ""
    return _moment(_text(said), _text(part)), camera


def _text(value: object) -> str:
    """A text of a camera's data without what it is padded with."""
    if isinstance(value, bytes):
        value = value.decode("latin-1")
    return " ".join(value.replace("\0", " ").split())[:60] if isinstance(value, str) else ""


def _moment(said: str, part: str) -> datetime | None:
    """`2027:05:02 14:03:07` and the digits behind the second."""
    found = re.fullmatch(r"(\d{4})[:-](\d\d)[:-](\d\d)[ T](\d\d):(\d\d):(\d\d)", said)
    if not found:
        return None
    digits = part if re.fullmatch(r"\d{1,9}", part) else "0"
    with suppress(ValueError):
        return datetime(*map(int, found.groups()), int(digits[:6].ljust(6, "0")))  # type: ignore[arg-type, call-arg]
    return None


def _by_name(name: str) -> tuple[datetime | None, Clock]:
    """The day and the time in a file's name, or the day alone."""
    with suppress(ValueError):
        if found := _DAY_TIME.search(name):
            *parts, thousandths = found.groups()
            return datetime(*map(int, parts), int(thousandths or 0) * 1000), "name"  # type: ignore[arg-type, call-arg]
        if found := _DAY_ALONE.search(name):
            return datetime(*map(int, found.groups())), "day"  # type: ignore[arg-type]
    return None, "file"
