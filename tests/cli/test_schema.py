"""JSON Schema for the grower's editor: it accepts what the checks accept, and names what they name."""

from __future__ import annotations

import json
from collections.abc import Callable
from pathlib import Path
from typing import Any

import jsonschema
import pytest
import yaml

from ..conftest import Answer


class _PlainLoader(yaml.SafeLoader):
    """YAML as editors read it for a schema: dates stay text."""


_PlainLoader.yaml_implicit_resolvers = {
    key: [(tag, form) for tag, form in pairs if tag != "tag:yaml.org,2002:timestamp"]
    for key, pairs in yaml.SafeLoader.yaml_implicit_resolvers.items()
}


def data(path: Path) -> Any:
    return yaml.load(path.read_text("utf-8"), Loader=_PlainLoader)


def test_every_file_of_the_demo_is_accepted(demo: Path, bench: Callable[..., Answer]) -> None:
    schemas = {kind: json.loads(bench("schema", kind, folder=demo).out) for kind in ("tree", "collection")}
    for schema in schemas.values():
        jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(data(demo / "collection.yaml"), schemas["collection"])
    for path in (demo / "trees").glob("*.yaml"):
        jsonschema.validate(data(path), schemas["tree"])


@pytest.mark.parametrize(
    ("change", "kept"),
    [
        ({"colour": "red"}, False),
        ({"x-colour": "red"}, True),
        ({"log": [{"date": "2026-10-14", "work": "wirring"}]}, False),
        ({"log": [{"date": "2026-10-14", "work": "wiring", "wire": "10ga", "branches": 1}]}, True),
        ({"log": [{"date": "14.10.2026"}]}, False),
        ({"log": [{"date": "2026~"}]}, True),
        ({"log": [{"date": "2026-10-14", "vigour": 7}]}, False),
        ({"log": None}, True),
    ],
)
def test_slips_are_named_as_you_type(
    demo: Path, bench: Callable[..., Answer], change: dict[str, Any], kept: bool
) -> None:
    schema = json.loads(bench("schema", "tree", folder=demo).out)
    tree = {"tag": "001", "species": "Larix decidua", "log": [], **change}
    assert jsonschema.Draft202012Validator(schema).is_valid(tree) is kept


def test_own_works_are_known_inside_a_collection(demo: Path, bench: Callable[..., Answer], tmp_path: Path) -> None:
    path = demo / "collection.yaml"
    path.write_text(
        path.read_text("utf-8")
        + "works: {moss care: {groups: all, window: open / open / hardened, sign: thick, typed: [mossed]}}\n"
    )
    tree = {"tag": "001", "species": "Larix decidua", "log": [{"date": "2026-10-14", "work": "moss care"}]}
    inside = json.loads(bench("schema", "tree", folder=demo).out)
    outside = json.loads(bench("schema", "tree", folder=tmp_path).out)
    assert jsonschema.Draft202012Validator(inside).is_valid(tree)
    assert not jsonschema.Draft202012Validator(outside).is_valid(tree)
    answer = bench("schema", "tree", "-o", tmp_path / "tree.json", folder=demo)
    written = json.loads((tmp_path / "tree.json").read_text("utf-8"))
    assert written.pop("$comment").startswith("benchleaf "), "the seal by which it may be made anew"
    assert answer.code == 0 and written == inside
