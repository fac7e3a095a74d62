"""Rolls of pictures: none goes to a wrong tree, few are asked, and the same again changes nothing."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import pytest

from ..conftest import Answer, make_collection, snapshot
from .world import LINK, Roll, roll

Bench = Callable[..., Answer]
TODAY = ["--today", "2027-06-01"]
TREE = 'tag: "{0}"\nspecies: Acer palmatum\nlog: []\n'
SETTINGS = f'format: 1\ntitle: Test\nlink: "{LINK}"\n'


def collection_of(folder: Path, tags: list[str]) -> Path:
    return make_collection(folder, {tag: TREE.format(tag) for tag in tags}, SETTINGS)


def judged(bench: Bench, home: Path, made: Roll, tags: list[str]) -> None:
    folder, pictures = collection_of(home / "c", tags), made.put_into(home / "roll")
    originals = snapshot(pictures)
    answer = bench("photos", pictures, "--yes", "--json", *TODAY, folder=folder)
    data = json.loads(answer.out)
    of = {shot.name: shot for shot in made.shots}
    wrong = [f for f in data["photos"] if (of[f["file"]].kind, of[f["file"]].tag) != ("view", f["tag"])]
    assert not wrong
    asked = [name for question in data["questions"] for name in question["pictures"]]
    smears = len(made.of("smear")) + made.forgotten
    assert len(data["questions"]) <= smears + len(made.shots) / 40, "one for each lost tag, and few besides"
    lost = {shot.tag for shot in made.of("smear")} | _forgotten(made)
    clear = [shot for shot in made.of("view") if shot.tag not in lost]
    unasked = [shot for shot in clear if shot.name in {f["file"] for f in data["photos"]}]
    assert len(unasked) >= 0.95 * len(clear), sorted(set(asked) & {s.name for s in clear})
    read = _behind_a_read_tag(made)
    assert len(read & set(asked)) <= 0.02 * len(read), "what is asked is what no tag tells"
    assert len(data["questions"]) <= 0.05 * len(made.shots) + smears, (
        "one answer settles all the pictures of a lost tag"
    )
    assert not {f["file"] for f in data["left"]} & {shot.name for shot in made.of("view")}, (
        "a tree's picture was told to be none"
    )
    assert all(of[f["file"]].moment.date().isoformat() == f["day"] for f in data["photos"])
    assert_bare(folder / "photos", len(data["photos"]))
    before = snapshot(folder)
    again = bench("photos", pictures, "--yes", "--json", *TODAY, folder=folder)
    assert json.loads(again.out)["photos"] == []
    assert len(json.loads(again.out)["there"]) == len(data["photos"])
    assert snapshot(folder) == before and snapshot(pictures) == originals
    assert bench("check", folder=folder).code == 0
    undone = bench("undo", "--yes", *TODAY, folder=folder)
    assert undone.code == 0, undone.err
    assert not list((folder / "photos").iterdir())
    assert {t: (folder / f"trees/{t}.yaml").read_text() for t in tags} == {t: TREE.format(t) for t in tags}


def _behind_a_read_tag(made: Roll) -> set[str]:
    """The views whose own tag was taken before them, by the same telephone, and can be read."""
    last, found = "", set()
    for shot in sorted(made.of("tag", "smear", "view"), key=lambda shot: shot.moment):
        if shot.kind == "view":
            found |= {shot.name} if shot.tag == last else set()
        else:
            last = shot.tag if shot.kind == "tag" else ""
    return found


def _forgotten(made: Roll) -> set[str]:
    """Trees that were taken once without a tag: as many of a tree's pictures as it has rounds have to be tags."""
    days = {shot.moment.date() for shot in made.of("view")}
    marked = [(shot.tag, shot.moment.date()) for shot in made.of("tag", "smear")]
    return {shot.tag for shot in made.of("view") for day in days if (shot.tag, day) not in marked}


def assert_bare(folder: Path, count: int) -> None:
    """By bytes: a JPEG's segments are those of a bare picture (JFIF, tables, frame, scan), and nothing else stands in the file."""
    files = list(folder.iterdir())
    assert len(files) == count
    for file in files:
        data = file.read_bytes()
        assert data[:2] == b"\xff\xd8" and data[-2:] == b"\xff\xd9"
        kinds, at = [], 2
        while data[at + 1] != 0xDA:
            kinds.append(data[at + 1])
            at += 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        assert set(kinds) <= {0xE0, 0xDB, 0xC0, 0xC2, 0xC4, 0xDD}, [hex(kind) for kind in kinds]
        assert data[6:11] == b"JFIF\0" and int.from_bytes(data[4:6], "big") == 16, "a JFIF head without a preview"
        scan = at + 2 + int.from_bytes(data[at + 2 : at + 4], "big")
        behind = {data[n + 1] for n in range(scan, len(data) - 2) if data[n] == 0xFF}
        assert behind <= {0x00, *range(0xD0, 0xD8)}, "behind the head is the one scan and nothing else"
        for word in (b"Exif", b"GPS"):  # three letters come by chance in a scan
            assert word not in data[:scan]
        for word in (b"Anycam", b"xpacket", b"ICC_PROFILE", b"Photoshop", b"2027:05"):
            assert word not in data


@pytest.mark.soak
def test_a_short_roll(bench: Bench, tmp_path: Path) -> None:
    tags = [f"{n:03d}" for n in range(1, 7)]
    judged(bench, tmp_path, roll(tags, 11, 22, missing=1, unreadable=1), tags)


@pytest.mark.soak
@pytest.mark.parametrize("seed", range(21, 25))
def test_two_hundred_pictures_of_twenty_five_trees(bench: Bench, tmp_path: Path, seed: int) -> None:
    tags = [f"{n:03d}" for n in range(1, 26)]
    judged(bench, tmp_path, roll(tags, seed, 200, rounds=2), tags)
