"""What a day asks for: from plan, history and date to a program that can be led."""

from __future__ import annotations

from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, timedelta

from trainer.core.exercises import Exercise, rung_below
from trainer.core.model import (
    EndOfHold,
    History,
    Hold,
    Session,
    SessionKind,
)
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.plan.first_day import TEST_LIMIT_S
from trainer.core.plan.plan import Plan, PlanExercise, default_entry
from trainer.core.safety import Person, person_of
from trainer.core.session.clearance import Asked, ask_gate
from trainer.core.session.program import (
    Block,
    ProgramSet,
    SessionProgram,
    block_sets,
    put_in_order,
    warm_up,
)
from trainer.core.weeks import IsoWeek


@dataclass(frozen=True, slots=True)
class LastTime:
    """What an exercise's latest session was."""

    day: date
    holds: tuple[Hold, ...]

    @property
    def top_rpe(self) -> float | None:
        """The highest RPE that was noted."""
        noted = [hold.rpe for hold in self.holds if hold.rpe is not None]
        return max(noted, default=None)


@dataclass(frozen=True, slots=True)
class Due:
    """One exercise of today, with why."""

    exercise: Exercise
    entry: PlanExercise
    suggestion: Suggestion
    last: LastTime | None
    declined: bool = False

    @property
    def target_s(self) -> float | None:
        """What will be led: the suggestion, or what was in force if declined."""
        if not self.declined:
            return self.suggestion.target_s
        return self.suggestion.current_s


@dataclass(frozen=True, slots=True)
class TodayView:
    """All that the Today screen shows."""

    today: date
    week: IsoWeek
    plan: Plan
    training_day: bool
    next_day: date | None
    """The next training day after today; None if the plan has no days."""
    done_today: tuple[Session, ...]
    due: tuple[Due, ...]
    program: SessionProgram | None
    """None where nothing is to be led: a rest week, an empty plan."""
    person: Person
    """What the gate knows of the person today."""

    def ask_gate(self, program: SessionProgram) -> Asked:
        """Ask the gate about a program that this person is to be led through today."""
        return ask_gate(program, self.person, on=self.today)


def today_view(
    plan: Plan,
    history: History,
    *,
    today: date,
    answers: Mapping[str, str],
    declined: Collection[str] = (),
    accepted: Collection[str] = (),
) -> TodayView:
    """Work out what today asks for.

    Args:
        plan: the plan in force.
        history: all that was done.
        today: the local date.
        answers: what the person answered once.
        declined: exercises whose suggestion the person doesn't want.
        accepted: exercises for which a ``move-on`` was said yes to.
    """
    week = IsoWeek.of(today)
    suggestions = next_week(
        history, plan, today=today, week=week, answers=answers, otherwise=False
    )
    due = tuple(
        _due(one, plan, history, declined=_declined(one, declined, accepted))
        for one in suggestions
    )
    return TodayView(
        today=today,
        week=week,
        plan=plan,
        training_day=today.isoweekday() in plan.days,
        next_day=next_training_day(plan, today),
        done_today=tuple(s for s in history.sessions if s.local_date == today),
        due=due,
        program=program_for(plan, due),
        person=person_of(answers, plan.top, history, on=today),
    )


def _declined(
    one: Suggestion, declined: Collection[str], accepted: Collection[str]
) -> bool:
    """A move up the ladder is asked, never taken by itself; the rest is taken."""
    if one.change is Change.MOVE_ON:
        return one.exercise not in accepted
    return one.exercise in declined


def _due(one: Suggestion, plan: Plan, history: History, *, declined: bool) -> Due:
    left = one.from_exercise if declined and one.from_exercise else one.exercise
    return Due(
        exercise=plan.exercise(left),
        entry=entry_for(plan, left, one.from_exercise),
        suggestion=one,
        last=last_time(history, left),
        declined=declined,
    )


def entry_for(plan: Plan, exercise_id: str, left_id: str = "") -> PlanExercise:
    """Give the plan's line for an exercise; for one reached by a move, the line of
    the rung that was left, with the new exercise in it."""
    entry = plan.entry(exercise_id)
    if entry is not None:
        return entry
    left = plan.entry(left_id) if left_id else None
    if left is None:
        return default_entry(exercise_id)
    return replace(left, exercise=exercise_id)


def last_time(history: History, exercise_id: str) -> LastTime | None:
    """Give the holds of an exercise's latest day."""
    for session in reversed(history.sessions):
        holds = tuple(h for h in session.holds if h.exercise == exercise_id)
        if holds:
            return LastTime(session.local_date, holds)
    return None


def next_training_day(plan: Plan, today: date) -> date | None:
    """Give the first training day after TODAY."""
    for ahead in range(1, 8):
        day = today + timedelta(days=ahead)
        if day.isoweekday() in plan.days:
            return day
    return None


def program_for(plan: Plan, due: Collection[Due]) -> SessionProgram | None:
    """Make the session that a day's exercises ask for, with its warm-up."""
    columns: list[tuple[ProgramSet, ...]] = []
    before: Due | None = None
    for one in due:
        column = _column(plan, one)
        if before is not None and _fills_up(before, one) and columns:
            columns[-1] += column
        elif column:
            columns.append(column)
        before = one
    if not columns:
        return None
    sets = put_in_order(columns, plan.order)
    exercises = list({one.exercise.id: one.exercise for one in sets}.values())
    return SessionProgram(
        kind=SessionKind.PLAN, sets=sets, warm_up=warm_up(plan.warm_up_s, exercises)
    )


def _fills_up(trial: Due, old: Due) -> bool:
    """Tell whether OLD is the rung that fills the sets beside a trial of the next."""
    return (
        trial.suggestion.first_set_only
        and rung_below(trial.exercise.id) == old.exercise.id
    )


def _column(plan: Plan, due: Due) -> tuple[ProgramSet, ...]:
    """Give one exercise's sets; a first set on a new rung goes before the old ones."""
    one, target_s = due.suggestion, due.target_s
    if one.change is Change.REST or target_s is None or one.sets < 1:
        return ()
    if one.first_set_only and not due.declined and one.from_exercise:
        old_id = one.from_exercise
        first = Block(exercise=due.exercise, entry=due.entry, targets_s=(target_s,))
        others = Block(
            exercise=plan.exercise(old_id),
            entry=entry_for(plan, old_id),
            targets_s=(one.current_s,) * (one.sets - 1),
        )
        return block_sets(first) + block_sets(others)
    return block_sets(
        Block(
            exercise=due.exercise,
            entry=due.entry,
            targets_s=(target_s,) * one.sets,
            find_out_limit_s=None if due.declined else one.find_out_limit_s,
        )
    )


def one_exercise(
    plan: Plan,
    exercise_id: str,
    *,
    sets: int | None,
    target_s: float | None,
    rest_s: float | None,
    in_force_s: float,
) -> SessionProgram:
    """Make a one-off session of one exercise: no warm-up, and it sets no target."""
    entry = entry_for(plan, exercise_id)
    if rest_s is not None:
        entry = replace(entry, rest_s=rest_s)
    block = Block(
        exercise=plan.exercise(exercise_id),
        entry=entry,
        targets_s=(target_s or in_force_s,) * (sets or entry.sets),
    )
    return SessionProgram(kind=SessionKind.ONE_OFF, sets=block_sets(block))


def first_day_test(plan: Plan, exercise_ids: Sequence[str]) -> SessionProgram:
    """Make a first-day test: one hold of each exercise, after one warm-up.

    Each is ended at 45 s at the latest.
    """
    sets: tuple[ProgramSet, ...] = ()
    for exercise_id in exercise_ids:
        entry = entry_for(plan, exercise_id)
        block = Block(
            exercise=plan.exercise(exercise_id),
            entry=replace(entry, sets=1, end_of_hold=EndOfHold.STOP),
            targets_s=(TEST_LIMIT_S,),
        )
        sets += block_sets(block)
    moves = warm_up(plan.warm_up_s, [each.exercise for each in sets])
    return SessionProgram(kind=SessionKind.TEST, sets=sets, warm_up=moves)
