"""What stands over the rows of a list: the names of the columns, and the heading of a bench or a day with its tick."""

from __future__ import annotations

from ..values import dataclass
from .page import Block, Rule
from .rows import BOLD_PT, BOX_MM, DAY_MM, SMALL_PT, STEP_MM, WORDS_PT, Canvas, Columns
from .typed_back import SAYS
from .typesetting import tidy, uncut, width_mm, wrap
from .words import say

HEADING_MM = 7.0
TICK_MM = 5.0
HEADS_APART_MM = 1.0


@dataclass(frozen=True, slots=True)
class Heading:
    """A heading over rows: a bench or a day. `tick` and `ident` where all below it can be ticked off at once."""

    name: str
    more: str = ""
    tick: str = ""
    ident: str = ""


def heading_height(heading: Heading, at: Columns) -> float:
    """How high a heading is, mm: what has no room beside its name goes on below."""
    return HEADING_MM + (len(_more_lines(heading, at)) - 1) * STEP_MM


def draw_heading(heading: Heading, at: Columns, y: float, canvas: Canvas) -> None:
    """A heading with its top at `y`, a rule under it, and its tick where it has one."""
    block = f"heading {heading.name}"
    height = heading_height(heading, at)
    first, *rest = _more_lines(heading, at)
    base = y + height
    name, size = _heading_name(heading, at)
    put = canvas.put(name, at.left, y + 4.9, size, block, bold=True)
    if first:
        canvas.put(first, at.left + put.width + 3.0, y + 4.9, WORDS_PT, block)
    for number, line in enumerate(rest, start=1):
        canvas.put(line, at.left, y + 4.9 + number * STEP_MM, WORDS_PT, block)
    if heading.tick:
        top = y + 1.2
        canvas.put_right(heading.tick, _tick_at(at) - 1.5, y + 4.9, WORDS_PT, block, bold=False)
        canvas.box(("say", SAYS["looked"], heading.ident), _tick_at(at), top, TICK_MM, block)
        canvas.place(("day", heading.ident, heading.ident), at.day, base, (DAY_MM, min(height, HEADING_MM) - 0.6))
    canvas.items.append(Rule(at.left, base, at.right, base, 0.35, block=block))
    canvas.blocks.append(Block(block, at.left, y, at.right - at.left, height))


def _tick_at(at: Columns) -> float:
    return at.day - TICK_MM - 1.5 if at.under else at.looked + (BOX_MM - TICK_MM) / 2


def _heading_end(heading: Heading, at: Columns) -> float:
    """How far a heading's words may go: its tick's words stand at its end."""
    return _tick_at(at) - 3.0 - width_mm(heading.tick, WORDS_PT) if heading.tick else at.right


def _heading_name(heading: Heading, at: Columns) -> tuple[str, float]:
    """Over the text as far as it goes, and beyond before it is cut; short of the words at its tick."""
    end = _heading_end(heading, at)
    return uncut(heading.name, BOLD_PT, (min(at.text[1], end) - at.left, end - at.left), True)


def _more_lines(heading: Heading, at: Columns) -> list[str]:
    """What stands behind a heading's name, in lines; the first of them, and it alone, beside the name."""
    name = width_mm(_heading_name(heading, at)[0], BOLD_PT, True) + 3.0
    tick = _heading_end(heading, at)
    room = tick - at.left - name
    if not heading.more:
        return [""]
    if width_mm(tidy(heading.more), WORDS_PT) <= room:
        return [tidy(heading.more)]
    first = _first_line(heading.more, room)
    rest = tidy(heading.more)[len(first) :].strip()
    return [first, *wrap(rest, WORDS_PT, (tick if heading.tick else at.right) - at.left)]


def _first_line(words: str, room: float) -> str:
    """As many words as find room; none where the first is too wide."""
    first = wrap(words, WORDS_PT, max(room, 5.0))[0] if room > 5.0 else ""
    return first if tidy(words).startswith(f"{first} ") or first == tidy(words) else ""


def column_heads(at: Columns, base: float, canvas: Canvas, block: str, *, looked: bool = True) -> None:
    """The names of the columns, over their middles; a long one moves to the left, where the works have no head."""
    heads = [(say("column done"), at.done, BOX_MM), *([] if at.under else [(say("day"), at.day, DAY_MM)])]
    heads += [(say("column looked"), at.looked, BOX_MM)] if looked else []
    begins, end = {}, at.pencil[0] - HEADS_APART_MM if at.beside else at.right
    for words, x, wide in sorted(heads, key=lambda head: -head[1]):
        taken = width_mm(words, SMALL_PT)
        begins[x] = min(x + (wide - taken) / 2, end - taken)
        end = begins[x] - HEADS_APART_MM
    for words, x, _ in heads:
        canvas.put(words, begins[x], base, SMALL_PT, block)
    if at.beside:
        canvas.put(say("column pencil"), at.pencil[0], base, SMALL_PT, block)
