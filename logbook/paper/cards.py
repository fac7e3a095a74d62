"""Pocket cards that belong to no one tree: the season card, with the site's marks and a small chart of its year."""

from __future__ import annotations

import itertools
from collections.abc import Sequence
from datetime import date, timedelta

from ..collection.dates import MONTHS, day_told
from ..collection.units import Units
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Kind
from ..planning.band_words import band_told
from ..planning.garden import Garden
from ..planning.rules.feeding import fed_in
from ..planning.windows import Span
from ..planning.wording import Wording, wording_of
from ..season.climate import day_index
from ..season.mark import Known, Mark
from ..season.site_year import SiteYear
from ..season.solar import midwinter_before
from .flow import Chunk, Piece, Room, baseline_text, flow, heading, line, lines, right_text
from .layouts import Layout
from .page import Block, Box, Item, Page, Rule, Text, moved
from .sheet.sheets import bound
from .typesetting import LEAST_PT, fitted, line_mm, shrunk, width_mm
from .words import say

CHART_MM = 30.0
COLUMNS = ("swell", "open", "hardened")  # the marks in a row


def season_card(
    garden: Garden, groups: Sequence[str], layout: Layout, season: int, today: date, care: Sequence[str] = ()
) -> list[Page]:
    """The card's pages: frost, growth and the marks of these groups with their bands; then the year's `care`, a row each."""
    width = layout.room[0] - 2 * layout.margin
    settings, site = garden.settings, garden.site
    title = card_title(say("season", season=season), f"{settings.title} · {day_told(today)}", width)
    pieces = [
        Chunk("title", (title,)),
        Chunk("chart", (_chart(site, season, width, settings.units),)),
        Chunk("frost", tuple(_frost(site, season, width, wording_of(settings)))),
    ]
    pieces.append(Chunk("marks", tuple(_marks(site, season, groups, width))))
    pieces.append(Chunk("fed", tuple(_feeding(garden, season, groups, width))))
    if care:
        rows = [piece for words in care for piece in lines(words, 9.0, width)]
        pieces.append(Chunk("care", (heading(say("season care"), width, 7.5), *rows)))
    pieces.append(Chunk("legend", tuple(year_legend(layout.size("small"), width))))
    pieces.append(Chunk("note", tuple(lines(say("bands"), layout.size("small"), width))))
    return card_pages([c for c in pieces if c.pieces], layout, "season card", say("season", season=season))


def year_legend(points: float, width: float) -> list[Piece]:
    """What the bars and triangles of a sheet's year mean."""
    return lines(f"{say('legend')} {say('legend marks')}", points, width)


def card_pages(chunks: Sequence[Chunk], layout: Layout, label: str, head: str) -> list[Page]:
    """Chunks on as many pages as they take; a further one begins with `head`, and where one goes on, its foot says so."""
    width = layout.room[0] - 2 * layout.margin
    foot_height = line_mm(LEAST_PT)
    again = _head_again(head, width)

    def room(number: int) -> Room:
        top = layout.margin + (again.height if number else 0.0)
        return Room(layout.margin, top, width, layout.room[1] - layout.margin - foot_height)

    rooms = flow(chunks, room)
    pages = []
    for number, made in enumerate(rooms, 1):
        if number > 1:
            made.items += [moved(item, layout.margin, layout.margin, "head") for item in again.items]
            made.blocks.insert(0, Block("head", layout.margin, layout.margin, width, again.height))
        if len(rooms) > 1:
            words = say("next page") if number < len(rooms) else say("page of", page=number, pages=len(rooms))
            made.y = layout.room[1] - layout.margin - foot_height
            made.place("foot", Piece(foot_height, (right_text(words, width, foot_height, LEAST_PT),)))
        page = Page(*layout.room, tuple(made.items), tuple(made.blocks), f"{label} {number}")
        pages.append(bound(page, layout, back=number % 2 == 0))
    return pages


def _head_again(head: str, width: float) -> Piece:
    """What a card's further pages begin with: its name, and a rule below."""
    height = line_mm(9.0) + 1.6
    words, size = fitted(head, 9.0, width, True)
    return Piece(
        height,
        (
            baseline_text(words, 0.0, line_mm(9.0), size, bold=True),
            Rule(0.0, height - 1.0, width, height - 1.0, 0.15),
        ),
    )


def card_title(name: str, beside: str, width: float) -> Piece:
    """A card's name, large, and a word on the right."""
    title = baseline_text(name, 0, 8.0, shrunk(name, 15.0, width * 0.62, bold=True), bold=True)
    clean, size = fitted(beside, 9.0, width - title.width - 3.0)
    return Piece(8.0, (title, right_text(clean, width, 8.0, size)))


def _feeding(garden: Garden, season: int, groups: Sequence[str], width: float) -> list[Piece]:
    """From when to when each group is fed: while the trunk is grown, and later in refinement."""
    rows = [heading(say("season fed"), width, 7.5)]
    for name in groups:
        told = _fed_told(garden, name, season)
        rows += lines(told, 9.0, width) if told else []
    rows += lines(say("how to feed"), 7.5, width)
    return rows if len(rows) > 2 else []


def _fed_told(garden: Garden, name: str, season: int) -> str:
    """A group's feeding in one line; empty where no dates are known."""
    spans = [
        fed_in(garden.site, garden.knowledge.groups[name], season, stage) for stage in ("trunk growing", "refinement")
    ]
    growing, refined = (s if isinstance(s, Span) else None for s in spans)
    if growing is None:
        return ""
    delayed = refined is not None and refined.opens != growing.opens
    later = day_told(refined.opens, refined.opens) if refined and delayed else ""
    begins, ends = day_told(growing.opens, growing.opens), day_told(growing.closes, growing.closes)
    told = say("fed later" if later else "fed", group=name, begins=begins, later=later, ends=ends)
    return told + _pauses_told(garden.knowledge, name)


def _pauses_told(knowledge: Knowledge, group: str) -> str:
    """How long feeding pauses after a group's own works of the growing season."""
    works = [w for w in knowledge.works.values() if w.kind is Kind.FLUSH and w.row(group)]
    pauses = [(w, p) for w in works for p in knowledge.feeding_pauses if p.after.was(w, "", "")]
    return "".join(say("feeding pause", days=p.days, work=w.name, refined=p.refined) for w, p in pauses)


def _frost(site: SiteYear, season: int, width: float, wording: Wording) -> list[Piece]:
    names = (
        ("last frost", "last frost", say("half the years")),
        ("last frost 10 %", "last frost", say("careful")),
        ("first frost 10 %", "first frost", say("careful")),
        ("first frost", "first frost", say("half the years")),
        ("growth end", "growth end", say("under", temperature=wording.units.temperature_told(10))),
    )
    rows = [heading(say("frost and growth"), width, 7.5)]
    for mark, line_of, note in names:
        found = site.marks.mark("", mark, season)
        told = (
            f"{day_told(found.day)}{band_told(found, ' d')}"
            if isinstance(found, Mark)
            else say("mark none", why=wording.reason(found.why))
        )
        rows += lines(say(line_of, note=note, told=told), 9.0, width)
    return rows


def _marks(site: SiteYear, season: int, groups: Sequence[str], width: float) -> list[Piece]:
    """A row a group; a dash where it has no such mark."""
    at = [width * share for share in (0.42, 0.62, 0.82)]
    height = line_mm(9.0)
    names = [say(f"mark {name}") for name in COLUMNS]
    head = [moved(baseline_text(name, 0, height, 8.0, bold=True), x, 0) for name, x in zip(names, at, strict=True)]
    rows = [heading(say("marks"), width, 7.5), Piece(height, tuple(head), keep=True)]
    for group in groups:
        name, size = fitted(group, 9.0, at[0] - 1.0)
        items: list[Item] = [baseline_text(name, 0, height, size)]
        for mark, x in zip(COLUMNS, at, strict=True):
            told, size = fitted(_short(site.marks.mark(group, mark, season)), 9.0, width * 0.18)
            items.append(moved(baseline_text(told, 0, height, size), x, 0))
        rows.append(Piece(height, tuple(items)))
    return rows


def _short(found: Known) -> str:
    return f"{found.day.day} {MONTHS[found.day.month - 1]}{band_told(found, '')}" if isinstance(found, Mark) else "-"


def _chart(site: SiteYear, season: int, width: float, units: Units) -> Piece:
    """Twelve months from midwinter: mean temperature as a line, growing weeks as bars."""
    if site.climate is None:
        return line(say("no chart"), 9.0)
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
        if site.calendar.grows(d)
    ]
    items += [Rule(i * step, y(a), (i + 1) * step, y(b), 0.5) for i, (a, b) in enumerate(itertools.pairwise(means))]
    for level in (0.0, 10.0, 20.0):
        if low <= level <= high:
            items.append(Rule(0, y(level), width, y(level), 0.15, 0.5, dash=0.8))
            words = units.temperature_told(level)
            items.append(Text(0.3, y(level) - 0.5, words, LEAST_PT, width=width_mm(words, LEAST_PT)))
    for month in range(1, 13):
        first = date(start.year + (start.month + month > 12), (start.month + month - 1) % 12 + 1, 1)
        x = (first - start).days / 366 * width
        items.append(Rule(x, base, x, base + 1.2, 0.2))
        words = MONTHS[first.month - 1]
        if x + width_mm(words, LEAST_PT) + 0.6 <= width:
            items.append(Text(x + 0.6, base + 3.6, words, LEAST_PT, width=width_mm(words, LEAST_PT)))
    return Piece(CHART_MM, tuple(items))
