"""The rules that ship: importing this module registers them all."""

from . import (
    aftercare,
    candles_and_flowers,
    deadwood,
    feeding,
    frost,
    layers,
    look_over,
    pests,
    roots,
    sun_and_light,
    ties,
    upkeep,
    warmth,
    wire,
    young_trees,
)

__all__ = [
    "aftercare",
    "candles_and_flowers",
    "deadwood",
    "feeding",
    "frost",
    "layers",
    "look_over",
    "pests",
    "roots",
    "sun_and_light",
    "ties",
    "upkeep",
    "warmth",
    "wire",
    "young_trees",
]
