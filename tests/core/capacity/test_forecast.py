"""The forecast of the cap, its range, and the short run of the simulated trainees."""

from __future__ import annotations

import importlib.util
import math
import random
import re
import sys
from dataclasses import replace
from datetime import timedelta
from itertools import pairwise
from pathlib import Path
from types import ModuleType

import numpy as np
import pytest

from tests.core.next_week.cases import MONDAY, day, log, plan_of, trained
from tests.references import in_one_worker, stats
from trainer.core import words
from trainer.core.capacity.filter import STANDARD, Belief, estimate, followed
from trainer.core.capacity.forecast import (
    HORIZON_WEEKS,
    RATING_NOISE,
    SLIP,
    Forecast,
    attendance,
    forecast,
    rise,
    walk,
)
from trainer.core.capacity.rpe import SET_FATIGUE, evidence_of
from trainer.core.model import History, SessionKind
from trainer.core.plan.plan import PlanExercise
from trainer.core.weeks import IsoWeek

pytestmark = in_one_worker


def climb(weeks: int, *, from_s: float = 20, every: int = 1) -> History:
    """Give a climb of 5 s every so many weeks, three easy sessions a week."""
    sessions = []
    for week in range(weeks):
        goal = min(60, from_s + 5 * (week // every))
        for weekday in (0, 2, 4):
            number = 7 * week + weekday
            sessions.append(trained(number, goal, goal, goal, target=goal, rpe=6))
    return log(*sessions)


def test_nothing_to_go_by() -> None:
    """Without a session there is no forecast."""
    assert forecast(log(), plan_of(), "hang", today=MONDAY) is None


def test_at_the_cap() -> None:
    """At the cap it is said to be reached."""
    told = forecast(climb(9), plan_of(), "hang", today=day(62))

    assert told is not None
    assert "The cap, 60 s of Passive hang, is reached." == told.sentence()
    assert (1.0,) * (HORIZON_WEEKS + 1) == told.by_week


def test_it_cannot_be_sooner_than_a_step_a_week() -> None:
    """From 40 s the cap of 60 s is four steps, so at least four weeks, away."""
    told = forecast(climb(5), plan_of(), "hang", today=day(34))

    assert told is not None
    assert [0.0] * 4 == [round(chance, 9) for chance in told.by_week[:4]]
    assert told.by_week[4] > 0
    assert told.low is not None
    assert told.low.since(IsoWeek.of(day(34))) >= 4


def test_the_range_is_in_order_and_said() -> None:
    """Low, median and high come in order, and the sentence has them."""
    told = forecast(climb(5), plan_of(), "hang", today=day(34))

    assert told is not None
    assert told.low is not None
    assert told.median is not None
    assert told.low <= told.median
    assert f"between {words.dated_week(told.low)} and" in told.sentence()
    assert f"most likely in {words.dated_week(told.median)}" in told.sentence()
    assert not re.search(r"\d{4}-W\d\d", told.sentence())
    assert HORIZON_WEEKS + 1 == len(told.by_week)


def test_the_range_holds_eighty_per_cent() -> None:
    """One in ten is sooner than its lower end, one in ten later than its upper end."""
    told = Forecast(
        exercise="hang",
        name="Passive hang",
        cap_s=60,
        made_on=MONDAY,
        by_week=(0.0, 0.05, 0.1, 0.3, 0.49, 0.5, 0.8, 0.89, 0.9, 0.95),
    )
    week = IsoWeek.of(MONDAY)
    beyond = replace(told, by_week=(0.0, 0.09))

    assert (week.plus(2), week.plus(5), week.plus(8)) == (
        told.low,
        told.median,
        told.high,
    )
    assert (None, None, None) == (beyond.low, beyond.median, beyond.high)
    assert "more than two years ahead" in beyond.sentence()
    assert not replace(told, by_week=(0.0, 1.0)).reached
    assert "later than in two years" in replace(told, by_week=(0.0, 0.6)).sentence()
    assert "more likely than not beyond two years" in (
        replace(told, by_week=(0.0, 0.4)).sentence()
    )


def test_a_climb_of_five_weeks_is_enough_for_both_ends() -> None:
    """Where the target rose week after week, both ends lie within half a year."""
    told = forecast(climb(5), plan_of(), "hang", today=day(34))

    assert told is not None
    assert told.low is not None
    assert told.high is not None
    assert told.high.since(told.low) <= 26


def test_nothing_of_the_last_nine_months_is_nothing_to_go_by() -> None:
    """Holds that the estimate doesn't look back on give no forecast."""
    assert forecast(climb(3), plan_of(), "hang", today=day(400)) is None


def test_the_longer_way_takes_longer() -> None:
    """Further from the cap, the chance of being there is lower in every week."""
    near = forecast(climb(5), plan_of(), "hang", today=day(34))
    far = forecast(climb(5), plan_of(cap_s=90), "hang", today=day(34))

    assert near is not None
    assert far is not None
    assert all(a >= b for a, b in zip(near.by_week, far.by_week, strict=True))


@pytest.mark.parametrize("attends", [1.0, 0.6])
def test_a_walk_within_reach_takes_as_many_steps_as_weeks_that_count(
    attends: float,
) -> None:
    """With far more than the cap to spare four steps need four weeks that count.

    Source: the binomial distribution, as scipy has it; a week counts where two sessions
    are had and neither slips.
    """
    plenty = [math.log(400.0)] * 21
    entry = PlanExercise(exercise="hang")

    reached = walk(entry, 40.0, plenty, attends=attends, bias_s=0.0)

    share = attends * (1 - SLIP) ** 2
    for weeks, chance in enumerate(reached):
        assert stats.binom.sf(3, weeks, share) == pytest.approx(chance, abs=1e-4)


def test_a_walk_takes_half_steps_where_they_are_large_and_not_easy() -> None:
    """Worked by hand: from 20 s to a cap of 24 s, by 5 s at ease and else by 2 s.

    Both targets are small enough for the step to be over 15 %. Within two weeks: a
    whole step at once; half of one and then any; or none and then a whole one.
    """
    path = [math.log(42.0)] * 3
    entry = PlanExercise(exercise="hang", cap_s=24)
    at_20, easy_20 = rise(round(path[0], 2), 20.0, 3, 0.0)
    at_22, _ = rise(round(path[0], 2), 22.0, 3, 0.0)
    at_once = at_20 * easy_20
    half = at_20 - at_once

    assert 0.1 < at_once < at_20 < 0.9
    assert [
        0.0,
        at_once,
        at_once + half * at_22 + (1 - at_20) * at_once,
    ] == pytest.approx(walk(entry, 20.0, path, attends=1.0, bias_s=0.0))


def overstates() -> History:
    """Give somebody who says 6 after 30 s, and whose holds end at 36 s all the same."""
    sessions = []
    for week in range(5):
        sessions += [trained(7 * week + n, 30, 30, 30, rpe=6) for n in (0, 2, 4)]
        early = {"target": 60.0, "rpe": None, "kind": SessionKind.ONE_OFF}
        sessions.append(trained(7 * week + 5, 36, **early))  # type: ignore[arg-type]
    return log(*sessions)


@pytest.mark.parametrize(
    ("history", "at_s", "overstated_s"), [(climb(5), 40.0, 0), (overstates(), 30.0, 10)]
)
def test_the_forecast_is_the_mix_of_walks_that_it_says(
    history: History, at_s: float, overstated_s: float
) -> None:
    """Seven points of the belief at seven rates of growth, put together by numpy.

    A rate weighs by half what was believed of it, by half what the log says of it. It
    fades to 1/e in 28 weeks; the drift to come adds 0.01 a week, as a deviation. What
    the person overstates counts to five seconds.
    """
    on = day(34)
    beforehand = {0: 3, 0.01: 1, 0.02: 11, 0.03: 26, 0.05: 33, 0.08: 19, 0.12: 7}
    evidence = evidence_of(history, "hang", since=on - timedelta(days=100))
    belief = estimate(evidence, on)
    assert belief is not None
    start = Belief.prior().only({b for b, p in belief.biases.items() if p >= 0.1})
    logs = [followed(evidence, on, start=start, growth=g) for g in beforehand]
    likely = np.exp([made[1] for made in logs if made is not None])
    prior = np.array([*beforehand.values()]) / 100
    told_by = prior * likely / (prior * likely).sum()
    weeks = np.arange(HORIZON_WEEKS + 1)
    assert overstated_s == pytest.approx(belief.mean_bias_s - 5, abs=2.5)
    expected = np.zeros(HORIZON_WEEKS + 1)
    for rate, weight in zip(beforehand, (prior + told_by) / 2, strict=True):
        grown = np.concatenate([[0], np.cumsum(rate * np.exp(-weeks[:-1] / 28))])
        for share in (np.arange(7) + 0.5) / 7:
            drift = stats.norm.ppf(share) * 0.01 * np.sqrt(weeks)
            path = math.log(belief.quantile_s(share)) + grown + drift
            expected += (
                weight
                / 7
                * np.array(
                    walk(
                        PlanExercise(exercise="hang"),
                        at_s,
                        path.tolist(),
                        attends=attendance(
                            [day(7 * week + n) for week in range(5) for n in (0, 2, 4)],
                            on,
                        ),
                        bias_s=overstated_s,
                    )
                )
            )
    told = forecast(history, plan_of(), "hang", today=on)

    assert told is not None
    assert expected.tolist() == pytest.approx(told.by_week, abs=1e-6)


@pytest.mark.parametrize("held_s", [34, 38, 42, 47, 53, 60])
@pytest.mark.parametrize(("sets", "bias_s"), [(1, 0.0), (3, 0.0), (3, 10.0)])
def test_the_chance_of_two_clean_sessions_is_what_drawing_many_gives(
    held_s: float, sets: int, bias_s: float
) -> None:
    """Days, holds and ratings drawn 40,000 times by numpy: a target of 30 s.

    Each further set has 5.5 % less; the last one has to leave as much as an RPE of 8
    says, or 7 to be easy, less what the person overstates.
    """
    draw = np.random.default_rng(7)
    many = 40_000
    day = math.log(held_s) + STANDARD.day_noise * draw.standard_normal(many)
    noise = draw.standard_normal((sets, many))
    made = np.ones(many, dtype=bool)
    for nth in range(sets - 1):
        made &= day - SET_FATIGUE * nth + STANDARD.hold_noise * noise[nth] > math.log(
            29.5
        )
    spread = math.hypot(STANDARD.hold_noise, RATING_NOISE)
    last = day - SET_FATIGUE * (sets - 1) + spread * noise[-1]
    clean = made & (last > math.log(30 + max(0.0, 7.5 - bias_s)))
    easy = made & (last > math.log(30 + max(0.0, 17.5 - bias_s)))

    rises, easily = rise(math.log(held_s), 30.0, sets, bias_s)

    assert (clean.mean() * (1 - SLIP)) ** 2 == pytest.approx(rises, abs=0.03)
    assert easy.mean() == pytest.approx(clean.mean() * math.sqrt(easily), abs=0.03)


@pytest.mark.parametrize("held_s", [34, 42, 60])
@pytest.mark.parametrize(("sets", "bias_s"), [(1, 0.0), (3, 0.0), (4, 10.0)])
def test_it_is_summed_at_three_points_of_a_days_form(
    held_s: float, sets: int, bias_s: float
) -> None:
    """Gauss and Hermite's three points by numpy, chances by scipy: a target of 30 s.

    An RPE of 8 has to be said with a quarter of a point to spare: 7.875 s are left
    then, and 17.5 s with an RPE of 7.
    """
    points, weights = np.polynomial.hermite_e.hermegauss(3)
    weights /= weights.sum()
    form = math.log(held_s) + STANDARD.day_noise * points
    spread = math.hypot(STANDARD.hold_noise, RATING_NOISE)
    made = np.ones(3)
    for nth in range(sets - 1):
        over = form - SET_FATIGUE * nth - math.log(29.5)
        made *= stats.norm.cdf(over / STANDARD.hold_noise)
    last = form - SET_FATIGUE * (sets - 1)
    clean, easy = (
        float(
            weights @ (made * stats.norm.cdf((last - math.log(30 + left_s)) / spread))
        )
        for left_s in (max(0.0, 7.875 - bias_s), max(0.0, 17.5 - bias_s))
    )

    assert ((clean * (1 - SLIP)) ** 2, (easy / clean) ** 2) == pytest.approx(
        rise(math.log(held_s), 30.0, sets, bias_s)
    )


@pytest.mark.parametrize(
    ("days", "today", "share"),
    [
        ((0, 2, 7, 9, 14, 16, 21, 23), 28, 4.5 / 5),
        ((0, 2, 7, 9, 14, 21, 23), 28, 3.5 / 5),
        ((0, 2, 7, 9, 14, 16, 21, 23, 28), 30, 4.5 / 5),
        ((0, 2, 7, 9, 14, 16, 21, 23, 28, 30), 30, 5.5 / 6),
        ((0, 2, 15, 17), 20, 2.5 / 4),
        ((0, 2, 16, 18), 20, 1.5 / 2),
        ((3,), 4, 0.5 / 1),
        (tuple(range(0, 140, 7)), 140, 0.5 / 9),
    ],
)
def test_attendance_is_the_share_of_full_weeks_drawn_toward_a_half(
    days: tuple[int, ...], today: int, share: float
) -> None:
    """Worked by hand: full weeks and a half, of all weeks and one.

    The running week counts once it is full; a break of 14 days begins anew, 13 don't;
    weeks more than eight back are left out.
    """
    assert share == pytest.approx(attendance([day(n) for n in days], day(today)))


def test_far_out_of_reach_there_is_no_chance_at_all() -> None:
    """Nor of an easy one: five minutes for somebody good for three seconds."""
    assert (0.0, 0.0) == rise(math.log(3), 300.0, 3, 0.0)


def test_attendance_counts_from_the_last_break() -> None:
    """Two sessions a week count; six weeks off don't speak against the weeks since."""
    before = [day(7 * week + n) for week in range(4) for n in (0, 2)]
    after = [day(7 * week + n) for week in (10, 11) for n in (0, 2)]

    assert attendance([*before, *after], day(83)) == attendance(after, day(83))
    assert attendance(after, day(83)) > attendance(after[:1], day(83))


@pytest.fixture(scope="module")
def simulate() -> ModuleType:
    """Load the simulation script as a module."""
    path = Path(__file__).parents[3] / "scripts" / "simulate.py"
    spec = importlib.util.spec_from_file_location("simulate", path)
    assert spec is not None
    assert spec.loader is not None
    module = importlib.util.module_from_spec(spec)
    sys.modules["simulate"] = module
    spec.loader.exec_module(module)
    return module


def test_simulated_trainees_stay_within_what_they_can_hold(
    simulate: ModuleType,
) -> None:
    """One of each plain kind, 12 weeks: no target rises past what could then be held.

    The trainees come from a generator that is not the filter's model. One of each of
    the others is in the tables too. Whole populations are the script's own business.
    """
    plain = list(simulate.courses(1, 12, 1, list(simulate.KINDS)[:7]))
    stressed = list(simulate.courses(1, 3, 1, list(simulate.KINDS)[7:]))

    assert [] == [course.kind for course in plain if course.rose_past]
    assert 7 == len(plain)
    for kind in simulate.KINDS:
        assert kind in simulate.table(plain + stressed)
        assert kind in simulate.reliability(plain + stressed)


def test_simulated_targets_rise_by_a_step_a_week_at_most(
    simulate: ModuleType,
) -> None:
    """Week by week, taking every suggestion, no target rises by more than 5 s."""
    trainee = simulate.made_up("fast", random.Random(5))
    targets = simulate.follow(trainee, 20).targets_s

    assert max(b - a for a, b in pairwise(targets)) <= 5
    assert 60 == max(targets)
