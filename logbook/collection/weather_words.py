"""What the head of a column, or the name of a row, says: lowest, highest or mean temperature, rain, the date, and in which unit.

English words first, and those that weather services of a few other languages print; `tn`, `tx` and the like are the
element names that daily records of many services share (WMO's Guide to Climatological Practices).
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Sequence
from functools import lru_cache
from typing import Literal

Kind = Literal[
    "low",
    "high",
    "mean",
    "temperature",
    "date",
    "year",
    "month",
    "day",
    "yearday",
    "time",
    "flag",
    "element",
    "value",
    "other",
    "",
]

_WORDS: tuple[tuple[Kind, str], ...] = (
    ("flag", r"flags?|q|qc|quality|qual|qflag|mflag|sflag|qn\w*|remarks?"),
    (
        "other",
        r"rain\w*|prec\w*|prcp|snow\w*|sun\w*|solar|rad\w*|uv|hum\w*|rh|wind\w*|gusts?|press\w*|baro\w*|dew\w*|cloud\w*|soil|grass|ground|"
        r"water|index|feels\w*|accumulat\w*|period|chill|wet|evap\w*|et|eto|et0|regen\w*|niederschlag\w*|sonne\w*|pluie|lluvia|pioggia|"
        r"neerslag|indoor|inside|inner|frost|frostdays|stations?|wmo|stn|sta|id|name|lat\w*|lon\w*|elev\w*|alt\w*|battery|pm\d*|volt\w*",
    ),
    ("yearday", r"doy|jday|julian|yearday|dayofyear"),
    ("element", r"element|parameter|variable|measure|datatype|item"),
    ("value", r"values?|reading"),
    (
        "low",
        r"min(?!ute)\w*|t(?:emp(?:erature)?)?min\w*|lo|low\w*|nights?|tn|tnk|tmn|tiefst\w*|nacht|nuit|noche|notte",
    ),
    ("high", r"max\w*|t(?:emp(?:erature)?)?max\w*|hi|high\w*|tx|txk|tmx|hochst\w*|hoechst\w*|daytime"),
    ("mean", r"means?|avg|average|tavg|tmean|tm|tmk|tg|mittel\w*|moyen\w*|media|medio|gemiddeld\w*"),
    ("date", r"date\w*|datum|fecha|data|timestamp|observed|valid|mess_datum|yyyymmdd|yyyy.mm.dd"),
    ("year", r"years?|yr|yyyy|jahr|annee|ano|anno|jaar"),
    ("month", r"months?|mon|mo|mm|monat|mois|mes|mese|maand"),
    ("day", r"days?|dd|dom|dia|tag|jour|giorno"),
    ("time", r"times?|hours?|hh|hr|uhrzeit|zeit|heure|hora|ora|clock"),
    ("temperature", r"temp\w*|t|tt|air|t2m|degrees?|deg|celsius|fahrenheit|thermometer|outdoor|out"),
)
_COMPILED = tuple((kind, re.compile(rf"(?:{pattern})", re.IGNORECASE)) for kind, pattern in _WORDS)
_TENTHS = re.compile(r"\b0[.,]1\s*(?:°|deg|grad)|tenths?\b|1/10", re.IGNORECASE)
_UNIT = re.compile(
    r"(?:°|º|\bdeg(?:rees?)?\.?)\s*([CF])(?![a-z])|\b(celsius|centigrade)\b|\b(fahrenheit)\b|"
    r"[\[(_\s,]([CF])[\])]?\s*$|\(([CF])\)|^([CF])$|(?-i:(?<=[a-z])([CF])$)|(℃|℉)",
    re.IGNORECASE,
)
_RECORDS = re.compile(r"record|extreme|absolute|all.time|\bhighest\b|\blowest\b|ever", re.IGNORECASE)

_MONTH_NAMES = (
    "january januar janvier enero gennaio januari janeiro",
    "february februar fevrier febrero febbraio februari fevereiro feber",
    "march marz maerz mars marzo maart marco mrz mrt",
    "april avril abril aprile",
    "may mai mayo maggio mei maio",
    "june juni juin junio giugno junho",
    "july juli juillet julio luglio julho jly",
    "august aout agosto augustus",
    "september septembre septiembre settembre setembro",
    "october oktober octobre octubre ottobre outubro",
    "november novembre noviembre novembro",
    "december dezember decembre diciembre dicembre dezembro",
)
_MONTHS = tuple(tuple(names.split()) for names in _MONTH_NAMES)
MONTH_SHORT = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
_INITIALS = "jfmamjjasond"


def folded(text: str) -> str:
    """Lower case without accents."""
    return "".join(c for c in unicodedata.normalize("NFKD", text.casefold()) if not unicodedata.combining(c))


def words_of(text: str) -> list[str]:
    """The words of a head: `TMAX_F`, `MinTemp`, `t-min (°C)` are taken apart at signs and at a capital within."""
    apart = re.sub(r"(?<=[a-z])(?=[A-Z])", " ", text)
    return [w for w in re.split(r"[^\w]+|_", folded(apart)) if w]


@lru_cache(maxsize=1 << 14)
def kind_of(head: str) -> Kind:
    """What a column's head says it holds; empty where none of its words is known. Rain outranks max: `max rain` is no temperature."""
    words = words_of(head)
    for kind, pattern in _COMPILED:
        if any(pattern.fullmatch(word) for word in words):
            return kind
    return ""


def is_record(head: str) -> bool:
    """Whether a row or column of a climate table tells extremes (`record high`) and no means."""
    return bool(_RECORDS.search(head))


def unit_of(text: str) -> str:
    """`F`, `C`, `tenths` (of °C) where a text names a unit; empty where it names none, or both."""
    if _TENTHS.search(text):
        return "tenths"
    found = {
        next(g for g in m.groups() if g)[0].upper().replace("℃", "C").replace("℉", "F") for m in _UNIT.finditer(text)
    }
    return found.pop() if len(found) == 1 else ""


def month_of(word: str) -> int:
    """1…12 for a month's name, whole or cut short to three letters or more, in several languages; `3月`; 0 for any other word."""
    bare = folded(word).strip(" .:;,*()[]'\"")
    asian = re.fullmatch(r"(1[0-2]|[1-9])月", bare)
    if asian:
        return int(asian[1])
    if len(bare) < 3 or not bare.isalpha():
        return 0
    return next((n for n, names in enumerate(_MONTHS, start=1) if any(name.startswith(bare) for name in names)), 0)


def months_in(cells: Sequence[str]) -> dict[int, int]:
    """Month to column, where cells of a row name months: by names, `J F M A …`, or the figures 1 to 12 in order."""
    named = {month: at for at, cell in reversed(list(enumerate(cells))) if (month := month_of(cell))}
    if len(named) >= 2:
        return named
    for at in range(len(cells) - 11):
        run = [c.strip(" .").casefold() for c in cells[at : at + 12]]
        if (
            "".join(run) == _INITIALS
            or run == [str(n) for n in range(1, 13)]
            or run == [f"{n:02d}" for n in range(1, 13)]
        ):
            return {month: at + month - 1 for month in range(1, 13)}
    return {}
