"""Where a tree stands on a day, derived from its log alone: stage, vigour, rest, wire, pot, last works, readings.

Nothing here is stored. The log may stand in any order; entries that another one replaces are left out, and so are
entries later than the day asked about.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Mapping
from dataclasses import dataclass, field, replace
from datetime import date, timedelta
from functools import cached_property

from ..collection.dates import When
from ..collection.model import Entry, Intention, Pot, Tree
from ..horticulture.knowledge import Knowledge
from ..horticulture.work import Thing, Work
from ..season.calendar import Calendar
from .garden import Garden

WEAK = 2
STRONG = 4
HOLDING = 3
BITES = ("starting", "cut")
ROOT_TROUBLES = ("roots", "pot")
TROUBLE_OVER = "over"
SILENT_DAYS = 365


@dataclass(frozen=True, slots=True)
class WireOn:
    """Wire that is on the tree; no `branches` means the entry did not say which."""

    on: When
    branches: tuple[str, ...] = ()
    metal: str = ""
    sizes: tuple[float, ...] = ()
    keep: bool = False
    looked: date | None = None
    bite: str = ""

    @property
    def bites(self) -> bool:
        """Whether the last look found it biting."""
        return self.bite in BITES


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
    day: date
    value: float


@dataclass(frozen=True)
class State:
    """A tree on one day."""

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
        heights = self.readings.get("height", ())
        return heights[-1].value if heights else None


def state_of(tree: Tree, garden: Garden, today: date) -> State:
    """Read the log up to and including `today`."""
    knowledge = garden.knowledge
    entries = effective(tree.log, today, knowledge)
    stage, vigour, pot, trouble = "", None, None, ""
    ailing: Entry | None = None
    repotted: When | None = None
    vigour_on: When | None = None
    removed: set[str] = set()
    readings: dict[str, list[Reading]] = {}
    for entry in entries:
        found = entry.found
        stage = entry.stage or (found.stage if found and found.stage else stage)
        score = entry.vigour if entry.vigour is not None else (found.vigour if found else None)
        if score is not None:
            vigour, vigour_on = score, entry.date
        work = knowledge.works.get(entry.work)
        if work and work.into_pot:
            repotted, pot = entry.date, entry.pot or pot
            trouble, ailing = ("", None) if trouble in ROOT_TROUBLES else (trouble, ailing)
        elif found and found.repotted:
            repotted = repotted or found.repotted
        if work and Thing.BRANCH in work.takes:
            removed.update(entry.branches)
        pot = entry.pot or pot
        if entry.trouble:
            trouble, ailing = ("", None) if entry.trouble == TROUBLE_OVER else (entry.trouble, entry)
        for name, value in entry.measured.items():
            readings.setdefault(name, []).append(Reading(entry.date.earliest, value))
    return State(
        entries=entries,
        stage=stage,
        vigour=vigour,
        vigour_on=vigour_on,
        resting=_resting(entries, garden.site.calendar, today),
        wires=wires_on(entries, knowledge),
        repotted=repotted,
        pot=pot,
        trouble=trouble,
        trouble_entry=ailing,
        indoors=tree.indoors,
        removed=frozenset(removed),
        intentions=_intentions(entries),
        readings={k: tuple(v) for k, v in readings.items()},
    )


def silent_since(state: State, today: date) -> date | None:
    """The day of the last entry, where nothing was written for more than a year after it."""
    last = max((entry.date.latest for entry in state.entries), default=None)
    return last if last is not None and today - last > timedelta(days=SILENT_DAYS) else None


def effective(log: Iterable[Entry], today: date, knowledge: Knowledge) -> tuple[Entry, ...]:
    """The entries that count on a day, in order; a replaced entry is left out. On one day wire comes off before new goes on."""
    entries = [e for e in log if e.date.earliest <= today]
    replaced = {e.replaces for e in entries if e.replaces}
    kept = [e for e in entries if not (e.source and e.source in replaced)]
    off = {work.name for work in knowledge.doing(takes=Thing.WIRE) if Thing.BRANCH not in work.takes}
    return tuple(sorted(kept, key=lambda entry: _order(entry, off)))


def _order(entry: Entry, off: Collection[str]) -> tuple[object, ...]:
    """By day; what takes wire off first, and the rest is settled by content."""
    return (
        entry.date.earliest,
        entry.date.latest,
        entry.work not in off,
        entry.source,
        entry.work,
        entry.vigour or 0,
        entry.stage,
        entry.note,
        repr(sorted(entry.measured.items())),
        entry.branches,
    )


def wires_on(entries: Iterable[Entry], knowledge: Knowledge) -> tuple[WireOn, ...]:
    """Wire still on after these entries, which stand in order."""
    wires: list[WireOn] = []
    for entry in entries:
        work = knowledge.works.get(entry.work)
        if work is None:
            if entry.found and entry.found.wired:
                wires.append(WireOn(entry.found.wired))
        elif Thing.WIRE in work.puts:
            wires.append(WireOn(entry.date, entry.branches, entry.metal, entry.wire, entry.keep))
        elif Thing.WIRE in work.looks:
            wires = [_looked_at(w, entry) if _concerns(entry, w) else w for w in wires]
        elif Thing.WIRE in work.takes or (Thing.BRANCH in work.takes and entry.branches):
            wires = [left for w in wires if (left := _without(w, entry.branches)) is not None]
    return tuple(wires)


def _concerns(entry: Entry, wire: WireOn) -> bool:
    return not entry.branches or not wire.branches or bool(set(entry.branches) & set(wire.branches))


def _looked_at(wire: WireOn, entry: Entry) -> WireOn:
    return WireOn(wire.on, wire.branches, wire.metal, wire.sizes, wire.keep, entry.date.latest, entry.bite)


def _without(wire: WireOn, branches: tuple[str, ...]) -> WireOn | None:
    """The wire that is left when it comes off these branches; none named means all."""
    if not branches:
        return None
    left = tuple(b for b in wire.branches if b not in branches)
    if not left:
        return None if wire.branches else wire
    return WireOn(wire.on, left, wire.metal, wire.sizes, wire.keep, wire.looked, wire.bite)


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
        score = entry.vigour if entry.vigour is not None else (entry.found.vigour if entry.found else None)
        if entry.rest == "ends":
            rest = None
        elif entry.rest == "begins" and rest is None:
            rest, held = _begun(calendar, entry, None), None
        if score is None:
            continue
        if score <= WEAK:
            rest, held = rest or _begun(calendar, entry, score), None
        elif rest is not None and rest.not_before is not None:
            proven = score >= STRONG or _held_a_season(calendar, held, entry.date.earliest)
            if entry.date.earliest >= rest.not_before and proven:
                rest, held = None, None
            elif held is None:
                held = entry.date.latest
    if rest is None or rest.not_before is None or rest.not_before > today:
        return rest
    return replace(rest, not_before=None)


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
