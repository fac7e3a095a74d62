"""Batches on a failing disk: nothing typed or saved is lost, nothing is doubled, whatever happens at whichever step."""

from __future__ import annotations

import random
from collections.abc import Callable, Mapping
from datetime import date
from functools import cache

import pytest

from logbook.intake import archive, line_status
from logbook.intake.grammar.lines import Reading
from logbook.intake.plan_items import Item, Plan
from logbook.intake.service import carry_out, keepsakes, take_back
from logbook.storage.batch import Outcome
from logbook.storage.journal import (
    FOLDER,
    KEPT,
    Change,
    Hooks,
    Journal,
    NotNow,
    cut_out,
    journal_text,
    next_id,
    read_journal,
    unfinished,
)
from logbook.storage.placing import keep_aside
from logbook.storage.store import Store

from .failing_disk import KINDS, FailingDisk, Killed, survived

DAY = date(2026, 11, 25)
TREES = tuple(f"trees/{n:03d}.yaml" for n in (1, 2, 3))
RUNS_IN_CI, RUNS_IN_SOAK, CHUNKS = 3_000, 1_000_000, 20


def _line(entry: Mapping[str, object]) -> str:
    return f"- {entry['note']}\n"


def _put_in(text: str, change: Change) -> str | None:
    """A file is its head and a line an entry; half a file is refused as the real one is."""
    if not text.startswith("tag: "):
        raise NotNow("this is no tree")
    missing = [_line(e) for e in change.entries if _line(e) not in text.splitlines(keepends=True)]
    return text + "".join(missing) if missing else None


def _take_out(text: str, change: Change) -> str | None:
    if not any(_line(e) in text.splitlines(keepends=True) for e in change.entries):
        return None
    return cut_out(text, change)


HOOKS = Hooks(_put_in, _take_out, archive.hooks().settle, archive.tidy)


def recover(disk: FailingDisk) -> list[Outcome]:
    return Store(disk, HOOKS).recover()


def a_disk(draw: random.Random) -> FailingDisk:
    return planted(FailingDisk(draw, exchanges=draw.random() < 0.85, watched=TREES))


def planted(disk: FailingDisk) -> FailingDisk:
    for path in TREES:
        disk.plant(path, f"tag: {path}\nlog:\n- before\n".encode())
    return disk


def notes(draw: random.Random) -> list[tuple[str, str]]:
    """(file, words) for each typed line."""
    return [(draw.choice(TREES), f"entry {n}") for n in range(draw.randint(1, 4))]


def session(disk: FailingDisk, typed: list[tuple[str, str]]) -> None:
    """One run of the command: finish what was cut short, keep the text, plan, carry out."""
    store = Store(disk, HOOKS)
    store.recover()
    raw = "".join(f"{path} {words}\n" for path, words in typed).encode()
    name = archive.keep_text(disk, raw, DAY)
    carry_out(store, planned(disk, typed), name, DAY)


def taken_back(disk: FailingDisk) -> None:
    store = Store(disk, HOOKS)
    last = store.last()
    if last is not None:
        take_back(store, last, DAY)


def planned(disk: FailingDisk, typed: list[tuple[str, str]]) -> Plan:
    items = []
    for number, (path, words) in enumerate(typed, start=1):
        reading = Reading(number, f"{path} {words}", (path,))
        entry = {"note": words}
        there = _line(entry) in (disk.read(path) or b"").decode().splitlines(keepends=True)
        items.append(Item(reading, "there" if there else "write", path, f"{path} {words}", words, entry, path=path))
    return Plan(tuple(items))


def sound(disk: FailingDisk, typed: list[tuple[str, str]], *, inside: bool = True) -> None:
    """Everything that must hold once a run has come to its end."""
    files = disk.files()
    for path in TREES:
        text = files[path].decode()
        assert text.startswith(f"tag: {path}\nlog:\n- before\n"), "what stood there still stands there"
        kept = b"".join(data for name, data in files.items() if name.startswith(KEPT))
        for line in disk.saves.get(path, []):
            times = text.count(line.decode())
            assert times == 1 or (times == 0 and line in kept), "what the user saved is there, or kept aside"
        for where, words in typed:
            wanted = 1 if inside and where == path else 0
            assert text.splitlines().count(f"- {words}") == wanted, "every entry once, in its file alone"
    assert not unfinished(disk)
    assert not [p for p in files if p.endswith((".part", ".draft"))], "nothing of ours is left lying about"
    raw = "".join(f"{path} {words}\n" for path, words in typed).encode()
    assert raw in files.values(), "the typed text is kept as it came"
    audit = line_status.audit(disk)
    assert audit.balanced, audit


@cache
def steps(exchanges: bool, typed: tuple[tuple[str, str], ...]) -> int:
    """How many there are in a session in which nothing goes wrong, which hangs on the notes and the disk's kind alone."""
    disk = planted(FailingDisk(random.Random(0), exchanges=exchanges, watched=TREES))
    session(disk, list(typed))
    return disk.points


def one_run(seed: int) -> None:
    """A session struck by a fault at some step, perhaps its recovery by another, then two quiet ones."""
    draw = random.Random(seed)
    typed = notes(random.Random(seed))
    disk = a_disk(draw)
    length = steps(disk.exchanges, tuple(typed))
    for _ in range(draw.choice((1, 1, 2))):
        at = draw.randrange(length)
        saves = tuple(at + draw.randint(-4, 6) for _ in range(draw.choice((0, 0, 1, 3))))
        disk.arm(draw.choice(KINDS), at, saves)
        survived(lambda: session(disk, typed))
    disk.disarm()
    session(disk, typed)
    sound(disk, typed)
    before = disk.files()
    session(disk, typed)
    assert {p: d for p, d in disk.files().items() if p.startswith("trees/")} == {
        p: d for p, d in before.items() if p.startswith("trees/")
    }, "typed again, nothing changes"


def one_undo(seed: int) -> None:
    """A batch taken back while things go wrong: at the end it is in everywhere or out everywhere it can be."""
    draw = random.Random(seed)
    disk, typed = a_disk(draw), notes(draw)
    session(disk, typed)
    disk.arm(draw.choice(KINDS), draw.randrange(40))
    lived = survived(lambda: taken_back(disk))
    disk.disarm()
    recover(disk)
    texts = disk.files()
    for path in TREES:
        text = texts[path].decode()
        assert text.startswith(f"tag: {path}\nlog:\n- before\n")
        assert all(text.count(line.decode()) == 1 for line in disk.saves.get(path, [])), "a save stays"
        assert all(text.splitlines().count(f"- {words}") <= 1 for _, words in typed)
    assert line_status.audit(disk).balanced
    session(disk, typed)
    sound(disk, typed)
    assert lived in (True, False)


@pytest.mark.parametrize("chunk", range(CHUNKS))
def test_a_batch_survives_anything(chunk: int) -> None:
    share = RUNS_IN_CI // CHUNKS
    for seed in range(chunk * share, (chunk + 1) * share):
        one_run(seed)


@pytest.mark.parametrize("chunk", range(4))
def test_an_undo_survives_anything(chunk: int) -> None:
    for seed in range(chunk * 500, (chunk + 1) * 500):
        one_undo(seed)


@pytest.mark.soak
@pytest.mark.parametrize("chunk", range(100))
def test_a_million_batches(chunk: int) -> None:
    share = RUNS_IN_SOAK // 100
    for seed in range(10_000_000 + chunk * share, 10_000_000 + (chunk + 1) * share):
        one_run(seed)


def test_every_step_of_one_session() -> None:
    """Not by chance: each fault at each step of the same session."""
    typed = [(TREES[0], "entry 0"), (TREES[1], "entry 1"), (TREES[0], "entry 2")]
    length = steps(a_disk(random.Random(1)).exchanges, tuple(typed))
    for kind in KINDS:
        for at in range(length):
            disk = a_disk(random.Random(1))
            disk.arm(kind, at)
            survived(lambda disk=disk: session(disk, typed))  # type: ignore[misc]
            disk.disarm()
            session(disk, typed)
            sound(disk, typed)


def test_the_failing_disk_fails() -> None:
    """The disk itself: a power cut drops what was not synced, a full disk stays full, a save is seen."""
    disk = a_disk(random.Random(3))
    disk.arm("power", 4)
    with pytest.raises(Killed):
        disk.write("notes/x", b"words")
        disk.sync_folder("notes")
    assert disk.files().get("notes/x", b"") in {b"words"[:n] for n in range(6)}
    disk.arm("full", 0)
    for _ in range(2):
        with pytest.raises(OSError, match="No space left"):
            disk.write("notes/y", b"words")
    disk.arm("save", 0)
    disk.read(TREES[0])
    assert sum(map(len, disk.saves.values())) == 1


def a_change(old: str, new: str, *words: str) -> Change:
    return Change(TREES[0], old, new, tuple({"note": w} for w in words))


@pytest.mark.parametrize(
    ("old", "new", "now", "left"),
    [
        ("a\nb\n", "a\nb\n- x\n", "a\nb\n- x\n", "a\nb\n"),
        ("a\nb\n", "a\nb\n- x\n", "a\nb\n- x\n# mine\n", "a\nb\n# mine\n"),
        ("a\nb\n", "a\nb\n- x\n", "# mine\na\nc\n- x\nb\n", "# mine\na\nc\nb\n"),
        ("a\nz\n", "a\n- x\nz\n", "a\n- x\nz\nz\n", "a\nz\nz\n"),
        ("a\n- y\n", "a\n- y\n- x\n", "a\n- y\n# between\n- x\n", "a\n- y\n# between\n"),
    ],
)
def test_what_was_put_in_is_cut_out_again(old: str, new: str, now: str, left: str) -> None:
    assert cut_out(now, a_change(old, new, "x")) == left


@pytest.mark.parametrize("now", ["a\nb\n- X\n", "a\nb\n- x\n- x\n", "a\nb\n"])
def test_what_can_not_be_told_apart_stays(now: str) -> None:
    with pytest.raises(NotNow, match="by hand"):
        cut_out(now, a_change("a\nb\n", "a\nb\n- x\n", "x"))


def test_names_of_batches_go_up() -> None:
    disk = a_disk(random.Random(1))
    assert next_id(disk, "2026-11-25") == "000001-2026-11-25"
    for path in (f"{FOLDER}/000007-2026-11-20.json", f"{FOLDER}/done/000012-2026-11-21.json", f"{KEPT}/000013-x"):
        disk.plant(path, b"{}")
    assert next_id(disk, "2026-11-25") == "000014-2026-11-25"


def test_what_is_kept_aside_never_covers_another() -> None:
    disk = a_disk(random.Random(1))
    for n in range(3):
        disk.plant("trees/.x.part", f"text {n}".encode())
        keep_aside(disk, "trees/.x.part", "x")
    kept = {p.rpartition("/")[2]: d for p, d in disk.files().items() if p.startswith(KEPT)}
    assert sorted(kept.values()) == [b"text 0", b"text 1", b"text 2"] and set(kept) == {"x", "x.2", "x.3"}
    disk.arm("power", 0)
    survived(lambda: disk.read("x"))
    assert sum(p.startswith(KEPT) for p in disk.files()) == 3, "and is there after a power cut"


@pytest.mark.parametrize(
    "spoil",
    [
        lambda j: j.replace('"- before', '"- after'),
        lambda j: j.replace('"path": "trees/001.yaml"', '"path": "trees/../collection.yaml"'),
        lambda j: j.replace('"path": "trees/001.yaml"', '"path": "collection.yaml"'),
        lambda j: j[:-20],
        lambda _: "[]",
        lambda j: j.replace('"kind"', '"sort"'),
    ],
)
def test_a_journal_that_was_touched_is_not_followed(spoil: Callable[[str], str]) -> None:
    """It is moved aside whole; no file is written from it."""
    disk = a_disk(random.Random(1))
    old = disk.files()[TREES[0]].decode()
    journal = Journal("000001-2026-11-25", "2026-11-25", "n.txt", (a_change("- before\n", old + "- x\n", "x"),), ())
    assert read_journal_of(disk, journal_text(journal)) == journal
    spoiled = spoil(journal_text(journal))
    disk.plant(f"{FOLDER}/000001-2026-11-25.json", spoiled.encode())
    before = disk.files()[TREES[0]]
    assert recover(disk) == [] and disk.files()[TREES[0]] == before
    assert disk.files()[f"{KEPT}/000001-2026-11-25.json"] == spoiled.encode()


def read_journal_of(disk: FailingDisk, text: str) -> Journal | None:
    disk.plant("x.json", text.encode())
    return read_journal(disk, "x.json")


def leftovers(exchanges: bool, **files: bytes) -> tuple[FailingDisk, Journal]:
    """A disk after a run that was cut short: which of its files lie about, and the open journal."""
    disk = FailingDisk(random.Random(2), exchanges=exchanges, watched=TREES)
    names = {
        "now": TREES[0],
        "part": "trees/.001.yaml.000001-2026-11-25.part",
        "old": "trees/.001.yaml.000001-2026-11-25.old",
    }
    for name, data in files.items():
        disk.plant(names[name], data)
    journal = Journal("000001-2026-11-25", "2026-11-25", "", (a_change(OLD.decode(), NEW.decode(), "x"),), ())
    disk.plant(journal.path, journal_text(journal).encode())
    return disk, journal


OLD, NEW = b"tag: 1\n- before\n", b"tag: 1\n- before\n- x\n"
THEIRS, BOTH = b"tag: 1\n- before\n# mine\n", b"tag: 1\n- before\n# mine\n- x\n"
LATER = b"tag: 1\n- before\n# later\n"


@pytest.mark.parametrize(
    ("exchanges", "files", "ends", "kept"),
    [
        (True, {"now": OLD, "part": NEW}, NEW, []),
        (True, {"now": NEW, "part": OLD}, NEW, []),
        (True, {"now": NEW, "part": THEIRS}, BOTH, []),
        (True, {"now": THEIRS, "part": OLD}, BOTH, []),
        (True, {"now": LATER, "part": THEIRS}, LATER + b"- x\n", [THEIRS]),
        (True, {"now": NEW + b"# mine\n", "part": THEIRS}, NEW + b"# mine\n", [THEIRS]),
        (True, {"now": THEIRS, "part": NEW + b"# mine\n"}, BOTH, [NEW + b"# mine\n"]),
        (False, {"now": NEW + b"# mine\n", "old": THEIRS}, NEW + b"# mine\n", [THEIRS]),
        (True, {"now": THEIRS}, BOTH, []),
        (False, {"old": OLD, "part": NEW}, NEW, []),
        (False, {"old": THEIRS, "part": NEW}, BOTH, []),
        (False, {"now": NEW, "old": OLD, "part": NEW}, NEW, [OLD]),
        (False, {"now": NEW, "old": THEIRS, "part": NEW}, BOTH, []),
        (False, {"now": LATER, "old": THEIRS, "part": NEW}, LATER + b"- x\n", [THEIRS]),
        (False, {"now": THEIRS, "old": THEIRS}, BOTH, []),
        (False, {"now": NEW, "old": NEW}, NEW, []),
        (False, {"now": NEW, "part": NEW}, NEW, []),
    ],
)
def test_every_way_a_run_may_have_been_cut_short(
    exchanges: bool, files: dict[str, bytes], ends: bytes, kept: list[bytes]
) -> None:
    disk, journal = leftovers(exchanges, **files)
    (outcome,) = recover(disk)
    assert outcome.refused == {} and outcome.journal == journal
    left = disk.files()
    assert left[TREES[0]] == ends
    aside = {p: d for p, d in left.items() if p.startswith(KEPT)}
    assert list(aside.values()) == kept and set(aside) <= {f"{KEPT}/{journal.id}-001.yaml"}
    assert not [p for p in left if p.startswith("trees/.")] and f"{FOLDER}/done/{journal.id}.json" in left
    disk.arm("power", 0)
    survived(lambda: disk.read("x"))
    assert disk.files() == left, "and a power cut right after changes nothing"


class _Busy(FailingDisk):
    """Somebody saves just before the new text goes in, every time."""

    def swap(self, one: str, other: str) -> bool:
        if b"- x" not in self.files()[other]:
            self._user_saves(in_place=False)
        return super().swap(one, other)


def test_a_file_saved_again_and_again_is_given_up_for_now() -> None:
    disk, _ = leftovers(True, now=OLD)
    disk.__class__, disk.watched = _Busy, (TREES[0],)
    (outcome,) = recover(disk)
    assert "again and again" in outcome.refused[TREES[0]]
    text = disk.files()[TREES[0]].decode()
    kept = b"".join(d for p, d in disk.files().items() if p.startswith(KEPT)).decode()
    saves = disk.saves[TREES[0]]
    assert len(saves) == 8 and kept == "" and all(text.count(line.decode()) == 1 for line in saves)


def test_a_file_that_is_gone_or_no_text_is_told() -> None:
    disk, _ = leftovers(True)
    assert recover(disk)[0].refused == {TREES[0]: "the file is gone"}
    disk, _ = leftovers(True, now=b"\xff\xfe")
    assert recover(disk)[0].refused == {TREES[0]: "the file is not UTF-8 text"}
    assert disk.files()[TREES[0]] == b"\xff\xfe"


class _Saver(FailingDisk):
    """Somebody saves under the name that is free for an instant, where two files can't be exchanged."""

    def link(self, source: str, target: str) -> None:
        if target == TREES[0] and target not in self.files():
            self.plant(target, LATER)
        super().link(source, target)


def test_a_save_under_the_free_name_stays_and_the_old_text_is_kept() -> None:
    disk, journal = leftovers(False, now=OLD)
    disk.__class__ = _Saver
    (outcome,) = recover(disk)
    left = disk.files()
    assert [f"{KEPT}/{name}" for name in outcome.kept] == [p for p in left if p.startswith(KEPT)]
    assert all(KEPT in problem.message for problem in keepsakes(outcome)) and keepsakes(outcome)
    assert outcome.refused == {} or "again and again" in outcome.refused[TREES[0]]
    assert left[TREES[0]].startswith(LATER) and OLD in [d for p, d in left.items() if p.startswith(KEPT)]
    assert not [p for p in left if p.startswith("trees/.")] and journal.kind == "write"
