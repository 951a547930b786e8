"""A real browser without a window, for pages on this machine alone; and what stands in its logs.

Chromium and its driver are Debian's (``chromium``, ``chromium-driver``); their paths are given, so that nothing is ever
looked for or fetched.
"""

from __future__ import annotations

import json
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

CHROMIUM, DRIVER = shutil.which("chromium"), shutil.which("chromedriver")
#: A clean profile that talks to nobody.
FLAGS = (
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--autoplay-policy=no-user-gesture-required",
    "--force-color-profile=srgb",
)


def missing() -> str:
    """What the tests in a browser want and do not find; empty if all is there."""
    try:
        import selenium  # noqa: F401, PLC0415
    except ImportError:
        return "selenium is not installed"
    return "" if CHROMIUM and DRIVER else "no chromium and chromedriver (Debian: chromium, chromium-driver)"


@contextmanager
def browser(profile: Path) -> Iterator[Any]:
    """A browser that logs what it asks for and complains of; ``profile`` is an empty folder."""
    from selenium import webdriver  # noqa: PLC0415
    from selenium.webdriver.chrome.service import Service  # noqa: PLC0415

    options = webdriver.ChromeOptions()
    options.binary_location = CHROMIUM or ""
    for flag in (*FLAGS, f"--user-data-dir={profile}"):
        options.add_argument(flag)
    options.set_capability("goog:loggingPrefs", {"browser": "ALL", "performance": "ALL"})
    options.set_capability("pageLoadStrategy", "normal")
    driver = webdriver.Chrome(service=Service(DRIVER), options=options)
    try:
        driver.set_script_timeout(30)
        driver.get("about:blank")
        complaints(driver), asked_for(driver)  # of the browser's own first page
        yield driver
    finally:
        driver.quit()


def complaints(driver: Any) -> list[str]:
    """What the console holds since it was asked last: warnings and errors."""
    return [entry["message"] for entry in driver.get_log("browser") if entry["level"] in ("SEVERE", "WARNING")]


def asked_for(driver: Any) -> list[str]:
    """Every address that the page asked for since the log was read last."""
    messages = [json.loads(entry["message"])["message"] for entry in driver.get_log("performance")]
    return [
        message["params"]["request"]["url"] for message in messages if message["method"] == "Network.requestWillBeSent"
    ]


def sized(driver: Any, width: int, height: int, *, dark: bool = False, paper: bool = False) -> None:
    """The window as wide and high as asked, also narrower than a real one can be; in the dark; as printed."""
    metrics = {"width": width, "height": height, "deviceScaleFactor": 1, "mobile": False}
    driver.execute_cdp_cmd("Emulation.setDeviceMetricsOverride", metrics)
    scheme = {"name": "prefers-color-scheme", "value": "dark" if dark else "light"}
    driver.execute_cdp_cmd("Emulation.setEmulatedMedia", {"media": "print" if paper else "", "features": [scheme]})
