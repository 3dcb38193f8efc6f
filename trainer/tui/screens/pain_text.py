"""What the pages say first after pain, until a session without it: pure."""

from __future__ import annotations

from collections.abc import Collection
from dataclasses import dataclass
from datetime import date

from trainer.core.exercises import Exercise
from trainer.core.model import History, Hold, Pain, PainKind
from trainer.tui import words

KIND_WORDS = {
    PainKind.PAIN: "Pain",
    PainKind.NUMB: "Numbness",
    PainKind.DIZZY: "Dizziness",
}


@dataclass(frozen=True, slots=True)
class Unsettled:
    """A sign of pain that no session without pain has followed yet."""

    sign: Pain
    on: date

    def sentence(self) -> str:
        """Say what it was, when and where, and what to do about it."""
        at = f" ({self.sign.site})" if self.sign.site is not None else ""
        whole_body = self.sign.kind is PainKind.DIZZY
        hold_off = "Don't train" if whole_body else "Don't load it"
        return (
            f"{KIND_WORDS[self.sign.kind]} on {words.short_date(self.on)}{at}."
            f" {hold_off} before it is gone; where it stays or comes back, see a"
            " clinician."
        )

    def loaded_by(self, exercise: Exercise) -> bool:
        """Tell whether EXERCISE loads the place; with no place noted it may."""
        return self.sign.site is None or self.sign.site in exercise.loads


def unsettled(history: History, planned: Collection[str]) -> tuple[Unsettled, ...]:
    """Give the pain that still stands, newest first, each sign once.

    It stands until a later day on which the exercise that hurt was held without pain;
    for an exercise that is no longer PLANNED, until any later day without pain.
    """
    found: dict[Pain, Unsettled] = {}
    settled: set[str] = set()
    for day, holds in _days_newest_first(history):
        hurt = {hold.exercise for hold in holds if hold.pain}
        for hold in holds:
            out_of_the_plan = hold.exercise not in planned and "" in settled
            if hold.exercise in settled or out_of_the_plan:
                continue
            for sign in hold.pain:
                found.setdefault(sign, Unsettled(sign, day))
        settled |= {hold.exercise for hold in holds} - hurt
        if not hurt and holds:
            settled.add("")
    return tuple(found.values())


def _days_newest_first(history: History) -> list[tuple[date, list[Hold]]]:
    by_day: dict[date, list[Hold]] = {}
    for session in history.sessions:
        by_day.setdefault(session.local_date, []).extend(session.holds)
    return sorted(by_day.items(), key=lambda each: each[0], reverse=True)
