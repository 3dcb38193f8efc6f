"""A slip: a small paper laid over the page, to answer one thing."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar, Generic, TypeVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.screen import ModalScreen
from textual.widget import Widget
from textual.widgets import Input, OptionList, Static
from textual.widgets.option_list import Option

from trainer.core.text import clean
from trainer.tui.keymap import bind
from trainer.tui.widgets.keyline import KeyLine
from trainer.tui.widgets.paper import Paper
from trainer.tui.widgets.sheet import plain

Result = TypeVar("Result")


class Slip(Paper[Result], ModalScreen[Result], Generic[Result]):
    """One question on its own paper: give ``question`` and ``body``."""

    BINDINGS: ClassVar[list[BindingType]] = [bind("everywhere.back", "back")]

    def needs_seeing(self, key_id: str) -> bool:
        """Take no key for an answer before the question is seen."""
        return key_id != "everywhere.back"

    def question(self) -> str:
        """Say what is asked."""
        return ""

    def body(self) -> Iterator[Widget]:
        """Give what answers it."""
        yield from ()

    def compose(self) -> ComposeResult:
        with VerticalScroll(id="slip", can_focus=False):
            yield Static(plain(self.question()), id="slip-title")
            yield from self.body()
            yield KeyLine()

    def action_back(self) -> None:
        """Leave without an answer."""
        self.dismiss(None)


class Choices(OptionList):
    """A list to choose from, with its key in the line at the foot."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter,space", "select", "Choose", show=True),
    ]


class Line(Input):
    """A line to type on, with its key in the line at the foot."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("enter", "submit", "Keep", show=True),
    ]


class ChoiceSlip(Slip[str | None]):
    """Choose one of several; gives its id."""

    def __init__(self, question: str, choices: list[tuple[str, str]]) -> None:
        super().__init__()
        self._question = question
        self._choices = choices

    def question(self) -> str:
        """Say what is asked."""
        return self._question

    def body(self) -> Iterator[Widget]:
        """Give the choices."""
        yield Choices(
            *(Option(plain(text), id=key) for key, text in self._choices),
            markup=False,
        )

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Give what was chosen."""
        self.dismiss(event.option_id)


class LineSlip(Slip[str | None]):
    """Type one line; gives it cleaned."""

    def __init__(self, question: str, value: str = "", *, limit: int = 200) -> None:
        super().__init__()
        self._question = question
        self._value = value
        self._limit = limit

    def question(self) -> str:
        """Say what is asked."""
        return self._question

    def body(self) -> Iterator[Widget]:
        """Give the line to type on."""
        line = Line(self._value, max_length=self._limit)
        line.cursor_blink = False
        yield line

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Give what was typed."""
        self.dismiss(clean(event.value, limit=self._limit))
