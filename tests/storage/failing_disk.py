"""A disk in memory that fails on purpose: killed processes, full disks, broken ones, power cuts, and a user who saves.

Every step of every call is a point at which something may happen. After a power cut, data that was not synced is any
beginning of itself, and changes to folders that were not synced happened or did not, each for itself.
"""

from __future__ import annotations

import errno
import random
from collections.abc import Callable
from dataclasses import dataclass, field

from logbook.storage.disk import RealDisk

KINDS = ("kill", "power", "full", "broken", "save", "save in place")


class Killed(BaseException):
    """The process is gone; what it had not caught yet never happens."""


@dataclass
class _Inode:
    data: bytes = b""
    durable: bytes = b""


@dataclass
class _Change:
    """A change to names: path → inode or None, in all its folders at once."""

    names: dict[str, int | None]

    @property
    def folders(self) -> set[str]:
        return {path.rpartition("/")[0] for path in self.names}


@dataclass
class FailingDisk:
    """`fault` happens at point `at`; `exchanges` says whether the system can swap two files."""

    draw: random.Random
    exchanges: bool = True
    fault: str = ""
    at: int = -1
    points: int = 0
    saves: dict[str, list[bytes]] = field(default_factory=dict)
    watched: tuple[str, ...] = ()
    also: tuple[int, ...] = ()
    _inodes: dict[int, _Inode] = field(default_factory=dict)
    _names: dict[str, int] = field(default_factory=dict)
    _durable: dict[str, int] = field(default_factory=dict)
    _pending: list[_Change] = field(default_factory=list)
    _full: bool = False

    # -- what tests do ---------------------------------------------------------------------------------------------

    def plant(self, path: str, data: bytes) -> None:
        """A file that has always been there."""
        number = self._new(data, data)
        self._names[path] = self._durable[path] = number

    def files(self) -> dict[str, bytes]:
        return {path: self._inodes[number].data for path, number in sorted(self._names.items())}

    def arm(self, fault: str, at: int, saves: tuple[int, ...] = ()) -> None:
        """The fault at one point; the user may save at others besides."""
        self.fault, self.at, self.points, self._full, self.also = fault, at, 0, False, saves

    def disarm(self) -> None:
        self.arm("", -1)

    def leads_to(self, path: str) -> str:
        return path

    def kind(self, path: str) -> str:
        if path in self._names:
            return "file"
        return "folder" if any(name.startswith(f"{path}/") for name in self._names) else ""

    # -- what happens --------------------------------------------------------------------------------------------------

    def _new(self, data: bytes, durable: bytes) -> int:
        number = len(self._inodes)
        self._inodes[number] = _Inode(data, durable)
        return number

    def _point(self, writes: bool = True) -> None:
        """One step; the fault strikes before it happens."""
        if self._full and writes:
            raise OSError(errno.ENOSPC, "No space left on device")
        if self.points in self.also:
            self._user_saves(in_place=False)
        if self.points == self.at:
            self.points += 1
            self._strike(writes)
            return
        self.points += 1

    def _strike(self, writes: bool) -> None:
        if self.fault == "kill":
            raise Killed
        if self.fault == "power":
            self._cut_power()
            raise Killed
        if self.fault == "full" and writes:
            self._full = True
            raise OSError(errno.ENOSPC, "No space left on device")
        if self.fault == "broken":
            raise OSError(errno.EIO, "Input/output error")
        if self.fault.startswith("save"):
            self._user_saves(in_place=self.fault == "save in place")

    def _user_saves(self, *, in_place: bool) -> None:
        """The user's editor writes a file whole: what is in it now, with a line more."""
        path = self.draw.choice([p for p in self.watched if p in self._names])
        line = f"# saved by hand {len(self.saves.get(path, []))}\n".encode()
        data = self._inodes[self._names[path]].data + line
        self.saves.setdefault(path, []).append(line)
        if in_place:
            inode = self._inodes[self._names[path]]
            inode.data = inode.durable = data
        else:
            number = self._new(data, data)
            self._names[path] = number
            self._flush({path.rpartition("/")[0]})
            self._durable[path] = number

    def _cut_power(self) -> None:
        for change in self._pending:
            if self.draw.random() < 0.5:
                self._apply(self._durable, change)
        self._pending.clear()
        self._names = dict(self._durable)
        for inode in self._inodes.values():
            if inode.data != inode.durable:
                inode.data = inode.data[: self.draw.randint(0, len(inode.data))]
                inode.durable = inode.data

    @staticmethod
    def _apply(names: dict[str, int], change: _Change) -> None:
        for path, number in change.names.items():
            if number is None:
                names.pop(path, None)
            else:
                names[path] = number

    def _do(self, names: dict[str, int | None]) -> None:
        change = _Change(names)
        self._apply(self._names, change)
        self._pending.append(change)

    def _flush(self, folders: set[str]) -> None:
        for change in [c for c in self._pending if c.folders & folders]:
            self._apply(self._durable, change)
            self._pending.remove(change)

    # -- the disk's calls ----------------------------------------------------------------------------------------------

    def read(self, path: str) -> bytes | None:
        self._point(writes=False)
        return self._inodes[self._names[path]].data if path in self._names else None

    def names(self, folder: str) -> list[str]:
        self._point(writes=False)
        start = f"{folder}/" if folder else ""
        return sorted(p[len(start) :] for p in self._names if p.startswith(start) and "/" not in p[len(start) :])

    def write(self, path: str, data: bytes, like: str = "") -> None:  # noqa: ARG002
        self._point()
        if path not in self._names:
            self._do({path: self._new(b"", b"")})
        inode = self._inodes[self._names[path]]
        inode.data = b""
        try:
            self._point()
        except OSError:
            inode.data = data[: self.draw.randint(0, len(data))]
            raise
        inode.data = data[: len(data) // 2]
        self._point()
        inode.data = data
        self._point()
        inode.durable = data

    def swap(self, one: str, other: str) -> bool:
        self._point()
        if not self.exchanges:
            return False
        if one not in self._names or other not in self._names:
            raise OSError(errno.ENOENT, "No such file or directory")
        self._do({one: self._names[other], other: self._names[one]})
        self._point()
        return True

    def rename(self, source: str, target: str) -> None:
        self._point()
        if source not in self._names:
            raise OSError(errno.ENOENT, "No such file or directory")
        self._do({source: None, target: self._names[source]})
        self._point()

    def link(self, source: str, target: str) -> None:
        self._point()
        if target not in self._names:
            self._do({target: self._names[source]})
            self._point()

    def unlink(self, path: str) -> None:
        self._point(writes=False)
        if path in self._names:
            self._do({path: None})
            self._point(writes=False)

    def sync_folder(self, folder: str) -> None:
        self._point(writes=False)
        self._flush({folder})


def survived(work: Callable[[], object]) -> bool:
    """Whether the process lived through it; a failing call of the disk is a message, not a death."""
    try:
        work()
    except Killed:
        return False
    except OSError:
        return True
    return True


class StrikingDisk(RealDisk):
    """The real disk with points like those above: at one of them `strike` happens, and after a death nothing does any more.

    The points are counted over all disks of a run, `changes` up to the last one before which something could still change;
    set them going with `reset`.
    """

    at = -1
    points = 0
    changes = 0
    dead = False
    strike: Callable[[], None] = staticmethod(lambda: None)

    @classmethod
    def reset(cls, at: int, strike: Callable[[], None]) -> None:
        cls.at, cls.points, cls.changes, cls.dead, cls.strike = at, 0, 0, False, staticmethod(strike)

    @classmethod
    def _point(cls) -> None:
        if cls.dead:
            raise Killed
        cls.points += 1
        if cls.points - 1 == cls.at:
            cls.strike()

    @classmethod
    def _changing(cls) -> None:
        cls._point()
        cls.changes = cls.points

    @classmethod
    def kill(cls) -> None:
        cls.dead = True
        raise Killed

    def read(self, path: str) -> bytes | None:
        self._point()
        return super().read(path)

    def write(self, path: str, data: bytes, like: str = "") -> None:
        self._changing()
        super().write(path, data[: len(data) // 2], like)
        self._changing()
        super().write(path, data, like)
        self._point()

    def swap(self, one: str, other: str) -> bool:
        self._changing()
        done = super().swap(one, other)
        self._point()
        return done

    def rename(self, source: str, target: str) -> None:
        self._changing()
        super().rename(source, target)
        self._point()

    def link(self, source: str, target: str) -> None:
        self._changing()
        super().link(source, target)
        self._point()

    def unlink(self, path: str) -> None:
        self._changing()
        super().unlink(path)
        self._point()
