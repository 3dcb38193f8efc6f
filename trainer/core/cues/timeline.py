"""The cues of a set, as pure functions of what is planned.

Each part (set-up, hold, come-out, rest, warm-up) is made with 0 at its own start; who
joins parts moves them and calls ``merge``, so that no two sounds ever contend.

Breaths lie on a layer of their own: a falling tone may sound under any other cue.
Everything else is an *event*, and one table says how much room each needs and which of
two goes. No tone of an event is longer than its room (a test holds the clips to that);
its word is longer, and left out by ``trainer.sound.mix`` where the next event comes
first, so that a word never covers a last tick.

All numbers here are our choice.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right, insort
from collections.abc import Iterable, Mapping
from dataclasses import replace
from operator import attrgetter

from trainer.core.cues.breathing import Pattern, lay
from trainer.core.cues.cues import CUES, Cue, TimedCue
from trainer.core.model import EndOfHold

LEAD_EXHALE_S = 4.0
"""The last seconds of a set-up lead an exhale, so that the hold begins on an in-breath
(set by the design of the session)."""
SETUP_TICK_EVERY_S = 2.0
"""Half the pace of the last ticks, so that the two are told apart by rhythm."""
SETTLE_S = 0.5
"""No tick before this: a set's stream is opened as its set-up begins, and a cue in that
moment would come late (up to 0.2 s, measured)."""
TEST_AGAIN_EVERY_S = 12.0
"""How often a test says in the hold when to come down."""
LAST_TICKS = 3
TEN_S = 10.0
NEARLY_OVER_S = 10.0
"""How long before the end of a rest its warning comes."""
PRESS_EVERY_BREATHS = 2
PRESS_INTO_EXHALE_S = 1.0
COME_OUT_AFTER_S = 1.0
"""The in-then-down cue waits for the sound of the target to be over."""
LONGEST_COME_OUT_S = 4.0
SHORTEST_BREATH_S = 0.5
"""A breath tone shorter than this leads nobody and is left out. The quickest pattern,
made to fit a hold, has parts of 0.55 s; a rehearsal's may be shorter."""

BREATHS = frozenset(cue for cue, kind in CUES.items() if kind.room_s is None)

ROOM_S: Mapping[Cue, float] = {
    cue: kind.room_s for cue, kind in CUES.items() if kind.room_s is not None
}
"""Seconds that each event has to itself from its onset on, in order of rank."""
_RANK = {cue: rank for rank, cue in enumerate(ROOM_S)}

APART_S: Mapping[frozenset[Cue], float] = {
    frozenset({Cue.HALFWAY, Cue.HOLD}): 3.0,
    frozenset({Cue.HALFWAY, Cue.TEN_LEFT}): 3.0,
    frozenset({Cue.HALFWAY, Cue.LAST_TICK}): 3.0,
    frozenset({Cue.TEN_LEFT, Cue.HOLD}): 3.0,
    frozenset({Cue.TEN_LEFT, Cue.LAST_TICK}): 3.0,
    frozenset({Cue.TEN_MORE, Cue.TARGET}): 3.0,
    frozenset({Cue.TEN_MORE, Cue.LAST_TICK}): 2.0,
    frozenset({Cue.PRESS_ON, Cue.HOLD}): 3.0,
    frozenset({Cue.PRESS_ON, Cue.HALFWAY}): 2.0,
    frozenset({Cue.PRESS_ON, Cue.TEN_LEFT}): 2.0,
    frozenset({Cue.PRESS_ON, Cue.TEN_MORE}): 2.0,
    frozenset({Cue.PRESS_ON, Cue.LAST_TICK}): 1.5,
    frozenset({Cue.REST_NEARLY_OVER, Cue.REST}): 5.0,
}
"""Onsets of these pairs closer than this: the lower rank goes."""
_MOST_S = max(*ROOM_S.values(), *APART_S.values())

_TINY = 1e-6


def setup_cues(
    *, setup_s: float, go_up_lead_s: float, test_breaths: int = 0
) -> tuple[TimedCue, ...]:
    """Make the cues of a set-up of SETUP_S seconds; the hold begins at its end.

    TEST_BREATHS: of a test, with how many breaths left to come down; 0 for none.
    """
    exhale_s = min(LEAD_EXHALE_S, setup_s)
    cues = [_breath(setup_s - exhale_s, Cue.OUT, exhale_s)]
    cues.append(TimedCue(max(0.0, setup_s - go_up_lead_s), Cue.GO_UP))
    ticked_s = setup_s - exhale_s - SETTLE_S
    ticks = max(0, int(ticked_s / SETUP_TICK_EVERY_S + _TINY))
    for tick in range(1, ticks + 1):
        at_s = setup_s - exhale_s - tick * SETUP_TICK_EVERY_S
        cues.append(TimedCue(max(0.0, at_s), Cue.SETUP_TICK))
    if test_breaths:
        cues.append(TimedCue(SETTLE_S, Cue.TEST, stride=test_breaths))
    return merge(cues)


def hold_cues(
    *,
    target_s: float,
    pattern: Pattern,
    end_of_hold: EndOfHold,
    limit_s: float | None,
    press: bool,
    test_breaths: int = 0,
) -> tuple[TimedCue, ...]:
    """Make the cues of a hold, with what follows its target in a ``stay``.

    LIMIT_S is when a ``stay`` ends by itself: twice the target if None. TEST_BREATHS:
    of a test, with how many breaths left to come down; 0 for none.
    """
    stays = end_of_hold is EndOfHold.STAY
    end_s = target_s
    if stays:
        end_s = max(target_s, 2 * target_s if limit_s is None else limit_s)
    if end_s - target_s < ROOM_S[Cue.TARGET]:
        target_s, laid_s = end_s, target_s  # one sound for what is one moment
    else:
        laid_s = target_s
    cues = [TimedCue(0.0, Cue.HOLD), TimedCue(target_s, Cue.TARGET)]
    cues.extend(_breath_cues(laid_s, end_s, pattern, press=press))
    cues.append(TimedCue(target_s / 2, Cue.HALFWAY))
    cues.append(TimedCue(target_s - TEN_S, Cue.TEN_LEFT))
    cues.extend(_last_ticks(target_s))
    if end_s > target_s + _TINY:
        past_s = target_s + TEN_S
        while past_s < end_s - _TINY:
            cues.append(TimedCue(past_s, Cue.TEN_MORE))
            past_s += TEN_S
        cues.extend(_last_ticks(end_s))
        cues.append(TimedCue(end_s, Cue.TARGET))
    if test_breaths:
        times = range(1, int(target_s / TEST_AGAIN_EVERY_S) + 1)
        cues.extend(
            TimedCue(TEST_AGAIN_EVERY_S * time, Cue.TEST, stride=test_breaths)
            for time in times
        )
    return merge(cue for cue in cues if cue.at_s >= 0)


def _last_ticks(end_s: float) -> list[TimedCue]:
    strides = range(LAST_TICKS, 0, -1)
    return [TimedCue(end_s - left, Cue.LAST_TICK, stride=left) for left in strides]


def _breath_cues(
    target_s: float, end_s: float, pattern: Pattern, *, press: bool
) -> list[TimedCue]:
    """Lead the breath to END_S, with reminders for a press; nothing runs past it."""
    breaths = lay(target_s, pattern)
    if breaths is None:
        return []
    cues = []
    count = max(breaths.count, int(end_s / breaths.period_s + 1))
    for half, (at_s, phase, length_s) in enumerate(breaths.boundaries_s(count)):
        if at_s > end_s - SHORTEST_BREATH_S:
            break
        # To the end exactly: adding up periods may miss it by a rounding error.
        until_s = at_s + length_s
        if until_s > end_s - _TINY:
            until_s = end_s
        elif abs(until_s - target_s) < _TINY:
            until_s = target_s
        cues.append(_breath(at_s, Cue(phase.value), until_s - at_s))
        reminds = (
            press and phase.value == "out" and (half // 2) % PRESS_EVERY_BREATHS == 0
        )
        if reminds and at_s + PRESS_INTO_EXHALE_S < end_s:
            cues.append(TimedCue(at_s + PRESS_INTO_EXHALE_S, Cue.PRESS_ON))
    return cues


def come_out_cues(*, come_out_s: float, early: bool) -> tuple[TimedCue, ...]:
    """Make the cues of a come-out: a breath in, then down.

    EARLY: the person is down already and only an exhale says that the key was heard.
    """
    if early:
        return merge([_breath(0.0, Cue.OUT, min(LEAD_EXHALE_S, come_out_s))])
    length_s = min(LONGEST_COME_OUT_S, come_out_s - COME_OUT_AFTER_S)
    if length_s < ROOM_S[Cue.IN_THEN_DOWN]:
        return ()
    return (TimedCue(COME_OUT_AFTER_S, Cue.IN_THEN_DOWN, length_s),)


def rest_cues(*, rest_s: float, last: bool) -> tuple[TimedCue, ...]:
    """Make the cues of a rest; LAST: no set follows, so the session is done."""
    if last:
        return (TimedCue(0.0, Cue.DONE),)
    nearly = TimedCue(rest_s - NEARLY_OVER_S, Cue.REST_NEARLY_OVER)
    return merge(cue for cue in (TimedCue(0.0, Cue.REST), nearly) if cue.at_s >= 0)


def warm_up_cues(*, lengths_s: tuple[float, ...]) -> tuple[TimedCue, ...]:
    """Make the cues of a warm-up: one as each movement begins, counted from 1."""
    cues = []
    at_s = 0.0
    for number, length_s in enumerate(lengths_s, start=1):
        cues.append(TimedCue(at_s, Cue.NEXT_MOVE, stride=number))
        at_s += length_s
    return merge(cues)


def paced(cues: Iterable[TimedCue], pace: float) -> tuple[TimedCue, ...]:
    """Give the cues of a rehearsal that runs PACE times as fast.

    Clips are never stretched: those that no longer fit are left out.
    """
    return merge(
        replace(cue, at_s=cue.at_s / pace, length_s=cue.length_s / pace) for cue in cues
    )


def merge(*parts: Iterable[TimedCue]) -> tuple[TimedCue, ...]:
    """Join parts that are on one axis: sorted, each once, nothing in contention.

    Of two events that need the same time the one named first in ``ROOM_S`` stays; of
    two breaths the later one, for it is the newer word on where the breath should be.
    """
    everything = sorted({cue for part in parts for cue in part}, key=_in_order)
    breaths = [cue for cue in everything if cue.cue in BREATHS]
    events = [cue for cue in everything if cue.cue not in BREATHS]
    kept = _settled_breaths(breaths) + _settled_events(events)
    return tuple(sorted(kept, key=_in_order))


_in_order = attrgetter("at_s", "cue", "length_s", "stride")
"""The order of cues: their own, asked in one go, where a whole set is sorted."""
_at_s = attrgetter("at_s")


def _settled_breaths(breaths: list[TimedCue]) -> list[TimedCue]:
    kept: list[TimedCue] = []
    for cue in breaths:
        if cue.length_s < SHORTEST_BREATH_S:
            continue
        while kept and kept[-1].at_s + kept[-1].length_s > cue.at_s + _TINY:
            kept.pop()
        kept.append(cue)
    return kept


def _settled_events(events: list[TimedCue]) -> list[TimedCue]:
    """Let the events of a lower rank go; EVENTS are in their order."""
    kept: list[TimedCue] = []
    # What is further apart than anything needs, which most of a set is, isn't compared.
    reach_s = max([_MOST_S, *(cue.length_s for cue in events)])
    for cue in sorted(events, key=lambda cue: _RANK[cue.cue]):
        if cue.cue is Cue.IN_THEN_DOWN and cue.length_s < ROOM_S[cue.cue]:
            continue
        near = kept[
            bisect_left(kept, cue.at_s - reach_s, key=_at_s) : bisect_right(
                kept, cue.at_s + reach_s, key=_at_s
            )
        ]
        if not any(_contend(cue, other) for other in near):
            insort(kept, cue, key=_at_s)
    return kept


def _contend(one: TimedCue, other: TimedCue) -> bool:
    first, second = (one, other) if _in_order(one) < _in_order(other) else (other, one)
    gap_s = second.at_s - first.at_s
    apart_s = APART_S.get(frozenset({first.cue, second.cue}), 0.0)
    needed_s = max(ROOM_S[first.cue], first.length_s, apart_s)
    return gap_s < needed_s - _TINY


def _breath(at_s: float, cue: Cue, length_s: float) -> TimedCue:
    return TimedCue(max(0.0, at_s), cue, length_s)
