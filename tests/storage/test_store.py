"""The store on a failing disk, with every kind of change in one batch: power cuts, full disks and saves at every step."""

from __future__ import annotations

import random
from datetime import date
from pathlib import Path

import pytest

from logbook.diagnostics import ProblemsFound
from logbook.intake.archive import hooks
from logbook.storage import opening
from logbook.storage.disk import Overlay, RealDisk, read_regular
from logbook.storage.journal import DONE, FOLDER, KEPT, Change, Journal, journal_text, read_journal, unfinished
from logbook.storage.opening import cut_short, opened
from logbook.storage.placing import create_now
from logbook.storage.store import CUT_SHORT, KEEPSAKE, Entries, NewFile, NewText, Store

from ..conftest import make_collection, snapshot
from .failing_disk import KINDS, FailingDisk, survived

DAY = date(2026, 11, 25)
ONE, TWO, NEW, SETTINGS = "trees/001.yaml", "trees/002.yaml", "trees/003.yaml", "collection.yaml"
TREE = 'tag: "{0}"\n# mine\nlog:\n  - {{date: 2026-01-10, note: before}}\n'
STANDS = {ONE: TREE.format("001"), TWO: TREE.format("002"), SETTINGS: "format: 1\ntitle: Before\n"}
NEW_TEXT = TREE.format("003")
EDITS = [
    Entries(ONE, [{"date": "2026-11-25", "new": "003"}, {"date": "2026-11-25", "note": "moss"}]),
    Entries(TWO, [{"date": "2026-11-25", "note": "last"}], {"ended": {"date": "2026-11-25", "how": "died"}}),
    NewFile(NEW, NEW_TEXT),
]
RETITLED = NewText(SETTINGS, STANDS[SETTINGS], "format: 1\ntitle: After\n")
AFTER = {
    ONE: TREE.format("001") + '  - {date: 2026-11-25, new: "003"}\n  - {date: 2026-11-25, note: moss}\n',
    TWO: TREE.format("002") + "  - {date: 2026-11-25, note: last}\nended: {date: 2026-11-25, how: died}\n",
    NEW: NEW_TEXT,
    SETTINGS: RETITLED.new,
}
SAMPLE = 11  # each so many-th step in the ordinary suite


def a_disk(seed: int, exchanges: bool) -> FailingDisk:
    disk = FailingDisk(random.Random(seed), exchanges=exchanges, watched=(ONE, TWO))
    for path, text in STANDS.items():
        disk.plant(path, text.encode())
    return disk


def write(disk: FailingDisk) -> None:
    store = Store(disk, hooks())
    store.recover()
    store.commit(store.prepare([*EDITS, RETITLED]), DAY)


def undo(disk: FailingDisk) -> None:
    """As the verb does it: an undo that was cut short and is finished now has its answer."""
    store = Store(disk, hooks())
    store.recover()
    last = store.last()
    if store.finished_undo() is None and last is not None:
        store.undo(last, DAY)


def length_of(work: object, disk: FailingDisk) -> int:
    disk.disarm()
    work(disk)  # type: ignore[operator]
    return disk.points


def sound(disk: FailingDisk, wanted: dict[str, str]) -> None:
    """Every file says what it should, what was saved by hand stays besides, and nothing lies about."""
    files = disk.files()
    kept = b"".join(data for path, data in files.items() if path.startswith(KEPT)).decode()
    for path, text in wanted.items():
        saved = [line.decode() for line in disk.saves.get(path, [])]
        found = files[path].decode()
        assert all(found.count(line) == 1 or (line not in found and line in kept) for line in saved), path
        rows = [row for row in found.splitlines() if f"{row}\n" not in saved]
        assert sorted(rows) == sorted(text.splitlines()), path
    assert {p for p in files if p.startswith("trees/")} == {p for p in wanted if p.startswith("trees/")}
    assert not unfinished(disk) and not [p for p in files if p.endswith((".part", ".draft", ".old"))]


def at_every_step(step: int, exchanges: bool) -> None:
    ready = a_disk(1, exchanges)
    write_length, undo_length = length_of(write, ready), length_of(undo, ready)
    sound(ready, STANDS)
    for kind in KINDS:
        for at in range(0, write_length, step):
            disk = a_disk(at, exchanges)
            disk.arm(kind, at)
            survived(lambda disk=disk: write(disk))  # type: ignore[misc]
            disk.disarm()
            write(disk)
            sound(disk, AFTER)
            undo(disk)
            if not disk.saves and len([p for p in disk.files() if p.startswith(DONE)]) == 2:
                sound(disk, STANDS)
        for at in range(0, undo_length - 1, step):
            disk = a_disk(at, exchanges)
            write(disk)
            disk.arm(kind, at)
            survived(lambda disk=disk: undo(disk))  # type: ignore[misc]
            disk.disarm()
            undo(disk)
            sound(disk, STANDS)


@pytest.mark.parametrize("exchanges", [True, False])
def test_every_kind_of_change_survives_a_fault(exchanges: bool) -> None:
    at_every_step(SAMPLE, exchanges)


@pytest.mark.soak
@pytest.mark.parametrize("exchanges", [True, False])
def test_every_kind_of_change_survives_a_fault_at_every_step(exchanges: bool) -> None:
    at_every_step(1, exchanges)


def written(disk: FailingDisk) -> Store:
    write(disk)
    store = Store(disk, hooks())
    store.recover()
    return store


def test_a_new_file_that_was_edited_is_not_taken_back() -> None:
    disk = a_disk(1, True)
    store = written(disk)
    disk.plant(NEW, (NEW_TEXT + "bench: east\n").encode())
    last = store.last()
    assert last is not None
    (blocked,) = store.look_ahead(last).blocked
    assert blocked.message == "the file was edited since" and blocked.place and blocked.place.path == NEW
    outcome = store.undo(last, DAY)
    assert dict(outcome.refused) == {NEW: "the file was edited since"}
    assert disk.files()[NEW].decode() == NEW_TEXT + "bench: east\n" and disk.files()[ONE].decode() == STANDS[ONE]


def test_a_text_that_was_edited_is_neither_replaced_nor_put_back() -> None:
    disk = a_disk(1, True)
    disk.plant(SETTINGS, b"format: 1\ntitle: Mine\n")
    prepared = Store(disk, hooks()).prepare([RETITLED])
    assert prepared.changes == () and prepared.refused == {SETTINGS: "the file was edited since"}
    with pytest.raises(ProblemsFound):
        prepared.all_or_none()
    disk = a_disk(1, True)
    store = written(disk)
    disk.plant(SETTINGS, b"format: 1\ntitle: Mine\n")
    last = store.last()
    assert last is not None and SETTINGS in store.undo(last, DAY).refused
    assert disk.files()[SETTINGS] == b"format: 1\ntitle: Mine\n"


def test_a_key_that_stands_with_another_value_is_refused_and_an_edited_one_stays() -> None:
    disk = a_disk(1, True)
    disk.plant(TWO, (STANDS[TWO] + "ended: {date: 2025, how: sold}\n").encode())
    prepared = Store(disk, hooks()).prepare(EDITS[1:2])
    assert prepared.problems[0].message == "the file has 'ended' already"
    disk = a_disk(1, True)
    store = written(disk)
    mine = AFTER[TWO].replace("how: died", "how: died, note: frost")
    disk.plant(TWO, mine.encode())
    last = store.last()
    assert last is not None
    store.undo(last, DAY)
    assert disk.files()[TWO].decode() == mine.replace("  - {date: 2026-11-25, note: last}\n", ""), (
        "the grower's own now"
    )


def test_a_key_is_taken_out_of_a_file_that_was_edited_elsewhere() -> None:
    disk = a_disk(1, True)
    store = written(disk)
    disk.plant(TWO, AFTER[TWO].replace("# mine\n", "# mine\nbench: east 2\n").encode() + b"# the end\n")
    last = store.last()
    assert last is not None
    assert store.undo(last, DAY).refused == {}
    assert disk.files()[TWO].decode() == STANDS[TWO].replace("# mine\n", "# mine\nbench: east 2\n") + "# the end\n"


def test_what_is_made_twice_is_made_once() -> None:
    disk = a_disk(1, True)
    store = written(disk)
    assert store.commit(store.prepare([*EDITS, RETITLED]), DAY) is None
    assert store.prepare([NewFile(NEW, "other")]).refused == {NEW: "there is a file of this name already"}


def test_a_file_made_at_once_covers_no_other() -> None:
    disk = a_disk(1, True)
    for at in range(20):
        disk.arm("kill", at)
        if survived(lambda: create_now(disk, "printed/a.json", b"ours")):
            break
    disk.disarm()
    assert disk.files()["printed/a.json"] == b"ours" and at > 5
    with pytest.raises(FileExistsError):
        create_now(disk, "printed/a.json", b"other")
    assert disk.files()["printed/a.json"] == b"ours" and "printed/.a.json.part" not in disk.files()


def open_journal(**but: object) -> Journal:
    fields = {
        "id": "000009-2026-11-25",
        "day": "2026-11-25",
        "notes": "",
        "changes": (Change(NEW, "", NEW_TEXT, kind="new"),),
    }
    return Journal(**{**fields, **but})  # type: ignore[arg-type]


@pytest.mark.parametrize(
    "change",
    [
        Change("trees/../x.yaml", "", "x", kind="new"),
        Change("trees/.hidden", "", "x", kind="new"),
        Change("trees/a/b.yaml", "", "x", kind="new"),
        Change("trees/a\\b.yaml", "", "x", kind="new"),
        Change("/etc/x", "", "x", kind="new"),
        Change("collection.yaml", "", "x", kind="new"),
        Change("trees/001.yaml", STANDS[ONE], "x", kind="text"),
        Change("trees/001.yaml", "", "x", kind="gone"),  # type: ignore[arg-type]
        Change("trees/001.yaml", "", "x", ({"date": None},)),
    ],
)
def test_a_journal_that_names_what_it_should_not_is_kept_aside_and_told(change: Change) -> None:
    """One may come with a synced folder: it is not followed, and nothing waits for it."""
    disk = a_disk(1, True)
    text = journal_text(open_journal(changes=(change,)))
    disk.plant(f"{FOLDER}/000009-2026-11-25.json", text.encode())
    before = {p: d for p, d in disk.files().items() if not p.startswith(FOLDER)}
    store = Store(disk, hooks())
    assert store.recover() == []
    assert store.told() == [f"a damaged record of a batch is kept in {KEPT}/000009-2026-11-25.json"]
    assert {p: d for p, d in disk.files().items() if not p.startswith(FOLDER)} == before
    write(disk)
    sound(disk, AFTER)


def test_a_copy_of_a_journal_under_another_name_blocks_nothing() -> None:
    disk = a_disk(1, True)
    disk.plant(f"{FOLDER}/000009-2026-11-25 (copy).json", journal_text(open_journal()).encode())
    assert Store(disk, hooks()).recover() == [] and NEW not in disk.files()
    assert [p for p in disk.files() if p.startswith(KEPT)] == [f"{KEPT}/000009-2026-11-25 (copy).json"]


@pytest.mark.parametrize(
    "wrong", [{"notes": "../x"}, {"notes": ".x"}, {"rows": ("x",)}, {"kind": "print"}, {"day": 3}]
)
def test_types_of_a_journal_are_strict(wrong: dict[str, object]) -> None:
    disk = a_disk(1, True)
    disk.plant("x.json", journal_text(open_journal()).encode())
    assert read_journal(disk, "x.json") == open_journal()
    journal = open_journal()
    disk.plant("y.json", journal_text(journal).encode())
    if "rows" in wrong:
        text = journal_text(journal).replace('"fates": []', '"fates": ["x"]')
    else:
        text = journal_text(open_journal(**wrong))
    disk.plant("y.json", text.encode())
    assert read_journal(disk, "y.json") is None


def test_leftovers_of_batches_that_are_lost_are_kept_aside() -> None:
    """What lies in `trees/` under a batch's name may be what somebody saved; half a printed record is ours."""
    disk = a_disk(1, True)
    disk.plant("trees/.001.yaml.000003-2026-11-20.part", b"a text of theirs")
    disk.plant("trees/.002.yaml.4711.part", b"of the first version")
    disk.plant("trees/.a note of mine.part", b"mine")
    disk.plant("trees/.001.yaml.part", STANDS[ONE].encode()[:9])
    disk.plant("trees/.002.yaml.part", b"of another program")
    disk.plant("printed/.2026-11-20-00142-4.json.part", b"{half")
    store = Store(disk, hooks())
    store.recover()
    assert f"{KEEPSAKE}: {KEPT}/left-over-001.yaml" in store.told() and len(store.told()) == 3
    files = disk.files()
    assert files[f"{KEPT}/left-over-001.yaml"] == b"a text of theirs" and files[f"{KEPT}/left-over-002.yaml"]
    assert "trees/.001.yaml.part" not in files and files[f"{KEPT}/left-over-002.yaml.2"] == b"of another program"
    assert files["trees/.a note of mine.part"] == b"mine" and "printed/.2026-11-20-00142-4.json.part" not in files


def test_an_overlay_is_a_disk_and_changes_none() -> None:
    disk = a_disk(1, True)
    before = disk.files()
    over = Overlay(disk)
    write(over)  # type: ignore[arg-type]
    assert disk.files() == before
    assert {path: (over.read(path) or b"").decode() for path in AFTER} == AFTER
    assert over.names("trees") == ["001.yaml", "002.yaml", "003.yaml"]
    undo(over)  # type: ignore[arg-type]
    assert {path: (over.read(path) or b"").decode() for path in STANDS} == STANDS and over.read(NEW) is None
    assert over.changed[NEW] is None and disk.files() == before


def test_a_reason_for_what_was_finished_first_stands_before_a_later_fault(tmp_path: Path) -> None:
    folder = make_collection(tmp_path / "c")
    journal = open_journal()
    (folder / FOLDER).mkdir()
    (folder / journal.path).write_text(journal_text(journal), encoding="utf-8")
    assert cut_short(folder) == [CUT_SHORT]
    with pytest.raises(ProblemsFound) as found, opened(folder, hooks(), lambda _: None) as (store, _):
        store.prepare([Entries("trees/none.yaml", [{"date": "2026"}])]).all_or_none()
    first, second = found.value.problems
    assert first.message == "finished a run of 2026-11-25 that was cut short (1 file)" and first.severity == "warning"
    assert "trees/none.yaml can't be written: the file is gone" in second.message
    assert (folder / NEW).read_text("utf-8") == NEW_TEXT and cut_short(folder) == []


def test_a_folder_that_is_held_is_waited_for_and_then_told(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    folder = make_collection(tmp_path / "c")
    monkeypatch.setattr(opening, "PATIENCE_SECONDS", 0.05)
    with opened(folder, hooks(), lambda _: None):
        before = snapshot(folder)
        with (
            pytest.raises(ProblemsFound, match="another benchleaf is writing"),
            opened(folder, hooks(), lambda _: None),
        ):
            raise AssertionError("two hold it")
        with opened(folder, hooks(), lambda _: 7, dry_run=True) as (_, loaded):
            assert loaded == 7 and snapshot(folder) == before


def test_only_regular_files_are_read_and_no_more_than_the_limit(tmp_path: Path) -> None:
    import os

    (tmp_path / "plain").write_bytes(b"12345")
    assert read_regular(tmp_path / "plain", 5) == b"12345"
    with pytest.raises(OSError, match=r"[Tt]oo large"):
        read_regular(tmp_path / "plain", 4)
    with pytest.raises(IsADirectoryError):
        read_regular(tmp_path, 4)
    if hasattr(os, "mkfifo"):
        os.mkfifo(tmp_path / "pipe")
        with pytest.raises(OSError, match="no regular file"):
            RealDisk(tmp_path).read("pipe")
        with pytest.raises(OSError, match="no regular file"):
            read_regular(Path("/dev/zero"), 4)
