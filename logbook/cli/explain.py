"""Tell what the files may hold and what is known of each work, out of the same declarations by which they are read.

explain fields   every key of every record: what may stand there, what it is for, and how a note says it
explain works    every work: its words in a note, what it asks of a tree, and what has to wait after it

examples:
  benchleaf explain fields
  benchleaf explain fields --record entry
  benchleaf explain works
  benchleaf explain works --work repotting
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping

from .common import json_argument
from .explain_fields import ALL_RECORDS, explain_fields
from .explain_shapes import ExplainData
from .explain_works import explain_works
from .results import Result

SHAPE = ExplainData
TOPICS: Mapping[str, Callable[[argparse.Namespace], Result]] = {"fields": explain_fields, "works": explain_works}


def arguments(parser: argparse.ArgumentParser) -> None:
    """The verb's options."""
    parser.add_argument("topic", choices=tuple(TOPICS), help="what to explain")
    parser.add_argument("--work", metavar="NAME", help="only one work, with its rows, signs and what waits after it")
    parser.add_argument("--record", choices=ALL_RECORDS, help="only the keys of one record")
    json_argument(parser)


def run(options: argparse.Namespace) -> Result:
    """What the topic says."""
    return TOPICS[options.topic](options)
