"""A place on the earth as maps and people write it: `46.05, 14.5`, `46°03'N 14°30'E`, `33.9 S`."""

from __future__ import annotations

import re

_DEGREES = re.compile(
    r"(?P<before>[NSEW])?\s*(?P<sign>[-+])?\s*(?P<whole>\d{1,3}(?:[.,]\d+)?)\s*(?:°|º|deg(?:rees)?|d)?"
    r"(?:\s*(?P<minutes>\d{1,2}(?:[.,]\d+)?)\s*['′’m](?:\s*(?P<seconds>\d{1,2}(?:[.,]\d+)?)\s*(?:\"|″|''|s)?)?)?\s*(?P<behind>[NSEW](?![a-z]))?",
    re.IGNORECASE,
)
LIMITS = {"latitude": 90.0, "longitude": 180.0}


def place_in(text: str) -> tuple[float, float | None] | None:
    """Latitude and longitude in decimal degrees, south and west negative; a latitude alone gives None beside it. None for what is neither."""
    bare = text.strip().replace("−", "-").replace("–", "-")
    parts = _parts(bare)
    found = [_degrees(part) for part in parts]
    if not found or len(found) > 2 or any(one is None for one in found):
        return None
    sides = [one[1] for one in found if one]
    numbers = [one[0] for one in found if one]
    if len(numbers) == 2 and (sides[0] in ("E", "W") or sides[1] in ("N", "S")):
        numbers, sides = numbers[::-1], sides[::-1]
    wrong = sides[0] in ("E", "W") or (len(sides) == 2 and sides[1] in ("N", "S"))
    if wrong or abs(numbers[0]) > LIMITS["latitude"] or abs(numbers[-1]) > LIMITS["longitude"]:
        return None
    return numbers[0], numbers[1] if len(numbers) == 2 else None


def _parts(text: str) -> list[str]:
    """One or two angles: parted by a comma with a space, a semicolon, a comma between decimal points, a letter of a side, or spaces."""
    for cut in (r"\s*[;/]\s*", r",\s+", r"(?<=[\d\s'′″\"°][NSEWnsew])\s*,?\s+(?=[-+\d])"):
        parts = re.split(cut, text)
        if len(parts) == 2:
            return parts
    if text.count(",") == 1 and text.count(".") == 2:
        return text.split(",")
    if re.fullmatch(r"[-+]?\d+[.,]\d+\s+[-+]?\d+[.,]\d+", text):
        return text.split()
    return [text]


def _degrees(text: str) -> tuple[float, str] | None:
    found = _DEGREES.fullmatch(text.strip())
    if not found or (found["before"] and found["behind"]):
        return None
    minutes, seconds = _number(found["minutes"]), _number(found["seconds"])
    if minutes >= 60 or seconds >= 60:
        return None
    value = _number(found["whole"]) + minutes / 60 + seconds / 3600
    side = (found["before"] or found["behind"] or "").upper()
    negative = found["sign"] == "-" or side in ("S", "W")
    return round(-value if negative else value, 5), side


def _number(text: str | None) -> float:
    return float(text.replace(",", ".")) if text else 0.0
