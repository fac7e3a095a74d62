"""The register of hostile cases: how each is made, what is run on it, and what has to be answered.

`says` are pieces of what is shown, `code` is the exit code (0 done, 1 problems, 2 usage, 3 a question), `writes` whether trees
may change, `makes` what may lie beside the collection afterwards. Words may name `{c}`, the collection, and `{home}`, its parent.
"""

from __future__ import annotations

import io
import json
import os
import socket
import struct
import zipfile
import zlib
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

TREE = 'tag: "001"\nspecies: Acer palmatum\nlog:\n  - {date: 2026-01-10, note: before}\n'
SETTINGS = "format: 1\ntitle: Test\n"
DAY = ("--today", "2026-11-20")
Make = Callable[[Path], object]


@dataclass(frozen=True)
class Case:
    make: Make
    words: tuple[str, ...]
    code: int
    says: tuple[str, ...] = ()
    never: tuple[str, ...] = ()
    writes: bool = False
    makes: tuple[str, ...] = ()


def collection(folder: Path) -> Path:
    """Three sound trees."""
    (folder / "trees").mkdir(parents=True)
    (folder / "collection.yaml").write_text(SETTINGS)
    for n in (1, 2, 3):
        (folder / f"trees/00{n}.yaml").write_text(TREE.replace("001", f"00{n}"))
    return folder


def nothing(_c: Path) -> None:
    """The sound collection itself."""


def put(path: str, text: str | bytes | Callable[[], bytes]) -> Make:
    """A file of these words, which may be made when they are wanted."""

    def make(c: Path) -> None:
        (c / path).parent.mkdir(parents=True, exist_ok=True)
        data = text() if callable(text) else text
        (c / path).write_bytes(data if isinstance(data, bytes) else data.encode("utf-8", "surrogateescape"))

    return make


def fifo(path: str) -> Make:
    def make(c: Path) -> None:
        (c / path).parent.mkdir(parents=True, exist_ok=True)
        os.mkfifo(c / path)

    return make


def folder(path: str) -> Make:
    return lambda c: (c / path).mkdir(parents=True)


def link(path: str, to: str) -> Make:
    def make(c: Path) -> None:
        (c / path).parent.mkdir(parents=True, exist_ok=True)
        (c / path).unlink(missing_ok=True)
        (c / path).symlink_to(to)

    return make


def all_of(*makes: Make) -> Make:
    return lambda c: [make(c) for make in makes]


def no_trees(c: Path) -> None:
    for path in (c / "trees").iterdir():
        path.unlink()
    (c / "trees").rmdir()


def a_socket(c: Path) -> None:
    here = Path.cwd()
    os.chdir(c / "trees")  # a socket's path has room for a hundred characters only
    try:
        with socket.socket(socket.AF_UNIX) as made:
            made.bind("004.yaml")
    finally:
        os.chdir(here)


def sparse(path: str, size: int) -> Make:
    def make(c: Path) -> None:
        with (c / path).open("wb") as file:
            file.truncate(size)

    return make


def known_trees(*tags: str) -> Make:
    return put(".journal/known-trees", json.dumps({"format": 1, "trees": [f"{tag}.yaml" for tag in tags]}))


def tree(extra: str, tag: str = "004") -> Make:
    """One tree more, with these keys before its log."""
    return put(
        "trees/004.yaml", f'tag: "{tag}"\nspecies: Acer palmatum\n{extra}log:\n  - {{date: 2026-01-10, note: b}}\n'
    )


def logged(entry: str) -> Make:
    return put("trees/004.yaml", f'tag: "004"\nspecies: Acer palmatum\nlog:\n  - {entry}\n')


def settings(extra: str) -> Make:
    return put("collection.yaml", SETTINGS + extra)


def png(wide: int, high: int, channels: int = 4) -> bytes:
    """A picture of nothing, small as a file; a large one breaks off behind its first row."""

    def chunk(kind: bytes, data: bytes) -> bytes:
        return struct.pack(">I", len(data)) + kind + data + struct.pack(">I", zlib.crc32(kind + data))

    rows = high if wide * high < 1_000_000 else 1  # of a large one the head alone says how large it is
    data = zlib.compress(bytes(1 + wide * channels) * rows, 9)
    head = struct.pack(">IIBBBBB", wide, high, 8, 6 if channels == 4 else 2, 0, 0, 0)
    return b"\x89PNG\r\n\x1a\n" + chunk(b"IHDR", head) + chunk(b"IDAT", data) + chunk(b"IEND", b"")


def xlsx_bomb() -> bytes:
    """A spreadsheet whose words unfold to 120 MB."""
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as file:
        file.writestr(
            "[Content_Types].xml", '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"/>'
        )
        with file.open("xl/sharedStrings.xml", "w") as part:
            for _ in range(120):
                part.write(b" " * 1_000_000)
    return out.getvalue()


def pdf_bomb() -> bytes:
    """A form whose fields lie in a stream that unfolds to 1 GB."""
    packed = zlib.compressobj(9)
    first = packed.compress(bytes(1_000_000)) + packed.flush(zlib.Z_FULL_FLUSH)
    again = packed.compress(bytes(1_000_000)) + packed.flush(zlib.Z_FULL_FLUSH)
    data = first + again * 1000  # blocks that stand alone: no need to pack a gigabyte
    return (
        b"%PDF-1.5\n1 0 obj<</Type/ObjStm/N 1/First 5/Filter/FlateDecode/Length "
        + str(len(data)).encode() + b">>stream\n" + data + b"\nendstream endobj\n"
        b"trailer<</Root 1 0 R>>\nstartxref\n0\n%%EOF\n"
    )  # fmt: skip


def journal(**said: object) -> Make:
    """An open batch as a synced folder may bring it, sums and all."""
    import hashlib

    def sha(text: object) -> str:
        return hashlib.sha256(str(text).encode()).hexdigest()

    change = {"kind": "new", "path": "trees/009.yaml", "old": "", "new": "forged\n", "entries": [], "keys": {}}
    change |= {key: value for key, value in said.items() if key in (*change, "amends")}
    change |= {"old_sha256": sha(change["old"]), "new_sha256": sha(change["new"])}
    whole = {"format": 2, "id": "000009-2026-01-01", "day": "2026-01-01", "kind": "write", "notes": "", "of": ""}
    whole |= {"files": [change], "fates": []} | {k: v for k, v in said.items() if k not in change}
    return put(".journal/000009-2026-01-01.json", json.dumps(whole))


SHEET = {
    "serial": "55553-5",
    "day": "2026-10-01",
    "layout": "pocket-a6",
    "version": 1,
    "units": "metric",
    "tags": ["001"],
    "lines": 12,
}


def record(shapes: object = (), name: str = "2026-10-01-55553-5.json", **said: object) -> Make:
    """A record of a printed sheet with a hash that holds."""
    import hashlib

    run = {"shapes": list(shapes) if isinstance(shapes, tuple) else shapes, "sheets": [SHEET | said]}
    text = json.dumps(run, ensure_ascii=True, sort_keys=True, separators=(",", ":"))
    return put(f"printed/{name}", json.dumps({"format": 2, **run, "hash": hashlib.sha256(text.encode()).hexdigest()}))


CHECK, DUE = ("check",), ("due", *DAY)
ADD = ("add", "009", "--species", "Acer palmatum", *DAY)
DRAFT = ("sheets", "--draft", "-o", "{home}/s.pdf", *DAY)
NOT_REGULAR, NO_TREES = "no regular file", "folder of trees is not there"
DAMAGED, ASIDE = "record of printed sheets is damaged", ".journal/kept/000009-2026-01-01.json"
OWN, NOT_OURS = "a place of the collection's own files", "was not made by this command"
SEEN = ("{home}/c/given",)


def reconcile(*more: str) -> tuple[str, ...]:
    return ("reconcile", "{c}/given", "--yes", *DAY, *more)


def given(data: str | bytes | Callable[[], bytes]) -> Make:
    return put("given", data)


READING = {
    "no trees: check": Case(no_trees, CHECK, 1, (NO_TREES,)),
    "no trees: due": Case(no_trees, DUE, 1, (NO_TREES,)),
    "no trees: add": Case(no_trees, ADD, 1, (NO_TREES,)),
    "no trees: spare tags": Case(no_trees, ("tags", "--spare", "2", "-o", "{home}/t.pdf"), 1, (NO_TREES,)),
    "no trees: walk": Case(no_trees, ("walk", "-o", "{home}/w.pdf", *DAY), 1, (NO_TREES,)),
    "no trees: find": Case(no_trees, ("find", "001"), 1, (NO_TREES,)),
    "trees is a file": Case(all_of(no_trees, put("trees", "x")), CHECK, 1, ("not a directory",)),
    "trees is a link in a circle": Case(all_of(no_trees, link("trees", "trees")), CHECK, 1, ("symbolic links",)),
    "trees is a link to nowhere": Case(all_of(no_trees, link("trees", "gone")), CHECK, 1, (NO_TREES,)),
    "most trees are gone: check": Case(known_trees(*(f"{n:03d}" for n in range(1, 9))), CHECK, 1, ("5 of 8 trees",)),
    "most trees are gone: add": Case(known_trees(*(f"{n:03d}" for n in range(1, 9))), ADD, 1, ("5 of 8 trees",)),
    "one tree is gone": Case(
        known_trees("001", "002", "003", "004"), CHECK, 0, ("not there any more: trees/004.yaml",)
    ),
    "one tree is gone: told by a run that writes": Case(
        known_trees("001", "002", "003", "004"), ADD, 0, ("not there any more",), writes=True
    ),
    "names of trees on record are forged": Case(
        put(".journal/known-trees", '{"trees": ["../../etc/passwd", 7]}'), CHECK, 0
    ),
    "names of trees on record are a pipe": Case(fifo(".journal/known-trees"), CHECK, 0),
    "a tree is a pipe": Case(
        fifo("trees/004.yaml"), CHECK, 1, (f"trees/004.yaml: error: the file can't be read: this is {NOT_REGULAR}",)
    ),
    "a tree is a pipe: paper": Case(
        fifo("trees/004.yaml"), DRAFT, 1, (NOT_REGULAR, "3 record sheets"), makes=("s.pdf",)
    ),
    "a tree is a device": Case(link("trees/004.yaml", "/dev/zero"), CHECK, 1, (NOT_REGULAR,)),
    "a tree is a terminal": Case(link("trees/004.yaml", "/dev/tty"), CHECK, 1, ("trees/004.yaml: error",)),
    "a tree is a socket": Case(a_socket, CHECK, 1, ("trees/004.yaml: error",)),
    "a tree is a folder": Case(folder("trees/004.yaml"), CHECK, 1, ("is a directory",)),
    "a tree is a link to nowhere": Case(link("trees/004.yaml", "gone"), CHECK, 1, ("no such file",)),
    "a tree is a link to itself": Case(link("trees/004.yaml", "004.yaml"), CHECK, 1, ("symbolic links",)),
    "a tree of ten gigabytes": Case(sparse("trees/004.yaml", 10_000_000_000), CHECK, 1, ("larger than",)),
    "files of editors and syncing programs": Case(
        all_of(
            put("trees/._004.yaml", "\x00"), link("trees/.#004.yaml", "me@host"), put("trees/.004.yaml.swp", b"\xff")
        ),
        CHECK,
        0,
        ("1 warning in 1 of 4 files",),
    ),
    "a file that ends in .yml": Case(put("trees/004.yml", "x"), CHECK, 0, ("rename it to 004.yaml",)),
    "bytes that are no text": Case(put("trees/004.yaml", b"\x00\x01\xff"), CHECK, 1, ("trees/004.yaml:1",)),
    "UTF-16": Case(put("trees/004.yaml", TREE.encode("utf-16")), CHECK, 1, ("is not UTF-8",)),
    "an empty tree": Case(put("trees/004.yaml", ""), CHECK, 1, ("the file is empty",)),
    "half a character in a file's name": Case(put("trees/\udcff.yaml", TREE), CHECK, 1, ("trees/",)),
    "a steering file's name": Case(put("trees/\x1b[2J.yaml", "x"), CHECK, 1, ("\\x1b[2J.yaml",)),
    "a tree written through a link inside": Case(
        all_of(
            put("kept/004.yaml", TREE.replace("001", "004")),
            link("trees/004.yaml", "../kept/004.yaml"),
            given("tree 004\n14 oct moss red\n"),
        ),
        reconcile(),
        0,
        ("wrote 1 entry",),
    ),
    "a tree that is a link leading out": Case(
        all_of(
            put("../outside/004.yaml", TREE.replace("001", "004")),
            link("trees/004.yaml", "../../outside/004.yaml"),
            given("tree 004\n14 oct moss red\n"),
        ),
        reconcile(),
        1,
        ("a link that leads out of the collection",),
    ),
    "settings are a pipe": Case(
        all_of(lambda c: (c / "collection.yaml").unlink(), fifo("collection.yaml")), CHECK, 1, (NOT_REGULAR,)
    ),
    "settings are a folder": Case(
        all_of(lambda c: (c / "collection.yaml").unlink(), folder("collection.yaml")), CHECK, 1, ("is a directory",)
    ),
    "weather is a pipe": Case(fifo("weather/2026.csv"), CHECK, 0, (NOT_REGULAR,)),
    "weather is a file": Case(put("weather", "x"), CHECK, 0, ("can't be read: not a directory",)),
    "weather is garbage": Case(put("weather/2026.csv", bytes(range(256)) * 50), CHECK, 0, ("weather/2026.csv",)),
    "weather of absurd numbers": Case(
        put("weather/2026.csv", "date,tmin,tmax\n2026-01-01,1e999,nan\n2026-13-45,1,2\n"),
        CHECK,
        0,
        ("weather/2026.csv:2",),
    ),
}

BOMB = "x-a0: &a0 [1, 1]\n" + "".join(f"x-a{n}: &a{n} [*a{n - 1}, *a{n - 1}]\n" for n in range(1, 45))
TEXTS = {
    "four thousand aliases on a line": Case(tree("x-a: &a 1\nx-b: [" + "*z, " * 4_000 + "]\n"), CHECK, 1, ("trees/004.yaml:4", "more like these")),
    "forty thousand aliases on a line": Case(tree("x-a: &a 1\nx-b: [" + "*z, " * 40_000 + "]\n"), CHECK, 1, ("trees/004.yaml:4",)),
    "aliases of aliases": Case(tree(BOMB), CHECK, 1, ("more than 50 aliases",)),
    "a hundred thousand brackets": Case(tree("x-a: " + "[" * 100_000 + "\n"), CHECK, 1, ("nested more than",)),
    "a million keys given twice": Case(tree("name: a\n" * 100_000), CHECK, 1, ("given twice",)),
    "a python object": Case(tree("x-a: !!python/object/apply:os.system [touch {home}/run]\n"), CHECK, 1, ("YAML tag",)),
    "a merge of itself": Case(tree("x-a: &a {<<: *a}\n"), CHECK, 1, ("inside itself",)),
    "a line of five megabytes": Case(tree("x-a: " + "a" * 5_000_000 + "\n"), CHECK, 1, ("larger than",)),
    "a value that is a megabyte long": Case(tree("stage: " + "a" * 900_000 + "\n"), CHECK, 1, ("trees/004.yaml:3",)),
    "an escape in a name": Case(tree('name: "a\\e[2Jb"\n'), CHECK, 1, ("U+001B",)),
    "an escape of one code in a name": Case(tree('name: "a\\x9b2Jb"\n'), CHECK, 1, ("U+009B",)),
    "a forged line in a name: history": Case(tree('name: "oak\\nno problems in 9 files"\n'), ("history", "004"), 0, (), ("\nno problems in 9 files",)),
    "a forged line in a name: due": Case(tree('name: "oak\\n001  forged"\n'), DUE, 0, (), ("\n001  forged",)),
    "a name that is read backwards": Case(tree('name: "oak \u202e eert"\n'), ("history", "004"), 0, ("\\u202e",)),
    "a name that is read backwards: data": Case(tree('name: "oak \u202e eert"\n'), ("due", "--json", *DAY), 0, ("\\u202e",)),
    "a tag of two lines": Case(tree("", '0\\n1'), CHECK, 1, ("trees/004.yaml:1",)),
    "a tag that is a path": Case(tree("", "../../004"), CHECK, 1, ("trees/004.yaml:1",)),
    "days that are none": Case(logged("{date: 9999-99-99, note: x}"), CHECK, 1, ("trees/004.yaml:4",)),
    "the last year there is": Case(logged("{date: 9999-12-31, note: x}"), DUE, 1, ("no year a tree\'s record can hold",)),
    "the year nought": Case(logged("{date: 0000-01-01, note: x}"), CHECK, 1, ("trees/004.yaml:4",)),
    "a number of five thousand digits": Case(logged(f"{{date: 2026-01-01, trunk: {'9' * 5000}}}"), CHECK, 1, ("trees/004.yaml:4",)),
    "numbers that are none": Case(logged("{date: 2026-01-01, trunk: .nan}"), CHECK, 1, ("trees/004.yaml:4",)),
    "a number without end": Case(logged("{date: 2026-01-01, trunk: 1e999}"), CHECK, 1, ("trees/004.yaml:4",)),
    "thirty thousand entries": Case(put("trees/004.yaml", 'tag: "004"\nspecies: Acer palmatum\nlog:\n' + "  - {date: 2020, note: n}\n" * 30_000), CHECK, 0),
    "a link that runs": Case(settings('link: "javascript:alert({tag})"\n'), CHECK, 1, ("would run something",)),
    "a link that runs, in another case": Case(settings('link: " JaVaScRiPt:alert({tag})"\n'), CHECK, 1, ("would run something",)),
    "a link with its content": Case(settings('link: "data:text/html,{tag}"\n'), CHECK, 1, ("would run something",)),
    "a link of two lines": Case(settings('link: "https://a.example/\\r\\nSet-Cookie: {tag}"\n'), CHECK, 1, ("no address has",)),
    "a link with a slip": Case(settings("link: https://a.example/{fiel}\n"), CHECK, 1, ("no place named '{fiel}'",)),
    "a link with a slip beside a place": Case(settings("link: https://a.example/{fiel}/{tag}\n"), CHECK, 1, ("no place named '{fiel}'",)),
    "a title that steers": Case(put("collection.yaml", 'format: 1\ntitle: "a\\e]0;b\\a"\n'), CHECK, 1, ("U+001B",)),
    "a latitude that is none": Case(settings("site: {latitude: .nan}\n"), CHECK, 1, ("collection.yaml:3",)),
    "settings of aliases": Case(settings(BOMB), CHECK, 1, ("collection.yaml",)),
    "own works without end": Case(settings("works:\n" + "".join(f"  w{n}: {{}}\n" for n in range(3_000))), CHECK, 1, ("collection.yaml",)),
    "a photo outside: check": Case(logged("{date: 2026-01-01, photo: ../outside/precious.txt}"), CHECK, 1, ("outside the collection",)),
    "a photo outside: paper": Case(logged("{date: 2026-01-01, photo: /etc/passwd}"), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("outside the collection",), makes=("d.pdf",)),
    "a photo by a link outside": Case(all_of(link("photos/a.png", "../../outside/precious.txt"), logged("{date: 2026-01-01, photo: photos/a.png}")), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("outside the collection",), makes=("d.pdf",)),
    "a photo that is a pipe": Case(all_of(fifo("photos/a.png"), logged("{date: 2026-01-01, photo: photos/a.png}")), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("can't be read as a picture",), makes=("d.pdf",)),
    "a photo of 225 million pixels in a megabyte": Case(all_of(put("photos/a.png", lambda: png(15_000, 15_000)), logged("{date: 2026-01-01, photo: photos/a.png}")), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("too large to print",), makes=("d.pdf",)),
    "a photo of 64 million pixels": Case(all_of(put("photos/a.png", lambda: png(8_000, 8_000)), logged("{date: 2026-01-01, photo: photos/a.png}")), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("8000 × 8000 pixels",), makes=("d.pdf",)),
    "half a photo": Case(all_of(put("photos/a.png", png(300, 300)[:200]), logged("{date: 2026-01-01, photo: photos/a.png}")), ("dossier", "004", "-o", "{home}/d.pdf", *DAY), 1, ("can't be read as a picture",), makes=("d.pdf",)),
}  # fmt: skip

RECORDS = {
    "a batch is garbage": Case(put(".journal/000009-2026-01-01.json", "{"), ADD, 0, (ASIDE, "added 1 tree"), writes=True),
    "a batch is a pipe": Case(fifo(".journal/000009-2026-01-01.json"), ADD, 0, (ASIDE,), writes=True),
    "a batch is a folder": Case(folder(".journal/000009-2026-01-01.json"), ADD, 0, (ASIDE,), writes=True),
    "a batch is nested deep": Case(put(".journal/000009-2026-01-01.json", "[" * 200_000), ADD, 0, (ASIDE,), writes=True),
    "a batch writes outside": Case(journal(path="trees/../../outside/precious.txt"), ADD, 0, (ASIDE,), writes=True),
    "a batch writes to a whole path": Case(journal(path="/tmp/forged"), ADD, 0, (ASIDE,), writes=True),
    "a batch writes to the batches": Case(journal(path=".journal/done/x.json"), ADD, 0, (ASIDE,), writes=True),
    "a batch writes anew over a tree": Case(journal(kind="text", path="trees/001.yaml"), ADD, 0, (ASIDE,), writes=True),
    "a batch of numbers": Case(journal(day=7), ADD, 0, (ASIDE,), writes=True),
    "a batch whose files are a mapping": Case(journal(files={"a": 1}), ADD, 0, (ASIDE,), writes=True),
    "a batch of notes elsewhere": Case(journal(notes="../outside/precious.txt"), ADD, 0, (ASIDE,), writes=True),
    "a batch that is copied": Case(all_of(journal(), lambda c: (c / ".journal/000009-2026-01-01.json").rename(c / ".journal/000009-2026-01-01 copy.json")), ADD, 0, (".journal/kept/000009-2026-01-01 copy.json",), writes=True),
    "half a batch is a folder": Case(folder(".journal/x.part"), ADD, 0, ("added 1 tree",), writes=True),
    "half a batch leads out": Case(link(".journal/000001-2026-11-20.part", "../../outside/precious.txt"), ADD, 0, ("added 1 tree",), writes=True),
    "finished batches are a file": Case(put(".journal/done", "x"), ADD, 0, (".journal/done.kept-1", "added 1 tree"), writes=True),
    "batches are a file": Case(put(".journal", "x"), ADD, 0, (".journal.kept-1", "added 1 tree"), writes=True),
    "a finished batch is a pipe": Case(fifo(".journal/done/000009-2026-01-01.json"), ("undo", "--yes", *DAY), 0, ("there is no batch to undo",)),
    "a finished batch is damaged: deep": Case(put(".journal/done/000009-2026-01-01.json", "{"), ("check", "--deep"), 0, (".journal/done/000009-2026-01-01.json:1: warning: this record of a batch is damaged",)),
    "the lock is a link": Case(link(".lock", "../outside/precious.txt"), ADD, 1, ("the lock is a link",)),
    "the lock is a folder": Case(folder(".lock"), ADD, 1, ("can't be written to",)),
    "notes are a file": Case(all_of(put("notes", "x"), given("tree 001\n14 oct moss red\n")), reconcile(), 0, (".journal/kept/notes", "wrote 1 entry"), writes=True),
    "a record of notes is a folder": Case(all_of(folder("notes/2026-01-01-aaaaaaaaaaaa.json"), given("tree 001\n14 oct moss red\n")), reconcile(), 0, ("wrote 1 entry",), writes=True),
    "a record of notes is a pipe: waiting": Case(fifo("notes/2026-01-01-aaaaaaaaaaaa.json"), ("waiting",), 0, ("record of typed notes is damaged",)),
    "a kept text is a pipe: waiting": Case(fifo("notes/2026-01-01-aaaaaaaaaaaa.txt"), ("waiting",), 0, ("is damaged",)),
    "a record of notes of other kinds": Case(put("notes/2026-01-01-aaaaaaaaaaaa.json", '{"runs": [{"batch": 3, "rows": [{"number": "x"}]}]}'), ("waiting",), 0, ("record of typed notes is damaged",)),
    "a record of notes nested deep": Case(put("notes/2026-01-01-aaaaaaaaaaaa.json", '{"runs": ' + "[" * 200_000), ("waiting",), 0, ("is damaged",)),
    "a kept text that was changed: deep": Case(put("notes/2026-01-01-aaaaaaaaaaaa.txt", "tree 001\n"), ("check", "--deep"), 0, ("changed since it was kept",)),
    "what waits steers": Case(put("notes/2026-01-01-aaaaaaaaaaaa.json", json.dumps({"runs": [{"batch": "", "rows": [{"number": 1, "text": "\x1b[2Jx", "header": "", "tag": "", "fate": "unread", "key": "k", "why": "w\nforged", "hint": ""}]}]})), ("waiting",), 3, ("\\x1b[2Jx",), ("\nforged",)),
    "a printed record is a pipe": Case(fifo("printed/a.json"), CHECK, 1, (DAMAGED,)),
    "a printed record is a folder": Case(folder("printed/a.json"), CHECK, 1, (DAMAGED,)),
    "printed records are a file": Case(put("printed", "x"), CHECK, 1, ("records of printed sheets can't be read",)),
    "printed records are a file: no serial is drawn": Case(put("printed", "x"), ("walk", "-o", "{home}/w.pdf", *DAY), 0, (".journal/kept/printed",), makes=("w.pdf",)),
    "a printed record nested deep": Case(put("printed/a.json", "[" * 200_000), CHECK, 1, (DAMAGED,)),
    "a printed record that is a list": Case(put("printed/a.json", "[]"), CHECK, 1, (DAMAGED,)),
    "a printed record was changed": Case(put("printed/a.json", '{"format": 2, "shapes": [], "sheets": [], "hash": "00"}'), CHECK, 1, (DAMAGED,)),
    "a sheet of a billion lines": Case(record(lines=1_000_000_000), CHECK, 1, (DAMAGED,)),
    "a sheet whose serial is a page": Case(record(serial="<script>alert(1)</script>"), CHECK, 1, (DAMAGED,)),
    "a sheet whose serial is a number": Case(record(serial=555535), CHECK, 1, (DAMAGED,)),
    "a sheet of a tag that is a path": Case(record(tags=["../../x"]), CHECK, 1, (DAMAGED,)),
    "a sheet that steers": Case(record(layout="\x1b[2J"), CHECK, 1, (DAMAGED,)),
    "a sheet of no shape": Case(record(places=[[7, 1, 0, "001"]]), CHECK, 1, (DAMAGED,)),
    "a shape of numbers without end": Case(record((["line", "1", 10**30, 0, 1, 1],), places=[[0, 1, 0, "001"]]), CHECK, 1, (DAMAGED,)),
    "one serial, two sheets: deep": Case(all_of(record(), record(name="b.json", tags=["002"])), ("check", "--deep"), 1, ("printed/b.json:1: error: the serial 55553-5 is on record twice",)),
    "a line on a serial of two sheets": Case(all_of(record(), record(name="b.json", tags=["002"]), given("sheet 55553-5\n1 14 oct moss red\n")), reconcile(), 3, ("55553-5",)),
    "an entry of no note: deep": Case(all_of(record(), put("notes/2026-10-02-x.json", json.dumps({"runs": [{"batch": "000001", "rows": [{"number": 2, "text": "x", "header": "", "tag": "001", "fate": "write", "key": "001 55553-5/2", "why": "", "hint": ""}]}]})), logged("{date: 2026-10-02, note: x, from: 55553-5/1}")), ("check", "--deep"), 0, ("trees/004.yaml:4:5: warning: no note in notes/ has the line 55553-5/1", "notes/2026-10-02-x.txt:2: warning: this line was written as 55553-5/2 of tree 001, and no entry names it")),
}  # fmt: skip

OUTPUTS = {
    "paper over a tree": Case(nothing, ("sheets", "--draft", "-o", "{c}/trees/001.yaml", *DAY), 1, (OWN,)),
    "paper among trees": Case(nothing, ("sheets", "--draft", "-o", "{c}/trees/new.pdf", *DAY), 1, (OWN,)),
    "paper among records": Case(folder("printed"), ("walk", "-o", "{c}/printed/w.pdf", *DAY), 1, (OWN,)),
    "paper into what is hidden": Case(folder(".git"), ("walk", "-o", "{c}/.git/config", *DAY), 1, (OWN,)),
    "paper over the settings, by a detour": Case(nothing, ("walk", "-o", "{c}/trees/../collection.yaml", *DAY), 1, (OWN,)),
    "paper over the settings, by a link": Case(link("w.pdf", "collection.yaml"), ("walk", "-o", "{c}/w.pdf", *DAY), 1, (OWN,)),
    "paper over a tree of another collection": Case(lambda c: collection(c.parent / "outside" / "c"), ("walk", "-o", "{home}/outside/c/trees/001.yaml", *DAY), 1, (OWN,)),
    "paper over a picture": Case(put("photos/oak.png", png(9, 9)), ("tags", "-o", "{c}/photos/oak.png", *DAY), 1, (OWN,)),
    "paper over other paper": Case(put("s.pdf", b"%PDF-1.4\n%%EOF\n"), ("sheets", "-o", "{c}/s.pdf", *DAY), 1, (NOT_OURS,)),
    "paper onto a device": Case(nothing, ("walk", "-o", "/dev/null", *DAY), 1, (NOT_REGULAR,)),
    "paper into a pipe": Case(fifo("w.pdf"), ("walk", "-o", "{c}/w.pdf", *DAY), 1, (NOT_REGULAR,)),
    "paper into a folder": Case(folder("w.pdf"), ("walk", "-o", "{c}/w.pdf", *DAY), 1, ("this is a folder",)),
    "half of the paper is a link": Case(link("../.w.pdf.part", "outside/precious.txt"), ("walk", "-o", "{home}/w.pdf", "--draft", *DAY), 1, ("can't be written",), makes=(".w.pdf.part",)),
    "a calendar over the settings": Case(nothing, ("due", "--ics", "{c}/collection.yaml", *DAY), 1, (OWN,)),
    "a calendar over another": Case(put("a.ics", "BEGIN:VCALENDAR\r\nPRODID:-//benchleaf//x\r\nEND:VCALENDAR\r\n"), ("due", "--ics", "{c}/a.ics", *DAY), 1, (NOT_OURS,)),
    "a table over another": Case(put("a.csv", "mine"), ("due", "--csv", "{c}/a.csv", *DAY), 1, (NOT_OURS,)),
    "a table over a text": Case(put("README.md", "mine"), ("review", "--stock", "--csv", "{c}/README.md", *DAY), 1, (NOT_OURS,)),
    "a schema over a tree": Case(nothing, ("schema", "tree", "-o", "{c}/trees/001.yaml"), 1, (OWN,)),
    "bench days over a text": Case(put("a.ics", "mine"), ("plan", "--saturday", "4h", "--ics", "{c}/a.ics", *DAY), 1, (NOT_OURS,)),
    "a season card over a tree": Case(nothing, ("cards", "season", "-o", "{c}/trees/001.yaml", *DAY), 1, (OWN,)),
    "a dossier over notes": Case(put("notes/a.txt", "x"), ("dossier", "001", "-o", "{c}/notes/a.txt", *DAY), 1, (OWN,)),
}  # fmt: skip

GIVEN = {
    "notes by a pipe": Case(fifo("given"), reconcile(), 1, (NOT_REGULAR,)),
    "notes by a device": Case(link("given", "/dev/zero"), reconcile(), 1, (NOT_REGULAR,)),
    "notes that are a folder": Case(folder("given"), reconcile(), 1, ("directory",)),
    "notes that steer": Case(given("tree 001\n14 oct \x1b[2Jmoss\x9b31m \u202e red\n"), reconcile("--dry-run"), 3, ("\\x1b[2J",)),
    "notes of nothing but zeros": Case(given(bytes(100_000)), reconcile("--dry-run"), 1, ("neither text nor a picture",)),
    "notes in UTF-16": Case(given("tree 001\n14 oct moss\n".encode("utf-16")), reconcile("--dry-run"), 0, ("was saved as UTF-16",)),
    "a line of ten megabytes": Case(given("tree 001\n14 oct " + "moss " * 2_000_000), reconcile("--dry-run"), 3),
    "a form that is broken": Case(given(b"%PDF-1.7\n" + bytes(range(256)) * 40), reconcile(), 1, ("PDF",)),
    "a form that unfolds to a gigabyte": Case(given(pdf_bomb), reconcile(), 1, ("PDF",)),
    "a picture that unfolds to a gigabyte": Case(given(lambda: png(15_000, 15_000)), reconcile(), 1, ("too large",)),
    "a picture that is cut off": Case(given(png(400, 400)[:300]), reconcile(), 1, ("can't be read as a picture",)),
    "answers nested deep": Case(given('{"answers": ' + "[" * 200_000), reconcile(), 1, ("answers are damaged",)),
    "answers of places that no sheet has": Case(all_of(record(), given('{"answers": 1, "day": "", "sheets": [{"serial": "55553-5", "values": {"line1\\nsheet 1": "x"}}]}')), reconcile(), 1, ("answers are damaged",)),
    "answers for a serial that is a page": Case(given('{"answers": 1, "day": "", "sheets": [{"serial": "<script>\\u001b[2J", "values": {}}]}'), reconcile(), 1, ("no sheet has the serial",)),
    "a table by a pipe": Case(fifo("t.csv"), ("add", "--table", "{c}/t.csv", "--yes"), 1, (NOT_REGULAR,)),
    "a table of zeros": Case(put("t.csv", bytes(1_000_000)), ("add", "--table", "{c}/t.csv", "--yes"), 1),
    "a table whose quote never ends": Case(put("t.csv", 'tag,species\n9,"Acer\n' + "x\n" * 50_000), ("add", "--table", "{c}/t.csv", "--yes"), 1, ("quote",)),
    "a table of a hundred thousand columns": Case(put("t.csv", "tag,species" + "," * 100_000 + "\n"), ("add", "--table", "{c}/t.csv", "--yes"), 0, ("added 0 trees",)),
    "a table of tags that are paths": Case(put("t.csv", "tag,species\n../../outside/x,Acer palmatum\n"), ("add", "--table", "{c}/t.csv", "--yes"), 1, ("t.csv",)),
    "a spreadsheet that unfolds": Case(put("t.xlsx", xlsx_bomb), ("add", "--table", "{c}/t.xlsx", "--yes"), 1, ("t.xlsx",)),
    "a spreadsheet that is none": Case(put("t.xlsx", b"PK\x03\x04" + bytes(100)), ("add", "--table", "{c}/t.xlsx", "--yes"), 1, ("t.xlsx",)),
    "a history of zeros": Case(put("h.csv", bytes(1_000_000)), ("import-log", "{c}/h.csv", "--yes"), 1),
    "normals by a pipe": Case(fifo("n.txt"), ("normals", "{c}/n.txt", "--yes"), 1, (NOT_REGULAR,)),
    "normals of garbage": Case(put("n.txt", bytes(range(256)) * 400), ("normals", "{c}/n.txt", "--yes"), 3, ("no monthly means found",)),
    "days of absurd numbers": Case(put("d.csv", "date,min,max\n" + "2026-01-01,1e400,-1e400\n" * 3_000), ("weather", "{c}/d.csv", "--yes"), 1),
    "a layout by a pipe": Case(fifo("l.yaml"), ("sheets", "--draft", "--layout", "{c}/l.yaml", "-o", "{home}/s.pdf", *DAY), 1, (NOT_REGULAR,)),
    "a layout of numbers that are none": Case(put("l.yaml", "name: x\nkind: sheet\npaper: [.nan, -5]\npage: [1e999, 0]\n"), ("sheets", "--draft", "--layout", "{c}/l.yaml", "-o", "{home}/s.pdf", *DAY), 1, ("l.yaml",)),
    "a layout of a billion labels": Case(put("l.yaml", "name: x\nkind: tag\npaper: a4\npage: [30, 20]\nlabels: {columns: 1000000000, rows: 1000000000, pitch: [1, 1], corner: [1, 1]}\n"), ("tags", "--layout", "{c}/l.yaml", "-o", "{home}/t.pdf", *DAY), 1, ("l.yaml",)),
    "something else than a code": Case(nothing, ("find", "\x1b[2J\u202e<x>"), 1, ("\\x1b[2J",)),
    "a code with a bracket": Case(nothing, ("find", "https://[::1/trees/001.yaml#x/9999999999"), 1),
}  # fmt: skip

CASES: dict[str, Case] = {**READING, **TEXTS, **RECORDS, **OUTPUTS, **GIVEN}
