"""What a text may not do where it is put: each way out of the tool once, for a terminal, a table, a page, a calendar, a link.

Texts come from files that anybody may have written. Whoever puts one somewhere asks here first; all of these are harmless to
do to a text that needs none of it.
"""

from __future__ import annotations

import html
import json
import re
from collections.abc import Mapping
from urllib.parse import quote

LONGEST_LINE, LONGEST_EXCERPT = 5_000, 160
# what moves a cursor, turns the order of what is read, or stands alone as half a character
_CONTROLS = re.compile("[\x00-\x08\x0a-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff]")
_UNFIT = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x84\x86-\x9f\ud800-\udfff]")
_OWN_STYLES = re.compile("\x1b\\[(?:0|1|31)m")
_FORMULA = re.compile(r"[=+\-@\t\r\n]")
_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?")
_SCHEME = re.compile(r"\s*([A-Za-z][A-Za-z0-9+.-]*):")
_RUNS = frozenset(("javascript", "vbscript", "data", "blob"))
_NO_LINK = re.compile(r"[\s\x00-\x20\x7f-\x9f\u2028-\u202e\u2066-\u2069<>\"`]")
PLACEHOLDER = re.compile(r"\{([^{}]*)\}")
IN_LINKS = ("file", "tag")


def line(text: str, longest: int = 0) -> str:
    """A text as one line of a terminal: what would steer it is spelt out; with `longest` more than so many characters are cut."""
    if longest and len(text) > longest:
        text = f"{text[: longest - 40]} … {text[-30:]} ({len(text):,} characters)"
    if text.isprintable():
        return text
    return _CONTROLS.sub(_spelt, text)


def styled(text: str) -> str:
    """The same for a line that may carry the tool's own bold and red."""
    parts, styles = _OWN_STYLES.split(text), _OWN_STYLES.findall(text)
    if not styles:
        return line(text, LONGEST_LINE)
    return "".join(part for pair in zip(map(line, parts), [*styles, ""], strict=True) for part in pair)


def excerpt(text: str) -> str:
    """A line of a file, character for character, so that carets below it still point; what steers a terminal is U+FFFD."""
    return _CONTROLS.sub("\ufffd", text)


def unfit(text: str) -> str:
    """The first character that no text of a record may hold, however it was written; an empty string where there is none."""
    found = _UNFIT.search(text)
    return found[0] if found else ""


def _spelt(found: re.Match[str]) -> str:
    code = ord(found[0])
    named = {10: "\\n", 13: "\\r"}.get(code)
    return named or (f"\\x{code:02x}" if code < 256 else f"\\u{code:04x}")


def json_text(value: object, *, plain: bool = False) -> str:
    """A value as JSON on one line; what steers a terminal is written as JSON's own escapes."""
    return _in_json(json.dumps(value, ensure_ascii=plain))


def _in_json(text: str) -> str:
    return text if text.isprintable() else _CONTROLS.sub(lambda found: f"\\u{ord(found[0]):04x}", text)


def cell(value: object) -> object:
    """A cell of a table for a spreadsheet: a text that would be taken for a formula is led by an apostrophe."""
    if not isinstance(value, str) or not _FORMULA.match(value) or _NUMBER.fullmatch(value):
        return value
    return f"'{value}"


def page(text: str) -> str:
    """A text inside an element of a page, or inside an attribute's quotes."""
    return html.escape(_UNFIT.sub("\ufffd", text), quote=True)


def calendar(text: str) -> str:
    """A value of a calendar: any line end is a newline, which the writer of the file escapes; nothing else steers."""
    return _UNFIT.sub("", re.sub("\r\n?|[\x85\u2028\u2029]", "\n", text))


def linked(link: str, names: Mapping[str, str]) -> str:
    """The link of a tree: what stands in braces is filled in, percent-encoded (RFC 3986), a path's slashes apart."""
    return PLACEHOLDER.sub(lambda found: quote(names[found[1]], safe="/") if found[1] in names else found[0], link)


def link_fault(link: str) -> tuple[str, str]:
    """What is wrong with a link for codes, and what to do; empty texts where nothing is."""
    scheme = _SCHEME.match(link)
    if scheme and scheme[1].casefold() in _RUNS:
        return f"a link that begins with '{scheme[1]}:' would run something", "put an address there: https://…/{file}"
    if _NO_LINK.search(link):
        return (
            "the link holds a space, a line end or a sign that no address has",
            "put an address there: https://…/{file}",
        )
    unknown = next((name for name in PLACEHOLDER.findall(link) if name not in IN_LINKS), None)
    if unknown is not None:
        return f"the link has no place named '{{{unknown}}}'", "put {file} (trees/014.yaml) or {tag} (014) there"
    if not PLACEHOLDER.search(link):
        return "the link names no tree", "put {file} (trees/014.yaml) or {tag} (014) where the tree belongs"
    return "", ""
