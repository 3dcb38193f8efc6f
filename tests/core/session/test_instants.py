"""What a key means at the very instant at which it begins or ceases to mean it."""

from __future__ import annotations

import pytest

from tests.core.session.sessions import Led, program, program_set
from trainer.core.cues.cues import Cue
from trainer.core.model import Pain, PainKind, Site
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.events import (
    AnswerPain,
    AnyKey,
    FalseStart,
    Gap,
    IllegalEventError,
    Journal,
    OverridePain,
    PauseSession,
    Ready,
    Resolve,
    Resume,
    Said,
    Skip,
    TakeBack,
)
from trainer.core.session.program import WarmUpMove
from trainer.core.session.state import (
    ENTER_IS_HABIT_S,
    FALSE_START_S,
    HEARD_AFTER_S,
    Phase,
)

SET_UP_S, HOLD_S, OUT_S, REST_S = 10.0, 20.0, 4.0, 60.0
"""Of the hang that ``program_set`` gives."""
ROUND_S = SET_UP_S + HOLD_S + OUT_S + REST_S
MOMENT_S = 0.001


def hangs(count: int) -> Led:
    """Lead a session of so many hangs, none of which anybody answers for."""
    return Led(program(*(program_set(set_number=n + 1) for n in range(count))))


def test_a_false_start_is_one_for_five_seconds() -> None:
    """Until just before the fifth second is over; not at it, nor outside a hold."""
    led = hangs(1)
    assert not led.state.can_be_false_start(led.now_s)
    led.wait(SET_UP_S)
    began_s = led.now_s

    assert led.state.can_be_false_start(began_s + FALSE_START_S - MOMENT_S)
    assert not led.state.can_be_false_start(began_s + FALSE_START_S)


def test_not_yet_after_a_false_start_leaves_its_undo() -> None:
    """The hold that was none can still be made one that counts, as a come-down."""
    led = hangs(2)
    led.wait(SET_UP_S + 4)
    led.send(FalseStart())
    led.send(AnyKey(), after_s=1)

    led.send(TakeBack())

    assert Phase.LOG_AND_REST is led.state.phase
    assert [1] == [draft.held_s for draft in led.state.kept_holds]


def test_down_earlier_may_be_said_for_the_length_of_the_way_down() -> None:
    """Three seconds after a hang that ended by itself, the third one included."""
    led = hangs(2)
    led.wait(SET_UP_S + HOLD_S)
    ended_s = led.now_s

    assert led.state.can_say_down_earlier(ended_s)
    assert led.state.can_say_down_earlier(ended_s + 3)
    assert not led.state.can_say_down_earlier(ended_s + 3 + MOMENT_S)
    led.send(AnyKey())
    assert not led.state.can_say_down_earlier(ended_s + 1)


def test_enter_is_habit_in_the_first_second_alone() -> None:
    """And only after a hold that ended by itself."""
    led = hangs(2)
    led.wait(SET_UP_S + HOLD_S)
    ended_s = led.now_s
    by_key = hangs(2)
    by_key.wait(SET_UP_S + 8)
    by_key.send(AnyKey())

    assert led.state.enter_is_habit(ended_s + ENTER_IS_HABIT_S - MOMENT_S)
    assert not led.state.enter_is_habit(ended_s + ENTER_IS_HABIT_S)
    assert not by_key.state.enter_is_habit(by_key.now_s)


def test_a_come_down_may_be_taken_back_until_the_hold_would_have_ended() -> None:
    """Just before the twentieth second; at it the machine refuses."""
    led = hangs(1)
    led.wait(SET_UP_S)
    began_s = led.now_s
    led.send(AnyKey(), after_s=18)

    assert led.state.can_take_back(began_s + HOLD_S - MOMENT_S)
    assert not led.state.can_take_back(began_s + HOLD_S)
    with pytest.raises(IllegalEventError):
        led.send(TakeBack(), after_s=2)


def test_a_hold_that_is_gone_on_with_is_journaled_from_where_it_is() -> None:
    """Let go at eight seconds and back at nine: nine at once, then ten and eleven."""
    led = hangs(1)
    led.wait(SET_UP_S + 8)
    led.send(AnyKey())
    led.send(TakeBack(), after_s=1)
    led.wait(2)

    assert [*range(1, 9), 9, 10, 11] == [one.draft.held_s for one in led.of(Journal)]


SET_CUES = (Cue.HOLD, Cue.TARGET, Cue.IN_THEN_DOWN, Cue.REST, Cue.REST_NEARLY_OVER)


def test_a_sets_sounds_are_the_same_from_its_set_up_to_its_rest() -> None:
    """Each at its time on the session's clock, whenever it is asked for."""
    led = hangs(2)
    hold_s = led.now_s + SET_UP_S
    sheets = []
    for phase in (Phase.SET_UP, Phase.HOLD, Phase.COME_OUT, Phase.LOG_AND_REST):
        while led.state.phase is not phase:
            led.wait(1)
        sheets.append(
            [(one.cue, one.at_s) for one in cue_sheet(led.state) if one.cue in SET_CUES]
        )

    assert [
        (Cue.HOLD, hold_s),
        (Cue.TARGET, hold_s + HOLD_S),
        (Cue.IN_THEN_DOWN, hold_s + HOLD_S + 1),
    ] == [one for one in sheets[0] if one[0] not in SET_CUES[3:]]
    assert (Cue.REST, hold_s + HOLD_S + OUT_S) in sheets[0]
    assert all(sheet == sheets[0] for sheet in sheets)


@pytest.mark.parametrize("falsely", [True, False])
def test_the_hold_after_one_that_was_none_takes_no_others_place(falsely: bool) -> None:
    """The second hang is a false start or was interrupted, and is held again: two."""
    led = hangs(2)
    led.wait(ROUND_S + SET_UP_S + 4)
    if falsely:
        led.send(FalseStart())
    else:
        led.send(Gap(since_s=led.now_s), after_s=60)
        led.send(Resolve(held_s=None))
    led.wait(ROUND_S)
    held = led.state.kept_holds

    assert [(0, 20.0), (1, 20.0)] == [(one.index, one.held_s) for one in held]
    assert 2 == len({one.serial for one in held})


def test_whoever_is_down_already_is_not_led_down() -> None:
    """After an early end an exhale says that the key was heard; nothing says down."""
    led = hangs(2)
    led.wait(SET_UP_S + 8)
    led.send(AnyKey())

    after = [
        (one.cue, one.at_s)
        for one in cue_sheet(led.state)
        if led.now_s <= one.at_s < led.now_s + OUT_S
    ]

    assert [(Cue.OUT, led.now_s)] == after


@pytest.mark.parametrize(
    ("after_s", "heard"),
    [
        (7, [(Cue.HOLD, 0, 0), (Cue.IN, 0, 4), (Cue.OUT, 4, 3)]),
        (
            12,
            [
                (Cue.HOLD, 0, 0),
                (Cue.IN, 0, 4),
                (Cue.OUT, 4, 6),
                (Cue.IN, 10, 2),
                (Cue.TEN_LEFT, 10, 0),
            ],
        ),
        (
            17.5,
            [
                (Cue.HOLD, 0, 0),
                (Cue.IN, 0, 4),
                (Cue.OUT, 4, 6),
                (Cue.IN, 10, 4),
                (Cue.TEN_LEFT, 10, 0),
                (Cue.OUT, 14, 3.5),
                (Cue.LAST_TICK, 17, 0),
            ],
        ),
    ],
)
def test_what_had_begun_before_an_early_end_stays_and_no_breath_outlasts_it(
    after_s: float, heard: list[tuple[Cue, float, float]]
) -> None:
    """A breath under way is cut at the key; what was still to come doesn't come."""
    led = hangs(2)
    began_s = led.now_s + SET_UP_S
    led.wait(SET_UP_S + after_s)
    led.send(AnyKey())

    assert [*heard, (Cue.OUT, after_s, OUT_S)] == [
        (one.cue, one.at_s - began_s, one.length_s)
        for one in cue_sheet(led.state)
        if one.at_s < led.now_s + OUT_S
    ]


def test_ready_at_the_last_instant_changes_nothing() -> None:
    """Where the go-up cue would come no sooner, the set-up stays as it is."""
    led = hangs(1)
    led.wait(SET_UP_S - 3 - HEARD_AFTER_S)
    before = led.state

    assert before == led.send(Ready())


def test_after_an_interrupted_hold_its_sounds_are_gone() -> None:
    """Nobody was there to hear them: the rest alone sounds, from its own begin."""
    led = hangs(2)
    led.wait(SET_UP_S + 5)
    led.send(Gap(since_s=led.now_s), after_s=60)
    led.send(Resolve(held_s=5))

    sheet = cue_sheet(led.state)

    assert {Cue.REST, Cue.REST_NEARLY_OVER} >= {one.cue for one in sheet}
    assert min(one.at_s for one in sheet) >= led.now_s


def test_what_is_left_and_what_is_held_outside_of_time() -> None:
    """A pause has no end of its own, and nothing is held outside a hold."""
    led = hangs(1)
    assert SET_UP_S == led.state.remaining_s(led.now_s)
    assert 0 == led.state.remaining_s(led.now_s + 2 * SET_UP_S)
    assert 0 == led.state.held_so_far_s(led.now_s)
    led.send(PauseSession())

    assert 0 == led.state.remaining_s(led.now_s)
    led.send(Resume())
    led.wait(SET_UP_S + 3)
    assert 3 == led.state.held_so_far_s(led.now_s)


def test_the_journal_has_each_second_as_it_is_over_and_not_the_last() -> None:
    """At the third second three; a hold of four that ended has its record instead."""
    led = Led(program(program_set(target_s=4)))
    led.wait(SET_UP_S + 3)
    assert [1, 2, 3] == [one.draft.held_s for one in led.of(Journal)]

    led.wait(1)

    assert [1, 2, 3] == [one.draft.held_s for one in led.of(Journal)]
    assert [4] == [draft.held_s for draft in led.state.holds]


@pytest.mark.parametrize("leave_rest", [[PauseSession(), Resume()], [Skip()]])
def test_whoever_was_there_is_counted_from_anew(
    leave_rest: list[PauseSession | Resume | Skip],
) -> None:
    """After a pause gone on from or a rest skipped, two more holds are no three."""
    led = hangs(5)
    led.wait(SET_UP_S + HOLD_S + OUT_S)
    for event in leave_rest:
        led.send(event)
    phases = [led.wait(1).phase for _ in range(int(4 * ROUND_S))]

    assert Phase.PAUSED is phases[-1]
    assert 4 == len(led.state.holds)


def test_a_pause_in_a_rest_shifts_its_begin_as_well() -> None:
    """What had gone of it before the pause has gone of it after; it begins but once."""
    led = hangs(2)
    led.wait(SET_UP_S + HOLD_S + OUT_S + 15)
    led.send(PauseSession())

    led.send(Resume(), after_s=100)

    assert led.now_s - 15 == led.state.began_at_s
    assert REST_S - 15 == led.state.remaining_s(led.now_s)
    (begins,) = [one for one in cue_sheet(led.state) if one.cue is Cue.REST]
    assert led.now_s - 15 == begins.at_s


def test_after_a_pause_in_the_warm_up_its_sounds_are_on_time() -> None:
    """Paused in the second movement, its end sounds as it ends."""
    moves = tuple(WarmUpMove(name, "", 30) for name in ("Circles", "Shrugs", "Rocks"))
    paused = Led(program(warm_up=moves))
    paused.wait(40)
    straight = cue_sheet(paused.state)
    paused.send(PauseSession())

    paused.send(Resume(), after_s=100)

    assert [cue.moved(100) for cue in straight] == [*cue_sheet(paused.state)]


def test_ready_goes_to_the_go_up_cue_unless_it_has_come() -> None:
    """Three seconds before a hang, and time to hear it; again it changes nothing."""
    led = hangs(1)
    led.send(Ready(), after_s=2)
    assert pytest.approx(3 + HEARD_AFTER_S) == led.state.remaining_s(led.now_s)
    before = led.state

    assert before == led.send(Ready())
    assert before == led.send(Ready(), after_s=1)


@pytest.mark.parametrize(("sets", "said"), [(2, "1 set"), (3, "2 sets")])
def test_what_pain_leaves_out_is_counted(sets: int, said: str) -> None:
    """One set or two, with the exercise's name."""
    led = hangs(sets)
    led.wait(SET_UP_S + HOLD_S + 1)

    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.HAND)))

    (one,) = led.of(Said)
    assert f"{said} left out (Passive hang)" in one.text


def test_a_hold_closes_its_exercise_once_no_set_of_it_is_to_come() -> None:
    """Of two hangs about a press the second one does, and the press between them."""
    led = Led(
        program(program_set(), program_set("press-pushup"), program_set(set_number=2))
    )
    closes = []
    while led.state.phase is not Phase.DONE:
        before = len(led.state.holds)
        led.wait(1)
        if len(led.state.holds) > before:
            closes.append(led.state.closes_exercise(led.state.holds[-1]))

    assert [False, True, True] == closes


def test_an_override_is_kept_with_the_last_hold_that_hurt() -> None:
    """Two holds hurt and the second was gone on with: the first one's is as it was."""
    led = Led(
        program(
            program_set("press-pushup"),
            program_set("hang"),
            program_set("press-pushup", set_number=2),
            program_set("hang", set_number=2),
        )
    )
    led.wait(8 + HOLD_S + 5)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.LOW_BACK)))
    led.wait(ROUND_S)
    led.send(AnswerPain(serial=2, pain=Pain(PainKind.PAIN, Site.HAND)))

    led.send(OverridePain())

    assert [False, True] == [draft.pain_overridden for draft in led.state.holds]
