"""Cards for a day's work or an absence: wiring, repotting, and the minder's card. Pocket pages, as many as it takes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Tree
from ..collection.units import Units, plain
from ..formulas.water import every_told
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import POT
from ..planning.lists.repotting_list import Component, Repot
from ..planning.lists.watering import Thirst
from ..planning.lists.wire_list import Laid, Total
from .cards import card_pages, card_title
from .flow import Chunk, Piece, baseline_text, heading, line, lines, row
from .layouts import Layout
from .page import Page, Rule
from .typesetting import fitted

SIZE = 9.0
SMALL = 7.5
MINDER_RULES = (
    "Look in the morning; in heat or wind again in the evening. Push a finger in, or lift the pot: water when the top is dry, "
    "until it runs out below. A dry pot is light.",
    "Water the soil, not the flowers. Rain on thick foliage does not reach the pot.",
    "Do not feed, cut, wire, turn or repot. Move a tree only where its name says so, and shade one that wilts and water it at once.",
    "Wilted and the soil is wet? Do not water. Shade it, and call.",
)


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
    chunks = [Chunk("title", (card_title(f"Wiring: {metal}", day_told(today), width),))]
    for tree, laid in rows:
        pieces = [_tree_heading(tree, width)]
        for one in laid:
            pieces += row(_laid_cells(one, units), width)
        chunks.append(Chunk(f"tree {tree.tag}", tuple(pieces)))
    if not rows:
        chunks.append(
            Chunk(
                "none",
                tuple(
                    lines(
                        "No branch to wire has a diameter on record. Add diameter: (and length:) to the branch tables.",
                        SIZE,
                        width,
                    )
                ),
            )
        )
    ready = [heading("Have ready", width, SIZE)]
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
        chunks.append(Chunk("totals", tuple(ready)))
    note = (
        "Wire a third of the branch (copper thinner for the same hold), laid near 45°, two turns to anchor: common practice. "
        "The tip is taken as half the base. Wire ends and cutters spring back - guard your eyes."
    )
    chunks.append(Chunk("note", tuple(lines(note, SMALL, width))))
    return card_pages(chunks, layout, "wiring card")


def _laid_cells(one: Laid, units: Units) -> list[tuple[float, str, bool]]:
    branch, choice = one.branch, one.choice
    thick = f"{branch.id}: {units.length_told(branch.diameter or 0.0)}"
    if choice is None:
        return [(0.0, thick, True), (0.36, "too thick for wire: guy it", False)]
    if one.cut_mm is None or one.turns is None:
        return [(0.0, thick, True), (0.36, choice.told(), True), (0.62, "length not on record", False)]
    cut = units.length_told(round(one.cut_mm, -1) if not units.us else one.cut_mm)
    return [(0.0, thick, True), (0.36, choice.told(), True), (0.62, f"cut {cut}, {one.turns:.0f} turns", False)]


def repotting_card(
    rows: Sequence[Repot], shop: Sequence[Component], units: Units, layout: Layout, today: date, bag_litres: float
) -> list[Page]:
    """Trees in the order of their windows, with pot, soil and a new pot's fit; then what to buy."""
    width = layout.room[0] - 2 * layout.margin
    chunks = [Chunk("title", (card_title("Repotting", day_told(today), width),))]
    for due in rows:
        chunks.append(Chunk(f"tree {due.plan.tree.tag}", tuple(_repot_pieces(due, units, width))))
    if not rows:
        chunks.append(Chunk("none", tuple(lines("No repotting is due this season.", SIZE, width))))
    if shop:
        pieces = [heading(f"Have ready, 15 % more included; bags of {units.litres_told(bag_litres)}", width, SIZE)]
        for part in shop:
            told = f"{part.bags} bag" + ("s" if part.bags != 1 else "")
            pieces += row(
                ((0.0, part.name, True), (0.45, units.litres_told(part.litres), False), (0.7, told, False)), width
            )
        chunks.append(Chunk("shopping", tuple(pieces)))
    note = (
        "A new pot: about as deep as the trunk is thick, about two thirds of the height or the crown wide (common practice). "
        "Heavy pots want two people or a trolley."
    )
    chunks.append(Chunk("note", tuple(lines(note, SMALL, width))))
    return card_pages(chunks, layout, "repotting card")


def _repot_pieces(due: Repot, units: Units, width: float) -> list[Piece]:
    tree, job = due.plan.tree, due.job
    assert job.opens is not None
    span = day_told(job.opens) + (f" to {day_told(job.closes)}" if job.closes else "")
    pieces = [
        _tree_heading(tree, width, "" if job.record and job.record.counts_from == POT else job.work),
        *row(((0.0, span, True),), width),
    ]
    pieces += lines(f"do it when: {job.sign}", SIZE, width) if job.sign else []
    pieces += lines(f"how: {job.how}", SIZE, width) if job.how else []
    for words in (_pot_told(due, units), _soil_told(due, units)):
        pieces += lines(words, SIZE, width)
    fit = _fit_told(due.fit, units)
    return pieces + (lines(f"a new pot: about {fit}", SMALL, width) if fit else [])


def _pot_told(due: Repot, units: Units) -> str:
    pot = due.pot
    if pot is None:
        return "pot not measured: inside length, width, depth?"
    litres = units.litres_told(pot.litres)
    return f"pot about {litres}, from outer dimensions: measure inside" if pot.guessed else f"pot {litres}"


def _soil_told(due: Repot, units: Units) -> str:
    """Its soil by litres where the pot is known, else by parts."""
    if due.soil:
        told = ", ".join(f"{name} {units.litres_told(litres)}" for name, litres in due.soil.items())
        return f"soil: {told}" + (f" ({due.borrowed})" if due.borrowed else "")
    if due.mix:
        return f"mix by parts: {', '.join(f'{plain(parts)} {name}' for name, parts in due.mix.items())}"
    return "mix not on record: what went in last time?"


def _fit_told(fit: tuple[float | None, float | None], units: Units) -> str:
    """A new pot's width and depth, as far as they are known."""
    sides = zip(fit, ("wide", "deep"), strict=True)
    return " × ".join(f"{units.length_told(round(mm))} {name}" for mm, name in sides if mm)


@dataclass(frozen=True, slots=True)
class Minded:
    """A tree in somebody else's care; `care` is what it wants besides water in those days."""

    tree: Tree
    thirst: Thirst
    indoors: bool = False
    care: tuple[str, ...] = ()


def minder_card(
    trees: Sequence[Minded], span: tuple[date, date], knowledge: Knowledge, layout: Layout, title: str
) -> list[Page]:
    """Trees by bench, the thirstiest first; how to look, what to leave alone, whom to call."""
    width = layout.room[0] - 2 * layout.margin
    chunks = [
        Chunk(
            "title", (card_title("Looking after the trees", f"{day_told(span[0])} to {day_told(span[1])}", width),)
        ),
        Chunk("whom", (line(title, SIZE, bold=True), *_blank_lines(("call", "or", "water tap"), width))),
        Chunk(
            "rules",
            (heading("How to look", width, SIZE), *[p for rule in MINDER_RULES for p in lines(rule, SIZE, width)]),
        ),
    ]
    benches: dict[str, list[Minded]] = {}
    for one in trees:
        benches.setdefault(one.tree.bench or "place not on record", []).append(one)
    for bench in sorted(benches, key=str.casefold):
        pieces = [heading(bench, width, SIZE)]
        for one in sorted(benches[bench], key=lambda m: (m.thirst.days, m.tree.tag)):
            pieces += _minded(one, knowledge, width)
        chunks.append(Chunk(f"bench {bench}", tuple(pieces)))
    warnings = []
    if any(knowledge.is_poisonous(m.tree.species) for m in trees):
        warnings.append("Trees marked 'poisonous' harm people and animals if eaten: wash your hands.")
    if any(m.thirst.heavy for m in trees):
        warnings.append("Pots marked 'heavy' want two people or a trolley: leave them where they are.")
    chunks.append(Chunk("care", tuple(p for w in warnings for p in lines(w, SIZE, width, bold=True))))
    return card_pages([c for c in chunks if c.pieces], layout, "minder's card")


def _minded(one: Minded, knowledge: Knowledge, width: float) -> list[Piece]:
    marks = [
        "indoors" if one.indoors else "",
        "poisonous" if knowledge.is_poisonous(one.tree.species) else "",
        "heavy" if one.thirst.heavy else "",
    ]
    name = " · ".join([one.tree.name or one.tree.full_name, *(m for m in marks if m)])
    looks = f"look {every_told(one.thirst.days)}"
    pieces = row(((0.0, one.tree.tag, True), (0.18, name, False), (0.72, looks, True)), width)
    for words in one.care:
        pieces += lines(words, SMALL, width, indent=width * 0.18)
    return pieces


def _blank_lines(names: Sequence[str], width: float) -> list[Piece]:
    pieces = []
    for name in names:
        words = baseline_text(name, 0.0, 8.0, SIZE)
        pieces.append(Piece(8.0, (words, Rule(words.width + 2.0, 7.0, width, 7.0, 0.2, 0.35))))
    return pieces
