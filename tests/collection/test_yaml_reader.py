"""Reading: values keep their place and their text; attacks are refused in bounded time."""

from __future__ import annotations

import time
from pathlib import Path

import pytest
import yaml
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from logbook.collection.yaml_reader import MAX_BYTES, Mapping, Scalar, Sequence, file_text, read_text
from logbook.diagnostics import ProblemsFound


def plain(node: object) -> object:
    if isinstance(node, Mapping):
        return {k: plain(v) for k, v in node.items.items()}
    if isinstance(node, Sequence):
        return [plain(v) for v in node.items]
    assert isinstance(node, Scalar)
    return node.text


def test_scalars_stay_text() -> None:
    """YAML 1.1 would make a boolean, a sexagesimal number, an octal and a date of these."""
    document = read_text("a: no\nb: 12:30\nc: 010\nd: 2016-10-14\ne: 'null'\n", "t")
    assert plain(document.root) == {"a": "no", "b": "12:30", "c": "010", "d": "2016-10-14", "e": "null"}


@pytest.mark.parametrize(
    "text", ["tag: a\r\nname: b\r\n", "\ttag: a\n", "tag: 夕霧\nname: b\n", "tag: a\u2028name: b\n"]
)
def test_places_are_those_an_editor_shows(text: str) -> None:
    document = read_text(text, "t")
    for problem in document.problems:
        assert problem.place is not None and problem.place.line >= 1
    if isinstance(document.root, Mapping):
        for node in document.root.items.values():
            place = document.place(node)
            assert place.source[place.column - 1 :].startswith(getattr(node, "text", ""))


values = st.recursive(
    st.text(st.characters(codec="utf-8", exclude_categories=["Cs", "Cc"]), max_size=12),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.text(st.characters(min_codepoint=97, max_codepoint=122), min_size=1, max_size=6), inner, max_size=4
        )
    ),
    max_leaves=12,
)


@given(
    st.dictionaries(
        st.text(st.characters(min_codepoint=97, max_codepoint=122), min_size=1), values, min_size=1, max_size=5
    )
)
def test_agrees_with_an_independent_reader(data: dict[str, object]) -> None:
    """ruamel.yaml (YAML 1.2, own parser), all scalars as text, is the judge."""
    text = yaml.safe_dump(data, allow_unicode=True, default_style='"')
    judge = YAML(typ="base", pure=True)
    document = read_text(text, "t")
    assert not document.problems
    assert plain(document.root) == judge.load(text)


def bounded(text: str) -> list[str]:
    begun = time.perf_counter()
    document = read_text(text, "t")
    assert time.perf_counter() - begun < 5
    assert document.root is None
    return [p.message for p in document.problems]


def test_alias_bomb() -> None:
    rows = ["a: &a [x, x, x, x, x, x, x, x, x]"] + [
        f"{n}: &{n} [{', '.join(['*' + p] * 9)}]" for p, n in zip("abcdefgh", "bcdefghi", strict=True)
    ]
    assert any("more than 50 aliases" in m for m in bounded("\n".join(rows)))


def test_depth_bomb() -> None:
    assert bounded("a: " + "[" * 5000 + "]" * 5000) == ["values are nested more than 40 deep"]


def test_too_many_values() -> None:
    assert bounded("a:\n" + "- x\n" * 210_000) == ["more than 200,000 values in one file"]


def test_huge_file_is_refused_before_it_is_read(tmp_path: Path) -> None:
    path = tmp_path / "big.yaml"
    with path.open("wb") as file:
        file.truncate(MAX_BYTES * 1000)  # sparse: 4 GB that take no room
    begun = time.perf_counter()
    with pytest.raises(ProblemsFound, match="larger than 4 MB"):
        file_text(path, "big.yaml")
    assert time.perf_counter() - begun < 1


def test_not_utf8_names_the_byte(tmp_path: Path) -> None:
    path = tmp_path / "t.yaml"
    path.write_bytes(b"tag: a\nname: caf\xe9\n")
    with pytest.raises(ProblemsFound) as found:
        file_text(path, "t.yaml")
    place = found.value.problems[0].place
    assert place is not None and (place.line, place.column) == (2, 10)


@given(st.text(max_size=200))
def test_any_text_is_read_or_refused_with_a_place(text: str) -> None:
    document = read_text(text, "t")
    for problem in document.problems:
        assert problem.told()
        assert problem.place is not None
