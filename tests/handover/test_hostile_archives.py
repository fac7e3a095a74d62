"""Archives that mean harm: refused in bounded time and memory, with a sentence, and nothing is written anywhere.

Kinds of archives: APPNOTE.TXT 6.3; overlapping members after Fifield, "A better zip bomb", WOOT 2019.
"""

from __future__ import annotations

import io
import json
import stat
import struct
import time
import tracemalloc
import warnings
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from logbook.storage import zipped

from ..conftest import Answer, make_collection, snapshot

Bench = Callable[..., Answer]
TREE = b'tag: "014"\nspecies: Acer palmatum\nlog:\n  - {date: 2025-07-01, photo: photos/a.jpg}\n'
MANIFEST = {"format": 1, "garden": "Hill", "tag": "014", "units": "metric", "southern": False, "photos": {}}
LONGEST_SECONDS, MOST_MEMORY = 20.0, 450_000_000


def picture(side: int = 40) -> bytes:
    out = io.BytesIO()
    Image.new("RGB", (side, side), "green").save(out, "JPEG")
    return out.getvalue()


def archive(members: dict[str, bytes] | None = None, *, photos: dict[str, str] | None = None, **more: bytes) -> bytes:
    """A sound one, with other members in it or in the place of some."""
    said = {**MANIFEST, "photos": {"photos/a.jpg": "photos/a.jpg"} if photos is None else photos}
    files = {"tree.yaml": TREE, "manifest.json": json.dumps(said).encode(), "photos/a.jpg": picture()}
    files |= {name.replace("__", "."): data for name, data in more.items()} | (members or {})
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as made:
        for name, data in files.items():
            made.writestr(name, data)
    return out.getvalue()


def with_info(change: Callable[[zipfile.ZipInfo], None], data: bytes = b"x", name: str = "extra.txt") -> bytes:
    out = io.BytesIO(archive())
    info = zipfile.ZipInfo(name)
    change(info)
    with zipfile.ZipFile(out, "a") as made:
        made.writestr(info, data)
    return out.getvalue()


def _unchanged(info: zipfile.ZipInfo) -> None:
    """Leave the name alone."""
    assert info.filename


def of_kind(kind: int) -> bytes:
    def change(info: zipfile.ZipInfo) -> None:
        info.create_system, info.external_attr = 3, (kind | 0o777) << 16

    return with_info(change, b"/etc/passwd")


def twice() -> bytes:
    out = io.BytesIO(archive())
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        with zipfile.ZipFile(out, "a") as made:
            made.writestr("tree.yaml", b"tag: 099\nspecies: Acer palmatum\nlog: []\n")
    return out.getvalue()


def locked() -> bytes:
    raw = bytearray(archive())
    for head, at in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        found = raw.find(head)
        while found >= 0:
            raw[found + at] |= 1
            found = raw.find(head, found + 4)
    return bytes(raw)


def overlapping() -> bytes:
    """Two entries of the directory that point to one member's bytes."""
    raw = archive()
    end = raw.rfind(b"PK\x05\x06")
    size, start = struct.unpack("<LL", raw[end + 12 : end + 20])
    directory = raw[start : start + size]
    record = directory[: 46 + len("tree.yaml")].replace(b"tree.yaml", b"tree.yamm")
    tail = struct.pack("<4s4H2LH", b"PK\x05\x06", 0, 0, 4, 4, size + len(record), start, 0)
    return raw[:start] + directory + record + tail


def lying(size: int) -> bytes:
    """A member that says it is this long."""
    raw = bytearray(archive())
    for head, at in ((b"PK\x03\x04", 22), (b"PK\x01\x02", 24)):
        found = raw.find(head)
        raw[found + at : found + at + 4] = struct.pack("<L", size)
    return bytes(raw)


def not_utf8() -> bytes:
    raw = archive({"photos/zz.jpg": picture()})
    return raw.replace(b"photos/zz.jpg", b"photos/\xff\xfe.jpg")


def many() -> bytes:
    return archive({f"photos/{n}.jpg": b"" for n in range(10_000)})


def end_64() -> bytes:
    raw = archive()
    return raw[:-22] + struct.pack("<4sLQL", b"PK\x06\x07", 0, 0, 1) + raw[-22:]


def png_bomb(side: int = 60_000) -> bytes:
    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    head = struct.pack(">IIBBBBB", side, side, 8, 2, 0, 0, 0)
    return (
        b"\x89PNG\r\n\x1a\n"
        + chunk(b"IHDR", head)
        + chunk(b"IDAT", zlib.compress(bytes(9_000)))
        + chunk(b"IEND", b"")
    )


def aliases() -> bytes:
    rows = "\n".join(f"x-{n}: &a{n} [{', '.join([f'*a{n - 1}'] * 9) if n else 'lol'}]" for n in range(12))
    return f'tag: "014"\nspecies: Acer palmatum\n{rows}\nlog: []\n'.encode()


def noise(count: int) -> bytes:
    return np.random.default_rng(1).bytes(count)


HOSTILE: dict[str, Callable[[], bytes]] = {
    "a way out": lambda: archive({"../../trees/099.yaml": TREE}),
    "a way out by backslashes": lambda: archive({"..\\..\\trees\\099.yaml": TREE}),
    "an absolute name": lambda: archive({"/etc/cron.d/x": b"x"}),
    "a drive": lambda: archive({"C:/x.txt": b"x"}),
    "a hidden way": lambda: archive({"photos/./a2.jpg": picture()}),
    "a deep folder": lambda: archive({"a/b/c/d/e.txt": b"x"}),
    "a NUL in a name": lambda: with_info(_unchanged, name="ab.txt").replace(b"ab.txt", b"a\0.txt"),
    "turned words in a name": lambda: archive({"photos/\u202egpj.exe": b"x"}),
    "a link": lambda: of_kind(stat.S_IFLNK),
    "a device": lambda: of_kind(stat.S_IFCHR),
    "a pipe": lambda: of_kind(stat.S_IFIFO),
    "a socket": lambda: of_kind(stat.S_IFSOCK),
    "a name twice": twice,
    "a name in two cases": lambda: archive({"TREE.yaml": TREE}),
    "locked": locked,
    "one over another": overlapping,
    "longer than it says": lambda: lying(3),
    "shorter than it says": lambda: lying(3_000),
    "names in no UTF-8": not_utf8,
    "ten thousand members": many,
    "an end of 64 bits": end_64,
    "a bomb of zeros": lambda: archive(tree__yaml=bytes(150_000_000)),
    "bombs beside it": lambda: archive({f"{n}.txt": bytes(90_000_000) for n in range(2)}),
    "packed by lzma": lambda: with_info(lambda info: setattr(info, "compress_type", zipfile.ZIP_LZMA), bytes(999)),
    "an archive for a tree": lambda: archive(tree__yaml=archive()),
    "an archive for a picture": lambda: archive({"photos/a.jpg": archive()}),
    "a picture of 3.6 gigapixels": lambda: archive({"photos/a.jpg": png_bomb()}),
    "a large picture": lambda: archive({"photos/a.jpg": picture(3_000)}),
    "no picture": lambda: archive({"photos/a.jpg": b"#!/bin/sh"}),
    "a picture that is missing": lambda: archive(photos={"photos/a.jpg": "photos/b.jpg"}),
    "a picture that leads elsewhere": lambda: archive(photos={"photos/a.jpg": "../../collection.yaml"}),
    "a tree for a picture": lambda: archive(photos={"photos/a.jpg": "tree.yaml"}),
    "wrong YAML": lambda: archive(tree__yaml=b"tag: [1,\n  log: }"),
    "YAML that builds things": lambda: archive(tree__yaml=b"tag: !!python/object/apply:os.system [id]\nlog: []\n"),
    "huge YAML": lambda: archive(tree__yaml=b"log:\n" + noise(3_000_000).hex().encode()),
    "many nodes": lambda: archive(
        tree__yaml=b"tag: '014'\nspecies: Acer palmatum\nlog: [" + b"{}, " * 900_000 + b"]\n"
    ),
    "deep YAML": lambda: archive(tree__yaml=b"log: " + b"[" * 100_000),
    "laughing aliases": lambda: archive(tree__yaml=aliases()),
    "no UTF-8": lambda: archive(tree__yaml=b"tag: '014'\nname: \xff\xfe\nlog: []\n"),
    "another thing than a tree": lambda: archive(tree__yaml=b"format: 1\ntitle: x\n"),
    "an unknown work": lambda: archive(tree__yaml=TREE + b"  - {date: 2025-07-02, work: blessing}\n"),
    "no manifest": lambda: archive(manifest__json=b""),
    "a deep manifest": lambda: archive(manifest__json=b"[" * 200_000),
    "a manifest of other things": lambda: archive(manifest__json=b'{"format": 1, "garden": 3}'),
    "no archive": lambda: b"tag: 014\n",
    "nothing": lambda: b"",
    "cut short": lambda: archive()[:-30],
    "the end alone": lambda: b"PK\x05\x06" + bytes(18),
    "noise with an end": lambda: noise(5_000) + archive()[-22:],
    "a comment behind it": lambda: archive()[:-2] + b"\x05\0hello",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_it_is_refused(name: str, bench: Bench, tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c", {"003": 'tag: "003"\nspecies: Acer palmatum\nlog: []\n'})
    file = tmp_path / "014.zip"
    file.write_bytes(HOSTILE[name]())
    before = snapshot(tmp_path)
    tracemalloc.start()
    begun = time.process_time()
    told = bench("add", "--handover", file, "--yes", "--today", "2027-05-02", folder=folder)
    spent, (_, most) = time.process_time() - begun, tracemalloc.get_traced_memory()
    tracemalloc.stop()
    assert told.code == 1 and "error:" in told.err, told.all
    assert "fault of its own" not in told.err and len(told.err) < 4_000
    assert "\u202e" not in told.err and "\0" not in told.err
    after = {path: data for path, data in snapshot(tmp_path).items() if not path.endswith(".lock")}
    assert after == {path: data for path, data in before.items() if not path.endswith(".lock")}
    assert spent < LONGEST_SECONDS and most < MOST_MEMORY, (spent, most)


def test_a_sound_one_is_taken(bench: Bench, tmp_path: Path) -> None:
    """The frame of all these is sound: what is refused above is refused for what was done to it."""
    folder = make_collection(tmp_path / "c", {})
    file = tmp_path / "014.zip"
    file.write_bytes(archive())
    told = bench("add", "--handover", file, "--yes", "--today", "2027-05-02", folder=folder)
    assert told.code == 0 and (folder / "photos/001-2025-07-01-a.jpg").is_file(), told.all


def test_a_photo_that_leads_out_is_a_name_in_photos(bench: Bench, tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c", {})
    file = tmp_path / "014.zip"
    file.write_bytes(archive(tree__yaml=TREE.replace(b"photos/a.jpg", b"../../x.jpg")))
    assert bench("add", "--handover", file, "--yes", "--today", "2027-05-02", folder=folder).code == 0
    assert "photo: photos/not-handed-over/x.jpg" in (folder / "trees/001.yaml").read_text()


def test_what_is_made_is_opened() -> None:
    from datetime import date

    files = {"tree.yaml": b"a", "photos/014-2025-07-01-a.jpg": noise(2_000_000), "zeros.txt": bytes(900_000)}
    found = zipped.archive_in(zipped.zipped(files, date(2027, 5, 2)), "x")
    assert {name: found.read(name, 3_000_000) for name in found.sizes} == files
