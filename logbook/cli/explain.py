"""Tell what the files may hold, out of the same declarations by which they are read.

explain fields   every key of every record: what may stand there, what it is for, and how a note says it

examples:
  benchleaf explain fields
  benchleaf explain fields --record entry
  benchleaf explain fields --json
"""

from __future__ import annotations

import argparse
from collections.abc import Callable, Mapping

from ..collection.fields.explained import RECORDS
from .common import json_argument
from .explain_fields import explain_fields
from .results import Result

TOPICS: Mapping[str, Callable[[argparse.Namespace], Result]] = {"fields": explain_fields}


def arguments(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("topic", choices=tuple(TOPICS), help="what to explain")
    parser.add_argument("--record", choices=RECORDS, help="only the keys of one record")
    json_argument(parser)


def run(options: argparse.Namespace) -> Result:
    return TOPICS[options.topic](options)
