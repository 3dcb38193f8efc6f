"""Breathing: a pattern, how it is laid into a hold, and where in a breath one is.

The pattern of four seconds in, six out is six breaths a minute with the longer
exhale (rate and ratio: Van Diest et al. 2014, Laborde et al. 2021; the 4:6 split is
arithmetic). No pattern holds the breath.
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass
from enum import StrEnum

LONGEST_PART_S = 10.0
"""No inhale or exhale of a pattern is longer than this (our choice)."""
SHORTEST_PART_S = 1.0
"""No inhale or exhale of a pattern is shorter than this (our choice)."""
SHORTEST_LED_HOLD_S = 4.0
"""A hold shorter than this has no breath cues (our choice)."""
STRETCH = 1.1
"""A breath may be led up to this much longer than the pattern's, so that it fits."""

_FORM = re.compile(r"\s*(\d+(?:\.\d+)?)\s*:\s*(\d+(?:\.\d+)?)\s*")
_TINY = 1e-9


@dataclass(frozen=True, slots=True)
class Pattern:
    """Seconds in and seconds out.

    Raises:
        ValueError: a part is under 1 s or over 10 s.
    """

    in_s: float = 4.0
    out_s: float = 6.0

    def __post_init__(self) -> None:
        for name, part in (("in", self.in_s), ("out", self.out_s)):
            if not SHORTEST_PART_S <= part <= LONGEST_PART_S:
                raise ValueError(
                    f"a breath {name} of {part:g} s: between {SHORTEST_PART_S:g} and"
                    f" {LONGEST_PART_S:g} s, please"
                )

    @property
    def period_s(self) -> float:
        """Seconds of one whole breath."""
        return self.in_s + self.out_s

    @classmethod
    def parse(cls, text: str) -> Pattern:
        """Read ``4:6``.

        Raises:
            ValueError: not of that form, or out of bounds.
        """
        match = _FORM.fullmatch(text)
        if match is None:
            raise ValueError(f"not a breathing pattern like 4:6: {text!r}")
        return cls(float(match[1]), float(match[2]))

    def __str__(self) -> str:
        return f"{self.in_s:g}:{self.out_s:g}"


DEFAULT = Pattern()

OFFERED = (DEFAULT, Pattern(3, 5), Pattern(3, 7), Pattern(4, 8), Pattern(5, 5))
"""What the screens offer; any other may be typed. 3:7 is the published in/out ratio
of 0.42 at six a minute (Van Diest et al. 2014), rounded to whole seconds."""


class BreathPhase(StrEnum):
    """Which half of a breath."""

    IN = "in"
    OUT = "out"


@dataclass(frozen=True, slots=True)
class BreathMoment:
    """Where in the breathing somebody is."""

    number: int
    """Which breath, from 1."""
    phase: BreathPhase
    fraction: float
    """How much of this half has passed, 0 up to (not including) 1."""
    ends_at_s: float
    """When this half ends, in seconds from the start of the hold."""


@dataclass(frozen=True, slots=True)
class Breaths:
    """A pattern laid into a hold: whole breaths, the last exhale ends with the hold."""

    count: int
    in_s: float
    out_s: float

    @property
    def period_s(self) -> float:
        """Seconds of one breath as it is led."""
        return self.in_s + self.out_s

    def at(self, elapsed_s: float) -> BreathMoment:
        """Tell where in the breathing ELAPSED_S is; past the target it goes on."""
        number = max(0, math.floor(elapsed_s / self.period_s + _TINY))
        start_s = number * self.period_s
        into_s = max(0.0, elapsed_s - start_s)
        if into_s < self.in_s - _TINY:
            return BreathMoment(
                number + 1, BreathPhase.IN, into_s / self.in_s, start_s + self.in_s
            )
        fraction = min((into_s - self.in_s) / self.out_s, 1 - _TINY)
        return BreathMoment(
            number + 1, BreathPhase.OUT, max(0.0, fraction), start_s + self.period_s
        )

    def boundaries_s(self, count: int) -> list[tuple[float, BreathPhase, float]]:
        """Give (start, phase, length) of the first COUNT breaths' halves, in order."""
        halves = []
        for number in range(count):
            start_s = number * self.period_s
            halves.append((start_s, BreathPhase.IN, self.in_s))
            halves.append((start_s + self.in_s, BreathPhase.OUT, self.out_s))
        return halves


def lay(target_s: float, pattern: Pattern = DEFAULT) -> Breaths | None:
    """Lay PATTERN into a hold of TARGET_S seconds.

    Takes the smallest whole number of breaths whose length is at most 1.1 times the
    pattern's; in and out keep their proportion. None for a hold too short to lead.
    """
    if target_s < SHORTEST_LED_HOLD_S:
        return None
    count = max(1, math.ceil(target_s / (STRETCH * pattern.period_s) - _TINY))
    period_s = target_s / count
    in_s = period_s * pattern.in_s / pattern.period_s
    return Breaths(count, in_s, period_s - in_s)
