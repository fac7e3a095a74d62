"""What a tree was when its record began, and the sizes that an entry may hold."""

from __future__ import annotations

from collections.abc import Mapping

from ..dates import When
from ..kinds import Date, Field, Words
from .declare import key, record
from .shared import COUNT, STAGE, VIGOUR, length_of, numbers

MEASURED = numbers(
    "measurements",
    (
        Field(
            "trunk",
            length_of("trunk calliper", 0.5, 2000),
            "calliper, the mean of two directions",
            words=Words("trunk {}", starts=("trunk", "calliper", "caliper")),
        ),
        Field("height", length_of("height"), "above the soil", words=Words("height {}", starts=("height",))),
        Field(
            "crown",
            length_of("crown width"),
            "the mean of two directions",
            words=Words("crown {}", starts=("crown",)),
        ),
        Field(
            "leaf",
            length_of("leaf or needle length", 0.3, 1000),
            "a typical leaf or needle",
            words=Words("leaf {}", starts=("leaf", "needle", "needles")),
        ),
        Field("tips", COUNT, "growing tips counted", words=Words("tips {}", starts=("tips",))),
    ),
)
MEASURES = tuple(f.key for f in MEASURED.fields)


@record("the opening state", nothing="nothing known")
class Found:
    """What was known when a tree's record began."""

    stage: str = key(STAGE, "the stage it was in", default="", words=Words("{}", bare=True, exact=("stage",)))
    vigour: int | None = key(
        VIGOUR, "1 failing, 3 holding, 5 strong", default=None, words=Words("vigour {}", starts=("vigour", "vigor"))
    )
    repotted: When | None = key(
        Date(), "when it was last repotted", default=None, words=Words("repotted {}", exact=("repotted",))
    )
    wired: When | None = key(
        Date(), "when the wire on it was put on", default=None, words=Words("wired {}", exact=("wired",))
    )
    acquired: When | None = key(
        Date(), "when you got it", default=None, words=Words("acquired {}", exact=("acquired",))
    )
    measured: Mapping[str, float] = key(
        MEASURED, "sizes it had then or before, of no known day", default_factory=dict, words=Words("{}", bare=True)
    )
