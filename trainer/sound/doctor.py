"""What works here of sound, and the exact command that would improve matters.

Looks and tries; changes nothing. Trying opens a device for a moment, in the sound
process, as a session would.
"""

from __future__ import annotations

import importlib.metadata
import importlib.util
import os
import shutil
import sys
import threading
from collections.abc import Generator, Iterator
from ctypes.util import find_library
from dataclasses import dataclass
from pathlib import Path

from trainer.core.clock import Clock
from trainer.core.cues.settings import Backend, SoundSettings
from trainer.sound import clips, system
from trainer.sound.child import BUSY_LIMIT_S
from trainer.sound.opening import open_player
from trainer.sound.preview import play_introduction
from trainer.sound.process import ORDER, ProcessPlayer

POLL_S = 0.05
PATCHED_FROM = (3, 12)
"""From this Python on the original simpleaudio takes its process down (measured)."""
PACKAGE_MANAGERS = (
    ("apt-get", "sudo apt-get install"),
    ("dnf", "sudo dnf install"),
    ("pacman", "sudo pacman -S"),
    ("zypper", "sudo zypper install"),
)
NEEDED_PACKAGES = {
    "library": {
        "apt-get": "libasound2 libpulse0",
        "dnf": "alsa-lib pulseaudio-libs",
        "pacman": "alsa-lib libpulse",
        "zypper": "libasound2 libpulse0",
    },
    "pipewire": {
        "apt-get": "pipewire-alsa",
        "dnf": "pipewire-alsa",
        "pacman": "pipewire-alsa",
        "zypper": "pipewire-alsa",
    },
    "pulse": {
        "apt-get": "libasound2-plugins",
        "dnf": "alsa-plugins-pulseaudio",
        "pacman": "alsa-plugins",
        "zypper": "alsa-plugins-pulse",
    },
    "player": {
        "apt-get": "alsa-utils",
        "dnf": "alsa-utils",
        "pacman": "alsa-utils",
        "zypper": "alsa-utils",
    },
}
"""Package names by distribution (from memory, apt's seen on Debian 12)."""
PLUGIN_FOLDERS = ("/usr/lib", "/usr/lib64", "/usr/local/lib")


@dataclass(frozen=True, slots=True)
class Finding:
    """One thing that was looked at."""

    name: str
    ok: bool
    sentence: str
    command: str = ""
    """What to type to make it better; empty where there is nothing to do."""


def examine(
    settings: SoundSettings, *, clock: Clock, state_dir: Path
) -> tuple[Finding, ...]:
    """Look at everything that sound depends on; takes up to a few seconds."""
    findings = [_clips(), _simpleaudio(), _miniaudio()]
    if sys.platform == "linux":
        findings.append(_routing())
    findings += [
        _system_player(),
        _bell(),
        _backend(settings, clock=clock, state_dir=state_dir),
    ]
    return tuple(findings)


def listen(
    settings: SoundSettings, *, clock: Clock, state_dir: Path
) -> Generator[str, None, None]:
    """Play the sounds of a hold, and name each as it is to be heard; ends with the
    backend.

    A generator: the sounds go on while the caller prints.
    """
    player = open_player(settings, clock=clock, state_dir=state_dir)
    pause = threading.Event()
    try:
        if isinstance(player, ProcessPlayer):
            yield from until_ready(player)
        yield from play_introduction(player, clock=clock, enough=pause.wait)
        yield f"Played through {player.name}. If you heard nothing, look at the volume."
    finally:
        player.close()


def until_ready(
    player: ProcessPlayer, *, patience_s: float = 2 * BUSY_LIMIT_S
) -> Iterator[str]:
    """Wait until a device is open, and pass on the player's notices meanwhile.

    Counted in pauses and not by a clock: the process is a real one, and a clock that
    stands would have it waited for without end.
    """
    pause = threading.Event()
    for _ in range(round(patience_s / POLL_S)):
        if player.ready:
            return
        yield from player.poll()
        pause.wait(POLL_S)


def _clips() -> Finding:
    missing = clips.missing_files()
    if not missing:
        return Finding("sound files", True, f"All clips are in {clips.sounds_dir()}.")
    return Finding(
        "sound files",
        False,
        f"{len(missing)} clips are missing, {missing[0]} among them.",
        f"{sys.executable} -m pip install --force-reinstall overhead-hold-trainer",
    )


def _installed(package: str) -> str | None:
    try:
        return importlib.metadata.version(package)
    except importlib.metadata.PackageNotFoundError:
        return None


def _simpleaudio() -> Finding:
    name = "simpleaudio"
    original, patched = _installed("simpleaudio"), _installed("simpleaudio-patched")
    pip = f"{sys.executable} -m pip"
    if original is not None and patched is not None:
        return Finding(
            name,
            False,
            "simpleaudio and simpleaudio-patched are both installed, in one place.",
            f"{pip} uninstall -y simpleaudio simpleaudio-patched &&"
            f" {pip} install 'overhead-hold-trainer[sound]'",
        )
    if original is not None and sys.version_info >= PATCHED_FROM:
        return Finding(
            name,
            False,
            f"simpleaudio {original} crashes on this Python; the patched one doesn't.",
            f"{pip} uninstall -y simpleaudio && {pip} install simpleaudio-patched",
        )
    if not _can_be_loaded(Backend.SIMPLEAUDIO):
        if _can_be_loaded(Backend.MINIAUDIO):
            return Finding(
                name,
                True,
                "simpleaudio isn't installed: miniaudio plays all of it too.",
            )
        return Finding(name, False, "simpleaudio isn't installed.")
    return Finding(name, True, f"simpleaudio {patched or original or ''} is installed.")


def _miniaudio() -> Finding:
    name = "miniaudio"
    if not _can_be_loaded(Backend.MINIAUDIO):
        if _can_be_loaded(Backend.SIMPLEAUDIO):
            return Finding(
                name, True, "miniaudio isn't installed: simpleaudio plays all of it."
            )
        return Finding(
            name,
            False,
            "miniaudio isn't installed, which has ready builds for this system.",
            f"{sys.executable} -m pip install miniaudio",
        )
    libraries = ("asound", "pulse")
    if sys.platform == "linux" and not any(map(find_library, libraries)):
        return Finding(
            name,
            False,
            "miniaudio is installed, but neither ALSA's nor PulseAudio's library is.",
            _install_command("library"),
        )
    return Finding(name, True, f"miniaudio {_installed(name) or ''} is installed.")


def _can_be_loaded(engine: Backend) -> bool:
    return importlib.util.find_spec(engine.value) is not None


def _install_command(what: str) -> str:
    for manager, command in PACKAGE_MANAGERS:
        if shutil.which(manager) is not None:
            return f"{command} {NEEDED_PACKAGES[what][manager]}"
    return ""


def _sound_server() -> str | None:
    """Name the sound server that runs for this user, if one does."""
    runtime = Path(os.environ.get("XDG_RUNTIME_DIR", f"/run/user/{os.getuid()}"))
    if (runtime / "pipewire-0").exists():
        return "pipewire"
    if os.environ.get("PULSE_SERVER") or (runtime / "pulse" / "native").exists():
        return "pulse"
    return None


def _has_plugin(server: str) -> bool:
    names = ["libasound_module_pcm_pulse.so"]
    if server == "pipewire":
        names.append("libasound_module_pcm_pipewire.so")
    patterns = [f"{where}alsa-lib/{name}" for name in names for where in ("", "*/")]
    return any(
        any(Path(folder).glob(pattern))
        for folder in PLUGIN_FOLDERS
        for pattern in patterns
    )


def _routing() -> Finding:
    """simpleaudio plays to ALSA's default: a sound server has to stand behind it;
    miniaudio finds the server by itself."""
    name = "sound server"
    server = _sound_server()
    if server is None:
        return Finding(name, True, "No sound server runs: ALSA's default is used.")
    if _has_plugin(server):
        return Finding(name, True, f"ALSA's default reaches the server ({server}).")
    unreached = f"A sound server runs ({server}), but ALSA's default doesn't reach it"
    if not _can_be_loaded(Backend.SIMPLEAUDIO) and find_library("pulse") is not None:
        return Finding(name, True, f"{unreached}; miniaudio does.")
    return Finding(name, False, f"{unreached}.", _install_command(server))


def _system_player() -> Finding:
    command = system.find_player()
    if command is not None:
        return Finding("system player", True, f"{command[0]} is there to fall back to.")
    install = _install_command("player") if sys.platform == "linux" else ""
    return Finding(
        "system player", False, "No player that takes sound from a pipe.", install
    )


def _bell() -> Finding:
    if sys.platform == "win32":
        return Finding("terminal bell", True, "Windows' own sound stands for it.")
    try:
        os.close(os.open("/dev/tty", os.O_WRONLY | getattr(os, "O_NOCTTY", 0)))
    except OSError:
        return Finding("terminal bell", False, "There is no terminal to ring.")
    return Finding(
        "terminal bell", True, "The terminal can be rung, if it lets itself."
    )


def _backend(settings: SoundSettings, *, clock: Clock, state_dir: Path) -> Finding:
    """Try, as a session would, and say what it came to."""
    player = open_player(settings, clock=clock, state_dir=state_dir)
    reasons: list[str] = []
    try:
        if isinstance(player, ProcessPlayer):
            for _ in until_ready(player):
                pass
            reasons = player.reasons
        used = player.name
    finally:
        player.close()
    ok = used in ORDER or used == settings.backend
    if reasons:
        why = f"because {'; '.join(reasons)}"
    elif used == settings.backend:
        why = "as the settings ask"
    else:
        why = "the first in the order"
    return Finding("in use", ok, f"A session would use: {used}, {why}.")
