"""Works whose time is not a season's window: wire on the tree, roots never looked at, roots in trouble, the walk round."""

from __future__ import annotations

from datetime import date, timedelta

from ...collection.model import Entry
from ...horticulture.knowledge import Row, Work
from ...season.learning import Who
from ...season.marks import Mark
from ..lists.branch_growth import Thickening, thickening_of
from ..model import Desk, Job, Reason, Refusal, Status, job_by_sign, job_in, told
from ..seasons_due import DONE_SLACK_DAYS, answer_of, first_open_season
from ..tree_state import WireOn
from ..windows import NoSpan, Span
from .wire_bite import WireDays, wire_days

LOOK_OVER_DAYS = 21
LAST_WEEKS_DAYS = 42
LOOK_WEEKS = 6


def root_look(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """With no repotting on record: look at the roots in the repotting window before anything else."""
    if desk.state.repotted is not None:
        return []
    repotting = desk.knowledge.works["repotting"].row(desk.group.name)
    if repotting is None:
        return []
    last = desk.state.last(work.name)
    season = first_open_season(desk, repotting)
    answer = answer_of(desk, repotting, season)
    reasons = (Reason("log", "no repotting is on record"),)
    condition = f"repot then if roots fill the pot ({repotting.sign})"
    if isinstance(answer, NoSpan):
        return [job_by_sign(desk, work, row, (*reasons, Reason("mark", answer.why)), condition=condition)]
    if last is not None and last.date.latest >= answer.opens - timedelta(days=DONE_SLACK_DAYS):
        return []
    status: Status = "now" if answer.opens <= desk.today else "ahead"
    return [job_in(desk, work, row, answer, status, (*reasons, *told(answer)), condition=condition)]


def emergency(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """Roots or pot in trouble: at any time, whatever the tree's strength."""
    if desk.state.trouble not in ("roots", "pot"):
        return []
    said = next(e for e in reversed(desk.state.entries) if e.trouble == desk.state.trouble)
    reasons = (
        Reason(
            "log",
            f"you wrote on {said.date.told()} that the {said.trouble} are the trouble"
            if said.trouble == "roots"
            else f"you wrote on {said.date.told()} that the pot is the trouble",
        ),
    )
    aftercare = "then shade and shelter, no feeding for four weeks, no frost for six"
    return [
        Job(
            desk.tree.tag,
            work.name,
            row.sign,
            row.too_late,
            "now",
            desk.today,
            desk.today,
            None,
            0,
            aftercare,
            reasons=reasons,
            caution=work.caution,
        )
    ]


def wire_check(desk: Desk, work: Work, row: Row, wire: WireOn) -> Job:
    """When to look at this wire, and the day it must be off by."""
    days = _days_of(desk, wire)
    gone = days.off is not None and days.off < desk.today
    status: Status = "overdue" if gone else "now" if days.look <= desk.today else "ahead"
    reasons = [Reason("log", f"wired {wire.on.told()}"), Reason("rule", days.look_why)]
    if wire.looked:
        reasons.insert(1, Reason("log", f"last looked at {wire.looked.day} {wire.looked:%b %Y}"))
    learned = _thickening(desk).why
    reasons += [Reason("log", learned)] if learned else []
    if days.off:
        reasons.append(Reason("rule", f"off by {days.off.day} {days.off:%b %Y}: {days.off_why}"))
    return Job(
        desk.tree.tag,
        work.name,
        row.sign,
        row.too_late,
        status,
        max(days.look, desk.today),
        max(days.look, desk.today),
        max(days.off, desk.today) if days.off else None,
        14,
        branches=wire.branches,
        reasons=tuple(reasons),
        caution=desk.knowledge.works["wire off"].caution,
        since=days.off if gone else None,
    )


def _days_of(desk: Desk, wire: WireOn) -> WireDays:
    rule = desk.knowledge.wire_rules[desk.group.wire]
    return wire_days(desk.site, rule, wire.on.earliest, wire.looked, _thickening(desk).mm_a_year, wire.keep)


def _thickening(desk: Desk) -> Thickening:
    return thickening_of(desk.tree, desk.state, desk.site, desk.knowledge, desk.group.name)


def wire_off(desk: Desk, work: Work, row: Row, wire: WireOn) -> list[Job | Refusal]:
    """The last six weeks before wire must be off; at once where a look found it biting; never where it is meant to stay."""
    biting = wire.bite in ("starting", "cut")
    days = _days_of(desk, wire)
    if days.off is None and not biting:
        return []
    limit = desk.today if biting or days.off is None else days.off
    opens = max(limit - timedelta(days=LAST_WEEKS_DAYS), desk.today)
    bitten = "cut in" if wire.bite == "cut" else "begun to bite"
    why = f"the last look found it has {bitten}" if biting else f"off by {limit.day} {limit:%b %Y}: {days.off_why}"
    reasons = (Reason("log", f"wired {wire.on.told()}"), Reason("log" if biting else "rule", why))
    status: Status = "overdue" if limit < desk.today else "now" if opens <= desk.today else "ahead"
    closes = max(limit, desk.today)
    span = Span(opens, max(opens, closes - timedelta(days=LAST_WEEKS_DAYS // 2)), closes, 14, ())
    more = {"branches": wire.branches, "caution": work.caution, "since": limit if status == "overdue" else None}
    return [job_in(desk, work, row, span, status, reasons, **more)]


def last_of(desk: Desk, works: tuple[str, ...]) -> Entry | None:
    """The latest entry of any of these works."""
    done = [entry for work in works if (entry := desk.state.last(work))]
    return max(done, key=lambda entry: entry.date.latest, default=None)


def paste_and_guys(desk: Desk, work: Work, row: Row) -> list[Job | Refusal]:
    """Paste and guy wires on the tree, all of them that went on since some came off: looked at every six growing weeks."""
    off, looked = desk.state.last("paste and guy wires off"), desk.state.last(work.name)
    on = [e for e in desk.state.entries if e.work in row.made_by and not (off and off.date.latest >= e.date.latest)]
    if not on:
        return []
    unseen = [e for e in on if not looked or e.date.latest > looked.date.latest]
    made = (unseen or on)[0]
    since = made if unseen else looked or made
    start = since.date.latest
    named = dict.fromkeys(branch for entry in on for branch in entry.branches)
    branches = tuple(named) if all(entry.branches for entry in on) else ()
    due = desk.site.after_growing_days(start, LOOK_WEEKS * 7, start + timedelta(days=800)) or start + timedelta(365)
    reasons = (
        Reason("log", f"{made.work} {made.date.told()}"),
        Reason("rule", f"{LOOK_WEEKS} growing weeks after {'the last look' if since is looked else 'it went on'}"),
    )
    opens = max(due, desk.today)
    span = Span(opens, opens, opens + timedelta(days=28), 14, ())
    status: Status = "overdue" if due < desk.today else "now" if due == desk.today else "ahead"
    return [job_in(desk, work, row, span, status, reasons, branches=branches)]


def _look_over_spans(desk: Desk, who: Who) -> list[Span]:
    """The days to walk round, of the seasons about today."""
    spans: list[Span] = []
    now = desk.site.season_of(desk.today)
    for season in (now - 1, now, now + 1):
        for name, lead in (("growth end", 21), ("swell", 30)):
            mark = desk.site.mark(desk.group.name, name, season, who)
            if isinstance(mark, Mark):
                day = mark.day - timedelta(days=lead)
                how = f"{lead} days before {mark.name}, about {mark.day.day} {mark.day:%b %Y} ({mark.how})"
                spans.append(Span(day, day, day + timedelta(days=LOOK_OVER_DAYS), mark.band, (how,)))
    return sorted(spans, key=lambda s: s.opens)


def look_over(desk: Desk, work: Work, row: Row) -> Job:
    """Twice a year: three weeks before growth ends, and a month before buds swell."""
    last = desk.state.last(work.name)
    who = desk.who
    spans: list[Span] = desk.site.kept(
        ("look-over", desk.group.name, desk.today, who), lambda: _look_over_spans(desk, who)
    )
    seen = last.date.latest if last else date.min
    ahead = [s for s in spans if s.closes >= desk.today and not s.opens - timedelta(days=45) <= seen]
    if not ahead:
        return job_by_sign(desk, work, row, (Reason("mark", "before the buds move, and before growth ends"),))
    span = ahead[0]
    return job_in(desk, work, row, span, "now" if span.opens <= desk.today else "ahead", told(span))
