"""Notes that can hardly be meant for this tree are asked about; what a tree may have had done to it is not."""

from __future__ import annotations

import pytest

from logbook.collection.dates import read_when
from logbook.collection.model import Entry, Found, Tree
from logbook.planning.contradictions import speaks_against

from ..conftest import garden_at

GARDEN = garden_at()


def entry(when: str, **fields: object) -> Entry:
    return Entry(date=read_when(when), **fields)  # type: ignore[arg-type]


BEGUN = entry("2024-10-01", found=Found(stage="refinement", vigour=4, repotted=read_when("2022-04")))
WEAK = entry("2026-03-01", vigour=1)


@pytest.mark.parametrize(
    ("species", "log", "note", "asked"),
    [
        ("Acer palmatum", (BEGUN,), entry("2026-06-20", work="candle removal"), True),
        ("Pinus thunbergii", (BEGUN,), entry("2026-06-20", work="candle removal"), False),
        ("Pinus thunbergii", (BEGUN,), entry("2026-06-20", work="full defoliation"), True),
        ("Fagus sylvatica", (BEGUN,), entry("2026-06-20", work="full defoliation"), True),
        ("Acer palmatum", (BEGUN,), entry("2026-06-20", work="full defoliation"), False),
        ("Acer palmatum", (BEGUN, WEAK), entry("2026-03-20", work="repotting", roots="hard"), True),
        ("Acer palmatum", (BEGUN, WEAK), entry("2026-03-20", work="repotting", roots="light"), False),
        ("Acer palmatum", (BEGUN, WEAK), entry("2026-03-20", work="emergency repotting", roots="hard"), False),
        ("Acer palmatum", (BEGUN, WEAK), entry("2026-03-20", work="wire off"), False),
        ("Acer palmatum", (BEGUN, WEAK), entry("2026-03-20", work="shoot trimming"), False),
        ("Acer palmatum", (BEGUN,), entry("2026-03-20", work="cleaning"), False),
    ],
)
def test_it_is_asked(species: str, log: tuple[Entry, ...], note: Entry, asked: bool) -> None:
    assert (speaks_against(Tree("1", log, species=species), GARDEN, note) is not None) is asked
