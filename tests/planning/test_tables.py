"""Every window and every refusal, work by work and group by group. Common practice, no source.

The table below is the growers' rule of thumb for each work, written out a second time, so that a slip in the data is
seen; each is checked as days at two northern sites and a southern one.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.dates import on_day, read_when
from logbook.collection.model import Entry, Found, Intention, Tree
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import POT, Offer, Row, Unless, Within, Work
from logbook.planning.planner import plan_tree
from logbook.planning.windows import NoSpan, Span, window_span
from logbook.season.mark import Absent

from ..conftest import garden_at, site_year
from .test_world import SITES

KNOWLEDGE = shipped_knowledge()

TABLE = """
repotting | maple, elm, beech and oak, flowering deciduous, fruit bearing deciduous, deciduous conifers | swell-21 / swell-3 / open
repotting | new-wood flowering | swell-14 / swell / open
repotting | pines, yew, podocarp | swell-14 / swell+7 / swell+28
repotting | scale juniper | swell-14 / swell+14 / swell+28
repotting | needle juniper | swell-14 / swell+14 / open
repotting | spruce | swell-14 / swell+7 / open
repotting | cypress | swell-14 / swell / swell+21
repotting | azaleas | swell-14 / swell / swell+14
repotting | evergreen broadleaf | swell-7 / swell+7 / swell+28
candle breaking | two-flush pine | swell+21 / open-14 / open
candle shortening | single-flush pine | swell+21 / open-7 / open+7
cutting hardened shoots back | single-flush pine | hardened / hardened+14 / hardened+35
cutting hardened shoots back | several-flush pine | open+14 / open+28 / growth end-90
cutting hardened shoots back | spruce | hardened / hardened+21 / growth end-45
needle thinning | two-flush pine | growth end / growth end+30 / next swell-45
shoot selection | pines, spruce | growth end / growth end+30 / next swell-45
shoot selection | deciduous | leaf fall / leaf fall+30 / next swell-21
shoot selection | azaleas | flower over / flower over+7 / flower over+28
cleaning sprays | cypress, scale juniper | growth end / growth end+21 / growth end+45
wiring | evergreen conifers | growth end-14 / growth end+30 / next swell-14
wiring | deciduous | leaf fall / next swell-45 / next swell-7
structural pruning | maple | leaf fall / leaf fall+20 / leaf fall+45
structural pruning | fruit bearing deciduous | next swell-45 / next swell-28 / next swell-14
structural pruning | new-wood flowering | next swell-28 / next swell-10 / next swell
structural pruning | early azalea | flower over / flower over+7 / flower over+28
structural pruning | satsuki azalea | flower over / flower over+7 / flower over+21
structural pruning | evergreen broadleaf | swell-21 / swell / open
structural pruning | elm, beech and oak, deciduous conifers | leaf fall+14 / next swell-45 / next swell-14
structural pruning | evergreen conifers | growth end-14 / growth end+28 / next swell-28
summer pruning | fruit bearing deciduous | hardened+14 / hardened+28 / midsummer+28
summer pruning | maple, elm, beech and oak, flowering deciduous, deciduous conifers | hardened+14 / midsummer+14 / growth end-45
spent flowers off | new-wood flowering | flower+21 / flower+28 / growth end-30
spent flowers off | azaleas | flower over / flower over+7 / flower over+28
flower and fruit thinning | azaleas | flower+7 / flower+14 / flower over+21
flower and fruit thinning | fruit bearing deciduous | flower over+14 / flower over+28 / midsummer+14
fruit off | fruit bearing deciduous | leaf fall+30 / leaf fall+45 / next swell-28
pinching | needle juniper | swell+45 / swell+60 / growth end-45
pinching | maple, beech and oak | open-3 / open+3 / open+10
shoot pinching | spruce | open / open+7 / open+18
shoot trimming | scale juniper, cypress | swell+45 / midsummer / growth end-45
shoot trimming | needle juniper | open / midsummer / growth end-45
shoot trimming | late deciduous conifer | open+30 / open+45 / growth end-60
shoot trimming | new-wood flowering | open+21 / open+28 / open+42
shoot trimming | evergreen broadleaf | hardened / hardened+14 / growth end-60
shoot trimming | maple, elm, beech and oak, deciduous conifer, mediterranean evergreen, yew, podocarp | hardened / hardened+14 / growth end-45
partial defoliation | maple, elm, beech and oak | hardened / hardened+14 / midsummer+21
sacrifice branch off | evergreen conifers | growth end-14 / growth end+28 / next swell-28
sacrifice branch off | maple | leaf fall / leaf fall+20 / leaf fall+45
sacrifice branch off | elm, beech and oak, flowering deciduous, fruit bearing deciduous, new-wood flowering, deciduous conifers | leaf fall / leaf fall+30 / next swell-28
air layering | deciduous, needle juniper, azaleas, evergreen broadleaf, mediterranean evergreen | hardened-14 / hardened / midsummer
air layering | scale juniper, cypress | swell+42 / swell+56 / midsummer
ground root pruning | conifers, deciduous, azaleas, evergreen broadleaf | swell-21 / swell-7 / swell+14
autumn leaf removal | deciduous broadleaf | leaf fall / leaf fall+10 / leaf fall+30
winter wash | deciduous | leaf fall+21 / next swell-60 / next swell-30
seedling cutting | conifers, deciduous | open+14 / open+17 / open+21
lifting | conifers, deciduous, azaleas | swell-14 / swell / swell+14
trunk chop | maple | hardened / hardened+10 / midsummer+14
trunk chop | elm, beech and oak, flowering deciduous, fruit bearing deciduous, new-wood flowering, deciduous conifers, azaleas | swell-14 / swell / swell+14
surface-root work | conifers, deciduous, azaleas | swell-14 / swell / swell+14
measuring | all | growth end / growth end+20 / growth end+45
"""
CASES = [
    (work, group, window)
    for line in TABLE.strip().splitlines()
    for work, sets, window in [[cell.strip() for cell in line.split("|")]]
    for name in sets.split(",")
    for group in sorted(KNOWLEDGE.sets[name.strip()])
]


def days_of(words: str, site: object, group: str, season: int) -> date | None:
    """A moment of the table as a day, worked out here and not by the engine."""
    sign = "+" if "+" in words else "-" if "-" in words.replace("two-flush", "") else ""
    mark, _, days = words.partition(sign) if sign else (words, "", "0")
    after = mark.strip().startswith("next ")
    found = site.marks.mark(group, mark.strip().removeprefix("next "), season + after)  # type: ignore[attr-defined]
    if isinstance(found, Absent):
        return None
    day: date = found.day + timedelta(days=int(days or 0) * (-1 if sign == "-" else 1))
    return day


@pytest.mark.parametrize("name", ["continental, 50 N", "inland, 48 N", "maritime, 41 S"])
def test_windows(name: str) -> None:
    normals, latitude = SITES[name]
    site = site_year(normals, latitude)
    assert len(CASES) > 250
    for work, group, window in CASES:
        row = KNOWLEDGE.works[work].row(group)
        assert row is not None and row.window is not None, (work, group)
        opens, best, closes = (days_of(words, site, group, 2027) for words in window.split(" / "))
        found = window_span(site, group, row.window, 2027)
        if opens is None or best is None or closes is None or opens > closes:
            assert isinstance(found, NoSpan), (work, group)
            continue
        assert isinstance(found, Span), (work, group)
        assert (found.opens, found.best, found.closes) == (opens, min(max(best, opens), closes), closes), (
            work,
            group,
        )


GARDEN = garden_at()
# every group, and for each row that is only for some of its species the first of them
KINDS = [(group, "") for group in KNOWLEDGE.groups] + [(s.group, s.name) for s in KNOWLEDGE.register.all]
ROWS = {work.name: [KNOWLEDGE.row_for(work, *kind) for kind in KINDS] for work in KNOWLEDGE.works.values()}
REFUSALS = [
    (work, group, name, row, unless)
    for work in KNOWLEDGE.works.values()
    for at, (group, name) in enumerate(KINDS)
    if (row := ROWS[work.name][at]) is not None and row.window is not None
    if not name or (row.is_for_some and row not in ROWS[work.name][:at])
    for unless in row.unless
]


def ready(row: Row, work: Work, opens: date) -> list[Entry]:
    """A log that lets the work be offered: strong, in the right stage, not due for a pot unless that is the work, and meant."""
    stage = row.stages[0] if row.stages else "refinement"
    long_ago = on_day(opens - timedelta(days=2600))
    log = [
        Entry(
            date=long_ago,
            found=Found(
                stage=stage, vigour=5, repotted=read_when(str(opens.year - (8 if work.counts_from == POT else 2)))
            ),
        )
    ]
    return [*log, Entry(date=on_day(opens - timedelta(days=500)), intend=Intention("as meant", work=work.name))]


def offence(unless: Unless, opens: date) -> Entry:
    day = on_day(opens - timedelta(days=3))
    if unless.resting:
        return Entry(date=day, vigour=1)
    done = KNOWLEDGE.acting(unless.done)[0].name
    if unless.within is Within.LAST_SEASON:
        return Entry(date=on_day(opens - timedelta(days=330)), work=done)
    return Entry(date=day, work=done, force=unless.force)


@pytest.mark.parametrize(
    ("work", "group", "name", "row", "unless"),
    REFUSALS,
    ids=[f"{w.name}-{n or g}-{u.done or 'resting'}" for w, g, n, _, u in REFUSALS],
)
def test_refusals(work: Work, group: str, name: str, row: Row, unless: Unless) -> None:
    assert row.window is not None
    span = window_span(GARDEN.site, group, row.window, 2027)
    if isinstance(span, NoSpan) or row.offered is Offer.SACRIFICE:
        return
    log = ready(row, work, span.opens)
    free = plan_tree(Tree("1", tuple(log), group=group, species=name), GARDEN, span.opens)
    assert work.name in {j.work for j in free.jobs}, "it is offered where nothing speaks against it"
    log = [*log, offence(unless, span.opens)]
    bound = plan_tree(Tree("1", tuple(log), group=group, species=name), GARDEN, span.opens)
    here = [j for j in bound.jobs if j.work == work.name and j.opens and j.opens <= span.closes]
    assert not here or (here[0].own and not here[0].sign), (work.name, here)
    if unless.done not in work.acts:
        assert work.name in {r.work for r in bound.refusals}, "and the refusal is told"


@pytest.mark.parametrize("least", [3, 4, 5])
def test_strength_is_wanted(least: int) -> None:
    for work in KNOWLEDGE.works.values():
        for group in KNOWLEDGE.groups:
            row = work.row(group)
            if row is None or row.vigour != least or row.window is None or row.offered is Offer.SACRIFICE:
                continue
            span = window_span(GARDEN.site, group, row.window, 2027)
            if isinstance(span, NoSpan):
                continue
            log = ready(row, work, span.opens)
            weak = Entry(date=on_day(span.opens - timedelta(days=30)), vigour=max(3, least - 1) if least > 3 else 2)
            made = plan_tree(Tree("1", (*log, weak), group=group), GARDEN, span.opens)
            assert not [
                j for j in made.jobs if j.work == work.name and j.sign and j.opens and j.opens <= span.closes
            ], (work.name, group)
