"""Reasons, asks and growth in words: the only place where planning speaks. Units are those of the collection.

A sentence is a line of `SENTENCES`; values go in by name and by how they are told: `{day:day}` 3 Apr 2027, `{day:short}` 3 Apr,
`{day:month}` Apr 2027, `{base:temperature}` 10 °C, `{mm:length}` 38 mm, `{how:reason}` another reason, `{x:list}` words.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date
from functools import lru_cache
from string import Formatter
from typing import cast

from ..collection.model import Settings
from ..collection.units import METRIC, Units
from ..formulas.growth import FARTHEST_YEARS, NoReach, Reach, Unreached
from ..horticulture.forbids import State as HeldState
from ..horticulture.work import Kind
from ..season.reasons import Code, Found, Reason
from .band_words import uneven_told
from .condition import Hold
from .grounds import KIND_OF, ByInterval, ByLog, ByMark, ByMeasure, ByOverride, ByRule, ByState
from .lists.shared_pests import Passed
from .lists.trunk_growth import Growth
from .plain_words import PLAIN, days_band, rest_told
from .tree_state import Resting

SENTENCES: dict[Code, str] = {
    Found.OWN_DATE: "your own date in collection.yaml",
    Found.OWN_FROST: "your own frost date",
    Found.FROM_OWN_FROST: "reckoned from your own frost date",
    Found.FROST_HALF: "half of all years are past it by then",
    Found.FROST_HALF_ROUGH: "half of all years are past it by then; without the coldest night of a usual year this may be 12 to 14 days off: give coldest_night",
    Found.FROST_FREE: "no frost reaches this place",
    Found.FROST_TENTH: "one year in ten is not past it by then",
    Found.SEEN_ON_TREE: "seen on this tree",
    Found.SEEN_ON_KIN: "{how:reason}, and by what was seen this season on {tags:list}{more:more}",
    Found.REMEMBERED: "the mean day it was seen in your log, of {seasons} {seasons:seasons}",
    Found.NOT_SEEN: "{how:reason}, not seen yet",
    Found.MOVED: "{how:reason}, moved {days:signed} by {seasons} logged {seasons:seasons}",
    Found.NORMALS_ALONE: "warmth and daylight summed from {start:short}, from your monthly normals{guessed:guessed}",
    Found.WEATHER_SO_FAR: "warmth and daylight summed from {start:short}, from this year's weather to {known:short} and your monthly normals{guessed:guessed}, which alone give {usual:short}",
    Found.WEATHER: "warmth and daylight summed from {start:short}, from this year's weather; your monthly normals alone give {usual:short}",
    Found.COUNTED_FROM_OPEN: "counted from {day:short}, when it opened",
    Found.YEARS_MEAN: "from the year's mean temperature{guessed:guessed}",
    Found.AFTER_COLOUR: "two weeks after leaves colour, {how:reason}",
    Found.NO_AUTUMN: "no autumn here",
    Found.ALL_ALIKE: "all months are alike here: follow the signs",
    Found.NOT_ITS_MARK: "{group} has no '{mark}' that warmth gives",
    Found.LONGEST_DAY: "the longest day",
    Found.SHORTEST_DAY: "the shortest day",
    Found.FROST_ENDS_GROWTH: "the usual first frost comes before the mean falls under {base:temperature}",
    Found.FIRST_COOL_DAY: "the first day with a mean under {base:temperature}",
    Found.STAYS_WARM: "days stay warm here: five weeks before the shortest day",
    Found.AFTER_FLOWERING_BEGAN: "four weeks after flowering begins",
    Found.NO_NORMALS: "no monthly normals on record",
    Found.NO_NORMALS_NO_FROST: "no monthly normals and no frost date on record",
    Found.MOSTLY_NO_FROST: "most years bring no frost here",
    Found.KEEPS_LEAVES: "{group} keeps its leaves",
    Found.FOLLOWS_WARMTH: "{group} has no such mark: it follows warmth, not a winter",
    Found.GROWS_IN_PUSHES: "{group} grows in pushes and has no '{mark}'",
    Found.WINTER_TOO_WARM: "winter too warm here: follow the signs",
    Found.SUMMER_TOO_COOL: "summers are too cool here for this mark",
    ByMark.MARK_ABOUT: "{mark} about {day:day}{self:reach} ({how:reason})",
    ByMark.SEASON_TOO_SHORT: "the season is too short here for it",
    ByMark.CANDLES_NO_NORMALS: "no monthly normals on record: about 100 days before growth ends",
    ByMark.CANDLE_LEAD: "{days} days before days cool under {base:temperature} (about {end:short}), at the latest {limit:short}",
    ByMark.CANDLE_MOVED: "moved to {day:short}, so that {sum:warmth10} are still to come",
    ByMark.CANDLE_SIZE: "reckoned for a {size}{known:height} tree",
    ByMark.CANDLES_SEASON_SHORT: "season too short here: leave the candles or only shorten the strong ones",
    ByMark.NO_FLOWERING: "no flowering on record: log 'saw flower' or 'saw flower over'",
    ByMark.FLOWERS_OVER: "flowers over about {day:day}, from this tree's log",
    ByMark.IN_FLOWER: "in flower about {first:short} to {last:day}, from this tree's log",
    ByMark.NOT_SEPARABLE_BEFORE: "not ready before {day:day}: roots and joins want their weeks of growth",
    ByMark.FROM_SWELL: "from swell about {day:short} to growth end",
    ByMark.FEEDING_FROM: "from {mark} about {day:short} to three weeks before growth ends",
    ByMark.NOT_FED_AFTER: "not in the weeks after: {done} {when:when}",
    ByMark.FEEDING_PAUSE: "a pause of {days} days from {work}, about {day:short}",
    ByMark.HALF_STRENGTH: "half strength while it rests",
    ByMark.ROOTS_STAND_WINTER: "roots stand the usual winter here",
    ByMark.TOO_COLD_OUTDOORS: "too cold here to stand outdoors",
    ByMark.COLD_AT_ROOTS: "most winters here have a night under what its roots stand ({limit:temperature} in midwinter)",
    ByMark.ONE_WINTER_IN: "one winter in {winters:number} has a night under what its roots stand: have a place ready",
    ByMark.WATCHED: "watch the forecast from about {first:short} to {last:short}",
    ByMark.STAY_IN: "stays in from about {first:short} to {last:short}: more than one night in ten is too cold",
    ByMark.IN_BEFORE: "in before a night under {limit:temperature}",
    ByMark.IN_BEFORE_BY_SEASON: "before a night under {young:temperature} in autumn and from swell on, {mature:temperature} in midwinter",
    ByMark.ON_THE_GROUND: "on the ground out of the wind, pot mulched",
    ByMark.IN_A_FRAME: "into a frame or cold house",
    ByMark.STAYS_IN: "stays in, light and above {limit:temperature}; out only while no night is colder",
    ByMark.KEPT_ABOVE: "indoors or in a heated house, above {limit:temperature}",
    ByMark.FROST_BEFORE_LEAVES: "frost is over before the leaves open",
    ByMark.FROST_ON_LEAVES: "leaves open about {opened:short}, one frost in ten still to come until {last:short}",
    ByMark.HEAT_FROM: "days reach {base:temperature} from about {day:short}",
    ByMark.NEVER_SO_HOT: "days do not reach {base:temperature} here",
    ByMark.AFTER_CANDLES: "{days} days or more after the candles came off, {when:when}",
    ByMark.NIGHTS_FROM: "nights average {base:temperature} or more from about {day:short}",
    ByMark.NIGHTS_NEVER: "it is never so warm here that nights average {base:temperature} or more: follow the signs",
    ByMark.NIGHTS_ALL_YEAR: "nights average {base:temperature} or more all year: while days lengthen",
    ByMark.NIGHTS_UNSETTLED: "nights average {base:temperature} or more at no settled time here: follow the signs",
    ByMark.INDOORS: "kept indoors: about midsummer",
    ByMark.INDOORS_LIGHT: "kept indoors: while days are long",
    ByMark.WARM_ALL_YEAR: "no month is cooler than {base:temperature}: any time that it grows",
    ByMark.AUTUMN_TOO_COLD: "winters are too cold here to repot in autumn",
    ByMark.MILD_AUTUMN: "a mild winter allows early autumn too, sixty to thirty days before growth ends (about {day:short})",
    ByMark.TURNS_APART: "not for {weeks:number} weeks after the last, {when:when} (common practice)",
    ByMark.BEFORE_MARK: "{days} days before {mark}, about {day:day} ({how:reason})",
    ByMark.NO_LATER: "not later than {day:day}: what it makes after that is soft when winter comes",
    ByMark.LOOK_TWICE: "before the buds move, and before growth ends",
    ByRule.GROWING_DAYS_LEFT: "season too short here: {left} growing days left, wants {wanted}",
    ByRule.ENOUGH_HARD_WORK: "enough hard work for one season: {works:list}",
    ByRule.TOO_MUCH_TOGETHER: "the two in one season are too much for the tree",
    ByRule.COMES_FIRST: "{work} comes first (about {day:month})",
    ByRule.COMES_FIRST_UNLESS_MEANT: "{work} comes first (about {day:month}), unless you write down that you mean it instead",
    ByRule.NOT_BEFORE: "not before {day:day}: {why:reason}",
    ByRule.WAITS_UNTIL: "until {day:day}: {why:reason}",
    ByRule.AFTER: "{work} comes first",
    ByRule.TOO_HOT: "days reach {base:temperature} from {first:short} to {last:short}: too hot for it",
    ByRule.NOT_DUE: "not before {day:month}",
    ByRule.OFF_BY: "off by {day:day}: {why:reason}",
    ByRule.LIKELY_THICKER: "the branch is likely {mm:g} mm thicker by then",
    ByRule.WEEKS_ON: "{weeks:g} growing weeks after it went on",
    ByRule.WEEKS_LOOKED: "{weeks:g} growing weeks after the last look",
    ByRule.STAYS_ON: "the entry says it stays on",
    ByRule.SEASONS_END: "the end of its {seasons:of seasons}",
    ByLog.DONE: "{done} {when:when}",
    ByLog.RECOVERING: "recovering until {until:day}: {done} {when:when}",
    ByLog.LAST: "last {work}: {when:when}",
    ByLog.NO_POTTING: "no repotting is on record",
    ByLog.TROUBLE: "you wrote on {when:when} that the {what:are} the trouble",
    ByLog.WIRED: "wired {when:when}",
    ByLog.LOOKED: "last looked at {day:day}",
    ByLog.BITING: "the last look found it has {bite:bite}",
    ByLog.THICKENING_LEARNED: "thickening taken {factor:.1f} times the usual, from {looks:looks} at wire in your log",
    ByLog.MEANT: "you meant this on {when:when}: {what}",
    ByLog.PUT_ON: "{what} {when:when}",
    ByState.VIGOUR_LOW: "vigour {vigour}, wants {wanted}",
    ByState.RESTING: "resting since {since:when}: {vigour:rest}",
    ByState.LEFT_ALONE: "resting: no work",
    ByState.IF_IN_TURNS: "only where it is done in turns: the stronger ones next (last turn {when:when})",
    ByState.ONLY_IF_VIGOUR: "only if {wanted:strength}: rate it first",
    ByState.ONLY_IN_STAGES: "stage not known: only in {stages:or}",
    ByState.POT_IF_ROOTS_FILL: "repot then if roots fill the pot ({sign})",
    ByState.LOOK_ONLY: "look only, repotting has to wait: {why:reason}",
    ByState.AFTERCARE: "then shade and shelter, no frost for {frost} weeks, no feeding for {feeding}",
    ByState.RESCUED: "its roots were in trouble {when:when}",
    ByState.LIFTED: "lifted {when:when}",
    ByState.TROUBLED: "{what} since {when:when}",
    ByState.ON_THE_TREE: "{done} {when:when}, not yet separated",
    ByState.NOT_OF_GROUP: "{work} is not done to {group}",
    ByState.OUT_OF_SEASON: "{work} is due here from {opens:day} to {closes:day}",
    ByState.RATE_FIRST: "rate vigour first",
    ByState.LIGHTLY: "only lightly: {why:reason}",
    ByState.LIGHTLY_UNTIL: "only lightly before {day:day}: {why:reason}",
    ByState.IF_STILL: "if vigour is still {vigour}",
    ByState.WRAP_SLEEVE: "wrap the sleeve against frost until then",
    ByState.LIGHT_ROOTS: "light root work only: rate vigour before roots are cut hard",
    ByState.NO_WINTER_HERE: "this tree wants a winter's rest, and no month here is cooler than {base:temperature}: it weakens from year to year and can't live here in the long run",
    ByState.HARDLY_WINTER_HERE: "this tree wants a cool rest in winter, and no month here is cooler than {base:temperature}: it may weaken from year to year, so rate its vigour every year",
    ByState.WINTER_INDOORS: "this tree wants a winter's rest outdoors: kept indoors all year it weakens and can't live in the long run",
    ByInterval.USUAL: "usual interval {years:g} years at this stage (common practice)",
    ByInterval.YEARLY: "usually once a year (common practice)",
    ByInterval.DUE_SINCE: "due since {season}: this window is the next chance",
    ByMeasure.GROWTH: "{self:growth}",
    ByOverride.OWN_NUMBERS: "with your own numbers from collection.yaml",
}
UNREACHED: dict[Unreached, str] = {
    Unreached.NONE_SINCE_CHANGE: "no reading yet since its growth changed",
    Unreached.ONE_READING: "one reading: a second is needed, two growing seasons later",
    Unreached.REACHED: "the target is reached",
    Unreached.TOO_SOON: "readings two growing seasons apart are needed",
    Unreached.NOT_GROWING: "it has not thickened since the first reading",
    Unreached.TOO_FAR: f"more than {FARTHEST_YEARS} years at this rate",
}
HELD = {
    Kind.FLUSH: "NO CUTTING",
    Kind.WOOD: "NO CUTTING",
    Kind.THIN: "NO CUTTING",
    Kind.WIRE: "NO WIRING",
    Kind.ROOTS: "NO REPOTTING",
}
NO_OTHER_ROOTS = "NO OTHER REPOTTING"
MOST_TAGS = 8


def kind_of(reason: Reason) -> str:
    """What a reason rests on: mark, rule, log, state, interval, measured or override."""
    return KIND_OF[type(reason.code)]


class Wording:
    """Says reasons in a collection's units; `southern` where its seasons are those of the southern half."""

    def __init__(self, units: Units = METRIC, southern: bool = False) -> None:
        self.units = units
        self.southern = southern
        self._said = lru_cache(maxsize=8192)(self._say)
        self._formatter = _Formatter(self)

    def reason(self, reason: Reason) -> str:
        """The sentence of a reason, without a full stop."""
        return self._said(reason)

    def reasons(self, reasons: Iterable[Reason], joiner: str = "; ") -> str:
        """Several reasons in one line."""
        return joiner.join(map(self.reason, reasons))

    def _say(self, reason: Reason) -> str:
        return self._formatter.vformat(SENTENCES[reason.code], (), {**reason.values, "self": reason})

    def growth(self, growth: Growth | None) -> str:
        """`trunk 38.5 mm of 45 mm, about autumn 2029 (2028-2031), 2 mm a year`, or why no day is given."""
        if growth is None:
            return ""
        said = f"trunk {self.units.length_told(growth.now_mm)} of {self.units.length_told(growth.target_mm)}"
        if isinstance(growth.outlook, NoReach):
            return f"{said}: {self.unreached(growth.outlook)}"
        return f"{said}, {self.reach(growth.outlook)}, {self._rate(growth.outlook.mm_a_year)}"

    def _rate(self, mm_a_year: float) -> str:
        return f"{self.units.length_told(round(mm_a_year, 1))} a year"

    def unreached(self, found: NoReach) -> str:
        """Why no day is given for a target."""
        return UNREACHED[found.why]

    def reach(self, found: Reach) -> str:
        """`about autumn 2029 (2028-2031)`; the span is left out where it is one year."""
        span = f" ({found.early.year}-{found.late.year})" if found.early.year != found.late.year else ""
        return f"about {season_name(found.day, self.southern)} {found.day.year}{span}"

    def hold(self, hold: Hold) -> str:
        """`NO CUTTING, NO WIRING, NO REPOTTING until Apr 2028 (lifted Apr 2026): water and shelter as usual`."""
        return f"{self.held(hold)} ({self.hold_why(hold)}): {besides(hold)}"

    def held(self, hold: Hold) -> str:
        """`NO CUTTING, NO WIRING, NO REPOTTING until Apr 2028`."""
        ends = f" until {hold.until:%b %Y}" if hold.until else ""
        return f"{self.hold_what(hold)}{ends}{self._hold_end(hold)}"

    def hold_what(self, hold: Hold) -> str:
        """`NO CUTTING, NO WIRING, NO REPOTTING`: the kinds of work that wait; where roots ail, all but the help for them."""
        words = {**HELD, Kind.ROOTS: NO_OTHER_ROOTS} if hold.roots_ail else HELD
        return ", ".join(dict.fromkeys(word for kind, word in words.items() if kind in hold.kinds))

    def hold_ends(self, hold: Hold) -> str:
        """`until Oct 2027 and vigour 4 (or 3, rated twice a season apart)`: when it ends, and on what condition."""
        ends = f"{hold.until:%b %Y}" if hold.until else ""
        if hold.state in (HeldState.LAYERED, HeldState.TROUBLE):
            return f"{ends and f'until {ends}'}{self._hold_end(hold)}".strip()
        proven = "vigour 4 (or 3, rated twice a season apart)" if hold.strong else ""
        return "until " + " and ".join(part for part in (ends, proven) if part)

    def hold_why(self, hold: Hold) -> str:
        """Why a tree is left alone, with its month; `still?` where that is to be asked."""
        return f"{self.reason(hold.reason)}{', still?' if hold.asked else ''}"

    def _hold_end(self, hold: Hold) -> str:
        """What has to be seen before the state ends."""
        if hold.state is HeldState.LAYERED:
            return " until it is separated"
        if hold.state is HeldState.TROUBLE:
            return " until 'trouble over' or vigour 4 next season"
        if not hold.strong:
            return ""
        return ", then by vigour" if hold.until else " until vigour is 4, or 3 twice"

    def passed(self, passed: Passed) -> str:
        """What two kinds of tree pass to one another, and what to look for on each."""
        return (
            f"{_some(passed.on)} and {_some(passed.to)} can pass a disease to one another ({passed.first.sign}; {passed.then.sign}): "
            f"look at {passed.first.look}, and take off what you find"
        )

    def rest_why(self, rest: Resting) -> str:
        """What put a tree to rest."""
        return rest_told(rest.vigour or 0)

    def rest_ends(self, rest: Resting) -> str:
        """What ends a rest, from which month on."""
        asked = "rate vigour 4 or 5, or 3 twice a season apart"
        return f"from {rest.not_before:%b %Y}: {asked}" if rest.not_before else asked


def wording_of(settings: Settings) -> Wording:
    """How reasons are said in a collection."""
    return _wording(settings.units, bool(settings.site and settings.site.southern))


@lru_cache(maxsize=8)
def _wording(units: Units, southern: bool) -> Wording:
    return Wording(units, southern)


def season_name(day: date, southern: bool) -> str:
    """Spring from March in the north, from September in the south."""
    turned = (day.month + 6 * southern) % 12
    return ("winter", "spring", "summer", "autumn")[turned // 3]


def _some(tags: tuple[str, ...]) -> str:
    shown = " ".join(tags[:MOST_TAGS])
    return f"{shown} and {len(tags) - MOST_TAGS} more" if len(tags) > MOST_TAGS else shown


def besides(hold: Hold) -> str:
    """What is still done for a tree that is let be; ailing roots drown before they starve."""
    if hold.reason.code is ByState.LEFT_ALONE:  # what ails it is not told: what harms no tree
        return "water only as the soil dries, no feeding, out of hard frost"
    if hold.roots_ail:
        return "water only as the soil dries, no feeding, out of hard frost"
    return "water and shelter as usual"


def _reach(reason: Reason) -> str:
    """A mark's band behind its day: ± days, or its two ends where they are not as far."""
    given = reason.values
    if not given.get("uneven"):
        return days_band(cast(int, given["band"]))
    return f", {uneven_told(cast('date | None', given.get('early')), cast('date | None', given.get('late')))}"


class _Formatter(Formatter):
    """Puts values into sentences by how they are told."""

    def __init__(self, wording: Wording) -> None:
        self._wording = wording
        self._own: dict[str, Callable[..., str]] = {
            "reason": wording.reason,
            "temperature": wording.units.temperature_told,
            "length": wording.units.length_told,
            "warmth": lambda total: wording.units.warmth_told(total, 0),
            "warmth10": lambda total: wording.units.warmth_told(total, 10),
            "growth": self._growth,
            "reach": _reach,
        }

    def format_field(self, value: object, format_spec: str) -> str:
        """The value told in the way that is named, else as Python formats it."""
        tell = self._own.get(format_spec) or PLAIN.get(format_spec)
        return tell(value) if tell else cast(str, super().format_field(value, format_spec))

    def _growth(self, reason: Reason) -> str:
        given = reason.values
        days = [cast(date, given[name]) for name in ("early", "day", "late")]
        outlook = Reach(days[0], days[1], days[2], cast(float, given["rate"]))
        return self._wording.growth(Growth(cast(float, given["now"]), cast(float, given["target"]), outlook))
