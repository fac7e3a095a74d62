"""What stands below the jobs: what to leave alone, how the tree stands, its aim, log and charts."""

from __future__ import annotations

from ....collection.entry_text import month_told, render_entry, render_intention
from ....collection.model import Entry
from ....planning.wording import ask_words
from ....season.reasons import Reason
from ...charts import branch_chart, empty_chart, growth_charts
from ...flow import Chunk, Piece, heading, lines
from ..context import ASKS, TO_DRAW, SheetContext


def leave_alone(sheet: SheetContext) -> Chunk:
    """Works to leave alone, those with one reason on one line."""
    by_reason: dict[Reason, list[str]] = {}
    for refusal in sheet.plan.expected_refusals:
        by_reason.setdefault(refusal.why, []).append(refusal.work)
    pieces: list[Piece] = []
    for why, works in by_reason.items():
        pieces += lines(f"no {', '.join(works)}: {sheet.wording.reason(why)}", sheet.bench, sheet.width, bold=True)
    rest = sheet.plan.state.resting
    if rest and pieces:
        lead = "rest ends" if rest.not_before else "to end the rest:"
        pieces += lines(f"{lead} {sheet.wording.rest_ends(rest)}", sheet.bench, sheet.width)
    return Chunk("leave", (heading("Leave alone", sheet.width, sheet.small), *pieces) if pieces else ())


def meant(sheet: SheetContext) -> Chunk:
    """The last intention that is not a dated job of its own."""
    thoughts = [e for e in sheet.plan.state.entries if e.intend and not e.intend.by and not e.intend.work]
    if not thoughts:
        return Chunk("meant", ())
    last = thoughts[-1]
    text = f"Meant {month_told(last.date)}: {render_intention(last)}"
    return Chunk("meant", tuple(lines(text, sheet.bench, sheet.width)))


def standing(sheet: SheetContext) -> Chunk:
    """Stage, vigour, when it was repotted, and the warning where the species is poisonous."""
    plan, state = sheet.plan, sheet.plan.state
    facts = [
        state.stage or "stage not on record",
        f"vigour {state.vigour} ({month_told(state.vigour_on)})"
        if state.vigour and state.vigour_on
        else "vigour not on record",
        f"repotted {month_told(state.repotted)}" if state.repotted else "repotting not on record",
    ]
    rows = lines(" · ".join(facts), sheet.bench, sheet.width)
    caution = sheet.knowledge.poison_words(plan.tree.species)
    rows += lines(caution, sheet.small, sheet.width) if caution else []
    return Chunk("state", tuple(rows))


def asks(sheet: SheetContext) -> Chunk:
    """The one thing the record most lacks. A block of its own: an open question alone makes no sheet a new one."""
    asked = [ask_words(ask, sheet.knowledge.stages) for ask in sheet.plan.asks]
    rows = [row for ask in asked for row in lines(f"Please note: {ask}", sheet.bench, sheet.width, bold=True)]
    return Chunk(ASKS, tuple(rows), 0.6)


def aim(sheet: SheetContext) -> Chunk:
    """What the tree is to become, and which side is its front."""
    tree = sheet.plan.tree
    text = " ".join(part for part in (tree.aim, f"Front: {tree.front}." if tree.front else "") if part)
    return Chunk(
        "aim", (heading("Aim", sheet.width, sheet.small), *lines(text, sheet.bench, sheet.width)) if text else ()
    )


def days_told(sheet: SheetContext) -> list[str]:
    """The log day by day, latest first, works before measures before remarks."""
    days: dict[str, list[Entry]] = {}
    for entry in sheet.plan.state.entries:
        days.setdefault(entry.date.told(), []).append(entry)
    told = []
    for day, entries in reversed(days.items()):
        ordered = sorted(entries, key=lambda e: 0 if e.work else 2 if e.note else 1)
        told.append(f"{day}: {'; '.join(render_entry(entry, sheet.settings.units) for entry in ordered)}")
    return told


def last_days(sheet: SheetContext) -> Chunk:
    """The log's last days, latest first, each with all that stands on it, and how many there are."""
    days = days_told(sheet)
    if not days or not sheet.last_lines:
        return Chunk("last", ())  # where there are some, the foot says so
    rows: list[Piece] = []
    for told in days_told(sheet)[: sheet.last_lines]:
        rows += lines(told, sheet.small, sheet.width)
    count, shown = len(days), sheet.last_lines
    title = "Last lines" if count <= shown else f"Last {shown} of {count} days; all in {sheet.plan.tree.path}"
    return Chunk("last", (heading(title, sheet.width, sheet.small), *rows))


def branches(sheet: SheetContext) -> Chunk:
    """The branch chart, where branches are recorded."""
    if not any(b.id not in sheet.plan.state.removed for b in sheet.plan.tree.branches):
        return Chunk("branches", ())
    chart = branch_chart(sheet.plan.tree, sheet.plan.state, sheet.width, sheet.settings.units)
    return Chunk("branches", (heading("Branches", sheet.width, sheet.small), *chart))


def measured(sheet: SheetContext) -> Chunk:
    """How it grows in words, and the charts of its measurements."""
    charts = growth_charts(sheet.plan.state.readings, sheet.plan.tree.targets, sheet.settings.units, sheet.width)
    said = lines(sheet.wording.growth(sheet.plan.growth), sheet.bench, sheet.width) if sheet.plan.growth else []
    if not charts and not said:
        return Chunk("charts", ())
    return Chunk("charts", (heading("Measured", sheet.width, sheet.small), *said, *charts))


def chart_to_draw(sheet: SheetContext) -> Chunk | None:
    """An empty branch chart to draw on, for a tree without recorded branches; printed where there is room left."""
    if "branches" not in sheet.layout.front or sheet.plan.tree.branches:
        return None
    title = heading("Branches: draw them", sheet.width, sheet.small)
    return Chunk(TO_DRAW, (title, *empty_chart(sheet.width)))
