"""A small sample of the simulation in tests/bench/dates.py: the 80 % band holds as often as it says."""

from __future__ import annotations

import statistics

import pytest

from tests.bench.dates import LEADS, OWN, SPRINGS, STRANGE, World, ahead_variances, cover, cover_not_seen, table

GARDENS = 250


def covers(world: World) -> list[float]:
    ahead = ahead_variances()
    return [cover(world, springs, lead, ahead[lead], GARDENS)[0] for springs in SPRINGS for lead in LEADS]


def test_gardens_of_the_estimators_own_model() -> None:
    found = covers(OWN)
    assert 0.77 <= statistics.mean(found) <= 0.85
    # one cell's share has a standard error of 2.5 %
    assert all(0.72 <= share <= 0.90 for share in found), found


def test_gardens_of_a_model_it_does_not_know() -> None:
    found = covers(STRANGE)
    assert statistics.mean(found) >= 0.70
    assert min(found) >= 0.65, found


@pytest.mark.parametrize("springs", [0, 2])
def test_marks_not_yet_seen(springs: int) -> None:
    assert 0.72 <= cover_not_seen(OWN, springs, 800) <= 0.90


def test_more_springs_and_nearer_marks_have_narrower_bands() -> None:
    ahead = ahead_variances()
    by_springs = [cover(OWN, springs, 14, ahead[14], 40)[2] for springs in SPRINGS]
    by_lead = [cover(OWN, 2, lead, ahead[lead], 40)[2] for lead in LEADS[1:]]
    assert by_springs == sorted(by_springs, reverse=True) and by_lead == sorted(by_lead, reverse=True)


def test_the_table_has_a_line_for_each_number_of_springs() -> None:
    lines: list[str] = []
    table(OWN, 10, lines.append)
    assert len(lines) == len(SPRINGS) + 1
