"""Where a tree stands on a day, derived from its log alone: stage, vigour, rest, wire, pot, last works, readings.

Nothing here is stored. The log may stand in any order; entries that another one replaces are left out, and so are
entries later than the day asked about.
"""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Mapping
from dataclasses import field, replace
from datetime import date, timedelta
from functools import cached_property
from itertools import groupby, pairwise

from ..collection.dates import When
from ..collection.model import Entry, Intention, Pot, Tree
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Thing, Work
from ..season.calendar import Calendar
from ..values import dataclass
from .garden import Garden
from .wires import WireOn, wires_on

WEAK = 2
INDOORS = "always"  # of a tree's `indoors`: it never stands outside
STRONG = 4
HOLDING = 3
ROOT_TROUBLES = ("roots", "pot")
TROUBLE_OVER = "over"
SILENT_DAYS = 365


@dataclass(frozen=True, slots=True)
class Resting:
    """The tree rests since that day, for a vigour score or (None) by the grower's word.

    `not_before` is the first day on which a score may end the rest; None once that day has come.
    """

    since: When
    vigour: int | None = None
    not_before: date | None = None


@dataclass(frozen=True, slots=True)
class Reading:
    """A measure on a day: mm for lengths, else in its field's own unit."""

    day: date
    value: float


@dataclass(frozen=True)
class State:
    """A tree on one day. `hard`: its finished hard works; `shaken`: one of them, trouble or rest came after the last score."""

    entries: tuple[Entry, ...]
    stage: str = ""
    vigour: int | None = None
    vigour_on: When | None = None
    resting: Resting | None = None
    wires: tuple[WireOn, ...] = ()
    repotted: When | None = None
    pot: Pot | None = None
    trouble: str = ""
    trouble_entry: Entry | None = None
    indoors: str = ""
    removed: frozenset[str] = frozenset()
    intentions: tuple[tuple[When, Intention], ...] = ()
    readings: Mapping[str, tuple[Reading, ...]] = field(default_factory=dict)
    hard: tuple[Entry, ...] = ()
    shaken: bool = False

    @property
    def roots_ail(self) -> bool:
        """Whether the log says that roots or pot are the trouble."""
        return self.trouble in ROOT_TROUBLES

    def last(self, work: str) -> Entry | None:
        """The latest entry of a work."""
        return next(reversed(self._by_work.get(work, ())), None)

    def last_of(self, works: Iterable[Work], force: str = "") -> Entry | None:
        """The latest entry of any of these works (of that force, where one is asked for)."""
        done = [e for work in works for e in self._by_work.get(work.name, ()) if not force or e.force == force]
        return max(done, key=lambda e: (e.date.earliest, e.date.latest), default=None)

    @cached_property
    def _by_work(self) -> dict[str, list[Entry]]:
        found: dict[str, list[Entry]] = {}
        for entry in self.entries:
            if entry.work:
                found.setdefault(entry.work, []).append(entry)
        return found

    def height_mm(self) -> float | None:
        """The height measured last, mm; None where it never was."""
        heights = self.readings.get("height", ())
        return heights[-1].value if heights else None


class _SoFar:
    """What the entries up to one of them say of a tree, each taken in its turn."""

    __slots__ = (
        "hard",
        "pot",
        "readings",
        "removed",
        "repotted",
        "shaken_on",
        "stage",
        "trouble",
        "trouble_entry",
        "vigour",
        "vigour_on",
    )

    def __init__(self) -> None:
        self.stage = self.trouble = ""
        self.vigour: int | None = None
        self.vigour_on: When | None = None
        self.pot: Pot | None = None
        self.repotted: When | None = None
        self.trouble_entry: Entry | None = None
        self.hard: list[Entry] = []
        self.shaken_on = date.min
        self.removed: set[str] = set()
        self.readings: dict[str, list[Reading]] = {}

    def take(self, entry: Entry, work: Work | None) -> None:
        found = entry.found
        self.stage = entry.stage or (found.stage if found else "") or self.stage or (work.begins if work else "")
        score = _score(entry)
        if score is not None:
            self.vigour, self.vigour_on = score, entry.date
        if found and self.repotted is None and not (work and work.into_pot):
            self.repotted = found.repotted
        if entry.pot:
            self.pot = entry.pot
        if work:
            self._done(entry, work)
        if entry.trouble:
            self._ails(entry)
        if entry.rest == "begins" or entry.trouble not in ("", TROUBLE_OVER):
            self.shaken_on = max(self.shaken_on, entry.date.latest)
        for name, value in entry.measured.items():
            self.readings.setdefault(name, []).append(Reading(entry.date.earliest, value))

    def _done(self, entry: Entry, work: Work) -> None:
        """What a work changed of the tree."""
        if work.into_pot:
            self._potted(entry)
        if Thing.BRANCH in work.takes:
            self.removed.update(entry.branches)
        if work.was_hard(entry.force):
            self.hard.append(entry)
            self.shaken_on = max(self.shaken_on, entry.date.latest)

    def _potted(self, entry: Entry) -> None:
        """Fresh soil: what ailed the roots is taken to be over."""
        self.repotted = entry.date
        if self.trouble in ROOT_TROUBLES:
            self.trouble, self.trouble_entry = "", None

    def _ails(self, entry: Entry) -> None:
        over = entry.trouble == TROUBLE_OVER
        self.trouble, self.trouble_entry = ("", None) if over else (entry.trouble, entry)


def _score(entry: Entry) -> int | None:
    """The vigour an entry gives, as it was seen then or as the tree was found."""
    return entry.vigour if entry.vigour is not None else (entry.found.vigour if entry.found else None)


def state_of(tree: Tree, garden: Garden, today: date) -> State:
    """Read the log up to and including `today`."""
    knowledge = garden.knowledge
    entries = effective(tree.log, today, knowledge)
    so_far = _SoFar()
    for entry in entries:
        so_far.take(entry, knowledge.works.get(entry.work))
    return State(
        entries=entries,
        stage=so_far.stage,
        vigour=so_far.vigour,
        vigour_on=so_far.vigour_on,
        resting=_resting(entries, garden.around(tree, today).site.calendar, today),
        wires=wires_on(entries, knowledge, tree),
        repotted=so_far.repotted,
        pot=so_far.pot,
        trouble=so_far.trouble,
        trouble_entry=so_far.trouble_entry,
        indoors=tree.indoors,
        removed=frozenset(so_far.removed),
        intentions=_intentions(entries),
        readings={k: tuple(v) for k, v in so_far.readings.items()},
        hard=tuple(so_far.hard),
        shaken=so_far.vigour_on is not None and so_far.shaken_on > so_far.vigour_on.latest,
    )


def silent_since(state: State, today: date) -> date | None:
    """The day of the last entry, where nothing was written for more than a year after it."""
    last = max((entry.date.latest for entry in state.entries), default=None)
    return last if last is not None and today - last > timedelta(days=SILENT_DAYS) else None


def was_silent_on(state: State, day: date) -> bool:
    """Whether a day fell between two notes that lie more than a year apart: what was meant for it passed unseen."""
    before = max((entry.date.latest for entry in state.entries if entry.date.latest <= day), default=None)
    after = min((entry.date.earliest for entry in state.entries if entry.date.earliest > day), default=None)
    return before is not None and after is not None and after - before > timedelta(days=SILENT_DAYS)


def back_since(state: State) -> date | None:
    """The day of the first note after the last silence of more than a year; None where there was none."""
    days = sorted((entry.date.earliest, entry.date.latest) for entry in state.entries)
    returns = (after[0] for before, after in pairwise(days) if after[0] - before[1] > timedelta(days=SILENT_DAYS))
    return max(returns, default=None)


def effective(log: Iterable[Entry], today: date, knowledge: Knowledge) -> tuple[Entry, ...]:
    """The entries that count on a day, in order; a replaced entry is left out. On one day wire comes off before new goes on."""
    entries = [e for e in log if e.date.earliest <= today]
    replaced = {e.replaces for e in entries if e.replaces}
    kept = [e for e in entries if not (e.source and e.source in replaced)]
    days = [*map(_day, kept)]
    if days != sorted(days):
        kept.sort(key=_day)
    return tuple(kept if len({*days}) == len(days) else _in_turn(kept, knowledge))


def _in_turn(entries: Iterable[Entry], knowledge: Knowledge) -> Iterator[Entry]:
    """Entries that stand by their days, those of one day in the order that `_order` gives them."""
    off = {work.name for work in knowledge.doing(takes=Thing.WIRE) if Thing.BRANCH not in work.takes}
    for _, same in groupby(entries, key=_day):
        of_one_day = list(same)
        yield from sorted(of_one_day, key=lambda e: _order(e, off)) if len(of_one_day) > 1 else of_one_day


def counting(log: Iterable[Entry], today: date, knowledge: Knowledge, wanted: Callable[[Entry], bool]) -> list[Entry]:
    """Of the entries that count on a day those that are wanted, in order. Others are not sorted: of a long log few are asked for."""
    entries = list(log)
    some = [entry for entry in entries if wanted(entry)]
    if not some:
        return some
    replacing = [entry for entry in entries if entry.replaces]
    told = [entry for entry in entries if entry.replaces or wanted(entry)] if replacing else some
    return [entry for entry in effective(told, today, knowledge) if wanted(entry)]


def _day(entry: Entry) -> tuple[date, date]:
    return entry.date.earliest, entry.date.latest


def _order(entry: Entry, off: Collection[str]) -> tuple[object, ...]:
    """Of the entries of one day what takes wire off first; the rest is settled by content."""
    said = entry.source, entry.work, entry.vigour or 0, entry.stage, entry.note
    return (entry.work not in off, *said, repr(sorted(entry.measured.items())), entry.branches)


def _intentions(entries: tuple[Entry, ...]) -> tuple[tuple[When, Intention], ...]:
    """What was meant and not done since: an intention that names its work is closed by that work."""
    open_now: list[tuple[When, Intention]] = []
    for entry in entries:
        if entry.work or entry.did:
            open_now = [(d, i) for d, i in open_now if not _fulfils(entry, i)]
        if entry.intend:
            open_now.append((entry.date, entry.intend))
    return tuple(open_now)


def _fulfils(entry: Entry, intention: Intention) -> bool:
    if entry.did:
        return entry.did == intention.what
    if not intention.work or entry.work != intention.work:
        return False
    return not intention.branches or not entry.branches or bool(set(entry.branches) & set(intention.branches))


def _resting(entries: tuple[Entry, ...], calendar: Calendar, today: date) -> Resting | None:
    """Rest begins with vigour 1 or 2 or the grower's word, and ends by the grower's word or proven vigour.

    Proven: at least one whole growing season has passed, and vigour was 4 or 5, or 3 twice a season apart.
    """
    rest: Resting | None = None
    held: date | None = None
    for entry in entries:
        if entry.rest == "ends":
            rest = None
        elif rest is None and entry.rest == "begins":
            rest, held = _begun(calendar, entry, None), None
        score = _score(entry)
        if score is not None:
            rest, held = _scored(calendar, entry, score, rest, held)
    if rest is None or rest.not_before is None or rest.not_before > today:
        return rest
    return replace(rest, not_before=None)


def _scored(
    calendar: Calendar, entry: Entry, score: int, rest: Resting | None, held: date | None
) -> tuple[Resting | None, date | None]:
    """The rest after a score, and since when the tree has held its own in it."""
    if score <= WEAK:
        return rest or _begun(calendar, entry, score), None
    if rest is None or rest.not_before is None:
        return rest, held
    day = entry.date.earliest
    if day >= rest.not_before and (score >= STRONG or _held_a_season(calendar, held, day)):
        return None, None
    return rest, held or entry.date.latest


def _begun(calendar: Calendar, entry: Entry, score: int | None) -> Resting:
    return Resting(entry.date, score, _whole_season_after(calendar, entry.date.latest))


def _held_a_season(calendar: Calendar, held: date | None, now: date) -> bool:
    if held is None:
        return False
    return calendar.season_of(now) > calendar.season_of(held) or now - held >= timedelta(days=330)


def _whole_season_after(calendar: Calendar, begun: date) -> date:
    """The end of the first growing season that passed wholly in rest."""
    season = calendar.season_of(begun)
    grown = calendar.growing_days(calendar.season_start(season), begun)
    return calendar.season_start(season + 1 if grown < 14 else season + 2)
