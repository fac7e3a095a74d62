"""Taking entries and keys back out of a tree's file: each that still stands word for word, found from parse events.

The result is parsed again and must hold exactly the old data without them; anything else is refused.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence

from ..diagnostics import Place, Problem, ProblemsFound
from .yaml_editor import BOM, Value, data_of, entry_text, find_log, line_end, log_in, refused, word_for_word


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
    if not is_without(text, after, shown, entries):
        raise refused(shown, "the log's shape leaves no safe way to take an entry out")
    return after


def key_removed(text: str, shown: str, key: str, value: Value) -> str:
    """The file's text without a key that stands on a line of its own. Raises ProblemsFound where that can't be proved right."""
    said = entry_text({key: value})[1:-1]
    found = list(re.compile(rf"^{re.escape(said)}(?:\r\n|\n|\r|\Z)", re.MULTILINE).finditer(text))
    if len(found) == 1:
        after = text[: found[0].start()] + text[found[0].end() :]
        if is_without(text, after, shown, (), {key: value}):
            return after
    raise ProblemsFound([Problem(f"the line '{key}:' was edited since", Place(shown), "take it out by hand")])


def is_without(
    text: str,
    after: str,
    shown: str,
    entries: Sequence[Mapping[str, Value]],
    keys: Mapping[str, Value] | None = None,
) -> bool:
    """Whether `after` holds just what `text` does, but for one log entry for each of these, and but for these keys."""
    wanted, found = data_of(text.removeprefix(BOM), shown), data_of(after.removeprefix(BOM), shown)
    log = list(log_in(wanted))
    for entry in entries:
        if word_for_word(entry) in log:
            log.remove(word_for_word(entry))
    kept = {key: value for key, value in wanted.items() if key not in (keys or {})}
    return {**kept, "log": log or None} == {**found, "log": found["log"] or None}


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
