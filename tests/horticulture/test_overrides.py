"""The grower's own numbers: they change what they name, say so, and leave the rest alone."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from logbook.collection.model import NOWHERE, Settings, WorkOverride
from logbook.horticulture.loader import shipped_knowledge

from ..conftest import Answer

OWN = """
groups: {maple: {swell: 260, root_limit: -2}}
works:
  repotting: {groups: [maple], every: 5, window: swell - 10 / swell / open}
  moss care: {groups: all, window: open / open + 10 / midsummer, sign: moss thick, typed: [moss done]}
"""


def jobs(bench: Callable[..., Answer], folder: Path, tag: str) -> dict[str, dict[str, object]]:
    trees = json.loads(bench("due", "--today", "2026-11-25", "--json", "--tag", tag, folder=folder).out)["trees"]
    return {j["work"]: j for j in trees[0]["jobs"]}


def test_own_numbers(demo: Path, bench: Callable[..., Answer]) -> None:
    maple, fig = jobs(bench, demo, "002"), jobs(bench, demo, "011")
    path = demo / "collection.yaml"
    path.write_text(path.read_text("utf-8") + OWN, encoding="utf-8")
    assert bench("check", folder=demo).code == 0
    after = jobs(bench, demo, "002")
    assert maple["repotting"]["opens"].startswith("2027") and after["repotting"]["opens"].startswith("2028")  # type: ignore[attr-defined]
    assert any("your own numbers" in r["text"] for r in after["repotting"]["reasons"])  # type: ignore[attr-defined, index]
    mine = {k: v for k, v in jobs(bench, demo, "011").items() if k != "moss care"}
    assert mine == fig, "other groups keep their dates"
    assert "moss care" in after
    notes = demo.parent / "n.txt"
    notes.write_text("tree 002\n20 nov moss done\n", encoding="utf-8")
    assert "moss care" in bench("reconcile", notes, "--yes", "--today", "2026-11-25", folder=demo).out
    assert bench("check", folder=demo).code == 0


def test_a_further_group_takes_the_numbers_but_no_condition_of_another() -> None:
    """Common practice asks a species' leave for full defoliation; a grower who adds a group to it takes that upon themselves."""
    own = WorkOverride(
        groups=(("evergreen broadleaf", NOWHERE),), window=("hardened / hardened + 7 / midsummer", NOWHERE)
    )
    knowledge, problems = shipped_knowledge().own(Settings("Test", works={"full defoliation": own}))
    assert not problems
    row = knowledge.works["full defoliation"].row("evergreen broadleaf")
    assert row is not None and row.overridden and row.vigour == 5 and row.also is None
    assert knowledge.works["full defoliation"].row("maple") is None


def test_own_groups_may_be_called_by_a_name_of_before() -> None:
    own = WorkOverride(groups=(("azalea", NOWHERE),), every=4)
    knowledge, problems = shipped_knowledge().own(Settings("Test", works={"repotting": own}))
    assert not problems
    for group in ("early azalea", "satsuki azalea"):
        row = knowledge.works["repotting"].row(group)
        assert row is not None and row.every["grown"] == 4 and row.also is not None
