"""What the log says of one exercise: its days, its run, the target in force.

A *session* of the rules is all sets of an exercise on one local day; here it is a
``Day``. One-off holds and tests make no day: they feed the capacity only. A hold logged
by hand counts even where it joined such a session, unless it was no try at the target:
nobody is brought down by a hold that wasn't meant as one. Pain counts wherever it was
noted, in any kind of session and on any hold.
"""

from __future__ import annotations

import itertools
from collections import defaultdict
from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date

from trainer.core.model import (
    CLEAN_SLACK_S,
    Author,
    EndedBy,
    Feet,
    History,
    Hold,
    Pain,
    Session,
    SessionKind,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.plan.plan import Plan, PlanExercise, default_entry
from trainer.core.weeks import IsoWeek

# All sets of one exercise on one local day: what the rules call a session.

CLEAN_RPE = 8.0
"""No RPE of a clean session is over this (our choice)."""
WATCHED_SITES = frozenset({Site.LOW_BACK, Site.NECK, Site.WRIST, Site.TOP_SHOULDER})
"""Where a strong stretch says that something else does the shoulder's work (common
practice)."""
WATCHED_STRENGTH = 6.0
"""From this strength on a stretch at a watched site stops a step (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Day:
    """All sets of one exercise on one local day."""

    date: date
    target_s: float
    planned_sets: int
    holds: tuple[Hold, ...]
    """Those that count: not interrupted, not ended by something else."""
    pain: tuple[Pain, ...]
    """Every warning sign of the day on this exercise, on whatever hold."""
    left_out: tuple[Hold, ...] = ()
    """Holds logged by hand that were no tries at the target."""

    @property
    def kept_s(self) -> tuple[float, ...]:
        """Seconds kept, set by set; where nobody said so, seconds held."""
        return tuple(hold.kept_or_held_s for hold in self.holds)

    @property
    def top_rpe(self) -> float | None:
        """The highest RPE noted; None if none was."""
        return max((h.rpe for h in self.holds if h.rpe is not None), default=None)

    @property
    def made_sets(self) -> int:
        """How many sets were kept to the target, within the slack."""
        goal_s = self.target_s - CLEAN_SLACK_S - 1e-9
        return sum(kept_s >= goal_s for kept_s in self.kept_s)

    @property
    def confirmed(self) -> bool:
        """Whether somebody answered something about at least one hold."""
        return any(answered(hold) for hold in self.holds)

    @property
    def clean(self) -> bool:
        """All planned sets done and kept, no RPE over 8, no pain, confirmed."""
        return not self.faults()

    def faults(self) -> tuple[str, ...]:
        """Say, each as the end of a sentence, what keeps the day from being clean."""
        found = []
        if len(self.holds) < self.planned_sets:
            found.append(f"{len(self.holds)} of {self.planned_sets} planned sets done")
        short = len(self.holds) - self.made_sets
        if short:
            found.append(f"{short} of {len(self.holds)} sets short of the target")
        if self.top_rpe is not None and self.top_rpe > CLEAN_RPE:
            found.append(f"an RPE of {self.top_rpe:g}, over {CLEAN_RPE:g}")
        if self.pain:
            found.append("pain")
        if not self.confirmed:
            found.append("no set confirmed by anybody")
        return tuple(found)

    def below(self, share: float) -> bool:
        """Tell whether some set was kept for less than that share of the target.

        Of its own target, where the day had a lower one too.
        """
        return any(
            hold.kept_or_held_s
            < share * min(hold.target_s or self.target_s, self.target_s) - 1e-9
            for hold in self.holds
        )

    def missed_sets(self) -> frozenset[int]:
        """Give the numbers of the planned sets that were missed or not done."""
        goal_s = self.target_s - CLEAN_SLACK_S - 1e-9
        made = {h.set_number for h in self.holds if h.kept_or_held_s >= goal_s}
        return frozenset(range(1, self.planned_sets + 1)) - made

    def watched_sites(self) -> frozenset[Site]:
        """Give the watched sites at which a strong stretch was felt."""
        return frozenset(
            felt.site
            for hold in self.holds
            for felt in hold.felt
            if felt.site in WATCHED_SITES
            and felt.strength is not None
            and felt.strength >= WATCHED_STRENGTH
        )

    @property
    def position_went(self) -> bool:
        """Whether some set was held longer than it was kept, by more than the slack."""
        return any(
            hold.held_s - hold.kept_or_held_s > CLEAN_SLACK_S + 1e-9
            for hold in self.holds
        )

    @property
    def kept_unsaid(self) -> int:
        """In how many sets nobody said how much was kept."""
        return sum(hold.kept_s is None for hold in self.holds)

    @property
    def grip_ended(self) -> bool:
        """Whether the grip ended a set."""
        return any(hold.stopped_by is StoppedBy.GRIP for hold in self.holds)

    @property
    def feet(self) -> Feet | None:
        """How much the feet took, as last noted on the day."""
        noted = [hold.feet for hold in self.holds if hold.feet is not None]
        return noted[-1] if noted else None


def answered(hold: Hold) -> bool:
    """Tell whether somebody answered something about HOLD."""
    return (
        hold.confirmed
        or hold.ended_by is EndedBy.ADDED
        or hold.rpe is not None
        or hold.kept_s is not None
        or hold.hurt
    )


RUNNING_DAYS = 14
"""Two sessions running are less than this many days apart (our choice)."""
RULE_KINDS = frozenset({SessionKind.PLAN, SessionKind.ADDED})
"""The kinds of session that the rules look at; the others feed the capacity only."""
SETS_A_TARGET = 2
"""So many holds logged by hand at one target set it, or as many as are planned."""
_TINY_S = 0.05


def for_rules(session: Session, hold: Hold) -> bool:
    """Tell whether the rules look at HOLD of SESSION, not the capacity alone."""
    return session.kind in RULE_KINDS or hold.ended_by is EndedBy.ADDED


def same_target(one_s: float, other_s: float) -> bool:
    """Tell whether two targets are the same, to the tenth that is stored."""
    return abs(one_s - other_s) < _TINY_S


def entry_or_default(plan: Plan, exercise: str) -> PlanExercise:
    """Give the plan's line for EXERCISE, or a newcomer's."""
    return plan.entry(exercise) or default_entry(exercise)


def targets_for(
    history: History, exercise: str, week: IsoWeek | None = None
) -> tuple[TargetSet, ...]:
    """Give the targets set for EXERCISE, none meant for after WEEK.

    In the order of the weeks that they are for, then of when they were set: what is
    taken for this week doesn't replace what was set for the coming one.
    """
    meant = (
        target
        for target in history.targets
        if target.exercise == exercise
        and (week is None or target.week is None or target.week <= week)
    )
    return tuple(sorted(meant, key=lambda target: (_week_of(target), target.set_at)))


def _week_of(target: TargetSet) -> IsoWeek:
    return target.week or IsoWeek.of(target.local_date)


def in_force_from(target: TargetSet) -> date:
    """Return the day from which a target is in force: its week's Monday at the soonest.

    It is the day on which it was set where that is later.
    """
    monday = target.week.monday if target.week else target.local_date
    return max(target.local_date, monday)


@dataclass(frozen=True, slots=True)
class Known:
    """The days of a log, for another log that begins as this one does.

    Asking again what would have changed an answer changes the last sessions only, and
    ten years take a while to go through.
    """

    sessions: tuple[Session, ...]
    days: tuple[Day, ...]

    def agree_before(self, sessions: tuple[Session, ...]) -> date:
        """Return the day before which SESSIONS, and so the days, are the same."""
        pairs = zip(self.sessions, sessions, strict=False)
        shorter = min(len(self.sessions), len(sessions))
        same = next((n for n, (a, b) in enumerate(pairs) if a is not b), shorter)
        others = itertools.chain(self.sessions[same:], sessions[same:])
        return min((session.local_date for session in others), default=date.max)


def days_of(
    history: History,
    plan: Plan,
    exercise: str,
    *,
    sets: int | None = None,
    known: Known | None = None,
) -> tuple[Day, ...]:
    """Give the days on which EXERCISE was trained or hurt, oldest first.

    SETS is how many were planned where a session didn't keep it (holds that were
    added by hand); by default the plan's. KNOWN are its days in another log, with the
    same start, sets and targets.
    """
    agreed = date.min if known is None else known.agree_before(history.sessions)
    days = [] if known is None else [day for day in known.days if day.date < agreed]
    by_date: dict[date, list[Session]] = defaultdict(list)
    for session in history.sessions:
        if session.local_date >= agreed and _has_any(session, exercise):
            by_date[session.local_date].append(session)
    entry = entry_or_default(plan, exercise)
    default_sets = sets or entry.sets
    in_force_s = next((day.target_s for day in reversed(days) if day.holds), None)
    if in_force_s is None:
        in_force_s = entry.start_s
    was_set = False
    coming = _coming_into_force(targets_for(history, exercise))
    for day in sorted(by_date):
        while coming and coming[0][0] <= day:
            in_force_s, was_set = coming.pop(0)[1], True
        made = _day(day, by_date[day], exercise, default_sets, in_force_s)
        if made.holds and not was_set:
            in_force_s = made.target_s
        days.append(made)
    return tuple(days)


def _has_any(session: Session, exercise: str) -> bool:
    # A loop of its own: several times faster than ``any``, for thousands of sessions.
    for hold in session.holds:  # noqa: SIM110
        if hold.exercise == exercise:
            return True
    return False


def _coming_into_force(targets: Sequence[TargetSet]) -> list[tuple[date, float]]:
    """Return from which day on which target is in force, for TARGETS in their order.

    One that comes later in the order is not ousted by one that comes before it.
    """
    found: list[tuple[date, float]] = []
    for target in reversed(targets):
        begins = in_force_from(target)
        if not found or begins < found[0][0]:
            found.insert(0, (begins, target.target_s))
    return found


def by_hand(session: Session, hold: Hold) -> bool:
    """Tell whether HOLD of SESSION was logged by hand."""
    return session.kind is SessionKind.ADDED or hold.ended_by is EndedBy.ADDED


def _day(
    day: date,
    sessions: Sequence[Session],
    exercise: str,
    default_sets: int,
    in_force_s: float,
) -> Day:
    led: list[Hold] = []
    added: list[Hold] = []
    pain: list[Pain] = []
    planned_sets = 0
    led_target_s: float | None = None
    for session in sessions:
        planned = [
            part
            for part in session.planned
            if part.exercise == exercise and session.kind in RULE_KINDS
        ]
        planned_sets = max(planned_sets, len(planned))
        led_here = False
        for hold in session.holds:
            if hold.exercise != exercise:
                continue
            pain.extend(hold.pain)
            if not hold.counts or not for_rules(session, hold):
                continue
            if by_hand(session, hold):
                added.append(hold)
                continue
            led.append(hold)
            led_here = True
            led_target_s = hold.target_s or led_target_s
        if led_target_s is None and led_here and planned:
            led_target_s = planned[-1].target_s
    planned_sets = planned_sets or default_sets
    target_s = led_target_s if led else _set_by_hand(added, planned_sets)
    if target_s is None:
        target_s = in_force_s
    tries, left_out = _sorted_out(added, target_s, in_force_s)
    return Day(
        date=day,
        target_s=target_s,
        planned_sets=planned_sets,
        holds=(*led, *tries),
        pain=tuple(pain),
        left_out=left_out,
    )


def _set_by_hand(added: Sequence[Hold], planned_sets: int) -> float | None:
    """Return the target that a day logged by hand sets, if it does.

    Two holds at the same target do, or as many as are planned; where there are several
    such targets, the one logged last.
    """
    enough = min(SETS_A_TARGET, planned_sets)
    for last in reversed(added):
        if last.target_s is None:
            continue
        if sum(_is_at(hold, last.target_s) for hold in added) >= enough:
            return last.target_s
    return None


def _sorted_out(
    added: Sequence[Hold], target_s: float, in_force_s: float
) -> tuple[tuple[Hold, ...], tuple[Hold, ...]]:
    """Part holds logged by hand into tries at the day's target, and those left out.

    A hold at another target, or at none, is a try where it reached the one in force.
    """
    reached_s = max(target_s, in_force_s) - CLEAN_SLACK_S - 1e-9
    tries = tuple(
        hold
        for hold in added
        if _is_at(hold, target_s) or hold.kept_or_held_s >= reached_s
    )
    return tries, tuple(hold for hold in added if hold not in tries)


def _is_at(hold: Hold, target_s: float) -> bool:
    return hold.target_s is not None and same_target(hold.target_s, target_s)


def trained(days: Sequence[Day]) -> tuple[Day, ...]:
    """Give the days that count: with at least one hold that is evidence."""
    return tuple(day for day in days if day.holds)


def target_in_force(
    history: History,
    plan: Plan,
    exercise: str,
    *,
    week: IsoWeek | None = None,
    days: Sequence[Day] | None = None,
) -> float:
    """Give the seconds that EXERCISE stands at.

    The last target that a person or a coach set or that came with a suggestion taken;
    else that of the last session; else the plan's start. With WEEK, targets that were
    taken for a later week are not in force yet. DAYS are the exercise's trained days,
    from whoever has them at hand: ten years take a while to go through.
    """
    targets = targets_for(history, exercise, week)
    if targets:
        return targets[-1].target_s
    if days is None:
        days = trained(days_of(history, plan, exercise))
    return days[-1].target_s if days else entry_or_default(plan, exercise).start_s


def own_target(
    history: History, exercise: str, week: IsoWeek | None = None
) -> TargetSet | None:
    """Give the target in force if a person or a coach set it, else None."""
    targets = targets_for(history, exercise, week)
    if targets and targets[-1].author in (Author.PERSON, Author.COACH):
        return targets[-1]
    return None


def run_at(days: Sequence[Day], target_s: float) -> tuple[Day, ...]:
    """Give the latest days at TARGET_S, back to the first one at another target."""
    run: list[Day] = []
    for day in reversed(trained(days)):
        if not same_target(day.target_s, target_s):
            break
        run.append(day)
    return tuple(reversed(run))


def last_running(run: Sequence[Day], count: int) -> tuple[Day, ...]:
    """Give the last COUNT days if each is less than 14 days after the one before."""
    last = tuple(run[-count:])
    if len(last) < count:
        return ()
    gaps = (
        (later.date - earlier.date).days for earlier, later in itertools.pairwise(last)
    )
    return last if all(gap < RUNNING_DAYS for gap in gaps) else ()


def median_kept_s(days: Sequence[Day]) -> float:
    """Give the median of the seconds kept in all sets of DAYS."""
    # Not from the statistics module: importing it takes longer than all the rules.
    kept_s = sorted(each_s for day in days for each_s in day.kept_s)
    middle = len(kept_s) // 2
    if len(kept_s) % 2:
        return kept_s[middle]
    return (kept_s[middle - 1] + kept_s[middle]) / 2


def ups(
    history: History,
    exercise: str,
    days: Sequence[Day],
    week: IsoWeek | None = None,
) -> tuple[date, ...]:
    """Give the dates on which the target rose, oldest first.

    A target that was set counts from the Monday of its week, or from when it was set
    if that is later. Before any was set, a session at a higher target is the rise.
    """
    targets = targets_for(history, exercise, week)
    first_set = min((target.local_date for target in targets), default=date.max)
    steps = [(day.date, day.target_s) for day in trained(days) if day.date < first_set]
    steps.extend((in_force_from(target), target.target_s) for target in targets)
    return tuple(
        when
        for (_, before_s), (when, after_s) in itertools.pairwise(steps)
        if after_s > before_s + _TINY_S
    )
