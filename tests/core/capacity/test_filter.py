"""The capacity filter against implementations that are not ours."""

from __future__ import annotations

import math
from datetime import date, timedelta

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import norm
from statsmodels.tsa.statespace.structural import UnobservedComponents

from tests.core.next_week.cases import MONDAY, day, log, trained
from trainer.core.capacity.filter import (
    STANDARD,
    Belief,
    Model,
    estimate,
    looks_back_to,
)
from trainer.core.capacity.grid import Grid
from trainer.core.capacity.rpe import (
    Evidence,
    Interval,
    evidence_of,
    interval_of,
    made,
    reserve_s,
    rpe_for,
)
from trainer.core.model import SessionKind

LONG_AGO = date(2020, 1, 1)
DAYS = [0, 2, 4, 7, 9, 30, 32, 60]
HOLDS: list[tuple[Interval, ...]] = [
    (Interval(3.0, 3.0),),
    (Interval(3.1, math.inf), Interval(3.2, 3.5)),
    (Interval(3.2, 3.6), Interval(3.3, 3.3), Interval(3.3, math.inf)),
    (Interval(3.4, 3.9),),
    (Interval(3.4, math.inf),),
    (Interval(3.2, 3.2),),
    (Interval(3.3, 3.8), Interval(3.35, 3.85)),
    (Interval(3.5, 4.2),),
]
EVIDENCE: Evidence = tuple(
    (MONDAY + timedelta(days=n), holds) for n, holds in zip(DAYS, HOLDS, strict=True)
)


def _dense(evidence: Evidence, model: Model) -> np.ndarray:
    """Filter by dense matrices on MODEL's grid: numpy and scipy, none of our code.

    The drift is a true normal kernel here, not three-point steps.
    """
    grid = model.grid
    x = grid.low + grid.step * np.arange(grid.points)
    gaps = x[:, None] - x[None, :]

    def kernel(sd: float, shift: float = 0.0) -> np.ndarray:
        weights = norm.pdf(gaps, loc=shift, scale=sd)
        return np.asarray(weights / weights.sum(axis=0, keepdims=True))

    mass = norm.pdf(x, math.log(model.prior_centre_s), model.prior_sd)
    before = evidence[0][0]
    for when, holds in evidence:
        days = (when - before).days
        if days:
            away = max(0.0, days - model.loss_after_days) / 7
            lost = min(model.most_loss, model.loss_per_week * away)
            near = min(days, model.loss_after_days) / 7
            variance = model.drift_per_week**2 * near
            variance += model.drift_away_per_week**2 * away
            mass = kernel(math.sqrt(variance), -lost) @ mass
        seen = np.ones_like(x)
        for hold in holds:
            if hold.low == hold.high:
                seen *= np.exp(-0.5 * ((hold.low - x) / model.hold_noise) ** 2)
            else:
                seen *= norm.cdf(hold.high, x, model.hold_noise) - norm.cdf(
                    hold.low, x, model.hold_noise
                )
        mass = mass * (kernel(model.day_noise).T @ seen)
        mass /= mass.sum()
        before = when
    return np.asarray(mass)


def _moments(mass: np.ndarray, grid: Grid) -> tuple[float, float]:
    x = grid.low + grid.step * np.arange(grid.points)
    mean = float(mass @ x)
    return mean, float(mass @ (x - mean) ** 2)


def test_against_a_dense_filter() -> None:
    """On a fine grid, mean and variance are those of a dense numpy filter.

    Independent computation: numpy matrices and scipy's normal distribution.
    """
    model = Model(grid=Grid(low=0.5, step=0.01, points=650))
    ours = estimate(EVIDENCE, EVIDENCE[-1][0], model=model)
    assert ours is not None
    mean, variance = _moments(_dense(EVIDENCE, model), model.grid)

    assert (mean, variance) == pytest.approx(
        _moments(np.array(ours.mass), model.grid), abs=1e-6
    )


def test_the_coarse_grid_is_fine_enough() -> None:
    """The grid in use gives the median of a six times finer dense filter within 1 %."""
    model = Model(grid=Grid(low=0.5, step=0.01, points=650))
    dense = _dense(EVIDENCE, model)
    x = model.grid.low + model.grid.step * np.arange(model.grid.points)
    median_s = math.exp(float(np.interp(0.5, np.cumsum(dense) - dense / 2, x)))
    ours = estimate(EVIDENCE, EVIDENCE[-1][0])

    assert ours is not None
    assert median_s == pytest.approx(ours.median_s, rel=0.01)


def test_against_a_kalman_filter() -> None:
    """With one early hold a week, the filter is a local-level Kalman filter.

    Reference library: statsmodels' UnobservedComponents, mean and variance after every
    week to 1e-6.
    """
    model = Model(grid=Grid(low=0.5, step=0.01, points=650), prior_sd=0.4)
    seen = [3.5, 3.62, 3.41, 3.55, 3.8, 3.77, 3.9, 3.6, 3.95, 4.0]
    level = UnobservedComponents(np.array(seen), "llevel")
    level.ssm.initialize_known(
        np.array([math.log(model.prior_centre_s)]), np.array([[model.prior_sd**2]])
    )
    noise = model.hold_noise**2 + model.day_noise**2
    result = level.filter([noise, model.drift_per_week**2])
    belief = Belief.prior(model)
    for week, value in enumerate(seen):
        belief = belief.later(7 if week else 0).after([Interval(value, value)])
        expected = (
            result.filtered_state[0, week],
            result.filtered_state_cov[0, 0, week],
        )

        assert expected == pytest.approx(
            _moments(np.array(belief.mass), model.grid), abs=1e-6
        )


def test_the_chance_is_that_of_a_dense_integral() -> None:
    """The chance of three sets equals a double integral over capacity and form."""
    belief = estimate(EVIDENCE, EVIDENCE[-1][0])
    assert belief is not None
    x = STANDARD.grid.low + STANDARD.grid.step * np.arange(STANDARD.grid.points)
    form = np.linspace(-0.6, 0.6, 2401)
    weight = norm.pdf(form, 0, STANDARD.day_noise)
    weight /= weight.sum()
    made_all = np.ones((x.size, form.size))
    for nth in range(3):
        goal = math.log(29.5) + 0.04 * nth
        made_all *= norm.cdf((x[:, None] + form - goal) / STANDARD.hold_noise)

    assert float(np.array(belief.mass) @ made_all @ weight) == pytest.approx(
        belief.chance(30, 3), abs=1e-6
    )


def test_it_grows_less_certain_and_sinks_when_away() -> None:
    """Away, the range widens, and from two weeks on the median falls.

    Direction of the published series 143 → 152 → 145 → 154 (Willy et al. 2001): up
    with six weeks of training, down with four weeks off, up again with six more.
    """
    first = [trained(n, 20 + n / 2, target=120, rpe=10) for n in range(0, 42, 3)]
    again = [trained(n, n / 2, target=120, rpe=10) for n in range(68, 110, 3)]
    evidence = evidence_of(log(*first, *again), "hang", since=LONG_AGO)
    begun, peak = evidence[:1], evidence[:14]
    series = [
        _estimate(begun, 0),
        _estimate(peak, 39),
        _estimate(peak, 67),
        _estimate(evidence, 107),
    ]
    medians = [belief.median_s for belief in series]
    width = [b.quantile_s(0.9) / b.quantile_s(0.1) for b in series]

    assert medians[0] < medians[1] > medians[2] < medians[3]
    assert width[2] > width[1]
    assert _estimate(peak, 53).median_s == pytest.approx(medians[1], rel=0.01)


def _estimate(evidence: Evidence, on: int) -> Belief:
    belief = estimate(evidence, day(on))
    assert belief is not None
    return belief


def _endurance_s(b0: float, b1: float, share: float) -> float:
    """Endurance time at a share of the maximum: Frey Law & Avin 2010, Table 2."""
    return float(b0 * share**b1)


def test_the_first_guess_is_plausible() -> None:
    """Where the estimate begins is a time that a published model finds ordinary.

    Plausibility only, never a prescription. Frey Law & Avin 2010: shoulder 14.86,
    -1.83; grip 33.55, -1.61; at 30 to 70 % of maximum.
    """
    shortest = _endurance_s(14.86, -1.83, 0.7)
    longest = _endurance_s(33.55, -1.61, 0.3)
    prior = Belief.prior()

    assert 52.8 == pytest.approx(_endurance_s(14.86, -1.83, 0.5), abs=0.05)
    assert 102.4 == pytest.approx(_endurance_s(33.55, -1.61, 0.5), abs=0.05)
    assert shortest < prior.median_s < longest
    assert prior.quantile_s(0.05) < shortest
    assert prior.quantile_s(0.95) < longest


@pytest.mark.parametrize(
    ("rpe", "left"), [(10, 0), (9, 1.5), (8, 10), (7, 20), (5, 60), (3, 120), (0, 120)]
)
def test_seconds_left_follow_our_own_wording(rpe: float, left: float) -> None:
    """After 60 s: RPE 10 nothing, 9 a second or two, 8 a breath, 7 two, 5 as long."""
    assert left == reserve_s(rpe, 60)


@pytest.mark.parametrize("rpe", [half / 2 for half in range(6, 21)])
def test_rpe_and_seconds_left_are_inverse(rpe: float) -> None:
    """The likely RPE turns seconds left back into the RPE that they came from."""
    assert rpe == rpe_for(reserve_s(rpe, 45), 45)


def test_low_rpe_says_little() -> None:
    """From RPE 4 down there is no upper end, and no more is claimed than at 6.

    Hackett et al. 2017: guesses of what is left are poor when much is left.
    """
    assert math.inf == made(30, 4, 0).high
    assert made(30, 6, 0).low == made(30, 2, 0).low


@given(
    st.lists(
        st.tuples(st.floats(5, 90), st.sampled_from([None, 5.0, 7.0, 8.0, 9.0, 10.0])),
        min_size=1,
        max_size=6,
    ),
    st.integers(0, 5),
    st.floats(0, 40),
    st.floats(10, 90),
)
@settings(max_examples=100, deadline=None)
def test_a_better_hold_never_lowers_the_chance(
    holds: list[tuple[float, float | None]], which: int, more: float, target: float
) -> None:
    """Kept longer, or with a lower RPE, never makes any target less likely."""
    index = which % len(holds)
    kept, rpe = holds[index]
    easier = None if rpe is None else rpe - 2
    chances = []
    for change in ((kept, rpe), (kept + more, rpe), (kept, easier)):
        mixed = [*holds[:index], change, *holds[index + 1 :]]
        sessions = [
            trained(2 * n, held, target=60, rpe=noted)
            for n, (held, noted) in enumerate(mixed)
        ]
        evidence = evidence_of(log(*sessions), "hang", since=LONG_AGO)
        chances.append(_estimate(evidence, 14).chance(target, 3))

    assert chances[0] <= chances[1] + 1e-9
    assert chances[0] <= chances[2] + 1e-9


def test_one_offs_and_tests_feed_it() -> None:
    """A test is taken to end at RPE 7 where no RPE was noted; a one-off counts too."""
    test = trained(0, 30, target=45, rpe=None, kind=SessionKind.TEST)
    plain = trained(0, 30, target=45, rpe=None)

    assert interval_of(test.holds[0], 0, test=True) == made(30, 7, 0)
    assert interval_of(plain.holds[0], 0) == Interval(math.log(30), math.log(30))


def test_old_holds_are_left_out() -> None:
    """Nothing older than nine months is looked at; half a year always is."""
    on = date(2026, 11, 25)

    assert 182 <= (on - looks_back_to(on)).days <= 273
    assert estimate(((date(2025, 1, 1), HOLDS[0]),), on) is None
