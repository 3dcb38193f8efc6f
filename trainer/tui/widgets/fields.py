"""Lines that can be changed: a label, a value, and what the value means.

One widget serves every screen on which something is set: up and down mark a line,
left and right change it, digits are typed straight in, enter belongs to the screen.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import ClassVar

from textual import events
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.geometry import Size
from textual.message import Message
from textual.widget import Widget

from trainer.core import words
from trainer.tui.keymap import bind
from trainer.tui.widgets.sheet import styled

USUAL_DAYS = ("1 4", "2 5", "1 3 5", "2 4 6", "1 2 4 5")
"""Rows of weekdays that the arrows go through (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Field:
    """One line.

    With ``choices`` the value is one of them; with ``step`` it is a number between
    ``low`` and ``high``; with neither it is only read.
    """

    key: str
    label: str
    value: str
    """As it is stored: one of the choices, or a number written plainly, or empty."""
    choices: tuple[tuple[str, str], ...] = ()
    """(stored, shown)."""
    step: float | None = None
    low: float = 0.0
    high: float = 300.0
    days: bool = False
    """The value is a row of ISO weekdays, ``1 3 5``; digits put one in or out."""
    unit: str = ""
    text: bool = False
    """The value is a line of text, written on a slip of its own."""
    heading: bool = False
    """Not a value but what the lines below belong to; it is never marked."""
    optional: bool = False
    """A number that may be empty: backspace empties it."""
    first: float | None = None
    """Where an empty number is counted from when it is first changed."""
    hint: str = ""
    warning: str = ""
    """What has to be seen before the screen goes on; drawn right below a question."""
    empty: str = "–"
    """What an empty value is called."""

    @property
    def shown(self) -> str:
        """Give the value in words."""
        for stored, spoken in self.choices:
            if stored == self.value:
                return spoken
        if self.value == "":
            return self.empty
        if self.days:
            return words.days(int(day) for day in self.value.split())
        return f"{self.value} {self.unit}".rstrip()

    @property
    def number(self) -> float | None:
        """Give the value as a number; None when it is empty."""
        return float(self.value) if self.value else None

    def moved(self, by: int) -> Field:
        """Give the field with its next or previous value."""
        if self.days:
            return self._other_days(by)
        if self.choices:
            stored = [each for each, _ in self.choices]
            at = stored.index(self.value) if self.value in stored else -1
            place = max(0, min(len(stored) - 1, at + by))
            return replace(self, value=stored[place])
        if self.step is not None:
            now = self.number
            if now is None and self.first is not None:
                return self.with_number(self.first + min(by, 0) * self.step)
            base = (self.low - by * self.step) if now is None else now
            return self.with_number(base + by * self.step)
        return self

    def with_day_turned(self, day: str) -> Field:
        """Give the field with that weekday put in, or taken out."""
        kept = set(self.value.split()) ^ {day}
        return replace(self, value=" ".join(sorted(kept)))

    def _other_days(self, by: int) -> Field:
        at = USUAL_DAYS.index(self.value) if self.value in USUAL_DAYS else -1
        place = max(0, min(len(USUAL_DAYS) - 1, at + by))
        return replace(self, value=USUAL_DAYS[place])

    @property
    def settable(self) -> bool:
        """Whether the value can be changed here."""
        return bool(self.choices) or self.step is not None or self.days

    def with_number(self, value: float) -> Field:
        """Give the field with VALUE, kept within its bounds."""
        kept = max(self.low, min(self.high, value))
        return replace(self, value=f"{round(kept, 1):g}")


MARK = "▸"
WIDE_LINES = 70
"""From this width on a label has the same margin as on a sheet."""
NARROW_LABEL = 11
"""The margin of a sheet in a narrow window."""


class FieldList(Widget, can_focus=True):
    """Fields, one of them marked."""

    BINDINGS: ClassVar[list[BindingType]] = [
        bind("fields.up", "mark(-1)"),
        bind("fields.down", "mark(1)"),
        bind("fields.more", "change(1)"),
        bind("fields.less", "change(-1)"),
        bind("fields.write", "write"),
        Binding("backspace", "rub_out", show=False),
    ]

    @dataclass
    class Changed(Message):
        """A field has another value."""

        fields: FieldList
        key: str
        value: str

        @property
        def control(self) -> FieldList:
            """Say who sent it."""
            return self.fields

    @dataclass
    class Marked(Message):
        """Another field is marked."""

        fields: FieldList
        key: str

        @property
        def control(self) -> FieldList:
            """Say who sent it."""
            return self.fields

    def __init__(
        self,
        fields: Sequence[Field] = (),
        *,
        id: str | None = None,  # noqa: A002 - the framework's own name
        label_width: int = 14,
        answers_width: int = 0,
    ) -> None:
        """With ANSWERS_WIDTH the labels are questions, the values a column beside."""
        super().__init__(id=id)
        self._answers_width = answers_width
        self._fields: list[Field] = []
        self._at = 0
        self._typed = ""
        self._label_width = label_width
        self._tops: list[int] = []
        self.show(fields)

    @property
    def fields(self) -> tuple[Field, ...]:
        """Give the fields as they are now."""
        return tuple(self._fields)

    @property
    def marked(self) -> Field | None:
        """Give the field that is marked."""
        return self._fields[self._at] if self._fields else None

    def values(self) -> dict[str, str]:
        """Give every field's value by its key."""
        return {field.key: field.value for field in self._fields}

    def show(self, fields: Sequence[Field]) -> None:
        """Put other fields in place, the mark where it was."""
        key = self.marked.key if self.marked else ""
        self._fields = list(fields)
        keys = [field.key for field in fields]
        at = keys.index(key) if key in keys else min(self._at, len(fields) - 1)
        self._at = max(0, at)
        if self._fields and self._fields[self._at].heading:
            self._at = min(self._at + 1, len(self._fields) - 1)
        self._typed = ""
        self.refresh(layout=True)

    def mark(self, key: str) -> None:
        """Mark the field of that KEY, if there is one."""
        keys = [field.key for field in self._fields]
        if key in keys:
            self.action_mark(keys.index(key) - self._at)

    def get_content_height(self, container: Size, viewport: Size, width: int) -> int:
        return max(1, self._draw(width).plain.count("\n") + 1)

    def render(self) -> Content:
        return self._draw(self.size.width)

    def _draw(self, width: int) -> Content:
        label_width = self._label_width if width >= WIDE_LINES else NARROW_LABEL
        room = max(10, width - label_width - 3)
        drawn: list[Content] = []
        self._tops = []
        for n, field in enumerate(self._fields):
            if field.heading and drawn:
                drawn.append(Content(""))
            self._tops.append(len(drawn))
            drawn.extend(self._line(field, n == self._at, label_width, room))
        return Content("\n").join(drawn)

    def _line(
        self, field: Field, marked: bool, label_width: int, room: int
    ) -> list[Content]:
        if field.heading:
            indent = Content(" " * (label_width + 3))
            return [indent + row for row in styled(field.value, "bold").wrap(room)]
        if self._answers_width:
            return self._question(field, marked, label_width + room + 3)
        here = marked and self.has_focus
        value = f"{self._typed}▏" if here and self._typed else field.shown
        text = styled(value, "bold reverse" if here else "")
        if here and field.settable and not self._typed:
            text = Content.assemble("‹", text, "›")
        if field.hint:
            text = Content.assemble(text, "   ", styled(field.hint, "$text-muted"))
        label = styled(field.label, "bold" if here else "$text-muted")
        pad = " " * max(0, label_width - label.cell_length)
        mark = f" {MARK} " if marked else "   "
        folded = text.wrap(room) if text.cell_length > room else [text]
        rows = [Content.assemble(pad, label, (mark, "bold"), folded[0])]
        rows += [Content(" " * (label_width + 3)) + more for more in folded[1:]]
        return rows

    def _question(self, field: Field, marked: bool, width: int) -> list[Content]:
        """Draw a question and its answer, which stays where it is when marked."""
        here = marked and self.has_focus
        left_width = max(20, width - self._answers_width - 5)
        asked = styled(field.label, "bold" if here else "").wrap(left_width)
        if field.hint:
            asked = [*asked, *styled(field.hint, "$text-muted").wrap(left_width)]
        if field.warning:
            warning = styled(field.warning, "bold $text-warning")
            asked = [*asked, *warning.wrap(left_width)]
        answer_width = self._answers_width - 2
        answers = styled(field.shown, "bold reverse" if here else "").wrap(answer_width)
        rows = []
        for n in range(max(len(asked), len(answers))):
            left = asked[n] if n < len(asked) else Content("")
            right = answers[n] if n < len(answers) else Content("")
            before, after = ("‹", "›") if here and n == 0 else (" ", "")
            pad = " " * (left_width - left.cell_length)
            mark = f" {MARK} " if marked and n == 0 else "   "
            rows.append(Content.assemble((mark, "bold"), left, pad, "  ", before))
            rows[-1] = Content.assemble(rows[-1], right, after)
        return rows

    def action_mark(self, by: int) -> None:
        """Mark the line above or below; what was typed is taken."""
        self.commit()
        if not self._fields:
            return
        at = max(0, min(len(self._fields) - 1, self._at + by))
        if self._fields[at].heading:
            at = max(0, min(len(self._fields) - 1, at + (1 if by > 0 else -1)))
        self._at = at
        self.refresh()
        self.refresh_bindings()
        self.call_after_refresh(self._keep_in_view)
        self.post_message(self.Marked(self, self._fields[self._at].key))

    def _keep_in_view(self) -> None:
        """Turn the page so far that the marked field is on it whole, no further."""
        page = next((a for a in self.ancestors if isinstance(a, VerticalScroll)), None)
        if page is None or self._at >= len(self._tops):
            return
        ends = [*self._tops[1:], self.size.height]
        above = self.region.y + self._tops[self._at] - page.region.y
        below = self.region.y + ends[self._at] - (page.region.bottom - 1)
        below = min(below, above)  # a field taller than the page begins on it
        if above < 0 or below > 0:
            page.scroll_relative(y=above if above < 0 else below, animate=False)

    def action_change(self, by: int) -> None:
        """Give the marked line its next value."""
        if self._typed:
            self.commit()
        if self.marked is not None:
            self._put(self.marked.moved(by))

    def action_rub_out(self) -> None:
        """Take back the last digit, or empty a number."""
        if self._typed:
            self._typed = self._typed[:-1]
            self.refresh()
        elif self.marked is not None and self.marked.optional:
            self._put(replace(self.marked, value=""))

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:
        """Offer writing only on a line of text."""
        if action == "write":
            return self.marked is not None and self.marked.text
        return super().check_action(action, parameters)

    def action_write(self) -> None:
        """Write the marked line of text on a slip."""
        field = self.marked
        if field is None:
            return

        def written(text: str | None) -> None:
            if text is not None:
                self._put(replace(field, value=text))

        from trainer.tui.widgets.slip import LineSlip

        self.app.push_screen(LineSlip(field.label, field.value), written)

    def commit(self) -> None:
        """Take the number that was typed."""
        typed, self._typed = self._typed, ""
        if not typed or self.marked is None:
            return
        try:
            number = float(typed)
        except ValueError:
            self.app.notify(f"{typed} is not a number.", markup=False)
        else:
            self._put(self.marked.with_number(number))
        self.refresh(layout=True)

    def _put(self, field: Field) -> None:
        if field == self._fields[self._at]:
            return
        self._fields[self._at] = field
        self.refresh(layout=True)
        self.post_message(self.Changed(self, field.key, field.value))

    def on_key(self, event: events.Key) -> None:
        """Type digits straight into a number."""
        field = self.marked
        if field is None or event.character is None:
            return
        if field.days and event.character in "1234567":
            self._put(field.with_day_turned(event.character))
            event.stop()
            return
        if field.step is None:
            return
        if event.character in "0123456789." and len(self._typed) < 6:
            self._typed += event.character
            event.stop()
            event.prevent_default()
            self.refresh()

    def on_click(self, event: events.Click) -> None:
        """Mark the line clicked; a second click gives its next value."""
        y = event.get_content_offset_capture(self).y
        at = max((n for n, top in enumerate(self._tops) if top <= y), default=0)
        if not self._fields or self._fields[at].heading:
            return
        if at == self._at:
            self.action_change(1)
        else:
            self.action_mark(at - self._at)

    def on_focus(self) -> None:
        self.refresh()

    def on_blur(self) -> None:
        self.commit()
        self.refresh()
