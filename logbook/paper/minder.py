"""The card for whoever looks after the trees: one rule for all, then what is otherwise, tree by tree."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from datetime import date

from ..collection.dates import day_told
from ..collection.model import Tree
from ..formulas.water import every_told
from ..horticulture.knowledge import Knowledge
from ..planning.lists.watering import Thirst
from ..planning.model import Job
from ..planning.wording import Wording
from ..values import dataclass
from .cards import card_pages, card_title
from .flow import Chunk, Piece, baseline_text, heading, line, lines, row
from .layouts import Layout
from .page import Page, Rule
from .words import say

SIZE, RULE_PT = 9.0, 14.0
STEPS_DAYS = (0.5, 1.0, 3.0, 7.0, 14.0)
RULES = ("rule water", "rule soil", "rule leave", "rule wilted")


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
    days = say("span", first=day_told(span[0]), last=day_told(span[1]))
    usual = _usual(trees)
    parts: list[tuple[str, str, list[Piece]]] = [
        ("other", say("but these"), _others(trees, usual, width)),
        ("care", say("see to"), _grouped(((words, m) for m in trees for words in m.care), width)),
        ("marked", say("mind"), _marked(trees, knowledge, width)),
        (
            "benches",
            say("where they stand"),
            _grouped(((m.tree.bench or say("place not known"), m) for m in trees), width),
        ),
    ]
    chunks = [
        Chunk("title", (card_title(say("minding"), days, width),)),
        Chunk("whom", (line(title, SIZE, bold=True), *_blank_lines((say("call"), say("or"), say("tap")), width))),
        Chunk("rule", tuple(lines(say("all look", often=every_told(usual)), RULE_PT, width, bold=True)), 2.4),
        Chunk("how", tuple(p for rule in RULES for p in lines(say(rule), SIZE, width)), whole=True),
        *(Chunk(name, (heading(told, width, SIZE), *pieces), whole=True) for name, told, pieces in parts if pieces),
    ]
    return card_pages(chunks, layout, "minder's card", say("minding days", days=days))


def minders_care(care: Iterable[Job], span: tuple[date, date], wording: Wording) -> Iterator[str]:
    """What one who minds a tree has to see to in those days: cover before a cold night, shade, the weeks after hard work."""
    first, last = span
    for job in care:
        minded = job.says or job.night is not None or (job.record and job.record.minded)
        if not (minded and job.opens and job.closes and job.closes >= first):
            continue
        begins, ends = max(job.opens, first), min(job.closes, last)
        line_of = "minded" if (begins, ends) == span else "minded then"
        days = {"first": day_told(begins), "last": day_told(ends)}
        yield say(line_of, what=job.what, **days, but=_but(job, wording))


def _but(job: Job, wording: Wording) -> str:
    """Before which night, and where to; what else it hangs on."""
    if job.night is None:
        return "".join(f"; {wording.reason(reason)}" for reason in job.conditions)
    night = say("minded night", temperature=wording.units.temperature_told(job.night))
    return night + "".join(f": {wording.reason(reason)}" for reason in job.conditions[1:])


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
    return _grouped(((say("look", often=every_told(days)), m) for m in order if (days := _often(m)) < usual), width)


def _marked(trees: Sequence[Minded], knowledge: Knowledge, width: float) -> list[Piece]:
    """What is indoors, what harms whoever eats of it, what one does not lift alone."""
    told = (
        ("indoors", [m for m in trees if m.indoors]),
        (
            "do not eat",
            [m for m in trees if knowledge.is_poisonous(m.tree.species)],
        ),
        ("do not lift", [m for m in trees if m.thirst.heavy]),
    )
    return _grouped(((say(words), m) for words, some in told for m in some), width)


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
