"""A tree's log as it will stand after the lines read so far, found by content and by source. Pure."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import field, replace

from ..collection.model import Entry, Tree
from ..values import dataclass

ROW = "log "  # begins a source that is a row of a table


@dataclass(slots=True)
class Log:
    """A tree's log as it will stand after the lines read so far, found by content and by source."""

    entries: list[Entry] = field(default_factory=list)
    by_content: dict[str, list[tuple[str, ...]]] = field(default_factory=dict)
    by_source: dict[str, list[Entry]] = field(default_factory=dict)
    by_work: dict[str, list[Entry]] = field(default_factory=dict)
    replacing: bool = False

    def of_work(self, work: str) -> list[Entry]:
        """The entries that tell whether a work was done: those of that work, or all where some stand for others."""
        return self.entries if self.replacing else self.by_work.get(work, [])

    def add(self, entry: Entry) -> None:
        """Take an entry in, findable by what it says and by where it came from."""
        self.entries.append(entry)
        self.by_work.setdefault(entry.work, []).append(entry)
        self.replacing = self.replacing or bool(entry.replaces)
        self.by_content.setdefault(content_of(entry), []).append(entry.sources)
        for source in entry.sources:
            if source.startswith(ROW):
                continue
            self.by_source.setdefault(source, []).append(entry)

    def swap(self, old: Entry, new: Entry) -> None:
        """Take an entry in the place of one that less was told of."""
        self.entries = [e for e in self.entries if e is not old]
        for found in (*self.by_source.values(), *self.by_work.values()):
            found[:] = [e for e in found if e is not old]
        self.add(new)

    def holds(self, entry: Entry) -> bool:
        """The same content, typed from the same line (whatever part of it) or with no line on one side."""
        lines = lines_of(entry.sources)
        return any(
            not (sources and lines) or lines_of(sources) & lines
            for sources in self.by_content.get(content_of(entry), ())
        )


def lines_of(sources: Iterable[str]) -> set[str]:
    """The lines of sheets, whatever part of them; a row of a table is known again by what it says alone."""
    return {source.split(".")[0] for source in sources if not source.startswith(ROW)}


def content_of(entry: Entry) -> str:
    """What an entry says, whatever line it came from."""
    return repr([(name, value) for name, value in entry.content() if name not in ("sources", "replaces")])


def log_for(tree: Tree, logs: dict[str, Log]) -> Log:
    """A tree's log, read into `logs` on the first question."""
    if tree.tag not in logs:
        made = logs[tree.tag] = Log()
        for entry in tree.log:
            made.add(replace(entry, spot=0))
    return logs[tree.tag]
