"""Integrated loudness of one channel (ITU-R BS.1770-4), on the standard library alone.

Used to level the clips when they are made. The tests check it against the table of
filter coefficients and the 997 Hz value that the recommendation prints, and against an
independent meter.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

BLOCK_S = 0.4
STEP_S = 0.1
ABSOLUTE_GATE_LUFS = -70.0
RELATIVE_GATE_LU = -10.0
OFFSET = -0.691
"""Makes a 997 Hz sine of full scale read -3.01 (BS.1770-4, Annex 1)."""

Biquad = tuple[float, float, float, float, float]


def k_weighting(rate_hz: float) -> tuple[Biquad, Biquad]:
    """Give the shelf and the high-pass, as (b0, b1, b2, a1, a2), for RATE_HZ.

    The recommendation prints them for 48 kHz; these are the analogue filters behind
    its table, brought to another rate by the bilinear transform.
    """
    gain, f0, q = 10 ** (3.999843853973347 / 20), 1681.974450955533, 0.7071752369554196
    k = math.tan(math.pi * f0 / rate_hz)
    vb = gain**0.4996667741545416
    a0 = 1 + k / q + k * k
    shelf = (
        (gain + vb * k / q + k * k) / a0,
        2 * (k * k - gain) / a0,
        (gain - vb * k / q + k * k) / a0,
        2 * (k * k - 1) / a0,
        (1 - k / q + k * k) / a0,
    )
    f0, q = 38.13547087602444, 0.5003270373238773
    k = math.tan(math.pi * f0 / rate_hz)
    a0 = 1 + k / q + k * k
    high_pass = (1.0, -2.0, 1.0, 2 * (k * k - 1) / a0, (1 - k / q + k * k) / a0)
    return shelf, high_pass


def _filtered(samples: Sequence[float], biquad: Biquad) -> list[float]:
    b0, b1, b2, a1, a2 = biquad
    x1 = x2 = y1 = y2 = 0.0
    out = []
    for x in samples:
        y = b0 * x + b1 * x1 + b2 * x2 - a1 * y1 - a2 * y2
        x2, x1, y2, y1 = x1, x, y1, y
        out.append(y)
    return out


def integrated_lufs(samples: Sequence[float], rate_hz: int) -> float:
    """Measure SAMPLES (full scale 1.0), gated; -inf for silence."""
    for biquad in k_weighting(rate_hz):
        samples = _filtered(samples, biquad)
    block, step = round(BLOCK_S * rate_hz), round(STEP_S * rate_hz)
    powers = [
        math.fsum(x * x for x in samples[start : start + block]) / block
        for start in range(0, len(samples) - block + 1, step)
    ]
    loud = [power for power in powers if _lufs(power) > ABSOLUTE_GATE_LUFS]
    if not loud:
        return -math.inf
    gate = _lufs(math.fsum(loud) / len(loud)) + RELATIVE_GATE_LU
    loud = [power for power in loud if _lufs(power) > gate]
    return _lufs(math.fsum(loud) / len(loud))


def _lufs(power: float) -> float:
    return OFFSET + 10 * math.log10(power) if power > 0 else -math.inf
