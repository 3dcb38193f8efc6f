"""Marking a photo on the real screen, by keys and by mouse, against known angles."""

from __future__ import annotations

import hashlib
from pathlib import Path
from typing import Any

import pytest
from textual.pilot import Pilot

from tests.photo.robot import next_keys, truth_of
from tests.photo.stick import saved
from tests.tui.desk import frame
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Landmarks
from trainer.core.angle.marking import Marking, Step
from trainer.settings.settings import Settings
from trainer.tui.photo.app import MarkingApp
from trainer.tui.photo.canvas import DotCanvas
from trainer.tui.photo.screen import MarkingScreen

SMALL, BROAD = (80, 24), (100, 30)


def _app(path: Path) -> MarkingApp:
    return MarkingApp(path, settings=Settings())


def _screen(pilot: Pilot[Any]) -> MarkingScreen:
    screen = pilot.app.screen
    assert isinstance(screen, MarkingScreen)
    return screen


def _marking(pilot: Pilot[Any]) -> Marking:
    marking = _screen(pilot).marking
    assert marking is not None
    return marking


def _frame(pilot: Pilot[Any]) -> str:
    return frame(pilot)


async def _opened(pilot: Pilot[Any]) -> None:
    """Wait until the photo is read."""
    await pilot.pause()
    await pilot.app.workers.wait_for_complete()
    await pilot.pause()


async def _mark_all(pilot: Pilot[Any], truth: Landmarks) -> int:
    """Mark every landmark by keys; return how many it took."""
    pressed = 0
    while not _marking(pilot).done:
        keys = list(next_keys(_marking(pilot), truth))
        await pilot.press(*keys)
        pressed += len(keys)
    return pressed


class TestByKeys:
    @pytest.mark.parametrize(
        ("photo", "terminal", "angle"),
        [
            ((400, 300), SMALL, 158.0),
            ((4000, 3000), SMALL, 171.5),
            ((3000, 4000), BROAD, 187.0),
            ((8000, 6000), SMALL, 166.0),
        ],
    )
    async def test_five_landmarks_give_the_angle_to_a_degree(
        self,
        tmp_path: Path,
        photo: tuple[int, int],
        terminal: tuple[int, int],
        angle: float,
    ) -> None:
        """In at most ninety keys, the one that keeps them among these."""
        path, truth = saved(tmp_path, photo, angle)
        app = _app(path)
        async with app.run_test(size=terminal) as pilot:
            await _opened(pilot)
            keys = await _mark_all(pilot, truth) + 1
            await pilot.press("enter")
            await pilot.pause()
        kept = app.return_value
        assert kept is not None
        (marked,) = kept.landmarks
        figures = measure(marked)
        assert figures.lean_deg is not None
        assert figures.flare is not None

        assert 90 >= keys
        assert pytest.approx(angle, abs=1) == figures.overhead_deg
        assert pytest.approx(4, abs=1) == figures.lean_deg
        assert pytest.approx(0.12, abs=0.02) == figures.flare
        assert photo == (kept.photo.width, kept.photo.height)
        assert hashlib.sha256(path.read_bytes()).hexdigest() == kept.photo.sha256
        assert "reach.png" == kept.photo.name

    async def test_the_dots_show_the_landmark_where_the_cross_is(
        self, tmp_path: Path
    ) -> None:
        """The photo's pixels and the places agree: the joint is bright in the cross."""
        path, truth = saved(tmp_path, (1600, 1200), 165.0)
        app = _app(path)
        async with app.run_test(size=SMALL) as pilot:
            await _opened(pilot)
            await pilot.press("right")
            while not _marking(pilot).sets_next:
                await pilot.press(*next_keys(_marking(pilot), truth))
            column, row = _marking(pilot).view.dot(truth_of(truth, Step.SHOULDER))
            canvas = _screen(pilot).query_one("#photo", DotCanvas)
            cell = _cell(canvas, column, row // 2)

        assert (250, 240, 90) == cell[row % 2]


def _cell(canvas: DotCanvas, column: int, line: int) -> tuple[object, object]:
    """Return the upper and the lower colour of a cell as it is drawn."""
    for segment in canvas.render_line(line):
        if column >= len(segment.text):
            column -= len(segment.text)
            continue
        assert segment.style is not None
        assert segment.style.bgcolor is not None
        upper = segment.style.color or segment.style.bgcolor
        return tuple(upper.triplet or ()), tuple(segment.style.bgcolor.triplet or ())
    raise AssertionError("the canvas is narrower than that")


class TestByMouse:
    async def test_three_clicks_set_a_landmark(self, tmp_path: Path) -> None:
        """Sixteen for a photo: well under a minute for a hand."""
        path, truth = saved(tmp_path, (4000, 3000), 176.0)
        app = _app(path)
        clicks = 0
        async with app.run_test(size=SMALL) as pilot:
            await _opened(pilot)
            canvas = _screen(pilot).query_one("#photo", DotCanvas)
            await pilot.click(canvas, offset=(canvas.size.width - 2, 5))
            clicks += 1
            assert Facing.RIGHT == _marking(pilot).facing
            while not (marking := _marking(pilot)).done:
                column, row = marking.view.dot(truth_of(truth, marking.step))
                await pilot.click(canvas, offset=(column, row // 2))
                clicks += 1
            await pilot.press("enter")
            await pilot.pause()
        assert app.return_value is not None
        figures = measure(app.return_value.landmarks[0])

        assert 16 == clicks
        assert pytest.approx(176, abs=1) == figures.overhead_deg


class TestOnTheWay:
    async def test_figures_move_with_the_cross(self, tmp_path: Path) -> None:
        """From the hip on, before it is set."""
        path, truth = saved(tmp_path, (1600, 1200), 165.0)
        async with _app(path).run_test(size=SMALL) as pilot:
            await _opened(pilot)
            while _marking(pilot).step is not Step.HIP:
                await pilot.press(*next_keys(_marking(pilot), truth))
            first = _frame(pilot)
            await pilot.press("right", "right")
            second = _frame(pilot)

        lines = [
            next(line for line in each.splitlines() if "overhead" in line)
            for each in (first, second)
        ]
        assert lines[0] != lines[1]

    async def test_undo_goes_back_and_leaving_asks(self, tmp_path: Path) -> None:
        """Nothing that was marked goes by one key."""
        path, truth = saved(tmp_path, (1600, 1200), 165.0)
        app = _app(path)
        async with app.run_test(size=SMALL) as pilot:
            await _opened(pilot)
            while _marking(pilot).step is not Step.HIP:
                await pilot.press(*next_keys(_marking(pilot), truth))
            await pilot.press("u")
            assert Step.ELBOW == _marking(pilot).step
            await pilot.press("n")
            assert Step.WRIST == _marking(pilot).step
            await pilot.press("escape")
            await pilot.pause()
            assert "Leave the photo unmarked?" in _frame(pilot)
            await pilot.press("down", "enter")
            await pilot.pause()

        assert None is app.return_value

    async def test_a_second_marking_is_blind_to_the_first(self, tmp_path: Path) -> None:
        """No ring, no figure of the first until all is set again; both are kept."""
        path, truth = saved(tmp_path, (1600, 1200), 165.0)
        app = _app(path)
        async with app.run_test(size=SMALL) as pilot:
            await _opened(pilot)
            await _mark_all(pilot, truth)
            await pilot.press("a")
            again = _marking(pilot)
            assert (Step.SHOULDER, {}) == (again.step, dict(again.placed))
            while _marking(pilot).step is not Step.EAR:
                await pilot.press(*next_keys(_marking(pilot), truth))
                assert "overhead" not in _frame(pilot)
            await _mark_all(pilot, truth)
            assert "First marks: 16" in _frame(pilot)
            await pilot.press("enter")
            await pilot.pause()
        assert app.return_value is not None

        assert 2 == len(app.return_value.landmarks)

    async def test_a_damaged_photo_is_said_and_left(self, tmp_path: Path) -> None:
        """One that begins well and breaks off: no traceback, nothing kept."""
        path, _ = saved(tmp_path, (800, 600), 165.0)
        path.write_bytes(path.read_bytes()[:3000])
        app = _app(path)
        async with app.run_test(size=SMALL, notifications=True) as pilot:
            await _opened(pilot)

        assert None is app.return_value
