"""What may be said of some trees, for paper: which works, and the words of all that is announced."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import TYPE_CHECKING

from ..collection.model import Settings, Tree
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Work
from ..intake.announced import FieldSaid, fields_said, lines_said, seen_said, work_said
from ..intake.grammar.vocabulary import Vocabulary, vocabulary
from ..planning.garden import Garden
from .common import Opened

if TYPE_CHECKING:
    from ..paper.crib import Announced

WORK = "work"


def parted(knowledge: Knowledge, settings: Settings, trees: Sequence[Tree]) -> tuple[list[Work], list[Work]]:
    """The works that one of these trees has a row for, or that any tree has; and the rest. Of no trees: all."""
    works = list(knowledge.works.values())
    if not trees:
        return works, []
    garden = Garden(settings, knowledge)
    offered = {work.name for tree in trees for work, _ in knowledge.rows_for(garden.group_of(tree), tree.species)}
    own = [w for w in works if not w.rows or w.name in offered]
    return own, [w for w in works if w not in own]


def announced_to(opened: Opened, trees: Sequence[Tree]) -> Announced:
    """All that a note may say of these trees; of none, of any tree."""
    from ..paper.crib import Announced

    knowledge, settings = opened.knowledge, opened.collection.settings
    words = vocabulary(knowledge)
    own, _ = parted(knowledge, settings, trees)
    return Announced(
        lines=[(line.said, line.means) for line in lines_said()],
        fields=[(f.key, _phrases(f)) for f in fields_said(knowledge, settings.units) if f.key != WORK],
        works=[(work.name, _listed(_beside_its_name(work, words))) for work in own],
        signs=_seen(seen_said(knowledge, "sign")),
        troubles=_seen(seen_said(knowledge, "trouble")),
    )


def _phrases(said: FieldSaid) -> str:
    return _listed((said.lines[0], *said.said[1:]))


def _beside_its_name(work: Work, words: Vocabulary) -> tuple[str, ...]:
    """The words a work is typed by other than its name, which stands there; samples where there are no others."""
    typed = tuple(said for said in work.typed if said != work.name)
    return typed or tuple(said for said in work_said(work, words) if said != work.name)


def _seen(names: Mapping[str, tuple[str, ...]]) -> list[tuple[str, str]]:
    return [(name, _listed(said)) for name, said in names.items()]


def _listed(phrases: Sequence[str]) -> str:
    return "; ".join(phrases)
