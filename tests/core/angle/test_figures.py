"""The geometry of a check against independent constructions, and its uncertainty."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from tests.core.angle.poses import person
from trainer.core.angle.figures import (
    LEAST_DEG,
    MOST_DEG,
    Ear,
    Figures,
    measure,
    overhead_deg,
)
from trainer.core.angle.landmarks import (
    ArmPoint,
    Facing,
    LandmarkError,
    Landmarks,
    Point,
)

ANGLES = st.floats(LEAST_DEG + 1, MOST_DEG - 1)
LEANS = st.floats(-55, 55)
FACING = st.sampled_from(Facing)


class TestOverheadAngle:
    @pytest.mark.parametrize(
        ("elbow", "expected"),
        [
            ((0, -1), 180.0),
            ((1, 0), 90.0),
            ((1, -1), 135.0),
            ((-1, -10), 180 + math.degrees(math.atan(0.1))),
        ],
    )
    def test_is_read_from_the_trunk_by_way_of_the_front(
        self, elbow: tuple[int, int], expected: float
    ) -> None:
        """Straight up is 180°, forward 90°, behind the line more than 180°."""
        marked = Landmarks(
            shoulder=Point(0, 0),
            hip=Point(0, 2),
            elbow=Point(*elbow),
            facing=Facing.RIGHT,
        )

        assert pytest.approx(expected, abs=1e-9) == overhead_deg(marked)

    @given(angle=ANGLES, lean=LEANS, facing=FACING, upside_down=st.booleans())
    def test_is_what_the_person_was_built_with(
        self, angle: float, lean: float, facing: Facing, upside_down: bool
    ) -> None:
        """Lean, the side that is faced and being upside down change nothing."""
        figures = measure(
            person(
                overhead_deg=angle,
                lean_deg=lean,
                facing=facing,
                upside_down=upside_down,
            )
        )

        assert pytest.approx(angle, abs=1e-6) == figures.overhead_deg
        assert pytest.approx(lean, abs=1e-6) == figures.lean_deg
        assert pytest.approx(0.12, abs=1e-9) == figures.flare
        assert pytest.approx(-0.2, abs=1e-9) == figures.lift

    @given(
        points=st.lists(
            st.tuples(st.floats(-4000, 4000), st.floats(-4000, 4000)),
            min_size=3,
            max_size=3,
        )
    )
    def test_agrees_with_numpy_on_random_points(
        self, points: list[tuple[float, float]]
    ) -> None:
        """Source: numpy.arctan2 of both lines, independent of our dot products."""
        shoulder, hip, elbow = (np.array(point) for point in points)
        trunk, arm = hip - shoulder, elbow - shoulder
        assume(np.hypot(*trunk) > 50)
        assume(np.hypot(*arm) > 50)
        assume(0.03 < np.hypot(*arm) / np.hypot(*trunk) < 30)
        assume(abs(trunk[1]) / np.hypot(*trunk) > 0.51)
        between = np.degrees(
            np.arctan2(arm[1], arm[0]) - np.arctan2(trunk[1], trunk[0])
        )
        # Upright and facing right, forward is anticlockwise on a picture whose y grows
        # downward; upside down with the chest to the right it is the reverse.
        turned = -between if trunk[1] > 0 else between
        marked = Landmarks(
            shoulder=Point(*map(float, shoulder)),
            hip=Point(*map(float, hip)),
            elbow=Point(*map(float, elbow)),
            facing=Facing.RIGHT,
        )
        apart = (overhead_deg(marked) - turned + 180) % 360 - 180

        assert pytest.approx(0, abs=1e-6) == float(apart)

    @given(angle=st.floats(60, 120), head_right=st.booleans(), faces=FACING)
    def test_takes_the_chest_of_a_level_trunk_to_the_floor(
        self, angle: float, head_right: bool, faces: Facing
    ) -> None:
        """In the push-up position the arm is in front, whichever side was named."""
        away = -1 if head_right else 1
        turn = math.radians(angle)
        marked = Landmarks(
            shoulder=Point(0, 0),
            hip=Point(500 * away, 60),
            elbow=Point(
                300
                * (away * math.cos(turn) * 500 - math.sin(turn) * 60 * away * away)
                / math.hypot(500, 60),
                300
                * (math.sin(turn) * 500 + math.cos(turn) * 60)
                / math.hypot(500, 60),
            ),
            facing=faces,
        )

        assert 0 < overhead_deg(marked) < 180

    @given(angle=ANGLES, lean=LEANS)
    def test_is_the_arm_against_the_vertical_with_the_lean(
        self, angle: float, lean: float
    ) -> None:
        """Overhead = 180° − arm against the vertical + lean, as the lines add up."""
        figures = measure(person(overhead_deg=angle, lean_deg=lean))
        assert figures.arm_deg is not None
        assert figures.lean_deg is not None
        sum_ = 180 - figures.arm_deg + figures.lean_deg

        assert pytest.approx(0, abs=1e-6) == (
            (figures.overhead_deg - sum_ + 180) % 360 - 180
        )

    @given(angle=ANGLES, factor=st.floats(0.01, 100), x=st.floats(-1e4, 1e4))
    def test_knows_no_size_and_no_place(
        self, angle: float, factor: float, x: float
    ) -> None:
        """Photos of any size give the same figures."""
        small = person(
            overhead_deg=angle,
            trunk_px=500 * factor,
            arm_px=300 * factor,
            at=Point(x, -x),
        )
        figures = measure(small)

        assert pytest.approx(angle, abs=1e-5) == figures.overhead_deg
        assert pytest.approx(0.12, abs=1e-6) == figures.flare


class TestOtherFigures:
    def test_prefers_the_elbow(self) -> None:
        """A bent elbow flatters, so the wrist counts only where there is no elbow."""
        marked = Landmarks(
            shoulder=Point(0, 0),
            hip=Point(0, 100),
            elbow=Point(50, -50),
            wrist=Point(0, -100),
            facing=Facing.RIGHT,
        )

        assert ArmPoint.ELBOW == measure(marked).arm_point
        assert pytest.approx(135) == measure(marked).overhead_deg

    def test_has_no_lift_without_an_elbow(self) -> None:
        """The upper arm is its unit."""
        assert None is measure(person(overhead_deg=170, wrist=True)).lift

    @pytest.mark.parametrize("lift", [-0.6, 0.0, 0.3])
    @pytest.mark.parametrize("upside_down", [False, True])
    def test_lift_rises_with_the_shoulder(self, lift: float, upside_down: bool) -> None:
        """Signed, towards the ear and past it, also upside down."""
        figures = measure(person(overhead_deg=175, lift=lift, upside_down=upside_down))

        assert pytest.approx(lift, abs=1e-9) == figures.lift

    @pytest.mark.parametrize("facing", Facing)
    @pytest.mark.parametrize("upside_down", [False, True])
    @pytest.mark.parametrize(
        ("overhead", "place"),
        [(160.0, Ear.BEHIND), (200.0, Ear.FRONT)],
    )
    def test_ear_is_on_a_side_of_the_arm(
        self, overhead: float, place: Ear, facing: Facing, upside_down: bool
    ) -> None:
        """An arm in front of the line leaves the ear behind it."""
        figures = measure(
            person(
                overhead_deg=overhead,
                lift=-0.5,
                facing=facing,
                upside_down=upside_down,
            )
        )

        assert place == figures.ear

    def test_ear_may_be_hidden_or_unmarked(self) -> None:
        """Both are answers of their own."""
        unmarked = Landmarks(
            shoulder=Point(0, 0),
            hip=Point(0, 100),
            elbow=Point(0, -60),
            facing=Facing.LEFT,
        )

        assert Ear.HIDDEN == measure(replace(unmarked, ear_hidden=True)).ear
        assert None is measure(unmarked).ear


class TestRefusals:
    @pytest.mark.parametrize(
        ("points", "says"),
        [
            (
                {"shoulder": Point(5, 5), "hip": Point(5, 5)},
                "shoulder and hip coincide",
            ),
            ({"elbow": Point(0, 0.5)}, "shoulder and elbow coincide"),
            ({"elbow": None}, "neither elbow nor wrist"),
            ({"elbow": Point(math.nan, 1)}, "elbow is no point"),
            ({"rib": Point(1, math.inf)}, "rib is no point"),
            ({"elbow": Point(0, 60)}, "arm lies over the trunk"),
            ({"elbow": Point(-60, 1)}, "behind the trunk's line"),
            ({"ear": Point(1, 1), "ear_hidden": True}, "a point and hidden"),
        ],
    )
    def test_says_what_is_wrong_with_the_points(
        self, points: dict[str, Point | None], says: str
    ) -> None:
        """Nothing is measured on points that carry no angle."""
        marked = {
            "shoulder": Point(0, 0),
            "hip": Point(0, 100),
            "elbow": Point(0, -60),
            "facing": Facing.RIGHT,
        } | points

        with pytest.raises(LandmarkError, match=says):
            measure(Landmarks(**marked))  # type: ignore[arg-type]

    def test_names_the_point_outside_the_photo(self) -> None:
        """With the place and the photo's size."""
        marked = person(overhead_deg=170)

        marked.check_within(2000, 2000)
        with pytest.raises(LandmarkError, match=r"the hip .* 2000 × 1400 pixels"):
            marked.check_within(2000, 1400)


class TestUncertainty:
    @pytest.mark.parametrize(
        ("overhead", "facing", "upside_down"),
        [
            (90.0, Facing.RIGHT, False),
            (150.0, Facing.LEFT, True),
            (180.0, Facing.RIGHT, True),
            (205.0, Facing.LEFT, False),
        ],
    )
    def test_is_what_scattered_landmarks_show(
        self, overhead: float, facing: Facing, upside_down: bool
    ) -> None:
        """Source: Monte Carlo with numpy, as JCGM 101 checks a GUM budget.

        5000 draws scatter a standard deviation by 1 %: four of those are allowed.
        """
        sd_px, draws = 4.0, 5_000
        marked = person(
            overhead_deg=overhead, lean_deg=8, facing=facing, upside_down=upside_down
        )
        scatter = np.random.default_rng(12).normal(0, sd_px, (draws, 5, 2))
        drawn = [_moved(marked, each) for each in scatter]
        found = measure(marked, sd_px=sd_px)

        for figure in ("overhead", "lean", "arm"):
            values = [getattr(one, f"{figure}_deg") for one in drawn]
            assert pytest.approx(float(np.std(values)), rel=0.04) == getattr(
                found, f"{figure}_sd_deg"
            )
        for figure in ("flare", "lift"):
            values = [getattr(one, figure) for one in drawn]
            assert pytest.approx(float(np.std(values)), rel=0.04) == getattr(
                found, f"{figure}_sd"
            )

    def test_shrinks_with_the_photo_s_detail(self) -> None:
        """Pixels count in proportion to the trunk's length."""
        near = measure(person(overhead_deg=170, trunk_px=1000, arm_px=600), sd_px=4)
        far = measure(person(overhead_deg=170), sd_px=4)
        assert near.overhead_sd_deg is not None
        assert far.overhead_sd_deg is not None

        assert pytest.approx(far.overhead_sd_deg / 2) == near.overhead_sd_deg

    def test_is_a_share_of_the_trunk_where_nobody_measured_it(self) -> None:
        """One per cent of the trunk's length, our choice: about two degrees."""
        marked = person(overhead_deg=175)

        assert measure(marked, sd_px=5) == measure(marked)
        assert pytest.approx(1.9, abs=0.1) == measure(marked).overhead_sd_deg


def _moved(marked: Landmarks, by: np.ndarray) -> Figures:
    def moved(point: Point | None, index: int) -> Point:
        assert point is not None
        return Point(point.x + float(by[index][0]), point.y + float(by[index][1]))

    return measure(
        Landmarks(
            shoulder=moved(marked.shoulder, 0),
            hip=moved(marked.hip, 1),
            elbow=moved(marked.elbow, 2),
            rib=moved(marked.rib, 3),
            ear=moved(marked.ear, 4),
            facing=marked.facing,
        )
    )
