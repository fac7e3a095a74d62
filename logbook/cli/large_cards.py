"""Cards on whole pages: the wall chart, the roll, and the years ahead."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import timedelta

from ..collection.dates import day_told
from ..collection.load import bench_order
from ..collection.model import Tree
from ..diagnostics import Problem
from ..paper.layouts import Layout
from ..paper.page import Page
from ..planning.ahead import ahead, garden_years
from ..planning.scheduler import usual_minutes
from ..storage.printed import Sheet
from .common import Opened, watched

SHELTER_WEEKS = 8
AHEAD_YEARS = 5
PICTURE_MM = 60.0


def in_walking_order(trees: Sequence[Tree]) -> list[Tree]:
    """Trees by bench, those without a place last."""
    return sorted(trees, key=lambda tree: (not tree.bench, bench_order(tree.bench)))


def wall(opened: Opened, trees: Sequence[Tree], layout: Layout, by: str) -> list[Page]:
    """The wall chart of these trees."""
    from ..paper.wall import Wall, by_bench, wall_pages
    from ..planning.fixed_year import fixed_year
    from ..planning.lists.wall_rows import frost_in, gathered, group_marks, wall_rows

    garden, year = opened.garden, fixed_year(opened.today)
    rows = wall_rows(watched(in_walking_order(trees), "working out dates"), garden, opened.today)
    placed = (
        [(garden.group_of(row.trees[0]), row) for row in gathered(rows, garden)] if by == "group" else by_bench(rows)
    )
    groups = [group for group in opened.knowledge.groups if group in {garden.group_of(tree) for tree in trees}]
    chart = Wall(
        opened.collection.settings.title,
        opened.today,
        year,
        placed,
        frost_in(garden, year),
        group_marks(garden, groups, year),
        [tree.tag for tree in opened.collection.living],
    )
    return wall_pages(chart, layout, opened.wording)


def the_roll(
    opened: Opened, trees: Sequence[Tree], layout: Layout, serial: str, *, worth: bool, heirs: bool
) -> tuple[list[Page], Sheet | None, list[Problem]]:
    """The roll's pages, for heirs with what must not wait before them; what goes on record, and what is wrong with photographs."""
    from ..paper.cards import card_pages
    from ..paper.photos import latest_photo
    from ..paper.roll import Entry, Legacy, roll, start_here

    entries, problems = [], []
    for plan in opened.plans(in_walking_order(trees)):
        photo, faults = latest_photo(opened.collection, plan.tree, PICTURE_MM)
        problems += faults
        entries.append(Entry(plan, photo, opened.knowledge.is_poisonous(plan.tree.species)))
    settings = opened.collection.settings
    made = roll(entries, settings, layout, serial, worth=worth)
    first: list[Page] = []
    if heirs:
        legacy = Legacy(
            settings.title,
            opened.today,
            water_rule(opened, trees),
            shelter_words(opened, entries_of=[entry.plan.tree for entry in entries]),
            f"One text file a tree in the folder '{opened.folder.resolve().name}': trees/<number>.yaml; any editor reads them.",
        )
        first = card_pages(
            start_here(legacy, entries, layout, opened.wording), layout, "start here", f"Start here, {settings.title}"
        )
    return [*first, *made.pages], made.sheet, list(problems)


def water_rule(opened: Opened, trees: Sequence[Tree]) -> str:
    """How often to look in this month, by the thirstiest tree."""
    from ..formulas.water import every_told
    from ..planning.lists.watering import thirst_between

    last = opened.today + timedelta(days=30)
    days = [
        thirst_between(plan.state, opened.garden.around(plan.tree, opened.today).site, opened.today, last).days
        for plan in opened.plans(list(trees))
    ]
    look = f" The thirstiest want a look {every_told(min(days))}." if days else ""
    return f"Look at every pot each day. Water when the top of the soil is dry, until it runs out below; not before.{look}"


def shelter_words(opened: Opened, entries_of: Sequence[Tree]) -> list[str]:
    """Which trees come under cover, by when and before which night."""
    from ..paper.care_words import care_rows
    from ..planning.lists.care_list import care_until

    plans = opened.plans(list(entries_of))
    until = opened.today + timedelta(weeks=SHELTER_WEEKS)
    care = [one for one in care_until(plans, until) if any(job.night is not None for job in one.jobs)]
    return care_rows(care, opened.wording, len(plans))


def years_ahead(opened: Opened, trees: Sequence[Tree], layout: Layout) -> list[Page]:
    """The plan run forward, tree by tree, and how much of it there is in each year."""
    from ..paper.cards import card_pages, card_title
    from ..paper.flow import Chunk, heading, lines, row

    width = layout.room[0] - 2 * layout.margin
    usual = usual_minutes(opened.garden.trees)
    made = [
        ahead(tree, opened.garden, opened.today, AHEAD_YEARS, usual)
        for tree in watched(in_walking_order(trees), "running years ahead")
    ]
    title = card_title("Years ahead", day_told(opened.today), width)
    chunks = [Chunk("title", (title,))]
    first = opened.site.calendar.season_of(opened.today)
    head = [(0.0, "season", True), (0.2, "to repot", True), (0.42, "soil", True), (0.74, "work", True)]
    table = [*row(head, width)]
    for year in garden_years(made, opened.garden, first, AHEAD_YEARS):
        soil = opened.units.litres_told(year.litres) + (f" + {year.unmeasured} pots" if year.unmeasured else "")
        table += row(
            [
                (0.0, str(year.season), True),
                (0.2, str(year.potted), False),
                (0.42, soil, False),
                (0.74, f"{year.hours:.0f} h", False),
            ],
            width,
        )
    chunks.append(Chunk("garden", tuple(table)))
    for outlook in made:
        tree = outlook.tree
        pieces = [heading(f"{tree.tag}  {tree.name or tree.full_name}", width, 9.0)]
        for hold in outlook.holds:
            pieces += lines(opened.wording.held(hold), 9.0, width, bold=True)
        for season in dict.fromkeys(step.season for step in outlook.steps):
            told = "; ".join(
                f"{step.what} {day_told(step.day, step.day)} ± {step.band} d"
                for step in outlook.steps
                if step.season == season
            )
            pieces += row([(0.0, str(season), True), (0.12, told, False)], width)
        if outlook.trunk:
            pieces += lines(f"trunk there {opened.wording.reach(outlook.trunk)}", 9.0, width)
        chunks.append(Chunk(f"tree {tree.tag}", tuple(pieces), whole=True))
    chunks.append(Chunk("note", tuple(lines("A forecast, not a promise: each year's tree decides.", 9.0, width))))
    return card_pages(chunks, layout, "years ahead", "Years ahead")
