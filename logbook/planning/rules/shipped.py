"""The rules that ship: importing this module registers them all."""

from . import (
    candles_and_flowers,
    deadwood,
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
    "candles_and_flowers",
    "deadwood",
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
