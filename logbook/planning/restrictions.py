"""What forbids a work: the tree's rest, what was done to it lately, recovery, and how much one season may ask of it.

A partial date counts as its latest day here: may I? is asked of the worst case.
"""

from __future__ import annotations

from collections.abc import Iterable
from datetime import date, timedelta

from ..collection.model import Entry
from ..horticulture.knowledge import Recovery, Row, Unless, Work
from .model import Desk, Reason
from .windows import Span

MONTH_DAYS = 30.44
HOLDING = 3
_PAST = {
    "repotting": "repotted",
    "candle removal": "candles off",
    "bending": "bent",
    "structural pruning": "pruned",
    "full defoliation": "defoliated",
}


def forbidden(desk: Desk, work: Work, row: Row, span: Span, season: int) -> list[Reason]:
    """Everything that speaks against a work in this window, the plainest first."""
    state = desk.state
    found = [reason for unless in row.unless if (reason := _against(desk, unless, span, season))]
    if state.resting and not found and not work.always_allowed and not _excused(desk, row):
        found.append(_resting(desk))
    if row.vigour and state.vigour is not None and state.vigour < row.vigour and state.resting is None:
        found.append(Reason("state", f"vigour {state.vigour}, wants {row.vigour}"))
    if row.growing_days:
        end = desk.site.season_start(season + 1)
        left = desk.site.growing_days(span.best, end)
        if left < row.growing_days:
            found.append(Reason("rule", f"season too short here: {left} growing days left, wants {row.growing_days}"))
    if is_hard(work):
        found += hard_limits(desk, desk.state.entries, span, season)
    return found


def standing(desk: Desk, work: Work, row: Row) -> list[Reason]:
    """What speaks against a work on any day, where no window can be given: rest, and too little strength."""
    state = desk.state
    if state.resting:
        return [] if work.always_allowed or _excused(desk, row) else [_resting(desk)]
    if row.vigour and state.vigour is not None and state.vigour < row.vigour:
        return [Reason("state", f"vigour {state.vigour}, wants {row.vigour}")]
    return []


def is_hard(work: Work) -> bool:
    """Whether an ordinary turn of this work counts as hard; pruning and bending only do when they are heavy."""
    return work.hard == "always"


def hard_limits(desk: Desk, entries: Iterable[Entry], span: Span, season: int) -> list[Reason]:
    """Recovery from earlier hard works, and the number of them one season bears."""
    done = [e for e in entries if _was_hard(desk, e)]
    for entry in reversed(done):
        reason = _recovering(desk, entry, span)
        if reason:
            return [reason]
    start = desk.site.season_start(season)
    in_season = [e for e in done if start <= e.date.latest <= span.closes]
    most = 1 if desk.state.vigour == HOLDING else desk.knowledge.hard_works.get(desk.group.name, 1)
    if len(in_season) >= most:
        listed = ", ".join(f"{past(e.work, e.force)} {e.date.told()}" for e in in_season)
        return [Reason("rule", f"enough hard work for one season: {listed}")]
    return []


def _was_hard(desk: Desk, entry: Entry) -> bool:
    work = desk.knowledge.works.get(entry.work)
    return bool(work and (work.hard == "always" or (work.hard == "heavy" and entry.force == "heavy")))


def _recovering(desk: Desk, entry: Entry, span: Span) -> Reason | None:
    rule = next((r for r in desk.knowledge.recovery if _fits(r, entry)), None)
    if rule is None:
        return None
    over = _recovered(desk, rule, entry.date.latest)
    if over <= span.best:
        return None
    return Reason(
        "log", f"recovering until {over.day} {over:%b %Y}: {past(entry.work, entry.force)} {entry.date.told()}"
    )


def _fits(rule: Recovery, entry: Entry) -> bool:
    return rule.work == entry.work and rule.roots in ("", entry.roots) and rule.force in ("", entry.force)


def _recovered(desk: Desk, rule: Recovery, done: date) -> date:
    if rule.months:
        return done + timedelta(days=round(rule.months * MONTH_DAYS))
    if rule.seasons:
        return desk.site.season_start(desk.site.season_of(done) + rule.seasons)
    limit = done + timedelta(days=800)
    return desk.site.after_growing_days(done, rule.weeks * 7, limit) or limit


def _against(desk: Desk, unless: Unless, span: Span, season: int) -> Reason | None:
    state = desk.state
    if unless.resting:
        if state.resting is None or (unless.roots_excuse and state.trouble in ("roots", "pot")):
            return None
        return _resting(desk)
    entry = state.last(unless.done, unless.force)
    if entry is None:
        return None
    done, latest = f"{past(unless.done, unless.force)} {entry.date.told()}", entry.date.latest
    if unless.within in ("season", "last season"):
        start = desk.site.season_start(season - (unless.within == "last season"))
        return Reason("log", done) if start <= latest <= span.closes else None
    months = int(unless.within.split()[0])
    return Reason("log", done) if latest + timedelta(days=round(months * MONTH_DAYS)) > span.best else None


def _excused(desk: Desk, row: Row) -> bool:
    return desk.state.trouble in ("roots", "pot") and any(u.roots_excuse for u in row.unless)


def _resting(desk: Desk) -> Reason:
    rest = desk.state.resting
    assert rest is not None
    return Reason("state", f"resting since {rest.since.told()}: {rest.why}")


def past(work: str, force: str = "") -> str:
    """A work as something done: `repotted`, `pruned hard`."""
    return f"{_PAST.get(work, work)} {'hard' if force == 'heavy' else ''}".strip()
