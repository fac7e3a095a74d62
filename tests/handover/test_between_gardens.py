"""A tree goes from one garden to another and takes its history along, and nothing else of either garden changes."""

from __future__ import annotations

import io
import json
import re
import time
import zipfile
from collections.abc import Callable
from datetime import datetime
from pathlib import Path

import numpy as np
import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from PIL import Image

from logbook.collection.handed_over import Arrival, arrived, keys_dropped, to_give
from logbook.collection.load import load
from logbook.collection.yaml_editor import data_of
from logbook.diagnostics import ProblemsFound
from logbook.horticulture.loader import shipped_knowledge
from logbook.planning.garden import Garden
from logbook.planning.lists.stock import came_on, stock_on
from logbook.planning.planner import plan_tree

from ..conftest import Answer, day, make_collection, snapshot
from ..photos.test_rolls import assert_bare
from ..photos.world import as_jpeg
from ..web.browser import Browser, browser_or_skip

Bench = Callable[..., Answer]
TODAY = ["--today", "2027-05-02"]
NOON = datetime(2025, 7, 1, 12)
NORTH = "site: {latitude: 47.9, normals: {tmin: [-3.6, -3.2, 0.1, 3.7, 8.1, 11.6, 13.4, 13.1, 9.2, 5.3, 0.6, -2.5], tmax: [2.6, 4.6, 9.8, 14.8, 19.2, 22.7, 24.8, 24.5, 19.5, 13.6, 7.0, 3.3]}}\n"
WARM = "site: {latitude: 43.5, normals: {tmin: [4, 5, 7, 9, 13, 17, 20, 20, 16, 13, 8, 5], tmax: [12, 13, 16, 18, 22, 26, 29, 29, 25, 21, 16, 13]}}\n"
GIVEN = """\
# grown on from a hedge
tag: "014"
name: Ridge
species: Acer palmatum
cultivar: 'Deshojo'   # as it was sold
bench: east 2
origin:
  kind: layer
  date: 2011
  parent: "003"
  place: behind the shed
value: 900 EUR
provenance: |
  bought from somebody
  who knew somebody
also: [12, "A7"]
x-price: 300
aim: a broad crown
log:
  # the oldest first
  - {date: 2019-04-02, found: {stage: ramification, vigour: 4}}
  - {date: 2020-03-12, saw: swell}
  - date: 2021-03-14
    work: repotting   # in the rain
    roots: light
    note: >
      roots were
      brown
  - {date: 2024-02-01, saw: swell}
  - {date: 2024-03-01, work: wiring, branches: [1], metal: copper, wire: [2]}
  - {date: 2024-05-01, work: wire check, branches: [1], bite: cut}
  - {date: 2024-05-02, work: wire off, branches: [1], bite: cut}
  - {date: 2024-06-01, new: "031", note: a layer}
  - {date: 2025-07-01, photo: photos/014-2025-07-01-a.jpg, from: picture 0123456789abcdef}
  - {date: 2025-07-01, photo: photos/gone.jpg}
  - {date: 2026-01-05, bench: tunnel 3}
# the end
"""
OTHER = 'tag: "{0}"\nspecies: Acer palmatum\nlog:\n  - {{date: 2026-01-10, found: {{stage: ramification}}}}\n'


def photograph(folder: Path, name: str, seed: int) -> None:
    (folder / "photos").mkdir(exist_ok=True)
    pixels = np.random.default_rng(seed).integers(0, 255, (60, 80, 3)).astype(np.uint8)
    (folder / "photos" / name).write_bytes(as_jpeg(pixels, NOON))


@pytest.fixture
def gardens(tmp_path: Path) -> tuple[Path, Path]:
    """The garden it comes from, and another that has a 014, a 031 and a picture of the same name."""
    old = make_collection(
        tmp_path / "old", {"014": GIVEN, "003": OTHER.format("003")}, f"format: 1\ntitle: Hill\n{NORTH}"
    )
    new = make_collection(
        tmp_path / "new", {t: OTHER.format(t) for t in ("003", "014", "031")}, f"format: 1\ntitle: Shore\n{WARM}"
    )
    photograph(old, "014-2025-07-01-a.jpg", 1)
    photograph(new, "014-2025-07-01-a.jpg", 2)
    return old, new


@pytest.fixture
def browser() -> Browser:
    return browser_or_skip()


def given_away(bench: Bench, gardens: tuple[Path, Path], *more: str) -> Path:
    archive = gardens[0].parent / "014.zip"
    answer = bench("handover", "014", "-o", archive, "--yes", *more, *TODAY, folder=gardens[0])
    assert answer.code == 0, answer.all
    return archive


def test_what_is_given(bench: Bench, gardens: tuple[Path, Path]) -> None:
    before = snapshot(gardens[0])
    told = bench("handover", "014", "-o", gardens[0].parent / "x.zip", *TODAY, folder=gardens[0])
    assert (
        told.code == 3 and "stays here: value, provenance" in told.out and not (gardens[0].parent / "x.zip").exists()
    )
    archive = zipfile.ZipFile(given_away(bench, gardens))
    assert {k: v for k, v in snapshot(gardens[0]).items() if not k.endswith(".lock")} == before, (
        "nothing changes at home"
    )
    text = archive.read("tree.yaml").decode()
    for word in ("900 EUR", "bought", "knew somebody", "x-price", "behind the shed"):
        assert word not in text
    for word in ("# grown on from a hedge", "# in the rain", "# the oldest first", 'parent: "003"', "roots were"):
        assert word in text
    pages = " ".join(page.extract_text() for page in pypdf.PdfReader(io.BytesIO(archive.read("dossier.pdf"))).pages)
    assert (
        "900" not in pages and "somebody" not in pages and "behind the shed" not in pages and "broad crown" in pages
    )
    assert "benchleaf add --handover 014.zip" in archive.read("READ-ME.txt").decode()
    assert "any editor" in archive.read("READ-ME.txt").decode()
    folder = gardens[0].parent / "out"
    archive.extractall(folder)
    assert_bare(folder / "photos", 1)
    own = zipfile.ZipFile(given_away(bench, gardens, "--own"))
    assert own.read("tree.yaml").decode() == GIVEN


PRIVATE = (
    "900", "somebody", "behind the shed", "east 2", "tunnel 3", "brown", "in the rain", "broad crown", "x-price", "300",
    "a layer", "the end", "hedge", "Hill", "photos/gone", "picture 0123", "A7",
)  # fmt: skip


@pytest.mark.parametrize("own", [(), ("--own",)])
def test_the_page_in_it_is_for_anybody_and_asks_for_nothing_outside(
    bench: Bench, gardens: tuple[Path, Path], own: tuple[str, ...]
) -> None:
    """By bytes: the public page whatever else goes along, since its buttons would tick a number that is another tree's elsewhere."""
    archive = zipfile.ZipFile(given_away(bench, gardens, *own))
    page = archive.read("page.html").decode()
    assert page.startswith("<!DOCTYPE html>") and "Ridge" in page and "Acer palmatum" in page and "wiring" in page
    assert not [word for word in PRIVATE if word in page]
    assert "<script" not in page and "<button" not in page
    assert re.findall(r'(?:src|href|url|action)\s*[=(]\s*"?([^">]*)', page) == ["photos/014-2025-07-01-a.jpg"]
    assert "http:" not in page and "https:" not in page and "//" not in page.replace("file://", "")
    assert "photos/014-2025-07-01-a.jpg" in archive.namelist() and 'width="80" height="60"' in page
    assert "page.html" in archive.read("READ-ME.txt").decode()


def test_the_page_shows_its_photographs_from_the_unpacked_archive(
    bench: Bench, gardens: tuple[Path, Path], browser: Browser
) -> None:
    folder = gardens[0].parent / "unpacked"
    zipfile.ZipFile(given_away(bench, gardens)).extractall(folder)
    browser.requested()
    browser.open(folder / "page.html")
    browser.run("for (const one of document.images) { one.loading = 'eager' }")
    shown = "return [...document.images].map(one => one.complete ? one.naturalWidth : 0)"
    end = time.monotonic() + 10
    while browser.run(shown) != [80] and time.monotonic() < end:
        time.sleep(0.05)
    assert browser.run(shown) == [80]
    asked = [url for url in browser.requested() if url != "about:blank"]
    assert asked and all(url.startswith(f"file://{folder}/") for url in asked), asked


def test_a_tree_that_was_noted_as_gone_has_its_page_as_well(bench: Bench, gardens: tuple[Path, Path]) -> None:
    assert bench("end", "014", "--how", "given", *TODAY, folder=gardens[0]).code == 0
    assert "Ridge" in zipfile.ZipFile(given_away(bench, gardens)).read("page.html").decode()


def test_nothing_else_is_written_over(bench: Bench, gardens: tuple[Path, Path]) -> None:
    letter = gardens[0].parent / "letter.zip"
    letter.write_bytes(b"mine")
    for target in (letter, gardens[0] / "trees/014.yaml", gardens[0] / "collection.yaml"):
        before = target.read_bytes()
        told = bench("handover", "014", "-o", target, "--yes", *TODAY, folder=gardens[0])
        assert told.code == 1 and target.read_bytes() == before
    again = given_away(bench, gardens).read_bytes()
    assert given_away(bench, gardens).read_bytes() == again, (
        "its own archive may be made anew, the same day the same bytes"
    )


def test_it_arrives_with_all_it_had(bench: Bench, gardens: tuple[Path, Path]) -> None:
    archive, (_, new) = given_away(bench, gardens), gardens
    before = snapshot(new)
    assert bench("add", "--handover", archive, "--dry-run", *TODAY, folder=new).code == 0
    assert bench("add", "--handover", archive, *TODAY, folder=new).code == 3
    assert {k: v for k, v in snapshot(new).items() if k in before} == before and len(
        list((new / "trees").iterdir())
    ) == 3
    told = bench("add", "--handover", archive, "--yes", *TODAY, folder=new)
    assert told.code == 0 and "1 picture that its log names did not come" in told.err, told.all
    after = snapshot(new)
    assert {name: after[name] for name in before} == before, "not one byte of what stood there"
    text = (new / "trees/032.yaml").read_text()
    data, old = data_of(text, ""), data_of(GIVEN, "")
    log = data["log"]
    assert log[0]["note"] == "from garden Hill, 014 (before that 12, A7)" and log[0]["found"] == {
        "acquired": "2027-05-02"
    }
    without = lambda entries: [{k: v for k, v in e.items() if k != "photo"} for e in entries]  # noqa: E731
    assert without(log[1:]) == without(old["log"]) and len(log) == len(old["log"]) + 1
    lines = [line for line in GIVEN[GIVEN.index("  # the oldest") :].splitlines() if "photo:" not in line]
    assert all(line in text.splitlines() for line in lines), "word for word, comments too"
    assert not {"bench", "also", "ended", "value", "provenance"} & set(data)
    assert data["origin"] == {"kind": "layer", "date": "2011", "place": "from garden Hill, 014; taken there from 003"}
    assert log[9]["photo"] == "photos/032-2025-07-01-a.jpg" and log[10]["photo"] == "photos/not-handed-over/gone.jpg"
    assert (new / "photos/032-2025-07-01-a.jpg").is_file()
    assert (
        "trees/014.yaml" in bench("find", "014", folder=new).out and "032" not in bench("find", "014", folder=new).out
    )
    assert bench("find", "A7", folder=new).code == 1


def test_the_same_again_is_nothing_and_undo_takes_all_of_it(bench: Bench, gardens: tuple[Path, Path]) -> None:
    archive, (_, new) = given_away(bench, gardens), gardens
    before = snapshot(new)
    bench("add", "--handover", archive, "--yes", *TODAY, folder=new)
    stood = snapshot(new)
    told = bench("add", "--handover", archive, "--yes", "--json", *TODAY, folder=new)
    assert told.code == 0 and json.loads(told.out)["there"] == ["032"] and snapshot(new) == stood
    later = given_away(bench, gardens, "--own")
    told = bench("add", "--handover", later, "--yes", *TODAY, folder=new)
    assert told.code == 1 and "032 came from garden Hill, 014 before" in told.err and snapshot(new) == stood
    assert bench("add", "050", "--handover", later, "--yes", *TODAY, folder=new).code == 0
    assert bench("undo", "--yes", *TODAY, folder=new).code == bench("undo", "--yes", *TODAY, folder=new).code == 0
    assert {k: v for k, v in snapshot(new).items() if not k.startswith((".journal", ".lock"))} == before


def test_a_tag_in_use_is_refused(bench: Bench, gardens: tuple[Path, Path]) -> None:
    told = bench("add", "014", "--handover", given_away(bench, gardens), "--yes", *TODAY, folder=gardens[1])
    assert told.code == 1 and "tag 014 is in use" in told.err and "032" in told.err


def test_its_dates_are_those_of_the_new_garden(bench: Bench, gardens: tuple[Path, Path]) -> None:
    """What was seen on it in a cold garden moves no date of a warm one, nor does its old bench or its children's numbers."""
    archive, (_, new) = given_away(bench, gardens), gardens
    knowledge = shipped_knowledge()

    def dates(tag: str) -> list[tuple[str, object, object]]:
        collection = load(new, knowledge)
        garden = Garden(collection.settings, knowledge, collection.trees)
        tree = collection.tree(tag)
        assert tree is not None
        return [(job.work, job.opens, job.closes) for job in plan_tree(tree, garden, day("2027-05-02")).jobs]

    before = dates("003")
    bench("add", "--handover", archive, "--yes", *TODAY, folder=new)
    assert dates("003") == before, "the neighbours' dates are not moved by what was seen elsewhere"
    (new / "trees/033.yaml").write_text(  # the same tree that was always here, with no sign seen
        (new / "trees/032.yaml")
        .read_text()
        .replace('"032"', '"033"')
        .replace("saw: swell", "note: swell")
        .replace(", bite: cut", ""),
        encoding="utf-8",
    )
    assert dates("032") == dates("033")
    collection = load(new, knowledge)
    tree = collection.tree("032")
    assert tree is not None and tree.bench == ""
    assert came_on(tree) == day("2027-05-02")
    stock = stock_on(collection.trees, day("2027-12-31"))
    assert tree in stock.came
    review = json.loads(bench("review", "--season", "2026", "--json", "--today", "2027-05-02", folder=new).out)
    assert "032" not in json.dumps(review), "no season of this garden before it came"
    told = bench("add", "034", "--from", "003", *TODAY, folder=new)
    assert told.code == 0, told.err
    told = bench("add", "031", "--from", "003", "--species", "Acer palmatum", *TODAY, folder=new)
    assert "032" not in told.err, "a child that it had elsewhere is none of this garden's trees"


def test_sizes_in_other_units_are_refused(bench: Bench, gardens: tuple[Path, Path], tmp_path: Path) -> None:
    inches = make_collection(tmp_path / "us", {}, "format: 1\ntitle: Inches\nunits: us\n")
    told = bench("add", "--handover", given_away(bench, gardens), "--yes", *TODAY, folder=inches)
    assert told.code == 1 and "metric units" in told.err and not list((inches / "trees").iterdir())


def test_a_garden_that_gave_it_hears_how_to_end_it(bench: Bench, gardens: tuple[Path, Path]) -> None:
    told = bench("handover", "014", "-o", gardens[0].parent / "014.zip", "--yes", *TODAY, folder=gardens[0])
    assert "benchleaf end 014 --how given" in told.out


SHAPES = {
    "block": "tag: 014\nspecies: X y\nlog:\n- {date: 2020-01-01, note: a}\n- date: 2021-01-01\n  note: b\n",
    "flow": "tag: 014\nspecies: X y\nbench: east\nlog: [{date: 2020-01-01, note: a}]\nalso: 12\n",
    "empty": "tag: 014\nspecies: X y\nlog: []\n",
    "nothing": "tag: 014\nspecies: X y\nlog:\nbench: east 2\n",
    "crlf": "tag: 014\r\nspecies: X y\r\nbench: east\r\nlog:\r\n  - {date: 2020-01-01, note: a}\r\n",
    "marked": "\ufefftag: 014\nspecies: X y\nlog:\n  - {date: 2020-01-01, note: a}\nended: {date: 2026-01-01, how: sold}",
    "folded": "tag: 014\nspecies: X y\norigin: {kind: seed,\n  date: 2001}\nlog:\n  - date: 2020-01-01\n    note: |\n      a\n      b\n",
}


@pytest.mark.parametrize("name", SHAPES)
def test_whatever_its_file_looks_like(name: str) -> None:
    here = Arrival("031", day("2027-05-02"), "Hill", "014", "handover 0123456789abcdef", lambda old, _: old, "west 1")
    data = data_of(arrived(SHAPES[name], "x", here), "x")
    assert data["tag"] == "031" and data["bench"] == "west 1" and "also" not in data and "ended" not in data
    old = data_of(SHAPES[name].removeprefix("\ufeff"), "x")["log"] or []
    assert data["log"][1:] == old and "handover" in data["log"][0]["from"]


def test_a_file_in_braces_or_with_anchors_is_refused() -> None:
    here = Arrival("031", day("2027-05-02"), "Hill", "014", "handover 0123456789abcdef", lambda old, _: old)
    for text in ("{tag: 014, species: X y, log: []}", "tag: 014\nbench: &b east\naim: *b\nlog: []\n"):
        with pytest.raises(ProblemsFound):
            arrived(text, "x", here)


KEYS = st.lists(
    st.sampled_from(["name", "bench", "aim", "value", "provenance", "x-own", "also", "style"]), unique=True
)
WORDS = st.text(st.characters(codec="utf-8", exclude_categories=["C", "Zl", "Zp"]), min_size=1, max_size=20)


@given(KEYS, WORDS, st.lists(WORDS, max_size=4), st.booleans())
def test_nothing_is_lost_whatever_is_said(keys: list[str], words: str, notes: list[str], own: bool) -> None:
    said = "".join(f"{key}: {json.dumps(words, ensure_ascii=False)}\n" for key in keys)
    log = "".join(
        f"  - {{date: 2020-01-0{n}, note: {json.dumps(note, ensure_ascii=False)}}}\n"
        for n, note in enumerate(notes, 1)
    )
    text = f'tag: "014"\n{said}species: X y\nlog:{"" if log else " []"}\n{log}'
    here = Arrival("031", day("2027-05-02"), words, "014", "handover 0123456789abcdef", lambda old, _: old)
    given_text = to_give(text, "x", own=own)
    data = data_of(arrived(given_text, "x", here), "x")
    assert [entry["note"] for entry in data["log"][1:]] == notes
    away = {"bench", "also"} | (set() if own else {"value", "provenance", "x-own"})
    assert set(data) == {"tag", "species", "log", "origin", *keys} - away
    assert keys_dropped(text, "x", ()) == text


def test_a_picture_is_of_pixels_alone(bench: Bench, gardens: tuple[Path, Path]) -> None:
    archive, (_, new) = given_away(bench, gardens), gardens
    doctored = gardens[0].parent / "doctored.zip"
    with zipfile.ZipFile(archive) as old, zipfile.ZipFile(doctored, "w") as made:
        for info in old.infolist():
            data = old.read(info)
            if info.filename.endswith(".jpg"):
                data = as_jpeg(np.asarray(Image.open(io.BytesIO(data))), NOON)
            made.writestr(info.filename, data)
    bench("add", "--handover", doctored, "--yes", *TODAY, folder=new)
    (new / "photos/014-2025-07-01-a.jpg").unlink()
    assert_bare(new / "photos", 1)
