"""The few things a batch does to a disk, each by name, so that tests can put a failing disk in its place.

Paths are relative to the collection, with forward slashes; `""` is its own folder. What is written is on the disk before a
call returns; a renamed file is safe once its folder was synced. `Overlay` is a disk whose writes stay in memory.
"""

from __future__ import annotations

import contextlib
import errno
import os
import stat
from pathlib import Path
from typing import Literal, Protocol

Sort = Literal["", "file", "folder", "other"]
AT_FDCWD, RENAME_EXCHANGE = -100, 2
MOST_BYTES = 500_000_000  # of one file of a collection
LEAST_READ = 4096  # bytes


class Disk(Protocol):
    """What a batch needs of a file system. Failing calls raise OSError."""

    def read(self, path: str) -> bytes | None:
        """A file's bytes; None where there is none."""
        ...

    def names(self, folder: str) -> list[str]:
        """Names in a folder, in order; none where there is no folder."""
        ...

    def write(self, path: str, data: bytes, like: str = "") -> None:
        """Write a file whole and sync it; with the permissions of the file `like`, where that is there."""
        ...

    def swap(self, one: str, other: str) -> bool:
        """Exchange two files in one step; False where the system can't."""
        ...

    def rename(self, source: str, target: str) -> None:
        """Move a file in one step, over one that may be there."""
        ...

    def link(self, source: str, target: str) -> None:
        """Give a file a second name, unless that name is taken; never over another file."""
        ...

    def unlink(self, path: str) -> None:
        """Remove a name; nothing happens where there is none."""
        ...

    def sync_folder(self, folder: str) -> None:
        """Make the folder's names durable."""
        ...

    def leads_to(self, path: str) -> str | None:
        """Where a file really stands, if its name is a link; None where that is outside the collection."""
        ...

    def kind(self, path: str) -> Sort:
        """What stands there: a regular file, a folder, something other; an empty text where nothing does."""
        ...


class RealDisk:
    """The disk under a collection's folder."""

    def __init__(self, root: Path) -> None:
        self.root = root

    def read(self, path: str) -> bytes | None:
        """A file's bytes, None where there is none. Raises OSError for what is no regular file or too large."""
        try:
            return read_regular(self.root / path, MOST_BYTES)
        except FileNotFoundError:
            return None

    def names(self, folder: str) -> list[str]:
        """What a folder holds, sorted; nothing where there is no such folder."""
        try:
            return names_in(self.root / folder)
        except FileNotFoundError:
            return []

    def write(self, path: str, data: bytes, like: str = "") -> None:
        """Write and make durable, with the permissions of the file `like`; folders are made as needed. Raises OSError."""
        target = self.root / path
        target.parent.mkdir(parents=True, exist_ok=True)
        with os.fdopen(fresh(target), "wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        with contextlib.suppress(OSError):
            target.chmod((self.root / like).stat().st_mode & 0o777 if like else 0o644)

    def swap(self, one: str, other: str) -> bool:
        """Exchange two files in one step; False where the system can't. Raises OSError."""
        return _exchange(self.root / one, self.root / other)

    def rename(self, source: str, target: str) -> None:
        """Move a file, over another if need be; folders are made as needed. Raises OSError."""
        (self.root / target).parent.mkdir(parents=True, exist_ok=True)
        (self.root / source).replace(self.root / target)

    def link(self, source: str, target: str) -> None:
        """A second name for a file; it is moved where the disk has no links. Nothing happens where the name is taken."""
        try:
            os.link(self.root / source, self.root / target)
        except FileExistsError:
            return
        except OSError as error:
            if error.errno not in (errno.EPERM, errno.ENOTSUP, errno.EOPNOTSUPP, errno.ENOSYS, errno.EMLINK):
                raise
            if not (self.root / target).exists():  # a disk without hard links
                (self.root / source).replace(self.root / target)

    def unlink(self, path: str) -> None:
        """Remove a name; nothing happens where there is none."""
        (self.root / path).unlink(missing_ok=True)

    def sync_folder(self, folder: str) -> None:
        """Make the folder's names durable."""
        sync_folder(self.root / folder)

    def kind(self, path: str) -> Sort:
        """What stands there, or where a link leads to; one that leads nowhere is something other."""
        try:
            mode = (self.root / path).stat().st_mode
        except FileNotFoundError:
            return "other" if (self.root / path).is_symlink() else ""
        except NotADirectoryError:
            return ""
        except OSError:
            return "other"
        return "file" if stat.S_ISREG(mode) else "folder" if stat.S_ISDIR(mode) else "other"

    def leads_to(self, path: str) -> str | None:
        """The path itself, or that of the file a link leads to; None for one that leads out of the collection or in a circle."""
        whole = self.root / path
        if not whole.is_symlink():
            return path
        try:
            real = whole.resolve(strict=False)
            beside, root = whole.parent.resolve(), self.root.resolve()
        except (OSError, RuntimeError):
            return None
        folder = path.rpartition("/")[0]
        if real.parent == beside:  # the folder itself may be a link, as one that is synced elsewhere is
            return f"{folder}/{real.name}".lstrip("/")
        return real.relative_to(root).as_posix() if real.is_relative_to(root) else None


class Overlay:
    """A disk seen through what was written in memory: nothing reaches the disk under it.

    `changed` holds each touched file's bytes by its path, None where it is gone.
    """

    def __init__(self, under: Disk) -> None:
        self.under = under
        self.changed: dict[str, bytes | None] = {}

    def read(self, path: str) -> bytes | None:
        """A file's bytes as they would be; None where there would be none."""
        return self.changed[path] if path in self.changed else self.under.read(path)

    def names(self, folder: str) -> list[str]:
        """What a folder would hold, sorted."""
        found = set(self.under.names(folder))
        for path, data in self.changed.items():
            parent, _, name = path.rpartition("/")
            if parent == folder:
                (found.discard if data is None else found.add)(name)
        return sorted(found)

    def write(self, path: str, data: bytes, like: str = "") -> None:  # noqa: ARG002 - nothing here has permissions
        """Keep the bytes in memory."""
        self.changed[path] = data

    def swap(self, one: str, other: str) -> bool:
        """Exchange two files in memory; always done. Raises FileNotFoundError where one is missing."""
        self.changed[one], self.changed[other] = self._there(other), self._there(one)
        return True

    def rename(self, source: str, target: str) -> None:
        """Move a file in memory, over another if need be. Raises FileNotFoundError where there is none."""
        self.changed[target] = self._there(source)
        self.changed[source] = None

    def link(self, source: str, target: str) -> None:
        """A second name in memory; nothing happens where the name is taken."""
        if self.read(target) is None:
            self.changed[target] = self._there(source)

    def unlink(self, path: str) -> None:
        """Remove a name in memory; nothing happens where there is none."""
        if self.read(path) is not None:
            self.changed[path] = None

    def sync_folder(self, folder: str) -> None:
        """Nothing here needs to be made durable."""

    def kind(self, path: str) -> Sort:
        """What would stand there."""
        if path in self.changed:
            return "" if self.changed[path] is None else "file"
        return self.under.kind(path) or ("folder" if self.names(path) else "")

    def leads_to(self, path: str) -> str | None:
        """Where a file really stands on the disk below."""
        return self.under.leads_to(path)

    def _there(self, path: str) -> bytes:
        data = self.read(path)
        if data is None:
            raise FileNotFoundError(errno.ENOENT, os.strerror(errno.ENOENT), path)
        return data


def read_regular(path: Path, limit: int) -> bytes:
    """A regular file's bytes. Raises OSError for pipes, devices and folders, and for what is larger than `limit`.

    The file is opened without waiting for a writer, and asked what it is once it is open, so that nothing can be put in its
    place in between.
    """
    handle = os.open(path, os.O_RDONLY | getattr(os, "O_NONBLOCK", 0) | getattr(os, "O_BINARY", 0))
    try:
        told = os.fstat(handle)
        if not stat.S_ISREG(told.st_mode):
            code = errno.EISDIR if stat.S_ISDIR(told.st_mode) else errno.EINVAL
            raise OSError(code, os.strerror(code) if code == errno.EISDIR else "This is no regular file", str(path))
        data = _up_to(handle, limit + 1, told.st_size)
    finally:
        os.close(handle)
    if len(data) > limit:
        raise OSError(errno.EFBIG, os.strerror(errno.EFBIG), str(path))
    return data


def _up_to(handle: int, most: int, likely: int) -> bytes:
    """What a file holds, no more than `most` bytes of it; `likely` is how many it said it has."""
    data = b""
    while len(data) < most and (more := os.read(handle, min(most - len(data), max(likely, LEAST_READ)))):
        data += more
    return data


def fresh(path: Path) -> int:
    """A handle to write a file with, emptied; through no link that was laid there, and without waiting for a reader of a pipe."""
    flags = os.O_WRONLY | os.O_CREAT | os.O_TRUNC
    for name in ("O_NOFOLLOW", "O_NONBLOCK", "O_BINARY"):
        flags |= getattr(os, name, 0)
    return os.open(path, flags, 0o666)


def names_in(folder: Path) -> list[str]:
    """What a folder holds, sorted. Raises OSError where there is none, or it can't be read."""
    return sorted(os.listdir(folder))  # noqa: PTH208 - names, not paths


def why(error: Exception) -> str:
    """A disk's refusal in a few words."""
    return (getattr(error, "strerror", None) or str(error)).lower()


def sync_folder(folder: Path) -> None:
    """Make a rename durable where the system lets a folder be opened (not on Windows)."""
    try:
        handle = os.open(folder, os.O_RDONLY)
    except OSError:
        return
    try:
        os.fsync(handle)
    except OSError:
        pass
    finally:
        os.close(handle)


def _exchange(one: Path, other: Path) -> bool:
    """renameat2 with RENAME_EXCHANGE (Linux 3.15, glibc 2.28); False where it is missing or the file system refuses it."""
    import ctypes

    try:
        call = ctypes.CDLL(None, use_errno=True).renameat2
    except (OSError, AttributeError, TypeError):
        return False
    if call(AT_FDCWD, os.fsencode(one), AT_FDCWD, os.fsencode(other), RENAME_EXCHANGE) == 0:
        return True
    code = ctypes.get_errno()
    if code in (errno.EINVAL, errno.ENOSYS, errno.ENOTSUP):
        return False
    raise OSError(code, os.strerror(code), str(other))
