"""One printed sheet as it stands on record: what is written in and where, which jobs it offers, whose trees it carries."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import field, replace
from datetime import date

from ..values import dataclass


@dataclass(frozen=True, slots=True)
class Spot:
    """Something on paper that is written in or seen by a camera: its page of the sheet, and where, mm from the top left.

    Kinds: `line`, `job`, `day` and `vigour` are written in, `by` by whose hand; a tick in a `say` box says its id, as does a day written in a
    `told` place before it; `square` and `code` are there for a camera.
    """

    kind: str
    id: str
    tag: str
    page: int
    x: float
    y: float
    width: float
    height: float


@dataclass(frozen=True, slots=True)
class Offered:
    """A job offered on a sheet under its mark, or on a list under the name of its row."""

    letter: str
    tag: str
    work: str
    branches: tuple[str, ...] = ()
    opens: str = ""
    closes: str = ""
    own: str = ""


@dataclass(frozen=True, slots=True)
class Sheet:
    """One sheet that was printed to be written on.

    `lines`: each line or row, and its tree; `rows`: the trees of a row that has several. `by_tag`: a list whose rows are named by
    the tags of their trees; on lists of before they had numbers.
    """

    serial: str
    day: date
    layout: str
    version: int
    units: str
    tags: tuple[str, ...]
    lines: Mapping[str, str]
    jobs: tuple[Offered, ...] = ()
    spots: Sequence[Spot] = ()
    files: Mapping[str, str] = field(default_factory=dict)
    fronts: Mapping[str, str] = field(default_factory=dict)
    asks: tuple[str, ...] = ()
    rows: Mapping[str, tuple[str, ...]] = field(default_factory=dict)
    by_tag: bool = False

    @property
    def first_page(self) -> int:
        """The page whose code names none."""
        return min((spot.page for spot in self.spots), default=1)

    def job(self, letter: str, tag: str = "") -> Offered | None:
        """The work offered under a mark, and under a tag where the sheet has several trees; None where none was. Case is no matter."""
        wanted = letter.lower()
        return next(
            (j for j in self.jobs if j.letter.lower() == wanted and (self.by_tag or not tag or j.tag == tag)), None
        )

    def enlarged(self, times: float) -> Sheet:
        """The sheet as it is printed so many times as large: all its places with it."""
        if times == 1.0:
            return self
        spots = (
            replace(s, x=s.x * times, y=s.y * times, width=s.width * times, height=s.height * times)
            for s in self.spots
        )
        return replace(self, spots=tuple(spots))

    def trees_of(self, line: str) -> tuple[str, ...]:
        """The trees of a line or row."""
        return self.rows.get(line) or (self.lines[line],)
