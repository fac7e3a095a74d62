"""What is fuzzed: readers of what growers and strangers hand over, each with sound files to start from and what it may raise.

A reader gives an answer or raises what it says it raises; nothing else may come out of it, and no word of its faults may steer a
terminal.
"""

from __future__ import annotations

import io
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from logbook.cli import add_handover
from logbook.collection.handed_over import Arrival, arrived
from logbook.collection.load import read_tree, settings_read, tree_context
from logbook.collection.normals_reader import read_normals_table
from logbook.collection.tree_table.grid import grid_in, text_in
from logbook.collection.weather_file import read_weather_file
from logbook.collection.weather_reader import read_weather
from logbook.diagnostics import Problem, ProblemsFound
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake import line_status, page_answers
from logbook.intake.log_table import rows_in
from logbook.intake.pdf_form import read_fields
from logbook.paper.layouts import layout
from logbook.shipped import shipped
from logbook.storage import journal, known_trees
from logbook.storage.disk import Overlay, RealDisk
from logbook.storage.printed import Ledger, Sheet, run_text
from logbook.storage.printed_text import read_run
from logbook.storage.zipped import archive_in, zipped

ROOT = Path(__file__).resolve().parents[2]
DEMO, ARRIVAL = ROOT / "demo_collection", ROOT / "tests" / "arrival"
JSON = (
    ValueError,
    KeyError,
    TypeError,
    AttributeError,
    IndexError,
    RecursionError,
)  # what a caller of these readers takes for damage


@dataclass(frozen=True)
class Target:
    """One reader: `read` gives the problems it tells; `may_raise` besides ProblemsFound; how many cases in the ordinary suite."""

    name: str
    seeds: Callable[[], Sequence[str]]
    read: Callable[[str, Path], Iterable[Problem]]
    cases: int
    may_raise: tuple[type[Exception], ...] = ()


def texts(folder: Path, pattern: str, most: int = 40) -> list[str]:
    found = (path.read_text("utf-8", "replace") for path in sorted(folder.glob(pattern)) if path.is_file())
    return [text for text in found if len(text) < 20_000][:most]


@cache
def context() -> Any:
    """How the demo's trees are read."""
    settings, _ = settings_read((DEMO / "collection.yaml").read_bytes(), shipped_knowledge())
    assert settings is not None
    return tree_context(settings, shipped_knowledge())


@cache
def opened() -> Any:
    """The demo collection, open."""
    import argparse

    from logbook.cli.common import a_day, open_collection

    return open_collection(argparse.Namespace(folder=str(DEMO), today=a_day("2026-11-20")))


def tree(text: str, _work: Path) -> Iterable[Problem]:
    return read_tree(text, "trees/004.yaml", context())[1]


def settings(text: str, _work: Path) -> Iterable[Problem]:
    return settings_read(text.encode("utf-8", "replace"), shipped_knowledge())[1]


def a_layout(text: str, work: Path) -> Iterable[Problem]:
    path = work / "mine.yaml"
    path.write_bytes(text.encode("utf-8", "replace"))
    layout.__wrapped__(str(path))
    return ()


def notes(text: str, work: Path) -> Iterable[Problem]:
    from logbook.intake.service import listener

    made = listener(opened(), Overlay(RealDisk(work)))(text[:1_500])
    return [Problem(item.why, hint=item.hint) for item in made.items if item.why]


def trees_table(text: str, _work: Path) -> Iterable[Problem]:
    from logbook.cli.add_table import _asking as asking_of
    from logbook.collection.tree_table.reading import read_trees

    return read_trees(grid_in(text, "t.csv"), "t.csv", asking_of(opened(), {})).problems


def log_table(text: str, _work: Path) -> Iterable[Problem]:
    rows_in(grid_in(text, "h.csv"), "h.csv")
    return ()


def table_bytes(text: str, _work: Path) -> Iterable[Problem]:
    text_in(text.encode("latin-1", "replace"), "t.csv")
    return ()


def normals(text: str, _work: Path) -> Iterable[Problem]:
    return read_normals_table(text, "n.txt", latitude=47.0, unit="C").problems


def weather(text: str, _work: Path) -> Iterable[Problem]:
    return read_weather(text, "w.csv", longitude=9.0).problems


def own_weather(text: str, _work: Path) -> Iterable[Problem]:
    return read_weather_file(text, "weather/2026.csv")[1]


def a_journal(text: str, work: Path) -> Iterable[Problem]:
    disk = Overlay(RealDisk(work))
    disk.write(".journal/x.json", text.encode("utf-8", "replace"))
    journal.read_journal(disk, ".journal/x.json")
    return ()


def fates(text: str, work: Path) -> Iterable[Problem]:
    disk = Overlay(RealDisk(work))
    disk.write("notes/2026-01-01-aaaaaaaaaaaa.json", text.encode("utf-8", "replace"))
    line_status.waiting(disk)
    line_status.audit(disk)
    return ()


def printed(text: str, _work: Path) -> Iterable[Problem]:
    for sheet in read_run(text)[0]:
        list(sheet.spots)
    return ()


def answers(text: str, _work: Path) -> Iterable[Problem]:
    page_answers.notes_of_answers(
        text.encode("utf-8", "replace"), "a.json", Ledger({SHEET.serial: SHEET}), opened().collection
    )
    return ()


def names_of_trees(text: str, _work: Path) -> Iterable[Problem]:
    known_trees.known(text.encode("utf-8", "replace"))
    return ()


def form(text: str, _work: Path) -> Iterable[Problem]:
    read_fields(text.encode("latin-1", "replace"))
    return ()


def picture(text: str, _work: Path) -> Iterable[Problem]:
    from logbook.camera.pictures import pictures_in

    for _ in pictures_in(text.encode("latin-1", "replace"), "p.png"):
        pass
    return ()


def photo(text: str, work: Path) -> Iterable[Problem]:
    from logbook.diagnostics import Place
    from logbook.paper.photos import photo_for_paper

    path = work / "p.jpg"
    path.write_bytes(text.encode("latin-1", "replace"))
    made = photo_for_paper(path, 60.0, Place("trees/004.yaml", 1), "photos/p.jpg")
    return [made] if isinstance(made, Problem) else ()


def archive(text: str, _work: Path) -> Iterable[Problem]:
    """An archive as bytes, whole or damaged: each of its members is read."""
    found = archive_in(text.encode("latin-1", "replace"), "a.zip")
    for name, size in found.sizes.items():
        found.read(name, size)
    return ()


def come(text: str, work: Path) -> Iterable[Problem]:
    """A sound archive with anybody's manifest and tree in it: read, and its text made one of this garden."""
    manifest, _, tree = text.partition("\0")
    path = work / "014.zip"
    path.write_bytes(zipped({"manifest.json": as_bytes(manifest), "tree.yaml": as_bytes(tree)}, date(2026, 11, 1)))
    found = add_handover._read(path, opened())
    here = Arrival(
        "900",
        date(2026, 11, 20),
        found.manifest.garden,
        found.manifest.tag,
        found.source,
        lambda _old, _day: "p.jpg",
        "",
    )
    return read_tree(arrived(found.text, "tree.yaml", here), "trees/900.yaml", context())[1]


def as_bytes(text: str) -> bytes:
    return text.encode("utf-8", "replace")


# -- what they start from ------------------------------------------------------------------------------------------

SHEET = Sheet("55553-5", date(2026, 10, 1), "pocket-a6", 1, "metric", ("004",), {str(n): "004" for n in range(1, 13)})


def some_notes() -> list[str]:
    own = [text for n in ("", "2", "3") for text in texts(ROOT / "tests" / "intake", f"own_lines{n}.txt")]
    return [text[:600] for text in own] + [
        "tree 004\n14 oct wired 1 2 copper 2.5; moss yellow\nsheet 00142-4\n3 looked\nrp 20 oct\nV 3\n"
    ]


def some_journals() -> list[str]:
    change = journal.Change("trees/001.yaml", "a\n", "a\nb\n", ({"date": "2026-01-01", "note": "x"},), {"stage": "y"})
    row = {"fate": "write", "key": "k", "text": "t", "number": 1}
    return [journal.journal_text(journal.Journal("000001-2026-01-01", "2026-01-01", "n.txt", (change,), (row,)))]


def some_fates() -> list[str]:
    row = '{"number": 1, "text": "14 oct fed", "header": "tree 001", "tag": "001", "fate": "question", "key": "k", "why": "w", "hint": "h"}'
    return [f'{{"format": 2, "runs": [{{"batch": "000001-2026-01-01", "rows": [{row}, {row}]}}]}}']


def a_form() -> list[str]:
    from reportlab.pdfgen.canvas import Canvas

    out = io.BytesIO()
    canvas = Canvas(out, pageCompression=0)
    for name in ("s555535_line1", "s555535_jobA", "s555535_vigour3"):
        canvas.acroForm.textfield(name=name, value="14 oct fed")
    canvas.showPage()
    canvas.save()
    return [out.getvalue().decode("latin-1")]


def some_pictures() -> list[str]:
    from PIL import Image

    found = []
    for kind, mode in (
        ("PNG", "RGBA"),
        ("PNG", "P"),
        ("JPEG", "RGB"),
        ("TIFF", "L"),
        ("GIF", "P"),
        ("BMP", "RGB"),
        ("WEBP", "RGB"),
    ):
        out = io.BytesIO()
        Image.new(mode, (40, 30)).save(out, kind)
        found.append(out.getvalue().decode("latin-1"))
    return found


MANIFEST = '{"format": 1, "garden": "Hill", "tag": "014", "units": "metric", "southern": false, "photos": {"photos/a.jpg": "photos/a.jpg"}}'


def some_archives() -> list[str]:
    files = {
        "manifest.json": as_bytes(MANIFEST),
        "tree.yaml": (DEMO / "trees" / "001.yaml").read_bytes(),
        "photos/a.jpg": some_pictures()[2].encode("latin-1"),
    }
    return [zipped(files, date(2026, 11, 1)).decode("latin-1")]


def what_came() -> list[str]:
    return [f"{MANIFEST}\0{text}" for text in texts(DEMO / "trees", "*.yaml")]


TARGETS = (
    Target("trees", lambda: texts(DEMO / "trees", "*.yaml") + texts(ROOT / "tests" / "broken", "tree-*.yaml"), tree, 9_000),
    Target("settings", lambda: texts(DEMO, "collection.yaml") + texts(ROOT / "tests" / "broken", "collection-*.yaml"), settings, 4_500),
    Target("layouts", lambda: texts(shipped("layouts"), "*.yaml"), a_layout, 3_000),
    Target("notes", some_notes, notes, 600),
    Target("tables of trees", lambda: texts(ARRIVAL / "tables", "*"), trees_table, 900),
    Target("logs", lambda: texts(ARRIVAL / "logs", "*"), log_table, 3_000),
    Target("tables as bytes", lambda: texts(ARRIVAL / "tables", "*"), table_bytes, 6_000),
    Target("normals", lambda: texts(ARRIVAL / "normals", "*"), normals, 1_500),
    Target("weather", lambda: [text[:3_000] for text in texts(ARRIVAL / "weather", "*")], weather, 600),
    Target("own weather", lambda: ["date,tmin,tmax\n2026-01-01,-3.5,2\n# mine\n2026-01-02,0,5\n"], own_weather, 6_000),
    Target("batches", some_journals, a_journal, 6_000),
    Target("fates", some_fates, fates, 6_000),
    Target("printed records", lambda: [run_text([SHEET])], printed, 6_000, JSON),
    Target("answers", lambda: ['{"answers": 1, "day": "14 oct", "sheets": [{"serial": "55553-5", "values": {"line1": "fed", "jobA": "x"}, "asked": ["line2"]}]}'], answers, 4_500),
    Target("names of trees", lambda: ['{"format": 1, "trees": ["001.yaml", "002.yaml"]}'], names_of_trees, 3_000),
    Target("forms", a_form, form, 300, (Exception,)),  # read in a process of its own, which takes whatever comes for a broken file
    Target("pictures", some_pictures, picture, 900),
    Target("photographs", some_pictures, photo, 900),
    Target("archives", some_archives, archive, 900),
    Target("what comes in them", what_came, come, 900),
)  # fmt: skip


def told(problems: Iterable[Problem]) -> list[str]:
    """The problems as they are shown."""
    return [problem.told() for problem in problems]


def outcome(target: Target, text: str, work: Path) -> list[str]:
    """What is told of one text. Raises whatever the reader may not."""
    try:
        return told(target.read(text, work))
    except ProblemsFound as found:
        return told(found.problems)
    except target.may_raise:
        return []
