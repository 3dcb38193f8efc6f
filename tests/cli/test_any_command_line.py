"""No command line whatever ends in a defect: it works, or says what is wrong."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli.conftest import Cli
from tests.texts import any_text

WORDS = (
    "add", "undo", "next", "plan", "rest-week", "data", "show", "set", "use", "save",
    "path", "check", "backup", "restore", "export", "import", "review", "hang",
    "hang-supported", "press-wall", "hagn", "--held", "--target", "--kept", "--rpe",
    "--felt", "--pain", "--on", "--note", "--stopped-by", "--week", "--json", "--yes",
    "--undo", "--score", "--sets", "--cap", "--floor", "--remove", "--dry-run", "--csv",
    "--by", "coach", "--end", "stay", "--pattern", "4:6", "30", "-1", "7.5", "1e9",
    "nan", "2026-W10", "2026-03-01", "2026-03-01T10:00", "lats:left@exhale=6", "wrist",
    "dizzy", "grip", "", "-", "--", "=", "[/]", "\x1b[31m", "--help", "--version",
    "--debug", "nowhere.toml", "\udcff", "𝟛𝟘",
)  # fmt: skip
COMMANDS = {
    "add hang --held 30": ["--rpe 7.5", "--felt lats:left@exhale=6", "--pain dizzy",
                           "--on 2026-03-01", "--target 40", "--kept 20"],
    "next": ["--json", "--week 2026-W10", "--score"],
    "plan set hang-supported": ["--add", "--anyway", "--sets 3", "--target 40",
                                "--cap 20", "--remove", "--step 2"],
    "plan show": ["--json"],
    "plan save plan.toml": ["--yes"],
    "plan use plan.toml": ["--yes", "--dry-run"],
    "rest-week 2026-W10": ["--undo"],
    "data export": ["--json", "log.json", "--yes"],
    "data import log.json": ["--dry-run"],
    "data restore": ["--json"],
    "data check": [],
    "review": ["--json", "--weeks 3"],
    "angle add": ["--degrees 170", "--method eye", "--elbow 5,1", "--shoulder 5,5",
                  "--hip 5,9", "--facing left", "--reach free", "--ear hidden"],
    "angle list": ["--json"],
    "angle correct 1": ["--degrees 150", "--hip 1,2", "--on 2026-03-01"],
    "angle compare 1": ["2", "nowhere.jpg"],
    "undo": ["--yes"],
    "": [],
}  # fmt: skip
"""What can be asked, with options that suit."""
TEXTS = st.sampled_from(WORDS) | any_text(max_size=8)


@st.composite
def command_lines(draw: st.DrawFn) -> list[str]:
    """A command, some of its options, and now and then anything at all."""
    command = draw(st.sampled_from(list(COMMANDS)))
    options = draw(st.lists(st.sampled_from(COMMANDS[command] or [""]), max_size=3))
    arguments = [*command.split(), *(word for each in options for word in each.split())]
    for text in draw(st.lists(TEXTS, max_size=2) | st.just([])):
        arguments.insert(draw(st.integers(0, len(arguments))), text)
    return arguments


@settings(max_examples=200, suppress_health_check=[*HealthCheck])
@given(arguments=command_lines())
def test_it_works_or_says_what_is_wrong(
    cli: Cli, arguments: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit 0, 2 or 3; a fault is one line without control characters, no traceback."""
    monkeypatch.chdir(cli.db.parent)
    if {"session", "doctor", "demo"} & set(arguments):
        return
    # The names of files can't hold a NUL, and no shell passes one.
    answer = cli(*(text.replace("\x00", "") for text in arguments))

    assert answer.code in (0, 2, 3), answer.err
    assert "our fault" not in answer.err
    assert "Traceback" not in answer.err
    assert "\x1b" not in answer.out + answer.err
    if answer.code:
        (said,) = answer.err.splitlines()[-1:]
        assert said.startswith("trainer: ")


@pytest.mark.parametrize(
    "place",
    ["x" * 5000, "~nobody-of-that-name/x.db", "/", ".", "/dev/full/x"],
)
def test_an_impossible_place_for_the_data_is_one_sentence(
    cli: Cli, place: str, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Wherever TRAINER_DB points, the answer is a sentence with exit code 3."""
    monkeypatch.chdir(cli.db.parent)
    answer = cli("add", "hang", "--held", "3", environ={"TRAINER_DB": place})

    if place.startswith("~"):
        # A folder may be called that, too: it is made, as for any other name.
        assert 0 == answer.code
    else:
        assert (3, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
