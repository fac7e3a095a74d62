"""Verbs about one tree read little besides its file, and answer as if all had been read."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.cli import common, due, find, history, printing
from logbook.collection import load as loading
from logbook.storage import known_trees

from ..conftest import TODAY, Answer
from ..evening.test_after_a_silence import folder_of

Bench = Callable[..., Answer]
VERBS = (("due", "{}"), ("due", "--tag", "{}", "--json"), ("history", "{}"), ("find", "{}"))


def everything(
    options: object, _tag: str, instead: object = None, *, waits: bool = False, **_more: object
) -> common.Opened:
    return common.open_collection(options, instead, waits=waits)  # type: ignore[arg-type]


@pytest.mark.parametrize("name", ["demo", "stress"])
def test_the_answer_is_the_same(name: str, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folder_of(name, tmp_path)
    tags = [path.stem for path in sorted((folder / "trees").glob("*.yaml"))][:: 2 if name == "demo" else 15]

    def told() -> list[Answer]:
        today = ("--today", TODAY)
        return [
            bench(*(word.format(tag) for word in words), *today, folder=folder) for tag in tags for words in VERBS
        ]

    little = told()
    for module in (due, find, history):
        monkeypatch.setattr(module, "open_for", everything)
    assert little == told() and len(little) == len(tags) * len(VERBS)


def test_little_is_read(tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folder_of("stress", tmp_path)
    for path in (folder / "trees").glob("*.yaml"):  # no signs of the spring in any but one
        path.write_text(path.read_text("utf-8").replace('"saw"', '"x-saw"'), encoding="utf-8")
    (folder / "trees" / "077.yaml").write_text(
        'tag: "077"\nspecies: Larix kaempferi\nlog:\n  - {date: 2026-03-20, saw: swell}\n', encoding="utf-8"
    )
    read: list[tuple[str, bool]] = []
    whole = loading._read_tree
    monkeypatch.setattr(
        loading,
        "_read_tree",
        lambda files, path, ctx, part: (read.append((path.stem, part)), whole(files, path, ctx, part=part))[1],
    )
    for verb, others in (("due", [("077", True)]), ("history", []), ("find", [])):
        read.clear()
        assert bench(verb, "014", "--today", TODAY, folder=folder).code == 0
        assert read == [("014", False), *others], verb


def test_what_wire_did_on_other_trees_is_heard(tmp_path: Path, bench: Bench) -> None:
    """Looks at wire teach how fast all trees of a group thicken: one tree's dates must not lack them."""
    folder = folder_of("demo", tmp_path)
    wired = "species: Acer palmatum\nbranches:\n  - {id: 1, diameter: 9}\nlog:\n  - {date: 2026-05-10, work: wiring, branches: [1], wire: 2 mm}\n"
    (folder / "trees/071.yaml").write_text(f'tag: "071"\n{wired}', encoding="utf-8")
    plain = bench("due", "071", "--json", "--today", "2026-06-05", folder=folder).out
    looks = "".join(f"  - {{date: 2026-06-0{n}, work: wire check, branches: [1], bite: cut}}\n" for n in (2, 3, 4))
    (folder / "trees/072.yaml").write_text(f'tag: "072"\n{wired}{looks}', encoding="utf-8")
    one = json.loads(bench("due", "071", "--json", "--today", "2026-06-05", folder=folder).out)
    whole = json.loads(bench("due", "--json", "--today", "2026-06-05", folder=folder).out)
    key = next(key for key, rows in one.items() if isinstance(rows, list) and rows and isinstance(rows[0], dict))
    theirs = [row for row in whole[key] if row.get("tag") == "071"]
    assert [row for row in one[key] if row.get("tag") == "071"] == theirs and theirs
    assert json.dumps(one) != json.dumps(json.loads(plain)), "the looks do change its dates"


def test_a_tag_that_two_files_claim_is_told_all_the_same(tmp_path: Path, bench: Bench) -> None:
    folder = folder_of("demo", tmp_path)
    shutil.copy(folder / "trees" / "004.yaml", folder / "trees" / "004 copy.yaml")
    for words in (("due", "004"), ("history", "004")):
        answer = bench(*words, "--today", TODAY, folder=folder)
        assert answer.code == 1 and "004" in answer.err, answer.all


def test_what_is_no_tag_is_looked_for_everywhere(demo: Path, bench: Bench) -> None:
    assert "004" in bench("find", "slow water", folder=demo).out
    assert bench("due", "4", "--today", TODAY, folder=demo).code == 0
    assert bench("find", "../trees/004.yaml", folder=demo).out == "trees/004.yaml\n"
    assert "there is no tree 999" in bench("history", "999", "--today", TODAY, folder=demo).err


def test_its_sheet_is_the_same(tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = folder_of("demo", tmp_path)
    tags = [path.stem for path in sorted((folder / "trees").glob("*.yaml"))][::4]

    def printed(name: str) -> list[bytes]:
        outs = [tmp_path / f"{name}-{tag}.pdf" for tag in tags]
        for tag, out in zip(tags, outs, strict=True):
            told = bench("sheets", "--tag", tag, "--draft", "-o", out, "--today", TODAY, folder=folder)
            assert told.code == 0, told.all
        return [out.read_bytes() for out in outs]

    little = printed("little")
    monkeypatch.setattr(printing, "open_for", everything)
    assert little == printed("whole")


def test_a_recorded_sheet_of_one_tree_takes_note_of_all(tmp_path: Path, bench: Bench) -> None:
    """What was known of the folder stays known: nothing but the tree was read, and every file is still on record."""
    folder = folder_of("demo", tmp_path)
    assert bench("sheets", "--tag", "004", "-o", tmp_path / "s.pdf", "--today", TODAY, folder=folder).code == 0
    known = json.loads((folder / known_trees.PATH).read_text())["trees"]
    assert sorted(known) == sorted(path.name for path in (folder / "trees").glob("*.yaml"))


def test_a_slip_in_one_file_moves_no_other_trees_dates(tmp_path: Path, bench: Bench) -> None:
    """Its signs are heard all the same, whether one tree is asked for or all; a copy of a file is not heard twice."""
    folder = folder_of("demo", tmp_path)
    seen = 'tag: "071"\nspecies: Larix decidua\nlog:\n  - {date: 2026-05-20, saw: swell}\n  - {date: 2026-06-01, note: dry}\n'
    (folder / "trees/071.yaml").write_text(seen, encoding="utf-8")

    def jobs(*words: str) -> str:
        told = json.loads(bench("due", *words, "--json", "--today", "2026-05-25", folder=folder).out)
        return json.dumps([row["jobs"] for row in told["trees"] if row["tag"] == "003"])

    sound = jobs()
    (folder / "trees/071.yaml").write_text(seen.replace("note: dry", "work: repoting"), encoding="utf-8")
    assert "expected a work" in bench("check", folder=folder).err
    assert (jobs(), jobs("003")) == (sound, sound)
    shutil.copy(folder / "trees/071.yaml", folder / "trees/071 (1).yaml")
    assert jobs() == jobs("003") != sound, "of two faulty files of one tag nobody knows which is right"
    (folder / "trees/071.yaml").write_text(seen, encoding="utf-8")
    assert jobs() == sound, "a sound file and a faulty copy of it"
    for path in (folder / "trees").glob("071*"):
        path.unlink()
    assert jobs() != sound, "the sign does move its dates"


@pytest.mark.parametrize(
    ("first", "second"),
    [
        (None, ("saw", "slip")),
        (("later",), ("saw", "slip")),
        (("saw", "slip"), ("later", "slip")),
        (("saw",), (None,)),
        (("saw", "odd"), None),
        (("saw", "wrong sign"), None),
    ],
)
def test_two_files_of_one_tag_are_heard_alike(
    first: tuple[str, ...] | None, second: tuple[str, ...] | None, tmp_path: Path, bench: Bench
) -> None:
    """Whatever one file or its copy says: one tree's dates are those of the whole garden."""
    told = {
        "saw": "{date: 2026-03-05, saw: swell}",
        "later": "{date: 2026-03-25, saw: swell}",
        "slip": "{date: x}",
        "odd": "{date: 2026-05-01, note: stub sawn off, vigur: 3}",
        "wrong sign": "{date: 2025-03-05, saw: swel}",
    }
    folder = folder_of("demo", tmp_path)

    def swell(*words: str) -> str:
        answer = bench("due", *words, "--json", "--all", "--today", "2027-02-10", folder=folder)
        return json.dumps([row["jobs"] for row in json.loads(answer.out)["trees"] if row["tag"] == "004"])

    bare = swell("004")
    for name, entries in (("020.yaml", first or ()), ("020 copy.yaml", second)):
        if entries is not None:
            log = "".join(f"  - {told[entry]}\n" for entry in entries if entry)
            head = 'tag: "020"\nspecies: Juniperus chinensis\nlog:\n  - {date: 2020-05-01, note: begun}\n'
            (folder / "trees" / name).write_text(head + log, encoding="utf-8")
    assert swell("004") == swell()
    assert second is not None or swell() != bare, "a slip elsewhere in its file silences no sign"
