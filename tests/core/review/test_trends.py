"""Theil–Sen, Mann–Kendall and load arithmetic against published and outside values."""

from __future__ import annotations

import random
from datetime import timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.histories import hold, session
from tests.references import data_of_scipy, in_one_worker, nile, pymannkendall, stats
from trainer.core.model import Session
from trainer.core.review.load import WeekLoad, session_load, week_load
from trainer.core.review.trends import (
    LEAST_POINTS,
    Direction,
    judge,
    mann_kendall,
    theil_sen,
)
from trainer.core.weeks import IsoWeek

pytestmark = in_one_worker
WHOLE = st.lists(st.integers(-40, 40), min_size=3, max_size=40)


def _norris() -> tuple[list[float], list[float]]:
    """Read NIST StRD Norris (36 points; y, x from line 61) out of the scipy wheel."""
    lines = data_of_scipy("nist_linregress", "Norris.dat")[60:]
    rows = [tuple(map(float, line.split())) for line in lines if line.strip()]
    return [x for _, x in rows], [y for y, _ in rows]


class TestTheilSen:
    def test_agrees_with_scipy_on_norris(self) -> None:
        """Source: NIST StRD Norris, slope by scipy.stats.theilslopes: 1.0021968366."""
        x, y = _norris()
        ours = theil_sen(x, y)
        theirs = stats.theilslopes(y, x, 0.95)

        assert len(x) == 36
        assert pytest.approx(1.0021968366, abs=1e-10) == ours.slope
        assert pytest.approx(theirs.low_slope, rel=1e-12) == ours.low
        assert pytest.approx(theirs.high_slope, rel=1e-12) == ours.high
        assert pytest.approx(theirs.intercept, rel=1e-9) == ours.intercept

    def test_holds_the_certified_slope_within_its_interval(self) -> None:
        """Source: NIST StRD Norris, certified B1 1.00211681802045."""
        ours = theil_sen(*_norris())

        assert ours.low <= 1.00211681802045 <= ours.high

    def test_agrees_with_scipy_on_the_nile(self) -> None:
        """Source: Nile 1871–1970 out of the statsmodels wheel; scipy gives −2.6."""
        flow = list(nile.load().data["volume"])
        years = list(range(1871, 1971))

        assert pytest.approx(-2.6, abs=1e-12) == theil_sen(years, flow).slope

    @pytest.mark.parametrize("seed", range(40))
    def test_agrees_with_scipy_on_random_series(self, seed: int) -> None:
        """Source: scipy.stats.theilslopes, with ties in x and in y."""
        draw = random.Random(seed)
        n = draw.randint(3, 60)
        x = sorted(draw.randint(0, 80) for _ in range(n))
        if x[0] == x[-1]:
            x[-1] += 1
        y = [float(draw.randint(20, 45)) for _ in range(n)]
        ours = theil_sen(x, y)
        theirs = stats.theilslopes(y, x, 0.95)

        assert pytest.approx(
            (theirs.slope, theirs.intercept, theirs.low_slope, theirs.high_slope)
        ) == (ours.slope, ours.intercept, ours.low, ours.high)

    @given(WHOLE, st.integers(-20, 20))
    def test_a_tilt_added_is_the_tilt_found(self, values: list[int], tilt: int) -> None:
        """Adding a straight line adds its slope, neither more nor less."""
        x = list(range(len(values)))
        tilted = [value + tilt * at for at, value in zip(x, values, strict=True)]

        assert (
            pytest.approx(theil_sen(x, values).slope + tilt)
            == theil_sen(x, tilted).slope
        )

    def test_one_place_is_no_slope(self) -> None:
        """Points that all stand at one x are refused."""
        with pytest.raises(ValueError, match="two places"):
            theil_sen([3, 3], [1, 2])


class TestMannKendall:
    def test_the_published_example(self) -> None:
        """Source: Hussain & Mahmud 2019, JOSS 4(39):1556, the package's worked example.

        For n = 360 without ties and S = 142: var(S) 5205500, Z 0.0617999164,
        tau 0.00219746. A series with that S is made here by turning pairs about.
        """
        series = _series_with_s(360, 142)
        found = mann_kendall(series)

        assert (142, 5205500) == (found.s, found.variance)
        assert pytest.approx(0.0617999164, abs=1e-9) == found.z
        assert pytest.approx(0.00219746, abs=1e-8) == found.tau

    def test_agrees_with_pymannkendall_on_the_nile(self) -> None:
        """Source: pymannkendall on the Nile 1871–1970: S −1387."""
        flow = list(nile.load().data["volume"])
        theirs = pymannkendall.original_test(flow)
        ours = mann_kendall(flow)

        assert -1387 == ours.s
        assert pytest.approx((theirs.var_s, theirs.z, theirs.p, theirs.Tau)) == (
            ours.variance,
            ours.z,
            ours.p,
            ours.tau,
        )

    @pytest.mark.parametrize("seed", range(40))
    def test_agrees_with_pymannkendall_on_random_series(self, seed: int) -> None:
        """Source: pymannkendall.original_test, with many ties."""
        draw = random.Random(seed)
        series = [draw.randint(0, 12) for _ in range(draw.randint(3, 60))]
        theirs = pymannkendall.original_test(np.array(series))
        ours = mann_kendall(series)

        assert pytest.approx(
            (theirs.s, theirs.var_s, theirs.z, theirs.p, theirs.Tau), abs=1e-12
        ) == (ours.s, ours.variance, ours.z, ours.p, ours.tau)

    @given(WHOLE)
    def test_backwards_is_the_other_way(self, values: list[int]) -> None:
        """A series read backwards has the opposite S and the same p."""
        ahead, back = mann_kendall(values), mann_kendall(values[::-1])

        assert (ahead.s, ahead.p) == (-back.s, back.p)

    def test_all_the_same_is_no_trend(self) -> None:
        """A constant series has S 0 and p 1, not a division by zero."""
        found = mann_kendall([30.0] * 9)

        assert (0, 1.0) == (found.s, found.p)

    def test_one_point_is_refused(self) -> None:
        """A single value has no order to test."""
        with pytest.raises(ValueError, match="two points"):
            mann_kendall([1.0])


class TestVerdict:
    def test_a_steady_climb_is_up(self) -> None:
        """Ten weeks at a second more each are up."""
        found = judge(range(10), [20.0 + n for n in range(10)])

        assert Direction.UP is found.direction

    def test_a_steady_fall_is_down(self) -> None:
        """Ten weeks at a second less each are down."""
        assert (
            Direction.DOWN is judge(range(10), [40.0 - n for n in range(10)]).direction
        )

    def test_the_same_every_week_is_flat(self) -> None:
        """A plateau that repeats itself is flat, since its interval is narrow."""
        assert Direction.FLAT is judge(range(10), [30.0] * 10).direction

    @pytest.mark.parametrize(
        ("values", "edge"),
        [
            ([32, 34, 31, 31, 30.5, 30.5, 30, 31], "low"),
            ([30.5, 30, 32, 31, 30.5, 30.5, 32, 32], "high"),
        ],
    )
    def test_half_a_second_a_week_either_way_is_flat_still(
        self, values: list[float], edge: str
    ) -> None:
        """The interval reaches to 0.5 s a week exactly, and no further."""
        found = judge(range(8), values)

        assert found.slope is not None
        assert 0.5 == abs(getattr(found.slope, edge))
        assert Direction.FLAT is found.direction

    def test_wild_values_are_not_told_from_noise(self) -> None:
        """Large scatter without order is neither up nor flat."""
        wild = [20.0, 45.0, 22.0, 41.0, 25.0, 44.0, 21.0, 40.0]

        assert Direction.UNKNOWN is judge(range(8), wild).direction

    def test_too_few_points_give_no_verdict(self) -> None:
        """However steep, fewer than the stated least can't be told yet."""
        few = LEAST_POINTS - 1
        found = judge(range(few), [float(10 * n) for n in range(few)])

        assert (Direction.UNKNOWN, few, None) == (
            found.direction,
            found.points,
            found.slope,
        )

    def test_missing_weeks_are_not_filled(self) -> None:
        """A slope is per week of the calendar, over whatever gaps."""
        weeks = [0, 1, 2, 3, 10, 11, 12, 13]
        found = judge(weeks, [20.0 + 2 * week for week in weeks])

        assert found.slope is not None
        assert pytest.approx(2.0) == found.slope.slope

    def test_an_interval_that_is_printed_with_nought_is_no_trend(self) -> None:
        """A slope whose lower end is printed as 0 is neither up nor down.

        Mann–Kendall alone would call it: p is under 5 %, and the interval as computed
        leaves 0 out.
        """
        weeks = [0, 10, 20, 30, 40, 50, 60, 70]
        found = judge(weeks, [30.0, 30.5, 30.4, 31.2, 31.1, 32.0, 31.9, 32.4])

        assert found.test is not None
        assert found.slope is not None
        assert found.test.p < 0.05
        assert 0 < found.slope.low < 0.05
        assert found.direction not in (Direction.UP, Direction.DOWN)

    def test_a_change_that_can_t_be_noted_is_none(self) -> None:
        """A second over the whole series is within what a finger on a key decides."""
        tenth = [30 + 0.1 * week for week in range(10)]
        more = [30 + 0.2 * week for week in range(10)]

        assert Direction.FLAT is judge(range(10), tenth).direction
        assert Direction.FLAT is judge(range(30, 40), tenth).direction
        assert Direction.UP is judge(range(10), more).direction

    def test_noise_is_seldom_called_a_trend(self) -> None:
        """Of 400 series of pure noise, about one in twenty gets a direction.

        The test's level is 5 %; the band here is four standard errors of that share.
        """
        draw = random.Random(5)
        called = sum(
            judge(range(12), [draw.gauss(30, 4) for _ in range(12)]).direction
            in (Direction.UP, Direction.DOWN)
            for _ in range(400)
        )

        assert 0.006 * 400 <= called <= 0.094 * 400


class TestLoad:
    """Source: Foster et al. 2001, JSCR 15(1):109–115, Table 5, by its pieces.

    The printed rows don't all follow from RPE × minutes, so the pieces are checked and
    not the table whole.
    """

    ROWS = (940.0, 50.0, 840.0, 280.0, 180.0, 390.0, 50.0, 390.0, 280.0)

    def test_rows_that_are_rpe_times_minutes(self) -> None:
        """Rows whose printed load is RPE × minutes: 50, 840, 280, 180."""
        for rpe, minutes, load in (
            (2, 25, 50),
            (7, 120, 840),
            (7, 40, 280),
            (3, 60, 180),
        ):
            holds = (
                hold(held_s=300, rpe=rpe, set_number=n) for n in range(minutes // 5)
            )
            assert pytest.approx(load) == session_load(_of(*holds))

    def test_the_weeks_printed_sum(self) -> None:
        """The printed loads add up to the printed weekly load."""
        assert 3400 == sum(self.ROWS)

    def test_a_week_is_the_sum_of_its_sessions(self) -> None:
        """Sessions without an RPE are left out of the sum, and said to be."""
        monday = IsoWeek(2026, 10).monday
        noted = [
            session(monday + timedelta(days=n), hold(held_s=30, rpe=8)) for n in (0, 2)
        ]

        assert WeekLoad(8.0, 2) == week_load([*noted, session(monday, hold())])

    def test_no_rpe_is_no_load(self) -> None:
        """A session for which nobody gave an RPE has no load, not a made-up one."""
        assert session_load(_of(hold())) is None
        assert WeekLoad(None, 0) == week_load([_of(hold())])

    def test_the_top_rpe_goes_with_the_minutes_kept(self) -> None:
        """RPE 8 of two holds, 30 and 18 s kept, is 8 × 0.8 minutes."""
        load = session_load(
            _of(hold(held_s=30, rpe=6), hold(held_s=30, kept_s=18, rpe=8, set_number=2))
        )

        assert pytest.approx(6.4) == load


def _of(*holds: object) -> Session:
    return session(IsoWeek(2026, 10).monday, *holds)  # type: ignore[arg-type]


def _series_with_s(n: int, wanted: int) -> list[int]:
    """Give a series of n distinct values whose Mann–Kendall S is the one wanted.

    Starting from a falling series, moving the smallest remaining value forward by k
    places turns k pairs about, and each turned pair raises S by two.
    """
    pairs = (n * (n - 1) // 2 + wanted) // 2
    left = list(range(n, 0, -1))
    series = []
    while left:
        take = min(pairs, len(left) - 1)
        series.append(left.pop(len(left) - 1 - (len(left) - 1 - take)))
        pairs -= take
    return series
