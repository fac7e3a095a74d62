"""Taking entries back out of a tree's file: each one that still stands word for word, found from parse events.

The result is parsed again and must hold exactly the old data without those entries; anything else is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from .yaml_editor import BOM, Value, data_of, find_log, line_end, log_in, refused, without_entries, word_for_word


def entries_removed(text: str, shown: str, entries: Sequence[Mapping[str, Value]]) -> str:
    """The file's text without those of the entries that it holds. Raises ProblemsFound where that can't be proved right."""
    body = text.removeprefix(BOM)
    for entry in reversed(entries):
        log = log_in(data_of(body, shown))
        wanted = word_for_word(entry)
        if wanted in log:
            index = len(log) - 1 - log[::-1].index(wanted)
            body = _without_item(body, shown, index)
    after = text[: len(text) - len(text.removeprefix(BOM))] + body
    if not without_entries(text, after, shown, entries):
        raise refused(shown, "the log's shape leaves no safe way to take an entry out")
    return after


def _without_item(text: str, shown: str, index: int) -> str:
    log, key_mark = find_log(text, shown)
    if log.anchored or not log.spans:
        raise refused(shown, "the log's shape leaves no safe way to take an entry out", key_mark.line + 1)
    start, end = log.spans[index]
    if not log.flow:
        return _without_lines(text, start, end)
    after = re.compile(r"\s*,[ \t]*").match(text, end)
    if index + 1 < len(log.spans) and after:
        return text[:start] + text[after.end() :]
    before = re.search(r",\s*$", text[:start])
    return text[: before.start() if before else start] + text[end:]


def _without_lines(text: str, start: int, end: int) -> str:
    """Without the lines from the dash before `start` to the end of the line that `end` stands on."""
    first = max(text.rfind("\n", 0, start), text.rfind("\r", 0, start)) + 1
    if text[end - 1] in "\r\n":  # a block scalar's own end
        return text[:first] + text[end:]
    newline = re.compile(r"\r\n|\n|\r|").match(text, line_end(text, end))
    return text[:first] + text[newline.end() if newline else len(text) :]
