"""When a row's window lies, and which season it is due in. What does not hang on one tree is worked out once for all."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import When
from ..horticulture.window_syntax import Window
from ..horticulture.work import POT, Row, Work
from ..season.learning import Who
from ..season.reasons import Reason, because
from ..values import dataclass
from .grounds import ByInterval, ByLog, ByMark
from .kin import RowMarks
from .model import Context
from .rules.registry import answer_of_rule, hangs_on_tree, rule_context
from .tree_state import back_since
from .windows import Answer, NoSpan, Span, window_span

NEAR_DAYS = 200
DONE_SLACK_DAYS = 60
AGAIN_DAYS = 28
YEAR_DAYS = 365.25


def answer_of(context: Context, row: Row, season: int) -> Answer:
    """A row's window in a season; what does not hang on the tree's own log is worked out once for its kin."""
    key = (id(row), season)
    answers = context.own_answers if is_the_trees_own(context, row, season) else context.kin.answers
    found = answers.get(key)
    if found is None:
        found = answers[key] = _fresh_answer(context, row, season)
    return found


def hangs_on_log(context: Context, row: Row) -> bool:
    """Whether a row's window is told by each tree's own log."""
    return _marks_of(context, row).log


def is_the_trees_own(context: Context, row: Row, season: int) -> bool:
    """Whether a row's window is this tree's alone: by its rule, or by what was seen on the tree."""
    marks = _marks_of(context, row)
    own = context.own_marks(season) if context.who.tag and not marks.log else None
    if own is None:
        return marks.log
    return marks.ruled or not (marks.this.isdisjoint(own[0]) and marks.coming.isdisjoint(own[1]))


def turn_of(context: Context, work: Work, row: Row, season: int) -> Answer:
    """The window of a season as it is left for a tree: a work of several turns a season begins again four weeks after the last."""
    answer, done = answer_of(context, row, season), _done(context, work.name)
    if not (isinstance(answer, Span) and done and row.every and interval_years(context, row) < 1):
        return answer
    again = done.latest + timedelta(days=AGAIN_DAYS)
    if again <= answer.opens:
        return answer
    if again > answer.closes:
        return answer_of(context, row, season + 1)
    how = (*answer.how, because(ByMark.TURNS_APART, weeks=AGAIN_DAYS // 7, when=done))
    return replace(answer, opens=again, best=max(answer.best, again), how=how)


def _fresh_answer(context: Context, row: Row, season: int) -> Answer:
    first, *more = chances_of(context, row, season)
    if not more:
        return first
    open_still = [span for span in (first, *more) if isinstance(span, Span) and span.closes >= context.today]
    return min(open_still, key=lambda span: span.opens) if open_still else first


def chances_of(context: Context, row: Row, season: int) -> list[Answer]:
    """A row's window in a season, and its second chance where it has one, whatever day is today."""
    who = context.who
    first = _no_later(context, row, _one_answer(context, row.rule, row.window, season, who), season)
    if row.also is None and not row.also_rule:
        return [first]
    second = _one_answer(context, row.also_rule, row.also, season, who)
    if not isinstance(second, Span):
        return [first]
    if isinstance(first, NoSpan) and not first.refused:
        return [first]  # to be done by its signs: a date for the second chance alone would hide the first
    return [first, replace(second, second=True)]


def _one_answer(context: Context, rule: str, window: Window | None, season: int, who: Who) -> Answer:
    if rule:
        return _ruled(context, rule, season)
    assert window is not None
    return window_span(context.site, context.group.name, window, season, who)


def _no_later(context: Context, row: Row, answer: Answer, season: int) -> Answer:
    """A window cut off where its row says that shoots made later stay soft, however long days stay warm."""
    if not row.latest or isinstance(answer, NoSpan):
        return answer
    last = context.calendar.midsummer(season) + timedelta(days=row.latest)
    if answer.closes <= last:
        return answer
    if answer.opens > last:
        return NoSpan(because(ByMark.SEASON_TOO_SHORT), refused=True)
    how = (*answer.how, because(ByMark.NO_LATER, day=last))
    return replace(answer, best=min(answer.best, last), closes=last, how=how)


def _ruled(context: Context, rule: str, season: int) -> Answer:
    return answer_of_rule(rule, rule_context(context, season))


def _marks_of(context: Context, row: Row) -> RowMarks:
    kept = context.kin.marks_of
    found = kept.get(id(row))
    if found is None:
        found = kept[id(row)] = _row_marks(row)
    return found


def _row_marks(row: Row) -> RowMarks:
    """What a row's windows hang on."""
    moments = [m for w in (row.window, row.also) if w is not None for m in (w.opens, w.best, w.closes)]
    return RowMarks(
        log=hangs_on_tree(row.rule) or hangs_on_tree(row.also_rule),
        ruled=bool(row.rule or row.also_rule),
        this=frozenset(m.mark for m in moments if not m.next_season),
        coming=frozenset(m.mark for m in moments if m.next_season),
    )


@dataclass(frozen=True, slots=True)
class Due:
    """The season to look in, how many due windows went by before it that the grower was there to see, and the log's reasons."""

    season: int
    missed: int = 0
    reasons: tuple[Reason, ...] = ()


def due_season(context: Context, work: Work, row: Row) -> Due:
    """The season in which a work is due, by its last turn and its interval."""
    coming = first_open_season(context, row)
    done = context.state.repotted if work.counts_from == POT else _done(context, work.name)
    if done is None:
        return Due(coming)
    last = because(ByLog.LAST, work=work.name, when=done)
    if not row.every:
        already = _season_done(context, row, done.earliest, coming) >= coming
        return Due(coming + already, 0, (last,))
    years = interval_years(context, row)
    if years < 1:
        return Due(coming, 0, (last,))
    due = _season_done(context, row, done.earliest, coming) + max(1, round(years))
    usual = because(ByInterval.YEARLY) if years == 1 else because(ByInterval.USUAL, years=years)
    if years <= 1 or context.silent or coming <= due:
        return Due(max(coming, due), 0, (last, usual))
    back = back_since(context.state)
    seen = due if back is None else max(due, context.calendar.season_of(back))
    return Due(coming, max(0, coming - seen), (last, usual, because(ByInterval.DUE_SINCE, season=due)))


def due_by_log(context: Context, work: Work, row: Row) -> bool:
    """Whether a work without a window is due by its last turn alone: its interval in calendar months, else once a season."""
    done = context.state.repotted if work.counts_from == POT else _done(context, work.name)
    if done is None:
        return True
    if not row.every:
        season_of = context.calendar.season_of
        return season_of(context.today) > season_of(done.latest)
    years = interval_years(context, row)
    slack = DONE_SLACK_DAYS if years >= 1 else 0
    apart = max(AGAIN_DAYS, round(years * YEAR_DAYS) - slack) if years >= 1 else AGAIN_DAYS
    return context.today >= done.earliest + timedelta(days=apart)


def _done(context: Context, work: str) -> When | None:
    entry = context.state.last(work)
    return entry.date if entry else None


def first_open_season(context: Context, row: Row) -> int:
    """The first season whose window has not closed yet."""
    now = context.calendar.season_of(context.today)
    alone = context.who.tag or _marks_of(context, row).log
    if alone and any(is_the_trees_own(context, row, season) for season in (now - 1, now, now + 1)):
        return _search_open_season(context, row, now - 1)
    seasons = context.kin.open_seasons
    found = seasons.get(id(row))
    if found is None:
        found = seasons[id(row)] = _search_open_season(context, row, now - 1)
    return found


def _search_open_season(context: Context, row: Row, season: int) -> int:
    for candidate in (season, season + 1, season + 2):
        answer = answer_of(context, row, candidate)
        if isinstance(answer, Span) and answer.closes >= context.today:
            return candidate
    return season + 1


def _season_done(context: Context, row: Row, done: date, coming: int) -> int:
    """The season whose window a finished work belongs to: the last that opened before it, with some slack."""
    guess = context.calendar.season_of(done)
    for season in (guess + 1, guess, guess - 1):
        answer = answer_of(context, row, season)
        if isinstance(answer, Span) and answer.opens - timedelta(days=DONE_SLACK_DAYS) <= done:
            return season
    return min(guess, coming)


def interval_years(context: Context, row: Row) -> float:
    """Years between two turns of a row at the tree's age."""
    ages = context.knowledge.ages
    stage = context.state.stage
    age = "young" if stage in ages["young"] else "old" if stage in ages["old"] else "grown"
    return row.every[age]
