"""What would have changed the answer: acted out on a copy before it is said.

A rule doesn't say what another log would have led to, it makes that log; the decision
asks the rules again and puts what they answer into the sentence. So no sentence of this
kind can promise what the rules don't keep. Where several copies of one thing don't
agree, the sentence says *perhaps*.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timezone

from trainer.core import words
from trainer.core.model import (
    EndedBy,
    Feet,
    History,
    Hold,
    PlannedSet,
    Session,
    SessionKind,
)
from trainer.core.next_week.days import Day
from trainer.core.plan.plan import Plan
from trainer.core.weeks import IsoWeek


@dataclass(frozen=True, slots=True)
class Copy:
    """A question that is asked again, with something other than it was."""

    history: History
    plan: Plan
    today: date
    week: IsoWeek


@dataclass(frozen=True, slots=True)
class Answer:
    """What the rules answer, as far as a sentence says it."""

    name: str
    """The exercise's name."""
    target_s: float | None
    """None: rest."""
    sets: int
    another: bool = False
    """It is another exercise than the one asked for."""
    on_offer: bool = False
    """It is asked, not taken."""

    def said(self, usual_sets: int) -> str:
        """Say it as the end of ``it would be …``."""
        if self.target_s is None:
            return "a rest"
        if self.on_offer:
            return f"{self.name}, on offer"
        at = words.seconds(self.target_s)
        if self.another:
            return f"{self.name} at {at}"
        if self.sets != usual_sets:
            return f"{at} in {words.count(self.sets, 'set')}"
        return at


@dataclass(frozen=True, slots=True, kw_only=True)
class Otherwise:
    """One thing that would have changed the answer."""

    begins: str
    """How its sentence begins: ``Without the rest week``."""
    copies: tuple[Copy, ...]
    """The ways in which it could come about, each to be acted out; none: it depends."""
    hoped: Answer | None = None
    """What is likely to come of it; said with *perhaps* where a copy answers else."""

    def sentence(
        self, answers: Sequence[Answer | None], now: Answer, *, usual_sets: int
    ) -> str | None:
        """Return the sentence for what the copies answered; None: nothing changes.

        Args:
            answers: one for each copy.
            now: the answer as it is.
            usual_sets: how many sets need no saying.
        """
        first = answers[0] if answers else None
        agreed = all(each == first for each in answers)
        if agreed and first is not None and first != now:
            return f"{self.begins}, it would be {first.said(usual_sets)}."
        if self.hoped is not None and self.hoped != now:
            return f"{self.begins}, it would perhaps be {self.hoped.said(usual_sets)}."
        return None

    def unchanged(self, now: Answer, *, usual_sets: int) -> str:
        """Return the sentence where the answer would be the same."""
        return f"{self.begins}, it would still be {now.said(usual_sets)}."


Edit = Callable[[Hold], Hold]


def with_holds(history: History, holds: Iterable[Hold], edit: Edit) -> History:
    """Return a copy of the log in which HOLDS are other than they were."""
    uids = {hold.uid for hold in holds}
    return replace(
        history,
        sessions=tuple(
            replace(
                session,
                holds=tuple(edit(h) if h.uid in uids else h for h in session.holds),
            )
            if any(hold.uid in uids for hold in session.holds)
            else session
            for session in history.sessions
        ),
    )


def without_pain(
    history: History, exercise: str | None = None, on: date | None = None
) -> History:
    """Return a copy of the log without pain: anywhere, or of one exercise on a day."""
    hurt = [
        hold
        for session in history.sessions
        if on is None or session.local_date == on
        for hold in session.holds
        if hold.pain and exercise in (None, hold.exercise)
    ]
    return with_holds(history, hurt, lambda hold: replace(hold, pain=()))


def kept_for(hold: Hold, kept_s: float) -> Hold:
    """Return HOLD, kept for so long at least."""
    kept_s = max(hold.kept_or_held_s, kept_s)
    return replace(hold, held_s=max(hold.held_s, kept_s), kept_s=kept_s)


def rated_at_most(history: History, days: Iterable[Day], rpe: float) -> History:
    """Return a copy of the log with no RPE over that on DAYS."""
    harder = [
        hold
        for day in days
        for hold in day.holds
        if hold.rpe is not None and hold.rpe > rpe
    ]
    return with_holds(history, harder, lambda hold: replace(hold, rpe=rpe))


@dataclass(frozen=True, slots=True, kw_only=True)
class Made:
    """A session in which every set is kept, as it may come."""

    exercise: str
    target_s: float
    sets: int
    rpe: float
    feet: Feet | None = None

    def session(self, on: date) -> Session:
        """Return it, done on that day."""
        at = datetime.combine(on, time(12), timezone.utc)
        numbers = range(1, self.sets + 1)
        return Session(
            uid=f"otherwise-{on}",
            kind=SessionKind.PLAN,
            started_at=at,
            utc_offset_min=0,
            local_date=on,
            planned=tuple(
                PlannedSet(self.exercise, number, self.target_s, 0)
                for number in numbers
            ),
            holds=tuple(
                Hold(
                    uid=f"otherwise-{on}-{number}",
                    exercise=self.exercise,
                    set_number=number,
                    held_s=self.target_s,
                    kept_s=self.target_s,
                    target_s=self.target_s,
                    ended_by=EndedBy.TARGET,
                    started_at=at,
                    confirmed=True,
                    rpe=self.rpe,
                    feet=self.feet,
                )
                for number in numbers
            ),
        )


def with_sessions(history: History, made: Made, days: Iterable[date]) -> History:
    """Return a copy of the log with sessions like MADE on DAYS after all the others."""
    more = (made.session(on) for on in days)
    return replace(history, sessions=(*history.sessions, *more))
