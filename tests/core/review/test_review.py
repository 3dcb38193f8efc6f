"""A review put together: what counts where, and the sentences over the pictures."""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from functools import cache

import pytest

from tests.core.histories import hold, session
from trainer.core.alphabet import Alphabet
from trainer.core.capacity.calibration import Scored, score
from trainer.core.capacity.forecast import HORIZON, Forecast, forecast
from trainer.core.charts.canvas import ASCII, UNICODE, plain
from trainer.core.charts.pages import pages, table_picture, tables_picture
from trainer.core.exercises import Family
from trainer.core.model import (
    EndedBy,
    Felt,
    History,
    Hold,
    Moment,
    Override,
    Pain,
    PainKind,
    Session,
    Side,
    Site,
    StoppedBy,
)
from trainer.core.plan.plan import Plan, default_entry
from trainer.core.review import sentences as say
from trainer.core.review.days import DayMark
from trainer.core.review.review import (
    MOST_WEEKLY,
    Review,
    review,
    with_forecasts,
)
from trainer.core.review.streaks import PlannedDays
from trainer.core.review.tables import (
    felt_table,
    kept_table,
    outlook_table,
    pain_table,
    weeks_table,
)
from trainer.core.review.trends import LEAST_POINTS, Direction
from trainer.core.weeks import IsoWeek
from trainer.core.words import short_date

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

    @pytest.mark.parametrize(
        ("weeks", "months"),
        [
            (0, [(2026, 3)]),
            (14, [(2025, 11), (2025, 12), (2026, 1), (2026, 2), (2026, 3)]),
            (99, [(2025, n) for n in range(4, 13)] + [(2026, n) for n in (1, 2, 3)]),
        ],
    )
    def test_its_months_are_told_oldest_first_and_no_more_than_twelve(
        self, weeks: int, months: list[tuple[int, int]]
    ) -> None:
        """Over a new year too; from the Monday of the first week on."""
        found = look(visit(-weeks, hold()), visit(0, hold()), weeks=None)

        assert months == [*found.months]

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

    @pytest.mark.parametrize(
        "before", [MONDAY + timedelta(weeks=1), MONDAY + timedelta(weeks=4, days=6)]
    )
    def test_four_weeks_are_held_against_the_four_before(self, before: date) -> None:
        """A Monday seven weeks back and a Sunday four weeks back are of the four
        before; a day sooner and a day later are not."""
        found = look(
            session(MONDAY + timedelta(days=6), hold(held_s=90)),
            session(before, hold(held_s=40)),
            session(MONDAY + timedelta(weeks=5), hold(held_s=60)),
            session(MONDAY + timedelta(weeks=8), hold(held_s=50)),
        )

        assert "best kept 60 s in four weeks, up 20 s on the four before" in (
            say.kept_sentence(found.exercises[0], found.last)
        )

    def test_overhead_is_that_of_the_last_whole_week(self) -> None:
        """And a week of the four before it; the running week and older ones are out."""
        seconds = (600, 40, 80, 120, 160, 20, 300)
        found = look(
            *(visit(n, hold(held_s=each)) for n, each in enumerate(seconds)),
            today=MONDAY + timedelta(weeks=6),
        )

        assert (
            "Kept overhead last week: hang 0:20 min; a week in the four before:"
            " 1:40 min." == say.overhead_sentence(found)
        )

    def test_a_week_without_any_is_none_in_the_mean(self) -> None:
        """62 s in one of the four weeks are 15.5 s a week, which is shown as 15."""
        found = look(
            visit(0, hold(held_s=62)), today=MONDAY + timedelta(weeks=4), weeks=None
        )

        assert (
            "Kept overhead last week: hang 0:00 min; a week in the four before:"
            " 0:15 min." == say.overhead_sentence(found)
        )

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

        assert [DayMark.HANG, DayMark.PRESS, DayMark.BOTH, DayMark.PAIN] == [
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
            "Passive hang: best kept 42 s in four weeks, up 7 s on the four before; RPE"
            " unchanged at 7.5."
        ) == say.kept_sentence(found.exercises[0], found.last)

    def test_how_often_a_chance_came_true_is_said_from_ten_on(self) -> None:
        """Ten at 80 %, of which seven were made; of nine nothing is said."""
        ten = [Scored("hang", 0.8, number < 7) for number in range(10)]

        assert "" == say.score_sentence(score(ten[:9]))
        assert (
            "Of 10 targets that were suggested and trained, 7 were made; by the chances"
            " said beforehand it would have been 8."
        ) == say.score_sentence(score(ten))

    def test_nothing_lately_is_said(self) -> None:
        """An exercise left behind says when its best was."""
        found = look(visit(0, hold("hang-supported", 45)), visit(6, hold("hang", 20)))
        left = next(one for one in found.exercises if one.exercise == "hang-supported")

        assert (
            "Supported hang: not in the last four weeks; best kept 45 s on 2 Mar 2026."
        ) == say.kept_sentence(left, found.last)

    def test_a_trend_needs_its_weeks(self) -> None:
        """One week short of the least is said to be short, and of what."""
        found = look(*(visit(n, hold(held_s=20 + n)) for n in range(LEAST_POINTS - 1)))

        assert (
            "Whether more is kept can't be told yet: 7 weeks of it, 8 are needed."
        ) == say.trend_sentence(found.exercises[0])

    def test_a_trend_rests_on_one_value_a_week(self) -> None:
        """Three sessions a week are one value: the week's best."""
        days = [
            session(MONDAY + timedelta(weeks=week, days=day), hold(held_s=20 + week))
            for week in range(10)
            for day in (0, 2, 4)
        ]
        one = look(*days).exercises[0]

        assert (10, Direction.UP) == (one.trend.points, one.trend.direction)

    def test_what_rose_with_the_target_is_said_to_have(self) -> None:
        """Kept rises as the target does: no gain by itself, and said as that."""
        risen = look(
            *(visit(n, hold(held_s=20 + n, target_s=20.0 + n)) for n in range(10))
        )
        alone = look(*(visit(n, hold(held_s=20 + n, target_s=40)) for n in range(10)))
        without = look(
            *(visit(n, hold(held_s=20 + n, target_s=None)) for n in range(10))
        )

        assert (
            "What was kept rose with the target, from 20 s to 29 s (1 s a week, 1 to"
            " 1)."
        ) == say.trend_sentence(risen.exercises[0])
        assert ["What was kept rose (1 s a week, 1 to 1)."] * 2 == [
            say.trend_sentence(found.exercises[0]) for found in (alone, without)
        ]

    @pytest.mark.parametrize(
        ("by_s", "target_by_s", "said"),
        [
            (1, 0.2, "rose with the target, from 40 s to 41 s (1 s a week, 1 to 1)"),
            (1, 0.1, "rose (1 s a week, 1 to 1)"),
            (1, -0.2, "rose (1 s a week, 1 to 1)"),
            (-1, -1, "fell with the target, from 40 s to 31 s (-1 s a week, -1 to -1)"),
            (-1, 1, "fell (-1 s a week, -1 to -1)"),
        ],
    )
    def test_with_the_target_is_said_where_both_went_one_way(
        self, by_s: float, target_by_s: float, said: str
    ) -> None:
        """By a second as they are said; up or down."""
        found = look(
            *(
                visit(n, hold(held_s=30 + by_s * n, target_s=40.0 + target_by_s * n))
                for n in range(10)
            )
        )

        assert f"What was kept {said}." == say.trend_sentence(found.exercises[0])

    @pytest.mark.parametrize("higher_in", [range(1, 10), range(9, 10)])
    def test_the_target_is_told_from_the_first_to_the_last(
        self, higher_in: range
    ) -> None:
        """It rose after the first week, or in the last."""
        found = look(
            *(
                visit(n, hold(held_s=20 + n, target_s=41 if n in higher_in else 40))
                for n in range(10)
            )
        )

        assert (
            "What was kept rose with the target, from 40 s to 41 s (1 s a week, 1 to"
            " 1)."
        ) == say.trend_sentence(found.exercises[0])

    @pytest.mark.parametrize(
        ("weeks", "points"), [(MOST_WEEKLY, MOST_WEEKLY), (MOST_WEEKLY + 1, 40)]
    )
    def test_up_to_three_years_each_week_is_a_value(
        self, weeks: int, points: int
    ) -> None:
        """With one week more than 156 it is the best of each four: 40 of them."""
        found = look(
            *(visit(n, hold(held_s=20 + n % 9)) for n in range(weeks)), weeks=None
        )

        assert points == found.exercises[0].trend.points

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


@cache
def everything() -> Review:
    """Look back over both families, something felt, and a pain."""
    felt = (Felt(Site.LATS, Side.LEFT, Moment.SETTLED, 5),)
    return look(
        *(
            visit(
                n,
                hold(held_s=20 + n, rpe=7.0, felt=felt),
                hold("press-pike", 20, rpe=7.0),
                hold("press-pushup", 30, rpe=6.0),
            )
            for n in range(9)
        ),
        visit(9, hold(pain=(Pain(PainKind.PAIN, Site.WRIST, Side.LEFT),))),
    )


@cache
def with_what_is_to_come() -> Review:
    """Look back over the same, once with its forecasts: they take longest."""
    return with_forecasts(everything())


class TestPages:
    def test_answers_come_first_then_six_pages_at_most(self) -> None:
        """With all that there can be to show there are six pages of pictures."""
        found = everything()

        assert [
            "answers",
            "days",
            "kept-hang",
            "kept-press",
            "overhead",
            "felt",
            "pain",
        ] == [page.id for page in pages(found)]

    def test_pages_without_contents_don_t_exist(self) -> None:
        """One hang and nothing said of it: no press, no felt map, no pain."""
        found = look(visit(0, hold()))

        assert ["answers", "days", "kept-hang", "overhead"] == [
            page.id for page in pages(found)
        ]

    def test_every_picture_has_a_sentence_and_its_figures(self) -> None:
        """No picture stands alone: words over it, figures behind it."""
        for page in pages(everything()):
            assert page.id == "answers" or page.sentences[0]
            assert page.tables
            for table in page.tables:
                assert table.title
                assert {len(table.columns)} == {len(row) for row in table.rows}

    def test_tables_have_all_that_was_logged_newest_first(self) -> None:
        """Worked by hand from four visits, of which the first lies before the period.

        Load is top RPE times minutes kept: 8 × 52 s, 7 × 25 s and 6 × 40 s.
        """
        exhale = Felt(Site.LATS, Side.LEFT, Moment.EXHALE, 6.0)
        plain_felt = Felt(Site.RIBS)
        gone_on = MONDAY + timedelta(days=9)
        sore = Pain(PainKind.PAIN, Site.WRIST, Side.LEFT, gone_on=gone_on)
        found = look(
            visit(-1, hold(held_s=20)),
            visit(
                0,
                hold(held_s=30, kept_s=29.5, rpe=7.5, felt=(exhale, plain_felt)),
                hold(
                    held_s=22.5,
                    target_s=30,
                    ended_by=EndedBy.KEY,
                    rpe=8,
                    set_number=2,
                    felt=(exhale,),
                ),
            ),
            visit(1, hold("press-pike", 25, rpe=7.0, pain=(sore,))),
            visit(2, hold(held_s=40, rpe=6, felt=(exhale, plain_felt))),
            weeks=3,
        )
        hang = next(one for one in found.exercises if one.exercise == "hang")

        assert (
            ("16 Mar 2026", "1 of 3", "running", "0:40 min", "", "4"),
            ("9 Mar 2026", "1 of 3", "missed", "", "0:25 min", "2.9"),
            ("2 Mar 2026", "1 of 3", "missed", "0:52 min", "", "6.9"),
        ) == weeks_table(found).rows
        assert (
            ("16 Mar 2026", "1", "40 s", "40 s", "40 s", "", "6"),
            ("2 Mar 2026", "2", "30 s", "26 s", "29 s", "1", "8"),
        ) == kept_table(hang).rows
        assert (
            ("2 Mar 2026", "lats", "exhale", "2 of 2", "6", "2", "0"),
            ("2 Mar 2026", "ribs", "", "2 of 2", "", "", ""),
        ) == felt_table(found).rows
        assert (
            (
                "9 Mar 2026",
                "Pike press-away",
                "1",
                "left wrist",
                "pain",
                "stopped",
                "11 Mar 2026",
            ),
        ) == pain_table(found).rows

    @pytest.mark.parametrize(
        ("by_week", "said"),
        [
            ((1.0,), ("60 s", "reached", "")),
            ((0.0, 0.05), ("60 s", f"after {HORIZON}", "")),
            (
                (0.0, 0.1, 0.4),
                ("60 s", f"after {HORIZON}", "not before 9 Mar 2026"),
            ),
            (
                (0.0, 0.1, 0.5, 0.9),
                ("60 s", "16 Mar 2026", "9 Mar 2026 to 23 Mar 2026"),
            ),
        ],
    )
    def test_the_outlook_says_what_can_be_said_of_the_cap(
        self, by_week: tuple[float, ...], said: tuple[str, str, str]
    ) -> None:
        """Reached, its week with the range, or that an end lies beyond what is told."""
        found = look(visit(0, hold(held_s=40)), visit(1, hold(held_s=30)))
        told = Forecast(
            exercise="hang",
            name="Passive hang",
            cap_s=60,
            made_on=MONDAY,
            by_week=by_week,
        )
        (row,) = outlook_table(replace(found, forecasts=(told,))).rows
        assert found.exercises[0].progress is not None
        low, middle, high = found.exercises[0].progress.now.shown

        assert (
            "Passive hang",
            "40 s",
            "40 s",
            f"{middle} s ({low} to {high})",
            *said,
        ) == row

    @pytest.mark.parametrize("width", [54, 60, 78, 120])
    def test_pictures_and_tables_stay_within_the_width(self, width: int) -> None:
        """At any width rows end where the page does."""
        for page in pages(with_what_is_to_come()):
            for picture in (
                page.draw(width, 14, UNICODE),
                tables_picture(page.tables, width=width),
            ):
                longest = max(map(len, plain(picture).splitlines()), default=0)
                assert longest <= width, page.id

    def test_a_table_that_is_too_wide_becomes_cards_with_all_its_figures(self) -> None:
        """Nothing is cut off: each cell stands after its header."""
        found = everything()
        page = next(page for page in pages(found) if page.id == "days")
        table = page.tables[0]
        text = " ".join(plain(table_picture(table, width=30)).split())

        for row in table.rows:
            assert all(cell in text for cell in row)

    def test_figures_stand_under_each_other_and_dates_don_t(self) -> None:
        """The column says what it holds: figures at the right, dates at the left."""
        found = look(visit(0, hold(held_s=9)), visit(1, hold(held_s=20)))
        page = next(page for page in pages(found) if page.id == "kept-hang")
        table = page.tables[0]
        header, *rows = plain(table_picture(table, width=90)).splitlines()
        end = header.index("best") + len("best")

        assert {"s"} == {row[end - 1] for row in rows}
        assert all(row[0] != " " for row in rows)

    def test_ascii_pictures_are_ascii(self) -> None:
        """Every picture has a form without blocks."""
        for page in pages(everything()):
            text = plain(page.draw(80, 14, ASCII))
            # As the shells do: our few signs beyond ASCII all have a stand-in.
            shown = Alphabet("ascii").spell(text)
            assert shown.isascii(), page.id
            assert text.count("?") == shown.count("?"), page.id

    def test_an_empty_log_has_none(self) -> None:
        """Nothing logged is no page, and no error."""
        assert () == pages(look())

    def test_every_pain_stands_on_its_page(self) -> None:
        """Day, kind, place, side, exercise, set, whether it stopped, and that it is
        open."""
        page = pages(everything())[-1]
        text = " ".join(plain(page.draw(100, 20, UNICODE)).split())

        assert "4 May 2026: pain, left wrist" in text
        assert "Passive hang, set 1: stopped; open" in text
        assert "!" in text


class TestGoneOnAnyway:
    def test_stands_with_the_days_and_its_reason(self) -> None:
        """As it was read, with day and exercise; without any nothing is said."""
        went = replace(
            visit(1, hold("press-wall")),
            overrides=(Override("press-wall", "wall", "It turns you upside down."),),
        )
        page = pages(look(visit(0, hold()), went))[1]
        plainly = pages(look(visit(0, hold())))[1]

        assert ("days", "days") == (page.id, plainly.id)
        assert "9 Mar 2026" in page.cautions[0]
        assert page.cautions[0].endswith("It turns you upside down.")
        assert "It turns you upside down." == page.tables[0].rows[0][2]
        assert () == plainly.cautions


class TestForecasts:
    def told(self, found: Review) -> tuple[str, ...]:
        """Give the cap's cells of the first row: cap, when, and the range."""
        page = next(page for page in pages(found) if page.id == "overhead")
        return page.tables[0].rows[0][4:]

    def test_each_planned_exercise_says_when_its_cap_is_reached(self) -> None:
        """The table has the median and the ends of the 80 % range as dates."""
        climb = (visit(n, *(hold(held_s=20 + 5 * n, rpe=6),) * 3) for n in range(7))
        found = with_forecasts(look(*climb))
        told = forecast(found.history, PLAN, "hang", today=found.today)
        assert told is not None
        assert told.low is not None
        cap, likely, between = self.told(found)

        assert "60 s" == cap
        assert _said(told.median) == likely
        assert _said(told.low) in between

    def test_a_cap_that_is_reached_is_said_to_be(self) -> None:
        """At the cap there is no week to wait for."""
        cap_s = PLAN.exercises[0].cap_s
        found = with_forecasts(look(visit(0, hold(target_s=cap_s, held_s=cap_s))))

        assert (f"{cap_s:g} s", "reached", "") == self.told(found)

    def test_what_was_never_trained_has_none(self) -> None:
        """With nothing to go by nothing is foretold."""
        assert () == with_forecasts(look()).forecasts


def _said(week: IsoWeek | None) -> str:
    return f"after {HORIZON}" if week is None else short_date(week.monday)


class TestSitesThatAHoldShouldntLoad:
    """What the felt map says of a low back is said wherever the person looks."""

    def test_stand_in_the_answers_and_over_the_felt_map(self) -> None:
        """The first page names the place, the Felt page has the whole caution."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LOW_BACK),))) for n in range(3)))
        first, *rest = pages(found)
        felt = next(page for page in rest if page.id == "felt")
        text = " ".join(plain(first.draw(90, 20, UNICODE)).split())

        assert "Again and again where a hold shouldn't load: low back." in text
        assert felt.cautions[0].startswith("Low back felt in 3 of 3 sessions")

    def test_say_nothing_where_the_shoulder_is_felt(self) -> None:
        """Lats are where a hang belongs: no line."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(3)))

        assert "shouldn't load" not in plain(pages(found)[0].draw(90, 20, UNICODE))


class TestFeltMap:
    def test_too_little_noted_is_said_in_words_only(self) -> None:
        """Two sessions draw no body."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(2)))
        felt = next(page for page in pages(found) if page.id == "felt")

        assert felt.sentences[0].startswith("Too little noted to draw a map")
        assert () == felt.draw(100, 20, UNICODE)

    def test_without_a_moment_there_is_one_map(self) -> None:
        """Places noted without a moment are drawn once, not as two empty bodies, and
        stand in the table."""
        found = look(*(visit(n, hold(felt=(Felt(Site.LATS),))) for n in range(3)))
        felt = next(page for page in pages(found) if page.id == "felt")
        text = plain(felt.draw(100, 20, UNICODE))

        assert text.startswith("felt, the moment not noted")
        assert "nothing noted" not in text
        assert "settled" not in text
        assert ["lats"] == [row[1] for row in felt.tables[0].rows]
