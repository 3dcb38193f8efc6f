"""``trainer plan``: shown, changed, written to a file and read from one."""

from __future__ import annotations

import io
from collections.abc import Callable
from pathlib import Path

import pytest

from tests.cli.conftest import Cli
from trainer.cli.context import CliContext
from trainer.core.answers import HEAD_UP, YES

SHOWN = """\
Mon Wed Fri, in-turn, warm-up 240 s

Supported hang (hang-supported in commands)
  target 20 s
  3 sets, start 20 s, rest 60 s, step 5 s, cap 60 s, floor 10 s
  end of hold stop, breathing 4:6

Press-away, push-up position (press-pushup in commands)
  target 20 s
  3 sets, start 20 s, rest 90 s, step 5 s, cap 60 s, floor 10 s
  end of hold stop, breathing 4:6

The hardest that may be offered: Supported hang and Press-away, push-up position.\
 Questions are open: trainer plan questions.
"""


def well(cli: Cli) -> None:
    """Answer that neither shoulders nor eyes nor blood pressure hold anything back."""
    cli.ok("plan", "questions", "--answer", "shoulder=no", "--answer", "head-up=no")


def test_a_newcomers_plan_reads_as_agreed(cli: Cli) -> None:
    """Three days, in turn, one hang and one press, three sets, from 20 s to 60 s."""
    assert SHOWN == cli.ok("plan", "show").out


def test_the_plan_as_json_has_units_in_its_names(cli: Cli) -> None:
    """One document with the plan's figures and the targets in force."""
    plan = cli.ok("plan", "show", "--json").json

    assert [1, 3, 5] == plan["days"]
    assert {"hang-supported": 20.0, "press-pushup": 20.0} == plan["targets"]
    assert {"exercise", "sets", "start_s", "rest_s", "step_s", "cap_s", "floor_s"} <= (
        set(plan["exercises"][0])
    )


def test_a_figure_set_is_said_and_stays(cli: Cli) -> None:
    """``plan set`` says each figure before and after; the others stay as they were."""
    answer = cli.ok(
        "plan", "set", "hang-supported", "--target", "30", "--sets", "4", "--pattern",
        "4:8", "--cue", "ribs down",
    )  # fmt: skip
    plan = cli.ok("plan", "show", "--json").json

    assert (
        "Supported hang: sets 3 → 4\nSupported hang: breathing 4:6 → 4:8\n"
        "Supported hang: cue none → ribs down\nSupported hang: target 20 → 30 s\n"
    ) == answer.out
    assert 30.0 == plan["targets"]["hang-supported"]
    assert (4, 60.0) == (plan["exercises"][0]["sets"], plan["exercises"][0]["rest_s"])


def test_a_target_keeps_who_set_it(cli: Cli) -> None:
    """A target set by hand is the person's, unless it is said to be the coach's."""
    cli.ok("plan", "set", "hang-supported", "--target", "30")
    cli.clock.advance(1)
    cli.ok("plan", "set", "hang-supported", "--target", "35", "--by", "coach")
    targets = cli.ok("data", "export").json["targets"]

    assert ["person", "coach"] == [target["author"] for target in targets]


def test_an_exercise_is_added_and_taken_out(cli: Cli) -> None:
    """``--add`` puts in one that isn't planned; the last one can't be taken out."""
    well(cli)
    added = cli.ok("plan", "set", "press-pike", "--add", "--sets", "2")
    gone = cli.ok("plan", "set", "hang-supported", "--remove")
    cli.ok("plan", "set", "press-pushup", "--remove")
    last = cli("plan", "set", "press-pike", "--remove")

    assert "Pike press-away: added, 2 × 20 s, rest 90 s\n" == added.out
    assert "Supported hang: taken out of the plan\n" == gone.out
    assert 2 == last.code
    assert "the plan's only exercise" in last.err


@pytest.mark.parametrize(
    ("arguments", "sentence"),
    [
        (["hang-supported"], "There is nothing to set"),
        (["hnag", "--sets", "3"], "Did you mean hang?"),
        (["hang", "--target", "301"], "--target: 301 is out of bounds"),
        (["hang", "--sets", "2.5"], "--sets: 2.5 is not whole"),
        (["hang", "--step", "16"], "--step: 16 is out of bounds"),
        (
            ["hang-supported", "--cap", "5"],
            "Supported hang: the floor, 10 s, is over the cap, 5 s",
        ),
        (
            ["hang-supported", "--start", "80"],
            "Supported hang: the start, 80 s, is over the cap, 60 s",
        ),
        (
            ["hang-supported", "--start", "5"],
            "Supported hang: the floor, 10 s, is over the start, 5 s",
        ),
        (["hang-supported", "--pattern", "4:20"], "a breath out of 20 s"),
        (
            ["press-wall", "--add", "--anyway", "--end", "stay"],
            "may not go on past its target",
        ),
        (
            ["press-pike", "--target", "30"],
            "Pike press-away is not in the plan, which has Supported hang and Push-up"
            " press-away."
            " To put it in, add --add.",
        ),
        (
            ["press-wall", "--add"],
            "the first-day answers don't say that you walk up and down the wall",
        ),
        (["hang", "--remove"], "Passive hang is not in the plan"),
        (["hang", "--remove", "--sets", "2"], "--remove takes no figures"),
    ],
)
def test_a_bad_figure_is_one_sentence_and_changes_nothing(
    cli: Cli, arguments: list[str], sentence: str
) -> None:
    """Each fault is said on one line, exit 2, and the plan stays as it was."""
    answer = cli("plan", "set", *arguments)

    assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert sentence in answer.err
    assert SHOWN == cli.ok("plan", "show").out


def test_what_is_too_hard_goes_in_only_anyway_with_its_caution(cli: Cli) -> None:
    """The wall isn't offered to somebody who never answered: said, and said again."""
    refused = cli("plan", "set", "press-wall", "--add")
    taken = cli("plan", "set", "press-wall", "--add", "--anyway")

    assert "nobody has answered" in refused.err
    assert "Answer the first day's questions: trainer plan questions." in refused.err
    assert "To go on all the same, at your own risk, add --anyway" in refused.err
    assert 0 == taken.code
    assert "Wall press-away: added" in taken.out
    assert "the first time with somebody by" in taken.err


def test_the_head_stays_up_after_the_answer(cli: Cli) -> None:
    """A pike is head-down too: an eye or blood-pressure caution refuses it."""
    with CliContext(environ={"TRAINER_DB": str(cli.db)}).open_store() as store:
        store.set_answer(HEAD_UP, YES)
    refused = cli("plan", "set", "press-pike", "--add")

    assert 2 == refused.code
    assert "an eye or blood-pressure caution keeps the head up" in refused.err
    assert 0 == cli("plan", "set", "press-pushup", "--target", "25").code


def test_one_undo_takes_back_the_whole_command(cli: Cli) -> None:
    """Plan and target came with one command, and go with one."""
    cli("plan", "set", "press-pike", "--add", "--target", "25", "--anyway")
    undone = cli.ok("undo", "--yes").out

    assert "with the target of 25 s for Pike press-away" in undone
    assert SHOWN == cli.ok("plan", "show").out


@pytest.mark.parametrize(
    "arguments",
    [
        ["--cap", "90", "--start", "80"],
        ["--start", "80", "--cap", "90"],
    ],
)
def test_the_order_of_the_figures_does_not_matter(
    cli: Cli, arguments: list[str]
) -> None:
    """A start over the old cap goes with a new cap, whichever is named first."""
    cli.ok("plan", "set", "hang-supported", *arguments)

    assert "start 80 s, rest 60 s, step 5 s, cap 90 s" in cli.ok("plan", "show").out


def test_a_plan_saved_and_used_again_changes_nothing(cli: Cli, tmp_path: Path) -> None:
    """What ``plan save`` writes, ``plan use`` reads back as the same plan."""
    file = tmp_path / "plan.toml"
    cli.ok("plan", "set", "hang-supported", "--target", "30", "--cue", 'say "ribs"')
    saved = cli.ok("plan", "save", str(file))

    assert ("", f"Written: {file}\n") == (saved.out, saved.err)
    assert "This plan changes nothing.\n" == cli.ok("plan", "use", str(file)).out
    assert 2 == cli("plan", "save", str(file)).code
    assert file.read_text("utf-8") == cli.ok("plan", "save", "-").out


def test_a_coachs_plan_is_shown_then_taken(
    cli: Cli, tmp_path: Path, answers: Callable[[str], None]
) -> None:
    """The difference comes first; no leaves the plan, yes takes plan and targets."""
    file = tmp_path / "coach.toml"
    file.write_text(
        '[[exercise]]\nid = "hang-supported"\ntarget_s = 35\nsets = 4\n'
        '[[exercise]]\nid = "press-pushup"\n'
    )
    expected = "Supported hang: sets 3 → 4\nSupported hang: target 20 → 35 s\n"
    unasked = cli("plan", "use", str(file))
    dry = cli.ok("plan", "use", str(file), "--dry-run")
    answers("n\n")
    no = cli("plan", "use", str(file))

    assert (2, expected) == (unasked.code, unasked.out)
    assert expected == dry.out
    assert expected + "Left as it is.\n" == no.out
    assert SHOWN == cli.ok("plan", "show").out

    taken = cli.ok("plan", "use", str(file), "--yes")
    plan = cli.ok("plan", "show", "--json").json
    assert expected + "Taken.\n" == taken.out
    assert (4, 35.0) == (
        plan["exercises"][0]["sets"],
        plan["targets"]["hang-supported"],
    )
    (target,) = cli.ok("data", "export").json["targets"]
    assert "coach" == target["author"]


def test_an_own_exercise_from_a_plan_can_be_logged(cli: Cli, tmp_path: Path) -> None:
    """What a plan brings along is an exercise like the others."""
    well(cli)
    file = tmp_path / "own.toml"
    file.write_text(
        '[[exercise]]\nid = "doorway"\n'
        '[[own]]\nid = "doorway"\nname = "Doorway lean"\nallowance_s = 1\n'
    )
    cli.ok("plan", "use", str(file), "--yes")
    cli.ok("add", "doorway", "--held", "40", "--rpe", "6")

    assert "Doorway lean, the week of 9 March: " in cli.ok("next").out
    assert "Doorway lean (doorway in commands)" in cli.ok("plan", "show").out


@pytest.mark.parametrize(
    ("text", "sentence"),
    [
        ("[[exercise]]\nid = 'hagn'", "line 2, key exercise.id: 'hagn' is not one of"),
        ("[[exercise]\nid = 'hang'", "line 1: "),
        (None, "can't be read: no such file"),
    ],
)
def test_a_bad_plan_file_is_one_sentence_and_changes_nothing(
    cli: Cli, tmp_path: Path, text: str | None, sentence: str
) -> None:
    """File, line and key are said; the plan in force stays."""
    file = tmp_path / "bad.toml"
    if text is not None:
        file.write_text(text)
    answer = cli("plan", "use", str(file), "--yes")

    assert (2, "", 1) == (answer.code, answer.out, answer.err.count("\n"))
    assert sentence in answer.err
    assert "bad.toml" in answer.err
    assert SHOWN == cli.ok("plan", "show").out


def test_what_a_plan_would_change_comes_as_json(cli: Cli, tmp_path: Path) -> None:
    """A dry run gives the sentences and the plan that would come; nothing is taken."""
    file = tmp_path / "plan.toml"
    cli.ok("plan", "save", str(file))
    cli.ok("plan", "set", "hang-supported", "--sets", "5")
    before = cli.ok("plan", "show").out
    document = cli.ok("plan", "use", str(file), "--dry-run", "--json").json

    assert {"changes", "held_back", "plan", "targets"} == set(document)
    assert [] == document["held_back"]
    assert [True] == ["Supported hang" in line for line in document["changes"]]
    assert 3 == document["plan"]["exercises"][0]["sets"]
    assert before == cli.ok("plan", "show").out
    assert 2 == cli("plan", "use", str(file), "--json").code


def test_the_questions_are_answered_without_a_screen(cli: Cli) -> None:
    """Each by its key; what stays open counts as the careful answer."""
    assert {"hang": "hang-supported", "press": "press-pushup"} == (
        cli.ok("plan", "questions", "--json").json["top"]
    )

    well(cli)
    cli.ok("plan", "questions", "--answer", "wall-unhurried=yes")
    free = cli.ok("plan", "questions", "--json").json
    cli.ok("plan", "questions", "--answer", "shoulder=yes")
    careful = cli.ok("plan", "questions", "--json").json["top"]
    agreed = cli.ok(
        "plan", "questions", "--answer", "clinician-agreed=yes", "--json"
    ).json
    cli.ok("plan", "questions", "--answer", "shoulder=open")
    again = cli.ok("plan", "questions", "--json").json

    assert {"hang": "hang", "press": "press-wall"} == free["top"] == agreed["top"]
    assert {"hang": "hang-supported", "press": "press-pushup"} == careful
    assert agreed["clinician_agreed_on"] is not None
    assert "open" == {q["key"]: q["answer"] for q in again["questions"]}["shoulder"]
    assert "The hardest that may be offered: Supported hang" in (
        cli.ok("plan", "questions").out
    )


@pytest.mark.parametrize(
    ("answer", "sentence"),
    [
        ("shuolder=no", "There is no question 'shuolder'"),
        ("shoulder=perhaps", "'perhaps' is no answer to shoulder"),
        ("shoulder", "'' is no answer to shoulder"),
    ],
)
def test_a_wrong_answer_says_what_may_be_said(
    cli: Cli, answer: str, sentence: str
) -> None:
    """One sentence, the way on, and nothing kept."""
    wrong = cli("plan", "questions", "--answer", answer)

    assert 2 == wrong.code
    assert sentence in wrong.err
    assert "Say shoulder=yes" in wrong.err or "The questions are: " in wrong.err


def test_a_plan_file_says_what_is_held_back_before_it_is_taken(
    cli: Cli, tmp_path: Path
) -> None:
    """Sixty seconds of the wall don't come in by a file without a word."""
    file = tmp_path / "wall.toml"
    file.write_text('[[exercise]]\nid = "press-wall"\ntarget_s = 60\n')
    shown = cli.ok("plan", "use", str(file), "--dry-run")
    dry = cli.ok("plan", "use", str(file), "--dry-run", "--json").json
    refused = cli("plan", "use", str(file), "--yes")
    before = cli.ok("plan", "show").out
    taken = cli("plan", "use", str(file), "--yes", "--anyway")

    assert "Held back: Press-away, chest to the wall" in shown.out
    assert {"shoulder", "head-up", "wall"} == {e["reason"] for e in dry["held_back"]}
    assert 2 == refused.code
    assert SHOWN == before
    assert 0 == taken.code
    assert "(press-wall in commands)" in cli.ok("plan", "show").out


def test_what_stands_in_a_plan_stays_and_next_says_so(cli: Cli) -> None:
    """Past the gate from before: nothing takes it out, and Start's question is told."""
    cli("plan", "set", "press-pike", "--add", "--anyway")
    cli.ok("plan", "set", "press-pike", "--sets", "2")
    (pike,) = [
        each
        for each in cli.ok("next", "--json").json
        if each["exercise"] == "press-pike"
    ]

    assert any("Start asks about it." in each for each in pike["cautions"])


def test_a_plan_comes_on_stdin(
    cli: Cli, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    """``plan use -`` reads what another program writes."""
    text = (
        'coach = "Kim (made up)"\nrest_weeks = ["2026-W14"]\n'
        '[[exercise]]\nid = "hang-supported"\nsets = 4\ntarget_s = 70\n'
    )
    monkeypatch.setattr("sys.stdin", io.TextIOWrapper(io.BytesIO(text.encode())))

    taken = cli("plan", "use", "-", "--yes")
    assert (
        "coach: none → Kim (made up)\nSupported hang: sets 3 → 4\n"
        "Supported hang: target 20 → 70 s, over its cap, 60 s\n"
        "rest week: the week of 30 March (2026-W14)\nTaken.\n"
    ) == taken.out
    assert ["2026-W14"] == cli.ok("data", "export").json["rest_weeks"]
    assert "Coach: Kim (made up)\n" in cli.ok("plan", "show").out


def test_a_plan_may_count_from_a_later_week(cli: Cli, tmp_path: Path) -> None:
    """What is in force until then stays; on that Monday the new plan is."""
    file = tmp_path / "plan.toml"
    file.write_text('first_week = "2026-W11"\ndays = ["tue"]\n')

    taken = cli.ok("plan", "use", str(file), "--yes").out
    assert "days: Mon Wed Fri → Tue\nin force from 9 Mar 2026 on\nTaken.\n" == taken
    assert [1, 3, 5] == cli.ok("plan", "show", "--json").json["days"]
    cli.day(7)
    assert [2] == cli.ok("plan", "show", "--json").json["days"]


def test_every_fault_of_a_plan_file_is_a_line(cli: Cli, tmp_path: Path) -> None:
    """All at once on stderr, exit 2, and nothing is changed."""
    file = tmp_path / "plan.toml"
    file.write_text('days = ["mom"]\norder = in-turn\nwarm_up_s = 30s\n')
    before = cli.ok("plan", "show", "--json").json
    answer = cli("plan", "use", str(file), "--yes")

    assert (2, "", 3) == (answer.code, answer.out, answer.err.count("\n"))
    assert before == cli.ok("plan", "show", "--json").json


def test_the_template_and_the_calendar_are_written(cli: Cli, tmp_path: Path) -> None:
    """Each to a file or to stdout; a file that is there stays unless asked."""
    cli.ok("add", "hang", "--held", "3")
    for command in (("save", "--template"), ("calendar",)):
        file = tmp_path / command[0]
        cli.ok("plan", *command, str(file))
        assert 2 == cli("plan", *command, str(file)).code
        cli.ok("plan", *command, str(file), "--yes")
        assert file.read_text("utf-8").splitlines() == (
            cli.ok("plan", *command, "-").out.splitlines()
        )
    assert "BEGIN:VCALENDAR" == (tmp_path / "calendar").read_text().splitlines()[0]


def test_every_change_of_the_plan_is_a_later_version_of_the_same_event(
    cli: Cli,
) -> None:
    """Set, a rest week, its undo, undo of the plan: one id, a sequence that rises."""
    seen = []
    for command in (
        ("plan", "set", "hang-supported", "--sets", "4"),
        ("rest-week", "2026-W12"),
        ("rest-week", "2026-W12", "--undo"),
        ("plan", "set", "hang-supported", "--sets", "5"),
        ("undo", "--yes"),
    ):
        cli.ok(*command)
        text = cli.ok("plan", "calendar", "-").out
        lines = dict(row.partition(":")[::2] for row in text.splitlines())
        seen.append((lines["UID"], int(lines["SEQUENCE"])))
        cli.clock.advance(60)

    assert 1 == len({uid for uid, _ in seen})
    assert sorted({number for _, number in seen}) == [number for _, number in seen]
