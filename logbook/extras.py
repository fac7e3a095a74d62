"""Libraries that only some of the work needs: what is said where one is not there, in one sentence that names the extra."""

from __future__ import annotations

from .diagnostics import ProblemsFound, stop

CALENDAR, CAMERA, JAPANESE, PICTURES, SPREADSHEETS = "calendar", "camera", "japanese", "pictures", "spreadsheets"


def how_to_install(extra: str) -> str:
    """The command that brings an extra."""
    return f"in the project's folder: python -m pip install '.[{extra}]'"


def lacking(what: str, extra: str, *, path: str = "", otherwise: str = "") -> ProblemsFound:
    """What is raised where the library for something is not installed; `otherwise` says how to do without."""
    hint = how_to_install(extra)
    return stop(f"{what} needs the extra '{extra}'", path=path, hint=f"{hint}; or {otherwise}" if otherwise else hint)
