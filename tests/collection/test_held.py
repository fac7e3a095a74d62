"""Objects that hold what was given and no more are in all that can be asked of them as if their model had made them."""

from __future__ import annotations

import copy
import pickle
import sys
from collections import defaultdict
from collections.abc import Iterator
from dataclasses import fields, replace
from datetime import date
from itertools import combinations, islice

import pytest
from hypothesis import given
from hypothesis import strategies as st

from logbook.collection.dates import on_day
from logbook.collection.fields import held as forms
from logbook.collection.fields.held import held, maker
from logbook.collection.model import Entry

DAY = on_day(date(2026, 10, 14))
TEXTS = [f.name for f in fields(Entry) if f.default == ""]
made_of = maker(Entry)
some_words = st.dictionaries(st.sampled_from(TEXTS), st.text(max_size=5), max_size=9)


@given(words=some_words, at=st.integers(0, 9))
def test_it_is_what_the_model_makes(words: dict[str, str], at: int) -> None:
    """Whatever was given in whatever order: the same class, values, text and copies, in this process and from another one."""
    values: dict[str, object] = dict([*list(words.items())[:at], ("date", DAY), *list(words.items())[at:]])
    one, other = made_of(values), Entry(DAY, **words)  # type: ignore[arg-type]
    assert one == other and other == one and repr(one) == repr(other)
    assert one.__class__ is Entry and isinstance(one, Entry)
    assert held(one) == values
    assert one.content() == other.content()
    assert one.only(frozenset(TEXTS)) == other.only(frozenset(TEXTS))
    for again in (pickle.loads(pickle.dumps(one)), copy.copy(one), copy.deepcopy(one)):
        assert again == one and held(again) == values
    changed = replace(one, note="another")
    assert changed == replace(other, note="another") and (one.note != "another" or one == changed)


def test_it_takes_less_room() -> None:
    """Less than half of what an entry with a dictionary does."""
    values: dict[str, object] = {"date": DAY, "work": "wiring", "note": "x", "minutes": 20, "spot": 1}
    plain = object.__new__(Entry)
    plain.__dict__.update(values)
    assert 2 * sys.getsizeof(made_of(values)) < sys.getsizeof(plain) + sys.getsizeof(vars(plain))


def _kinds_of_entry() -> Iterator[dict[str, object]]:
    for names in combinations(TEXTS, 4):
        yield {"date": DAY, **dict.fromkeys(names, "said")}


def test_there_are_only_so_many_forms(monkeypatch: pytest.MonkeyPatch) -> None:
    """Files made to have thousands of them fill no memory with classes, and are read all the same."""
    monkeypatch.setattr(forms, "_forms", defaultdict(forms._Forms))
    made = maker(Entry)
    given_ = list(islice(_kinds_of_entry(), 1000))
    entries = [made(values) for values in given_]
    assert len({type(entry) for entry in entries}) == forms.MOST_FORMS + 1
    assert all(
        dict(held(entry)) == values and entry == Entry(**values)  # type: ignore[arg-type]
        for entry, values in zip(entries, given_, strict=True)
    )
    assert pickle.loads(pickle.dumps(entries)) == entries
