"""All sets of one exercise on one local day: what the rules call a session."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from trainer.core.model import (
    CLEAN_SLACK_S,
    EndedBy,
    Feet,
    Hold,
    Pain,
    Site,
    StoppedBy,
)

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
        """Tell whether some set was kept for less than that share of its target."""
        return any(
            hold.kept_or_held_s < share * (hold.target_s or self.target_s) - 1e-9
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
        """Whether some set was held longer than it was kept."""
        return any(h.kept_s is not None and h.kept_s < h.held_s for h in self.holds)

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
