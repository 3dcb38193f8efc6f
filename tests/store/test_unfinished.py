from __future__ import annotations

from dataclasses import replace
from datetime import timedelta
from pathlib import Path

import pytest

from tests.store.makers import Makers
from trainer.core.model import EndedBy, Feet
from trainer.errors import DataBusyError
from trainer.store import Store, open_store


def test_nothing_is_unfinished_at_first(store: Store) -> None:
    """A fresh file has nothing to offer."""
    assert None is store.unfinished()


def test_the_hold_under_way_is_found_after_a_crash(
    path: Path, store: Store, make: Makers
) -> None:
    """Whoever opens the file next learns how far the hold had come."""
    hold = make.hold(feet=Feet.TOES, allowance_s=3.0)
    session = make.logged(store)
    for second in range(1, 13):
        make.clock.advance(1)
        store.journal(session.uid, replace(hold, held_s=float(second)))
    store.close()

    with open_store(path, clock=make.clock) as later:
        found = later.unfinished()

        assert found is not None
        assert session.uid == found.session_uid
        assert replace(hold, held_s=12.0, ended_by=EndedBy.CRASH) == found.hold
        assert make.clock.wall() == found.journaled_at


def test_keeping_logs_the_last_journaled_second(store: Store, make: Makers) -> None:
    """Kept as it stands, the hold is in the log as one that a crash ended."""
    hold = make.hold()
    session = make.logged(store)
    store.journal(session.uid, replace(hold, held_s=12.0))

    store.keep_unfinished(None)

    found = store.session(session.uid)
    assert found is not None
    assert [(hold.uid, 12.0, EndedBy.CRASH, True)] == [
        (each.uid, each.held_s, each.ended_by, each.confirmed) for each in found.holds
    ]
    assert make.clock.wall() == found.ended_at
    assert None is store.unfinished()


def test_another_figure_can_be_kept(store: Store, make: Makers) -> None:
    """The person knows better how long it was."""
    session = make.logged(store)
    store.journal(session.uid, make.hold(held_s=12.0))

    store.keep_unfinished(27.5)

    assert [27.5] == [hold.held_s for hold in store.history().sessions[0].holds]


def test_dropping_forgets_the_hold(path: Path, store: Store, make: Makers) -> None:
    """Nothing of it is left in the log; the session that crashed stays, ended."""
    session = make.logged(store, make.hold(set_number=1))
    store.journal(session.uid, make.hold(held_s=12.0, set_number=2))
    store.close()

    with open_store(path, clock=make.clock) as later:
        later.drop_unfinished()

        found = later.session(session.uid)
        assert found is not None
        assert [1] == [hold.set_number for hold in found.holds]
        assert None is not found.ended_at
        assert None is later.unfinished()


def test_dropping_in_a_running_session_lets_it_run(
    path: Path, store: Store, make: Makers
) -> None:
    """A hold that is set up again is forgotten; the session goes on, and a hold that
    an earlier crash left behind is still there to be asked about.
    """
    crashed = make.logged(store)
    store.journal(crashed.uid, make.hold(held_s=7.0))
    store.close()
    with open_store(path, clock=make.clock) as later:
        running = make.logged(later)
        later.journal(running.uid, make.hold(held_s=12.0))

        later.drop_unfinished()
        later.drop_unfinished()

        found = later.session(running.uid)
        assert found is not None
        assert None is found.ended_at
        left = later.unfinished()
        assert left is not None
        assert crashed.uid == left.session_uid


def test_a_finished_hold_is_not_unfinished(store: Store, make: Makers) -> None:
    """Saving a hold ends its journal."""
    hold = make.hold()
    session = make.logged(store)
    store.journal(session.uid, replace(hold, held_s=29.0))

    store.save_hold(session.uid, hold)

    assert None is store.unfinished()


def test_a_false_start_leaves_nothing_unfinished(store: Store, make: Makers) -> None:
    """A hold that was taken out before it was ever saved isn't offered either."""
    hold = make.hold(held_s=2.0)
    session = make.logged(store)
    store.journal(session.uid, hold)

    store.take_out_hold(hold.uid)

    assert None is store.unfinished()


def test_ending_the_session_ends_its_journal(store: Store, make: Makers) -> None:
    """A session that ended in good order has nothing under way."""
    session = make.logged(store)
    store.journal(session.uid, make.hold(held_s=2.0))

    store.end_session(session.uid, ended_at=make.clock.wall())

    assert None is store.unfinished()


def test_a_hold_under_way_in_another_program_is_left_alone(
    path: Path, store: Store, make: Makers
) -> None:
    """While another program has the lock, its hold isn't offered as a crashed one."""
    assert store.take_lock()
    session = make.logged(store)
    store.journal(session.uid, make.hold(held_s=2.0))

    with open_store(path, clock=make.clock) as second:
        assert not second.take_lock()
        assert None is second.unfinished()


def test_of_two_crashes_each_is_offered(store: Store, make: Makers) -> None:
    """Crashed twice without an answer: first the later hold, then the earlier one."""
    first = make.logged(store)
    store.journal(first.uid, make.hold(held_s=5.0))
    make.clock.advance(timedelta(days=1).total_seconds())
    second = make.logged(store)
    store.journal(second.uid, make.hold(held_s=6.0))

    offered = []
    while (found := store.unfinished()) is not None:
        offered.append(found.hold.held_s)
        store.keep_unfinished()

    assert [6.0, 5.0] == offered


def test_of_two_programs_that_look_the_first_that_starts_may_train(
    path: Path, store: Store, make: Makers
) -> None:
    """Looking for an unfinished hold keeps nobody from a session; a session does."""
    crashed = make.logged(store)
    store.journal(crashed.uid, make.hold(held_s=7.0))
    store.close()
    with (
        open_store(path, clock=make.clock) as first,
        open_store(path, clock=make.clock) as second,
    ):
        for looking in (first, second):
            assert looking.unfinished() is not None
        first.keep_unfinished()

        assert second.take_lock()
        assert not first.take_lock()
        assert None is second.unfinished()
        assert not first.take_lock()


def test_a_hold_that_is_under_way_elsewhere_by_now_is_not_settled(
    path: Path, store: Store, make: Makers
) -> None:
    """Asked about a crash, and answered too late: the other's hold stays its own."""
    crashed = make.logged(store)
    store.journal(crashed.uid, make.hold(held_s=7.0))
    store.close()
    with (
        open_store(path, clock=make.clock) as asked,
        open_store(path, clock=make.clock) as training,
    ):
        assert asked.unfinished() is not None
        assert training.take_lock()
        running = make.logged(training)
        training.journal(running.uid, make.hold(held_s=3.0))

        for settle in (asked.keep_unfinished, asked.drop_unfinished):
            with pytest.raises(DataBusyError, match="leads a session"):
                settle()
        assert () == training.history().sessions[-1].holds
