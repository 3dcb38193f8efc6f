"""One exercise in one week, as the rules see it, and what a rule answers."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date, timedelta
from functools import cached_property

from trainer.core import safety, words
from trainer.core.capacity.filter import Belief, estimate, looks_back_to
from trainer.core.capacity.rpe import evidence_of
from trainer.core.exercises import Exercise
from trainer.core.model import Author, History, TargetSet
from trainer.core.next_week.days import (
    Day,
    Known,
    days_of,
    entry_or_default,
    last_running,
    own_target,
    run_at,
    target_in_force,
    trained,
    ups,
)
from trainer.core.next_week.ladder import Slot
from trainer.core.next_week.otherwise import Copy, Otherwise
from trainer.core.next_week.suggestion import Change, Rule
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek

UP_REST_DAYS = 6
"""The last ``up`` lies at least so many days before the week's first session."""


LARGE_STEP = 0.15
"""A step of more than this share of the target is halved where RPE was over 7. The
published progressions are 2 to 10 % (ACSM 2009; NSCA 2.5 to 10 %)."""


def is_large_step(step_s: float, target_s: float) -> bool:
    """Tell whether a step is so large for its target that it is halved after RPE 7."""
    return step_s > LARGE_STEP * target_s + 1e-9


def half_step_s(step_s: float) -> float:
    """Give half a step in whole seconds, rounded down (2 s of 5 s), if there is one."""
    half_s = step_s / 2
    return float(math.floor(half_s)) if half_s >= 1 else round(half_s, 1)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """What a rule answers."""

    rule: Rule
    target_s: float | None
    """None: rest."""
    sets: int
    reasons: tuple[str, ...]
    would_change: tuple[str | Otherwise, ...]
    """What would have changed it: a sentence, or what has to be acted out to be one."""
    change: Change | None = None
    """None: it follows from the figures."""
    exercise: str = ""
    """Another rung; empty for the same exercise."""
    first_set_only: bool = False
    find_out_limit_s: float | None = None
    ways_on: tuple[str, ...] = ()
    """Sentences that offer a choice; none is offered while pain holds the target."""


@dataclass(frozen=True, kw_only=True)
class Case:
    """All that the rules look at for one exercise in one week."""

    history: History
    plan: Plan
    slot: Slot
    today: date
    week: IsoWeek
    answers: Mapping[str, str]
    standing: frozenset[str] = frozenset()
    """Every exercise that is asked for, this one among them."""
    ahead: bool = False
    """TODAY is yet to come: the eve of a week after the coming one."""
    like: Case | None = None
    """The case that this one is a copy of, with another log or on another day."""

    @property
    def entry(self) -> PlanExercise:
        """The plan's line for the exercise that stands there now."""
        return self.slot.entry

    @cached_property
    def exercise(self) -> Exercise:
        """The exercise itself."""
        return self.plan.exercise(self.entry.exercise)

    @property
    def name(self) -> str:
        """What the exercise is called inside a sentence."""
        return self.name_of(self.entry.exercise)

    @cached_property
    def days(self) -> tuple[Day, ...]:
        """Every day on which it was trained or hurt, oldest first."""
        return days_of(
            self.history,
            self.plan,
            self.entry.exercise,
            sets=self.entry.sets,
            known=self._known_days,
        )

    @property
    def _known_days(self) -> Known | None:
        like = self.like
        if like is None or like._days_rest_on != self._days_rest_on:
            return None
        return Known(like.history.sessions, like.days)

    @property
    def _days_rest_on(self) -> tuple[object, ...]:
        """What its days rest on beside the sessions."""
        usual = entry_or_default(self.plan, self.entry.exercise)
        entry = self.entry
        return entry.exercise, entry.sets, usual.start_s, self.history.targets

    @cached_property
    def trained(self) -> tuple[Day, ...]:
        """The days that count."""
        return trained(self.days)

    @cached_property
    def current_s(self) -> float:
        """The target in force."""
        usual = entry_or_default(self.plan, self.entry.exercise)
        return target_in_force(
            self.history,
            self.plan,
            self.entry.exercise,
            week=self.week,
            # On trial it stands there with other sets than the plan's.
            days=self.trained if self.entry.sets == usual.sets else None,
        )

    @cached_property
    def run(self) -> tuple[Day, ...]:
        """The latest days at the target in force."""
        return run_at(self.days, self.current_s)

    @cached_property
    def pair(self) -> tuple[Day, ...]:
        """The last two running, or nothing."""
        return last_running(self.run, 2)

    @cached_property
    def ups(self) -> tuple[date, ...]:
        """The dates on which the target rose."""
        return ups(self.history, self.entry.exercise, self.days, self.week)

    @property
    def own(self) -> TargetSet | None:
        """The target in force, if a person or a coach set it."""
        return own_target(self.history, self.entry.exercise, self.week)

    @property
    def trained_this_week(self) -> bool:
        """Whether it was already trained in the week that is asked for."""
        monday, sunday = self.week.monday, self.week.sunday
        return any(monday <= day.date <= sunday for day in self.trained)

    def name_of(self, exercise_id: str) -> str:
        """Say what an exercise is called inside a sentence."""
        if exercise_id in self.plan.known_ids():
            return self.plan.exercise(exercise_id).said_name
        return exercise_id

    @property
    def asked_about(self) -> date:
        """The day that is asked about: in a week to come, its first one of training."""
        return self.first_day if self.today < self.week.monday else self.today

    @property
    def days_away(self) -> int:
        """Days from its last session to the day asked about; 0 if there was none."""
        if not self.trained:
            return 0
        return (self.asked_about - self.trained[-1].date).days

    @property
    def first_day(self) -> date:
        """The week's first day of training that isn't past."""
        days = [
            self.week.monday + timedelta(days=weekday - 1) for weekday in self.plan.days
        ]
        ahead = [day for day in days if day >= self.today]
        return min(ahead, default=max(self.week.monday, self.today))

    @property
    def top(self) -> str | None:
        """The hardest rung that may be offered; None off the ladders."""
        family = self.exercise.family
        if family is None:
            return None
        return safety.top(family, self.answers, on=self.first_day, plan=self.plan.top)

    @property
    def ever_held(self) -> bool:
        """Whether any hold of it counts, in whatever session."""
        return any(
            hold.exercise == self.entry.exercise and hold.counts
            for session in self.history.sessions
            for hold in session.holds
        )

    @cached_property
    def belief(self) -> Belief | None:
        """What is believed of the capacity on the week's first day of training."""
        on = self.first_day
        since = looks_back_to(on)
        evidence = evidence_of(self.history, self.entry.exercise, since=since)
        return estimate(evidence, on)

    def planned_already(self, exercise: str) -> bool:
        """Tell whether EXERCISE is asked for anyway, by another line of the plan."""
        if exercise in self.standing:
            return True
        return (
            exercise != self.slot.planned.exercise
            and self.plan.entry(exercise) is not None
        )

    def copy(
        self,
        *,
        history: History | None = None,
        plan: Plan | None = None,
        week: IsoWeek | None = None,
        today: date | None = None,
    ) -> Copy:
        """Return the question of this case again, with something other than it is."""
        return Copy(
            history=history or self.history,
            plan=plan or self.plan,
            today=today or self.today,
            week=week or self.week,
        )

    def same(
        self,
        rule: Rule,
        reasons: tuple[str, ...],
        would_change: tuple[str | Otherwise, ...],
        *,
        sets: int | None = None,
    ) -> Outcome:
        """Answer with the target in force."""
        return Outcome(
            rule=rule,
            target_s=self.current_s,
            sets=self.entry.sets if sets is None else sets,
            reasons=reasons,
            would_change=would_change,
        )

    def whose(self) -> tuple[str, ...]:
        """Say whose the target in force is, if a person or a coach set it."""
        return () if self.own is None else (whose_target(self.own),)


def whose_target(own: TargetSet) -> str:
    """Say who set a target, and when."""
    who = "your coach" if own.author is Author.COACH else "you"
    return (
        f"The target of {words.seconds(own.target_s)} is one that {who} set on"
        f" {words.day(own.local_date)}."
    )
