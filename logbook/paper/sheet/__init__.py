"""The record sheet: front, back and how they come together."""
