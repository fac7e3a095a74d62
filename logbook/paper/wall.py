"""The wall chart: twelve fixed months, all trees, windows outlined with their marks on the best days; no today line, nothing in gray.

A clip set on the week ticks at its top shows the day. Two prints with no notes between differ in the print date alone.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import field
from datetime import date, timedelta

from ..collection.dates import MONTHS, day_told
from ..planning.fixed_year import Year
from ..planning.lists.walk_rows import bench_part, tag_ranges
from ..planning.lists.wall_rows import Bar, Frost, WallRow
from ..planning.wording import Wording
from ..values import dataclass
from .layouts import Layout
from .page import Block, Box, Item, Page, Rule, Shape, Text
from .row_words import branch_ranges
from .typesetting import fitted, tidy, width_mm, wrap
from .words import say

LABEL_MM = 46.0
LANE_MM, BAR_MM, ROW_GAP_MM = 4.3, 3.7, 1.4
BENCH_MM, TOP_MM = 5.4, 19.0
TITLE_PT, TAG_PT, NAME_PT, MARK_PT = 15.0, 11.0, 8.5, 8.0
OUTLINE_MM = 0.3
END_MM = 0.5
SIGNS_MM = 3.7
TICK_MM = 1.6


@dataclass(frozen=True, slots=True)
class Wall:
    """What the chart is made of: rows in their order with the heading each stands under, and the site's year."""

    title: str
    printed: date
    year: Year
    rows: Sequence[tuple[str, WallRow]]
    frost: Frost
    marks: Sequence[tuple[str, tuple[tuple[str, date], ...]]]
    living: Sequence[str]


def by_bench(rows: Sequence[WallRow]) -> list[tuple[str, WallRow]]:
    """Rows with the bench each stands on, those of a bench together."""
    benches: dict[str, list[WallRow]] = {}
    for row in rows:
        benches.setdefault(bench_part(row.trees[0].bench) or say("no place"), []).append(row)
    return [(name, row) for name, some in benches.items() for row in some]


@dataclass(slots=True)
class _Sheet:
    """One page as it fills."""

    wall: Wall
    layout: Layout
    wording: Wording
    items: list[Item] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    y: float = 0.0
    places: dict[date, float] = field(default_factory=dict)

    @property
    def left(self) -> float:
        return self.layout.margin

    @property
    def right(self) -> float:
        return self.layout.page[0] - self.layout.margin

    @property
    def start(self) -> float:
        """Where the year begins."""
        return self.left + LABEL_MM

    @property
    def bottom(self) -> float:
        return self.layout.page[1] - self.layout.margin

    def x(self, day: date) -> float:
        """Where a day stands; a day beyond the year at its end."""
        found = self.places.get(day)
        if found is None:
            year = self.wall.year
            days = (year.last - year.first).days + 1
            at = min(max((day - year.first).days, 0), days)
            found = self.places[day] = self.start + (self.right - self.start) * at / days
        return found

    def put(self, words: str, x: float, baseline: float, size: float, block: str, *, bold: bool = False) -> Text:
        clean = tidy(words)
        text = Text(x, baseline, clean, size, bold, False, width_mm(clean, size, bold), block)
        self.items.append(text)
        return text


def wall_pages(wall: Wall, layout: Layout, wording: Wording) -> list[Page]:
    """The chart's pages; its months stand on each, its legend and the site's marks on the last."""
    pages: list[Page] = []
    sheet = _opened(wall, layout, wording)
    heading = ""
    for name, row in wall.rows:
        lanes = _lanes(row, sheet)
        height = max(1, len(lanes)) * LANE_MM + ROW_GAP_MM
        fits = sheet.y + height + (BENCH_MM if name != heading else 0.0) <= sheet.bottom
        if not fits:
            pages.append(_closed(sheet, len(pages) + 1))
            sheet, heading = _opened(wall, layout, wording), ""
        if name != heading:
            _heading(sheet, name)
            heading = name
        _draw_row(sheet, row, lanes, height)
    foot = _foot(sheet)
    if sheet.y + foot > sheet.bottom:
        pages.append(_closed(sheet, len(pages) + 1))
        sheet = _opened(wall, layout, wording)
    _draw_foot(sheet)
    return [*pages, _closed(sheet, len(pages) + 1)]


def _opened(wall: Wall, layout: Layout, wording: Wording) -> _Sheet:
    sheet = _Sheet(wall, layout, wording)
    first, last = wall.year.first, wall.year.last
    ends = [f"{MONTHS[day.month - 1]} {day.year}" for day in (first, last)]
    told = say("wall", title=wall.title, first=ends[0], last=ends[1])
    title, size = fitted(told, TITLE_PT, (sheet.right - sheet.left) * 0.75, True)
    top = layout.margin
    sheet.put(title, sheet.left, top + 5.4, size, "title", bold=True)
    printed = say("printed", day=day_told(wall.printed))
    sheet.put(printed, sheet.right - width_mm(printed, NAME_PT), top + 5.4, NAME_PT, "printed")
    sheet.blocks.append(Block("title", sheet.left, top, (sheet.right - sheet.left) * 0.8, 8.0))
    _scale(sheet, top + 8.5)
    _frost(sheet, top + 14.4)
    sheet.y = top + TOP_MM
    return sheet


def _scale(sheet: _Sheet, y: float) -> None:
    """Week ticks for a clip, and the months."""
    year = sheet.wall.year
    day = year.first + timedelta(days=(7 - year.first.weekday()) % 7)
    while day <= year.last:
        sheet.items.append(Rule(sheet.x(day), y, sheet.x(day), y + TICK_MM, 0.15, block="months"))
        day += timedelta(days=7)
    for month in year.months:
        words = MONTHS[month.month - 1]
        told = f"{words} {month.year}"
        if (
            month.month == 1
            and width_mm(told, NAME_PT, True) < sheet.x(month + timedelta(days=31)) - sheet.x(month) - 1.2
        ):
            words = told  # where it has no room it stands in the title
        sheet.items.append(Rule(sheet.x(month), y, sheet.x(month), y + 5.4, 0.3, block="months"))
        sheet.put(words, sheet.x(month) + 0.8, y + 4.9, NAME_PT, "months", bold=True)
    sheet.items.append(Rule(sheet.start, y, sheet.right, y, 0.3, block="months"))
    sheet.blocks.append(Block("months", sheet.start, y, sheet.right - sheet.start + 0.1, 5.6))


def _frost(sheet: _Sheet, y: float) -> None:
    """The weeks of frost as an outlined bar; two where the year begins and ends in them."""
    begins, ends = sheet.wall.frost.begins, sheet.wall.frost.ends
    if begins is None and ends is None:
        return
    year = sheet.wall.year
    whole = begins is not None and ends is not None and begins < ends
    spans = [(begins, ends)] if whole else [(None, ends), (begins, None)]
    sheet.put(say("wall frost"), sheet.left, y + 3.0, NAME_PT, "frost")
    for first, last in (span for span in spans if any(span)):
        _outline(sheet, (first or year.first, last or year.last), (first is not None, last is not None), y, "frost")
        if first:
            sheet.put(day_told(first, first), sheet.x(first) + 1.0, y + 2.9, NAME_PT, "frost")
        if last:
            words = day_told(last, last)
            sheet.put(words, sheet.x(last) - width_mm(words, NAME_PT) - 1.0, y + 2.9, NAME_PT, "frost")
    sheet.blocks.append(Block("frost", sheet.left, y, sheet.right - sheet.left, BAR_MM + 0.3))


def _outline(sheet: _Sheet, days: tuple[date, date], ends: tuple[bool, bool], y: float, block: str) -> None:
    """A window: two long sides, and an end on each side where it is not cut off by the year."""
    left, right = sheet.x(days[0]), sheet.x(days[1] + timedelta(days=1))
    for at in (y, y + BAR_MM):
        sheet.items.append(Rule(left, at, right, at, OUTLINE_MM, block=block))
    for there, at in zip(ends, (left + END_MM / 2, right - END_MM / 2), strict=True):
        if there:
            sheet.items.append(Rule(at, y, at, y + BAR_MM, END_MM, block=block))


# -- rows ----------------------------------------------------------------------------------------------------------

Lane = list[Bar | tuple[date, tuple[str, ...]] | str]


def _lanes(row: WallRow, sheet: _Sheet) -> list[Lane]:
    """What stands beside one another in each lane: what waits, then windows, then wire."""
    lanes: list[Lane] = [[sheet.wording.held(rest.hold)] for rest in row.rests]
    first = sheet.wall.year.first
    lanes += [[_overdue(day, branches)] for day, branches in row.wires if day < first]
    ends: list[float] = [sheet.right] * len(lanes)
    drawn: list[Bar | tuple[date, tuple[str, ...]]] = [*row.bars, *(wire for wire in row.wires if wire[0] >= first)]
    for one in drawn:
        left, right = _extent(one, sheet)
        place = next((n for n, end in enumerate(ends) if end + 0.8 <= left), None)
        if place is None:
            lanes.append([one])
            ends.append(right)
        else:
            lanes[place].append(one)
            ends[place] = right
    return lanes


def _extent(one: Bar | tuple[date, tuple[str, ...]], sheet: _Sheet) -> tuple[float, float]:
    """From where to where a window or the end of wire takes room, its words included."""
    if isinstance(one, Bar):
        wide = width_mm(one.mark, MARK_PT, True) + 1.2
        at = _mark_at(one, sheet)
        return min(sheet.x(one.opens), at - wide / 2), max(sheet.x(one.closes + timedelta(days=1)), at + wide / 2)
    x, words = sheet.x(one[0]), _wire_words(one[1])
    return x - 1.6 - width_mm(words, MARK_PT, True) - 1.0, x + 1.6


def _mark_at(bar: Bar, sheet: _Sheet) -> float:
    """The middle of a mark: on its best day, inside the year."""
    half = width_mm(bar.mark, MARK_PT, True) / 2 + 1.0
    left, right = sheet.x(bar.opens) + half, sheet.x(bar.closes + timedelta(days=1)) - half
    at = min(max(sheet.x(bar.best), left), right) if left <= right else sheet.x(bar.best)
    return min(max(at, sheet.start + half), sheet.right - half)


def _wire_words(branches: Sequence[str]) -> str:
    return tidy(say("wall wire", branches=branch_ranges(branches)))


def _overdue(day: date, branches: Sequence[str]) -> str:
    """Wire that should have been off before the year began: it has no place in it, and stands across it."""
    return tidy(say("wall overdue", branches=branch_ranges(branches), day=day_told(day)))


def _heading(sheet: _Sheet, name: str) -> None:
    words, size = fitted(name, TAG_PT, LABEL_MM * 2, True)
    block = f"bench {name}"
    sheet.put(words, sheet.left, sheet.y + 4.2, size, block, bold=True)
    sheet.items.append(Rule(sheet.left, sheet.y + BENCH_MM, sheet.right, sheet.y + BENCH_MM, 0.35, block=block))
    sheet.blocks.append(Block(block, sheet.left, sheet.y, sheet.right - sheet.left, BENCH_MM))
    sheet.y += BENCH_MM


def _draw_row(sheet: _Sheet, row: WallRow, lanes: Sequence[Lane], height: float) -> None:
    tag, name = row_label(row, sheet.wall.living)
    block = f"row {row.trees[0].tag}"
    label, points = fitted(tag, TAG_PT, LABEL_MM - 12.0, True)
    put = sheet.put(label, sheet.left, sheet.y + 4.4, points, block, bold=True)
    room = LABEL_MM - put.width - 3.0
    words, size = fitted(name, NAME_PT, room)
    sheet.items.append(
        Text(sheet.left + put.width + 1.5, put.y, words, size, width=width_mm(words, size), block=block)
    )
    for month in sheet.wall.year.months:
        x = sheet.x(month)
        sheet.items.append(Rule(x, sheet.y, x, sheet.y + height, 0.12, dash=0.6, block=block))
    for number, lane in enumerate(lanes):
        y = sheet.y + ROW_GAP_MM / 2 + number * LANE_MM
        for one in lane:
            _draw(sheet, one, y, block)
    base = sheet.y + height
    sheet.items.append(Rule(sheet.left, base, sheet.right, base, 0.15, block=block))
    sheet.blocks.append(Block(block, sheet.left, sheet.y, sheet.right - sheet.left, height))
    sheet.y = base


def row_label(row: WallRow, living: Sequence[str]) -> tuple[str, str]:
    """The tags of a row and what stands beside them."""
    tree = row.trees[0]
    if len(row.trees) > 1:
        tags = tag_ranges([t.tag for t in row.trees], living)
        return " ".join(tags), say("several", count=len(row.trees), name=tree.full_name)
    return tree.tag, tree.name or tree.full_name


def _draw(sheet: _Sheet, one: Bar | tuple[date, tuple[str, ...]] | str, y: float, block: str) -> None:
    if isinstance(one, str):
        words, size = fitted(one, MARK_PT, sheet.right - sheet.start - 3.0, True)
        sheet.items.append(Box(sheet.start, y, sheet.right - sheet.start, BAR_MM, fill=1.0, block=block))
        sheet.items.append(Box(sheet.start, y, sheet.right - sheet.start, BAR_MM, OUTLINE_MM, block=block))
        sheet.put(words, sheet.start + 1.5, y + 2.85, size, block, bold=True)
    elif isinstance(one, Bar):
        year = sheet.wall.year
        days = max(one.opens, year.first), min(one.closes, year.last)
        _outline(sheet, days, (one.opens >= year.first, one.closes <= year.last), y, block)
        wide, middle = width_mm(one.mark, MARK_PT, True), _mark_at(one, sheet)
        sheet.items.append(Box(middle - wide / 2 - 0.4, y + 0.3, wide + 0.8, BAR_MM - 0.6, fill=1.0, block=block))
        sheet.put(one.mark, middle - wide / 2, y + 2.8, MARK_PT, block, bold=True)
    else:
        day, branches = one
        x, words = sheet.x(day), _wire_words(branches)
        sheet.items.append(Shape(((x - 1.5, y + 0.4), (x + 1.5, y + 0.4), (x, y + 3.3)), 0.0, block=block))
        sheet.put(words, x - 2.3 - width_mm(words, MARK_PT, True), y + 2.8, MARK_PT, block, bold=True)


# -- the foot ------------------------------------------------------------------------------------------------------


def _legend(sheet: _Sheet) -> list[str]:
    """What the marks on this chart stand for."""
    used = {bar.mark: bar.short for _, row in sheet.wall.rows for bar in row.bars}
    told = " · ".join(f"{mark} {short}" for mark, short in sorted(used.items()))
    return wrap(say("wall legend", marks=told), NAME_PT, sheet.right - sheet.left)


def _foot(sheet: _Sheet) -> float:
    return (
        3.0 + len(_legend(sheet)) * 3.7 + (len(sheet.wall.marks) * SIGNS_MM + BENCH_MM if sheet.wall.marks else 0.0)
    )


def _draw_foot(sheet: _Sheet) -> None:
    """When buds swell, leaves open and shoots harden, by group; then the legend."""
    if sheet.wall.marks:
        _heading(sheet, say("wall marks"))
    for group, marks in sheet.wall.marks:
        words, size = fitted(group, NAME_PT, LABEL_MM - 2.0)
        block = f"marks {group}"
        sheet.put(words, sheet.left, sheet.y + 2.9, size, block)
        for x, name, begins in _mark_words(sheet, marks):
            sheet.items.append(Rule(x, sheet.y + 0.4, x, sheet.y + 3.4, 0.4, block=block))
            sheet.put(name, begins, sheet.y + 2.9, NAME_PT, block)
        sheet.blocks.append(Block(block, sheet.left, sheet.y, sheet.right - sheet.left + 0.1, SIGNS_MM))
        sheet.y += SIGNS_MM
    sheet.y += 1.5
    for number, line in enumerate(_legend(sheet), start=1):
        sheet.put(line, sheet.left, sheet.y + 2.9, NAME_PT, f"legend {number}")
        sheet.blocks.append(Block(f"legend {number}", sheet.left, sheet.y, sheet.right - sheet.left, 3.7))
        sheet.y += 3.7


def _mark_words(sheet: _Sheet, marks: Sequence[tuple[str, date]]) -> Iterator[tuple[float, str, float]]:
    """Where each sign stands, its words and where they begin: the first one's before it, the others' behind, as far as they fit."""
    places = [
        (sheet.x(day), say("mark on", mark=say(f"mark {name}"), day=day_told(day, day)))
        for name, day in sorted(marks, key=lambda m: m[1])
    ]
    ends = [x for x, _ in places[1:]] + [sheet.right]
    for number, ((x, words), end) in enumerate(zip(places, ends, strict=True)):
        wide = width_mm(words, NAME_PT)
        if not number and x - wide - 0.7 >= sheet.start:
            yield x, words, x - wide - 0.7
        else:
            yield x, words if wide <= end - x - 1.5 else "", x + 0.7


def _closed(sheet: _Sheet, number: int) -> Page:
    return Page(*sheet.layout.page, tuple(sheet.items), tuple(sheet.blocks), f"wall chart page {number}")
