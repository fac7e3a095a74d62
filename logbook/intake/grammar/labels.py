"""Branches that stand before their work as a label: `branch 3: wire removed, no marks`."""

from __future__ import annotations

import re

_LABEL = re.compile(
    r"\s*((?:branch(?:es)?|br|no|#)\.?\s*\w{1,3}(?:\s*(?:[,+&]|and)?\s*\d{1,2})*)\s*[:–-]\s+([^,.]+)([,.].*|)$",
    re.IGNORECASE,
)


def work_first(line: str) -> str:
    """The line with each label behind its work; empty where there is none."""
    labels = [_LABEL.match(segment) for segment in line.split(";")]
    if not any(labels):
        return ""
    return "; ".join(
        f"{label[2].rstrip()}, {label[1]}{label[3]}" if label else segment.strip()
        for label, segment in zip(labels, line.split(";"), strict=True)
    )
