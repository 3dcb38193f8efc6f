"""Sheets to hear a sound by: one cue, or a ten-second hold from set-up to done.

A settings screen opens a player, and plays one of these with the clock's time a little
ahead: ``player.play(one_cue(cue, at_s=clock.now_s() + 0.2))``. To hear a cue that is
muted, the player's settings have to leave it audible.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator

from trainer.core.clock import Clock
from trainer.core.cues.breathing import DEFAULT, Pattern
from trainer.core.cues.cues import Cue, TimedCue
from trainer.core.cues.introduction import (
    INTRODUCTION,
    INTRODUCTION_S,
    introduction_sheet,
)
from trainer.core.cues.timeline import (
    LAST_TICKS,
    come_out_cues,
    hold_cues,
    merge,
    rest_cues,
    setup_cues,
)
from trainer.core.model import EndOfHold
from trainer.sound.player import Player

SETUP_S = 5.0
HOLD_S = 10.0
COME_OUT_S = 4.0
IN_THEN_DOWN_S = 3.0
DONE_S = 2.0


def one_cue(
    cue: Cue, *, at_s: float, pattern: Pattern = DEFAULT
) -> tuple[TimedCue, ...]:
    """Give the sheet that sounds CUE at AT_S; the last ticks come as the three."""
    if cue is Cue.LAST_TICK:
        strides = range(LAST_TICKS, 0, -1)
        return tuple(
            TimedCue(at_s + LAST_TICKS - left, cue, stride=left) for left in strides
        )
    lengths_s = {
        Cue.IN: pattern.in_s,
        Cue.OUT: pattern.out_s,
        Cue.IN_THEN_DOWN: IN_THEN_DOWN_S,
    }
    return (TimedCue(at_s, cue, lengths_s.get(cue, 0.0)),)


def ten_second_hold(
    *, at_s: float, pattern: Pattern = DEFAULT, press: bool = False
) -> tuple[TimedCue, ...]:
    """Give the sheet of a short set that begins at AT_S."""
    hold = hold_cues(
        target_s=HOLD_S,
        pattern=pattern,
        end_of_hold=EndOfHold.STOP,
        limit_s=None,
        press=press,
    )
    hold_at_s = at_s + SETUP_S
    out_at_s = hold_at_s + HOLD_S
    return merge(
        _moved(setup_cues(setup_s=SETUP_S, go_up_lead_s=3), at_s),
        _moved(hold, hold_at_s),
        _moved(come_out_cues(come_out_s=COME_OUT_S, early=False), out_at_s),
        _moved(rest_cues(rest_s=0, last=True), out_at_s + COME_OUT_S),
    )


TEN_SECOND_HOLD_S = SETUP_S + HOLD_S + COME_OUT_S + DONE_S
"""How long that set sounds."""


LEAD_S = 0.5
"""From being asked to the first sound: room for a device that has to wake."""
POLL_S = 0.05


def play_introduction(
    player: Player, *, clock: Clock, enough: Callable[[float], bool]
) -> Iterator[str]:
    """Play the six sounds of a hold, and name each as it is to be heard.

    A generator: the sounds go on while the caller prints.

    Args:
        player: who plays, and whose notices are passed on.
        clock: the player's clock.
        enough: waits for so many seconds at most, and tells whether to leave it there.
    """
    start_s = clock.now_s() + LEAD_S
    player.play(introduction_sheet(start_s))
    waiting = list(INTRODUCTION)
    while clock.now_s() < start_s + INTRODUCTION_S:
        yield from player.poll()
        while waiting and clock.now_s() >= start_s + waiting[0].at_s:
            each = waiting.pop(0)
            yield f"{each.name}: {each.meaning}"
        if enough(POLL_S):
            break
    player.silence()


def _moved(cues: Iterable[TimedCue], by_s: float) -> list[TimedCue]:
    return [cue.moved(by_s) for cue in cues]
