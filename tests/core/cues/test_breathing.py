"""Breathing against published rates and ratios, and the rule that lays it in a hold."""

from __future__ import annotations

import pytest

from trainer.core.cues.breathing import (
    DEFAULT,
    OFFERED,
    BreathPhase,
    Pattern,
    lay,
)


def test_the_default_is_six_breaths_a_minute() -> None:
    """Six a minute is the slow rate of Van Diest et al. 2014 (Appl Psychophysiol
    Biofeedback 39:171-80) and of Laborde et al. 2021 (Sustainability 13:7775)."""
    assert 6 == 60 / DEFAULT.period_s
    assert DEFAULT.out_s > DEFAULT.in_s


@pytest.mark.parametrize(
    ("ratio", "in_s", "out_s"),
    [
        # Van Diest et al. 2014: i/e 0.42 at six a minute.
        (0.42, 2.96, 7.04),
        # Laborde et al. 2021: i/e 0.8 at six a minute; in and out make 10 s exactly.
        (0.8, 4.44, 5.56),
    ],
)
def test_published_ratios_at_six_a_minute_can_be_set(
    ratio: float, in_s: float, out_s: float
) -> None:
    """Both published patterns are patterns here, and keep their ratio in a hold."""
    pattern = Pattern(in_s, out_s)
    assert pytest.approx(10, abs=0.005) == pattern.period_s
    assert pytest.approx(ratio, abs=0.005) == pattern.in_s / pattern.out_s

    breaths = lay(35, pattern)

    assert breaths is not None
    assert pytest.approx(ratio, abs=0.005) == breaths.in_s / breaths.out_s


@pytest.mark.parametrize(
    ("target_s", "count"), [(20, 2), (30, 3), (60, 6)]
)  # arithmetic at six a minute, as published usage has it
def test_round_targets_are_round_counts_of_breaths(target_s: int, count: int) -> None:
    """20, 30 and 60 s at 4:6 are 2, 3 and 6 breaths of exactly 4 and 6 s."""
    breaths = lay(target_s)

    assert breaths is not None
    assert (count, 4, 6) == (breaths.count, breaths.in_s, breaths.out_s)


@pytest.mark.parametrize(
    ("target_s", "count"), [(10, 1), (11, 1), (12, 2), (22, 2), (25, 3), (45, 5)]
)
def test_a_breath_is_stretched_by_a_tenth_at_most(target_s: int, count: int) -> None:
    """The smallest whole number whose length is at most 1.1 of the pattern's."""
    breaths = lay(target_s)

    assert breaths is not None
    assert count == breaths.count


def test_a_hold_under_four_seconds_is_not_led() -> None:
    """There is no breath to lead in it."""
    assert lay(3.9) is None
    assert lay(4) is not None


def test_where_in_the_breath() -> None:
    """Inhale, exhale, the next breath; past the target at the same pace."""
    breaths = lay(20)
    assert breaths is not None

    at_2, at_4, at_13, at_27 = (breaths.at(t) for t in (2, 4, 13, 27))

    assert (1, BreathPhase.IN, 0.5, 4) == (
        at_2.number,
        at_2.phase,
        at_2.fraction,
        at_2.ends_at_s,
    )
    assert (BreathPhase.OUT, 0, 10) == (at_4.phase, at_4.fraction, at_4.ends_at_s)
    assert (2, BreathPhase.IN) == (at_13.number, at_13.phase)
    assert (3, BreathPhase.OUT, 30) == (at_27.number, at_27.phase, at_27.ends_at_s)


@pytest.mark.parametrize("text", ["4:6", " 3 : 7 ", "2.96:7.04"])
def test_a_pattern_reads_what_it_writes(text: str) -> None:
    """In and out with a colon between them."""
    assert Pattern.parse(text) == Pattern.parse(str(Pattern.parse(text)))


@pytest.mark.parametrize("text", ["4", "4:6:2", "0:6", "4:11", "-4:6", "in:out", ""])
def test_no_pattern_holds_the_breath_or_goes_on_for_ever(text: str) -> None:
    """Two parts, each of 1 to 10 s; there is no third part to hold."""
    with pytest.raises(ValueError, match=r"pattern|breath"):
        Pattern.parse(text)


def test_what_is_offered_is_valid_and_each_once() -> None:
    """The default comes first."""
    assert DEFAULT == OFFERED[0]
    assert len(set(OFFERED)) == len(OFFERED)
