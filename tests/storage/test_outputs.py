"""Files that are given away: sealed as they are written, made anew only while they are so, and never among a collection's own."""

from __future__ import annotations

import csv
import io
import json
from collections.abc import Callable
from pathlib import Path

import pypdf
import pytest
from hypothesis import given
from hypothesis import strategies as st
from icalendar import Calendar
from PIL import Image

from logbook.diagnostics import ProblemsFound
from logbook.storage.outputs import TABLE_HEADS, is_ours, sealed, write_output

from ..conftest import TODAY, Answer

Bench = Callable[..., Answer]


def a_picture() -> bytes:
    out = io.BytesIO()
    Image.new("L", (4, 3)).save(out, "PNG")
    return out.getvalue()


FORMS = {
    "pdf": b"%PDF-1.4\nwords\n%%EOF\n",
    "png": a_picture(),
    "ics": b"BEGIN:VCALENDAR\r\nVERSION:2.0\r\nEND:VCALENDAR\r\n",
    "html": b"<!DOCTYPE html>\n<p>words</p>\n",
    "json": b'{\n  "a": 1\n}\n',
}


@pytest.mark.parametrize("form", FORMS)
def test_what_is_sealed_is_ours_until_a_byte_is_changed(form: str) -> None:
    data = sealed(FORMS[form])
    assert is_ours(data) and not is_ours(FORMS[form])
    for at in range(len(data)):
        assert not is_ours(data[:at] + bytes([data[at] ^ 1]) + data[at + 1 :]), at
    assert not is_ours(data + b"\n") and not is_ours(data[:-1])


@given(st.binary(max_size=400))
def test_bytes_of_others_are_not_ours(data: bytes) -> None:
    for begins in FORMS.values():
        assert not is_ours(begins + data)
    assert is_ours(data) == data.startswith(TABLE_HEADS), "a table is known by its head alone"


def test_sealed_files_can_still_be_read(demo: Path, tmp_path: Path, bench: Bench) -> None:
    def made(*words: object) -> None:
        assert bench(*words, "--today", TODAY, folder=demo).code == 0, words

    pdf, png, ics, table = (tmp_path / f"out.{ending}" for ending in ("pdf", "png", "ics", "csv"))
    for _ in range(2):  # the second time over what the first one made
        made("tags", "--tag", "004", "-o", pdf)
        made("walk", "--draft", "-o", png)
        made("due", "--ics", ics, "--csv", table)
    assert all("004" in page.extract_text() for page in pypdf.PdfReader(pdf, strict=True).pages)
    with Image.open(png) as picture:
        picture.load()
    assert Calendar.from_ical(ics.read_bytes()).walk("VEVENT")
    assert all(len(line) <= 75 for line in ics.read_bytes().split(b"\r\n")), "RFC 5545, 3.1"
    assert len({len(row) for row in csv.reader(io.StringIO(table.read_text("utf-8")))}) == 1


def test_a_form_that_was_filled_in_is_not_printed_over(demo: Path, tmp_path: Path, bench: Bench) -> None:
    """A viewer saves a form by adding to its end, under the same name."""
    path = tmp_path / "form.pdf"
    words = ("sheets", "--tag", "004", "--form", "-o", path, "--today", TODAY)
    assert bench(*words, folder=demo).code == 0
    path.write_bytes(path.read_bytes() + b"1 0 obj\n<< /V (27 nov looked) >>\nendobj\n%%EOF\n")
    before, records = path.read_bytes(), len(list((demo / "printed").iterdir()))
    answer = bench(*words, folder=demo)
    assert answer.code == 1 and "was changed since" in answer.err
    assert path.read_bytes() == before and len(list((demo / "printed").iterdir())) == records, (
        "nothing is on record either"
    )


def test_a_file_that_came_in_between_stays(tmp_path: Path) -> None:
    path = tmp_path / "a.pdf"
    path.write_bytes(b"mine")
    with pytest.raises(ProblemsFound):
        write_output(path, FORMS["pdf"])
    assert path.read_bytes() == b"mine" and [p.name for p in tmp_path.iterdir()] == ["a.pdf"]


def test_cells_and_links_that_would_do_something() -> None:
    """Spreadsheets run what begins with = + - @; an address has no % or # of a tag's own."""
    from logbook import escapes

    for text in ("=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1", "\r=1"):
        assert escapes.cell(text) == f"'{text}"
    for plain in ("oak", "-3.5", "+2", "3-4", "", 7):
        assert escapes.cell(plain) == plain
    assert escapes.linked("https://a.example/{file}?t={tag}", {"file": "trees/a%41 b.yaml", "tag": "a%41#1"}) == (
        "https://a.example/trees/a%2541%20b.yaml?t=a%2541%231"
    )
    assert json.loads(escapes.json_text({"a": "\x9b\u202e\n"})) == {"a": "\x9b\u202e\n"}, "escaped, and the same data"
