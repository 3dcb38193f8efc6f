"""The full-screen program: wiring, theme and keymap, nothing else.

What it works with comes in by its constructor, so that a test hands in a clock that
stands still, a file of its own and a player that makes no sound.
"""

from __future__ import annotations

import asyncio
import contextlib
import gc
import select
import signal
import sys
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.dom import DOMNode
from textual.message import Message
from textual.notifications import SeverityLevel
from textual.screen import Screen

from trainer.errors import (
    ConfigError,
    DataGoneError,
    ExitCode,
    TrainerError,
)
from trainer.tui import theme
from trainer.tui.door import load, screen
from trainer.tui.keymap import bind, check_remaps
from trainer.tui.letters import cells_of_this_terminal
from trainer.tui.program import Program
from trainer.tui.screens.page import Page

if TYPE_CHECKING:
    from types import FrameType

    from textual.filter import LineFilter

    from trainer.core.clock import Clock
    from trainer.core.cues.settings import SoundSettings
    from trainer.settings.paths import Paths
    from trainer.settings.settings import Settings
    from trainer.sound.player import Player
    from trainer.store import Store
    from trainer.training.request import SessionRequest

NEEDS_THE_LOG = frozenset({"cautions", "command_palette", "help"})
"""Actions of the program itself that lay something over Today."""
LOOKS_ROUND_EVERY_S = 5.0
"""How often the file and the terminal are looked at; a session looks at the file each
second (our choice)."""


class LogOpened(Message):
    """The data file is open, and all that Today needs is loaded."""

    def __init__(self, store: Store) -> None:
        super().__init__()
        self.store = store


class LogRefused(Message):
    """The data file can't be opened, or something of ours broke."""

    def __init__(self, fault: Exception) -> None:
        super().__init__()
        self.fault = fault


class TrainerApp(Program, inherit_bindings=False):
    """The program.

    Either on a data file that is open, or with a way to open one, which is then done
    behind a cover: what needs no log is seen at once.
    """

    TITLE = "trainer"
    CSS_PATH = "app.tcss"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("everywhere.leave", "leave"),
        bind("everywhere.cautions", "cautions"),
        bind("everywhere.help", "help", show=False),
        Binding(
            "ctrl+p",
            "command_palette",
            "Find",
            show=False,
            tooltip="Find what the program can do by its name.",
        ),
    ]

    def __init__(
        self,
        *,
        store: Store | None = None,
        open_store: Callable[[], Store] | None = None,
        paths: Paths,
        settings: Settings,
        clock: Clock,
        start: str = "today",
        session: SessionRequest | None = None,
        no_color: bool = False,
        player: Callable[[SoundSettings], Player] | None = None,
    ) -> None:
        super().__init__(
            store=store,
            paths=paths,
            settings=settings,
            clock=clock,
            start=start,
            session=session,
            no_color=no_color,
            player=player,
        )
        if settings.reduced_motion:
            self.animation_level = "none"
        self._open_store = open_store
        self._clash_said = False
        self._warned: tuple[str, float] | None = None
        self._stop_signals: list[int] = []
        self._gone_said = False
        self.fault: Exception | None = None
        """What ended the program, if it wasn't the person."""
        self._cells = cells_of_this_terminal()
        for each in theme.THEMES:
            self.register_theme(each)
        # Put on before the style sheet is read: by assignment it would be read twice.
        wanted = theme.theme_name(settings.theme, no_color=no_color)
        self.set_reactive(TrainerApp.theme, wanted)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Give our own variables to the style sheet, which is read before a theme."""
        return dict(theme.THEMES[0].variables)

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Put the terminal's own characters last of what changes a drawn line."""
        return [*super().get_line_filters(), *self._cells]

    def get_default_screen(self) -> Screen[None]:
        """Give Today, on which all other pages lie, or the cover that is under it."""
        if self._store is None:
            return screen("cover", self._open_log)
        return screen("today")

    def on_mount(self) -> None:
        """Put on the keys."""
        try:
            self.set_keymap(check_remaps(self.settings.keys))
        except ConfigError as error:
            self.notify(str(error), markup=False, severity="warning", timeout=15)
        self._leave_when_told()
        self.set_interval(LOOKS_ROUND_EVERY_S, self._look_round)
        if self._store is not None:
            self._begin()

    def _open_log(self) -> None:
        """Load Today and open the data file, in a thread: the keys go on working."""
        self.run_worker(self._load, thread=True, exit_on_error=False)

    def _load(self) -> None:
        if self._open_store is None:
            raise RuntimeError("a program without a data file needs a way to open one")
        try:
            load("today")
            opened = LogOpened(self._open_store())
            # What is loaded stays: the collector needn't go through it again in a hold.
            gc.freeze()
        except Exception as fault:
            # Said by whoever started the program, after the screen.
            self.post_message(LogRefused(fault))
        else:
            self.post_message(opened)

    async def on_log_opened(self, message: LogOpened) -> None:
        """Lay Today over its cover."""
        self._store = message.store
        await self.push_screen(screen("today"))
        self._begin()

    def on_log_refused(self, message: LogRefused) -> None:
        """Give the terminal back: there is nothing to show."""
        self._end_with(message.fault)

    def _begin(self) -> None:
        """Say what a crash left unsaved."""
        from trainer.training.unsaved import UnsavedFolder

        for sentence in UnsavedFolder(self.paths.state).left_behind():
            self.notify(sentence, markup=False, severity="warning", timeout=20)

    def _look_round(self) -> None:
        """See whether the data file and the terminal are still there; let the file
        settle."""
        if not self.is_headless and _terminal_is_gone():
            self._told_to_leave()
            return
        if self._store is None:
            return
        try:
            self.store.look_after()
        except DataGoneError as error:
            if not self._gone_said:
                self._gone_said = True
                self.notify(str(error), markup=False, severity="warning", timeout=30)

    def _leave_when_told(self) -> None:
        """Give the terminal back in order when the system ends the program.

        What was finished is in the file already; the hold under way is in its journal.
        """
        loop = asyncio.get_running_loop()
        for name in ("SIGINT", "SIGTERM", "SIGHUP", "SIGBREAK"):
            number = getattr(signal, name, None)
            if number is None:
                continue
            with contextlib.suppress(RuntimeError, ValueError):  # not the main thread
                try:
                    loop.add_signal_handler(number, self._told_to_leave)
                except NotImplementedError:  # Windows' loop takes none
                    signal.signal(
                        number,
                        lambda *_: loop.call_soon_threadsafe(self._told_to_leave),
                    )
                self._stop_signals.append(number)
        _go_on_only_where_somebody_is()

    def _told_to_leave(self) -> None:
        """Let each page keep what is half said; none is asked.

        A second signal changes nothing: this one is being obeyed.
        """
        for number in self._stop_signals:
            with contextlib.suppress(NotImplementedError):
                asyncio.get_running_loop().remove_signal_handler(number)
            signal.signal(number, signal.SIG_IGN)
        try:
            for leave_at_once in self._open_pages_with("leave_at_once"):
                leave_at_once()
        finally:
            self.exit(None, int(ExitCode.INTERRUPTED))

    def _open_pages_with(self, name: str) -> list[Callable[[], bool | None]]:
        """Give a method of each open page that has it, the topmost first."""
        pages = reversed(self.screen_stack)
        return [getattr(page, name) for page in pages if hasattr(page, name)]

    def _handle_exception(self, error: Exception) -> None:
        """Say a fault that a person can act on, and go on; end in order at any other.

        The framework has no public door for this: all that escapes from a message
        handler comes through here. A defect of ours goes to whoever started the
        program, which keeps its details in a file: no traceback on the screen. In a
        test the framework's own way lets the test fail.
        """
        if isinstance(error, TrainerError):
            self.notify(str(error), markup=False, severity="warning", timeout=15)
        elif self.is_headless:
            super()._handle_exception(error)
        else:
            self._end_with(error)

    def _end_with(self, fault: Exception) -> None:
        """End the program in order; FAULT goes to whoever started it."""
        if self.fault is None:
            self.fault = fault
            self.exit(return_code=int(ExitCode.FAILED))

    def notify(
        self,
        message: str,
        *,
        title: str = "",
        severity: SeverityLevel = "information",
        timeout: float | None = None,
        markup: bool = True,
    ) -> None:
        """Show a message in the place of the one before: they don't pile up.

        A warning that still stands is kept under the new message.
        """
        now_s = self.clock.now_s()
        warned = self._warned
        self.clear_notifications()
        if warned is not None and warned[1] > now_s and warned[0] != message:
            super().notify(
                warned[0], severity="warning", timeout=warned[1] - now_s, markup=False
            )
        if severity != "information":
            for_s = self.NOTIFICATION_TIMEOUT if timeout is None else timeout
            self._warned = (message, now_s + for_s)
        super().notify(
            message, title=title, severity=severity, timeout=timeout, markup=markup
        )

    def handle_bindings_clash(
        self, clashed_bindings: set[Binding], node: DOMNode
    ) -> None:
        """Say once that two things are on one key; ``check_remaps`` finds the rest."""
        if not self._clash_said:
            self._clash_said = True
            names = sorted(each.id or each.action for each in clashed_bindings)
            self.notify(f"One key for several things: {', '.join(names)}", markup=False)

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer nothing but leaving before there is a data file."""
        if self._store is None and action in NEEDS_THE_LOG:
            return False
        return super().check_action(action, parameters)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Give the palette what works on the page that is open."""
        from trainer.tui.commands import commands

        return commands(self, screen)

    def action_help(self) -> None:
        """Show the keys that are live on the page, and the words."""
        from trainer.tui.screens.help import HelpScreen, live_keys

        if isinstance(self.screen, HelpScreen):
            return
        heading = self.screen.HEADING if isinstance(self.screen, Page) else ""
        self.push_screen(HelpScreen(live_keys(self.screen.active_bindings), heading))

    def action_cautions(self) -> None:
        """Show the cautions."""
        from trainer.tui.screens.cautions import CautionsScreen

        if not isinstance(self.screen, CautionsScreen):
            self.push_screen(CautionsScreen())

    def action_leave(self) -> None:
        """Leave; a page with something under way may ask first, whatever lies on it."""
        if all(may_leave() for may_leave in self._open_pages_with("may_leave")):
            self.end()


def run_app(
    *,
    db_path: Path,
    paths: Paths,
    settings: Settings,
    clock: Clock,
    mouse: bool = True,
    start: str = "today",
    session: SessionRequest | None = None,
) -> int:
    """Run the program, open the data file behind its cover, give the exit code.

    Raises:
        TrainerError: the data file can't be opened, or a session was left that it
            didn't take; the terminal is given back.
    """
    no_color = theme.settle_no_color()
    with contextlib.ExitStack() as closing:

        def open_log() -> Store:
            from trainer.store import open_store

            return closing.enter_context(open_store(db_path, clock=clock))

        app = TrainerApp(
            open_store=open_log,
            paths=paths,
            settings=settings,
            clock=clock,
            start=start,
            session=session,
            no_color=no_color,
        )
        result = app.run(mouse=mouse)
        if app.fault is not None:
            raise app.fault
        if app.left_unsaved is not None:
            raise app.left_unsaved
    return app.return_code or result or int(ExitCode.DONE)


def _go_on_only_where_somebody_is() -> None:
    """Keep the framework from drawing anew on a terminal that was closed.

    Closing one sends SIGCONT after SIGHUP (Linux, ``tty_io.c``). The framework takes it
    for the end of a ctrl+z and begins to write once more; nobody reads, and at the end
    it would wait for its writing for good.
    """
    number = getattr(signal, "SIGCONT", None)
    go_on = None if number is None else signal.getsignal(number)
    if number is None or not callable(go_on):
        return

    def go_on_unless_gone(received: int, frame: FrameType | None) -> None:
        if not _terminal_is_gone():
            go_on(received, frame)

    with contextlib.suppress(ValueError):  # not in the main thread
        signal.signal(number, go_on_unless_gone)


def _terminal_is_gone() -> bool:
    """Tell whether nobody can be at the terminal any more: it was closed, and no signal
    said so, as where it isn't the one that controls the program."""
    if sys.platform == "win32" or sys.__stdin__ is None:
        return False
    poll = select.poll()
    try:
        poll.register(sys.__stdin__.fileno(), 0)
        return bool(poll.poll(0))
    except (OSError, ValueError):
        return False
