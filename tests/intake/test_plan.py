"""The table of cases: what a typed line leads to, whatever has happened since the sheet was printed."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import date
from pathlib import Path

import pytest

from logbook.storage.printed import Offered, Sheet, run_text

from ..conftest import Answer, make_collection, snapshot

TREE = (
    'tag: "{0}"\nspecies: Acer palmatum\nlog:\n  - {{date: 2026-01-10, found: {{stage: ramification, vigour: 3}}}}\n'
)
Bench = Callable[..., Answer]


class Garden:
    """Two trees, a sheet of each, and a way to type notes."""

    def __init__(self, folder: Path, bench: Bench) -> None:
        self.folder, self.bench = make_collection(folder / "c", {t: TREE.format(t) for t in ("001", "002")}), bench
        sheets = [
            Sheet(
                serial,
                date(2026, 10, 1),
                "pocket-a6",
                1,
                "metric",
                (tag,),
                {str(n): tag for n in range(1, 13)},
                (Offered("A", tag, "repotting"), Offered("C", tag, "look-over")),
            )
            for serial, tag in (("00142-4", "001"), ("00143-2", "002"))
        ]
        (self.folder / "printed").mkdir()
        (self.folder / "printed" / "a.json").write_text(run_text(sheets), encoding="utf-8")

    def type(self, text: str, *more: str, today: str = "2026-11-20") -> Answer:
        path = self.folder.parent / "typed.txt"
        path.write_text(text, encoding="utf-8")
        return self.bench("reconcile", path, "--yes", "--today", today, *more, folder=self.folder)

    def fates(self, text: str, *more: str, today: str = "2026-11-20") -> list[tuple[str, str]]:
        answer = self.type(text, "--json", *more, today=today)
        return [(i["fate"], i["why"]) for i in json.loads(answer.out)["items"]]

    def tree(self, tag: str = "001") -> str:
        return (self.folder / "trees" / f"{tag}.yaml").read_text("utf-8")


@pytest.fixture
def garden(tmp_path: Path, bench: Bench) -> Garden:
    from logbook.storage.printed import is_serial

    assert is_serial("00142-4") and is_serial("00143-2")
    return Garden(tmp_path, bench)


LINE = "sheet 00142-4\n1 14 oct wired 1 2 copper 2.5\n"


def test_same_words_again(garden: Garden) -> None:
    assert garden.fates(LINE) == [("write", "")]
    before = snapshot(garden.folder / "trees")
    assert garden.fates(LINE) == [("there", "")]
    assert garden.fates(LINE.replace("wired 1 2", "wired  1, 2")) == [("there", "")], (
        "spelt otherwise, it means the same"
    )
    assert snapshot(garden.folder / "trees") == before


def test_same_line_other_words_is_a_conflict_that_shows_both(garden: Garden) -> None:
    garden.type(LINE)
    before = garden.tree()
    ((fate, why),) = garden.fates(LINE.replace("2.5", "3"))
    assert fate == "question" and "copper 2.5 mm" in why
    assert garden.tree() == before
    assert garden.fates(LINE.replace("2.5", "3"), "--take", "new") == [("write", "")]
    assert before.strip() in garden.tree(), "the old entry is untouched"
    assert "replaces: 00142-4/1" in garden.tree()
    due = garden.bench("due", "--why", "001", "--today", "2026-11-20", "--json", folder=garden.folder)
    assert len(json.loads(due.out)["wires"]) == 1, "the replaced wire does not count"
    assert garden.fates(LINE.replace("2.5", "3"))[0][0] in ("there", "question")


def test_a_corrected_line_typed_again_is_there(garden: Garden) -> None:
    garden.type(LINE)
    garden.type(LINE.replace("2.5", "3"), "--take", "new")
    before = snapshot(garden.folder / "trees")
    garden.type(LINE.replace("2.5", "3"), "--take", "new")
    assert snapshot(garden.folder / "trees") == before


def test_edited_by_hand_since(garden: Garden) -> None:
    garden.type(LINE)
    path = garden.folder / "trees" / "001.yaml"
    path.write_text(garden.tree().replace("wire: 2.5", "wire: 3.5"), encoding="utf-8")
    before = garden.tree()
    ((fate, why),) = garden.fates(LINE)
    assert fate == "there" and "edited by hand" in why and garden.tree() == before


def test_removed_by_hand_is_asked_never_brought_back(garden: Garden) -> None:
    before = garden.tree()
    garden.type(LINE)
    (garden.folder / "trees" / "001.yaml").write_text(before, encoding="utf-8")
    ((fate, why),) = garden.fates(LINE)
    assert fate == "question" and "removed by hand" in why
    assert garden.tree() == before


def test_without_notes_folder_retyping_still_adds_nothing(garden: Garden) -> None:
    import shutil

    garden.type(LINE)
    shutil.rmtree(garden.folder / "notes")
    before = garden.tree()
    assert garden.fates(LINE) == [("there", "")]
    assert garden.tree() == before


def test_tree_file_renamed(garden: Garden) -> None:
    (garden.folder / "trees" / "001.yaml").rename(garden.folder / "trees" / "ridge.yaml")
    assert garden.fates(LINE) == [("write", "")]
    assert "from: 00142-4/1" in (garden.folder / "trees" / "ridge.yaml").read_text("utf-8")


def test_unreadable_tree_waits_and_the_others_go_on(garden: Garden) -> None:
    (garden.folder / "trees" / "001.yaml").write_text("tag: [\n", encoding="utf-8")
    fates = garden.fates(LINE + "sheet 00143-2\n1 14 oct looked\n")
    assert [f for f, _ in fates] == ["left over", "write"]
    assert "its file has a fault" in fates[0][1]
    (garden.folder / "trees" / "001.yaml").write_text(TREE.format("001"), encoding="utf-8")
    waiting = (garden.folder / "notes" / "waiting.txt").read_text("utf-8")
    assert "wired 1 2 copper 2.5" in waiting
    assert garden.fates(waiting) == [("write", "")], "what waits can be given again as it stands"
    assert "nothing waits" in garden.bench("waiting", folder=garden.folder).out


def test_two_files_one_tag_wait(garden: Garden) -> None:
    (garden.folder / "trees" / "copy.yaml").write_text(garden.tree(), encoding="utf-8")
    assert [f for f, _ in garden.fates(LINE)] == ["left over"]


def test_days_that_can_not_be(garden: Garden) -> None:
    before = garden.tree()
    assert "before the day the sheet was printed" in garden.fates("sheet 00142-4\n1 14 sep looked\n")[0][1]
    assert "still to come" in garden.fates("sheet 00142-4\n1 24 dec 2026 looked\n")[0][1]
    assert garden.tree() == before
    assert garden.fates("tree 001\n14 sep 2026 looked over\n") == [("write", "")], "under a tree any past day will do"


def test_wire_that_is_not_on(garden: Garden) -> None:
    ((fate, why),) = garden.fates("sheet 00142-4\n1 14 oct wire off\n")
    assert fate == "question" and "no wire is on" in why
    both = "sheet 00142-4\n2 14 oct wired 1 2\n3 15 oct wire off 1\n4 16 oct wire off 3\n"
    assert [f for f, _ in garden.fates(both)] == ["write", "write", "question"]


def test_everything_refused_writes_nothing_and_exits_3(garden: Garden) -> None:
    before = snapshot(garden.folder / "trees")
    answer = garden.type("sheet 99999-9\n1 14 oct looked\ntree 777\n14 oct looked\n")
    assert answer.code == 3 and snapshot(garden.folder / "trees") == before
    assert "wrote 0 entries" in answer.out


def test_tree_lines_have_no_numbers_and_are_written_once(garden: Garden) -> None:
    text = "trees 001 002\n14 oct wired 1\nmoss yellow\n"
    assert [f for f, _ in garden.fates(text)] == ["write"] * 4
    assert [f for f, _ in garden.fates(text)] == ["there"] * 4
    assert [f for f, _ in garden.fates("tree 001\n14 oct moss yellow\nmoss yellow\n")] == ["there", "there"]


def test_an_older_number_leads_to_its_tree(garden: Garden) -> None:
    path = garden.folder / "trees" / "002.yaml"
    path.write_text(path.read_text("utf-8") + 'also: ["14b"]\n', encoding="utf-8")
    assert garden.fates("tree 14B\n14 oct looked\n") == [("write", "")]


def test_an_ended_tree_asks(garden: Garden) -> None:
    path = garden.folder / "trees" / "002.yaml"
    path.write_text(path.read_text("utf-8") + "ended: {date: 2026-05, how: sold}\n", encoding="utf-8")
    ((fate, why),) = garden.fates("tree 002\n14 oct looked\n")
    assert fate == "question" and "sold" in why


def test_dry_run_and_no_terminal_write_nothing(garden: Garden, bench: Bench) -> None:
    before = snapshot(garden.folder)
    assert garden.type(LINE, "--dry-run").code == 0
    assert snapshot(garden.folder) == before
    path = garden.folder.parent / "typed.txt"
    answer = bench("reconcile", path, "--today", "2026-11-20", folder=garden.folder)
    assert answer.code == 3 and "run again with --yes" in answer.out
    assert snapshot(garden.folder / "trees") == {
        k.removeprefix("trees/"): v for k, v in before.items() if k.startswith("trees/")
    }
    assert (garden.folder / "notes").is_dir(), "but the text is kept"


def test_a_file_that_can_not_be_spliced_keeps_the_note(garden: Garden) -> None:
    path = garden.folder / "trees" / "001.yaml"
    text = 'tag: "001"\nspecies: Acer palmatum\nlog: &all\n  - {date: 2026-01-10, vigour: 3}\n'
    path.write_text(text, encoding="utf-8")
    answer = garden.type(LINE)
    assert answer.code == 1 and path.read_text("utf-8") == text
    assert "trees/001.yaml:3:1: error: the log is an anchor or an alias" in answer.err
    assert "wired 1 2 copper 2.5" in (garden.folder / "notes" / "waiting.txt").read_text("utf-8")


def test_broken_bytes_in_notes_are_told(garden: Garden, bench: Bench) -> None:
    path = garden.folder.parent / "typed.txt"
    path.write_bytes(b"tree 001\n14 oct caf\xff\xfe\x81\n")
    answer = bench("reconcile", path, "--yes", folder=garden.folder)
    assert answer.code == 1 and "typed.txt:2:" in answer.err and "is not UTF-8" in answer.err
    assert bench("reconcile", garden.folder.parent / "none.txt", folder=garden.folder).code == 1
