"""The card for whoever looks after the trees: one rule for all, then what is otherwise, tree by tree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Tree
from ..formulas.water import every_told
from ..horticulture.knowledge import Knowledge
from ..planning.lists.watering import Thirst
from .cards import card_pages, card_title
from .flow import Chunk, Piece, baseline_text, heading, line, lines, row
from .layouts import Layout
from .page import Page, Rule

SIZE, RULE_PT = 9.0, 14.0
STEPS_DAYS = (0.5, 1.0, 3.0, 7.0, 14.0)
NO_PLACE = "place not on record"
RULES = (
    "Look in the morning; in heat or wind again in the evening. Push a finger in, or lift the pot: water when the top is dry, "
    "until it runs out below. A dry pot is light.",
    "Water the soil, not the flowers. Rain on thick foliage does not reach the pot.",
    "Do not feed, cut, wire, turn or repot. Move a tree only where its name says so, and shade one that wilts and water it at once.",
    "Wilted and the soil is wet? Do not water. Shade it, and call.",
)


@dataclass(frozen=True, slots=True)
class Minded:
    """A tree in somebody else's care; `care` is what it wants besides water in those days."""

    tree: Tree
    thirst: Thirst
    indoors: bool = False
    care: tuple[str, ...] = ()


def minder_card(
    trees: Sequence[Minded], span: tuple[date, date], knowledge: Knowledge, layout: Layout, title: str
) -> list[Page]:
    """Whom to call, the rule for all, the exceptions to it, what else is to be seen to, and where the trees stand."""
    width = layout.room[0] - 2 * layout.margin
    days = f"{day_told(span[0])} to {day_told(span[1])}"
    usual = _usual(trees)
    parts: list[tuple[str, str, list[Piece]]] = [
        ("other", "But these", _others(trees, usual, width)),
        ("care", "See to", _grouped(((words, m) for m in trees for words in m.care), width)),
        ("marked", "Mind", _marked(trees, knowledge, width)),
        ("benches", "Where they stand", _grouped(((m.tree.bench or NO_PLACE, m) for m in trees), width)),
    ]
    chunks = [
        Chunk("title", (card_title("Looking after the trees", days, width),)),
        Chunk("whom", (line(title, SIZE, bold=True), *_blank_lines(("call", "or", "water tap"), width))),
        Chunk("rule", tuple(lines(f"ALL: look {every_told(usual)}", RULE_PT, width, bold=True)), 2.4),
        Chunk("how", tuple(p for rule in RULES for p in lines(rule, SIZE, width)), whole=True),
        *(Chunk(name, (heading(told, width, SIZE), *pieces), whole=True) for name, told, pieces in parts if pieces),
    ]
    return card_pages(chunks, layout, "minder's card", f"Looking after the trees, {days}")


def _often(minded: Minded) -> float:
    """Days between looks as a minder can keep them: rounded down, since dry comes sooner than expected."""
    return max((step for step in STEPS_DAYS if step <= minded.thirst.days), default=STEPS_DAYS[0])


def _usual(trees: Sequence[Minded]) -> float:
    """Days between looks at most of the trees; of two that are as many the fewer."""
    count = Counter(map(_often, trees))
    return min(count, key=lambda days: (-count[days], days), default=1.0)


def _others(trees: Sequence[Minded], usual: float, width: float) -> list[Piece]:
    """The trees that are looked at more often than all, the thirstiest first; a look too many at the others does no harm."""
    order = sorted(trees, key=lambda m: m.thirst.days)
    return _grouped(((f"look {every_told(days)}", m) for m in order if (days := _often(m)) < usual), width)


def _marked(trees: Sequence[Minded], knowledge: Knowledge, width: float) -> list[Piece]:
    """What is indoors, what harms whoever eats of it, what one does not lift alone."""
    told = (
        ("stand indoors", [m for m in trees if m.indoors]),
        (
            "poisonous to people and animals if eaten: wash your hands",
            [m for m in trees if knowledge.is_poisonous(m.tree.species)],
        ),
        ("heavy, two people or a trolley: leave them where they are", [m for m in trees if m.thirst.heavy]),
    )
    return _grouped(((words, m) for words, some in told for m in some), width)


def _grouped(said: Iterable[tuple[str, Minded]], width: float) -> list[Piece]:
    """Of each thing said, the trees that it is said of, in a row."""
    found: dict[str, list[str]] = {}
    for words, minded in said:
        found.setdefault(words, []).append(minded.tree.tag)
    pieces: list[Piece] = []
    for words, tags in found.items():
        pieces += row(((0.0, " ".join(sorted(tags)), True), (0.34, words, False)), width)
    return pieces


def _blank_lines(names: Sequence[str], width: float) -> list[Piece]:
    pieces = []
    for name in names:
        words = baseline_text(name, 0.0, 8.0, SIZE)
        pieces.append(Piece(8.0, (words, Rule(words.width + 2.0, 7.0, width, 7.0, 0.2, 0.35))))
    return pieces
