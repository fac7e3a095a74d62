"""What a grower's line says: its clauses read one by one, and made into entries; what is left stays as their remark."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from dataclasses import replace

from ...collection.kinds import NoteContext
from .attaching import attached, goes_on_with_branches, measure_named, measured_before, says_little
from .clauses import Ear, Fact, Read, clause_text, read_clause
from .details import Fields
from .doubts import doubted
from .guards import conditional, is_imperative, leads
from .labels import work_first
from .listed import listed
from .page import Entry, Heard, Page, heard_on
from .printed_words import as_printed, declared
from .told_keys import told_key
from .tray import Less, ending_question, less_of_a_tray
from .vocabulary import Vocabulary
from .words import Clause, Token, clauses_of

__all__ = ["Heard", "hear"]

_NEARLY_NOTHING = listed(
    "gave did had made done got give gets well nicely put job session work x ok yes good fine please yay"
)
_PRONOUNS = frozenset(("it", "them", "they"))
REMARKS = ("note", "remark")  # first words of what is kept as it stands
_WIRE, _JOB_NOUNS = listed("WIRE"), listed("CANDLE NEEDLE")
_NOUNS = listed("WIRE GUY PASTE CANDLE NEEDLE LEAF FLOWER BRANCH MOSS LAYER GRAFT FRUIT DEADWOOD CUTTINGS SEEDLING")


def hear(line: str, ear: Ear) -> Heard:
    """A line without its day, read: entries, remarks, and what must be asked."""
    return _labelled(line, ear) or _heard(line, ear)


def _labelled(line: str, ear: Ear) -> Heard | None:
    """A line whose branches stand before their work; None where that tells none of them."""
    told = "" if ear.job else work_first(line)
    heard = _heard(told, ear) if told else None
    branches = heard is not None and any("branches" in part for part in heard.parts)
    return heard if heard is not None and branches and not heard.question else None


def _mended(line: str, ear: Ear) -> Fields | None:
    """The one entry that a line makes whose misspelt word was mended; None where it makes several, or is asked itself."""
    heard = _heard(line, ear, mended=True)
    return heard.parts[0] if len(heard.parts) == 1 and not heard.question and set(heard.parts[0]) - {"note"} else None


def _heard(line: str, ear: Ear, *, mended: bool = False) -> Heard:
    page = Page(line, ear, mend=None if mended else lambda told: _mended(told, ear))
    if ear.job:
        page.work = page.add(ear.job)
        page.noun = _nouns_of(ear.job.get("work", ""), ear.tongue.words)
    if found := ear.tongue.words.guards["apart"].search(line.casefold()):
        return Heard(({"note": line},), f"'{found[0]}' leaves this tree out: was anything done to it?")
    gone = less_of_a_tray(line, ear.count)
    if gone:
        return _of_a_tray(line, gone, ear)
    at = 0
    for segment in line.split(";"):
        _segment(page, segment, at)
        at += len(segment) + 1
    said = ";".join(segment for segment in line.split(";") if keyword_part(segment.strip(), ear) is None)
    return doubted(heard_on(page), line, said, ear)


def _of_a_tray(line: str, gone: Less, ear: Ear) -> Heard:
    """`3 dead, sold 12, potted on 20`: the count goes down, and what else was done is read; what is no plain fact is asked."""
    words = ear.tongue.words
    said = line.casefold().replace("'", "")
    doubt = next((f[0] for kind in ("no", "wish", "if", "time") if (f := words.guards[kind].search(said))), "")
    doubt = doubt or ("?" if "?" in line else "")
    if doubt:
        why = f"'{doubt}' leaves open how many of the tray are gone"
        return Heard(({"note": line},), why, "write how many are left: count 25")
    rest = hear(gone.rest, replace(ear, count=1)) if gone.rest else Heard()
    parts = ({"note": gone.words}, *rest.parts)
    return replace(rest, parts=parts, less=gone.number, gone=gone.how, nothing_read=False)


def _segment(page: Page, segment: str, at: int) -> None:
    bare = segment.strip()
    if not bare:
        return
    start = at + segment.index(bare)
    page.strong = True
    kept = keyword_part(bare, page.ear)
    if kept is not None:
        page.add(kept)
        page.read += 1
        return
    bare, more = declared(bare, page.ear)
    printed = None if page.ear.job else as_printed(bare, page.ear)
    if printed is not None:
        _printed(page, printed)
    elif bare:
        _said(page, bare, start)
    if more:
        _declared(page, more, (start + len(bare), start + len(segment.strip())))


def _declared(page: Page, more: Fields, span: tuple[int, int]) -> None:
    """Fields behind a work that bears them; where it does not, the words are kept as they stand."""
    by_key, known = page.ear.entries.by_key, page.ear.knowledge.works
    work = known.get(str(page.entries[-1].fields.get("work"))) if page.entries else None
    if all(by_key[key].words.any_work or (work and key in work.details) for key in more):
        _printed(page, more, follows=True)
    else:
        page.keep(span, apart=False)


def _printed(page: Page, fields: Fields, *, follows: bool = False) -> None:
    """Fields that need no hearing; a hand, and what follows a work, belong to the entry before."""
    page.read += 1
    if page.entries and (follows or all(page.ear.entries.by_key[key].words.follows for key in fields)):
        page.entries[-1].fields |= fields
        return
    entry = page.add(fields)
    page.work = entry if "work" in fields else page.work


def _said(page: Page, bare: str, start: int) -> None:
    clauses = [_moved(c, start) for c in clauses_of(bare, page.ear.tongue.words)]
    words = page.ear.tongue.words
    page.tokens += [token for clause in clauses for token in clause.tokens]
    page.clauses += [(clause.start, clause.tokens[-1].end) for clause in clauses]
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


def keyword_part(segment: str, ear: Ear) -> Fields | None:
    """`note …`, `remark …`, `intend … by …`, `photo path`: kept as they stand."""
    first, _, rest = segment.partition(" ")
    word, said = first.casefold().rstrip(":"), rest.strip()
    if word in REMARKS and said:
        return {"note": said}
    if word == "photo" and (("." in said or "/" in said) if " " not in said else re.search(r"/.*\.\w{3,4}$", said)):
        return {"photo": said}
    told = told_key(segment, ear)
    if told is not None:
        return told
    if said and (word == "meant" or (len(word) >= 3 and "intend".startswith(word))):
        undone = ear.tongue.words.guards["undone"].search(said.casefold().replace("'", ""))
        return {"note": segment} if undone else _intention(said, ear)
    return None


def _intention(said: str, ear: Ear) -> Fields:
    """`remove S1 by autumn 2028`: the day at the end is when it is to be done by."""
    note = NoteContext(ear.tongue.units, ear.knowledge.words, ear.southern, named=True)
    heard = ear.entries.by_key["intend"].kind.typed(said.split(), note)
    return {"intend": heard[0] if heard else said}


def _under_a_condition(page: Page, clauses: Sequence[Clause], span: tuple[int, int]) -> None:
    """All of it is told as meant: an intention where it tells itself what to do, else a remark; a mark of a question asks."""
    unsure = page.ear.tongue.words.guards["unsure"].search(page.line[slice(*span)].casefold().replace("'", ""))
    for clause in clauses if not unsure else ():
        read = read_clause(clause, page.ear)
        if is_imperative(clause, read.matches) and not any(c.asked for c in clauses):
            page.entries.append(Entry({"intend": page.line[span[0] : span[1]]}))
            page.read += 1
            return
    page.keep(span, apart=True)


def _clause(page: Page, clause: Clause) -> None:
    clause = _with_pronoun(clause, page.noun)
    read = read_clause(clause, page.ear)
    apart = clause.strong or page.strong
    page.strong = False
    _put_down(page, clause, read, apart)
    page.measure = "" if _tells_facts(page, clause, read) else measure_named(clause, page.ear)
    page.noun = frozenset(c for t in clause.tokens for c in t.classes) & _NOUNS or page.noun


def _put_down(page: Page, clause: Clause, read: Read, apart: bool) -> None:
    """What a clause leads to: a question, an intention, entries, more of the entry before, or words kept."""
    span = (clause.start, clause.end)
    if clause.asked and (read.facts or read.guard.kind == "ask" or _past(read)):
        page.ask(f"'{page.line[slice(*span)].rstrip('?')}?' asks something: was it done?")
        page.keep(span, apart=apart)
    elif read.ending:
        _ended(page, read, span, apart)
    elif not read.guard.lets_stand:
        if read.guard.kind != "no" or read.matches or not attached(page, clause, wholly=True):
            _guarded(page, clause, read, span, apart)
    elif _tells_facts(page, clause, read):
        _facts(page, clause, read, apart)
    elif not measured_before(page, clause) and not attached(page, clause):
        _unread(page, clause, read, span, apart)


def _past(read: Read) -> bool:
    """Whether a work is told as done, though a wish stands beside it: `cut some off, hope that is right?`"""
    return any(match.frame.kind == "work" and not match.bare for match in read.matches)


def _tells_facts(page: Page, clause: Clause, read: Read) -> bool:
    """Whether a clause has facts; one such as `trunk measured, 42 mm` has none, since the number stands in the next clause."""
    if not measure_named(clause, page.ear):
        return bool(read.facts)
    return not all(page.ear.tongue.words.measures_only(f.fields.get("work")) for f in read.facts)


def _with_pronoun(clause: Clause, noun: frozenset[str]) -> Clause:
    """`took it off`: it is what was spoken of last."""
    has_own = any(t.classes & _NOUNS for t in clause.tokens)
    if not noun or has_own or not any(t.low in _PRONOUNS for t in clause.tokens):
        return clause
    tokens = tuple(
        Token(t.text, t.low, t.start, t.end, t.kind, noun, t.plan) if t.low in _PRONOUNS else t for t in clause.tokens
    )
    return Clause(tokens, clause.strong, clause.asked, clause.joined, clause.stop)


def _ended(page: Page, read: Read, span: tuple[int, int], apart: bool) -> None:
    question = ending_question(read.ending)
    page.ask(question.why, question.hint)
    page.proposal = question.proposal
    page.keep(span, apart=apart)


def _guarded(page: Page, clause: Clause, read: Read, span: tuple[int, int], apart: bool) -> None:
    if is_imperative(clause, read.matches) and read.guard.kind in ("wish", "time") and not clause.asked:
        page.add({"intend": page.line[slice(*span)]})
        page.read += 1
    else:
        if read.guard.kind == "no" and _denies_part(read, clause, page.ear.tongue.words):
            page.ask(f"'{page.line[slice(*span)]}' denies something of the work it names: what was done?")
        page.keep(span, apart=apart)


def _denies_part(read: Read, clause: Clause, words: Vocabulary) -> bool:
    """`wire off no branches`: the work is told first, and then something is taken back."""
    return bool(
        read.matches
        and words.wire(read.matches[0].frame.name)
        and read.guard.words in ("no", "none", "without")
        and clause.tokens[max(read.matches[0].places)].start
        < next(t.start for t in clause.tokens if t.low == read.guard.words)
    )


def _facts(page: Page, clause: Clause, read: Read, apart: bool) -> None:
    """The facts of a clause as entries; what it leaves is kept with the last of them."""
    if read.guard.kind == "ask":
        page.ask(f"'{read.guard.words}' leaves open what was done: is it as read?")
    for why, hint in read.asks:
        page.ask(why, hint)
    page.only_meant |= read.may_be_a_plan
    if apart and page.waiting:
        page.entries.append(Entry({}, page.waiting))
        page.waiting = []
    if _done_to_what_came_off(page, clause, read) or _told_already(page, read):
        if not attached(page, clause):
            page.keep((clause.start, clause.end), apart=apart)
        return
    if any("measured" in fact.fields for fact in read.facts) and _leaves_its_unit_open(page, clause):
        page.ask(f"'{clause_text(clause)}' has no unit, and centimetres stand before it: which is it?")
    for fact in read.facts:
        page.read += 1
        _asked_of(page, fact)
        entry = _entry_for(page, fact, clause)
        page.work = entry if "work" in entry.fields else page.work
        entry.spans += fact.left
    if not read.facts[-1].left and read.left:
        page.entries[-1].spans += read.left


def _leaves_its_unit_open(page: Page, clause: Clause) -> bool:
    """`31 cm high, 26 wide`: a bare number of a metric sheet behind one with its unit."""
    bare = any(t.kind == "number" and "." not in t.text for t in clause.tokens)
    before, page.in_cm = page.in_cm, page.in_cm or any(t.low.endswith("cm") for t in clause.tokens if t.numeric)
    counted = any(t.classes & {"TIP"} for t in clause.tokens)
    return before and bare and not counted and not page.ear.tongue.units.us


def _asked_of(page: Page, fact: Fact) -> None:
    """What a fact leaves to be asked; told plainly elsewhere on the line, it is settled."""
    work = str(fact.fields.get("work", ""))
    if fact.asks:
        page.ask(fact.asks, fact.hint, work)
    elif work:
        page.asks = [a for a in page.asks if a[2] != work]
    page.bare_wire = page.bare_wire or fact.bare_wire


def _entry_for(page: Page, fact: Fact, clause: Clause) -> Entry:
    """The entry that a fact belongs to: one of the line's own, or a new one."""
    fields, work = fact.fields, page.work
    same = _same_work(page, fields)
    if same is not None:
        same.fields = {**same.fields, **{k: v for k, v in fields.items() if k != "work"}}
        return same
    if work is not None and "work" in fields and _took_it_off(page, work, fields, clause):
        work.fields |= {"work": fields["work"]}
        return work
    merged = None if "work" in fields else _merged(page, fields, clause)
    if merged is None:
        return page.add(fields)
    page.entries[-1].fields = merged
    return page.entries[-1]


def _done_to_what_came_off(page: Page, clause: Clause, read: Read) -> bool:
    """`layer cut off and potted`: a verb that goes with the thing spoken of before, where its own clause names none."""
    works = [m for m in read.matches if m.frame.kind == "work"]
    if not page.read or len(works) != 1 or any(t.classes & _NOUNS for t in clause.tokens):
        return False
    return all(page.noun & page.ear.tongue.words.done_to_it.get(c, frozenset()) for c in works[0].frame.classes)


def _told_already(page: Page, read: Read) -> bool:
    """Whether a clause only tells more of what the line has told: `repotted, cut roots hard`; `wires looked at - all well`."""
    words, works = page.ear.tongue.words, {entry.fields.get("work") for entry in page.entries}
    if all(fact.well for fact in read.facts):
        return any(work and not words.is_look_over(work) for work in works)
    if all(fact.only_bite for fact in read.facts):
        return any(words.wire(work) for work in works)
    return all(fact.asks and fact.fields.get("work") in works for fact in read.facts)


def _same_work(page: Page, fields: Fields) -> Entry | None:
    """An entry of the line for the same work on no other branches: one doing, told twice. A line corrects its job's branches."""
    if "work" not in fields:
        return None
    for entry in page.entries:
        own_job = bool(page.ear.job) and entry is page.entries[0]
        other = "branches" in fields and entry.fields.get("branches", fields["branches"]) != fields["branches"]
        if entry.fields.get("work") == fields["work"] and (own_job or not other):
            return entry
    return None


def _took_it_off(page: Page, work: Entry, fields: Fields, clause: Clause) -> bool:
    """`wire on 3 was biting so I took it off`: one doing on the branches that were named."""
    pronoun = any(t.low in _PRONOUNS for t in clause.tokens)
    words = page.ear.tongue.words
    return pronoun and words.wire_off(fields["work"]) and words.wire_looked_at(work.fields.get("work"))


def _merged(page: Page, fields: Fields, clause: Clause) -> dict[str, object] | None:
    """The last entry with what follows it, measures or vigour; None where these make an entry of their own."""
    last = page.entries[-1].fields if page.entries else {}
    at_its_box = page.ear.job and page.entries[-1] is page.work and clause.start == 0
    if at_its_box and set(fields) == {"vigour"}:
        return {**last, **fields}
    if not last or page.waiting or not set(fields) | set(last) <= {"measured", "vigour"}:
        return None
    before, more = _measured(last), _measured(fields)
    if before and more:
        return None if set(before) & set(more) else {**last, **fields, "measured": {**before, **more}}
    return None if set(fields) & set(last) else {**last, **fields}


def _measured(fields: Fields) -> Mapping[str, object]:
    said = fields.get("measured")
    return said if isinstance(said, dict) else {}


def _unread(page: Page, clause: Clause, read: Read, span: tuple[int, int], apart: bool) -> None:
    for why, hint in read.asks:
        page.ask(why, hint)
    job = page.ear.job is not None and len(page.entries) == 1
    if not apart and goes_on_with_branches(page, clause):
        page.ask(f"'{page.line[slice(*span)]}' begins with a number: a branch, or a count?")
    if page.work is not None and page.ear.tongue.words.guards["part_done"].search(clause.said()):
        page.ask(f"'{page.line[slice(*span)]}': what of it was done?")
    little = all(says_little(t, page.ear) or t.low in _NEARLY_NOTHING for t in clause.tokens)
    if little and (page.read or job) and len(clause.tokens) <= 3:
        return
    page.keep(span, apart=apart and not (job and not clause.strong))


def _nouns_of(work: object, words: Vocabulary) -> frozenset[str]:
    """What `it` is behind an offered work: what is taken off or looked at, where that is one thing only."""
    if words.wire_off(work) or words.wire_looked_at(work):
        return _WIRE
    named = words.spoken.get(str(work), frozenset()) & _JOB_NOUNS
    return named if len(named) == 1 else frozenset()
