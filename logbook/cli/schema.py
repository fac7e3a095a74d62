"""Print the JSON Schema of a file, so that an editor completes and checks it while you type; or of what a verb prints with --json.

Inside a collection (or with -C FOLDER) the schema knows your own works too.

examples:
  benchleaf schema tree -o tree.schema.json
  benchleaf schema collection
  benchleaf schema layout
  benchleaf schema due
"""

from __future__ import annotations

import argparse
import json
from pathlib import Path

from ..collection.kinds import Schema
from ..collection.load import SETTINGS_FILE, load_settings
from ..diagnostics import nearest, stop
from ..horticulture.loader import shipped_knowledge
from ..storage.outputs import write_output
from .json_shapes import output_schema
from .results import Result

FILES = ("collection", "tree", "layout")


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument(
        "kind", metavar="KIND", help=f"a file ({', '.join(FILES)}), or a verb whose --json output is wanted"
    )
    parser.add_argument("-o", dest="output", type=Path, metavar="FILE", help="write it to a file")


def run(options: argparse.Namespace) -> Result:
    """The schema as text, printed or written to a file."""
    text = json.dumps(schema(options.kind, Path(options.folder)), ensure_ascii=False, indent=2)
    if options.output:
        write_output(options.output, (text + "\n").encode())
        return Result(lines=(f"{options.kind} schema: {options.output}",))
    return Result(lines=tuple(text.splitlines()))


def schema(kind: str, folder: Path) -> Schema:
    """The schema of one kind of file or of a verb's data; words are the trade's and, inside a collection, the grower's own.

    Raises ProblemsFound for a word that is neither.
    """
    if kind not in FILES:
        return output_schema(_shape_of(kind), f"Benchleaf {kind} --json")
    from ..collection.fields import COLLECTION, OWN_WORK_NAME, TREE
    from ..collection.kinds import document_schema
    from ..horticulture.work_fields import OWN_WORK
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
    return document_schema(COLLECTION, title, knowledge.words, {OWN_WORK_NAME: OWN_WORK})


def _shape_of(verb: str) -> type:
    """The declared type of a verb's data. Raises ProblemsFound where there is none."""
    from .main import VERBS, module_of

    shape: type | None = getattr(module_of(verb), "SHAPE", None) if verb in VERBS else None
    if shape is None:
        close = nearest(verb, (*FILES, *VERBS))
        raise stop(
            f"'{verb}' is neither a file's kind nor a verb that prints data",
            hint=f"did you mean '{close}'?" if close else f"files: {', '.join(FILES)}",
        )
    return shape
