"""What Windows does to files and paths, as far as it can be had elsewhere: newlines, byte order marks, backslashes, names.

None of this was run on Windows itself. Rules of file names: the system maker's page "Naming Files, Paths, and Namespaces" (from memory),
as kept by Python's own `pathlib.PureWindowsPath`.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from pathlib import Path, PureWindowsPath

import pytest

from logbook.collection.dates import MONTHS

from ..conftest import Answer, make_collection

Bench = Callable[..., Answer]
TODAY = ["--today", "2026-11-25"]
NOTES = "tree 004\r\n14 nov  trunk 38.5\r\n        moss gone yellow\r\n"


def crlf(path: Path) -> None:
    path.write_bytes(path.read_bytes().replace(b"\r\n", b"\n").replace(b"\n", b"\r\n"))


@pytest.mark.parametrize(
    "text",
    [r"C:\Users\grower\my-trees\trees\014.yaml", r"trees\014.yaml", "file:///C:/my-trees/trees/014.yaml", "014"],
)
def test_a_path_of_either_kind_leads_to_the_tree(text: str, tmp_path: Path, bench: Bench) -> None:
    make_collection(tmp_path, {"014": 'tag: "014"\nspecies: Acer palmatum\nlog: []\n'})
    assert bench("find", text, folder=tmp_path).out == "trees/014.yaml\n"


@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"], ids=["plain", "byte order mark"])
def test_notes_with_windows_newlines_are_read_and_files_keep_theirs(
    mark: bytes, demo: Path, tmp_path: Path, bench: Bench
) -> None:
    for path in (demo / "trees" / "004.yaml", demo / "collection.yaml"):
        crlf(path)
    before = (demo / "trees" / "004.yaml").read_bytes()
    notes = tmp_path / "notes.txt"
    notes.write_bytes(mark + NOTES.encode())
    answer = bench("reconcile", notes, "--yes", *TODAY, folder=demo)
    assert answer.code == 0, answer.all
    after = (demo / "trees" / "004.yaml").read_bytes()
    assert after.startswith(before) and after.count(b"\r\n") == before.count(b"\r\n") + 2
    assert after.count(b"\n") == after.count(b"\r\n"), "no line with another end"
    again = bench("reconcile", notes, "--yes", *TODAY, folder=demo)
    assert again.out.count("(already there)") == 2 and (demo / "trees" / "004.yaml").read_bytes() == after
    assert bench("undo", "--yes", folder=demo).code == 0
    assert (demo / "trees" / "004.yaml").read_bytes() == before


def test_the_same_notes_typed_on_two_systems_are_one(demo: Path, tmp_path: Path, bench: Bench) -> None:
    for name, text in (("one.txt", NOTES), ("other.txt", NOTES.replace("\r\n", "\n"))):
        (tmp_path / name).write_bytes(text.encode())
        assert bench("reconcile", tmp_path / name, "--yes", *TODAY, folder=demo).code == 0
    assert (demo / "trees" / "004.yaml").read_text("utf-8").count("moss gone yellow") == 1


def test_a_table_as_a_windows_spreadsheet_saves_it(demo: Path, tmp_path: Path, bench: Bench) -> None:
    table = tmp_path / "trees.csv"
    table.write_bytes('\ufefftag;species;name\r\n051;Acer palmatum;"Well; maple"\r\n'.encode())
    answer = bench("add", "--table", table, *TODAY, folder=demo)
    assert answer.code == 0, answer.all
    assert 'name: "Well; maple"\n' in (demo / "trees" / "051.yaml").read_text("utf-8")


def test_normals_with_windows_newlines(tmp_path: Path, bench: Bench) -> None:
    rows = "".join(f"{name}\t{n - 8}\t{n + 2}\r\n" for n, name in enumerate(MONTHS))
    (tmp_path / "n.txt").write_bytes(b"\xef\xbb\xbf" + rows.encode())
    answer = bench("start", tmp_path / "g", "--latitude", "46", "--normals", tmp_path / "n.txt")
    assert answer.code == 0, answer.all


def test_text_saved_as_utf_16_is_read_and_told(demo: Path, tmp_path: Path, bench: Bench) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_bytes(NOTES.encode("utf-16"))
    answer = bench("reconcile", notes, "--yes", *TODAY, folder=demo)
    assert answer.code == 0 and "was saved as UTF-16: read as that" in answer.out


def test_a_photo_logged_with_a_backslash_is_found(demo: Path, tmp_path: Path, bench: Bench) -> None:
    from PIL import Image

    (demo / "photos").mkdir(exist_ok=True)
    Image.new("RGB", (60, 80), "green").save(demo / "photos" / "a.jpg")
    tree = demo / "trees" / "004.yaml"
    tree.write_text(tree.read_text("utf-8") + "  - {date: 2026-11-01, photo: photos\\a.jpg}\n", encoding="utf-8")
    answer = bench("sheets", "--photos", "--tag", "004", "-o", tmp_path / "s.pdf", *TODAY, folder=demo)
    assert answer.code == 0 and not answer.err, answer.all


@pytest.mark.parametrize("tag", ["CON", "nul", "Com1", "lpt9"])
def test_a_tag_that_could_be_no_file_on_windows_is_refused(tag: str, demo: Path, bench: Bench) -> None:
    assert PureWindowsPath(f"{tag}.yaml").is_reserved(), "as the reference has it"
    answer = bench("add", tag, "--species", "Acer palmatum", *TODAY, folder=demo)
    assert answer.code == 1 and "expected a tag" in answer.err
    assert bench("add", f"{tag}x", "--species", "Acer palmatum", *TODAY, folder=demo).code == 0


def test_every_name_this_writes_is_one_for_windows(demo: Path, tmp_path: Path, bench: Bench) -> None:
    notes = tmp_path / "notes.txt"
    notes.write_bytes(NOTES.encode() + b"20 nov wire off 9\r\n")
    bench("sheets", "-o", demo / "sheets.pdf", *TODAY, folder=demo)
    bench("walk", "-o", demo / "walk.png", *TODAY, folder=demo)
    bench("tags", "--spare", "3", "-o", demo / "tags.pdf", folder=demo)
    bench("reconcile", notes, "--yes", *TODAY, folder=demo)
    bench("undo", "--yes", folder=demo)
    names = {path.relative_to(demo) for path in demo.rglob("*")}
    assert {n.parts[0] for n in names} >= {"trees", "notes", "printed", ".journal"}
    for name in names:
        for part in name.parts:
            assert not re.search(r'[<>:"|?*\\\x00-\x1f]', part), name
            assert not part.endswith((" ", ".")) and not PureWindowsPath(part).is_reserved(), name
    assert len({str(n).casefold() for n in names}) == len(names), "no two names that differ by case alone"


def test_no_file_is_written_with_the_systems_own_newline_or_encoding() -> None:
    """`write_text` and text-mode `open` would write CRLF there: the code writes bytes, or names the encoding."""
    for path in (Path(__file__).resolve().parents[2] / "logbook").rglob("*.py"):
        text = path.read_text("utf-8")
        assert ".write_text(" not in text, path
        for call in re.findall(r"\.read_text\(([^)]*)\)", text):
            assert "utf-8" in call, path
