"""What a batch puts into a tree's file and takes out of it again: log entries, and keys at the end. Checked by parsing anew.

Both ways the text around stays as the grower wrote it, and what was edited since is left alone.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from typing import Any

from ..diagnostics import Place, Problem, ProblemsFound
from ..storage.journal import Change, NotNow, cut_out
from .amending import amended, stands, unamended
from .removing import entries_removed, is_without, key_removed
from .yaml_editor import BOM, Value, data_of, missing_entries, with_entries, with_key, word_for_word


def put_in(text: str, change: Change) -> str | None:
    """The text with all that the change brings; None where it stands there already. Raises NotNow."""
    try:
        after = text
        for amendment in change.amends:
            after = amended(after, change.path, amendment)
        missing = missing_entries(text, change.path, change.entries)
        if missing:
            after = with_entries(after, change.path, missing)
        for key, value in absent_keys(text, change).items():
            after = with_key(after, change.path, key, value)
    except ProblemsFound as found:
        raise NotNow(found.problems[0].message, found.problems[0]) from None
    return after if after != text else None


def take_out(text: str, change: Change) -> str | None:
    """The text without what the change brought and still stands word for word; None where nothing does. Raises NotNow."""
    try:
        if change.amends and text == change.new:
            return change.old
        text, before = _unamended(text, change), text
        gone, lost = missing_entries(text, change.path, change.entries), absent_keys(text, change, also_others=True)
        if len(gone) == len(change.entries) and len(lost) == len(change.keys):
            return text if text != before else None
        standing = replace(change, keys={k: v for k, v in change.keys.items() if k not in lost})
        return _cut(text, standing) or _removed(text, standing)
    except ProblemsFound as found:
        raise NotNow(found.problems[0].message, found.problems[0]) from None


def edited_since(text: str, change: Change) -> list[Mapping[str, Value]]:
    """The entries and keys of the change that do not stand word for word any more."""
    lost = absent_keys(text, change, also_others=True)
    amends = [as_told(a) for a in change.amends if not stands(text, change.path, a)]
    missing = missing_entries(text, change.path, change.entries)
    return [*amends, *missing, *({key: value} for key, value in lost.items())]


def _unamended(text: str, change: Change) -> str:
    """The text without what was told of entries before; those that were edited since stay."""
    for amendment in change.amends:
        if stands(text, change.path, amendment):
            text = unamended(text, change.path, amendment)
    return text


def as_told(amendment: Mapping[str, Any]) -> Mapping[str, Value]:
    """What an amendment brings, for the eye."""
    return {**amendment["where"], **amendment["add"], "from": list(amendment["lines"])}


def absent_keys(text: str, change: Change, *, also_others: bool = False) -> dict[str, Value]:
    """Keys of the change that the file lacks; with `also_others` those too that it holds with another value.

    Raises ProblemsFound for those that it holds with another value, where they are not asked for.
    """
    if not change.keys:
        return {}
    data = data_of(text.removeprefix(BOM), change.path)
    absent = {key: value for key, value in change.keys.items() if data.get(key) != word_for_word(value)}
    for key in absent:
        if key in data and not also_others:
            raise ProblemsFound([_taken(key, change.path)])
    return absent


def _taken(key: str, shown: str) -> Problem:
    return Problem(f"the file has '{key}' already", Place(shown), "edit that line if it is wrong")


def _cut(text: str, change: Change) -> str:
    """The very piece that was put in, cut out; an empty string where that would not be right any more."""
    try:
        after = cut_out(text, change)
        return after if is_without(text, after, change.path, change.entries, change.keys) else ""
    except (NotNow, ProblemsFound):
        return ""


def _removed(text: str, change: Change) -> str:
    """Entry by entry and key by key."""
    after = entries_removed(text, change.path, _present(text, change)) if change.entries else text
    for key, value in change.keys.items():
        after = key_removed(after, change.path, key, value)
    return after


def _present(text: str, change: Change) -> Sequence[Mapping[str, Value]]:
    missing = missing_entries(text, change.path, change.entries)
    return [entry for entry in change.entries if entry not in missing]
