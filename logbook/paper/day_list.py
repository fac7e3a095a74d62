"""A pocket list by bench day: what stands on the plan for each, with minutes and window, one serial for all.

Its rows are those of the walk list, under a heading a day: typed back by their tags. A tree with several works has the mark of each
behind its tag.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Settings, Tree
from ..planning.lists.care_list import Cared
from ..planning.model import Job
from ..planning.scheduler import WEEKDAYS, Schedule, Task
from ..planning.wording import Wording, wording_of
from ..storage.printed import Offered, Sheet
from ..values import dataclass
from . import rows
from .care_words import care_words
from .headings import Heading
from .layouts import Layout
from .list_pages import ListPages, ListWords
from .page import Page
from .words import say

OWN_MARK = "m1"  # of what the grower meant, and of a work without a mark


@dataclass(frozen=True, slots=True)
class DayList:
    """The list's pages, and what goes on record of them (None for a draft)."""

    pages: tuple[Page, ...]
    sheet: Sheet | None


def day_list(
    plan: Schedule,
    trees: Mapping[str, Tree],
    settings: Settings,
    layout: Layout,
    serial: str,
    today: date,
    care: Sequence[Cared] = (),
) -> DayList:
    """Draw the list, with the care of those weeks at its end. One serial runs through all its pages."""
    wording = wording_of(settings)
    days = sorted(plan.days.items())
    named = _named([task for _, tasks in days for task in tasks])
    pages = ListPages(layout, serial, _head(settings, serial, today, named))
    pages.open()
    for when, tasks in days:
        told = [_row(named[id(task)], task, trees[task.tag], wording, today) for task in tasks]
        _day(pages, _heading(when, tasks, plan.free.get(when, 0)), told)
    pages.paragraph(care_words(care, wording, len(trees)), "care")
    made = pages.done("bench days")
    if not serial or not named:
        return DayList(made, None)
    by_row = {named[id(task)]: task for _, tasks in days for task in tasks}
    tags = tuple(dict.fromkeys(task.tag for task in by_row.values()))
    sheet = Sheet(
        serial,
        today,
        layout.name,
        layout.version,
        settings.units.name,
        tags,
        {row: task.tag for row, task in by_row.items()},
        _offers(by_row),
        tuple(pages.spots),
        {tag: trees[tag].digest[:16] for tag in tags},
        by_tag=True,
    )
    return DayList(made, sheet)


def _day(pages: ListPages, heading: Heading, told: Sequence[rows.Row]) -> None:
    """A day's heading with its rows; the heading never stands alone at a page's end."""
    laid = [rows.lay(row, pages.at) for row in told]
    pages.heading(heading, laid[0].height if laid else 0.0)
    for one in laid:
        pages.row(one, Heading(say("continued", name=heading.name)))


def _named(tasks: Sequence[Task]) -> dict[int, str]:
    """The name of each task's row: its tag, with the mark of its work where the tree has several; by the task itself."""
    count = Counter(task.tag for task in tasks)
    named: dict[int, str] = {}
    taken: set[str] = set()
    for task in tasks:
        mark = task.job.record.mark if task.job and task.job.record else ""
        stem = task.tag if count[task.tag] == 1 else f"{task.tag}+{mark or OWN_MARK}"
        numbered = (f"{stem.removesuffix('1')}{n}" for n in range(2, len(tasks) + 3))
        name = stem if stem not in taken else next(one for one in numbered if one not in taken)
        taken.add(name)
        named[id(task)] = name
    return named


def _head(settings: Settings, serial: str, today: date, named: Mapping[int, str]) -> ListWords:
    shown = next(iter(named.values()), "014").replace("+", " ")
    typed = say("type a day's row", tag=shown) if serial else say("not typed")
    title = say("title of", name=say("bench days"), title=settings.title)
    return ListWords(title, say("printed", day=day_told(today)), typed, looked=False)


def _heading(when: date, tasks: Sequence[Task], free: int) -> Heading:
    minutes = sum(task.minutes for task in tasks)
    day = f"{WEEKDAYS[when.weekday()].capitalize()} {day_told(when)}"
    return Heading(day, say("minutes left", minutes=minutes, free=free))


def _row(ident: str, task: Task, tree: Tree, wording: Wording, today: date) -> rows.Row:
    """The work with its window's end; minutes and mix, then the sign to do it by."""
    job = task.job
    sign = ""
    if job is not None and not job.is_look_over:
        sign = wording.reasons(job.conditions) or (say("when", sign=job.sign) if job.sign and not job.own else "")
    told = " · ".join(part for part in (say("minutes", minutes=task.minutes), task.kin) if part)
    return rows.Row(
        ident,
        task.tag,
        tree.name or tree.full_name,
        task.what,
        say("until", day=day_told(task.last, today)),
        tuple(part for part in (told, sign) if part),
        looked=False,
        mark=ident.partition("+")[2],
    )


def _offers(by_row: Mapping[str, Task]) -> tuple[Offered, ...]:
    """The jobs of the rows as they are recorded; days by ISO 8601."""
    return tuple(_offered(row, task.tag, task.job) for row, task in by_row.items() if task.job)


def _offered(ident: str, tag: str, job: Job) -> Offered:
    opens, closes = (d.isoformat() if d else "" for d in (job.opens, job.closes))
    return Offered(ident, tag, job.work, job.branches, opens, closes, job.own)
