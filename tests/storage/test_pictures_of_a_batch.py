"""Pictures that a batch brings: never over another file, never without the text that names them, and gone with an undo."""

from __future__ import annotations

import dataclasses
from datetime import date
from pathlib import Path

import pytest

from logbook.intake.archive import hooks
from logbook.storage.disk import RealDisk
from logbook.storage.journal import Change, Journal, journal_text, read_journal
from logbook.storage.opening import opened
from logbook.storage.placing import sum_of
from logbook.storage.store import Entries, NewPicture, Store

from ..conftest import make_collection, snapshot

DAY = date(2027, 5, 2)
TREE = 'tag: "014"\nspecies: Acer palmatum\nlog: []\n'
PATH, TREE_PATH = "photos/014-2027-05-02-a.jpg", "trees/014.yaml"
EDITS = [Entries(TREE_PATH, [{"date": "2027-05-02", "photo": PATH}]), NewPicture(PATH, lambda: b"picture")]


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    return make_collection(tmp_path / "c", {"014": TREE})


def test_it_comes_and_goes_with_its_entry(folder: Path) -> None:
    with opened(folder, hooks(), lambda _: None) as (store, _):
        outcome = store.commit(store.prepare(EDITS).all_or_none(), DAY)
        assert outcome is not None and not outcome.refused
        assert (folder / PATH).read_bytes() == b"picture" and PATH in (folder / TREE_PATH).read_text()
        assert store.prepare(EDITS).changes == (), "the same again is nothing"
        last = store.last()
        assert last is not None
        store.undo(last, DAY)
    assert not (folder / PATH).exists() and (folder / TREE_PATH).read_text() == TREE
    assert [p.name for p in (folder / "photos").iterdir()] == []


def test_a_file_of_that_name_is_never_touched(folder: Path) -> None:
    (folder / "photos").mkdir()
    (folder / PATH).write_bytes(b"mine")
    with opened(folder, hooks(), lambda _: None) as (store, _):
        assert PATH in store.prepare(EDITS).refused
    assert (folder / PATH).read_bytes() == b"mine"


def test_one_that_is_saved_meanwhile_stays_and_nothing_names_it(folder: Path) -> None:
    with opened(folder, hooks(), lambda _: None) as (store, _):
        prepared = store.prepare(EDITS).all_or_none()
        (folder / "photos").mkdir()
        (folder / PATH).write_bytes(b"mine")
        outcome = store.commit(prepared, DAY)
    assert outcome is not None and set(outcome.refused) == {PATH, TREE_PATH}
    assert (folder / PATH).read_bytes() == b"mine" and (folder / TREE_PATH).read_text() == TREE
    assert [p.name for p in (folder / "photos").iterdir()] == [Path(PATH).name]


def test_what_was_laid_beside_for_no_batch_is_swept(folder: Path) -> None:
    (folder / "photos").mkdir()
    left = folder / "photos" / ".014-2027-05-02-a.jpg.000007-2027-05-02.part"
    own = folder / "photos" / ".mine.part"
    left.write_bytes(b"half")
    own.write_bytes(b"mine")
    with opened(folder, hooks(), lambda _: None):
        pass
    assert not left.exists() and own.read_bytes() == b"mine"


def test_a_dry_run_leaves_no_trace(folder: Path) -> None:
    before = snapshot(folder)
    with opened(folder, hooks(), lambda _: None, dry_run=True) as (store, _):
        store.commit(store.prepare(EDITS).all_or_none(), DAY)
        assert store.instead[PATH] == b"picture"
    assert snapshot(folder) == before


@pytest.mark.parametrize(
    "wrong",
    [
        {"path": "photos/../collection.jpg"},
        {"path": "trees/014.yaml"},
        {"path": "/photos/a.jpg"},
        {"new": "no sum"},
        {"old": "x"},
    ],
)
def test_a_journal_from_elsewhere_is_not_followed_where_it_leads_astray(folder: Path, wrong: dict[str, str]) -> None:
    sound = Change(PATH, "", sum_of(b"picture"), kind="picture")
    disk = RealDisk(folder)
    for change, read in ((sound, True), (dataclasses.replace(sound, **wrong), False)):
        journal = Journal("000001-2027-05-02", "2027-05-02", "", (change,))
        disk.write(".journal/000001-2027-05-02.json", journal_text(journal).encode())
        assert (read_journal(disk, ".journal/000001-2027-05-02.json") is not None) is read
    assert Store(disk, hooks()).recover() == []
