"""The session machine by hand: what each thing that can happen leads to."""

from __future__ import annotations

import pytest

from tests.core.session.sessions import Led, program, program_set
from trainer.core.cues.cues import Cue
from trainer.core.model import EndedBy, Pain, PainKind, Site, StoppedBy
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.events import (
    AnswerHeld,
    AnswerKept,
    AnswerPain,
    AnswerRpe,
    AnswerStoppedBy,
    AnyKey,
    DidNotHappen,
    DropJournal,
    EndSession,
    Entered,
    FalseStart,
    Finished,
    Gap,
    IllegalEventError,
    Journal,
    OverridePain,
    PauseSession,
    Ready,
    RecordHold,
    Resolve,
    Resume,
    Skip,
    SkipWarmUp,
    TakeBack,
    TakeOutHold,
)
from trainer.core.session.machine import begin, step
from trainer.core.session.program import SessionProgram, WarmUpMove
from trainer.core.session.state import (
    HEARD_AFTER_S,
    PauseReason,
    Phase,
    SessionEnd,
)

TWO_HANGS = program(program_set(), program_set(set_number=2))
HANG_SETUP_S = 10
PRESS_WALL_SETUP_S = 20


def in_hold(made: SessionProgram = TWO_HANGS, *, into_s: float = 0.0) -> Led:
    led = Led(made)
    led.wait(made.sets[0].exercise.setup_s + into_s)
    return led


def after_hold(made: SessionProgram = TWO_HANGS, *, after_s: float = 0.0) -> Led:
    led = in_hold(made)
    led.wait(made.sets[0].longest_s + after_s)
    return led


def test_one_key_leads_through_a_whole_session() -> None:
    """After the start nothing but time is needed; every phase comes in its order."""
    led = Led(TWO_HANGS)

    led.wait(10 + 20 + 4 + 60 + 10 + 20 + 4)

    phases = [effect.phase for effect in led.of(Entered)]
    assert [
        Phase.SET_UP,
        Phase.HOLD,
        Phase.COME_OUT,
        Phase.LOG_AND_REST,
        Phase.SET_UP,
        Phase.HOLD,
        Phase.COME_OUT,
        Phase.DONE,
    ] == phases
    assert [SessionEnd.COMPLETE] == [effect.end for effect in led.of(Finished)]
    assert [(1, 20), (2, 20)] == [(d.serial, d.held_s) for d in led.state.holds]


def test_before_the_start_the_first_set_is_at_hand() -> None:
    """And the first movement: a screen that waits shows what it will begin with."""
    waiting = begin(TWO_HANGS)

    assert TWO_HANGS.sets[0] is waiting.set
    assert 0 == waiting.move


def test_the_warm_up_comes_first_and_can_be_skipped() -> None:
    """A skip leaves out one movement; after the last comes the first set-up."""
    moves = (WarmUpMove("Circles", "", 30), WarmUpMove("Shrugs", "", 30))
    led = Led(program(warm_up=moves))

    assert (Phase.WARM_UP, 0) == (led.state.phase, led.state.move)
    assert 1 == led.send(Skip()).move
    assert Phase.SET_UP is led.send(Skip()).phase
    assert Phase.HOLD is led.wait(10).phase


def test_a_hold_is_recorded_before_anything_else_happens() -> None:
    """The record is the first effect of the end, and carries no made-up answer."""
    led = after_hold()

    ended = [e for e in led.effects if not isinstance(e, Journal)]
    record = next(i for i, e in enumerate(ended) if isinstance(e, RecordHold))
    out = ended.index(Entered(Phase.COME_OUT, 130.0, 0))
    draft = led.of(RecordHold)[0].draft
    assert record < out
    assert (20, EndedBy.TARGET, False) == (
        draft.held_s,
        draft.ended_by,
        draft.confirmed,
    )
    assert (None, None, None, ()) == (
        draft.kept_s,
        draft.rpe,
        draft.stopped_by,
        draft.felt,
    )


def test_the_hold_under_way_is_journaled_each_second() -> None:
    """A crash can cost at most the last second."""
    led = in_hold(into_s=7.4)

    assert [1, 2, 3, 4, 5, 6, 7] == [e.draft.held_s for e in led.of(Journal)]
    assert {EndedBy.CRASH} == {e.draft.ended_by for e in led.of(Journal)}


def test_any_key_in_set_up_gives_thirty_seconds_more() -> None:
    """*Not yet*, as often as needed, is never a fault."""
    led = Led(TWO_HANGS)

    led.send(AnyKey(), after_s=9)
    led.send(AnyKey(), after_s=1)

    assert Phase.SET_UP is led.state.phase
    assert 60 == led.state.remaining_s(led.now_s)


@pytest.mark.parametrize(
    ("exercise", "allowance_s"),
    [
        ("hang", 3),
        ("hang-supported", 3),
        ("press-wall", 7),
        ("press-pike", 4),
        ("press-pushup", 2),
    ],
)
def test_coming_down_early_takes_the_allowance_off(
    exercise: str, allowance_s: float
) -> None:
    """What is held is the key's time less the way to the key."""
    led = in_hold(program(program_set(exercise)), into_s=14.28)

    draft = led.send(AnyKey()).holds[0]

    assert Phase.COME_OUT is led.state.phase
    assert 14.2 == draft.key_s
    assert allowance_s == draft.allowance_s
    assert pytest.approx(14.2 - allowance_s) == draft.held_s
    assert draft.confirmed
    assert EndedBy.KEY is draft.ended_by


def test_a_key_within_the_allowance_of_the_start_holds_nothing() -> None:
    """Held is never below 0."""
    led = in_hold(program(program_set("press-wall")), into_s=6)

    assert 0 == led.send(AnyKey()).holds[0].held_s


def test_a_key_just_after_the_end_means_down_earlier() -> None:
    """Somebody who drops at 18 of 20 s is not logged 20; one key undoes it."""
    led = after_hold(after_s=1)

    draft = led.send(AnyKey()).holds[0]
    assert (18, EndedBy.KEY, 21) == (draft.held_s, draft.ended_by, draft.key_s)

    draft = led.send(TakeBack()).holds[0]
    assert (20, EndedBy.TARGET) == (draft.held_s, draft.ended_by)


def test_a_key_later_than_the_allowance_belongs_to_the_log() -> None:
    """After the allowance an unbound key changes nothing."""
    led = after_hold(after_s=3.5)
    before = led.state

    assert before == led.send(AnyKey())


def test_a_stay_counts_on_to_a_key_or_to_its_limit() -> None:
    """``stay`` ends by itself at its limit, and a key ends it anywhere."""
    made = program(program_set(limit_s=40))

    assert (40, EndedBy.LIMIT) == (
        after_hold(made).state.holds[0].held_s,
        after_hold(made).state.holds[0].ended_by,
    )
    led = in_hold(made, into_s=33)
    assert 30 == led.send(AnyKey()).holds[0].held_s


def test_a_false_start_is_set_up_again_and_leaves_no_record() -> None:
    """Within five seconds the hold counts for nothing."""
    led = in_hold(into_s=4)

    led.send(FalseStart())

    assert (Phase.SET_UP, 0, ()) == (
        led.state.phase,
        led.state.index,
        led.state.holds,
    )
    assert 1 == len(led.of(DropJournal))
    assert [] == led.of(RecordHold)


def test_a_false_start_taken_back_is_a_come_down() -> None:
    """It did count after all: the key ended it."""
    led = in_hold(into_s=4)
    led.send(FalseStart())

    draft = led.send(TakeBack(), after_s=2).holds[0]

    assert (1, EndedBy.KEY) == (draft.held_s, draft.ended_by)
    assert Phase.LOG_AND_REST is led.state.phase


def test_a_late_false_start_is_a_come_down() -> None:
    """After five seconds the same key ends the hold."""
    led = in_hold(into_s=12)

    assert 9 == led.send(FalseStart()).holds[0].held_s


def test_a_come_down_by_mistake_can_be_taken_back_while_its_time_lasts() -> None:
    """A knocked pedal ends nothing; after the hold's time it is too late."""
    led = in_hold(into_s=8)
    led.send(AnyKey())

    assert Phase.HOLD is led.send(TakeBack(), after_s=1).phase
    assert [Journal, TakeOutHold] == [type(e) for e in led.effects[-3:-1]]
    led.wait(11)
    assert [20] == [draft.held_s for draft in led.state.kept_holds]

    late = in_hold(into_s=18)
    late.send(AnyKey())
    with pytest.raises(IllegalEventError):
        late.send(TakeBack(), after_s=3)


@pytest.mark.parametrize("after_s", [5, 40])
def test_a_come_down_stands_once_the_rest_has_begun(after_s: float) -> None:
    """Nobody holds on through a come-out unheard: the floor is not held time."""
    led = in_hold(program(program_set(target_s=60), program_set()), into_s=8)
    led.send(AnyKey())

    with pytest.raises(IllegalEventError):
        led.send(TakeBack(), after_s=after_s)
    assert [5] == [draft.held_s for draft in led.state.kept_holds]


def test_a_hold_that_did_not_happen_can_be_put_back() -> None:
    """Taking out is undone by one key."""
    led = after_hold(after_s=10)

    assert () == led.send(DidNotHappen()).kept_holds
    assert [TakeOutHold(1)] == led.of(TakeOutHold)
    assert [20] == [d.held_s for d in led.send(TakeBack()).kept_holds]


def test_skip_leaves_out_the_set_or_the_rest_of_the_rest() -> None:
    """In set-up the set goes; in a rest the next set-up comes at once."""
    led = Led(TWO_HANGS)
    assert (Phase.SET_UP, 1) == (led.send(Skip()).phase, led.state.index)

    led = after_hold(after_s=10)
    assert (Phase.SET_UP, 1) == (led.send(Skip()).phase, led.state.index)


def test_ending_early_keeps_what_was_done() -> None:
    """A hold under way is ended as by a key."""
    led = in_hold(into_s=13)

    led.send(EndSession())

    assert Phase.DONE is led.state.phase
    assert [10] == [draft.held_s for draft in led.state.holds]
    assert [SessionEnd.EARLY] == [effect.end for effect in led.of(Finished)]


def test_lowering_held_lowers_kept_with_it() -> None:
    """Kept is never more than held; *all kept* stays all."""
    led = after_hold(after_s=10)
    led.send(AnswerKept(kept_s=15))

    assert 12 == led.send(AnswerHeld(held_s=12)).holds[0].kept_s

    led.send(AnswerKept(all_kept=True))
    assert 14 == led.send(AnswerHeld(held_s=14)).holds[0].kept_s


def test_lost_on_a_breath_is_kept_up_to_that_breath() -> None:
    """20 s are two breaths of 10 s: lost on the second means 10 s kept."""
    led = after_hold(after_s=10)

    draft = led.send(AnswerKept(lost_on_breath=2)).holds[0]

    assert (10, 2) == (draft.kept_s, draft.lost_on_breath)


def test_an_impossible_answer_is_refused_and_changes_nothing() -> None:
    """RPE 11, minus one second: a sentence, and the state as it was."""
    led = after_hold(after_s=10)
    before = led.state

    for answer in (AnswerRpe(rpe=11), AnswerHeld(held_s=-1), AnswerKept(kept_s=21)):
        with pytest.raises(ValueError, match=r"\d"):
            step(before, answer, led.now_s)

    assert before == led.state


def test_three_unconfirmed_holds_running_pause_the_session() -> None:
    """Nobody seems to be there; one key says that the holds didn't happen."""
    made = program(*(program_set(set_number=n) for n in range(1, 5)))
    led = Led(made)
    led.wait(3 * (10 + 20 + 4 + 60) + 5)

    assert led.state.pause is not None
    assert PauseReason.NOBODY is led.state.pause.reason

    assert () == led.send(DidNotHappen()).kept_holds
    assert (Phase.SET_UP, 3) == (led.send(Resume()).phase, led.state.index)


def test_nobody_there_takes_out_only_what_nobody_confirmed() -> None:
    """A second key of the same kind finds nothing, and one undo brings all back."""
    made = program(*(program_set(set_number=n) for n in range(1, 6)))
    led = Led(made)
    led.wait(10 + 20 + 10)
    led.send(AnswerRpe(rpe=7))
    led.wait(54 + 3 * (10 + 20 + 4 + 60))
    assert Phase.PAUSED is led.state.phase

    led.send(DidNotHappen())
    with pytest.raises(IllegalEventError):
        led.send(DidNotHappen())

    assert [1] == [draft.serial for draft in led.state.kept_holds]
    assert 4 == len(led.send(TakeBack()).kept_holds)


def test_whoever_skips_a_rest_is_there() -> None:
    """Three unconfirmed holds and a key: no question whether somebody is."""
    made = program(*(program_set(set_number=n) for n in range(1, 5)))
    led = Led(made)
    led.wait(2 * (10 + 20 + 4 + 60) + 10 + 20 + 4 + 5)

    assert (Phase.SET_UP, 3) == (led.send(Skip()).phase, led.state.index)


def test_after_a_hold_was_taken_out_no_other_answers_for_it() -> None:
    """A second *didn't happen* or an RPE doesn't reach the set before."""
    led = Led(program(program_set(), program_set(set_number=2), program_set()))
    led.wait(10 + 20 + 4 + 60 + 10 + 20 + 10)
    led.send(DidNotHappen())

    for event in (DidNotHappen(), AnswerRpe(rpe=9)):
        with pytest.raises(IllegalEventError):
            led.send(event)
    assert [None] == [draft.rpe for draft in led.state.kept_holds]


def test_one_answer_among_three_holds_is_somebody() -> None:
    """Anything answered about a hold confirms it."""
    made = program(*(program_set(set_number=n) for n in range(1, 5)))
    led = Led(made)
    led.wait(10 + 20 + 4 + 60 + 10 + 20 + 4 + 5)
    led.send(AnswerRpe(rpe=6))
    led.wait(55 + 10 + 20 + 4 + 60 + 1)

    assert (Phase.SET_UP, 3) == (led.state.phase, led.state.index)


HANG_THEN_PRESS = program(
    program_set("hang"),
    program_set("press-pike", rest_s=90),
    program_set("hang", set_number=2),
    program_set("press-pike", rest_s=90, set_number=2),
)


PRESS_THEN_HANG = program(
    program_set("press-pushup"),
    program_set("hang"),
    program_set("press-pushup", set_number=2),
    program_set("hang", set_number=2),
)


def test_pain_strikes_the_exercise_and_whatever_loads_the_site() -> None:
    """A sore elbow is loaded by both; a sore low back only by the press."""
    led = after_hold(PRESS_THEN_HANG, after_s=10)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.LOW_BACK)))
    assert {2} == led.state.struck

    led = after_hold(HANG_THEN_PRESS, after_s=10)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.ELBOW)))
    assert (Phase.DONE, SessionEnd.PAIN) == (led.state.phase, led.state.end)


def test_one_key_overrides_pain_and_that_is_recorded() -> None:
    """The struck sets come back, the hold keeps that it was overridden."""
    led = after_hold(HANG_THEN_PRESS, after_s=10)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.ELBOW)))

    led.send(OverridePain())

    assert (Phase.LOG_AND_REST, frozenset()) == (led.state.phase, led.state.struck)
    assert led.state.holds[0].pain_overridden


def test_what_pain_struck_comes_back_while_the_session_goes_on() -> None:
    """The press is struck for a low back, the hang isn't: one key brings it back."""
    led = after_hold(PRESS_THEN_HANG, after_s=10)
    assert not led.state.can_override_pain
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.LOW_BACK)))
    assert frozenset({2}) == led.state.struck
    assert led.state.end is None
    assert led.state.can_override_pain

    led.send(OverridePain())

    assert (frozenset(), False) == (led.state.struck, led.state.can_override_pain)


def test_a_set_up_that_pain_does_not_strike_goes_on() -> None:
    """A low back noted of the press in the hang's set-up: the hang is set up on."""
    led = after_hold(PRESS_THEN_HANG, after_s=4 + 60 + 3)
    led.send(AnswerPain(serial=1, pain=Pain(PainKind.PAIN, Site.LOW_BACK)))

    assert (Phase.SET_UP, 1) == (led.state.phase, led.state.index)
    assert frozenset({2}) == led.state.struck


def test_taking_the_override_back_keeps_the_pain() -> None:
    """One key overrides, its undo strikes again; the warning sign stays noted."""
    led = after_hold(HANG_THEN_PRESS, after_s=10)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.ELBOW)))
    led.send(OverridePain())

    led.send(TakeBack())

    assert (Phase.DONE, SessionEnd.PAIN) == (led.state.phase, led.state.end)
    assert (Pain(PainKind.PAIN, Site.ELBOW),) == led.state.holds[0].pain
    assert not led.state.holds[0].pain_overridden


def test_an_override_puts_the_set_that_was_in_set_up_back_too() -> None:
    """Pain noted as a set-up began: gone on, that set comes before the later ones."""
    made = program(*(program_set(set_number=n) for n in range(1, 4)))
    led = after_hold(made, after_s=4 + 60 + 3)
    assert (Phase.SET_UP, 1) == (led.state.phase, led.state.index)
    led.send(AnswerPain(serial=1, pain=Pain(PainKind.PAIN, Site.HAND)))
    assert (Phase.DONE, 0) == (led.state.phase, led.state.index)
    assert led.state.open_hold is not None

    led.send(OverridePain())

    assert (1, 2) == led.state.to_come


def test_a_session_that_was_ended_stays_ended() -> None:
    """Dizzy noted afterwards and taken back doesn't set anybody up again."""
    led = after_hold(after_s=10)
    led.send(EndSession())
    led.send(AnswerPain(pain=Pain(PainKind.DIZZY)))

    led.send(TakeBack())

    assert (Phase.DONE, SessionEnd.EARLY) == (led.state.phase, led.state.end)


def test_dizziness_ends_the_session() -> None:
    """Nothing more is led, whatever was still planned."""
    led = after_hold(HANG_THEN_PRESS, after_s=1)

    led.send(AnswerPain(pain=Pain(PainKind.DIZZY)))

    assert (Phase.DONE, SessionEnd.DIZZY) == (led.state.phase, led.state.end)


def test_pain_by_a_wrong_key_can_be_taken_back() -> None:
    """The sets and the hold are as they were."""
    led = after_hold(HANG_THEN_PRESS, after_s=10)
    led.send(AnswerPain(pain=Pain(PainKind.PAIN, Site.ELBOW)))

    led.send(TakeBack())

    assert Phase.LOG_AND_REST is led.state.phase
    assert ((), frozenset()) == (led.state.holds[0].pain, led.state.struck)


def test_a_gap_in_a_hold_invents_nothing() -> None:
    """The hold stops at the last journaled second, and the person is asked."""
    led = in_hold(into_s=12.7)
    led.now_s += 40

    led.send(Gap(since_s=led.now_s - 40))

    draft = led.state.holds[0]
    assert (Phase.INTERRUPTED, 12, EndedBy.INTERRUPTED) == (
        led.state.phase,
        draft.held_s,
        draft.ended_by,
    )

    draft = led.send(Resolve(held_s=15)).holds[0]
    assert (15, True, Phase.LOG_AND_REST) == (
        draft.held_s,
        draft.confirmed,
        led.state.phase,
    )


def test_a_gap_outside_a_hold_is_a_pause_where_time_was_running() -> None:
    """In a rest and in set-up the session pauses, as of the gap's begin; a session that
    waits or is done goes on waiting."""
    resting = after_hold(after_s=10)
    resting.send(Gap(since_s=resting.now_s), after_s=60)
    setting_up = Led(program())
    setting_up.send(Gap(since_s=setting_up.now_s), after_s=60)
    ready, done = begin(program()), after_hold(after_s=10)
    done.send(EndSession())
    was = done.state
    done.send(Gap(since_s=done.now_s), after_s=60)

    for led, phase in ((resting, Phase.LOG_AND_REST), (setting_up, Phase.SET_UP)):
        assert Phase.PAUSED is led.state.phase
        assert led.state.pause is not None
        assert (phase, PauseReason.GAP, led.now_s - 60) == (
            led.state.pause.phase,
            led.state.pause.reason,
            led.state.pause.since_s,
        )
    assert ready == step(ready, Gap(since_s=1.0), 60.0)[0]
    assert was == done.state


def test_an_interrupted_hold_can_be_none_at_all() -> None:
    """Then it is taken out and set up again."""
    led = in_hold(into_s=12)
    led.send(Gap(since_s=led.now_s), after_s=60)

    led.send(Resolve(held_s=None))

    assert (Phase.SET_UP, 0, ()) == (
        led.state.phase,
        led.state.index,
        led.state.kept_holds,
    )


def test_a_gap_over_the_end_of_a_hold_still_counts_only_what_was_watched() -> None:
    """The target wasn't seen to be reached, so it is not logged."""
    led = in_hold(into_s=5)
    led.send(Gap(since_s=led.now_s), after_s=300)

    assert [5] == [draft.held_s for draft in led.state.holds]


@pytest.mark.parametrize("paused_s", [1, 3600])
def test_a_pause_in_a_rest_shifts_it_and_in_set_up_starts_it_again(
    paused_s: float,
) -> None:
    """What was left of the rest is left; a set-up is whole again."""
    led = after_hold(after_s=4 + 20)
    left_s = led.state.remaining_s(led.now_s)
    led.send(PauseSession())
    led.send(Resume(), after_s=paused_s)
    assert left_s == led.state.remaining_s(led.now_s)

    led = Led(TWO_HANGS)
    led.send(PauseSession(), after_s=7)
    led.send(Resume(), after_s=paused_s)
    assert HANG_SETUP_S == led.state.remaining_s(led.now_s)


def test_an_event_that_does_not_belong_changes_nothing() -> None:
    """Resume without a pause, an answer before any hold."""
    led = Led(TWO_HANGS)
    before = led.state

    for event in (Resume(), AnswerRpe(rpe=5), Resolve(held_s=3)):
        with pytest.raises(IllegalEventError):
            step(before, event, led.now_s)


def test_a_session_without_a_set_is_refused() -> None:
    """There is nothing to lead."""
    empty = TWO_HANGS.__class__(kind=TWO_HANGS.kind, sets=())

    with pytest.raises(ValueError, match="at least one set"):
        begin(empty)


def test_why_it_stopped_is_one_answer() -> None:
    """One key says what stopped the hold."""
    led = in_hold(into_s=12)
    led.send(AnyKey())

    draft = led.send(AnswerStoppedBy(why=StoppedBy.GRIP)).holds[0]

    assert StoppedBy.GRIP is draft.stopped_by


def test_press_wall_comes_out_longer() -> None:
    """Eight seconds to walk down, four for the others; the rest starts after it."""
    led = after_hold(program(program_set("press-wall"), program_set("hang")))

    assert 8 == led.state.remaining_s(led.now_s)
    assert Phase.COME_OUT is led.wait(7.9).phase
    assert Phase.LOG_AND_REST is led.wait(0.1).phase
    assert 60 == led.state.remaining_s(led.now_s)


def test_not_yet_is_counted_and_taken_back() -> None:
    """Each gives 30 s more and is undone by itself; what going up needs stays."""
    led = Led(program(program_set("hang")))
    led.send(AnyKey())
    led.send(AnyKey(), after_s=1)
    assert (2, 10 + 60 - 1.0) == (led.state.not_yets, led.state.remaining_s(led.now_s))

    led.send(TakeBack())
    assert (1, 39.0) == (led.state.not_yets, led.state.remaining_s(led.now_s))
    led.send(TakeBack(), after_s=35)
    assert 0 == led.state.not_yets
    assert 3 <= led.state.remaining_s(led.now_s) <= 4
    with pytest.raises(IllegalEventError):
        led.send(TakeBack())


def test_ready_goes_to_the_go_up_cue() -> None:
    """The go-up cue comes at once; once it has come, ready changes nothing."""
    led = Led(program(program_set("press-wall")))
    led.send(Ready(), after_s=2)
    heard = [cue.at_s for cue in cue_sheet(led.state) if cue.cue is Cue.GO_UP]
    assert [pytest.approx(led.now_s + HEARD_AFTER_S)] == heard

    ends_at_s = led.state.ends_at_s
    led.send(Ready(), after_s=3)
    assert ends_at_s == led.state.ends_at_s


def test_not_yet_is_heard() -> None:
    """Its sound comes a moment after the key; taken back, it is gone."""
    led = Led(program(program_set("hang")))
    led.send(AnyKey(), after_s=2)
    heard = [cue.at_s for cue in cue_sheet(led.state) if cue.cue is Cue.NOT_YET]
    assert [pytest.approx(led.now_s + HEARD_AFTER_S)] == heard

    led.send(TakeBack())
    assert Cue.NOT_YET not in {cue.cue for cue in cue_sheet(led.state)}


def test_the_warm_up_is_left_out_as_a_whole() -> None:
    """One event leads from any movement to the first set-up."""
    moves = tuple(WarmUpMove(name, "", 20) for name in ("one", "two", "three"))
    led = Led(program(warm_up=moves))
    led.send(Skip())
    assert Phase.WARM_UP is led.state.phase

    assert (Phase.SET_UP, 0) == (led.send(SkipWarmUp()).phase, led.state.index)
