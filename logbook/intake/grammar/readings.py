"""What a typed line became: the value that passes from the grammar to the plan."""

from __future__ import annotations

from ...storage.printed import Sheet
from ...values import dataclass
from .details import Fields
from .tokens import TypedDate
from .tray import Proposal

# what this tool itself writes into waiting.txt; any other line is the grower's
UNREAD = "?"
NOTHING = ("-", "–", "—")


@dataclass(frozen=True, slots=True)
class Reading:
    """One typed line, read.

    `parts` are the entries it makes (without date and source), each field with the value its kind has in memory. `fault`: it can't be placed or read. `question`: it
    needs the grower's word; `parts` then hold the best reading, or what it is kept as if the grower says yes. `again` is
    the line as it can be given again by itself, with the day it took from above. `meant` is what a misspelt line may have
    been. `unread`: what stands on paper there is not typed yet. `mends`: the waiting line, by its notes and number, that
    this one was made of. `nothing`: the grower says that nothing stands there, or that a mended header is right.
    `tick`: its first part is an offered job that was ticked. `partly`: words were kept that nothing was made of.
    `ticks`: the offered jobs that were laid into its parts, by the part's place, each as a source. `details`: it only tells
    details of a work that was ticked. `bare_wire`: it may only tell that wire is on. `proposal`: what else may follow of it. `row`: the row of
    a table that it is of, as `from` tells it. `less`: how many of a tray are `gone`, by which way. `header`: it is a
    header, or looks like one. `guessed`: its work, or that of `meant`, was only guessed. `other`: the tree that its first words name,
    which is not the one above it. `typed`: how it was typed first, where `text` is the line as it was given back, with its day.
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
    tick: bool = False
    ticks: tuple[tuple[int, str], ...] = ()
    details: bool = False
    partly: bool = False
    bare_wire: bool = False
    proposal: Proposal | None = None
    row: str = ""
    less: int = 0
    gone: str = ""
    header: bool = False
    guessed: bool = False
    other: str = ""
    typed: str = ""
