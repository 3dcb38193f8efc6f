"""``add``, ``undo`` and ``rest-week``: the log by hand."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

import pytest

from tests.cli.conftest import Cli


def sessions(cli: Cli) -> list[dict[str, Any]]:
    found: list[dict[str, Any]] = cli.ok("data", "export").json["sessions"]
    return found


def test_a_hold_added_by_hand_is_in_the_log_as_it_was_said(cli: Cli) -> None:
    """Every option arrives in the export under the contract's keys."""
    answer = cli.ok(
        "add", "hang", "--held", "42", "--target", "40", "--kept", "38.5", "--rpe",
        "7.5", "--stopped-by", "grip", "--felt", "lats:left@exhale=6", "--felt",
        "ribs", "--note", "slow [/] day",
    )  # fmt: skip
    (session,) = sessions(cli)
    (hold,) = session["holds"]

    assert (
        "Logged: Passive hang, 42 s held, target 40 s, 38.5 s kept, RPE 7.5, stopped by"
        " grip, on 2 March 2026.\n"
        "Felt: lats (left, exhale, 6); ribs.\n"
        "Note: slow [/] day\n"
    ) == answer.out
    assert "added" == session["kind"]
    expected = {
        "exercise": "hang",
        "set": 1,
        "target_s": 40.0,
        "held_s": 42.0,
        "kept_s": 38.5,
        "ended_by": "added",
        "stopped_by": "grip",
        "confirmed": True,
        "rpe": 7.5,
        "note": "slow [/] day",
        "pain": [],
    }
    assert expected == {key: hold[key] for key in expected}
    assert [
        {"site": "lats", "side": "left", "moment": "exhale", "strength": 6.0},
        {"site": "ribs", "side": None, "moment": None, "strength": None},
    ] == [
        {key: felt[key] for key in ("site", "side", "moment", "strength")}
        for felt in hold["felt"]
    ]


def test_what_is_not_said_stays_empty(cli: Cli) -> None:
    """No answer is made up for what the person left out."""
    cli.ok("add", "hang", "--held", "30")
    hold = sessions(cli)[0]["holds"][0]

    for key in ("target_s", "kept_s", "stopped_by", "rpe"):
        assert hold[key] is None
    assert ([], [], "") == (hold["felt"], hold["pain"], hold["note"])


def test_pain_is_logged_and_said_to_be_no_stretch(cli: Cli) -> None:
    """Pain is data, and the person hears what it means."""
    answer = cli("add", "hang", "--held", "9", "--pain", "hand=numb", "--pain", "dizzy")
    hold = sessions(cli)[0]["holds"][0]

    assert 0 == answer.code
    assert "Pain: numbness in the hand; dizziness.\n" in answer.out
    assert "pain is never a stretch" in answer.err
    assert [("numb", "hand"), ("dizzy", None)] == [
        (pain["kind"], pain["site"]) for pain in hold["pain"]
    ]


def test_holds_of_one_visit_become_one_session(cli: Cli) -> None:
    """Within two hours it is the same session; the next day it is another."""
    cli.ok("add", "hang", "--held", "30")
    cli.clock.advance(1800)
    cli.ok("add", "hang", "--held", "28")
    cli.day(1)
    cli.ok("add", "hang", "--held", "27")

    assert [[1, 2], [1]] == [
        [hold["set"] for hold in session["holds"]] for session in sessions(cli)
    ]


def test_a_date_alone_joins_that_days_only_session_else_noon(cli: Cli) -> None:
    """``--on DATE`` needs no time; ``--on DATETHH:MM`` keeps the one given."""
    cli.ok("add", "hang", "--held", "30", "--on", "2026-02-27T08:15")
    cli.ok("add", "press-pike", "--held", "20", "--on", "2026-02-27")
    cli.ok("add", "hang", "--held", "25", "--on", "2026-02-20")
    by_day = {session["local_date"]: session for session in sessions(cli)}

    assert ["hang", "press-pike"] == [
        hold["exercise"] for hold in by_day["2026-02-27"]["holds"]
    ]
    assert "T08:15" in by_day["2026-02-27"]["started_at"]
    assert "T12:00" in by_day["2026-02-20"]["started_at"]


@pytest.fixture(autouse=True)
def _utc(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let local times of this module be UTC on every machine."""
    import time

    monkeypatch.setenv("TZ", "UTC")
    if hasattr(time, "tzset"):
        time.tzset()


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["hagn", "--held", "3"], "There is no exercise 'hagn'. Did you mean hang?"),
        (["hang"], "Missing option '--held'."),
        (["hang", "--held", "-3"], "--held: -3 is out of bounds"),
        (["hang", "--held", "4000"], "--held: 4000 is out of bounds"),
        (["hang", "--held", "30", "--kept", "31"], "--kept 31 is more than --held 30"),
        (["hang", "--held", "30", "--target", "0"], "--target: 0 is out of bounds"),
        (["hang", "--held", "30", "--rpe", "11"], "--rpe: 11 is out of bounds"),
        (["hang", "--held", "30", "--felt", "lat"], "--felt: 'lat' is not a site."),
        (["hang", "--held", "30", "--pain", "knee"], "--pain: 'knee' is not a site"),
        (["hang", "--held", "30", "--stopped-by", "grp"], "Did you mean grip?"),
        (["hang", "--held", "30", "--on", "2026-03-03"], "2026-03-03 is in the future"),
        (["hang", "--held", "30", "--feet", "toes"], "--feet goes with hang-supported"),
        (["hang", "--held", "30", "--note", "x" * 2001], "--note: It has 2001 charac"),
        (["hang", "--held", "3", "--hld", "3"], "No such option '--hld'."),
        (["hang", "--held", "3", "\x1b[31mextra"], "unexpected extra argument"),
    ],
)
def test_bad_input_is_one_sentence_exit_2_and_nothing_logged(
    cli: Cli, arguments: list[str], sentence: str
) -> None:
    """A usage fault is one line on stderr that says what to do; nothing changes."""
    answer = cli("add", *arguments)

    assert 2 == answer.code
    assert "" == answer.out
    assert answer.err.startswith("trainer: error: ")
    assert sentence in answer.err
    assert 1 == answer.err.count("\n")
    assert "\x1b" not in answer.err
    assert [] == sessions(cli)


HOSTILE = (
    "[/]",
    "[@click=app.quit]x[/]",
    "\x1b[2J\x1b]0;title\x07gone",
    "=HYPERLINK(1)",
    "\u202eesrever",
    "two\nlines",
    "a\x9b31mb",
    "null\x00byte",
)


@pytest.mark.parametrize("note", HOSTILE)
def test_a_hostile_note_is_data_everywhere(cli: Cli, note: str) -> None:
    """A note reaches no terminal as a command, and loses no printable character."""
    cli.ok("add", "hang", "--held", "30", "--note", note)
    shown = [
        cli.ok("data", "export").out,
        cli.ok("next").out,
        cli.ok("undo", "--yes").out,
    ]

    for text in shown:
        assert not set(text) & set("\x1b\x07\x9b\x00\u202e")
    if note.isprintable():
        assert note in shown[0]


def test_undo_takes_back_one_thing_after_the_other(cli: Cli) -> None:
    """Hold, rest week, one command's plan and target together; then nothing is left."""
    before = cli.ok("plan", "show").out
    cli.ok("plan", "set", "hang-supported", "--sets", "5", "--target", "25")
    cli.clock.advance(1)
    cli.ok("rest-week", "2026-W12")
    cli.clock.advance(1)
    cli.ok("add", "hang", "--held", "30")

    took = [cli.ok("undo", "--yes").out for _ in range(4)]
    assert (
        "Taken back: Passive hang, 30 s held, on 2 March 2026, added by hand.\n"
        == took[0]
    )
    assert "Taken back: the rest week of 16 March 2026 (2026-W12).\n" == took[1]
    assert (
        "Taken back: the change of the plan, in force from 2 March 2026, with the"
        " target of 25 s for Supported hang.\n"
    ) == took[2]
    assert "There is nothing to take back.\n" == took[3]
    assert before == cli.ok("plan", "show").out
    assert [] == sessions(cli)


def test_undo_asks_where_somebody_can_answer(
    cli: Cli, answers: Callable[[str], None]
) -> None:
    """No leaves it, yes takes it back; without a terminal --yes is asked for."""
    cli.ok("add", "hang", "--held", "30")
    unasked = cli("undo")
    answers("n\n")
    no = cli("undo")
    answers("y\n")
    yes = cli("undo")

    assert 2 == unasked.code
    assert "Add --yes" in unasked.err
    assert (0, "Left as it is.\n") == (no.code, no.out)
    assert "Take back Passive hang, 30 s held" in no.err
    assert "Taken back: " in yes.out


def test_a_rest_week_can_be_set_and_undone(cli: Cli) -> None:
    """Setting it twice is setting it once; the days are said."""
    assert (
        "The week of 16 March 2026 (2026-W12) is now a rest week.\n"
        == cli.ok("rest-week", "2026-W12").out
    )
    assert "nothing changed" in cli.ok("rest-week", "2026-W12").out
    assert ["2026-W12"] == cli.ok("data", "export").json["rest_weeks"]
    assert "an ordinary week" in cli.ok("rest-week", "2026-W12", "--undo").out
    assert [] == cli.ok("data", "export").json["rest_weeks"]
    assert 2 == cli("rest-week", "2026-W60").code


@pytest.mark.parametrize("week", ["9999-W52", "0001-W01"])
def test_a_week_outside_the_calendar_is_refused_and_nothing_written(
    cli: Cli, week: str
) -> None:
    """One sentence, exit 2; what reads the weeks afterwards still works."""
    for arguments in (("rest-week", week), ("next", "--week", week)):
        answer = cli(*arguments)

        assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert [] == cli.ok("data", "export").json["rest_weeks"]
    assert 0 == cli("review").code


class TestLogList:
    """What was done, newest first, each hold with a number that stays."""

    def test_a_hold_is_named_by_its_number(self, cli: Cli) -> None:
        """Two exercises of a session, newest session first, numbers as logged."""
        cli.ok("add", "hang", "--held", "30", "--target", "30", "--rpe", "7.5")
        cli.ok("add", "press-pike", "--held", "20", "--felt", "lats:left@exhale=6")
        cli.day(2)
        cli.ok("add", "hang", "--held", "31.9", "--note", "easy [/]")
        cli.ok("undo", "--yes")
        cli.ok("add", "hang", "--held", "28", "--stopped-by", "grip")

        lines = cli.ok("log", "list").out.splitlines()

        assert lines[0].startswith("Wednesday 4 March 2026  Passive hang")
        assert "     4  set 1  28 s held, stopped by grip" == lines[1]
        assert "     1  set 1  30 s held of 30 s, RPE 7.5" in lines
        assert "     2  set 1  20 s held, felt lats (left, exhale, 6)" in lines

    def test_as_json_with_the_keys_of_the_export(self, cli: Cli) -> None:
        """One entry for each exercise of a session; its holds as in the export."""
        cli.ok("add", "hang", "--held", "30")
        (entry,) = cli.ok("log", "list", "--json").json
        (session,) = cli.ok("data", "export").json["sessions"]

        assert {
            "number": 1,
            "uid": session["uid"],
            "day": "2026-03-02",
            "exercise": "hang",
            "kind": "added",
            "holds": [{"number": 1, **session["holds"][0]}],
        } == entry

    def test_only_the_last_weeks(self, cli: Cli) -> None:
        """The running week is the first of them."""
        cli.ok("add", "hang", "--held", "30", "--on", "2026-02-20")
        cli.ok("add", "hang", "--held", "31", "--on", "2026-02-28")

        assert 1 == len(cli.ok("log", "list", "--weeks", "2", "--json").json)
        assert "No holds in these weeks.\n" == cli.ok("log", "list", "--weeks", "1").out


class TestLogCorrect:
    """A hold is corrected by its number, and that can be taken back."""

    def test_what_was_given_is_changed_and_undone(self, cli: Cli) -> None:
        """Lowering held lowers kept; undo gives the former figures back, once."""
        cli.ok("add", "hang", "--held", "30", "--kept", "30", "--felt", "lats")
        before = cli.ok("log", "list", "--json").json[0]["holds"][0]
        cli.day(1e-4)
        said = cli.ok("log", "correct", "1", "--held", "25", "--pain", "wrist").out
        cli.day(1e-4)
        after = cli.ok("log", "list", "--json").json[0]["holds"][0]

        assert "Now: 25 s held, 25 s kept, felt lats, pain in the wrist." in said
        assert (25.0, 25.0) == (after["held_s"], after["kept_s"])
        assert before["felt"] == after["felt"]
        undone = cli.ok("undo", "--yes").out
        assert "Taken back: the correction of Passive hang on 2 March 2026.\n" == undone
        again = cli.ok("log", "list", "--json").json[0]["holds"][0]
        stamps = ("updated_at",)
        assert {k: v for k, v in before.items() if k not in stamps} == {
            k: v for k, v in again.items() if k not in stamps
        }
        assert "Taken back: Passive hang, 30 s held" in cli.ok("undo", "--yes").out

    @pytest.mark.parametrize(
        ("arguments", "said"),
        [
            (("9", "--held", "3"), "There is no hold 9"),
            (("1",), "There is nothing to correct"),
            (("1", "--kept", "31"), "--kept 31 is more than the 30 s held"),
            (("1", "--feet", "half"), "--feet goes with hang-supported"),
            (("x", "--held", "3"), "x"),
        ],
    )
    def test_bad_input_changes_nothing(
        self, cli: Cli, arguments: tuple[str, ...], said: str
    ) -> None:
        """One sentence, exit 2, and the hold as it was."""
        cli.ok("add", "hang", "--held", "30")
        before = cli.ok("log", "list", "--json").json
        answer = cli("log", "correct", *arguments)

        assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
        assert said in answer.err
        assert before == cli.ok("log", "list", "--json").json

    def test_an_answer_can_be_made_empty(self, cli: Cli) -> None:
        """--clear takes an answer out."""
        cli.ok("add", "hang", "--held", "30", "--rpe", "8", "--felt", "ribs")
        cli.ok("log", "correct", "1", "--clear", "rpe", "--clear", "felt")
        hold = cli.ok("log", "list", "--json").json[0]["holds"][0]

        assert (None, []) == (hold["rpe"], hold["felt"])


def test_a_reading_command_makes_no_file(cli: Cli) -> None:
    """It says that there is none, and goes on as with an empty one."""
    cli.db.unlink()
    for arguments in (("next",), ("review",), ("plan", "show"), ("log", "list")):
        answer = cli(*arguments)

        assert (0, 1) == (answer.code, answer.err.count("\n")), arguments
        assert "There is no data file yet" in answer.err
    for arguments in (("data", "check"), ("data", "export")):
        assert 3 == cli(*arguments).code
    assert not cli.db.exists()
