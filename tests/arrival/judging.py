"""What a careful reader made of a grower's file, held against what the command made of it."""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import yaml

BY_WORK = {"repotted": "repotting", "wired": "wiring"}  # what an entry of the log says as well as the opening one
TOLERANCE = 0.6  # mm: what is lost where inches of the file are rounded to a tenth of a millimetre or back


@dataclass
class Verdict:
    """Faults of one file. `unread`: not understood, but told or kept; `wrong`: a value nobody may take; `lost`: told nowhere."""

    read: int = 0
    asked: int = 0
    asked_for: list[str] = field(default_factory=list)
    unread: list[str] = field(default_factory=list)
    wrong: list[str] = field(default_factory=list)
    lost: list[str] = field(default_factory=list)


def truth_of(file: Path) -> dict[str, Any]:
    """What is expected of the file: the JSON beside it."""
    loaded: dict[str, Any] = json.loads(file.with_suffix(".json").read_text("utf-8"))
    return loaded


def settings_of(truth: dict[str, Any]) -> str:
    """A collection.yaml in which the file arrives."""
    order = f"date_order: {truth['date_order']}\n" if "date_order" in truth else ""
    return f"format: 1\ntitle: Arrivals\nunits: {truth['units']}\n{order}site: {{latitude: {truth['latitude']}}}\n"


def flat(text: str) -> str:
    """Lower case and single spaces, so that line breaks and quoting of the file do not matter."""
    return re.sub(r"\s+", " ", text.replace('\\"', '"')).strip().casefold()


def load(file: Path) -> dict[str, Any]:
    """A tree's file with every value as it is written."""
    loaded: dict[str, Any] = yaml.load(file.read_text("utf-8"), Loader=yaml.BaseLoader)
    return loaded


def values(tree: dict[str, Any], key: str) -> list[Any]:
    """All values that a tree's file holds for a key: its own keys, its opening entry and the entries that say the same."""
    found: list[Any] = []
    species = re.sub(r"\s*['‘’][^'‘’]+['‘’]$", "", tree.get("species", ""))
    selection = re.findall(r"['‘’]([^'‘’]+)['‘’]$", tree.get("species", ""))
    if key == "species":
        return [species] if species else []
    if key == "since":  # a head that may mean either
        return [v for k in ("started", "acquired") for v in values(tree, k)]
    if key == "cultivar":
        return [tree["cultivar"]] if "cultivar" in tree else selection
    first, _, rest = key.partition(".")
    own = tree.get(first)
    if rest:
        return [own[rest]] if isinstance(own, dict) and rest in own else []
    if own is not None:
        found.append(own)
    if key == "acquired" and "date" in tree.get("origin", {}):
        found.append(tree["origin"]["date"])
    for entry in tree.get("log", []):
        opening = entry.get("found", {})
        for place in (opening, opening.get("measured", {}), entry.get("measured", {}), entry):
            if key in place:
                found.append(place[key])
        if key in BY_WORK and entry.get("work") == BY_WORK[key]:
            found.append(entry["date"])
    return found


def same(got: Any, wanted: Any) -> bool:
    """Whether a value of a file is the one wanted, numbers within rounding."""
    if isinstance(wanted, dict) and "one of" in wanted:
        return any(same(got, w) for w in wanted["one of"])
    if isinstance(wanted, dict):
        return isinstance(got, dict) and all(k in got and same(got[k], v) for k, v in wanted.items())
    if isinstance(wanted, list) and len(wanted) == 1 and not isinstance(got, list):
        return same(got, wanted[0])
    if isinstance(wanted, list):
        return isinstance(got, list) and len(got) == len(wanted) and all(map(same, got, wanted))
    if isinstance(wanted, int | float):
        try:
            number = float(got)
        except (TypeError, ValueError):
            return False
        return abs(number - wanted) <= min(TOLERANCE, max(0.005 * abs(wanted), 0.006))
    return flat(str(got)) == flat(str(wanted))


def has(text: str, piece: str) -> bool:
    """Whether the words of a cell stand in a text, as whole words; line breaks aside."""
    return re.search(rf"(?<![\w.]){re.escape(flat(piece))}(?!\w|[.,]\d)", flat(text)) is not None
