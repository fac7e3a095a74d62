"""What the files may hold, as the command tells it: out of the declarations, all of them."""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest

from logbook.collection.fields import COLLECTION, ENTRY, TREE
from logbook.collection.fields.explained import RECORDS, field_rows, rows_of
from logbook.horticulture.loader import shipped_knowledge
from logbook.horticulture.window_syntax import read_window
from logbook.horticulture.work_fields import OWN_WORK

from ..conftest import Answer

Bench = Callable[..., Answer]


def keys_of(schema: Mapping[str, object]) -> set[str]:
    """The keys that a JSON Schema allows, those within others behind a point, lists and tables looked through."""
    found: set[str] = set()
    properties = schema.get("properties", {})
    assert isinstance(properties, dict)
    for name, inner in properties.items():
        found |= {name, *(f"{name}.{key}" for key in keys_of(inner))}
    branches = [*schema.get("anyOf", ()), schema.get("items", {}), schema.get("additionalProperties", {})]  # type: ignore[misc]
    for inner in branches:
        found |= keys_of(inner) if isinstance(inner, dict) and inner else set()
    return found


def test_every_key_that_the_schema_allows_is_explained() -> None:
    words = shipped_knowledge().words
    told = {name: {row.key for row in field_rows(name)} for name in RECORDS}
    told["work"] = {row.key for row in rows_of(OWN_WORK)}
    tree = told["tree"] | {f"log.{k}" for k in told["entry"]}
    tree |= {f"{above}.{k}" for above in ("branches", "log.placed") for k in told["branch"]}
    assert tree == keys_of(TREE.schema(words))
    inside = {f"site.{k}" for k in told["site"]}
    ages = {"every"}  # years by age, or one number
    assert {k for k in told["work"] if k not in ages} <= keys_of(OWN_WORK.schema(words)) <= told["work"] | {"every"}
    # own species are a mapping from a name to its group alone
    assert told["collection"] | inside == keys_of(COLLECTION.schema(words))


@pytest.mark.parametrize("record", RECORDS)
def test_the_table_names_every_key_with_its_doc(record: str, bench: Bench) -> None:
    out = bench("explain", "fields", "--record", record).out
    for row in field_rows(record):
        assert any(line.startswith(row.key) and row.doc in line for line in out.splitlines()), row


def test_it_tells_how_a_note_says_a_field(bench: Bench) -> None:
    told = json.loads(bench("explain", "fields", "--json").out)
    entry = {row["key"]: row for row in told["entry"]}
    assert [row["key"] for row in told["entry"] if "." not in row["key"]] == [f.key for f in ENTRY.fields]
    assert entry["minutes"]["typed"] == "… min, … mins, … minutes"
    assert entry["date"]["required"] and not entry["work"]["required"]
    assert told["tree"][0]["key"] == "tag"


def test_only_what_there_is_can_be_explained(bench: Bench) -> None:
    assert bench("explain", "everything").code == 2


def test_works_are_told_as_they_are_declared(demo: Path, bench: Bench) -> None:
    works = shipped_knowledge().works
    told = {w["name"]: w for w in json.loads(bench("explain", "works", "--json").out)["works"]}
    assert list(told) == list(works)
    for name, work in works.items():
        assert told[name]["typed"] == list(work.typed) and len(told[name]["rows"]) == len(work.rows)
        for shown, row in zip(told[name]["rows"], work.rows, strict=True):
            assert row.window is None or read_window(shown["window"].split(", or ")[0]) == row.window
    lines = bench("explain", "works").out
    assert all(name in lines and work.mark in lines for name, work in works.items())
    one = bench("explain", "works", "--work", "candle removal").out
    assert "candles fully out" in one and "roots work: 9 months" in one
    assert "did you mean 'repotting'" in bench("explain", "works", "--work", "reppotting").err
    path = demo / "collection.yaml"
    own = "\nworks:\n  moss care: {groups: all, window: open / open / open + 9, sign: moss thick}\n"
    path.write_text(path.read_text("utf-8") + own, encoding="utf-8")
    assert "moss care" in bench("explain", "works", folder=demo).out, "the grower's own stand among them"
