"""Angle checks from Today: offered, declined, marked, looked back on."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import pytest

from tests.core.angle.checks import FREE, GUARDED
from tests.photo.robot import next_keys
from tests.photo.stick import draw, landmarks_on, saved
from tests.tui.desk import clock_at, frame, made_app, made_store, settle
from trainer.core.angle.check import AngleCheck, Photo, Pose, Position, Reach, When
from trainer.core.angle.compare import (
    HIP,
    SHOULDER,
    Window,
    outline,
    over_turned,
)
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Landmarks
from trainer.core.angle.series import by_series
from trainer.core.clock import ManualClock
from trainer.core.model import EndedBy, Hold, Pain, PainKind, Side, Site
from trainer.photo.reading import OpenPhoto
from trainer.store import Store
from trainer.tui.photo.canvas import DotCanvas
from trainer.tui.photo.checks import (
    ChecksScreen,
    CompareScreen,
    path_of,
    turned_dots,
)
from trainer.tui.photo.screen import MarkingScreen

DUE = "Due before the warm-up"


def _checked(store: Store, marked: Landmarks, day: date, position: Position) -> None:
    at = clock_at().wall().replace(year=day.year, month=day.month, day=day.day)
    store.add_angle_check(
        AngleCheck(
            uid=f"00000000-0000-4000-8000-{len(store.angle_checks()):012d}",
            measured_at=at,
            utc_offset_min=60,
            local_date=day,
            position=position,
            figures=measure(marked),
            landmarks=marked,
        )
    )


@pytest.fixture
def clock() -> ManualClock:
    return clock_at()


class TestOnToday:
    async def test_is_offered_and_declined_by_one_key_each(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Declined it is gone, also after the program was opened anew."""
        with made_store(tmp_path, clock) as store:
            settle(store)
            app = made_app(store, clock)
            async with app.run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                assert DUE in frame(pilot)
                await pilot.press("x")
                await pilot.pause()
                assert DUE not in frame(pilot)
            async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                assert DUE not in frame(pilot)
                await pilot.press("a")
                await pilot.pause()

                assert isinstance(pilot.app.screen, ChecksScreen)

    async def test_a_photo_in_a_planned_set_is_declined_by_the_same_key(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Offered four weeks after the last hang, in the hang's second set."""
        _, truth = saved(tmp_path, (800, 600), 165.0)
        with made_store(tmp_path, clock) as store:
            settle(store)
            today = clock.wall().date()
            _checked(store, truth, today, GUARDED)
            before = today - timedelta(weeks=4)
            _checked(store, truth, before, Position(pose=Pose.HANG))
            async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                offered = frame(pilot)
                await pilot.press("x")
                await pilot.pause()
                declined = frame(pilot)

        assert "A photo is due in a planned set" in offered
        assert "set 2)" in offered
        assert "Angle check" not in declined

    async def test_waits_while_a_shoulder_hurts(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """It isn't offered, and the page of the checks says why."""
        with made_store(tmp_path, clock) as store:
            settle(store)
            hold = Hold(
                uid="00000000-0000-4000-8000-000000000001",
                exercise="hang",
                set_number=1,
                held_s=9,
                ended_by=EndedBy.ADDED,
                started_at=clock.wall(),
                pain=(Pain(PainKind.PAIN, Site.TOP_SHOULDER),),
            )
            store.add_hold(hold, at=clock.wall(), has_time=True)
            async with made_app(store, clock).run_test(size=(80, 24)) as pilot:
                await pilot.pause()
                assert DUE not in frame(pilot)
                await pilot.press("a")
                await pilot.pause()
                assert "No angle check with open pain" in frame(pilot)
                await pilot.press("enter")
                await pilot.pause()

                assert isinstance(pilot.app.screen, ChecksScreen)


class TestMarking:
    async def test_a_photo_becomes_a_check(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Asked for by its file, then what it shows, then which arm; all is kept."""
        path, truth = saved(tmp_path, (800, 600), 167.0, "my reach.png")
        with made_store(tmp_path, clock) as store:
            settle(store)
            app = made_app(store, clock)
            async with app.run_test(size=(80, 24)) as pilot:
                await pilot.press("a", "enter")
                await pilot.pause()
                await pilot.press(*_typed(f"'{path}'"), "enter")
                await pilot.pause()
                await pilot.press("down", "enter")
                await pilot.pause()
                await pilot.press("down", "enter")
                await pilot.pause()
                await app.workers.wait_for_complete()
                screen = app.screen
                assert isinstance(screen, MarkingScreen)
                await pilot.pause()
                while screen.marking is not None and not screen.marking.done:
                    await pilot.press(*next_keys(screen.marking, truth))
                await pilot.press("enter")
                await pilot.pause()
                assert "° (reach, free, right arm, before" in frame(pilot)
            (check,) = store.angle_checks()

        assert Position(reach=Reach.FREE, side=Side.RIGHT, when=When.BEFORE) == (
            check.position
        )
        assert pytest.approx(167, abs=1) == check.overhead_deg
        assert check.photo is not None
        assert "my reach.png" == check.photo.name

    async def test_what_is_no_photo_is_said(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """And the page stays."""
        with made_store(tmp_path, clock) as store:
            settle(store)
            app = made_app(store, clock)
            async with app.run_test(size=(80, 24), notifications=True) as pilot:
                await pilot.press("a", "enter", *_typed("nowhere.jpg"), "enter")
                await pilot.pause()

                assert "there is no photo nowhere.jpg" in frame(pilot)

    @pytest.mark.parametrize(
        "typed",
        ["/a/my reach.jpg", "'/a/my reach.jpg'", r"/a/my\ reach.jpg ",
         '"/a/my reach.jpg"', "file:///a/my reach.jpg"],
    )  # fmt: skip
    def test_a_file_may_be_dropped_on_the_terminal(self, typed: str) -> None:
        """Terminals quote it, or put a backslash before its spaces."""
        assert Path("/a/my reach.jpg") == path_of(typed)


class TestLookingBack:
    async def test_says_what_changed_and_shows_then_and_now(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Sentence, picture, what the back lends, and two checks trunk on trunk."""
        _, then = saved(tmp_path, (800, 600), 150.0)
        _, now = saved(tmp_path, (800, 600), 168.0)
        with made_store(tmp_path, clock) as store:
            settle(store)
            today = clock.wall().date()
            _checked(store, then, today - timedelta(weeks=8), GUARDED)
            _checked(store, now, today, GUARDED)
            _checked(store, now, today, FREE)
            async with made_app(store, clock).run_test(size=(80, 40)) as pilot:
                await pilot.press("a")
                await pilot.pause()
                page = frame(pilot)
                await pilot.press("c")
                await pilot.pause()
                beside = frame(pilot)

        assert "can't be told from noise, which is 30°" in page
        assert "168° guarded" in page
        assert "then" in beside
        assert "+18°" in beside


def _typed(text: str) -> list[str]:
    names = {"/": "slash", ".": "full_stop", "'": "apostrophe", " ": "space"}
    names |= {"-": "minus", "_": "underscore"}
    return [names.get(char, char) for char in text]


class TestThenAndNowByPhotos:
    def test_a_photo_is_turned_until_its_trunk_is_upright(self, tmp_path: Path) -> None:
        """Whatever side was faced and however somebody leant: hip under shoulder.

        The joints of the drawing are bright; they have to come to lie where the frame
        has its hip and its shoulder.
        """
        for facing in Facing:
            marked = landmarks_on((1600, 1200), 165.0, lean_deg=25, facing=facing)
            path = tmp_path / f"{facing}.png"
            draw(marked, (1600, 1200)).save(path)
            dots, _ = turned_dots(
                OpenPhoto(path).whole(), over_turned(marked), marked, (150, 200)
            )
            window = Window(150, 200)
            for place in (HIP, SHOULDER, outline(marked).arm_end):
                red, green, blue = dots.at(*window.dot(place))

                assert red > blue + 40
                assert green > blue + 40

    async def test_photos_given_again_are_known_by_their_hash(
        self, tmp_path: Path, clock: ManualClock
    ) -> None:
        """Another photo is said to be of neither."""
        path, truth = saved(tmp_path, (800, 600), 150.0)
        other, later = saved(tmp_path, (800, 600), 168.0, "other.png")
        photo = OpenPhoto(path)
        with made_store(tmp_path, clock) as store:
            settle(store)
            today = clock.wall().date()
            _checked(store, truth, today - timedelta(weeks=8), GUARDED)
            _checked(store, later, today, GUARDED)
            first, second = store.angle_checks()
            known = replace(first, photo=Photo("x.png", photo.sha256(), *photo.size))
            app = made_app(store, clock)
            async with app.run_test(size=(100, 40), notifications=True) as pilot:
                (series,) = by_series([known, second]).values()
                app.push_screen(CompareScreen(series))
                await pilot.pause()
                await pilot.press("p", *_typed(str(other)), "enter")
                await pilot.pause()
                assert "the photo of neither check" in frame(pilot)
                await pilot.press("p", *_typed(str(path)), "enter")
                await pilot.pause()
                canvas = app.screen.query_one("#then", DotCanvas)

                assert canvas.display
                rows = [tuple(canvas.render_line(row)) for row in (2, 9)]
                assert rows[0] != rows[1]
