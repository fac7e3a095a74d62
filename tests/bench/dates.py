"""How often the 80 % band of a spring date holds, by springs logged and by how far ahead it is asked.

Gardens are drawn from the estimator's own model, and from one that it does not know: heavy tails, other variances, trees that differ,
signs noticed at weekends, slips of the pencil. Goals: 75–85 % in the first, at least 70 % in the second.
"""

from __future__ import annotations

import math
import random
import statistics
from collections.abc import Callable
from dataclasses import dataclass
from datetime import date, timedelta

from logbook.collection.weather_file import Extremes
from logbook.season.climate import YEAR_DAYS, Climate, day_index
from logbook.season.estimator import WITHIN_80, Case, Estimator, Residual, not_seen_yet
from logbook.season.warmth import SEASON_KNOWN, Warmth
from logbook.season.weather import Weather
from tests.conftest import INLAND

SPRINGS = (0, 1, 2, 5)
LEADS: tuple[int | None, ...] = (None, 60, 30, 14, 7)  # days before the mark; None: no weather known in any year
NOW = 2027
KINDS = 6


@dataclass(frozen=True)
class World:
    """What a garden is drawn from: standard deviations in days, or as multiples of what the estimator expects."""

    garden: float = 4.0
    species: float = 5.0
    season: float = 1.0  # times what the estimator expects
    scatter: float = 3.0
    tree: float = 0.0
    ahead: float = 1.0  # times what the estimator expects of weather to come
    tails: float = 0.0  # degrees of freedom of Student's t; 0: normal
    weekends: bool = False
    slips: float = 0.0

    def draw(self, chance: random.Random, sd: float) -> float:
        if not self.tails:
            return chance.gauss(0, sd)
        # t with variance 1: a normal over the root of a gamma
        gamma = chance.gammavariate(self.tails / 2, 2.0) / self.tails
        return chance.gauss(0, sd) / math.sqrt(gamma) * math.sqrt((self.tails - 2) / self.tails)


OWN = World()
STRANGE = World(
    garden=5.0,
    species=4.0,
    season=1.15,
    scatter=3.3,
    tree=2.0,
    ahead=1.2,
    tails=4.0,
    weekends=True,
    slips=0.02,
)


def ahead_variances() -> dict[int | None, float]:
    """days² at an invented inland site: what weather to come adds at each lead; under None a season's own where no weather is known."""
    climate = Climate(INLAND)
    mark = Warmth(climate, 47.9).reaching(NOW, 431.0)
    assert mark is not None
    days = (date(NOW, 1, 1) + timedelta(days=n) for n in range(YEAR_DAYS))
    known = Weather({d: Extremes(climate.tmin[day_index(d)], climate.tmax[day_index(d)]) for d in days})
    found: dict[int | None, float] = {None: Warmth(climate, 47.9).shared_variance(NOW, running=True)}
    for lead in LEADS:
        if lead is not None:
            site = Warmth(climate, 47.9, known.before(mark - timedelta(days=lead)))
            found[lead] = site.split_variance(NOW, mark)[1]
    return found


def garden(
    world: World, chance: random.Random, springs: int, lead: int | None, ahead: float
) -> tuple[float, float, float]:
    """One garden: the asked tree's true residual, and the estimator's mean and variance for it."""
    place = world.draw(chance, world.garden)
    kinds = [world.draw(chance, world.species) for _ in range(KINDS)]
    shared = SEASON_KNOWN if lead is not None else ahead
    sd = math.sqrt(shared) * world.season
    seasons = {NOW - n: world.draw(chance, sd) for n in range(springs + 1)}
    log = []
    for season in list(seasons)[1:]:
        for kind in range(chance.randint(2, KINDS)):
            for tree in range(chance.randint(1, 2)):
                days = (
                    place
                    + kinds[kind]
                    + seasons[season]
                    + world.draw(chance, world.scatter)
                    + world.draw(chance, world.tree)
                )
                log.append(
                    Residual(f"{kind}-{tree}", Case("", str(kind), season), "open", _noticed(world, chance, days))
                )
    truth = place + kinds[0] + seasons[NOW] + world.draw(chance, world.scatter) + world.draw(chance, world.tree)
    to_come = ahead if lead is not None else 0.0
    truth += world.draw(chance, math.sqrt(to_come) * world.ahead)
    shift = Estimator(log, lambda _: shared).shift("open", Case("", "0", NOW), "new", to_come)
    return truth, shift.days, shift.variance


def _noticed(world: World, chance: random.Random, days: float) -> float:
    if chance.random() < world.slips:
        days += chance.choice((-30, -20, 20, 30))
    return days + chance.uniform(-1.0, 3.0) if world.weekends else round(days)


def cover(
    world: World, springs: int, lead: int | None, ahead: float, gardens: int, seed: int = 1
) -> tuple[float, float, float]:
    """(share within the band, mean error, mean half-width) over so many gardens; days are whole, as they are printed."""
    chance = random.Random(f"{seed} {springs} {lead}")
    held, errors, widths = [], [], []
    for _ in range(gardens):
        truth, mean, variance = garden(world, chance, springs, lead, ahead)
        half = WITHIN_80 * math.sqrt(variance)
        held.append(abs(round(truth) - mean) <= half + 0.5)
        errors.append(abs(truth - mean))
        widths.append(half)
    return statistics.mean(held), statistics.mean(errors), statistics.mean(widths)


def cover_not_seen(world: World, springs: int, gardens: int, seed: int = 1) -> float:
    """Share of marks not yet seen on the computed day that come between the 10 and the 90 % day told on that day."""
    chance = random.Random(f"{seed} not seen {springs}")
    unknown = ahead_variances()[None]
    held = []
    for _ in range(gardens):
        truth, mean, variance = garden(world, chance, springs, None, unknown)
        if round(truth) > 0:
            early, _, late = not_seen_yet(mean, math.sqrt(variance), 0.0)
            held.append(early - 0.5 <= round(truth) <= late + 0.5)
    return statistics.mean(held)


def table(world: World, gardens: int, say: Callable[[str], None] = print) -> list[float]:
    ahead = ahead_variances()
    say(
        "springs | "
        + " | ".join("no weather" if lead is None else f"{lead} days ahead" for lead in LEADS)
        + " | not seen yet"
    )
    covers = []
    for springs in SPRINGS:
        cells = []
        for lead in LEADS:
            held, error, half = cover(world, springs, lead, ahead[lead], gardens)
            covers.append(held)
            cells.append(f"{held:4.0%} {error:4.1f} ±{half:4.1f}")
        waiting = cover_not_seen(world, springs, gardens)
        covers.append(waiting)
        say(f"{springs:7} | " + " | ".join(cells) + f" | {waiting:4.0%}")
    return covers


def main() -> None:
    for name, world in (("from the estimator's own model", OWN), ("from one that it does not know", STRANGE)):
        print(f"gardens {name}: share within the band, mean error and half-width in days")
        covers = table(world, 2000)
        print(f"lowest {min(covers):.0%}, highest {max(covers):.0%}\n")


if __name__ == "__main__":
    main()
