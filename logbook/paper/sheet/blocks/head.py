"""The head: tag and name, species and bench; beside them how the tree stands: vigour with its month, stage, pot."""

from __future__ import annotations

from ....collection.dates import When
from ....collection.entry_text import month_told
from ....formulas.pots import holds
from ....planning.model import Plan
from ...flow import Piece, baseline_text, lines, right_text
from ...page import Item, Text, moved
from ...typesetting import line_mm, shrunk, width_mm, wrap
from ...words import say
from ..context import Given, SheetContext

LEAST_MM = 12.0
NAME_LEAST_PT = 10.0
AGAIN_PT = 12.0
GAP_MM = 3.0
MOST_TAG = 0.45  # of the width
Row = tuple[str, float, bool]


def head(sheet: SheetContext, given: Given) -> Piece:
    """Tag, names and place; nothing of them is cut. The facts stand right of them, or in a line of their own where it is lower so."""
    beside = _beside(sheet, given)
    tree = sheet.plan.tree
    rows = _rows(sheet, given, sheet.width - _tag_room(sheet) - _facts_mm(sheet, given) - GAP_MM)
    if beside is None or len(rows) > len([tree.name, tree.full_name, tree.bench]):
        under = _under(sheet, given)
        return under if beside is None or under.height < beside.height else beside
    return beside


def head_again(sheet: SheetContext) -> Piece:
    """The head of a further leaf: tag and name."""
    tree = sheet.plan.tree
    size = shrunk(tree.tag, AGAIN_PT, sheet.width * MOST_TAG, bold=True)
    height = line_mm(AGAIN_PT)
    tag = baseline_text(tree.tag, 0.0, height, size, bold=True)
    left = tag.width + GAP_MM
    rows = lines(tree.name or tree.full_name, 9.0, sheet.width, bold=True, indent=left)
    items: list[Item] = [tag]
    y = (height - line_mm(9.0)) / 2
    for row in rows:
        items += [moved(item, 0.0, y) for item in row.items]
        y += row.height
    return Piece(max(height, y) + 1.2, tuple(items))


def facts_of(plan: Plan, *, aged: bool) -> list[str]:
    """Vigour in words with its month (`?` where it is too old to count), stage, and the pot with its year and litres."""
    state = plan.state
    if state.vigour and state.vigour_on:
        told = say("vigour aged" if aged else "vigour", score=state.vigour, month=month_told(state.vigour_on))
    else:
        told = say("no vigour")
    count = [say("tray", count=plan.tree.count)] if plan.tree.count > 1 else []
    return [told, state.stage or say("no stage"), *count, _pot(plan)]


def _pot(plan: Plan) -> str:
    state = plan.state
    held = holds(state.pot) if state.pot else None
    if held is None:
        return say("repotted", year=_year(state.repotted)) if state.repotted else say("never repotted")
    if state.repotted is None:
        return say("pot of", litres=held.litres)
    name = "pot about" if held.guessed else "pot"
    return say(name, year=_year(state.repotted), litres=held.litres)


def _year(when: When) -> str:
    return str(when.latest.year) if when.earliest.year == when.latest.year else when.told()


def _facts(sheet: SheetContext) -> list[str]:
    return facts_of(sheet.plan, aged=sheet.plan.vigour_aged)


def _facts_mm(sheet: SheetContext, given: Given) -> float:
    return max(width_mm(fact, sheet.bench(given)) for fact in _facts(sheet))


def _tag_room(sheet: SheetContext) -> float:
    return _tag(sheet).width + GAP_MM


def _tag(sheet: SheetContext) -> Text:
    tag, size = sheet.plan.tree.tag, sheet.layout.size("tag")
    size = shrunk(tag, size, sheet.width * MOST_TAG, bold=True)
    return baseline_text(tag, 0.0, LEAST_MM - 1.0, size, bold=True)


def _rows(sheet: SheetContext, given: Given, room: float) -> list[Row]:
    """Name, species and bench in lines that fit this room."""
    tree, bench = sheet.plan.tree, sheet.bench(given)
    title = tree.name or tree.full_name
    largest = sheet.layout.size("name")
    least = bench if given.smaller else NAME_LEAST_PT
    size = max(min(least, largest), min(largest, shrunk(title, largest, room, bold=True)))
    rows = [(row, size, True) for row in wrap(title, size, room, True)]
    under = [tree.full_name if tree.name else "", tree.bench]
    return rows + [(row, bench, False) for text in under if text for row in wrap(text, bench, room)]


def _beside(sheet: SheetContext, given: Given) -> Piece | None:
    """Names left, facts right; None where the names would have too little room."""
    tag, wide = _tag(sheet), _facts_mm(sheet, given)
    room = sheet.width - tag.width - wide - 2 * GAP_MM
    if room < sheet.width / 4:
        return None
    items, high = _names(sheet, given, tag.width + GAP_MM, room)
    bench, y = sheet.bench(given), 0.6
    for fact in _facts(sheet):
        items.append(moved(right_text(fact, sheet.width, line_mm(bench), bench), 0.0, y))
        y += line_mm(bench)
    return Piece(max(LEAST_MM, high, y), (tag, *items))


def _under(sheet: SheetContext, given: Given) -> Piece:
    """Names over the whole width, the facts in a line below them."""
    tag = _tag(sheet)
    items, high = _names(sheet, given, tag.width + GAP_MM, sheet.width - tag.width - GAP_MM)
    y = max(LEAST_MM - 1.0, high)
    for row in lines(" · ".join(_facts(sheet)), sheet.bench(given), sheet.width):
        items += [moved(item, 0.0, y) for item in row.items]
        y += row.height
    return Piece(y, (tag, *items))


def _names(sheet: SheetContext, given: Given, left: float, room: float) -> tuple[list[Item], float]:
    items: list[Item] = []
    y = 0.0
    for text, size, bold in _rows(sheet, given, room):
        height = line_mm(size)
        items.append(moved(baseline_text(text, left, height, size, bold=bold), 0.0, y))
        y += height
    return items, y
