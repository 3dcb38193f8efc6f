"""The cues: everything that is told apart by ear alone."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum


class Cue(StrEnum):
    """One sound with one meaning."""

    SETUP_TICK = "setup-tick"
    GO_UP = "go-up"
    HOLD = "hold"
    IN = "in"
    OUT = "out"
    HALFWAY = "halfway"
    TEN_LEFT = "ten-left"
    LAST_TICK = "last-tick"
    TEN_MORE = "ten-more"
    """Every ten seconds past the target of a ``stay``."""
    PRESS_ON = "press-on"
    """The press reminder: keep pushing."""
    TARGET = "target"
    IN_THEN_DOWN = "in-then-down"
    REST = "rest"
    REST_NEARLY_OVER = "rest-nearly-over"
    NOT_YET = "not-yet"
    """Thirty seconds more were given."""
    NEXT_MOVE = "next-move"
    """The warm-up goes to its next movement."""
    DONE = "done"


NAMES: Mapping[Cue, str] = {
    Cue.SETUP_TICK: "set-up tick",
    Cue.GO_UP: "go up",
    Cue.HOLD: "hold begins",
    Cue.IN: "breath in",
    Cue.OUT: "breath out",
    Cue.HALFWAY: "halfway",
    Cue.TEN_LEFT: "ten seconds left",
    Cue.LAST_TICK: "last three ticks",
    Cue.TEN_MORE: "ten seconds more",
    Cue.PRESS_ON: "press reminder",
    Cue.TARGET: "target reached",
    Cue.IN_THEN_DOWN: "in and then down",
    Cue.REST: "rest begins",
    Cue.REST_NEARLY_OVER: "rest nearly over",
    Cue.NOT_YET: "not yet",
    Cue.NEXT_MOVE: "next movement of the warm-up",
    Cue.DONE: "session done",
}
"""What each cue is called on screens."""


@dataclass(frozen=True, slots=True, order=True)
class TimedCue:
    """One cue at its time.

    ``at_s`` is on whatever axis the maker says: from the start of a set-up, a hold or
    a rest when a part is made, monotonic seconds when it goes to a player.
    """

    at_s: float
    cue: Cue
    length_s: float = 0.0
    """How long the sound is to last; 0 for the clip's own length."""
    stride: int = 0
    """Which of several in a row (third last tick: 3), for words that count."""

    def moved(self, by_s: float) -> TimedCue:
        """Give the same cue BY_S later."""
        return TimedCue(self.at_s + by_s, self.cue, self.length_s, self.stride)
