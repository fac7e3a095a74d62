"""Every work for every group at twelve sites over the world: opens ≤ best ≤ closes, or a stated refusal.

The sites are plausible round figures for a climate of each kind (from memory, no source), not any station's record.
"""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from logbook.collection.model import Normals
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.work import Row, Work
from logbook.planning.grounds import ByMark
from logbook.planning.rules.registry import RuleContext, answer_of_rule, job_rule_of
from logbook.planning.tree_state import State
from logbook.planning.windows import NoSpan, Span, window_span
from logbook.season.site_year import SiteYear

from ..conftest import mirrored, say, site_year

KNOWLEDGE = shipped_knowledge()


def wave(coldest: float, warmest: float, swing: float, peak: int = 7) -> Normals:
    """Monthly means as a cosine between the coldest and the warmest month."""
    import math

    means = [
        (warmest + coldest) / 2 + (warmest - coldest) / 2 * math.cos(2 * math.pi * (m - peak) / 12)
        for m in range(1, 13)
    ]
    return Normals(tuple(t - swing / 2 for t in means), tuple(t + swing / 2 for t in means))


SITES: dict[str, tuple[Normals, float]] = {
    "continental, 50 N": (wave(-8, 20, 10), 50.0),
    "subarctic, 62 N": (wave(-14, 15, 9), 62.0),
    "maritime, 52 N": (wave(4, 17, 7), 52.0),
    "inland, 48 N": (wave(0, 19, 10), 48.0),
    "mediterranean, 41 N": (wave(9, 25, 9), 41.0),
    "humid subtropical, 35 N": (wave(4, 27, 9), 35.0),
    "monsoon, 22 N": (wave(16, 29, 7), 22.0),
    "equatorial, 1 N": (wave(26.5, 27.5, 8), 1.0),
    "equatorial, 1 S": (wave(26.5, 27.5, 8, 1), -1.0),
    "subtropical, 27 S": (wave(15, 25, 10, 1), -27.0),
    "maritime, 41 S": (wave(6, 17, 8, 1), -41.0),
    "mediterranean, 33 S": (wave(12, 23, 10, 1), -33.0),
}
ROWS = [
    (work, group, row)
    for work in KNOWLEDGE.works.values()
    for group in KNOWLEDGE.groups
    if (row := work.row(group)) is not None
]


def answer(site: SiteYear, group: str, row: Row, season: int) -> Span | NoSpan:
    if row.rule:
        return answer_of_rule(row.rule, RuleContext(site, KNOWLEDGE.groups[group], season, State(())))
    assert row.window is not None
    return window_span(site, group, row.window, season)


@pytest.mark.parametrize("name", SITES)
def test_windows_are_in_order_or_refused(name: str) -> None:
    normals, latitude = SITES[name]
    site = site_year(normals, latitude)
    spans = 0
    for work, group, row in ROWS:
        if job_rule_of(row.rule):
            continue
        for season in (2026, 2027, 2028):
            found = answer(site, group, row, season)
            if isinstance(found, NoSpan):
                assert found.why, (work.name, group)
                continue
            spans += 1
            assert found.opens <= found.best <= found.closes, (work.name, group, found)
            always = any(reason.code is ByMark.WARM_ALL_YEAR for reason in found.how)
            assert (found.closes - found.opens).days <= (364 if always else 330), (work.name, group, found)
            assert found.how
    assert spans > 100 or "equatorial" in name or "monsoon" in name


@pytest.mark.parametrize("name", ["continental, 50 N", "inland, 48 N", "maritime, 52 N"])
def test_half_a_year_and_a_hemisphere_away(name: str) -> None:
    """The same climate in the other half of the world: every window half a year later, within three days."""
    normals, latitude = SITES[name]
    north, south = site_year(normals, latitude), site_year(mirrored(normals), -latitude)
    for work, group, row in ROWS:
        if job_rule_of(row.rule):
            continue
        one, other = answer(north, group, row, 2026), answer(south, group, row, 2026)
        if type(one) is not type(other):  # a window of a few days may vanish where two marks meet
            span = one if isinstance(one, Span) else other
            assert isinstance(span, Span) and (span.closes - span.opens).days <= 3, (work.name, group)
            continue
        if isinstance(one, Span) and isinstance(other, Span):
            for ours, theirs in ((one.opens, other.opens), (one.best, other.best), (one.closes, other.closes)):
                assert abs((theirs - ours).days - 182.6) <= 3.5, (work.name, group, ours, theirs)


def test_every_group_is_repotted_looked_over_and_wired() -> None:
    for group in KNOWLEDGE.groups:
        for name in ("repotting", "wiring", "wire check", "look-over", "root look", "emergency repotting", "feeding"):
            assert KNOWLEDGE.works[name].row(group) is not None, (group, name)


def test_no_group_stands_in_two_rows_of_a_work() -> None:
    """A row says all there is to say of a group but for some of its genera or species; a second one would never be met."""
    for work in KNOWLEDGE.works.values():
        for group in KNOWLEDGE.groups:
            here = [row for row in work.rows if group in row.groups]
            assert sum(not row.is_for_some for row in here) <= 1, (work.name, group)
            assert all(row.is_for_some for row in here[:-1]), (work.name, group, "those for some stand first")


def test_no_row_is_hidden_by_another() -> None:
    """Every row is some species' row, or that of a tree of which only the group is known."""
    met = {id(row) for s in KNOWLEDGE.register.all for _, row in KNOWLEDGE.rows_for(s.group, s.name)}
    met |= {id(row) for group in KNOWLEDGE.groups for _, row in KNOWLEDGE.rows_for(group, "")}
    assert not [
        (w.name, sorted(row.groups), row.sign)
        for w in KNOWLEDGE.works.values()
        for row in w.rows
        if id(row) not in met
    ]


def test_conifers_and_beech_are_never_defoliated() -> None:
    """Common practice, no source."""
    conifers = KNOWLEDGE.sets["conifers"] | KNOWLEDGE.sets["deciduous conifers"] | {"beech and oak"}
    work = KNOWLEDGE.works["full defoliation"]
    for species in KNOWLEDGE.register.all:
        if species.group in conifers:
            assert KNOWLEDGE.row_for(work, species.group, species.name) is None
    for group in KNOWLEDGE.groups:
        assert work.row(group) is None, "by name of the species only, never by group"


@pytest.mark.parametrize(
    ("work", "group", "opens", "best", "closes"),
    [
        ("repotting", "maple", ("swell", -21), ("swell", -3), ("open", 0)),
        ("repotting", "two-flush pine", ("swell", -14), ("swell", 7), ("swell", 28)),
        ("repotting", "satsuki azalea", ("swell", -14), ("swell", 0), ("swell", 14)),
        ("candle shortening", "single-flush pine", ("swell", 21), ("open", -7), ("open", 7)),
        ("pinching", "maple", ("open", -3), ("open", 3), ("open", 10)),
        ("shoot pinching", "spruce", ("open", 0), ("open", 7), ("open", 18)),
        ("partial defoliation", "elm", ("hardened", 0), ("hardened", 14), ("midsummer", 21)),
        ("cutting hardened shoots back", "single-flush pine", ("hardened", 0), ("hardened", 14), ("hardened", 35)),
        ("spent flowers off", "early azalea", ("flower over", 0), ("flower over", 7), ("flower over", 28)),
        ("air layering", "maple", ("hardened", -14), ("hardened", 0), ("midsummer", 0)),
        ("trunk chop", "elm", ("swell", -14), ("swell", 0), ("swell", 14)),
    ],
)
@pytest.mark.parametrize("name", ["continental, 50 N", "inland, 48 N", "maritime, 41 S"])
def test_rules_as_a_table(
    name: str, work: str, group: str, opens: tuple[str, int], best: tuple[str, int], closes: tuple[str, int]
) -> None:
    """Common practice, no source: the windows growers speak of, as offsets from the season's marks."""
    normals, latitude = SITES[name]
    site = site_year(normals, latitude)

    def day(moment: tuple[str, int]) -> date:
        mark = site.marks.mark(group, moment[0], 2027)
        return mark.day + timedelta(days=moment[1])  # type: ignore[union-attr]

    row = KNOWLEDGE.works[work].row(group)
    assert row is not None
    found = answer(site, group, row, 2027)
    if isinstance(found, NoSpan):
        assert day(opens) > day(closes), say(found.why)
        return
    assert (found.opens, found.closes) == (day(opens), day(closes))
    assert found.best == min(max(day(best), day(opens)), day(closes))


def test_words_of_works_never_collide() -> None:
    said: dict[str, Work] = {}
    for work in KNOWLEDGE.works.values():
        for phrase in (*work.typed, work.name):
            assert said.setdefault(phrase, work) is work, phrase


def test_at_least_a_hundred_and_twenty_species() -> None:
    names = [s.name for s in KNOWLEDGE.register.all]
    assert len(names) >= 120
    assert all(KNOWLEDGE.group_of(name) in KNOWLEDGE.groups for name in names)
    assert KNOWLEDGE.group_of("Larix leptolepis") == KNOWLEDGE.group_of("Larix kaempferi") == "deciduous conifer"
    assert KNOWLEDGE.is_poisonous("Taxus baccata") and not KNOWLEDGE.is_poisonous("Acer palmatum")
