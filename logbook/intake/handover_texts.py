"""What an archive of a tree says to people and to programs: a text to read, and a manifest."""

from __future__ import annotations

import json
from collections.abc import Mapping
from datetime import date

from ..collection.model import Tree
from ..values import dataclass

READ_ME = "READ-ME.txt"
FORMAT = 1
UNITS = ("metric", "us")
LONGEST_TITLE, LONGEST_TAG = 80, 16

_TEXT = """{tag}  {name}
{species}
given from {garden} on {day}

What lies here
  tree.yaml    its whole record: what it is, and its log, an entry a line, the oldest first or last as it was kept
  photos/      {photos}, named by their days
  dossier.pdf  the same to read and to print
  page.html    the same in short, for a telephone: unpack all of it, then open this in any browser; anybody may see it
  manifest.json is for programs

How to go on without any program
  All of it is plain text and ordinary pictures. Open tree.yaml in any editor and write a new line at the end of the log each time you
  work on the tree: the day, what was done, what you saw. The lines that stand there show how. In fifty years any editor will still
  read it. Or print the dossier, and go on with a pencil.
  Look first at: when it was repotted last, whether wire is on it, and what ailed it.
  It was kept in another garden: its dates are not yours. Go by what the tree shows, and by your own springs.

How to go on with benchleaf
  benchleaf add --handover {tag}.zip
  It gets a number of your garden. The code on its old tag does not lead to it there: print it a new one.
"""


@dataclass(frozen=True, slots=True)
class Manifest:
    """What a program has to know of the tree's file: the garden, its units and hemisphere, and where each photo of the log lies."""

    garden: str
    tag: str
    units: str
    southern: bool
    photos: Mapping[str, str]

    def as_data(self) -> dict[str, object]:
        """Itself as JSON holds it."""
        return {
            "format": FORMAT,
            "garden": self.garden,
            "tag": self.tag,
            "units": self.units,
            "southern": self.southern,
            "photos": dict(self.photos),
        }


def manifest_in(raw: bytes) -> Manifest | None:
    """The manifest in these bytes, which anybody may have written; None where they are none."""
    try:
        said = json.loads(raw.decode("utf-8"))
        garden, tag, units, southern, photos = (said[key] for key in ("garden", "tag", "units", "southern", "photos"))
        sound = said["format"] == FORMAT and all(isinstance(text, str) for text in (garden, tag, units))
        sound = sound and units in UNITS and isinstance(southern, bool) and isinstance(photos, dict)
        sound = sound and all(isinstance(name, str) for name in photos.values())
    except (ValueError, KeyError, TypeError, AttributeError, RecursionError):
        return None
    if not sound:
        return None
    return Manifest(_words(garden, LONGEST_TITLE), _words(tag, LONGEST_TAG), units, southern, photos)


def _words(text: str, most: int) -> str:
    """Somebody else's words on one line, without what no screen should be given."""
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())[:most] or "?"


def read_me(tree: Tree, garden: str, photos: int, today: date) -> str:
    """The text for whoever gets the tree."""
    pictures = "no photographs" if not photos else f"{photos} photograph{'s' if photos > 1 else ''}"
    return _TEXT.format(
        tag=tree.tag,
        name=tree.name,
        species=tree.full_name,
        garden=_words(garden, LONGEST_TITLE),
        day=today.isoformat(),
        photos=pictures,
    )
