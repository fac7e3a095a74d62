"""Numbers: bare ones and counts, lengths and other quantities in the collection's own units, sizes of wire."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence
from functools import lru_cache

from ...values import dataclass
from ..units import Units, length_mm, plain, wire_mm
from ..yaml_editor import Value
from ..yaml_reader import Node
from .base import FAILED, Context, Failed, Kind, NoteContext, Schema, WordLists, bare, scalar

_NUMBER = re.compile(r"[-+]?(?:\d+(?:\.\d*)?|\.\d+)")
_TYPED = re.compile(r"\d{1,6}(?:[.,]\d{1,4})?")
LEAST_WIRE, MOST_WIRE = 0.3, 13.0  # mm


@dataclass(frozen=True, slots=True)
class Quantity:
    """How a quantity goes from the collection's own unit to the inside one and back, is printed, and is heard in a note."""

    inside: Callable[[Units, float], float]
    own: Callable[[Units, float], float]
    render: Callable[[Units, float], str] | None = None
    heard: Callable[[str, Units], float | None] | None = None


LENGTH = Quantity(Units.length_mm, Units.length_own, Units.length_told, length_mm)
AREA = Quantity(Units.area_mm2, Units.area_own)
TEMPERATURE = Quantity(Units.celsius, Units.temperature_own, Units.temperature_told)
DEGREES = Quantity(Units.degrees, Units.degrees_own)
ELEVATION = Quantity(Units.metres, Units.elevation_own)


def simple(number: float) -> int | float:
    """A number as it stands in a file: no needless decimals, three at most."""
    return int(number) if float(number).is_integer() else float(plain(number))


def _number_read(
    node: Node, context: Context, kind: Number | Whole, quantity: Quantity | None, whole: bool
) -> float | Failed:
    text = scalar(node, context, kind.what)
    if text is None:
        return FAILED
    if not _NUMBER.fullmatch(text):
        hint = "write a decimal point, not a comma" if re.fullmatch(r"-?\d+,\d+", text) else ""
        minus = text[:1] in "−–" and _NUMBER.fullmatch(text[1:])
        return context.fault(
            node, f"expected {kind.what}, found '{text}'", "type an ordinary minus sign '-'" if minus else hint
        )
    number = float(text)
    inside = quantity.inside(context.units, number) if quantity else number
    if whole and number != int(number):
        return context.fault(node, f"expected {kind.what}, found {text}", "a whole number is wanted")
    if not kind.low <= inside <= kind.high:
        return context.fault(
            node, f"{text} is out of range for {kind.what}", f"expected {kind.low:g} to {kind.high:g}{kind.unit}"
        )
    return int(number) if whole else _once(inside) if inside else inside


_once = lru_cache(maxsize=4096)(float)  # the same measures come again and again, and are kept once


@dataclass(frozen=True, slots=True)
class Number(Kind[float]):
    """A number within limits, in the inside unit; `quantity` brings the collection's own unit to it and back."""

    what: str
    low: float
    high: float
    whole: bool = False
    quantity: Quantity | None = None
    unit: str = ""

    def read(self, node: Node, context: Context) -> float | Failed:
        """The number in the inside unit (mm, °C, m, kg …), within its limits."""
        return _number_read(node, context, self, self.quantity, self.whole)

    def written(self, value: float, units: Units) -> Value:
        """The number in the collection's own units."""
        return simple(self.quantity.own(units, value) if self.quantity else value)

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """A number; with limits only where inside unit and file's unit are one."""
        made: Schema = {"type": "integer" if self.whole else "number", "description": self.described()}
        if self.quantity is None:  # else the limits hold for the inside unit, not for the file's
            made |= {"minimum": self.low, "maximum": self.high}
        return made

    def described(self) -> str:
        """What it is, with limits and unit."""
        return f"{self.what}, {self.low:g} to {self.high:g}{self.unit}"

    def render(self, value: float, units: Units) -> str:
        """The number with its unit."""
        shown = self.quantity.render if self.quantity else None
        return shown(units, value) if shown else plain(value)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[float, int] | None:
        """A quantity takes up to three words (`1 1/2 in`), the longest that reads; rounded as files keep it."""
        if self.quantity is None or self.quantity.heard is None:
            return (
                (float(bare(tokens[0]).replace(",", ".")), 1)
                if tokens and _TYPED.fullmatch(bare(tokens[0]))
                else None
            )
        for count in (3, 2, 1):
            text = " ".join(tokens[:count]).rstrip(",")
            if len(tokens) >= count and (value := self.quantity.heard(text, note.units)) is not None and value > 0:
                return round(value, 2), count
        return None


@dataclass(frozen=True, slots=True)
class Whole(Kind[int]):
    """A whole number within limits."""

    what: str
    low: int
    high: int
    unit: str = ""

    def read(self, node: Node, context: Context) -> int | Failed:
        """The whole number, within its limits."""
        value = _number_read(node, context, self, None, True)
        return value if value is FAILED else int(value)

    def written(self, value: int, units: Units) -> Value:  # noqa: ARG002
        """The number itself."""
        return value

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """An integer with its limits."""
        return {"type": "integer", "description": self.described(), "minimum": self.low, "maximum": self.high}

    def described(self) -> str:
        """What it is, with limits and unit."""
        return f"{self.what}, {self.low:g} to {self.high:g}{self.unit}"

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[int, int] | None:  # noqa: ARG002
        """One word of up to five digits, within the limits."""
        text = bare(tokens[0]) if tokens else ""
        sound = re.fullmatch(r"\d{1,5}", text) and self.low <= int(text) <= self.high
        return (int(text), 1) if sound else None

    def choices(self, note: NoteContext) -> tuple[str, ...]:  # noqa: ARG002
        """Every value, where there are ten or fewer; else none are offered."""
        few = self.high - self.low < 10
        return tuple(str(n) for n in range(self.low, self.high + 1)) if few else ()


@dataclass(frozen=True, slots=True)
class Wire(Kind[float]):
    """A wire size: mm, or a gauge such as `10ga`, whatever the collection's units."""

    def read(self, node: Node, context: Context) -> float | Failed:
        """The wire's thickness in mm, from millimetres or a gauge."""
        text = scalar(node, context, "a wire size")
        if text is None:
            return FAILED
        size = wire_mm(text)
        if size is None:
            return context.fault(
                node, f"expected a wire size, found '{text}'", "write millimetres (2.5) or a gauge (10ga)"
            )
        if not LEAST_WIRE <= size <= MOST_WIRE:
            return context.fault(node, f"{text} is out of range for a wire size", "expected 0.3 to 13 mm")
        return size

    def written(self, value: float, units: Units) -> Value:  # noqa: ARG002
        """Millimetres, whatever was typed."""
        return simple(value)

    def schema(self, words: WordLists) -> Schema:  # noqa: ARG002
        """A number, or text for a gauge."""
        return {"type": ["number", "string"], "description": self.described()}

    def described(self) -> str:
        """The forms a size may take."""
        return "a wire size: mm, or a gauge such as 10ga"

    def render(self, value: float, units: Units) -> str:  # noqa: ARG002
        """Millimetres without their unit."""
        return plain(value)

    def typed(self, tokens: Sequence[str], note: NoteContext) -> tuple[float, int] | None:  # noqa: ARG002
        """`2.5`, `2.5mm`, `2.5 mm`, `10ga`, `10 ga`."""
        if not tokens:
            return None
        word, after = bare(tokens[0]), bare(tokens[1]) if len(tokens) > 1 and not tokens[0].endswith(",") else ""
        used = 1
        if after in ("mm", "ga", "awg") and re.fullmatch(r"[\d.,]+", word):
            word, used = word + after, 2
        size = wire_mm(word)
        return (round(size, 3), used) if size is not None and LEAST_WIRE <= size <= MOST_WIRE else None
