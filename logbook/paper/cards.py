"""Pocket cards that belong to no one tree: the season card, with the site's marks and a small chart of its year."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date, timedelta

from ..record.dates import MONTHS, day_told
from ..record.model import Settings
from ..season.climate import day_index
from ..season.daylight import midwinter_before
from ..season.marks import Found, Mark, SiteYear
from .compose import Chunk, Piece, Room, baseline_text, flow, heading, line, lines
from .layouts import Layout
from .page import Box, Item, Page, Rule, Text, moved
from .type import fitted, line_mm, width_mm

CHART_MM = 30.0
COLUMNS = ("swell", "open", "hardened")


def season_card(
    site: SiteYear, settings: Settings, groups: Sequence[str], layout: Layout, season: int, today: date
) -> list[Page]:
    """The card's pages: frost, growth and the marks of these groups with their bands."""
    width = layout.page[0] - 2 * layout.margin
    title = Piece(
        8.0,
        (
            baseline_text(f"Season {season}", 0, 8.0, 15.0, bold=True),
            _right(f"{settings.title} · {day_told(today)}", width, 8.0),
        ),
    )
    pieces = [
        Chunk("title", (title,)),
        Chunk("chart", (_chart(site, season, width),)),
        Chunk("frost", tuple(_frost(site, season, width))),
    ]
    pieces.append(Chunk("marks", tuple(_marks(site, season, groups, width))))
    words = "± is the span that holds the day in four years of five. The tree in front of you decides."
    pieces.append(Chunk("note", tuple(lines(words, layout.size("small"), width))))

    def room(_number: int) -> Room:
        return Room(layout.margin, layout.margin, width, layout.page[1] - layout.margin)

    rooms = flow([c for c in pieces if c.pieces], room)
    return [
        Page(layout.page[0], layout.page[1], tuple(r.items), tuple(r.blocks), f"season card {n}")
        for n, r in enumerate(rooms, 1)
    ]


def _right(words: str, width: float, height: float) -> Text:
    clean, size = fitted(words, 9.0, width * 0.6)
    text = baseline_text(clean, 0, height, size)
    return Text(width - text.width, text.y, clean, size, width=text.width)


def _frost(site: SiteYear, season: int, width: float) -> list[Piece]:
    names = (
        ("last frost", "half the years"),
        ("last frost 10 %", "careful"),
        ("first frost 10 %", "careful"),
        ("first frost", "half the years"),
        ("growth end", "under 10 °C"),
    )
    rows = [heading("Frost and growth", width, 7.5)]
    for name, note in names:
        found = site.mark("", name, season)
        told = f"{day_told(found.day)} ± {found.band} d" if isinstance(found, Mark) else f"none: {found.why}"
        words = f"{name.removesuffix(' 10 %')} ({note}): {told}"
        rows += lines(words, 9.0, width)
    return rows


def _marks(site: SiteYear, season: int, groups: Sequence[str], width: float) -> list[Piece]:
    """A row a group; a dash where it has no such mark."""
    at = [width * share for share in (0.42, 0.62, 0.82)]
    height = line_mm(9.0)
    head = [moved(baseline_text(name, 0, height, 8.0, bold=True), x, 0) for name, x in zip(COLUMNS, at, strict=True)]
    rows = [heading("Marks", width, 7.5), Piece(height, tuple(head), keep=True)]
    for group in groups:
        name, size = fitted(group, 9.0, at[0] - 1.0)
        items: list[Item] = [baseline_text(name, 0, height, size)]
        for mark, x in zip(COLUMNS, at, strict=True):
            told, size = fitted(_short(site.mark(group, mark, season)), 9.0, width * 0.18)
            items.append(moved(baseline_text(told, 0, height, size), x, 0))
        rows.append(Piece(height, tuple(items)))
    return rows


def _short(found: Found) -> str:
    return f"{found.day.day} {MONTHS[found.day.month - 1]} ± {found.band}" if isinstance(found, Mark) else "-"


def _chart(site: SiteYear, season: int, width: float) -> Piece:
    """Twelve months from midwinter: mean temperature as a line, growing weeks as bars."""
    if site.climate is None:
        return line("no monthly normals on record: no chart", 9.0)
    start = midwinter_before(season, site.southern)
    days = [start + timedelta(days=i) for i in range(0, 366, 6)]
    means = [site.climate.mean[day_index(d)] for d in days]
    low, high = min(0.0, *means), max(20.0, *means)
    base, top = CHART_MM - 5.0, 4.0

    def y(value: float) -> float:
        return base - (value - low) / (high - low) * (base - top)

    step = width / (len(days) - 1)
    items: list[Item] = [
        Box(i * step, y(v), step, y(low) - y(v), fill=0.8)
        for i, (d, v) in enumerate(zip(days[:-1], means, strict=False))
        if site.grows(d)
    ]
    items += [Rule(i * step, y(a), (i + 1) * step, y(b), 0.5) for i, (a, b) in enumerate(itertools.pairwise(means))]
    for level in (0.0, 10.0, 20.0):
        if low <= level <= high:
            items.append(Rule(0, y(level), width, y(level), 0.15, 0.5, dash=0.8))
            words = site.settings.units.temperature_told(level)
            items.append(Text(0.3, y(level) - 0.5, words, 7.0, width=width_mm(words, 7.0)))
    for month in range(1, 13):
        first = date(start.year + (start.month + month > 12), (start.month + month - 1) % 12 + 1, 1)
        x = (first - start).days / 366 * width
        items.append(Rule(x, base, x, base + 1.2, 0.2))
        words = MONTHS[first.month - 1]
        if x + width_mm(words, 7.0) + 0.6 <= width:
            items.append(Text(x + 0.6, base + 3.6, words, 7.0, width=width_mm(words, 7.0)))
    return Piece(CHART_MM, tuple(items))
