"""How often next week's chances came true.

A suggestion that was shown with a chance is scored by the first session of its exercise
in its week, begun after it was shown and trained at its target. Where several were
shown before that session, the last one is scored. What was never trained, or was cut
short by the machine, is left out.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from trainer.core import words
from trainer.core.model import CLEAN_SLACK_S, History, Hold, Session, ShownSuggestion
from trainer.core.next_week.days import for_rules, same_target
from trainer.core.weeks import IsoWeek

BINS = 5
"""Rows of the reliability table: fifths of the chance (our choice)."""
ENOUGH = 10
"""From so many scored suggestions on, the score is said in a sentence (our choice)."""


@dataclass(frozen=True, slots=True)
class Scored:
    """One chance that was shown, and what came of it."""

    exercise: str
    chance: float
    made: bool


@dataclass(frozen=True, slots=True)
class ReliabilityRow:
    """The suggestions whose chance lay between LOW and HIGH."""

    low: float
    high: float
    count: int
    mean_chance: float | None
    """None with nothing in the row."""
    share_made: float | None


@dataclass(frozen=True, slots=True)
class Score:
    """How good the chances were."""

    count: int
    brier: float | None
    """Mean squared distance of chance and outcome: 0 best, 1 worst, 0.25 for always
    saying one half (Brier 1950). None with nothing to score."""
    share_made: float | None
    table: tuple[ReliabilityRow, ...]

    def sentence(self) -> str:
        """Say the score in one sentence; empty until there is enough."""
        if self.count < ENOUGH or self.brier is None or self.share_made is None:
            return ""
        expected = sum(
            row.count * row.mean_chance
            for row in self.table
            if row.mean_chance is not None
        )
        made = round(self.share_made * self.count)
        return (
            f"Of {self.count} targets that were shown and trained, {made} were made;"
            f" the estimate expected {expected:.1f}. Brier score {self.brier:.2f}"
            " (0 is perfect, 0.25 is guessing)."
        )


def scored(history: History, *, week: IsoWeek | None = None) -> tuple[Scored, ...]:
    """Match what was shown with what was trained, in order of the sessions.

    With WEEK, what was shown for that week alone.
    """
    found: list[Scored] = []
    used: set[tuple[str, str]] = set()
    shown_for: dict[tuple[str, IsoWeek], list[ShownSuggestion]] = defaultdict(list)
    for one in history.shown:
        if week is None or one.week == week:
            shown_for[one.exercise, one.week].append(one)
    for session in history.sessions if shown_for else ():
        holds = [hold for hold in session.holds if for_rules(session, hold)]
        for exercise in dict.fromkeys(hold.exercise for hold in holds):
            mine = [hold for hold in holds if hold.exercise == exercise]
            shown = _last_shown(
                shown_for.get((exercise, IsoWeek.of(session.local_date)), ()), session
            )
            if shown is None or shown.chance is None or shown.target_s is None:
                continue
            key = (exercise, str(shown.week))
            if key in used or not _comparable(mine, shown.target_s):
                continue
            used.add(key)
            made = _all_made(mine, shown.target_s, shown.sets)
            chance = words.bounded_chance(shown.chance)
            found.append(Scored(exercise, chance, made))
    return tuple(found)


def _last_shown(
    shown: Iterable[ShownSuggestion], session: Session
) -> ShownSuggestion | None:
    before = [one for one in shown if one.shown_at <= session.started_at]
    return max(before, key=lambda one: one.shown_at, default=None)


def _comparable(holds: Sequence[Hold], target_s: float) -> bool:
    """Tell whether the session tried the target and nothing cut it short."""
    return all(
        hold.counts
        and hold.target_s is not None
        and same_target(hold.target_s, target_s)
        for hold in holds
    )


def _all_made(holds: Sequence[Hold], target_s: float, sets: int) -> bool:
    goal_s = target_s - CLEAN_SLACK_S - 1e-9
    return len(holds) >= sets and all(hold.kept_or_held_s >= goal_s for hold in holds)


def brier(pairs: Iterable[tuple[float, bool]]) -> float | None:
    """Give the mean squared distance of chance and outcome; None of nothing."""
    squares = [(chance - made) ** 2 for chance, made in pairs]
    return sum(squares) / len(squares) if squares else None


def score(results: Sequence[Scored]) -> Score:
    """Score what was matched."""
    rows = []
    for number in range(BINS):
        low, high = number / BINS, (number + 1) / BINS
        inside = [one for one in results if _bin(one.chance) == number]
        rows.append(
            ReliabilityRow(
                low,
                high,
                len(inside),
                _mean([one.chance for one in inside]),
                _mean([float(one.made) for one in inside]),
            )
        )
    return Score(
        count=len(results),
        brier=brier((one.chance, one.made) for one in results),
        share_made=_mean([float(one.made) for one in results]),
        table=tuple(rows),
    )


def _bin(chance: float) -> int:
    return min(BINS - 1, int(chance * BINS))


def _mean(values: Sequence[float]) -> float | None:
    return sum(values) / len(values) if values else None


def score_of(history: History, *, week: IsoWeek | None = None) -> Score:
    """Score all that was shown and then trained; with WEEK, what was for that week."""
    return score(scored(history, week=week))
