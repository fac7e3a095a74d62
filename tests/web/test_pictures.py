"""Each picture of a page and the table beside it say the same: the drawing is measured, and its days, heights and marks are compared."""

from __future__ import annotations

import re
from dataclasses import dataclass
from datetime import date, timedelta
from html.parser import HTMLParser
from xml.etree import ElementTree

import pytest

from logbook.planning.planner import plan_tree
from logbook.web.facts import Garden, tree_facts
from logbook.web.public import public_plan

from ..conftest import TODAY, garden_at
from ..paper.gardens import stress
from .conftest import made
from .gardens import on_disk

LABEL, WIDE, ROW, SMALL_PT = (
    27.0,
    78.0,
    3.6,
    9.0,
)  # mm of the year's drawing: where its months begin and end, a row's height; its type
SLACK = 0.011  # mm: numbers in a drawing have two digits behind the point


@dataclass
class Area:
    """A closed or open line of a drawing: its corners, and how it is painted."""

    points: list[tuple[float, float]]
    kind: str
    thick: str
    dash: str

    @property
    def box(self) -> tuple[float, float, float, float]:
        xs, ys = [x for x, _ in self.points], [y for _, y in self.points]
        return min(xs), min(ys), max(xs), max(ys)


def areas(svg: str) -> list[Area]:
    """Every line of a drawing, each by itself."""
    found = []
    root = ElementTree.fromstring(svg)
    for path in root.iter("path"):
        for part in re.findall(r"M[^M]*", path.attrib["d"]):
            found.append(
                Area(
                    corners(part),
                    path.get("class", ""),
                    path.get("stroke-width", root.get("stroke-width", "")),
                    path.get("stroke-dasharray", ""),
                )
            )
    return found


def corners(part: str) -> list[tuple[float, float]]:
    x = y = 0.0
    points = []
    for step, told in re.findall(r"([MLHVhvlz])([-\d. ]*)", part):
        numbers = [float(n) for n in told.split()]
        if step in "ML":
            x, y = numbers
        elif step == "l":
            x, y = x + numbers[0], y + numbers[1]
        elif step in "Hh":
            x = numbers[0] + (x if step == "h" else 0.0)
        elif step in "Vv":
            y = numbers[0] + (y if step == "v" else 0.0)
        points.append((x, y))
    return points


def words(svg: str) -> list[tuple[str, float, float]]:
    return [
        (t.text or "", float(t.attrib["x"]), float(t.attrib["y"])) for t in ElementTree.fromstring(svg).iter("text")
    ]


class Tables(HTMLParser):
    """The tables of a page, as rows of cells: what is written in each, and the days in it."""

    def __init__(self, page: str) -> None:
        super().__init__()
        self.tables: list[list[list[tuple[str, list[date]]]]] = []
        self.inside = False
        self.feed(page)

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if tag == "table":
            self.tables.append([])
        elif tag == "tr":
            self.tables[-1].append([])
        elif tag in ("td", "th"):
            self.tables[-1][-1].append(("", []))
            self.inside = True
        elif tag == "time" and self.inside:
            self.tables[-1][-1][-1][1].append(date.fromisoformat(dict(attrs)["datetime"] or ""))

    def handle_endtag(self, tag: str) -> None:
        self.inside = self.inside and tag not in ("td", "th")

    def handle_data(self, data: str) -> None:
        if self.inside:
            text, days = self.tables[-1][-1][-1]
            self.tables[-1][-1][-1] = (text + data, days)


@pytest.fixture(scope="module")
def pages(tmp_path_factory: pytest.TempPathFactory) -> list[str]:
    """A dozen heavy trees, as the keeper sees them."""
    folder = tmp_path_factory.mktemp("pictures")
    made(on_disk(folder / "garden", stress()[:12]), "--own", "-o", folder / "own")
    return [(folder / "own" / f"{n:03d}.html").read_text("utf-8") for n in range(1, 13)] + [
        (folder / "own" / "year.html").read_text("utf-8")
    ]


def picture(page: str, kind: str) -> str:
    found = re.search(rf'<figure class="{kind}"[^>]*>(<svg.*?</svg>)', page, re.DOTALL)
    return found[1] if found else ""


def table_after(page: str, kind: str) -> list[list[tuple[str, list[date]]]]:
    rest = page[page.index(f'<figure class="{kind}"') :]
    return Tables(rest[: rest.index("</table>")]).tables[0][1:]


def days_at(first: date, x: float) -> float:
    year = (first.replace(year=first.year + 1) - first).days
    return (x - LABEL) / (WIDE - LABEL) * year


def test_the_year_is_drawn_as_its_table_says(pages: list[str]) -> None:
    """Each window, its best days, each care and each wire at its days; and nothing is drawn that no row says."""
    seen = 0
    for page in pages[:12]:
        svg = picture(page, "year")
        found = re.search(r"The year, (\w{3}) (\d{4}) to", page)
        assert found
        first = date(int(found[2]), "JanFebMarAprMayJunJulAugSepOctNovDec".index(found[1]) // 3 + 1, 1)
        year = (first.replace(year=first.year + 1) - first).days
        mm_a_day = (WIDE - LABEL) / year
        drawn = [a for a in areas(svg) if a.box[1] > 4.0 and a.box[0] >= LABEL - 1.3]
        windows = [a.box for a in drawn if a.kind in ("", "o") and a.thick == "0.4" and len(a.points) > 3]
        best = [a.box for a in drawn if a.kind == "k" and len(a.points) > 4]
        wires = [a.box for a in drawn if a.kind == "k" and len(a.points) == 4]
        care = [a.box for a in drawn if a.thick == "0.6"]
        told: dict[str, list[tuple[float, float]]] = {"window": [], "best": [], "wire": [], "care": []}
        for row in table_after(page, "year"):
            (open_, days), (_, solid) = row[-2:]
            if open_.startswith("by "):
                told["wire"].append(((days[0] - first).days, 0))
                continue
            span = ((days[0] - first).days, (days[1] - first).days + 1)
            is_window = any(
                abs(LABEL + span[0] * mm_a_day - w[0]) < SLACK and abs(LABEL + span[1] * mm_a_day - w[2]) < SLACK
                for w in windows
            )
            told["window" if is_window else "care"].append(span)
            if solid:
                told["best"].append(((solid[0] - first).days, (solid[1] - first).days + 1))
        for name, boxes in (("window", windows), ("care", care)):
            drawn_spans = sorted((days_at(first, b[0]), days_at(first, b[2])) for b in boxes)
            assert len(drawn_spans) == len(told[name])
            for one, other in zip(drawn_spans, sorted(told[name]), strict=True):
                assert max(abs(one[0] - other[0]), abs(one[1] - other[1])) < SLACK / mm_a_day
            seen += len(boxes)
        middles = sorted(days_at(first, (w[0] + w[2]) / 2) for w in wires)
        assert len(middles) == len(told["wire"])
        assert all(
            abs(one - other[0]) < SLACK / mm_a_day for one, other in zip(middles, sorted(told["wire"]), strict=True)
        )
        assert len(best) == len(told["best"])
        for box, other in zip(sorted(best), sorted(told["best"]), strict=True):
            widened = (
                other[1] - other[0] < 1.2 / mm_a_day
            )  # a band of a few days is drawn 1.2 mm wide, or nobody would see it
            assert widened or abs(days_at(first, box[0]) - other[0]) < SLACK / mm_a_day
    assert seen > 60


def test_the_tree_is_drawn_as_its_table_says(pages: list[str]) -> None:
    """The numbers of the branches; a ring on deadwood, four strokes of wire, a dashed line for what is sacrificed; the higher, the higher."""
    seen = 0
    for page in pages[:12]:
        svg = picture(page, "drawing")
        if not svg:
            continue
        rows = {row[0][0]: row for row in table_after(page, "drawing")}
        named = re.search(r"not shown: ([^<]*)", page)
        left_out = set(named[1].split(", ")) if named else set()
        drawn = {text: y for text, _, y in words(svg)}
        assert set(drawn) == set(rows) - left_out and left_out <= set(rows)
        shown = [row[4][0] for ident, row in rows.items() if ident in drawn]
        lines = areas(svg)
        assert sum(a.dash != "" for a in lines) == sum("sacrifice" in role for role in shown)
        assert sum(len(a.points) > 12 for a in lines) == sum("deadwood" in role for role in shown)
        assert sum(
            a.thick == "0.3" and a.dash == "" and abs(a.box[3] - a.box[1] - 2.2) < 0.02 for a in lines
        ) == 4 * sum("wired" in role for role in shown)
        heights = {ident: float(rows[ident][2][0].split(" ")[0]) for ident in drawn}
        for side in (0, 1):
            own = [t for t, x, _ in words(svg) if (x > 16.5) == bool(side)]
            assert sorted(own, key=lambda t: heights[t]) == sorted(own, key=lambda t: -drawn[t])
        seen += len(drawn)
    assert seen > 30


def test_charts_are_drawn_as_their_table_says(pages: list[str]) -> None:
    """A dot a reading, as far along as its day, as high as its value; the first and the last told."""
    seen = 0
    for page in pages[:12]:
        svg = picture(page, "chart")
        if not svg:
            continue
        rest = page[page.index('<figure class="chart"') :]
        head, *rows = Tables(rest[: rest.index("</table>")]).tables[0]
        assert "trunk, measured" in svg
        at = [cell for cell, _ in head].index("trunk")
        readings = sorted((row[0][1][0], float(row[at][0].split(" ")[0])) for row in rows if row[at][0])
        dots = [a.box for a in areas(svg) if a.kind == "k"]
        if len({day for day, _ in readings}) != len(dots):
            continue  # two readings of one day: the table has the later one
        points = sorted(((b[0] + b[2]) / 2, (b[1] + b[3]) / 2) for b in dots)
        days = (readings[-1][0] - readings[0][0]).days or 1
        low, high = (next(y for x, y in points if x == points[n][0]) for n in (0, -1))
        for (x, y), (day, value) in zip(points, readings, strict=True):
            along = (day - readings[0][0]).days / days
            assert abs(x - points[0][0] - along * (points[-1][0] - points[0][0])) < 0.03
            assert abs((24.0 - y) / (24.0 - low) - value / readings[0][1]) < 0.02
        told = [text for text, _, _ in words(svg)]
        assert high and any(text.startswith(f"{readings[-1][1]:g} mm") for text in told)
        seen += 1
    assert seen >= 4


def test_the_gardens_year_is_drawn_as_its_lists_say(pages: list[str]) -> None:
    """Each window of each tree has its two long sides where the list has its days, and its mark between them."""
    page, wide, label = pages[12], 240.0, 46.0
    svg = picture(page, "wide")
    first, last = date(2026, 9, 1), date(2027, 8, 31)
    days = (last - first).days + 1
    sides = {
        (round(a.box[0], 1), round(a.box[2], 1)) for a in areas(svg) if a.thick == "0.3" and a.box[1] == a.box[3]
    }
    marks = [text for text, _, _ in words(svg)]

    def x(day: date) -> float:
        return round(label + (wide - label) * min(max((day - first).days, 0), days) / days, 1)

    rows = [row for table in Tables(page).tables for row in table[1:]]
    assert len(rows) > 40
    for row in rows:
        if row[1][0].startswith("by "):
            continue
        opens, closes = row[1][1]
        near = [
            (a, b) for a, b in sides if abs(a - x(opens)) < 0.11 and abs(b - x(closes + timedelta(days=1))) < 0.11
        ]
        assert near, row
        assert marks.count(row[0][0].split(" ")[0]) >= 1


def test_a_page_draws_what_paper_draws() -> None:
    """The same rows and branches, for anybody and for the keeper, but for what the keeper meant, and what tells what ails the tree."""
    from logbook.collection.model import Settings
    from logbook.horticulture.loader import shipped_knowledge
    from logbook.paper.sheet.blocks.year import rows_of
    from logbook.paper.sheet.context import SheetContext
    from logbook.paper.sheet.offers import offers_of
    from logbook.web.pictures import LAYOUT

    garden, settings, knowledge = garden_at(), Settings("x"), shipped_knowledge()
    for tree in stress()[:12]:
        plan = plan_tree(tree, garden, date.fromisoformat(TODAY))
        sheet = SheetContext(plan, settings, knowledge, LAYOUT, LAYOUT.page[0], offers_of(plan).front)
        for own in (True, False):
            shown = plan if own else public_plan(plan)
            facts = tree_facts(shown, Garden(settings, knowledge, own, {}))
            names = [row.name for row in rows_of(sheet)]
            drawn = [row.name for row in facts.year.rows] if facts.year else []  # type: ignore[attr-defined]
            meant = {job.what for job in plan.jobs if job.record is None or "rescue" in job.record.acts}
            assert (
                drawn == names
                if own
                else [n for n in drawn if n not in meant] == [n for n in names if n not in meant]
            )
