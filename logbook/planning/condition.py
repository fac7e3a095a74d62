"""What a tree can bear: which works its log forbids, until when, and the states in which it is left alone.

The table is data (horticulture/forbids.yaml); this is the small engine over it. It outranks every window, and needs no
temperatures: where a site has none, growing weeks are counted from April to October (October to April in the south).
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import When, on_day
from ..collection.model import Entry, Tree
from ..horticulture.forbids import Forbid, HoldRule, Until
from ..horticulture.forbids import State as HeldState
from ..horticulture.window_syntax import MarkName
from ..horticulture.work import Kind, Thing, Work
from ..season.cache import Slot
from ..season.calendar import Calendar
from ..season.mark import Mark
from ..season.reasons import Reason, because
from ..values import dataclass
from .garden import Garden
from .grounds import ByLog, ByState
from .tree_state import HOLDING, STRONG, State

MONTH_DAYS = 30.4375
FARTHEST_DAYS = 800
ASKED_MONTHS = 15
GROW_ON_DAYS = 42  # growing days; common practice, no source
HARDENED_WEEKS = 10  # growing weeks, where no mark can be given
LOOK_BACK_DAYS = 1900  # no line reaches further: old conifers lifted from the ground
COLLECTED, ROOTS = "collected", "roots"
ROOTS_MEND_DAYS = 60  # without feeding, watered as the soil dries; common practice, no source
LIFTED, RESCUE = "lifted", "rescue"
CONIFERS = "evergreen conifers"
_LINES: Slot[tuple[str, str, str, str], tuple[Forbid, ...]] = Slot("lines after a work, by force, roots and group")
_IF_DONE: Slot[tuple[str, str, date], tuple[Block, ...]] = Slot("what a work would forbid, by group and day")


@dataclass(frozen=True, slots=True)
class Block:
    """One entry of the log, by one line of the table: what it forbids and the first day on which that is over."""

    line: Forbid
    work: Work
    end: date
    reason: Reason

    def forbids(self, work: Work) -> bool:
        """Whether a work has to wait, however lightly it would be done."""
        acts = set(
            self.work.acts
        )  # what was done may be followed by what acts as it does, and more; not the other way round
        same = work.name == self.work.name or (bool(acts) and acts <= set(work.acts))
        if self.line.works.others and same:
            return False
        return self.line.works.forbids(work)


@dataclass(frozen=True, slots=True)
class Hold:
    """A state in which kinds of work wait: since when and why, the day it may end, and whether strength must be proven."""

    state: HeldState
    kinds: frozenset[Kind]
    since: When
    until: date | None
    strong: bool
    reason: Reason
    asked: bool = False  # it began so long ago that the grower is asked whether it still holds
    roots_ail: bool = False  # it is the roots that are in trouble, or were

    def forbids(self, work: Work) -> bool:
        """Whether a work waits."""
        return not work.is_exempt and work.kind_of_turn("") in self.kinds


def soonest(blocks: Iterable[Block], work: Work, first: date) -> Block | None:
    """Of what forbids a work on or after a day, the block that ends last; None where nothing does."""
    if work.is_exempt:
        return None
    return max((b for b in blocks if b.end > first and b.forbids(work)), key=lambda b: b.end, default=None)


def lightly(blocks: Iterable[Block], work: Work, first: date) -> Block | None:
    """Of what forbids only heavy turns of a work, the block that ends last."""
    if work.is_exempt:
        return None
    heavy = (b for b in blocks if b.end > first and b.line.works.forbids_heavy(work))
    return max(heavy, key=lambda b: b.end, default=None)


def lightly_held(holds: Iterable[Hold], work: Work) -> Hold | None:
    """The state in which only heavy turns of a work wait; None where none does."""
    if work.is_exempt or work.light_kind is None:
        return None
    return next((h for h in holds if work.kind in h.kinds and not h.forbids(work)), None)


def blocks_of(garden: Garden, group: str, entries: Iterable[Entry], today: date) -> list[Block]:
    """What these entries forbid a tree of a group, lines that are over by `today` left out."""
    since = today - timedelta(days=LOOK_BACK_DAYS)
    recent = (e for e in entries if e.work and e.date.latest >= since)
    return [block for entry in recent for block in blocks_after(garden, group, entry, today)]


def blocks_after(garden: Garden, group: str, entry: Entry, today: date = date.min) -> Iterator[Block]:
    """What one finished work forbids, lines that are over by `today` left out."""
    work = garden.knowledge.works.get(entry.work)
    if work is None:
        return
    key = (entry.work, entry.force, entry.roots, group)
    lines = garden.site.cache.get(_LINES, key, lambda: _lines_after(garden, group, work, entry))
    ends = ((line, end_of(garden, group, line.until, entry.date.latest)) for line in lines)
    standing = [(line, end) for line, end in ends if end > today]
    if not standing:
        return
    done = because(ByLog.DONE, done=work.past(entry.force), when=entry.date)
    for line, end in standing:
        yield Block(line, work, end, done)


def blocks_if_done(garden: Garden, group: str, work: str, day: date) -> tuple[Block, ...]:
    """What a work would forbid, were it done on a day."""

    def made() -> tuple[Block, ...]:
        return tuple(blocks_after(garden, group, Entry(date=on_day(day), work=work)))

    return garden.site.cache.get(_IF_DONE, (group, work, day), made)


def _lines_after(garden: Garden, group: str, work: Work, entry: Entry) -> tuple[Forbid, ...]:
    lines = (line for line in garden.knowledge.forbids.lines if not line.groups or group in line.groups)
    return tuple(line for line in lines if line.after.was(work, entry.force, entry.roots))


def end_of(garden: Garden, group: str, until: Until, done: date) -> date:
    """The first day after a line ends that began on a day."""
    calendar = garden.site.calendar
    if until.months:
        return done + timedelta(days=round(until.months * MONTH_DAYS))
    if until.seasons:
        return seasons_after(calendar, done, until.seasons)
    if until.hardened:
        mark = garden.site.marks.mark(group, MarkName.HARDENED, calendar.season_of(done))
        if isinstance(mark, Mark) and mark.day > done:
            return mark.day
    return after_growing_weeks(calendar, done, until.weeks or HARDENED_WEEKS)


def seasons_after(calendar: Calendar, done: date, seasons: int) -> date:
    """The first day after so many growing seasons; what is left of one counts as one where it is long enough for a tree to grow on."""
    season = calendar.season_of(done)
    if calendar.growing_days(done, calendar.season_start(season + 1)) < GROW_ON_DAYS:
        season += 1
    return calendar.season_start(season + seasons)


def after_growing_weeks(calendar: Calendar, start: date, weeks: int) -> date:
    """The day by which so many growing weeks have passed; two years on where they never do."""
    limit = start + timedelta(days=FARTHEST_DAYS)
    return calendar.after_growing_days(start + timedelta(days=1), weeks * 7, limit) or limit


# -- states in which a tree is left alone ----------------------------------------------------------------------------


def holds_of(tree: Tree, garden: Garden, group: str, state: State, today: date) -> tuple[Hold, ...]:
    """The states a tree is in, the ones that end last first."""
    rules = garden.knowledge.forbids.holds
    rescued = _rescued(garden, state, rules[HeldState.RESCUED], today)
    found = [
        rescued,
        _lifted(tree, garden, group, state, today),
        None if rescued else _troubled(garden, state, rules[HeldState.TROUBLE]),
        _layered(garden, state, rules[HeldState.LAYERED]),
        _resting(state, rules[HeldState.RESTING]),
    ]
    old = today - timedelta(days=round(ASKED_MONTHS * MONTH_DAYS))
    held = [replace(hold, asked=hold.since.latest < old) for hold in found if hold is not None]
    return tuple(sorted(held, key=lambda hold: (-len(hold.kinds), hold.until or date.max)))


def _rescued(garden: Garden, state: State, rule: HoldRule, today: date) -> Hold | None:
    """After help for ailing roots: two growing seasons, and until the tree is proven strong again."""
    last = _last_rescue(garden, state)
    if last is None:
        return None
    calendar = garden.site.calendar
    until = seasons_after(calendar, last.date.latest, rule.seasons)
    if today >= until and proven_strong(calendar, state.entries, last.date.latest, until):
        return None
    why = because(ByState.RESCUED, when=last.date)
    ends = max(until, today) if today < until else None
    ail = state.trouble == ROOTS or today < last.date.latest + timedelta(days=ROOTS_MEND_DAYS)
    return Hold(HeldState.RESCUED, rule.kinds, last.date, ends, True, why, roots_ail=ail)


def _last_rescue(garden: Garden, state: State) -> Entry | None:
    """The latest emergency repotting, or the roots named as the trouble."""
    rescues = {work.name for work in garden.knowledge.acting(RESCUE)}
    return next((e for e in reversed(state.entries) if e.work in rescues or e.trouble == ROOTS), None)


def proven_strong(calendar: Calendar, entries: Iterable[Entry], since: date, after: date) -> bool:
    """Vigour 4 or 5 since a day, on or after the day a rest may end, or 3 and more twice, a season apart."""
    held: date | None = None
    for entry in entries:
        if entry.date.earliest <= since or entry.vigour is None:
            continue
        if entry.vigour >= STRONG and entry.date.latest >= after - timedelta(days=1):
            return True
        if entry.vigour < HOLDING:
            held = None
        elif held is not None and calendar.season_of(entry.date.earliest) > calendar.season_of(held):
            return True
        else:
            held = held or entry.date.latest
    return False


def _lifted(tree: Tree, garden: Garden, group: str, state: State, today: date) -> Hold | None:
    """Lifted or collected from the ground: conifers two growing seasons, others one."""
    from_the_ground = state.last_of(garden.knowledge.acting(LIFTED)) or unlogged_lifting(tree, garden, state, today)
    if from_the_ground is None:
        return None
    since = from_the_ground.date
    conifer = group in garden.knowledge.sets[CONIFERS]
    name = HeldState.LIFTED_CONIFER if conifer else HeldState.LIFTED
    rule, calendar = garden.knowledge.forbids.holds[name], garden.site.calendar
    until = seasons_after(calendar, since.latest, rule.seasons)
    if until <= today:
        return None
    return Hold(name, rule.kinds, since, until, rule.strong, because(ByState.LIFTED, when=since))


def unlogged_lifting(tree: Tree, garden: Garden, state: State, today: date) -> Entry | None:
    """The work by which a tree came from the ground, where it was collected and its log does not tell of it."""
    if tree.origin is None or tree.origin.kind != COLLECTED or tree.origin.date is None:
        return None
    liftings, day = garden.knowledge.acting(LIFTED), tree.origin.date
    if not liftings or day.earliest > today or state.last_of(liftings) is not None:
        return None
    return Entry(date=day, work=liftings[0].name)


def _troubled(garden: Garden, state: State, rule: HoldRule) -> Hold | None:
    """Trouble of any kind, until it is over or the tree is strong in a later season; potting ends that of the roots."""
    said = state.trouble_entry
    if said is None:
        return None
    calendar = garden.site.calendar
    next_season = calendar.season_start(calendar.season_of(said.date.latest) + 1)
    later = (e for e in state.entries if e.vigour and e.vigour >= STRONG and e.date.earliest >= next_season)
    if next(later, None) is not None:
        return None
    why = because(ByState.TROUBLED, when=said.date, what=said.trouble)
    return Hold(HeldState.TROUBLE, rule.kinds, said.date, None, False, why, roots_ail=said.trouble == ROOTS)


def _layered(garden: Garden, state: State, rule: HoldRule) -> Hold | None:
    """A layer or a graft on the tree, until it is separated."""
    made = layers_on(garden, state)
    if not made:
        return None
    work = garden.knowledge.works[made[0].work]
    why = because(ByState.ON_THE_TREE, done=work.past(), when=made[0].date)
    return Hold(HeldState.LAYERED, rule.kinds, made[0].date, None, False, why)


def layers_on(garden: Garden, state: State) -> list[Entry]:
    """The entries that put a layer or graft on which was not taken off since, the oldest first."""
    makers = (*garden.knowledge.doing(puts=Thing.LAYER), *garden.knowledge.doing(puts=Thing.GRAFT))
    if state.last_of(makers) is None:
        return []
    on: list[tuple[Thing, Entry]] = []
    for entry in state.entries:
        work = garden.knowledge.works.get(entry.work)
        if work is None:
            continue
        taken = {thing for thing in work.takes if thing in (Thing.LAYER, Thing.GRAFT)}
        on = [(thing, e) for thing, e in on if thing not in taken]
        on += [(thing, entry) for thing in work.puts if thing in (Thing.LAYER, Thing.GRAFT)]
    return [entry for _, entry in on]


def separable_from(garden: Garden, group: str, made: Entry) -> date:
    """The first day on which a layer or graft may be separated."""
    line = next(line for line in garden.knowledge.forbids.separating if group in line.groups)
    return end_of(garden, group, line.until, made.date.latest)


def _resting(state: State, rule: HoldRule) -> Hold | None:
    rest = state.resting
    if rest is None:
        return None
    why = because(ByState.RESTING, since=rest.since, vigour=rest.vigour or 0)
    return Hold(HeldState.RESTING, rule.kinds, rest.since, rest.not_before, True, why)


# -- strength --------------------------------------------------------------------------------------------------------


def fresh_vigour(garden: Garden, state: State, day: date) -> int | None:
    """The score that counts on a day: not older than fifteen months, and not from before a hard work, trouble or rest."""
    if state.vigour is None or state.vigour_on is None:
        return None
    given = state.vigour_on.latest
    months = garden.knowledge.forbids.vigour_months
    if day > given + timedelta(days=round(months * MONTH_DAYS)):
        return None
    return None if state.shaken else state.vigour


def wants_strength(work: Work, group: str) -> bool:
    """Whether a weak tree dies of this work."""
    return work.wants_strength or group in work.wants_strength_of
