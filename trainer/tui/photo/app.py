"""The marking screen in a program of its own, for the command line."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import App, SystemCommand
from textual.binding import BindingType
from textual.screen import Screen

from trainer.core.angle.marking import Marked
from trainer.errors import ConfigError
from trainer.tui import theme
from trainer.tui.keymap import bind, check_remaps
from trainer.tui.letters import cells_of_this_terminal
from trainer.tui.photo.screen import MarkingScreen

if TYPE_CHECKING:
    from textual.filter import LineFilter

    from trainer.settings.settings import Settings


class MarkingApp(App[Marked], inherit_bindings=False):
    """One photo to be marked; ends with what was marked, or with None."""

    TITLE = "trainer"
    CSS_PATH = Path(__file__).parent.parent / "app.tcss"
    ENABLE_COMMAND_PALETTE = False
    BINDINGS: ClassVar[list[BindingType]] = [bind("everywhere.leave", "leave")]

    def __init__(
        self, path: Path, *, settings: Settings, no_color: bool = False
    ) -> None:
        super().__init__()
        self._path = path
        self.settings = settings
        self._cells = cells_of_this_terminal()
        for each in theme.THEMES:
            self.register_theme(each)
        wanted = theme.theme_name(settings.theme, no_color=no_color)
        self.set_reactive(MarkingApp.theme, wanted)
        self.stylesheet.set_variables(self.get_css_variables())

    def get_line_filters(self) -> Sequence[LineFilter]:
        """Put the terminal's own characters last of what changes a drawn line."""
        return [*super().get_line_filters(), *self._cells]

    def get_theme_variable_defaults(self) -> dict[str, str]:
        """Return our own variables, which the style sheet is read with."""
        return dict(theme.THEMES[0].variables)

    def on_mount(self) -> None:
        try:
            self.set_keymap(check_remaps(self.settings.keys))
        except ConfigError as error:
            self.notify(str(error), markup=False, severity="warning", timeout=15)
        self.push_screen(MarkingScreen(self._path), self.exit)

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Return nothing: there is one thing to do here."""
        return ()

    def action_help(self) -> None:
        """Show the keys that are live."""
        from trainer.tui.screens.help import HelpScreen, live_keys

        if not isinstance(self.screen, HelpScreen):
            self.push_screen(
                HelpScreen(live_keys(self.screen.active_bindings), "Angle check")
            )

    def action_leave(self) -> None:
        """Leave with nothing kept."""
        self.exit(None)


def mark_photo(path: Path, *, settings: Settings, mouse: bool = True) -> Marked | None:
    """Open the marking screen on PATH; None: it was left.

    Raises:
        TrainerError: it can't be looked at as a photo; nothing was drawn yet.
    """
    from trainer.photo.reading import OpenPhoto

    OpenPhoto(path)
    no_color = theme.settle_no_color()
    return MarkingApp(path, settings=settings, no_color=no_color).run(mouse=mouse)
