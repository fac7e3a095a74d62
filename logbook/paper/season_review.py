"""Pages for a winter evening: a season looked back on, and a tree's photographs with one year beside the next."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Entry, Tree
from ..collection.units import Units
from ..planning.season_review import SEASONS, Review
from ..values import dataclass
from .cards import card_pages, card_title
from .flow import Chunk, Piece, baseline_text, heading, lines, row
from .layouts import Layout
from .page import Box, Item, Page, Picture, moved
from .photos import Photo
from .typesetting import fitted, line_mm
from .words import say, say_counted

SIZE, SMALL = 9.0, 7.5
GAP_MM = 3.0
STEP_MM, COLUMN_MM = 0.9, 8.0
QUARTERS = ("winter", "spring", "summer", "autumn")


def review_pages(made: Review, trees: Mapping[str, Tree], units: Units, layout: Layout, title: str) -> list[Page]:
    """The year's review: visits and works, what was missed, wires, vigour over the years, trunks."""
    width = layout.room[0] - 2 * layout.margin
    span = say("span", first=day_told(made.first), last=day_told(made.last))
    season = say("season", season=made.season)
    opening = (card_title(season, title, width), *lines(span, SMALL, width))
    counts = say_counted("review visits", made.visits), say_counted("review trees", made.trees)
    visits = say("visits", visits=counts[0], trees=counts[1])
    chunks = [Chunk("title", opening), Chunk("visits", tuple(lines(visits, SIZE, width)))]
    parts = {
        "done": _done(made, width),
        "missed": [p for work, tags in _by_work(made.missed).items() for p in lines(f"{work}: {tags}", SIZE, width)],
        "wire": _wires(made, width),
        "vigour": _vigour(made, trees, width) if made.scores else [],
        "trunks": _trunks(made, trees, units, width),
        "new": _named_all(made.came, trees, width),
        "left": _named_all(made.left, trees, width),
    }
    chunks += [_part(name, say(f"review {name}"), pieces, width) for name, pieces in parts.items() if pieces]
    return card_pages(chunks, layout, "review", f"{season}, {title}")


def _done(made: Review, width: float) -> list[Piece]:
    rows = [
        p
        for work, count in made.works.items()
        for p in row(((0.0, say("times", count=count), False), (0.12, work, False)), width)
    ]
    return rows or lines(say("nothing done"), SIZE, width)


def _wires(made: Review, width: float) -> list[Piece]:
    """How many wires came off in time, and on which trees they did not; nothing where none was due."""
    whole = made.wires_in_time + len(made.wires_late)
    if not whole:
        return []
    late = ", ".join(made.wires_late)
    told = say("late on" if late else "in time", count=made.wires_in_time, whole=whole, tags=late)
    return lines(told, SIZE, width)


def _trunks(made: Review, trees: Mapping[str, Tree], units: Units, width: float) -> list[Piece]:
    most = max((abs(c.after - c.before) for c in made.trunks), default=0.0)
    return [_trunk_row(_named(c.tag, trees), c.before, c.after, most, units, width) for c in made.trunks]


def _named_all(tags: Sequence[str], trees: Mapping[str, Tree], width: float) -> list[Piece]:
    return lines(", ".join(_named(tag, trees) for tag in tags), SIZE, width) if tags else []


def _part(name: str, title: str, pieces: Sequence[Piece], width: float) -> Chunk:
    return Chunk(name, (heading(title, width, SMALL), *pieces), whole=True)


def _named(tag: str, trees: Mapping[str, Tree]) -> str:
    tree = trees.get(tag)
    return f"{tag} {tree.name or tree.species}".strip() if tree else tag


def _by_work(missed: Sequence[tuple[str, str]]) -> dict[str, str]:
    tags: dict[str, list[str]] = {}
    for tag, work in missed:
        tags.setdefault(work, []).append(tag)
    return {work: ", ".join(found) for work, found in tags.items()}


def _vigour(made: Review, trees: Mapping[str, Tree], width: float) -> list[Piece]:
    """A column a season, a row a tree: a bar one to five steps high, and the number."""
    found = {season for scores in made.scores for season, _ in scores.by_season}
    seasons = list(range(min(found), max(found) + 1))[-SEASONS:]  # a season without scores keeps its place
    left = width - COLUMN_MM * len(seasons)
    named = [
        baseline_text(f"{season}", left + i * COLUMN_MM, line_mm(SMALL), SMALL) for i, season in enumerate(seasons)
    ]
    pieces = [Piece(line_mm(SMALL), tuple(named), keep=True)]
    for scores in made.scores:
        by_season = dict(scores.by_season)
        words, size = fitted(_named(scores.tag, trees), SIZE, left - 2.0)
        items: list[Item] = [baseline_text(words, 0.0, 5 * STEP_MM, size)]
        for index, score in enumerate(by_season.get(season, 0) for season in seasons):
            if score:
                x = left + index * COLUMN_MM
                items.append(Box(x, (5 - score) * STEP_MM, 3.0, score * STEP_MM, fill=0.35))
                items.append(baseline_text(str(score), x + 3.6, 5 * STEP_MM, SIZE, bold=True))
        pieces.append(Piece(5 * STEP_MM + 0.8, tuple(items)))
    return pieces


def _trunk_row(name: str, before: float, after: float, most: float, units: Units, width: float) -> Piece:
    """Name, both numbers, and a bar as long as the gain."""
    words, size = fitted(name, SIZE, width * 0.48)
    height = line_mm(SIZE)
    told = f"{units.length_told(before)} → {units.length_told(after)}"
    items: list[Item] = [baseline_text(words, 0.0, height, size)]
    told, size = fitted(told, SIZE, width * 0.32)
    items.append(moved(baseline_text(told, 0.0, height, size), width * 0.5, 0.0))
    if most > 0 and after > before:
        items.append(Box(width * 0.84, height * 0.3, width * 0.16 * (after - before) / most, height * 0.4, fill=0.35))
    return Piece(height, tuple(items))


@dataclass(frozen=True, slots=True)
class Dated:
    """A photo with the day it was taken and the trunk as last measured by then."""

    day: date
    photo: Photo
    trunk: str = ""


def quarter_of(day: date, *, southern: bool) -> tuple[str, int]:
    """The quarter of the year a day lies in, and the year it is named by: December counts to the winter after it."""
    index = (day.month % 12 // 3 + (2 if southern else 0)) % 4
    return QUARTERS[index], day.year + (day.month == 12)


def side_by_side(photos: Sequence[Dated], *, southern: bool) -> dict[str, list[Dated]]:
    """Photos of one quarter of the year in different years, one a year (the last), oldest first; quarters with two or more."""
    found: dict[str, dict[int, Dated]] = {}
    for photo in sorted(photos, key=lambda p: p.day):
        quarter, year = quarter_of(photo.day, southern=southern)
        found.setdefault(quarter, {})[year] = photo
    return {q: list(found[q].values()) for q in QUARTERS if len(found.get(q, ())) > 1}


def years_pages(tree: Tree, photos: Sequence[Dated], layout: Layout, *, southern: bool) -> list[Page]:
    """The same quarter of the year, one year beside the next."""
    width = layout.room[0] - 2 * layout.margin
    title = card_title(f"{tree.tag} {tree.name or tree.species}", say("years"), width)
    chunks = [Chunk("title", (title,))]
    each = (width - GAP_MM) / 2
    for quarter, row_of in side_by_side(photos, southern=southern).items():
        pairs = [row_of[i : i + 2] for i in range(0, len(row_of), 2)]
        if len(row_of) % 2:
            pairs[-1] = row_of[-2:]
        chunks.append(_part(quarter, say(f"quarter {quarter}"), [_pair(pair, each) for pair in pairs], width))
    if len(chunks) == 1:
        chunks.append(Chunk("none", tuple(lines(say("no years"), SIZE, width))))
    return card_pages(chunks, layout, f"{tree.tag} years", f"{tree.tag}  {tree.name or tree.species}")


def _pair(pair: Sequence[Dated], each: float) -> Piece:
    sizes = [p.photo.size_mm(each) for p in pair]
    tallest = max(high for _, high in sizes)
    items: list[Item] = []
    for index, (shown, (wide, high)) in enumerate(zip(pair, sizes, strict=True)):
        x = index * (each + GAP_MM)
        items.append(Picture(x, tallest - high, wide, high, shown.photo.jpeg))
        told, size = fitted(" · ".join(t for t in (day_told(shown.day), shown.trunk) if t), SIZE, each)
        items.append(moved(baseline_text(told, 0.0, line_mm(SIZE), size), x, tallest + 0.6))
    return Piece(tallest + line_mm(SIZE) + 2.0, tuple(items))


def dated_photos(tree: Tree, made: Mapping[str, Photo], units: Units) -> list[Dated]:
    """A tree's photos that are ready for paper, by their path, with the trunk as measured by then."""
    found = []
    for entry in tree.log:
        photo = made.get(entry.photo)
        if photo is not None:
            found.append(Dated(entry.date.earliest, photo, _trunk_by(tree.log, entry.date.earliest, units)))
    return found


def _trunk_by(log: Sequence[Entry], day: date, units: Units) -> str:
    measured = [
        (e.date.earliest, e.measured["trunk"]) for e in log if "trunk" in e.measured and e.date.earliest <= day
    ]
    return say("trunk then", length=units.length_told(max(measured)[1])) if measured else ""
