"""The rules that ship: importing this module registers them all."""

from . import aftercare, candles_and_flowers, layers, look_over, roots, ties, upkeep, warmth, wire

__all__ = ["aftercare", "candles_and_flowers", "layers", "look_over", "roots", "ties", "upkeep", "warmth", "wire"]
