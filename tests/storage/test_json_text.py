"""The text of our JSON files, against the standard library's own."""

from __future__ import annotations

import json

from hypothesis import given
from hypothesis import strategies as st

from logbook.storage.json_text import json_text

PLAIN = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False) | st.text()
VALUES = st.recursive(
    PLAIN,
    lambda inner: st.lists(inner) | st.lists(inner).map(tuple) | st.dictionaries(st.text(), inner),
    max_leaves=30,
)


@given(st.dictionaries(st.text(), VALUES))
def test_it_is_what_the_standard_library_writes(data: dict[str, object]) -> None:
    assert json_text(data) == json.dumps(data, ensure_ascii=False, indent=1) + "\n"


def test_separators_within_text_break_no_line() -> None:
    data = {"a": {'b, "c": d': ",\n", "木": [1.5, None, [], {}, ()]}, "d": [{"e": -0.0, "f": 1e300}]}
    assert json_text(data) == json.dumps(data, ensure_ascii=False, indent=1) + "\n"
    assert json.loads(json_text(data)) == json.loads(json.dumps(data))
