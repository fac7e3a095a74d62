"""The evening: what it says first, what Enter does, which verbs its numbers stand for, and where what was read goes."""

from __future__ import annotations

import io
import shlex
import shutil
from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path

import pytest

from logbook.cli.evening import MENU, collection_near, evening
from logbook.cli.evening_state import told, tonight
from logbook.cli.inbox import INBOX, READ, look_into, of_sheets, put_away
from logbook.cli.results import Result
from logbook.storage.printed import Ledger

from ..conftest import DEMO, Answer
from .terminal import sit

DAY = date(2026, 11, 25)
Bench = Callable[..., Answer]


@dataclass
class Asked:
    """Stands in for the verbs: keeps what was asked for."""

    ran: list[tuple[str, ...]] = field(default_factory=list)
    result: Result | None = field(default_factory=lambda: Result(data={"filed": True}))

    def do(self, _folder: Path) -> Callable[..., Result | None]:
        def run(words: Sequence[str], begun: str = "") -> Result | None:
            self.ran.append((*words, begun) if begun else tuple(words))
            return self.result

        return run


@pytest.fixture
def sitting(demo: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> Callable[..., str]:
    """Answers typed into an evening with the demo; gives the screen."""

    def sat(asked: Asked, *answers: str) -> str:
        monkeypatch.setattr("sys.stdin", io.StringIO("".join(f"{answer}\n" for answer in answers)))
        capsys.readouterr()
        assert evening([demo], DAY, asked.do) == 0
        return capsys.readouterr().out

    return sat


def test_enter_alone_prints_then_types_then_leaves(sitting: Callable[..., str]) -> None:
    asked = Asked()
    sitting(asked, "", "", "")
    assert [words[0] for words in asked.ran] == ["sheets", "walk", "reconcile"]


def test_each_answer_names_its_command(sitting: Callable[..., str]) -> None:
    asked = Asked()
    screen = sitting(asked, "1", "3", "004", "slow water", "", "5", "5", "larch, east", "q")
    for words in asked.ran:
        assert f"(benchleaf {shlex.join(words)})" in screen
    assert asked.ran == [
        ("reconcile", "-", "--ask"),
        ("due",),
        ("due", "--why", "004"),
        ("due", "--why", "004"),
        ("find", "larch, east"),
    ]


@pytest.mark.parametrize(
    ("answers", "ran"),
    [
        (("5", "1"), []),  # nothing waits
        (("5", "2"), [("walk", "--first-look")]),
        (("5", "3", "003 004"), [("tags", "--tag", "003", "--tag", "004")]),
        (("5", "3", ""), [("tags",)]),
        (("5", "4"), [("cards", "roll")]),
        (("5", "6", "Larix decidua", ""), [("add", "013", "--species", "Larix decidua")]),
        (("5", "6", "larch", "77"), [("add", "77", "--species", "larch")]),
        (("5", "7", "003", "Sold", ""), [("end", "003", "--how", "sold")]),
        (("5", "7", "slow water", "sold", "y"), [("end", "004", "--how", "sold")]),
        (("5", "7", "3", "sold", "no"), []),
        (("5", "7", "3", "dead", ""), [("end", "003", "--how", "died")]),
        (("5", "7", "003", "eaten"), []),
        (("5", "7", "999"), []),
        (("5", "8"), [("undo",)]),
        (("5", "9"), [("check",)]),
        (("5", ""), []),
        (("5", "nonsense"), []),
        (("nonsense",), []),
        (("5", "7", ""), []),
    ],
)
def test_what_stands_behind_the_numbers(
    sitting: Callable[..., str], answers: tuple[str, ...], ran: list[tuple[str, ...]]
) -> None:
    asked = Asked()
    sitting(asked, *answers, "q")
    assert [words[: len(words) - 2] if "-o" in words else words for words in asked.ran] == ran


@pytest.mark.parametrize(
    ("answers", "ran"),
    [
        (("Larix kaempfery", "1", ""), ("add", "013", "--species", "Larix kaempferi")),
        (("black pine", "1", ""), ("add", "013", "--species", "Pinus thunbergii")),
        (("Wollemia nobilis", "cypress", "77"), ("add", "77", "--species", "Wollemia nobilis", "--group", "cypress")),
        (("Wollemia nobilis", "99", "1", ""), ("add", "013", "--species", "Wollemia nobilis", "--group", "two-flush pine")),
        (("Acer quidquid", "none of these: I choose how it grows", "1", ""), ("add", "013", "--species", "Acer quidquid", "--group", "maple")),
        (("Wollemia nobilis", ""), ()),
        (("Larix kaempfery", ""), ()),
    ],
)  # fmt: skip
def test_a_species_that_is_not_known_leads_on(
    demo: Path, bench: Bench, sitting: Callable[..., str], answers: tuple[str, ...], ran: tuple[str, ...]
) -> None:
    """By numbers, and what is chosen can be added: no answer ends in a refusal."""
    asked = Asked()
    screen = sitting(asked, "5", "6", *answers, "q")
    assert asked.ran == ([ran] if ran else []) and (bool(ran) or "no tree was added" in screen)
    if ran:
        done = bench(*ran, "--today", DAY, folder=demo)
        assert done.code == 0 and (demo / "trees" / f"{ran[1]}.yaml").is_file(), done.all


def test_nobody_there_any_more_ends_it(sitting: Callable[..., str]) -> None:
    asked = Asked()
    sitting(asked)
    assert not asked.ran


@pytest.mark.parametrize("typed", ["tree 014", "Walk 00142-4", "sheet: 00142-4", "00142-4", "trees 3 14"])
def test_notes_typed_at_the_menu_are_notes(sitting: Callable[..., str], typed: str) -> None:
    asked = Asked()
    sitting(asked, typed, "q")
    assert asked.ran == [("reconcile", "-", "--ask", typed)]


@pytest.mark.parametrize("away", ["q", "Quit", "exit"])
def test_leaving(sitting: Callable[..., str], away: str) -> None:
    asked = Asked()
    sitting(asked, away, "1")
    assert not asked.ran


def in_inbox(folder: Path, **files: bytes) -> None:
    """Drop files into the inbox; the first underscore of a name is its stop."""
    for name, data in files.items():
        (folder / INBOX / name.replace("_", ".", 1)).write_bytes(data)


PNG = b"\x89PNG\r\n\x1a\n"


def test_an_inbox_is_told_by_what_its_files_are(demo: Path) -> None:
    in_inbox(demo, a_txt=b"tree 003\n14 oct looked\n", b_txt=PNG, c_pdf=b"%PDF-1.7\n", d_json=b'{"answers": 1}')
    in_inbox(demo, e_zip=b"PK\x03\x04", f_bin=b"\0\1\2", g_txt="tree 003".encode("utf-16"), h_txt=b"  \n")
    (demo / INBOX / ".hidden.txt").write_text("tree 003")
    (demo / INBOX / "link.txt").symlink_to(demo / "collection.yaml")
    (demo / INBOX / "folder").mkdir()
    found = look_into(demo)
    names = {
        kind: [path.name for path in getattr(found, kind)]
        for kind in ("notes", "answers", "pictures", "papers", "archives", "strange")
    }
    assert names == {
        "notes": ["a.txt", "g.txt"],
        "answers": ["d.json"],
        "pictures": ["b.txt"],
        "papers": ["c.pdf"],
        "archives": ["e.zip"],
        "strange": ["f.bin", "h.txt", "link.txt"],
    }
    assert found.waiting == 6


def test_each_kind_goes_to_its_verb_and_is_put_away(demo: Path, sitting: Callable[..., str]) -> None:
    in_inbox(demo, a_txt=b"tree 003\n14 oct looked\n", b_jpg=PNG, c_pdf=b"%PDF-1.7\n", d_json=b'{"answers": 1}')
    in_inbox(demo, e_zip=b"PK\x03\x04", f_bin=b"\0\1\2")
    asked = Asked()
    screen = sitting(asked, "", "q")
    box = demo / INBOX
    assert [words[:2] for words in asked.ran] == [
        ("reconcile", str(box / "a.txt")),
        ("reconcile", str(box / "d.json")),
        ("reconcile", str(box / "c.pdf")),
        ("photos", str(box / "b.jpg")),
        ("add", "--handover"),
    ]
    assert "f.bin is nothing that can be read" in screen
    left = sorted(path.name for path in box.iterdir())
    assert left == ["f.bin", READ]
    assert sorted(path.name for path in (box / READ / "2026-11-25").iterdir()) == [
        "a.txt",
        "b.jpg",
        "c.pdf",
        "d.json",
        "e.zip",
    ]


@pytest.mark.parametrize("result", [None, Result(data={"filed": False}), Result()])
def test_what_was_not_taken_in_stays(demo: Path, sitting: Callable[..., str], result: Result | None) -> None:
    in_inbox(demo, a_txt=b"tree 003\n14 oct looked\n")
    sitting(Asked(result=result), "", "q")
    assert (demo / INBOX / "a.txt").read_bytes() == b"tree 003\n14 oct looked\n"


def test_a_file_that_can_not_be_read_is_told_once_and_kept(demo: Path) -> None:
    """Byte for byte, in a folder of its own: the next evening begins without it, and what could be read was."""
    broken = b"tree 003\n14 nov moss \xff\xfe yellow\n"
    in_inbox(demo, broken_txt=broken, good_txt="tree 003\n13 nov müde\n".encode("cp1252"))
    in_inbox(demo, bad_jpg=PNG + b"no picture", bad_zip=b"PK\x03\x04 no archive")
    sat = sit(demo, ["", "", "q"], "--day", DAY.isoformat())
    assert sat.code == 0 and "Traceback" not in sat.screen
    assert "byte 0xff is not UTF-8 text" in sat.screen and "was saved as Windows-1252" in sat.screen, sat.screen
    room = demo / INBOX / "not-read" / "2026-11-25"
    assert sorted(path.name for path in room.iterdir()) == ["bad.jpg", "bad.zip", "broken.txt"]
    assert (room / "broken.txt").read_bytes() == broken
    assert "broken.txt: kept as it is in inbox/not-read/2026-11-25/, and not asked for again" in sat.screen
    assert "müde" in (demo / "trees" / "003.yaml").read_text("utf-8")
    assert [path.name for path in (demo / INBOX / READ / "2026-11-25").iterdir()] == ["good.txt"]
    assert not look_into(demo).waiting


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-16-le", "utf-16-be", "cp1252"])
def test_notes_are_read_in_the_encodings_that_can_be_told(demo: Path, bench: Bench, encoding: str) -> None:
    text = "tree 003\n\n14 nov märkte 20° im Schatten – fein\n"
    (demo / INBOX).mkdir(exist_ok=True)
    path = demo / INBOX / "n.txt"
    path.write_bytes(text.encode(encoding))
    assert look_into(demo).notes == [path]
    told = bench("reconcile", path, "--yes", "--today", DAY, folder=demo)
    assert told.code == 0 and ("was saved as" in told.out) is (encoding[:5] != "utf-8"), told.all
    assert "märkte 20° im Schatten – fein" in (demo / "trees" / "003.yaml").read_text("utf-8")
    assert '"balanced": true' in bench("waiting", "--json", folder=demo).out


@pytest.mark.parametrize(
    "raw",
    [
        b"tree 003\n14 nov moss \xff\xfe\n",
        "tree 003\n14 nov für \n".encode() + b"moss \xe4\n",  # UTF-8 with a damaged byte
        b"tree 003\n14 nov \x81 moss\n",  # no sign of Windows-1252
        "tree 003\n14 nov 黒松\n".encode("cp932"),
    ],
)
def test_what_can_not_be_told_is_not_guessed(demo: Path, bench: Bench, raw: bytes) -> None:
    (demo.parent / "n.txt").write_bytes(raw)
    told = bench("reconcile", demo.parent / "n.txt", "--yes", "--today", DAY, folder=demo)
    assert told.code == 1 and "is not UTF-8" in told.err and "kept in notes/" in told.err


def test_putting_away_never_writes_over_anything(demo: Path) -> None:
    for text in (b"one", b"two", b"three"):
        in_inbox(demo, a_txt=text)
        put_away(demo, [demo / INBOX / "a.txt"], DAY)
    room = demo / INBOX / READ / "2026-11-25"
    assert {path.name: path.read_bytes() for path in room.iterdir()} == {
        "a.txt": b"one",
        "a 2.txt": b"two",
        "a 3.txt": b"three",
    }


def test_pictures_that_can_not_be_opened_are_not_taken_for_sheets(demo: Path) -> None:
    in_inbox(demo, a_jpg=PNG)
    assert of_sheets([demo / INBOX / "a.jpg"], Ledger()) == ([], [demo / INBOX / "a.jpg"])


def test_six_lines_at_most(demo: Path, bench: Bench) -> None:
    (demo / "trees" / "099.yaml").write_text("tag: [", encoding="utf-8")
    in_inbox(demo, a_txt=b"tree 003\n14 oct looked\n")
    (demo.parent / "n.txt").write_text("tree 003\n14 oct wire off 99\n", encoding="utf-8")
    bench("reconcile", demo.parent / "n.txt", "--yes", "--today", DAY, folder=demo)
    lines = told(tonight(demo, DAY))
    assert 5 <= len(lines) <= 6 and "1 file with a fault" in lines[1] and "1 line you wrote waits" in lines[3], lines


def test_wire_that_comes_off_soon_and_the_one_first_job(demo: Path) -> None:
    assert told(tonight(demo, DAY))[1:] == ["first: 004 Slow Water: cleaning sprays"]
    assert "wire off: 004 by 24 Aug" in told(tonight(demo, date(2027, 8, 15)))
    assert "wire off: 004 overdue" in told(tonight(demo, date(2027, 9, 20)))
    assert not any(line.startswith("wire") for line in told(tonight(demo, date(2027, 7, 25))))


def test_after_a_silence_a_first_look_comes_before_dates(demo: Path) -> None:
    now = tonight(demo, date(2028, 11, 25))
    assert now.silent and told(now)[-1].startswith("of many trees nothing was written for a year")


def test_what_was_typed_and_not_written_is_told_and_read_again(demo: Path, sitting: Callable[..., str]) -> None:
    (demo / "notes").mkdir(exist_ok=True)
    name = "2026-11-24-0123456789ab.txt"
    (demo / "notes" / name).write_text("tree 003\n14 oct looked\n", encoding="utf-8")
    asked = Asked()
    screen = sitting(asked, "5", "1", "q")
    assert f"1 text you typed and did not write yet: {name}" in screen
    assert asked.ran == [("reconcile", str(demo / "notes" / name), "--ask")]
    (demo / "notes" / name).rename(demo / "notes" / "2026-09-24-0123456789ab.txt")
    assert "did not write" not in sitting(Asked(), "q")


def test_what_no_question_can_settle_may_be_set_aside(demo: Path, bench: Bench, sitting: Callable[..., str]) -> None:
    (demo.parent / "n.txt").write_text("tree 999\n14 oct looked\n", encoding="utf-8")
    bench("reconcile", demo.parent / "n.txt", "--yes", "--today", DAY, folder=demo)
    asked = Asked()
    sitting(asked, "5", "1", "1", "", "q")
    assert [words[0] for words in asked.ran] == ["reconcile", "waiting", "waiting", "waiting"]
    assert ("waiting", "--dismiss", "1") in asked.ran


def test_paper_of_one_day_does_not_take_the_others_place(demo: Path, sitting: Callable[..., str]) -> None:
    (demo / "print").mkdir()
    (demo / "print" / "walk 2026-11-25.pdf").write_bytes(b"%PDF-")
    asked = Asked()
    sitting(asked, "4", "q")
    assert [words[-1].rpartition("/")[2] for words in asked.ran] == [
        "sheets 2026-11-25.pdf",
        "walk 2026-11-25 2.pdf",
    ]


def test_where_there_is_no_collection_the_help_says_how_one_begins(tmp_path: Path, bench: Bench) -> None:
    answer = bench(folder=tmp_path)
    assert answer.code == 2 and "'benchleaf start my-trees' makes one" in answer.out


def test_near_collections(demo: Path, bench: Bench) -> None:
    assert collection_near(demo) == [demo] and collection_near(demo / "trees") == [demo.resolve()]
    assert collection_near(demo.parent) == [demo]
    bench("start", demo.parent / "other")
    assert collection_near(demo.parent) == [demo, demo.parent / "other"]
    assert collection_near(demo.parent / "nowhere") == []


def test_which_of_several(demo: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    for typed, opened in (("2\nq\n", 1), ("\nq\n", 1), ("7\nq\n", 0), ("x\n2\nq\n", 1), ("x\n", 0), ("", 0)):
        asked: list[Path] = []

        def do_in(folder: Path, asked: list[Path] = asked) -> Callable[[Sequence[str]], Result | None]:
            asked.append(folder)
            return lambda _words: None

        monkeypatch.setattr("sys.stdin", io.StringIO(typed))
        assert evening([demo, demo], DAY, do_in) == 0
        assert len(asked) == opened


def test_without_a_terminal_it_is_the_help(demo: Path, bench: Bench) -> None:
    answer = bench(folder=demo)
    assert answer.code == 2 and "write back:" in answer.out and "says what waits" in answer.out


@pytest.mark.long
def test_an_evening_by_somebody_who_knows_one_word(demo: Path) -> None:
    """Paper first, then notes with a slip, then Enter leaves: no verb typed, and each step's fault ends the step alone."""
    answers = ("", "", "tree 3", "14 nov wired 1 2 copper 2.5", "15 nov needls thinned", "", "", "", "5", "7", "003")
    sat = sit(demo, [*answers, "eaten", "5", "8", "", "5", "5", "--xyz", "q"], "--day", DAY.isoformat())
    assert sat.code == 0 and not sat.left, sat.screen
    assert "wrote 2 entries into 1 file" in sat.screen and "Traceback" not in sat.screen
    assert "'eaten' is none of these" in sat.screen and "taken out of 1 file" in sat.screen, sat.screen
    assert sat.screen.count("003 14 Nov 2026  wiring, branches 1, 2, copper 2.5 mm") == 1, (
        "once, in the words of paper"
    )
    assert "date: 2026-11-14" not in sat.screen and "trees/003.yaml  {" not in sat.screen
    assert (demo / "print" / "walk 2026-11-25.pdf").is_file() and (demo / "print" / "sheets 2026-11-25.pdf").is_file()
    assert "2026-11-14" not in (demo / "trees" / "003.yaml").read_text("utf-8")


def test_the_readme_shows_the_menu_as_it_is() -> None:
    shown = (DEMO.parent / "README.md").read_text("utf-8").partition("## The evening")[2].partition("\n## ")[0]
    block = shown.split("```")[1].strip().splitlines()
    assert block[-6:] == [*(f"{key} {what}" for key, what in MENU.items()), "[2]"]
    assert len(block[: block.index("")]) <= 6


def test_a_folder_in_the_inbox_is_looked_into_and_a_link_is_told(demo: Path, sitting: Callable[..., str]) -> None:
    """A telephone's pictures come in a folder of their own; what is no file is named, and stays."""
    box = demo / INBOX
    (box / "roll").mkdir(parents=True)
    (box / "roll" / "walk.txt").write_text("tree 004\n20 nov looked\n", encoding="utf-8")
    (box / "away.txt").symlink_to(demo / "collection.yaml")
    found = look_into(demo)
    assert [path.name for path in found.notes] == ["walk.txt"] and [path.name for path in found.strange] == [
        "away.txt"
    ]
    asked = Asked()
    screen = sitting(asked, "2", "q")
    assert asked.ran[0][:2] == ("reconcile", str(box / "roll" / "walk.txt")) and "away.txt is nothing" in screen


def test_pictures_left_alone_are_kept_and_named(demo: Path, sitting: Callable[..., str]) -> None:
    """A picture of no tree, or of a day to come, was not read: it is put aside with a word."""
    from ..photos.test_pictures import at

    (demo / INBOX).mkdir(exist_ok=True)
    path = demo / INBOX / "P1.jpg"
    path.write_bytes(at(9))
    left = {
        "photos": [],
        "left": [{"file": str(path), "why": "alone"}],
        "tags": [],
        "there": [],
        "questions": [],
        "filed": True,
    }
    screen = sitting(Asked(result=Result(data=left)), "2", "q")
    assert (demo / INBOX / "not-read" / "2026-11-25" / "P1.jpg").is_file()
    assert "P1.jpg: kept as it is in inbox/not-read/2026-11-25/" in screen


def test_a_file_in_the_place_of_the_inbox_is_no_reason_to_stay_out(demo: Path, sitting: Callable[..., str]) -> None:
    shutil.rmtree(demo / INBOX, ignore_errors=True)
    (demo / INBOX).write_text("x")
    assert "4 print what to carry" in sitting(Asked(), "q")


def test_pictures_that_were_not_agreed_to_stay(demo: Path, sitting: Callable[..., str]) -> None:
    from ..photos.test_pictures import at

    (demo / INBOX).mkdir(exist_ok=True)
    path = demo / INBOX / "004-front.jpg"
    path.write_bytes(at(9))
    planned = {
        "photos": [{"file": str(path)}],
        "left": [{"file": str(path), "why": ""}],
        "tags": [],
        "there": [],
        "questions": [],
    }
    sitting(Asked(result=Result(3, data={**planned, "filed": False})), "2", "q")
    assert path.is_file()
