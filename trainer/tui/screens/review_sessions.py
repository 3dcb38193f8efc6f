"""Sessions: the list of a period's sessions; one opened shows its holds to correct."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget
from textual.widgets import Static

from trainer.core.model import Session, SessionKind
from trainer.core.review import Review
from trainer.tui import words
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.screens.summary import SummaryScreen, outcome
from trainer.tui.widgets.field import Field
from trainer.tui.widgets.fields import FieldList
from trainer.tui.widgets.sheet import plain

KIND_WORDS = {
    SessionKind.PLAN: "",
    SessionKind.ONE_OFF: " (not from the plan)",
    SessionKind.TEST: " (test)",
    SessionKind.ADDED: " (added by hand)",
}
"""What is said beside a session that the plan didn't ask for."""


class SessionsScreen(Page[None]):
    """The sessions of the period, newest first."""

    HEADING = "Sessions"
    BINDINGS: ClassVar[list[BindingType]] = [bind("sessions.open", "open")]

    def __init__(self, found: Review) -> None:
        super().__init__()
        self._found = found

    def corner(self) -> str:
        """Say which weeks they are of."""
        return f"{self._found.first} to {self._found.last}"

    def body(self) -> Iterator[Widget]:
        """Give one line for each session."""
        if not self._found.sessions:
            yield Static(plain("No session in these weeks."))
        yield FieldList(
            [
                Field(
                    key=session.uid,
                    label=f"{words.short_date(session.local_date)}",
                    value=_line(session),
                )
                for session in reversed(self._found.sessions)
            ]
        )

    def on_mount(self) -> None:
        """Put the mark on the newest."""
        self.query_one(FieldList).focus(scroll_visible=False)

    def on_screen_resume(self) -> None:
        """Say what stands in the log now: a hold may have been corrected."""
        fields = self.query_one(FieldList)
        marked = fields.marked
        if marked is None:
            return
        session = self.trainer.store.session(marked.key)
        if session is not None:
            fields.show(
                [
                    Field(key=one.key, label=one.label, value=_line(session))
                    if one.key == marked.key
                    else one
                    for one in fields.fields
                ]
            )

    def action_open(self) -> None:
        """Open the marked session's holds."""
        marked = self.query_one(FieldList).marked
        if marked is not None:
            self.app.push_screen(SummaryScreen(marked.key))


def _line(session: Session) -> str:
    kind = KIND_WORDS[session.kind]
    note = f" “{session.note}”" if session.note else ""
    return f"{outcome(session)}{kind}{note}"
