"""Left against right: whether four weeks are one-sided beyond chance.

One mark a session and site: a session in which a site was felt on the left alone is one
for the left, however often it was noted in it. A session with both sides is none for
either. If the sides were alike, each mark would fall on either as a coin does; the
two-sided binomial test says how seldom a coin is as one-sided (6 to 0, 8 to 1).
"""

from __future__ import annotations

import math
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from trainer.core.model import Session, Side, Site
from trainer.core.review.felt import BLOCK_WEEKS
from trainer.core.weeks import IsoWeek

LEVEL = 0.05
"""A count that a coin reaches less often than this is beyond chance (common
practice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class OneSided:
    """Four weeks in which a site was noted on one side more than chance would."""

    site: Site
    hurt: bool
    """Pain, numbness or dizziness; else a stretch."""
    left: int
    """Sessions with the left alone."""
    right: int
    first: IsoWeek
    last: IsoWeek
    running: bool
    """Whether the last week is the one that runs: the four weeks aren't over."""

    @property
    def side(self) -> Side:
        """Return the side that it is on."""
        return Side.LEFT if self.left > self.right else Side.RIGHT

    @property
    def p(self) -> float:
        """Return how often a coin is as one-sided, 0 to 1."""
        return binomial_p(self.left, self.right)


def binomial_p(left: int, right: int) -> float:
    """Return the two-sided chance that a fair coin falls at least as unevenly."""
    tosses, fewer = left + right, min(left, right)
    tail = sum(math.comb(tosses, n) for n in range(fewer + 1))
    return min(1.0, 2 * tail / (1 << tosses))


def one_sided(
    sessions: Iterable[Session], *, first: IsoWeek, last: IsoWeek
) -> tuple[OneSided, ...]:
    """Return every four weeks and site that are one-sided, newest and surest first.

    The period is cut as the felt map is, into blocks of four weeks that end with LAST.
    """
    by_block: dict[int, list[Session]] = defaultdict(list)
    for session in sessions:
        week = IsoWeek.of(session.local_date)
        if first <= week <= last:
            by_block[last.since(week) // BLOCK_WEEKS].append(session)
    found = []
    for back in sorted(by_block):
        end = last.plus(-back * BLOCK_WEEKS)
        begin = max(first, end.plus(1 - BLOCK_WEEKS))
        of_block = [
            OneSided(
                site=site,
                hurt=hurt,
                left=left,
                right=right,
                first=begin,
                last=end,
                running=back == 0,
            )
            for hurt in (True, False)
            for site, (left, right) in _marks(by_block[back], hurt=hurt).items()
            if binomial_p(left, right) < LEVEL
        ]
        found += sorted(of_block, key=lambda one: (not one.hurt, one.p))
    return tuple(found)


def _marks(sessions: Sequence[Session], *, hurt: bool) -> dict[Site, tuple[int, int]]:
    """Count by site the sessions with the left alone and with the right alone."""
    counts: dict[Site, list[int]] = defaultdict(lambda: [0, 0])
    for session in sessions:
        sides: dict[Site, set[Side]] = defaultdict(set)
        for site, side in _noted(session, hurt=hurt):
            sides[site].add(side)
        for site, noted in sides.items():
            if noted == {Side.LEFT}:
                counts[site][0] += 1
            elif noted == {Side.RIGHT}:
                counts[site][1] += 1
    return {site: (left, right) for site, (left, right) in counts.items()}


def _noted(session: Session, *, hurt: bool) -> Iterator[tuple[Site, Side]]:
    for hold in session.holds:
        for sign in hold.pain if hurt else hold.felt:
            if sign.site is not None and sign.side is not None:
                yield sign.site, sign.side
