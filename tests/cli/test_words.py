"""`words`: what a pencil line may say, printed from the words that the reader reads by."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path

from logbook.horticulture.loader import shipped_knowledge

from ..conftest import Answer

Bench = Callable[..., Answer]


def test_all_words(demo: Path, bench: Bench) -> None:
    answer = bench("words", folder=demo)
    assert answer.code == 0 and not answer.err
    for work in shipped_knowledge().works:
        assert f"\n  {work}" in answer.out
    assert "greenfly on the tips" in answer.out and "buds swelling" in answer.out and "no bite" in answer.out


def test_a_trees_own_works_come_first(demo: Path, bench: Bench) -> None:
    """003 is a larch: no candles are taken off it (common practice, no source)."""
    told = json.loads(bench("words", "003", "--json", folder=demo).out)
    assert "candle removal" in told["other_works"] and "wiring" in told["works"]
    assert told["works"]["wiring"]["details"] == ["branches", "metal", "wire", "keep"]
    out = bench("words", "003", folder=demo).out
    assert out.index("works of 003") < out.index("works of other trees") < out.index("\nsigns")


def test_an_unknown_tree_is_told(demo: Path, bench: Bench) -> None:
    answer = bench("words", "999", folder=demo)
    assert answer.code == 1 and "there is no tree 999" in answer.err
