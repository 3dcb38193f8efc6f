"""The only writer to stderr, and what each way of ending is called.

stdout is let out first, so that the two never overtake each other on one terminal.
"""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterator
from typing import TYPE_CHECKING

from trainer.cli import output
from trainer.core.text import clean
from trainer.errors import ExitCode, ManyConfigError, TrainerError

if TYPE_CHECKING:
    from pathlib import Path

    from rich.progress import Progress

PROGRAM = "trainer"
SHOWN_AFTER_S = 0.5
"""Work that takes longer than this shows that it goes on (our choice)."""
FAULT_LOG_LIMIT = 200_000
"""Bytes of the fault log above which it is begun anew (our choice)."""


def say(text: str) -> None:
    """Tell the person something that isn't the answer itself."""
    with contextlib.suppress(BrokenPipeError, output.OutputError):
        output.flush()
    with contextlib.suppress(OSError, ValueError):
        said = output.readable(clean(text), sys.stderr)
        print(said, file=sys.stderr, flush=True)


def error(text: str) -> None:
    """Say what went wrong, in one line."""
    say(f"{PROGRAM}: error: {text}")


def warning(text: str) -> None:
    """Say what somebody should know although it worked."""
    say(f"{PROGRAM}: note: {text}")


@contextlib.contextmanager
def working(what: str) -> Iterator[None]:
    """Show on a terminal that a block goes on, with the seconds that it takes so far.

    Nothing is shown of what takes but a moment, nor where nobody sees stderr; and what
    was shown is gone when the block ends, however that is.

    Args:
        what: words of ours for it, such as ``Importing``.
    """
    if sys.stderr is None or not sys.stderr.isatty():
        yield
        return
    import threading

    shown: list[Progress] = []
    timer = threading.Timer(SHOWN_AFTER_S, lambda: shown.append(_begin_showing(what)))
    timer.daemon = True
    timer.start()
    try:
        yield
    finally:
        timer.cancel()
        timer.join()
        for progress in shown:
            # A terminal that went away meanwhile is no fault of the work.
            with contextlib.suppress(OSError, ValueError):
                progress.stop()


def _begin_showing(what: str) -> Progress:
    # Only now: what is over in a moment doesn't wait for this import.
    from rich.console import Console
    from rich.progress import Progress, SpinnerColumn, TextColumn, TimeElapsedColumn

    progress = Progress(
        SpinnerColumn("line"),  # plain ASCII
        TextColumn("{task.description}", markup=False),
        TimeElapsedColumn(),
        console=Console(stderr=True),
        transient=True,
        # Each stream stays its own: what the block writes isn't taken over.
        redirect_stdout=False,
        redirect_stderr=False,
        refresh_per_second=3,
    )
    progress.add_task(what, total=None)
    progress.start()
    return progress


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
