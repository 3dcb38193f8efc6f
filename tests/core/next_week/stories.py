"""Random histories that look like somebody's training, for the sentences' test.

Everything that a log can hold comes up in them: holds logged by hand with and without
a target, a person's and a coach's targets, gaps of weeks, pain, interrupted holds, rest
weeks, one-offs and tests, exercises of somebody's own. A seed makes each one again.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, datetime, time, timedelta, timezone
from random import Random

from trainer.core.exercises import (
    BUILT_IN,
    HANG_LOADS,
    LADDERS,
    PRESS_LOADS,
    Exercise,
    Family,
)
from trainer.core.model import (
    Author,
    EndedBy,
    Feet,
    Felt,
    History,
    Hold,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    ShownSuggestion,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.next_week.suggestion import Rule
from trainer.core.plan.plan import Plan, PlanExercise
from trainer.core.weeks import IsoWeek

TODAY = date(2026, 3, 4)
"""A Wednesday."""
OWN = (
    Exercise(
        id="ring-hang",
        name="Hang on Rings",
        family=Family.HANG,
        setup_s=10,
        go_up_lead_s=3,
        allowance_s=3,
        loads=HANG_LOADS,
    ),
    Exercise(
        id="bench-press-away",
        name="Press-away, hands on a bench (low)",
        short_name="Press-away, low",
        family=Family.PRESS,
        setup_s=8,
        go_up_lead_s=3,
        allowance_s=2,
        upside_down=True,
        may_stay=False,
        loads=PRESS_LOADS,
        caution="A bench stands against a wall.",
    ),
    Exercise(
        id="floor-reach",
        name="Reach on the floor",
        family=None,
        setup_s=6,
        go_up_lead_s=2,
        allowance_s=1,
        overhead=False,
        loads=frozenset({Site.LATS, Site.RIBS}),
    ),
)
"""Exercises of somebody's own, off the ladders: of each family, and of none."""
WATCHED = (Site.LOW_BACK, Site.NECK, Site.WRIST, Site.TOP_SHOULDER)


def at(day: date, hour: int) -> datetime:
    """Give a moment on that day, UTC."""
    return datetime.combine(day, time(hour), timezone.utc)


class Story:
    """One person's plan and log, out of a seed."""

    def __init__(self, seed: int) -> None:
        self.rng = Random(seed)
        rng = self.rng
        self.sets = rng.choice([1, 2, 3, 3, 3, 4])
        count = rng.choice([1, 1, 1, 2, 3])
        self.ids = [*rng.sample(sorted(BUILT_IN), count), *self._own_ids(seed)]
        self.plan = Plan(
            days=rng.choice([(1, 3, 5), (1, 3, 5), (2, 4), (7,), (3,), ()]),
            exercises=tuple(self._line(one) for one in self.ids),
            own=OWN,
            top={
                Family.HANG: LADDERS[Family.HANG][-1],
                Family.PRESS: rng.choice(LADDERS[Family.PRESS]),
            },
        )
        sessions: list[Session] = []
        targets: list[TargetSet] = []
        for one in self.ids:
            self._train(one, sessions, targets)
        self.history = History(
            sessions=tuple(sorted(sessions, key=lambda each: each.started_at)),
            targets=tuple(sorted(targets, key=lambda each: each.set_at)),
            rest_weeks=frozenset(
                IsoWeek.of(TODAY).plus(rng.choice([-3, -2, -1, 0, 1, 1, 2]))
                for _ in range(rng.choice([0, 0, 0, 1, 2]))
            ),
            shown=self._shown(),
        )

    def _own_ids(self, seed: int) -> list[str]:
        """Draw own exercises in three of ten stories, which leaves the others alone."""
        draw = Random(f"own exercises in {seed}")
        return [one.id for one in draw.sample(OWN, draw.choice([0] * 7 + [1, 1, 2]))]

    def _line(self, exercise: str) -> PlanExercise:
        rng = self.rng
        floor_s, start_s, cap_s = rng.choice(
            [(10, 20, 60), (10, 20, 60), (10, 20, 40), (20, 20, 30), (5, 30, 90)]
        )
        return PlanExercise(
            exercise=exercise,
            sets=self.sets,
            start_s=start_s,
            cap_s=cap_s,
            floor_s=floor_s,
            step_s=rng.choice([5, 5, 5, 2, 0.5, 15]),
        )

    def _train(
        self, exercise: str, sessions: list[Session], targets: list[TargetSet]
    ) -> None:
        rng = self.rng
        goal_s = rng.choice([8, 10, 20, 20, 25, 30, 32, 33, 40, 45, 60, 60, 80])
        day = TODAY - timedelta(
            days=rng.choice([0, 0, 1, 1, 2, 3, 5, 8, 13, 15, 22, 40])
        )
        moods = rng.choice(HABITS)
        gap = rng.choice([1, 2, 2, 3, 3, 7, 13, 15])
        made: list[Session] = []
        for number in range(rng.choice([0, 1, 2, 2, 3, 3, 4, 8])):
            kind = rng.choice([*[SessionKind.PLAN] * 12, *SessionKind])
            made.append(
                self._session(exercise, day, goal_s, rng.choice(moods), kind, number)
            )
            if rng.random() < 0.12:
                goal_s = max(5, goal_s - rng.choice([5, 10]))
            day -= timedelta(days=rng.choice([gap, gap, gap, 1, 6]))
        if rng.random() < 0.3:
            made.append(self._by_hand(exercise, goal_s))
        sessions.extend(made)
        targets.extend(self._targets(exercise, goal_s))

    def _session(
        self,
        exercise: str,
        day: date,
        goal_s: float,
        mood: str,
        kind: SessionKind,
        number: int,
    ) -> Session:
        rng = self.rng
        hour = rng.choice([8, 17, 17])
        sets = self.sets if rng.random() < 0.9 else max(1, self.sets - 1)
        holds = tuple(
            self._hold(f"{exercise}-{number}-{n}", exercise, day, hour, n, goal_s, mood)
            for n in range(1, sets + 1)
        )
        if kind is SessionKind.ADDED:
            given = rng.choice([goal_s, goal_s, None, 20.0])
            holds = tuple(
                replace(hold, ended_by=EndedBy.ADDED, target_s=given) for hold in holds
            )
        return Session(
            uid=f"{exercise}-{number}",
            kind=kind,
            started_at=at(day, hour),
            utc_offset_min=0,
            local_date=day,
            planned=()
            if kind is SessionKind.ADDED
            else tuple(
                PlannedSet(exercise, n, goal_s, 60) for n in range(1, self.sets + 1)
            ),
            holds=holds,
        )

    def _hold(
        self,
        uid: str,
        exercise: str,
        day: date,
        hour: int,
        number: int,
        goal_s: float,
        mood: str,
    ) -> Hold:
        rng = self.rng
        share, rpe = MOODS[mood]
        kept_s = round(goal_s * (share if rng.random() < 0.8 else 1.0), 1)
        held_s = kept_s + (rng.choice([0.4, 0.6, 5]) if mood == "lost" else 0)
        hurt = mood == "hurt" and rng.random() < 0.7
        felt: tuple[Felt, ...] = ()
        if mood == "felt":
            felt = tuple(Felt(rng.choice(WATCHED), strength=7) for _ in range(2))
        return Hold(
            uid=uid,
            exercise=exercise,
            set_number=number,
            held_s=held_s,
            kept_s=None if held_s == kept_s and rng.random() < 0.2 else kept_s,
            target_s=goal_s,
            ended_by=rng.choice(
                [EndedBy.TARGET] * 15 + [EndedBy.INTERRUPTED, EndedBy.CRASH]
            )
            if kept_s >= goal_s
            else EndedBy.KEY,
            started_at=at(day, hour),
            stopped_by=rng.choice([None] * 8 + [StoppedBy.GRIP, StoppedBy.OTHER]),
            confirmed=rng.random() < 0.95,
            rpe=None if rpe is None or rng.random() < 0.1 else rng.choice(rpe),
            pain=(Pain(rng.choice(list(PainKind)), rng.choice([None, *Site])),)
            if hurt
            else (),
            felt=felt,
            feet=rng.choice([None, Feet.TOES, Feet.TOES, Feet.LITTLE]),
        )

    def _by_hand(self, exercise: str, goal_s: float) -> Session:
        """Give a day logged by hand, that may be no try at the target."""
        rng = self.rng
        day = TODAY - timedelta(days=rng.choice([0, 1, 2, 4]))
        given = rng.choice([None, None, goal_s, 10.0, 20.0])
        held = rng.choice([10.0, 20.0, goal_s, goal_s - 0.5, goal_s + 10])
        return Session(
            uid=f"{exercise}-hand",
            kind=SessionKind.ADDED,
            started_at=at(day, 20),
            utc_offset_min=0,
            local_date=day,
            holds=tuple(
                Hold(
                    uid=f"{exercise}-hand-{n}",
                    exercise=exercise,
                    set_number=n,
                    held_s=max(1.0, held),
                    target_s=given,
                    ended_by=EndedBy.ADDED,
                    started_at=at(day, 20),
                    rpe=rng.choice([None, 6.0, 9.0]),
                )
                for n in range(1, rng.choice([1, 1, 2, 3]) + 1)
            ),
        )

    def _targets(self, exercise: str, goal_s: float) -> list[TargetSet]:
        rng = self.rng
        found = []
        for number in range(rng.choice([0, 0, 0, 1, 1, 2])):
            day = TODAY - timedelta(days=rng.choice([0, 1, 3, 6, 9, 20, 50]))
            week = IsoWeek.of(day)
            author = rng.choice(list(Author))
            found.append(
                TargetSet(
                    uid=f"t-{exercise}-{number}",
                    exercise=exercise,
                    target_s=goal_s + rng.choice([0, 0, 0, 5, 5, -5, 30, 60]),
                    author=author,
                    set_at=at(day, 7),
                    local_date=day,
                    week=rng.choice([None, week, week.plus(1)])
                    if author is Author.SUGGESTION
                    else None,
                    rule=str(rng.choice(list(Rule))),
                    from_exercise=rng.choice(["", "", "", *LADDERS[Family.HANG]])
                    if author is Author.SUGGESTION
                    else "",
                )
            )
        return [each for each in found if each.target_s >= 1]

    def _shown(self) -> tuple[ShownSuggestion, ...]:
        rng = self.rng
        return tuple(
            ShownSuggestion(
                uid=f"w-{number}",
                exercise=rng.choice(self.ids),
                week=IsoWeek.of(TODAY).plus(rng.choice([-1, 0])),
                shown_at=at(TODAY - timedelta(days=rng.choice([3, 8])), 6),
                target_s=30.0,
                sets=self.sets,
                rule=rng.choice(["step", "repeat"]),
                change=rng.choice(["same", "up"]),
                chance=0.4,
            )
            for number in range(rng.choice([0, 0, 1]))
        )


MOODS: dict[str, tuple[float, list[float] | None]] = {
    "clean": (1.0, [6.0, 7.0, 7.0, 7.5, 8.0]),
    "easy": (1.0, [5.0, 6.0, 7.0]),
    "unrated": (1.0, None),
    "short": (0.9, [8.0, 8.5, 9.0]),
    "far": (0.7, [8.0, 9.0, 9.5]),
    "hard": (1.0, [9.0, 9.5, 10.0]),
    "lost": (1.0, [6.0, 7.0, 8.0]),
    "felt": (1.0, [6.0, 7.0]),
    "hurt": (1.0, [6.0, 7.0, 9.0]),
}
"""What share of the target is kept, and which RPE may be noted."""
HABITS = [
    ["clean"],
    ["clean", "easy"],
    ["short", "clean"],
    ["far"],
    ["hard"],
    ["lost"],
    ["felt", "clean"],
    ["felt"],
    ["unrated"],
    ["hurt", "clean"],
    ["hurt"],
    list(MOODS),
]
"""How somebody's sessions go: one of these moods each."""
