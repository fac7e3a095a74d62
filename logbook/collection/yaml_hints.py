"""Plain advice for the usual slips of the YAML hand: what a parser's complaint most likely means.

Works on text and a spot only. The parser's own words differ between its C and Python forms, so they are sorted
into a few plain sentences here and never shown as they come.
"""

from __future__ import annotations

import re
from collections.abc import Callable

from ..values import dataclass

_BREAK = re.compile("\r\n|[\n\r\x85\u2028\u2029]")
_FORBIDDEN = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f\ud800-\udfff\ufffe\uffff]")
_MERGE = re.compile(r"^(<{7}|={7}|>{7}|\|{7})( |$)")
_NBSP = re.compile("^[ \t]*[\u00a0\u2007\u202f\u3000]+")


@dataclass(frozen=True, slots=True)
class Advice:
    """Where to look (0-based line and column), what was found and what to do."""

    line: int
    column: int
    width: int
    message: str
    hint: str


def yaml_lines(text: str) -> list[str]:
    """Lines as YAML 1.1 counts them (NEL, LS and PS break too)."""
    return _BREAK.split(text)


def forbidden_character(text: str) -> int:
    """Index of the first character YAML can't hold, or -1 where there is none."""
    found = _FORBIDDEN.search(text)
    return found.start() if found else -1


def printable(line: str) -> str:
    """The line with what can't be shown replaced by U+FFFD."""
    return _FORBIDDEN.sub("\ufffd", line)


def line_and_column(text: str, index: int) -> tuple[int, int]:
    """0-based line and column of a character."""
    line, start = 0, 0
    for match in _BREAK.finditer(text, 0, index):
        line, start = line + 1, match.end()
    return line, index - start


def advice(
    text: str,
    line: int,
    column: int,
    problem: str,
    context: str,
    context_line: int | None,
    context_column: int | None,
) -> Advice:
    """Turn a parser's complaint into plain words and the likeliest spot."""
    lines = [*yaml_lines(text), "", ""]  # a parser may point past the last line
    around = range(max(0, line - 1), min(len(lines), line + 1))
    for scan in (_merge_marker, _fullwidth_colon, _odd_space):
        for number in (*around, *([context_line] if context_line is not None else [])):
            found = scan(number, lines[number])
            if found:
                return found
    spot = _Spot(line, column, lines, context_line, context_column)
    said = f"{problem} | {context}"
    for words, advise in _COMPLAINTS:
        if all(word in said for word in words):
            return advise(spot)
    return Advice(line, column, 1, f"this is not YAML: {problem}", "quote the text if it holds special characters")


def _merge_marker(number: int, line: str) -> Advice | None:
    if not _MERGE.match(line):
        return None
    return Advice(number, 0, 7, "a merge conflict was left in the file", "keep one side and delete the marker lines")


def _fullwidth_colon(number: int, line: str) -> Advice | None:
    at = line.find("：")
    if at < 0 or ": " in line or line.endswith(":"):
        return None
    return Advice(number, at, 1, "a full-width colon '：' does not end a key", "type an ordinary ':' and a space")


def _odd_space(number: int, line: str) -> Advice | None:
    found = _NBSP.match(line)
    if not found:
        return None
    return Advice(
        number, found.end() - 1, 1, "a no-break or wide space indents this line", "indent with plain spaces"
    )


def _stray_colon(line: int, column: int, lines: list[str]) -> Advice:
    if ": " in lines[line][:column]:
        return Advice(line, column, 1, "a colon and a space inside plain text", "put the whole text in double quotes")
    above = lines[line - 1] if line else ""
    if above.strip() and ":" not in above and not above.lstrip().startswith("#"):
        indent = len(above) - len(above.lstrip())
        return Advice(
            line - 1,
            indent,
            len(above.strip()),
            "expected 'key: value', found text alone",
            "put a colon and a space after the key",
        )
    return Advice(
        line, column, 1, "a key stands where none can", "check the indentation of this line and the one above it"
    )


def _bad_start(line: int, column: int, lines: list[str]) -> Advice:
    character = lines[line][column : column + 1]
    if character == "\t":
        return Advice(line, column, 1, "a tab indents this line", "indent with spaces")
    return Advice(line, column, 1, f"plain text can't begin with '{character}'", "put the text in double quotes")


def _unclosed(
    line: int, column: int, lines: list[str], context_line: int | None, context_column: int | None
) -> Advice:
    at, col = (line, column) if context_line is None else (context_line, context_column or 0)
    opener = lines[at][col : col + 1]
    closer = {"{": "}", "[": "]"}.get(opener)
    if closer is None:
        return Advice(line, column, 1, "expected ',' or a closing bracket", "check the brackets of this line")
    return Advice(
        at,
        col,
        1,
        f"this '{opener}' is not closed, or a ',' is missing, before line {line + 1}",
        f"separate the values with ',' and close with '{closer}'; quote text that holds , : {{ }} [ or ]",
    )


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a parser stopped, and where what it was reading had begun (0-based)."""

    line: int
    column: int
    lines: list[str]
    context_line: int | None
    context_column: int | None

    @property
    def begun(self) -> tuple[int, int]:
        """Line and column of the beginning, as far as it is known."""
        return (
            (self.line, self.column) if self.context_line is None else (self.context_line, self.context_column or 0)
        )


def _open_quote(spot: _Spot) -> Advice:
    line, column = spot.begun
    return Advice(line, column, 1, "this quote is never closed", "close it, or write the text without quotes")


def _text_alone(spot: _Spot) -> Advice:
    where, _ = spot.begun
    width = max(1, len(spot.lines[where].strip()))
    hint = "put a colon and a space after the key"
    return Advice(where, spot.context_column or 0, width, "expected 'key: value', found text alone", hint)


def _indentation(spot: _Spot) -> Advice:
    hint = "use spaces and give lines of one level the same indentation"
    return Advice(spot.line, spot.column, 1, "this line's indentation fits none of the lines above it", hint)


def _tab(spot: _Spot) -> Advice:
    return Advice(spot.line, spot.column, 1, "a tab indents this line", "indent with spaces")


def _too_deep(spot: _Spot) -> Advice:
    return Advice(spot.line, spot.column, 1, "values are nested more than 40 deep", "is this the right file?")


# the parsers' own words, C and Python forms alike, and what each most likely means; the first that fits
_COMPLAINTS: tuple[tuple[tuple[str, ...], Callable[[_Spot], Advice]], ...] = (
    (("found unexpected end of stream", "quoted"), _open_quote),
    (("mapping values are not allowed",), lambda s: _stray_colon(s.line, s.column, s.lines)),
    (("nesting depth",), _too_deep),
    (("tab character",), _tab),
    (("cannot start any token",), lambda s: _bad_start(s.line, s.column, s.lines)),
    (("expected ',' or",), lambda s: _unclosed(s.line, s.column, s.lines, s.context_line, s.context_column)),
    (("could not find expected ':'",), _text_alone),
    (("block mapping",), _indentation),
    (("block collection",), _indentation),
    (("block sequence",), _indentation),
)
