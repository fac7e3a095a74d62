"""More told of an entry that stands in a log already: fields spliced into it, and taken out again. Verified by parsing anew.

An entry is known by some of its fields and by the sheets' lines it came from. Only one that still stands as this tool writes
entries is touched; one that was laid out or commented by hand is left alone.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence

from ..diagnostics import Problem, ProblemsFound
from .yaml_editor import BOM, Plain, Value, data_of, entry_text, find_log, log_in, refused, word_for_word

Amendment = Mapping[str, Value]  # where: fields that tell the entry; from: its lines; add: fields; lines: more lines


def amended(text: str, shown: str, amendment: Amendment) -> str:
    """The text with what the amendment tells put into its entry; unchanged where it stands there already. Raises ProblemsFound."""
    return _changed(text, shown, amendment, _is_before, _with_more) if not stands(text, shown, amendment) else text


def unamended(text: str, shown: str, amendment: Amendment) -> str:
    """The text without what the amendment had put in, where that still stands word for word. Raises ProblemsFound."""
    return _changed(text, shown, amendment, _is_after, _without_more)


def stands(text: str, shown: str, amendment: Amendment) -> bool:
    """Whether an entry of the log holds all that the amendment tells."""
    log = log_in(data_of(text.removeprefix(BOM), shown))
    return any(_is_after(entry, amendment) for entry in log)


def goes_on(amendment: Amendment, then: Amendment) -> bool:
    """Whether the second tells more of the entry as the first leaves it."""
    left = [*_said(amendment, "from"), *_said(amendment, "lines")]
    return amendment["where"] == then["where"] and left == _said(then, "from")


def in_one(amendment: Amendment, then: Amendment) -> Amendment:
    """Both as one, so that each of a batch either stands or does not, however far it came."""
    add, more = _fields(amendment, "add"), _fields(then, "add")
    stood = {key: value for key, value in _fields(then, "stood").items() if key not in add}
    return {
        **amendment,
        "add": {**add, **more},
        "stood": {**stood, **_fields(amendment, "stood")},
        "lines": [*_said(amendment, "lines"), *_said(then, "lines")],
    }


_Entry = dict[str, Plain]


def _changed(
    text: str,
    shown: str,
    amendment: Amendment,
    meant: Callable[[Plain, Amendment], bool],
    change: Callable[[_Entry, Amendment], dict[str, Value]],
) -> str:
    body = text.removeprefix(BOM)
    before = data_of(body, shown)
    found = [n for n, entry in enumerate(log_in(before)) if meant(entry, amendment)]
    if len(found) != 1:
        raise ProblemsFound([Problem(f"the entry of {_told(amendment)} was edited since", hint="edit it by hand")])
    log, key_mark = find_log(body, shown)
    old = log_in(before)[found[0]]
    if log.anchored or not isinstance(old, dict) or found[0] >= len(log.spans):
        raise refused(shown, "the log's shape leaves no safe way to add to an entry", key_mark.line + 1)
    start, end = log.spans[found[0]]
    new = change(old, amendment)
    words = _laid_out(body, start, end, _typed(old), new)
    if not words:
        line = body.count("\n", 0, start) + 1
        raise refused(shown, f"the entry of {_told(amendment)} was laid out by hand", line)
    after = body[:start] + words + body[end:]
    wanted = [word_for_word(new) if n == found[0] else entry for n, entry in enumerate(log_in(before))]
    if data_of(after, shown) != {**before, "log": wanted}:
        raise refused(shown, "the log's shape leaves no safe way to add to an entry", key_mark.line + 1)
    return text[: len(text) - len(body)] + after


def _told(amendment: Amendment) -> str:
    where = amendment["where"]
    return ", ".join(str(value) for value in where.values()) if isinstance(where, Mapping) else ""


def _laid_out(text: str, start: int, end: int, old: Mapping[str, Value], new: Mapping[str, Value]) -> str:
    """The new entry in the old one's style; an empty string where the old one does not stand as this tool writes them."""
    if text[start:end] == entry_text(old):
        return entry_text(new)
    newline = "\r\n" if "\r\n" in text else "\n"
    column = start - max(text.rfind("\n", 0, start), text.rfind("\r", 0, start)) - 1
    pad = newline + " " * column

    def block(entry: Mapping[str, Value]) -> str:
        return pad.join(f"{key}: {_value(value)}" for key, value in entry.items())

    return block(new) if text[start:end] == block(old) else ""


def _value(value: Value) -> str:
    return entry_text({"x": value})[len("{x: ") : -1]


def _typed(entry: _Entry) -> dict[str, Value]:
    """A file's data as values that are written as they stood there: what is true is no text."""
    return {key: _plain(value) for key, value in entry.items()}


def _plain(value: Plain) -> Value:
    if isinstance(value, dict):
        return {key: _plain(item) for key, item in value.items()}
    if isinstance(value, list):
        return [_plain(item) for item in value]
    return {"true": True, "false": False}.get(value or "", value or "")


def _lines(entry: Mapping[str, Plain]) -> list[str]:
    """The sheets' lines an entry came from."""
    found = entry.get("from")
    return [str(line) for line in found] if isinstance(found, list) else [str(found)] if found else []


def _is_before(entry: Plain, amendment: Amendment) -> bool:
    return _is_meant(entry, amendment) and isinstance(entry, dict) and _lines(entry) == _said(amendment, "from")


def _is_after(entry: Plain, amendment: Amendment) -> bool:
    if not _is_meant(entry, amendment) or not isinstance(entry, dict):
        return False
    add = amendment["add"]
    told = isinstance(add, Mapping) and all(entry.get(key) == word_for_word(value) for key, value in add.items())
    return told and _lines(entry) == [*_said(amendment, "from"), *_said(amendment, "lines")]


def _is_meant(entry: Plain, amendment: Amendment) -> bool:
    where = amendment["where"]
    return (
        isinstance(entry, dict)
        and isinstance(where, Mapping)
        and all(entry.get(key) == word_for_word(value) for key, value in where.items())
    )


def _said(amendment: Amendment, name: str) -> list[str]:
    found = amendment[name]
    return [str(line) for line in found] if isinstance(found, Sequence) and not isinstance(found, str) else []


def _fields(amendment: Amendment, name: str) -> dict[str, Value]:
    found = amendment[name]
    return dict(found) if isinstance(found, Mapping) else {}


def _with_more(entry: _Entry, amendment: Amendment) -> dict[str, Value]:
    more, typed = _fields(amendment, "add"), _typed(entry)
    lines = _from([*_said(amendment, "from"), *_said(amendment, "lines")])
    before = {key: more.get(key, value) for key, value in _until_from(typed).items()}
    behind = {key: more.get(key, value) for key, value in typed.items() if key not in ("from", *before)}
    new = {key: value for key, value in more.items() if key not in typed}
    return {**before, **new, **lines, **behind}


def _without_more(entry: _Entry, amendment: Amendment) -> dict[str, Value]:
    more, stood = _fields(amendment, "add"), _fields(amendment, "stood")
    left: dict[str, Value] = {}
    for key, value in _typed(entry).items():
        if key == "from":
            left |= _from(_said(amendment, "from"))
        elif key in stood or key not in more:
            left[key] = stood.get(key, value)
    return left


def _until_from(typed: Mapping[str, Value]) -> dict[str, Value]:
    """The fields before the sheets' lines: what is new goes there."""
    keys = list(typed)
    return {key: typed[key] for key in keys[: keys.index("from") if "from" in typed else None]}


def _from(lines: Sequence[str]) -> dict[str, Value]:
    if not lines:
        return {}
    return {"from": lines[0] if len(lines) == 1 else list(lines)}
