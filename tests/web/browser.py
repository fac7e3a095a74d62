"""Chromium, driven by its own driver: one session a process, no cache, no profile, every request on record."""

from __future__ import annotations

import atexit
import json
import os
import shutil
import tempfile
import time
from functools import cache
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest

FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
)
SMALL, USUAL, WIDE = (320, 568), (360, 640), (1280, 800)
BROWSERS, DRIVERS = ("chromium", "chromium-browser", "google-chrome"), ("chromedriver",)


def _found(names: tuple[str, ...]) -> str:
    return next((path for name in names if (path := shutil.which(name))), "")


@cache
def axe_script() -> str:
    """axe-core as it was given, else as the test extra brings it."""
    given = os.environ.get("AXE_SCRIPT", "")
    if given:
        return Path(given).read_text("utf-8")
    import axe_core_python

    return (Path(axe_core_python.__file__).parent / "axe.min.js").read_text("utf-8")


class Browser:
    """A browser's one window."""

    def __init__(self) -> None:
        from selenium import webdriver

        options = webdriver.ChromeOptions()
        options.binary_location = _found(BROWSERS)
        self.downloads = Path(tempfile.mkdtemp(prefix="downloads-"))
        self.profile = tempfile.mkdtemp(prefix="profile-")
        for flag in (*FLAGS, f"--user-data-dir={self.profile}"):
            options.add_argument(flag)
        options.set_capability("goog:loggingPrefs", {"performance": "ALL"})
        self.driver = webdriver.Chrome(options=options, service=webdriver.ChromeService(_found(DRIVERS)))
        self.tell("Browser.setDownloadBehavior", behavior="allow", downloadPath=str(self.downloads))
        self.driver.set_script_timeout(300)  # a whole garden in one file, on a machine with much else to do
        self.size(SMALL)

    def close(self) -> None:
        self.driver.quit()
        shutil.rmtree(self.profile, ignore_errors=True)
        shutil.rmtree(self.downloads, ignore_errors=True)

    def tell(self, command: str, **values: Any) -> Any:
        """One command of the developer's protocol."""
        return self.driver.execute_cdp_cmd(command, values)

    def size(self, size: tuple[int, int]) -> None:
        width, height = size
        self.tell(
            "Emulation.setDeviceMetricsOverride", width=width, height=height, deviceScaleFactor=1, mobile=width < 800
        )

    def dark(self, on: bool) -> None:
        media = [{"name": "prefers-color-scheme", "value": "dark" if on else "light"}]
        self.tell("Emulation.setEmulatedMedia", features=media)

    def scripts(self, on: bool) -> None:
        self.tell("Emulation.setScriptExecutionDisabled", value=not on)

    def open(self, where: Path | str) -> None:
        """Load a page, to its end: the driver is known to return too soon, with the page before still there."""
        url = where if isinstance(where, str) else f"file://{quote(str(where))}"
        self.driver.get("about:blank")  # a page that only changes its fragment is not loaded anew
        self.driver.get(url)
        end = time.monotonic() + 60
        while not self._is_loaded():
            assert time.monotonic() < end, f"not loaded in a minute: {url}"
            time.sleep(0.05)

    def _is_loaded(self) -> bool:
        """Whether a page stands there whole; asked of the browser itself, since a page's own scripts may be switched off."""
        told = self.tell("Runtime.evaluate", expression="location.protocol + document.readyState")
        return told["result"].get("value") in ("file:complete", "http:complete")

    def downloaded(self, name: str) -> Path:
        """A file that the page handed over, once all of it is there."""
        path, end, size = self.downloads / name, time.monotonic() + 10, -1
        while time.monotonic() < end:
            before, size = size, path.stat().st_size if path.exists() else -1
            if size == before and size > 0:
                break
            time.sleep(0.1)
        return path

    def run(self, script: str, *values: Any) -> Any:
        return self.driver.execute_script(script, *values)

    def forget(self) -> None:
        """Nothing is kept from before: what a page that was left a moment ago still had to write may come after the first time."""
        for _ in range(2):
            self.run("try { localStorage.clear() } catch (e) {}")
            time.sleep(0.1)
            self.driver.refresh()

    def requested(self) -> list[str]:
        """What was asked for since this was asked last."""
        messages = [json.loads(entry["message"])["message"] for entry in self.driver.get_log("performance")]
        return [m["params"]["request"]["url"] for m in messages if m["method"] == "Network.requestWillBeSent"]

    def violations(self) -> list[str]:
        """What axe-core finds against WCAG 2.0 to 2.2, levels A and AA, and against common practice."""
        self.tell("Runtime.evaluate", expression=axe_script())
        told = self.driver.execute_async_script(
            "const done = arguments[0]; axe.run(document, {resultTypes: ['violations']})"
            ".then(r => done(r.violations.map(v => [v.id, v.help, v.nodes.slice(0, 3).map(n => n.html.slice(0, 160))])))"
        )
        return [json.dumps(one) for one in told]


@cache
def _opened() -> Browser:
    browser = Browser()
    atexit.register(browser.close)
    return browser


def browser_or_skip() -> Browser:
    """The browser of this process; where there is none the test skips, and says so."""
    if not (_found(BROWSERS) and _found(DRIVERS)):
        pytest.skip("no Chromium with its driver on this machine: nothing was seen in a browser")
    browser = _opened()
    browser.scripts(True)
    browser.dark(False)
    browser.size(SMALL)
    return browser
