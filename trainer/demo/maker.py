"""Makes the made-up trainee's sessions out of the script and one random source."""

from __future__ import annotations

import itertools
import math
import random
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, time, timedelta, timezone
from uuid import UUID

from trainer.core.exercises import BUILT_IN, Family
from trainer.core.model import (
    Author,
    EndedBy,
    Feet,
    Felt,
    Hold,
    Pain,
    PainKind,
    PlannedSet,
    Session,
    SessionKind,
    ShownSuggestion,
    Side,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.next_week.suggestion import Rule, Suggestion, as_shown
from trainer.core.weeks import IsoWeek
from trainer.demo.script import (
    CAPACITY,
    FELT,
    HANG,
    HS,
    NOTES,
    PIKE,
    PLATEAU_WEEKS,
    PUSHUP,
    REST_WEEK,
    SCRIPT,
    SORE_WEEK,
)


class Maker:
    """Makes the sessions of the script, one after the other, from one random source."""

    def __init__(self, draw: random.Random, first: IsoWeek) -> None:
        self.first = first
        self._draw = draw

    def session(self, week: int, place: int, day: date, zone: timezone) -> Session:
        """Make one day's session: what was planned, what was done."""
        script = SCRIPT[week]
        # One visit ends a late get-out, twenty minutes after midnight.
        begin = time(0, 20) if (week, place) == (10, 2) else time(17, 5 + week)
        started_at = datetime.combine(day, begin, zone)
        planned = tuple(self._planned(week, place))
        holds = []
        at = started_at + timedelta(minutes=5)
        sore = False
        for planned_set in planned:
            if sore and BUILT_IN[planned_set.exercise].family is Family.PRESS:
                continue
            hold = self._hold(week, place, planned_set, at.astimezone(timezone.utc))
            sore = sore or hold.hurt
            holds.append(hold)
            at += timedelta(seconds=hold.held_s + planned_set.rest_s + 15)
        return Session(
            uid=self._uid(),
            kind=SessionKind.PLAN if script.days != (3,) else SessionKind.ONE_OFF,
            started_at=started_at.astimezone(timezone.utc),
            utc_offset_min=round(zone.utcoffset(None).total_seconds() / 60),
            local_date=day,
            ended_at=at.astimezone(timezone.utc),
            planned=planned,
            holds=tuple(holds),
            note=NOTES.get((week, place), ""),
        )

    def _planned(self, week: int, place: int) -> Iterator[PlannedSet]:
        script = SCRIPT[week]
        for number in (1, 2, 3):
            for exercise, target_s in (
                (script.hang, script.hang_s),
                (script.press, script.press_s),
            ):
                if not target_s:
                    continue
                old = {HANG: (HS, 45.0), PIKE: (PUSHUP, 45.0)}
                if exercise == script.move and place < 2 and number > 1:
                    below, below_s = old[exercise]
                    yield PlannedSet(below, number - 1, below_s, 90)
                else:
                    rest_s = 60 if exercise in (HS, HANG) else 90
                    yield PlannedSet(
                        exercise, number, target_s, max(rest_s, 2 * target_s)
                    )

    def _hold(
        self, week: int, place: int, planned: PlannedSet, started_at: datetime
    ) -> Hold:
        capacity_s = _capacity(planned.exercise, week + place / 3)
        capacity_s *= 1.04 - 0.05 * planned.set_number + self._draw.gauss(0, 0.045)
        target_s = planned.target_s
        made = capacity_s >= target_s
        held_s = target_s if made else max(3.0, round(capacity_s, 1))
        hang = planned.exercise in (HS, HANG)
        hold = Hold(
            uid=self._uid(),
            exercise=planned.exercise,
            set_number=planned.set_number,
            held_s=held_s,
            target_s=target_s,
            ended_by=EndedBy.TARGET if made else EndedBy.KEY,
            started_at=started_at,
            key_s=None if made else held_s + BUILT_IN[planned.exercise].allowance_s,
            allowance_s=None if made else BUILT_IN[planned.exercise].allowance_s,
            stopped_by=None if made else StoppedBy.GRIP if hang else StoppedBy.SHOULDER,
            confirmed=True,
            rpe=_rpe(capacity_s - held_s),
            felt=self._felt(week, "hang" if hang else "press", planned.set_number),
            feet=_feet(week) if planned.exercise == HS else None,
        )
        return self._with_oddities(week, place, planned, hold)

    def _with_oddities(
        self, week: int, place: int, planned: PlannedSet, hold: Hold
    ) -> Hold:
        """Lose a position, hurt the wrist, leave a hold unanswered, break one off."""
        if week == SORE_WEEK and place > 0 and planned.exercise == PIKE:
            return replace(
                _cut_short(hold, 11.0 if place == 1 else 7.0, StoppedBy.NERVE),
                rpe=None,
                pain=(Pain(PainKind.PAIN, Site.WRIST, Side.LEFT),),
            )
        third_hang = planned.exercise == HANG and planned.set_number == 3
        if week in PLATEAU_WEEKS and third_hang:
            held_s = round(self._draw.uniform(25.5, 28.5), 1)
            return replace(_cut_short(hold, held_s, StoppedBy.POSITION), rpe=8.5)
        if (week, place, planned.set_number) == (8, 1, 2):
            return replace(hold, confirmed=False, rpe=None, felt=())
        if (week, place, planned.set_number, planned.exercise) == (5, 2, 3, HS):
            return replace(
                hold,
                held_s=19.0,
                ended_by=EndedBy.INTERRUPTED,
                key_s=None,
                allowance_s=None,
                stopped_by=None,
                rpe=None,
                felt=(),
            )
        if planned.exercise == PIKE and self._draw.random() < 0.15:
            return replace(
                hold, kept_s=math.floor(hold.held_s * 0.86), lost_on_breath=3
            )
        return hold

    def _felt(self, week: int, family: str, set_number: int) -> tuple[Felt, ...]:
        """Say where it was felt, once per exercise, after its last set."""
        if set_number < 3:
            return ()
        found = []
        for begin, end, site, moment, often, strength in FELT[family]:
            if begin <= week < end and self._draw.random() < often:
                side = Side.LEFT if self._draw.random() < 0.2 else Side.BOTH
                noted = min(10, max(1, round(self._draw.gauss(strength, 1))))
                found.append(Felt(site, side, moment, float(noted)))
        return tuple(found)

    def targets(self, zone: timezone) -> Iterator[TargetSet]:
        """Make the targets that came with suggestions taken: one for each change."""
        last: dict[str, float] = {}
        for week, script in enumerate(SCRIPT):
            if not script.days or week == REST_WEEK:
                continue
            for exercise, target_s in (
                (script.hang, script.hang_s),
                (script.press, script.press_s),
            ):
                if not target_s or last.get(exercise) == target_s:
                    continue
                first_time = exercise not in last
                went_up = not first_time and target_s > last[exercise]
                iso = self.first.plus(week)
                day = iso.monday + timedelta(days=script.days[0] - 1)
                yield TargetSet(
                    uid=self._uid(),
                    exercise=exercise,
                    target_s=target_s,
                    author=Author.PERSON
                    if week == SORE_WEEK + 2 and exercise == PIKE
                    else Author.SUGGESTION,
                    set_at=datetime.combine(day, time(16, 55), zone).astimezone(
                        timezone.utc
                    ),
                    local_date=day,
                    week=iso,
                    rule=_rule(exercise, script.move, first_time, went_up),
                    from_exercise={HANG: HS, PIKE: PUSHUP}[exercise]
                    if exercise == script.move
                    else "",
                )
                last[exercise] = target_s

    def shown(self, one: Suggestion, shown_at: datetime) -> ShownSuggestion:
        """Keep a suggestion as the person was shown it."""
        return as_shown(one, uid=self._uid(), shown_at=shown_at)

    def _uid(self) -> str:
        return str(UUID(int=self._draw.getrandbits(128), version=4))


def _cut_short(hold: Hold, held_s: float, why: StoppedBy) -> Hold:
    """Give the hold ended by a key at HELD_S."""
    allowance_s = BUILT_IN[hold.exercise].allowance_s
    return replace(
        hold,
        held_s=held_s,
        ended_by=EndedBy.KEY,
        key_s=held_s + allowance_s,
        allowance_s=allowance_s,
        stopped_by=why,
    )


def _rule(exercise: str, move: str, first_time: bool, went_up: bool) -> str:
    if exercise == move:
        return Rule.MOVE_ON.value
    if first_time:
        return Rule.START.value
    return Rule.STEP.value if went_up else Rule.AWAY.value


def _capacity(exercise: str, week: float) -> float:
    """Give the seconds that could be kept fresh, on straight lines between points."""
    points = CAPACITY[exercise]
    if week <= points[0][0]:
        return points[0][1]
    for (left, low), (right, high) in itertools.pairwise(points):
        if week <= right:
            return low + (high - low) * (week - left) / (right - left)
    return points[-1][1]


_RESERVES = ((24, 6.0), (18, 7.0), (13, 7.5), (8, 8.0), (4, 8.5), (1.5, 9.0))


def _rpe(reserve_s: float) -> float:
    """Turn seconds in reserve into the RPE that our own wording gives them."""
    for least_s, rpe in (
        (24, 6.0),
        (18, 7.0),
        (13, 7.5),
        (8, 8.0),
        (4, 8.5),
        (1.5, 9.0),
    ):
        if reserve_s >= least_s:
            return rpe
    return 9.5 if reserve_s > 0 else 10.0


def _feet(week: int) -> Feet:
    return Feet.HALF if week < 2 else Feet.LITTLE if week < 4 else Feet.TOES
