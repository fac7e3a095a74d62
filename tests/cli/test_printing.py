"""Printing as its user: only what changed, what is near, photos without their place, spare numbers, books, printers that are off."""

from __future__ import annotations

import io
import json
from collections.abc import Callable
from pathlib import Path

import pypdf
import pypdfium2
import pytest
from PIL import Image

from logbook.storage.printed import load_ledger

from ..conftest import Answer, snapshot

TODAY = ["--today", "2026-11-25"]
Bench = Callable[..., Answer]


def printed_tags(answer: Answer) -> list[str]:
    return [sheet["tag"] for sheet in json.loads(answer.out)["sheets"]]


def test_only_what_changed_is_printed_again(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = ["-o", tmp_path / "s.pdf", *TODAY]
    everything = printed_tags(bench("sheets", "--json", *out, folder=demo))
    again = bench("sheets", "--changed", *out, folder=demo)
    assert again.code == 0 and "nothing to print" in again.out
    tree = demo / "trees" / "006.yaml"
    tree.write_text(tree.read_text("utf-8").replace("Threshold beech", "Step beech"), encoding="utf-8")
    assert printed_tags(bench("sheets", "--changed", "--json", *out, folder=demo)) == ["006"]
    later = printed_tags(
        bench("sheets", "--changed", "--json", "-o", tmp_path / "s.pdf", "--today", "2027-09-01", folder=demo)
    )
    assert set(later) == set(everything), "no front is good for longer than the year that it draws"


def test_the_layout_alone_makes_no_sheet_change(demo: Path, tmp_path: Path, bench: Bench) -> None:
    bench("sheets", "--tag", "005", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    other = bench(
        "sheets", "--tag", "005", "--changed", "--layout", "binder-a5", "-o", tmp_path / "s.pdf", *TODAY, folder=demo
    )
    assert "nothing to print" in other.out


def test_only_what_is_near(demo: Path, tmp_path: Path, bench: Bench) -> None:
    words = ["-o", tmp_path / "s.pdf", "--json", "--draft", *TODAY]
    near = printed_tags(bench("sheets", "--due-within", "10d", *words, folder=demo))
    wide = printed_tags(bench("sheets", "--due-within", "40w", *words, folder=demo))
    assert "001" in near and "010" not in near and set(near) < set(wide)
    due = {t["tag"]: t for t in json.loads(bench("due", "--json", *TODAY, folder=demo).out)["trees"]}
    for tag in near:
        assert any(j["opens"] and j["opens"] <= "2026-12-05" for j in due[tag]["jobs"])
    assert bench("sheets", "--due-within", "soon", folder=demo).code == 2


def test_sheets_that_never_came_back_are_counted(demo: Path, tmp_path: Path, bench: Bench) -> None:
    first = bench("sheets", "--tag", "003", "--json", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    serial = json.loads(first.out)["sheets"][0]["serial"]
    again = bench("sheets", "--tag", "003", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    assert "1 earlier sheet never came back" in again.out
    notes = tmp_path / "n.txt"
    notes.write_text(f"sheet {serial}\n1 25 nov looked\n", encoding="utf-8")
    assert bench("reconcile", notes, "--yes", *TODAY, folder=demo).code == 0
    third = bench("sheets", "--tag", "003", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    assert "1 earlier sheet" in third.out, "the one that came back is counted no more, the second one is"
    later = bench("sheets", "--tag", "003", "-o", tmp_path / "s.pdf", "--today", "2027-06-25", folder=demo)
    assert "never came back" not in later.out, "half a year on it is let be"


def a_photo(path: Path) -> None:
    """A picture lying on its side, red above and blue below once turned, with a place and a camera in its metadata."""
    picture = Image.new("RGB", (400, 300), "white")
    picture.paste("red", (0, 0, 200, 300))
    picture.paste("blue", (200, 0, 400, 300))
    exif = Image.Exif()
    exif[0x0112] = 6  # turn a quarter clockwise to stand upright
    exif[0x010F] = "SecretCamera"
    exif.get_ifd(0x8825)[1] = "N"
    exif.get_ifd(0x8825)[2] = (46.0, 3.0, 7.0)
    path.parent.mkdir(exist_ok=True)
    picture.save(path, exif=exif, comment=b"SecretPlace")


def with_photo(demo: Path, tag: str, name: str) -> None:
    path = demo / "trees" / f"{tag}.yaml"
    path.write_text(
        path.read_text("utf-8").rstrip() + f"\n  - {{date: 2026-11-20, photo: photos/{name}}}\n", encoding="utf-8"
    )


def test_photos_stand_upright_and_tell_no_place(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """EXIF 2.32 (CIPA DC-008): orientation 6; GPS and everything else is gone from the printed picture."""
    a_photo(demo / "photos" / "a.jpg")
    with_photo(demo, "003", "a.jpg")
    out = tmp_path / "s.pdf"
    assert bench("sheets", "--tag", "003", "--photos", "-o", out, *TODAY, folder=demo).code == 0
    raw = out.read_bytes()
    assert b"Exif" not in raw and b"Secret" not in raw and b"GPS" not in raw
    (image,) = [i for page in pypdf.PdfReader(out).pages for i in page.images]
    shown = Image.open(io.BytesIO(image.data))
    assert shown.height > shown.width and dict(shown.getexif()) == {}
    assert shown.height <= 40 / 25.4 * 300 + 1, "no more pixels than print needs"
    top, bottom = shown.getpixel((shown.width // 2, 10)), shown.getpixel((shown.width // 2, shown.height - 10))
    assert top[0] > 200 > top[2] and bottom[2] > 200 > bottom[0]  # type: ignore[index]
    page = pypdfium2.PdfDocument(out)[0].render(scale=2).to_numpy()
    assert ((page[:, :, 0] > 200) & (page[:, :, 2] < 80) | (page[:, :, 2] > 200) & (page[:, :, 0] < 80)).any()


@pytest.mark.parametrize(
    ("make", "said"),
    [
        (lambda p: p.write_bytes(b"\xff\xd8\xff\xe0 no picture"), "can't be read as a picture"),
        (lambda p: Image.new("1", (20_000, 12_000)).save(p, "PNG"), "too large to print: over 150 million pixels"),
        (lambda p: Image.new("1", (14_000, 11_500)).save(p, "PNG"), "too large to print: 14000 × 11500 pixels"),
        (lambda _: None, "there is no photo 'photos/b.jpg'"),
    ],
)
def test_a_photo_that_can_not_be_used_has_its_place(
    demo: Path, tmp_path: Path, bench: Bench, make: Callable[[Path], object], said: str
) -> None:
    (demo / "photos").mkdir(exist_ok=True)
    make(demo / "photos" / "b.jpg")
    with_photo(demo, "003", "b.jpg")
    line = len((demo / "trees" / "003.yaml").read_text("utf-8").splitlines())
    answer = bench("sheets", "--tag", "003", "--photos", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    assert answer.code == 1 and said in answer.err and f"trees/003.yaml:{line}:" in answer.err
    assert (tmp_path / "s.pdf").exists(), "the sheet is printed without it"


def test_spare_tags_take_the_next_free_numbers_once(demo: Path, tmp_path: Path, bench: Bench) -> None:
    first = json.loads(bench("tags", "--spare", "3", "--json", "-o", tmp_path / "t.pdf", folder=demo).out)
    assert [t["tag"] for t in first["tags"]] == ["013", "014", "015"]
    second = json.loads(bench("tags", "--spare", "2", "--json", "-o", tmp_path / "t.pdf", folder=demo).out)
    assert [t["tag"] for t in second["tags"]] == ["016", "017"], "numbers on printed tags are given once"
    assert load_ledger(demo).problems == ()
    assert bench("tags", "--spare", "0", folder=demo).code == 2
    before = snapshot(demo)
    bench("tags", "--spare", "2", "--dry-run", "-o", tmp_path / "u.pdf", folder=demo)
    assert snapshot(demo) == before and not (tmp_path / "u.pdf").exists()


def test_a_book_is_on_record_like_loose_sheets(demo: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "book.pdf"
    answer = bench("sheets", "--booklet", "-o", out, "--json", *TODAY, folder=demo)
    ledger = load_ledger(demo)
    assert {s["serial"] for s in json.loads(answer.out)["sheets"]} == set(ledger.sheets)
    text = "\n".join(page.extract_text() for page in pypdf.PdfReader(out).pages)
    assert "Pocket book" in text and "By number" in text and "Take care" in text
    assert all(serial in text for serial in ledger.sheets)


def test_the_index_names_the_page_a_tree_is_on(demo: Path) -> None:
    from logbook.cli.common import Opened
    from logbook.cli.printing import season_pages
    from logbook.cli.saying import announced_to
    from logbook.collection.load import load
    from logbook.horticulture.loader import shipped_knowledge
    from logbook.paper.booklet import Content, book_pages
    from logbook.paper.layouts import layout
    from logbook.paper.page import Text
    from logbook.paper.sheet.sheets import record_sheet
    from logbook.planning.garden import Garden
    from logbook.planning.planner import plan_tree

    from ..conftest import day

    knowledge, plan = shipped_knowledge(), layout("pocket-a6")
    collection = load(demo, knowledge)
    garden = Garden(collection.settings, knowledge, collection.trees)
    trees = list(collection.living)
    sheets = [
        record_sheet(plan_tree(t, garden, day("2026-11-25")), collection.settings, knowledge, plan, "") for t in trees
    ]
    opened = Opened(demo, collection, garden, day("2026-11-25"))
    pages = book_pages(
        Content(
            trees,
            sheets,
            season_pages(opened, plan),
            collection.settings,
            knowledge,
            announced_to(opened, trees),
            "today",
        ),
        plan,
    )
    assert len(pages) % 4 == 0
    for index in [p for p in pages if p.label.startswith("index")]:
        texts = [i for i in index.items if isinstance(i, Text)]
        for tag in [t for t in texts if t.bold and t.text in {tree.tag for tree in trees}]:
            number = next(t for t in texts if abs(t.y - tag.y) < 0.01 and t.text.isdecimal() and t is not tag)
            named = pages[int(number.text) - 1]
            assert named.label == f"{tag.text} front 1" and int(number.text) % 2 == 0, "a left page"


def test_a_printer_that_is_off(demo: Path, tmp_path: Path, bench: Bench) -> None:
    edges = []
    for name, words in (("plain", []), ("moved", ["--offset", "2,1"])):
        out = tmp_path / f"{name}.pdf"
        assert bench("tags", "--tag", "001", *words, "-o", out, folder=demo).code == 0
        page = pypdfium2.PdfDocument(out)[0].render(scale=10 / 2.834645669, grayscale=True).to_numpy().squeeze()
        dark = (page < 60).nonzero()
        edges.append((dark[1].min() / 10, dark[0].min() / 10))
    assert edges[1][0] - edges[0][0] == pytest.approx(2, abs=0.15) and edges[1][1] - edges[0][1] == pytest.approx(
        1, abs=0.15
    )
    for wrong in ("2", "a,b", "50,0", "nan,0"):
        assert bench("tags", f"--offset={wrong}", folder=demo).code == 2


def test_no_record_without_its_paper_and_no_paper_without_its_record(
    demo: Path, tmp_path: Path, bench: Bench, monkeypatch: pytest.MonkeyPatch
) -> None:
    from logbook.storage.store import Store

    def full(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Store, "create", full)
    answer = bench("sheets", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    assert answer.code == 1 and "no space left" in answer.err
    assert list(tmp_path.glob("*.pdf*")) == [] and load_ledger(demo).sheets == {}
    monkeypatch.undo()
    monkeypatch.setattr("logbook.storage.outputs.fresh", full)
    assert bench("sheets", "-o", tmp_path / "s.pdf", *TODAY, folder=demo).code == 1
    assert load_ledger(demo).sheets == {}


def test_cards(demo: Path, tmp_path: Path, bench: Bench) -> None:
    for card, said in (("season", "Season 2027"), ("scale", "actual size")):
        out = tmp_path / f"{card}.pdf"
        assert bench("cards", card, "-o", out, *TODAY, folder=demo).code == 0
        assert said in pypdf.PdfReader(out).pages[0].extract_text()
    page = (
        pypdfium2.PdfDocument(tmp_path / "scale.pdf")[0]
        .render(scale=10 / 2.834645669, grayscale=True)
        .to_numpy()
        .squeeze()
    )
    column = page[:, page.shape[1] // 2 + 300] < 120
    frame = column.nonzero()[0]
    assert frame.min() / 10 == pytest.approx(10.0, abs=0.3) and frame.max() / 10 == pytest.approx(287.0, abs=0.3)


def test_a_name_that_ends_in_png_makes_a_picture_of_each_page(demo: Path, tmp_path: Path, bench: Bench) -> None:
    answer = bench("sheets", "--tag", "004", "--json", "-o", tmp_path / "s.png", *TODAY, folder=demo)
    files = [Path(name) for name in json.loads(answer.out)["files"]]
    assert files == [tmp_path / f"s-{n}.png" for n in range(1, len(files) + 1)] and len(files) >= 2
    for path in files:
        with Image.open(path) as picture:
            assert picture.size == (621, 875), "A6 at 150 dots an inch: 105 x 148 mm"
            assert picture.mode == "L" and round(picture.info["dpi"][0]) == 150
    assert bench("walk", "-o", tmp_path / "w.PNG", *TODAY, folder=demo).code == 0
    assert (tmp_path / "w.PNG").is_file()
    assert sorted(p.name for p in tmp_path.iterdir() if p.name.endswith(".part")) == []
    assert len(load_ledger(demo).sheets) == 2


def test_pictures_that_can_not_be_written_leave_no_record(demo: Path, tmp_path: Path, bench: Bench) -> None:
    (tmp_path / "s-2.png").mkdir()
    answer = bench("sheets", "--tag", "004", "-o", tmp_path / "s.png", *TODAY, folder=demo)
    assert answer.code == 1 and "s-2.png: error: this is a folder" in answer.err
    assert sorted(p.name for p in tmp_path.iterdir()) == ["demo", "s-2.png"]
    assert not load_ledger(demo).sheets


def test_the_walk_list_goes_from_bench_to_bench(demo: Path, tmp_path: Path, bench: Bench) -> None:
    made = json.loads(bench("walk", "--json", "-o", tmp_path / "w.pdf", *TODAY, folder=demo).out)
    places = {p.stem: p.read_text("utf-8") for p in (demo / "trees").glob("*.yaml")}
    stands = [
        places[tag].split("bench: ")[1].splitlines()[0] if "bench: " in places[tag] else "~" for tag in made["tags"]
    ]
    assert stands == sorted(stands) and len(stands) == 11
