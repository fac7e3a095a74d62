"""Any order of printing, typing, editing, renaming, breaking, undoing and losing things: every typed line has one fate."""

from __future__ import annotations

import contextlib
import io
import json
import shutil
import tempfile
from pathlib import Path

import pytest
from hypothesis import HealthCheck, settings
from hypothesis import strategies as st
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from logbook.cli.main import run
from logbook.intake import line_status
from logbook.storage.disk import RealDisk
from logbook.storage.printed import load_ledger

from ..conftest import make_collection, snapshot

TREE = 'tag: "{0}"\nspecies: Acer palmatum\n# mine: {0}\nlog:\n  - {{date: 2026-01-10, found: {{stage: ramification, vigour: 4}}}}\n'
TAGS = ("001", "002", "003")
BODIES = st.sampled_from(
    [
        "14 oct wired 1 2 copper 2.5",
        "15 oct needles thinned; moss yellow",
        "trunk 38.5 vigour 4",
        "16 oct wire off 7",
        "20 oct a remark: with, odd #things",
        "31 feb looked",
        "wirred 1",
        "done",
        "14 oct pruned hard",
        "",
    ]
)


class Garden(RuleBasedStateMachine):
    """A collection and everything that happens to it between two evenings."""

    def __init__(self) -> None:
        super().__init__()
        self.home = Path(tempfile.mkdtemp(prefix="garden-"))
        self.folder = make_collection(self.home / "c", {t: TREE.format(t) for t in TAGS})
        self.typed: list[str] = []
        self.mine: dict[str, str] = {}
        self.count = 0
        self.lost_notes = False
        self.refused = False

    def teardown(self) -> None:
        shutil.rmtree(self.home, ignore_errors=True)

    def call(self, *words: str) -> tuple[int, str]:
        out, err = io.StringIO(), io.StringIO()
        with contextlib.redirect_stdout(out), contextlib.redirect_stderr(err):
            try:
                code = run(["-C", str(self.folder), *words])
            except SystemExit as stop:
                code = int(stop.code or 0)
        assert code in (0, 1, 3), err.getvalue()
        assert "Traceback" not in err.getvalue()
        self.refused = "trees that stood here are not there" in err.getvalue()
        return code, out.getvalue()

    def give(self, text: str) -> tuple[int, list[dict[str, str]]]:
        path = self.home / "typed.txt"
        path.write_text(text, encoding="utf-8")
        code, out = self.call("reconcile", str(path), "--yes", "--json", "--today", "2026-11-20")
        return code, json.loads(out)["items"] if out else []

    def trees(self) -> dict[str, bytes]:
        return {p: d for p, d in snapshot(self.folder).items() if p.startswith("trees")}

    def path_of(self, tag: str) -> Path | None:
        both = (self.folder / "trees" / f"{name}.yaml" for name in (tag, f"old-{tag}"))
        return next((path for path in both if path.exists()), None)

    # -- what happens ------------------------------------------------------------------------------------------------

    @rule(tag=st.sampled_from(TAGS))
    def prints(self, tag: str) -> None:
        self.call("sheets", "--tag", tag, "-o", str(self.home / "s.pdf"), "--today", "2026-10-01")

    @rule(data=st.data(), bodies=st.lists(BODIES, min_size=1, max_size=3))
    def types(self, data: st.DataObject, bodies: list[str]) -> None:
        serials = sorted(load_ledger(self.folder).sheets)
        heads = [f"tree {t}" for t in TAGS] + [f"sheet {s}" for s in serials] + ["sheet 00000-0", "tree 999"]
        head = data.draw(st.sampled_from(heads))
        lines = [f"{n} {b}" if head.startswith("sheet") else b for n, b in enumerate(bodies, start=1)]
        text = head + "\n" + "\n".join(lines) + "\n"
        code, items = self.give(text)
        if self.refused:  # most of the folder is away: nothing is read, and the file stays with whoever gave it
            assert code == 1 and not items
            return
        self.typed.append(text)
        said = {i["line"] for i in items}
        for number, line in enumerate(lines, start=2):
            if line.strip() and items:
                assert number in said or 1 in said, "every typed line has a fate"
        if items:
            assert code == 3 if any(i["fate"] in ("question", "left over") for i in items) else code in (0, 1)

    @precondition(lambda self: self.typed)
    @rule(data=st.data())
    def types_again(self, data: st.DataObject) -> None:
        text = data.draw(st.sampled_from(self.typed))
        self.give(text)
        before = self.trees()
        self.give(text)
        assert self.trees() == before, "typed twice in a row, nothing changes"

    @rule(tag=st.sampled_from(TAGS))
    def edits(self, tag: str) -> None:
        path = self.path_of(tag)
        if path is None:
            return
        self.count += 1
        line = f"# by hand {self.count}\n"
        text = path.read_text("utf-8")
        path.write_text(text + ("" if text.endswith("\n") else "\n") + line, encoding="utf-8")
        self.mine[line] = path.name

    @rule(tag=st.sampled_from(TAGS))
    def renames(self, tag: str) -> None:
        path = self.path_of(tag)
        if path is not None and path.stem == tag:
            path.rename(path.with_name(f"old-{tag}.yaml"))

    @rule(tag=st.sampled_from(TAGS))
    def copies(self, tag: str) -> None:
        path = self.path_of(tag)
        if path is not None:
            shutil.copy(path, path.with_name(f"{tag} (conflicted copy).yaml"))

    @rule(tag=st.sampled_from(TAGS))
    def deletes_copies(self, tag: str) -> None:
        (self.folder / "trees" / f"{tag} (conflicted copy).yaml").unlink(missing_ok=True)

    @rule(tag=st.sampled_from(TAGS))
    def breaks(self, tag: str) -> None:
        path = self.path_of(tag)
        if path is not None:
            path.write_text(path.read_text("utf-8").replace("species:", "speces: [", 1), encoding="utf-8")

    @rule(tag=st.sampled_from(TAGS))
    def mends(self, tag: str) -> None:
        path = self.path_of(tag)
        if path is not None:
            path.write_text(path.read_text("utf-8").replace("speces: [", "species:", 1), encoding="utf-8")

    @rule()
    def undoes(self) -> None:
        self.call("undo", "--yes", "--today", "2026-11-20")

    @rule()
    def dismisses(self) -> None:
        self.call("waiting", "--dismiss", "1", "--today", "2026-11-20")

    @rule()
    def loses_the_journal(self) -> None:
        shutil.rmtree(self.folder / ".journal", ignore_errors=True)

    # -- what always holds ---------------------------------------------------------------------------------------------

    @invariant()
    def the_audit_balances(self) -> None:
        audit = line_status.audit(RealDisk(self.folder))
        assert audit.balanced, audit

    @invariant()
    def what_is_mine_stays(self) -> None:
        texts = [p.read_text("utf-8") for p in (self.folder / "trees").glob("*.yaml")]
        for line in self.mine:
            assert any(line in text for text in texts), "nothing the tool did not write is removed"
        for tag in TAGS:
            assert any(f"# mine: {tag}\n" in text for text in texts)

    @invariant()
    def nothing_lies_about(self) -> None:
        assert not [p for p in self.folder.rglob(".*") if p.suffix in (".part", ".draft", ".old")]

    @invariant()
    def every_typed_text_is_kept(self) -> None:
        kept = {p.read_text("utf-8") for p in (self.folder / "notes").glob("2026-*.txt")}
        assert set(self.typed) <= kept


class LongGarden(Garden):
    """The same, for a soak."""


Garden.TestCase.settings = settings(
    max_examples=15, stateful_step_count=30, deadline=None, suppress_health_check=list(HealthCheck)
)
LongGarden.TestCase.settings = settings(Garden.TestCase.settings, max_examples=400)
TestGarden = pytest.mark.long(Garden.TestCase)
TestLongGarden = pytest.mark.soak(LongGarden.TestCase)
