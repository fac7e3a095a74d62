"""Whole collections of other habits: two in inches with the month first, one south of the equator. Invented scenarios."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest

from ..conftest import Answer

Bench = Callable[..., Answer]
US = """format: 1
title: {title}
units: us
site:
  latitude: {latitude}
  normals:
    tmin: [24, 26, 33, 42, 52, 61, 66, 65, 57, 45, 36, 28]
    tmax: [42, 46, 55, 66, 75, 83, 87, 86, 79, 68, 57, 46]
    coldest_night: 8
"""
SOUTH = """format: 1
title: South slope
units: metric
site:
  latitude: -37.8
  normals:
    tmin: [14, 14, 13, 10, 8, 6, 6, 6, 7, 9, 11, 12]
    tmax: [26, 26, 24, 20, 17, 14, 13, 15, 17, 20, 22, 24]
    coldest_night: -1
"""
TREE = 'tag: "{0}"\nspecies: {1}\nbranches: [{{id: 1}}, {{id: 2}}, {{id: 3}}]\nlog:\n  - {{date: 2024-01-10, found: {{vigour: 3}}}}\n  - {{date: 2026-10-20, measured: {{{2}}}}}\n'
IN_INCHES = "trunk: 1.6, height: 12"


def begun(folder: Path, settings: str, measures: str) -> Path:
    (folder / "trees").mkdir(parents=True)
    (folder / "collection.yaml").write_text(settings, encoding="utf-8")
    for tag, species in (("7", "Acer palmatum"), ("12", "Juniperus chinensis")):
        (folder / "trees" / f"{tag}.yaml").write_text(TREE.format(tag, species, measures), encoding="utf-8")
    return folder


def told(folder: Path, bench: Bench, text: str, today: str) -> list[tuple[str, str]]:
    (folder.parent / "n.txt").write_text(text, encoding="utf-8")
    answer = bench("reconcile", folder.parent / "n.txt", "--yes", "--json", "--today", today, folder=folder)
    items: list[dict[str, Any]] = json.loads(answer.out)["items"]
    return [(i["fate"], " ".join([str(i["entry"].get("date", "")), i["told"]]).strip()) for i in items]


@pytest.mark.parametrize(("title", "latitude"), [("Piedmont bench", 35.8), ("North porch", 44.9)])
def test_a_grower_in_inches(title: str, latitude: float, tmp_path: Path, bench: Bench) -> None:
    folder = begun(tmp_path / "c", US.format(title=title, latitude=latitude), IN_INCHES)
    text = (
        'tree 7\n3/4 repotted, roots light\n3/5 trunk 1 5/8"\nMar 6 wired 1, 2 w/ 10ga copper\nmarch 7th fertilized 10-10-10\n'
        "3/8/27 height 12.5in\n3-9 sprayed neem oil\n10/20 leaf drop\n13/3 fed\n"
        "tree 12\n03/10 wire took off 3\n3/11 turned a quarter\n3/12 color is great\n"
    )
    assert told(folder, bench, text, "2027-04-12") == [
        ("write", "2027-03-04 repotting, roots light"),
        ("write", "2027-03-05 trunk 1.62 in"),
        ("write", "2027-03-06 wiring, branches 1, 2, copper 2.588 mm"),
        ("write", "2027-03-07 feeding, 10-10-10"),
        ("write", "2027-03-08 height 12.50 in"),
        ("question", "2027-03-08 3-9 sprayed neem oil"),
        ("write", "2026-10-20 saw leaf fall"),
        ("question", ""),
        ("question", "2027-03-10 wire off, branches 3"),
        ("write", "2027-03-11 turning and weeding; a quarter"),
        ("write", "2027-03-12 color is great"),
    ]


def test_a_grower_south_of_the_equator(tmp_path: Path, bench: Bench) -> None:
    """Spring is September there, and leaves fall in May."""
    folder = begun(tmp_path / "c", SOUTH + "date_order: day-month\n", "trunk: 40, height: 300")
    text = (
        "tree 7\n20 may 2026 leaves all down\n2/9 buds swelling\n10/9 repotted; roots light\nspring 2024 wired 1\n"
        "4 jan pinched the tips\n10 apr buds swelling\ntree 12\n14 jun 2026 winter wash\n1/12 jinned 2\n"
    )
    fates = told(folder, bench, text, "2027-04-12")
    assert fates == [
        ("write", "2026-05-20 saw leaf fall"),
        ("write", "2026-09-02 saw swell"),
        ("write", "2026-09-10 repotting, roots light"),
        ("write", "2024-21 wiring, branches 1"),
        ("write", "2027-01-04 pinching"),
        ("question", "2027-04-10 saw swell"),
        ("write", "2026-06-14 winter wash"),
        ("write", "2026-12-01 deadwood made, branches 2"),
    ]
