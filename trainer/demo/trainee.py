"""A made-up trainee over twenty weeks, so that every screen has something to show.

A stage-lighting rigger who wants an easier reach overhead. Nobody real: a script of
weeks and a random source with a fixed seed. It holds a move up each ladder, a plateau,
a rest week, a missed fortnight and a sore wrist. Pure: the date comes in, values of
the core come out.
"""

from __future__ import annotations

import random
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date, datetime, time, timedelta, timezone
from pathlib import Path

from trainer.core.angle.check import AngleCheck
from trainer.core.answers import HEAD_UP, MADE_UP_KEY, NO, SHOULDER, YES, is_made_up
from trainer.core.clock import Clock
from trainer.core.model import (
    History,
    ShownSuggestion,
)
from trainer.core.next_week.decide import next_week
from trainer.core.plan.plan import Grip, Plan, PlanExercise
from trainer.core.weeks import IsoWeek
from trainer.demo.checks import angle_checks
from trainer.demo.maker import Maker
from trainer.demo.script import (
    HANG,
    HS,
    PIKE,
    PUSHUP,
    REST_WEEK,
    SCRIPT,
)
from trainer.errors import DataError
from trainer.store import Store, open_store

WEEKS = 20
SEED = 20


@dataclass(frozen=True, slots=True)
class MadeUp:
    """Everything that a made-up file holds."""

    plans: tuple[tuple[date, Plan], ...]
    history: History
    answers: Mapping[str, str]
    angle_checks: tuple[AngleCheck, ...] = ()

    @property
    def plan(self) -> Plan:
        """The plan in force at the end."""
        return self.plans[-1][1]


def made_up(today: date, *, utc_offset_min: int = 0) -> MadeUp:
    """Make the trainee whose twentieth week is the one that TODAY lies in.

    Args:
        today: nothing is dated on or after it.
        utc_offset_min: the local offset that all sessions are given.
    """
    maker = Maker(random.Random(SEED), IsoWeek.of(today).plus(1 - WEEKS))
    zone = timezone(timedelta(minutes=utc_offset_min))
    sessions = tuple(
        maker.session(week, place, day, zone)
        for week, place, day in _days(maker.first)
        if day < today
    )
    targets = tuple(
        target for target in maker.targets(zone) if target.local_date < today
    )
    history = History(
        sessions=tuple(sorted(sessions, key=lambda one: one.started_at)),
        targets=tuple(sorted(targets, key=lambda one: one.set_at)),
        rest_weeks=frozenset({maker.first.plus(REST_WEEK)}),
    )
    plans = _plans(maker.first)
    return MadeUp(
        plans=plans,
        history=replace(history, shown=tuple(_shown(maker, history, plans, zone))),
        answers={MADE_UP_KEY: YES, SHOULDER: NO, HEAD_UP: NO},
        angle_checks=tuple(
            check
            # A source of its own: the sessions stay what they are.
            for check in angle_checks(random.Random(SEED + 1), maker.first, zone)
            if check.local_date < today
        ),
    )


def _shown(
    maker: Maker,
    history: History,
    plans: Sequence[tuple[date, Plan]],
    zone: timezone,
) -> Iterator[ShownSuggestion]:
    """Ask for each coming week on the Sunday before it, as the person did."""
    for n in range(1, WEEKS):
        week = maker.first.plus(n)
        sunday = week.monday - timedelta(days=1)
        known = History(
            sessions=tuple(one for one in history.sessions if one.local_date <= sunday),
            targets=tuple(one for one in history.targets if one.local_date <= sunday),
            rest_weeks=history.rest_weeks,
        )
        plan = [one for since, one in plans if since <= sunday][-1]
        for one in next_week(known, plan, today=sunday, week=week, otherwise=False):
            yield maker.shown(one, datetime.combine(sunday, time(18), zone))


def _days(first: IsoWeek) -> Iterator[tuple[int, int, date]]:
    for week, script in enumerate(SCRIPT):
        for place, weekday in enumerate(script.days):
            yield week, place, first.plus(week).monday + timedelta(days=weekday - 1)


def _plans(first: IsoWeek) -> tuple[tuple[date, Plan], ...]:
    def entry(exercise: str, start_s: float, cap_s: float) -> PlanExercise:
        press = exercise in (PUSHUP, PIKE)
        return PlanExercise(
            exercise=exercise,
            start_s=start_s,
            cap_s=cap_s,
            rest_s=90 if press else 60,
            grip=Grip.FLOOR if press else None,
        )

    begin = Plan(exercises=(entry(HS, 20, 45), entry(PUSHUP, 15, 45)))
    hang = replace(begin, exercises=(entry(HANG, 20, 60), entry(PUSHUP, 15, 45)))
    pike = replace(begin, exercises=(entry(HANG, 20, 60), entry(PIKE, 20, 60)))
    fists = pike.with_entry(
        replace(entry(PIKE, 20, 60), grip=Grip.FISTS, cue="Wrists straight, ribs in")
    )
    return (
        (first.monday, begin),
        (first.plus(7).monday, hang),
        (first.plus(9).monday, pike),
        (first.plus(18).monday, fists),
    )


# The made-up trainee's data file: written through the store, never over a person's.

DEMO_FOLDER = "made-up"
"""The folder inside our data folder that holds the made-up file and its backups."""
DEMO_FILE = "made-up.db"


def write_demo(path: Path, *, clock: Clock) -> None:
    """Make the made-up file anew.

    Raises:
        DataError: a file is there that isn't made up; it is left as it is.
    """
    now = clock.wall()
    offset = now.utcoffset()
    minutes = 0 if offset is None else round(offset.total_seconds() / 60)
    trainee = made_up(now.date(), utc_offset_min=minutes)
    if path.exists():
        with open_store(path, clock=clock, read_only=True) as store:
            if not is_made_up(store.answers()):
                raise DataError(
                    f"{path.name} is there and belongs to a person",
                    "Give the made-up trainee a file of its own with --db",
                )
        for suffix in ("", "-wal", "-shm"):
            path.with_name(path.name + suffix).unlink(missing_ok=True)
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with open_store(path, clock=clock) as store:
        fill(store, trainee)


def fill(store: Store, trainee: MadeUp) -> None:
    """Write everything of a made-up trainee into a file, marked as such first."""
    with store.at_once():
        for key, value in trainee.answers.items():
            store.set_answer(key, value)
        for valid_from, plan in trainee.plans:
            store.save_plan(plan, valid_from=valid_from)
        for session in trainee.history.sessions:
            store.begin_session(session)
            for hold in session.holds:
                store.save_hold(session.uid, hold)
            if session.ended_at is not None:
                store.end_session(session.uid, ended_at=session.ended_at)
        for target in trainee.history.targets:
            store.set_target(target)
        for week in trainee.history.rest_weeks:
            store.set_rest_week(week, on=True)
        for shown in trainee.history.shown:
            store.remember_shown(shown)
        for check in trainee.angle_checks:
            store.add_angle_check(check)
