"""The ``trainer`` command: what it offers, loaded only when it is used.

``--help`` and ``--version`` load neither Textual nor sqlite-utils: the summaries stand
in the table below, and a command's module is imported when the command is called.
"""

from __future__ import annotations

import importlib
import importlib.util
import signal
import sys
from collections.abc import Mapping, Sequence
from typing import Any

import click

from trainer.cli import diagnostics, output
from trainer.cli.context import CliContext, usual_options
from trainer.core.text import nearest
from trainer.errors import ExitCode, TrainerError, UsageError

COMMANDS: Mapping[str, tuple[str, str]] = {
    "session": ("session", "Train now, on the full screen or line by line."),
    "add": ("add", "Log a hold done without the program."),
    "undo": ("add", "Take back the last thing logged."),
    "next": ("next", "Next week's targets, and why."),
    "plan": ("plan", "Show the plan, change it, read it from or write it to a file."),
    "rest-week": ("rest_week", "Make a week off count as meant."),
    "review": ("review", "What the weeks of holds say."),
    "angle": ("angle", "Note an angle check, list them, correct one, compare two."),
    "log": ("log", "See what was done, newest first, or correct it."),
    "data": ("data", "Where the data is; check, back up, restore, export, import."),
    "doctor": ("doctor", "What works here, and what to do about the rest."),
    "demo": ("review", "Open a made-up trainee's file."),
}
"""Command: the module that defines it, and its one line in the help."""

EXIT_CODES = (
    "Exit codes: 0 done, 1 failed, 2 usage or configuration, 3 data file,"
    " 130 interrupted (what was done is kept)."
)


ENVIRONMENT = (
    "Environment: TRAINER_DB names the data file, NO_COLOR takes the colours away; the"
    " folders follow XDG_DATA_HOME, XDG_CONFIG_HOME and XDG_STATE_HOME."
)


class ReaderGoneError(Exception):
    """Whoever read our stdout has closed it: ``trainer next | head -1``."""


class LazyGroup(click.Group):
    """A group whose commands are imported when they are called."""

    def list_commands(self, ctx: click.Context) -> list[str]:
        """Return the commands whose modules are there."""
        return [name for name in COMMANDS if _module(name) is not None]

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:
        """Import the command's module and give the command."""
        module = _module(cmd_name)
        if module is None:
            return None
        attribute = f"{cmd_name.replace('-', '_')}_command"
        loaded = importlib.import_module(module)
        command = getattr(loaded, attribute, None) or getattr(loaded, cmd_name, None)
        return command if isinstance(command, click.Command) else None

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command; for one that isn't there, name the nearest."""
        name = args[0]
        if _module(name) is None and not name.startswith("-"):
            known = self.list_commands(ctx)
            near = nearest(name, known)
            hint = f"Did you mean {near}?" if near else "Run trainer --help for all"
            raise click.UsageError(f"There is no command {name!r}. {hint}", ctx)
        return super().resolve_command(ctx, args)

    def invoke(self, ctx: click.Context) -> Any:
        """Run the command, and know a reader that has gone from a failure.

        Click would turn a broken pipe into exit code 1.
        """
        try:
            result = super().invoke(ctx)
            output.flush()
        except BrokenPipeError:
            raise ReaderGoneError from None
        return result

    def format_commands(
        self, ctx: click.Context, formatter: click.HelpFormatter
    ) -> None:
        """List the commands from the table, without importing any."""
        rows = [(name, COMMANDS[name][1]) for name in self.list_commands(ctx)]
        with formatter.section("Commands"):
            formatter.write_dl(rows)


def _module(command: str) -> str | None:
    """Return the module of a command, if there is such a command and such a module."""
    if command not in COMMANDS:
        return None
    name = f"trainer.cli.{COMMANDS[command][0]}"
    return name if importlib.util.find_spec(name) else None


def _debug(ctx: click.Context, _: click.Parameter, value: bool) -> None:
    ctx.ensure_object(CliContext).debug |= value


def _show_version(ctx: click.Context, _: click.Parameter, value: bool) -> None:
    if not value or ctx.resilient_parsing:
        return
    from trainer.cli.doctor import versions

    output.line(versions())
    ctx.exit()


@click.group(
    cls=LazyGroup,
    invoke_without_command=True,
    context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 88},
    epilog=f"{ENVIRONMENT}\n\n{EXIT_CODES}",
)
@usual_options
@click.option(
    "--debug",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_debug,
    help="Show the details of an unexpected fault.",
)
@click.option(
    "--version",
    is_flag=True,
    is_eager=True,
    expose_value=False,
    callback=_show_version,
    help="Show the versions of the program and of what it stands on.",
)
@click.pass_context
def cli(ctx: click.Context) -> int:
    """Timed holds for stiff shoulders: hangs and press-away holds, led by ear.

    Without a command, the full-screen program opens. A training aid, not medical
    advice: where it and a clinician or a coach on the spot differ, they win.
    """
    state = ctx.ensure_object(CliContext)
    if ctx.invoked_subcommand is not None:
        return ExitCode.DONE
    from trainer.cli.session import open_program, why_no_screen

    reason = why_no_screen(state.environ)
    if reason is not None:
        if not output.is_terminal():
            output.text(ctx.get_help())
        raise UsageError(*reason)
    return open_program(state)


def main(arguments: Sequence[str], *, context: CliContext | None = None) -> int:
    """Run one command line and give the exit code; nothing escapes but a kill."""
    context = context or CliContext()
    output.prepare()
    try:
        code = cli.main(
            list(arguments), prog_name="trainer", standalone_mode=False, obj=context
        )
    except click.exceptions.Exit as leaving:
        return leaving.exit_code
    except click.ClickException as fault:
        return _report_usage(fault)
    except (click.Abort, KeyboardInterrupt):
        diagnostics.say("Interrupted; what was done is kept.")
        return ExitCode.INTERRUPTED
    except ReaderGoneError:
        output.hush()
        return ExitCode.DONE
    except TrainerError as fault:
        return diagnostics.report(fault)
    except OSError as fault:
        if fault.filename is not None:
            return diagnostics.report(_as_sentence(fault))
        return diagnostics.report_unexpected(
            fault, log=context.paths.fault_log, debug=context.debug
        )
    except Exception as fault:
        # A defect of ours, whatever it is: one sentence, and its details in a file.
        return diagnostics.report_unexpected(
            fault, log=context.paths.fault_log, debug=context.debug
        )
    return code if isinstance(code, int) else ExitCode.DONE


def _as_sentence(fault: OSError) -> TrainerError:
    """Say what the system refused: a file or folder that the person can mend."""
    reason = (fault.strerror or type(fault).__name__).lower()
    return TrainerError(
        f"{fault.filename} can't be used: {reason}",
        "Choose another place, or mend that one",
    )


def _report_usage(fault: click.ClickException) -> ExitCode:
    """Say in one line what is wrong with the command line, and where to look."""
    message = " ".join(fault.format_message().split()).rstrip(".")
    message = message.replace("(Did you", "Did you").replace("?)", "?")
    where = getattr(fault, "ctx", None)
    command = where.command_path if where is not None else "trainer"
    stop = "" if message.endswith("?") else "."
    hint = "" if "Run " in message else f" Run {command} --help for what there is."
    diagnostics.error(f"{message}{stop}{hint}")
    return ExitCode.USAGE


def run() -> None:
    """Run the program: what the installed ``trainer`` and ``python -m`` call."""
    if hasattr(signal, "SIGPIPE"):
        # Python ignores it and raises BrokenPipeError, which main() answers.
        signal.signal(signal.SIGPIPE, signal.SIG_IGN)
    sys.exit(main(sys.argv[1:]))
