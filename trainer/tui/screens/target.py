"""Set another target, as the person or as the coach."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import BindingType
from textual.widget import Widget

from trainer.core.model import LONGEST_HOLD_S, Author
from trainer.core.weeks import IsoWeek
from trainer.tui.keymap import bind
from trainer.tui.widgets.field import Field
from trainer.tui.widgets.fields import FieldList
from trainer.tui.widgets.slip import Slip


class TargetSlip(Slip[tuple[float, Author] | None]):
    """Another target, and who sets it."""

    BINDINGS: ClassVar[list[BindingType]] = [bind("correct.keep", "keep")]

    def __init__(self, name: str, target_s: float, week: IsoWeek) -> None:
        super().__init__()
        self._week = week
        self._exercise_name = name
        self._target_s = target_s

    def question(self) -> str:
        """Say what is set."""
        return f"Another target for {self._exercise_name}, from {self._week} on"

    def body(self) -> Iterator[Widget]:
        """Give the target and its author."""
        yield FieldList(
            [
                Field(
                    key="target",
                    label="Target",
                    value=f"{self._target_s:g}",
                    step=1,
                    low=1,
                    high=LONGEST_HOLD_S,
                    unit="s",
                ),
                Field(
                    key="author",
                    label="Set by",
                    value=Author.PERSON.value,
                    choices=(
                        (Author.PERSON.value, "me"),
                        (Author.COACH.value, "the coach"),
                    ),
                ),
            ],
            label_width=10,
        )

    def on_mount(self) -> None:
        """Put the mark on the target."""
        self.query_one(FieldList).focus(scroll_visible=False)

    def action_keep(self) -> None:
        """Give the target."""
        fields = self.query_one(FieldList)
        fields.commit()
        values = fields.values()
        self.dismiss((float(values["target"]), Author(values["author"])))
