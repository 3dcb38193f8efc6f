"""When will the cap be reached? A median and an 80 % range, in ISO weeks.

The growth to come is not known, so several rates are tried. Half of a rate's weight is
what was believed of it beforehand; half is how likely it makes what was logged (the
same filter at several rates): training that stood still takes off, and what rose
stalls. At each, and from several points of what is believed of the capacity, the rules
are walked forward week by week: the target rises where both of a week's last sessions
are likely to be clean, in weeks that have two sessions. All constants are our choice,
set on simulated trainees (``scripts/simulate.py``) and judged on others.
"""

from __future__ import annotations

import itertools
import math
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date, timedelta
from functools import lru_cache
from statistics import NormalDist

from trainer.core import words
from trainer.core.capacity.filter import (
    STANDARD,
    Belief,
    estimate,
    followed,
    looks_back_to,
)
from trainer.core.capacity.rpe import Evidence, evidence_of, reserve_s, tired
from trainer.core.model import CLEAN_SLACK_S, History
from trainer.core.next_week.case import half_step_s, is_large_step
from trainer.core.next_week.days import (
    CLEAN_RPE,
    days_of,
    entry_or_default,
    target_in_force,
    trained,
)
from trainer.core.next_week.hindrances import GOOD_RPE
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek

HORIZON_WEEKS = 104
"""Beyond two years nothing is said but that it is beyond them."""
HORIZON = "two years"
"""How long that is, in words."""
GROWTH: Mapping[float, float] = {
    0.0: 0.03,
    0.01: 0.01,
    0.02: 0.11,
    0.03: 0.26,
    0.05: 0.33,
    0.08: 0.19,
    0.12: 0.07,
}
"""Growth in log seconds per week of training, and how likely each is beforehand."""
GROWTH_FADES_WEEKS = 28.0
"""Growth falls to 1/e of itself in so many weeks."""
SO_FAR = 0.5
"""How much of a rate's weight comes from what was logged."""
DRIFT_PER_WEEK = 0.01
"""Standard deviation that a week ahead adds: most of what drifts comes back."""
LIKELY_BIAS = 0.1
"""Rating biases less likely than this are left out: each is another walk."""
RATING_NOISE = 0.08
"""What the error of a rating comes to in log seconds, where it decides on a step."""
SLIP = 0.04
"""Chance that a session within reach still is not clean: a lapse, a lost breath."""
PATHS = 7
"""Points of the belief that are walked forward."""
RECENT_WEEKS = 8
"""How often somebody trains is taken from so many weeks."""
BREAK_DAYS = 14
"""A gap of so many days is a break: how often one trains is counted from its end."""
LOW, HIGH = 0.1, 0.9


@dataclass(frozen=True, slots=True, kw_only=True)
class Forecast:
    """When an exercise is likely to reach its cap."""

    exercise: str
    name: str
    """What people call the exercise."""
    cap_s: float
    made_on: date
    by_week: tuple[float, ...]
    """The chance that the cap is reached by the end of each week ahead."""

    def week_at(self, share: float) -> IsoWeek | None:
        """Return the first week by which the chance is SHARE; None: beyond HORIZON."""
        for ahead, chance in enumerate(self.by_week):
            if chance >= share:
                return IsoWeek.of(self.made_on).plus(ahead)
        return None

    @property
    def median(self) -> IsoWeek | None:
        """The week by which it is as likely as not."""
        return self.week_at(0.5)

    @property
    def low(self) -> IsoWeek | None:
        """The early end of the 80 % range."""
        return self.week_at(LOW)

    @property
    def high(self) -> IsoWeek | None:
        """The late end of the 80 % range."""
        return self.week_at(HIGH)

    @property
    def reached(self) -> bool:
        """Whether the target stands at the cap already."""
        return self.by_week[0] >= 1

    def sentence(self) -> str:
        """Say when the cap is likely to be reached, with the 80 % range."""
        cap = f"The cap, {words.whole_seconds(self.cap_s)} of {self.name}"
        if self.reached:
            return f"{cap}, is reached."
        if self.low is None:
            return f"{cap}, is more than {HORIZON} ahead, as far as can be told."
        late = f"later than in {HORIZON}"
        if self.high is not None:
            late = words.dated_week(self.high)
        likely = f"more likely than not beyond {HORIZON}"
        if self.median is not None:
            likely = f"most likely in {words.dated_week(self.median)}"
        return (
            f"{cap}: {likely}; with 80 % confidence between"
            f" {words.dated_week(self.low)} and {late}."
        )


def forecast(
    history: History, plan: Plan, exercise: str, *, today: date
) -> Forecast | None:
    """Forecast when EXERCISE reaches its cap; None with nothing to go by."""
    entry = entry_or_default(plan, exercise)
    days = trained(days_of(history, plan, exercise))
    current_s = target_in_force(history, plan, exercise, days=days)
    if not days:
        return None
    told = Forecast(
        exercise=exercise,
        name=plan.exercise(exercise).name,
        cap_s=entry.cap_s,
        made_on=today,
        by_week=(1.0,) * (HORIZON_WEEKS + 1),
    )
    if current_s >= entry.cap_s:
        return told
    attends = attendance([day.date for day in days], today)
    total = [0.0] * (HORIZON_WEEKS + 1)
    evidence = evidence_of(history, exercise, since=looks_back_to(today))
    belief = estimate(evidence, today)
    if belief is None:
        return None
    bias_s = 5 * round((belief.mean_bias_s - STANDARD.leaning_s) / 5)
    shares = [(point + 0.5) / PATHS for point in range(PATHS)]
    starts = [
        (math.log(belief.quantile_s(share)), NormalDist().inv_cdf(share))
        for share in shares
    ]
    for growth, weight in _weighed(evidence, belief, today):
        for start, z in starts:
            path = _path(start, growth, z)
            walked = walk(entry, current_s, path, attends=attends, bias_s=bias_s)
            for ahead, reached in enumerate(walked):
                total[ahead] += weight / PATHS * reached
    return replace(told, by_week=tuple(min(1.0, chance) for chance in total))


def attendance(dates: list[date], today: date) -> float:
    """Return the share of recent weeks with two sessions, drawn toward a half."""
    ordered = sorted(set(dates))
    back = ordered[0]
    for before, after in itertools.pairwise(ordered):
        if (after - before).days >= BREAK_DAYS:
            back = after
    since = max(back, today - timedelta(weeks=RECENT_WEEKS))
    this_week = IsoWeek.of(today)
    per_week: dict[IsoWeek, int] = defaultdict(int)
    for day in ordered:
        if day >= since:
            per_week[IsoWeek.of(day)] += 1
    full = sum(count >= 2 for count in per_week.values())
    # The week under way counts once it is full: it may still become so.
    weeks = this_week.since(IsoWeek.of(since)) + (per_week[this_week] >= 2)
    return (full + 0.5) / (max(weeks, full) + 1)


def _weighed(
    evidence: Evidence, told: Belief, today: date
) -> list[tuple[float, float]]:
    """Return each rate of growth to come with its weight.

    TOLD is what the evidence says of today: rating biases that it makes unlikely are
    left out.
    """
    likely = {bias for bias, share in told.biases.items() if share >= LIKELY_BIAS}
    start = Belief.prior().only(likely) if likely else Belief.prior()
    logs = {}
    for growth, prior in GROWTH.items():
        ending = followed(evidence, today, start=start, growth=growth)
        logs[growth] = math.log(prior) + (0.0 if ending is None else ending[1])
    most = max(logs.values())
    by_log = {growth: math.exp(log - most) for growth, log in logs.items()}
    total = sum(by_log.values())
    return [
        (growth, (1 - SO_FAR) * prior + SO_FAR * by_log[growth] / total)
        for growth, prior in GROWTH.items()
    ]


def _path(start: float, growth: float, z: float) -> list[float]:
    """Return the log capacity week by week: growth that fades, and drift along Z."""
    path = []
    grown = 0.0
    for ahead in range(HORIZON_WEEKS + 1):
        drift = z * DRIFT_PER_WEEK * math.sqrt(ahead)
        path.append(start + grown + drift)
        grown += growth * math.exp(-ahead / GROWTH_FADES_WEEKS)
    return path


def walk(
    entry: PlanExercise,
    current_s: float,
    path: list[float],
    *,
    attends: float,
    bias_s: float,
) -> list[float]:
    """Return the chance that the cap is reached by each week along PATH."""
    at: dict[float, float] = {current_s: 1.0}
    reached = [0.0]
    done = 0.0
    for log_capacity in path[1:]:
        after: dict[float, float] = defaultdict(float)
        rounded = round(log_capacity, 2)
        for target_s, mass in at.items():
            rises, easy = rise(rounded, target_s, entry.sets, bias_s)
            rises *= attends
            after[target_s] += mass * (1 - rises)
            for to_s, share in _steps(entry, target_s, rises, easy):
                if to_s >= entry.cap_s:
                    done += mass * share
                else:
                    after[to_s] += mass * share
        at = {target_s: mass for target_s, mass in after.items() if mass > 1e-6}
        reached.append(done)
    return reached


def _steps(
    entry: PlanExercise, target_s: float, rises: float, easy: float
) -> list[tuple[float, float]]:
    """Return the targets to which it may rise, with their shares of the chance."""
    whole_s = target_s + entry.step_s
    if not is_large_step(entry.step_s, target_s):
        return [(whole_s, rises)]
    whole = rises * easy
    return [(whole_s, whole), (target_s + half_step_s(entry.step_s), rises - whole)]


@lru_cache(maxsize=16384)
def rise(
    log_capacity: float, target_s: float, sets: int, bias_s: float
) -> tuple[float, float]:
    """Return the chance of two clean sessions, and that they were easy if clean."""
    kept, clean, easy = _marks(target_s, bias_s)
    both, both_easy = 0.0, 0.0
    for shift, weight in _FORMS:
        x = log_capacity + shift
        made = 1.0
        for nth in range(sets - 1):
            made *= 0.5 * math.erfc((kept - (x - tired(nth))) / _HOLD_SCALE)
        last = x - tired(sets - 1)
        made *= 0.5 * weight
        both += made * math.erfc((clean - last) / _RATED_SCALE)
        both_easy += made * math.erfc((easy - last) / _RATED_SCALE)
    rises = (both * (1 - SLIP)) ** 2
    return rises, (both_easy / both) ** 2 if both > 0 else 0.0


_FORMS = [
    (points * STANDARD.day_noise, weight)
    for points, weight in ((-math.sqrt(3), 1 / 6), (0.0, 2 / 3), (math.sqrt(3), 1 / 6))
]
"""A day's form in log seconds, at Gauss and Hermite's three points, with its weight."""
# The chance to go over a mark so many log seconds away is half the complementary error
# function of the way back, in deviations times the root of 2.
_HOLD_SCALE = math.sqrt(2) * STANDARD.hold_noise
_RATED_SCALE = math.sqrt(2) * math.hypot(STANDARD.hold_noise, RATING_NOISE)


@lru_cache(maxsize=1024)
def _marks(target_s: float, bias_s: float) -> tuple[float, float, float]:
    """Return the logs of what has to be kept, of what is clean, and of what is easy."""
    clean, easy = (
        math.log(target_s + max(0.0, reserve_s(rpe + 0.25, target_s) - bias_s))
        for rpe in (CLEAN_RPE, GOOD_RPE)
    )
    return math.log(target_s - CLEAN_SLACK_S), clean, easy
