"""The grower's own numbers laid over the shipped knowledge: groups, works, and works of their own.

Faults are placed in collection.yaml. What was changed is marked, so that every date can say so.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace

from ..collection.model import Settings, WorkOverride
from ..diagnostics import Problem, nearest
from .knowledge import Group, Knowledge
from .window_syntax import NotAWindow, Window, read_window
from .work import Row, Work

MARK_KEYS = ("swell", "open", "hardened", "flower")


def with_overrides(knowledge: Knowledge, settings: Settings) -> tuple[Knowledge, list[Problem]]:
    """The knowledge as this collection has it, and the faults of its overrides (which are then left out)."""
    if not settings.groups and not settings.works:
        return knowledge, []
    problems: list[Problem] = []
    groups = {
        name: _group(group, {**settings.groups.get(group.formerly, {}), **settings.groups.get(name, {})})
        for name, group in knowledge.groups.items()
    }
    works = dict(knowledge.works)
    for name, override in settings.works.items():
        made = _work(knowledge, name, override, problems)
        if made is not None:
            works[name] = made
    return replace(knowledge, groups=groups, works=works), problems


def _group(group: Group, own: Mapping[str, float]) -> Group:
    marks = {**group.marks, **{key: own[key] for key in MARK_KEYS if key in own}}
    return replace(
        group,
        marks=marks,
        root_limit=own.get("root_limit", group.root_limit),
        thickening=own.get("thickening", group.thickening),
    )


def _work(knowledge: Knowledge, name: str, own: WorkOverride, problems: list[Problem]) -> Work | None:
    before = len(problems)
    groups = _groups(knowledge, own, problems)
    window = _window(own, problems)
    known = knowledge.works.get(name)
    if known is None:
        close = nearest(name, knowledge.works)
        if not (groups and window and own.sign):
            hint = f"did you mean '{close}'?" if close else "a work of your own needs groups, window and sign"
            problems.append(Problem(f"'{name}' is no work known here", own.place, hint))
        if len(problems) > before:
            return None
        return Work(name, own.typed or (name,), (_row(groups, window, own, None),))
    if len(problems) > before:
        return None
    wanted = groups or frozenset().union(*(row.groups for row in known.rows))
    missing = sorted(wanted - frozenset().union(*(row.groups for row in known.rows)))
    if missing and not window:
        problems.append(
            Problem(
                f"there is no rule of '{name}' for {missing[0]} to change",
                own.place,
                "give it a window: opens / best / closes",
            )
        )
        return None
    rows = [replace(row, groups=row.groups - wanted) for row in known.rows if row.groups - wanted]
    rows += [_row(row.groups & wanted, window, own, row) for row in known.rows if row.groups & wanted]
    rows += [_row(frozenset(missing), window, own, _for_all(known))] if missing else []
    return replace(known, rows=tuple(rows), typed=(*known.typed, *own.typed))


def _for_all(known: Work) -> Row | None:
    """What a row for further groups takes its other numbers from: the work's first, but for any tree, with no second chance."""
    base = next((r for r in known.rows if not r.is_for_some), next(iter(known.rows), None))
    return base and replace(base, genera=frozenset(), where=(), not_where=(), also=None, also_rule="", how="")


def _row(groups: frozenset[str], window: Window | None, own: WorkOverride, base: Row | None) -> Row:
    row = base or Row(groups, own.sign, own.too_late, window=window)
    return replace(
        row,
        groups=groups,
        window=window or row.window,
        rule="" if window else row.rule,
        every=dict.fromkeys(("young", "grown", "old"), own.every) if own.every else row.every,
        vigour=own.vigour or row.vigour,
        sign=own.sign or row.sign,
        too_late=own.too_late or row.too_late,
        overridden=True,
    )


def _groups(knowledge: Knowledge, own: WorkOverride, problems: list[Problem]) -> frozenset[str]:
    found: frozenset[str] = frozenset()
    for word, place in own.groups:
        if word in knowledge.sets:
            found |= knowledge.sets[word]
            continue
        close = nearest(word, knowledge.sets)
        problems.append(
            Problem(
                f"'{word}' is neither a growth group nor a set of them",
                place,
                f"did you mean '{close}'?" if close else f"groups: {', '.join(knowledge.groups)}",
            )
        )
    return found


def _window(own: WorkOverride, problems: list[Problem]) -> Window | None:
    if own.window is None:
        return None
    try:
        return read_window(own.window[0])
    except NotAWindow as error:
        problems.append(
            Problem(str(error), own.window[1], "write opens / best / closes, as in: swell - 21 / swell - 3 / open")
        )
        return None
