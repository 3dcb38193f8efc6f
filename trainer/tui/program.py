"""What the pages ask of the program: the log, the settings, the clock, a player.

Below the pages, so that they needn't know the program itself, which opens them.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import TYPE_CHECKING

from textual.app import App

from trainer.core.answers import is_made_up, trainee_name
from trainer.errors import DataError, ExitCode, TrainerError
from trainer.tui import theme
from trainer.tui.door import OPENED_FROM_TODAY

if TYPE_CHECKING:
    from trainer.core.clock import Clock
    from trainer.core.cues.settings import SoundSettings
    from trainer.settings.paths import Paths
    from trainer.settings.settings import Settings
    from trainer.sound.player import Player
    from trainer.store import Store
    from trainer.training.request import SessionRequest


class Program(App[int]):
    """The program as its pages know it.

    Args:
        store: the data file; None: it is still to be opened.
        paths: the folders of this machine.
        settings: what was chosen.
        clock: what tells the time.
        start: where to begin: ``today``, ``session``, a page of ``OPENED_FROM_TODAY``.
        session: what the command line asked to lead.
        no_color: the plain theme, whatever was chosen.
        player: makes a player; None: the one for this machine.
    """

    def __init__(
        self,
        *,
        store: Store | None,
        paths: Paths,
        settings: Settings,
        clock: Clock,
        start: str,
        session: SessionRequest | None,
        no_color: bool,
        player: Callable[[SoundSettings], Player] | None,
    ) -> None:
        super().__init__()
        self._store = store
        self.paths = paths
        self.settings = settings
        self.clock = clock
        self.start_with = start
        self._request = session
        self._colourless = no_color
        self._make_player = player
        self._players: list[Player] = []
        self.left_unsaved: DataError | None = None
        """A session that was left before the data file took all of it."""

    @property
    def store(self) -> Store:
        """The data file.

        Raises:
            RuntimeError: it isn't open yet: nothing but the cover is there.
        """
        if self._store is None:
            raise RuntimeError("the data file isn't open yet")
        return self._store

    @property
    def trainee_name(self) -> str | None:
        """The name of the file's trainee, where one is set."""
        return trainee_name(self.store.answers())

    @property
    def made_up(self) -> bool:
        """Whether the file's trainee doesn't exist."""
        return is_made_up(self.store.answers())

    def take_request(self) -> SessionRequest | None:
        """Give what the command line asked to lead, once."""
        request, self._request = self._request, None
        return request

    def begin_with(self, page: str) -> bool:
        """Begin with a page that Today opens; False where a session was asked for."""
        if self._request is None:
            self.start_with = page
        return self._request is None

    def take_first_page(self) -> str:
        """Give the action of Today that opens the page asked for, once; or nothing."""
        page, self.start_with = self.start_with, "today"
        return page if page in OPENED_FROM_TODAY else ""

    def open_player(self) -> Player:
        """Open a player after the settings; whoever asked closes it."""
        if self._make_player is not None:
            player = self._make_player(self.settings.sound)
        else:
            from trainer.sound.opening import open_player

            player = open_player(
                self.settings.sound, clock=self.clock, state_dir=self.paths.state
            )
        self._players.append(player)
        return player

    def on_unmount(self) -> None:
        """Leave no sound behind, however the program came to its end."""
        for player in self._players:
            player.close()

    def keep_settings(self, settings: Settings) -> None:
        """Use SETTINGS from now on, and write them down."""
        from trainer.settings.settings import write_settings

        self.settings = settings
        try:
            write_settings(self.paths.settings, settings)
        except TrainerError as error:
            self.notify(str(error), markup=False, severity="warning", timeout=12)

    def keep_theme(self, name: str) -> None:
        """Put on another theme, and keep it; without colour it stays the plain one."""
        self.theme = theme.theme_name(name, no_color=self._colourless)
        self.keep_settings(replace(self.settings, theme=name))

    def end(self) -> None:
        """End the program, with a session that isn't saved as a fault of the file."""
        self.exit(int(ExitCode.DONE if self.left_unsaved is None else ExitCode.DATA))
