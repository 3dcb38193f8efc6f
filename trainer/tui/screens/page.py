"""What every page of ours has: a heading with a rule, the sheet, the keys.

A window under 60×20 is told so in place of the page, and the page waits.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Iterator, Sequence
from textwrap import shorten
from typing import ClassVar, Generic, TypeVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Horizontal, VerticalScroll
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.answers import MADE_UP_SHORT
from trainer.errors import TrainerError
from trainer.tui.keymap import bind
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.paper import Paper
from trainer.tui.widgets.sheet import plain

NAME_WIDTH = 24
"""Columns of the trainee's name in a heading (our choice)."""
SMALLEST_COLUMNS = 60
SMALLEST_ROWS = 20
"""Below this a page can't be laid out."""
NORMAL_COLUMNS = 80
"""Below this the margins are left out."""
BROAD_COLUMNS = 100
"""From here on short lines leave room for something beside them."""
WIDE_COLUMNS = 140
"""From here on a page lies open: two columns."""

Result = TypeVar("Result")


def too_small(columns: int, rows: int) -> str:
    """Say that the window is too small, or nothing."""
    if columns >= SMALLEST_COLUMNS and rows >= SMALLEST_ROWS:
        return ""
    return (
        f"This window has {columns} columns and {rows} rows; the trainer needs"
        f" {SMALLEST_COLUMNS} and {SMALLEST_ROWS}. It waits."
    )


READING: list[BindingType] = [
    bind("sheet.up", "line(-1)"),
    bind("sheet.down", "line(1)"),
]
"""Bindings of a page on which nothing is marked: the arrows move the sheet."""


class Page(Paper[Result], Generic[Result]):
    """A page: give ``HEADING`` and ``body``."""

    HEADING = ""
    KEY_PAIRS: ClassVar[Sequence[tuple[Sequence[str], str]]] = ()
    """Keys that belong together, shown first at the foot: (key ids, words)."""
    AUTO_FOCUS = ""  # a page says itself where the mark is, and isn't turned for it
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("everywhere.back", "back"),
        bind("everywhere.help", "app.help"),
        bind("page.down", "scroll(1)"),
        bind("page.up", "scroll(-1)"),
    ]

    def classes_for(self, columns: int, rows: int) -> dict[str, bool]:
        """Give the style classes that a window's size decides, each on or off."""
        return {
            "-narrow": columns < NORMAL_COLUMNS,
            "-normal": NORMAL_COLUMNS <= columns < BROAD_COLUMNS,
            "-broad": BROAD_COLUMNS <= columns < WIDE_COLUMNS,
            "-wide": columns >= WIDE_COLUMNS,
            "-too-small": bool(too_small(columns, rows)),
        }

    def on_compose(self) -> None:
        """Lay the page out for its window from the first.

        Told of the size afterwards, as the framework's breakpoints are, it would all
        be styled a second time, which takes as long as the first.
        """
        self.update_classes(self.classes_for(*self.app.size), update=False)

    def corner(self) -> str:
        """Say what stands at the right of the heading."""
        return ""

    def key_label(self, binding: Binding) -> str:
        """Say in a word or two what a key does at the moment."""
        return binding.description

    def body(self) -> Iterator[Widget]:
        """Give what stands on the page."""
        yield from ()

    def titled(self, heading: str) -> Content:
        """Give a heading, with the file's trainee and whether they are made up."""
        # A screen may also stand in an app of its own, which has no data file.
        name = getattr(self.app, "trainee_name", None) or ""
        whose = (
            shorten(name, NAME_WIDTH, placeholder="..."),
            MADE_UP_SHORT if getattr(self.app, "made_up", False) else None,
        )
        small = ", ".join(filter(None, whose))
        return plain(f"{heading}  ({small})" if small else heading)

    def compose(self) -> ComposeResult:
        with Horizontal(id="heading"):
            yield Static(self.titled(self.HEADING), id="title")
            yield Static(plain(self.corner()), id="corner")
        with VerticalScroll(id="page", can_focus=False):
            yield from self.body()
        yield KeyLine(self.KEY_PAIRS)
        yield Static("", id="too-small")

    def on_resize(self, event: events.Resize) -> None:
        """Say so when the window is too small, and wait."""
        self.update_classes(self.classes_for(*event.size), animate=False)
        words = too_small(*event.size)
        self.query_one("#too-small", Static).update(plain(words))

    @property
    def was_left(self) -> bool:
        """Tell whether the page is gone: what comes too late has nowhere to stand.

        A program that ends takes what stands on its pages away before the pages.
        """
        app = self.app
        stays = app.is_running and self.is_attached and self in app.screen_stack
        return not stays

    def show_when_laid_out(self, show: Callable[[], object]) -> None:
        """Call SHOW once the page has its places, unless it was left by then."""
        self.call_after_refresh(lambda: None if self.was_left else show())

    def action_back(self) -> None:
        """Go back."""
        self.dismiss()

    def action_line(self, lines: int) -> None:
        """Move the sheet by lines."""
        sheet = self.query_one("#page", VerticalScroll)
        sheet.scroll_relative(y=lines, animate=False)

    def action_scroll(self, pages: int) -> None:
        """Turn the sheet by whole pages."""
        sheet = self.query_one("#page", VerticalScroll)
        sheet.scroll_relative(y=pages * max(1, sheet.size.height - 2), animate=False)

    def ask(
        self,
        question: str,
        choices: list[tuple[str, str]],
        answered: Callable[[str | None], None]
        | Callable[[str | None], Awaitable[None]],
    ) -> None:
        """Ask on a slip; CHOICES are (what is given back, what is read)."""
        from trainer.tui.widgets.slip import ChoiceSlip

        self.app.push_screen(ChoiceSlip(question, choices), answered)

    def say(self, words: str) -> None:
        """Say one sentence at the corner of the screen."""
        self.notify(words, markup=False, timeout=6)

    def complain(self, error: TrainerError) -> None:
        """Say what went wrong and what to do next."""
        words = f"{error.message}. {error.hint}." if error.hint else f"{error.message}."
        self.notify(words, markup=False, severity="warning", timeout=12)
