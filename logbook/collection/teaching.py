"""A tree's text cut down to what it teaches the garden: its signs of spring, and what says which tree that was and where it stood.

For questions about one tree, which would else read every log from end to end. Only what is laid out as the tool and most keepers do it
is cut: keys from the margin on, the log as a list below its key. Of anything else all is read.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Sequence

from .model import tag_key

KEYS = frozenset(("tag", "species", "group", "treat_as", "bench", "indoors"))  # beside the log
SAYS = ("saw", "bench", "found", "replaces")  # keys of entries with signs, and of those that a sign hangs on
# escapes, odd line ends and indents, other documents
ODD = ("\\", "\t", "\r", "\x85", "\u2028", "\u2029", "\n---", "\n...", "\n%")
_ANCHOR = re.compile(r"(?:^|[\s{\[,:-])[&*]\S", re.MULTILINE)
_KEY = re.compile(r"([A-Za-z0-9_-]+):(?: |$)")
_SAYS = re.compile(rf"\b(?:{'|'.join(SAYS)})[\"']?\s*:")
_ITEM = re.compile(r" *- ")
_OPENS = re.compile(r"(?:^|[\s{\[,:-])'")  # a quotation mark that is no apostrophe
# keys by which one tree tells of the spring of all, of how fast wire bites, of its older numbers
SIGNS, BITES, OLDER = b"saw", b"bite", b"also"
_TAG = re.compile(
    rb"tag[\"']?[ \t]*:[ \t]*(?:\"([^\"\\\r\n]*)\"|'([^'\r\n]*)'|([^\s\"'#&*>|{\[!,}\\][^\r\n#,}\\]*))?"
)
Block = tuple[str, list[str]]


def plain_tag(raw: bytes) -> str:
    """The folded tag of a tree's file, where it stands there plainly; else nothing, and the file has to be read."""
    found = [
        match for match in _TAG.finditer(raw) if raw[match.start() - 1 : match.start()] in (b"", b"\n", b'"', b"'")
    ]
    said = [value for match in found for value in match.groups() if value is not None]
    if len(found) != 1 or len(said) != 1 or b"\\" in raw:
        return ""
    return tag_key(said[0].decode("utf-8", "replace").strip())


def what_it_teaches(text: str, is_sound: Callable[[str], bool] = bool) -> str | None:
    """The part of a tree's text that teaches something; None where it can't be told apart from the rest with certainty.

    `is_sound` says of an entry's text whether it can be read: those that can't be are left out.
    """
    plain = text.replace("\r\n", "\n").removesuffix("\n")
    blocks = None if _is_odd(plain) else _blocks(plain.split("\n"))
    names = [name for name, _ in blocks or () if name == "log" or name in KEYS]
    if blocks is None or len({*names}) < len(names):
        return None
    parts = [_part(name, lines, is_sound) for name, lines in blocks]
    return "".join(f"{line}\n" for part in parts for line in part or ()) if None not in parts else None


def _is_odd(text: str) -> bool:
    """Whether lines and signs may mean something else in it than they seem to."""
    return any(odd in f"\n{text}" for odd in ODD) or (("&" in text or "*" in text) and bool(_ANCHOR.search(text)))


def _part(name: str, lines: list[str], is_sound: Callable[[str], bool]) -> list[str] | None:
    """What a key's lines teach; None where it is not certain where they end."""
    if name != "log":
        return (lines if name in KEYS else []) if _ends(lines) else None
    log = _entries(lines)
    if log is None or not all(map(_ends, log)):
        return None
    some = [line for entry in log if _says(entry) and is_sound(_alone(entry)) for line in entry]
    return ["log:", *some] if some else ["log: []"]


def _blocks(lines: Iterable[str]) -> list[Block] | None:
    """The lines of each key at the margin; None where something else stands there."""
    blocks: list[Block] = []
    for line in lines:
        if line[:1] not in ("", " ", "#") and not (blocks and line.startswith("- ")):
            found = _KEY.match(line)
            if found is None:
                return None
            blocks.append((found[1], [line]))
        elif blocks:
            blocks[-1][1].append(line)
        elif line.strip() and line[0] != "#":
            return None
    return blocks


def _entries(lines: Sequence[str]) -> list[list[str]] | None:
    """The lines of each entry below `log:`; None where it is no plain list."""
    entries: list[list[str]] = []
    if lines[0].rstrip() not in ("log:", "log: []"):
        return None
    dash = ""
    for line in _told(lines[1:]):
        found = _ITEM.match(line)
        if found and found[0] == (dash or found[0]):
            dash = found[0]
            entries.append([line])
        elif entries and len(line) - len(line.lstrip()) >= len(dash):
            entries[-1].append(line)
        else:
            return None
    return entries


def _says(entry: Sequence[str]) -> bool:
    return any(word in line for line in entry for word in SAYS) and any(map(_SAYS.search, entry))


def _alone(entry: Sequence[str]) -> str:
    """An entry's text by itself, as it stands behind its dash."""
    deep = len(entry[0]) - len(entry[0].lstrip(" -"))
    return "\n".join([" " * deep + entry[0][deep:], *entry[1:]])


def _told(lines: Iterable[str]) -> Iterator[str]:
    return (line for line in lines if line.strip() and line.lstrip()[0] != "#")


def _ends(lines: Sequence[str]) -> bool:
    """Whether what these lines quote or put into brackets ends in them."""
    text = lines[0] if len(lines) == 1 else "\n".join(lines)
    if text.count("{") != text.count("}") or text.count("[") != text.count("]"):
        return False
    return text.count('"') % 2 == 0 and (text.count("'") % 2 == 0 or not _OPENS.search(text))
