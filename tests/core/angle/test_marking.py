"""Marking as a machine: going closer, setting, leaving out, undo."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.angle import marking as steps
from trainer.core.angle.landmarks import Facing, LandmarkError, Point
from trainer.core.angle.lines import LineInk, over_photo
from trainer.core.angle.marking import Marking, Step, View

SIZES = st.tuples(st.integers(64, 12000), st.integers(64, 12000))
DOTS = st.tuples(st.integers(20, 200), st.integers(20, 120))


def _asked(step: Step) -> Marking:
    """Return a marking that has come as far as STEP."""
    marking = steps.face(steps.begin(4000, 3000, 52, 40), Facing.RIGHT)
    while marking.step is not step:
        marking = steps.place(marking)
    return marking


class TestView:
    @given(size=SIZES, dots=DOTS, x=st.floats(0, 1), y=st.floats(0, 1))
    def test_a_dot_s_pixel_lies_on_that_dot(
        self, size: tuple[int, int], dots: tuple[int, int], x: float, y: float
    ) -> None:
        """What is pointed at is what is shown there, at any closeness."""
        view = View.whole(*size, *dots)
        for _ in range(4):
            column, row = int(x * (dots[0] - 1)), int(y * (dots[1] - 1))
            inside = view.pixel(column, row)
            raw = Point(
                view.left + (column + 0.5) * view.px_per_dot,
                view.top + (row + 0.5) * view.px_per_dot,
            )
            if inside == raw:
                assert (column, row) == view.dot(inside)
            view = view.at(inside, view.px_per_dot / 4)

    @given(
        size=SIZES,
        dots=DOTS,
        x=st.floats(-1, 2),
        y=st.floats(-1, 2),
        factor=st.floats(0.1, 500),
    )
    def test_never_leaves_the_photo(
        self,
        size: tuple[int, int],
        dots: tuple[int, int],
        x: float,
        y: float,
        factor: float,
    ) -> None:
        """Every edge of the view lies on the photo, or the whole side is in view."""
        view = View.whole(*size, *dots)
        near = view.at(Point(x * size[0], y * size[1]), view.px_per_dot / factor)
        across = near.columns * near.px_per_dot
        down = near.rows * near.px_per_dot

        assert across >= size[0] - 1e-6 or (
            near.left >= -1e-6 and near.left + across <= size[0] + 1e-6
        )
        assert down >= size[1] - 1e-6 or (
            near.top >= -1e-6 and near.top + down <= size[1] + 1e-6
        )


class TestHere:
    @pytest.mark.parametrize("size", [(400, 300), (4000, 3000), (12000, 9000)])
    def test_goes_closer_and_then_sets(self, size: tuple[int, int]) -> None:
        """Three times for any photo on 52 × 40 dots, to a six-hundredth of it."""
        marking = steps.face(steps.begin(*size, 52, 40), Facing.LEFT)
        seen = []
        while marking.step is Step.SHOULDER:
            seen.append(marking.view.px_per_dot)
            marking = steps.here(marking)

        assert 3 == len(seen)
        assert seen[-1] <= max(size) / 1600
        assert Step.ELBOW == marking.step

    def test_asks_where_the_chest_points_first(self) -> None:
        """Nothing is set before that."""
        marking = steps.begin(4000, 3000, 52, 40)

        assert marking == steps.here(marking)
        assert Step.SHOULDER == steps.face(marking, Facing.LEFT).step


class TestMoves:
    @given(
        moves=st.lists(
            st.tuples(st.integers(-1, 1), st.integers(-1, 1), st.booleans()),
            max_size=60,
        ),
        closer=st.integers(0, 3),
    )
    def test_keep_the_cross_on_the_photo_and_in_view(
        self, moves: list[tuple[int, int, bool]], closer: int
    ) -> None:
        """Wherever somebody goes."""
        marking = _asked(Step.SHOULDER)
        for _ in range(closer):
            marking = steps.closer(marking)
        for right, down, fine in moves:
            marking = steps.move(marking, right, down, fine=fine)
            column, row = marking.view.dot(marking.cursor)

            assert 0 <= marking.cursor.x <= 4000
            assert 0 <= marking.cursor.y <= 3000
            assert -1 <= column <= marking.view.columns
            assert -1 <= row <= marking.view.rows

    def test_fine_is_a_dot_and_coarse_are_four(self) -> None:
        """In pixels of the photo: as much as one looks at."""
        marking = _asked(Step.SHOULDER)
        dot = marking.view.px_per_dot
        fine = steps.move(marking, 1, 0, fine=True).cursor - marking.cursor
        coarse = steps.move(marking, 0, -1).cursor - marking.cursor

        assert pytest.approx((dot, 0)) == (fine.x, fine.y)
        assert pytest.approx((0, -4 * dot)) == (coarse.x, coarse.y)


class TestUndo:
    @pytest.mark.parametrize("step", [s for s in Step if s is not Step.WRIST][1:])
    def test_goes_back_to_what_was_asked_before(self, step: Step) -> None:
        """Whatever was looked at since; the cross stands where it stood."""
        marking = _asked(step)
        before = marking.before
        assert before is not None
        wandered = steps.closer(steps.move(marking, 3, 2))
        back = steps.undo(wandered)

        assert (before.step, before.cursor, dict(before.placed)) == (
            back.step,
            back.cursor,
            dict(back.placed),
        )

    def test_has_nothing_before_the_first_answer(self) -> None:
        """And changes nothing then."""
        marking = steps.begin(4000, 3000, 52, 40)

        assert marking == steps.undo(marking)


class TestLeavingOut:
    def test_an_elbow_asks_for_the_wrist(self) -> None:
        """And the wrist for the hip."""
        marking = steps.leave_out(_asked(Step.ELBOW))

        assert Step.WRIST == marking.step
        assert Step.HIP == steps.place(marking).step
        assert Step.ELBOW == steps.undo(marking).step

    def test_rib_and_ear_may_go_shoulder_and_hip_not(self) -> None:
        """Three points make an angle."""
        assert Step.EAR == steps.leave_out(_asked(Step.RIB)).step
        assert Step.DONE == steps.leave_out(_asked(Step.EAR)).step
        for step in (Step.SHOULDER, Step.HIP):
            assert step == steps.leave_out(_asked(step)).step

    def test_an_ear_may_be_hidden(self) -> None:
        """Which is an answer and no place."""
        marking = steps.hide_ear(_asked(Step.EAR))

        assert marking.done
        assert marking.landmarks.ear_hidden
        assert None is marking.landmarks.ear


class TestFiguresNow:
    def test_move_with_the_cross(self) -> None:
        """From the hip on, before it is set."""
        marking = _asked(Step.HIP)
        moved = steps.move(marking, 1, 0, fine=True)
        first, second = marking.figures_now(), moved.figures_now()
        assert first is not None
        assert second is not None

        assert first.overhead_deg != second.overhead_deg
        assert None is _asked(Step.ELBOW).figures_now()

    def test_an_unfinished_marking_has_no_landmarks(self) -> None:
        """Nothing is measured on half of them."""
        with pytest.raises(LandmarkError, match="shoulder and hip"):
            _ = _asked(Step.HIP).landmarks


class TestResizing:
    def test_keeps_what_is_set_and_looked_at(self) -> None:
        """Another window loses no landmark."""
        marking = steps.closer(_asked(Step.HIP))
        wide = steps.resized(marking, 120, 80)

        assert dict(marking.placed) == dict(wide.placed)
        assert marking.cursor == wide.cursor
        assert (120, 80) == (wide.view.columns, wide.view.rows)
        assert wide.before is not None
        assert (120, 80) == (wide.before.view.columns, wide.before.view.rows)

    def test_refuses_no_size_at_all(self) -> None:
        """A photo of nothing is none."""
        with pytest.raises(ValueError, match="no photo of 0 × 300"):
            steps.begin(0, 300, 52, 40)


class TestLines:
    def test_leave_the_middle_of_the_cross_open(self) -> None:
        """The dot under it is what it is about."""
        marking = steps.closer(_asked(Step.HIP))
        drawn = over_photo(marking)
        column, row = marking.view.dot(marking.cursor)

        for x in (-1, 0, 1):
            for y in (-1, 0, 1):
                assert (column + x, row + y) not in drawn
        assert LineInk.CURSOR == drawn[column + 2, row]
        assert {LineInk.ARM, LineInk.TRUNK} <= set(
            over_photo(_asked(Step.RIB)).values()
        )

    @given(closer=st.integers(0, 4), right=st.integers(-20, 20))
    def test_stay_on_the_screen(self, closer: int, right: int) -> None:
        """Also where their ends lie far outside the view."""
        marking = steps.move(_asked(Step.EAR), right, -right)
        for _ in range(closer):
            marking = steps.closer(marking)

        for column, row in over_photo(marking):
            assert 0 <= row < 40
            assert -1 <= column <= 52
