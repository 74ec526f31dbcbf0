"""A real browser: Chromium without a window, driven over the W3C WebDriver protocol.

Only the standard library is needed: the protocol is JSON over HTTP
(W3C WebDriver, Recommendation of 5 June 2018).
"""

from __future__ import annotations

import base64
import contextlib
import json
import os
import shutil
import signal
import subprocess
import time
import urllib.error
import urllib.request
from pathlib import Path
from typing import Any

CHROMIUM = shutil.which("chromium")
DRIVER = shutil.which("chromedriver")
_SWITCHES = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync",
    "--window-size=1200,800",
)
_ELEMENT = "element-6066-11e4-a52e-4f735466cecf"  # the protocol's key for an element
PATIENCE_S = 30.0


class Browser:
    """One Chromium with an empty profile of its own."""

    def __init__(self, folder: Path, port: int) -> None:
        assert DRIVER is not None
        self._url = f"http://127.0.0.1:{port}"
        self._browser = 0  # its process, which is not in the driver's group
        self._driver = subprocess.Popen(
            [DRIVER, f"--port={port}"], stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL,
            start_new_session=True,
        )
        options = {"binary": CHROMIUM, "args": [*_SWITCHES, f"--user-data-dir={folder}"]}
        try:
            self._until_up()
            begun = self._call("POST", "/session", {
                "capabilities": {"alwaysMatch": {"goog:chromeOptions": options}},
            })
            self._session = f"/session/{begun['sessionId']}"
            self._browser = int(begun["capabilities"]["goog:processID"])
        except BaseException:
            self.close()
            raise

    def _until_up(self) -> None:
        until = time.monotonic() + PATIENCE_S
        while True:
            try:
                if self._call("GET", "/status")["ready"]:
                    return
            except urllib.error.URLError:
                if time.monotonic() > until:
                    raise
            time.sleep(0.1)

    def _call(self, method: str, path: str, data: Any = None) -> Any:
        body = None if data is None else json.dumps(data).encode()
        request = urllib.request.Request(
            self._url + path, body, {"Content-Type": "application/json"}, method=method
        )
        with urllib.request.urlopen(request, timeout=2 * PATIENCE_S) as answer:
            return json.load(answer)["value"]

    def before_pages(self, script: str) -> None:
        """Run a script in every page before the page's own."""
        self._call("POST", f"{self._session}/goog/cdp/execute", {
            "cmd": "Page.addScriptToEvaluateOnNewDocument", "params": {"source": script},
        })

    def open(self, url: str) -> None:
        """Open an address."""
        self._call("POST", f"{self._session}/url", {"url": url})

    def run(self, script: str) -> Any:
        """Run a script in the page; gives what it returns."""
        return self._call("POST", f"{self._session}/execute/sync", {"script": script, "args": []})

    def type(self, selector: str, text: str) -> None:
        """Type into an element as a person would."""
        found = self._call("POST", f"{self._session}/element",
                           {"using": "css selector", "value": selector})
        self._call("POST", f"{self._session}/element/{found[_ELEMENT]}/value", {"text": text})

    def press(self, keys: str) -> None:
        """Press keys wherever the page has its focus by itself; nothing is clicked before."""
        pressed = [{"type": kind, "value": key} for key in keys for kind in ("keyDown", "keyUp")]
        self._call("POST", f"{self._session}/actions",
                   {"actions": [{"type": "key", "id": "keyboard", "actions": pressed}]})

    def wait(self, script: str) -> Any:
        """What a script returns as soon as that counts as true."""
        until = time.monotonic() + PATIENCE_S
        while not (found := self.run(script)):
            assert time.monotonic() < until, f"never came true: {script}"
            time.sleep(0.1)
        return found

    def printed(self, width_cm: float, height_cm: float) -> bytes:
        """The page as a PDF on paper of this size [cm], margins as its own style sets them."""
        found = self._call("POST", f"{self._session}/goog/cdp/execute", {
            "cmd": "Page.printToPDF",
            "params": {"paperWidth": width_cm / 2.54, "paperHeight": height_cm / 2.54,
                       "printBackground": False, "preferCSSPageSize": False},
        })
        return base64.b64decode(found["data"])

    def command(self, name: str, **named: Any) -> Any:
        """One command of the browser's own protocol."""
        return self._call("POST", f"{self._session}/goog/cdp/execute",
                          {"cmd": name, "params": named})

    def pictured(self, width: int, margin: int, quality: int) -> str:
        """The whole page as a WebP picture (base64), in the style for paper, `width` wide [px]."""
        self.command("Emulation.setEmulatedMedia", media="print")
        self.command("Emulation.setDeviceMetricsOverride", width=width, height=800,
                     deviceScaleFactor=1.0, mobile=False)
        self.run(f"document.body.style.padding = '{margin}px'")
        high = self.run("return document.documentElement.scrollHeight")
        found = self.command(
            "Page.captureScreenshot", format="webp", quality=quality, captureBeyondViewport=True,
            clip={"x": 0, "y": 0, "width": width, "height": high, "scale": 1},
        )
        return str(found["data"])

    def close(self) -> None:
        """End the browser and its driver at once: nothing of its profile is wanted any more."""
        with contextlib.suppress(ProcessLookupError):
            os.killpg(self._driver.pid, signal.SIGKILL)
        with contextlib.suppress(ProcessLookupError):
            if self._browser:
                os.kill(self._browser, signal.SIGKILL)
        self._driver.wait()
