"""What verbs print with --json is what they declare: each output against its own published schema."""

from __future__ import annotations

import json
import os
from collections.abc import Callable
from importlib import import_module
from pathlib import Path

import jsonschema
import pytest
from PIL import Image

from logbook.cli.main import VERBS

from ..conftest import TODAY, Answer

NOTE = "tree 004\n20 nov 2026 trunk 36; something odd\n19 nov wired 77 foo\n"
# each verb with words that make it print data, in an order in which they may all run in one collection
CALLS: dict[str, tuple[str, ...]] = {
    "check": ("check",),
    "due": ("due",),
    "due of one": ("due", "--why", "004"),
    "ahead": ("ahead", "004", "007"),
    "season": ("season",),
    "normals": ("normals", "--january", "-3", "4", "--july", "15", "27", "--yes"),
    "import-log": ("import-log", "{out}/log.csv", "--yes"),
    "photos": ("photos", "{out}/roll", "--yes"),
    "weather": ("weather", "{out}/days.csv", "--yes"),
    "plan": ("plan", "--saturday", "3h"),
    "sheets": ("sheets", "--tag", "004", "-o", "{out}/s.pdf"),
    "walk": ("walk", "-o", "{out}/w.pdf"),
    "tags": ("tags", "--tag", "004", "-o", "{out}/t.pdf"),
    "cards": ("cards", "season", "-o", "{out}/c.pdf"),
    "dossier": ("dossier", "004", "-o", "{out}/d.pdf"),
    "pages": ("pages", "-o", "{out}/pages"),
    "reconcile": ("reconcile", "{out}/note.txt", "--yes"),
    "waiting": ("waiting",),
    "words": ("words", "004"),
    "undo": ("undo", "--yes"),
    "find": ("find", "004"),
    "add": ("add", "099", "--species", "Larix decidua"),
    "start": ("start", "{out}/new", "--latitude", "46.1", "--january", "-3", "4", "--july", "15", "27"),
    "growth": ("growth",),
    "wire": ("wire", "9", "--length", "200"),
    "pot": ("pot", "oval", "310x240x60", "--mix", "pumice 2 lava 1"),
    "water": ("water",),
    "review": ("review",),
    "compare": ("compare", "trunk"),
    "history": ("history", "003"),
    "explain": ("explain", "fields"),
    "handover": ("handover", "004", "-o", "{out}/004.zip", "--yes"),
    "a tree from another garden": ("add", "--handover", "{out}/004.zip", "--yes"),
    "end": ("end", "011", "--how", "sold"),
}


def verbs_with_data() -> set[str]:
    folder = Path(__file__).resolve().parents[2] / "logbook" / "cli"
    return {v for v in VERBS if "json_argument(parser)" in (folder / f"{v.replace('-', '_')}.py").read_text("utf-8")}


def test_every_verb_that_prints_data_declares_it() -> None:
    bare = {v for v in verbs_with_data() if not hasattr(import_module(f"logbook.cli.{v.replace('-', '_')}"), "SHAPE")}
    assert not bare and verbs_with_data() <= {words[0] for words in CALLS.values()}


@pytest.mark.parametrize("name", CALLS)
def test_it_prints_what_it_declares(name: str, demo: Path, tmp_path: Path, bench: Callable[..., Answer]) -> None:
    out = tmp_path / "out"
    out.mkdir()
    (out / "note.txt").write_text(NOTE, encoding="utf-8")
    (out / "log.csv").write_text("date,tree,done\n2025-10-14,001,needles thinned\n", encoding="utf-8")
    (out / "days.csv").write_text("date,tmin,tmax\n2026-11-01,2.5,9\n2026-11-02,1,8.5\n", encoding="utf-8")
    (out / "roll").mkdir()
    for picture in (out / "roll/004-front.png", out / "roll/other.png"):
        Image.new("RGB", (60, 40), "green").save(picture)
        os.utime(picture, (1_790_000_000,) * 2)
    words = [word.format(out=out) for word in CALLS[name]]
    verb = words[0]
    day = ["--today", TODAY] if verb not in ("find", "wire", "pot", "compare", "explain", "start") else []
    if "--handover" in words:
        bench("handover", "004", "-o", out / "004.zip", "--yes", "--today", TODAY, folder=demo)
    if verb == "undo":
        bench("reconcile", out / "note.txt", "--yes", "--today", TODAY, folder=demo)
    told = bench(*words, *day, "--json", folder=demo)
    schema = json.loads(bench("schema", verb).out)
    jsonschema.Draft202012Validator.check_schema(schema)
    jsonschema.validate(json.loads(told.out), schema)


def test_a_slip_is_seen() -> None:
    """A schema that let everything through would prove nothing."""
    from logbook.cli.due import DueData
    from logbook.cli.json_shapes import output_schema

    with pytest.raises(jsonschema.ValidationError):
        jsonschema.validate(
            {"today": "2026-11-25", "trees": [{"tag": 4}], "problems": []}, output_schema(DueData, "due")
        )


def test_a_word_that_is_neither_is_told(bench: Callable[..., Answer]) -> None:
    told = bench("schema", "seeson")
    assert told.code == 1 and "did you mean 'season'?" in told.err
