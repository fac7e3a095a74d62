"""What is not to be done, and what must not be forgotten: refusals, the record's question, cautions; shelter and after-care."""

from __future__ import annotations

from collections.abc import Iterator

from ....formulas.pots import HEAVY_LITRES, holds
from ....horticulture.work import OnSheet
from ....planning.asked import ask_words
from ....planning.grounds import ByMark
from ....planning.model import Job, Plan
from ....season.reasons import Reason
from ...flow import Chunk, Piece, lines
from ...words import say
from ..context import Given, SheetContext
from ..offers import Marked, is_near
from .jobs import when_told
from .lettering import led
from .year import Weight, kept_rows, rows_of, short_name

HEAVY_POT = "heavy pot"  # the name of the caution in cautions.yaml


def leave(sheet: SheetContext, given: Given) -> Chunk:
    """Refusals with their end, those of one reason together; whether it can live there; the question that the record most wants answered; cautions once."""
    size, width = sheet.bench(given), sheet.width
    pieces: list[Piece] = []
    for why, works in refused_by_reason(sheet.plan).items():
        pieces += led(say("refused", works=", ".join(works)), sheet.wording.reason(why), size, width)
    rest = sheet.plan.state.resting
    if rest and pieces and not sheet.plan.holds:
        name = "rest ends" if rest.not_before else "to end the rest"
        pieces += lines(say(name, told=sheet.wording.rest_ends(rest)), size, width)
    for reason in sheet.plan.advice:
        pieces += lines(sheet.wording.reason(reason), size, width, bold=True)
    for ask in sheet.plan.asks:
        told = ask_words(ask, sheet.knowledge.stages)
        pieces += lines(say("please note", ask=told), size, width, bold=True)
    for caution in cautions_of(sheet):
        pieces += lines(caution, sheet.small(given) if given.dense else size, width)
    return Chunk("leave", tuple(pieces), 0.8)


def refused_by_reason(plan: Plan) -> dict[Reason, list[str]]:
    """Works by why they are refused; what a no-work bar says of all of them is not said again."""
    barred = {hold.reason for hold in plan.holds}
    found: dict[Reason, list[str]] = {}
    for refusal in plan.expected_refusals:
        if refusal.why not in barred:
            found.setdefault(refusal.why, []).append(refusal.work)
    return found


def cautions_of(sheet: SheetContext, *more: Marked) -> list[str]:
    """Each caution of the jobs once, that of a heavy pot only where it is one; and that a species is poisonous."""
    named = dict.fromkeys(marked.job.caution for marked in (*sheet.marked, *more) if marked.job.caution)
    told = [sheet.knowledge.cautions[name] for name in named if name != HEAVY_POT or _is_heavy(sheet.plan)]
    poison = sheet.knowledge.poison_words(sheet.plan.tree.species)
    return [*told, poison] if poison else told


def _is_heavy(plan: Plan) -> bool:
    held = holds(plan.state.pot) if plan.state.pot else None
    return held is not None and held.litres >= HEAVY_LITRES


def care(sheet: SheetContext, given: Given) -> Chunk:
    """Care that a tree may die without: water, where to before which night, the weeks after hard work; feeding where the year has no room for it."""
    plan = sheet.plan
    drawn = {row.name for row in kept_rows(rows_of(sheet), given.rows) if row.weight is Weight.CARE}
    told = [] if given.tight else water_told(plan)
    plain, vital = sheet.once("care", lambda: _care(sheet))
    told += [words for name, words in plain if name not in drawn and not given.tight]
    told += vital
    if not told:
        return Chunk("care", ())
    return Chunk("care", tuple(led(say("care"), "; ".join(told), sheet.bench(given), sheet.width)), 0.8)


def _care(sheet: SheetContext) -> tuple[list[tuple[str, str]], list[str]]:
    """Care that the year may draw, by its short name, and care that is always said."""
    plain = [(short_name(job), care_told(sheet, job)) for job in _plain_care(sheet.plan)]
    return plain, [care_told(sheet, job) for job in vital_care(sheet.plan)]


def water_told(plan: Plan) -> list[str]:
    """How it is watered, where no bar says it."""
    return [] if plan.holds else [say("water")]


def vital_care(plan: Plan) -> Iterator[Job]:
    """Care within half a year that says a night, a condition or a line of its own."""
    return (job for job in _near_care(plan) if _is_vital(job))


def _plain_care(plan: Plan) -> Iterator[Job]:
    """Care within half a year that is days alone, such as feeding: drawn in the year where it has room."""
    return (job for job in _near_care(plan) if not _is_vital(job))


def _near_care(plan: Plan) -> Iterator[Job]:
    for job in plan.care:
        if job.record is not None and job.record.sheet is OnSheet.LATER and is_near(job, plan.today):
            yield job


def _is_vital(job: Job) -> bool:
    return bool(job.says) or job.night is not None


def care_told(sheet: SheetContext, job: Job) -> str:
    """A care with its days and its conditions."""
    span = say("care span", what=job.what, span=when_told(job, sheet.plan.today)).strip()
    return ", ".join([span, *(_condition(sheet, reason) for reason in job.conditions)])


def _condition(sheet: SheetContext, reason: Reason) -> str:
    """A condition of care; that of two nights in few words."""
    if reason.code is not ByMark.IN_BEFORE_BY_SEASON:
        return sheet.wording.reason(reason)
    nights = {name: sheet.settings.units.temperature_told(value) for name, value in reason.values.items()}  # type: ignore[arg-type]
    return say("before nights", **nights)
