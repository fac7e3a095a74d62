"""What a column of a grower's table holds, by the words at its head."""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache

from ...values import dataclass
from ..loose_table import clean
from ..new_trees import MEASURED_ON

UNITS = {
    "mm": "mm", "millimetre": "mm", "millimetres": "mm", "millimeters": "mm", "cm": "cm", "cms": "cm", "centimetres": "cm",
    "centimeters": "cm", "in": "in", "inch": "in", "inches": "in", '"': "in", "″": "in", "”": "in", "''": "in",
}  # fmt: skip
MEASURES = ("trunk", "height", "crown", "leaf")


def _set(words: str) -> frozenset[str]:
    return frozenset(words.split())


# heads of several words, and single ones that mean something only by themselves
_PHRASES: Mapping[str, str] = {
    **dict.fromkeys(("common name", "english name", "vernacular name", "trivial name"), "common"),
    **dict.fromkeys(
        ("species name", "botanical name", "latin name", "scientific name", "species variety", "tree species", "plant name"),
        "species",
    ),
    **dict.fromkeys(("tree type", "type of tree", "kind of tree", "tree kind"), "species"),
    **dict.fromkeys(("old number", "old no", "old tag", "former number", "former tag", "previous number"), "also"),
    **dict.fromkeys(("number of trees", "no of trees", "how many", "number in tray"), "count"),
    **dict.fromkeys(("in training since", "training since", "training started", "trained since", "start of training"), "started"),
    **dict.fromkeys(
        ("bought from", "acquired from", "obtained from", "purchased from", "where from", "came from", "got from", "from whom"),
        "source",
    ),
    **dict.fromkeys(("purchase price", "price paid", "est value", "current value", "estimated value"), "value"),
    **dict.fromkeys(("health status", "state of health", "health score", "overall health"), "vigour"),
    **dict.fromkeys(("growth stage", "stage of development", "development stage", "development status"), "stage"),
    **dict.fromkeys(("growth group", "grows like"), "group"),
    **dict.fromkeys(("measured on", "date measured", "measured", "measurement date", "last measured"), MEASURED_ON),
    **dict.fromkeys(("in pot since", "potted since"), "repotted"),
    **dict.fromkeys(("front side", "front view", "viewing side"), "front"),
    **dict.fromkeys(("design goal", "future plans", "future plan", "long term goal", "plans for tree"), "aim"),
    **dict.fromkeys(("pot or container", "pot description"), "pot"),
    **dict.fromkeys(("wire on since", "wired since"), "wired"),
    **dict.fromkeys(("what we call it", "we call it", "what i call it", "called"), "name"),
    # the commonest heads of other languages
    **dict.fromkeys(("nr", "lfd nr", "nummer", "numéro", "número", "numero", "番号", "管理番号"), "tag"),
    **dict.fromkeys(("art", "baumart", "espèce", "essence", "especie", "specie", "soort", "樹種"), "species"),
    **dict.fromkeys(("baum", "arbre", "árbol", "albero", "boom", "nom", "nombre", "nome", "naam", "樹名", "名前", "銘"), "name"),
    **dict.fromkeys(("umgetopft", "rempoté", "rempotage", "trasplante", "rinvaso", "verpot", "植替え", "植え替え"), "repotted"),
    **dict.fromkeys(("höhe", "hauteur", "altura", "altezza", "hoogte", "樹高"), "height"),
    **dict.fromkeys(("stamm", "tronc", "tronco", "stam", "幹", "幹径"), "trunk"),
    **dict.fromkeys(("standort", "platz", "emplacement", "lugar", "posizione", "plaats", "場所", "置き場"), "bench"),
    **dict.fromkeys(("bemerkung", "bemerkungen", "notiz", "notizen", "remarque", "remarques", "notas", "opmerking", "備考", "メモ"), "note"),
    **dict.fromkeys(("schale", "topf", "maceta", "vaso", "鉢"), "pot"),
    **dict.fromkeys(("樹形", "stil", "estilo", "stile"), "style"),
    **dict.fromkeys(("gekauft", "acheté", "comprado", "acquistato", "gekocht", "入手"), "acquired"),
    "from": "source",
    "tree": "tree",
    "plant": "tree",
    "bonsai": "tree",
    "name": "name",
}  # fmt: skip
# a head is of a key where one of its words stands in the first set, and every other in the second or among the fillers
_WORDS: Mapping[str, tuple[frozenset[str], frozenset[str]]] = {
    "tag": (_set("no nr num number tag id ref code label nº № n° # item inv inventory"), _set("reference pot")),
    "name": (_set("name named nickname called title"), frozenset()),
    "species": (_set("species sp taxon type kind"), _set("name botanical latin")),
    "genus": (_set("genus"), frozenset()),
    "cultivar": (_set("cultivar variety cv selection clone"), _set("name")),
    "group": (_set("group"), frozenset()),
    "started": (_set("started start begun"), _set("training")),
    "acquired": (_set("acquired bought purchased obtained got acquisition purchase since received acq"), _set("mine owned")),
    "source": (_set("source origin supplier nursery seller vendor provenance"), _set("where")),
    "bench": (_set("bench where location place position shelf spot stand stands area zone loc"), _set("kept")),
    "style": (_set("style"), _set("form")),
    "aim": (_set("aim goal plan plans intention intentions design objective vision"), frozenset()),
    "front": (_set("front"), frozenset()),
    "stage": (_set("stage phase status development maturity"), frozenset()),
    "vigour": (_set("vigour vigor health strength condition cond vig"), _set("score rating")),
    "repotted": (_set("repotted repot repotting potted rp"), frozenset()),
    "wired": (_set("wired wire wiring"), _set("since")),
    "height": (_set("height ht high tall"), _set("size")),
    "trunk": (
        _set("trunk diameter dia diam calliper caliper callipers calipers ø"),
        _set("width thickness size base nebari above"),
    ),
    "crown": (_set("crown spread canopy width"), _set("diameter size")),
    "leaf": (_set("leaf leaves needle needles"), _set("size length")),
    "pot": (_set("pot container"), _set("size type shape dimensions")),
    "note": (_set("note notes comment comments remark remarks description observations history details info memo"), _set("other general")),
    "value": (_set("value price cost worth paid"), frozenset()),
    "count": (_set("count qty quantity pcs"), frozenset()),
    "indoors": (_set("indoors indoor inside"), frozenset()),
}  # fmt: skip
_FILLERS = _set(
    "date day year last latest current of the my tree trees plant plants bonsai in when on at was is est estimated approx about s how it"
)
_UNIT_TAIL = re.compile(r"[\[(]\s*([^\])]{1,12})\s*[\])]|(?:,|\s|/)(mm|cms?|in|inch(?:es)?|″|\")\.?$")


@dataclass(frozen=True, slots=True)
class Head:
    """A column's head as written, the key it holds (empty where that is not known) and the unit of its sizes."""

    text: str
    key: str = ""
    unit: str = ""


@cache
def head_of(text: str) -> Head:
    """What the words at a column's head say: `Trunk Ø (cm)`, `Last repotted`, `No.`."""
    bare = clean(text).strip()
    spaced = bare.replace("_", " ")
    unit = ""
    low = spaced.casefold()
    for found in _UNIT_TAIL.finditer(low):
        said = (found[1] or found[2]).strip(" .")
        if said in UNITS:
            unit = UNITS[said]
            low = low.replace(found[0], " ")
    words = re.findall(r"[^\W_]+°?|[#№]|n°", low.replace("º", "°"))
    key = _key(words)
    return Head(bare, key, unit if key in MEASURES else "")


def _key(words: list[str]) -> str:
    if " ".join(words) in _PHRASES:
        return _PHRASES[" ".join(words)]
    saying = [word for word in words if word not in _FILLERS]
    bare = " ".join(word for word in saying if word != "ø")
    if bare in _PHRASES:
        return _PHRASES[bare]
    found = [
        key
        for key, (triggers, beside) in _WORDS.items()
        if any(word in triggers for word in saying) and all(word in triggers or word in beside for word in saying)
    ]
    if len(found) > 1 and "tag" in found:
        return "tag" if found == ["tag", "pot"] else ""  # a pot's number is its tree's
    return found[0] if len(found) == 1 else ""


def known_words() -> frozenset[str]:
    """All words that say what a column holds, for a near miss to be told by."""
    return frozenset(word for triggers, _ in _WORDS.values() for word in triggers if len(word) > 3)
