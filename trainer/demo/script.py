"""The script of the made-up trainee: week by week, nothing random in it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from trainer.core.model import Moment, Site

HS, HANG = "hang-supported", "hang"
PUSHUP, PIKE = "press-pushup", "press-pike"


@dataclass(frozen=True, slots=True)
class Week:
    """What one week of the script holds; a target of 0 leaves the exercise out."""

    hang: str
    hang_s: float
    press: str
    press_s: float
    days: tuple[int, ...] = (1, 3, 5)
    move: str = ""
    """The exercise reached by a move: first set only, in the first two sessions."""


SCRIPT = (
    Week(HS, 20, PUSHUP, 15, days=(3, 5)),
    Week(HS, 25, PUSHUP, 20),
    Week(HS, 30, PUSHUP, 25),
    Week(HS, 35, PUSHUP, 30, days=(1, 4)),
    Week(HS, 40, PUSHUP, 35),
    Week(HS, 45, PUSHUP, 40),
    Week(HS, 45, PUSHUP, 40, days=(3,)),
    Week(HANG, 20, PUSHUP, 45, move=HANG),
    Week(HANG, 25, PUSHUP, 45),
    Week(HANG, 30, PIKE, 20, move=PIKE),
    Week(HANG, 30, PIKE, 20, days=(1, 3, 6)),
    Week(HANG, 30, PIKE, 25),
    Week(HANG, 30, PIKE, 30, days=(2, 4, 6)),
    Week(HANG, 30, PIKE, 30, days=()),
    Week(HANG, 30, PIKE, 30, days=()),
    Week(HANG, 30, PIKE, 30),
    Week(HANG, 35, PIKE, 30),
    Week(HANG, 35, PIKE, 0),
    Week(HANG, 40, PIKE, 20),
    Week(HANG, 45, PIKE, 25),
)
REST_WEEK = 6
SORE_WEEK = 16
PLATEAU_WEEKS = range(9, 13)
"""The third hang ends early in each of their sessions."""
CAPACITY: Mapping[str, Sequence[tuple[float, float]]] = {
    HS: ((0, 47), (6, 98)),
    HANG: ((7, 47), (9, 52), (12, 52), (15, 60), (19, 80)),
    PUSHUP: ((0, 43), (8, 86)),
    PIKE: ((9, 46), (12, 58), (15, 58), (19, 52)),
}
"""By exercise, (week, seconds the position could be kept fresh), joined by lines."""
FELT: Mapping[str, Sequence[tuple[int, int, Site, Moment, float, float]]] = {
    "hang": (
        (0, 9, Site.PECS, Moment.SETTLED, 0.8, 6),
        (0, 12, Site.FRONT_SHOULDER, Moment.SETTLED, 0.4, 5),
        (4, 20, Site.ARMPIT, Moment.SETTLED, 0.5, 5),
        (6, 20, Site.LATS, Moment.SETTLED, 0.45, 5),
        (8, 20, Site.RIBS, Moment.EXHALE, 0.75, 6),
        (9, 20, Site.PECS, Moment.SETTLED, 0.15, 3),
        (5, 20, Site.FOREARM, Moment.SETTLED, 0.2, 4),
    ),
    "press": (
        (0, 9, Site.FRONT_SHOULDER, Moment.SETTLED, 0.5, 4),
        (3, 20, Site.BETWEEN_BLADES, Moment.SETTLED, 0.4, 4),
        (9, 20, Site.RIBS, Moment.EXHALE, 0.4, 5),
        (9, 20, Site.WRIST, Moment.SETTLED, 0.45, 4),
        (15, 20, Site.LOW_BACK, Moment.SETTLED, 0.9, 5),
    ),
}
"""By family: first week, week after the last, site, moment, how often, strength."""
NOTES: Mapping[tuple[int, int], str] = {
    (0, 0): "First go. Bar in the workshop, feet on the flight case.",
    (4, 1): "Ribs stayed down for the whole of the second set.",
    (7, 0): "Feet off for the first time, twenty seconds felt long.",
    (11, 2): "Third hang: ribs pop at twenty-seven, came down.",
    (12, 0): "Came straight from a fit-up, arms heavy.",
    (15, 0): "Back after two weeks of get-outs and no bar.",
    (16, 1): "Left wrist sore on the heel of the hand, stopped.",
    (16, 2): "Wrist again at the first pike. Leaving presses for a week.",
    (18, 0): "On fists. Wrist quiet.",
    (19, 0): "Reached the second rail without the step today.",
}
"""By week and the day's place in it: a note on the session."""
