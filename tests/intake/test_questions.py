"""Questions one by one, undo, plausibility, and the audit, as a grower meets them on a terminal."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.storage.disk import RealDisk
from logbook.storage.journal import last_done

from ..conftest import Answer, snapshot
from .test_plan import LINE, Garden

Bench = Callable[..., Answer]


@pytest.fixture
def garden(tmp_path: Path, bench: Bench) -> Garden:
    return Garden(tmp_path, bench)


@pytest.fixture
def answers(monkeypatch: pytest.MonkeyPatch) -> Callable[..., None]:
    """Someone at a terminal who types these lines."""

    def typed(*lines: str) -> None:
        stream = io.StringIO("".join(f"{line}\n" for line in lines))
        stream.isatty = lambda: True  # type: ignore[method-assign]
        monkeypatch.setattr("sys.stdin", stream)

    return typed


@pytest.mark.parametrize(
    ("answer", "left"),
    [
        ("n", "replaces: 00142-4/1"),
        ("d", "copper"),
        ("l", "copper"),
        ("", "copper"),
    ],
)
def test_a_conflict_shows_both_places(garden: Garden, answers: Callable[..., None], answer: str, left: str) -> None:
    garden.type(LINE)
    before = garden.tree()
    answers(answer)
    said = garden.type("sheet 00142-4\n1 14 oct wired 1 2 copper 3\n", "--ask")
    assert "question 1 of 1, line 2" in said.err and "typed: 1 14 oct wired 1 2 copper 3" in said.err
    assert "stands in trees/001.yaml:5" in said.err and "copper 2.5 mm" in said.err
    assert left in garden.tree() and (garden.tree() == before) is (answer != "n")
    waits = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)
    assert bool(waits["waiting"]) is (answer in ("l", "")) and waits["audit"]["balanced"]


def test_a_doubt_is_written_kept_as_a_remark_or_left(garden: Garden, answers: Callable[..., None]) -> None:
    answers("w", "r", "l")
    said = garden.type("tree 001\n14 oct wire off 1\n15 oct wire off 2\n16 oct wire off 3\n", "--ask")
    assert said.code == 3, "one is left"
    text = garden.tree()
    assert "work: wire off, branches: [1]" in text.replace('"', "") and "15 oct wire off 2" in text
    assert "16" not in text.split("log:")[1].replace("2026-01-10", "")
    assert "2 written" in garden.bench("waiting", folder=garden.folder).out


def test_without_a_terminal_questions_wait(garden: Garden) -> None:
    answer = garden.type("tree 001\n14 oct wire off 1\n", "--ask")
    assert answer.code == 3 and "1 line waiting" in answer.out


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("trunk 41", ""),
        ("trunk 385", "trunk 385 mm is far from the last, 40 mm on 1 Oct 2026"),
        ("trunk 28", "trunk 28 mm is far from the last"),
        ("tips 90", ""),
        ("tips 640", "tips 640 is far from the last, 64 on 1 Oct 2026"),
        ("trunk 41 tips 640", "tips 640 is far from the last"),
        ("height 900 tips 640", "tips 640 is far from the last"),
        ("leaf 20 height 900", ""),
        ("wired 1 copper 2.5", ""),
        ("wired 1 copper 5", "wire of 5 mm on branch 1 of 6 mm"),
    ],
)
def test_measures_and_wires_that_can_hardly_be(garden: Garden, typed: str, why: str) -> None:
    tree = garden.folder / "trees" / "001.yaml"
    text = tree.read_text("utf-8").replace("log:\n", "branches: [{id: 1, diameter: 6}]\nlog:\n")
    tree.write_text(text + "  - {date: 2026-10-01, measured: {trunk: 40, tips: 64}}\n", encoding="utf-8")
    fate, said = garden.fates(f"tree 001\n14 oct {typed}\n")[0]
    assert (fate == "write") is (not why) and said.startswith(why)


@pytest.mark.parametrize(
    ("typed", "why"),
    [
        ("repotted pot oval 310x240x60", ""),
        ("repotted pot oval 3100x240x60", "a pot of 3100 mm × 240 mm × 60 mm inside"),
        ("repotted pot oval 1300x240x60", "a pot of 1300 mm"),
        ("repotted pot oval 1400x1300x60", ""),
        ("repotted pot oval 310x240x6", "a pot of 310 mm × 240 mm × 6 mm inside"),
        ("repotted pot round 210x150", ""),
        ("wired 1 1", "branch 1 is named twice"),
        ("wired 1 2", ""),
        ("wired 1 9", "branch 9 stands neither in the tree's table nor in its log"),
    ],
)
def test_pots_and_branches_that_can_hardly_be(garden: Garden, typed: str, why: str) -> None:
    tree = garden.folder / "trees" / "001.yaml"
    tree.write_text(
        tree.read_text("utf-8").replace("log:\n", "branches: [{id: 1}, {id: 2}]\nlog:\n"), encoding="utf-8"
    )
    fate, said = garden.fates(f"tree 001\n14 oct {typed}\n")[0]
    assert (fate == "write") is (not why) and said.startswith(why)


def test_corrections_take_free_numbers(garden: Garden) -> None:
    garden.type(LINE)
    for size, source in ((3, "00142-4/1.2"), (3.5, "00142-4/1.3")):
        garden.type(f"sheet 00142-4\n1 14 oct wired 1 2 copper {size}\n", "--take", "new")
        assert f"from: {source}" in garden.tree() or f'from: "{source}"' in garden.tree()


def test_tips_are_counted_in_every_unit(tmp_path: Path, bench: Bench) -> None:
    from ..conftest import make_collection

    folder = make_collection(
        tmp_path / "us", {"001": 'tag: "001"\nspecies: Acer palmatum\nlog: []\n'}, "format: 1\ntitle: T\nunits: us\n"
    )
    path = tmp_path / "n.txt"
    path.write_text("tree 001\n14 oct tips 64 trunk 1.5\n", encoding="utf-8")
    bench("reconcile", path, "--yes", "--today", "2026-11-20", folder=folder)
    assert "measured: {trunk: 1.5, tips: 64}" in (folder / "trees/001.yaml").read_text("utf-8")


def test_a_day_just_ahead_is_no_day_of_last_year(garden: Garden) -> None:
    items = garden.fates("sheet 00142-4\n1 25 nov looked\n2 20 dec looked\n3 30 dec looked\n4 14 oct looked\n")
    assert items[0] == (
        "question",
        "25 nov is still to come; written as read, it is 25 Nov 2025",
    )
    assert items[1][1].startswith("20 dec is still to come")
    assert "before the day the sheet was printed" in items[2][1] and items[3][0] == "write"


def test_undo_takes_the_last_batch_back(garden: Garden) -> None:
    start = {p: d for p, d in snapshot(garden.folder).items() if p.startswith("trees")}
    garden.type("tree 001\n14 oct moss yellow\n")
    first = garden.tree()
    garden.type("tree 001\n15 oct bark loose\ntree 002\n15 oct looked\n")
    shown = garden.bench("undo", "--dry-run", folder=garden.folder)
    assert "bark loose" in shown.out and "look-over" in shown.out and "moss" not in shown.out
    assert garden.bench("undo", folder=garden.folder).code == 3, "nobody was asked"
    done = garden.bench("undo", "--yes", "--today", "2026-11-20", folder=garden.folder)
    assert done.code == 0 and "taken out of 2 files" in done.out and garden.tree() == first
    assert "2 set aside" in garden.bench("waiting", folder=garden.folder).out
    garden.bench("undo", "--yes", "--today", "2026-11-20", folder=garden.folder)
    assert {p: d for p, d in snapshot(garden.folder).items() if p.startswith("trees")} == start
    assert "there is no batch to undo" in garden.bench("undo", "--yes", folder=garden.folder).out
    assert garden.fates("tree 001\n15 oct bark loose\n") == [("write", "")], "what was undone may be typed again"
    assert json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)["audit"]["balanced"]


def test_undo_leaves_what_was_edited_since(garden: Garden) -> None:
    garden.type("tree 001\n15 oct bark loose\ntree 002\n15 oct looked\n")
    path = garden.folder / "trees" / "001.yaml"
    path.write_text(path.read_text("utf-8").replace("bark loose", "bark very loose"), encoding="utf-8")
    other = garden.folder / "trees" / "002.yaml"
    other.write_text(other.read_text("utf-8") + "# mine\n", encoding="utf-8")
    done = garden.bench("undo", "--yes", "--today", "2026-11-20", folder=garden.folder)
    assert "very loose" in garden.tree(), "an entry that was edited is the grower's now"
    assert "look-over" not in garden.tree("002") and garden.tree("002").endswith("# mine\n")
    assert done.code == 0 and "warning: edited since, so it stays" in done.err


def test_notes_that_are_no_text_are_kept_first(garden: Garden, bench: Bench) -> None:
    path = garden.folder.parent / "typed.txt"
    path.write_bytes(b"tree 001\n14 oct moss \xff\xfe\n")
    answer = bench("reconcile", path, "--yes", "--today", "2026-11-20", folder=garden.folder)
    assert answer.code == 1 and "the bytes are kept in notes/2026-11-20-" in answer.err
    kept = list((garden.folder / "notes").glob("*.txt"))
    assert [p.read_bytes() for p in kept] == [path.read_bytes()]
    assert "kept but not yet read" in bench("waiting", folder=garden.folder).out


def test_a_copy_left_by_a_syncing_program_is_named(garden: Garden) -> None:
    (garden.folder / "trees" / "001 (conflicted copy 2026-11-19).yaml").write_text(garden.tree(), encoding="utf-8")
    told = garden.bench("check", folder=garden.folder).err
    assert "looks like a copy left by a syncing program" in told
    assert garden.fates("tree 001\n14 oct moss yellow\n")[0][0] == "left over", "its lines wait"


def test_the_journal_names_what_it_did(garden: Garden) -> None:
    garden.type(LINE)
    journal = last_done(RealDisk(garden.folder))
    assert journal is not None and journal.kind == "write" and journal.notes.endswith(".txt")
    (change,) = journal.changes
    assert change.path == "trees/001.yaml" and change.new == garden.tree() and change.old in change.new + change.old
    assert journal.rows[0]["fate"] == "write"


def test_what_the_record_can_not_hold_is_left_over_not_lost(garden: Garden) -> None:
    fates = garden.fates("tree 001\n14 oct trunk 999999\nlooked\n")
    assert fates[0][0] == "left over" and "out of range" in fates[0][1] and fates[1][0] == "write"
    assert "trunk 999999" in garden.bench("waiting", folder=garden.folder).out


def test_a_line_without_a_day_is_asked_not_lost(garden: Garden) -> None:
    assert garden.fates("tree 001\nlooked\n") == [("question", "no day stands on this line or above it")]
    assert "looked" in garden.bench("waiting", folder=garden.folder).out


@pytest.mark.parametrize(
    ("today", "fate"), [("2026-11-19", "question"), ("2026-12-19", "write"), ("2026-10-20", "question")]
)
def test_a_month_ahead_is_soon(garden: Garden, today: str, fate: str) -> None:
    """20 nov without a year, typed up to a month before it, is a slip; typed after it, the day that was."""
    assert garden.fates("sheet 00142-4\n1 20 nov looked\n", today=today)[0][0] == fate


def test_the_same_fact_from_two_lines_is_asked_and_from_one_line_one(garden: Garden) -> None:
    garden.type("sheet 00142-4\n1 14 oct looked\n")
    assert garden.fates("sheet 00142-4\n1 14 oct looked\n")[0][0] == "there"
    assert garden.fates("tree 001\n14 oct looked\n")[0][0] == "there", "no line on one side"
    ((fate, why),) = garden.fates("sheet 00142-4\n2 14 oct looked\n")
    assert fate == "question" and "the same, or again?" in why, (
        "another line of the same day: told twice, or two visits"
    )
    assert garden.fates("sheet 00142-4\n2 15 oct looked\n")[0][0] == "write", "another day is another visit"


def test_a_misspelt_work_can_be_meant(garden: Garden, answers: Callable[..., None]) -> None:
    answers("y", "m", "w")
    said = garden.type("tree 001\n14 oct nedles thinned\n15 oct nedles thinned\n", "--ask")
    assert "'y' is none of m, w, d, t, l" in said.err and "w  keep it as a remark" in said.err
    assert "work: needle thinning" in garden.tree() and "note: nedles thinned" in garden.tree()


def test_a_line_can_be_typed_anew(garden: Garden, answers: Callable[..., None]) -> None:
    text = "sheet 00142-4\n1 14 oct vigour 7\n2 15 oct looked\n"
    answers("t", "14 oct vigour 8", "1 14 oct vigour 4; fed")
    said = garden.type(text, "--ask")
    assert "t  type it anew" in said.err and "'8' was not understood" in said.err, "a doubtful one is asked again"
    assert "vigour: 4" in garden.tree() and "work: feeding" in garden.tree() and "look-over" in garden.tree()
    waits = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)
    assert not waits["waiting"] and waits["audit"]["balanced"] and waits["audit"]["written"] == 2
    before = garden.tree()
    answers("")
    again = garden.type(text, "--ask")
    assert garden.tree() == before and "question" not in again.err, (
        "the old words lead to what was typed in their place"
    )


def test_an_unread_line_is_typed_when_it_is_asked(garden: Garden, answers: Callable[..., None]) -> None:
    answers("t", "14 oct moss gone", "t", "")
    garden.type("sheet 00142-4\n1 ?\n2 ?\n", "--ask")
    assert "moss gone" in garden.tree()
    waits = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)["waiting"]
    assert [w["text"] for w in waits] == ["2 ?"]


def test_enter_takes_the_likeliest(garden: Garden, answers: Callable[..., None]) -> None:
    """What the words leave open is written as most likely read, with the rest as its remark; a doubt waits."""
    answers("", "", "")
    said = garden.type("tree 001\n14 oct wierd 2 copper 3\n15 oct shoots removed\n16 oct wire off 3\n", "--ask")
    text = garden.tree()
    assert "date: 2026-10-14, work: wiring, branches: [2], metal: copper, wire: 3" in text and "Enter: m" in said.err
    assert "date: 2026-10-15, work: shoot selection" in text and "Enter: w" in said.err
    assert "2026-10-16" not in text and "Enter leaves it waiting" in said.err


@pytest.mark.parametrize(
    "typed", ["repoted roots light", "new pot, clay", "cut 2 off", "prunned 2", "trunk choped", "repot"]
)
def test_enter_never_settles_a_hard_work_that_was_guessed(
    garden: Garden, answers: Callable[..., None], typed: str
) -> None:
    """A slip, words that may say it, a verb that may be a plan: it waits as it was typed, and is asked again the next time."""
    before = garden.tree()
    for _ in range(2):
        answers("")
        said = garden.type(f"tree 001\n14 oct {typed}\n", "--ask")
        assert "Enter leaves it waiting" in said.err and garden.tree() == before
        assert f"14 oct {typed}" in garden.bench("waiting", folder=garden.folder).out
    answers("w")
    garden.type(f"tree 001\n14 oct {typed}\n", "--ask")
    assert "2026-10-14" in garden.tree() and "nothing waits" in garden.bench("waiting", folder=garden.folder).out


@pytest.mark.parametrize("away", ["later", "Q", "quit", None])
def test_whoever_leaves_a_run_of_questions_keeps_what_was_answered(
    garden: Garden, answers: Callable[..., None], away: str | None
) -> None:
    """By a word, or because nobody is there any more: nothing is taken for an answer that was none."""
    answers("w", *([away] if away else []))
    text = "tree 001\n14 oct wire off 1\n15 oct wierd 2\n16 oct wire off 3\n"
    said = garden.type(text, "--ask")
    assert said.err.count("later (or q) leaves") == 1, "said once, at the first question"
    assert said.err.index("later (or q) leaves") < said.err.index("question 2")
    assert "question 3" not in said.err
    assert "2026-10-14" in garden.tree() and "2026-10-15" not in garden.tree() and "2026-10-16" not in garden.tree()
    waits = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)
    assert [w["text"] for w in waits["waiting"]] == ["15 oct wierd 2", "16 oct wire off 3"]
    assert waits["audit"]["balanced"] and waits["audit"]["written"] == 1


def test_ctrl_c_leaves_a_run_of_questions_too(garden: Garden, monkeypatch: pytest.MonkeyPatch) -> None:
    class Hand(io.StringIO):
        def isatty(self) -> bool:
            return True

        def readline(self, *_: object) -> str:  # type: ignore[override]
            line = super().readline()
            if not line:
                raise KeyboardInterrupt
            return line

    monkeypatch.setattr("sys.stdin", Hand("w\n"))
    said = garden.type("tree 001\n14 oct wire off 1\n16 oct wire off 3\n", "--ask")
    assert said.code == 3 and "2026-10-14" in garden.tree() and "2026-10-16" not in garden.tree()
    assert "16 oct wire off 3" in garden.bench("waiting", folder=garden.folder).out


@pytest.mark.parametrize(
    ("typed", "meant", "entry"),
    [
        ("wier off 2, bit in a litle", "wire off 2", "work: wire off, branches: [2], bite: cut, note: a litle"),
        ("wrie off 2", "wire off 2", "work: wire off, branches: [2]"),
        ("shoots slected", "shoots selected", "work: shoot selection"),
        ("shots selected", "shoots selected", "work: shoot selection"),
    ],
)
def test_a_slip_in_words_that_say_a_work_together_is_asked(
    garden: Garden, answers: Callable[..., None], typed: str, meant: str, entry: str
) -> None:
    garden.type("tree 001\n1 apr wired 2\n")
    answers("")
    said = garden.type(f"tree 001\n14 oct {typed}\n", "--ask")
    assert f"did you mean '{meant}" in said.err and "Enter: m" in said.err
    assert f"{{date: 2026-10-14, {entry}}}" in garden.tree()


def test_a_misspelt_work_of_another_time_is_asked(garden: Garden) -> None:
    ((fate, why),) = garden.fates("tree 001\n14 oct repoted in spring\n")
    assert fate == "question" and "did you mean 'repotted in spring'" in why


@pytest.mark.parametrize(
    "typed",
    [
        "shots from the trunk base look weak", "spotted a wren", "rotted stump inside", "wined and dined with club", "wiry growth at the base",
        "treated the bench wood", "needs sun", "stripes on the leaves", "plotted a new design", "moved inside for the night", "wires rusting",
    ],
)  # fmt: skip
def test_words_that_only_look_like_a_works_are_remarks(garden: Garden, typed: str) -> None:
    assert [fate for fate, _ in garden.fates(f"tree 001\n14 oct {typed}\n")] == ["write"]


def test_a_line_typed_anew_keeps_its_day(garden: Garden, answers: Callable[..., None]) -> None:
    answers("t", "vigour 4")
    garden.type("sheet 00142-4\n1 14 oct vigour 7\n", "--ask")
    assert "date: 2026-10-14, vigour: 4" in garden.tree()


@pytest.mark.parametrize(
    ("typed", "why"),
    [("14 oct height 45", "height 45 mm is rare"), ("14 oct trunk 55", "would be"), ("14 oct trunk 41", "")],
)
def test_growth_that_no_tree_can_make_is_asked(garden: Garden, typed: str, why: str) -> None:
    """15 mm of trunk in thirteen days; common practice, no source."""
    tree = garden.folder / "trees" / "001.yaml"
    tree.write_text(tree.read_text("utf-8") + "  - {date: 2026-10-01, measured: {trunk: 40}}\n", encoding="utf-8")
    ((fate, said),) = garden.fates(f"tree 001\n{typed}\n")
    assert (fate == "write") is (not why) and why in said


@pytest.mark.parametrize(
    ("typed", "answer"),
    [
        ("branch 2 at 8 o clock wired copper 2", "r"),
        ("branch 2 at 8 o clock wired copper 2", "w"),
        ("wierd 2 copper 2", "m"),
    ],
)
def test_a_line_that_was_answered_is_there_when_it_is_given_again(
    garden: Garden, answers: Callable[..., None], typed: str, answer: str
) -> None:
    answers(answer)
    notes = f"sheet 00142-4\n1 14 oct {typed}\n"
    garden.type(notes, "--ask")
    before = garden.tree()
    assert garden.fates(notes) == [("there", "")]
    assert garden.tree() == before


def test_a_line_shown_back_is_told_as_it_was_typed_and_its_day_beside_it(
    garden: Garden, answers: Callable[..., None]
) -> None:
    """What took its day from the line above stands with that day to be given again, but was not typed so."""
    garden.type("tree 001\n14 oct looked\nwire off 3\n")
    told = garden.bench("waiting", folder=garden.folder).out
    assert "tree 001: wire off 3\n     its day, from a line above: 14 oct\n" in told
    for _ in range(2):  # left waiting, it is the same the next time
        waits = (garden.folder / "notes/waiting.txt").read_text("utf-8")
        assert "(typed: wire off 3; its day, from a line above: 14 oct)\n14 oct wire off 3\n" in waits
        answers("l")
        said = garden.type(waits, "--ask")
        assert "  typed: wire off 3\n  its day, from a line above: 14 oct\n" in said.err
        assert "typed: wire off 3  (its day, from a line above: 14 oct)" in said.out
    row = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)["waiting"][-1]
    assert (row["typed"], row["text"]) == ("wire off 3", "14 oct wire off 3")
    answers("w")
    garden.type((garden.folder / "notes/waiting.txt").read_text("utf-8"), "--ask")
    assert "date: 2026-10-14, work: wire off" in garden.tree()
    stands = json.loads(garden.bench("waiting", "--json", folder=garden.folder).out)
    assert not stands["waiting"] and stands["audit"]["balanced"]


def test_nothing_is_told_to_be_written_before_it_is(garden: Garden, answers: Callable[..., None]) -> None:
    dry = garden.type("tree 001\n14 oct looked\n", "--dry-run")
    assert "reads    001 2026-10-14" in dry.out and "written  " not in dry.out
    answers("l")
    said = garden.type("tree 001\n14 oct looked\n15 oct wire off 3\n", "--ask")
    assert "written  001 2026-10-14" in said.out and "written  " not in said.err
