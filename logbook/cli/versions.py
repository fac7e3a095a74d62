"""What a report of a fault should say: versions of the tool, of Python, and of the libraries that are there."""

from __future__ import annotations

import sys
from collections.abc import Iterator
from importlib import metadata

from .. import __version__

LIBRARIES = (
    "PyYAML",
    "reportlab",
    "qrcode",
    "pillow",
    "pypdf",
    "pypdfium2",
    "openpyxl",
    "opencv-python-headless",
    "zxing-cpp",
)


def versions_told() -> str:
    """Three lines: the tool, Python with its system, the libraries."""
    python = ".".join(map(str, sys.version_info[:3]))
    return f"benchleaf {__version__}\npython {python} on {sys.platform}\n{', '.join(_there())}\n"


def _there() -> Iterator[str]:
    for name in LIBRARIES:
        try:
            yield f"{name} {metadata.version(name)}"
        except metadata.PackageNotFoundError:
            continue
