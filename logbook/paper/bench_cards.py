"""Cards for a day's work: wiring and repotting. Pocket pages, as many as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Tree
from ..collection.units import Units, plain
from ..horticulture.work import POT
from ..planning.lists.repotting_list import Component, Repot
from ..planning.lists.wire_list import Laid, Total
from .cards import card_pages, card_title
from .flow import Chunk, Piece, heading, lines, row
from .layouts import Layout
from .page import Page, Rule
from .typesetting import fitted
from .words import say, say_counted

SIZE, BELOW, SMALL = 9.0, 8.0, 7.5
SHARES = (0.0, 0.13, 0.45, 0.6)
HEADS = ("head tree", "head when", "head pot", "head soil")


def _tree_heading(tree: Tree, width: float, more: str = "") -> Piece:
    said = " · ".join(part for part in (f"{tree.tag}  {tree.name or tree.full_name}", more) if part)
    words, size = fitted(said, SIZE, width - 6.0, True)
    return heading(words, width, size)


def wiring_card(
    rows: Sequence[tuple[Tree, Sequence[Laid]]],
    sums: Sequence[Total],
    units: Units,
    layout: Layout,
    today: date,
    metal: str,
) -> list[Page]:
    """For each branch: wire, length to cut, turns; then what to have ready by size."""
    width = layout.room[0] - 2 * layout.margin
    chunks = [Chunk("title", (card_title(say("wiring card", metal=metal), day_told(today), width),))]
    for tree, laid in rows:
        pieces = [_tree_heading(tree, width)]
        for one in laid:
            pieces += row(_laid_cells(one, units), width)
        chunks.append(Chunk(f"tree {tree.tag}", tuple(pieces), whole=True))
    if not rows:
        chunks.append(Chunk("none", tuple(lines(say("no branch"), SIZE, width))))
    ready = [heading(say("have ready"), width, SIZE)]
    for total in sums:
        ready += row(
            (
                (0.0, total.size.name, True),
                (0.25, f"{total.metres:.1f} m", False),
                (0.5, f"{total.grams:.0f} g", False),
            ),
            width,
        )
    if sums:
        chunks.append(Chunk("totals", tuple(ready), whole=True))
    chunks.append(Chunk("note", tuple(lines(say("how to wire"), SMALL, width))))
    return card_pages(chunks, layout, "wiring card", say("wiring card", metal=metal))


def _laid_cells(one: Laid, units: Units) -> list[tuple[float, str, bool]]:
    branch, choice = one.branch, one.choice
    thick = f"{branch.id}: {units.length_told(branch.diameter or 0.0)}"
    if choice is None:
        return [(0.0, thick, True), (0.36, say("too thick"), False)]
    if one.cut_mm is None or one.turns is None:
        return [(0.0, thick, True), (0.36, choice.told(), True), (0.62, say("no length"), False)]
    cut = units.length_told(round(one.cut_mm, -1) if not units.us else one.cut_mm)
    return [(0.0, thick, True), (0.36, choice.told(), True), (0.62, say("cut", length=cut, turns=one.turns), False)]


def repotting_card(
    rows: Sequence[Repot], shop: Sequence[Component], units: Units, layout: Layout, today: date, bag_litres: float
) -> list[Page]:
    """Trees in the order of their windows, with pot, soil and a new pot's fit; then what to buy."""
    width = layout.room[0] - 2 * layout.margin
    chunks = [Chunk("title", (card_title(say("repotting card"), day_told(today), width),))]
    if rows:
        heads = tuple((share, say(name), True) for share, name in zip(SHARES, HEADS, strict=True))
        chunks.append(Chunk("head", (*row(heads, width, SMALL), Piece(0.6, (Rule(0.0, 0.3, width, 0.3, 0.3),)))))
    for due in rows:
        chunks.append(Chunk(f"tree {due.plan.tree.tag}", tuple(_repot_pieces(due, units, width)), 0.8, whole=True))
    if not rows:
        chunks.append(Chunk("none", tuple(lines(say("no repotting"), SIZE, width))))
    if shop:
        pieces = [heading(say("shopping", bag=units.litres_told(bag_litres)), width, SIZE)]
        for part in shop:
            told = (units.litres_told(part.litres), say_counted("bags", part.bags))
            pieces += row(((0.0, part.name, True), (0.45, told[0], False), (0.7, told[1], False)), width)
        chunks.append(Chunk("shopping", tuple(pieces), whole=True))
    chunks.append(Chunk("note", tuple(lines(say("how to repot"), SMALL, width))))
    return card_pages(chunks, layout, "repotting card", say("repotting card"))


def _repot_pieces(due: Repot, units: Units, width: float) -> list[Piece]:
    """A row of the table, and below it what the tree is, its sign, how hard, and a new pot's size."""
    tree, job = due.plan.tree, due.job
    assert job.opens is not None
    span = day_told(job.opens, job.opens)
    span = say("from to", first=span, last=day_told(job.closes, job.closes)) if job.closes else span
    cells = (tree.tag, span, _pot_told(due, units), _soil_told(due, units))
    pieces = row([(share, cell, not n) for n, (share, cell) in enumerate(zip(SHARES, cells, strict=True))], width)
    fit = _fit_told(due.fit, units)
    told = [
        tree.name or tree.full_name,
        "" if job.record and job.record.counts_from == POT else job.work,
        job.sign and say("when", sign=job.sign),
        job.how,
        fit and say("new pot", sides=fit),
    ]
    below = lines(" · ".join(part for part in told if part), BELOW, width, indent=width * SHARES[1])
    return [*pieces, *below, Piece(0.9, (Rule(0.0, 0.7, width, 0.7, 0.15),))]


def _pot_told(due: Repot, units: Units) -> str:
    """What the pot holds; a `?` for one that was never measured inside."""
    if due.pot is None:
        return "?"
    return units.litres_told(due.pot.litres) + ("?" if due.pot.guessed else "")


def _soil_told(due: Repot, units: Units) -> str:
    """Its soil by litres where the pot is known, else by parts; a `?` for one that no log tells."""
    if due.soil:
        told = ", ".join(f"{name} {units.litres_told(litres)}" for name, litres in due.soil.items())
    elif due.mix:
        told = ", ".join(f"{plain(parts)} {name}" for name, parts in due.mix.items())
    else:
        return "?"
    return told + (f" ({due.borrowed})" if due.borrowed else "")


def _fit_told(fit: tuple[float | None, float | None], units: Units) -> str:
    """A new pot's width and depth, as far as they are known."""
    sides = zip(("wide", "deep"), fit, strict=True)
    return " × ".join(say(name, length=units.length_told(round(mm))) for name, mm in sides if mm)
