"""Text to QR code modules (ISO/IEC 18004). The only importer of qrcode.

One fixed mask is used instead of a search over eight: no loss was seen in readability, and every code the tests make
is decoded by two independent readers.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

from ..values import dataclass

MASK = 2
QUIET_MODULES = 4
LEVELS = ("L", "M", "Q", "H")
DOT_MM = 25.4 / 300
LEAST_MODULE_MM = 0.375


@dataclass(frozen=True, slots=True)
class Symbol:
    """Modules of one code, its level of error correction and the module size chosen for it, mm."""

    text: str
    level: str
    module: float
    rows: tuple[tuple[bool, ...], ...]

    @property
    def size(self) -> float:
        """Side length without the quiet zone, mm."""
        return self.module * len(self.rows)

    @property
    def room(self) -> float:
        """Side length with the quiet zone, mm."""
        return self.module * (len(self.rows) + 2 * QUIET_MODULES)


@lru_cache(maxsize=8)
def modules(text: str, level: str) -> tuple[tuple[bool, ...], ...]:
    """The smallest symbol that holds the text at this level, without its quiet zone."""
    import qrcode
    from qrcode import constants

    levels: dict[str, Any] = {name: getattr(constants, f"ERROR_CORRECT_{name}") for name in LEVELS}
    code = qrcode.QRCode(error_correction=levels[level], border=0, mask_pattern=MASK)
    code.add_data(text, optimize=12)
    code.make(fit=True)
    return tuple(tuple(bool(cell) for cell in row) for row in code.get_matrix())


def bent_share(count: int) -> float:
    """How much of the diameter it bends round a symbol of so many modules a side may take and still be read.

    Measured in simulation (tests/bench/tags.py): the further the modules, the more of them the bend displaces.
    """
    return 0.7 if count <= 29 else 0.5


def fit(text: str, room_mm: float, wanted: str = "H", wish_mm: float = 0.5, bends_mm: float = 0.0) -> Symbol | None:
    """The best symbol for a square room: the wanted level if its modules stay large, else the next lower one.

    Modules are whole dots of a 300-dpi printer. `bends_mm` is the diameter of what the symbol is bent round, if any.
    None where even level L falls under the smallest module.
    """
    fallback: Symbol | None = None
    for level in reversed(LEVELS[: LEVELS.index(wanted) + 1]):
        try:
            rows = modules(text, level)
        except ValueError:  # longer than the largest symbol holds
            continue
        largest = room_mm / (len(rows) + 2 * QUIET_MODULES)
        if bends_mm:
            largest = min(largest, bent_share(len(rows)) * bends_mm / len(rows))
        dots = int(largest / DOT_MM + 1e-9)
        module = min(dots, 12) * DOT_MM
        if module < LEAST_MODULE_MM:
            continue
        symbol = Symbol(text, level, module, rows)
        if module >= wish_mm:
            return symbol
        fallback = fallback or symbol
    return fallback


def least_room(text: str) -> float:
    """The smallest square, mm, in which this text can be printed at all; 0 where no code holds it."""
    try:
        return (len(modules(text, "L")) + 2 * QUIET_MODULES) * LEAST_MODULE_MM
    except ValueError:
        return 0.0
