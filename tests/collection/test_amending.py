"""More told of an entry that stands: spliced in, taken out again byte for byte, refused where a hand was at it."""

from __future__ import annotations

from typing import Any

import pytest

from logbook.collection.amending import amended, stands, unamended
from logbook.diagnostics import ProblemsFound

HEAD = 'tag: "001"\nspecies: Acer palmatum  # mine\nlog:\n'
FOUND = "  - {date: 2026-01-10, found: {vigour: 3}}\n"
FLOW = HEAD + FOUND + "  - {date: 2026-10-14, work: repotting, from: 00142-4/A}  # of the sheet\n" + "indoors: true\n"
BLOCK = HEAD + FOUND + "  - date: 2026-10-14\n    work: repotting\n    from: 00142-4/A\n  # below\n"
IN_ROW = (
    'tag: "001"\nlog: [{date: 2026-10-14, work: repotting, from: 00142-4/A}, {date: 2026-10-15, work: feeding}]\n'
)
MORE: dict[str, Any] = {
    "where": {"date": "2026-10-14", "work": "repotting"},
    "from": ["00142-4/A"],
    "add": {"roots": "light", "mix": {"akadama": 2, "pumice": 1}, "minutes": 40},
    "stood": {},
    "lines": ["00142-4/1"],
}
NEXT: dict[str, Any] = {
    "where": MORE["where"],
    "from": ["00142-4/A", "00142-4/1"],
    "add": {"note": "a; b"},
    "stood": {},
    "lines": [],
}


@pytest.mark.parametrize("text", [FLOW, BLOCK, IN_ROW, FLOW.replace("\n", "\r\n"), "\ufeff" + BLOCK])
def test_fields_go_in_and_out_again(text: str) -> None:
    once = amended(text, "t", MORE)
    assert "roots: light" in once and "[00142-4/A, 00142-4/1]" in once and stands(once, "t", MORE)
    assert amended(once, "t", MORE) == once, "told twice, nothing changes"
    twice = amended(once, "t", NEXT)
    assert 'note: "a; b"' in twice
    assert unamended(twice, "t", NEXT) == once and unamended(once, "t", MORE) == text
    lines = [line for line in text.splitlines() if "repotting" not in line and "00142" not in line]
    assert all(line in once for line in lines), "nothing else is touched"


def test_a_line_of_no_sheet_takes_the_tick_as_its_source() -> None:
    text = HEAD + "  - {date: 2026-10-14, work: repotting, roots: hard}\n"
    tick = {**MORE, "from": [], "add": {}, "lines": ["00142-4/A"]}
    once = amended(text, "t", tick)
    assert "roots: hard, from: 00142-4/A}" in once and unamended(once, "t", tick) == text


@pytest.mark.parametrize(
    "text",
    [
        FLOW.replace("{date: 2026-10-14, ", "{ date: 2026-10-14, "),
        FLOW.replace("work: repotting", "work: 'repotting'"),
        BLOCK.replace("    from:", "    # mine\n    from:"),
        FLOW.replace("/A}", "/B}"),
        FLOW + "",
    ],
)
def test_what_a_hand_was_at_is_refused_or_right(text: str) -> None:
    if text == FLOW:
        assert stands(amended(text, "t", MORE), "t", MORE)
        return
    with pytest.raises(ProblemsFound):
        amended(text, "t", MORE)


def test_of_two_that_look_alike_none_is_guessed() -> None:
    with pytest.raises(ProblemsFound, match="edited since"):
        amended(HEAD + 2 * "  - {date: 2026-10-14, work: repotting, from: 00142-4/A}\n", "t", MORE)
