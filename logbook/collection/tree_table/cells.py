"""What one cell of a grower's table says: days as they are written, sizes with their unit, stages and vigour in growers' words.

Each reader gives the value as a tree's file holds it, or a `Doubt`. Pure.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Mapping

from ...values import dataclass
from ..dates import NotADate, month_number, read_when, typed_when
from ..loose_table import clean
from ..units import METRIC, MM_PER_INCH, length_mm
from ..weather_words import month_of

ORDERS = ("day-month", "month-day")
INCHES_A_FOOT = 12
_FEET = re.compile(r"(\d+)\s*(?:'|′|ft\.?|feet|foot)\s*(?:(\d+(?:\.\d+)?)\s*(?:\"|in)?)?", re.IGNORECASE)
_SEASONS = {"spring": 21, "summer": 22, "autumn": 23, "fall": 23, "winter": 24}
_NOTHING = frozenset(
    ("", "-", "--", "–", "—", "?", "??", "n/a", "na", "none", "unknown", "unk", "nan", "null", "x", ".", "tbd", "tbc")
)
_ABOUT = re.compile(
    r"^(?:ca?\.?|circa|about|approx\.?(?:imately)?|around|roughly|maybe|~|≈|early|late|mid)[\s-]*(?=\S)|\s*(?:\?|ish|-ish|\(\?\)|or so)$",
    re.IGNORECASE,
)
_TIME = re.compile(r"[T ]\d{1,2}:\d{2}(?::\d{2}(?:\.\d+)?)?(?:\s*[ap]m)?(?:Z|[+-]\d{2}:?\d{2})?$", re.IGNORECASE)
_THREE = re.compile(r"(\d{1,2})[./\- ](\d{1,2})[./\- ](\d{4}|\d{2}|'\d{2})")
_YEAR_FIRST = re.compile(r"(\d{4})[./\- ](\d{1,2})[./\- ](\d{1,2})")
_MONTH_YEAR = re.compile(r"(\d{1,2})[./\-](\d{4})")
_YEAR_MONTH = re.compile(r"(\d{4})[./-](\d{1,2})")
_NAMED = re.compile(
    r"(?:(\d{1,2})(?:st|nd|rd|th)?[\s.\-]+(?:of\s+)?)?([^\W\d_]{3,9})\.?(?:[\s.\-]+(\d{1,2})(?:st|nd|rd|th)?)?[\s,.\-]+'?(\d{4}|\d{2})"
)
_SEASON = re.compile(
    r"(spring|summer|autumn|fall|winter)[\s,.\-]+(?:of\s+)?'?(\d{4}|\d{2})|(\d{4})[\s,.\-]+(spring|summer|autumn|fall|winter)",
    re.IGNORECASE,
)

_STAGE_WORDS: Mapping[str, tuple[str, ...]] = {
    **dict.fromkeys(
        ("seedling", "seedlings", "cutting", "rooted cutting", "cuttings", "whip", "liner", "sapling", "young plant"), ("seedling",)
    ),
    **dict.fromkeys(
        (
            "raw", "raw material", "raw stock", "thickening", "trunk thickening", "field grown", "field", "in the field", "in ground",
            "in the ground", "ground grown", "growing on", "growing out", "trunk building", "trunk", "nursery stock", "stock",
        ),
        ("trunk growing",),
    ),
    **dict.fromkeys(
        ("development", "developing", "in development", "pre bonsai", "prebonsai", "potensai", "structure", "structural", "training", "in training"),
        ("trunk growing", "primary branches"),
    ),
    **dict.fromkeys(
        ("branch building", "branches", "branch", "building branches", "primary branching", "main branches", "first branches", "branch structure"),
        ("primary branches",),
    ),
    **dict.fromkeys(("ramifying", "secondary branches", "fine branching", "secondary branching", "twigging"), ("ramification",)),
    **dict.fromkeys(("refining", "in refinement"), ("refinement",)),
    **dict.fromkeys(("maintaining", "in maintenance", "maintain"), ("maintenance",)),
    **dict.fromkeys(("refined", "show", "finished", "show ready", "show tree", "exhibition", "mature", "specimen", "complete"), ("refinement", "maintenance")),
}  # fmt: skip
_VIGOUR_WORDS = {
    "failing": 1, "dying": 1, "very weak": 1, "very poor": 1, "weak": 2, "poor": 2, "struggling": 2, "low": 2,
    "holding": 3, "ok": 3, "okay": 3, "fair": 3, "average": 3, "medium": 3, "moderate": 3, "normal": 3, "so so": 3,
    "good": 4, "healthy": 4, "well": 4, "high": 4, "very good": 4, "strong": 5, "vigorous": 5, "excellent": 5, "very strong": 5,
}  # fmt: skip
STYLE_WORDS = {
    "chokkan": "formal upright", "moyogi": "informal upright", "shakan": "slanting", "slant": "slanting", "kengai": "cascade",
    "full cascade": "cascade", "han kengai": "semi-cascade", "hankengai": "semi-cascade", "semi cascade": "semi-cascade",
    "hokidachi": "broom", "bunjin": "literati", "bunjingi": "literati", "fukinagashi": "windswept", "kabudachi": "clump",
    "yose ue": "forest", "yoseue": "forest", "group planting": "forest", "sekijoju": "root over rock", "sekijojo": "root over rock",
    "ikadabuki": "raft", "sokan": "twin trunk", "twin": "twin trunk", "twintrunk": "twin trunk",
}  # fmt: skip
ORIGIN_WORDS = {
    "seed": "seed", "seedling": "seed", "from seed": "seed", "cutting": "cutting", "from cutting": "cutting", "own cutting": "cutting",
    "layer": "layer", "air layer": "layer", "airlayer": "layer", "nursery": "nursery", "nursery stock": "nursery", "garden centre": "nursery",
    "garden center": "nursery", "collected": "collected", "yamadori": "collected", "wild": "collected", "dug": "collected", "bought": "bought",
    "shop": "bought", "purchase": "bought", "purchased": "bought", "gift": "gift", "present": "gift", "graft": "graft", "grafted": "graft",
    "division": "split", "split": "split",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Doubt:
    """Why a cell can't be taken as it stands; `choices` are the answers that would do: without any it is a fault, and `hint` says what to write."""

    question: str
    choices: tuple[str, ...] = ()
    hint: str = ""


def says_nothing(cell: str) -> bool:
    """Whether a cell stands for an unknown value: empty, a dash, a lone question mark."""
    return clean(cell).strip().casefold() in _NOTHING


def plain_words(cell: str) -> str:
    """Lower case, hyphens and double spaces gone."""
    return " ".join(re.sub(r"[-_/.]", " ", clean(cell).casefold()).split())


def day_of(cell: str, order: str, *, southern: bool = False) -> str | Doubt:
    """A partial date as files hold it (EDTF): `2024-03` for 03/2024, `2021-21` for spring 2021, `2015~` for about 2015."""
    text, about = _without_about(_TIME.sub("", re.sub("[年月](?=.)", "-", clean(cell).strip()).strip("年月日")))
    found = _day(text, order)
    if isinstance(found, Doubt):
        return found
    said = found or ((typed := typed_when(text, southern)) and typed.text) or text
    said = said + "~" if about and said and said[-1] not in "~?%" else said
    try:
        return read_when(said, southern).text
    except NotADate as error:
        return Doubt(str(error), hint=error.hint)


def _without_about(text: str) -> tuple[str, bool]:
    bare, before = text, ""
    while bare != before:
        before, bare = bare, _ABOUT.sub("", bare).strip()
    return bare, bare != text


def _day(text: str, order: str) -> str | Doubt:
    """The file's form of a day written with figures or names; an empty string where it is another form."""
    for form, read in _FORMS:
        if found := form.fullmatch(text):
            return read(found, order)
    return ""


def _by_season(found: re.Match[str], _: str) -> str:
    name, year = (found[1], _year(found[2])) if found[1] else (found[4], found[3])
    return f"{year}-{_SEASONS[name.casefold()]}"


def _by_name(found: re.Match[str], _: str) -> str:
    month, day = month_number(found[2]) or month_of(found[2]), found[1] or found[3]
    return f"{_year(found[4])}-{month:02d}{f'-{int(day):02d}' if day else ''}" if month else ""


_FORMS: tuple[tuple[re.Pattern[str], Callable[[re.Match[str], str], str | Doubt]], ...] = (
    (_YEAR_FIRST, lambda found, _: f"{found[1]}-{int(found[2]):02d}-{int(found[3]):02d}"),
    (_THREE, lambda found, order: _by_order(int(found[1]), int(found[2]), _year(found[3]), order)),
    (_MONTH_YEAR, lambda found, _: f"{found[2]}-{int(found[1]):02d}"),
    (_YEAR_MONTH, lambda found, _: f"{found[1]}-{int(found[2]):02d}"),
    (_SEASON, _by_season),
    (re.compile(r"(winter)\s+(\d{4})\s*/\s*\d{2,4}", re.IGNORECASE), lambda found, _: f"{found[2]}-24"),
    (re.compile(r"(\d{3})0['’]?s"), lambda found, _: f"{found[1]}X"),
    (re.compile(r"(\d{4})(\d{2})(\d{2})"), lambda found, _: f"{found[1]}-{found[2]}-{found[3]}"),
    (_NAMED, _by_name),
)


def _by_order(first: int, second: int, year: str, order: str) -> str | Doubt:
    if first > 12 >= second or (first <= 12 and second <= 12 and (order == ORDERS[0] or first == second)):
        return f"{year}-{second:02d}-{first:02d}"
    if second > 12 >= first or (first <= 12 and second <= 12 and order == ORDERS[1]):
        return f"{year}-{first:02d}-{second:02d}"
    return (
        Doubt("which is the day, and which the month?", ORDERS)
        if first <= 12
        else Doubt("this is no day of the calendar")
    )


def _year(text: str) -> str:
    bare = text.lstrip("'")
    return bare if len(bare) == 4 else f"{'20' if int(bare) < 70 else '19'}{bare}"


def orders_open(cells: list[str]) -> tuple[str, ...]:
    """The orders of day and month that all cells of a column allow: one where a figure over 12 tells, none where no cell asks."""
    pairs = [
        (int(f[1]), int(f[2]))
        for cell in cells
        if (f := _THREE.fullmatch(_without_about(_TIME.sub("", clean(cell).strip()))[0]))
    ]
    if all(first == second for first, second in pairs):
        return ()
    return tuple(
        order
        for order, fits in zip(ORDERS, (all(b <= 12 for _, b in pairs), all(a <= 12 for a, _ in pairs)), strict=True)
        if fits
    )


def size_of(cell: str, unit: str) -> float | Doubt | None:
    """A size in mm; None where neither cell nor column says the unit."""
    text = re.sub(r"^(?:ca?\.?|circa|about|approx\.?|~|≈)\s*", "", clean(cell).strip(), flags=re.IGNORECASE)
    text = text.replace("″", '"').replace("”", '"').replace("''", '"').rstrip(".")
    feet = _FEET.fullmatch(text)
    if feet:
        return (float(feet[1]) * INCHES_A_FOOT + float(feet[2] or 0)) * MM_PER_INCH
    if re.search(r"\d\s*(?:-|to|–)\s*\d", text):
        return Doubt(f"expected one size, found '{cell}'", hint="write one, as in 31 cm")
    if re.fullmatch(r"[\d.,]+|(?:\d+ )?\d+/\d+", text):
        if not unit:
            return None
        text += unit
    found = length_mm(text.replace("cms", "cm"), METRIC)
    if found is None:
        return Doubt(f"expected a size, found '{cell}'", hint="write a number with its unit, as in 31 cm")
    return found


def has_unit(cell: str) -> bool:
    """Whether a size says its own unit."""
    return bool(re.search(r"\d\s*(?:mm|cms?|in\b|inch|\"|″|”|'')", clean(cell).casefold()))


def stage_of(cell: str, stages: tuple[str, ...]) -> str | Doubt:
    """A stage by its own name or by words that growers use; two that fit are asked, once for the table."""
    said = plain_words(cell)
    if said in stages:
        return said
    found = _STAGE_WORDS.get(said, ())
    if len(found) == 1:
        return found[0]
    return Doubt(f"which stage is '{cell}'?", found or stages)


def vigour_of(cell: str) -> str | Doubt:
    """Vigour 1 to 5, by number or by plain words."""
    said = plain_words(re.sub(r"\s*/\s*5$|\s+out of 5$", "", clean(cell).strip()))
    if re.fullmatch(r"[1-5]", said):
        return said
    if said in _VIGOUR_WORDS:
        return str(_VIGOUR_WORDS[said])
    return Doubt(
        f"how strong is '{cell}': 1 failing, 2 weak, 3 holding, 4 good, 5 strong?",
        ("1", "2", "3", "4", "5"),
    )


def tag_of(cell: str) -> str:
    """A tag without what only says that it is one: `#12`, `No. 7`, `Tree 4`."""
    return re.sub(
        r"^(?:#|№|no\.?\s*|nr\.?\s*|n°\s*|tree\s+|tag\s+)(?=\w)", "", clean(cell).strip(), flags=re.IGNORECASE
    )
