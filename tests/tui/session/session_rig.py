"""A live session for the screens' tests: real runner, real file, a clock by hand."""

from __future__ import annotations

import inspect
from collections.abc import AsyncIterator, Iterable
from contextlib import asynccontextmanager
from dataclasses import dataclass, field
from pathlib import Path

from textual import events
from textual.pilot import Pilot
from textual.widgets import Input

from tests.cleared import through
from tests.tui.desk import clock_at, frame, made_store
from trainer.core.clock import Clock, ManualClock
from trainer.core.exercises import BUILT_IN
from trainer.core.model import EndOfHold, Felt, Hold, SessionKind
from trainer.core.session.clearance import rehearsed
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.core.session.state import HoldDraft, Phase, SessionState
from trainer.settings.paths import Paths
from trainer.settings.settings import Settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store
from trainer.training.runner import SessionRunner
from trainer.training.unsaved import UnsavedFolder
from trainer.tui import theme
from trainer.tui.app import TrainerApp
from trainer.tui.keymap import check_remaps
from trainer.tui.session.screen import SessionScreen

STEP_S = 1.0
"""Time is let pass in steps: a longer one would be a gap that nobody watched."""


def one_set(
    exercise: str,
    target_s: float,
    *,
    number: int = 1,
    sets: int = 1,
    rest_s: float = 60.0,
    stay: bool = False,
    cue: str = "",
) -> ProgramSet:
    """Make one set of a program."""
    return ProgramSet(
        exercise=BUILT_IN[exercise],
        set_number=number,
        sets=sets,
        target_s=target_s,
        rest_s=rest_s,
        end_of_hold=EndOfHold.STAY if stay else EndOfHold.STOP,
        limit_s=2 * target_s if stay else None,
        cue=cue,
    )


def running(exercise: str, target_s: float, sets: int) -> tuple[ProgramSet, ...]:
    """Make several sets of one exercise."""
    return tuple(
        one_set(exercise, target_s, number=number, sets=sets)
        for number in range(1, sets + 1)
    )


class SessionAlone(TrainerApp):
    """The program without its first page, which these tests don't look at."""

    CSS_PATH = str(Path(inspect.getfile(TrainerApp)).with_name("app.tcss"))

    async def on_mount(self, event: events.Mount) -> None:  # type: ignore[override]
        """Put on the theme and the keys, and keep the first page from opening."""
        event.prevent_default()
        for each in theme.THEMES:
            self.register_theme(each)
        self.theme = theme.theme_name(self.settings.theme, no_color=self._colourless)
        self.set_keymap(check_remaps(self.settings.keys))


class ByHand(SessionScreen):
    """The session's screen without its ticker: it looks when a test says so.

    A ticker also keeps the test driver waiting for a quiet that doesn't come.
    """

    CSS_PATH = str(Path(inspect.getfile(SessionScreen)).with_name("session.tcss"))

    def _pace(self) -> None:
        """Look at nothing by itself."""

    def _await_deadline(self) -> None:
        """Await nothing by itself."""


@dataclass
class Rig:
    """The screen under test, and what a person and the time do to it."""

    pilot: Pilot[int]
    screen: SessionScreen
    clock: ManualClock
    store: Store
    player: RecordingPlayer
    ended: list[SessionState | None] = field(default_factory=list)

    @property
    def state(self) -> SessionState:
        """Give the session as it stands."""
        return self.screen.state

    def is_in(self, phase: Phase) -> bool:
        """Tell whether the session is in PHASE now."""
        return self.screen.phase is phase

    @property
    def covered(self) -> bool:
        """Tell whether something lies over the session's page."""
        return self.pilot.app.screen is not self.screen

    @property
    def last(self) -> HoldDraft:
        """Give the latest hold."""
        assert self.state.last_hold is not None
        return self.state.last_hold

    def logged(self) -> tuple[Hold, ...]:
        """Give the session's holds as the file has them."""
        session = self.store.session(self.screen.runner.session_uid)
        return () if session is None else session.holds

    async def wait(self, seconds: float) -> None:
        """Let time pass, looked at once a second, as the ticker would."""
        while seconds > 0:
            self.clock.advance(min(STEP_S, seconds))
            seconds -= STEP_S
            self.screen.look()
        await self.pilot.pause()

    async def wait_for(self, phase: Phase, *, at_most_s: float = 400) -> None:
        """Let time pass until the session is in PHASE."""
        while not self.is_in(phase) and at_most_s > 0:
            self.clock.advance(STEP_S)
            at_most_s -= STEP_S
            self.screen.look()
        await self.pilot.pause()
        assert self.is_in(phase)

    async def press(self, *keys: str) -> None:
        """Press keys, one after the other."""
        await self.pilot.press(*keys)

    async def write(self, text: str) -> None:
        """Put TEXT into the line that is open, as a paste would."""
        self.screen.query_one("#typed", Input).insert_text_at_cursor(text)
        await self.pilot.pause()

    def seen(self) -> str:
        """Give what stands on the screen."""
        return frame(self.pilot)


def alone(
    store: Store,
    clock: Clock,
    *,
    settings: Settings | None = None,
    no_color: bool = False,
) -> SessionAlone:
    """Give the program without its first page."""
    folder = store.path.parent
    return SessionAlone(
        store=store,
        paths=Paths(data=folder, config=folder, state=folder),
        settings=settings or Settings(),
        clock=clock,
        no_color=no_color,
    )


@asynccontextmanager
async def rig(
    folder: Path,
    sets: Iterable[ProgramSet],
    *,
    size: tuple[int, int] = (100, 30),
    settings: Settings | None = None,
    last_felt: dict[str, tuple[Felt, ...]] | None = None,
    rehearsal: bool = False,
    no_color: bool = False,
    upside_down: tuple[str, ...] = (),
    reduced_motion: bool = False,
) -> AsyncIterator[Rig]:
    """Open the program with a session under way."""
    clock, player = clock_at(), RecordingPlayer()
    with made_store(folder, clock) as store:
        app = alone(store, clock, settings=settings, no_color=no_color)
        program = SessionProgram(kind=SessionKind.PLAN, sets=tuple(sets))
        runner = SessionRunner(
            rehearsed(program) if rehearsal else through(program),
            clock=clock,
            player=player,
            log=None if rehearsal else store,
            unsaved_in=UnsavedFolder(app.paths.state),
        )
        async with app.run_test(size=size) as pilot:
            screen = ByHand(
                runner,
                last_felt=last_felt,
                upside_down=upside_down,
                reduced_motion=reduced_motion,
            )
            ended: list[SessionState | None] = []
            app.push_screen(screen, ended.append)
            await pilot.pause()
            yield Rig(pilot, screen, clock, store, player, ended)
