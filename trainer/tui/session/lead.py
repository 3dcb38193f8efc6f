"""Leading a session from a page: the lock, the player, the runner, the summary."""

from __future__ import annotations

from collections.abc import Callable
from typing import TYPE_CHECKING

from trainer.core.answers import CAUTIONS_READ
from trainer.core.cues.introduction import HEARD_ANSWER, wants_introduction
from trainer.core.cues.settings import Backend
from trainer.core.model import Felt, History
from trainer.core.session.clearance import Cleared
from trainer.errors import TrainerError
from trainer.tui.door import open_screen

if TYPE_CHECKING:
    from trainer.tui.program import Program

SECOND_COPY = (
    "Another copy of the program has this file's session. Here you can look, add holds"
    " and rehearse."
)
PACES = (
    ("1", "At its own pace"),
    ("4", "Four times as fast"),
    ("10", "Ten times as fast"),
    ("20", "Twenty times as fast"),
)
"""How fast a rehearsal may go, as the pages offer it."""


def lead(app: Program, program: Cleared, *, pace: float | None = None) -> None:
    """Lead PROGRAM; with a PACE it is a rehearsal, and nothing is logged.

    Before the very first session the sounds of a hold are heard.
    """
    first = pace is None and wants_introduction(
        app.store.answers(), app.store.history()
    )
    if first and app.settings.sound.backend is not Backend.SILENT:
        hear_sounds(app, lambda: _lead(app, program, pace))
    else:
        _lead(app, program, pace)


def _lead(app: Program, program: Cleared, pace: float | None) -> None:
    from trainer.training.runner import SessionRunner
    from trainer.training.unsaved import UnsavedFolder

    if pace is None and not may_log(app):
        return
    player = app.open_player()
    runner = SessionRunner(
        program,
        clock=app.clock,
        player=player,
        log=None if pace is not None else app.store,
        unsaved_in=UnsavedFolder(app.paths.state),
        pace=pace or 1.0,
    )

    def over(_: object) -> None:
        player.close()
        notices = " ".join(runner.take_notices())
        if notices:
            app.notify(notices, markup=False, timeout=10)
        if not runner.rehearsal and app.store.session(runner.session_uid):
            open_screen(app, "summary", runner.session_uid)

    open_screen(
        app,
        "session",
        runner,
        last_felt=felt_last_time(app.store.history()),
        upside_down=app.settings.upside_down,
        reduced_motion=app.settings.reduced_motion or app.animation_level == "none",
        then=over,
    )


def felt_last_time(history: History) -> dict[str, tuple[Felt, ...]]:
    """Give, by exercise, what was felt the last time that anything was noted."""
    found: dict[str, tuple[Felt, ...]] = {}
    for session in history.sessions:
        for hold in session.holds:
            if hold.felt:
                found[hold.exercise] = hold.felt
    return found


def may_log(app: Program) -> bool:
    """Take the lock, or say why there is no session here."""
    try:
        if app.store.take_lock():
            return True
    except TrainerError as error:
        app.notify(str(error), markup=False, severity="warning", timeout=12)
        return False
    app.notify(SECOND_COPY, markup=False, severity="warning", timeout=12)
    return False


def hear_sounds(app: Program, then: Callable[[], None]) -> None:
    """Hear the sounds of a hold, as far as the person likes, and go on to THEN."""
    from trainer.tui.session.sounds import SoundsOfAHold

    def heard(_: object) -> None:
        try:
            app.store.set_answer(HEARD_ANSWER, app.clock.wall().date().isoformat())
        except TrainerError as error:
            app.notify(str(error), markup=False, severity="warning", timeout=12)
        then()

    app.push_screen(SoundsOfAHold(), heard)


def after_cautions(app: Program, then: Callable[[], None]) -> None:
    """Go on to THEN, the first time by way of the cautions, read to their end."""
    if app.store.answers().get(CAUTIONS_READ):
        then()
        return

    def read(done: bool | None) -> None:
        if done:
            today = app.clock.wall().date().isoformat()
            app.store.set_answer(CAUTIONS_READ, today)
            then()

    open_screen(app, "cautions", first=True, then=read)
