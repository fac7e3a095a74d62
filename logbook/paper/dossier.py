"""One tree's dossier: its newest photograph, who it is, earlier ones, measures, charts, the whole log, its code, and lines to sign on.

The public one leaves out where the tree stands, what it is worth, where it came from and whom it was had from or went to, and
the grower's own words (aim, remarks), which may say any of that; photos carry no metadata in either.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from datetime import date

from ..collection.dates import When, day_told
from ..collection.entry_text import dated, wire_told
from ..collection.model import Entry, Settings, Tree
from ..collection.units import Units
from ..horticulture.knowledge import Knowledge
from ..planning.planner import Plan
from ..planning.tree_state import effective
from ..planning.wires import WireOn
from ..planning.wording import wording_of
from ..values import dataclass
from . import codes
from .cards import card_pages
from .charts import branch_chart, growth_charts
from .flow import Chunk, Piece, baseline_text, heading, line, lines, row
from .layouts import Layout
from .page import Code, Item, Page, Picture, Rule, moved
from .photos import Photo
from .sheet.sheets import tree_link
from .typesetting import line_mm
from .words import say

GAP_MM = 6.0
IDENTIFIED_MM, STRIP, STRIP_FROM_MM, CODE_MM = 84.0, 4, 150.0, 26.0
WHOLE = ("aim", "measured", "branches", "hands")
MEASURES = ("trunk", "height", "crown", "tips", "leaf")
HAD_FROM = ("nursery", "bought", "gift")  # origins whose day tells no age
SIGN_MM = 11.0


@dataclass(frozen=True, slots=True)
class Dossier:
    """What a dossier is made from; photos stand in time order."""

    plan: Plan
    settings: Settings
    knowledge: Knowledge
    photos: Sequence[Photo] = ()
    public: bool = False


def dossier_pages(dossier: Dossier, layout: Layout) -> list[Page]:
    """The dossier's pages, as many as it takes; nothing is cut."""
    width = layout.room[0] - 2 * layout.margin
    tree, state, units = dossier.plan.tree, dossier.plan.state, dossier.settings.units
    bench, small = layout.size("bench"), layout.size("small")
    branches = any(b.id not in state.removed for b in tree.branches)
    parts = [
        ("aim", say("dossier aim"), _aim(dossier, width, bench)),
        ("photos", say("dossier photos"), _photo_rows(dossier.photos[:-1], width, small)),
        ("measured", say("dossier measured"), _measured(dossier, width, bench)),
        ("branches", say("dossier branches"), branch_chart(tree, state, width, units) if branches else []),
        ("log", say("dossier log"), _log(dossier, width, small)),
        (
            "hands",
            say("dossier hands"),
            [] if dossier.public else [*_code(dossier, width, bench), *_signatures(width, bench)],
        ),
    ]
    chunks = [
        Chunk("title", tuple(_title(tree, layout, width))),
        Chunk("photo", tuple(piece for photo in dossier.photos[-1:] for piece in _identified(photo, width, small))),
        Chunk("facts", tuple(_facts(dossier, width, bench))),
        *(Chunk(n, (heading(title, width, small), *rows), 3.0, whole=n in WHOLE) for n, title, rows in parts if rows),
        Chunk("note", tuple(lines(_closing(dossier), small, width)), 3.0),
    ]
    return card_pages([c for c in chunks if c.pieces], layout, f"{tree.tag} dossier", _named(tree))


def _named(tree: Tree) -> str:
    """What every page of a tree's papers begins with."""
    return f"{tree.tag}  {tree.name or tree.full_name}"


def _aim(dossier: Dossier, width: float, size: float) -> list[Piece]:
    """The grower's aim and which side is the front: their own words, so in no public dossier."""
    tree = dossier.plan.tree
    said = " ".join(p for p in (tree.aim, say("dossier front", front=tree.front) if tree.front else "") if p)
    return lines(said, size, width) if said and not dossier.public else []


def _log(dossier: Dossier, width: float, size: float) -> list[Piece]:
    units = dossier.settings.units
    rows = [row for entry in _entries(dossier) for row in lines(dated(entry, units), size, width)]
    return rows or lines(say("nothing yet"), size, width)


def _measured(dossier: Dossier, width: float, size: float) -> list[Piece]:
    """How it grows in words, and the charts; nothing where too little was measured."""
    plan = dossier.plan
    charts = growth_charts(plan.state.readings, plan.tree.targets, dossier.settings.units, width)
    told = lines(wording_of(dossier.settings).growth(plan.growth), size, width) if plan.growth else []
    return [*_measures(dossier, width, size), *told, *([Piece(2.0)] if charts else []), *charts]


def _measures(dossier: Dossier, width: float, size: float) -> list[Piece]:
    """A table of what was measured: a row a year, its last measure of each kind, the latest year first."""
    readings, units = dossier.plan.state.readings, dossier.settings.units
    names = [name for name in MEASURES if readings.get(name)]
    if not names:
        return []
    last = {
        (reading.day.year, name): _measure(name, reading.value, units) for name in names for reading in readings[name]
    }
    years, heads = sorted({year for year, _ in last}, reverse=True), [say(f"measure {name}") for name in names]
    shares = [0.0, *(0.16 + 0.84 * n / len(names) for n in range(len(names)))]
    pieces = row([(share, name, True) for share, name in zip(shares, ("", *heads), strict=True)], width, size)
    for year in years:
        cells = [str(year), *(last.get((year, name), "-") for name in names)]
        pieces += row([(share, cell, not share) for share, cell in zip(shares, cells, strict=True)], width, size)
    return pieces


def _measure(name: str, value: float, units: Units) -> str:
    return f"{value:.0f}" if name == "tips" else units.length_told(value)


def _title(tree: Tree, layout: Layout, width: float) -> list[Piece]:
    rows = lines(tree.name or tree.full_name, layout.size("tag"), width, bold=True)
    return [*rows, *lines(say("tag is", name=tree.full_name, tag=tree.tag), layout.size("work"), width)]


def _facts(dossier: Dossier, width: float, size: float) -> list[Piece]:
    """Identity in two columns' worth of plain rows; what is private is left out of a public dossier."""
    facts = [
        *_known_to_all(dossier),
        *([] if dossier.public else _known_to_keeper(dossier.plan.tree)),
        ("care", dossier.knowledge.poison_words(dossier.plan.tree.species)),
    ]
    rows: list[Piece] = [Piece(2.0)]
    for name, value in facts:
        rows += _fact(say(f"fact {name}"), value, width, size) if value.strip() else []
    return rows


def _known_to_all(dossier: Dossier) -> list[tuple[str, str]]:
    """What any dossier may say, by name; empty where it is not on record."""
    tree, state = dossier.plan.tree, dossier.plan.state
    return [
        ("style", tree.style),
        ("since", _told(tree.started)),
        ("began", _began(tree)),
        ("stage", state.stage),
        ("vigour", say("score of", score=state.vigour) if state.vigour else ""),
        ("repotted", _told(state.repotted)),
        ("pot", _pot(dossier)),
        *(("wire", _wire_on(wire)) for wire in state.wires),
    ]


def _known_to_keeper(tree: Tree) -> list[tuple[str, str]]:
    """What only the keeper's own dossier says."""
    return [
        ("parent", tree.origin.parent if tree.origin else ""),
        ("from", tree.origin.place if tree.origin else ""),
        ("stands", tree.bench),
        ("provenance", tree.provenance),
        ("value", tree.value),
        ("left", f"{tree.ended.how} {tree.ended.date.told()}" if tree.ended else ""),
        ("also", ", ".join(tree.also)),
    ]


def _told(day: When | None) -> str:
    return day.told() if day else ""


def _began(tree: Tree) -> str:
    origin = tree.origin
    return " ".join(p for p in (origin.kind, _told(origin.date)) if p) if origin else ""


def _fact(name: str, value: str, width: float, size: float) -> list[Piece]:
    left = 38.0
    first, *rest = lines(value, size, width - left)
    label = baseline_text(name, 0.0, line_mm(size), size)
    head = Piece(first.height, (label, *(moved(item, left, 0.0) for item in first.items)), first.keep)
    return [head, *(Piece(p.height, tuple(moved(i, left, 0.0) for i in p.items), p.keep) for p in rest)]


def _wire_on(wire: WireOn) -> str:
    where = say("on branches", branches=", ".join(wire.branches)) if wire.branches else ""
    return ", ".join(p for p in (where, wire_told(wire.metal, wire.sizes), say("since day", day=wire.on.told())) if p)


def _pot(dossier: Dossier) -> str:
    pot = dossier.plan.state.pot
    if pot is None:
        return ""
    sides = pot.inner or pot.outer
    told = " × ".join(dossier.settings.units.length_told(s) for s in sides)
    return " ".join(p for p in (pot.material, pot.shape, told, "" if pot.inner or not sides else say("outside")) if p)


def _identified(photo: Photo, width: float, size: float) -> list[Piece]:
    """The newest photograph, by which the tree is known again, with its day."""
    wide, high = photo.size_mm(min(IDENTIFIED_MM, width))
    day = moved(baseline_text(say("as it was", day=photo.taken), 0.0, line_mm(size), size), 0.0, high + 0.6)
    return [Piece(high + 0.6 + line_mm(size), (Picture(0.0, 0.0, wide, high, photo.jpeg), day))]


def _photo_rows(photos: Sequence[Photo], width: float, size: float) -> list[Piece]:
    """A strip of earlier ones, the oldest first, so that one year stands beside another, each with its day below."""
    many = STRIP if width > STRIP_FROM_MM else 2
    each = (width - GAP_MM * (many - 1)) / many
    rows = []
    for start in range(0, len(photos), many):
        items: list[Item] = []
        height = 0.0
        for index, photo in enumerate(photos[start : start + many]):
            wide, high = photo.size_mm(each)
            x = index * (each + GAP_MM)
            items.append(Picture(x, 0.0, wide, high, photo.jpeg))
            items.append(moved(baseline_text(photo.taken, 0.0, line_mm(size), size), x, high + 0.6))
            height = max(height, high + 0.6 + line_mm(size))
        rows.append(Piece(height + 2.0, tuple(items)))
    return rows


def _entries(dossier: Dossier) -> list[Entry]:
    ordered = effective(dossier.plan.tree.log, date.max, dossier.knowledge)
    return [_public(e) for e in ordered if not _is_private(e)] if dossier.public else list(ordered)


def _is_private(entry: Entry) -> bool:
    """An entry that says nothing but what is the keeper's own."""
    return not (
        entry.work
        or entry.measured
        or entry.vigour
        or entry.saw
        or entry.stage
        or entry.rest
        or entry.photo
        or entry.found
    )


def _public(entry: Entry) -> Entry:
    """An entry without remarks and intentions."""
    return replace(entry, note="", intend=None, did="", trouble="")


def _code(dossier: Dossier, width: float, size: float) -> list[Piece]:
    """The code that leads to the tree's file, as on its tag."""
    text = tree_link(dossier.settings, dossier.plan.tree)
    symbol = codes.fit(text, CODE_MM, "Q")
    if symbol is None:
        return []
    quiet = codes.QUIET_MODULES * symbol.module
    link = dossier.settings.link and text
    code = Code(0.0, quiet, symbol.module, symbol.rows, text, link)
    beside = lines(text, size, width - symbol.room - 2.0)
    words = [moved(i, symbol.room + 2.0, quiet + n * line_mm(size)) for n, p in enumerate(beside) for i in p.items]
    return [Piece(max(symbol.room, quiet + len(beside) * line_mm(size)), (code, *words))]


def _signatures(width: float, size: float) -> list[Piece]:
    """Lines for the hands it passes through."""
    pieces = []
    columns = ((0.0, say("hand from")), (0.36, say("hand to")), (0.72, say("hand day")))
    for _ in range(3):
        items: list[Item] = []
        for share, name in columns:
            words = baseline_text(name, share * width, SIGN_MM, size)
            end = next((s for s, _ in columns if s > share), 1.0) * width - 4.0
            items += [words, Rule(words.x + words.width + 2.0, SIGN_MM - 1.6, end, SIGN_MM - 1.6, 0.2, 0.35)]
        pieces.append(Piece(SIGN_MM, tuple(items)))
    return pieces


def _closing(dossier: Dossier) -> str:
    day = day_told(dossier.plan.today)
    if dossier.public:
        return say("drawn up", day=day)
    return say("border", day=day, caution=dossier.knowledge.cautions["collected"])


def display_card(tree: Tree, layout: Layout, today_year: int) -> list[Page]:
    """A card to set beside a tree at a show: species, name, age, style, in training since."""
    width = layout.room[0] - 2 * layout.margin
    since = tree.started.told() if tree.started else ""
    began = tree.origin.date if tree.origin and tree.origin.kind not in HAD_FROM else None
    age = say("about years", years=today_year - began.latest.year) if began and today_year > began.latest.year else ""
    pieces: list[Piece] = [Piece(layout.room[1] * 0.16)]
    if tree.name:
        pieces += lines(tree.name, 22.0, width, bold=True)
        pieces.append(Piece(2.0))
    pieces += lines(tree.full_name, 14.0, width, bold=not tree.name)
    pieces.append(Piece(5.0))
    for told in (age, tree.style, say("training", day=since) if since else ""):
        pieces += [line(told, 12.0)] if told else []
    return card_pages([Chunk("card", tuple(pieces))], layout, f"{tree.tag} display card", _named(tree))
