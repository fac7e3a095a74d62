"""Items in millimetres to SVG: what paper shows in ink a page shows in its own colours, light or dark. Decides nothing.

Black is the colour of the text, white that of the page (class `w`). A text is set as wide as it was measured, whatever face the
browser has, so that nothing runs into its neighbour.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from functools import lru_cache
from itertools import groupby

from ..escapes import page as escaped
from ..paper.page import MM_PER_POINT, Box, Item, Rule, Shape, Text

PX_PER_MM = 96 / 25.4


def svg(items: Iterable[Item], width: float, height: float, told: str, *, sized: bool = False) -> str:
    """A drawing of this size, mm; `told` is what stands in its place for whoever does not see it. `sized`: shown at its own size."""
    size = f' width="{_n(width * PX_PER_MM)}" height="{_n(height * PX_PER_MM)}"' if sized else ""
    drawn: list[Item] = []
    words: list[Text] = []
    for item in items:
        if isinstance(item, Text):
            words.append(item)
        else:
            drawn.append(item)
    words.sort(key=_face)  # on top of all else, those of one style together: nothing is ever drawn over a word
    inside = "".join(_painted(kind, list(some)) for kind, some in groupby((*drawn, *words), key=_style))
    return (
        f'<svg role="img" aria-label="{escaped(told)}" viewBox="0 0 {_n(width)} {_n(height)}"{size} '
        f'fill="none" stroke="currentColor">{inside}</svg>'
    )


def _face(item: Text) -> tuple[float, bool, bool]:
    return item.size_pt, item.bold, item.white


def _style(item: Item) -> tuple[object, ...]:
    """Items of one style that follow one another are one path."""
    if isinstance(item, Rule):
        return Rule, item.thick, item.gray, item.dash
    if isinstance(item, Box | Shape):
        return Box, item.fill, item.thick
    return (Text, item.size_pt, item.bold, item.white) if isinstance(item, Text) else (type(item),)


def _painted(style: tuple[object, ...], items: list[Item]) -> str:
    return _PAINTERS[style[0]](items)


def _rules(items: list[Item]) -> str:
    rules = [item for item in items if isinstance(item, Rule)]
    path = "".join(_line(rule) for rule in rules)
    first = rules[0]
    gray = f' stroke-opacity="{_n(1 - first.gray)}"' if first.gray else ""
    dash = f' stroke-dasharray="{_n(first.dash)}"' if first.dash else ""
    return f'<path d="{path}" stroke-width="{_n(first.thick)}"{gray}{dash}/>'


def _line(rule: Rule) -> str:
    start = f"M{_n(rule.x1)} {_n(rule.y1)}"
    if rule.y1 == rule.y2:
        return f"{start}H{_n(rule.x2)}"
    return f"{start}V{_n(rule.y2)}" if rule.x1 == rule.x2 else f"{start}L{_n(rule.x2)} {_n(rule.y2)}"


def _areas(items: list[Item]) -> str:
    areas = [item for item in items if isinstance(item, Box | Shape)]
    path = "".join(map(_outline, areas))
    fill, thick = areas[0].fill, areas[0].thick
    if fill is None:
        return f'<path d="{path}" stroke-width="{_n(thick)}"/>'
    if fill == 1.0:
        return f'<path class="w" d="{path}"/>'
    gray = f' fill-opacity="{_n(1 - fill)}"' if fill else ""
    return f'<path class="k" d="{path}"{gray}/>'


def _outline(item: Box | Shape) -> str:
    if isinstance(item, Box):
        return f"M{_n(item.x)} {_n(item.y)}h{_n(item.width)}v{_n(item.height)}h{_n(-item.width)}z"
    (x, y), *rest = item.points
    return f"M{_n(x)} {_n(y)}{''.join(f'L{_n(a)} {_n(b)}' for a, b in rest)}z"


def _texts(items: list[Item]) -> str:
    texts = [item for item in items if isinstance(item, Text)]
    first = texts[0]
    kind = " ".join(name for name, there in (("b", first.bold), ("w", first.white)) if there)
    size = _n(first.size_pt * MM_PER_POINT)
    named = f' class="{kind}"' if kind else ""
    return f'<g{named} font-size="{size}">{"".join(map(_text, texts))}</g>'


def _text(item: Text) -> str:
    if len(item.text) == 1 and not item.turn:  # one letter is centred, not stretched
        return f'<text x="{_n(item.x + item.width / 2)}" y="{_n(item.y)}" text-anchor="middle">{escaped(item.text)}</text>'
    wide = f' textLength="{_n(item.width)}" lengthAdjust="spacingAndGlyphs"' if item.width else ""
    turned = f' transform="rotate({-90 * item.turn} {_n(item.x)} {_n(item.y)})"' if item.turn else ""
    return f'<text x="{_n(item.x)}" y="{_n(item.y)}"{wide}{turned}>{escaped(item.text)}</text>'


_PAINTERS: dict[object, Callable[[list[Item]], str]] = {Rule: _rules, Box: _areas, Text: _texts}


@lru_cache(maxsize=1 << 16)
def _n(value: float) -> str:
    """A number with two digits behind the point, and no more than it needs."""
    told = f"{value:.2f}".rstrip("0").rstrip(".")
    return "0" if told in ("-0", "") else told
