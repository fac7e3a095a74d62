"""Splices: right or refused, every byte outside unchanged; ruamel.yaml judges what was written."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from logbook.collection.yaml_editor import entry_text, file_with, with_entries
from logbook.diagnostics import ProblemsFound

ENTRY = {
    "date": "2026-11-01",
    "work": "wiring",
    "branches": ["1", "S2"],
    "wire": 2.5,
    "note": 'a: b, "c" #x — 欅',
    "from": "00142-4/3",
}
SECOND = {"date": "2026-11-02", "vigour": 4}

NASTY = {
    "empty list": "tag: a\nlog: []\n",
    "empty list, spaces and comment": "tag: a\nlog: [ ]  # none yet\n",
    "nothing": "tag: a\nlog:\n",
    "nothing at the end, no newline": "tag: a\nlog:",
    "nothing before other keys": "log:\ntag: a\n",
    "nothing with comment": "tag: a\nlog:   # mine\n\nbench: b\n",
    "tilde": "tag: a\nlog: ~ # none\n",
    "null": "log: null\ntag: a\n",
    "flow list": "tag: a\nlog: [{date: 2020}, {date: 2021}]\n",
    "flow list, trailing comma": "tag: a\nlog: [{date: 2020}, {date: 2021},] # c\n",
    "flow list over lines": "tag: a\nlog: [\n  {date: 2020}, # c\n  {date: 2021} # d\n]\n",
    "flow root": "{tag: a, log: [{date: 2020}], x-c: 1}",
    "dashes at the margin": "tag: a\nlog:\n- date: 2020\n  note: x # hm\n# end\nx-b: 1\n",
    "flow items with own comment": "tag: a\nlog:\n  - {date: 2020}   # c\n    # more\n  # not mine\nx-b: 1",
    "windows newlines": "tag: a\r\nlog:\r\n  - {date: 2020}\r\nx-b: 1\r\n",
    "windows newlines, block text": "tag: a\r\nlog:\r\n  - date: 2020\r\n    note: |\r\n      hi\r\n\r\n      there\r\n\r\nx-b: 1\r\n",
    "wide dashes": "tag: a\nlog:\n  -   date: 2020\n      note: >-\n        hi",
    "kept block text": "tag: a\nlog:\n  - date: 2020\n    note: |+\n      hi\n\n\n",
    "block text before a comment": "tag: a\nlog:\n  - date: 2020\n    note: |\n      hi\n  # after\nbench: b\n",
    "byte order mark": '\ufefftag: a\nlog:\n  - {date: 2020, note: "日本"}\n',
    "list in the last item": "tag: a\nlog:\n  - date: 2020\n    branches:\n      - 1\n      - 2\nx-b: [1]\n",
    "multi-line plain": "tag: a\nlog: # c\n  # first\n  - date: 2020\n    note: multi\n      line plain\n\n    # trailing\n...\n",
    "empty last value": "tag: a\nlog:\n  - date: 2020\n    note:\n",
    "multi-line quoted": 'tag: a\nlog:\n  - date: 2020\n    note: "x\n      y"\n',
    "japanese keys of one's own": "x-木: 欅\ntag: a\nlog:\n  - {date: 2020, note: 夕霧}\n",
    "log named elsewhere too": "x-log:\n  log: [1]\ntag: a\nlog:\n  - {date: 2020}\nbench: log\n",
    "document markers": "---\ntag: a\nlog:\n  - {date: 2020}\n...\n",
    "quoted key": 'tag: a\n"log":\n  - {date: 2020}\n',
    "item on the next line": "tag: a\nlog:\n  -\n    date: 2020\n    note: x\n",
    "mixed items": "tag: a\nlog:\n  - {date: 2020}\n  - date: 2021\n    note: x\n  - {date: 2022}\n",
    "old mac newlines": "tag: a\rlog:\r  - {date: 2020}\r",
    "line separator in quotes": 'tag: a\nlog:\n  - {date: 2020, note: "x\u2028y"}\n',
}
NASTY |= {
    "empty list over lines": "tag: a\nlog: [\n]\nbench: b\n",
    "empty list with a comment inside": "tag: a\nlog: [ # none\n  ]\n",
    "flow list without spaces": "tag: a\nlog: [{date: 2020},{date: 2021}]\n",
    "flow list, one item a line, trailing comma": "tag: a\nlog: [\n  {date: 2020},\n  {date: 2021},\n]\n",
    "flow list ends on the item's line": "tag: a\nlog: [\n  {date: 2020},\n  {date: 2021}]\nbench: b\n",
    "flow list with nested lists": "tag: a\nlog: [{date: 2020, branches: [1, [2]]}, {date: 2021, mix: {a: 1}}]\n",
    "flow list of quoted text": "tag: a\nlog: ['[', \"]\", '{']\n",
    "flow root over lines": "{\n  tag: a,\n  log: [{date: 2020}],\n}\n",
    "flow root, log last and empty": "{tag: a, log: []}\n",
    "key with spaces before the colon": "tag: a\nlog :\n  - {date: 2020}\n",
    "single-quoted key": "tag: a\n'log':\n  - {date: 2020}\n",
    "a comment between key and items": "tag: a\nlog:\n  # the first years\n\n  # are lost\n  - {date: 2020}\n",
    "blank lines between items": "tag: a\nlog:\n\n  - {date: 2020}\n\n\n  - {date: 2021}\n\n\n",
    "blank lines of spaces": "tag: a\nlog:\n  - {date: 2020}\n   \n  \nbench: b\n",
    "comment at the margin after the last item": "tag: a\nlog:\n  - {date: 2020}\n# end of the log\n",
    "comment deeper than the dash, then shallower": "tag: a\nlog:\n  - {date: 2020}\n      # deep\n # shallow\nbench: b\n",
    "comment behind a key of the last item": "tag: a\nlog:\n  - date: 2020 # day\n    note: x # why\n    # still its own\nbench: b\n",
    "hash in a note": "tag: a\nlog:\n  - {date: 2020, note: 'no # comment'}\n  - {date: 2021, note: a#b}\n",
    "colon in quotes": "tag: a\nlog:\n  - {date: 2020, note: \"a: b\"}\n  - date: 2021\n    note: 'x: y'\n",
    "quotes in quotes": "tag: a\nlog:\n  - {date: 2020, note: 'it''s'}\n  - {date: 2021, note: \"a \\\" b\"}\n",
    "a dash in a note": "tag: a\nlog:\n  - date: 2020\n    note: >\n      - not an item\n      - nor this\n",
    "log: in block text": "tag: a\naim: |\n  log:\n    - {date: 1999}\nlog:\n  - {date: 2020}\n",
    "log: in a folded aim": "tag: a\naim: >-\n  keep the\n  log: short\nlog:\n  - {date: 2020}\n",
    "log in a comment": "# log: []\ntag: a\nlog:\n  - {date: 2020}\n# log: []\n",
    "log inside another mapping": "tag: a\ntargets:\n  log: [1]\nlog:\n  - {date: 2020}\n",
    "log as a value": "tag: log\nlog:\n  - {date: 2020}\nbench: log\n",
    "stripped block text": "tag: a\nlog:\n  - date: 2020\n    note: |-\n      hi\n      there\n",
    "block text with a blank line, next key": "tag: a\nlog:\n  - date: 2020\n    note: |\n      hi\n\n      there\n\nbench: b\n",
    "block text with an indent sign": "tag: a\nlog:\n  - date: 2020\n    note: |2\n        hi\n      there\nbench: b\n",
    "kept block text before a key": "tag: a\nlog:\n  - date: 2020\n    note: |+\n      hi\n\n\nbench: b\n",
    "folded, kept, without final newline": "tag: a\nlog:\n  - date: 2020\n    note: >+\n      hi",
    "block text in the first item only": "tag: a\nlog:\n  - date: 2020\n    note: |\n      hi\n  - date: 2021\n",
    "item that is only text": "tag: a\nlog:\n  - hello\n  - 'quoted'\n",
    "item that is nothing": "tag: a\nlog:\n  -\n  - {date: 2020}\n  -\n",
    "item that is a list": "tag: a\nlog:\n  - - 1\n    - 2\n",
    "deep nesting in the last item": "tag: a\nlog:\n  - date: 2020\n    x-a:\n      b:\n        c:\n          - d: 1\n            e: [1, {f: g}]\n",
    "keys one column apart": "tag: a\nlog:\n - date: 2020\n   note: x\n - date: 2021\n   note: y\n",
    "dashes far in": "tag: a\nlog:\n        - date: 2020\n          note: x\n",
    "long dash gap": "tag: a\nlog:\n  -      date: 2020\n         note: x\n",
    "explicit key": "tag: a\n? log\n:\n  - {date: 2020}\nbench: b\n",
    "directive and markers": "%YAML 1.1\n---\ntag: a\nlog:\n  - {date: 2020}\n",
    "end marker with a comment": "tag: a\nlog:\n  - {date: 2020}\n... # done\n",
    "spaces behind everything": "tag: a   \nlog:   \n  - {date: 2020}   \n",
    "tab in a comment": "tag: a\nlog:\n  - {date: 2020} # a\tb\n",
    "null in capitals": "tag: a\nlog: NULL\n",
    "nothing, then a comment, then a key": "tag: a\nlog:\n# nothing yet\nbench: b\n",
    "nothing, blank lines, a key": "tag: a\nlog:\n\n\nbench: b\n",
    "wide characters around": "名前: x\nx-木: 🌳\ntag: a\nlog:\n  - {date: 2020, note: 🌱 ok}\nx-終: 了\n".replace(
        "名前", "x-名前"
    ),
    "combining characters": "tag: a\nlog:\n  - {date: 2020, note: e\u0301te\u0301}\n",
    "no-break space in a note": "tag: a\nlog:\n  - {date: 2020, note: 'a\u00a0b'}\n",
    "a very long line": "tag: a\nlog:\n  - {date: 2020, note: " + "word " * 400 + "}\n",
    "many items": "tag: a\nlog:\n" + "".join(f"  - {{date: {1900 + n}}}\n" for n in range(150)),
    "anchor elsewhere": "x-a: &x 1\nx-b: *x\ntag: a\nlog:\n  - {date: 2020}\n",
    "anchored block elsewhere": "x-a: &x\n  k: v\nx-b: *x\ntag: a\nlog:\n  - {date: 2020}\n",
    "log before tag": "log:\n  - {date: 2020}\ntag: a\n",
    "log in the middle": "tag: a\nlog:\n  - {date: 2020}\nbench: b\naim: c\n",
    "quoted dates": "tag: a\nlog:\n  - {date: '2020-01-01'}\n  - date: \"2021\"\n",
    "a plain note over lines, flow": "tag: a\nlog:\n  - {date: 2020, note: one\n      two}\n",
    "a quoted note over lines, flow": "tag: a\nlog:\n  - {date: 2020, note: 'one\n\n      two'}\n",
    "a flow item over lines": "tag: a\nlog:\n  - {\n      date: 2020,\n      note: x\n    }\n",
    "a flow item over lines at the margin": "tag: a\nlog:\n- {date: 2020,\n   note: x}\nbench: b\n",
    "last item's value on the next line": "tag: a\nlog:\n  - date:\n      2020\n    note:\n      x\n",
    "next line": 'tag: a\nlog:\n  - {date: 2020, note: "x\x85y"}\n',
}
REFUSED = {
    "anchored": "tag: a\nlog: &x\n  - {date: 2020}\n",
    "alias": "x-l: &x [{date: 2020}]\nlog: *x\n",
    "no log": "tag: a\n",
    "log is text": "tag: a\nlog: later\n",
    "log is a mapping": "tag: a\nlog: {date: 2020}\n",
    "not yaml": "tag: [a\nlog: []\n",
}


def judged(text: str) -> object:
    return YAML(typ="base", pure=True).load(text.removeprefix("\ufeff"))


def as_text(value: object) -> object:
    if isinstance(value, dict):
        return {k: as_text(v) for k, v in value.items()}
    if isinstance(value, list):
        return [as_text(v) for v in value]
    return value if isinstance(value, str) else f"{value:g}"


def outside_is_unchanged(before: str, after: str) -> bool:
    """What was there is still there, in order, with one run of new text put in (or a null replaced)."""
    start = next(
        (i for i, (a, b) in enumerate(zip(before, after, strict=False)) if a != b), min(len(before), len(after))
    )
    tail = next(
        (i for i, (a, b) in enumerate(zip(reversed(before), reversed(after), strict=False)) if a != b),
        min(len(before), len(after)),
    )
    return len(before) - start - tail <= len("null")


# refused with a place: NULL, which is text here, and lone carriage returns;
# block text that ends the file without a newline would change by one
MAY_BE_REFUSED = {"old mac newlines", "null in capitals"}
WAYS = {
    "as it is": lambda text: text,
    "windows newlines": lambda text: text.replace("\r\n", "\n").replace("\n", "\r\n"),
    "byte order mark": lambda text: "\ufeff" + text.removeprefix("\ufeff"),
    "no final newline": lambda text: text.rstrip("\n"),
    "blank lines at the end": lambda text: text + "\n\n",
    "a comment at the end": lambda text: text.rstrip("\n") + "\n# the end\n",
}


@pytest.mark.parametrize("way", WAYS.values(), ids=WAYS.keys())
@pytest.mark.parametrize("plain", NASTY.values(), ids=NASTY.keys())
def test_nasty_files_are_right_or_refused(plain: str, way: Callable[[str], str]) -> None:
    text = way(plain)
    try:
        after = with_entries(text, "t.yaml", [ENTRY, SECOND])
    except ProblemsFound as refused:
        assert refused.problems[0].place is not None
        name = next(k for k, v in NASTY.items() if v == plain)
        block_text_ends_the_file = not text.endswith("\n") and ("|" in plain or ">" in plain)
        assert name in MAY_BE_REFUSED or block_text_ends_the_file, "only the oddest may be refused"
        return
    assert outside_is_unchanged(text, after)
    old, new = judged(text), judged(after)
    assert isinstance(old, dict) and isinstance(new, dict)
    old_log = old["log"] if isinstance(old["log"], list) else []
    assert new["log"] == [*old_log, as_text(ENTRY), as_text(SECOND)]
    assert {k: v for k, v in new.items() if k != "log"} == {k: v for k, v in old.items() if k != "log"}
    if "\r\n" in text and "\n" not in text.replace("\r\n", ""):
        assert "\n" not in after.replace("\r\n", ""), "the file's own newline is kept"


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED.keys())
def test_refused_with_a_place(text: str) -> None:
    with pytest.raises(ProblemsFound) as refused:
        with_entries(text, "t.yaml", [ENTRY])
    place = refused.value.problems[0].place
    assert place is not None
    wanted = {
        "anchored": (2, 1),
        "alias": (2, 1),
        "no log": (0, 0),
        "log is text": (2, 6),
        "log is a mapping": (2, 1),
    }
    name = next(k for k, v in REFUSED.items() if v == text)
    assert (place.line, place.column) == wanted.get(name, (place.line, place.column))


def test_what_other_readers_would_take_for_a_number_is_quoted() -> None:
    """YAML 1.1 reads 07 as seven and yes as true; what is written is text for every reader."""
    for note, written in (
        ("07", '"07"'),
        ("00", '"00"'),
        ("yes", '"yes"'),
        ("12:30", '"12:30"'),
        ("夕霧 née", '"夕霧 née"'),
    ):
        assert f"note: {written}" in with_entries("tag: a\nlog: []\n", "t", [{"date": "2026", "note": note}])
    assert "vigour: 4" in with_entries("tag: a\nlog: []\n", "t", [SECOND])


anything = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@given(anything, anything, st.sampled_from(list(NASTY.values())))
def test_any_remark_survives(first: str, second: str, text: str) -> None:
    entry = {"date": "2026-11-01", "note": first, "intend": {"what": second}}
    try:
        after = with_entries(text, "t.yaml", [entry])
    except ProblemsFound:
        return
    from logbook.collection.yaml_editor import _values
    from logbook.collection.yaml_reader import read_text

    data = _values(read_text(after, "t").root)
    assert data["log"][-1] == {"date": "2026-11-01", "note": first, "intend": {"what": second}}


notes = st.text(st.characters(codec="ascii", exclude_categories=["Cc"]), min_size=1, max_size=20)
items = st.fixed_dictionaries(
    {"date": st.just("2020")},
    optional={"note": notes, "branches": st.lists(st.sampled_from(["1", "S2"]), max_size=3)},
)


@given(
    st.lists(items, max_size=4),
    st.sampled_from(["flow", "block", "wide"]),
    st.sampled_from(["\n", "\r\n"]),
    st.booleans(),
    st.sampled_from(["", "# end", "x-b: 1", "\n\n# far\nx-b: [1,\n 2]"]),
)
def test_random_files(log: list[dict[str, object]], style: str, newline: str, final: bool, tail: str) -> None:
    """Files of every style a grower's editor may leave: the entry lands at the log's end, the rest stays."""
    rows = ["tag: a", "log:" if log else "log: []"]
    for item in log:
        if style == "flow":
            rows.append("  - " + entry_text(item))  # type: ignore[arg-type]
        else:
            pad = "    " if style == "block" else "      "
            keys = [f"{k}: {entry_text({'v': v})[4:-1]}" for k, v in item.items()]  # type: ignore[dict-item]
            rows += ["  -" + pad[3:] + keys[0], *(pad + k for k in keys[1:])]
    rows += tail.split("\n") if tail else []
    text = newline.join(rows) + (newline if final else "")
    after = with_entries(text, "t.yaml", [SECOND])
    new, old = judged(after), judged(text)
    assert isinstance(new, dict) and isinstance(old, dict)
    assert new["log"] == [*(old["log"] or []), as_text(SECOND)]
    assert outside_is_unchanged(text, after)


def test_a_new_file_reads_back() -> None:
    text = file_with({"tag": "014", "name": "夕霧: née", "started": "2009~"}, [{"date": "2026-01-01", "vigour": 3}])
    assert judged(text) == {
        "tag": "014",
        "name": "夕霧: née",
        "started": "2009~",
        "log": [{"date": "2026-01-01", "vigour": "3"}],
    }
