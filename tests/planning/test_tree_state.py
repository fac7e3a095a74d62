"""Where a tree stands, from its log alone."""

from __future__ import annotations

from datetime import date

from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Found, Intention, Tree
from logbook.planning.tree_state import state_of

from ..conftest import day, garden_at

GARDEN = garden_at()


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


def state(*log: Entry, today: str = "2026-11-25"):  # type: ignore[no-untyped-def]
    return state_of(Tree("001", tuple(log), species="Acer palmatum"), GARDEN, day(today))


def test_wire_goes_on_and_off_branch_by_branch() -> None:
    on = entry("2026-03-01", work="wiring", branches=("1", "2"), metal="copper")
    assert [w.branches for w in state(on).wires] == [("1", "2")]
    assert [w.branches for w in state(on, entry("2026-06-01", work="wire off", branches=("1",))).wires] == [("2",)]
    assert state(on, entry("2026-06-01", work="wire off")).wires == ()
    again = entry("2026-06-01", work="wiring", branches=("1",))
    assert len(state(on, entry("2026-06-01", work="wire off"), again).wires) == 1, "off comes before on, on one day"


def test_a_correction_replaces_its_entry() -> None:
    wrong = entry("2026-03-01", work="wiring", branches=("1",), sources=("00142-4/1",))
    right = entry("2026-03-01", note="only looked", replaces="00142-4/1", sources=("00142-4/1.2",))
    assert state(wrong, right).wires == ()


def test_rest_begins_with_weakness_and_ends_with_proof() -> None:
    weak = entry("2026-06-13", vigour=2)
    assert state(weak).resting is not None
    early = entry("2026-09-01", vigour=4)
    assert state(weak, early).resting is not None, "not before a whole growing season"
    late = entry("2027-11-20", vigour=4)
    assert state(weak, late, today="2027-12-01").resting is None
    holding = entry("2027-11-20", vigour=3)
    assert state(weak, holding, today="2027-12-01").resting is not None
    held = entry("2028-11-20", vigour=3)
    assert state(weak, holding, held, today="2028-12-01").resting is None
    assert state(weak, entry("2026-07-01", rest="ends")).resting is None


def test_what_was_found_stands_until_something_newer() -> None:
    found = entry("2024", found=Found(stage="ramification", repotted=read_when("2021~"), vigour=3))
    here = state(found)
    assert (here.stage, here.vigour, here.repotted.text) == ("ramification", 3, "2021~")
    later = state(found, entry("2025-03-20", work="repotting"), entry("2025-05-01", stage="refinement"))
    assert (later.stage, later.repotted.text) == ("refinement", "2025-03-20")


def test_entries_after_today_do_not_count() -> None:
    assert state(entry("2027-03-01", work="wiring")).wires == ()


def test_intentions_close_when_done() -> None:
    meant = entry("2026-01-01", intend=Intention("shorten S2"))
    assert [i.what for _, i in state(meant).intentions] == ["shorten S2"]
    assert state(meant, entry("2026-04-01", did="shorten S2")).intentions == ()
    repot = entry("2026-01-01", intend=Intention("into the shallow pot", work="repotting"))
    assert state(repot, entry("2026-04-01", work="repotting")).intentions == ()


entries = st.builds(
    Entry,
    date=st.dates(date(2020, 1, 1), date(2026, 11, 1)).map(lambda d: read_when(d.isoformat())),
    work=st.sampled_from(["", "wiring", "wire off", "wire check", "repotting", "candle removal", "look-over"]),
    branches=st.sampled_from([(), ("1",), ("2",), ("1", "2")]),
    vigour=st.sampled_from([None, None, 1, 2, 3, 4, 5]),
    stage=st.sampled_from(["", "", "ramification", "refinement"]),
    sources=st.integers(0, 99).map(lambda n: (f"00142-4/{n}",)),
)


@given(st.lists(entries, max_size=12, unique_by=lambda e: (e.date.text, e.work)), st.randoms())
def test_the_order_of_lines_does_not_matter(log: list[Entry], random) -> None:  # type: ignore[no-untyped-def]
    shuffled = list(log)
    random.shuffle(shuffled)
    assert state(*log) == state(*shuffled)
