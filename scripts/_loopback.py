"""Hear what a program plays, on a machine without a sound card.

A private PulseAudio server with a null sink, made the ALSA default by environment, and
a recorder on the sink's monitor. Needs numpy, scipy and Debian's ``pulseaudio``,
``pulseaudio-utils`` and ``libasound2-plugins`` (or their like). The recorder's block is
a constant in every absolute onset; differences of onsets are good to a sample.
"""

from __future__ import annotations

import contextlib
import os
import shutil
import signal
import subprocess
import tempfile
import threading
import time
from collections.abc import Iterator
from importlib.util import find_spec
from pathlib import Path
from typing import Any

with contextlib.suppress(ImportError):  # ``missing`` says so before it is needed
    import numpy as np

RATE_HZ = 22050
NEEDED = ("pulseaudio", "parec", "pactl")
ALSA_CONF = """
</usr/share/alsa/alsa.conf>
pcm.!default { type pulse }
ctl.!default { type pulse }
"""


def missing() -> str:
    """Say why there can be no loopback here; empty if there can."""
    for package in ("numpy", "scipy"):
        if find_spec(package) is None:
            return f"no {package} here to look at what is heard"
    for command in NEEDED:
        if shutil.which(command) is None:
            return f"no {command} here to record what is played"
    if not any(Path("/usr/lib").glob("*/alsa-lib/libasound_module_pcm_pulse.so")):
        return "no ALSA plugin for PulseAudio here (libasound2-plugins)"
    return ""


def load() -> str:
    """Say how busy this machine is with other things."""
    if not hasattr(os, "getloadavg"):
        return "load unknown"
    return f"load {os.getloadavg()[0]:.1f} on {os.cpu_count()} cores"


class Loopback:
    """One private server, and what it was given to play."""

    def __init__(self, home: Path) -> None:
        self.home = home
        self._asound = home / "asound.conf"
        self._asound.write_text(ALSA_CONF)
        self._heard = bytearray()
        self._starts_s: list[float] = []
        self._recorder: subprocess.Popen[bytes] | None = None
        self._reader: threading.Thread | None = None
        self.server = self._serve()

    @property
    def env(self) -> dict[str, str]:
        """The environment in which the server is the only way to be heard."""
        return {
            **os.environ,
            "PULSE_SERVER": f"unix:{self.home}/native",
            "PULSE_COOKIE": str(self.home / "cookie"),
            "ALSA_CONFIG_PATH": str(self._asound),
            "PULSE_CLIENTCONFIG": "/dev/null",
            # What clients leave behind goes with the rest of it.
            "TMPDIR": str(self.home),
        }

    def _serve(self) -> subprocess.Popen[bytes]:
        socket = self.home / "native"
        with contextlib.suppress(FileNotFoundError):
            socket.unlink()
        home = str(self.home)
        server = subprocess.Popen(
            (
                "pulseaudio",
                "-n",
                "--daemonize=no",
                "--exit-idle-time=-1",
                "--use-pid-file=no",
                f"--load=module-native-protocol-unix socket={socket} auth-anonymous=1",
                f"--load=module-null-sink sink_name=ear rate={RATE_HZ}",
                f"--log-target=file:{home}/log",
            ),
            env={
                **os.environ,
                "HOME": home,
                "XDG_RUNTIME_DIR": home,
                "PULSE_RUNTIME_PATH": home,
            },
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
        )
        until_s = time.monotonic() + 10
        while not socket.exists():
            if time.monotonic() > until_s or server.poll() is not None:
                raise RuntimeError("the private sound server did not start")
            time.sleep(0.02)
        return server

    def restart(self) -> None:
        """Start the server anew after it was killed."""
        self.server = self._serve()

    def record(self) -> None:
        """Start to record; back when samples are coming (about two seconds)."""
        self._heard, self._starts_s = bytearray(), []
        self._recorder = subprocess.Popen(
            (
                "parec",
                "-d",
                "ear.monitor",
                "--format=s16le",
                f"--rate={RATE_HZ}",
                "--channels=1",
                "--latency-msec=10",
            ),
            env=self.env,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.DEVNULL,
        )
        self._reader = threading.Thread(target=self._collect, daemon=True)
        self._reader.start()
        until_s = time.monotonic() + 10
        while not self._starts_s:
            if time.monotonic() > until_s:
                raise RuntimeError("the recorder got nothing")
            time.sleep(0.02)
        time.sleep(0.2)

    def _collect(self) -> None:
        if self._recorder is None or self._recorder.stdout is None:
            return
        while chunk := os.read(self._recorder.stdout.fileno(), 65536):
            self._heard.extend(chunk)
            # The earliest start that any chunk implies: others only add delay.
            start_s = time.monotonic() - len(self._heard) / 2 / RATE_HZ
            self._starts_s.append(start_s)

    def heard(self) -> tuple[Any, float]:
        """Stop recording; give the samples (-1 to 1) and the time of the first."""
        time.sleep(0.3)
        if self._recorder is not None and self._reader is not None:
            self._recorder.send_signal(signal.SIGTERM)
            self._recorder.wait()
            self._reader.join(2)
        usable = len(self._heard) // 2 * 2
        samples = np.frombuffer(bytes(self._heard[:usable]), dtype="<i2") / 32768
        return samples, min(self._starts_s)

    def close(self) -> None:
        """End the server and the recorder."""
        for process in (self._recorder, self.server):
            if process is not None and process.poll() is None:
                process.send_signal(signal.SIGCONT)
                process.kill()
                process.wait()


@contextlib.contextmanager
def loopback() -> Iterator[Loopback]:
    """Keep a private server for the length of a ``with``."""
    home = Path(tempfile.mkdtemp(prefix="loop-"))
    home.chmod(0o700)
    loop = None
    try:
        loop = Loopback(home)
        yield loop
    finally:
        if loop is not None:
            loop.close()
        shutil.rmtree(home, ignore_errors=True)
