from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone

import pytest

from trainer.core.logbook import (
    Correction,
    corrections,
    next_set_number,
    noon_of,
    session_to_join,
    with_held,
)
from trainer.core.model import (
    EndedBy,
    Felt,
    Hold,
    Session,
    SessionKind,
    Side,
    Site,
    StoppedBy,
)

ZONE = timezone(timedelta(hours=1))
SIX = datetime(2026, 3, 2, 18, 0, tzinfo=ZONE)
HOUR = timedelta(hours=1)


def hold(at: datetime = SIX, held_s: float = 30.0, number: int = 1) -> Hold:
    return Hold(
        uid=f"hold {at} {number}",
        exercise="hang",
        set_number=number,
        held_s=held_s,
        kept_s=held_s,
        ended_by=EndedBy.TARGET,
        started_at=at,
    )


def session(at: datetime, *, minutes: int = 30) -> Session:
    return Session(
        uid=f"session {at}",
        kind=SessionKind.PLAN,
        started_at=at,
        utc_offset_min=60,
        local_date=at.date(),
        ended_at=at + timedelta(minutes=minutes),
    )


@pytest.mark.parametrize(
    ("away", "joins"),
    [
        (-timedelta(hours=2, seconds=1), False),
        (-timedelta(hours=2), True),
        (timedelta(0), True),
        (timedelta(minutes=15), True),
        (timedelta(minutes=30) + 2 * HOUR, True),
        (timedelta(minutes=30, seconds=1) + 2 * HOUR, False),
    ],
)
def test_a_hold_joins_the_session_within_two_hours(
    away: timedelta, joins: bool
) -> None:
    """Two hours before its start to two hours after its end, the edges included."""
    evening = session(SIX)

    found = session_to_join([evening], at=SIX + away, has_time=True)

    assert (evening if joins else None) == found


def test_a_hold_joins_the_nearer_of_two_sessions() -> None:
    """Between two sessions it goes to the nearer one."""
    first, second = session(SIX), session(SIX + 3 * HOUR)

    assert first == session_to_join([first, second], at=SIX + 1.5 * HOUR, has_time=True)
    assert second == session_to_join(
        [first, second], at=SIX + 2.5 * HOUR, has_time=True
    )


def test_a_date_alone_joins_the_only_session_of_the_day() -> None:
    """Without a time the day's only session is meant, however far from noon."""
    late = session(SIX + 4 * HOUR)

    assert late == session_to_join([late], at=noon_of(SIX), has_time=False)


def test_a_date_alone_goes_to_noon_where_the_day_has_two_sessions() -> None:
    """With two sessions nobody knows which one, so noon decides like a time given."""
    early, late = session(SIX - 10 * HOUR), session(SIX)

    assert None is session_to_join([early, late], at=noon_of(SIX), has_time=False)


def test_a_session_without_an_end_lasts_until_its_last_hold() -> None:
    """A session under way, or one that crashed, is as long as its holds say."""
    open_end = replace(session(SIX), ended_at=None, holds=(hold(SIX + HOUR),))

    found = session_to_join([open_end], at=SIX + 3 * HOUR, has_time=True)

    assert open_end == found


def test_set_numbers_go_on_by_exercise() -> None:
    """The next set of an exercise follows its highest number; a new one starts at 1."""
    holds = (hold(number=1), hold(number=2))

    assert 3 == next_set_number(holds, "hang")
    assert 1 == next_set_number(holds, "press-pike")


def test_lowering_held_lowers_kept_with_it() -> None:
    """Kept is never longer than held; raising held leaves kept as it was said."""
    assert (20.0, 20.0) == _pair(with_held(hold(), 20.0))
    assert (40.0, 30.0) == _pair(with_held(hold(), 40.0))
    assert None is with_held(replace(hold(), kept_s=None), 20.0).kept_s


def _pair(held: Hold) -> tuple[float, float | None]:
    return held.held_s, held.kept_s


def test_a_correction_names_each_figure_that_changed() -> None:
    """Only what differs is listed, as plain values that JSON can hold."""
    before = hold()
    after = replace(
        before,
        rpe=8.0,
        stopped_by=StoppedBy.GRIP,
        felt=(Felt(Site.LATS, Side.LEFT),),
    )

    assert {
        Correction("rpe", None, 8.0),
        Correction("stopped_by", None, "grip"),
    } == {each for each in corrections(before, after) if each.what != "felt"}
    lats = {"site": "lats", "side": "left", "moment": None, "strength": None}
    assert [[lats]] == [
        each.after for each in corrections(before, after) if each.what == "felt"
    ]
    assert () == corrections(before, before)
