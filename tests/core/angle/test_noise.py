"""The noise of a measurement against certified and published figures."""

from __future__ import annotations

import math
from collections import defaultdict

import numpy as np
import pytest

from tests.references import data_of_scipy, in_one_worker, stats
from trainer.core.angle.check import Method
from trainer.core.angle.noise import (
    LEAST_DOF,
    LEAST_SEM_DEG,
    PUBLISHED_MDC_DEG,
    Repeats,
    Source,
    mdc95,
    noise_of,
    pooled,
    published_sem_deg,
    student_factor,
)

pytestmark = in_one_worker


def _certified() -> list[list[float]]:
    """Read NIST StRD SiRstv out of the scipy wheel: 5 instruments, 5 days each."""
    groups: defaultdict[int, list[float]] = defaultdict(list)
    for line in data_of_scipy("nist_anova", "SiRstv.dat")[60:]:
        if line.strip():
            treatment, value = line.split()
            groups[int(treatment)].append(float(value))
    return list(groups.values())


class TestRepeats:
    def test_agree_with_the_certified_analysis_of_variance(self) -> None:
        """Source: NIST StRD SiRstv, certified residual sd 1.04076068334656E-01, df 20.

        The SEM of repeats is the root of the mean square within groups.
        """
        own = pooled(_certified())

        assert 20 == own.dof
        assert pytest.approx(1.04076068334656e-01, rel=1e-10) == own.sd
        assert pytest.approx(0.28848414, rel=1e-7) == mdc95(own.sd)

    def test_say_nothing_where_nothing_was_repeated(self) -> None:
        """Groups of one have no degrees of freedom."""
        assert Repeats(0.0, 0) == pooled([[170.0], [160.0]])

    def test_are_the_difference_of_pairs_over_root_two(self) -> None:
        """Source: de Vet, SEM = SD of differences / √2, for pairs without a bias."""
        pairs = [[160.0, 162.0], [165.0, 163.0], [170.0, 173.0], [171.0, 168.0]]
        differences = [second - first for first, second in pairs]
        sd = math.sqrt(sum(each**2 for each in differences) / len(differences))

        assert pytest.approx(sd / math.sqrt(2)) == pooled(pairs).sd
        assert pytest.approx(1.96 * sd, rel=1e-4) == mdc95(pooled(pairs).sd)


class TestPublished:
    def test_inclinometer_follows_from_the_published_mdc90(self) -> None:
        """Source: Kolber et al. 2011, MDC90 8°: SEM 3.44°, MDC95 9.53°."""
        sem = 8 / (stats.norm.ppf(0.95) * math.sqrt(2))

        assert pytest.approx(3.44, abs=0.005) == sem
        assert (
            pytest.approx(mdc95(sem), abs=0.05)
            == (PUBLISHED_MDC_DEG[Method.INCLINOMETER])
        )
        assert pytest.approx(sem, abs=0.02) == published_sem_deg(Method.INCLINOMETER)

    @pytest.mark.parametrize("method", [Method.PHOTO, Method.GONIOMETER, Method.EYE])
    def test_photo_goniometer_and_eye_lie_at_the_published_lower_end(
        self, method: Method
    ) -> None:
        """Source: Hayes et al. 2001, SEM 11–23° within an examiner: MDC95 30–64°."""
        assert pytest.approx(mdc95(11), abs=0.6) == PUBLISHED_MDC_DEG[method]


class TestWhichNoise:
    def test_is_published_until_own_repeats_are_enough(self) -> None:
        """Six degrees of freedom: five agreeing by chance prove nothing."""
        few = noise_of(Method.PHOTO, Repeats(1.5, LEAST_DOF - 1))
        enough = noise_of(Method.PHOTO, Repeats(1.5, LEAST_DOF))

        assert Source.PUBLISHED == few.source
        assert pytest.approx(30.0) == few.mdc_deg
        assert (Source.OWN, 1.5) == (enough.source, enough.sem_deg)

    def test_is_own_where_few_repeats_are_worse_than_published(self) -> None:
        """The larger of the two, until there are enough."""
        noise = noise_of(Method.INCLINOMETER, Repeats(6.0, 2))

        assert (Source.OWN, 6.0) == (noise.source, noise.sem_deg)

    def test_never_claims_to_be_without_noise(self) -> None:
        """Figures noted to the degree agree by rounding."""
        assert LEAST_SEM_DEG == noise_of(Method.EYE, Repeats(0.0, 9)).sem_deg

    @pytest.mark.parametrize("dof", [6, 7, 8, 10, 12, 20, 60, 1000])
    def test_takes_student_s_t_for_an_estimated_spread(self, dof: int) -> None:
        """Source: scipy.stats.t."""
        assert pytest.approx(stats.t.ppf(0.975, dof), abs=0.002) == (
            student_factor(dof)
        )

    def test_calls_one_in_twenty_real_where_nothing_changed(self) -> None:
        """Source: simulation with numpy; own noise from three photos on three days."""
        draw = np.random.default_rng(3)
        real = 0
        runs = 4000
        for _ in range(runs):
            days = draw.normal(165, 2.5, (4, 3))
            noise = noise_of(Method.PHOTO, pooled(days.tolist()))
            by = abs(float(days[-1].mean() - days[0].mean()))
            real += by > noise.between_deg(3, 3)

        assert pytest.approx(0.05, abs=0.012) == real / runs


class TestHowManyRepeats:
    @pytest.mark.parametrize(("sem", "gain"), [(2.0, 5.0), (3.44, 5.0), (4.0, 3.0)])
    def test_is_the_smallest_number_that_shows_the_gain(
        self, sem: float, gain: float
    ) -> None:
        """With one repeat fewer the gain would drown in the noise."""
        noise = noise_of(Method.PHOTO, Repeats(sem, 30))
        count = noise.repeats_for(gain)

        assert gain >= noise.between_deg(count, count) - 1e-9
        assert count == 1 or gain < noise.between_deg(count - 1, count - 1)

    def test_a_published_noise_is_not_made_smaller_by_photos_of_one_day(self) -> None:
        """It is that between days and examiners."""
        noise = noise_of(Method.PHOTO, Repeats(0, 0))

        assert noise.mdc_deg == noise.between_deg(9, 9)
