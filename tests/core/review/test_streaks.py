"""Streaks over ISO weeks, checked against pandas on random histories."""

from __future__ import annotations

import random
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from zoneinfo import ZoneInfo

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.histories import hold, session
from tests.references import in_one_worker, pandas
from trainer.core.model import (
    History,
    Pain,
    PainKind,
    Session,
    ShownSuggestion,
)
from trainer.core.review.streaks import (
    PlannedDays,
    Streaks,
    Week,
    WeekState,
    streaks,
)
from trainer.core.weeks import IsoWeek

MONDAY = date(2026, 3, 2)
LONG_AGO = date(1990, 1, 1)
ZONES = (
    "Pacific/Kiritimati",
    "Pacific/Auckland",
    "Australia/Lord_Howe",
    "Asia/Tokyo",
    "Asia/Kathmandu",
    "Europe/Berlin",
    "Europe/London",
    "Atlantic/Azores",
    "America/St_Johns",
    "America/New_York",
    "America/Los_Angeles",
    "Pacific/Pago_Pago",
)
"""From fourteen hours before UTC to eleven after it, with odd offsets and DST."""


def judged(*days: date, today: date, wanted: int = 1, **rest: object) -> Streaks:
    """Judge a history of plain sessions on these days."""
    history = History(sessions=tuple(session(day) for day in days), **rest)  # type: ignore[arg-type]
    return streaks(history, planned=[PlannedDays(LONG_AGO, wanted)], today=today)


def day(week: int, weekday: int = 0) -> date:
    """Give a day counted from a Monday in March 2026."""
    return MONDAY + timedelta(weeks=week, days=weekday)


def test_nothing_logged_is_no_streak() -> None:
    """An empty log has no weeks and no runs."""
    assert Streaks((), 0, 0) == judged(today=MONDAY)


def test_the_number_of_days_counts_not_which() -> None:
    """Three days on any days of the week do a plan of three, two do not."""
    found = judged(
        day(0, 0), day(0, 5), day(0, 6), day(1, 1), day(1, 2), today=day(2), wanted=3
    )

    assert [WeekState.DONE, WeekState.MISSED, WeekState.RUNNING] == [
        week.state for week in found.weeks
    ]
    assert (0, 1) == (found.current, found.longest)


def test_two_sessions_on_one_day_are_one_day() -> None:
    """A second visit on the same local date doesn't count again."""
    found = judged(day(0), day(0), today=day(0, 6), wanted=2)

    assert (1, WeekState.RUNNING) == (found.weeks[0].days_done, found.weeks[0].state)


def test_the_running_week_never_breaks_a_streak() -> None:
    """With nothing done yet this week, last week's run still stands."""
    assert 3 == judged(day(0), day(1), day(2), today=day(3, 6)).current


def test_a_missed_week_breaks_it_and_the_longest_is_kept() -> None:
    """Two weeks, a gap, one week: current 1, longest 2."""
    found = judged(day(0), day(1), day(3), today=day(3, 2))

    assert (1, 2) == (found.current, found.longest)


def test_rest_weeks_are_neutral() -> None:
    """A rest week neither breaks a streak nor lengthens it."""
    found = judged(
        day(0),
        day(2),
        today=day(2),
        rest_weeks=frozenset({IsoWeek.of(day(1))}),
    )

    assert (2, WeekState.REST) == (found.current, found.weeks[1].state)


def test_a_week_in_which_pain_said_rest_is_neutral() -> None:
    """The rule ``pain`` with the change ``rest`` makes its week neutral."""
    shown = ShownSuggestion(
        uid="x",
        exercise="press-pike",
        week=IsoWeek.of(day(1)),
        shown_at=datetime(2026, 3, 8, tzinfo=timezone.utc),
        target_s=None,
        sets=0,
        rule="pain",
        change="rest",
        chance=None,
    )
    found = judged(day(0), day(2), today=day(2), shown=(shown,))

    assert (2, WeekState.PAIN) == (found.current, found.weeks[1].state)


@pytest.mark.parametrize(
    ("rule", "change", "state"),
    [
        ("step", "up", WeekState.MISSED),
        ("pain", "same", WeekState.PAIN),
        ("pain", "rest", WeekState.PAIN),
    ],
)
def test_a_rest_for_pain_ends_with_the_pain(
    rule: str, change: str, state: WeekState
) -> None:
    """What was shown last decides: pain taken back is none, a rest that is over was."""
    rest = ShownSuggestion(
        uid="a",
        exercise="hang",
        week=IsoWeek.of(day(1)),
        shown_at=datetime(2026, 3, 8, tzinfo=timezone.utc),
        target_s=None,
        sets=0,
        rule="pain",
        change="rest",
        chance=None,
    )
    later = replace(
        rest,
        uid="b",
        shown_at=datetime(2026, 3, 9, tzinfo=timezone.utc),
        rule=rule,
        change=change,
    )
    found = judged(day(0), day(2), today=day(2), shown=(rest, later))

    assert state == found.weeks[1].state


def test_a_day_stopped_for_pain_counts() -> None:
    """One hold that hurt is a day trained, however short it was."""
    hurt = hold(held_s=2, pain=(Pain(PainKind.DIZZY),))
    history = History(sessions=(session(MONDAY, hurt),))

    found = streaks(history, planned=[PlannedDays(LONG_AGO, 1)], today=MONDAY)

    assert (1, WeekState.DONE) == (found.current, found.weeks[0].state)


def test_a_session_without_a_hold_is_no_day() -> None:
    """Opening and leaving a session is not training."""
    empty = Session(
        uid="e",
        kind=session(MONDAY).kind,
        started_at=datetime(2026, 3, 2, tzinfo=timezone.utc),
        utc_offset_min=0,
        local_date=MONDAY,
    )

    assert () == streaks(History(sessions=(empty,)), planned=[], today=MONDAY).weeks


def test_a_first_week_begun_late_is_not_held_against_anybody() -> None:
    """Somebody who begins on a Friday with three planned days has missed nothing."""
    found = judged(day(0, 4), today=day(1), wanted=3)

    assert WeekState.FIRST is found.weeks[0].state


def test_the_plan_in_force_on_monday_judges_the_week() -> None:
    """A change of plan in midweek counts from the next week on."""
    planned = [PlannedDays(LONG_AGO, 1), PlannedDays(day(1, 2), 2)]
    history = History(sessions=tuple(session(day(n)) for n in range(3)))

    found = streaks(history, planned=planned, today=day(3))

    assert [1, 1, 2, 2] == [week.planned_days for week in found.weeks]
    assert [True, True, False, False] == [
        week.state is WeekState.DONE for week in found.weeks
    ]


class TestDaysDue:
    """Days that were due so far: none that is still to come."""

    def adherence(
        self, *days: date, today: date, weekdays: tuple[int, ...] = (1, 3, 5)
    ) -> tuple[int, int]:
        planned = [PlannedDays(LONG_AGO, len(weekdays), weekdays)]
        history = History(sessions=tuple(session(day) for day in days))
        found = streaks(history, planned=planned, today=today)
        return found.adherence(found.weeks[0].week)

    def test_what_is_still_to_come_isn_t_due(self) -> None:
        """On a Wednesday of Monday, Wednesday, Friday one day was due: Monday."""
        first = [day(0, n) for n in (0, 2, 4)]

        assert (4, 4) == self.adherence(*first, day(1, 0), today=day(1, 2))
        assert (3, 4) == self.adherence(*first, today=day(1, 2))
        assert (3, 5) == self.adherence(*first, today=day(1, 3))

    def test_today_is_due_once_it_is_done(self) -> None:
        """Trained on Monday and Wednesday: two of two, on the Wednesday itself."""
        assert (2, 2) == self.adherence(day(0, 0), day(0, 2), today=day(0, 2))

    def test_a_day_more_makes_up_for_none(self) -> None:
        """Four days one week and two the next are five of six."""
        four = [day(0, n) for n in (0, 1, 2, 4)]

        assert (5, 6) == self.adherence(*four, day(1, 0), day(1, 1), today=day(1, 6))

    def test_nothing_was_due_before_the_first_session(self) -> None:
        """Somebody who begins on a Friday owes no Monday."""
        assert (1, 1) == self.adherence(day(0, 4), today=day(0, 6))

    def test_rest_weeks_are_left_out(self) -> None:
        """A week off that was meant is due nothing."""
        history = History(
            sessions=tuple(session(day(0, n)) for n in (0, 2, 4)),
            rest_weeks=frozenset({IsoWeek.of(day(1))}),
        )
        planned = [PlannedDays(LONG_AGO, 3, (1, 3, 5))]
        found = streaks(history, planned=planned, today=day(1, 6))

        assert (3, 3) == found.adherence(found.weeks[0].week)

    def test_days_left_open_are_due_when_no_later_one_is_left(self) -> None:
        """Two days a week, whichever: on the last two of them they are due."""
        planned = PlannedDays(LONG_AGO, 2)

        assert [day(0, 5), day(0, 6)] == planned.dates(IsoWeek.of(MONDAY), left_out=())


class TestADateLeftOut:
    """Apia had no 30 December 2011, a Friday (IANA time zone database)."""

    FRIDAY = date(2011, 12, 30)
    WEEK = tuple(IsoWeek.of(FRIDAY).days())

    def week(self, *days: date, weekdays: tuple[int, ...], wanted: int = 0) -> Week:
        """Judge the week without its Friday, a week later."""
        found = streaks(
            History(sessions=tuple(session(day) for day in days)),
            planned=[PlannedDays(LONG_AGO, wanted or len(weekdays), weekdays)],
            today=date(2012, 1, 4),
            left_out={self.FRIDAY},
        )
        return found.weeks[0]

    @pytest.mark.parametrize("weekdays", [(1, 2, 3, 4, 5, 6, 7), ()])
    def test_six_of_the_six_days_there_were_are_a_week_done(
        self, weekdays: tuple[int, ...]
    ) -> None:
        """With a plan of seven days, named or left open, none is missed."""
        there = [day for day in self.WEEK if day != self.FRIDAY]

        done = self.week(*there, weekdays=weekdays, wanted=7)
        short = self.week(*there[:-1], weekdays=weekdays, wanted=7)

        assert (WeekState.DONE, 6, 6, 6) == (
            done.state,
            done.planned_days,
            done.due_days,
            done.done_of_due,
        )
        assert (WeekState.MISSED, 6, 5) == (
            short.state,
            short.due_days,
            short.done_of_due,
        )

    def test_a_planned_day_that_was_left_out_is_not_asked_for(self) -> None:
        """Of Monday, Wednesday and Friday, two were there to be done."""
        monday, _, wednesday, *_ = self.WEEK

        week = self.week(monday, wednesday, weekdays=(1, 3, 5))

        assert (WeekState.DONE, 2, 2) == (week.state, week.due_days, week.days_done)

    def test_days_left_open_are_any_that_there_were(self) -> None:
        """Three days a week, whichever: all three can still be done."""
        assert 3 == self.week(self.WEEK[0], weekdays=(), wanted=3).planned_days


@pytest.mark.parametrize(
    ("before", "after"),
    [
        (date(2026, 12, 31), date(2027, 1, 4)),  # 2026-W53 to 2027-W01
        (date(2021, 1, 3), date(2021, 1, 4)),  # 2020-W53-7 to 2021-W01-1
        (date(2008, 12, 28), date(2008, 12, 29)),  # 2008-W52-7 to 2009-W01-1
        (date(2010, 1, 3), date(2010, 1, 4)),  # 2009-W53-7 to 2010-W01-1
        (date(2004, 12, 27), date(2005, 1, 3)),  # 2004-W53 to 2005-W01
        (date(2007, 12, 30), date(2007, 12, 31)),  # 2007-W52-7 to 2008-W01-1
    ],
)
def test_a_streak_crosses_every_kind_of_new_year(before: date, after: date) -> None:
    """Weeks 52, 53 and 01 follow each other (ISO 8601; dates from its worked cases)."""
    found = judged(before, after, today=after)

    assert 2 == found.current
    assert 2 == len(found.weeks)


def test_a_session_after_midnight_belongs_to_the_new_day() -> None:
    """Half past midnight on Monday is in the new week, though UTC says Sunday."""
    zone = ZoneInfo("Europe/Berlin")
    begun = datetime(2026, 3, 9, 0, 30, tzinfo=zone)
    late = session(begun.date(), started_at=begun.astimezone(timezone.utc))

    found = streaks(
        History(sessions=(late,)),
        planned=[PlannedDays(LONG_AGO, 1)],
        today=begun.date(),
    )

    assert IsoWeek(2026, 11) == found.weeks[0].week


@in_one_worker
@pytest.mark.parametrize("zone", ZONES)
@pytest.mark.parametrize("wanted", [1, 2, 3])
def test_agrees_with_pandas(zone: str, wanted: int) -> None:
    """Days per week and both runs are those that pandas finds from the UTC times.

    Source: pandas' own time zones, ISO calendar and grouping. 600 random sessions over
    three years, with new years, both changes of daylight saving, and midnights.
    """
    draw = random.Random(f"{zone}{wanted}")
    begin = datetime(2024, 12, 20, tzinfo=timezone.utc)
    times = sorted(
        begin + timedelta(minutes=draw.randrange(3 * 365 * 24 * 60))
        for _ in range(170 * wanted)
    )
    local = [time.astimezone(ZoneInfo(zone)).date() for time in times]
    today = local[-1]
    ours = streaks(
        History(
            sessions=tuple(
                session(day, started_at=time)
                for day, time in zip(local, times, strict=True)
            )
        ),
        planned=[PlannedDays(LONG_AGO, wanted)],
        today=today,
    )

    stamps = pandas.Series(pandas.to_datetime(times, utc=True)).dt.tz_convert(zone)
    frame = pandas.DataFrame({"day": stamps.dt.tz_localize(None).dt.normalize()})
    frame["week"] = frame["day"].dt.to_period("W-SUN")
    per_week = frame.groupby("week")["day"].nunique()
    whole = pandas.period_range(
        per_week.index.min(), per_week.index.max(), freq="W-SUN"
    )
    per_week = per_week.reindex(whole, fill_value=0)
    done = per_week >= wanted
    # The running week, and a first week begun late, break nothing when not done.
    if not done.iloc[-1]:
        done = done.iloc[:-1]
    runs = done.groupby((~done).cumsum()).cumsum()
    iso = whole.to_timestamp().isocalendar()

    assert [
        (int(y), int(w)) for y, w in zip(iso["year"], iso["week"], strict=True)
    ] == [(week.week.year, week.week.week) for week in ours.weeks]
    assert list(per_week) == [week.days_done for week in ours.weeks]
    assert (int(runs.iloc[-1]), int(runs.max())) == (ours.current, ours.longest)


@given(
    days=st.lists(st.dates(date(2019, 12, 1), date(2021, 2, 1)), max_size=60),
    wanted=st.integers(1, 7),
)
def test_more_training_never_shortens_a_streak(days: list[date], wanted: int) -> None:
    """Whatever the history, one more day leaves both runs as long or longer."""
    today = date(2021, 2, 3)
    before = judged(*days, today=today, wanted=wanted)
    after = judged(*days, today, today=today, wanted=wanted)

    assert before.current <= before.longest
    assert before.longest <= after.longest


@pytest.mark.parametrize(("from_day", "wanted"), [(0, 2), (1, 1)])
def test_a_plan_counts_from_the_monday_on_which_it_holds(
    from_day: int, wanted: int
) -> None:
    """Valid from a Monday it counts for that week; from Tuesday, for the next one."""
    planned = [PlannedDays(LONG_AGO, 1), PlannedDays(day(1, from_day), 2)]
    history = History(sessions=(session(day(0)), session(day(1))))
    found = streaks(history, planned=planned, today=day(1, 6))

    assert [1, wanted] == [week.planned_days for week in found.weeks]


@pytest.mark.parametrize(
    ("begun", "state"), [(0, WeekState.MISSED), (1, WeekState.FIRST)]
)
def test_only_a_first_week_begun_after_its_monday_is_spared(
    begun: int, state: WeekState
) -> None:
    """One day of two: begun on the Monday it was a whole week, on Tuesday it wasn't."""
    assert state is judged(day(0, begun), today=day(1), wanted=2).weeks[0].state
