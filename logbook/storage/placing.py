"""One file of a batch is brought to where the batch wants it, in one step, with an eye on whoever saves meanwhile.

What the new text displaced is looked at: if someone saved in between, theirs goes back and the entries are spliced into it
anew. No text that this tool did not write is ever unlinked; what can't be told apart is kept in `.journal/kept/`.
"""

from __future__ import annotations

import contextlib
import errno
import hashlib
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from .disk import Disk
from .journal import FOLDER, KEPT, Change, Hooks, Journal, NotNow

TRIES = 8
EDITED = "the file was edited since"
LEADS_OUT = "the file is a link that leads out of the collection"
_BATCHES_OWN = re.compile(r"\.(?P<name>.+)\.(?P<batch>\d{6}-\d{4}-\d{2}-\d{2}|\d+)\.(?:part|draft|old)")
_CREATED = re.compile(r"\.(?:.+\.(?:json|yaml)|README\.md|READ-ME-FIRST\.txt)\.part")


def put(disk: Disk, hooks: Hooks, journal: Journal, change: Change) -> None:
    """Bring one file to where the batch wants it; a link stays one, and what it leads to is written. Raises NotNow."""
    real = disk.leads_to(change.path)
    if real is None:
        raise NotNow(LEADS_OUT)
    change = replace(change, path=real)
    if change.kind == "picture":
        (_hang if journal.kind == "write" else _take_down)(disk, change, journal)
    elif change.kind != "new":
        _put_text(disk, hooks, journal, change)
    elif journal.kind == "write":
        _create(disk, change, journal)
    else:
        _withdraw(disk, change, journal)


def create_now(disk: Disk, path: str, data: bytes) -> None:
    """A new file in one step, never over another one. Raises FileExistsError, and OSError where the disk refuses."""
    folder, part = folder_of(path), beside(path, "part")
    try:
        disk.write(part, data)
        disk.link(part, path)
        disk.sync_folder(folder)
        stands = disk.read(path) == data
    except OSError:
        with contextlib.suppress(OSError):
            disk.unlink(part)
        raise
    disk.unlink(part)
    disk.sync_folder(folder)
    if not stands:
        raise FileExistsError(errno.EEXIST, "There is a file of this name already", path)


def sweep(disk: Disk, edited: Sequence[str], created: str, pictures: str) -> None:
    """See to half-written files that no open batch owns.

    In the folders `edited` (empty: the collection's own) they may hold what somebody saved, so they are kept aside; in the folders `created` and
    `pictures` they are ours alone.
    """
    still_open = {name.removesuffix(".json") for name in disk.names(FOLDER)}
    for folder in edited:
        for name in disk.names(folder):
            found = _BATCHES_OWN.fullmatch(name)
            if found and found["batch"] not in still_open:
                keep_aside(disk, f"{folder}/{name}".lstrip("/"), f"left-over-{found['name']}")
    for name in disk.names(pictures):
        found = _BATCHES_OWN.fullmatch(name)
        if found and found["batch"] not in still_open:
            disk.unlink(f"{pictures}/{name}")
    for name in disk.names(created):
        if _CREATED.fullmatch(name):
            disk.unlink(f"{created}/{name}")


def clear_planted(disk: Disk, folders: Sequence[str], known: Mapping[str, bytes] | None = None) -> None:
    """See to what `create_now` had not finished in these folders, when a collection was begun.

    What begins as the file itself does, there or in `known`, is ours and goes; anything else is kept aside.
    """
    for folder in folders:
        for name in disk.names(folder):
            if not _CREATED.fullmatch(name):
                continue
            lead = f"{folder}/" if folder else ""
            path = lead + name[1:].removesuffix(".part")
            whole = (known or {}).get(path) or disk.read(path) or b""
            if whole.startswith(disk.read(lead + name) or b""):
                disk.unlink(lead + name)
            else:
                keep_aside(disk, lead + name, f"left-over-{name[1:].removesuffix('.part')}")


def folder_of(path: str) -> str:
    """The folder part of a path; empty for a file at the top."""
    return path.rpartition("/")[0]


def beside(path: str, ending: str) -> str:
    """A hidden name beside a file."""
    folder, slash, name = path.rpartition("/")
    return f"{folder}{slash}.{name}.{ending}"


# -- a text that grows ---------------------------------------------------------------------------------------------


def _put_text(disk: Disk, hooks: Hooks, journal: Journal, change: Change) -> None:
    folder = folder_of(change.path)
    part = beside(change.path, f"{journal.id}.part")
    draft = beside(change.path, f"{journal.id}.draft")  # half-written texts have this name, whole ones the other
    disk.unlink(draft)
    _settle_leftover(disk, change, part, journal)
    for _ in range(TRIES):
        now = disk.read(change.path)
        if now is None:
            raise NotNow("the file is gone")
        new = _next_text(_decoded(now), hooks, journal, change)
        if new is None:
            disk.sync_folder(folder)
            return
        disk.write(draft, new.encode(), change.path)
        disk.rename(draft, part)
        if _placed(disk, part, change, now, new.encode(), journal):
            disk.sync_folder(folder)
            return
    raise NotNow("something else saves the file again and again")


def _next_text(text: str, hooks: Hooks, journal: Journal, change: Change) -> str | None:
    """What the file shall say instead of `text`; None where it says so already. Raises NotNow."""
    write = journal.kind == "write"
    if change.kind == "entries":
        return (hooks.put_in if write else hooks.take_out)(text, change)
    stood, wanted = (change.old, change.new) if write else (change.new, change.old)
    if text == wanted:
        return None
    if text != stood:
        raise NotNow(EDITED)
    return wanted


def _placed(disk: Disk, part: str, change: Change, now: bytes, new: bytes, journal: Journal) -> bool:
    """Exchange the new text for the old and look at what came out; put it back where it is not what was read."""
    path = change.path
    if not disk.swap(part, path):
        return _moved_in(disk, part, change, now, journal)
    if disk.read(part) == now:
        disk.unlink(part)
        return True
    disk.swap(part, path)
    if disk.read(part) == new:
        disk.unlink(part)
        return False
    disk.swap(part, path)  # saved once more in that instant: the later text stays, the earlier one is kept aside
    keep_aside(disk, part, _aside(change, journal))
    return False


def _moved_in(disk: Disk, part: str, change: Change, now: bytes, journal: Journal) -> bool:
    """Where two files can't be exchanged: the old one steps aside and is looked at, and the new one takes a free name only."""
    path, old = change.path, _old_name(part)
    disk.rename(path, old)
    if disk.read(old) != now:
        _back(disk, old, change, journal)
        disk.unlink(part)
        return False
    disk.link(part, path)
    disk.sync_folder(folder_of(path))  # the new name is safe before the old text goes
    if disk.read(path) == disk.read(part):
        disk.unlink(old)
        disk.unlink(part)
        return True
    keep_aside(disk, old, _aside(change, journal))  # someone saved under the free name
    disk.unlink(part)
    return False


def _back(disk: Disk, old: str, change: Change, journal: Journal) -> None:
    """A text that stepped aside takes its name again, unless somebody saved under it."""
    disk.link(old, change.path)
    disk.sync_folder(folder_of(change.path))
    if disk.read(change.path) == disk.read(old):
        disk.unlink(old)
    else:
        keep_aside(disk, old, _aside(change, journal))


def _old_name(part: str) -> str:
    return part.removesuffix(".part") + ".old"


def _settle_leftover(disk: Disk, change: Change, part: str, journal: Journal) -> None:
    """Files of a run that was cut short. Only texts that are known word for word go; all others go back or are kept aside."""
    _settle_old(disk, change, part, journal)
    left = disk.read(part)
    if left is None:
        return
    now, ours = disk.read(change.path), _ours(change, journal)
    if left in (change.old.encode(), change.new.encode()):
        disk.unlink(part)
    elif now == ours and disk.swap(part, change.path):  # saved by somebody just as our text went in: theirs goes back
        disk.sync_folder(folder_of(change.path))
        if disk.read(part) == ours:
            disk.unlink(part)
        else:
            keep_aside(disk, part, _aside(change, journal))
    else:
        keep_aside(disk, part, _aside(change, journal))


def _settle_old(disk: Disk, change: Change, part: str, journal: Journal) -> None:
    """The text that had stepped aside, where two files can't be exchanged."""
    old = _old_name(part)
    left = disk.read(old)
    if left is None:
        return
    now, ours = disk.read(change.path), _ours(change, journal)
    if now is None or now == left:
        _back(disk, old, change, journal)
    elif now != ours or left in (change.old.encode(), change.new.encode()):
        keep_aside(disk, old, _aside(change, journal))
    else:  # theirs stepped aside for ours: ours goes, and is made anew from theirs
        disk.unlink(part)
        disk.rename(change.path, part)
        if disk.read(part) == ours:
            disk.unlink(part)
        else:
            disk.link(part, change.path)
            keep_aside(disk, part, _aside(change, journal))
        _back(disk, old, change, journal)
    disk.sync_folder(folder_of(change.path))


def _ours(change: Change, journal: Journal) -> bytes:
    """What this batch makes of the file, where nobody else has a hand in it."""
    return (change.new if journal.kind == "write" else change.old).encode()


# -- a file that did not exist ---------------------------------------------------------------------------------------


def _create(disk: Disk, change: Change, journal: Journal) -> None:
    """The new file takes a free name only. Raises NotNow where another text stands there."""
    folder, new = folder_of(change.path), change.new.encode()
    part, draft = (beside(change.path, f"{journal.id}.{ending}") for ending in ("part", "draft"))
    disk.unlink(draft)
    now = disk.read(change.path)
    if now is None:
        disk.write(draft, new)
        disk.rename(draft, part)
        disk.link(part, change.path)
        now = disk.read(change.path)
    disk.sync_folder(folder)
    disk.unlink(part)  # it never holds any text but ours
    disk.sync_folder(folder)
    if now != new:
        raise NotNow("there is a file of this name already")


def _withdraw(disk: Disk, change: Change, journal: Journal) -> None:
    """The file goes, if it is still byte for byte what the batch made: it steps aside first, and is looked at there."""
    old, new, folder = beside(change.path, f"{journal.id}.old"), change.new.encode(), folder_of(change.path)
    left = disk.read(old)
    if left is None:
        now = disk.read(change.path)
        if now is None:
            disk.sync_folder(folder)
            return
        if now != new:
            raise NotNow(EDITED)
        disk.rename(change.path, old)
        left = disk.read(old)
    if left != new:
        _back(disk, old, change, journal)
        raise NotNow(EDITED)
    disk.sync_folder(folder)
    disk.unlink(old)
    disk.sync_folder(folder)


# -- a picture that did not exist ------------------------------------------------------------------------------------


def lay_beside(disk: Disk, journal: Journal, change: Change, data: bytes) -> None:
    """Write a picture's bytes beside its place, before the journal that names them. Raises NotNow where they are not those."""
    if sum_of(data) != change.new:
        raise NotNow("the picture is not the one that was planned")
    disk.write(beside(change.path, f"{journal.id}.part"), data)


def sum_of(data: bytes) -> str:
    """The SHA-256 of bytes, by which a picture is known."""
    return hashlib.sha256(data).hexdigest()


def _is(disk: Disk, path: str, change: Change) -> bool:
    data = disk.read(path)
    return data is not None and sum_of(data) == change.new


def _hang(disk: Disk, change: Change, journal: Journal) -> None:
    """The picture takes a free name only. Raises NotNow where another one stands there, or its bytes are gone."""
    part, folder = beside(change.path, f"{journal.id}.part"), folder_of(change.path)
    if _is(disk, part, change):
        disk.link(part, change.path)
    disk.sync_folder(folder)
    stands = _is(disk, change.path, change)
    disk.unlink(part)
    disk.sync_folder(folder)
    if not stands:
        there = disk.read(change.path) is not None
        raise NotNow("there is a file of this name already" if there else "its bytes are gone")


def _take_down(disk: Disk, change: Change, journal: Journal) -> None:
    """The picture goes, if it is still byte for byte what the batch made: it steps aside first, and is looked at there."""
    old, folder = beside(change.path, f"{journal.id}.old"), folder_of(change.path)
    if disk.read(old) is None:
        if disk.read(change.path) is None:
            disk.sync_folder(folder)
            return
        if not _is(disk, change.path, change):
            raise NotNow(EDITED)
        disk.rename(change.path, old)
    if not _is(disk, old, change):
        _back(disk, old, change, journal)
        raise NotNow(EDITED)
    disk.sync_folder(folder)
    disk.unlink(old)
    disk.sync_folder(folder)


# -- what nobody can place -----------------------------------------------------------------------------------------


def _aside(change: Change, journal: Journal) -> str:
    return f"{journal.id}-{change.path.rpartition('/')[2]}"


def keep_aside(disk: Disk, part: str, name: str) -> str:
    """Move a file that nobody can place into `.journal/kept/`, under a name that is free, and say which."""
    taken, number = set(disk.names(KEPT)), 2
    free = name
    while free in taken:
        free, number = f"{name}.{number}", number + 1
    disk.sync_folder(folder_of(part))  # what led here is safe first: else a power cut could bring the name back
    disk.rename(part, f"{KEPT}/{free}")
    disk.sync_folder(KEPT)
    return free


def _decoded(data: bytes) -> str:
    try:
        return data.decode("utf-8")
    except UnicodeDecodeError:
        raise NotNow("the file is not UTF-8 text") from None
