"""Lists over many trees: repotting, wire, watering, growth, visits."""
