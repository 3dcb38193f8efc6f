"""The week's dose beside the published figures, and the first-day test."""

from __future__ import annotations

import pytest

from tests.core.next_week.cases import day, log, plan_of, trained
from trainer.core.plan.first_day import may_test, start_from_test
from trainer.core.review.load import (
    CEILING,
    CONSENSUS,
    GUIDELINE,
    VOLUME,
    dose,
    dose_of,
    meets_guideline,
    planned_dose,
)
from trainer.core.weeks import IsoWeek

WEEK = IsoWeek.of(day(0))


@pytest.mark.parametrize(
    ("holds", "days", "met"),
    [([30, 30], 2, True), ([30], 2, False), ([30, 30], 1, False), ([60], 3, True)],
)
def test_the_guideline(holds: list[float], days: int, met: bool) -> None:
    """60 s per exercise on two days a week: Garber et al. 2011 (references 1)."""
    assert met == meets_guideline(holds, days)


@pytest.mark.parametrize(
    ("per_day", "met"),
    [
        ([60, 60], {GUIDELINE: True, VOLUME: False, CONSENSUS: False, CEILING: True}),
        ([100] * 3, {GUIDELINE: True, VOLUME: True, CONSENSUS: False, CEILING: True}),
        ([60] * 7, {GUIDELINE: True, VOLUME: True, CONSENSUS: True, CEILING: True}),
        ([360] * 7, {GUIDELINE: True, VOLUME: True, CONSENSUS: True, CEILING: False}),
        ([100] * 6, {GUIDELINE: True, VOLUME: True, CONSENSUS: True, CEILING: True}),
        (
            [100] * 5 + [100.5],
            {GUIDELINE: True, VOLUME: True, CONSENSUS: True, CEILING: False},
        ),
        (
            [360] * 6 + [360.5],
            {GUIDELINE: True, VOLUME: True, CONSENSUS: False, CEILING: False},
        ),
        ([361] * 7, {GUIDELINE: True, VOLUME: True, CONSENSUS: False, CEILING: False}),
    ],
)
def test_the_published_edges(per_day: list[float], met: dict[str, bool]) -> None:
    """300 s (Thomas 2018), 420 to 2520 s (from Warneke 2025), 600 s (Ingram 2025)."""
    assert met == {line.source: line.met for line in dose("hang", WEEK, per_day).lines}


def test_the_week_is_summed_by_day() -> None:
    """Two sessions of one day are one day; another week's are not in it."""
    history = log(
        trained(0, 30, 30, hour=8),
        trained(0, 30, 30),
        trained(2, 30, 20),
        trained(7, 30, 30),
    )
    (got,) = dose_of(history, plan_of(), WEEK)

    assert (170, 2) == (got.kept_s, got.days)


def test_a_day_on_which_anything_was_kept_is_a_day() -> None:
    """Half a second is something; nothing is none."""
    got = dose("hang", WEEK, [0.5, 0, 60])

    assert (60.5, 2) == (got.kept_s, got.days)


def test_the_planned_dose() -> None:
    """Three days of three sets at 30 s are 270 s a week."""
    (got,) = planned_dose(plan_of(), WEEK, {"hang": 30})

    assert (270, 3) == (got.kept_s, got.days)


@pytest.mark.parametrize(
    ("held", "start"),
    [(14.9, None), (15, 10), (22.4, 10), (22.5, 15), (45, 30), (90, 30)],
)
def test_the_start_from_a_test(held: float, start: float | None) -> None:
    """Two thirds, rounded down to 5 s, 10 to 30 s; under 15 s the rung below."""
    assert start == start_from_test(held)


def test_the_wall_is_never_tested() -> None:
    """No test upside down against the wall."""
    assert not may_test("press-wall")
    assert may_test("press-pike")
