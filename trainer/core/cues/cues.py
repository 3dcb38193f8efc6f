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
    TEST = "test"
    """That this is a test, and with how many breaths left to come down."""
    DONE = "done"


@dataclass(frozen=True, slots=True, kw_only=True)
class CueKind:
    """All that is known of a cue but when it comes and what it sounds like."""

    name: str
    """What it is called in a sentence."""
    label: str
    """What it is called in a list."""
    meaning: str
    """What it says to the person, in a few words."""
    line: str = ""
    """What the line-by-line session prints; empty for what the ear alone needs."""
    room_s: float | None = None
    """Seconds that it has to itself from its onset on; None for a breath, which may
    sound under any other cue."""


CUES: Mapping[Cue, CueKind] = {
    # In order of rank: of two that contend for the same moment, the one named first
    # here stays. Rooms and ranks are our choice.
    Cue.TARGET: CueKind(
        name="target reached",
        label="target",
        meaning="the target is reached",
        line="Target.",
        room_s=1.0,
    ),
    Cue.HOLD: CueKind(
        name="hold begins",
        label="hold",
        meaning="the hold begins",
        room_s=1.0,
    ),
    Cue.LAST_TICK: CueKind(
        name="last three ticks",
        label="last three",
        meaning="three, two, one",
        room_s=0.6,
    ),
    Cue.IN_THEN_DOWN: CueKind(
        name="in and then down",
        label="come out",
        meaning="a breath in, then down",
        room_s=2.0,
    ),
    Cue.NOT_YET: CueKind(
        name="not yet",
        label="not yet",
        meaning="thirty seconds more",
        room_s=1.2,
    ),
    Cue.GO_UP: CueKind(
        name="go up",
        label="go up",
        meaning="climb on, walk up",
        line="Go up.",
        room_s=1.0,
    ),
    Cue.DONE: CueKind(
        name="session done",
        label="done",
        meaning="the session is done",
        room_s=2.0,
    ),
    Cue.REST: CueKind(
        name="rest begins",
        label="rest",
        meaning="the rest begins",
        room_s=1.5,
    ),
    Cue.TEN_LEFT: CueKind(
        name="ten seconds left",
        label="ten left",
        meaning="ten seconds to the target",
        line="Ten seconds left.",
        room_s=1.0,
    ),
    Cue.TEST: CueKind(
        name="a test",
        label="test",
        meaning="a test: come down with a breath left",
        room_s=1.8,
    ),
    Cue.HALFWAY: CueKind(
        name="halfway",
        label="halfway",
        meaning="half of the target is done",
        line="Halfway.",
        room_s=1.0,
    ),
    Cue.TEN_MORE: CueKind(
        name="ten seconds more",
        label="ten more",
        meaning="past the target, every ten seconds",
        line="Ten more.",
        room_s=1.0,
    ),
    Cue.NEXT_MOVE: CueKind(
        name="next movement of the warm-up",
        label="next move",
        meaning="the warm-up goes on",
        room_s=1.2,
    ),
    Cue.REST_NEARLY_OVER: CueKind(
        name="rest nearly over",
        label="rest ends",
        meaning="the rest is nearly over",
        line="The rest is nearly over.",
        room_s=2.0,
    ),
    Cue.PRESS_ON: CueKind(
        name="press reminder",
        label="press",
        meaning="keep pushing the floor away",
        room_s=1.0,
    ),
    Cue.SETUP_TICK: CueKind(
        name="set-up tick",
        label="set-up",
        meaning="the set-up is running",
        room_s=0.3,
    ),
    Cue.IN: CueKind(
        name="breath in",
        label="in",
        meaning="breathe in",
    ),
    Cue.OUT: CueKind(
        name="breath out",
        label="out",
        meaning="breathe out, as long as it falls",
    ),
}


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
