"""One catalogue of words: nothing is printed that is no line of it, each line is used, and a longer language fits all paper."""

from __future__ import annotations

import ast
import re
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

import pytest

from logbook.collection.load import load
from logbook.collection.model import Collection, Tree
from logbook.collection.units import METRIC, US, Units
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.window_syntax import MarkName
from logbook.paper import typed_back
from logbook.paper import typesetting as setting
from logbook.paper import words as catalogue
from logbook.paper.layouts import layout
from logbook.paper.page import Box, Code, Page, Picture, Text
from logbook.paper.walk import walk_list
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from logbook.storage.printed import load_ledger

from ..conftest import DEMO, Answer, day
from .every_page import TREES, all_pages, collection_of, commands, with_photos
from .gardens import DAYS, stress
from .pages import extent, proved
from .test_front import sheet_of
from .walk_garden import stress_trees, stress_walk

Bench = Callable[..., Answer]
KNOWLEDGE = shipped_knowledge()
PAPER = Path(catalogue.__file__).parent
CATALOGUES = {Path(catalogue.__file__), Path(typed_back.__file__)}
DRAWN = {  # what draws its texts, or hands them on to be drawn
    "ListWords", "Row", "Text", "_all_day", "_at", "_fact", "baseline_text", "card_title", "fitted", "heading", "line", "lines", "paragraph",
    "put", "put_right", "right_text", "row", "shrunk", "width_mm", "wrap",
}  # fmt: skip
SAYING = {"say", "say_counted", "say_on_paper"}
FAULTS = {"Place", "Problem", "ProblemsFound", "lacking", "stop"}
LABELLED = {  # where a call names a place on a page, or a type size
    "Block": 0, "Chunk": 0, "Page": -1, "_all_day": 0, "_at": 3, "_bytes": 1, "_flowed": 2, "_part": 0, "add": 0, "card_pages": 2,
    "done": 0, "paragraph": 1, "put": 4, "put_right": 4, "size": 0, "take": 0,
}  # fmt: skip
NAMING = {"block", "label"}  # keywords that name a place on a page
SENTENCE = re.compile(r"[^\W\d_]{2,}[^\w]+[^\W\d_]{2,}")
TICK_MM = 8.0  # no box to tick is larger
LETTERS = re.compile(r"[^\W\d_]{2,}")


# -- where words stand -------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Module:
    """A module of paper: the texts that may reach a page, those given to what draws, and the lines that it says."""

    path: Path
    free: tuple[str, ...]
    drawn: tuple[str, ...]
    said: tuple[str, ...]


def called(node: ast.AST) -> str:
    """The name of what a call calls."""
    return getattr(node.func, "id", "") or getattr(node.func, "attr", "") if isinstance(node, ast.Call) else ""


def within(nodes: Sequence[ast.AST]) -> set[int]:
    return {id(part) for node in nodes for part in ast.walk(node)}


def kept_off_paper(node: ast.AST) -> Sequence[ast.AST]:
    """The parts of a node that no reader of paper sees: docstrings, faults, assertions, comparisons, keys, types, names of lines and of blocks."""
    if isinstance(node, ast.Raise | ast.Assert | ast.Compare):
        return [node]
    if isinstance(node, ast.Module | ast.FunctionDef | ast.ClassDef):
        fault = isinstance(node, ast.FunctionDef) and node.returns and ast.unparse(node.returns) == "Exception"
        return [node] if fault else node.body[:1] if ast.get_docstring(node) is not None else []
    if isinstance(node, ast.Subscript):
        return [node.slice]
    if isinstance(node, ast.Dict):
        return [key for key in node.keys if key is not None]
    if isinstance(node, ast.Call):
        name, named = called(node), [k.value for k in node.keywords if k.arg in NAMING]
        at = LABELLED.get(name, 0 if name in SAYING else len(node.args))
        return [node] if name in FAULTS else [*named, *node.args[at:][:1]]
    return []


def patterns(node: ast.AST) -> Iterator[str]:
    """The names of lines that a call may say, as patterns: `role .*` of f"role {role}"."""
    if isinstance(node, ast.JoinedStr):
        yield "".join(re.escape(v.value) if isinstance(v, ast.Constant) else ".*" for v in node.values)
    elif isinstance(node, ast.IfExp):
        yield from (*patterns(node.body), *patterns(node.orelse))
    elif isinstance(node, ast.Constant):
        yield re.escape(node.value)


def read(path: Path) -> Module:
    tree = ast.parse(path.read_text("utf-8"))
    nodes = list(ast.walk(tree))
    off = within([part for node in nodes for part in kept_off_paper(node)])
    texts = [
        (n, n.value) for n in nodes if isinstance(n, ast.Constant) and isinstance(n.value, str) and id(n) not in off
    ]
    drawing = within([node for node in nodes if called(node) in DRAWN]) - off
    said = [one for n in nodes if called(n) in SAYING for one in patterns(n.args[0])]  # type: ignore[attr-defined]
    draws = any(called(node) in DRAWN | SAYING for node in nodes)
    inside = tuple(text for node, text in texts if id(node) in drawing)
    return Module(path, tuple(text for _, text in texts) if draws else (), inside, tuple(said))


@pytest.fixture(scope="module")
def modules() -> list[Module]:
    return [read(path) for path in sorted(PAPER.rglob("*.py")) if path not in CATALOGUES]


def known_keys() -> set[str]:
    """Keys of the registers that are made of several words."""
    return {*KNOWLEDGE.cautions, *KNOWLEDGE.stages, *(mark.value for mark in MarkName)}


def test_no_printed_word_stands_outside_the_catalogue(modules: list[Module]) -> None:
    """What is drawn is a line of `words.py`, or came from the collection, the works, the measures and the reasons."""
    assert len(modules) > 35 and sum(bool(module.free) for module in modules) > 25
    names = {*catalogue.WORDS, *typed_back.SAYS, *known_keys()}
    for module in modules:
        for text in module.free:
            assert not SENTENCE.search(text) or text in names, (module.path.name, text)
        for text in module.drawn:
            assert not LETTERS.search(text), (module.path.name, text)


def test_every_line_is_said_and_every_said_line_is_there(modules: list[Module]) -> None:
    said = {one for module in modules for one in module.said}
    lines = {name.removesuffix(" 1") for name in catalogue.WORDS}
    handed_on = {text for module in modules for text in module.free}  # said by a name that stands in a list
    for name in lines:
        assert name in handed_on or any(re.fullmatch(one, name) for one in said), f"no page says '{name}'"
    for one in said:
        assert any(re.fullmatch(one, name) for name in lines), f"there is no line '{one}'"


def test_what_a_box_says_is_no_line_of_the_catalogue() -> None:
    """The grammar reads it back, so it is the same in every language; each is told apart from what is printed by its register."""
    tree = ast.parse(Path(typed_back.__file__).read_text("utf-8"))
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.Call)], "the register is data"
    assert not [node for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.level], (
        "it knows no page"
    )


# -- a longer language -------------------------------------------------------------------------------------------------


def longer(text: str) -> str:
    """A made-up language: every word a third longer and more, with accents; values stay what they are."""

    def stretched(found: re.Match[str]) -> str:
        word = found[0]
        more = -(-len(word) * 35 // 100)
        return word + ("éñü" * 9)[:more] if not word.isupper() else word + ("ÉÑÜ" * 9)[:more]

    parts = re.split(r"(\{[^}]*\})", text)
    return "".join(part if part.startswith("{") else LETTERS.sub(stretched, part) for part in parts)


class Line(str):
    """A line of the catalogue that remembers what it was made to say."""

    __slots__ = ("kept", "name")
    kept: list[tuple[str, str]]
    name: str

    def format(self, *args: object, **values: object) -> str:
        told = super().format(*args, **values)
        self.kept.append((self.name, told))
        return told


def remembered(monkeypatch: pytest.MonkeyPatch, change: Callable[[str], str]) -> list[tuple[str, str]]:
    """Let the catalogue speak another language; the lines that it is made to say from now on, by name."""
    kept: list[tuple[str, str]] = []
    lines = {}
    for name, text in catalogue.WORDS.items():
        lines[name] = Line(change(text))
        lines[name].kept, lines[name].name = kept, name
    monkeypatch.setattr(catalogue, "WORDS", lines)
    return kept


def texts(page: Page) -> list[Text]:
    return [item for item in page.items if isinstance(item, Text)]


def inked(text: Text) -> tuple[float, float, float, float]:
    """What a text covers: figures and capitals reach no lower than their base line."""
    left, top, right, bottom = extent(text)
    low = text.turn or set(text.text) & set("gjpqyçQ,;()[]…_")
    return left, top, right, bottom if low else text.y


def apart(page: Page) -> None:
    """No text lies over another one."""
    found = sorted((*inked(text), text.text) for text in texts(page))
    for number, (_, top, right, bottom, words) in enumerate(found):
        for x, above, end, below, other in found[number + 1 :]:
            if x >= right - 0.2:
                break
            over = min(bottom, below) - max(top, above)
            assert over <= 0.45 or min(right, end) - x <= 0.2, (page.label, words, other)


def clear(page: Page) -> None:
    """No text lies over a box to tick, a code or a picture."""
    ticks = [i for i in page.items if isinstance(i, Box) and i.fill is None and max(i.width, i.height) <= TICK_MM]
    fields = [(i.x, i.y, i.x + i.width, i.y + i.height) for i in ticks]
    fields += [(i.x, i.y, i.x + i.size, i.y + i.size) for i in page.items if isinstance(i, Code)]
    fields += [(i.x, i.y, i.x + i.width, i.y + i.height) for i in page.items if isinstance(i, Picture)]
    for text in texts(page):
        left, top, right, bottom = inked(text)
        for x, above, end, below in fields:
            assert min(right, end) - max(left, x) <= 0.1 or min(bottom, below) - max(top, above) <= 0.1, (
                page.label,
                text,
            )


def squeezed(pages: Sequence[Page]) -> str:
    """All that stands on pages, without the white between."""
    return "".join(text.text for page in pages for text in texts(page)).replace(" ", "")


def printed_lines(pages: Sequence[Page], said: Sequence[tuple[str, str]]) -> set[str]:
    """Which of the lines that were said stand on these pages, every word of them."""
    stands = squeezed(pages)
    return {name for name, told in said if all(word in stands for word in setting.tidy(told).split())}


def whole(page: Page) -> None:
    """No word of the longer language is cut: the ellipsis stands where a grower's own name was too long, or for more in the file."""
    for text in texts(page):
        told, dots, _ = text.text.partition("…")
        if dots and told:
            assert not re.search("éñ|ÉÑ", told.rpartition(" · ")[2]), (page.label, text.text)


PAPERS = [(METRIC, "2026-11-25"), (METRIC, "2027-06-10"), (US, "2027-04-10")]
# what a full row leaves to the sheet, and a full front to the file
GIVES_WAY = {
    "then",
    "when",
    "from",
    "you meant this",
    "by branch",
    "measured",
    "of",
    "trunk",
    "tips",
    "leaf",
}
FULL = {"too late", "water", "sooner", "more in the file"}  # and what the fullest fronts do without


def demo_trees(folder: Path, collection: Collection) -> Sequence[Tree]:
    return with_photos(folder, collection.trees)


def awkward_trees(folder: Path, _: Collection) -> Sequence[Tree]:
    return with_photos(folder, stress_trees())


def heavy_trees(folder: Path, _: Collection) -> Sequence[Tree]:
    return with_photos(folder, stress()[:30])


@dataclass(slots=True)
class Told:
    """What one language left behind: the lines on the pages of each command, the records of what was printed, and how many pages."""

    lines: dict[tuple[str, ...], set[str]]
    records: dict[str, object]
    pages: int = 0


def on_record(folder: Path) -> dict[str, object]:
    """What is on record of each sheet, without the places, which may move: what a box says must be the same in every language."""
    told: dict[str, object] = {}
    for serial, sheet in load_ledger(folder).sheets.items():
        spots = sorted(
            {(spot.kind, spot.id, spot.tag) for spot in sheet.spots if spot.kind not in ("square", "line", "code")}
        )
        told[serial] = (
            sheet.tags,
            sheet.jobs if sheet.by_tag else (),
            dict(sheet.rows),
            spots if sheet.by_tag else (),
        )
    return told


def spoken(
    folder: Path,
    change: Callable[[str], str],
    trees: Callable[[Path, Collection], Sequence[Tree]],
    units: Units,
    today: str,
) -> Told:
    """Print every page in a language, each proved."""
    with pytest.MonkeyPatch.context() as patch:
        collection_of(patch, units, lambda collection: trees(folder, collection))
        kept = remembered(patch, change)
        told = Told({}, {})
        for printed in all_pages(
            folder, patch, commands(units, today, TREES if trees is demo_trees else ("001", "017")), today
        ):
            told.lines[printed.command] = printed_lines(printed.pages, kept)
            told.pages += len(printed.pages)
            kept.clear()
            for page in printed.pages:
                proved(page, 1.0 if printed.command[0] == "tags" else 2.9)
                for holds in (apart, clear, whole):
                    holds(page)
    told.records = on_record(folder)
    return told


def fits(
    tmp_path: Path, bench: Bench, trees: Callable[[Path, Collection], Sequence[Tree]], units: Units, today: str
) -> None:
    made = []
    for name, change in (("short", str), ("long", longer)):
        assert bench("start", "--demo", tmp_path / name).code == 0
        made.append(spoken(tmp_path / name, change, trees, units, today))
    short, long = made
    gives_way = GIVES_WAY if trees is demo_trees else GIVES_WAY | FULL
    assert short.pages > 60 and long.pages >= short.pages
    for command, lines in short.lines.items():
        assert lines - gives_way <= long.lines[command], (command, "a line was dropped")
    assert short.records and short.records == long.records


def test_the_longer_language_is_longer() -> None:
    for text in catalogue.WORDS.values():
        letters, more = (
            sum(len(word) for word in LETTERS.findall(re.sub(r"\{[^}]*\}", "", t))) for t in (text, longer(text))
        )
        assert more >= 1.35 * letters
        assert re.findall(r"\{[^}]*\}", text) == re.findall(r"\{[^}]*\}", longer(text))


@pytest.mark.long
@pytest.mark.parametrize(
    ("units", "today"),
    [pytest.param(*one, marks=pytest.mark.soak) for one in PAPERS],
    ids=["metric-winter", "metric-summer", "us-spring"],
)
def test_a_longer_language_fits_all_paper(units: Units, today: str, tmp_path: Path, bench: Bench) -> None:
    """Every page of the demo, every word of the catalogue 35 % longer: nothing clipped, none over another, no line dropped."""
    fits(tmp_path, bench, demo_trees, units, today)


@pytest.mark.soak
@pytest.mark.parametrize("trees", [awkward_trees, heavy_trees])
@pytest.mark.parametrize(("units", "today"), PAPERS, ids=["metric-winter", "metric-summer", "us-spring"])
def test_a_longer_language_fits_all_paper_of_heavy_trees(
    units: Units, today: str, trees: Callable[[Path, Collection], Sequence[Tree]], tmp_path: Path, bench: Bench
) -> None:
    fits(tmp_path, bench, trees, units, today)


def test_a_longer_language_fits_a_sheet(monkeypatch: pytest.MonkeyPatch) -> None:
    """All fronts and backs of the demo and of heavy trees, and 95 % still on one leaf."""
    monkeypatch.setattr(catalogue, "WORDS", {name: longer(text) for name, text in catalogue.WORDS.items()})
    collection = load(DEMO, KNOWLEDGE)
    garden, trees = Garden(collection.settings, KNOWLEDGE, collection.trees), collection.living
    leaves = []
    for today in DAYS[:2]:
        for tree in (*trees, *stress()[::3]):
            made = sheet_of(plan_tree(tree, garden, day(today)), "pocket-a6", METRIC, garden)
            for front, back in made.leaves:
                proved(front)
                if back is not None:
                    proved(back)
            leaves.append(len(made.leaves))
    assert sum(count == 1 for count in leaves) >= 0.95 * len(leaves)


@pytest.mark.parametrize("name", ["walk-a4", "walk-a5", "walk-letter"])
def test_the_pencil_keeps_its_places_in_a_longer_language(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """No word where one writes or ticks, and room to write: 40 mm for a line (a guess), 8 for a day."""
    remembered(monkeypatch, longer)
    seen = 0
    for today, first_look in ((day("2026-11-25"), False), (day("2027-04-18"), False), (day("2027-06-10"), True)):
        walk, settings = stress_walk(today, first_look=first_look)
        made = walk_list(walk, settings, layout(name), "00142-4")
        assert made.sheet is not None
        for spot in made.sheet.spots:
            page = made.pages[spot.page - 1]
            if spot.kind in ("square", "code"):
                continue
            assert spot.x + spot.width <= page.width - 2.9
            assert spot.width >= {"line": 40.0, "told": 8.0, "by": 30.0, "day": 8.0}.get(spot.kind, 5.0), spot
            for text in texts(page):
                over = min(text.x + text.width, spot.x + spot.width) - max(text.x, spot.x)
                assert over <= 0.05 or min(text.y, spot.y + spot.height) - max(text.y - 2.0, spot.y) <= 0.05, (
                    spot,
                    text,
                )
            seen += 1
    assert seen > 500
