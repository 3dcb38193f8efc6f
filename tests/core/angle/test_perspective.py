"""What a camera off the side view does, computed: the figures of the how-to page.

A pinhole camera three metres away at the shoulder's height looks at a person built in
three dimensions. Source: the pinhole projection, x/z and y/z; the person is made up.
"""

from __future__ import annotations

import math

import pytest

from trainer.core.angle.figures import Figures, measure
from trainer.core.angle.landmarks import Facing, Landmarks, Point
from trainer.core.angle.series import FLARE_NOISE

DISTANCE_M = 3.0
SHOULDER_M, HIP_M, UPPER_ARM_M = 0.18, 0.50, 0.30
"""Half the shoulders' width; shoulder to hip; shoulder to elbow."""
RIB_M = (0.06, -0.28)
"""The rib point: in front of the shoulder–hip line, and below the shoulder."""


def _seen(*, overhead_deg: float, apart_deg: float, camera_deg: float) -> Figures:
    """Return the figures of the near arm as a camera off the side view sees it.

    Args:
        overhead_deg: in the person's own plane.
        apart_deg: each arm's way out to its side.
        camera_deg: the camera's turn from square on towards the front.
    """
    over, out = math.radians(overhead_deg), math.radians(apart_deg)
    turn = math.radians(camera_deg)

    def pixel(forward: float, up: float, near: float) -> Point:
        # The person turns instead of the camera; the near side is towards it.
        x = forward * math.cos(turn) - near * math.sin(turn)
        z = DISTANCE_M - (forward * math.sin(turn) + near * math.cos(turn))
        return Point(4000 * x / z, -4000 * up / z)

    # The arm turns about the shoulders' axis; its way out shortens what is seen of it.
    reach = UPPER_ARM_M * math.cos(out)
    elbow = (reach * math.sin(over), -reach * math.cos(over))
    return measure(
        Landmarks(
            shoulder=pixel(0, 0, SHOULDER_M),
            hip=pixel(0, -HIP_M, SHOULDER_M),
            elbow=pixel(*elbow, SHOULDER_M + UPPER_ARM_M * math.sin(out)),
            rib=pixel(*RIB_M, 0.0),
            facing=Facing.RIGHT,
        )
    )


@pytest.mark.parametrize("camera_deg", [-10, 10])
@pytest.mark.parametrize("overhead_deg", [160, 170, 180])
class TestTenDegreesOffTheSideView:
    def test_parallel_arms_lose_under_half_a_degree(
        self, overhead_deg: float, camera_deg: float
    ) -> None:
        """Against the same arms seen square on."""
        square = _seen(overhead_deg=overhead_deg, apart_deg=0, camera_deg=0)
        off = _seen(overhead_deg=overhead_deg, apart_deg=0, camera_deg=camera_deg)

        assert 0.5 > abs(off.overhead_deg - square.overhead_deg)

    @pytest.mark.parametrize("apart_deg", [15, 20, 25])
    def test_arms_apart_move_by_two_to_five_degrees(
        self, overhead_deg: float, camera_deg: float, apart_deg: float
    ) -> None:
        """To the degree; hence arms as wide as the shoulders."""
        square = _seen(overhead_deg=overhead_deg, apart_deg=apart_deg, camera_deg=0)
        off = _seen(
            overhead_deg=overhead_deg, apart_deg=apart_deg, camera_deg=camera_deg
        )

        assert 2 <= round(abs(off.overhead_deg - square.overhead_deg)) <= 5

    def test_flare_moves_by_what_is_taken_for_its_noise(
        self, overhead_deg: float, camera_deg: float
    ) -> None:
        """The rib lies further from the camera than shoulder and hip."""
        square = _seen(overhead_deg=overhead_deg, apart_deg=0, camera_deg=0)
        off = _seen(overhead_deg=overhead_deg, apart_deg=0, camera_deg=camera_deg)
        assert off.flare is not None
        assert square.flare is not None

        assert pytest.approx(FLARE_NOISE, abs=0.01) == abs(off.flare - square.flare)
