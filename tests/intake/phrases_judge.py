"""A judge of pencil lines: what each line of `phrases.jsonl` became, against what a competent reader would have made of it.

A case is one JSON object: `context` (units, species, the typing day, the branches in the tree's table, which of them carry
wire, the last measures in mm), perhaps a `sheet` with the jobs on it, the `day` in front, `line` or `lines`, `date` (days an
entry may carry), and `expect`: entries, or "remark", "ask", "nothing"; `also` names other right answers. In an entry `key?`
may be there and then has that value, {"any": [...]} is one of several; lengths and wire are in mm. `never` are entries that
would be harmful; `keeps` words that must stand in a remark as they were typed; `says` a pattern for the question.

Verdicts: exact; partial (the right works, the rest kept as a remark or asked); asked (a nuisance); remark (a work or sign
lost in silence); wrong (a detail lost or not said); harmful (a work nobody did, or a number, day, branch or sign nobody wrote).
"""

# mypy: ignore-errors
from __future__ import annotations

import json
import re
from collections import Counter, defaultdict
from collections.abc import Callable
from datetime import date
from pathlib import Path

from logbook.storage.printed import Offered, Sheet, run_text

MM = 25.4
WRITES, QUIET = ("write", "there"), ("dismissed",)
DATA = ("measured", "vigour", "minutes", "weighed", "wire")
STATES = ("saw", "rest", "stage", "date")
SOFT = ("trouble", "bite", "metal", "roots", "pot", "mix", "force", "feed", "keep", "intend", "did")
WIRE_WORKS = ("wiring", "wire off", "wire check")
CARE = ("look-over", "feeding", "turning and weeding", "cleaning", "photograph", "measuring")
VERDICTS = ("exact", "partial", "asked", "remark", "wrong", "harmful")
Run = Callable[[Path, Path, str], list[dict]]

NORMALS = {
    "us": (
        "[31, 33, 40, 49, 58, 66, 71, 69, 62, 51, 41, 33]",
        "[45, 49, 58, 67, 75, 82, 86, 85, 78, 68, 57, 47]",
        36.2,
        18,
    ),
    "metric": (
        "[-1, -1, 2, 5, 9, 12, 14, 14, 11, 7, 3, 0]",
        "[5, 6, 10, 14, 18, 22, 24, 24, 20, 14, 9, 6]",
        47.2,
        -10,
    ),
}


def cases() -> list[dict]:
    text = Path(__file__).with_name("phrases.jsonl").read_text("utf-8")
    return [json.loads(line) for line in text.splitlines() if line.strip()]


def collection_text(units: str) -> str:
    low, high, latitude, coldest = NORMALS[units]
    order = "month-day" if units == "us" else "day-month"
    return (
        f"format: 1\ntitle: Cases\nunits: {units}\nsite:\n  latitude: {latitude}\n  longitude: 8\n  normals:\n"
        f"    years: 1991-2020\n    tmin: {low}\n    tmax: {high}\n    coldest_night: {coldest}\ndate_order: {order}\n"
    )


def tree_text(tag: str, case: dict) -> str:
    given, units = case["context"], case["context"]["units"]

    def length(mm: float) -> str:
        return f"{mm / MM:.3f}" if units == "us" else f"{mm:g}"

    last = {k: (v if k == "tips" else length(v)) for k, v in given.get("measured", {}).items()}
    autumn = given["today"].endswith(("11-25", "12-31"))
    lines = [f'tag: "{tag}"', f"species: {given['species']}", "branches:"]
    for index, name in enumerate(given["branches"]):
        role = "sacrifice" if name.startswith("S") else "keep"
        where = f"clock: {1 + 2 * index % 12}, height: {length(60 + 30 * index)}"
        lines.append(f"  - {{id: {name}, {where}, role: {role}, diameter: {length(12)}}}")
    told = ", ".join(f"{k}: {v}" for k, v in last.items())
    lines += ["log:", "  - {date: 2024-01-10, found: {stage: ramification, repotted: 2021, vigour: 3}}"]
    lines.append(f"  - {{date: {'2025-10-20' if autumn else '2026-10-20'}, vigour: 3, measured: {{{told}}}}}")
    if given["wire"]:
        day, on = "2026-04-20" if autumn else "2026-11-20", ", ".join(given["wire"])
        lines.append(f"  - {{date: {day}, work: wiring, branches: [{on}], metal: copper, wire: 2.5}}")
    return "\n".join(lines) + "\n"


def check_digit(five: str) -> str:
    """ISO 7064 MOD 11,10."""
    left = 10
    for digit in five:
        left = ((left + int(digit)) % 10 or 10) * 2 % 11
    return str((11 - left) % 10)


def offer(folder: Path, by_tag: dict[str, dict]) -> dict[str, str]:
    """A printed sheet for each tree, as the case has it; the serial by tag."""
    sheets, serials = [], {}
    for number, (tag, case) in enumerate(by_tag.items(), start=101):
        five = f"{number:05d}"
        serials[tag] = f"{five}-{check_digit(five)}"
        walk = case["sheet"]["kind"] == "walk list"
        jobs = tuple(Offered(k, tag, j["work"], tuple(j["branches"])) for k, j in case["sheet"]["jobs"].items())
        lines = {str(n): tag for n in range(1, 29)}
        layout = "walk-a4" if walk else "pocket-a6"
        sheets.append(Sheet(serials[tag], date(2027, 4, 1), layout, 1, case["context"]["units"], (tag,), lines, jobs))
    (folder / "printed").mkdir(exist_ok=True)
    (folder / "printed" / "2027-04-01.json").write_text(run_text(sheets), encoding="utf-8")
    return serials


def typed(case: dict) -> list[str]:
    first, *more = case.get("lines") or [case["line"]]
    return [f"{case['day']} {first}".strip(), *more]


def answers(folder: Path, group: list[dict], run: Run) -> dict[str, tuple[str, list[dict]]]:
    """Each case's tag and the items that its lines became, all typed in one run."""
    (folder / "trees").mkdir(parents=True)
    by_tag = {f"q{n:04d}": case for n, case in enumerate(group, start=1)}
    (folder / "collection.yaml").write_text(collection_text(group[0]["context"]["units"]), encoding="utf-8")
    for tag, case in by_tag.items():
        (folder / "trees" / f"{tag}.yaml").write_text(tree_text(tag, case), encoding="utf-8")
    serials = offer(folder, by_tag) if "sheet" in group[0] else {}
    text: list[str] = []
    owner: dict[int, str] = {}
    for tag, case in by_tag.items():
        text.append(f"sheet {serials[tag]} {tag}" if serials else f"tree {tag}")
        for line in typed(case):
            text.append(line)
            owner[len(text)] = tag
    notes = folder / "typed.txt"
    notes.write_text("\n".join(text) + "\n", encoding="utf-8")
    found: dict[str, tuple[str, list[dict]]] = {case["id"]: (tag, []) for tag, case in by_tag.items()}
    for item in run(folder, notes, group[0]["context"]["today"]):
        if item["line"] in owner:
            found[by_tag[owner[item["line"]]]["id"]][1].append(item)
    return found


def verdicts(home: Path, run: Run, chosen: list[dict] | None = None) -> list[tuple[dict, str, str, list[dict]]]:
    """Every case with its verdict, why, and the items."""
    groups: dict[tuple, list[dict]] = defaultdict(list)
    for case in chosen or cases():
        groups[case["context"]["units"], case["context"]["today"], "sheet" in case].append(case)
    results = []
    for number, group in enumerate(groups.values()):
        found = answers(home / f"g{number}", group, run)
        for case in group:
            tag, items = found[case["id"]]
            results.append((case, *judge(case, items, tag), items))
    return results


def share(results: list[tuple[dict, str, str, list[dict]]], tier: int) -> float:
    """Per cent of a tier that is exact or partial."""
    count = Counter(v for c, v, _, _ in results if c["tier"] == tier)
    return 100 * (count["exact"] + count["partial"]) / max(sum(count.values()), 1)


def asked_of_readable(results: list[tuple[dict, str, str, list[dict]]]) -> float:
    """Per cent of the lines that can be read about which something is asked."""
    readable = [i for c, _, _, i in results if isinstance(c["expect"], list)]
    return 100 * sum(any(x["fate"] not in WRITES + QUIET for x in i) for i in readable) / max(len(readable), 1)


def made(items: list[dict], units: str) -> list[dict]:
    """The entries that would be written, lengths in mm."""
    entries = []
    for item in items:
        if item.get("fate") not in WRITES or not item.get("entry"):
            continue
        entry = {k: v for k, v in (item.get("entry") or {}).items() if k != "from"}
        if units == "us":
            if "measured" in entry:
                entry["measured"] = {k: v if k == "tips" else v * MM for k, v in entry["measured"].items()}
            if isinstance(entry.get("pot"), dict) and "inner" in entry["pot"]:
                entry["pot"] = {**entry["pot"], "inner": [side * MM for side in entry["pot"]["inner"]]}
        entry["_tag"] = item.get("tag", "")
        entries.append(entry)
    return entries


def near(a: object, b: object, share: float = 0.015) -> bool:
    return isinstance(a, (int, float)) and isinstance(b, (int, float)) and abs(a - b) <= share * max(abs(b), 1e-9)


def same(key: str, got: object, want: object) -> bool:
    if isinstance(want, dict) and "any" in want:
        return any(same(key, got, one) for one in want["any"])
    if key == "wire":
        sizes = [float(re.sub(r"[^\d.]", "", str(s)) or 0) for s in (got if isinstance(got, list) else [got])]
        return len(sizes) == len(want) and all(
            near(a, b, 0.03) for a, b in zip(sorted(sizes), sorted(want), strict=True)
        )
    if key == "branches":
        return {str(b) for b in got} == {str(b) for b in want}
    if key == "mix":
        if not isinstance(got, dict) or {k.casefold() for k in got} != set(want):
            return False
        low = {k.casefold(): v for k, v in got.items()}
        return all(near(low[k] / sum(low.values()), want[k] / sum(want.values()), 0.02) for k in want)
    if key == "intend":
        return want["about"].casefold() in json.dumps(got, ensure_ascii=False).casefold()
    if key == "pot":
        return isinstance(got, dict) and all(
            sorted(round(s) for s in got.get("inner", [])) == sorted(round(s) for s in v)
            if k == "inner"
            else got.get(k) == v
            for k, v in want.items()
        )
    if isinstance(want, dict):
        return isinstance(got, dict) and set(got) == set(want) and all(near(got[k], v) for k, v in want.items())
    return near(got, want) if isinstance(want, (int, float)) else str(got) == str(want)


def is_note(entry: dict) -> bool:
    return not set(entry) - {"note", "date", "_tag", "photo"}


def forbidden(entry: dict, never: dict) -> bool:
    """Whether an entry says what it never must; of branches, any one named there."""
    for key, want in never.items():
        if key not in entry:
            return False
        if key == "branches":
            if not {str(b) for b in entry[key]} & {str(b) for b in want}:
                return False
        elif key == "measured":
            if not all(k in entry[key] and near(entry[key][k], v) for k, v in want.items()):
                return False
        elif not same(key, entry[key], want):
            return False
    return True


def work_of(want: dict) -> list[str]:
    work = want.get("work", "")
    return work["any"] if isinstance(work, dict) else [work] if work else []


def pairs(want: dict, entry: dict) -> int:
    """How well an entry serves an expected one; 0: not at all."""
    if work_of(want) or entry.get("work"):
        if entry.get("work") not in work_of(want):
            return 0
        score = 10
    elif "key" in want:
        return 10 if any(want["key"] in key for key in entry) else 0
    else:
        shared = {k.rstrip("?") for k in want} & set(entry) - {"date"}
        if not shared:
            return 0
        score = len(shared)
    return score + sum(
        k.rstrip("?") in entry and same(k.rstrip("?"), entry[k.rstrip("?")], v) for k, v in want.items()
    )


def against(expect: list[dict], entries: list[dict], case: dict) -> tuple[str, str]:
    """The verdict on one expected answer, and why."""
    spare = [e for e in entries if not is_note(e)]
    noted = any(e.get("note") for e in entries)
    matched: list[tuple[dict, dict]] = []
    missing: list[dict] = []
    for want in expect:
        best = max(spare, key=lambda e: pairs(want, e), default=None)
        if best is None or not pairs(want, best):
            missing.append(want)
            continue
        spare.remove(best)
        matched.append((want, best))
    # one entry may serve two expected ones (a measure beside a work); a second entry may carry a part of one
    for want in list(missing):
        host = next(
            (
                e
                for w, e in matched
                if not work_of(want)
                and all(same(k, e.get(k), v) for k, v in want.items() if k in e)
                and set(want) <= set(e)
            ),
            None,
        )
        if host is not None:
            missing.remove(want)
            matched.append((want, host))
    for extra in list(spare):
        if extra.get("work"):
            continue
        for want, entry in matched:
            if all(
                k in ("date", "note", "_tag") or ((k in want or k + "?" in want) and k not in entry) for k in extra
            ):
                entry.update({k: v for k, v in extra.items() if k not in ("date", "_tag")})
                spare.remove(extra)
                break
    worst, why = "exact", ""

    def down(verdict: str, reason: str) -> None:
        nonlocal worst, why
        if VERDICTS.index(verdict) > VERDICTS.index(worst):
            worst, why = verdict, reason

    hosts: dict[int, dict] = {}
    for want, entry in matched:
        hosts.setdefault(id(entry), {"entry": entry, "wants": []})["wants"].append(want)
    for host in hosts.values():
        entry, merged = host["entry"], {}
        for want in host["wants"]:
            merged.update(want)
        days = [merged["date"]] if "date" in merged else case["date"]
        if str(entry.get("date", "")) not in days:
            down("harmful", f"day {entry.get('date')}, not {' or '.join(days)}")
        for key in (*DATA, *STATES, *SOFT, "branches"):
            if key == "date":
                continue
            optional = key not in merged and key + "?" in merged
            want = merged.get(key, merged.get(key + "?"))
            got = entry.get(key)
            if want is None and got:
                heavy = key in DATA or key in STATES or key == "branches"
                down("harmful" if heavy else "wrong", f"{key} {got} was not said")
            elif want is not None and got is None and not optional:
                if key == "branches" and entry.get("work") in WIRE_WORKS:
                    down("harmful" if entry["work"] == "wire off" else "wrong", f"branches {want} lost")
                elif key in ("measured", "vigour", "saw", "stage", "rest", "trouble"):
                    down("wrong", f"{key} lost")
                else:
                    down(
                        "partial" if noted else "wrong",
                        f"{key} not read" + ("" if noted else ", and its words dropped"),
                    )
            elif want is not None and got is not None and not same(key, got, want):
                if key == "branches" and {str(b) for b in got} < {str(b) for b in want}:
                    down("wrong", f"branches {got} of {want}")
                elif (
                    key == "measured"
                    and isinstance(want, dict)
                    and all(k in want and near(v, want[k]) for k, v in got.items())
                ):
                    down("partial" if noted else "wrong", f"only {got} of {want}")
                elif (
                    key == "wire"
                    and got
                    and noted
                    and all(
                        any(near(float(g), w, 0.03) for w in want)
                        for g in (got if isinstance(got, list) else [got])
                        if isinstance(g, (int, float))
                    )
                ):
                    down("partial", f"wire {got} of {want}")
                else:
                    heavy = key in DATA or key in STATES or key == "branches"
                    down("harmful" if heavy else "wrong", f"{key} {got}, not {want}")
    for extra in spare:
        heavy = extra.get("work") or any(k in extra for k in (*DATA, "saw", "rest", "stage"))
        told = {k: v for k, v in extra.items() if k not in ("_tag", "date")}
        if set(told) == {"work"} and told["work"] in CARE and any(e.get("work") == told["work"] for _, e in matched):
            down("wrong", f"{told['work']} twice")
            continue
        down("harmful" if heavy else "wrong", f"nobody said {json.dumps(told, ensure_ascii=False)}")
    if missing and VERDICTS.index(worst) < VERDICTS.index("remark"):
        lost = ", ".join(str(m.get("work") or next(iter(m))) for m in missing)
        down("remark", f"lost: {lost}")
    return worst, why


def judge(case: dict, items: list[dict], tag: str) -> tuple[str, str]:
    """The verdict on a case; words that were to be kept and are in no note make a good answer wrong."""
    verdict, why = answered(case, items, tag)
    kept = case.get("keeps", "").casefold()
    entries = made(items, case["context"]["units"])
    waits = any(i.get("fate") not in WRITES + QUIET for i in items)
    if kept and not waits and verdict in ("exact", "partial") and entries and not all(map(is_note, entries)):
        notes = " ".join(json.dumps(e.get(k, ""), ensure_ascii=False) for e in entries for k in ("note", "intend"))
        if kept not in notes.casefold():
            return "wrong", f"words dropped: {case['keeps']}"
    return verdict, why


def answered(case: dict, items: list[dict], tag: str) -> tuple[str, str]:
    entries = made(items, case["context"]["units"])
    asked = [i for i in items if i.get("fate") not in WRITES + QUIET]
    for never in case.get("never", ()):
        for entry in entries:
            if forbidden(entry, never):
                return "harmful", f"never {json.dumps(never)}"
    possible = (case["expect"], *case.get("also", ()))
    said = [want for one in possible if isinstance(one, list) for want in one]
    days = {*case["date"], *(want["date"] for want in said if "date" in want)}
    named = {str(b) for want in said for b in (*want.get("branches", ()), *want.get("branches?", ()))}
    for entry in entries:
        if entry["_tag"] != tag:
            return "harmful", f"on tree {entry['_tag']}"
        if str(entry.get("date", "")) not in days:
            return "harmful", f"day {entry.get('date')}, not {' or '.join(sorted(days))}"
        stray = [str(b) for b in entry.get("branches", ()) if str(b) not in named]
        if stray:
            return "harmful", f"branch {', '.join(stray)} was not named"
    best: tuple[str, str] | None = None
    for want in possible:
        if want == "ask":
            verdict = ("exact", "") if asked and all(map(is_note, entries)) else None
            if verdict and case.get("says"):
                words = " ".join(str(v) for i in asked for k, v in i.items() if k not in ("typed", "entry"))
                if not re.search(case["says"], words, re.IGNORECASE):
                    verdict = "partial", "asked, but without the way out: " + case["says"]
        elif want == "nothing":
            verdict = ("exact", "") if not asked and not entries else None
        elif want == "remark":
            verdict = ("exact", "") if entries and not asked and all(map(is_note, entries)) else None
        else:
            verdict = against(want, [dict(e) for e in entries], case)
            if asked and verdict[0] != "harmful":
                half = entries and verdict[0] in ("exact", "partial")
                verdict = ("partial" if half else "asked", asked[0].get("why", ""))
        if verdict and (best is None or VERDICTS.index(verdict[0]) < VERDICTS.index(best[0])):
            best = verdict
    if best is not None and best[0] != "harmful":
        return best
    works = [e for e in entries if not is_note(e)]
    if best is not None and works:
        return best
    if asked and not works:
        return "asked", asked[0].get("why", "")
    if works:
        heavy = any(e.get("work") or any(k in e for k in (*DATA, "saw", "rest", "stage")) for e in works)
        told = [{k: v for k, v in e.items() if k not in ("_tag", "date")} for e in works]
        return "harmful" if heavy else "wrong", f"nobody said {json.dumps(told, ensure_ascii=False)}"
    return ("remark", "kept as a remark only") if entries else ("wrong", "nothing came back")
