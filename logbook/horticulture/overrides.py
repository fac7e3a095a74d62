"""The grower's own numbers laid over the shipped knowledge: groups, works, and works of their own.

Works take every key that works.yaml has; keys of a row may stand beside them, for one row. Faults are placed in
collection.yaml. What was changed is marked, so that every date can say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..collection.kinds import FAILED, AsWritten, Given, WordLists
from ..diagnostics import Problem, nearest
from .group import Group
from .work import Row, Work
from .work_fields import OWN_WORK, ROW, row_of, row_traits_of, traits_of

MARK_KEYS = ("swell", "open", "hardened", "flower")
ROW_KEYS = frozenset(field.key for field in ROW.fields)
# what a row for further groups does not take from another: conditions, a second chance
NOT_OF_OTHERS: Given = {
    "genera": frozenset(),
    "where": (),
    "not_where": (),
    "also": None,
    "also_rule": "",
    "how": "",
}
Sets = Mapping[str, frozenset[str]]


def own_groups(groups: Mapping[str, Group], own: Mapping[str, Mapping[str, float]]) -> dict[str, Group]:
    """Groups with a collection's own numbers; a name of before stands for all that it became."""
    return {
        name: _group(group, {**own.get(group.formerly, {}), **own.get(name, {})}) for name, group in groups.items()
    }


def _group(group: Group, own: Mapping[str, float]) -> Group:
    marks = {**group.marks, **{key: own[key] for key in MARK_KEYS if key in own}}
    return replace(
        group,
        marks=marks,
        root_limit=own.get("root_limit", group.root_limit),
        thickening=own.get("thickening", group.thickening),
    )


def own_works(
    works: Mapping[str, Work], sets: Sets, own: Mapping[str, AsWritten], words: WordLists
) -> tuple[dict[str, Work], list[Problem]]:
    """Works with a collection's own laid over them, and the faults of those, which are then left out."""
    made, problems = dict(works), []
    for name, written in own.items():
        values, faults = written.read(OWN_WORK, words)
        if values is not FAILED:
            known = works.get(name)
            outcome = _new(name, values, sets, works) if known is None else _changed(known, values, sets)
            if isinstance(outcome, Work):
                made[name] = outcome
                continue
            faults.append(replace(outcome, place=written.place))
        problems += faults
    return made, problems


def _new(name: str, values: Given, sets: Sets, works: Mapping[str, Work]) -> Work | Problem:
    """A work of the grower's own: whole rows, or one whose keys stand beside the work's."""
    beside = {key: value for key, value in values.items() if key in ROW_KEYS}
    whole = {"groups", "sign"} <= set(beside) and bool({"window", "rule"} & set(beside))
    if (beside and not whole) or not (beside or values.get("rows")):
        close = nearest(name, works)
        hint = f"did you mean '{close}'?" if close else "a work of your own needs groups, window and sign"
        return Problem(f"'{name}' is no work known here", hint=hint)
    rows = [{"too_late": "", **beside}] if beside else []
    given = (*rows, *values.get("rows", ()))
    made = tuple(
        replace(
            row_of(row, sets), overridden=True, optional=bool(row.get("optional"))
        )  # written down, so it is meant
        for row in given
    )
    return Work(name, rows=made, **{"typed": (name,), "short": name, **traits_of(values, sets)})


def _changed(known: Work, values: Given, sets: Sets) -> Work | Problem:
    """A known work with what is said of it: its rows change for the groups that are named, or for all."""
    traits = traits_of(values, sets)
    traits |= {"typed": (*known.typed, *values.get("typed", ()))}
    rows = known.rows
    for given in (*_beside(values), *values.get("rows", ())):
        laid = _laid_over(known, rows, row_traits_of(given, sets))
        if isinstance(laid, Problem):
            return laid
        rows = laid
    return replace(known, **traits, rows=rows)


def _beside(values: Given) -> list[Given]:
    beside = {key: value for key, value in values.items() if key in ROW_KEYS}
    return [beside] if beside else []


def _laid_over(known: Work, rows: tuple[Row, ...], own: Given) -> tuple[Row, ...] | Problem:
    """Rows in which an own one has changed those of its groups, and stands for the groups that had none."""
    have = frozenset[str]().union(*(row.groups for row in rows))
    wanted: frozenset[str] = own.get("groups", have)
    missing = wanted - have
    if missing and not {"window", "rule"} & set(own):
        return Problem(
            f"there is no rule of '{known.name}' for {min(missing)} to change",
            hint="give it a window: opens / best / closes",
        )
    left = [replace(row, groups=row.groups - wanted) for row in rows if row.groups - wanted]
    changed = [_row(row, row.groups & wanted, own) for row in rows if row.groups & wanted]
    base = next((row for row in rows if not row.is_for_some), next(iter(rows), None)) or Row(frozenset(), "", "")
    further = [_row(replace(base, **NOT_OF_OTHERS), missing, own)] if missing else []
    return (*left, *changed, *further)


def _row(base: Row, groups: frozenset[str], own: Given) -> Row:
    """A row with what an own one says of it; a window and a rule stand for one another."""
    instead = {"rule": ""} if "window" in own else {"window": None} if "rule" in own else {}
    return replace(base, **{**instead, **own, "groups": groups, "overridden": True})
