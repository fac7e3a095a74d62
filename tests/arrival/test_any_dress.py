"""The same figures in random dress: whatever comes of a table is what was put in, or it is asked about. Never another value."""

from __future__ import annotations

import random
from collections.abc import Callable
from datetime import date, timedelta

import pytest

from logbook.collection.normals_reader import read_normals_table
from logbook.collection.weather_file import Extremes
from logbook.collection.weather_reader import read_weather

MONTHS = ("Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec")
TRIALS = 400


def number(chance: random.Random, comma: bool, unit: str, minus: str) -> Callable[[float], str]:
    pattern = chance.choice(("{:.1f}", "{:.2f}", "{:g}"))

    def told(celsius: float) -> str:
        value = celsius * 1.8 + 32 if unit == "F" else celsius
        text = pattern.format(round(value, 2))
        return (text.replace(".", ",") if comma else text).replace("-", minus)

    return told


DAYS: dict[str, Callable[[date], str]] = {
    "iso": date.isoformat,
    "packed": lambda d: d.strftime("%Y%m%d"),
    "dots": lambda d: d.strftime("%d.%m.%Y"),
    "day first": lambda d: d.strftime("%d/%m/%Y"),
    "month first": lambda d: d.strftime("%m/%d/%Y"),
    "short": lambda d: d.strftime("%d.%m.%y"),
    "named": lambda d: d.strftime("%d-%b-%Y"),
    "bare": lambda d: f"{d.month}/{d.day}/{d.year}",
}
LOW = ("tmin", "Min Temp", "low", "Temp Min", "minimum temperature", "TN", "Lowest", "night", "MinTemp")
HIGH = ("tmax", "Max Temp", "high", "Temp Max", "maximum temperature", "TX", "Highest", "max", "MaxTemp")
EXTRA = {
    "rain (mm)": lambda c: f"{c.uniform(0, 20):.1f}",
    "Max wind km/h": lambda c: f"{c.randrange(60)}",
    "mean temp": lambda c: f"{c.uniform(0, 9):.1f}",
    "Humidity %": lambda c: f"{c.randrange(100)}",
    "grass min": lambda c: f"{c.uniform(-12, 4):.1f}",
    "station": lambda _: "EX12",
    "dew point max": lambda c: f"{c.uniform(-5, 9):.1f}",
    "pressure low": lambda c: f"{c.uniform(980, 1030):.1f}",
}


def weather_table(chance: random.Random) -> tuple[str, dict[date, Extremes]]:
    first = date(2027, 1, 1) + timedelta(days=chance.randrange(300))
    truth = {}
    for n in range(chance.randint(1, 60)):
        low = round(chance.uniform(-15, 15), 1)
        truth[first + timedelta(days=n)] = Extremes(low, round(low + chance.uniform(0.5, 15), 1))
    unit = chance.choice("CF")
    separator = chance.choice((",", ";", "\t", "|", "  "))
    comma = separator != "," and chance.random() < 0.3
    told = number(chance, comma, unit, chance.choice("-−"))
    day = DAYS[chance.choice(list(DAYS))]
    sign = chance.choice((f" (°{unit})", f" [{unit}]", f" °{unit}", f"_{unit}", "", f" deg {unit}"))
    heads = ["date", chance.choice(LOW) + sign, chance.choice(HIGH) + sign]
    columns: list[Callable[[date, Extremes], str]] = [
        lambda d, _: day(d),
        lambda _, e: told(e.tmin),
        lambda _, e: told(e.tmax),
    ]
    for name in chance.sample(list(EXTRA), chance.randrange(4)):
        make = EXTRA[name]
        heads.append(name)
        columns.append(lambda _d, _e, make=make: make(chance).replace(".", ",") if comma else make(chance))  # type: ignore[misc]
    order = list(range(len(heads)))
    if chance.random() < 0.5:
        chance.shuffle(order)
    lines = [separator.join(heads[n] for n in order)] if chance.random() < 0.85 else []
    lines += [separator.join(columns[n](d, e) for n in order) for d, e in truth.items()]
    if chance.random() < 0.3:
        lines[1 if lines[0].count("date") else 0 :] = reversed(lines[1 if lines[0].count("date") else 0 :])
    return "\n".join(lines) + "\n", truth


def test_weather_is_read_right_or_asked() -> None:
    chance = random.Random(41)
    read = 0
    for _ in range(TRIALS):
        text, truth = weather_table(chance)
        found = read_weather(text, "t")
        assert found.days or found.questions or found.problems, text
        for day, extremes in found.days.items():
            assert day in truth and extremes == pytest.approx(truth[day], abs=0.06), (
                text,
                day,
                extremes,
                found.understood,
            )
        read += len(found.days) == len(truth)
    assert read >= 0.5 * TRIALS, read  # the others leave the unit or a lone day's order open, or have no heads


def normals_table(chance: random.Random) -> tuple[str, list[float], list[float]]:
    swing, range_ = chance.uniform(8, 35), chance.uniform(4, 14)
    coldest = chance.uniform(9, 43) - swing - range_  # the warmest month's days are those of places where trees grow
    shape = (0, 0.05, 0.25, 0.48, 0.7, 0.9, 1, 0.97, 0.78, 0.52, 0.27, 0.08)
    low = [round(coldest + swing * s + chance.uniform(-0.5, 0.5), 1) for s in shape]
    high = [round(t + range_ + chance.uniform(-0.5, 0.5), 1) for t in low]
    unit = chance.choice("CF")
    separator = chance.choice((",", ";", "\t", " ", "  "))
    comma = separator != "," and chance.random() < 0.3
    told = number(chance, comma, unit, chance.choice("-−–"))
    sign = f" (°{unit})" if chance.random() < 0.6 and separator != " " else ""
    rows = {
        chance.choice(("Mean min", "Average low", "Low", "tmin", "Mean daily minimum")) + sign: [
            told(t) for t in low
        ],
        chance.choice(("Mean max", "Average high", "High", "tmax", "Mean daily maximum")) + sign: [
            told(t) for t in high
        ],
    }
    if separator == " ":
        rows = {k.replace("Mean daily ", "").replace("Mean ", "").replace("Average ", ""): v for k, v in rows.items()}
    if chance.random() < 0.4:
        rows["Record high" if separator != " " else "Record"] = [told(t + 9) for t in high]
    if chance.random() < 0.4:
        rows["Rain" + (" mm" if separator != " " else "")] = [f"{chance.randrange(20, 150)}" for _ in range(12)]
    if chance.random() < 0.3:
        rows["Frost days" if separator != " " else "Frost"] = [f"{chance.randrange(30)}" for _ in range(12)]
    items = list(rows.items())
    chance.shuffle(items)
    months = list(MONTHS) if chance.random() < 0.8 else [str(n) for n in range(1, 13)]
    if chance.random() < 0.5:
        lines = [separator.join(["Month", *months]), *(separator.join([name, *values]) for name, values in items)]
    else:
        lines = [separator.join(["Month", *(name for name, _ in items)])]
        lines += [separator.join([m, *(values[n] for _, values in items)]) for n, m in enumerate(months)]
    if chance.random() < 0.2:
        lines.insert(0, "Example station, 1991-2020, 210 m")
    return "\n".join(lines) + "\n", low, high


def test_normals_are_read_right_or_asked() -> None:
    chance = random.Random(42)
    read = 0
    for _ in range(TRIALS):
        text, low, high = normals_table(chance)
        found = read_normals_table(text, "t", latitude=46.0)
        assert found.normals or found.questions or found.problems, text
        if found.normals is not None:
            assert found.normals.tmin == pytest.approx(low, abs=0.06), (text, found.understood)
            assert found.normals.tmax == pytest.approx(high, abs=0.06), (text, found.understood)
            read += 1
    assert read >= 0.8 * TRIALS, read
