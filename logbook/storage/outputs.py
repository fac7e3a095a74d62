"""Files that are given away: paper, calendars, tables, pages. Never written over what this tool did not make.

What is made carries a seal, a hash of all the rest of it, where its form has room for one: so a file may be made anew while it
is as it was written, and not once somebody filled it in, drew on it or put another in its place. A table has no such room; it
is known by its head. Nothing is written among a collection's own files, wherever that collection lies.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import os
import re
import stat
import zlib
from collections.abc import Callable, Mapping
from pathlib import Path

from ..diagnostics import Place, Problem, ProblemsFound, stop
from .disk import MOST_BYTES, fresh, read_regular

SETTINGS, OWN_FOLDERS = "collection.yaml", frozenset(("trees", "notes", "printed", "weather", "photos", "inbox"))
TABLE_HEADS = (b"tag,name,work,branches,", b"tag,name,species,bench,came,value")
SUM = 32  # hexadecimal digits of a seal
_HEX = rb"(?P<sum>[0-9a-f]{32})"
# how a form begins; where its seal stands, from the front or (below 0) from the end; what leads the sum, and what follows it
_FORMS: tuple[tuple[bytes, int | None, bytes, bytes], ...] = (
    (b"%PDF-", None, b"%benchleaf ", b"\n"),
    (b"BEGIN:VCALENDAR", -len(b"END:VCALENDAR\r\n"), b"X-BENCHLEAF-SEAL:", b"\r\n"),
    (b"<!doctype html", None, b"<!-- benchleaf ", b" -->\n"),
    (b"{\n", 2, b'  "$comment": "benchleaf ', b'",\n'),
)
_ZIP, _ZIP_LEAD = b"PK\3\4", b"\x2a\0benchleaf "  # the archive's comment, behind its length
_PNG, _PNG_END = b"\x89PNG\r\n\x1a\n", 12  # the last chunk has no data
_PNG_SEAL = re.compile(rb"\0\0\0\x2atEXtbenchleaf\0" + _HEX + rb"....", re.DOTALL)


def sealed(data: bytes) -> bytes:
    """The bytes of an output with the seal of its form; as they are where the form has no room for one."""
    if data.startswith(_PNG):
        body = b"tEXtbenchleaf\0" + _sum(data)
        chunk = (len(body) - 4).to_bytes(4, "big") + body + zlib.crc32(body).to_bytes(4, "big")
        return data[:-_PNG_END] + chunk + data[-_PNG_END:]
    if data.startswith(_ZIP) and data.endswith(b"\0\0"):
        return data[:-2] + _ZIP_LEAD + _sum(data)
    for begins, at, lead, tail in _FORMS:
        if data[: len(begins)].lower() == begins.lower():
            return data[:at] + lead + _sum(data) + tail + (data[at:] if at is not None else b"")
    return data


def unsealed(data: bytes) -> bytes:
    """An archive without the seal in its comment; other bytes as they are."""
    seal = rb".*" + re.escape(_ZIP_LEAD) + rb"[0-9a-f]{32}"
    tail = data[-len(_ZIP_LEAD) - SUM :]
    return data[: -len(tail)] + b"\0\0" if data.startswith(_ZIP) and re.fullmatch(seal, tail, re.DOTALL) else data


def is_ours(data: bytes) -> bool:
    """Whether these are the bytes of an output, whole and as it was written; of a table, whether its head is."""
    if data.startswith(_PNG):
        found = next(_PNG_SEAL.finditer(data, max(0, len(data) - 200)), None)
        return found is not None and sealed(data[: found.start()] + data[found.end() :]) == data
    if data.startswith(_ZIP):
        bare = unsealed(data)
        return bare != data and sealed(bare) == data
    for begins, at, lead, tail in _FORMS:
        if data[: len(begins)].lower() == begins.lower():
            return _is_whole(data, at, lead, tail)
    return data.startswith(TABLE_HEADS)


def _is_whole(data: bytes, at: int | None, lead: bytes, tail: bytes) -> bool:
    length = len(lead) + SUM + len(tail)
    first = len(data) - length if at is None else at if at > 0 else len(data) + at - length
    seal = re.fullmatch(re.escape(lead) + _HEX + re.escape(tail), data[max(0, first) : first + length])
    return first >= 0 and seal is not None and _sum(data[:first] + data[first + length :]) == seal["sum"]


def _sum(data: bytes) -> bytes:
    return hashlib.sha256(data).hexdigest()[:SUM].encode()


def must_be_writable(path: Path, option: str = "-o FILE") -> None:
    """Find out before the work, not after it, whether the output may be written; `option` names another one.

    Raises ProblemsFound where it may not: for a folder, a device, a file of a collection's own, and any that is not an
    output of this tool as it was written.
    """
    another = f"name another with {option}"
    try:
        real, mode = path.resolve(), _mode(path)
        if mode is not None and stat.S_ISDIR(mode):
            raise stop("this is a folder", path=str(path), hint=f"name a file with {option}")
        if mode is not None and not stat.S_ISREG(mode):
            raise stop("this is no regular file", path=str(path), hint=another)
        if _is_kept(real):
            raise _kept(path, option)
        if not real.parent.is_dir():
            raise stop("its folder does not exist", path=str(path), hint=f"make the folder first, or {another}")
        if not os.access(path if mode is not None else real.parent, os.W_OK):
            raise stop("can't be written", path=str(path), hint=another)
        if mode is not None and not is_ours(read_regular(real, MOST_BYTES)):
            raise stop(
                "this file is there, and was not made by this command, or was changed since",
                path=str(path),
                hint=f"{another}, or delete it first if it is not needed",
            )
    except (OSError, RuntimeError, ValueError) as error:
        raise unwritable(path, error, option) from None


def must_not_be_own(path: Path, option: str) -> None:
    """Raises ProblemsFound for a folder or a file that would lie among a collection's own files, whichever collection that is."""
    try:
        real = path.resolve()
    except (OSError, RuntimeError) as error:
        raise unwritable(path, error, option) from None
    if _is_kept(real) or _is_kept(real / "any"):
        raise _kept(path, option)


def _kept(path: Path, option: str) -> ProblemsFound:
    return stop(
        "this is a place of the collection's own files: nothing is written there",
        path=str(path),
        hint=f"name another with {option}",
    )


def _mode(path: Path) -> int | None:
    try:
        return path.stat().st_mode
    except FileNotFoundError:
        return None


def _is_kept(real: Path) -> bool:
    """Whether a path leads to a collection's own files: its settings, a folder that is read, or anything hidden."""
    for folder in real.parents:
        if (folder / SETTINGS).is_file():
            first, *more = (part.casefold() for part in real.relative_to(folder).parts)
            if first.startswith(".") or (first in OWN_FOLDERS if more else first in (SETTINGS, *OWN_FOLDERS)):
                return True
    return False


def unwritable(path: Path, error: Exception, option: str = "-o FILE") -> ProblemsFound:
    """What is said of an output that the disk refuses."""
    why = (getattr(error, "strerror", None) or str(error)).lower()
    return ProblemsFound([Problem(f"can't be written: {why}", Place(str(path)), f"name another with {option}")])


def write_output(path: Path, data: bytes, option: str = "-o FILE") -> None:
    """Write a file the grower asked for, whole or not at all. Raises ProblemsFound with its path."""
    write_outputs({path: data}, option=option)


def write_outputs(
    files: Mapping[Path, bytes], record: Callable[[], None] | None = None, option: str = "-o FILE"
) -> None:
    """Write several; `record` is called when all of them are on the disk, and before any has its name.

    Raises ProblemsFound where one may not be written, or the disk refuses; then none of them is there, as far as that can be.
    """
    for path in files:
        must_be_writable(path, option)
    parts = {path.resolve(): path.resolve().with_name(f".{path.resolve().name}.part") for path in files}
    try:
        for part, data in zip(parts.values(), files.values(), strict=True):
            _written(part, sealed(data))
        if record:
            record()
        for real, part in parts.items():
            _placed(part, real)
    except OSError as error:
        raise unwritable(next(iter(files)), error, option) from None
    finally:
        for part in parts.values():
            with contextlib.suppress(OSError):
                part.unlink(missing_ok=True)


def _written(part: Path, data: bytes) -> None:
    """A file under a hidden name, through no link that lies there."""
    with os.fdopen(fresh(part), "wb") as file:
        file.write(data)
        file.flush()
        os.fsync(file.fileno())


def _placed(part: Path, real: Path) -> None:
    """The file takes its name; one that somebody made meanwhile stays, since only an output of ours is replaced."""
    try:
        os.link(part, real)
        return
    except FileExistsError:
        if not is_ours(read_regular(real, MOST_BYTES)):
            raise OSError(errno.EEXIST, os.strerror(errno.EEXIST), str(real)) from None
    except OSError:  # a disk without hard links
        if real.exists() and not is_ours(read_regular(real, MOST_BYTES)):
            raise
    part.replace(real)
