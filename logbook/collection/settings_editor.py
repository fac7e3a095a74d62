"""New normals spliced into `collection.yaml`: only their lines change, and the result is read again and proved right.

Where the file's shape leaves no safe place it is refused, with the lines to write by hand.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace

from ..diagnostics import Place, Problem, ProblemsFound, errors_in
from .fields import Normals, Settings, Site, record_of
from .units import Units
from .yaml_editor import BOM, entry_text
from .yaml_reader import Mapping, Node, Scalar, read_text
from .yaml_reader import Sequence as SequenceNode

SHOWN = "collection.yaml"
Read = Callable[[bytes], tuple[Settings | None, list[Problem]]]


def normals_lines(normals: Normals, units: Units) -> list[str]:
    """The keys of normals as lines of YAML, in a collection's units; months that were guessed are left out."""
    record = record_of(Normals)
    kept = dict(record.parts(normals))
    if normals.guessed:
        kept = {key: value for key, value in kept.items() if key not in ("tmin", "tmax")}
    order = ("years", "tmin", "tmax", "january", "april", "july", "october", "coldest_night")
    written = record.entries(kept, units)
    return [entry_text({key: written[key]})[1:-1] for key in order if key in written]


def with_normals(text: str, normals: Normals, units: Units, read: Read, latitude: float | None = None) -> str:
    """The file's text with these normals in the place of any it had. `latitude` (degrees) is wanted where it has no site.

    `read` reads settings from bytes, with their faults. Raises ProblemsFound where the splice can't be proved right.
    """
    body = text.removeprefix(BOM)
    lines = normals_lines(normals, units)
    newline = "\r\n" if "\r\n" in body else "\n"
    document = read_text(body, SHOWN)
    root = document.root
    if not isinstance(root, Mapping) or root.flow:
        raise _refused(lines)
    site = root.items.get("site")
    if site is None or (isinstance(site, Scalar) and site.is_null):
        if latitude is None or site is not None:
            raise _refused(lines)
        after = _with_site(body, lines, latitude, newline)
    elif isinstance(site, Mapping):
        after = _into_site(body, site, lines, newline)
    else:
        raise _refused(lines)
    _prove(body, after, normals, read, latitude, lines)
    return text[: len(text) - len(body)] + after


def _with_site(body: str, lines: list[str], latitude: float, newline: str) -> str:
    rows = ["site:", f"  latitude: {latitude:g}", "  normals:", *(f"    {line}" for line in lines)]
    kept = body if body.endswith(("\n", "\r")) or not body else body + newline
    return kept + newline.join(rows) + newline


def _into_site(body: str, site: Mapping, lines: list[str], newline: str) -> str:
    if site.flow:
        flow = "{" + ", ".join(lines) + "}"
        if "normals" in site.items:
            old = site.items["normals"]
            return body[: old.start.index] + flow + body[_end(old) :]
        at = max(_end(item) for item in site.items.values())
        return f"{body[:at]}, normals: {flow}{body[at:]}"
    indent = " " * min(key.start.column for key in site.keys.values())
    block = newline.join([f"{indent}normals:", *(f"{indent}  {line}" for line in lines)])
    if "normals" in site.items:
        start = body.rindex("\n", 0, site.keys["normals"].start.index) + 1
        end = _end(site.items["normals"])
        return body[:start] + block + body[end:]
    at = _line_end(body, max(_end(item) for item in site.items.values()))
    return body[:at] + newline + block + body[at:]


def _line_end(body: str, index: int) -> int:
    """Where the line of a character ends, before its newline."""
    end = body.find("\n", index)
    end = len(body) if end < 0 else end
    return end - 1 if end and body[end - 1] == "\r" else end


def _end(node: Node) -> int:
    """Where a value's own text ends: of a block, where its last inner value does."""
    if isinstance(node, Mapping) and not node.flow:
        return max((_end(item) for item in node.items.values()), default=node.end.index)
    if isinstance(node, SequenceNode) and not node.flow:
        return max((_end(item) for item in node.items), default=node.end.index)
    return node.end.index


def _prove(before: str, after: str, normals: Normals, read: Read, latitude: float | None, lines: list[str]) -> None:
    """Raises ProblemsFound unless all else reads as it did, and the normals as they were given."""
    old, _ = read(before.encode())
    new, faults = read(after.encode())
    if old is None or new is None or errors_in(faults):
        raise ProblemsFound([*errors_in(faults)] or [*_refused(lines).problems])
    site = old.site or Site(latitude if latitude is not None else 0.0)
    found = new.site.normals if new.site else None
    same = found is not None and new == replace(old, site=replace(site, normals=found))
    if not same or found is None or not _alike(found, normals):
        raise _refused(lines)


def _alike(one: Normals, other: Normals) -> bool:
    """Whether two normals are the same but for the rounding of another unit."""
    pairs = zip((*one.tmin, *one.tmax), (*other.tmin, *other.tmax), strict=False)
    return (
        len(one.tmin) == len(other.tmin)
        and all(abs(a - b) < 0.06 for a, b in pairs)
        and (one.years, one.guessed) == (other.years, other.guessed)
    )


def _refused(lines: list[str]) -> ProblemsFound:
    return ProblemsFound(
        [
            Problem(
                "the file's shape leaves no safe place for normals",
                Place(SHOWN),
                "write them by hand under site: as normals: " + "; ".join(lines),
            )
        ]
    )
