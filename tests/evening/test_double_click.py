"""The file to double-click and the page to read first, on three systems and in folders with hard names.

The desktop file is held against the Desktop Entry Specification 1.5 (freedesktop.org), sections "Value types" and "The Exec key",
from memory.
"""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path

import pytest

from logbook.cli.double_click import MARK, READ_ME, icon_path, icon_text, made_icon, remade

from ..conftest import Answer

HARD = (
    "plain",
    "two words",
    "it's",
    'a "quoted" one',
    "50% off",
    "cash$HOME",
    "tick`id`",
    "back\\slash",
    "盆栽",
    "a;b&c",
)


@pytest.mark.parametrize("name", HARD)
def test_the_shell_is_given_the_folder_word_for_word(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    lines = icon_text(folder, "darwin", "/opt/a b/python").splitlines()
    assert lines[0] == "#!/bin/sh"
    assert shlex.split(lines[-1]) == ["exec", "/opt/a b/python", "-m", "logbook", "-C", str(folder)]


@pytest.mark.parametrize("name", HARD)
def test_a_desktop_file_unescapes_to_the_same_call(tmp_path: Path, name: str) -> None:
    folder = tmp_path / name
    entry = dict(
        line.split("=", 1) for line in icon_text(folder, "linux", "/opt/a b/python").splitlines() if "=" in line
    )
    value = re.sub(r"\\(.)", lambda m: {"s": " ", "n": "\n", "t": "\t", "r": "\r", "\\": "\\"}[m[1]], entry["Exec"])
    quoted = re.fullmatch(r'sh -c "((?:[^"`$\\]|\\["`$\\])*)"', value)
    assert quoted, value
    call = re.sub(r'\\(["`$\\])', r"\1", quoted[1]).replace("%%", "%")
    assert "%" not in re.sub("%%", "", quoted[1])
    assert shlex.split(call) == ["/opt/a b/python", "-m", "logbook", "-C", str(folder)]
    assert entry["Terminal"] == "true" and entry["Type"] == "Application"


def test_windows_gets_a_batch_file(tmp_path: Path) -> None:
    text = icon_text(tmp_path / "50% off", "win32", r"C:\Program Files\python.exe")
    assert '"C:\\Program Files\\python.exe" -m logbook -C "' in text and "50%% off" in text
    assert text.replace("\r\n", "").count("\n") == 0 and text.endswith("@pause\r\n")


def test_it_runs(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    """As a shell would run it; without a terminal it is the help."""
    folder = tmp_path / "two words"
    bench("start", folder)
    (tmp_path / "run").write_text(icon_text(folder, "darwin", sys.executable))
    done = subprocess.run(["sh", tmp_path / "run"], capture_output=True, text=True, stdin=subprocess.DEVNULL)
    assert done.returncode == 2 and "write back:" in done.stdout, done


def test_start_makes_both_and_never_over_anothers_file(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    folder = tmp_path / "garden"
    told = bench("start", folder).out
    icon = icon_path(folder)
    assert icon.parent == tmp_path and icon.name in told and MARK in icon.read_text("utf-8")
    assert "type: benchleaf" in (folder / READ_ME).read_text("utf-8") and (folder / "inbox").is_dir()
    icon.write_text("mine", encoding="utf-8")
    assert made_icon(folder) == "" and "could not be written" in remade(folder)
    assert icon.read_text("utf-8") == "mine"
    icon.unlink()
    assert remade(folder).startswith("double-click")


def test_the_page_names_every_folder_there_may_be(tmp_path: Path, bench: Callable[..., Answer]) -> None:
    bench("start", tmp_path / "g")
    text = (tmp_path / "g" / READ_ME).read_text("utf-8")
    for name in ("collection.yaml", "trees/", "inbox/", "photos/", "print/", "notes/", "printed/"):
        assert name in text
