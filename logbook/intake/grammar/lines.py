"""Typed lines to readings: which sheet and line, which day, and what each part of the line means.

The grammar of the notes and nothing of the collection's state. A line that can't be read becomes a `Reading` with a
`fault` or a `question`; no text is ever dropped.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from ...collection.dates import month_number
from ...collection.units import METRIC, US
from ...storage.printed import Offered, Sheet
from .headers import HEADER_ITSELF, OWN_WORDS, WAITED, Grammar, Under, header_of
from .phrases import (
    Fields,
    Speech,
    day_before_work,
    hides_work,
    known_start,
    near_work,
    not_understood,
    read_addition,
    read_details,
    read_segment,
    read_segments,
    read_sentences,
)
from .tokens import TypedDate, almost_a_date, leading_date, plain_line

# what this tool itself writes into waiting.txt; any other line is the grower's
VIGOUR_LINE = "V"
UNREAD = "?"
UNREAD_PARTS = {UNREAD: "what stands there", "done ?": "is its box ticked", "vigour ?": "which vigour box is ticked"}
NOTHING = ("-", "–", "—")
MOST_CHARACTERS = 2_000
INTENTION = "intention"


@dataclass(frozen=True, slots=True)
class Reading:
    """One typed line, read.

    `parts` are the entries it makes (without date and source). `fault`: it can't be placed or read. `question`: it
    needs the grower's word; `parts` then hold what it is kept as if the grower says yes. `again` is the line as it can be
    given again by itself, with the day it took from above. `meant` is what a misspelt line may have been. `unread`: what
    stands on paper there is not typed yet. `mends`: the waiting line, by its notes and number, that this one was made of.
    `nothing`: the grower says that nothing stands there, or that a mended header is right.
    """

    number: int
    text: str
    tags: tuple[str, ...] = ()
    sheet: Sheet | None = None
    line: str = ""
    date: TypedDate | None = None
    parts: tuple[Fields, ...] = ()
    fault: str = ""
    hint: str = ""
    question: str = ""
    again: str = ""
    meant: Fields | None = None
    unread: bool = False
    mends: tuple[str, int] | None = None
    nothing: bool = False


def read_notes(text: str, grammar: Grammar) -> list[Reading]:
    """Read typed notes; one reading for each line that says something, headers included where they are at fault."""
    under = Under()
    readings: list[Reading] = []
    mends: tuple[str, int] | None = None
    headed = (0, "")
    for number, raw in enumerate(text.splitlines(), start=1):
        line = plain_line(raw)
        if not line or OWN_WORDS.match(line):
            if line.startswith(HEADER_ITSELF) and mends and under.started and not (under.fault or under.note):
                readings.append(Reading(*headed, under.tags[:1], mends=mends, nothing=True))
            told = WAITED.match(line)
            mends = (told[1], int(told[2])) if told else mends
            continue
        if len(line) > MOST_CHARACTERS:
            why = f"the line has {len(line):,} characters; {MOST_CHARACTERS:,} are read"
            readings.append(Reading(number, raw.strip(), fault=why, hint="break it into several lines"))
            continue
        header = header_of(line, grammar)
        if header is not None:
            under, mends, headed = header, None, (number, raw.strip())
            if under.fault:
                readings.append(Reading(number, raw.strip(), fault=under.fault, hint=under.hint))
            elif under.note:
                readings.append(
                    Reading(
                        number,
                        raw.strip(),
                        fault=under.note,
                        hint="check the tag, or add the tree with 'benchleaf add'",
                    )
                )
            continue
        readings.append(replace(_line(number, raw.strip(), line, under, grammar), mends=mends))
        mends = None
    return readings


def _line(number: int, raw: str, line: str, under: Under, grammar: Grammar) -> Reading:
    if not under.started:
        return Reading(
            number, raw, fault="nothing says which tree this is", hint="begin with 'sheet 00142-4' or 'tree 014'"
        )
    if under.fault:
        return Reading(
            number, raw, fault=f"it stands under a header that was not understood: {under.fault}", hint=under.hint
        )
    if under.sheet is None:
        return _body(number, raw, line, under, grammar, under.tags, "", None)
    return _sheet_line(number, raw, line, under, under.sheet, grammar)


def _sheet_line(number: int, raw: str, line: str, under: Under, sheet: Sheet, grammar: Grammar) -> Reading:
    head, _, rest = line.partition(" ")
    ident = head.rstrip(".):").upper()
    if ident in sheet.lines:
        tag = sheet.lines[ident]
        first, _, second = rest.partition(" ")
        if month_number(first.strip(".,:")) and not second[:1].isdigit():
            return Reading(
                number,
                raw,
                (tag,),
                sheet,
                ident,
                fault=f"is this line {ident}, or the day '{head} {first}'?",
                hint="begin each line with the number of the pencil line it stands on",
            )
        return _body(number, raw, rest, under, grammar, (tag,), ident, sheet.job(ident, tag))
    job = sheet.job(ident)
    if job is not None and not ident.isdigit():
        return _job_line(number, raw, rest, under, grammar, sheet, job)
    if ident == VIGOUR_LINE and len(sheet.tags) == 1:
        made = _body(number, raw, _vigour_words(rest), under, grammar, sheet.tags, VIGOUR_LINE, None)
        if any("note" in part for part in made.parts):
            return replace(made, question="one number from 1 to 5 belongs here: which is it?")
        return made
    numbers = list(sheet.lines)
    letters = sorted({j.letter for j in sheet.jobs if not j.letter.isdigit()})
    has = f"lines {numbers[0]} to {numbers[-1]}" + (f" and jobs {', '.join(letters)}" if letters else "")
    return Reading(
        number,
        raw,
        sheet.tags if len(sheet.tags) == 1 else (),
        sheet,
        fault=f"sheet {sheet.serial} has no line '{head}'",
        hint=f"it has {has}; begin each line with one of them",
    )


def _vigour_words(rest: str) -> str:
    words = rest.split()
    if words and re.fullmatch(r"[1-5]", words[-1]):
        words[-1:] = ["vigour", words[-1]] if "vigour" not in words else [words[-1]]
    return " ".join(words)


def _job_line(
    number: int, raw: str, rest: str, under: Under, grammar: Grammar, sheet: Sheet, job: Offered
) -> Reading:
    said = rest
    dated, rest = _take_date(rest, under, grammar)
    base = Reading(
        number, raw, (job.tag,), sheet, job.letter, dated, again=_again(job.letter, said, rest, dated, raw)
    )
    if _says_nothing(rest):
        return replace(base, nothing=True)
    if _is_unread(rest):
        return _unread(
            replace(base, again=raw), under, f"box {job.letter} ({job.work}): is it ticked, and of which day?"
        )
    parts = _job_parts(job, rest, sheet, grammar)
    if parts is None:
        return _asked(
            base,
            f"'{rest}' was not understood behind job {job.letter} ({job.work}): keep it as a remark?",
            [_done(job)],
        )
    return replace(base, parts=tuple(parts))


def _job_parts(job: Offered, rest: str, sheet: Sheet, grammar: Grammar) -> list[Fields] | None:
    """The ticked job with any details behind it, and further segments; None where the details don't parse."""
    first, *more = [segment.strip() for segment in rest.split(";")]
    first = re.sub(r"^done\b[.,:]?\s*", "", first, flags=re.IGNORECASE)
    done: Fields | None = _done(job)
    speech = _speech(sheet, grammar)
    if first:
        work = grammar.knowledge.works.get(job.work)
        details = read_details(first.split(), work, speech) if work else None
        done = None if details is None else {**_done(job), **details}
    if done is None:
        return None
    parts = [done]
    for segment in filter(None, more):
        read = read_segment(segment, speech)
        added = read_addition(segment, speech) if read is None else None
        if added and not set(added) & set(parts[-1]):
            parts[-1] = {**parts[-1], **added}
            continue
        parts.append(read if read is not None else {"note": segment})
    return parts


def _done(job: Offered) -> Fields:
    if job.work == INTENTION:
        return {"did": job.own}
    return {"work": job.work, **({"branches": job.branches} if job.branches else {})}


def _is_unread(rest: str) -> bool:
    """Whether a line, or a part of it, is only a `?`: something stands on the paper that nobody has typed yet."""
    return any(segment.strip().casefold() in UNREAD_PARTS for segment in rest.split(";"))


def _says_nothing(rest: str) -> bool:
    """Whether a line is only a dash: nothing stands there on the paper, and nothing has to be asked."""
    return rest.strip() in NOTHING


def _unread(base: Reading, under: Under, what: str) -> Reading:
    """A question about the whole line; a day on it is not known either, so the lines below can't take one from above."""
    under.last_date = None
    return replace(base, unread=True, question=what, hint="type it in place of the '?'", date=None)


def _body(
    number: int,
    raw: str,
    body: str,
    under: Under,
    grammar: Grammar,
    tags: tuple[str, ...],
    ident: str,
    job: Offered | None,
) -> Reading:
    dated, rest = _take_date(body, under, grammar)
    base = Reading(number, raw, tags, under.sheet, ident, dated, again=_again(ident, body, rest, dated, raw))
    if under.sheet and _says_nothing(rest):
        return replace(base, nothing=True)
    if _is_unread(rest):
        asks = [told for part in rest.split(";") if (told := UNREAD_PARTS.get(part.strip().casefold()))]
        where = (
            "the vigour boxes: which is it" if ident == VIGOUR_LINE else f"line {ident or number}: {', '.join(asks)}"
        )
        return _unread(replace(base, again=raw), under, f"{where}?")
    if not rest:
        return replace(base, fault="the line says nothing", hint="write what was done, or leave the line out")
    if almost_a_date(rest):
        under.last_date = None
        return _asked(
            base,
            f"'{rest.split(' ')[0]}' looks like a day but was not read as one",
            [{"note": _original_rest(raw, rest)}],
        )
    speech = _speech(under.sheet, grammar)
    if read_segments(rest.split(";")[0].strip(), speech) is None and (head := day_before_work(rest, speech)):
        under.last_date = None
        return _asked(
            base, f"'{head}' stands where a day would but was not read as one", [{"note": _original_rest(raw, rest)}]
        )
    segments = [segment.strip() for segment in rest.split(";") if segment.strip()]
    parts: list[Fields] = []
    unread: list[str] = []
    for segment in segments:
        read = _done_and(job, segment, speech) if job else read_segments(segment, speech)
        if read is None and parts and (added := read_addition(segment, speech)) and not set(added) & set(parts[-1]):
            parts[-1] = {**parts[-1], **added}
            continue
        if read is None:
            read = read_sentences(segment, speech)
        if read is None and (
            known_start(segment, speech)
            or hides_work(segment, speech)
            or (job and segment.casefold().startswith("done"))
        ):
            word, hint = not_understood(segment, speech)
            asked = f"'{segment}' begins like work, but '{word}' was not understood there: a remark?"
            return replace(_asked(base, asked, [{"note": _original_rest(raw, rest)}]), hint=hint)
        if read is None and (meant := near_work(segment, speech)):
            asked = f"'{segment}' is almost '{meant}': did you mean that, or is it a remark?"
            mended = read_segment(meant, speech) if len(segments) == 1 else None
            return replace(_asked(base, asked, [{"note": _original_rest(raw, rest)}]), meant=mended)
        if read is None:
            unread.append(segment)
        parts += read if read is not None else [{"note": segment}]
    if len(unread) == len(segments):
        parts = [{"note": _original_rest(raw, rest)}]
    return replace(base, parts=tuple(_merged(parts)))


def _done_and(job: Offered, segment: str, speech: Speech) -> list[Fields] | None:
    """`done`, with details of that work or further facts behind it; without `done` an ordinary segment."""
    found = re.match(r"done\b[.,:]?\s*(.*)", segment, re.IGNORECASE)
    if not found:
        return read_segments(segment, speech)
    if not found[1]:
        return [_done(job)]
    work = speech.knowledge.works.get(job.work)
    details = read_details(found[1].split(), work, speech) if work else None
    if details is not None:
        return [{**_done(job), **details}]
    others = read_segments(found[1], speech)
    return [_done(job), *others] if others else None


def _original_rest(raw: str, rest: str) -> str:
    """The remark as it was typed, not as it was folded for parsing: the end of the line that folds to it."""
    squeezed = re.sub(r"\s+", " ", raw).strip()
    if squeezed.endswith(rest):
        return rest
    starts = (i for i in range(len(squeezed)) if i == 0 or squeezed[i - 1] == " ")
    return next((squeezed[i:] for i in starts if plain_line(squeezed[i:]) == rest), rest)


def _merged(parts: list[Fields]) -> list[Fields]:
    """Measures, vigour and a sighting that follow each other make one entry; works and remarks stay their own."""
    merged: list[dict[str, object]] = []
    plain = {"measured", "vigour"}
    for part in parts:
        if merged and set(part) <= plain and set(merged[-1]) <= plain and not set(part) & set(merged[-1]):
            merged[-1].update(part)
        else:
            merged.append(dict(part))
    return list(merged)


def _asked(base: Reading, question: str, parts: list[Fields]) -> Reading:
    return replace(base, question=question, parts=tuple(parts))


def _speech(sheet: Sheet | None, grammar: Grammar) -> Speech:
    """What the line may say; its numbers are in the sheet's units, where it stands on one."""
    units = grammar.units if sheet is None else US if sheet.units == "us" else METRIC
    return Speech(grammar.knowledge, units, grammar.entries)


def _again(ident: str, body: str, rest: str, dated: TypedDate | None, raw: str) -> str:
    """The line as it can be given by itself: with the day it took from the line above."""
    if dated is None or body != rest:
        return raw
    return " ".join(part for part in (ident, dated.words, _original_rest(raw, rest)) if part)


def _take_date(text: str, under: Under, grammar: Grammar) -> tuple[TypedDate | None, str]:
    """The line's own date, which then holds for the lines below it, or the last one typed above."""
    dated = leading_date(text, grammar.date_order)
    if dated is None:
        return under.last_date, text
    under.last_date = dated
    return dated, dated.rest
