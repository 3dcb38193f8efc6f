"""What is heard when: the timelines of the parts of a set."""

from __future__ import annotations

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import DEFAULT, Pattern
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.timeline import (
    APART_S,
    BREATHS,
    ROOM_S,
    come_out_cues,
    hold_cues,
    merge,
    paced,
    rest_cues,
    setup_cues,
    warm_up_cues,
)
from trainer.core.exercises import BUILT_IN, Exercise
from trainer.core.model import EndOfHold

parts_s = st.floats(1.0, 10.0)
patterns = st.builds(Pattern, parts_s, parts_s)
holds = st.fixed_dictionaries(
    {
        "target_s": st.floats(1.0, 300.0),
        "pattern": patterns,
        "end_of_hold": st.sampled_from(EndOfHold),
        "limit_s": st.none() | st.floats(1.0, 600.0),
        "press": st.booleans(),
    }
)


def end_of(hold: dict[str, object]) -> float:
    """Say when HOLD ends by itself."""
    target_s, limit_s = hold["target_s"], hold["limit_s"]
    assert isinstance(target_s, float)
    if hold["end_of_hold"] is EndOfHold.STOP:
        return target_s
    return 2 * target_s if limit_s is None else max(target_s, float(str(limit_s)))


def listed(cues: tuple[TimedCue, ...], *kinds: Cue) -> list[tuple[float, Cue]]:
    """Give time and name of the CUES of these KINDS (of all, if none is named)."""
    return [(c.at_s, c.cue) for c in cues if not kinds or c.cue in kinds]


def test_a_hang_of_thirty_seconds_as_on_paper() -> None:
    """The timeline of the commonest hold is the one worked out by hand: three breaths
    of 4:6 fill thirty seconds; halfway and ten left are five seconds apart."""
    cues = hold_cues(
        target_s=30,
        pattern=DEFAULT,
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=False,
    )

    assert [
        (0, Cue.HOLD),
        (0, Cue.IN),
        (4, Cue.OUT),
        (10, Cue.IN),
        (14, Cue.OUT),
        (15, Cue.HALFWAY),
        (20, Cue.IN),
        (20, Cue.TEN_LEFT),
        (24, Cue.OUT),
        (27, Cue.LAST_TICK),
        (28, Cue.LAST_TICK),
        (29, Cue.LAST_TICK),
        (30, Cue.TARGET),
    ] == listed(cues)
    assert [3, 2, 1] == [c.stride for c in cues if c.cue is Cue.LAST_TICK]


def test_a_press_is_reminded_every_other_breath() -> None:
    """The reminder comes a second into an exhale, and keeps out of the way of what
    counts the hold down."""
    cues = hold_cues(
        target_s=60,
        pattern=DEFAULT,
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=True,
    )

    assert [(5, Cue.PRESS_ON), (25, Cue.PRESS_ON), (45, Cue.PRESS_ON)] == listed(
        cues, Cue.PRESS_ON
    )


def test_a_stay_counts_tens_past_the_target() -> None:
    """Past the target a cue comes every ten seconds, breathing goes on at the same
    pace, and the limit ends the hold as the target would."""
    cues = hold_cues(
        target_s=30,
        pattern=DEFAULT,
        end_of_hold=EndOfHold.STAY,
        limit_s=None,
        press=False,
    )

    assert [(40, Cue.TEN_MORE), (50, Cue.TEN_MORE)] == listed(cues, Cue.TEN_MORE)
    assert [(30, Cue.TARGET), (60, Cue.TARGET)] == listed(cues, Cue.TARGET)
    assert [4, 14, 24, 34, 44, 54] == [c.at_s for c in cues if c.cue is Cue.OUT]


@pytest.mark.parametrize("exercise", BUILT_IN.values(), ids=lambda e: e.id)
def test_set_up_leads_an_exhale_into_the_hold(exercise: Exercise) -> None:
    """Each exercise's set-up says go up at its own lead, and its last four seconds
    lead an exhale that ends as the hold begins."""
    cues = setup_cues(setup_s=exercise.setup_s, go_up_lead_s=exercise.go_up_lead_s)

    go_up_s = exercise.setup_s - exercise.go_up_lead_s
    assert [(go_up_s, Cue.GO_UP)] == listed(cues, Cue.GO_UP)
    assert [(exercise.setup_s - 4, 4)] == [
        (c.at_s, c.length_s) for c in cues if c.cue is Cue.OUT
    ]
    ticks = [c.at_s for c in cues if c.cue is Cue.SETUP_TICK]
    assert ticks
    assert go_up_s not in ticks
    assert max(ticks) < exercise.setup_s - 4


@given(setup_s=st.floats(0, 3.9))
def test_a_set_up_under_four_seconds_is_all_exhale(setup_s: float) -> None:
    """What is left of a short set-up leads a shorter exhale, never one that starts
    before it."""
    for cue in setup_cues(setup_s=setup_s, go_up_lead_s=10):
        assert 0 <= cue.at_s
        assert cue.at_s + cue.length_s <= setup_s + 1e-9


def test_come_out_rest_and_warm_up_as_on_paper() -> None:
    """In and then down after the sound of the target; an early end hears an exhale
    only; a rest announces itself and its end; the last one says done."""
    assert (TimedCue(1, Cue.IN_THEN_DOWN, 3),) == come_out_cues(
        come_out_s=4, early=False
    )
    assert (TimedCue(1, Cue.IN_THEN_DOWN, 4),) == come_out_cues(
        come_out_s=8, early=False
    )
    assert (TimedCue(0, Cue.OUT, 4),) == come_out_cues(come_out_s=8, early=True)
    assert [(0, Cue.REST), (50, Cue.REST_NEARLY_OVER)] == listed(
        rest_cues(rest_s=60, last=False)
    )
    assert [(0, Cue.REST)] == listed(rest_cues(rest_s=12, last=False))
    assert [(0, Cue.DONE)] == listed(rest_cues(rest_s=0, last=True))
    assert [(0, 1), (60, 2), (90, 3)] == [
        (c.at_s, c.stride) for c in warm_up_cues(lengths_s=(60, 30, 10))
    ]


@given(hold=holds)
def test_every_hold_keeps_the_rules(hold: dict[str, object]) -> None:
    """Whatever is asked for: sorted, no cue twice, nothing before the start or after
    the end, the target heard, and breaths that never overlap."""
    cues = hold_cues(**hold)  # type: ignore[arg-type]
    end_s = end_of(hold)

    assert sorted(cues) == list(cues)
    assert len({(c.at_s, c.cue) for c in cues}) == len(cues)
    assert all(0 <= c.at_s and c.at_s + c.length_s <= end_s + 1e-9 for c in cues)
    assert (0, Cue.HOLD) in listed(cues)
    assert (end_s, Cue.TARGET) in listed(cues)
    breaths = [c for c in cues if c.cue in BREATHS]
    for before, after in pairwise(breaths):
        assert before.at_s + before.length_s <= after.at_s + 1e-6


@given(hold=holds)
def test_the_last_exhale_ends_with_the_hold(hold: dict[str, object]) -> None:
    """Breathing is laid so that some exhale ends at the target to the microsecond."""
    target_s = float(str(hold["target_s"]))
    if target_s < 4:
        return
    cues = hold_cues(**hold)  # type: ignore[arg-type]

    ends = [c.at_s + c.length_s for c in cues if c.cue is Cue.OUT]
    lengths = [c.length_s for c in cues if c.cue in BREATHS]
    assert lengths
    # An exhale too short to lead is left out; then nothing ends there, by design.
    if ends and min(lengths) > 0.9:
        assert any(abs(target_s - end_s) < 1e-6 for end_s in ends)


@given(hold=holds)
def test_nothing_contends_with_a_last_tick(hold: dict[str, object]) -> None:
    """No event begins within its own room before a last tick, so no word covers it."""
    cues = hold_cues(**hold)  # type: ignore[arg-type]
    ticks = [c.at_s for c in cues if c.cue is Cue.LAST_TICK]

    for cue in cues:
        if cue.cue not in BREATHS:
            covered = [t for t in ticks if 0 < t - cue.at_s < ROOM_S[cue.cue] - 1e-6]
            assert not covered


@given(hold=holds, pace=st.floats(1, 20))
def test_a_rehearsal_leaves_out_what_no_longer_fits(
    hold: dict[str, object], pace: float
) -> None:
    """At any pace events keep their room, and the start and end are still heard."""
    cues = paced(hold_cues(**hold), pace)  # type: ignore[arg-type]
    events = [c for c in cues if c.cue not in BREATHS]

    for before, after in pairwise(events):
        assert after.at_s - before.at_s >= ROOM_S[before.cue] - 1e-6
    assert Cue.TARGET in {c.cue for c in cues}


def test_merge_settles_what_two_parts_both_want() -> None:
    """Go up wins over a tick, ten left over halfway, and the same cue is kept once."""
    cues = merge(
        [
            TimedCue(6, Cue.SETUP_TICK),
            TimedCue(6, Cue.GO_UP),
            TimedCue(20, Cue.HALFWAY),
        ],
        [TimedCue(6, Cue.GO_UP), TimedCue(21, Cue.TEN_LEFT)],
    )

    assert [(6, Cue.GO_UP), (21, Cue.TEN_LEFT)] == listed(cues)


def test_every_event_has_a_rank_and_room() -> None:
    """A cue added later can't be forgotten in the table of rooms."""
    assert set(Cue) == set(ROOM_S) | BREATHS
    assert all(pair <= set(ROOM_S) for pair in APART_S)


def test_a_test_is_heard_in_set_up_and_again_and_again_in_the_hold() -> None:
    """Before anybody climbs on, then every twelve seconds: with how many breaths."""
    before = setup_cues(setup_s=10, go_up_lead_s=3, test_breaths=2)
    held = hold_cues(
        target_s=45,
        pattern=DEFAULT,
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=False,
        test_breaths=2,
    )

    assert [(0.5, 2)] == [(c.at_s, c.stride) for c in before if c.cue is Cue.TEST]
    assert [12, 24, 36] == [c.at_s for c in held if c.cue is Cue.TEST]
    assert Cue.TEST not in {c.cue for c in setup_cues(setup_s=10, go_up_lead_s=3)}
