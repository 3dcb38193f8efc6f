"""The frame of the command line: help, versions, streams, ways of ending."""

from __future__ import annotations

import contextlib
import os
import re
import signal
import subprocess
import sys
from pathlib import Path

import click
import pytest

from tests.cli.conftest import Cli
from trainer.cli import main as main_module
from trainer.cli.main import COMMANDS, cli
from trainer.core.clock import ManualClock
from trainer.store import open_store

README = Path(__file__).parent.parent.parent / "README.md"


def commands() -> list[tuple[str, click.Command]]:
    """Give every command and subcommand with its words."""
    context = click.Context(cli)
    found: list[tuple[str, click.Command]] = []
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        assert command is not None, name
        found.append((name, command))
        if isinstance(command, click.Group):
            found += [(f"{name} {sub}", each) for sub, each in command.commands.items()]
    return found


def process(*arguments: str) -> subprocess.Popen[str]:
    return subprocess.Popen(
        [sys.executable, "-m", "trainer", *arguments],
        stdin=subprocess.DEVNULL,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    )


def test_every_command_of_the_table_is_there_with_its_summary() -> None:
    """The help's table is no second truth: it says what the commands say."""
    context = click.Context(cli)
    for name in cli.list_commands(context):
        command = cli.get_command(context, name)
        assert command is not None
        assert name == command.name
        assert COMMANDS[name][1].rstrip(".") == command.get_short_help_str(200).rstrip(
            "."
        )


def test_every_command_and_option_has_a_word_of_help() -> None:
    """Nothing is offered without saying what it is."""
    bare = [name for name, command in commands() if not command.help]
    bare += [
        f"{name} {parameter.opts[-1]}"
        for name, command in commands()
        for parameter in command.params
        if isinstance(parameter, click.Option) and not parameter.help
    ]

    assert [] == bare


def test_every_command_takes_the_data_file_after_it() -> None:
    """``--db`` may stand after each command."""
    without = [
        name
        for name, command in commands()
        if name != "demo" and "--db" not in {o for p in command.params for o in p.opts}
    ]

    assert [] == without


def test_every_command_is_documented_in_the_readme() -> None:
    """A command that the README doesn't name can't be found."""
    text = README.read_text(encoding="utf-8")

    assert [] == [name for name, _ in commands() if f"trainer {name}" not in text]


def test_no_arguments_without_a_terminal_give_help_and_exit_2(cli: Cli) -> None:
    """Nothing hangs and nothing is drawn where there is no terminal."""
    answer = cli()

    assert 2 == answer.code
    assert answer.out.startswith("Usage: trainer")
    assert "There is no terminal for the full screen" in answer.err
    assert "\x1b" not in answer.out + answer.err


def test_help_says_the_exit_codes(cli: Cli) -> None:
    """The exit codes are part of the contract and stand in the help."""
    out = " ".join(cli.ok("--help").out.split())

    assert "0 done, 1 failed, 2 usage or configuration, 3 data file, 130" in out
    assert cli.ok("-h").out == cli.ok("--help").out


def test_the_version_names_what_it_stands_on(cli: Cli) -> None:
    """One line with the versions that a report of a fault needs."""
    out = cli.ok("--version").out

    assert re.match(r"trainer \d+\.\d+\.\d+ \(Python \d", out)
    for name in ("SQLite", "textual", "sqlite-utils", "sound"):
        assert name in out


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["nxt"], "There is no command 'nxt'. Did you mean next?"),
        (["zzzzz"], "There is no command 'zzzzz'. Run trainer --help for all."),
        (["data", "pth"], "No such command 'pth'."),
        (["--nope"], "No such option '--nope'."),
        (["session", "--speed", "5"], "--speed goes with --rehearse only"),
        (["session", "--rehearse", "--speed", "21"], "--speed: 21 is out of bounds"),
        (["session", "--sets", "2"], "--sets goes with --exercise"),
        (["session", "--plain", "--exercise", "hgan"], "Did you mean hang?"),
        (["session"], "There is no terminal for the full screen"),
    ],
)
def test_a_usage_fault_is_one_line_that_says_what_to_do(
    cli: Cli, arguments: list[str], sentence: str
) -> None:
    """Exit 2, nothing on stdout, one sentence or two on one line."""
    answer = cli(*arguments)

    assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert answer.err.startswith("trainer: error: ")
    assert sentence in answer.err


def test_a_defect_of_ours_is_one_line_and_its_details_are_kept(
    cli: Cli, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """No traceback for the person; the log has it; --debug shows it."""

    def broken(*_: object, **__: object) -> None:
        raise RuntimeError("a defect")

    monkeypatch.setattr("trainer.settings.paths.database_path", broken)
    environ = {"XDG_STATE_HOME": str(tmp_path)}
    quiet = cli("data", "path", environ=environ)
    loud = cli("--debug", "data", "path", environ=environ)
    log = tmp_path / "overhead-hold-trainer" / "faults.log"

    assert (1, "", 1) == (quiet.code, quiet.out, quiet.err.count("\n"))
    assert str(log) in quiet.err
    assert "RuntimeError: a defect" in log.read_text("utf-8")
    assert "Traceback" in loud.err


def test_a_bad_settings_file_is_named(cli: Cli, tmp_path: Path) -> None:
    """A session with settings that can't be used: exit 2, the file and the line."""
    folder = tmp_path / "overhead-hold-trainer"
    folder.mkdir()
    (folder / "settings.toml").write_text("theem = 1\n")
    answer = cli(
        "session", "--plain", "--rehearse", environ={"XDG_CONFIG_HOME": str(tmp_path)}
    )

    assert 2 == answer.code
    assert "settings.toml, line 1, key theem" in answer.err


@pytest.mark.skipif(os.name == "nt", reason="pipes close otherwise on Windows")
def test_a_reader_that_goes_away_is_no_fault(db_path: Path) -> None:
    """``trainer … | head -1`` ends quietly."""
    open_store(db_path, clock=ManualClock()).close()
    child = process("--db", str(db_path), "next", "--json")
    assert child.stdout is not None
    assert child.stderr is not None
    child.stdout.close()
    error = child.stderr.read()
    child.stderr.close()

    assert (0, "") == (child.wait(60), error)


def interrupted(child: subprocess.Popen[str]) -> tuple[str, str]:
    """Press ctrl-c until CHILD is gone; give what it wrote.

    A signal that comes just before a read is noted, and answered after the read: which
    never ends here. Whoever sits there presses again.
    """
    for _ in range(6):
        child.send_signal(signal.SIGINT)
        with contextlib.suppress(subprocess.TimeoutExpired):
            return child.communicate(timeout=20)
    child.kill()
    return child.communicate()


@pytest.mark.skipif(os.name == "nt", reason="no SIGINT by kill on Windows")
def test_ctrl_c_ends_with_130(db_path: Path) -> None:
    """An interrupt is said in one line, and what was done is kept."""
    fifo = db_path.with_name("fifo")
    os.mkfifo(fifo)
    child = process("--db", str(db_path), "data", "import", str(fifo))
    # Opening for writing waits until the child has opened it for reading.
    with fifo.open("wb"):
        out, error = interrupted(child)

    assert (130, "") == (child.returncode, out)
    assert "what was done is kept" in error


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ("trainer ne", "next"),
        ("trainer plan us", "use"),
        ("trainer add press-p", "press-pushup press-pike"),
        ("trainer session --exercise hang-", "hang-supported"),
        ("trainer add hang --felt pe", "pecs"),
        ("trainer add hang --pain el", "elbow"),
        ("trainer add hang --stopped-by gr", "grip"),
        ("trainer plan set hang --end st", "stop stay"),
    ],
)
def test_a_shell_can_complete_commands_and_exercises(words: str, expected: str) -> None:
    """What begins a command or an exercise is completed, without opening a file."""
    result = subprocess.run(
        [sys.executable, "-m", "trainer"],
        env={
            **os.environ,
            "_TRAINER_COMPLETE": "bash_complete",
            "COMP_WORDS": words,
            "COMP_CWORD": str(words.count(" ")),
            "TRAINER_DB": "/nowhere/at/all.db",
        },
        capture_output=True,
        text=True,
        timeout=60,
        check=False,
    )

    assert "" == result.stderr
    assert expected.split() == [
        line.partition(",")[2] for line in result.stdout.splitlines()
    ]


def test_the_terminals_size_is_looked_at_before_the_screen_is_opened(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    """40×10 is refused in one sentence; so is a terminal that can't draw."""
    from trainer.cli import session

    monkeypatch.setattr("sys.stdin", _Terminal())
    monkeypatch.setattr("sys.stdout", _Terminal())
    monkeypatch.setattr("os.get_terminal_size", lambda *_: os.terminal_size((40, 10)))
    small = session.why_no_screen({"TERM": "xterm"})
    dumb = session.why_no_screen({"TERM": "dumb"})
    monkeypatch.setattr("os.get_terminal_size", lambda *_: os.terminal_size((80, 24)))

    assert small is not None
    assert "The terminal is 40×10 and the full screen needs 60×20" == small[0]
    assert dumb is not None
    assert session.why_no_screen({"TERM": "xterm"}) is None


class _Terminal:
    def isatty(self) -> bool:
        return True

    def fileno(self) -> int:
        return 1


def test_the_modules_of_the_table_are_looked_for_by_name() -> None:
    """A command of the table whose module is missing isn't offered."""
    assert main_module._module("no-such-command") is None


@pytest.mark.parametrize("group", ["data", "plan"])
def test_a_group_alone_gives_its_help_and_names_its_commands(
    cli: Cli, group: str
) -> None:
    """Help on stdout, one sentence on stderr, exit 2."""
    answer = cli(group)

    assert (2, 1) == (answer.code, answer.err.count("\n"))
    assert answer.out.startswith(f"Usage: trainer {group}")
    assert f"trainer {group} needs a command: " in answer.err
