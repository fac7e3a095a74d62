"""When a row's window lies, and which season it is due in. What does not hang on one tree is worked out once for all."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

from ..collection.dates import When
from ..horticulture.knowledge import Row, Work
from ..horticulture.window_syntax import Window
from ..season.learning import NOBODY, Who
from .model import Desk, Reason
from .rules.registry import OF_THE_TREE, season_rule
from .windows import Answer, Span, window_span

NEAR_DAYS = 200
DONE_SLACK_DAYS = 60
AGAIN_DAYS = 28


def answer_of(desk: Desk, row: Row, season: int) -> Answer:
    """A row's window in a season; what does not hang on the tree's own state is worked out once for all."""
    if row.rule in OF_THE_TREE:
        return season_rule(row.rule, desk.site, desk.group, season, desk.state)
    who = _who(desk, row)
    return desk.site.kept(
        (id(row), desk.group.name, season, desk.today, who), lambda: _fresh_answer(desk, row, season, who)
    )


def turn_of(desk: Desk, work: Work, row: Row, season: int) -> Answer:
    """The window of a season as it is left for a tree: a work of several turns a season begins again four weeks after the last."""
    answer, done = answer_of(desk, row, season), _done(desk, work.name)
    if not (isinstance(answer, Span) and done and row.every and _interval(desk, row) < 1):
        return answer
    again = done.latest + timedelta(days=AGAIN_DAYS)
    if again <= answer.opens:
        return answer
    if again > answer.closes:
        return answer_of(desk, row, season + 1)
    how = (*answer.how, f"not for four weeks after the last, {done.told()} (common practice)")
    return replace(answer, opens=again, best=max(answer.best, again), how=how)


def _who(desk: Desk, row: Row) -> Who:
    """For whom an answer holds: rules ask the site alone, windows hear what was seen on the tree."""
    return NOBODY if row.rule else desk.who


def _fresh_answer(desk: Desk, row: Row, season: int, who: Who) -> Answer:
    first = _one_answer(desk, row.rule, row.window, season, who)
    if row.also is None and not row.also_rule:
        return first
    second = _one_answer(desk, row.also_rule, row.also, season, who)
    open_still = [span for span in (first, second) if isinstance(span, Span) and span.closes >= desk.today]
    return min(open_still, key=lambda span: span.opens) if open_still else first


def _one_answer(desk: Desk, rule: str, window: Window | None, season: int, who: Who) -> Answer:
    if rule:
        return season_rule(rule, desk.site, desk.group, season, desk.state)
    assert window is not None
    return window_span(desk.site, desk.group.name, window, season, who)


def due_season(desk: Desk, work: Work, row: Row) -> tuple[int, int, list[Reason]]:
    """The season to look in, how many due windows have been missed, and the log's reasons."""
    coming = first_open_season(desk, row)
    done = desk.state.repotted if work.name == "repotting" else _done(desk, work.name)
    if done is None or not row.every:
        already = done is not None and _season_done(desk, row, done.earliest, coming) >= coming
        return coming + already, 0, [] if done is None else [Reason("log", f"last {work.name}: {done.told()}")]
    years = _interval(desk, row)
    if years < 1:
        return coming, 0, [Reason("log", f"last {work.name}: {done.told()}")]
    due = _season_done(desk, row, done.earliest, coming) + max(1, round(years))
    reasons = [
        Reason("log", f"last {work.name}: {done.told()}"),
        Reason(
            "interval",
            f"usual interval {years:g} years at this stage (common practice)"
            if years != 1
            else "usually once a year (common practice)",
        ),
    ]
    missed = max(0, coming - due)
    if missed and years > 1:
        reasons.append(Reason("interval", f"due since {due}: this window is the next chance"))
    return max(coming, due), missed if years > 1 else 0, reasons


def _done(desk: Desk, work: str) -> When | None:
    entry = desk.state.last(work)
    return entry.date if entry else None


def first_open_season(desk: Desk, row: Row) -> int:
    """The first season whose window has not closed yet."""
    if row.rule in OF_THE_TREE:
        return _search_open_season(desk, row)
    who = _who(desk, row)
    return desk.site.kept(("open", id(row), desk.group.name, desk.today, who), lambda: _search_open_season(desk, row))


def _search_open_season(desk: Desk, row: Row) -> int:
    season = desk.site.season_of(desk.today) - 1
    for candidate in (season, season + 1, season + 2):
        answer = answer_of(desk, row, candidate)
        if isinstance(answer, Span) and answer.closes >= desk.today:
            return candidate
    return season + 1


def _season_done(desk: Desk, row: Row, done: date, coming: int) -> int:
    """The season whose window a finished work belongs to: the last that opened before it, with some slack."""
    guess = desk.site.season_of(done)
    for season in (guess + 1, guess, guess - 1):
        answer = answer_of(desk, row, season)
        if isinstance(answer, Span) and answer.opens - timedelta(days=DONE_SLACK_DAYS) <= done:
            return season
    return min(guess, coming)


def _interval(desk: Desk, row: Row) -> float:
    ages = desk.knowledge.ages
    stage = desk.state.stage
    age = "young" if stage in ages["young"] else "old" if stage in ages["old"] else "grown"
    return row.every[age]
