"""A review put together: what counts where, and the sentences over the pictures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta

import pytest

from tests.core.histories import hold, session
from trainer.core.capacity.forecast import Forecast, forecast
from trainer.core.charts.canvas import ASCII, UNICODE, plain
from trainer.core.exercises import Family
from trainer.core.model import (
    EndedBy,
    Felt,
    History,
    Hold,
    Override,
    Pain,
    PainKind,
    Session,
    Site,
    StoppedBy,
)
from trainer.core.plan.plan import Plan, default_entry
from trainer.core.review import sentences as say
from trainer.core.review.review import Review, review
from trainer.core.review.sections import sections, table_picture, with_forecasts
from trainer.core.review.streaks import PlannedDays
from trainer.core.review.trends import LEAST_POINTS, Direction
from trainer.core.weeks import IsoWeek

MONDAY = date(2026, 3, 2)
PLAN = Plan(
    exercises=(default_entry("hang"), default_entry("press-pike")), days=(1, 3, 5)
)


def look(
    *sessions: Session, today: date | None = None, weeks: int | None = 12
) -> Review:
    newest = max((one.local_date for one in sessions), default=MONDAY)
    return review(
        History(sessions=sessions),
        plan=PLAN,
        planned=[PlannedDays(date.min, 3)],
        today=today or newest,
        weeks=weeks,
    )


def visit(weeks: int, *holds: Hold) -> Session:
    day = MONDAY + timedelta(weeks=weeks)
    return session(day, *(replace(one, uid=f"{day}{n}") for n, one in enumerate(holds)))


class TestWhatCounts:
    def test_the_period_begins_with_the_first_session_at_the_earliest(self) -> None:
        """Twelve weeks asked of a log of two are two weeks; all is all."""
        found = look(visit(0, hold()), visit(1, hold()))

        assert (2, 2) == (found.weeks, look(*found.sessions, weeks=None).weeks)

    def test_older_sessions_are_left_out_but_for_the_best_ever(self) -> None:
        """The best of the whole log may lie before the period."""
        found = look(visit(0, hold(held_s=50)), visit(20, hold(held_s=40)), weeks=4)
        one = found.exercises[0]

        assert (40, 50) == (one.best.kept_s, one.best_ever.kept_s)
        assert 1 == len(one.points)

    def test_the_push_up_position_is_no_time_overhead(self) -> None:
        """References 5b: a hold in the push-up position is not an overhead hold."""
        found = look(
            visit(0, hold("press-pushup", 60), hold("press-pike", 20), hold("hang", 30))
        )
        week = IsoWeek.of(MONDAY)

        assert {Family.HANG: {week: 30}, Family.PRESS: {week: 20}} == {
            family: dict(by_week) for family, by_week in found.overhead.items()
        }
        assert "The push-up position doesn't count." in say.overhead_sentence(found)

    def test_overhead_counts_what_was_kept(self) -> None:
        """Seconds in which the position was lost are not time overhead."""
        found = look(visit(0, hold("hang", 30, kept_s=12.0)))

        assert 12 == found.overhead[Family.HANG][IsoWeek.of(MONDAY)]

    @pytest.mark.parametrize(
        "odd",
        [
            hold(held_s=5, target_s=30.0, ended_by=EndedBy.INTERRUPTED),
            hold(held_s=5, target_s=30.0, ended_by=EndedBy.CRASH),
            hold(
                held_s=5,
                target_s=30.0,
                ended_by=EndedBy.KEY,
                stopped_by=StoppedBy.OTHER,
            ),
        ],
    )
    def test_holds_that_say_nothing_are_no_evidence(self, odd: Hold) -> None:
        """An interrupted hold or one with an odd end pulls no mean down."""
        point = look(visit(0, hold(held_s=30), odd)).exercises[0].points[0]

        assert (1, 30, 0) == (point.sets, point.kept_s, point.early)

    def test_an_early_end_is_held_under_the_target(self) -> None:
        """A hold 2 s short ended early; one within half a second made it."""
        point = (
            look(
                visit(
                    0,
                    hold(held_s=28, target_s=30.0, ended_by=EndedBy.KEY),
                    hold(held_s=29.6, target_s=30.0, ended_by=EndedBy.KEY),
                )
            )
            .exercises[0]
            .points[0]
        )

        assert 1 == point.early

    def test_days_are_marked_by_what_was_done(self) -> None:
        """Hang, press, both, and pain before them all."""
        found = look(
            visit(0, hold("hang")),
            visit(1, hold("press-pike")),
            visit(2, hold("hang"), hold("press-pike")),
            visit(3, hold("hang", pain=(Pain(PainKind.NUMB),))),
        )

        assert ["h", "p", "x", "!"] == [
            found.marks[MONDAY + timedelta(weeks=n)] for n in range(4)
        ]

    def test_an_exercise_that_the_plan_lost_keeps_its_id(self) -> None:
        """A plan's own exercise that is no more is still reviewed, by its id."""
        found = look(visit(0, hold("ring-hang")))

        assert "ring-hang" == found.exercises[0].name
        assert {} == found.overhead

    def test_sessions_after_today_are_left_out(self) -> None:
        """A clock that was once set wrong adds no week to come."""
        found = look(visit(0, hold()), visit(5, hold()), today=MONDAY)

        assert 1 == len(found.sessions)


class TestSentences:
    def test_best_kept_against_the_four_weeks_before(self) -> None:
        """42 s after 35 s is up 7 s, with the RPE unchanged."""
        found = look(
            *(visit(n, hold(held_s=35, rpe=7.5)) for n in range(4)),
            *(visit(n, hold(held_s=42, rpe=7.5)) for n in range(4, 8)),
        )

        assert (
            "Best kept hang 42 s in four weeks, up 7 s on the four before; RPE"
            " unchanged at 7.5."
        ) == say.kept_sentence(found.exercises[0], found.last)

    def test_nothing_lately_is_said(self) -> None:
        """An exercise left behind says when its best was."""
        found = look(visit(0, hold("hang-supported", 45)), visit(6, hold("hang", 20)))
        left = next(one for one in found.exercises if one.exercise == "hang-supported")

        assert (
            "No hang-supported in the last four weeks; best kept 45 s on 2 Mar 2026."
        ) == say.kept_sentence(left, found.last)

    def test_a_trend_needs_its_weeks(self) -> None:
        """One week short of the least is said to be short, and of what."""
        found = look(*(visit(n, hold(held_s=20 + n)) for n in range(LEAST_POINTS - 1)))

        assert (
            "Trend: can't tell yet. 7 weeks with a session; at least 8 are needed."
        ) == say.trend_sentence(found.exercises[0].trend)

    def test_a_trend_rests_on_one_value_a_week(self) -> None:
        """Three sessions a week are one value: the week's best."""
        days = [
            session(MONDAY + timedelta(weeks=week, days=day), hold(held_s=20 + week))
            for week in range(10)
            for day in (0, 2, 4)
        ]
        trend = look(*days).exercises[0].trend

        assert (10, Direction.UP) == (trend.points, trend.direction)
        assert say.trend_sentence(trend).startswith("Trend: up. 1 s a week (1 to 1")

    def test_a_long_log_takes_one_value_for_four_weeks(self) -> None:
        """Four years of weeks are judged on the best of each four weeks."""
        found = look(
            *(visit(n, hold(held_s=20 + n % 9)) for n in range(208)), weeks=None
        )
        trend = found.exercises[0].trend

        assert 52 == trend.points
        assert Direction.FLAT is trend.direction
        assert 12 == len(found.months)

    @pytest.mark.parametrize(
        ("before", "now", "said"),
        [
            (7.0, 9.0, "RPE up from 7 to 9."),
            (9.0, 7.5, "RPE down from 9 to 7.5."),
            (None, 8.0, "RPE 8."),
            (8.0, None, "no RPE noted."),
        ],
    )
    def test_the_rpe_is_told_beside_the_best(
        self, before: float | None, now: float | None, said: str
    ) -> None:
        """A gain that was bought with more effort is seen to be."""
        found = look(
            *(visit(n, hold(held_s=30, rpe=before)) for n in range(4)),
            *(visit(n, hold(held_s=30, rpe=now)) for n in range(4, 8)),
        )
        sentence = say.kept_sentence(found.exercises[0], found.last)

        assert "the same as in the four before" in sentence
        assert sentence.endswith(said)

    def test_load_without_an_rpe_is_undefined(self) -> None:
        """Nothing is made up where nobody said how hard it was."""
        found = look(visit(0, hold()), today=MONDAY + timedelta(weeks=1))

        assert say.load_sentence(found.loads, found.last).startswith(
            "Load of last week: undefined, no RPE was noted."
        )

    def test_a_week_without_a_session_has_no_load_to_describe(self) -> None:
        """This week's bar stands there all the same: the sentence is of last week."""
        found = look(visit(0, hold(rpe=7)), visit(2, hold(rpe=7)))

        assert say.load_sentence(found.loads, found.last).startswith(
            "No load to describe: no session last week."
        )

    def test_load_raises_no_alarm(self) -> None:
        """Foster's monotony of a week with four rest days, and no warning.

        Loads 4, 0, 4, 0, 4, 0, 0: mean 12/7 over a population SD of 1.979 is 0.87.
        """
        same = [
            session(MONDAY + timedelta(days=day), hold(held_s=30, rpe=8.0))
            for day in (0, 2, 4)
        ]
        found = look(*same, today=MONDAY + timedelta(weeks=1))

        assert (
            "Load of last week: 12 (top RPE × minutes kept, from 3 sessions); monotony"
            " 0.9 (the mean of the seven days, rest days as 0, over their spread),"
            " strain 10.4 (load times monotony). A description: no limits are drawn"
            " from it."
        ) == say.load_sentence(found.loads, found.last)


class TestSections:
    def test_every_picture_has_a_sentence_and_a_table(self) -> None:
        """No picture stands alone: words over it, figures behind it."""
        found = look(*(visit(n, hold(held_s=20 + n, rpe=7.0)) for n in range(9)))
        parts = sections(found)

        assert [
            "weeks",
            "kept-hang",
            "overhead",
            "felt",
            "rpe-hang",
            "load",
            "bests",
        ] == [part.id for part in parts]
        assert all(part.sentences and part.sentences[0] for part in parts)
        assert all(part.table.headers for part in parts)
        assert all(
            part.table.rows and len(set(map(len, part.table.rows))) == 1
            for part in parts
            if part.id != "felt"
        )

    @pytest.mark.parametrize("width", [54, 60, 78, 120])
    def test_pictures_and_tables_stay_within_the_width(self, width: int) -> None:
        """At any width rows end where the page does."""
        found = look(*(visit(n, hold(held_s=20 + n, rpe=7.0)) for n in range(9)))
        for part in sections(found):
            for picture in (
                part.draw(width, 14, UNICODE),
                table_picture(part.table, width=width),
            ):
                longest = max(map(len, plain(picture).splitlines()), default=0)
                assert longest <= width, part.id

    def test_ascii_pictures_are_ascii(self) -> None:
        """Every picture has a form without blocks."""
        found = look(*(visit(n, hold(held_s=20 + n, rpe=7.0)) for n in range(9)))

        for part in sections(found):
            text = plain(part.draw(80, 14, ASCII)).replace("×", "x")
            assert text.isascii(), part.id

    def test_an_empty_log_has_none(self) -> None:
        """Nothing logged is no section, and no error."""
        assert () == sections(look())


class TestForecasts:
    def test_what_was_done_anyway_stands_near_the_top(self) -> None:
        """With the reason as it was read; without any there is no such section."""
        went = replace(
            visit(1, hold("press-wall")),
            overrides=(Override("press-wall", "wall", "It turns you upside down."),),
        )
        first, second, *_ = sections(look(visit(0, hold()), went))

        assert ["weeks", "anyway"] == [first.id, second.id]
        assert "It turns you upside down." == second.table.rows[0][2]
        assert "anyway" not in [part.id for part in sections(look(visit(0, hold())))]

    def test_each_planned_exercise_says_when_its_cap_is_reached(self) -> None:
        """The table has the median and the ends of the 80 % range as ISO weeks."""
        climb = (visit(n, *(hold(target_s=20 + 5 * n),) * 3) for n in range(7))
        found = with_forecasts(look(*climb))
        told = forecast(found.history, PLAN, "hang", today=found.today)
        assert told is not None
        part = next(one for one in sections(found) if one.id == "forecasts")

        assert (told.sentence(),) == part.sentences
        assert "hang" == part.table.rows[0][0]
        assert _said(told) == part.table.rows[0][2:]

    def test_a_cap_that_is_reached_is_said_to_be(self) -> None:
        """At the cap there is no week to wait for."""
        cap_s = PLAN.exercises[0].cap_s
        found = with_forecasts(look(visit(0, hold(target_s=cap_s, held_s=cap_s))))
        part = next(one for one in sections(found) if one.id == "forecasts")

        assert (("hang", f"{cap_s:g} s", "reached", "", ""),) == part.table.rows

    def test_what_was_never_trained_has_none(self) -> None:
        """With nothing to go by nothing is foretold."""
        assert () == with_forecasts(look()).forecasts


def _said(told: Forecast) -> tuple[str, ...]:
    return tuple(
        "beyond a year" if week is None else str(week)
        for week in (told.median, told.low, told.high)
    )


class TestSitesThatAHoldShouldntLoad:
    """What the felt map says of a low back is said wherever the person looks."""

    def test_stand_on_the_first_page_and_over_the_felt_map(self) -> None:
        """The first page names the place, the Felt page has the whole caution."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LOW_BACK),))) for n in range(3)))
        first, *rest = sections(found)
        felt = next(part for part in rest if part.id == "felt")

        assert (
            "Felt again and again where a hold shouldn't load: low back. See Felt."
        ) == first.sentences[-1]
        assert felt.cautions[0].startswith("Low back felt in 3 of 3 sessions")

    def test_say_nothing_where_the_shoulder_is_felt(self) -> None:
        """Lats are where a hang belongs: no line."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(3)))

        assert not any("See Felt" in said for said in sections(found)[0].sentences)


class TestFeltMap:
    def test_too_little_noted_is_said_in_words_only(self) -> None:
        """Two sessions draw no body."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(2)))
        felt = next(part for part in sections(found) if part.id == "felt")

        assert felt.sentences[0].startswith("Too little noted to draw a map")
        assert () == felt.draw(100, 20, UNICODE)

    def test_without_a_moment_there_is_one_map(self) -> None:
        """Places noted without a moment are drawn once, not as two empty bodies."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(3)))
        felt = next(part for part in sections(found) if part.id == "felt")
        text = plain(felt.draw(100, 20, UNICODE))

        assert text.startswith("felt, the moment not noted")
        assert "nothing noted" not in text
        assert "settled" not in text
