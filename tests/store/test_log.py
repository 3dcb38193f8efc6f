from __future__ import annotations

import tempfile
from collections.abc import Iterator
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path
from uuid import uuid4

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.new_files import new_store
from tests.store.makers import Makers
from tests.texts import any_text
from trainer.core.clock import ManualClock
from trainer.core.model import (
    FELT_SITES,
    RPE_WORDING,
    Author,
    EndedBy,
    Feet,
    Felt,
    Hold,
    Moment,
    Pain,
    PainKind,
    PlannedSet,
    ShownSuggestion,
    Side,
    Site,
    StoppedBy,
    TargetSet,
)
from trainer.core.plan.plan import default_plan
from trainer.core.text import clean
from trainer.core.weeks import IsoWeek
from trainer.errors import DataError
from trainer.store import Store, open_store

MONDAY = date(2026, 3, 2)


def tenths(low: float, high: float) -> st.SearchStrategy[float]:
    return st.integers(round(low * 10), round(high * 10)).map(lambda n: n / 10)


# Made once: a strategy that is made for each draw is looked over anew each time.
HELD_S = tenths(0, 600)
SAID = st.fixed_dictionaries(
    {
        "uid": st.uuids(version=4).map(str),
        "exercise": st.sampled_from(["hang", "press-pike", "own thing"]),
        "set_number": st.integers(1, 20),
        "ended_by": st.sampled_from(EndedBy),
        "started_at": st.datetimes(
            datetime(2000, 1, 1),  # noqa: DTZ001 - Hypothesis adds the zone
            datetime(2100, 1, 1),  # noqa: DTZ001
            timezones=st.just(timezone.utc),
        ),
        "target_s": st.none() | tenths(1, 300),
        "lost_on_breath": st.none() | st.integers(1, 60),
        "key_s": st.none() | tenths(0, 600),
        "allowance_s": st.none() | tenths(0, 7),
        "stopped_by": st.none() | st.sampled_from(StoppedBy),
        "confirmed": st.booleans(),
        "rpe": st.none() | st.integers(0, 20).map(lambda n: n / 2),
        "pain": st.lists(
            st.builds(
                Pain,
                st.sampled_from(PainKind),
                st.none() | st.sampled_from(Site),
                st.none() | st.sampled_from(Side),
                st.none() | st.dates(date(2000, 1, 1), date(2100, 1, 1)),
            ),
            max_size=3,
        ).map(tuple),
        "rpe_wording": st.integers(1, RPE_WORDING),
        "pain_overridden": st.booleans(),
        "felt": st.lists(
            st.builds(
                Felt,
                st.sampled_from(FELT_SITES),
                st.none() | st.sampled_from(Side),
                st.none() | st.sampled_from(Moment),
                st.none() | tenths(0, 10),
            ),
            max_size=3,
        ).map(tuple),
        "feet": st.none() | st.sampled_from(Feet),
        "note": any_text(max_size=60).map(clean),
    }
)


@st.composite
def holds(draw: st.DrawFn) -> Hold:
    held_s = draw(HELD_S)
    kept_s = draw(st.none() | tenths(0, held_s))
    return Hold(held_s=held_s, kept_s=kept_s, **draw(SAID))


@pytest.fixture(scope="module")
def kept_open() -> Iterator[Store]:
    """Give one file for all the examples: each makes its own rows."""
    with (
        tempfile.TemporaryDirectory() as folder,
        new_store(Path(folder) / "log.db", ManualClock()) as opened,
    ):
        yield opened


@given(wanted=st.lists(holds(), max_size=4, unique_by=lambda hold: hold.uid))
def test_holds_come_back_as_they_were(kept_open: Store, wanted: list[Hold]) -> None:
    """Every hold, with all that can be said of it, survives being written and read."""
    make = Makers(ManualClock())
    session = make.session(
        planned=(PlannedSet("hang", 1, 30.0, 60.0), PlannedSet("hang", 2, 25.5, 60.0))
    )
    wanted = [replace(hold, uid=str(uuid4())) for hold in wanted]
    with kept_open.at_once():
        kept_open.begin_session(session)
        for hold in wanted:
            kept_open.save_hold(session.uid, hold)

    found = kept_open.session(session.uid)

    assert found is not None
    assert {hold.uid: hold for hold in wanted} == {h.uid: h for h in found.holds}
    assert session == replace(found, holds=())


def test_seconds_are_kept_to_a_tenth(store: Store, make: Makers) -> None:
    """Figures are rounded to what a human can tell, and kept never exceeds held."""
    make.logged(store, make.hold(held_s=29.96, kept_s=29.951, key_s=32.04))

    (hold,) = store.history().sessions[0].holds

    assert (30.0, 30.0, 32.0) == (hold.held_s, hold.kept_s, hold.key_s)


@pytest.mark.parametrize(
    ("note", "kept"),
    [
        ("[/]", "[/]"),
        ("[@click=app.quit]x[/]", "[@click=app.quit]x[/]"),
        ("=cmd()", "=cmd()"),
        ("\x1b[31mred\x1b]0;title\x07", "[31mred]0;title"),
        ("a\u202eb\nc", "ab c"),
        ("'; DROP TABLE holds; --", "'; DROP TABLE holds; --"),
    ],
)
def test_a_note_is_data(store: Store, make: Makers, note: str, kept: str) -> None:
    """What a person types comes back as text, without what a terminal would obey."""
    make.logged(store, make.hold(note=note))

    assert kept == store.history().sessions[0].holds[0].note


def test_saving_a_hold_again_replaces_what_was_said(store: Store, make: Makers) -> None:
    """The log may be filled in bit by bit: the hold is one row throughout."""
    first = make.hold(felt=(Felt(Site.LATS),), pain=(Pain(PainKind.NUMB, Site.HAND),))
    session = make.logged(store, first)
    later = replace(first, rpe=7.5, felt=(Felt(Site.RIBS), Felt(Site.PECS)), pain=())

    store.save_hold(session.uid, later)

    assert (later,) == store.history().sessions[0].holds


def test_a_hold_taken_out_is_gone_until_it_is_put_back(
    store: Store, make: Makers
) -> None:
    """Taking out loses nothing."""
    hold = make.hold()
    make.logged(store, hold)

    store.take_out_hold(hold.uid)
    assert () == store.history().sessions[0].holds
    store.put_back_hold(hold.uid)

    assert (hold,) == store.history().sessions[0].holds


def test_saving_a_hold_that_was_taken_out_does_not_put_it_back(
    store: Store, make: Makers
) -> None:
    """A late answer to a hold that didn't happen leaves it out."""
    hold = make.hold()
    session = make.logged(store, hold)
    store.take_out_hold(hold.uid)

    store.save_hold(session.uid, replace(hold, rpe=5.0))

    assert () == store.history().sessions[0].holds


def test_history_is_in_order_of_time(store: Store, make: Makers) -> None:
    """Sessions and their holds come in the order in which they happened."""
    at = make.clock.wall()
    late = make.hold(at + timedelta(minutes=9), set_number=2)
    early = make.hold(at + timedelta(minutes=1))
    second = make.logged(store, late, early)
    first = make.logged(store, started_at=at - timedelta(days=1))

    sessions = store.history().sessions

    assert [first.uid, second.uid] == [each.uid for each in sessions]
    assert (early, late) == sessions[1].holds


def test_sessions_of_a_day_go_by_the_local_date(store: Store, make: Makers) -> None:
    """A session begun before midnight belongs to that day, whatever UTC says."""
    at = datetime(2026, 3, 2, 23, 50, tzinfo=timezone(timedelta(hours=-8)))
    night = make.logged(store, make.hold(at), started_at=at)

    assert [night.uid] == [each.uid for each in store.sessions_on(MONDAY)]
    assert () == store.sessions_on(date(2026, 3, 3))


def test_a_session_ends_once_it_is_said_to(store: Store, make: Makers) -> None:
    """The end is kept, and what was planned stays."""
    session = make.logged(store, make.hold())
    ended_at = make.clock.wall() + timedelta(minutes=40)

    store.end_session(session.uid, ended_at=ended_at)

    found = store.session(session.uid)
    assert found is not None
    assert (ended_at, session.planned) == (found.ended_at, found.planned)


def test_a_value_that_cannot_be_is_refused_and_changes_nothing(
    store: Store, make: Makers
) -> None:
    """The file itself refuses what no hold can be, in a sentence for people."""
    session = make.logged(store)

    with pytest.raises(DataError, match="refused a value as impossible"):
        store.save_hold(session.uid, make.hold(set_number=0))

    assert () == store.history().sessions[0].holds


def test_a_hold_without_its_session_is_refused(store: Store, make: Makers) -> None:
    """A hold always has a session."""
    with pytest.raises(DataError, match="FOREIGN KEY"):
        store.save_hold(str(uuid4()), make.hold())


def test_a_correction_keeps_the_former_figures(store: Store, make: Makers) -> None:
    """What was logged first can still be looked up after it was corrected."""
    hold = make.hold(rpe=7.0)
    make.logged(store, hold)
    make.clock.advance(60)

    store.correct_hold(replace(hold, held_s=25.0, rpe=8.5))

    assert 25.0 == store.history().sessions[0].holds[0].held_s
    assert {("held_s", 30.0, 25.0), ("rpe", 7.0, 8.5)} == {
        (each["what"], each["from"], each["to"])
        for each in store.export()["corrections"]
    }


def test_a_correction_of_nothing_leaves_no_trace(store: Store, make: Makers) -> None:
    """Looking a hold over without changing it isn't a correction."""
    hold = make.hold()
    make.logged(store, hold)

    store.correct_hold(hold)

    assert [] == store.export()["corrections"]


def test_a_hold_that_is_gone_cannot_be_corrected(store: Store, make: Makers) -> None:
    """Somebody took it back meanwhile: that is said."""
    with pytest.raises(DataError, match="not in the log any more"):
        store.correct_hold(make.hold())


def test_the_plan_is_kept_as_it_was(store: Store) -> None:
    """Each plan holds from its day on; before the first one, the first one holds."""
    first = replace(default_plan(), days=(1,))
    second = replace(default_plan(), days=(2, 4))
    assert not store.has_plan()
    assert default_plan() == store.plan()

    store.save_plan(first, valid_from=MONDAY)
    store.save_plan(second, valid_from=date(2026, 4, 1))

    assert store.has_plan()
    assert first == store.plan()
    assert first == store.plan(date(2020, 1, 1))
    assert first == store.plan(date(2026, 3, 31))
    assert second == store.plan(date(2026, 4, 1))
    assert second == store.plan(date(2030, 1, 1))


def test_a_plan_saved_twice_for_a_day_is_the_later_one(store: Store) -> None:
    """A day has one plan in force; the one before it is kept, to go back to."""
    store.save_plan(replace(default_plan(), days=(1,)), valid_from=MONDAY)
    store.save_plan(replace(default_plan(), days=(6,)), valid_from=MONDAY)

    assert (6,) == store.plan().days
    assert [(MONDAY, (6,))] == [(day, plan.days) for day, plan in store.plans()]
    assert 2 == len(store.export()["plans"])


def test_answers_are_kept(store: Store) -> None:
    """The latest answer to a question stands."""
    store.set_answer("hang was easy", "no")
    store.set_answer("hang was easy", "yes")

    assert {"hang was easy": "yes"} == store.answers()


def target(make: Makers, target_s: float, week: IsoWeek | None = None) -> TargetSet:
    at = make.clock.wall()
    return TargetSet(
        uid=str(uuid4()),
        exercise="hang",
        target_s=target_s,
        author=Author.SUGGESTION,
        set_at=at.astimezone(timezone.utc),
        local_date=at.date(),
        week=week,
        sets=3,
        rule="step",
        from_exercise="hang-supported",
    )


def test_targets_come_in_order_until_taken_back(store: Store, make: Makers) -> None:
    """The latest target is the last one; taken back, the one before is in force."""
    first = target(make, 25.0, IsoWeek(2026, 10))
    make.clock.advance(1)
    second = target(make, 30.0)
    store.set_target(second)
    store.set_target(first)
    assert (first, second) == store.history().targets

    store.take_back_target(second.uid)

    assert (first,) == store.history().targets


def test_rest_weeks_can_be_set_and_undone(store: Store) -> None:
    """Setting tells whether anything changed; twice is once."""
    week = IsoWeek(2026, 53)

    assert [True, False] == [store.set_rest_week(week, True) for _ in range(2)]
    assert frozenset({week}) == store.history().rest_weeks
    assert [True, False] == [store.set_rest_week(week, False) for _ in range(2)]
    assert frozenset() == store.history().rest_weeks
    assert store.set_rest_week(week, True)


def test_a_suggestion_is_remembered_anew_when_anything_in_it_changes(
    store: Store, make: Makers
) -> None:
    """Another rule, change, number of sets or chance at the same target is kept too.

    A chance that differs by less than what is shown of it makes no new one.
    """
    first = ShownSuggestion(
        uid="",
        exercise="hang",
        week=IsoWeek(2026, 10),
        shown_at=make.clock.wall(),
        target_s=30.0,
        sets=3,
        rule="repeat",
        change="same",
        chance=0.75,
    )
    later = [
        first,
        replace(first, chance=0.751),
        replace(first, rule="step", chance=0.751),
        replace(first, rule="step", chance=0.44),
        replace(first, rule="step", sets=2, chance=0.44),
        replace(first, rule="step", change="up", sets=2, chance=0.44),
        replace(first, rule="step", change="up", sets=2, chance=None),
        replace(first, rule="step", change="up", sets=2, chance=None),
    ]
    for one in later:
        make.clock.advance(60)
        store.remember_shown(replace(one, uid=str(uuid4()), shown_at=make.clock.wall()))

    kept = [
        replace(one, uid="", shown_at=first.shown_at) for one in store.history().shown
    ]
    assert [later[n] for n in (0, 2, 3, 4, 5, 6)] == kept


def test_a_suggestion_is_remembered_when_first_shown(
    store: Store, make: Makers
) -> None:
    """Shown again with the same target it keeps its first time; a new target is new."""

    def show(target_s: float | None) -> None:
        make.clock.advance(60)
        store.remember_shown(
            ShownSuggestion(
                uid=str(uuid4()),
                exercise="hang",
                week=IsoWeek(2026, 10),
                shown_at=make.clock.wall(),
                target_s=target_s,
                sets=3,
                rule="step",
                change="up",
                chance=0.75,
            )
        )

    for target_s in (30.0, 30.0, 35.0, 35.0, None, None):
        show(target_s)

    shown = store.history().shown
    assert [30.0, 35.0, None] == [each.target_s for each in shown]
    assert [60, 180, 300] == [
        (each.shown_at - make.clock.start).total_seconds() for each in shown
    ]


def test_what_is_written_at_once_is_there_whole_or_not_at_all(
    path: Path, store: Store, make: Makers
) -> None:
    """Nobody else sees a part of it, and a fault in it leaves nothing behind."""
    one, other = make.session(), make.session()
    with store.at_once():
        store.begin_session(one)
        store.save_hold(one.uid, make.hold())
        assert 1 == len(store.history().sessions)
        with open_store(path, clock=ManualClock(), read_only=True) as looking:
            assert () == looking.history().sessions

    def broken_off() -> None:
        with store.at_once():
            store.begin_session(other)
            raise RuntimeError("in the middle")

    with pytest.raises(RuntimeError, match="in the middle"):
        broken_off()
    kept = store.history().sessions
    assert [(one.uid, 1)] == [(each.uid, len(each.holds)) for each in kept]
