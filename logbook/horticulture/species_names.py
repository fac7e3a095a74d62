"""How a plant's name is cut up before it is looked for: keys that forgive case, accents, hyphens and the hybrid sign.

Knows the form of names (the grammar of the botanical code and of the code for cultivated plants, as growers type
it), no name itself.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable

from ..values import dataclass

# A quotation mark opens a cultivar's name only at a word's beginning: "Hall's" keeps its apostrophe.
_QUOTED = re.compile(r"(?:^|(?<=\s))['‘’‚\"“”„`].*?(?:['’\"”“`](?=[\s,;)]|$)|$)")
_CULTIVAR_WORD = re.compile(r"\s+cv\.?(?:\s.*)?$", re.IGNORECASE)
_SIGNS = dict.fromkeys(map(ord, "×✕✖⨯╳"), " × ")
_HYBRID = frozenset(("x", "×"))
_RANKS = frozenset(("subsp", "ssp", "var", "f", "fo", "forma", "subvar"))
_OPEN = frozenset(("sp", "spp", "species"))
_DROPPED = _OPEN | {"agg", "hort"}
_ENDINGS = frozenset(("group", "grp", "gp", "hybrid", "hybrids"))  # put away at the end only: "hybrid witch hazel"
_CLOSED = re.compile(r"[ \-'’‘.,;×_/‐‑–\u0300-\u036f]+")  # the last span are accents, once letters are decomposed
_RANK_WORD = re.compile(r" (?:subsp|ssp|var|f)\. ")


@dataclass(frozen=True, slots=True)
class Name:
    """A typed name taken apart. Keys are compact: no case, accent, space or hyphen is left in them.

    `whole` is everything that was not put away; `infraspecific` genus, species and the word after a rank; `species`
    genus and species alone; `genus` the first word. `open` says that only the genus was meant (`Acer sp.`); `proper`
    that a capital follows it, as of a cultivar without quotes or an author. `parents` are the two sides of a formula.
    """

    whole: str
    infraspecific: str = ""
    species: str = ""
    genus: str = ""
    open: bool = False
    proper: bool = False
    parents: tuple[str, str] | None = None


def name_key(text: str) -> str:
    """`Acer × Freemanii` and `acer freemanii` are one key: letters and digits, no case, accents, spaces or hyphens."""
    return _CLOSED.sub("", unicodedata.normalize("NFKD", text).casefold())


def name_keys(names: list[str]) -> list[str]:
    """The keys of many names of the register at once, ranks put away: a tenth of the time of one by one."""
    return name_key(_RANK_WORD.sub(" ", "\n".join(names))).split("\n")


def cultivar_of(text: str) -> str:
    """The quoted cultivar in a name, quotes and all; an empty string where there is none."""
    found = _QUOTED.search(text)
    return found.group().strip() if found else ""


def taken_apart(text: str) -> Name:
    """Cut a typed name up. A text without a letter gives a `Name` whose `whole` is empty."""
    bare = _CULTIVAR_WORD.sub("", _QUOTED.sub(" ", text))
    words = re.sub(r"[()\[\],;]", " ", bare.translate(_SIGNS)).split()
    parents = _formula(words)
    if parents:
        return Name(name_key(" ".join(words)), parents=parents)
    words = [w for w in words if w.casefold() not in _HYBRID]
    kept = [w for w in words if w.casefold().rstrip(".") not in _DROPPED]
    kept = kept[:-1] if kept and kept[-1].casefold().rstrip(".") in _ENDINGS else kept
    plain = [w for w in kept if w.casefold().rstrip(".") not in _RANKS or w is kept[0]]
    if not plain:
        return Name("")
    return Name(
        whole=name_key(" ".join(plain)),
        infraspecific=_infraspecific(kept),
        species=name_key(" ".join(plain[:2])) if len(plain) > 1 else "",
        genus=name_key(plain[0]),
        open=any(w.casefold().rstrip(".") in _OPEN for w in words[1:]),
        proper=_followed_by_a_proper_name(plain, bare),
    )


def _infraspecific(words: list[str]) -> str:
    """The key of genus, species and the word behind a rank (`subsp.`, `var.`, `f.`), authors left out."""
    at = next((i for i, w in enumerate(words) if i > 1 and w.casefold().rstrip(".") in _RANKS), 0)
    return name_key("".join((*words[:2], words[at + 1]))) if 0 < at < len(words) - 1 else ""


def _followed_by_a_proper_name(words: list[str], text: str) -> bool:
    """`Malus Evereste`, `Picea A.Dietr.`: a capital after the genus is no species, unless all is in capitals."""
    return len(words) > 1 and words[1][:1].isupper() and not text.isupper()


def _formula(words: list[str]) -> tuple[str, str] | None:
    """The parents of `Acer palmatum × japonicum`, `… × A. japonicum` or `… x Acer japonicum`; None for other names."""
    at = next((i for i, w in enumerate(words) if i > 1 and w.casefold() in _HYBRID), 0)
    mother, father = words[:at], words[at + 1 :]
    if not at or not father:
        return None
    genus = next((w for w in mother if w.casefold() not in _HYBRID), "")
    if len(father) == 1:
        father = [genus, *father]
    elif len(father[0].rstrip(".")) == 1:
        father = [genus, *father[1:]]
    return " ".join(mother), " ".join(father)


def named_in(text: str, names: Iterable[str]) -> str:
    """The one of a grower's own names that `text` means, cultivar and case apart; an empty string where none is."""
    own = {name_key(name): name for name in names}
    if not own:
        return ""
    name = taken_apart(text)
    return next((own[key] for key in (name.whole, name.infraspecific, name.species) if key in own), "")
