"""One wrong key in thirty realistic lines: every position × neighbouring key, key left out, key twice, two keys swapped.

Goals: none reaches another tree, no text is lost, at most 0.1 % becomes another work without a question, at most 5 % a wrong day or
number (all shown in the echo). And keystrokes: a typed line against the YAML it becomes, at least 4 times fewer.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from datetime import date

from logbook.collection.dates import read_when
from logbook.collection.model import Collection, Entry, Found, Settings, Tree
from logbook.collection.tree_text import tree_context
from logbook.collection.yaml_editor import entry_text
from logbook.horticulture.loader import shipped_knowledge
from logbook.intake.grammar.headers import Grammar
from logbook.intake.grammar.lines import read_notes
from logbook.intake.plan import entry_reader, plan
from logbook.intake.plan_items import History, Item, Plan, PlanContext
from logbook.storage.printed import Ledger, Offered, Sheet

WALK_SERIAL = "00200-0"
WALK = "1 20/10 done\n" + "".join(
    f"{n} {said}\n"
    for n, said in enumerate(
        ["done"] * 6
        + ["done; vigour 4", "moss yellow", "done"]
        + ["done"] * 5
        + ["trunk 38.5", "done 40min", "done", "looked"],
        start=2,
    )
)
ROWS = ("1234567890", "qwertyuiop", "asdfghjkl", "zxcvbnm")
LINES = (
    "1 14 oct wired 1 2 copper 2.5",
    "2 14 oct needles thinned",
    "3 trunk 38.5 tips 64 vigour 4",
    "4 20 oct moss gone yellow on the north side",
    "1 2 nov wire off 1 2",
    "2 2 nov wire checked 3 bite none",
    "3 12 oct pruned hard",
    "4 18 oct repotted roots light mix 2 pumice 1 lava",
    "5 18 oct repotted pot oval 310x240x60",
    "6 6 oct saw leaf fall",
    "7 1 nov looked",
    "8 1 nov looked over; intend remove S1 by autumn 2028",
    "1 3 oct shoots selected",
    "2 3 oct trimmed 40 min",
    "3 5 oct stage refinement",
    "4 5 oct rest",
    "5 7 nov height 480 crown 420",
    "6 7 nov leaf 12",
    "7 9 oct trouble pests",
    "8 9 oct fed 5-5-5",
    "9 11 oct candles off",
    "10 11 oct wired S1 alu 3 keep",
    "1 13 oct deadwood treated",
    "2 15 oct weighed wet 5.2 dry 4.1",
    "3 16 oct vigour 3; leaves pale",
    "4 22 oct cleaned",
    "5 24 oct bent 2 heavy",
    "6 26 oct sacrifice off S1",
    "C 20 oct",
    "A 21 oct roots light",
)
HEADER = "sheet 00142-4 014"
# the same entries as they are typed by someone who knows the words: the shortest that are read, the day once for all lines that share it
SHORT = """1 14/10 wired 1 2 cu 2.5
2 needles thinned
3 tru 38.5 tip 64 vig 4
4 20/10 moss gone yellow on the north side
5 2/11 wire off 1 2
6 wire checked 3 no bite
7 12/10 pruned hard
8 18/10 repotted light roots pot oval 310x240x60 mix 2 pumice 1 lava
10 6/10 saw lea fal
11 1/11 looked
12 int remove S1 by autumn 2028
13 3/10 shoots selected
14 trimmed 40min
15 5/10 sta ref
16 rest over
17 7/11 hei 480 cro 420
18 leaf 12
19 28/10 tro pes
20 fed 5-5-5
21 11/10 decandled
22 wired S1 alu 3 keep
23 13/10 deadwood limed
24 15/10 wei wet 5.2 dry 4.1
25 16/10 vig 3; leaves pale
26 22/10 cleaned
27 8/10 bent 2 heavy
28 26/10 sacrifice off S1
C 20/10
A 18/10 light roots
"""


def slips(text: str) -> Iterator[str]:
    """Every single-key slip."""
    for i, char in enumerate(text):
        yield text[:i] + text[i + 1 :]
        yield text[:i] + char + text[i:]
        if i + 1 < len(text) and text[i + 1] != char:
            yield text[:i] + text[i + 1] + char + text[i + 2 :]
        for near in neighbours(char):
            yield text[:i] + near + text[i + 1 :]


def neighbours(char: str) -> str:
    low = char.lower()
    for r, row in enumerate(ROWS):
        at = row.find(low)
        if at >= 0:
            beside = row[max(0, at - 1) : at] + row[at + 1 : at + 2]
            for other in (r - 1, r + 1):
                if 0 <= other < len(ROWS):
                    beside += ROWS[other][max(0, at - 1) : at + 1]
            return beside.upper() if char.isupper() else beside
    return ""


def a_context() -> tuple[PlanContext, Grammar]:
    """Forty trees; one of them has wire on and a sheet out, as have all the others."""
    knowledge, settings = shipped_knowledge(), Settings("Garden")
    found = Entry(date=read_when("2026-01-10"), found=Found(stage="ramification", vigour=4))
    wired = Entry(date=read_when("2026-03-10"), work="wiring", branches=("1", "2", "3"))
    measured = Entry(
        date=read_when("2026-09-10"),
        measured={"trunk": 38.0, "tips": 60.0, "height": 470.0, "crown": 410.0, "leaf": 12.0},
    )
    trees = tuple(Tree(f"{n:03d}", (found, wired, measured), f"trees/{n:03d}.yaml", species="") for n in range(1, 41))
    from logbook.storage.printed import draw_serials

    serials = ["00142-4", *draw_serials(39, Ledger(), 1)]
    tags = ["014", *(t.tag for t in trees if t.tag != "014")]
    sheets = {
        serial: Sheet(
            serial,
            date(2026, 10, 1),
            "pocket-a6",
            2,
            "metric",
            (tag,),
            {str(n): tag for n in range(1, 31)},
            (Offered("A", tag, "repotting"), Offered("C", tag, "look-over")),
        )
        for serial, tag in zip(serials, tags, strict=True)
    }
    walk = {str(n): tree.tag for n, tree in enumerate(trees[:20], start=1)}
    jobs = tuple(Offered(line, tag, "needle thinning") for line, tag in walk.items())
    sheets[WALK_SERIAL] = Sheet(
        WALK_SERIAL, date(2026, 10, 1), "walk-a4", 2, "metric", tuple(walk.values()), walk, jobs
    )
    context = PlanContext(
        Collection("", settings, trees),
        History(),
        date(2026, 11, 20),
        entry_reader(tree_context(settings, knowledge)),
    )
    return context, Grammar(knowledge, Ledger(sheets), tags=frozenset(t.tag for t in trees))


def judged(context: PlanContext, grammar: Grammar, text: str) -> Plan:
    return plan(context, read_notes(text, grammar))


def compare(meant: tuple[Item, ...], got: Plan, text: str) -> str:
    """What became of a slip."""
    written = got.of("write")
    if any(item.tag != "014" for item in written):
        return "another tree"
    shown = " ".join(item.reading.text for item in got.items)
    said = text.split("\n", 1)[1].strip()
    if said and not got.items:
        return "lost"
    if said and said not in shown and " ".join(said.split()) not in " ".join(shown.split()):
        return "lost"
    if got.of("question") or got.of("left over"):
        return "asked"
    wanted = [(dict(i.entry) | {"from": ""}) for i in meant]
    found = [(dict(i.entry) | {"from": ""}) for i in written]
    if wanted == found:
        return "same"
    if {i.entry.get("work") for i in written} - {i.entry.get("work") for i in meant} - {None}:
        return "another work"
    if all(set(i.entry) <= {"date", "note", "from"} for i in written):
        return "a remark"
    if [_facts(e) for e in wanted] == [_facts(e) for e in found]:
        return "words of a remark"
    remark = any("note" in entry for entry in found)
    if remark and all(any(_less(w, f) for w in wanted) for f in found if set(f) - {"date", "note", "from"}):
        return "read in part"
    return "a day or number"


def _less(wanted: dict[str, object], found: dict[str, object]) -> bool:
    """Whether nothing is told that was not meant: a detail is missing, and its words stand in the remark, which the echo shows."""
    meant, told = _flat(wanted), _flat(found)
    return told.items() <= meant.items()


def _flat(entry: dict[str, object]) -> dict[str, object]:
    """The facts one by one, each measure by itself."""
    flat: dict[str, object] = {}
    for name, value in _facts(entry).items():
        parts = {f"{name} {key}": one for key, one in value.items()} if isinstance(value, dict) else {name: value}
        flat |= {key: repr(one) for key, one in parts.items()}
    return flat


def _facts(entry: dict[str, object]) -> dict[str, object]:
    """An entry without the grower's free words: remarks, intentions, names of soil."""
    plain = {name: value for name, value in entry.items() if name not in ("note", "intend", "did")}
    mix = plain.get("mix")
    return {**plain, "mix": sorted(mix.values())} if isinstance(mix, dict) else plain


def main() -> None:
    context, grammar = a_context()
    fates: Counter[str] = Counter()
    examples: dict[str, list[str]] = {}
    for line in LINES:
        text = f"{HEADER}\n{line if line[0] in 'AC' or line.split()[1].isdigit() else line.replace(' ', ' 14 oct ', 1)}\n"
        meant = judged(context, grammar, text).of("write")
        assert meant, text
        body = text.split("\n")[1]
        for slip in slips(body):
            fate = compare(meant, judged(context, grammar, f"{HEADER}\n{slip}\n"), f"{HEADER}\n{slip}\n")
            fates[fate] += 1
            examples.setdefault(fate, []).append(f"{body}  →  {slip}")
    for slip in slips(HEADER):
        text = f"{slip}\n1 14 oct needles thinned\n"
        fate = compare(
            judged(context, grammar, f"{HEADER}\n1 14 oct needles thinned\n").of("write"),
            judged(context, grammar, text),
            text,
        )
        fates[f"header: {fate}"] += 1
        examples.setdefault(f"header: {fate}", []).append(slip)
    total = sum(fates.values())
    for fate, count in fates.most_common():
        print(
            f"{fate:24} {count:6}  {100 * count / total:6.2f} %   such as  {examples[fate][len(examples[fate]) // 2]}"
        )
    for fate in ("another tree", "header: another tree", "another work", "lost"):
        for example in examples.get(fate, [])[:8]:
            print(f"   {fate}: {example}")
    made = judged(context, grammar, f"{HEADER}\n{SHORT}")
    notes = [item.entry["note"] for item in made.of("write") if "note" in item.entry]
    assert len(made.items) == len(made.of("write")) + len(made.of("there")), [
        (i.why, i.reading.text) for i in made.of("question")
    ]
    assert notes == ["moss gone yellow on the north side", "leaves pale"], (
        f"every shortened line is understood: {notes}"
    )
    sheets = told("lines of record sheets", SHORT, made)
    made = judged(context, grammar, f"sheet {WALK_SERIAL}\n{WALK}")
    assert len(made.of("write")) >= WALK.count("\n"), "every line is understood"
    walk = told("a walk list of twenty", WALK, made)
    print(f"both together: {(sheets[1] + walk[1]) / (sheets[0] + walk[0]):.1f} times fewer")


def told(what: str, typed: str, made: Plan) -> tuple[int, int]:
    """Say how many keys were typed for how many characters of YAML, and give both."""
    yaml = sum(len(f"  - {entry_text(item.entry)}\n") for item in made.of("write"))
    print(f"keystrokes, {what}: {len(typed)} for {yaml} of YAML, {yaml / len(typed):.1f} times fewer")
    return len(typed), yaml


if __name__ == "__main__":
    main()
