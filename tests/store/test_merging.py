"""Two and three machines, whatever they did and however they exchange it."""

from __future__ import annotations

import json
import tempfile
from contextlib import ExitStack
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Any
from uuid import uuid4

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.core.angle.poses import person
from tests.new_files import new_store
from tests.store.makers import Makers
from trainer.core.angle.check import AngleCheck, Position, Reach
from trainer.core.angle.figures import Figures, measure
from trainer.core.clock import ManualClock
from trainer.core.logbook import LoggedKind
from trainer.core.model import Author, EndedBy, Hold, TargetSet
from trainer.core.plan.plan import default_plan
from trainer.core.weeks import IsoWeek
from trainer.store import Store

FILES = 3


def through_json(store: Store) -> Any:
    return json.loads(json.dumps(store.export()))


def exchange(one: Store, two: Store) -> None:
    """Let each take the other's document in."""
    two.import_document(through_json(one))
    one.import_document(through_json(two))


def shown(store: Store) -> set[str]:
    """Give the ids of the holds that count."""
    return {hold.uid for one in store.history().sessions for hold in one.holds}


@dataclass
class Machines:
    """Several files of one person, and what was last done to each hold."""

    stores: list[Store]
    clock: ManualClock
    stands: dict[str, bool] = field(default_factory=dict)
    """By id: whether the last thing done to a hold anywhere left it standing."""
    checks: dict[str, bool] = field(default_factory=dict)
    """The same of angle checks."""

    def do(self, action: str, at: int, other: int, day: int) -> None:
        """Let one thing happen, a while after the one before."""
        self.clock.advance(60)
        store = self.stores[at]
        match action:
            case "add":
                self.add(store, day)
            case "session":
                self.lead(store)
            case "undo":
                self.undo(store)
            case "correct":
                self.correct(store)
            case "rest week":
                on = IsoWeek(2026, 40 + day) not in store.history().rest_weeks
                store.set_rest_week(IsoWeek(2026, 40 + day), on)
            case "plan":
                plan = replace(default_plan(), days=(day + 1,))
                store.save_plan(plan, valid_from=self.clock.wall().date())
            case "answer":
                store.set_answer("wall-unhurried", f"at {at} on {day}")
            case "check":
                self.check(store, day)
            case "correct check":
                self.correct_check(store)
            case "target":
                store.set_target(self.target(30.0 + day))
            case "exchange":
                exchange(store, self.stores[other])

    def add(self, store: Store, day: int) -> None:
        hold = Hold(
            uid=str(uuid4()),
            exercise="hang",
            set_number=1,
            held_s=30.0,
            ended_by=EndedBy.ADDED,
            started_at=self.clock.wall(),
        )
        at = self.clock.wall() - timedelta(days=1 + day)
        store.add_hold(hold, at=at, has_time=False)
        self.stands[hold.uid] = True

    def lead(self, store: Store) -> None:
        make = Makers(self.clock)
        session = make.session()
        store.begin_session(session)
        hold = make.hold()
        store.save_hold(session.uid, hold)
        store.end_session(session.uid, ended_at=self.clock.wall())
        self.stands[hold.uid] = True

    def undo(self, store: Store) -> None:
        logged = store.last_logged()
        if logged is None or not store.take_back(logged):
            return
        if logged.kind is LoggedKind.HOLD:
            self.stands[logged.uid] = False
        if logged.kind is LoggedKind.ANGLE_CHECK:
            self.checks[logged.uid] = False
        if logged.kind is LoggedKind.ANGLE_CORRECTION:
            for row in store.export()["angle_corrections"]:
                if row["uid"] == logged.uid:
                    self.checks[row["check_uid"]] = True
        if logged.kind is LoggedKind.CORRECTION:
            # Its hold was changed now: like any change, later than a taking back.
            for row in store.export()["corrections"]:
                if row["uid"] == logged.uid:
                    self.stands[row["hold_uid"]] = True

    def correct(self, store: Store) -> None:
        for uid in sorted(shown(store))[:1]:
            hold = store.hold(uid)
            assert hold is not None
            store.correct_hold(replace(hold, held_s=hold.held_s + 1))
            self.stands[uid] = True

    def check(self, store: Store, day: int) -> None:
        """Note an angle, or mark a photo."""
        marked = person(overhead_deg=160.0) if day else None
        at = self.clock.wall()
        check = AngleCheck(
            uid=str(uuid4()),
            measured_at=at,
            utc_offset_min=0,
            local_date=at.date(),
            position=Position(reach=Reach.GUARDED),
            figures=measure(marked) if marked else Figures(overhead_deg=150.0),
            landmarks=marked,
        )
        store.add_angle_check(check)
        self.checks[check.uid] = True

    def correct_check(self, store: Store) -> None:
        for check in store.angle_checks()[:1]:
            store.correct_angle_check(replace(check, note=f"{check.note}!"))
            self.checks[check.uid] = True

    def target(self, target_s: float) -> TargetSet:
        at = self.clock.wall()
        return TargetSet(
            uid=str(uuid4()),
            exercise="hang",
            target_s=target_s,
            author=Author.PERSON,
            set_at=at,
            local_date=at.date(),
        )


def machines(stack: ExitStack, count: int) -> Machines:
    folder = Path(stack.enter_context(tempfile.TemporaryDirectory()))
    clock = ManualClock(start=datetime(2026, 10, 1, 18, tzinfo=timezone.utc))
    stores = [
        stack.enter_context(new_store(folder / f"{number}.db", clock))
        for number in range(count)
    ]
    return Machines(stores, clock)


ACTIONS = (
    *("add", "add", "undo", "undo", "session", "correct", "exchange", "exchange"),
    *("rest week", "plan", "answer", "target", "check", "check", "correct check"),
)
STEPS = st.lists(
    st.tuples(
        st.sampled_from(ACTIONS),
        st.integers(0, FILES - 1),
        st.integers(0, FILES - 1),
        st.integers(0, 2),
    ),
    min_size=4,
    max_size=14,
)
ORDERS = st.permutations([(0, 1), (1, 2), (0, 2)])


@settings(max_examples=8)
@given(steps=STEPS, first=ORDERS, second=ORDERS)
def test_every_order_of_exchange_comes_to_the_same_and_loses_nothing(
    steps: list[tuple[str, int, int, int]],
    first: list[tuple[int, int]],
    second: list[tuple[int, int]],
) -> None:
    """Three machines, anything done on any: once all have met, all say the same; every
    hold and every angle check counts that nobody took back last, and none that somebody
    did; again is once.
    """
    with ExitStack() as stack:
        several = machines(stack, FILES)
        for action, at, other, day in steps:
            several.do(action, at, other, day)
        before = [through_json(store) for store in several.stores]
        for one, two in first:
            exchange(several.stores[one], several.stores[two])
        after = [through_json(store) for store in several.stores]
        others = machines(stack, FILES)
        for document, store in zip(before, others.stores, strict=True):
            store.import_document(document)
        for one, two in second:
            exchange(others.stores[one], others.stores[two])

        assert after[0] == after[1] == after[2]
        assert {uid for uid, stands in several.stands.items() if stands} == shown(
            several.stores[0]
        )
        assert {uid for uid, stands in several.checks.items() if stands} == {
            check.uid for check in several.stores[0].angle_checks()
        }
        said = [through_json(store) for store in others.stores]
        assert [after[0]] * FILES == said
        assert not several.stores[0].import_document(after[1]).changed
        assert [] == several.stores[0].check()


def test_what_was_added_to_a_session_taken_back_elsewhere_counts(
    store: Store, other: Store, make: Makers
) -> None:
    """Taken back here with its only hold, added to there: that one is on both."""
    both = Machines([store, other], make.clock)
    both.do("add", 0, 0, 0)
    exchange(store, other)
    both.do("add", 1, 1, 0)
    both.do("undo", 0, 0, 0)

    exchange(store, other)

    (left,) = [uid for uid, stands in both.stands.items() if stands]
    assert [{left}, {left}] == [shown(store), shown(other)]
    assert store.export() == other.export()
    assert [] == store.check()
    both.do("undo", 1, 1, 0)
    exchange(store, other)
    assert [set(), set()] == [shown(store), shown(other)]


def test_a_week_marked_on_two_machines_is_one_row(
    store: Store, other: Store, make: Makers
) -> None:
    """The mark that stands brings its id: both files are the same to the letter."""
    store.set_rest_week(IsoWeek(2026, 11), True)
    make.clock.advance(60)
    other.set_rest_week(IsoWeek(2026, 11), True)

    exchange(store, other)

    assert store.export() == other.export()


@pytest.mark.parametrize("first", [0, 1])
def test_of_two_changes_in_one_instant_both_machines_take_the_same(
    store: Store, other: Store, make: Makers, first: int
) -> None:
    """Clocks agree to the microsecond at times, in a test always: no machine is apart
    from the other for good."""
    hold = make.hold()
    make.logged(store, hold)
    exchange(store, other)
    make.clock.advance(60)
    for each, held_s in ((store, 20.0), (other, 25.0)):
        each.correct_hold(replace(hold, held_s=held_s))
    pair = (store, other) if first == 0 else (other, store)

    exchange(*pair)

    assert store.export()["sessions"] == other.export()["sessions"]
    assert [25.0] == [h.held_s for h in store.history().sessions[0].holds]
