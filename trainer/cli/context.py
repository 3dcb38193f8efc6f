"""What every command gets handed: environment, clock, data file, settings.

What only some commands need is imported where it is used: ``--help`` waits for this
module.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, TypeVar

import click

from trainer.errors import ConfigError, UsageError

if TYPE_CHECKING:
    from pathlib import Path

    from trainer.core.clock import Clock
    from trainer.settings.paths import Paths
    from trainer.settings.settings import Settings
    from trainer.store import Store


# Files that the person named to be written: asked for, whole, for their owner only.


def may_write(path: Path, *, replace: bool) -> None:
    """Refuse what isn't a file, and a file that is there unless REPLACE says so.

    Raises:
        UsageError: PATH must not be written.
    """
    if not os.path.lexists(path):
        return
    if path.is_symlink() and not replace:
        raise UsageError(
            f"{path} is there already, a link", "Add --force to replace it"
        )
    if path.exists() and not path.is_file():
        raise UsageError(f"{path} is there and is no file", "Name a file")
    if not replace:
        raise UsageError(f"{path} is there already", "Add --force to replace it")


def may_fill(folder: Path, *, replace: bool) -> None:
    """Refuse a folder with comma-separated files in it unless REPLACE says so.

    Raises:
        UsageError: there are some, which would be written over.
    """
    there = sorted(folder.glob("*.csv"))
    if there and not replace:
        raise UsageError(
            f"{folder} has {there[0].name} in it already",
            "Name another folder, or add --force to replace what is there",
        )


def write_file(path: Path, text: str, *, replace: bool) -> None:
    """Put TEXT into the file, at once and as a whole, readable by its owner alone.

    Raises:
        UsageError: it must not, or can't, be written; what was there is untouched.
    """
    from trainer.settings.settings import write_atomically

    may_write(path, replace=replace)
    try:
        # In place of a link, not through it.
        write_atomically(path, text, follow=False)
    except ConfigError as fault:
        raise UsageError(fault.message, fault.hint) from None


Command = TypeVar("Command", bound=Callable[..., Any])


def replace_option(command: Command) -> Command:
    """Let a file that is there be replaced: asked for, never by itself."""
    return click.option(
        "--force",
        "--yes",
        "replace",
        is_flag=True,
        help="Replace a file that is there.",
    )(command)


class CliContext:
    """The world as the command line sees it; a test hands in its own."""

    def __init__(
        self,
        *,
        environ: Mapping[str, str] | None = None,
        clock: Clock | None = None,
        db: str | None = None,
    ) -> None:
        self.environ: Mapping[str, str] = os.environ if environ is None else environ
        self.db = db
        """What ``--db`` said, before or after the command."""
        self.debug = False
        self._clock = clock
        self._said_made_up = False

    @property
    def clock(self) -> Clock:
        """What tells the time."""
        if self._clock is None:
            from trainer.core.clock import SystemClock

            self._clock = SystemClock()
        return self._clock

    @property
    def paths(self) -> Paths:
        """The folders of this machine."""
        from trainer.settings.paths import find_paths

        return find_paths(self.environ)

    @property
    def db_path(self) -> Path:
        """The data file in use."""
        from trainer.settings.paths import database_path

        return database_path(self.environ, option=self.db)

    def settings(self) -> Settings:
        """Read the settings file."""
        from trainer.settings.settings import read_settings

        return read_settings(self.paths.settings)

    def open_store(self) -> Store:
        """Open the data file, and pass on what it has to say; closes as a context."""
        from trainer.cli import diagnostics
        from trainer.store import open_store

        store = open_store(self.db_path, clock=self.clock)
        for notice in store.notices:
            diagnostics.warning(notice)
        self._say_if_made_up(store)
        return store

    def open_to_read(self, *, must_be_there: bool = False) -> Store:
        """Open the data file for a command that only looks; that makes none.

        Where there is none, that is said, and an empty one stands for it until the
        command is over. Where it can't be written, it is opened for reading, and that
        is said.

        Args:
            must_be_there: a command that is about the file itself.

        Raises:
            DataError: there is no file, and it must be there.
        """
        from trainer.cli import diagnostics
        from trainer.errors import DataError, DataWriteError
        from trainer.store import open_store

        if self._is_absent():
            if must_be_there:
                raise DataError(
                    f"There is no data file {self.db_path}",
                    "Check the name; the first hold that is logged makes one",
                )
            diagnostics.say(f"There is no data file yet: {self.db_path}")
            return open_store(self._nowhere(), clock=self.clock)
        try:
            return self.open_store()
        except DataWriteError:
            if not os.path.exists(self.db_path):  # False where unseen
                raise
            store = open_store(self.db_path, clock=self.clock, read_only=True)
            diagnostics.warning(f"{self.db_path} is open for reading only.")
            self._say_if_made_up(store)
            return store

    def _is_absent(self) -> bool:
        """Tell whether there is surely no file; what can't be looked at may be one."""
        try:
            os.lstat(self.db_path)
        except FileNotFoundError:
            return True
        except OSError:
            return False
        return False

    def _nowhere(self) -> Path:
        """Return the place of a data file that is gone when the program ends."""
        import atexit
        import shutil
        import tempfile
        from pathlib import Path

        folder = tempfile.mkdtemp(prefix="trainer-")
        atexit.register(shutil.rmtree, folder, ignore_errors=True)
        return Path(folder) / "none.db"

    def _say_if_made_up(self, store: Store) -> None:
        """Say once that what a command shows or writes is no person's."""
        from trainer.cli import diagnostics
        from trainer.core.answers import MADE_UP, is_made_up
        from trainer.errors import DataError

        if self._said_made_up:
            return
        # A damaged file is said by what the command itself reads, or finds.
        with contextlib.suppress(DataError):
            if is_made_up(store.answers()):
                self._said_made_up = True
                diagnostics.warning(MADE_UP)


def pass_context(command: Command) -> Command:
    """Hand a command the ``CliContext`` as its first argument."""
    return click.make_pass_decorator(CliContext)(command)  # type: ignore[return-value]


def usual_options(command: Command) -> Command:
    """Let ``--db FILE`` stand after the command too, and ``--help``.

    The help is ours for the sake of its characters: click writes UTF-8 to a terminal
    that says that it has none; and it takes a full disk for a defect.
    """

    def show_help(ctx: click.Context, _: click.Parameter, asked: bool) -> None:
        if asked and not ctx.resilient_parsing:
            from trainer.cli import output

            output.text(ctx.get_help())
            output.flush()
            ctx.exit()

    def keep(ctx: click.Context, _: click.Parameter, value: str | None) -> None:
        if value is None:
            return
        if not value.strip():
            raise UsageError("--db names no file", "Name one, as in --db my.db")
        ctx.ensure_object(CliContext).db = value

    with_help = click.help_option("-h", "--help", callback=show_help)(command)
    return click.option(
        "--db",
        metavar="FILE",
        callback=keep,
        expose_value=False,
        help="Use this data file instead of the usual one.",
    )(with_help)


def want_subcommand(ctx: click.Context) -> None:
    """Show the help of a group that was called without one of its commands.

    Raises:
        UsageError: none was named; says which there are.
    """
    if ctx.invoked_subcommand is not None:
        return
    from trainer.cli import output

    output.text(ctx.get_help())
    known = (
        ctx.command.list_commands(ctx) if isinstance(ctx.command, click.Group) else ()
    )
    raise UsageError(f"{ctx.command_path} needs a command: {', '.join(known)}")


def stdin_is_terminal() -> bool:
    """Tell whether somebody can answer."""
    return sys.stdin is not None and sys.stdin.isatty()


def confirmed(question: str, *, yes: bool, unasked: str) -> bool:
    """Ask before something is changed that was there; ``--yes`` answers ahead.

    Raises:
        UsageError: nobody is there to ask; says UNASKED and what to add.
    """
    if yes:
        return True
    if not stdin_is_terminal():
        raise UsageError(unasked, "Add --yes to do it without being asked")
    from trainer.cli import output

    return click.confirm(output.readable(question, sys.stderr), err=True)
