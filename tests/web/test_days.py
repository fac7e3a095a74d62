"""Pages on every day of the year: a span may begin before the drawn year, end behind it, or both."""

from __future__ import annotations

import re
import string
from datetime import date, timedelta

import pytest
from jinja2 import Environment, nodes

from logbook.collection.dates import read_when
from logbook.collection.model import Branch, Found, Tree
from logbook.collection.model import Entry as LogEntry
from logbook.paper import words as paper_catalogue
from logbook.planning.planner import plan_tree
from logbook.web import render
from logbook.web import words as catalogue
from logbook.web.facts import Garden, tree_facts
from logbook.web.index import tree_due
from logbook.web.public import public_plan

from ..conftest import INLAND, garden_at, mirrored
from ..paper.gardens import stress
from ..paper.test_front import METRIC, demo_garden, settings_of


@pytest.mark.parametrize("southern", [False, True], ids=["north", "south"])
@pytest.mark.parametrize("own", [False, True], ids=["anybody", "keeper"])
def test_a_page_of_every_fortnight(own: bool, southern: bool) -> None:
    garden, trees = demo_garden()
    if southern:
        garden = garden_at(mirrored(INLAND), -47.9)
    seen = set()
    for number, tree in enumerate([*trees, *stress()[::6]]):
        for step in range(number % 2, 26, 2):
            today = date(2026, 11, 25) + timedelta(days=14 * step + number % 14)
            plan = plan_tree(tree, garden, today)
            made = Garden(settings_of(garden, METRIC), garden.knowledge, own, {})
            facts = tree_facts(plan if own else public_plan(plan), made)
            page = render.tree_page(facts, "index.html", today)
            seen |= {words for words in ("until <time", "– <time", " and on<", "all of this year") if words in page}
            assert not re.search(
                r"[{}]\w+[{}]|\bNone\b", re.sub(r"<(style|script)>.*?</\1>", "", page, flags=re.DOTALL)
            )
    assert {"until <time", "– <time", " and on<"} <= seen, seen


def test_a_line_in_a_template_is_given_all_its_values() -> None:
    """What a line's words ask for stands beside it wherever it is said: a day on which it was never said would find it out too late."""
    lines = {"say": catalogue.WORDS, "paper": paper_catalogue.WORDS}
    said = 0
    for path in sorted(render.FOLDER.glob("*.html")):
        for call in Environment().parse(path.read_text("utf-8")).find_all(nodes.Call):
            if not (isinstance(call.node, nodes.Name) and call.node.name in lines):
                continue
            given = {pair.key for pair in call.kwargs}
            first = call.args[0]
            for one in (first, *first.find_all(nodes.Const)):
                if isinstance(one, nodes.Const) and one.value in lines[call.node.name]:
                    wanted = {
                        name for _, name, _, _ in string.Formatter().parse(lines[call.node.name][one.value]) if name
                    }
                    assert wanted <= given, (path.name, one.value, wanted - given)
                    said += 1
    assert said > 40


def test_an_index_says_that_overdue_wire_comes_off_and_not_the_branch() -> None:
    """A sacrifice branch that is wired has two works that take something of it."""
    log = (
        LogEntry(date=read_when("2024-04-10"), found=Found(stage="trunk growing", vigour=5)),
        LogEntry(date=read_when("2025-04-10"), work="wiring", branches=("S1",), wire=(2.0,)),
    )
    branch = Branch("S1", role="sacrifice")
    tree = Tree("1", log, path="trees/1.yaml", species="Acer palmatum", branches=(branch,))
    plan = plan_tree(tree, garden_at(), date(2026, 11, 25))
    rows = tree_due(plan, logged=True).rows
    assert any(row.what.startswith("wire off S1") for row in rows), rows
