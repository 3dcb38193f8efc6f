from __future__ import annotations

from dataclasses import replace
from datetime import datetime, timedelta, timezone
from uuid import uuid4

import pytest

from tests.store.makers import Makers
from trainer.core.logbook import LoggedKind
from trainer.core.model import Author, EndedBy, SessionKind, TargetSet
from trainer.core.plan.plan import default_plan
from trainer.core.weeks import IsoWeek
from trainer.store import Store

ZONE = timezone(timedelta(hours=-7))
SIX = datetime(2026, 3, 2, 18, 0, tzinfo=ZONE)


def test_an_added_hold_begins_a_session_of_its_own(store: Store, make: Makers) -> None:
    """With nothing near, a session of kind added is begun at that time."""
    uid = store.add_hold(make.hold(ended_by=EndedBy.ADDED), at=SIX, has_time=True)

    (session,) = store.history().sessions
    assert uid == session.uid
    assert SessionKind.ADDED is session.kind
    assert (SIX, -420, SIX.date()) == (
        session.started_at,
        session.utc_offset_min,
        session.local_date,
    )
    assert [(SIX, 1)] == [(h.started_at, h.set_number) for h in session.holds]
    assert SIX + timedelta(seconds=30) == session.ended_at


def test_a_date_alone_means_noon(store: Store, make: Makers) -> None:
    """A day without a session gets one at noon, local time."""
    make.clock.advance(86400)
    store.add_hold(make.hold(), at=SIX, has_time=False)

    assert SIX.replace(hour=12) == store.history().sessions[0].started_at


def test_a_date_alone_of_today_before_noon_means_now(
    store: Store, make: Makers
) -> None:
    """No hold is stored that hasn't been done yet, and the day stays the day."""
    make.clock.advance(-9 * 3600)
    now = make.clock.wall()

    store.add_hold(make.hold(), at=now, has_time=False)

    (session,) = store.history().sessions
    assert now == session.started_at == session.holds[0].started_at
    assert now.date() == session.local_date


def test_holds_added_together_make_one_session(store: Store, make: Makers) -> None:
    """The second joins the first, as the next set, also with a date alone."""
    uids = {store.add_hold(make.hold(), at=SIX, has_time=False) for _ in range(3)}

    (session,) = store.history().sessions
    assert {session.uid} == uids
    assert [1, 2, 3] == [hold.set_number for hold in session.holds]


def test_an_added_hold_joins_the_session_of_that_evening(
    store: Store, make: Makers
) -> None:
    """A hold forgotten during a session goes into it; the session's kind stays."""
    session = make.logged(store, make.hold(SIX), started_at=SIX)

    uid = store.add_hold(make.hold(), at=SIX + timedelta(hours=1), has_time=True)

    found = store.session(uid)
    assert found is not None
    assert (session.uid, SessionKind.PLAN) == (found.uid, found.kind)
    assert [1, 2] == [hold.set_number for hold in found.holds]


def test_an_added_hold_never_joins_across_midnight(store: Store, make: Makers) -> None:
    """Ten minutes apart but on two local days: two sessions."""
    late = SIX.replace(hour=23, minute=55)
    make.logged(store, make.hold(late), started_at=late)

    store.add_hold(make.hold(), at=late + timedelta(minutes=10), has_time=True)

    assert 2 == len(store.history().sessions)


def test_undo_goes_back_one_thing_at_a_time(store: Store, make: Makers) -> None:
    """The last thing logged first, in words; at the end there is nothing left."""
    session = make.logged(store, make.hold())
    store.end_session(session.uid, ended_at=make.clock.wall())
    make.clock.advance(1)
    store.set_rest_week(IsoWeek(2026, 11), True)
    make.clock.advance(1)
    store.set_target(
        TargetSet(
            uid=str(uuid4()),
            exercise="hang",
            target_s=35.0,
            author=Author.PERSON,
            set_at=make.clock.wall(),
            local_date=make.clock.wall().date(),
        )
    )
    make.clock.advance(1)
    store.add_hold(
        make.hold(held_s=41.9, ended_by=EndedBy.ADDED),
        at=make.clock.wall() + timedelta(days=1),
        has_time=True,
    )

    sentences = []
    while (logged := store.last_logged()) is not None:
        sentences.append(logged.sentence)
        assert store.take_back(logged)

    assert [
        "Passive hang, 41 s held, on 3 March 2026, added by hand",
        "the target of 35 s for Passive hang, set on 2 March 2026",
        "the rest week of 9 March 2026 (2026-W11)",
        "Passive hang, 30 s held, on 2 March 2026",
        "a session without holds, on 2 March 2026",
    ] == sentences
    history = store.history()
    assert ((), (), frozenset()) == (
        history.sessions,
        history.targets,
        history.rest_weeks,
    )


def test_taking_back_twice_is_taking_back_once(store: Store, make: Makers) -> None:
    """The second time tells that there was nothing to do."""
    make.logged(store, make.hold())
    logged = store.last_logged()
    assert logged is not None
    assert LoggedKind.HOLD is logged.kind

    assert [True, False] == [store.take_back(logged) for _ in range(2)]


def test_a_correction_is_taken_back_before_what_was_logged_earlier(
    store: Store, make: Makers
) -> None:
    """The hold has its former figures again, and the next undo takes a hold."""
    first, second = make.hold(), make.hold(set_number=2)
    make.logged(store, first)
    make.clock.advance(10)
    make.logged(store, second)
    make.clock.advance(10)
    store.correct_hold(make.hold(uid=first.uid, held_s=10.0))
    make.clock.advance(10)

    correction = store.last_logged()
    assert correction is not None
    assert LoggedKind.CORRECTION is correction.kind
    assert store.take_back(correction)
    assert first == store.hold(first.uid)
    before = store.last_logged()
    assert before is not None
    assert second.uid == before.uid


def test_each_change_of_the_plan_can_be_taken_back(store: Store, make: Makers) -> None:
    """Two changes on one day: undo gives the first one back, then what was before."""
    first, second = (replace(default_plan(), days=(day,)) for day in (1, 6))
    today = make.clock.wall().date()
    for plan in (first, second):
        store.save_plan(plan, valid_from=today)

    for left in (first, default_plan()):
        logged = store.last_logged()
        assert logged is not None
        assert LoggedKind.PLAN is logged.kind
        assert "change of the plan, in force from 2 March 2026" in logged.sentence
        assert store.take_back(logged)
        assert left == store.plan()
    assert not store.has_plan()


def test_a_plan_saved_after_the_clock_was_set_back_is_the_later_one(
    store: Store, make: Makers
) -> None:
    """What was saved last is in force, whatever the wall said."""
    today = make.clock.wall().date()
    store.save_plan(replace(default_plan(), days=(1,)), valid_from=today)
    make.clock.advance(-3600)

    store.save_plan(replace(default_plan(), days=(6,)), valid_from=today)

    assert (6,) == store.plan().days


def test_an_added_session_keeps_the_name_of_its_zone(
    store: Store, make: Makers, monkeypatch: pytest.MonkeyPatch
) -> None:
    """The name, not the abbreviation: CET is the time of many places."""
    monkeypatch.setenv("TZ", "Europe/Vienna")

    store.add_hold(make.hold(), at=make.clock.wall(), has_time=True)

    assert ["Europe/Vienna"] == [one.zone for one in store.history().sessions]
