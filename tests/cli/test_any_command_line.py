"""No command line whatever ends in a defect: it works, or says what is wrong."""

from __future__ import annotations

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.cli.conftest import Cli

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
BEGINNINGS = (
    ["add", "hang", "--held", "30"],
    ["add", "press-wall"],
    ["next"],
    ["plan", "set", "hang"],
    ["plan", "use"],
    ["plan", "show"],
    ["rest-week"],
    ["data", "export"],
    ["data", "import"],
    ["data", "restore"],
    ["review"],
    ["undo"],
    [],
)
TEXTS = st.sampled_from(WORDS) | st.text(max_size=8)


@settings(max_examples=150, suppress_health_check=[*HealthCheck])
@given(beginning=st.sampled_from(BEGINNINGS), rest=st.lists(TEXTS, max_size=5))
def test_it_works_or_says_what_is_wrong(
    cli: Cli, beginning: list[str], rest: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """Exit 0, 2 or 3; a fault is one line without control characters, no traceback."""
    monkeypatch.chdir(cli.db.parent)
    arguments = [*beginning, *rest]
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
