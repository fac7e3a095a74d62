"""Files: named as the link says, written only where they changed, never over anybody else's, and nothing in them that is not for all."""

from __future__ import annotations

import json
import shutil
from collections.abc import Callable
from pathlib import Path

import pytest
import yaml

from logbook.collection.model import Settings, Tree
from logbook.web.marks import Readers, mark_of, marked
from logbook.web.names import href, names_for

from ..conftest import DEMO, TODAY, Answer, make_collection, snapshot
from ..paper.gardens import generated, stress
from .gardens import SITE, on_disk, photo

Bench = Callable[..., Answer]


def pages(bench: Bench, folder: Path, *words: object, day: str = TODAY) -> dict[str, object]:
    told = bench("pages", *words, "--json", "--today", day, folder=folder)
    data: dict[str, object] = json.loads(told.out)
    return {**data, "code": told.code}


@pytest.fixture
def garden(tmp_path: Path) -> Path:
    shutil.copytree(DEMO, tmp_path / "garden")
    return tmp_path / "garden"


def test_what_did_not_change_is_not_written(garden: Path, tmp_path: Path, bench: Bench) -> None:
    """Not the next day either; and of one new entry only its tree's page, the index and the year."""
    out = tmp_path / "pages"
    first = pages(bench, garden, "-o", out)
    assert first["same"] == 0 and "004.html" in first["written"]  # type: ignore[operator]
    before = {path: (path.stat().st_mtime_ns, path.stat().st_ino) for path in out.rglob("*.html")}
    again = pages(bench, garden, "-o", out)
    assert again["written"] == [] and again["same"] == len(before)
    pages(bench, garden, "-o", out, day="2026-11-26")
    assert {p: (p.stat().st_mtime_ns, p.stat().st_ino) for p in out.rglob("*.html")} == before
    path = garden / "trees" / "004.yaml"
    path.write_text(path.read_text("utf-8") + "  - {date: 2026-11-20, measured: {trunk: 40}}\n", encoding="utf-8")
    assert pages(bench, garden, "-o", out)["written"] == ["004.html"]


def test_a_page_of_anybody_else_stays(garden: Path, tmp_path: Path, bench: Bench) -> None:
    """Made by hand, changed by hand, a folder, a link to elsewhere: each is named, all the others are written."""
    out = tmp_path / "pages"
    pages(bench, garden, "-o", out)
    elsewhere = tmp_path / "elsewhere.html"
    elsewhere.write_text("mine", "utf-8")
    (out / "001.html").write_text("<p>mine</p>", "utf-8")
    (out / "002.html").write_text((out / "002.html").read_text("utf-8").replace("<main>", "<main>mine"), "utf-8")
    (out / "003.html").unlink()
    (out / "003.html").symlink_to(elsewhere)
    (out / "004.html").unlink()
    (out / "004.html").mkdir()
    (out / "005.html").unlink()
    (out / "006.html").write_bytes((out / "006.html").read_bytes().replace(b"\n", b"\r\n"))  # as version control may
    mine = {name: (out / name).read_bytes() for name in ("001.html", "002.html")}
    told = pages(bench, garden, "-o", out)
    assert told["code"] == 1 and told["written"] == ["005.html"]
    named = {Path(problem["file"]).name for problem in told["problems"]}  # type: ignore[attr-defined]
    assert named == {"001.html", "002.html", "003.html", "004.html"}
    assert {name: (out / name).read_bytes() for name in mine} == mine and elsewhere.read_text("utf-8") == "mine"


def test_the_keepers_pages_never_share_a_folder(garden: Path, tmp_path: Path, bench: Bench) -> None:
    out = tmp_path / "pages"
    pages(bench, garden, "--own", "-o", out)
    before = snapshot(out)
    told = bench("pages", "-o", out, "--today", TODAY, folder=garden)
    assert told.code == 1 and "pages for the keeper alone" in told.err and snapshot(out) == before


@pytest.mark.parametrize("where", [".", "..", "trees/../"])
def test_no_folder_with_the_collection_in_it(where: str, garden: Path, bench: Bench) -> None:
    """What lies there is meant to be seen: it would be put on show with the pages."""
    before = snapshot(garden.parent)
    told = bench("pages", "-o", garden / where, "--today", TODAY, folder=garden)
    assert told.code == 1 and "the collection itself" in told.err and snapshot(garden.parent) == before


def test_a_dry_run_leaves_no_trace(garden: Path, tmp_path: Path, bench: Bench) -> None:
    told = bench("pages", "-o", tmp_path / "pages", "--dry-run", "--today", TODAY, folder=garden)
    assert told.code == 0 and "nothing was" in told.out and not (tmp_path / "pages").exists()
    bench("pages", "--one", tmp_path / "one.html", "--dry-run", "--today", TODAY, folder=garden)
    assert not (tmp_path / "one.html").exists()


def test_an_ended_tree_says_when_and_nothing_else(garden: Path, tmp_path: Path, bench: Bench) -> None:
    """The yew of the demo was given away in May 2025; neither its name nor its species is left, on any page."""
    out = tmp_path / "pages"
    for own in ((), ("--own",)):
        pages(bench, garden, *own, "-o", out)
        text = (out / "012.html").read_text("utf-8")
        assert "left this garden in May 2025" in text
        everywhere = "".join(path.read_text("utf-8") for path in out.rglob("*.html"))
        assert "Gatepost" not in everywhere and "Taxus" not in everywhere and "promised" not in everywhere
        shutil.rmtree(out)


# -- what is for anybody -------------------------------------------------------------------------------------------

SECRETS = (
    "bench",
    "aim",
    "front",
    "value",
    "provenance",
    "origin",
    "parent",
    "note",
    "intend",
    "by",
    "moved",
    "entry-aim",
    "entry-front",
)


def private(folder: Path) -> Path:
    """A garden in which each private field holds a word of its own, and a picture that knows where it was taken."""
    word = {name: f"SECRET-{name}" for name in (*SECRETS, "title", "branch", "wire", "meant", "did", "path", "ended")}
    tree = {
        "tag": "001", "name": "Seen", "species": "Acer palmatum", "bench": word["bench"], "aim": word["aim"], "front": word["front"],
        "value": word["value"], "provenance": word["provenance"], "also": ["SECRET-also"],
        "origin": {"kind": "seed", "date": 2001, "place": word["origin"], "parent": "SECRET-parent"},
        "branches": [{"id": 1, "clock": 3, "height": 80, "note": word["branch"]}],
        "log": [
            {"date": "2024-04-01", "found": {"stage": "ramification", "vigour": 4}, "note": word["note"], "by": "SECRETBY"},
            {"date": "2026-06-01", "work": "wiring", "note": word["wire"], "by": "SECRETBY", "bench": word["moved"]},
            {"date": "2026-06-02", "work": "repotting", "aim": word["entry-aim"], "front": word["entry-front"], "did": word["did"]},
            {"date": "2026-06-03", "intend": {"what": word["intend"], "by": "2027-03"}},
            {"date": "2026-06-04", "intend": word["meant"]},
            {"date": "2026-06-05", "intend": {"what": "SECRET-work", "work": "structural pruning", "by": "2026-12"}},
            {"date": "2026-06-06", "photo": "photos/SECRET-path.jpg", "note": word["note"]},
        ],
    }  # fmt: skip
    gone = {
        "tag": "002",
        "name": "SECRET-gone",
        "species": "Acer palmatum",
        "log": [],
        "ended": {"date": "2026-05-01", "how": "sold", "note": word["ended"]},
    }
    settings = {"format": 1, "title": word["title"], "site": yaml.safe_load(SITE)["site"]}
    texts = {t["tag"]: yaml.safe_dump(t, sort_keys=False) for t in (tree, gone)}
    made = make_collection(folder, texts, yaml.safe_dump(settings))  # type: ignore[arg-type]
    (folder / "photos").mkdir()
    (folder / "photos" / "SECRET-path.jpg").write_bytes(photo("SECRET-exif"))
    return made


def test_nothing_private_in_pages_for_anybody(tmp_path: Path, bench: Bench) -> None:
    """By text and by bytes, photographs and file names with it; the keeper's own pages have all of it but what no page shows."""
    folder = private(tmp_path / "garden")
    for words in (
        ("-o", tmp_path / "any"),
        ("--one", tmp_path / "one" / "any.html"),
        ("--own", "-o", tmp_path / "own"),
    ):
        (tmp_path / "one").mkdir(exist_ok=True)
        assert pages(bench, folder, *words)["code"] == 0
    for path in (*sorted((tmp_path / "any").rglob("*")), tmp_path / "one" / "any.html"):
        assert "SECRET" not in path.name
        if path.is_file():
            assert b"SECRET" not in path.read_bytes(), path
            assert b"47.9" not in path.read_bytes() or path.suffix == ".jpg"
    assert list((tmp_path / "any" / "photos").glob("*.jpg"))
    own = (tmp_path / "own" / "001.html").read_text("utf-8")
    assert not [name for name in SECRETS if f"SECRET-{name}" not in own and name not in ("by",)]
    for path in (tmp_path / "own" / "photos").glob("*.jpg"):
        assert b"SECRET" not in path.read_bytes()


def test_a_field_that_comes_later_is_hidden() -> None:
    """What anybody may see is a list: every field of a tree, a branch and an entry is on it, or known to be kept back."""
    from dataclasses import fields

    from logbook.collection.model import Branch, Entry
    from logbook.web.public import OF_BRANCH, OF_ENTRY, OF_TREE

    kept = {
        "log",
        "path",
        "first_bench",
        "digest",
        "origin",
        "bench",
        "aim",
        "front",
        "branches",
        "provenance",
        "value",
        "also",
        "ended",
        "place",
    }
    assert {f.name for f in fields(Tree)} == kept | set(OF_TREE)
    assert {f.name for f in fields(Branch)} == {"until", "note", "place"} | set(OF_BRANCH)
    kept = {
        "date",
        "trouble",
        "intend",
        "did",
        "new",
        "merged",
        "bench",
        "aim",
        "front",
        "style",
        "targets",
        "placed",
        "by",
        "note",
        "sources",
        "replaces",
        "spot",
    }
    assert {f.name for f in fields(Entry)} == kept | set(OF_ENTRY)


def test_photographs_are_made_small_once_and_go_with_their_tree(tmp_path: Path, bench: Bench) -> None:
    from PIL import Image

    folder, out = private(tmp_path / "garden"), tmp_path / "any"
    pages(bench, folder, "-o", out)
    (path,) = (out / "photos").iterdir()
    with Image.open(path) as image:
        assert max(image.size) == 1000 and not image.getexif() and image.info.get("comment") == b"benchleaf pages"
    stamp = path.stat().st_mtime_ns
    (out / "photos" / "mine.jpg").write_bytes(b"mine")
    assert pages(bench, folder, "-o", out)["written"] == [] and path.stat().st_mtime_ns == stamp
    tree = folder / "trees" / "001.yaml"
    tree.write_text(tree.read_text("utf-8") + "ended: {date: 2026-11-01, how: died}\n", encoding="utf-8")
    told = pages(bench, folder, "-o", out)
    assert told["removed"] == [f"photos/{path.name}"] and not path.exists() and (out / "photos" / "mine.jpg").exists()


# -- names ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("link", "page", "lead"),
    [
        ("", "014.html", ""),
        ("https://trees.example.org/{tag}.html", "014.html", ""),
        ("https://trees.example.org/a/tree-{tag}.htm#x", "tree-014.htm", ""),
        ("https://trees.example.org/{file}", "014.html", "trees/014.yaml/index.html"),
        ("https://trees.example.org/a/{tag}", "014.html", "014/index.html"),
        ("https://trees.example.org/{tag}/page.html", "014.html", "014/page.html"),
        ("https://trees.example.org/trees.html#{tag}", "014.html", ""),
        ("https://trees.example.org/?tree={tag}", "014.html", ""),
    ],
)
def test_files_are_named_as_the_link_says(link: str, page: str, lead: str) -> None:
    found = names_for(Settings("x", link=link), [Tree("014", (), path="trees/014.yaml")])
    assert found.pages == {"014": page} and found.leads == ({"014": lead} if lead else {})


def test_a_tree_may_be_called_index() -> None:
    found = names_for(Settings("x"), [Tree(tag, ()) for tag in ("index", "YEAR", "index-2")])
    assert found.index == "index-3.html" and found.year == "year-2.html"
    assert href("50%25 é.html") == "50%2525%20%C3%A9.html"


def test_a_mark_does_not_count_the_day() -> None:
    body = '<p>x</p><time class="made" datetime="2026-11-25">25 Nov 2026</time>'
    one, other = marked(body, Readers.ANYBODY), marked(body.replace("25", "26"), Readers.ANYBODY)
    assert mark_of(one.encode()) == mark_of(other.encode()) and mark_of(one.encode()).intact  # type: ignore[union-attr]
    assert not mark_of(one.replace("<p>x", "<p>y").encode()).intact  # type: ignore[union-attr]
    assert mark_of(b"<!DOCTYPE html>\n<p>x") is None and mark_of(b"\xff\xfe") is None


# -- sizes ---------------------------------------------------------------------------------------------------------

PAGE_BYTES, ONE_BYTES = 40_000, 2_500_000


@pytest.mark.long
def test_pages_are_small(tmp_path: Path, bench: Bench) -> None:
    """Of sixty heavy trees: each page, and all in one file, with everything the keeper sees."""
    folder = on_disk(tmp_path / "garden", stress())
    pages(bench, folder, "--own", "-o", tmp_path / "own")
    pages(bench, folder, "--own", "--one", tmp_path / "one.html")
    sizes = {p.name: p.stat().st_size for p in (tmp_path / "own").glob("[0-9]*.html")}
    assert len(sizes) == 60 and max(sizes.values()) <= PAGE_BYTES, sorted(sizes.items(), key=lambda s: -s[1])[:5]
    assert (tmp_path / "one.html").stat().st_size <= ONE_BYTES


def heaviest(count: int) -> list[Tree]:
    """Those of the thousand whose logs and branches are the longest, and among them the one with the largest page."""
    trees = generated(1000, 1)
    return sorted(trees, key=lambda tree: -(len(tree.log) + len(tree.branches)))[:count]


@pytest.mark.long
@pytest.mark.parametrize("count", [40, pytest.param(1000, marks=pytest.mark.soak)])
def test_pages_of_a_thousand_trees_are_small(count: int, tmp_path: Path, bench: Bench) -> None:
    """What the keeper sees of each of a thousand invented trees, without photographs."""
    folder = on_disk(tmp_path / "garden", heaviest(count))
    pages(bench, folder, "--own", "-o", tmp_path / "own")
    sizes = {p.name: p.stat().st_size for p in (tmp_path / "own").glob("[0-9]*.html")}
    assert len(sizes) == count and max(sizes.values()) <= PAGE_BYTES, sorted(sizes.items(), key=lambda s: -s[1])[:5]
    assert max(sizes.values()) > 0.9 * PAGE_BYTES, "the sample holds none of the largest"


def test_hostile_pages_hold_no_tag_of_theirs(hostile_pages: Path) -> None:
    """By text: what a grower wrote never opens a tag, in either set."""
    found = [*hostile_pages.glob("*/*.html"), *hostile_pages.glob("*.html")]
    assert len(found) > 20
    for path in found:
        text = path.read_text("utf-8")
        assert "<script>window" not in text and "<img src=x" not in text and '" onmouseover' not in text
