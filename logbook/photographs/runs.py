"""Which tree each picture of a roll is of: a tag is taken, then its tree, until the next tag. Pure; nothing is guessed.

Each camera's pictures are a stream of their own, since no two clocks agree. What could be of another tree is asked, in groups that
one answer settles.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from itertools import groupby, pairwise
from statistics import median
from typing import Literal

from ..values import dataclass
from .taken import Taken

LONGEST = timedelta(minutes=20)  # from a tag to a picture of its tree
SITTING = timedelta(hours=2)  # pictures further apart have nothing to do with each other
LEAST_SHARE = 0.08  # of the picture's shorter side: a smaller code hangs somewhere in a view
FEWEST_CHANGES = 3  # from tree to tree, for a pause to tell anything
PAUSE_SHARE = 1 / 3  # of the usual time from the last picture of a tree to the next tag
SHORTEST_PAUSE = timedelta(seconds=15)

Fate = Literal["file", "tag", "there", "ask", "leave"]
Why = Literal[
    "", "before", "late", "pause", "unread", "unknown", "two", "named", "misnamed", "far", "sheet", "left", "unsure", "alone", "no day"
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Code:
    """A code in a picture: the tree's tag, or empty with the reason; and its side as a share of the picture's shorter one."""

    tag: str
    share: float
    why: Why = ""


@dataclass(frozen=True, slots=True)
class Shot:
    """A picture of a roll: its path as it is shown, the sum of its bytes, when it was taken, and what it shows.

    `named` is the tag that its name begins with, `misnamed` whether the number that it begins with is no living tree's, `there`
    the tree in whose log it stands already, `unread` whether there seems to be a code that can't be read.
    """

    name: str
    digest: str
    taken: Taken
    codes: tuple[Code, ...] = ()
    unread: bool = False
    named: str = ""
    there: str = ""
    misnamed: bool = False

    @property
    def base(self) -> str:
        """The file's own name."""
        return self.name.rpartition("/")[2]


@dataclass(frozen=True, slots=True)
class Placed:
    """What becomes of a picture; of one that is asked `tag` is the likeliest tree, and `group` the name of the first one of its question."""

    shot: Shot
    fate: Fate
    tag: str = ""
    why: Why = ""
    group: str = ""


@dataclass(frozen=True, slots=True)
class _Run:
    """The tree that pictures are of; without a `since` nobody can say, and `why` tells it."""

    tag: str = ""
    since: Taken | None = None
    why: Why = "before"


def placed(shots: Iterable[Shot], today: date, answers: Mapping[str, str] | None = None) -> list[Placed]:
    """Every picture with its fate, camera by camera in the order of their time; one of a day to come is left.

    `answers`: tags by group, empty to leave it alone.
    """
    streams: dict[tuple[str, str], list[Shot]] = {}
    for shot in sorted(shots, key=in_time):
        streams.setdefault((shot.taken.camera, shot.taken.clock), []).append(shot)
    found = [
        one for stream in streams.values() for sitting in _sittings(stream) for one in _grouped(_sitting(sitting))
    ]
    return [_of_its_day(_answered(one, answers or {}), today) for one in found]


def _of_its_day(one: Placed, today: date) -> Placed:
    to_come = one.fate in ("file", "ask") and one.shot.taken.moment.date() > today
    return replace(one, fate="leave", why="no day", group="") if to_come else one


def in_time(shot: Shot) -> tuple[object, ...]:
    """By their moment; pictures of one second by the numbers in their names."""
    return (shot.taken.moment, natural(shot.base))


def natural(name: str) -> tuple[tuple[str, int], ...]:
    """A name's words and numbers, for an order in which 9 stands before 10."""
    return tuple((word.casefold(), int(number or 0)) for word, number in re.findall(r"(\D*)(\d*)", name))


def named_tag(name: str, tags: Mapping[str, str]) -> str:
    """The tag that a file's name begins with, of these by their folded form; empty for a name that a camera gave (DCF: `100_0432`)."""
    return tags.get(_first_of(name), "")


def is_named_otherwise(name: str, tags: Iterable[str]) -> bool:
    """Whether a name begins with a number as long as these tags' are, and none of them; a day is no number."""
    first = _first_of(name)
    lengths = {len(tag) for tag in tags if tag.isdecimal()}
    is_day = re.match(r"\d{4}-?\d\d-?\d\d", name) is not None
    return first.isdecimal() and len(first) in lengths and not is_day and name.rpartition(".")[0] != first


def _first_of(name: str) -> str:
    """What a file's name begins with, folded; nothing of a name that a camera gave."""
    stem = name.rpartition(".")[0] or name
    return "" if re.fullmatch(r"\w{4}\d{4}", stem) else re.split(r"[-_ .(]", stem, maxsplit=1)[0].casefold()


# -- a sitting -----------------------------------------------------------------------------------------------------


def _sittings(stream: Sequence[Shot]) -> list[list[Shot]]:
    """A camera's pictures parted where hours lie between two: a holiday before the garden is no picture of a tree."""
    parts: list[list[Shot]] = []
    for shot in stream:
        if parts and _apart(parts[-1][-1], shot) <= SITTING:
            parts[-1].append(shot)
        else:
            parts.append([shot])
    return parts


def _sitting(shots: Sequence[Shot]) -> list[Placed]:
    """One camera's pictures of one sitting, in order."""
    if not any(shot.codes or shot.unread or shot.named or shot.misnamed for shot in shots):
        return [_there(Placed(shot, "leave", why="alone")) for shot in shots]
    pause = _longest_pause(shots)
    unsure = _out_of_order(shots)
    run, last, found = _Run(), None, []
    for shot in shots:
        if last and _is_paused(last, shot, run, pause):
            run = _Run(run.tag, why="pause")
        one, run = _next(shot, run)
        if one.fate == "file" and not shot.named and (unsure or _tied(shot, shots)):
            one = replace(one, fate="ask", why="unsure")
        found.append(_there(one))
        last = shot
    return found


def _there(one: Placed) -> Placed:
    return Placed(one.shot, "there", one.shot.there) if one.shot.there else one


def _is_paused(last: Shot, shot: Shot, run: _Run, pause: timedelta | None) -> bool:
    return run.since is not None and pause is not None and not shot.codes and _apart(last, shot) > pause


def _next(shot: Shot, run: _Run) -> tuple[Placed, _Run]:
    """One picture's fate, and the run that goes on behind it."""
    tags = {code.tag for code in shot.codes} | ({shot.named} if shot.named else set())
    why: Why = next((code.why for code in shot.codes if code.why), "") or (
        "misnamed" if shot.misnamed and not shot.codes else ""
    )
    if shot.unread or why or len(tags) > 1:
        several: Why = "named" if shot.named else "two"
        over = _Run(why="unread" if shot.unread else why or several)
        return Placed(shot, "ask" if shot.named or not (shot.codes or shot.unread) else "tag", why=over.why), over
    if not shot.codes:
        return (
            (Placed(shot, "file", shot.named), _Run(shot.named, shot.taken))
            if shot.named
            else (_view(shot, run), run)
        )
    code = max(shot.codes, key=lambda one: one.share)
    if code.share >= LEAST_SHARE:
        return Placed(shot, "tag", code.tag), _Run(code.tag, shot.taken)
    view = _view(shot, run)
    if view.fate == "file" and view.tag == code.tag:
        return view, run
    return Placed(shot, "ask", code.tag, "far"), _Run(code.tag, why="far")


def _view(shot: Shot, run: _Run) -> Placed:
    """A picture without a code: of the tree whose run it is, or nobody can say."""
    if run.since is None:
        return Placed(shot, "ask", run.tag, run.why)
    if shot.taken.clock == "day":
        return Placed(shot, "ask", run.tag, "unsure")
    if shot.taken.moment - run.since.moment > LONGEST:
        return Placed(shot, "ask", run.tag, "late")
    return Placed(shot, "file", run.tag)


def _apart(one: Shot, other: Shot) -> timedelta:
    return other.taken.moment - one.taken.moment


def _longest_pause(shots: Sequence[Shot]) -> timedelta | None:
    """A pause within a run that is like those between trees may be one whose tag was forgotten, or is a blur. None where too few are known."""
    changes = [
        _apart(one, other).total_seconds()
        for one, other in pairwise(shots)
        if other.codes and not (one.codes or one.unread) and _apart(one, other) <= LONGEST
    ]
    if len(changes) < FEWEST_CHANGES:
        return None
    return max(SHORTEST_PAUSE, timedelta(seconds=median(changes) * PAUSE_SHARE))


def _out_of_order(shots: Sequence[Shot]) -> bool:
    """Whether files' own times, which a copy may have changed, contradict their names."""
    return shots[0].taken.clock == "file" and list(shots) != sorted(shots, key=lambda shot: natural(shot.base))


def _tied(shot: Shot, shots: Sequence[Shot]) -> bool:
    """Whether a tag was taken in the same instant, and names don't tell which came first."""

    def words(one: Shot) -> tuple[str, ...]:
        return tuple(re.split(r"\d+", one.base))

    return any(
        (one.codes or one.unread) and one.taken.moment == shot.taken.moment and words(one) != words(shot)
        for one in shots
    )


# -- questions -----------------------------------------------------------------------------------------------------


def _grouped(found: Sequence[Placed]) -> list[Placed]:
    """Pictures that are asked together bear the name of the first of them; those between two tags, for one reason, are together."""
    made: list[Placed] = []
    turn = 0
    keyed = []
    for one in found:
        turn += one.fate == "tag" or one.why == "far"
        keyed.append((turn, one))
    for _, some in groupby(keyed, key=lambda pair: (pair[0], pair[1].fate, pair[1].why, pair[1].tag)):
        group = [one for _, one in some]
        made += [replace(one, group=group[0].shot.name) if one.fate == "ask" else one for one in group]
    return made


def _answered(one: Placed, answers: Mapping[str, str]) -> Placed:
    if one.fate != "ask" or one.group not in answers:
        return one
    tag = answers[one.group]
    return replace(one, fate="file" if tag else "leave", tag=tag, group="")
