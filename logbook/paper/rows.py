"""The rows of every list that is carried along a bench: where their columns stand, and how one row and one heading are drawn.

A row is keyed by its tree's tag. Wide paper has its pencil field beside the text; narrower paper has it below.
"""

from __future__ import annotations

from dataclasses import field

from ..storage.printed import Spot
from ..values import dataclass
from .page import Block, Box, Item, Rule, Text
from .sheet.back import SQUARE_IN_MM, SQUARE_MM
from .typed_back import DAY, SAYS, SCORES
from .typesetting import fitted, shrunk, tidy, width_mm, wrap
from .words import say

ROW_MM = 12.0
BASELINES_MM = (4.2, 7.7, 11.1)
STEP_MM, BOLD_STEP_MM = 3.45, 3.75
BOLD_PT, WORDS_PT, SMALL_PT = 11.0, 8.5, 8.0
BOX_MM, RATE_MM = 6.0, 5.0
BOX_GAP_MM = 4.0
BOX_TOP_MM = 2.5
DAY_MM = 13.0
NARROW_MM, LARGE_MM, DAY_BELOW_MM = (
    75.0,
    90.0,
    1.8,
)  # on so narrow a page the day stands under one box or two, and so much lower
RATE_STEPS, RATE_STEP_MM = 4, 6.6
WIDE_MM = 165.0
BELOW_MM = 9.0  # of a pencil field below its row
HAIR_MM = 0.12
LEAST_WHAT_MM = 12.0  # of a work beside its date
SAID_PT, SAID_STEP_MM = 7.5, 9.4


@dataclass(frozen=True, slots=True)
class Columns:
    """Where the columns stand, mm. `beside`: the pencil field stands beside the text, else below it. `under`: the day under the boxes;
    `rate`: where the five boxes for a rating begin.
    """

    left: float
    right: float
    tag: float
    tag_pt: float
    text: tuple[float, float]
    done: float
    looked: float
    day: float
    pencil: tuple[float, float]
    beside: bool
    under: bool = False
    rate: float = 0.0


def columns(width: float, *, two_boxes: bool = True) -> Columns:
    """The columns of a page of this width, mm; without a second box the text takes its room on narrow paper."""
    left = SQUARE_IN_MM + SQUARE_MM + 2.0
    right = width - left
    if right - left >= WIDE_MM:
        text = left + 25.0
        done = text + 62.0 + 2.0
        looked = done + BOX_MM + BOX_GAP_MM
        day = looked + BOX_MM + BOX_GAP_MM
        pencil = day + DAY_MM + 3.5
        return Columns(
            left, right, 24.0, 19.0, (text, text + 62.0), done, looked, day, (pencil, right), True, False, done
        )
    tag = 20.0 if right - left >= 110.0 else 15.0
    day = right - DAY_MM
    if right - left < (LARGE_MM if two_boxes else NARROW_MM):
        looked, text = right - BOX_MM, left + tag + 1.0
        done = looked - BOX_GAP_MM - BOX_MM if two_boxes else looked
        ends = min(day, done) - 2.0
        rate = right - RATE_STEPS * RATE_STEP_MM - RATE_MM
        return Columns(
            left, right, tag, 15.0, (text, ends), done, looked, day, (left + 5.0, right), False, True, rate
        )
    second = day - BOX_GAP_MM - BOX_MM
    done = second - BOX_GAP_MM - BOX_MM if two_boxes else second
    text = left + tag + 1.0
    return Columns(
        left,
        right,
        tag,
        19.0 if tag > 15 else 15.0,
        (text, done - 2.0),
        done,
        second,
        day,
        (left + 5.0, right),
        False,
        False,
        done,
    )


@dataclass(frozen=True, slots=True)
class Row:
    """What a row says: its name on record, the tag as printed and what stands under it, the job with its one date, and lines below.

    `must` are lines that are never left out, `may` such as give way where the row is full; `more` stands behind them all. `job`: it offers one; `rates`: five boxes
    in place of the others; `says`: boxes with words of their own instead of all these, each with what it means when it is typed.
    `blank`: words before a rule in the pencil field, and what is typed for it with a `_` in its place.
    """

    ident: str
    label: str
    under: str = ""
    what: str = ""
    when: str = ""
    must: tuple[str, ...] = ()
    may: tuple[str, ...] = ()
    more: str = ""
    job: bool = True
    looked: bool = True
    rates: bool = False
    says: tuple[tuple[str, str], ...] = ()
    blank: tuple[str, str] = ("", "")
    mark: str = ""


@dataclass(slots=True)
class Canvas:
    """What has been drawn on a page so far."""

    page: int
    items: list[Item] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    spots: list[Spot] = field(default_factory=list)

    def put(self, words: str, x: float, baseline: float, size: float, block: str, *, bold: bool = False) -> Text:
        """A text by its baseline."""
        text = Text(x, baseline, tidy(words), size, bold, False, width_mm(tidy(words), size, bold), block)
        self.items.append(text)
        return text

    def put_right(self, words: str, right: float, baseline: float, size: float, block: str, *, bold: bool) -> float:
        """A text that ends there; where it begins."""
        begins = right - width_mm(tidy(words), size, bold)
        self.put(words, begins, baseline, size, block, bold=bold)
        return begins

    def box(self, named: tuple[str, str, str], x: float, y: float, side: float, block: str) -> None:
        """A box to tick, on record by kind, id and row."""
        self.items.append(Box(x, y, side, side, 0.35, block=block))
        self.spots.append(Spot(*named, self.page, x, y, side, side))

    def place(
        self, named: tuple[str, str, str], x: float, base: float, size: tuple[float, float], block: str = ""
    ) -> None:
        """A place to write in above a base line, on record by kind, id and row; the line is drawn where `block` names one."""
        width, height = size
        if block:
            self.items.append(Rule(x, base, x + width, base, 0.2, block=block))
        self.spots.append(Spot(*named, self.page, x, base - height, width, height))


@dataclass(frozen=True, slots=True)
class Laid:
    """A row in lines that fit, and its height."""

    row: Row
    bold: tuple[str, ...]
    bold_pt: float
    words: tuple[str, ...]
    height: float
    when: str = ""  # the date beside the job; one that finds no room there stands in the words


def lay(row: Row, at: Columns, least: float = ROW_MM) -> Laid:
    """Break a row's words; `least` is its height, mm, where it needs no more. The job's own words and what must stand there are never cut: the row grows."""
    if row.says:
        return Laid(row, (), BOLD_PT, (), ROW_MM * len(_said_lines(row, at)))
    room = (min(at.text[1], at.rate - 2.0) if row.rates else at.text[1]) - at.text[0]
    when = width_mm(row.when, BOLD_PT, True) + 2.0 if row.when else 0.0
    below = at.under or room - when < LEAST_WHAT_MM
    bold, size = _job_lines(row.what, room, 0.0 if below else when)
    first = (row.when,) if row.when and below else ()  # beside the job it would stand in its words
    must = [part for line in (*first, *row.must) for part in wrap(line, WORDS_PT, room)]
    words = list(must)
    spare = 3 - len(bold) - len(must)
    for line in row.may:
        parts = wrap(line, WORDS_PT, room)
        if len(parts) <= spare:
            words += parts
            spare -= len(parts)
    words += wrap(row.more, WORDS_PT, room) if row.more else []
    last = BASELINES_MM[0] + max(0, len(bold) - 1) * BOLD_STEP_MM + (len(words) - (not bold)) * STEP_MM
    boxes = BOX_TOP_MM + 2 * BOX_MM + DAY_BELOW_MM + 1.0 if at.under else 0.0
    height = max(least, boxes, last + (0.9 if words else 1.3))
    return Laid(
        row, tuple(bold), size, tuple(words), height + (0.0 if at.beside else BELOW_MM), "" if below else row.when
    )


def _job_lines(what: str, room: float, when: float) -> tuple[list[str], float]:
    """The job beside its date: on one line, a little smaller where that does it, else on several, the first one shorter."""
    if not what:
        return [], BOLD_PT
    for size in (BOLD_PT, BOLD_PT - 0.5, BOLD_PT - 1.0):
        if width_mm(tidy(what), size, True) <= room - when:
            return [tidy(what)], size
    first, *_ = wrap(what, BOLD_PT, max(room - when, LEAST_WHAT_MM), True)
    rest = tidy(what)[len(first) :].strip()
    return [first, *wrap(rest, BOLD_PT, room, True)], BOLD_PT


def draw(laid: Laid, at: Columns, y: float, canvas: Canvas) -> None:
    """Draw a row with its top at `y`."""
    row, block = laid.row, f"row {laid.row.ident}"
    upper = laid.height - (0.0 if at.beside or row.says else BELOW_MM)
    canvas.blocks.append(Block(block, at.left, y, at.right - at.left, laid.height))
    _names(row, at, y, canvas, block)
    _job(laid, at, y, canvas, block)
    if row.says:
        _said(row, at, y, canvas, block)
    elif row.rates:
        _rating(row, at, y, canvas, block)
    else:
        _boxes(row, at, y, canvas, block)
    base = y + laid.height
    canvas.items.append(Rule(at.left, base, at.right, base, 0.2, block=block))
    if not row.says:
        _pencil(row, at, y if at.beside else y + upper, base, canvas, block)


def _names(row: Row, at: Columns, y: float, canvas: Canvas, block: str) -> None:
    mark = width_mm(row.mark, WORDS_PT, True) + 1.0 if row.mark else 0.0
    size = shrunk(row.label, at.tag_pt, at.tag - mark, bold=True)
    label, size = fitted(row.label, size, at.tag - mark, True)
    tag = canvas.put(label, at.left, y + 6.6, size, block, bold=True)
    if row.mark:
        canvas.put(row.mark, at.left + tag.width + 1.0, y + 6.6, WORDS_PT, block, bold=True)
    if row.under:
        words, points = fitted(row.under, WORDS_PT, at.tag)
        canvas.put(words, at.left, y + BASELINES_MM[2] - 0.3, points, block)


def _job(laid: Laid, at: Columns, y: float, canvas: Canvas, block: str) -> None:
    base = y + BASELINES_MM[0]
    for number, line in enumerate(laid.bold):
        canvas.put(line, at.text[0], base, laid.bold_pt, block, bold=True)
        if not number and laid.when:
            canvas.put_right(laid.when, at.text[1], base, BOLD_PT, block, bold=True)
        base += BOLD_STEP_MM if number + 1 < len(laid.bold) else STEP_MM
    for line in laid.words:
        canvas.put(line, at.text[0], base, WORDS_PT, block)
        base += STEP_MM


def _boxes(row: Row, at: Columns, y: float, canvas: Canvas, block: str) -> None:
    top = y + BOX_TOP_MM
    if row.job:
        canvas.box(("job", row.ident, row.ident), at.done, top, BOX_MM, block)
    if row.looked:
        canvas.box(("say", SAYS["looked"], row.ident), at.looked, top, BOX_MM, block)
    below = BOX_MM + DAY_BELOW_MM if at.under else 0.0
    canvas.place(("day", row.ident, row.ident), at.day, top + BOX_MM + below, (DAY_MM, BOX_MM + 1.2), block)


def _rating(row: Row, at: Columns, y: float, canvas: Canvas, block: str) -> None:
    """Five boxes over the three columns, their numbers above them."""
    step = ((at.day + DAY_MM if at.beside else at.right) - RATE_MM - at.rate) / RATE_STEPS
    for number, score in enumerate(SCORES):
        x = at.rate + number * step
        width = width_mm(score, WORDS_PT)
        canvas.put(score, x + (RATE_MM - width) / 2, y + 3.6, WORDS_PT, block)
        canvas.box(("vigour", score, row.ident), x, y + 4.6, RATE_MM, block)


def _pencil(row: Row, at: Columns, y: float, base: float, canvas: Canvas, block: str) -> None:
    """The free field; words printed in it stand above or before what is on record as the place to write."""
    left, right = at.pencil
    top = y + 1.0
    if at.beside:
        hair = left - 1.2
        canvas.items.append(Rule(hair, y + 0.9, hair, base - 0.9, HAIR_MM, block=block))
    if row.rates:
        said = canvas.put(say("rate first"), left, y + 3.4, WORDS_PT, block, bold=True)
        day = canvas.put(say("day"), left + said.width + 4.0, y + 3.4, WORDS_PT, block)
        start = day.x + day.width + 1.2
        canvas.place(("day", row.ident, row.ident), start, y + 3.9, (DAY_MM, 3.9), block)
        top = y + 4.6
    if row.blank[0]:
        said = canvas.put(row.blank[0], left, base - 1.6, WORDS_PT, block)
        start = left + said.width + 1.2
        canvas.place(("told", row.blank[1], row.ident), start, base, (right - start, 4.6))
        return
    canvas.place(("line", row.ident, row.ident), left, base, (right - left, base - top))


def _said(row: Row, at: Columns, y: float, canvas: Canvas, block: str) -> None:
    """Boxes with words above them, from the text on, and the day at their end; on narrow paper in several lines."""
    for number, line in enumerate(_said_lines(row, at)):
        top = y + number * ROW_MM + 4.6
        for x, words, typed in line:
            canvas.put(words, x, top - 1.1, SAID_PT, block)
            if typed == DAY:
                canvas.place(("day", row.ident, row.ident), x, top + RATE_MM, (DAY_MM, RATE_MM), block)
            else:
                canvas.box(("vigour" if typed in SCORES else "say", typed, row.ident), x, top, RATE_MM, block)


def _said_lines(row: Row, at: Columns) -> list[list[tuple[float, str, str]]]:
    """Where each box and the day stand, with its words and what it means."""
    lines: list[list[tuple[float, str, str]]] = [[]]
    x = at.text[0]
    for words, typed in (*row.says, (say("day"), DAY)):
        wide = max(DAY_MM if typed == DAY else RATE_MM, width_mm(words, SAID_PT))
        if x + wide > at.right + 1e-6:
            lines.append([])
            x = at.text[0]
        lines[-1].append((x, words, typed))
        x += max(wide + 1.6, SAID_STEP_MM)
    return lines
