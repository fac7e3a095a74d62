"""What a grower's line says: its clauses read one by one, and made into entries; what is left stays as their remark."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any

from ...horticulture.knowledge import Knowledge
from .clauses import Ear, Read, read_clause
from .details import Fields, details_in
from .numbers import length_at
from .guards import WIRE_WORKS, conditional, is_imperative, leads
from .slips import slip_in
from .tray import Proposal, ending_told, less_of_a_tray
from .words import Clause, Token, clauses_of

_NEARLY_NOTHING = frozenset(
    "gave did had made done got give gets well nicely put job session work x ok yes good fine please yay".split()
)
_PRONOUNS = frozenset(("it", "them", "they"))
_NOUNS = frozenset("WIRE GUY PASTE CANDLE NEEDLE LEAF FLOWER BRANCH MOSS LAYER GRAFT FRUIT DEADWOOD".split())


@dataclass(frozen=True, slots=True)
class Heard:
    """A line, heard. `parts` are its entries' fields; `question` what must be asked about them; `meant` a misspelt line
    mended; `partly`: words were kept that nothing was made of; `proposal`: what else might follow of it."""

    parts: tuple[Fields, ...] = ()
    question: str = ""
    hint: str = ""
    meant: Fields | None = None
    partly: bool = False
    proposal: Proposal | None = None
    bare_wire: bool = False
    nothing_read: bool = False


@dataclass(slots=True)
class _Entry:
    fields: dict[str, Any]
    spans: list[tuple[int, int]] = field(default_factory=list)
    from_details: bool = False


@dataclass(slots=True)
class _Page:
    """Entries as they come, and what waits to be kept with the next one."""

    line: str
    ear: Ear
    entries: list[_Entry] = field(default_factory=list)
    work: _Entry | None = None
    waiting: list[tuple[int, int]] = field(default_factory=list)
    asks: list[tuple[str, str, str]] = field(default_factory=list)
    noun: frozenset[str] = frozenset()
    measure: str = ""
    strong: bool = False
    proposal: Proposal | None = None
    bare_wire: bool = False
    read: int = 0

    def ask(self, why: str, hint: str = "", work: str = "") -> None:
        """Something to be asked; `work`: it is settled where the line tells that work plainly elsewhere."""
        self.asks.append((why, hint, work))

    def add(self, fields: Mapping[str, Any], span: tuple[int, int] | None = None) -> _Entry:
        entry = _Entry(dict(fields), list(self.waiting))
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
            self.entries.append(_Entry({}, [span]))
        else:
            self.waiting.append(span)


def hear(line: str, ear: Ear) -> Heard:
    """A line without its day, read: entries, remarks, and what must be asked."""
    page = _Page(line, ear)
    if ear.job:
        page.work = page.add(ear.job)
        page.noun = _nouns_of(str(ear.job.get("work", "")))
    gone = less_of_a_tray(line, ear.count)
    if gone:
        return Heard(({"note": line},), gone.told, gone.hint, proposal=gone.proposal)
    at = 0
    for segment in line.split(";"):
        _segment(page, segment, at)
        at += len(segment) + 1
    return _heard(page)


def _segment(page: _Page, segment: str, at: int) -> None:
    bare = segment.strip()
    if not bare:
        return
    start = at + segment.index(bare)
    page.strong = True
    kept = keyword_part(bare)
    if kept is not None:
        page.add(kept)
        page.read += 1
        return
    clauses = [_moved(c, start) for c in clauses_of(bare, page.ear.tongue.words)]
    words = page.ear.tongue.words
    if not clauses:
        page.keep((start, start + len(bare)), apart=True)
    elif conditional(clauses, words) or leads(clauses, words):
        _under_a_condition(page, clauses, (start, start + len(bare)))
    else:
        for clause in clauses:
            _clause(page, clause)


def _moved(clause: Clause, by: int) -> Clause:
    tokens = tuple(
        Token(t.text, t.low, t.start + by, t.end + by, t.kind, t.classes, t.plan, t.inert) for t in clause.tokens
    )
    return Clause(tokens, clause.strong, clause.asked, clause.joined, clause.stop and clause.stop + by)


def keyword_part(segment: str) -> Fields | None:
    """`note …`, `remark …`, `intend … by …`, `photo path`: kept as they stand."""
    first, _, rest = segment.partition(" ")
    word, said = first.casefold().rstrip(":"), rest.strip()
    if word in ("note", "remark") and said:
        return {"note": said}
    if word == "photo" and " " not in said and ("." in said or "/" in said):
        return {"photo": said}
    if said and (word == "meant" or (len(word) >= 3 and "intend".startswith(word))):
        return _intention(said)
    return None


def _intention(said: str) -> Fields:
    """`remove S1 by autumn 2028`: the day at the end is when it is to be done by."""
    found = re.fullmatch(
        r"(.+?) by (?:(spring|summer|autumn|fall|winter) )?(\d{4}(?:-\d{2}){0,2})", said, re.IGNORECASE
    )
    if not found:
        return {"intend": said}
    seasons = {"spring": "21", "summer": "22", "autumn": "23", "fall": "23", "winter": "24"}
    season = seasons.get((found[2] or "").casefold())
    return {"intend": {"what": found[1], "by": f"{found[3]}-{season}" if season else found[3]}}


def _under_a_condition(page: _Page, clauses: Sequence[Clause], span: tuple[int, int]) -> None:
    """All of it is told as meant: an intention where it tells itself what to do, else a remark; a mark of a question asks."""
    for clause in clauses:
        read = read_clause(clause, page.ear, page.noun)
        if is_imperative(clause, read.matches) and not any(c.asked for c in clauses):
            page.entries.append(_Entry({"intend": page.line[span[0] : span[1]]}))
            page.read += 1
            return
    page.keep(span, apart=True)


def _clause(page: _Page, clause: Clause) -> None:
    clause = _with_pronoun(clause, page.noun)
    read = read_clause(clause, page.ear, page.noun)
    span = (clause.start, clause.end)
    apart = clause.strong or page.strong
    page.strong = False
    if clause.asked and (read.facts or read.guard.kind == "ask"):
        page.ask(f"'{page.line[slice(*span)]}?' asks something: was it done?")
        page.keep(span, apart=apart)
    elif read.ending:
        _ended(page, read, span, apart)
    elif read.guard.kind and read.guard.kind != "ask":
        if not (read.guard.kind == "no" and not read.matches and _attached(page, clause, wholly=True)):
            _guarded(page, clause, read, span, apart)
    elif read.facts:
        _facts(page, clause, read, apart)
    elif not _measured_before(page, clause) and not _attached(page, clause):
        _unread(page, clause, read, span, apart)
    page.measure = _measure_named(clause, page.ear) if not read.facts else ""
    page.noun = frozenset(c for t in clause.tokens for c in t.classes) & _NOUNS or page.noun


def _with_pronoun(clause: Clause, noun: frozenset[str]) -> Clause:
    """`took it off`: it is what was spoken of last."""
    has_own = any(t.classes & _NOUNS for t in clause.tokens)
    if not noun or has_own or not any(t.low in _PRONOUNS for t in clause.tokens):
        return clause
    tokens = tuple(
        Token(t.text, t.low, t.start, t.end, t.kind, noun, t.plan) if t.low in _PRONOUNS else t for t in clause.tokens
    )
    return Clause(tokens, clause.strong, clause.asked, clause.joined, clause.stop)


def _ended(page: _Page, read: Read, span: tuple[int, int], apart: bool) -> None:
    told = ending_told(read.ending)
    page.ask(told.told, told.hint)
    page.proposal = told.proposal
    page.keep(span, apart=apart)


def _guarded(page: _Page, clause: Clause, read: Read, span: tuple[int, int], apart: bool) -> None:
    if is_imperative(clause, read.matches) and read.guard.kind in ("wish", "time") and not clause.asked:
        page.add({"intend": page.line[slice(*span)]})
        page.read += 1
    else:
        if read.guard.kind == "no" and _denies_part(read, clause):
            page.ask(f"'{page.line[slice(*span)]}' denies something of the work it names: what was done?")
        page.keep(span, apart=apart)


def _denies_part(read: Read, clause: Clause) -> bool:
    """`wire off no branches`: the work is told first, and then something is taken back."""
    return bool(
        read.matches
        and read.matches[0].frame.name in WIRE_WORKS
        and read.guard.words in ("no", "none", "without")
        and clause.tokens[max(read.matches[0].places)].start < next(t.start for t in clause.tokens if t.low == read.guard.words)
    )


def _facts(page: _Page, clause: Clause, read: Read, apart: bool) -> None:
    """The facts of a clause as entries; what it leaves is kept with the last of them."""
    if read.guard.kind == "ask":
        page.ask(f"'{read.guard.words}' leaves open what was done: is it as read?")
    for why, hint in read.asks:
        page.ask(why, hint)
    if apart and page.waiting:
        page.entries.append(_Entry({}, page.waiting))
        page.waiting = []
    if _told_already(page, read):
        if not _attached(page, clause):
            page.keep((clause.start, clause.end), apart=apart)
        return
    for fact in read.facts:
        page.read += 1
        work = str(fact.fields.get("work", ""))
        if fact.asks:
            page.ask(fact.asks, fact.hint, work)
        elif work:
            page.asks = [a for a in page.asks if a[2] != work]
        page.bare_wire = page.bare_wire or fact.bare_wire
        same = _same_work(page, fact.fields)
        if same is not None:
            same.fields = {**same.fields, **{k: v for k, v in fact.fields.items() if k != "work"}}
            entry = same
        elif "work" in fact.fields and page.work is not None and _took_it_off(page.work, fact.fields, clause):
            page.work.fields |= {"work": "wire off"}
            entry = page.work
        elif page.ear.job and set(fact.fields) == {"vigour"} and page.entries[-1] is page.work and clause.start == 0:
            page.work.fields |= fact.fields
            entry = page.work
        elif "work" not in fact.fields and _merges(page, fact.fields):
            entry = page.entries[-1]
            entry.fields |= fact.fields
        else:
            entry = page.add(fact.fields)
        page.work = entry if "work" in entry.fields else page.work
        entry.spans += fact.left
    if not read.facts[-1].left and read.left:
        page.entries[-1].spans += read.left


def _told_already(page: _Page, read: Read) -> bool:
    """Whether a clause only tells more of what the line has told: `repotted, cut roots hard`; `wires looked at - all well`."""
    works = {entry.fields.get("work") for entry in page.entries}
    if all(fact.well for fact in read.facts):
        return bool(works - {None, "look-over"})
    if all(fact.only_bite for fact in read.facts):
        return bool(works & set(WIRE_WORKS))
    return all(fact.asks and fact.fields.get("work") in works for fact in read.facts)


def _same_work(page: _Page, fields: Mapping[str, Any]) -> _Entry | None:
    """An entry of the line for the same work whose details do not differ: one doing, told twice."""
    for entry in page.entries:
        mine = entry.fields
        if "work" in fields and mine.get("work") == fields["work"] and not (
            "branches" in mine and "branches" in fields and entry.fields is not page.ear.job and mine["branches"] != fields["branches"]
            and not (page.ear.job and entry is page.entries[0])
        ):
            return entry
    return None


def _took_it_off(work: _Entry, fields: Mapping[str, Any], clause: Clause) -> bool:
    """`wire on 3 was biting so I took it off`: one doing on the branches that were named."""
    pronoun = any(t.low in _PRONOUNS for t in clause.tokens)
    return pronoun and fields["work"] == "wire off" and work.fields.get("work") == "wire check"


def _merges(page: _Page, fields: Mapping[str, Any]) -> bool:
    """Measures and vigour that follow each other make one entry."""
    if not page.entries or page.waiting:
        return False
    last, plain = page.entries[-1].fields, {"measured", "vigour"}
    both = "measured" in last and "measured" in fields
    if both and set(fields) <= plain and set(last) <= plain and not set(last["measured"]) & set(fields["measured"]):
        last["measured"] = {**last["measured"], **fields["measured"]}
        return bool(fields.pop("measured", None)) if isinstance(fields, dict) else False
    return bool(last) and set(fields) <= plain and set(last) <= plain and not set(fields) & set(last)


def _measured_before(page: _Page, clause: Clause) -> bool:
    """`trunk was 40, now 42`; `trunk measured, 42 mm`: the number of a measure that was named in the clause before."""
    tokens = clause.tokens
    bare = tokens[1:] if tokens[0].low in ("now", "is", "today") else tokens
    named, page.measure = page.measure, ""
    if not named or len(bare) != 1 or not bare[0].numeric:
        return False
    value, _ = length_at(bare, 0, page.ear.tongue.units)
    if value is None or named == "tips":
        return False
    page.add({"measured": {named: value}})
    page.read += 1
    return True


def _measure_named(clause: Clause, ear: Ear) -> str:
    """The one measure that a clause names without telling it."""
    names = {ear.tongue.words.measures.get(t.low, "") for t in clause.tokens} - {"", "vigour"}
    return names.pop() if len(names) == 1 and len(clause.tokens) <= 4 else ""


def _attached(page: _Page, clause: Clause, *, wholly: bool = False) -> bool:
    """Whether a clause without a head word only tells details of the work before it; they are then added to it."""
    if page.work is None:
        return False
    work = page.ear.knowledge.works.get(str(page.work.fields.get("work", "")))
    if work is None:
        return False
    free = list(range(len(clause.tokens)))
    found = details_in(clause.tokens, free, work.details, work.name, page.ear.tongue)
    left = [n for n in free if n not in found.used and not _says_little(clause.tokens[n], page.ear)]
    new = {k: v for k, v in found.fields.items() if k not in page.work.fields or k == "branches"}
    if not new or (left and (wholly or not found.strong)) or (len(left) > 2 * len(found.used)):
        return False
    if clause.joined == "but" and "branches" in new:
        page.ask(f"'but {page.line[clause.start : clause.end]}' leaves out a part: which branches were done?")
        return False
    if "branches" in new and (left or "branches" in page.work.fields and not page.ear.job):
        if left or work.name in WIRE_WORKS:
            new.pop("branches")
            left = left or sorted(found.used)
        else:
            new["branches"] = [*page.work.fields["branches"], *new["branches"]]
    if not new:
        return False
    if found.asks:
        page.ask(found.asks)
    page.work.fields |= new
    page.read += 1
    page.work.spans += _spans([clause.tokens[n] for n in left])
    return True


def _unread(page: _Page, clause: Clause, read: Read, span: tuple[int, int], apart: bool) -> None:
    for why, hint in read.asks:
        page.ask(why, hint)
    job = page.ear.job is not None and len(page.entries) == 1
    little = all(_says_little(t, page.ear) or t.low in _NEARLY_NOTHING for t in clause.tokens)
    if little and (page.read or job) and len(clause.tokens) <= 3:
        return
    page.keep(span, apart=apart and not (job and not clause.strong))


def _says_little(token: Token, ear: Ear) -> bool:
    return token.kind == "mark" or (token.low in ear.tongue.words.fillers and not token.inert)


def _spans(tokens: Sequence[Token]) -> list[tuple[int, int]]:
    return [(t.start, t.end) for t in tokens]


def _heard(page: _Page) -> Heard:
    words = page.ear.tongue.words
    if not page.read and not page.asks and not page.ear.job:
        return _nothing_read(page)
    parts: list[Fields] = []
    partly = False
    if page.waiting:
        page.entries.append(_Entry({}, page.waiting))
    for entry in page.entries:
        note = _note(page.line, entry.spans, words.fillers)
        partly = partly or bool(note and entry.fields)
        if note or entry.fields:
            parts.append({**entry.fields, **({"note": note} if note else {})})
    slip = slip_in(page.line, page.ear, parts) if not page.asks else None
    if slip:
        return Heard(({"note": page.line},), slip.told, slip.hint, slip.meant)
    why, hint, _ = page.asks[0] if page.asks else ("", "", "")
    if why:
        parts = _best_reading(page.line, parts)
    return Heard(tuple(parts), why, hint, None, partly, page.proposal, page.bare_wire)


def _best_reading(line: str, parts: Sequence[Fields]) -> list[Fields]:
    """What a line that is asked about is most likely: one entry with the rest as its remark; of several, none is guessed."""
    told = [part for part in parts if set(part) - {"note"}]
    if len(told) != 1:
        return [{"note": line}]
    notes = [str(part["note"]) for part in parts if part.get("note")]
    return [{**told[0], **({"note": "; ".join(notes)} if notes else {})}]


def _nothing_read(page: _Page) -> Heard:
    slip = slip_in(page.line, page.ear, [])
    if slip:
        return Heard(({"note": page.line},), slip.told, slip.hint, slip.meant)
    return Heard(({"note": page.line},), nothing_read=True)


def _note(line: str, spans: Sequence[tuple[int, int]], fillers: frozenset[str]) -> str:
    """What was not read, word for word: neighbours together, the rest with a comma between."""
    runs: list[list[int]] = []
    for start, end in sorted(set(spans)):
        between = line[runs[-1][1] : start] if runs else "x"
        words = re.findall(r"[^\W\d_]+", between.casefold())
        if runs and (start <= runs[-1][1] or (all(w in fillers or w in ("but", "so", "plus") for w in words) and not re.search(r"[\d.;]", between))):
            runs[-1][1] = max(runs[-1][1], end)
        else:
            runs.append([start, end])
    return ", ".join(line[start:end] for start, end in runs)


def _nouns_of(work: str) -> frozenset[str]:
    named = {"wire off": "WIRE", "wire check": "WIRE", "candle removal": "CANDLE", "needle thinning": "NEEDLE"}
    return frozenset({named[work]} if work in named else ())
