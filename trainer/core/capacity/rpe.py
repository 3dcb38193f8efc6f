"""What one hold says of the capacity: seconds left by RPE, fatigue undone.

People rate differently. A *rating bias* is how many seconds less somebody has left than
they say, by our own wording: with a bias of 10, who says 8 (one breath) has nothing
left. In seconds, as the wording counts breaths, and not in points: from 10 to 9 a point
is a second or two. All constants are our choice.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from functools import lru_cache

from trainer.core.exercises import BUILT_IN, TEST_RPE
from trainer.core.model import CLEAN_SLACK_S, RPE_WORDING, History, Hold, SessionKind

SET_FATIGUE = 0.055
"""How much shorter each further set of a session is, in log seconds."""
MOST_TIRED = 6
"""No set is taken to be more tired than the sixth."""
FORMER_TEST_RPE = 7.0
"""A first-day test under the earlier wording was held to this RPE."""
SHOWN_FROM_RPE = 8.5
"""A hold that ended early and was rated so or higher shows the capacity itself."""
LEAST_S = 1.5
"""A hold of less is taken for this long."""
OPEN_RPE = 5.0
"""From this RPE down there is no upper end to what may have been left."""
QUARTER = 0.25
"""An RPE stands for a quarter of a point about it, either way: halves can be said."""


Knots = tuple[tuple[float, float, float], ...]
"""RPE, the seconds that it leaves, and what that is at most as a share of the hold."""
READING: Mapping[int, Knots] = {
    2: (
        (10.0, 0.0, math.inf),
        (9.0, 1.5, math.inf),
        (8.0, 10.0, math.inf),
        (7.0, 20.0, math.inf),
        (6.0, 30.0, math.inf),
        (5.0, 40.0, math.inf),
    ),
    1: (
        (10.0, 0.0, math.inf),
        (9.0, 1.5, 1 / 6),
        (8.0, 10.0, 1 / 2),
        (7.0, 20.0, 9 / 10),
        (5.0, math.inf, 1.0),
        (3.0, math.inf, 2.0),
    ),
}
"""By the number of the wording (``model.RPE_WORDING``): 1 was as a share of the hold at
most, "as long again" and twice as long; 2 is in breaths, 5 and less being more."""


def tired(nth: int) -> float:
    """Return how much shorter the NTH set of a session is, from 0, in log seconds."""
    return SET_FATIGUE * min(nth, MOST_TIRED - 1)


def reserve_s(rpe: float, held_s: float, wording: int = RPE_WORDING) -> float:
    """Return the seconds that were left at RPE after HELD_S, by the wording's line.

    Straight between the points that the line names; under its last point as there.
    """
    knots = [
        (point, min(left_s, share * held_s))
        for point, left_s, share in READING[wording]
    ]
    for (high, low_s), (low, high_s) in itertools.pairwise(knots):
        if rpe >= low:
            share = (min(rpe, high) - low) / (high - low)
            return high_s + share * (low_s - high_s)
    return knots[-1][1]


def rpe_for(reserve: float, held_s: float) -> float:
    """Return the RPE, to the half, at which RESERVE seconds are left after HELD_S."""
    halves = [half / 2 for half in range(10, 21)]
    return min(halves, key=lambda rpe: abs(reserve_s(rpe, held_s) - max(0.0, reserve)))


@dataclass(frozen=True, slots=True)
class Seen:
    """What one hold showed.

    A hold that ended early shows the capacity. One that made its target shows only
    that it is more, and its RPE how much more. Where a hold ended early and something
    was left all the same, or the position went and the hold went on, the capacity lies
    between what was kept and the most that the RPE allows.
    """

    kept_s: float
    """Seconds for which the position was kept."""
    tired: float = 0.0
    """How much the sets before it had taken from the capacity, in log seconds."""
    short: bool = False
    """Whether it ended before its target."""
    least_s: float | None = None
    """The least that could have been held by the RPE; None: it doesn't say."""
    most_s: float | None = None
    """The most that could have been held by the RPE; None: there is no upper end."""

    @property
    def shown(self) -> bool:
        """Whether what was kept is the capacity itself."""
        return self.short and self.most_s == self.kept_s


def _meant_rpe(hold: Hold) -> float:
    """Return the RPE at which a test of this exercise is meant to end."""
    if hold.rpe_wording != RPE_WORDING:
        return FORMER_TEST_RPE
    exercise = BUILT_IN.get(hold.exercise)
    return TEST_RPE if exercise is None else exercise.test_rpe


def seen(hold: Hold, nth: int, *, test: bool = False) -> Seen:
    """Return what a hold showed, the NTH of its session from 0.

    Kept to within half a second of its target it was made. A TEST ends where it is
    meant to, at an RPE, and not at the capacity.
    """
    goal_s = hold.held_s if hold.target_s is None else hold.target_s
    early = hold.kept_or_held_s < goal_s - CLEAN_SLACK_S - 1e-9
    rpe = _meant_rpe(hold) if test and early and hold.rpe is None else hold.rpe
    return said(
        hold.kept_or_held_s,
        rpe,
        nth,
        held_s=hold.held_s,
        short=early and not test,
        wording=hold.rpe_wording,
    )


@lru_cache(maxsize=1024)
def said(
    kept_s: float,
    rpe: float | None,
    nth: int,
    *,
    held_s: float = 0.0,
    short: bool = False,
    wording: int = RPE_WORDING,
) -> Seen:
    """Return what a hold showed that was kept for KEPT_S and rated RPE, if it was.

    HELD_S is when it ended, where that was later; SHORT, that it ended before its
    target.
    """
    kept_s = max(kept_s, LEAST_S)
    end_s = max(kept_s, held_s)
    if short and (rpe is None or rpe >= SHOWN_FROM_RPE):
        return Seen(kept_s, tired(nth), short=True, most_s=kept_s)
    if rpe is None:
        return Seen(kept_s, tired(nth))
    least_s = most_s = None
    if rpe < 10:
        lowest = max(rpe, OPEN_RPE) + QUARTER
        least_s = end_s + reserve_s(lowest, end_s, wording)
    if rpe > OPEN_RPE:
        most_s = end_s + reserve_s(rpe - QUARTER, end_s, wording)
    return Seen(kept_s, tired(nth), short=short, least_s=least_s, most_s=most_s)


Evidence = tuple[tuple[date, tuple[Seen, ...]], ...]


def evidence_of(history: History, exercise: str, *, since: date) -> Evidence:
    """Collect what all counted holds of EXERCISE showed, day by day, oldest first."""
    by_day: dict[date, list[Seen]] = defaultdict(list)
    for session in history.sessions:
        if session.local_date < since:
            continue
        mine = [h for h in session.holds if h.exercise == exercise and h.counts]
        test = session.kind is SessionKind.TEST
        for nth, hold in enumerate(mine):
            by_day[session.local_date].append(seen(hold, nth, test=test))
    return tuple((day, tuple(by_day[day])) for day in sorted(by_day))
