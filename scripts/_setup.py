"""Make ``.venv`` in the checkout and keep it right: what run.py and test.py share.

The standard library alone, on Linux, macOS and Windows. Everything that is said on the
way goes to stderr, so that stdout belongs to the program that is started afterwards.
A stamp in ``.venv`` holds a fingerprint of pyproject.toml, this Python and the
checkout's place: while it stands, nothing is installed and the start is immediate.
"""

from __future__ import annotations

import contextlib
import hashlib
import importlib.util
import json
import os
import platform
import shutil
import subprocess
import sys
import sysconfig
import threading
import time
import tomllib
import venv
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parent.parent
VENV = ROOT / ".venv"
STAMP = VENV / "setup-stamp.json"
SOUND_LIBRARIES = {"libasound.so.2": "libasound2", "libpulse.so.0": "libpulse0"}
"""What plays on Linux reaches a device through one of these; Debian's packages."""
LIBRARY_FOLDERS = ("/usr/lib", "/usr/lib64", "/usr/local/lib")
APPLES_TOOLS = ("/Library/Developer/CommandLineTools", "/Applications/Xcode.app")


def say(text: str) -> None:
    """Tell the person one thing, on stderr."""
    print(text, file=sys.stderr, flush=True)


def venv_python() -> Path:
    """Give the interpreter of ``.venv``."""
    if os.name == "nt":
        return VENV / "Scripts" / "python.exe"
    return VENV / "bin" / "python"


def ensure(extras: set[str], *, sound: bool = True) -> Path:
    """Bring ``.venv`` up to date with EXTRAS in it, and give its interpreter.

    Sound is tried once per fingerprint; what can't be installed of it is left out, and
    said where nothing is left.
    """
    with _one_at_a_time():
        key = _fingerprint()
        stamp = _read_stamp()
        fresh = stamp.get("key") == key and venv_python().exists()
        have = set(stamp.get("extras", [])) if fresh else set()
        if not (fresh and extras <= have):
            # A rebuild keeps what was asked for before: run.py after test.py must
            # not lose the tests' packages.
            wanted = extras | set(stamp.get("extras", []))
            _make_venv()
            _install(wanted)
            stamp = {"key": key, "extras": sorted(wanted), "sound": stamp.get("sound")}
            if not fresh:
                stamp["sound"] = None
            _write_stamp(stamp)
        if sound and stamp.get("sound") != _sound_ground():
            _install_sound()
            stamp["sound"] = _sound_ground()  # it may have laid some of it itself
            _write_stamp(stamp)
    return venv_python()


def start(command: list[str], *, cwd: Path | None = None) -> int:
    """Run COMMAND in this process's place where the system can; give its exit code."""
    if cwd is not None:
        os.chdir(cwd)
    if os.name != "nt":
        sys.stdout.flush()
        os.execv(command[0], command)
    with subprocess.Popen(command) as child:
        while True:
            # Ctrl-C reaches the child by itself; what it makes of it is its answer.
            with contextlib.suppress(KeyboardInterrupt):
                return child.wait()


def _fingerprint() -> str:
    """Name everything that a reinstall would depend on."""
    parts = (
        (ROOT / "pyproject.toml").read_bytes(),
        sys.version.encode(),
        platform.machine().encode(),
        str(ROOT).encode(),
    )
    return hashlib.sha256(b"\0".join(parts)).hexdigest()


def _read_stamp() -> dict:
    try:
        stamp = json.loads(STAMP.read_text(encoding="utf-8"))
    except (OSError, ValueError):
        return {}
    return stamp if isinstance(stamp, dict) else {}


def _write_stamp(stamp: dict) -> None:
    STAMP.write_text(json.dumps(stamp), encoding="utf-8")


@contextlib.contextmanager
def _one_at_a_time() -> Iterator[None]:
    """Hold a lock that the system lets go of when this process ends."""
    try:
        import fcntl
    except ImportError:  # Windows: two first starts at once are left to pip
        yield
        return
    with open(__file__, "rb") as handle:
        fcntl.flock(handle, fcntl.LOCK_EX)
        yield


def _make_venv() -> None:
    """Create ``.venv``, or make it anew where it belongs to another Python.

    One that suits is taken as it is, whoever made it; one that doesn't is only
    replaced if this script made it.
    """
    if _venv_version() == platform.python_version() and venv_python().exists():
        if _has_pip() or _add_pip():
            return
    elif VENV.exists() and not STAMP.exists() and any(VENV.iterdir()):
        sys.exit(
            f"set-up: {VENV} is there, made by something else or left unfinished;"
            " remove it and start again"
        )
    if importlib.util.find_spec("ensurepip") is None:
        name = f"python{sys.version_info[0]}.{sys.version_info[1]}-venv"
        if not _apt_install((name,)):
            sys.exit(
                f"set-up: this Python has no ensurepip; run: sudo apt install {name}"
            )
    say(f"Making .venv with Python {platform.python_version()} …")
    builder = venv.EnvBuilder(clear=True, with_pip=True, symlinks=os.name != "nt")
    try:
        builder.create(VENV)
    except (OSError, subprocess.CalledProcessError) as error:
        sys.exit(f"set-up: .venv could not be made in {ROOT}: {error}")


def _has_pip() -> bool:
    return _quietly("-m", "pip", "--version")


def _add_pip() -> bool:
    """Put pip into an environment that was made without, or not to its end."""
    return _quietly("-m", "ensurepip", "--default-pip") and _has_pip()


def _quietly(*arguments: str) -> bool:
    """Run the environment's Python; tell whether that went well."""
    command = [str(venv_python()), *arguments]
    nowhere = subprocess.DEVNULL
    return (
        subprocess.run(
            command, stdin=nowhere, stdout=nowhere, stderr=nowhere, check=False
        ).returncode
        == 0
    )


def _venv_version() -> str:
    """Give the version that ``.venv`` was made with, or nothing."""
    try:
        lines = (VENV / "pyvenv.cfg").read_text(encoding="utf-8").splitlines()
    except OSError:
        return ""
    for line in lines:
        name, _, value = line.partition("=")
        if name.strip() == "version":
            return value.strip()
    return ""


def _install(extras: set[str]) -> None:
    """Install the program as it lies here, with EXTRAS, or leave the script."""
    what = ", ".join(("the program", *(f"what [{name}] needs" for name in extras)))
    say(f"Installing {what} (once; a minute or two) …")
    target = f".[{','.join(sorted(extras))}]" if extras else "."
    if _pip("--editable", target).returncode != 0:
        sys.exit("set-up: the installation failed; pip says why above")


def _pip(*targets: str, capture: bool = False) -> subprocess.CompletedProcess:
    """Install TARGETS. pip's own words go to stderr."""
    command = [str(venv_python()), "-m", "pip", "install", "--quiet"]
    command += ["--disable-pip-version-check", "--no-input", *targets]
    with _seconds_counted():
        return subprocess.run(
            command,
            cwd=ROOT,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE if capture else sys.stderr.fileno(),
            stderr=subprocess.STDOUT if capture else None,
            text=True,
            errors="replace",
            check=False,
        )


@contextlib.contextmanager
def _seconds_counted() -> Iterator[None]:
    """Count the seconds on a terminal, so that nobody takes a long install for dead."""
    if not sys.stderr.isatty():
        yield
        return
    over = threading.Event()

    def count() -> None:
        begun_s = time.monotonic()
        while not over.wait(1):
            gone_s = time.monotonic() - begun_s
            print(f"\r{gone_s:.0f} s ", end="", file=sys.stderr, flush=True)

    counting = threading.Thread(target=count, daemon=True)
    counting.start()
    try:
        yield
    finally:
        over.set()
        counting.join()
        print("\r       \r", end="", file=sys.stderr, flush=True)


def _sound_ground() -> str:
    """Say what the sound would stand on: it is tried again once that changes.

    Asked at every start, so it only looks for files and starts no process.
    """
    return f"libraries {_has_sound_library()}, can build {_can_build_simpleaudio()}"


def _has_sound_library() -> bool:
    if sys.platform != "linux":
        return True
    return any(
        any(Path(folder).glob(pattern + library))
        for folder in LIBRARY_FOLDERS
        for pattern in ("", "*/")
        for library in SOUND_LIBRARIES
    )


def _can_build_simpleaudio() -> bool:
    """Tell whether a compiler and all headers are there, asking nobody to install any.

    On Windows, and on a Mac whose Python has a wheel of it, [sound] brings it.
    """
    if os.name == "nt":
        return False
    if sys.platform == "darwin":
        # Not ``cc``: where there is none, Apple's stand-in opens a window.
        return any(Path(place).exists() for place in APPLES_TOOLS)
    compiler = shutil.which(os.environ.get("CC") or "cc") or shutil.which("gcc")
    return compiler is not None and _has_alsa_headers() and _has_python_headers()


def _has_alsa_headers() -> bool:
    roots = ["/usr/include", "/usr/local/include"]
    roots += os.environ.get("CPATH", "").split(os.pathsep)
    return any((Path(root) / "alsa" / "asoundlib.h").exists() for root in roots if root)


def _has_python_headers() -> bool:
    return (Path(sysconfig.get_path("include")) / "Python.h").exists()


def _install_sound() -> None:
    """Install what plays: miniaudio, ready-made, and simpleaudio where it can be built.

    Either plays everything, so only a machine on which neither goes is spoken of.
    """
    if not _has_sound_library():
        _apt_install(tuple(SOUND_LIBRARIES.values()))
    say("Installing sound …")
    ready = _pip(*_needed_for("sound"), capture=True).returncode == 0
    built = (
        _can_build_simpleaudio()
        and _pip(*_needed_for("simpleaudio"), capture=True).returncode == 0
    )
    if not (ready or built):
        say(
            "Sound is left out, the rest works. `trainer doctor` says what to do about"
            " it; delete .venv to have it tried again."
        )


def _needed_for(extra: str) -> list[str]:
    """Give what an extra needs: the program itself is there, and is not built again."""
    project = tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))
    return project["project"]["optional-dependencies"][extra]


def _apt_install(packages: list[str] | tuple[str, ...]) -> bool:
    """Install Debian packages if we are root on such a system; tell if it worked."""
    if os.name == "nt" or os.geteuid() != 0 or not shutil.which("apt-get"):
        return False
    say(f"Installing {' '.join(packages)} by apt-get …")
    environ = {**os.environ, "DEBIAN_FRONTEND": "noninteractive"}
    install = ["apt-get", "install", "-y", "-q", "--no-install-recommends", *packages]
    for command in (install, ["apt-get", "update", "-q"], install):
        done = subprocess.run(
            command,
            env=environ,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.DEVNULL,
            stderr=subprocess.DEVNULL,
            check=False,
        )
        if command is install and done.returncode == 0:
            return True
    return False
