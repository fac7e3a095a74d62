"""Archives: one made, and one of somebody else's opened within limits, before anything of it is inflated.

What an archive says of itself is checked first (how many members, of which size, under which names), since each of them may be a lie;
what is read is bounded all the same. Format: APPNOTE.TXT 6.3, the ZIP file format specification.
"""

from __future__ import annotations

import io
import re
import stat
import struct
import unicodedata
import zipfile
import zlib
from collections.abc import Mapping
from datetime import date

from ..diagnostics import Place, Problem, ProblemsFound
from ..values import dataclass
from .outputs import unsealed

MOST_BYTES = 200_000_000
MOST_INFLATED = 200_000_000
MOST_MEMBERS = 500
MOST_DIRECTORY = 1_000_000
MOST_RATIO = 100  # text is seldom packed tighter than to a twentieth
SMALL = 1_000_000  # what no ratio is asked of
_END, _END_64 = b"PK\x05\x06", b"PK\x06\x07"
_END_BYTES = 22
_LOCAL_BYTES = 30
_ENCRYPTED, _UTF8 = 0x1 | 0x40, 0x800
_BAD = (zipfile.BadZipFile, zlib.error, ValueError, NotImplementedError, OSError, EOFError, RuntimeError, struct.error, OverflowError, IndexError)  # fmt: skip
_HINT = "ask for the archive anew: it is made by 'benchleaf handover'"


def zipped(members: Mapping[str, bytes], day: date) -> bytes:
    """An archive of these files; the same bytes for the same files and day."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w") as archive:
        for name, data in members.items():
            info = zipfile.ZipInfo(name, (max(day.year, 1980), day.month, day.day, 0, 0, 0))
            info.external_attr = (stat.S_IFREG | 0o644) << 16
            info.create_system = 3
            kind = zipfile.ZIP_STORED if name.endswith(".jpg") else zipfile.ZIP_DEFLATED
            archive.writestr(info, data, kind)
    return out.getvalue()


@dataclass(frozen=True, slots=True)
class Archive:
    """An archive that keeps the limits; `sizes` are those of its files by name."""

    shown: str
    sizes: Mapping[str, int]
    _opened: zipfile.ZipFile

    def read(self, name: str, most: int) -> bytes:
        """A file's bytes. Raises ProblemsFound where it is missing, larger than `most`, or damaged."""
        if name not in self.sizes:
            raise _refused(self.shown, f"it holds no {name}")
        if self.sizes[name] > most:
            raise _refused(self.shown, f"its {name} is larger than {most / 1e6:g} MB")
        try:
            with self._opened.open(name) as file:
                data = file.read(most + 1)
        except _BAD:
            raise _refused(self.shown, f"its {name} is damaged") from None
        if len(data) != self.sizes[name]:
            raise _refused(self.shown, f"its {name} is not as long as it says")
        return data


def archive_in(raw: bytes, shown: str) -> Archive:
    """The archive in these bytes. Raises ProblemsFound for what is none, is damaged, or goes beyond the limits."""
    raw = unsealed(raw)
    _end_of(raw, shown)
    try:
        opened = zipfile.ZipFile(io.BytesIO(raw))
    except _BAD:
        raise _refused(shown, "the archive is damaged") from None
    infos = opened.infolist()
    if len(infos) > MOST_MEMBERS:
        raise _refused(shown, f"it holds {len(infos):,} files; {MOST_MEMBERS} are opened")
    for info in infos:
        fault = _fault_of(info)
        if fault:
            raise _refused(shown, fault)
    _whole(infos, raw, shown)
    return Archive(shown, {info.filename: info.file_size for info in infos if not info.is_dir()}, opened)


def _refused(shown: str, why: str) -> ProblemsFound:
    return ProblemsFound([Problem(f"this archive is not opened: {why}", Place(shown), _HINT)])


def _end_of(raw: bytes, shown: str) -> None:
    """Look at the record that an archive ends with, before a library reads what it points to."""
    end = raw[-_END_BYTES:]
    if len(end) < _END_BYTES or end[:4] != _END or end[20:] != b"\0\0":
        raise _refused(shown, "it is no ZIP archive, or does not end as one does")
    (count,), (directory,) = struct.unpack("<H", end[10:12]), struct.unpack("<L", end[12:16])
    if raw[-_END_BYTES - 20 : -_END_BYTES - 16] == _END_64 or count > MOST_MEMBERS or directory > MOST_DIRECTORY:
        raise _refused(shown, f"it holds more than {MOST_MEMBERS} files, or says so")


def _fault_of(info: zipfile.ZipInfo) -> str:
    """What is wrong with a member by what the archive says of it; empty where nothing is."""
    kind = stat.S_IFMT(info.external_attr >> 16)
    if info.flag_bits & _ENCRYPTED:
        return "it is locked with a password"
    if not _is_plain(info):
        return f"it holds a file of the name {info.orig_filename[:60]!a}, which leads elsewhere or can't be read"
    if kind not in (0, stat.S_IFDIR if info.is_dir() else stat.S_IFREG) or (info.is_dir() and info.file_size):
        return f"{info.filename} is no plain file"
    if info.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        return f"{info.filename} is packed in a way that is not opened"
    if info.file_size > SMALL and info.file_size > MOST_RATIO * info.compress_size:
        return f"{info.filename} would become {info.file_size / max(info.compress_size, 1):,.0f} times as large"
    return ""


def _is_plain(info: zipfile.ZipInfo) -> bool:
    """Whether a name is text without tricks: no way out, no drive, no hidden parts, nothing that a disk would not take."""
    name = info.filename
    known = name.isascii() or bool(info.flag_bits & _UTF8)
    parts = name.removesuffix("/").split("/")
    odd = re.search(r"[\x00-\x1f\x7f\\:*?\"<>|]", name) or any(unicodedata.category(c).startswith("C") for c in name)
    return known and name == info.orig_filename and not odd and len(parts) <= 3 and all(p.strip(". ") for p in parts)


def _whole(infos: list[zipfile.ZipInfo], raw: bytes, shown: str) -> None:
    """Raises ProblemsFound for names that stand twice, members that share bytes, and too much in all."""
    names = [unicodedata.normalize("NFKC", info.filename).casefold().rstrip("/") for info in infos]
    if len(set(names)) < len(names):
        raise _refused(shown, "a name stands in it twice")
    if sum(info.file_size for info in infos) > MOST_INFLATED:
        raise _refused(shown, f"it would take more than {MOST_INFLATED // 1_000_000} MB")
    reached = 0
    for info in sorted(infos, key=lambda one: one.header_offset):
        if info.header_offset < reached:
            raise _refused(shown, "its files lie one over another")
        reached = info.header_offset + _LOCAL_BYTES + info.compress_size
    if reached > len(raw):
        raise _refused(shown, "it is cut short")
