"""Print the JSON Schema of a file, so that an editor completes and checks it while you type.

Inside a collection (or with -C FOLDER) the schema knows your own works too.

examples:
  benchleaf schema tree -o tree.schema.json
  benchleaf schema collection
  benchleaf schema layout
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from ..collection.kinds import Schema
from ..collection.load import SETTINGS_FILE, load_settings
from ..horticulture.loader import shipped_knowledge
from .common import write_output
from .results import Result

KINDS = ("collection", "tree", "layout")


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("kind", choices=KINDS, help="which file")
    parser.add_argument("-o", dest="output", type=Path, metavar="FILE", help="write it to a file")


def run(options: argparse.Namespace) -> Result:
    text = json.dumps(schema(options.kind, Path(options.folder)), ensure_ascii=False, indent=2)
    if options.output:
        write_output(options.output, (text + "\n").encode())
        return Result(lines=(f"{options.kind} schema: {options.output}",))
    return Result(lines=(text,))


def schema(kind: str, folder: Path) -> Schema:
    """The schema of one kind of file, with the trade's words and, inside a collection, the grower's own works."""
    from ..collection.fields import COLLECTION, TREE
    from ..collection.kinds import document_schema
    from ..paper.layouts import LAYOUT

    knowledge = shipped_knowledge()
    if (folder / SETTINGS_FILE).is_file():
        settings, _ = load_settings(folder, knowledge)
        knowledge = knowledge.own(settings)[0] if settings else knowledge
    title = f"Benchleaf {kind}"
    if kind == "tree":
        return document_schema(TREE, title, knowledge.words)
    if kind == "layout":
        return document_schema(LAYOUT, title, knowledge.words)
    return document_schema(COLLECTION, title, knowledge.words)
