"""What holds for every command there is: its manners where its output takes nothing."""

from __future__ import annotations

import io
import os
import re
import shlex
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.shell_completion import ShellComplete

from tests.cli.conftest import Cli
from trainer.cli.context import CliContext
from trainer.cli.main import cli as program
from trainer.core.model import Moment, PainKind, Side, Site, StoppedBy

ANSWERS = ("yes", "no", "open")
MOST_COLUMNS = 76
"""Columns of an example: with its indent it stands on one line of 80."""

LINES = {
    "trainer": ["--help", "--version", ""],
    "trainer add": ["add hang --held 30 --felt lats:left --pain wrist", "add --help"],
    "trainer undo": ["undo --yes"],
    "trainer next": ["next", "next --json", "next --score"],
    "trainer plan show": ["plan show", "plan show --json"],
    "trainer plan set": ["plan set hang-supported --sets 4"],
    "trainer plan use": ["plan use - --yes", "plan use - --dry-run --json"],
    "trainer plan questions": ["plan questions --answer head-up=no"],
    "trainer plan save": ["plan save -", "plan save --template -"],
    "trainer plan calendar": ["plan calendar -", "plan calendar days.ics"],
    "trainer rest-week": ["rest-week 2026-W20"],
    "trainer log list": ["log list", "log list --json"],
    "trainer log correct": ["log correct 1 --held 20"],
    "trainer review": [
        "review",
        "review --short",
        "review --json",
        "review --html -",
        "review log.json log.json",
        "review log.json log.json --json",
        "review log.json log.json --html -",
    ],
    "trainer angle add": ["angle add --degrees 170 --method eye"],
    "trainer angle list": ["angle list", "angle list --json"],
    "trainer angle correct": ["angle correct 1 --degrees 160"],
    "trainer angle compare": ["angle compare"],
    "trainer angle how-to": ["angle how-to"],
    "trainer data path": ["data path"],
    "trainer data name": ["data name", "data name Mirel", "data name --json"],
    "trainer data check": ["data check", "data check --json"],
    "trainer data backup": ["data backup"],
    "trainer data restore": ["data restore", "data restore --json"],
    "trainer data salvage": ["data salvage -"],
    "trainer data export": ["data export", "data export -", "data export --csv csv"],
    "trainer data import": ["data import log.json --yes"],
    "trainer doctor": ["doctor --help"],
    "trainer demo": ["demo --help"],
    "trainer session": ["session --help"],
}
"""Each command, called so that it has something to say."""


def commands(
    group: click.Command = program, path: str = "trainer"
) -> Iterator[tuple[str, click.Command]]:
    """Return every command that does something, by what is typed for it."""
    if not isinstance(group, click.Group):
        yield path, group
        return
    if group is program:
        yield path, group
    ctx = click.Context(group)
    for name in group.list_commands(ctx):
        command = group.get_command(ctx, name)
        assert command is not None
        yield from commands(command, f"{path} {name}")


def test_no_command_is_forgotten_here() -> None:
    """A new command is called below, too."""
    assert {path for path, _ in commands()} == set(LINES)


@pytest.mark.parametrize(
    ("place", "mode"),
    [("/dev/full", os.O_WRONLY), (os.devnull, os.O_RDONLY)],
    ids=["full", "closed"],
)
def test_an_output_that_takes_nothing_is_said_by_every_command(
    cli: Cli, monkeypatch: pytest.MonkeyPatch, place: str, mode: int
) -> None:
    """A disk that is full, a stdout that is closed: one sentence and code 1, or quiet.

    A closed stdout is what ``output.prepare`` puts in its place: one for reading only.
    """
    if not Path(place).exists():
        pytest.skip("no /dev/full here to be out of space")
    monkeypatch.chdir(cli.db.parent)
    cli.ok("add", "hang", "--held", "30")
    cli("angle", "add", "--degrees", "165", "--method", "eye", "--on", "2026-02-01")
    cli.ok("data", "export", "log.json")
    for line in (line for lines in LINES.values() for line in lines):
        Path("days.ics").unlink(missing_ok=True)
        with open(os.open(place, mode), "w", encoding="utf-8") as stdout:
            with monkeypatch.context() as patch:
                patch.setattr("sys.stdout", stdout)
                coachs = io.TextIOWrapper(io.BytesIO(b"warm_up_s = 60"))
                patch.setattr("sys.stdin", coachs)
                answer = cli(*shlex.split(line))
            # What is left in it can't be let out either.
            os.dup2(os.open(os.devnull, os.O_WRONLY), stdout.fileno())

        said = [row for row in answer.err.splitlines() if "error: " in row]
        assert "our fault" not in answer.err, line
        assert "Traceback" not in answer.err, line
        if answer.code == 1:
            (fault,) = said
            assert "Standard output can't be written" in fault, line
        else:
            assert answer.code in (0, 2), (line, answer.err)
            assert answer.code or not said, line


PLAIN = (
    *("next", "plan show", "plan set press-pushup --sets 5", "undo --yes", "log list"),
    *("review", "review --short", "review --html -", "log correct 1 --held 20"),
    *("add doorway --held 20 --pain elbow", "undo --yes", "angle list", "data check"),
    *("plan set doorway --add --sets 2", "plan set doorway --remove", "plan questions"),
    *("plan set press-wall --add --anyway", "plan set press-wall --cap 50", "next"),
    *("plan set press-pike --target 30", "plan use - --dry-run", "rest-week 2026-W20"),
    *("plan calendar -", "data import log.json --yes", "session --exercise doorways"),
    *("plan set doorway --cap 1", "plan set press-wall --end stay", "review log.json"),
    *("plan set press-wall --remove", "plan set press-wall --remove", "data restore"),
)
"""What people read of exercises, in an order that makes each say something."""
IDS = re.compile(
    r"(hang-supported|press-pushup|press-pike|press-wall|\bdoorway\b)(?! in commands)"
)


def test_what_people_read_has_names_and_no_ids(
    own: Cli, monkeypatch: pytest.MonkeyPatch
) -> None:
    """An id stands where it is what has to be typed, beside the name; else never."""
    monkeypatch.chdir(own.db.parent)
    own("add", "hang", "--held", "30", "--pain", "wrist:left")
    own("add", "press-pike", "--held", "20", "--on", "2026-02-27")
    own.ok("add", "doorway", "--held", "20", "--on", "2026-02-25")
    own.ok("data", "export", "log.json")
    for line in PLAIN:
        coachs = b'take_out = ["press-pushup"]\n[[exercise]]\nid = "press-pike"\n'
        monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(coachs)))
        answer = own(*shlex.split(line))

        seen = re.sub(r"'[a-z-]+'|Did you mean [a-z-]+", "", answer.out + answer.err)
        assert not IDS.findall(seen), (line, seen)


WRITING = (
    "plan save out",
    "plan save --template out",
    "plan calendar out",
    "review --html out",
    "review log.json log.json --html out",
    "data export out",
    "data backup out",
    "data salvage out",
)
"""Each command that writes a file which the person names."""


def test_a_file_that_is_there_is_replaced_only_when_asked(
    cli: Cli, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Refused with what to add, the file as it was; with that it is written anew."""
    monkeypatch.chdir(cli.db.parent)
    cli.ok("add", "hang", "--held", "30")
    cli.ok("data", "export", "log.json")
    there = Path("out")
    for line in WRITING:
        there.write_text("mine")
        refused = cli(*shlex.split(line))

        assert (2, "") == (refused.code, refused.out), line
        assert "Add --force to replace it" in refused.err, line
        assert "mine" == there.read_text()
        assert 0 == cli(*shlex.split(line), "--force").code, line
        assert b"mine" != there.read_bytes(), line


@pytest.mark.parametrize("path", LINES)
def test_every_help_has_examples_that_are_command_lines(path: str) -> None:
    """What stands there as an example is understood, options and all."""
    command = dict(commands())[path]
    text = command.get_help(click.Context(command, info_name=path))
    examples = [
        row.strip()
        for row in text.rpartition("Example")[2].splitlines()
        if row.strip().startswith("trainer ")
    ]
    assert path == "trainer" or examples, path
    for example in examples:
        words = shlex.split(example.partition("<")[0])
        assert path.split() == words[: len(path.split())]
        command.make_context(path, words[len(path.split()) :], obj=CliContext())
        assert len(example) <= MOST_COLUMNS, example


def test_what_takes_an_exercise_or_a_place_says_which_there_are() -> None:
    """Ids with their names, sites, sides, moments, kinds of pain, reasons to stop."""
    known = dict(commands())
    said = {
        path: " ".join(known[path].get_help(click.Context(known[path])).split())
        for path in ("trainer", "trainer add", "trainer log correct", "trainer session")
    }

    assert "press-wall (Press-away, chest to the wall)" in said["trainer session"]
    for path in ("trainer add", "trainer log correct"):
        for word in (*Site, *Side, *Moment, *PainKind, *StoppedBy):
            assert word in said[path].replace("- ", "-"), (path, word)
    for name in ("TRAINER_DB", "NO_COLOR", "XDG_CONFIG_HOME"):
        assert name in said["trainer"]


@pytest.mark.parametrize(
    ("line", "offered"),
    [
        ("add ha", {"hang", "hang-supported"}),
        ("add do", {"doorway"}),
        ("plan set doo", {"doorway"}),
        ("session --exercise door", {"doorway"}),
        ("add hang --felt low", {"low-back"}),
        ("add hang --felt lats:", {"lats:left", "lats:right", "lats:both"}),
        ("add hang --felt lats:left@", {"lats:left@settled", "lats:left@exhale"}),
        ("add hang --pain di", {"dizzy"}),
        ("add hang --pain elbow:l", {"elbow:left"}),
        ("add hang --pain hand:left=n", {"hand:left=numb"}),
        ("add hang --stopped-by s", {"shoulder"}),
        ("plan set hang --end s", {"stop", "stay"}),
        ("rest-week 2026-W1", {f"2026-W{week}" for week in range(10, 20)}),
        ("next --week 2026-W2", {"2026-W20", "2026-W21"}),
        ("review --weeks 2", {"26"}),
        ("plan questions --answer head-up=", {f"head-up={w}" for w in ANSWERS}),
    ],
)
def test_a_shell_completes_what_may_stand_there(
    own: Cli, line: str, offered: set[str]
) -> None:
    """Words, and after a colon or an at sign the words of that part; own exercises."""
    *before, begun = shlex.split(line)

    assert offered == completed(own, before, begun)


@pytest.mark.parametrize("damage", [None, b"no data file"])
def test_completion_makes_no_file_and_says_nothing(
    cli: Cli, damage: bytes | None, capsys: pytest.CaptureFixture[str]
) -> None:
    """Without a file, or with one that can't be read, the built-in ones are offered."""
    cli.db.unlink()
    if damage is not None:
        cli.db.write_bytes(damage)
    before = sorted(cli.db.parent.iterdir())

    assert {"press-pike", "press-pushup", "press-wall"} == completed(cli, ["add"], "pr")
    assert before == sorted(cli.db.parent.iterdir())
    assert ("", "") == capsys.readouterr()


@pytest.fixture
def own(cli: Cli) -> Cli:
    """Return the command line on a file with an exercise of the person's own."""
    file = cli.db.with_name("own.toml")
    file.write_text('[[own]]\nid = "doorway"\nname = "Doorway lean"\n')
    cli.ok("plan", "use", str(file), "--yes")
    return cli


def completed(cli: Cli, before: list[str], begun: str) -> set[str]:
    """Return what a shell is offered for what is begun."""
    context = CliContext(environ={"TRAINER_DB": str(cli.db)}, clock=cli.clock)
    complete = ShellComplete(program, {"obj": context}, "trainer", "_TRAINER_COMPLETE")
    return {item.value for item in complete.get_completions(before, begun)}
