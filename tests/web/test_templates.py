"""Templates: what two kinds of page have in common stands once, in `parts.html`."""

from __future__ import annotations

from collections import Counter
from pathlib import Path

from logbook.web import render

SHORT = 70  # letters: a shorter row is a tag and a call, and may stand in every page


def test_no_row_of_markup_stands_twice() -> None:
    rows = Counter(
        row.strip()
        for path in Path(render.FOLDER).glob("*.html")
        if path.name != "lead.html"  # which has no parts: it is a page that leads on
        for row in path.read_text("utf-8").splitlines()
        if len(row.strip()) >= SHORT
    )
    assert len(rows) > 40
    assert not [row for row, count in rows.items() if count > 1]


def test_the_one_file_begins_as_the_index_does(demo_pages: Path) -> None:
    """The same lists of the same trees, and the same warning on the keeper's own, which nobody else's has."""
    for readers in ("own", "any"):
        index = (demo_pages / readers / "index.html").read_text("utf-8")
        one = (demo_pages / f"{readers}.html").read_text("utf-8")
        for text in (index, one):
            assert ("for the keeper alone.</p>" in text) == (readers == "own")
        assert index.count("data-due") == one.count("data-due") > 2  # the script names it too
        assert index.count("data-words=") == one.count("data-words=") >= 11
