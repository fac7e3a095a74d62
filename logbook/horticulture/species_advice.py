"""What a grower is told of a species: that a name is asked, near, unknown or only a genus; and what it may harm."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable

from ..collection.species_answer import SpeciesAnswer
from ..diagnostics import Problem, listed
from .species import POISON, Species
from .species_names import cultivar_of
from .species_register import Ambiguous, Genus, How, Known, Near, Resolved, Unknown, possible

SHOWN = 6  # of many candidates; the rest are counted


def advice(text: str, found: Resolved) -> Problem | None:
    """What to do about a name that gives no single species: a fault, or for a bare genus a warning; without a place."""
    match found:
        case Known():
            return None
        case Genus(species=one, warning=warning):
            hint = f"write the species where it is known, or add group: {one.group} to leave it so"
            return Problem(f"'{text}': {warning}", None, hint, "warning")
        case Ambiguous():
            return Problem(f"'{text}' does not say which tree it is: {found.why}", None, _choice(found))
        case Near():
            return Problem(f"the species '{text}' is not known here", None, _near(found))
        case Unknown(parent=parent):
            message = f"the parent '{parent}' of '{text}' is not known here" if parent else ""
            return Problem(message or f"the species '{text}' is not known here", None, kin_hint(found.kin))


def species_answer(text: str, find: Callable[[str], Resolved]) -> SpeciesAnswer:
    """What a name in a grower's table comes to. Brackets and turned words (`Maple, Japanese`) are tried where the whole says nothing."""
    answers = [_answer(name, find(name)) for name in _readings(text)]
    known = (answer for answer in answers if not answer.why)
    asked = (answer for answer in answers if answer.choices)
    return next(known, None) or next(asked, None) or _by_last_word(text, find) or answers[0]


def _by_last_word(text: str, find: Callable[[str], Resolved]) -> SpeciesAnswer | None:
    """`Itoigawa juniper`: only the kind is known, so it is asked; None where not even that is."""
    last = text.split()[-1] if len(text.split()) > 1 else ""
    found = find(last) if last else None
    members: list[Species] = []
    if isinstance(found, Genus):
        members = list(found.members)
    elif isinstance(found, Ambiguous):
        members = list(found.candidates)
    elif isinstance(found, Known):
        members = [found.species]
    names = [species.name for species in sorted(members, key=lambda s: s.rank)][:SHOWN]
    return SpeciesAnswer(choices=tuple(names), why=f"of that name only '{last}' is known") if names else None


_SHORTENED = {
    "jap": "Japanese",
    "jpn": "Japanese",
    "chin": "Chinese",
    "amer": "American",
    "eur": "European",
    "engl": "English",
}


def _readings(text: str) -> list[str]:
    for short, whole in _SHORTENED.items():
        text = re.sub(rf"\b{short}\.?(?=\s)", whole, text, flags=re.IGNORECASE)
    inside = re.findall(r"[(\[]([^)\]]+)[)\]]", text)
    outside = re.sub(r"\s*[(\[][^)\]]*[)\]]\s*", " ", text).strip()
    turned = re.fullmatch(r"([^,]+?)\s*[,–-]\s+([^,]+)", outside)
    return [text, *([outside, *inside] if inside else []), *([f"{turned[2]} {turned[1]}"] if turned else [])]


def _answer(text: str, found: Resolved) -> SpeciesAnswer:
    told = advice(text, found)
    if told is None or told.severity == "warning":
        return SpeciesAnswer(written_name(text, found))
    if isinstance(found, Ambiguous):
        names = [species.name for species in sorted(found.candidates, key=lambda s: s.rank)][:SHOWN]
        groups = list(dict.fromkeys(species.group for species in found.candidates))
        usual = [
            f"group: {group}"
            for group in ([found.default] if found.default else groups[:1] if len(groups) == 1 else [])
        ]
        return SpeciesAnswer(choices=(*names, *usual), why=found.why, hint=told.hint)
    if isinstance(found, Near):
        names = list(dict.fromkeys(species.name for species in found.candidates))
        return SpeciesAnswer(choices=tuple(names), why="is not known here", hint=told.hint)
    return SpeciesAnswer(why=told.message, hint=told.hint)


def kin_hint(kin: Iterable[Species]) -> str:
    """How to give the group of a species that is not known: as its kin grow, where those agree."""
    groups = list(dict.fromkeys(s.group for s in kin))
    if not groups:
        return "add group: (how it grows), or list it under species: in collection.yaml"
    genus = next(iter(kin)).name.split(" ")[0]
    if len(groups) == 1:
        return f"other {genus} grow as '{groups[0]}': add group: {groups[0]}"
    return f"other {genus} grow as {listed(groups)}: add group: and one of these"


def written_name(text: str, found: Resolved) -> str:
    """The name as a tree's file should hold it: as given, or the botanical one in place of a common name."""
    if isinstance(found, Known) and found.how is How.COMMON:
        return f"{found.species.name} {cultivar_of(text)}".strip()
    return text


def said_of(text: str, found: Resolved) -> list[str]:
    """What a grower should hear when a name is taken down: what is written for it, what else is sold under it."""
    lines = []
    written = written_name(text, found)
    if written != text:
        lines.append(f"'{text}' is written as {written}")
    if isinstance(found, Known) and found.sold_as:
        name = text.replace(cultivar_of(text), "").strip()
        lines.append(f"sold as '{name}' too: {listed(found.sold_as, 'and')}; look at the tree")
    if isinstance(found, Genus):
        lines.append(f"'{text}': {found.warning}")
    return lines


def poison(found: Resolved) -> tuple[str, str]:
    """The worst answer among all that a name may stand for ("yes", "mild", "none on record"), and the parts it is in."""
    members = (found.species,) if isinstance(found, Known | Genus) else possible(found)
    worst = min((s.poison for s in members), key=POISON.index, default=POISON[-1])
    parts = dict.fromkeys(s.poison_part for s in members if s.poison == worst and s.poison_part)
    return worst, "; ".join(parts) if len(parts) <= 3 else ""


def poison_words(found: Resolved, caution: str) -> str:
    """The line to print: the caution with the parts, the parts alone where the poison is mild, or nothing.

    Nothing means that no list that was read names it, which is no promise: nothing is printed rather than a comfort.
    """
    worst, parts = poison(found)
    if worst == "yes":
        return f"{caution.rstrip('.')}: {parts}." if parts else caution
    parts = parts.replace(" (mild)", "").replace("(mild; ", "(")
    return f"Mildly harmful if eaten: {parts}." if worst == "mild" and parts else ""


def _choice(found: Ambiguous) -> str:
    names = [s.name for s in sorted(found.candidates, key=lambda s: s.rank)] + [
        f"{name} (with its group:)" for name in found.outside
    ]
    more = f" and {len(names) - SHOWN} more" if len(names) > SHOWN else ""
    which = f"write {'the species' if more else 'one of these'}: {', '.join(names[:SHOWN])}{more}"
    groups = list(dict.fromkeys(s.group for s in found.candidates))
    if found.outside or not groups:
        return which
    usual = found.default
    if not usual:
        return f"{which}; or add group: {listed(groups)}"
    others = [g for g in groups if g != usual]
    told = f"{usual} {f'({found.when})' if found.when else '(the usual one)'}" if others or found.when else usual
    return f"{which}; or add group: {listed([told, *others])}"


def _near(found: Near) -> str:
    pairs = zip(found.names, found.candidates, strict=True)
    told = [f"'{name}'" if name == s.name else f"'{name}' ({s.name})" for name, s in pairs]
    return f"did you mean {listed(told)}? otherwise add group: (how it grows)"
