#!/usr/bin/env python3
"""Open a review's page in Chromium: pictures, a PDF, and what must not happen.

    python scripts/check_report.py PAGE.html FOLDER [--axe axe.min.js] [--vnu vnu.jar]
                                   [--sheets 4]

Writes desktop.png, tablet.png, phone.png, page.pdf and a picture of each printed sheet
into FOLDER. Fails if the page asks for anything beside itself, says anything on the
console, scrolls sideways, has a sentence wider than the window, prints on more sheets
than asked, leaves a printed sheet but the last emptier than half, or ends one with a
heading; if axe-core (``npm install axe-core``; give its axe.min.js) finds a fault at
one of the widths; or if the HTML checker (``npm install vnu-jar``; needs Java) finds
one. Needs Chromium and, for the sheets, pdftoppm and pdftotext (poppler-utils). Talks
to Chromium over a pipe, so it opens no port.
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

WIDTHS = {"desktop": (1280, 900), "tablet": (768, 1024), "phone": (390, 844)}
SENTENCES = """
[...document.querySelectorAll("p, dd, dt, h1, h2, h3, figcaption")]
  .filter(one => one.getBoundingClientRect().right > window.innerWidth + 1
    || one.scrollWidth > one.clientWidth + 1)
  .map(one => one.textContent.trim().slice(0, 60))
"""
"""Texts that reach beyond the window: to be read they would have to be scrolled."""
PAPER_IS_LIGHTER_THAN = 250
EMPTIEST = 0.5
"""A printed sheet but the last reaches down to here at least, of its height."""


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
        for text in browser.evaluate(SENTENCES):
            found.append(f"{name}: wider than the window: {text}")
        shot = browser.ask("Page.captureScreenshot", captureBeyondViewport=True)
        (folder / f"{name}.png").write_bytes(base64.b64decode(shot["data"]))
        if axe is not None:
            browser.evaluate(axe.read_text(encoding="utf-8"))
            report = browser.evaluate(
                "axe.run().then(r => r.violations.map(v => v.id + ': ' + v.help + ' ('"
                " + v.nodes.length + ') ' + v.nodes[0].html.slice(0, 160)))"
            )
            found += [f"{name}: axe {fault}" for fault in report]
    headings = browser.evaluate(
        "[...document.querySelectorAll('h1,h2,h3')].map(h => h.textContent.trim())"
    )
    # As somebody prints it who changes nothing: without the browser's "backgrounds".
    pdf = browser.ask("Page.printToPDF", preferCSSPageSize=True, printBackground=False)
    (folder / "page.pdf").write_bytes(base64.b64decode(pdf["data"]))
    return found + printed(folder, set(headings))


def printed(folder: Path, headings: set[str]) -> list[str]:
    """Look at the printed sheets; give what is wrong with them."""
    pdf = folder / "page.pdf"
    for old in folder.glob("sheet-*"):
        old.unlink()
    subprocess.run(["pdftoppm", "-r", "80", "-png", pdf, folder / "sheet"], check=True)
    subprocess.run(
        ["pdftoppm", "-r", "20", "-gray", pdf, folder / "sheet-small"], check=True
    )
    small = sorted(folder.glob("sheet-small*.pgm"))
    found = []
    for number, path in enumerate(small, start=1):
        reach = reaches_down(path.read_bytes())
        print(f"sheet {number} of {len(small)} reaches down to {reach:.0%}")
        path.unlink()
        if reach < EMPTIEST and number < len(small):
            found.append(f"sheet {number} is emptier than half: {reach:.0%}")
        text = subprocess.run(
            ["pdftotext", "-f", str(number), "-l", str(number), "-layout", pdf, "-"],
            check=True,
            capture_output=True,
            text=True,
        ).stdout
        lines = [line.strip() for line in text.splitlines() if line.strip()]
        if lines and lines[-1] in headings:
            found.append(f"sheet {number} ends with a heading: {lines[-1]}")
    return found


def reaches_down(picture: bytes) -> float:
    """Give how far down the lowest ink of a grey picture (PGM) is, 0 to 1."""
    _, size, _, pixels = picture.split(b"\n", 3)
    width, height = (int(part) for part in size.split())
    for row in reversed(range(height)):
        if min(pixels[row * width : (row + 1) * width]) < PAPER_IS_LIGHTER_THAN:
            return (row + 1) / height
    return 0.0


def checked_html(page: Path, jar: Path) -> list[str]:
    """Run the Nu Html Checker on the page; give what it says."""
    done = subprocess.run(
        ["java", "-jar", jar, "--stdout", "--format", "gnu", page],
        capture_output=True,
        text=True,
        check=False,
    )
    return [f"HTML: {line}" for line in done.stdout.splitlines()]


def main() -> int:
    """Check one page."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("page", type=Path)
    parser.add_argument("folder", type=Path)
    parser.add_argument("--axe", type=Path)
    parser.add_argument("--vnu", type=Path)
    parser.add_argument("--sheets", type=int, default=4)
    options = parser.parse_args()
    options.folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as profile:
        browser = Browser(profile)
        try:
            browser.attach()
            found = check(browser, options.page, options.folder, options.axe)
        finally:
            browser.close()
    sheets = len(list(options.folder.glob("sheet-*.png")))
    if sheets > options.sheets:
        found.append(f"prints on {sheets} sheets, {options.sheets} at most")
    if options.vnu is not None:
        found += checked_html(options.page, options.vnu)
    for fault in found:
        print(fault)
    print("nothing wrong" if not found else f"{len(found)} faults")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())
