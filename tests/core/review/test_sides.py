"""Left against right: one mark a session and site, judged by the binomial test."""

from __future__ import annotations

from datetime import date, timedelta

import pytest

from tests.core.histories import hold, session
from tests.references import in_one_worker, stats
from trainer.core.model import Felt, Pain, PainKind, Session, Side, Site
from trainer.core.review.sides import LEVEL, OneSided, binomial_p, one_sided
from trainer.core.weeks import IsoWeek

pytestmark = in_one_worker
LAST = IsoWeek(2026, 40)
DAYS = [LAST.monday - timedelta(weeks=3) + timedelta(days=n) for n in range(28)]


def felt(day: date, *sides: Side | None, site: Site = Site.PECS) -> Session:
    """Return a session with a hold for each side on which SITE was felt."""
    return session(day, *(hold(day=day, felt=(Felt(site, side),)) for side in sides))


def marked(left: int, right: int) -> list[Session]:
    """Return so many sessions with the left alone, then so many with the right."""
    sides = [Side.LEFT] * left + [Side.RIGHT] * right
    return [felt(day, side) for day, side in zip(DAYS, sides, strict=False)]


def found(*sessions: Session, weeks: int = 4) -> tuple[OneSided, ...]:
    return one_sided(sessions, first=LAST.plus(1 - weeks), last=LAST)


@pytest.mark.parametrize("tosses", range(1, 29))
def test_agrees_with_scipy(tosses: int) -> None:
    """Source: scipy.stats.binomtest, two-sided with p = 0.5, for every split."""
    for left in range(tosses + 1):
        theirs = stats.binomtest(left, tosses, 0.5).pvalue

        assert pytest.approx(theirs) == binomial_p(left, tosses - left)


def test_no_marks_are_no_surprise() -> None:
    """Nothing on either side is as even as can be."""
    assert 1 == binomial_p(0, 0)


@pytest.mark.parametrize(
    ("left", "right", "said"),
    [(6, 0, True), (5, 0, False), (8, 1, True), (7, 1, False), (0, 6, True)],
)
def test_from_six_to_nought_and_eight_to_one_on(
    left: int, right: int, said: bool
) -> None:
    """The counts at which p falls below 0.05, and those next to them."""
    assert said is bool(found(*marked(left, right)))
    assert said is bool(stats.binomtest(left, left + right, 0.5).pvalue < LEVEL)


def test_one_mark_a_session_however_often_it_is_noted() -> None:
    """Three sets with the left pecs are one mark: two such sessions say nothing."""
    thrice = [felt(day, Side.LEFT, Side.LEFT, Side.LEFT) for day in DAYS[:2]]

    assert () == found(*thrice)


def test_a_session_with_both_sides_is_none_for_either() -> None:
    """Both at once, or left and right in two sets, speak for no side."""
    even = [felt(day, Side.BOTH) for day in DAYS[:3]]
    even += [felt(day, Side.LEFT, Side.RIGHT) for day in DAYS[3:6]]
    left = [felt(day, Side.LEFT) for day in DAYS[6:12]]
    (one,) = found(*even, *left)

    assert (6, 0, Side.LEFT) == (one.left, one.right, one.side)


def test_a_side_left_open_is_no_mark() -> None:
    """Nothing is made up where no side was noted."""
    assert () == found(*(felt(day, None) for day in DAYS[:10]))


def test_sites_are_counted_apart() -> None:
    """Three on the left pecs and three on the left lats are not six of one."""
    sessions = [felt(day, Side.LEFT) for day in DAYS[:3]]
    sessions += [felt(day, Side.LEFT, site=Site.LATS) for day in DAYS[3:6]]

    assert () == found(*sessions)


def test_pain_is_judged_the_same_and_comes_first() -> None:
    """Six sessions with pain in the right wrist; six with the left pecs felt."""
    sore = (Pain(PainKind.PAIN, Site.WRIST, Side.RIGHT),)
    sessions = [
        session(day, hold(day=day, pain=sore, felt=(Felt(Site.PECS, Side.LEFT),)))
        for day in DAYS[:6]
    ]

    assert [(True, Site.WRIST, Side.RIGHT), (False, Site.PECS, Side.LEFT)] == [
        (one.hurt, one.site, one.side) for one in found(*sessions)
    ]


def test_four_weeks_at_a_time_the_newest_first() -> None:
    """Six to nought in each of two blocks are told with their own weeks."""
    before = [
        felt(day - timedelta(weeks=4), side)
        for day, side in zip(DAYS, [Side.RIGHT] * 6, strict=False)
    ]
    newest, oldest = found(*before, *marked(6, 0), weeks=8)

    assert (Side.LEFT, LAST) == (newest.side, newest.last)
    assert (Side.RIGHT, LAST.plus(-4)) == (oldest.side, oldest.last)
    assert LAST.plus(-7) == oldest.first


def test_three_and_three_over_two_blocks_are_not_six() -> None:
    """What is spread over eight weeks isn't added up."""
    before = [felt(day - timedelta(weeks=4), Side.LEFT) for day in DAYS[:3]]

    assert () == found(*before, *marked(3, 0), weeks=8)
