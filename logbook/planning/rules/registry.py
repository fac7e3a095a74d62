"""Where rules register themselves by the name that works.yaml calls them by.

A season rule gives a window of one season that no row of marks can give; a job rule makes jobs of its own. Planning knows
neither by name.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from enum import Enum

from ...horticulture.group import Group
from ...horticulture.work import Row, Work
from ...season.calendar import Calendar
from ...season.climate import Climate
from ...season.learning import NOBODY, Who
from ...season.mark import Known
from ...season.site_year import SiteYear
from ...values import dataclass
from ..model import Context, Job, Refusal
from ..tree_state import State
from ..windows import Answer


@dataclass(frozen=True, slots=True)
class RuleContext:
    """What a season rule is asked of: a group at a site in a season; of `state` only where it is kept where the rule is shared.

    `night` is the mean night minimum (°C) from which the tree's species grows; None where its group's holds.
    """

    site: SiteYear
    group: Group
    season: int
    state: State
    night: float | None = None
    who: Who = NOBODY

    @property
    def calendar(self) -> Calendar:
        """The site's seasons."""
        return self.site.calendar

    @property
    def climate(self) -> Climate | None:
        """The site's average year; None where no normals are on record."""
        return self.site.climate

    def mark(self, name: str) -> Known:
        """A mark of the tree in this season."""
        return self.site.marks.mark(self.group.name, name, self.season, self.who)


def rule_context(context: Context, season: int) -> RuleContext:
    """What a season rule is asked of for one tree."""
    return RuleContext(context.site, context.group, season, context.state, context.kin.night, context.who)


SeasonRule = Callable[[RuleContext], Answer]
JobRule = Callable[[Context, Work, Row], list[Job | Refusal]]
Follows = Callable[[Work], bool]


class Closes(Enum):
    """When the jobs of a job rule close: with the row's window (or the season rule beside it), never, or as its own days have it."""

    WITH_ROW = "with row"
    NEVER = "never"
    ANY_DAY = "any day"


_SEASON_RULES: dict[str, SeasonRule] = {}
_JOB_RULES: dict[str, JobRule] = {}
_CLOSES: dict[str, Closes] = {}
_FOLLOWS: dict[str, Follows] = {}
_OF_THE_TREE: set[str] = set()


def season_rule(name: str, *, of_the_tree: bool = False) -> Callable[[SeasonRule], SeasonRule]:
    """Register a season rule; `of_the_tree` where its answer hangs on the tree's own log, and can't be shared with its kin."""

    def register(rule: SeasonRule) -> SeasonRule:
        _SEASON_RULES[name] = rule
        if of_the_tree:
            _OF_THE_TREE.add(name)
        return rule

    return register


def job_rule(
    name: str, *, closes: Closes = Closes.ANY_DAY, follows: Follows | None = None
) -> Callable[[JobRule], JobRule]:
    """Register a rule that makes the jobs of a row by itself.

    `follows`: it makes jobs only where the log holds a work of that kind.
    """

    def register(rule: JobRule) -> JobRule:
        _JOB_RULES[name] = rule
        _CLOSES[name] = closes
        if follows is not None:
            _FOLLOWS[name] = follows
        return rule

    return register


def answer_of_rule(name: str, context: RuleContext) -> Answer:
    """A season rule's answer."""
    return _SEASON_RULES[name](context)


def job_rule_of(name: str) -> JobRule | None:
    """The job rule of that name; None where it is a season's, or none."""
    return _JOB_RULES.get(name)


def hangs_on_tree(name: str) -> bool:
    """Whether a season rule's answer hangs on the tree's own log."""
    return name in _OF_THE_TREE


def closes_of(name: str) -> Closes:
    """When the jobs of a job rule close."""
    return _CLOSES[name]


def may_follow(name: str, done: Iterable[Work]) -> bool:
    """Whether a job rule may make jobs for a tree on which these works were done."""
    follows = _FOLLOWS.get(name)
    return follows is None or any(map(follows, done))
