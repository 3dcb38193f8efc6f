"""One line that can be changed: its value, its bounds, its words. Pure."""

from __future__ import annotations

from dataclasses import dataclass, replace

from trainer.tui import words

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
