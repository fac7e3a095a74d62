"""Batches on a failing disk: nothing typed or saved is lost, nothing is doubled, whatever happens at whichever step."""

from __future__ import annotations

import random
from collections.abc import Mapping
from datetime import date

import pytest

from logbook.notes import keeping
from logbook.notes.filing import carry_out, take_back
from logbook.notes.reconcile import Item, Plan
from logbook.notes.shorthand import Reading
from logbook.record.batch import Change, Hand, NotNow, cut_out, recover, unfinished

from .failing_disk import KINDS, FailingDisk, Killed, survived

DAY = date(2026, 11, 25)
TREES = tuple(f"trees/{n:03d}.yaml" for n in (1, 2, 3))
RUNS_IN_CI, RUNS_IN_SOAK, CHUNKS = 20_000, 1_000_000, 20


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


HAND = Hand(_put_in, _take_out, keeping.the_hand().settle)


def a_disk(draw: random.Random) -> FailingDisk:
    disk = FailingDisk(draw, exchanges=draw.random() < 0.85, watched=TREES)
    for path in TREES:
        disk.plant(path, f"tag: {path}\nlog:\n- before\n".encode())
    return disk


def notes(draw: random.Random) -> list[tuple[str, str]]:
    """(file, words) for each typed line."""
    return [(draw.choice(TREES), f"entry {n}") for n in range(draw.randint(1, 4))]


def session(disk: FailingDisk, typed: list[tuple[str, str]]) -> None:
    """One run of the command: finish what was cut short, keep the text, plan, carry out."""
    keeping.start(disk, HAND)
    raw = "".join(f"{path} {words}\n" for path, words in typed).encode()
    name = keeping.keep_text(disk, raw, DAY)
    carry_out(disk, HAND, planned(disk, typed), name, DAY)


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
        for line in disk.saves.get(path, []):
            assert text.count(line.decode()) == 1, "what the user saved is there, once"
        for where, words in typed:
            wanted = 1 if inside and where == path else 0
            assert text.splitlines().count(f"- {words}") == wanted, "every entry once, in its file alone"
    assert not unfinished(disk)
    assert not [p for p in files if p.endswith((".part", ".draft"))], "nothing of ours is left lying about"
    raw = "".join(f"{path} {words}\n" for path, words in typed).encode()
    assert raw in files.values(), "the typed text is kept as it came"
    audit = keeping.audit(disk)
    assert audit.balanced, audit


def steps(disk: FailingDisk, typed: list[tuple[str, str]]) -> int:
    disk.disarm()
    session(disk, typed)
    return disk.points


def one_run(seed: int) -> None:
    """A session struck by a fault at some step, perhaps its recovery by another, then two quiet ones."""
    draw = random.Random(seed)
    typed = notes(random.Random(seed))
    length = steps(a_disk(random.Random(seed)), notes(random.Random(seed)))
    disk = a_disk(draw)
    for _ in range(draw.choice((1, 1, 2))):
        disk.arm(draw.choice(KINDS), draw.randrange(length))
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
    lived = survived(lambda: take_back(disk, HAND, DAY))
    disk.disarm()
    recover(disk, HAND)
    texts = disk.files()
    for path in TREES:
        text = texts[path].decode()
        assert text.startswith(f"tag: {path}\nlog:\n- before\n")
        assert all(text.count(line.decode()) == 1 for line in disk.saves.get(path, []))
        assert all(text.splitlines().count(f"- {words}") <= 1 for _, words in typed)
    assert keeping.audit(disk).balanced
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
    length = steps(a_disk(random.Random(1)), typed)
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
