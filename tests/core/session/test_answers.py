"""The ten-second log: what each answer makes of a hold, and how it says so."""

from __future__ import annotations

from dataclasses import replace

import pytest

from tests.core.session.sessions import Led, program, program_set
from trainer.core.model import EndedBy, Feet, Felt, Pain, PainKind, Site, StoppedBy
from trainer.core.session.answers import (
    answered,
    how_held,
    kept_before_breath_s,
    shown_s,
    with_held,
)
from trainer.core.session.events import (
    Answer,
    AnswerFeet,
    AnswerFelt,
    AnswerHeld,
    AnswerKept,
    AnswerNote,
    AnswerPain,
    AnswerRpe,
    AnswerStoppedBy,
    IllegalEventError,
    TakeBack,
)
from trainer.core.session.state import HoldDraft

PLANNED = program_set(target_s=20)
DRAFT = HoldDraft(
    serial=1,
    index=0,
    exercise="hang",
    set_number=1,
    target_s=20,
    began_at_s=0,
    held_s=20,
    ended_by=EndedBy.TARGET,
)


@pytest.mark.parametrize(
    ("answer", "field", "expected"),
    [
        (AnswerRpe(rpe=8.5), "rpe", 8.5),
        (AnswerRpe(rpe=None), "rpe", None),
        (AnswerKept(all_kept=True), "kept_s", 20),
        (AnswerKept(lost_on_breath=1), "kept_s", 0),
        (AnswerKept(lost_on_breath=2), "kept_s", 10),
        (AnswerKept(kept_s=12.5), "kept_s", 12.5),
        (AnswerKept(kept_s=0), "kept_s", 0),
        (AnswerKept(kept_s=20), "kept_s", 20),
        (AnswerKept(), "kept_s", None),
        (AnswerHeld(held_s=17), "held_s", 17),
        (AnswerHeld(held_s=0), "held_s", 0),
        (AnswerHeld(held_s=300), "held_s", 300),
        (AnswerStoppedBy(why=StoppedBy.NERVE), "stopped_by", StoppedBy.NERVE),
        (AnswerFelt(felt=(Felt(Site.LATS),)), "felt", (Felt(Site.LATS),)),
        (AnswerFeet(feet=Feet.TOES), "feet", Feet.TOES),
        (AnswerNote(note="  left\x1b[31m side \n"), "note", "left[31m side"),
        (
            AnswerPain(pain=Pain(PainKind.NUMB, Site.HAND)),
            "pain",
            (Pain(PainKind.NUMB, Site.HAND),),
        ),
        (AnswerPain(pain=None), "pain", ()),
    ],
)
def test_an_answer_changes_its_field_and_confirms_the_hold(
    answer: Answer, field: str, expected: object
) -> None:
    """Nothing else changes but that somebody was there."""
    changed = answered(DRAFT, answer, PLANNED)

    assert expected == getattr(changed, field)
    assert changed.confirmed
    back = {
        field: getattr(DRAFT, field),
        "confirmed": False,
        "lost_on_breath": None,
        "all_kept": False,
    }
    assert replace(changed, **back) == DRAFT


def test_pain_at_one_site_is_corrected_not_doubled() -> None:
    """A second word on the same site replaces the first; other sites stay."""
    hurt = replace(DRAFT, pain=(Pain(PainKind.PAIN, Site.WRIST),))

    numb = answered(hurt, AnswerPain(pain=Pain(PainKind.NUMB, Site.WRIST)), PLANNED)
    both = answered(numb, AnswerPain(pain=Pain(PainKind.PAIN, Site.NECK)), PLANNED)

    assert (Pain(PainKind.NUMB, Site.WRIST),) == numb.pain
    assert 2 == len(both.pain)


@pytest.mark.parametrize(
    ("target_s", "breath", "kept_s"),
    [(20, 1, 0), (20, 2, 10), (25, 3, 16.7), (3, 2, 10)],
)
def test_lost_on_a_breath_counts_the_breaths_before_it(
    target_s: float, breath: int, kept_s: float
) -> None:
    """As long as the breaths were led; in a hold too short to lead, by the pattern."""
    assert kept_s == kept_before_breath_s(breath, program_set(target_s=target_s))


def test_a_breath_that_the_hold_never_had_is_refused() -> None:
    """20 s were two breaths; there is no third to lose the position on."""
    with pytest.raises(ValueError, match="had fewer"):
        answered(DRAFT, AnswerKept(lost_on_breath=3), PLANNED)


@pytest.mark.parametrize(
    ("held_s", "breath", "kept_s"), [(0, 1, 0), (10.1, 2, 10), (10, 2, None)]
)
def test_a_breath_that_the_hold_came_to_can_be_lost(
    held_s: float, breath: int, kept_s: float | None
) -> None:
    """The first always; the second, from 10 s on, in a hold that lasted longer."""
    draft, lost = replace(DRAFT, held_s=held_s), AnswerKept(lost_on_breath=breath)
    if kept_s is None:
        with pytest.raises(ValueError, match="had fewer"):
            answered(draft, lost, PLANNED)
    else:
        assert kept_s == answered(draft, lost, PLANNED).kept_s


def test_kept_never_rises_above_what_was_said() -> None:
    """Held typed wrong and put right again: lost on breath 2 stays lost there."""
    said = answered(DRAFT, AnswerKept(lost_on_breath=2), PLANNED)

    wrong = answered(said, AnswerHeld(held_s=3), PLANNED)
    right = answered(wrong, AnswerHeld(held_s=20), PLANNED)

    assert (3, 10) == (wrong.kept_s, right.kept_s)
    typed = answered(DRAFT, AnswerKept(kept_s=15), PLANNED)
    typed = answered(typed, AnswerHeld(held_s=12), PLANNED)
    assert 12 == answered(typed, AnswerHeld(held_s=20), PLANNED).kept_s


def test_breaths_are_counted_from_one() -> None:
    """There is no breath 0."""
    with pytest.raises(ValueError, match="from 1"):
        kept_before_breath_s(0, PLANNED)


def test_held_is_bounded_by_what_a_hold_can_be() -> None:
    """300 s for a stop, the limit for a stay, never below 0."""
    assert 300 == with_held(DRAFT, 300, PLANNED).held_s
    with pytest.raises(ValueError, match="300"):
        with_held(DRAFT, 301, PLANNED)
    long_stay = program_set(target_s=200, limit_s=400)
    assert 400 == with_held(DRAFT, 400, long_stay).held_s


@pytest.mark.parametrize(
    ("draft", "words"),
    [
        (DRAFT, "ended by itself at the target"),
        (replace(DRAFT, ended_by=EndedBy.LIMIT), "ended by itself at the limit"),
        (
            replace(DRAFT, ended_by=EndedBy.INTERRUPTED),
            "the last second that was noted",
        ),
        (
            replace(DRAFT, ended_by=EndedBy.KEY, key_s=31.2, allowance_s=3),
            "key at 31.2 s, less 3 s allowance",
        ),
        (replace(DRAFT, ended_by=EndedBy.KEY), ""),
    ],
)
def test_the_log_says_how_the_figure_came_about(draft: HoldDraft, words: str) -> None:
    """So that it can be corrected by who knows better."""
    assert words in how_held(draft)


@pytest.mark.parametrize(
    ("seconds", "shown"), [(28.0, "28"), (28.29, "28.2"), (28.99, "28.9"), (0.3, "0.3")]
)
def test_seconds_are_shown_rounded_down(seconds: float, shown: str) -> None:
    """Nobody is shown a tenth that wasn't held."""
    assert shown == shown_s(seconds)


def test_an_earlier_hold_can_be_answered_for_by_its_number() -> None:
    """The second set is done, the first one's RPE comes to mind."""
    led = Led(program(program_set(), program_set(set_number=2)))
    led.wait(10 + 20 + 4 + 60 + 10 + 20 + 1)

    led.send(AnswerRpe(serial=1, rpe=6))

    assert [6, None] == [draft.rpe for draft in led.state.holds]
    with pytest.raises(IllegalEventError):
        led.send(AnswerRpe(serial=7, rpe=6))


def test_the_last_answer_can_be_taken_back_once() -> None:
    """RPE 7 by mistake; a second undo has nothing to undo."""
    led = Led(program(program_set(), program_set(set_number=2)))
    led.wait(10 + 20 + 10)
    led.send(AnswerRpe(rpe=5))
    led.send(AnswerRpe(rpe=7))

    assert 5 == led.send(TakeBack()).holds[0].rpe
    with pytest.raises(IllegalEventError):
        led.send(TakeBack())
