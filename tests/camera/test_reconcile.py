"""Pictures through the command: the plan, the page to type on, what waits, and that nothing is kept unasked."""

from __future__ import annotations

import base64
import io
import json
import re
import shutil
import sys
from collections.abc import Callable, Sequence
from functools import cache
from pathlib import Path

import numpy as np
import pypdf
import pypdfium2
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from PIL import Image

from logbook.camera.sheet_reader import read_picture
from logbook.cli.reconcile_pictures import _asked
from logbook.intake.pdf_form import notes_of
from logbook.intake.sheet_values import is_list, sheet_notes, values_of
from logbook.storage.printed import Ledger, Sheet, field_name, load_ledger

from ..conftest import Answer, snapshot
from .world import EASY, PX, SCAN, Leaf, as_file, draw_mark, draw_words, leaves, photographed

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
LATER = ["--today", "2026-12-20"]


def written_on(leaf: Leaf, ticked: list[tuple[str, str]], lines: list[tuple[str, str]], seed: int = 1) -> np.ndarray:
    """A scan of a page with these boxes ticked and these lines or days written on, by kind and id (and first tag)."""
    rng = np.random.default_rng(seed)
    ink = np.zeros(leaf.image.shape, np.float32)
    for spot in leaf.spots:
        if (spot.kind, spot.id) in ticked:
            draw_mark(ink, spot, "cross", rng)
        elif (spot.kind, spot.id) in lines:
            draw_words(ink, spot.x + 1, spot.y + spot.height - 0.7, spot.width - 2, min(spot.height, 7), rng, 3)
    page = (leaf.image * (1 - np.clip(ink, 0, 1))).astype(np.uint8)
    return photographed(page, leaf.size, SCAN, rng)


@pytest.fixture
def printed(demo: Path, tmp_path: Path, bench: Bench) -> Leaf:
    """The first back of tree 003's sheet, printed by the command and painted from its PDF."""
    out = tmp_path / "s.pdf"
    assert bench("sheets", "--tag", "003", "-o", out, *TODAY, folder=demo).code == 0
    (sheet,) = load_ledger(demo).sheets.values()
    back = pypdfium2.PdfDocument(out)[1].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy().squeeze()
    wide, high = 105, 148
    top = (back.shape[0] - 2 * high * PX) / 2
    image = back[round(top) : round(top + high * PX), round(wide * PX) :]
    return Leaf(sheet, 2, (wide, high), np.ascontiguousarray(image))


def given_picture(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench, *more: object, seed: int = 1, name: str = "photo.jpg"
) -> Answer:
    picture = written_on(
        printed, [("job", "m1"), ("vigour", "4")], [("line", "1"), ("line", "3"), ("day", "rp")], seed
    )
    as_file(picture, tmp_path / name, quality=88)
    page = ["--page", tmp_path / "page.html"]
    return bench("reconcile", tmp_path / name, *page, *LATER, *more, folder=demo)


def test_boxes_are_written_and_lines_wait_for_the_page(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    serial = printed.sheet.serial
    before = snapshot(demo / "trees")
    dry = given_picture(printed, demo, tmp_path, bench, "--dry-run", "--day", "28 nov")
    assert snapshot(demo / "trees") == before and not (tmp_path / "page.html").exists()
    assert "nothing written" in dry.out
    answer = given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "28 nov")
    assert answer.code == 3 and not answer.err
    assert f"sheet {serial}, tree 003" in answer.out and "ticked: box m1, vigour 4" in answer.out
    assert "written on: day of rp, line 1, line 3" in answer.out
    tree = (demo / "trees" / "003.yaml").read_text("utf-8")
    assert f'from: "{serial}/m1"' in tree and f"from: {serial}/V" in tree and tree.count("date: 2026-11-28") == 2
    kept = [p.read_text("utf-8") for p in (demo / "notes").glob("2*.txt")]
    assert kept == [f"sheet {serial}\n1 ?\n3 ?\nm1 28 nov\nrp ?\nV 28 nov 4\n"]
    assert not list(demo.rglob("*.jpg")), "pictures are not kept"
    again = given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "28 nov")
    assert again.out.count("already there") == 2 and (demo / "trees" / "003.yaml").read_text("utf-8") == tree
    typed = f"sheet {serial}\n1 28 nov moss gone\n3 29 nov fed\nrp 1 dec\nm1 28 nov\nV 28 nov 4\n"
    (tmp_path / "typed.txt").write_text(typed, encoding="utf-8")
    assert bench("reconcile", tmp_path / "typed.txt", "--yes", *LATER, folder=demo).code == 0
    assert "nothing waits" in bench("waiting", folder=demo).out
    last = given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "28 nov")
    assert last.out.count("already there") == 5 and last.code == 0


def test_without_a_day_boxes_are_asked(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    answer = given_picture(printed, demo, tmp_path, bench, "--yes")
    assert answer.code == 3 and answer.out.count("no day stands on this line") == 2
    assert bench("reconcile", tmp_path / "photo.jpg", "--day", "someday", folder=demo).code == 1


def test_the_page_is_whole_in_itself(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    given_picture(printed, demo, tmp_path, bench, "--yes")
    page = (tmp_path / "page.html").read_text("utf-8")
    pictures = page.count('src="data:image/jpeg;base64,')
    assert pictures == 3 + 2 + 1, "each line that is written on, each ticked box, and the page as a whole"
    assert not re.findall(r'(?:src|href)="(?!data:)', page) and "://" not in page
    assert "default-src 'none'" in page and page.count("<script>") == 1
    for name in ("line1", "line3", "dayrp", "jobm1", "vigour4"):
        assert f'name="{name}"' in page
    asked, _, more = page.partition("<details>")
    assert 'name="line2"' not in asked and 'name="line2"' in more, "blank lines are not asked for, but may be typed"
    assert page.count('data-asked="1"') == 3
    assert page.count("aria-label=") >= page.count("<input name") + page.count("<select name")


def test_pictures_are_kept_only_when_asked_and_bare(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    picture = written_on(printed, [("job", "m1")], [])
    image = Image.fromarray(picture)
    exif = Image.Exif()
    exif[0x010F] = "Some Maker"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (46.0, 30.0, 12.5)
    image.save(tmp_path / "gps.jpg", exif=exif, quality=90, comment=b"at home")
    assert b"Some Maker" in (tmp_path / "gps.jpg").read_bytes()
    words = ["--yes", "--day", "28 nov", "--keep-picture", "--page", tmp_path / "p.html"]
    assert bench("reconcile", tmp_path / "gps.jpg", *words, *LATER, folder=demo).code == 0
    (kept,) = (demo / "notes" / "pictures").glob("*.jpg")
    raw = kept.read_bytes()
    assert b"Some Maker" not in raw and b"at home" not in raw and b"Exif" not in raw
    with Image.open(kept) as opened:
        assert not dict(opened.getexif()) and opened.size == image.size
    assert bench("check", *TODAY, folder=demo).code == 0


def test_a_blank_sheet_writes_nothing(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    as_file(written_on(printed, [], []), tmp_path / "blank.png")
    answer = bench("reconcile", tmp_path / "blank.png", "--yes", *LATER, folder=demo)
    assert answer.code == 0 and "nothing is written on it" in answer.out and "nothing to write" in answer.out
    assert not list((demo / "notes").glob("2*.txt")) if (demo / "notes").exists() else True


def test_some_pictures_fail_and_the_others_are_read(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    as_file(written_on(printed, [("job", "m1")], []), tmp_path / "good.jpg", quality=88)
    Image.new("L", (300, 300), 200).save(tmp_path / "empty.jpg")
    (tmp_path / "broken.jpg").write_bytes(b"\xff\xd8\xff" + b"junk" * 50)
    names = [tmp_path / n for n in ("empty.jpg", "good.jpg", "broken.jpg")]
    answer = bench("reconcile", *names, "--yes", "--day", "28 nov", *LATER, folder=demo)
    assert answer.code == 1 and "2026-11-28" in answer.out and "wrote 1 entry" in answer.out
    assert "no sheet's code can be read" in answer.err and "can't be read as a picture" in answer.err
    notes = tmp_path / "n.txt"
    notes.write_text("tree 003\n28 nov fed\n", encoding="utf-8")
    assert "no picture, while others are" in bench("reconcile", names[1], notes, folder=demo).err
    assert "several files of notes" in bench("reconcile", notes, notes, folder=demo).err


def filled_form(demo: Path, tmp_path: Path, bench: Bench) -> pypdf.PdfWriter:
    """A form of tree 004 with its first line filled in."""
    assert bench("sheets", "--form", "--tag", "004", "-o", tmp_path / "f.pdf", *TODAY, folder=demo).code == 0
    serial = next(s.serial for s in load_ledger(demo).sheets.values() if s.tags == ("004",))
    writer = pypdf.PdfWriter(clone_from=tmp_path / "f.pdf")
    values = {field_name(serial, "line", "1"): "27 nov fed"}
    for page in writer.pages:
        writer.update_page_form_field_values(page, values, auto_regenerate=False)
    return writer


@pytest.mark.soak
def test_a_form_and_a_scan_in_one_run(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    filled_form(demo, tmp_path, bench).write(tmp_path / "filled.pdf")
    as_file(written_on(printed, [("job", "m1")], []), tmp_path / "scan.png")
    Image.open(tmp_path / "scan.png").save(tmp_path / "scan.pdf", resolution=250)
    answer = bench(
        "reconcile", tmp_path / "filled.pdf", tmp_path / "scan.pdf", "--day", "28 nov", "--yes", *LATER, folder=demo
    )
    assert answer.code == 0 and "wrote 2 entries into 2 files" in answer.out, answer.all


def test_without_the_extra_the_rest_works(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    as_file(written_on(printed, [("job", "m1")], []), tmp_path / "p.jpg", quality=88)
    for name in [n for n in sys.modules if n.startswith("logbook.camera")]:
        monkeypatch.delitem(sys.modules, name)
    monkeypatch.setitem(sys.modules, "cv2", None)
    answer = bench("reconcile", tmp_path / "p.jpg", "--yes", folder=demo)
    assert answer.code == 1 and ".[camera]" in answer.err
    notes = tmp_path / "n.txt"
    notes.write_text("tree 003\n20 nov fed\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", *LATER, folder=demo).code == 0


def test_ticks_on_a_walk_list_go_to_their_trees(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "w.pdf"
    assert bench("walk", "-o", out, *TODAY, folder=demo).code == 0
    (sheet,) = load_ledger(demo).sheets.values()
    image = pypdfium2.PdfDocument(out)[0].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy().squeeze().copy()
    leaf = Leaf(sheet, 1, (210, 297), image)
    one, other = (job.tag for job in sheet.jobs[:2])
    ink = np.zeros(leaf.image.shape, np.float32)
    rng = np.random.default_rng(5)
    wanted = {("job", one, one), ("say", "looked", other), ("say", "looked", "south")}
    for spot in leaf.spots:
        if (spot.kind, spot.id, spot.tag) in wanted:
            draw_mark(ink, spot, "cross", rng)
            wanted.remove((spot.kind, spot.id, spot.tag))
    assert not wanted
    as_file((leaf.image * (1 - ink)).astype(np.uint8), tmp_path / "walk.jpg", quality=88)
    answer = bench("reconcile", tmp_path / "walk.jpg", "--yes", "--day", "1 dec", "--json", *LATER, folder=demo)
    written = {(i["tag"], i["entry"].get("work", "")) for i in json.loads(answer.out)["items"]}
    assert written == {
        (one, sheet.jobs[0].work),
        (other, "look-over"),
        *((t, "look-over") for t in sheet.rows["south"]),
    }
    assert f"from: {sheet.serial}/{one}" in (demo / f"trees/{one}.yaml").read_text("utf-8")


def test_a_list_printed_before_is_read_by_its_numbers(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """A record of the first format, with the page that belongs to it."""
    kept = Path(__file__).resolve().parent.parent / "kept" / "list_by_numbers"
    shutil.copytree(kept / "printed", demo / "printed", dirs_exist_ok=True)
    (sheet,) = load_ledger(demo).sheets.values()
    assert not sheet.by_tag and is_list(sheet)
    page = pypdfium2.PdfDocument(kept / "walk.pdf")[0]
    image = page.render(scale=PX * 25.4 / 72, grayscale=True).to_numpy().squeeze().copy()
    picture = written_on(Leaf(sheet, 1, (210, 297), image), [("job", "2"), ("job", "9"), ("vigour", "3")], [])
    as_file(picture, tmp_path / "walk.jpg", quality=88)
    answer = bench("reconcile", tmp_path / "walk.jpg", "--yes", "--day", "1 dec", "--json", *LATER, folder=demo)
    items = json.loads(answer.out)["items"]
    written = {(i["tag"], i["entry"].get("work", ""), i["entry"].get("vigour")) for i in items}
    jobs = {j.letter: (j.tag, j.work, None) for j in sheet.jobs}
    assert written == {jobs["2"], jobs["9"], ("006", "", 3)}
    notes = tmp_path / "n.txt"
    notes.write_text(f"sheet {sheet.serial}\n3 1 dec moss gone\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", *LATER, folder=demo).code == 0
    assert "moss gone" in (demo / f"trees/{sheet.lines['3']}.yaml").read_text("utf-8")


@cache
def record_leaf() -> Leaf:
    return next(leaf for leaf in leaves(("pocket-a6",), 3) if any(s.kind == "job" for s in leaf.spots))


def ids(kind: str) -> list[str]:
    return [s.id for s in record_leaf().spots if s.kind == kind]


JOBS = st.deferred(lambda: st.sampled_from(ids("job")))
LINES = st.deferred(lambda: st.sampled_from(ids("line")))
TEXTS = st.sampled_from(["14 dec wired 1 2 copper 2.5", "moss gone", "15 dec fed; trunk 31", "needles thinned"])
DAYS = st.sampled_from(["14 dec", "2 dec"])


@given(
    st.sets(JOBS, max_size=3),
    st.dictionaries(JOBS, DAYS, max_size=2),
    st.sets(st.sampled_from("12345"), max_size=1),
    st.dictionaries(LINES, TEXTS, max_size=4),
    st.integers(0, 10_000),
)
@settings(max_examples=12, suppress_health_check=[HealthCheck.too_slow], deadline=None)
def test_typed_form_and_picture_are_the_same_notes(
    ticked: set[str], days: dict[str, str], vigour: set[str], lines: dict[str, str], seed: int
) -> None:
    """Same text, therefore the same plan: what a form's fields say, and what a picture shows with its strips typed."""
    places = [("line", n) for n in lines] + [("day", n) for n in days]
    picture = written_on(record_leaf(), [("job", j) for j in ticked] + [("vigour", v) for v in vigour], places, seed)
    (page,), problems = read_picture(picture, "p", Ledger({record_leaf().sheet.serial: record_leaf().sheet}))
    assert not problems
    values = values_of([page])
    assert "?" not in {v for n, v in values.items() if n.startswith(("job", "vigour"))}, "crosses are plain"
    told = {**{f"line{n}": t for n, t in lines.items()}, **{f"day{n}": t for n, t in days.items()}}
    assert {n for n, v in values.items() if v == "?"} == set(told), "each written place is asked for, no other"
    serial = record_leaf().sheet.serial
    fields = {field_name(serial, "job", j): "x" for j in ticked} | {
        field_name(serial, "vigour", v): "x" for v in vigour
    }
    fields |= {field_name(serial, "line", n): t for n, t in lines.items()}
    fields |= {field_name(serial, "day", n): t for n, t in days.items()}
    assert sheet_notes(serial, False, {**values, **told}) == notes_of(fields)


def test_lists_and_sheets_are_told_apart() -> None:
    assert not is_list(record_leaf().sheet)
    walk: list[Sheet] = [leaf.sheet for leaf in leaves(("walk-a4",))]
    assert all(map(is_list, walk))


@pytest.mark.soak
def test_easy_photographs_go_the_same_way(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    rng = np.random.default_rng(3)
    ink = np.zeros(printed.image.shape, np.float32)
    spot = next(s for s in printed.spots if (s.kind, s.id) == ("job", "m1"))
    draw_mark(ink, spot, "tick", rng)
    page = (printed.image * (1 - ink)).astype(np.uint8)
    as_file(photographed(page, printed.size, EASY, rng), tmp_path / "p.png")
    answer = bench("reconcile", tmp_path / "p.png", "--yes", "--day", "28 nov", *LATER, folder=demo)
    assert answer.code == 0 and "wrote 1 entry" in answer.out


def test_nothing_but_a_page_of_its_own_is_written_over(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    before = (demo / "trees" / "001.yaml").read_bytes()
    own, other = "a place of the collection's own files", "was not made by this command"
    for place, told in (
        (demo / "trees" / "001.yaml", own),
        (tmp_path / "photo.jpg", other),
        (demo / "collection.yaml", own),
    ):
        answer = given_picture(printed, demo, tmp_path, bench, "--yes", "--page", place)
        assert answer.code == 1 and told in answer.err and "--page" in answer.err
    assert (demo / "trees" / "001.yaml").read_bytes() == before
    monkeypatch.chdir(tmp_path)
    (tmp_path / "photo.html").write_text("<p>mine</p>", encoding="utf-8")
    assert bench("reconcile", "photo.jpg", "--yes", *LATER, folder=demo).code == 1
    assert (tmp_path / "photo.html").read_text("utf-8") == "<p>mine</p>"
    assert given_picture(printed, demo, tmp_path, bench, "--yes").code == 3
    assert given_picture(printed, demo, tmp_path, bench, "--yes").code == 3, "its own page may be renewed"


@pytest.mark.soak
def test_a_later_picture_with_another_day_asks_nothing_of_old_ticks(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    assert given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "28 nov").code == 3
    tree = (demo / "trees" / "003.yaml").read_text("utf-8")
    later = given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "10 dec", seed=2, name="later.jpg")
    assert "typed before with other words" not in later.out and later.out.count("already there") == 2
    assert (demo / "trees" / "003.yaml").read_text("utf-8") == tree
    waiting = json.loads(bench("waiting", "--json", folder=demo).out)
    assert len(waiting["waiting"]) == 3 and waiting["audit"]["balanced"], "the same places wait once"


@pytest.mark.soak
def test_two_pictures_of_a_page_with_other_words_show_both(
    printed: Leaf, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    for seed, name, boxes in ((1, "a.png", [("job", "m1")]), (2, "b.png", [])):
        as_file(written_on(printed, boxes, [("line", "2")], seed), tmp_path / name)
    words = [tmp_path / "a.png", tmp_path / "b.png", "--yes", "--page", tmp_path / "p.html", *LATER]
    answer = bench("reconcile", *words, folder=demo)
    assert "a.png" in answer.out and "b.png" in answer.out and "in doubt: box m1" in answer.out
    page = (tmp_path / "p.html").read_text("utf-8")
    heights = {}
    for alt, data in re.findall(r'alt="([^"]*)" src="data:image/jpeg;base64,([^"]*)"', page):
        with Image.open(io.BytesIO(base64.b64decode(data))) as strip:
            heights.setdefault(alt, []).append(strip.height)
    assert heights["line2"][0] > 150 and "m1" in heights and len(heights["page 2 of the sheet"]) == 2


def test_asking_on_a_terminal() -> None:
    leaf = record_leaf()
    picture = written_on(leaf, [("job", ids("job")[0])], [("line", "1"), ("line", "2"), ("day", ids("job")[0])])
    (page,), _ = read_picture(picture, "p", Ledger({leaf.sheet.serial: leaf.sheet}))
    said = iter(["14 dec moss gone", "", "2 dec"])
    shown: list[str] = []

    def talk(lines: Sequence[str]) -> str:
        shown.extend(lines)
        path = next(line.rpartition(": ")[2] for line in lines if line.endswith(".jpg"))
        assert Image.open(path).height > 20, "the strip can be looked at while it is asked for"
        return next(said)

    order = [n for n, v in values_of([page]).items() if v == "?"]
    asked, left = _asked({leaf.sheet.serial: [page]}, {leaf.sheet.serial: values_of([page])}, talk)
    answers = asked[leaf.sheet.serial]
    assert not left and sum("later (or q) leaves" in line for line in shown) == 1, "said once, at the first question"
    said = iter(["14 dec moss gone", "later"])
    asked, left = _asked({leaf.sheet.serial: [page]}, {leaf.sheet.serial: values_of([page])}, talk)
    kept = [asked[leaf.sheet.serial][name] for name in order]
    assert left and kept == ["14 dec moss gone", *["?"] * (len(order) - 1)], "what was answered is kept"
    assert [answers[n] for n in order] == ["14 dec moss gone", "?", "2 dec"]

    def interrupted(_lines: Sequence[str]) -> str:
        if len(shown) > 100:
            raise KeyboardInterrupt
        shown.extend([""] * 200)
        return "14 dec fed"

    shown.clear()
    partly, _ = _asked({leaf.sheet.serial: [page]}, {leaf.sheet.serial: values_of([page])}, interrupted)
    assert [partly[leaf.sheet.serial][n] for n in order] == ["14 dec fed", "?", "?"], "what was typed is not lost"


def test_days_in_the_collections_own_order(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    settings = demo / "collection.yaml"
    settings.write_text(settings.read_text("utf-8").replace("day-month", "month-day"), encoding="utf-8")
    answer = given_picture(printed, demo, tmp_path, bench, "--yes", "--day", "11/28")
    assert "2026-11-28" in answer.out and answer.code == 3


@pytest.mark.parametrize("kind", ["GIF", "BMP", "TIFF", "WEBP"])
def test_other_kinds_of_pictures_are_no_text(
    kind: str, printed: Leaf, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    path = tmp_path / f"p.{kind.lower()}"
    Image.fromarray(written_on(printed, [("job", "m1")], [])).save(path)
    answer = bench("reconcile", path, "--yes", "--day", "28 nov", *LATER, folder=demo)
    assert answer.code == 0 and "wrote 1 entry" in answer.out
    path.write_bytes(b"\x7fELF" + bytes(600))
    assert "neither text nor a picture" in bench("reconcile", path, "--yes", folder=demo).err
    assert len(list((demo / "notes").glob("2*.txt"))) == 1, "such bytes are not kept as notes"
    text = tmp_path / "n.txt"
    text.write_text("BM 003 is no bitmap\n", encoding="utf-8")
    assert "nothing says which tree" in bench("reconcile", text, "--dry-run", folder=demo).out
    assert "are for pictures" in bench("reconcile", text, "--keep-picture", folder=demo).err


def test_a_bad_picture_beside_a_form_does_not_stop_the_form(demo: Path, tmp_path: Path, bench: Bench) -> None:
    writer = filled_form(demo, tmp_path, bench)
    writer.encrypt("", "owner", algorithm="RC4-128")
    writer.write(tmp_path / "filled.pdf")
    Image.new("L", (400, 400), 190).save(tmp_path / "blur.jpg")
    answer = bench("reconcile", tmp_path / "filled.pdf", tmp_path / "blur.jpg", "--yes", *LATER, folder=demo)
    assert answer.code == 1 and "wrote 1 entry" in answer.out and "no sheet's code" in answer.err


def test_lines_cut_off_are_told_apart(printed: Leaf, demo: Path, tmp_path: Path, bench: Bench) -> None:
    picture = written_on(printed, [("job", "m1")], [("line", "1")])
    as_file(np.ascontiguousarray(picture[: int(picture.shape[0] * 0.86)]), tmp_path / "cut.png")
    answer = bench("reconcile", tmp_path / "cut.png", "--dry-run", *LATER, folder=demo)
    assert "written on: line 1;" in answer.out and "cut off or covered: line" in answer.out


def test_whose_hand_it_was_is_asked_where_it_is_written(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """What was ticked waits for the hand that stands at the head of the list; typed, it is in each entry."""
    out = tmp_path / "w.pdf"
    assert bench("walk", "-o", out, *TODAY, folder=demo).code == 0
    (sheet,) = load_ledger(demo).sheets.values()
    image = pypdfium2.PdfDocument(out)[0].render(scale=PX * 25.4 / 72, grayscale=True).to_numpy().squeeze().copy()
    tag, work = sheet.jobs[0].tag, sheet.jobs[0].work
    picture = written_on(Leaf(sheet, 1, (210, 297), image), [("job", tag)], [("by", "")])
    as_file(picture, tmp_path / "walk.jpg", quality=88)
    before = snapshot(demo / "trees")
    page = tmp_path / "page.html"
    words = ["--yes", "--day", "1 dec", "--page", page, *LATER]
    answer = bench("reconcile", tmp_path / "walk.jpg", *words, folder=demo)
    assert "written on: whose hand it was" in answer.out and "and not typed yet" in answer.out and answer.code == 3
    assert snapshot(demo / "trees") == before
    assert '<input name="by"' in page.read_text("utf-8")
    values = {"by": "Ro W.", f"job:{tag}": "x"}
    typed = {"answers": 1, "day": "1 dec", "sheets": [{"serial": sheet.serial, "values": values, "asked": ["by"]}]}
    (tmp_path / "answers.json").write_text(json.dumps(typed), encoding="utf-8")
    assert bench("reconcile", tmp_path / "answers.json", "--yes", *LATER, folder=demo).code == 0
    assert f"work: {work}, by: RoW" in (demo / f"trees/{tag}.yaml").read_text("utf-8")
    assert "nothing waits" in bench("waiting", folder=demo).out


def test_a_hand_that_is_cleared_says_nothing() -> None:
    for said, header in (
        ("-", ""),
        ("", ""),
        ("m", " by m"),
        ("?", " by ?"),
        ("Annemarie-Louise", " by AnnemarieLou"),
        ("m / k.", " by m/k"),
    ):
        notes = sheet_notes("00142-4", True, {"by": said, "job:014": "x"}, "1 dec")
        assert notes == f"sheet 00142-4{header}\n014 1 dec done\n"
    assert sheet_notes("00142-4", True, {"by": "m"}) == ""
