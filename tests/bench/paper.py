"""Paper for 1,000 trees: growth, memory, and the time of a pocket page against a floor measured in the same run.

The floor is reportlab drawing the very same strings, lines, boxes and code bits, one plain call each, with nothing
else. Goals: ≤ 1.5× the floor a page, ten times the trees ≤ 11× the time, memory that does not grow with the trees.
"""

from __future__ import annotations

import io
import pickle
import statistics
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

from reportlab.pdfbase import pdfmetrics
from reportlab.pdfbase.ttfonts import TTFont
from reportlab.pdfgen.canvas import Canvas

from logbook.collection.load import load
from logbook.horticulture.loader import shipped_knowledge
from logbook.paper import typesetting as setting
from logbook.paper.imposition import grid_for, impose
from logbook.paper.layouts import layout
from logbook.paper.page import Box, Code, Paper, Rule, Shape, Text
from logbook.paper.pdf import render
from logbook.paper.sheet.sheets import record_sheet
from logbook.planning.garden import Garden
from logbook.planning.planner import plan_tree
from tests.bench.due import garden

TODAY = date(2026, 11, 25)
MM = 72 / 25.4


def floor(papers: list[Paper]) -> None:
    """Every item with one plain call; faces chosen as the pages chose them."""
    pdfmetrics.registerFont(TTFont("F", str(setting.font_path(setting.REGULAR))))
    pdfmetrics.registerFont(TTFont("FB", str(setting.font_path(setting.BOLD))))
    canvas = Canvas(io.BytesIO(), invariant=1, pageCompression=1, initialFontName="F")
    for paper in papers:
        canvas.setPageSize((paper.width * MM, paper.height * MM))
        for placed in paper.placed:
            canvas.saveState()
            canvas.translate(placed.x * MM, placed.y * MM)
            for item in placed.page.items:
                if isinstance(item, Text):
                    canvas.setFillGray(1.0 if item.white else 0.0)
                    canvas.setFont("FB" if item.bold else "F", item.size_pt)
                    canvas.drawString(item.x * MM, -item.y * MM, item.text)
                elif isinstance(item, Rule):
                    canvas.setLineWidth(item.thick * MM)
                    canvas.line(item.x1 * MM, -item.y1 * MM, item.x2 * MM, -item.y2 * MM)
                elif isinstance(item, Box):
                    canvas.rect(
                        item.x * MM, -item.y * MM, item.width * MM, item.height * MM, fill=item.fill is not None
                    )
                elif isinstance(item, Shape):
                    path = canvas.beginPath()
                    path.moveTo(item.points[0][0] * MM, -item.points[0][1] * MM)
                    for x, y in item.points[1:]:
                        path.lineTo(x * MM, -y * MM)
                    canvas.drawPath(path)
                elif isinstance(item, Code):
                    for row, cells in enumerate(item.rows):
                        for column, dark in enumerate(cells):
                            if dark:
                                x, y = item.x + column * item.module, item.y + row * item.module
                                canvas.rect(x * MM, -y * MM, item.module * MM, item.module * MM, stroke=0, fill=1)
            canvas.restoreState()
        canvas.showPage()
    canvas.save()


def seconds(work: Callable[[], object]) -> float:
    begun = time.perf_counter()
    work()
    return time.perf_counter() - begun


def print_memory(folder: str) -> None:
    """Run in a process of its own: print sheets of a garden, tell the peak memory in MB (Linux)."""
    from logbook.cli.main import run

    out = str(Path(folder) / "out.pdf")
    run(["-C", folder, "sheets", "--draft", "-o", out, "--today", TODAY.isoformat()])
    peak = next(row for row in Path("/proc/self/status").read_text().splitlines() if row.startswith("VmHWM"))
    print(int(peak.split()[1]) / 1024)


class Drawn:
    """A garden of so many trees, read and planned, ready to be drawn."""

    def __init__(self, folder: Path, count: int) -> None:
        self.knowledge, self.layout = shipped_knowledge(), layout("pocket-a6")
        self.grid = grid_for(self.layout.paper, self.layout.page)
        self.collection = load(garden(folder / str(count), count), self.knowledge)
        planned = Garden(self.collection.settings, self.knowledge, self.collection.trees)
        self.plans = [plan_tree(tree, planned, TODAY) for tree in self.collection.trees]
        self.whole()
        self.kept = list(self.papers())
        self.pages = sum(len(paper.placed) for paper in self.kept)

    def papers(self) -> Iterator[Paper]:
        settings = self.collection.settings
        sheets = (record_sheet(plan, settings, self.knowledge, self.layout, "00142-4") for plan in self.plans)
        return impose((leaf for sheet in sheets for leaf in sheet.leaves), self.grid)

    def whole(self) -> bytes:
        return render(self.papers(), "sheets", self.collection.characters)

    def bare(self) -> None:
        floor(self.kept)


def main() -> None:
    with tempfile.TemporaryDirectory() as scratch:
        times: dict[int, float] = {}
        ratios: list[float] = []
        for count in (100, 1000):
            some = Drawn(Path(scratch), count)
            pairs = [(seconds(some.whole), seconds(some.bare)) for _ in range(5)]
            times[count] = statistics.median(whole for whole, _ in pairs)
            ratios += [whole / bare for whole, bare in pairs]
            print(f"{count} trees: {times[count] / some.pages * 1000:.1f} ms a pocket page (this machine)")
        print(f"a pocket page, layout and all, against the floor: {statistics.median(ratios):.2f}×")
        print(f"ten times the trees: {times[1000] / times[100]:.1f}× the time")
        peaks = []
        for count in (100, 1000):
            call = f"from tests.bench.paper import print_memory; print_memory({str(Path(scratch) / str(count))!r})"
            told = subprocess.run([sys.executable, "-c", call], capture_output=True, text=True, check=True).stdout
            peaks.append(float(told.split()[-1]))
        print(f"peak memory: {peaks[0]:.0f} MB for 100 trees, {peaks[1]:.0f} MB for 1,000")
        begun = seconds(lambda: list(some.papers()))
        sent = seconds(lambda: pickle.loads(pickle.dumps(some.kept)))
        print(f"handing drawn pages between processes costs {sent / begun:.2f}× the drawing of them")


if __name__ == "__main__":
    main()
