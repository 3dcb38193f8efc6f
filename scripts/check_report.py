#!/usr/bin/env python3
"""Open a review's page in Chromium: pictures, a PDF, and what must not happen.

    python scripts/check_report.py PAGE.html FOLDER [--axe axe.min.js]

Writes desktop.png, phone.png and page.pdf into FOLDER. Fails if the page asks for
anything beside itself, says anything on the console, scrolls sideways, or if axe-core
(``npm install axe-core``; give its axe.min.js) finds a fault at one of the widths.
Needs Chromium; talks to it over a pipe, so it opens no port.
"""

from __future__ import annotations

import argparse
import base64
import itertools
import json
import os
import shutil
import subprocess
import sys
import tempfile
from collections.abc import Mapping
from pathlib import Path
from typing import Any

WIDTHS = {"desktop": (1280, 900), "phone": (390, 844)}


class Browser:
    """A headless Chromium that is told what to do over a pipe."""

    def __init__(self, profile: str) -> None:
        program = shutil.which("chromium") or shutil.which("chromium-browser")
        if program is None:
            sys.exit("Chromium isn't installed: install it, then run this again.")
        to_read, self._write = os.pipe()
        self._read, to_write = os.pipe()
        command = (
            f'exec "$0" "$@" 3<&{to_read} 4>&{to_write}',
            program,
            "--headless=new",
            "--no-sandbox",
            "--disable-gpu",
            "--remote-debugging-pipe",
            f"--user-data-dir={profile}",
        )
        self._process = subprocess.Popen(
            ["bash", "-c", *command],
            pass_fds=(to_read, to_write),
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        os.close(to_read)
        os.close(to_write)
        self._ids = itertools.count(1)
        self._left = b""
        self.events: list[dict[str, Any]] = []
        self._session: str | None = None

    def ask(self, method: str, **params: Any) -> dict[str, Any]:
        """Send a command and wait for its answer; keep the events in between."""
        number = next(self._ids)
        message: dict[str, Any] = {"id": number, "method": method, "params": params}
        if self._session is not None:
            message["sessionId"] = self._session
        os.write(self._write, json.dumps(message).encode() + b"\0")
        while True:
            found = self._next()
            if found.get("id") == number:
                if "error" in found:
                    sys.exit(f"{method}: {found['error']['message']}")
                result: dict[str, Any] = found["result"]
                return result
            self.events.append(found)

    def wait_for(self, method: str) -> None:
        """Wait for an event."""
        while not any(event.get("method") == method for event in self.events):
            self.events.append(self._next())

    def _next(self) -> dict[str, Any]:
        while b"\0" not in self._left:
            read = os.read(self._read, 1 << 20)
            if not read:
                sys.exit("Chromium went away.")
            self._left += read
        message, _, self._left = self._left.partition(b"\0")
        value: dict[str, Any] = json.loads(message)
        return value

    def attach(self) -> None:
        """Open an empty page and talk to it from now on."""
        target = self.ask("Target.createTarget", url="about:blank")["targetId"]
        attached = self.ask("Target.attachToTarget", targetId=target, flatten=True)
        self._session = attached["sessionId"]
        for domain in ("Page", "Network", "Runtime", "Log"):
            self.ask(f"{domain}.enable")

    def evaluate(self, script: str) -> Any:
        """Run a script on the page and give its value."""
        answer = self.ask(
            "Runtime.evaluate",
            expression=script,
            awaitPromise=True,
            returnByValue=True,
        )
        if "exceptionDetails" in answer:
            sys.exit(f"script: {answer['exceptionDetails']}")
        return answer["result"].get("value")

    def close(self) -> None:
        """End it."""
        self._process.terminate()
        self._process.wait(timeout=10)


def faults_of(events: list[dict[str, Any]], address: str) -> list[str]:
    """List requests beside the page's own and everything said on the console."""
    found = []
    for event in events:
        params: Mapping[str, Any] = event.get("params", {})
        match event.get("method"):
            case "Network.requestWillBeSent":
                url = params["request"]["url"]
                if url not in (address, "about:blank"):
                    found.append(f"asks for {url}")
            case "Runtime.consoleAPICalled" | "Runtime.exceptionThrown":
                found.append(f"console: {json.dumps(params)[:300]}")
            case "Log.entryAdded":
                found.append(f"log: {params['entry']['text']}")
    return found


def check(browser: Browser, page: Path, folder: Path, axe: Path | None) -> list[str]:
    """Look at the page at both widths and on paper; give what is wrong."""
    address = page.resolve().as_uri()
    found: list[str] = []
    for name, (width, height) in WIDTHS.items():
        browser.events.clear()
        browser.ask(
            "Emulation.setDeviceMetricsOverride",
            width=width,
            height=height,
            deviceScaleFactor=1,
            mobile=name == "phone",
        )
        browser.ask("Page.navigate", url=address)
        browser.wait_for("Page.loadEventFired")
        wide = browser.evaluate("document.documentElement.scrollWidth")
        found += [f"{name}: {fault}" for fault in faults_of(browser.events, address)]
        if wide > width:
            found.append(f"{name}: scrolls sideways, {wide} of {width} px")
        shot = browser.ask("Page.captureScreenshot", captureBeyondViewport=True)
        (folder / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))
        if axe is not None:
            browser.evaluate(axe.read_text(encoding="utf-8"))
            report = browser.evaluate(
                "axe.run().then(r => r.violations.map(v => v.id + ': ' + v.help + ' ('"
                " + v.nodes.length + ') ' + v.nodes[0].html.slice(0, 160)))"
            )
            found += [f"{name}: axe {fault}" for fault in report]
    pdf = browser.ask("Page.printToPDF", preferCSSPageSize=True, printBackground=True)
    (folder / "page.pdf").write_bytes(base64.b64decode(pdf["data"]))
    return found


def main() -> int:
    """Check one page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("page", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--axe", type=Path)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as profile:
        browser = Browser(profile)
        try:
            browser.attach()
            found = check(browser, options.page, options.folder, options.axe)
        finally:
            browser.close()
    for fault in found:
        print(fault)
    print("nothing wrong" if not found else f"{len(found)} faults")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
