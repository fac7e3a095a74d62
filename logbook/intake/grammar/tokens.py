"""Days as people write them, at the head of a line or inside it. Knows the calendar and no tree.

Whole days (`14 oct`, `10apr`, `5-Feb-27`, `14/10`, `2026-10-14`, `saturday`, `yesterday`), and under a flag parts of one
(`2019`, `2019-04`, `spring 2021`, `~2015`, `mid april`).
"""

from __future__ import annotations

import re
import unicodedata
from dataclasses import replace
from datetime import date, timedelta

from ...collection.dates import month_number
from ...values import dataclass
from .listed import listed

_DAYS = ("monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday")
_MONTH = r"(?P<month>[a-z]{3,9})\.?"
_DAY = r"(?P<day>\d{1,2})(?:st|nd|rd|th)?\.?"
_YEAR = r"(?:,?\s+(?P<year>\d{4})|,?\s+['’](?P<short>\d{2}))?"
_END = r"(?:[.,:]?(?=[\s;]|$))"
_WEEKDAY = re.compile(
    r"(?:on\s+)?(?:mon|tue|wed|thu|fri|sat|sun)[a-z]*\.?,?\s+(?=(?:the\s+)?\d|[a-z]{3,9}\.?\s+\d)", re.IGNORECASE
)
_NAMED = r"jan|feb|mar|apr|may|jun|jul|aug|sep|oct|nov|dec"
_FORMS = (
    re.compile(rf"(?P<iso>\d{{4}}[-/]\d{{2}}[-/]\d{{2}}){_END}"),
    re.compile(rf"{_DAY}[\s-]?(?:\s?of\s+)?{_MONTH}-(?P<year>\d{{4}}|\d{{2}}){_END}", re.IGNORECASE),
    re.compile(
        rf"(?:the\s+)?{_DAY}(?:\s+|-|\s+of\s+|(?=(?:{_NAMED})))(?:of\s+)?{_MONTH}{_YEAR}{_END}", re.IGNORECASE
    ),
    re.compile(rf"{_MONTH}[\s-]+(?:the\s+)?(?P<day>\d{{1,2}})(?:st|nd|rd|th)?{_YEAR}{_END}", re.IGNORECASE),
    re.compile(rf"(?P<first>\d{{1,2}})(?P<mark>[/.-])(?P<second>\d{{1,2}})(?P=mark)(?P<year>\d{{4}}|\d{{2}}){_END}"),
    re.compile(r"(?P<first>\d{1,2})/(?P<second>\d{1,2})" + _END),
    re.compile(r"(?P<first>\d{1,2})(?P<dot>\.)(?P<second>\d{1,2})\.(?=[\s;]|$)"),
    re.compile(r"(?P<first>\d{1,2})(?P<dot>\.)(?P<second>\d{1,2}):?(?=\s+[a-z])", re.IGNORECASE),
)
_DOTTED = re.compile(r"\d{1,2}\.\d{1,2}\.\s")  # with both stops and behind a comma a day: 21.4. watered, 22.4. wired
_BEGINS = re.compile(rf"\d|the\s|{_NAMED}", re.IGNORECASE)  # how every form of a whole day does
_RELATIVE = re.compile(
    r"(?:(?P<today>today|this morning|this afternoon|this evening)|(?P<yesterday>yesterday|last night)"
    r"|(?:on |last )?(?P<long>(?:mon|tues|wednes|thurs|fri|satur|sun)day)"
    r"|(?P<brief>mon|tues?|wed|thurs?|fri)|(?P<shaky>sat|sun)(?=\s*[:,;–-]))(?=[\s:,;.–-]|$)[.,:]?",
    re.IGNORECASE,
)
_SEASON = {"spring": 21, "summer": 22, "autumn": 23, "fall": 23, "winter": 24}
_PARTIAL = (
    re.compile(
        rf"(?P<about>~|about |ca\.? |circa |around )?(?P<year>(?:19|20)\d\d)-(?P<num>\d{{2}})(?P<after>~)?{_END}",
        re.IGNORECASE,
    ),
    re.compile(rf"(?P<num>\d{{1,2}})/(?P<year>(?:19|20)\d\d){_END}"),
    re.compile(
        rf"(?P<about>~|about |ca\.? |circa |around |early |mid[ -]|late |end of |beginning of )?(?P<named>[a-z]{{3,9}})\.?,?\s+(?P<year>(?:19|20)\d\d){_END}",
        re.IGNORECASE,
    ),
    re.compile(
        rf"(?P<about>early |mid[ -]|late |end of |beginning of )(?P<named>[a-z]{{3,9}})\.?{_END}", re.IGNORECASE
    ),
    re.compile(
        rf"(?P<about>~ ?|about |ca\.? |circa |around )?(?P<year>(?:19|20)\d\d)(?P<after>~)?{_END}(?!\s?(?:mm|cm|m|g|kg)\b)",
        re.IGNORECASE,
    ),
)
# words that make no date of what stands before them: `1/2 of the needles`, `2 may be dead`, `2.5 copper`
_NOT_A_FRACTION = listed(
    "of cm mm m in inch inches kg g l % copper cu alu al aluminium aluminum min h hours mix litres ga"
)
_NOT_THE_VERB = listed("be have need not still well want wish become take turn die")
_BEFORE_OTHER_DAYS = re.compile(
    r"(?:\b(?:by|until|till|til|before|next|since|from|after|last|was|due|for|in|between|around|about|early|late|mid|to|check|ready)(?: the)?|[~-])\s*$",
    re.IGNORECASE,
)


@dataclass(frozen=True, slots=True)
class TypedDate:
    """A date as typed; `year` 0 where none was. `rest` is the line behind it; `bad` says why it is no day, `asks` what
    two days it may be. `ago`: days before the typing day; `weekday` 0 to 6, the last one; `part`: day 0, or month 0 too,
    or a season as month 21 to 24; `about` where it was said so."""

    day: int
    month: int
    year: int
    rest: str
    words: str
    bad: str = ""
    asks: str = ""
    ago: int = -1
    weekday: int = -1
    part: bool = False
    about: bool = False


def plain_line(text: str) -> str:
    """The line as it is parsed: compatibility forms folded (full-width digits, ligatures), spaces single."""
    return re.sub(r"\s+", " ", unicodedata.normalize("NFKC", text)).strip()


def leading_date(text: str, order: str | None, partial: bool = False) -> TypedDate | None:
    """A date at the start of a line, or None. `order` is day-month or month-day, for 3/4; with None such a day is asked."""
    weekday = _WEEKDAY.match(text)
    start = weekday.end() if weekday else 0
    found = _whole(text, start, order) or (_in_part(text) if partial else None) or _relative(text)
    if found is None or found.rest in ("-", "–", "—"):
        return found
    return replace(found, rest=re.sub(r"^[\s;:–—~-]+(?!\d)", "", found.rest))


def _whole(text: str, start: int, order: str | None) -> TypedDate | None:
    if not _BEGINS.match(text, start):
        return None
    for form in _FORMS:
        found = form.match(text, start)
        if not found:
            continue
        parts = found.groupdict()
        rest, words = text[found.end() :].lstrip(" ;").strip(), found[0].strip(" ,:;")
        after = rest.split(" ")[0].casefold().strip(".,;")
        fraction = parts.get("first") and not parts.get("year") and _counts_parts(parts, after, rest)
        if fraction or ((parts.get("month") or "").casefold() == "may" and after in _NOT_THE_VERB):
            continue
        made = _of_parts(parts, rest, words, order)
        if made is not None:
            return made
    return None


_MEASURED = listed("trunk height crown leaf")


def _counts_parts(parts: dict[str, str | None], after: str, rest: str) -> bool:
    """`1/2 of the needles`, `3/8 trunk`: a part of something, and no day; `3/8 trunk 1.6` is one."""
    inches = int(parts.get("second") or 0) in (2, 4, 8, 16) and not any(c.isdigit() for c in rest)
    return after in _NOT_A_FRACTION or (after in _MEASURED and inches)


def _of_parts(parts: dict[str, str | None], rest: str, words: str, order: str | None) -> TypedDate | None:
    if parts.get("iso"):
        year, month, day = re.split("[-/]", parts["iso"] or "")
        return _checked(int(day), int(month), int(year), rest, words)
    known_year = _year_of(parts)
    if known_year is None:
        return TypedDate(1, 1, 1, rest, words, f"'{words}' is not a day of the calendar")
    if parts.get("month"):
        number = month_number(parts["month"] or "")
        return _checked(int(parts["day"] or 0), number, known_year, rest, words) if number else None
    both = int(parts["first"] or 0), int(parts["second"] or 0)
    return (
        _dotted(*both, rest, words, order) if parts.get("dot") else _in_numbers(*both, known_year, rest, words, order)
    )


def _year_of(parts: dict[str, str | None]) -> int | None:
    """The year with its century, 0 where none was typed; None for one that is none (`0000`)."""
    typed = parts.get("year") or parts.get("short")
    year = int(typed or 0)
    if typed and not year:
        return None
    return year + 2000 if 0 < year < 100 else year


def _in_numbers(first: int, second: int, year: int, rest: str, words: str, order: str | None) -> TypedDate:
    """`14/10`, `14-10-27`: in the grower's order; without one a day that could be two is asked."""
    if order is None and "." in words:  # with stops the day comes first wherever they are used
        order = "day-month"
    if order is None and first <= 12 and second <= 12 and first != second:
        return TypedDate(
            first, second, year, rest, words, asks=f"'{words}' may be two days: is the day or the month first?"
        )
    day_first = first > 12 if order is None else order != "month-day"
    day, month = (first, second) if day_first else (second, first)
    return _checked(day, month, year, rest, words)


def _dotted(first: int, second: int, rest: str, words: str, order: str | None) -> TypedDate | None:
    """`14.10.` and `14.10 wired`: the day first, but where the month comes first with a stop at the end only (`10.14.`)."""
    if second > 12:
        return None
    if order != "month-day":
        return _checked(first, second, 0, rest, words)
    return _checked(second, first, 0, rest, words) if words.endswith(".") else None


def _relative(text: str) -> TypedDate | None:
    found = _RELATIVE.match(text)
    if not found:
        return None
    rest, words = text[found.end() :].strip(), found[0].strip(" ,:;.")
    if found["today"] or found["yesterday"]:
        return TypedDate(0, 0, 0, rest, words, ago=0 if found["today"] else 1)
    said = (found["long"] or found["brief"] or found["shaky"]).casefold()
    weekday = next(n for n, name in enumerate(_DAYS) if name.startswith(said[:3]))
    return TypedDate(0, 0, 0, rest, words, weekday=weekday)


def _in_part(text: str) -> TypedDate | None:
    """A month, a season or a year, where history is told."""
    for form in _PARTIAL:
        found = form.match(text)
        if not found:
            continue
        parts = found.groupdict()
        named = (parts.get("named") or "").casefold()
        month = int(parts.get("num") or 0) or _SEASON.get(named, 0) or month_number(named)
        if (named and not month) or (parts.get("num") and not (1 <= month <= 12 or 21 <= month <= 24)):
            continue
        rest, words = text[found.end() :].lstrip(" ;").strip(), found[0].strip(" ,:;")
        year = int(parts.get("year") or 0)
        if month > 20 and not year:
            continue
        about = bool(parts.get("about") or parts.get("after"))
        return TypedDate(0, month, year, rest, words, part=True, about=about)
    return None


def date_inside(text: str, order: str | None, partial: bool = False) -> tuple[list[TypedDate], str]:
    """Days that stand within a line, with the line without them. Days told as another time (`by 1 july`) stay in it."""
    found: list[TypedDate] = []
    kept, at = "", 0
    while at < len(text):
        begins = at == 0 or text[at - 1] in " ,(;:"
        typed = _inner(text, at, order, partial) if begins else None
        if typed is None or _BEFORE_OTHER_DAYS.search(kept) or typed.bad:
            kept, at = kept + text[at], at + 1
            continue
        found.append(typed)
        kept = re.sub(r"(?:\bon|\bat|\bthe)\s*$", "", kept)
        at += len(typed.words)
        while text[at : at + 1] in (".", ":") and text[at : at + 1]:
            at += 1
    return found, re.sub(r"\s+", " ", kept).strip(" ,;")


def _inner(text: str, at: int, order: str | None, partial: bool) -> TypedDate | None:
    """A day in the midst of a line: with its month's name, in the form of ISO 8601, or with its year."""
    piece = text[at:]
    typed = _whole(piece, 0, order)
    sure = typed is not None and (
        re.search(rf"{_NAMED}|\d{{4}}", typed.words, re.IGNORECASE) or re.search(r"\d[./]\d+[./]\d", typed.words)
    )
    on = typed is not None and re.search(r"\bon\s+$", text[:at], re.IGNORECASE) is not None and "/" in typed.words
    dotted = typed is not None and bool(re.search(r"[,;]\s*$", text[:at])) and bool(_DOTTED.match(piece))
    if typed is not None and (sure or on or dotted):
        return typed
    if re.match(r"(?:today|yesterday)(?!\w)", piece, re.IGNORECASE):
        return _relative(piece)
    if (
        partial
        and (part := _in_part(piece))
        and part.year
        and (part.month or re.fullmatch(r"[\W\d]*", text[at + len(part.words) :]))
    ):
        return part
    return None


def almost_a_date(text: str) -> bool:
    """Whether a line begins like a date that was not read as one: it is asked about, not kept under another day."""
    first = re.match(r"\d{1,4}[-/.]\d{1,2}[-/.]\d{1,4}\b", text)
    return bool(first) and leading_date(text, "day-month") is None


def _checked(day: int, month: int, year: int, rest: str, words: str) -> TypedDate:
    try:
        date(year or 2024, month, day)
        if year and not 1900 <= year <= 2999:
            raise ValueError
    except ValueError:
        return TypedDate(day, month, year, rest, words, f"'{words}' is not a day of the calendar")
    return TypedDate(day, month, year, rest, words)


def dated_not_after(typed: TypedDate, today: date) -> date | None:
    """The typed day in its year, or in the latest year that does not put it after today; the first day of a part."""
    if typed.ago >= 0:
        return today - timedelta(days=typed.ago)
    if typed.weekday >= 0:
        return today - timedelta(days=(today.weekday() - typed.weekday) % 7)
    month, number = typed.month or 1, typed.day or 1
    if month > 20:
        month = {21: 3, 22: 6, 23: 9, 24: 12}[month]
    years = [typed.year] if typed.year else range(today.year, today.year - 5, -1)
    for year in years:
        try:
            day = date(year, month, number)
        except ValueError:
            continue
        if typed.year or day <= today:
            return day
    return None


def part_told(typed: TypedDate, first: date) -> str:
    """A part of a date as the record writes it: 2019, 2019-04, 2021-21 (spring), each perhaps with ~."""
    text = f"{first.year}" + (f"-{typed.month:02d}" if typed.month else "")
    return text + ("~" if typed.about else "")
