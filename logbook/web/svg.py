"""Items in millimetres to SVG: what paper shows in ink a page shows in its own colours, light or dark. Decides nothing.

Black is the colour of the text, white that of the page (class `w`). A text is set as wide as it was measured, whatever face the
browser has, so that nothing runs into its neighbour.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from functools import lru_cache
from itertools import groupby
from operator import itemgetter

from ..escapes import page as escaped
from ..paper.page import MM_PER_POINT, Box, Item, Rule, Shape, Text

PX_PER_MM = 96 / 25.4
OUTLINED = "outlined"  # an outline with white inside
SHORT = 6  # letters that run into nothing, whatever face sets them
MOST_KEPT = 1 << 13  # lines, boxes and words that come again: months, grids, marks
USUAL = 0.4  # mm: how thick most lines are; only others say it


def svg(
    items: Iterable[Item], width: float, height: float, told: str, *, sized: bool = False, top: float = 0.0
) -> str:
    """A drawing of this size, mm, from `top` on; `told` is what stands in its place for whoever does not see it. `sized`: shown at its own
    size.
    """
    size = f' width="{_n(width * PX_PER_MM)}" height="{_n(height * PX_PER_MM)}"' if sized else ""
    drawn: list[Item] = []
    words: dict[Face, list[Text]] = {}
    for item in items:
        if type(item) is Text:
            centred = len(item.text) == 1 and not item.turn  # one letter is not stretched
            words.setdefault((item.size_pt, item.bold, item.white, centred), []).append(item)
        else:
            drawn.append(item)
    painted = [
        _PAINTERS[kind[0]]([item for _, item in some]) for kind, some in groupby(_styled(drawn), key=itemgetter(0))
    ]  # words on top of all else, those of one style together: nothing is ever drawn over a word
    inside = "".join((*painted, *(_texts(face, words[face]) for face in sorted(words))))
    return (
        f'<svg role="img" aria-label="{escaped(told)}" viewBox="0 {_n(top)} {_n(width)} {_n(height)}"{size} '
        f'fill="none" stroke="currentColor" stroke-width="{_n(USUAL)}">{inside}</svg>'
    )


Face = tuple[float, bool, bool, bool]


def _styled(items: Iterable[Item]) -> Iterator[tuple[tuple[object, ...], Item]]:
    """The items, each with its style: those of one style that follow one another are one path; white under an outline is one with it."""
    white: Box | Shape | None = None
    for item in items:
        if white is None and type(item) is Rule:
            yield (Rule, item.thick, item.gray, item.dash), item  # as most are
            continue
        if white is not None and isinstance(item, Box | Shape) and item.fill is None and _alike(white, item):
            yield (OUTLINED, item.thick), item
            white = None
            continue
        if white is not None:
            yield _style(white), white
        white = item if isinstance(item, Box | Shape) and item.fill == 1.0 else None
        if white is None:
            yield _style(item), item
    if white is not None:
        yield _style(white), white


def _alike(one: Box | Shape, other: Box | Shape) -> bool:
    if isinstance(one, Box) or isinstance(other, Box):
        return isinstance(one, Box) and isinstance(other, Box) and _outline(one) == _outline(other)
    return one.points == other.points


def _style(item: Item) -> tuple[object, ...]:
    if isinstance(item, Rule):
        return Rule, item.thick, item.gray, item.dash
    if isinstance(item, Box | Shape):
        return Box, item.fill, item.thick
    return (type(item),)


def _rules(items: list[Item]) -> str:
    rules = [item for item in items if isinstance(item, Rule)]
    first, end, lines = rules[0], None, []
    for rule in rules:
        goes_on = end == (rule.x1, rule.y1) and not rule.dash  # from where the one before ends
        lines.append(_line(rule.x1, rule.y1, rule.x2, rule.y2, goes_on))
        end = rule.x2, rule.y2
    path = "".join(lines)
    gray = f' stroke-opacity="{_n(1 - first.gray)}"' if first.gray else ""
    dash = f' stroke-dasharray="{_n(first.dash)}"' if first.dash else ""
    return f'<path d="{path}"{_thick(first.thick)}{gray}{dash}/>'


@lru_cache(maxsize=MOST_KEPT)
def _line(x1: float, y1: float, x2: float, y2: float, goes_on: bool) -> str:
    start = "" if goes_on else f"M{_p(x1)} {_p(y1)}"
    return start + _way((x1, y1), (x2, y2))


def _thick(mm: float) -> str:
    return "" if mm == USUAL else f' stroke-width="{_n(mm)}"'


def _outlined(items: list[Item]) -> str:
    areas = [item for item in items if isinstance(item, Box | Shape)]
    return f'<path class="o" d="{"".join(map(_outline, areas))}"{_thick(areas[0].thick)}/>'


def _areas(items: list[Item]) -> str:
    areas = [item for item in items if isinstance(item, Box | Shape)]
    path = "".join(map(_outline, areas))
    fill, thick = areas[0].fill, areas[0].thick
    if fill is None:
        return f'<path d="{path}"{_thick(thick)}/>'
    if fill == 1.0:
        return f'<path class="w" d="{path}"/>'
    gray = f' fill-opacity="{_n(1 - fill)}"' if fill else ""
    return f'<path class="k" d="{path}"{gray}/>'


def _outline(item: Box | Shape) -> str:
    if isinstance(item, Box):
        return _box(item.x, item.y, item.width, item.height)
    (x, y), *rest = item.points
    return f"M{_p(x)} {_p(y)}{''.join(map(_way, item.points, rest))}z"


@lru_cache(maxsize=MOST_KEPT)
def _box(x: float, y: float, width: float, height: float) -> str:
    return f"M{_p(x)} {_p(y)}h{_p(width)}v{_p(height)}h{_p(-width)}z"


def _way(start: tuple[float, float], end: tuple[float, float]) -> str:
    """The way from one point of a path to the next, as short as it can be told: to a place, or so far on."""
    (x1, y1), (x2, y2) = start, end
    across = _p(round(x2, 2) - round(x1, 2))
    if y1 == y2:
        return min(f"H{_p(x2)}", f"h{across}", key=len)
    down = _p(round(y2, 2) - round(y1, 2))
    if x1 == x2:
        return min(f"V{_p(y2)}", f"v{down}", key=len)
    return min(f"L{_p(x2)} {_p(y2)}", f"l{across} {down}", key=len)


def _texts(face: Face, texts: Iterable[Text]) -> str:
    size_pt, bold, white, centred = face
    kind = " ".join(name for name, there in (("b", bold), ("w", white), ("m", centred)) if there)
    named = f' class="{kind}"' if kind else ""
    if centred:
        told = [_letter(text.x, text.y, text.width, text.text) for text in texts]
    else:
        told = [_words(text.x, text.y, text.width, text.text, text.turn) for text in texts]
    return f'<g{named} font-size="{_n(size_pt * MM_PER_POINT)}">{"".join(told)}</g>'


@lru_cache(maxsize=MOST_KEPT)
def _letter(x: float, y: float, width: float, text: str) -> str:
    """One letter, centred; where words and letters stand is told to a tenth of a millimetre, which nobody sees."""
    return f'<text x="{_n(round(x + width / 2, 1))}" y="{_n(round(y, 1))}">{escaped(text)}</text>'


@lru_cache(maxsize=MOST_KEPT)
def _words(x: float, y: float, width: float, text: str, turn: int) -> str:
    """A line of words, as wide as it was measured."""
    wide = (
        f' textLength="{_n(round(width, 1))}" lengthAdjust="spacingAndGlyphs"' if width and len(text) > SHORT else ""
    )
    turned = f' transform="rotate({-90 * turn} {_n(x)} {_n(y)})"' if turn else ""
    return f'<text x="{_n(round(x, 1))}" y="{_n(round(y, 1))}"{wide}{turned}>{escaped(text)}</text>'


_PAINTERS: dict[object, Callable[[list[Item]], str]] = {Rule: _rules, Box: _areas, OUTLINED: _outlined}


@lru_cache(maxsize=1 << 16)
def _n(value: float) -> str:
    """A number with two digits behind the point, and no more than it needs."""
    told = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if told in ("-0", "") else told


@lru_cache(maxsize=1 << 16)
def _p(value: float) -> str:
    """The same within a path, where the nought before the point may go."""
    return _n(value).replace("0.", ".", 1) if -1.0 < value < 1.0 else _n(value)
