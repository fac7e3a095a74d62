"""Every verb that changes a collection, with a collection on which each of them has something to do."""

from __future__ import annotations

import contextlib
import io
import json
import os
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from pathlib import Path

import pytest
from PIL import Image

from logbook.cli.main import run
from logbook.storage import opening
from logbook.storage.disk import RealDisk
from logbook.storage.zipped import zipped

from ..conftest import make_collection

DAY = ["--today", "2026-11-20"]
SETTINGS = "format: 1\ntitle: Test\nbench_days: {saturday: 3h}\nsite: {latitude: 47.9, normals: {tmin: [-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5], tmax: [2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3]}}\n"
TREE = 'tag: "{0}"\nspecies: Acer palmatum\n# mine: {0}\nlog:\n  - {{date: 2024-01-10, work: repotting, found: {{stage: ramification, vigour: 4}}}}\n'
TABLE = "tag,species,name\n041,Acer palmatum,one\n042,Larix kaempferi,two\n"
# the turn of two years, so that one file is new and one grows
DAYS = "date;low;high\n30.12.2025;-2,5;3\n31.12.2025;-4;1,5\n01.01.2026;-3;2\n02.01.2026;0;5\n"
NOTES = {
    "before": "tree 001\n14 oct moss yellow\ntree 002\n14 oct looked\n",
    "open": "tree 001\n14 oct wire off 7\n15 oct wire off 8\n",
    "saturday": "tree 001\n18 oct bark loose\ntree 003\n18 oct fed\n18 oct wire off 9\n",
}
VERBS = {
    "reconcile": ["reconcile", "{home}/saturday.txt", "--yes", *DAY],
    "undo": ["undo", "--yes", *DAY],
    "add": ["add", "031", "--species", "Acer palmatum", *DAY],
    "add --from": ["add", "032", "--from", "001", *DAY],
    "add --table": ["add", "--table", "{home}/trees.csv", *DAY],
    "add --handover": ["add", "--handover", "{home}/014.zip", "--yes", *DAY],
    "end": ["end", "003", "--how", "died", *DAY],
    "end merged": ["end", "002", "--how", "merged", "--into", "001", *DAY],
    "weather": ["weather", "{home}/days.csv", "--yes", *DAY],
    "normals": ["normals", "--january", "-3", "4", "--july", "15", "27", "--coldest-night", "-13", "--yes", *DAY],
    "photos": ["photos", "{home}/roll", "--yes", *DAY],
    "dismiss": ["waiting", "--dismiss", "1", *DAY],
    "sheets": ["sheets", "--tag", "001", "--seed", "1", "-o", "{home}/sheets.pdf", *DAY],
    "walk": ["walk", "--seed", "2", "-o", "{home}/walk.pdf", *DAY],
    "spare": ["tags", "--spare", "2", "-o", "{home}/spare.pdf", *DAY],
    "plan": ["plan", "--seed", "3", "--weeks", "20", "-o", "{home}/plan.pdf", *DAY],
}
PRINTS = ("sheets", "walk", "spare", "plan")
CHANGES = tuple(verb for verb in VERBS if verb not in PRINTS)


@dataclass
class Said:
    code: int
    out: str
    err: str


def call(*words: str) -> Said:
    """The command in this process, without pytest's own capture, so that it may be called from anywhere."""
    out, err = io.StringIO(), io.StringIO()
    with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
        code = run(list(words))
    return Said(code, out.getvalue(), err.getvalue())


def do(home: Path, verb: str, *more: str) -> Said:
    words = [word.replace("{home}", str(home)) for word in VERBS[verb]]
    return call("-C", str(home / "c"), *words, *more)


def _given(picture: bytes) -> bytes:
    """A tree from another garden, with a picture."""
    log = "  - {date: 2025-07-01, photo: photos/a.jpg}\n  - {date: 2025-07-02, note: moss}\n"
    manifest = {"format": 1, "garden": "Hill", "tag": "014", "units": "metric", "southern": False}
    members = {
        "tree.yaml": f'tag: "014"\nspecies: Acer palmatum\nlog:\n{log}'.encode(),
        "manifest.json": json.dumps({**manifest, "photos": {"photos/a.jpg": "photos/a.jpg"}}).encode(),
        "photos/a.jpg": picture,
    }
    return zipped(members, date(2026, 11, 1))


def a_home(home: Path) -> Path:
    """A folder with a collection `c`: three trees, a batch that can be undone, two lines that wait."""
    folder = make_collection(home / "c", {f"00{n}": TREE.format(f"00{n}") for n in (1, 2, 3)}, SETTINGS)
    for name, text in NOTES.items():
        (home / f"{name}.txt").write_text(text, encoding="utf-8")
    (home / "trees.csv").write_text(TABLE, encoding="utf-8")
    (home / "days.csv").write_text(DAYS, encoding="utf-8")
    (home / "roll").mkdir()
    for name, tone in (("001-front", 40), ("002-front", 90), ("001-back", 140)):
        Image.new("RGB", (60, 40), (tone, 120, 60)).save(home / "roll" / f"{name}.png")
        os.utime(home / "roll" / f"{name}.png", (1_790_000_000 + tone,) * 2)
    (home / "014.zip").write_bytes(_given((home / "roll" / "001-front.png").read_bytes()))
    (folder / "weather").mkdir()
    (folder / "weather" / "2026.csv").write_text("date,tmin,tmax\n# mine\n2026-01-01,-3.5,2\n", encoding="utf-8")
    for name in ("open", "before"):
        said = call("-C", str(folder), "reconcile", str(home / f"{name}.txt"), "--yes", *DAY)
        assert said.code in (0, 3), said.err
    return home


@contextlib.contextmanager
def disk_of(kind: type[RealDisk]) -> Iterator[None]:
    """Stores are opened on a disk of this kind."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(opening, "RealDisk", kind)
        yield
