"""Layouts: what can't fit is refused with the numbers and the place; what a grower copies and changes is obeyed."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

import jsonschema
import pytest
import yaml

from logbook.diagnostics import ProblemsFound
from logbook.paper.layouts import layout
from logbook.shipped import shipped

from ..conftest import Answer

ALL = sorted(p.stem for p in shipped("layouts").glob("*.yaml"))
REFUSED = [
    ("kind: sheet\npaper: a5\npage: [210, 297]", 4, "a page of 210 × 297 mm does not fit on paper of 148 × 210 mm"),
    ("kind: sheet\npaper: a4\npage: [60, 80]", 4, "the text area would be 48 × 68 mm; a sheet needs 60 × 80 mm"),
    ("kind: sheet\npaper: a4\npage: [105, 148]\nmargin: 2", 5, "a margin of 2 mm is under the 3 mm"),
    ("kind: sheet\npaper: a4\npage: [105, 148]\nback: [jobs]", 5, "a back without lines has no place to write"),
    (
        "kind: sheet\npaper: a4\npage: [105, 148]\nbinder: {edge: left, room: 10, punch: [200]}",
        5,
        "a punch mark lies beyond the edge, which is 148 mm long",
    ),
    ("kind: sheet\npaper: a4\nsizes: {bench: 8}", 4, "bench type of 8 pt is under 9 pt"),
    ("kind: sheet\npaper: a4\nsizes: {small: 6}", 4, "6 is out of range for a type size"),
    ("kind: sheet\npaper: a4\nline: 6", 4, "6 is out of range for a line height"),
    ("kind: sheet\npaper: a4\nbox: 3", 4, "3 is out of range for a box size"),
    ("kind: sheet\npaper: [5, 9000]", 3, "5 is out of range for a side"),
    ("kind: sheet\npaper: a9", 3, "expected a paper, found 'a9'"),
    ("kind: walk\npaper: a4\npage: [100, 200]", 4, "a walk list needs pages of 120 mm or wider; these are 100 mm"),
    (
        "kind: tag\npaper: a4\npage: [70, 37]\nlabels: {columns: 3, rows: 9, pitch: [70, 37], corner: [0, 0]}",
        5,
        "9 rows reach to 333.0 mm; the paper has 297 mm",
    ),
    (
        "kind: tag\npaper: a4\npage: [70, 37]\nlabels: {columns: 4, rows: 2, pitch: [70, 37], corner: [0, 0]}",
        5,
        "4 columns reach to 280.0 mm; the paper has 210 mm",
    ),
    (
        "kind: tag\npaper: a4\npage: [70, 37]\nlabels: {columns: 2, rows: 2, pitch: [60, 37], corner: [0, 0]}",
        5,
        "labels of 70 mm overlap at a pitch of 60 mm",
    ),
    ("kind: tag\npaper: a4\npage: [90, 20]\nstock: stake\npoint: 70", 6, "the point leaves 20 mm of the stake"),
]


@pytest.mark.parametrize(("text", "line", "said"), REFUSED)
def test_what_can_not_fit_is_refused_with_the_numbers(tmp_path: Path, text: str, line: int, said: str) -> None:
    own = tmp_path / "own.yaml"
    own.write_text(f"version: 1\n{text}\n", encoding="utf-8")
    with pytest.raises(ProblemsFound) as found:
        layout(str(own))
    problem = found.value.problems[0]
    assert said in problem.message and problem.place is not None
    assert (problem.place.path, problem.place.line) == ("own.yaml", line)


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ("page: [60, 16]", "needs 13.9 mm; this tag has 4.0 mm"),
        ("page: [80, 26]\nbends: 10", "needs 10.9 mm; bent round 10 mm only 7.0 mm can be read"),
    ],
)
def test_a_code_under_the_smallest_module_is_refused(
    demo: Path, tmp_path: Path, bench: Callable[..., Answer], changed: str, said: str
) -> None:
    own = tmp_path / "tiny.yaml"
    own.write_text(f"version: 1\nkind: tag\npaper: a4\n{changed}\n", encoding="utf-8")
    answer = bench("tags", "--layout", own, "-o", tmp_path / "t.pdf", folder=demo)
    assert answer.code == 1 and said in answer.err and not (tmp_path / "t.pdf").exists()


def test_slips_in_a_layout_have_their_places(demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    own = tmp_path / "odd.yaml"
    own.write_text("version: 1\nkind: sheet\npaper: a4\nline: 4\nfrnt: []\n", encoding="utf-8")
    err = bench("sheets", "--layout", own, folder=demo).err
    assert "odd.yaml:4:7: error: 4 is out of range for a line height" in err and "did you mean 'front'?" in err
    assert "did you mean 'pocket-a6'?" in bench("sheets", "--layout", "poket-a6", folder=demo).err
    assert "lays out a tag, not a sheet" in bench("sheets", "--layout", "tag-stake", folder=demo).err


@pytest.mark.parametrize("name", ALL)
def test_the_schema_takes_every_shipped_layout(name: str, bench: Callable[..., Answer], tmp_path: Path) -> None:
    """JSON Schema draft 2020-12, judged by the jsonschema package."""
    schema = json.loads(bench("schema", "layout", folder=tmp_path).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(yaml.safe_load((shipped("layouts") / f"{name}.yaml").read_text("utf-8")), schema)


def test_a_binder_edge_is_kept_free_on_both_sides() -> None:
    from logbook.paper.page import Page, Text
    from logbook.paper.sheet.sheets import bound

    plan = layout("binder-a5")
    assert plan.binder is not None
    inner = Page(*plan.room, (Text(0.0, 5.0, "x", 9.0),))
    front, back = bound(inner, plan), bound(inner, plan, back=True)
    assert (front.width, front.height) == plan.page == (back.width, back.height)
    assert front.items[0].x == plan.binder.room and back.items[0].x == 0.0  # type: ignore[union-attr]
    holes = [sorted({round(i.y1, 1) for i in side.items[1:] if i.y1 == i.y2}) for side in (front, back)]  # type: ignore[union-attr]
    assert holes[0] == holes[1] == list(plan.binder.punch), "holes lie behind holes"
    middles = [{round((i.x1 + i.x2) / 2, 1) for i in side.items[1:]} for side in (front, back)]  # type: ignore[union-attr]
    assert middles == [{6.0}, {round(plan.page[0] - 6.0, 1)}]
