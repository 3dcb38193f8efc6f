"""``trainer doctor``: what works here, and what to do about the rest."""

from __future__ import annotations

import os
import platform
import shutil
import sys
from collections.abc import Iterator
from dataclasses import asdict
from importlib.metadata import PackageNotFoundError, version
from pathlib import Path
from typing import TYPE_CHECKING

import click

from trainer.cli import options, output
from trainer.cli.context import CliContext, pass_context, usual_options
from trainer.errors import ConfigError, DataError, ExitCode, TrainerError

if TYPE_CHECKING:
    from trainer.settings.settings import Settings
    from trainer.sound.doctor import Finding


# The versions of the program and of what it stands on, without importing it.


def versions() -> str:
    """Return one line of versions."""
    import sqlite3

    import trainer

    parts = [
        f"Python {platform.python_version()}",
        f"SQLite {sqlite3.sqlite_version}",
        *(f"{name} {_version(name) or 'missing'}" for name in ("textual", "click")),
        f"sqlite-utils {_version('sqlite-utils') or 'missing'}",
        f"sound: {sound_packages() or 'not installed'}",
    ]
    return f"trainer {trainer.__version__} ({', '.join(parts)})"


def sound_packages() -> str:
    """Return name and version of each engine that is installed."""
    names = ("simpleaudio", "simpleaudio-patched", "miniaudio")
    found = ((name, _version(name)) for name in names)
    return ", ".join(f"{name} {number}" for name, number in found if number)


def _version(name: str) -> str | None:
    try:
        return version(name)
    except PackageNotFoundError:
        return None


@click.command(
    "doctor", epilog=options.epilog("trainer doctor", "trainer doctor --listen")
)
@click.option("--listen", is_flag=True, help="Play a few cues, and name each.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def doctor_command(context: CliContext, *, listen: bool, as_json: bool) -> int:
    """What works here, and what to do about the rest.

    Looks at the terminal, the data file, the settings and the sound; changes nothing.
    """
    settings, trouble = _settings(context)
    if listen:
        return _listen(context, settings)
    findings = [*_terminal(context), *_data(context), trouble, _photos()]
    from trainer.sound.doctor import examine

    findings += examine(
        settings.sound, clock=context.clock, state_dir=context.paths.state
    )
    if as_json:
        output.document([asdict(finding) for finding in findings])
    else:
        _show(findings)
    broken = {finding.name for finding in findings if not finding.ok}
    if "data file" in broken:
        return ExitCode.DATA
    return ExitCode.USAGE if "settings" in broken else ExitCode.DONE


def _show(findings: list[Finding]) -> None:

    output.line(versions())
    output.line()
    width = max(len(finding.name) for finding in findings)
    for finding in findings:
        state = "fine" if finding.ok else "look"
        output.line(f"{finding.name:<{width}}  {state}  {finding.sentence}")
        if finding.command:
            output.line(f"{'':<{width}}        {finding.command}")


def _listen(context: CliContext, settings: Settings) -> int:
    from trainer.sound.doctor import listen

    for text in listen(
        settings.sound, clock=context.clock, state_dir=context.paths.state
    ):
        output.line(text)
        output.flush()
    return ExitCode.DONE


def _settings(context: CliContext) -> tuple[Settings, Finding]:
    """Read the settings; where they can't be used, say so and go on with the usual."""
    from trainer.settings.settings import Settings
    from trainer.sound.doctor import Finding

    path = context.paths.settings
    try:
        settings = context.settings()
        if settings.keys:
            from trainer.cli.session import refuse_bad_keys

            refuse_bad_keys(settings)
    except ConfigError as fault:
        return Settings(), Finding("settings", False, str(fault))
    there = f"{path} is read." if path.exists() else f"None set; they go in {path}."
    return settings, Finding("settings", True, there)


def _photos() -> Finding:
    """Say whether photos can be marked; an angle can be noted without."""
    from trainer.photo.reading import INSTALL
    from trainer.sound.doctor import Finding

    number = _version("pillow")
    if number:
        return Finding("photos", True, f"Read by Pillow {number}.")
    without = "Can't be marked: Pillow isn't installed. Angles can be noted without it."
    return Finding("photos", True, without, INSTALL)


def _terminal(context: CliContext) -> Iterator[Finding]:
    from trainer.cli.session import why_no_screen
    from trainer.core.alphabet import CONSOLE, alphabet
    from trainer.sound.doctor import Finding

    name = context.environ.get("TERM", "no TERM")
    columns, rows = shutil.get_terminal_size()
    reason = why_no_screen(context.environ)
    if reason is not None:
        yield Finding("terminal", False, ". ".join(reason) + ".")
    else:
        yield Finding("terminal", True, f"{columns}×{rows}, {name}.")
    encoding = (sys.stdout.encoding or "unknown").lower()
    known = alphabet(encoding, context.environ)
    console = known is not None and known.codec == CONSOLE
    drawn = "" if known is None else " Pictures and signs are written in ASCII."
    yield Finding(
        "characters",
        known is None or console,
        f"The output's encoding is {encoding}.{drawn}",
        "" if known is None or console else "export LANG=C.UTF-8",
    )
    off = bool(context.environ.get("NO_COLOR"))
    yield Finding("colour", True, "Off: NO_COLOR is set." if off else "On.")


def _data(context: CliContext) -> Iterator[Finding]:
    """Look the data file over, without making or changing it."""
    from trainer.sound.doctor import Finding

    path = context.db_path
    if not os.path.exists(path):  # Path.exists raises where nobody may look
        yield _place(path)
        return
    from trainer.store import list_backups, open_store

    try:
        with open_store(path, clock=context.clock, read_only=True) as store:
            faults = store.check()
            held = sum(len(session.holds) for session in store.history().sessions)
    except DataError as fault:
        yield Finding("data file", False, str(fault), "trainer data restore")
        return
    except TrainerError as fault:
        yield Finding("data file", False, str(fault))
        return
    if faults:
        yield Finding("data file", False, f"{path}: {faults[0]}", "trainer data check")
        return
    holds = "1 hold" if held == 1 else f"{held} holds"
    yield Finding("data file", True, f"{path}, {holds}.")
    copies = list_backups(path)
    latest = f"The latest of {len(copies)} is {copies[0].name}." if copies else "None."
    yield Finding(
        "copies", bool(copies), latest, "" if copies else "trainer data backup"
    )


def _place(path: Path) -> Finding:
    """Say whether a data file that isn't there yet can be made."""
    from trainer.sound.doctor import Finding

    folder = path.parent
    while not os.path.exists(folder) and folder != folder.parent:
        folder = folder.parent
    if folder.is_dir() and os.access(folder, os.W_OK):
        return Finding("data file", True, f"None yet; it will be {path}.")
    return Finding(
        "data file",
        False,
        f"{path} can't be made: {folder} can't be written to.",
        "trainer --db FILE",
    )
