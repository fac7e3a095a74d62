"""What is heard of a line as it goes: its entries, what waits to be kept with them, and what must be asked."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import field

from ...values import dataclass
from .clauses import Ear
from .details import Fields
from .figures import soil_without_a_part
from .scraps import made_whole
from .slips import Mend, slip_in
from .tray import Proposal
from .words import Token


@dataclass(frozen=True, slots=True)
class Heard:
    """A line, heard. `parts` are its entries' fields; `question` what must be asked about them; `meant` a misspelt line
    mended; `partly`: words were kept that nothing was made of; `proposal`: what else might follow of it; `less`: how many of a tray
    are `gone`, by which way. `guessed`: its work was only guessed, from a slip, from words that may say it, or from a verb that may be a plan."""

    parts: tuple[Fields, ...] = ()
    question: str = ""
    hint: str = ""
    meant: Fields | None = None
    partly: bool = False
    proposal: Proposal | None = None
    bare_wire: bool = False
    nothing_read: bool = False
    less: int = 0
    gone: str = ""
    guessed: bool = False


@dataclass(slots=True)
class Entry:
    """One entry in the making: its fields and where they stand in the line."""

    fields: dict[str, object]
    spans: list[tuple[int, int]] = field(default_factory=list)


@dataclass(slots=True)
class Page:
    """Entries as they come, and what waits to be kept with the next one."""

    line: str
    ear: Ear
    entries: list[Entry] = field(default_factory=list)
    work: Entry | None = None
    waiting: list[tuple[int, int]] = field(default_factory=list)
    asks: list[tuple[str, str, str]] = field(default_factory=list)
    noun: frozenset[str] = frozenset()
    measure: str = ""
    in_cm: bool = False
    strong: bool = False
    proposal: Proposal | None = None
    bare_wire: bool = False
    read: int = 0
    tokens: list[Token] = field(default_factory=list)
    clauses: list[tuple[int, int]] = field(default_factory=list)
    mend: Mend | None = None
    only_meant: bool = False

    def ask(self, why: str, hint: str = "", work: str = "") -> None:
        """Something to be asked; `work`: it is settled where the line tells that work plainly elsewhere."""
        self.asks.append((why, hint, work))

    def add(self, fields: Mapping[str, object], span: tuple[int, int] | None = None) -> Entry:
        """Begin an entry; spans that waited for one go with it."""
        entry = Entry(dict(fields), list(self.waiting))
        self.waiting = []
        if span:
            entry.spans.append(span)
        self.entries.append(entry)
        return entry

    def keep(self, span: tuple[int, int], *, apart: bool) -> None:
        """Words that nothing is made of: with the entry of the same sentence, else by themselves, else with the next."""
        if self.entries and not apart:
            self.entries[-1].spans.append(span)
        elif self.entries and not self.waiting:
            self.entries.append(Entry({}, [span]))
        else:
            self.waiting.append(span)


def heard_on(page: Page) -> Heard:
    """What a line comes to, once all of its clauses were read."""
    if not page.read and not page.asks and not page.ear.job:
        return _nothing_read(page)
    parts, partly = _parts_of(page)
    guessed = bool(page.asks) and all(work for _, _, work in page.asks)
    slip = _slip(page, parts, guessed=guessed) if guessed or not page.asks else None
    if slip:
        return slip
    why, hint, work = page.asks[0] if page.asks else _soil_asked(page, parts)
    if why:
        parts = _best_reading(page.line, parts)
    return Heard(
        tuple(parts), why, hint, None, partly, page.proposal, page.bare_wire, guessed=bool(work) or page.only_meant
    )


def _soil_asked(page: Page, parts: Sequence[Fields]) -> tuple[str, str, str]:
    """What must be asked about a soil without its part; nothing where there is none."""
    words = page.ear.tongue.words
    soils = (soil_without_a_part("mix" in part, str(part.get("note", "")), words) for part in parts)
    soil = next(filter(None, soils), "")
    return (f"'{soil}' has no part of the mix: how much of it?", "write the mix anew", "") if soil else ("", "", "")


def _parts_of(page: Page) -> tuple[list[Fields], bool]:
    """The entries' fields with their remarks, and whether words stand beside what was read."""
    words = page.ear.tongue.words
    parts: list[Fields] = []
    partly = False
    if page.waiting:
        page.entries.append(Entry({}, page.waiting))
    for entry in page.entries:
        spans = made_whole(entry.spans, page.clauses) if "work" in entry.fields else entry.spans
        note = _note(page.line, spans, words.fillers)
        partly = partly or bool(note and entry.fields)
        if note or entry.fields:
            parts.append({**entry.fields, **({"note": note} if note else {})})
    return parts, partly


def _slip(page: Page, parts: Sequence[Fields], *, guessed: bool = False) -> Heard | None:
    """The question about a slip of the pen; None where there is none."""
    slip = slip_in(page.line, page.ear, parts, page.tokens, mend=page.mend, guessed=guessed) if page.mend else None
    return Heard(({"note": page.line},), slip.why, slip.hint, slip.meant, guessed=True) if slip else None


def _best_reading(line: str, parts: Sequence[Fields]) -> list[Fields]:
    """What a line that is asked about is most likely: one entry with the rest as its remark; of several, none is guessed."""
    told = [part for part in parts if set(part) - {"note"}]
    if len(told) != 1:
        return [{"note": line}]
    notes = [str(part["note"]) for part in parts if part.get("note")]
    return [{**told[0], **({"note": "; ".join(notes)} if notes else {})}]


def _nothing_read(page: Page) -> Heard:
    return _slip(page, []) or Heard(({"note": page.line},), nothing_read=True)


def _note(line: str, spans: Sequence[tuple[int, int]], fillers: frozenset[str]) -> str:
    """What was not read, word for word: neighbours together, the rest with a comma between."""
    runs: list[list[int]] = []
    for start, end in sorted(set(spans)):
        between = line[runs[-1][1] : start] if runs else "x"
        words = re.findall(r"[^\W\d_]+", between.casefold())
        if runs and (
            start <= runs[-1][1]
            or (all(w in fillers or w in ("but", "so", "plus") for w in words) and not re.search(r"[\d.;]", between))
        ):
            runs[-1][1] = max(runs[-1][1], end)
        else:
            runs.append([start, end])
    return ", ".join(line[start:end] for start, end in runs)
