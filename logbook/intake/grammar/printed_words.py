"""Words just as paper prints them of an entry, read back by the fields' own declarations: what stands there is what was printed.

Behind a work this knows no other spelling: what differs from print at all is heard as a grower's own words are.
"""

from __future__ import annotations

import re
from collections.abc import Sequence
from datetime import date
from functools import cache

from ...collection.dates import on_day
from ...collection.entry_text import render_entry
from ...collection.fields import Entry
from ...collection.kinds import NoteContext, NoteWords, PlaceName, Record
from ...horticulture.knowledge import Knowledge
from .clauses import Ear
from .details import HEARD, Fields

_ANY_DAY = on_day(date(2000, 1, 1))
_PLACED = re.compile(r"(?:moved|bench)\s+(?:to\s+)?(?:the\s+)?(.+)", re.IGNORECASE)


@cache
def _notes(entries: Record[Entry], *, quiet: bool = False) -> NoteWords:
    """The fields that are read so; of the `quiet` ones a grower's own words say nothing."""
    fields = [
        f for f in entries.fields if not (f.words.quiet and f.words.paper == "{}")
    ]  # a remark is said by anything
    return NoteWords([f for f in fields if f.words.quiet or isinstance(f.kind.inner(), Record) or not quiet])


def as_printed(segment: str, ear: Ear) -> Fields | None:
    """The fields of an entry that begins with a work, or is its bare name, as paper prints it; or fields known by their first words."""
    place = _PLACED.match(segment)
    known = place and _bench_named(place[1], ear)
    if known:
        return {"bench": known}
    work, rest = _work_before(segment, ear.knowledge)
    if not work and not _notes(ear.entries, quiet=True).start(rest):
        return None
    note = NoteContext(ear.tongue.units, ear.knowledge.words, ear.southern, ("work",) if work else ())
    parts, used = _notes(ear.entries).run(rest, note)
    if used != len(rest) or not (work or parts):
        return None
    places = [key for key in parts if isinstance(ear.entries.by_key[key].kind, PlaceName)]
    if not all(_is_place(str(parts[key]), ear) for key in places):
        return None
    parts.update({key: _bare_place(str(parts[key]), ear) for key in places})
    if not work:
        return parts
    found = {"work": work, **parts}
    printed = render_entry(ear.entries.heard({"date": _ANY_DAY, **found}), ear.tongue.units)
    return found if printed.casefold() == segment.casefold() else None


def _bench_named(said: str, ear: Ear) -> str:
    return next((b for b in ear.benches if b.casefold() == said.casefold()), "")


def _work_before(segment: str, knowledge: Knowledge) -> tuple[str, Sequence[str]]:
    """The work by its own name at the beginning, and the words behind it."""
    head, _, rest = segment.partition(", ")
    named = head.casefold()
    return (named, rest.split()) if named in knowledge.works else ("", segment.split())


def _is_place(named: str, ear: Ear) -> bool:
    """Whether it is a place for sure: one that is known, or one with a number; else it is heard as growers say it."""
    return named in ear.benches or named.split()[-1][:1].isdigit()


def _bare_place(named: str, ear: Ear) -> str:
    """A place without the word that only says that it is one: `bench north 4`."""
    bare = re.sub(r"^(?:the\s+)?bench\s+(?=\S+\s+\S)", "", named, flags=re.IGNORECASE)
    return named if named in ear.benches else bare


def declared(segment: str, ear: Ear) -> tuple[str, Fields]:
    """What stands before fields that only their declaration tells of, and those fields: they end a line, behind any work."""
    words, fields = segment.split(), _only_declared(ear.entries)
    for at in range(len(words) if fields.fields else 0):
        note = NoteContext(ear.tongue.units, ear.knowledge.words, ear.southern)
        parts, used = fields.run(words[at:], note)
        if parts and at + used == len(words):
            return " ".join(words[:at]), parts
    return segment, {}


@cache
def _only_declared(entries: Record[Entry]) -> NoteWords:
    return NoteWords([f for f in entries.fields if (f.words.any_work or f.words.detail) and f.key not in HEARD])
