"""What the session screen says, without a screen: figures, instructions, log lines."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.tui.session.session_rig import one_set
from trainer.core.cues.cues import Cue
from trainer.core.exercises import BUILT_IN
from trainer.core.model import Felt, Moment, SessionKind, Side, Site
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.events import AnswerHeld, AnyKey, Start, Tick
from trainer.core.session.machine import begin, step
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.core.session.state import Phase, SessionState
from trainer.tui.keymap import KEYS, SESSION_KEYS, shown
from trainer.tui.session.drawing import felt_words
from trainer.tui.session.face import face, instruction, left, past
from trainer.tui.session.log_lines import log_lines


def at(
    seconds: float,
    *,
    key_at: float | None = None,
    planned: ProgramSet | None = None,
    kind: SessionKind = SessionKind.PLAN,
) -> SessionState:
    """Give a session of one hang of 30 s (set-up 10 s), so many seconds after Start."""
    program = SessionProgram(kind=kind, sets=(planned or one_set("hang", 30),))
    state, _ = step(begin(program), Start(), 0.0)
    if key_at is not None:
        state, _ = step(state, AnyKey(), key_at)
    state, _ = step(state, Tick(), seconds)
    return state


@pytest.mark.parametrize(
    ("seconds", "shows"), [(3.0, "3"), (2.999, "3"), (2.0, "2"), (0.4, "1"), (0.0, "0")]
)
def test_a_countdown_changes_with_the_tick_that_is_heard(
    seconds: float, shows: str
) -> None:
    """The tick at three seconds left turns the figure to 3, and there it stays."""
    assert shows == left(seconds)


@pytest.mark.parametrize(
    ("seconds", "shows"), [(0.0, "0"), (12.99, "12"), (13.0, "13")]
)
def test_seconds_held_are_rounded_down(seconds: float, shows: str) -> None:
    """Nothing that wasn't held is shown."""
    assert shows == past(seconds)


@given(seconds=st.floats(0, 60))
def test_every_moment_has_its_word_and_figure(seconds: float) -> None:
    """Whatever the moment, the state has a word, and the figure can be drawn."""
    seen = face(at(seconds), seconds)

    assert seen.word
    assert set(seen.figure) <= set("0123456789")


def test_the_instruction_changes_every_two_breaths() -> None:
    """A hang of 60 s has six breaths of 10 s: three lines, then from the start."""
    planned = one_set("hang", 60)
    lines = BUILT_IN["hang"].instructions

    assert list(lines) == [instruction(planned, each) for each in (0, 20, 40)]
    assert lines[0] == instruction(planned, 19.9)


def test_a_hold_too_short_to_lead_has_an_instruction_too() -> None:
    """Under four seconds no breath is led; the first line stands."""
    assert BUILT_IN["hang"].instructions[0] == instruction(one_set("hang", 3), 1.0)


def test_the_figure_turns_from_go_up_on() -> None:
    """Who gets in place still stands upright: the seconds turn with the person."""
    turned = ("hang",)

    assert not face(at(6.5), 6.5, turned).turned
    assert face(at(7.5), 7.5, turned).turned
    assert face(at(12), 12, turned).turned
    assert not face(at(41), 41, turned).turned


def test_the_log_says_how_the_seconds_came_about() -> None:
    """A key, less the allowance; corrected since, it says that too."""
    state = at(31, key_at=30)
    draft = state.open_hold
    assert draft is not None
    held = log_lines(state, draft, key_of=lambda id_: id_)[0]
    assert ("17 s of 30", "key at 20 s, less 3 s allowance") == (
        held.answer,
        held.remark,
    )

    corrected, _ = step(state, AnswerHeld(held_s=15.0), 32)
    draft = corrected.open_hold
    assert draft is not None
    held = log_lines(corrected, draft, key_of=lambda id_: id_)[0]
    assert "key at 20 s, less 3 s allowance, corrected" == held.remark


def test_the_log_opens_with_the_come_out_and_not_before() -> None:
    """In a set-up and in a hold there is nothing to say anything of."""
    assert at(5).open_hold is None
    assert at(20).open_hold is None
    assert at(41).open_hold is not None
    assert at(60).open_hold is not None
    assert Phase.DONE is at(60).phase


def test_places_in_words() -> None:
    """What wasn't said isn't in the words either."""
    felt = Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 6.0)

    assert "lats, left, only with the exhale, 6" == felt_words(felt)
    assert "lats" == felt_words(Felt(Site.LATS))
    assert "between the blades" == felt_words(Felt(Site.BETWEEN_BLADES))
    assert not [site for site in Site if "-" in site.words]


def test_no_key_of_the_session_means_two_things() -> None:
    """On the page and on each drawing every key is given once, and has its sentence."""
    for where in ("session", "drawing", "hurt"):
        rows = [row for row in SESSION_KEYS if row[0].startswith(f"{where}.")]
        keys = [key for row in rows for key in row[1].split(",")]

        assert sorted(set(keys)) == sorted(keys)
        assert all(row[3].endswith(".") for row in rows)


def test_space_enter_arrows_and_page_keys_are_free_in_a_hold() -> None:
    """What a remote or a pedal sends is given to nothing that works in a hold."""
    free = {"space", "enter", "up", "down", "left", "right", "pageup", "pagedown"}
    in_a_hold = ("session.turn", "session.out", "session.end")
    taken = {shown(key) for id_ in in_a_hold for key in KEYS[id_].keys.split(",")}

    assert set() == free & taken


def test_a_coachs_cue_comes_first() -> None:
    """Before the exercise's own lines in the hold, and in the set-up already."""
    planned = one_set("hang", 30, cue="Ribs down")
    own = BUILT_IN["hang"].instructions

    assert ["Ribs down", *own[:1]] == [instruction(planned, each) for each in (0, 20)]
    assert "Cue: Ribs down" == face(at(2, planned=planned), 2).cue


@pytest.mark.parametrize(
    ("exercise", "left"), [("hang", "one breath"), ("press-pike", "two breaths")]
)
def test_a_test_says_that_it_is_one_and_when_to_come_down(
    exercise: str, left: str
) -> None:
    """In the set-up and all through the hold, which counts up what is held."""
    planned = one_set(exercise, 45)
    says = f"TEST: come down with {left} left."
    in_hold_s = planned.exercise.setup_s + 12
    state = at(in_hold_s, planned=planned, kind=SessionKind.TEST)
    hold = face(state, in_hold_s)

    assert says == face(at(2, planned=planned, kind=SessionKind.TEST), 2).cue
    assert (says, "12", "test") == (hold.line, hold.figure, hold.place)


@pytest.mark.parametrize(("exercise", "breaths"), [("hang", 1), ("press-pike", 2)])
def test_a_test_is_heard_to_be_one(exercise: str, breaths: int) -> None:
    """The ear gets what the screen says, which nobody sees in a hold."""
    planned = one_set(exercise, 45)
    heard = cue_sheet(at(2, planned=planned, kind=SessionKind.TEST))
    as_planned = cue_sheet(at(2, planned=planned))

    assert [breaths] * 4 == [cue.stride for cue in heard if cue.cue is Cue.TEST]
    assert Cue.TEST not in {cue.cue for cue in as_planned}
