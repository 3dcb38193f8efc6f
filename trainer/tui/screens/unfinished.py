"""An unfinished hold: what a crash or a power cut left, and what to make of it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.core import words
from trainer.core.logbook import UnfinishedHold
from trainer.core.model import LONGEST_HOLD_S
from trainer.errors import TrainerError
from trainer.tui.keymap import bind
from trainer.tui.screens.page import Page
from trainer.tui.widgets.fields import Field, FieldList
from trainer.tui.widgets.sheet import Note, Sheet, note


def unfinished_notes(left: UnfinishedHold, name: str, local_time: str) -> list[Note]:
    """Say what is known of the hold."""
    hold = left.hold
    return [
        note(
            "Found",
            f"The program ended in the middle of a hold: {name}, set"
            f" {hold.set_number}, begun {local_time}.",
            f"The last second that was written down: {words.whole_seconds(hold.held_s)}"
            f" of {words.whole_seconds(hold.target_s)}.",
        ),
        note(
            "Which figure",
            "Keep the last second that was written, or give the seconds that you know"
            " it was, or drop it. Nothing is made up.",
        ),
    ]


class UnfinishedScreen(Page[None]):
    """Keep it as it was journaled, keep it with another figure, or drop it."""

    HEADING = "An unfinished hold"
    BINDINGS: ClassVar[list[BindingType]] = [
        bind("unfinished.keep", "keep"),
        bind("unfinished.drop", "drop"),
    ]
    SEEN_FIRST = ("unfinished.keep", "unfinished.drop")

    def body(self) -> Iterator[Widget]:
        """Say what was found, and offer the figure."""
        self._left = left = self.trainer.store.unfinished()
        if left is None:
            return
        plan = self.trainer.store.plan()
        try:
            name = plan.exercise(left.hold.exercise).name
        except KeyError:
            name = left.hold.exercise
        offset = self.trainer.clock.wall().tzinfo
        began = left.hold.started_at.astimezone(offset)
        today = self.trainer.clock.wall().date()
        local_time = f"{words.relative_day(began.date(), today)} at {began:%H:%M}"
        yield Sheet(unfinished_notes(left, name, local_time))
        yield FieldList(
            [
                Field(
                    key="held",
                    label="Held",
                    value=f"{left.hold.held_s:g}",
                    step=1,
                    high=LONGEST_HOLD_S,
                    unit="s",
                    hint="type another figure if you know it",
                )
            ]
        )

    def on_mount(self) -> None:
        if self._left is None:
            self.dismiss()
        else:
            self.query_one(FieldList).focus(scroll_visible=False)

    def action_keep(self) -> None:
        """Keep the hold with the figure shown."""
        fields = self.query_one(FieldList)
        fields.commit()
        field = fields.marked
        given = field.number if field is not None else None
        journaled = self._left.hold.held_s if self._left else None
        try:
            self.trainer.store.keep_unfinished(None if given == journaled else given)
        except TrainerError as error:
            self.complain(error)
            return
        self.say(f"Kept: {words.whole_seconds(given)} held.")
        self.dismiss()

    def action_drop(self) -> None:
        """Drop the hold."""
        try:
            self.trainer.store.drop_unfinished()
        except TrainerError as error:
            self.complain(error)
            return
        self.say("Dropped: that hold counts for nothing.")
        self.dismiss()

    def action_back(self) -> None:
        """Leave it for the next start."""
        self.dismiss()
