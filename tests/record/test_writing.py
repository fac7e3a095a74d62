"""Splices: right or refused, every byte outside unchanged; ruamel.yaml judges what was written."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st
from ruamel.yaml import YAML

from logbook.problems import ProblemsFound
from logbook.record.writing import entry_text, file_with, with_entries

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


@pytest.mark.parametrize("text", NASTY.values(), ids=NASTY.keys())
def test_nasty_files_are_right_or_refused(text: str) -> None:
    try:
        after = with_entries(text, "t.yaml", [ENTRY, SECOND])
    except ProblemsFound as refused:
        assert refused.problems[0].place is not None
        assert "old mac" in next(k for k, v in NASTY.items() if v == text), "only the oddest may be refused"
        return
    assert outside_is_unchanged(text, after)
    old, new = judged(text), judged(after)
    assert isinstance(old, dict) and isinstance(new, dict)
    old_log = old["log"] if isinstance(old["log"], list) else []
    assert new["log"] == [*old_log, as_text(ENTRY), as_text(SECOND)]
    assert {k: v for k, v in new.items() if k != "log"} == {k: v for k, v in old.items() if k != "log"}
    if "\r\n" in text:
        assert "\n" not in after.replace("\r\n", ""), "the file's own newline is kept"


@pytest.mark.parametrize("text", REFUSED.values(), ids=REFUSED.keys())
def test_refused_with_a_place(text: str) -> None:
    with pytest.raises(ProblemsFound) as refused:
        with_entries(text, "t.yaml", [ENTRY])
    assert refused.value.problems[0].place is not None


anything = st.text(st.characters(exclude_categories=["Cs"]), max_size=40)


@given(anything, anything, st.sampled_from(list(NASTY.values())))
def test_any_remark_survives(first: str, second: str, text: str) -> None:
    entry = {"date": "2026-11-01", "note": first, "intend": {"what": second}}
    try:
        after = with_entries(text, "t.yaml", [entry])
    except ProblemsFound:
        return
    from logbook.record.reading import read_text
    from logbook.record.writing import _values

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
