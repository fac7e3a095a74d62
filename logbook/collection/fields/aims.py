"""What a tree is to become, and where its branches are: told in its file, and by notes from that day on."""

from __future__ import annotations

from ...diagnostics import Place
from ..kinds import Either, Number, Text, Word, Words
from .declare import NOWHERE, apart, key, place_of, record, record_of
from .shared import BRANCH_ID, COUNT, length_of

ROLES = ("keep", "undecided", "sacrifice", "deadwood")


@record("a branch")
class Branch:
    """A row of the branch table; `clock` is the direction seen from above, 6 towards the viewer."""

    id: str = key(BRANCH_ID, "its number; never used again", words=Words("{}"))
    clock: float | None = key(
        Number("a clock direction", 0, 12.99),
        "direction seen from above, 6 towards the viewer",
        default=None,
        words=Words("at {} o'clock"),
    )
    height: float | None = key(
        length_of("a height", 0), "where it leaves the trunk", default=None, words=Words("{} up")
    )
    role: str = key(Word("a branch's role", ROLES), "what it is for", default="undecided", words=Words("{}"))
    until: str = key(Text(), "what ends it: 'trunk target', or a date", default="")
    diameter: float | None = key(
        length_of("a diameter", 0.3, 1000), "at its base", default=None, words=Words("{} thick")
    )
    length: float | None = key(length_of("a length"), "along the branch", default=None, words=Words("{} long"))
    note: str = key(Text(), "a remark", default="")
    place: Place = apart(default=NOWHERE, source=place_of, compare=False)


@record("a trunk target")
class TrunkTarget:
    """Calliper to reach, mm, and the height it is taken at, mm."""

    to: float = key(length_of("calliper"), "calliper to reach", words=Words("{}", bare=True))
    at: float | None = key(
        length_of("a height", 0), "the height it is taken at", default=None, words=Words("at {}", exact=("at",))
    )


@record("targets")
class Targets:
    """What measurements are held against, mm and tips."""

    trunk: TrunkTarget | None = key(
        Either(record_of(TrunkTarget), length_of("calliper"), TrunkTarget),
        "calliper to reach",
        default=None,
        words=Words("trunk {}", starts=("trunk",)),
    )
    height: float | None = key(
        length_of("height"), "height to reach", default=None, words=Words("height {}", starts=("height",))
    )
    crown: float | None = key(
        length_of("crown width"), "width to reach", default=None, words=Words("crown {}", starts=("crown",))
    )
    leaf: float | None = key(
        length_of("leaf or needle length", 0.3, 1000),
        "leaf length to reach",
        default=None,
        words=Words("leaf {}", starts=("leaf",)),
    )
    tips: int | None = key(COUNT, "tips to reach", default=None, words=Words("tips {}", starts=("tips",)))
