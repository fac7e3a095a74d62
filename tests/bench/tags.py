"""How often the codes of every shipped tag stock are read, by condition and printer, 500 tries each; all simulated.

Goals: ≥ 99 % clean, faded, blurred (0.2 mm) and tilted (35°), ≥ 95 % with 5 % dirt. Arguments: how many tries, and layouts if not all.
"""

from __future__ import annotations

import sys

from logbook.collection.model import Settings, Tree
from logbook.paper.layouts import layout
from logbook.paper.tags import pot_tag
from logbook.shipped import shipped
from tests.paper.weather import CONDITIONS, code_of, printed, reads, weathered

LINK = "https://garden.example/{file}"


def rate(name: str, dpi: int, condition: str, tries: int) -> float:
    """Share of tries read right; another tree's code each time."""
    plan, good = layout(name), 0
    for seed in range(tries):
        tag = f"{seed % 999 + 1:03d}"
        made = pot_tag(
            Tree(tag, (), path=f"trees/{tag}.yaml", species="Acer palmatum"), Settings("G", link=LINK), plan
        )
        picture = weathered(printed(code_of(made.front), dpi), condition, seed, plan.bends)
        good += reads(picture, made.symbol.text)
    return good / tries


def main() -> None:
    tries = int(sys.argv[1]) if len(sys.argv) > 1 else 500
    named = sys.argv[2:]
    print("simulated; share read in %, " + ", ".join(CONDITIONS))
    for path in sorted(shipped("layouts").glob("tag-*.yaml")):
        if named and path.stem not in named:
            continue
        for dpi in (300, 203):
            rates = [rate(path.stem, dpi, condition, tries) for condition in CONDITIONS]
            print(f"{path.stem:20} {dpi} dpi  " + "  ".join(f"{100 * r:5.1f}" for r in rates), flush=True)


if __name__ == "__main__":
    main()
