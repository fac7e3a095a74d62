"""The reasons of planning, as data: which there are, sorted by what they rest on. Their words stand in `wording`."""

from __future__ import annotations

from enum import StrEnum

from ..season.reasons import Code, Found


class ByMark(Code):
    """Reasons that rest on the season at this site."""

    MARK_ABOUT = "mark about"
    SEASON_TOO_SHORT = "season too short"
    CANDLES_NO_NORMALS = "candles without normals"
    CANDLE_LEAD = "days before growth ends"
    CANDLE_MOVED = "moved for warmth still to come"
    CANDLE_SIZE = "reckoned for a size"
    CANDLES_SEASON_SHORT = "season too short for candles"
    NO_FLOWERING = "no flowering on record"
    FLOWERS_OVER = "flowers over"
    IN_FLOWER = "in flower"
    NOT_SEPARABLE_BEFORE = "not separable before"
    FROM_SWELL = "from swell to growth end"
    FEEDING_FROM = "feeding from a mark"
    NOT_FED_AFTER = "not fed after"
    FEEDING_PAUSE = "feeding pause"
    HALF_STRENGTH = "half strength"
    ROOTS_STAND_WINTER = "roots stand the winter"
    TOO_COLD_OUTDOORS = "too cold outdoors"
    COLD_AT_ROOTS = "cold at the roots"
    ONE_WINTER_IN = "one winter in several"
    WATCHED = "the forecast is watched"
    STAY_IN = "stay in"
    IN_BEFORE = "in before a night"
    IN_BEFORE_BY_SEASON = "in before a night, by season"
    ON_THE_GROUND = "on the ground"
    IN_A_FRAME = "in a frame or cold house"
    STAYS_IN = "stays in"
    KEPT_ABOVE = "kept above its limit"
    FROST_BEFORE_LEAVES = "frost over before leaves"
    FROST_ON_LEAVES = "frost on open leaves"
    HEAT_FROM = "heat from"
    NEVER_SO_HOT = "never so hot"
    AFTER_CANDLES = "after candles came off"
    NIGHTS_FROM = "warm nights from"
    NIGHTS_NEVER = "nights never warm"
    NIGHTS_ALL_YEAR = "nights warm all year"
    NIGHTS_UNSETTLED = "nights warm at no settled time"
    INDOORS = "kept indoors"
    INDOORS_LIGHT = "kept indoors, by light"
    WARM_ALL_YEAR = "warm all year"
    AUTUMN_TOO_COLD = "winter too cold for autumn work"
    MILD_AUTUMN = "mild autumn"
    TURNS_APART = "turns apart"
    BEFORE_MARK = "days before a mark"
    NO_LATER = "no later"
    LOOK_TWICE = "before buds move and before growth ends"


class ByRule(Code):
    """Reasons that rest on a rule of the trade."""

    GROWING_DAYS_LEFT = "growing days left"
    ENOUGH_HARD_WORK = "enough hard work"
    TOO_MUCH_TOGETHER = "too much together"
    COMES_FIRST = "another comes first"
    COMES_FIRST_UNLESS_MEANT = "comes first unless meant"
    NOT_BEFORE = "not before"
    AFTER = "after another work"
    WAITS_UNTIL = "waits until"
    TOO_HOT = "too hot"
    NOT_DUE = "not due yet"
    OFF_BY = "off by"
    LIKELY_THICKER = "likely thicker"
    WEEKS_ON = "growing weeks since it went on"
    WEEKS_LOOKED = "growing weeks since the last look"
    STAYS_ON = "stays on"
    SEASONS_END = "end of its growing seasons"


class ByLog(Code):
    """Reasons that rest on what the log says."""

    DONE = "done"
    RECOVERING = "recovering"
    LAST = "last turn"
    NO_POTTING = "no repotting on record"
    TROUBLE = "trouble"
    WIRED = "wired"
    LOOKED = "looked at"
    BITING = "wire bites"
    THICKENING_LEARNED = "thickening learned"
    MEANT = "meant"
    PUT_ON = "put on"


class ByState(Code):
    """Reasons that rest on how the tree stands."""

    VIGOUR_LOW = "vigour too low"
    RESTING = "resting"
    LEFT_ALONE = "left alone"
    LIGHTLY = "lightly"
    IF_IN_TURNS = "if in turns"
    ONLY_IF_VIGOUR = "only if vigour"
    ONLY_IN_STAGES = "only in stages"
    POT_IF_ROOTS_FILL = "repot if roots fill the pot"
    LOOK_ONLY = "look only"
    AFTERCARE = "aftercare"
    RESCUED = "roots were helped"
    LIFTED = "lifted"
    TROUBLED = "troubled"
    ON_THE_TREE = "on the tree"
    NOT_OF_GROUP = "not done to this group"
    OUT_OF_SEASON = "out of season"
    RATE_FIRST = "rate vigour first"
    LIGHTLY_UNTIL = "only lightly until"
    IF_STILL = "if still as strong"
    WRAP_SLEEVE = "wrap the sleeve"
    LIGHT_ROOTS = "only light root work"
    NO_WINTER_HERE = "no winter here"
    HARDLY_WINTER_HERE = "hardly a winter here"
    WINTER_INDOORS = "no winter indoors"


class ByInterval(Code):
    """Reasons that rest on how often a work is done."""

    USUAL = "usual interval"
    YEARLY = "once a year"
    DUE_SINCE = "due since"


class ByMeasure(Code):
    """Reasons that rest on measurements."""

    GROWTH = "growth"


class ByOverride(Code):
    """Reasons that rest on the grower's own numbers."""

    OWN_NUMBERS = "own numbers"


KIND_OF: dict[type[Code], str] = {
    Found: "mark",
    ByMark: "mark",
    ByRule: "rule",
    ByLog: "log",
    ByState: "state",
    ByInterval: "interval",
    ByMeasure: "measured",
    ByOverride: "override",
}


class Ask(StrEnum):
    """The one thing a record most lacks."""

    TROUBLE = "trouble over"
    STAGE = "stage"
    VIGOUR = "vigour"
    STILL_STRONG = "still strong"
    POTTING = "last repotted"
