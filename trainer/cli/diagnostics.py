"""The only writer to stderr, and what each way of ending is called.

stdout is let out first, so that the two never overtake each other on one terminal.
"""

from __future__ import annotations

import contextlib
import sys
from typing import TYPE_CHECKING

from trainer.cli import output
from trainer.core.text import clean
from trainer.errors import ExitCode, ManyConfigError, TrainerError

if TYPE_CHECKING:
    from pathlib import Path

PROGRAM = "trainer"
FAULT_LOG_LIMIT = 200_000
"""Bytes of the fault log above which it is begun anew (our choice)."""


def say(text: str) -> None:
    """Tell the person something that isn't the answer itself."""
    with contextlib.suppress(BrokenPipeError, output.OutputError):
        output.flush()
    with contextlib.suppress(OSError, ValueError):
        print(clean(text), file=sys.stderr, flush=True)


def error(text: str) -> None:
    """Say what went wrong, in one line."""
    say(f"{PROGRAM}: error: {text}")


def warning(text: str) -> None:
    """Say what somebody should know although it worked."""
    say(f"{PROGRAM}: note: {text}")


def report(fault: TrainerError) -> ExitCode:
    """Say a fault that a person can act on; give its exit code."""
    for each in fault.faults if isinstance(fault, ManyConfigError) else (fault,):
        error(str(each))
    return fault.exit_code


def report_unexpected(fault: BaseException, *, log: Path, debug: bool) -> ExitCode:
    """Say that something of ours broke, and keep the details where they are found."""
    import traceback

    details = "".join(traceback.format_exception(fault))
    if debug:
        with contextlib.suppress(OSError, ValueError):
            output.flush()
            print(details, file=sys.stderr, end="", flush=True)
        where = "The details are above"
    else:
        kept = _keep(details, log)
        where = f"The details are in {log}" if kept else "Run it again with --debug"
    error(f"something broke that is our fault ({type(fault).__name__}). {where}.")
    return ExitCode.FAILED


def _keep(details: str, log: Path) -> bool:
    try:
        log.parent.mkdir(parents=True, exist_ok=True, mode=0o700)
        mode = "a"
        if log.exists() and log.stat().st_size > FAULT_LOG_LIMIT:
            mode = "w"
        with log.open(mode, encoding="utf-8", errors="replace") as handle:
            log.chmod(0o600)
            handle.write(details + "\n")
    except OSError:
        return False
    return True
