"""The review's pictures: pure functions from series to rows of text."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, timedelta

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.alphabet import Alphabet
from trainer.core.charts.calendar import calendar_chart, weeks_chart
from trainer.core.charts.canvas import (
    ASCII,
    UNICODE,
    Glyphs,
    Ink,
    glyphs_for,
    nice_top,
    plain,
)
from trainer.core.charts.series import kept_chart, weekly_chart
from trainer.core.charts.time_axis import LEFT, fit, fit_blocks
from trainer.core.review.days import DayMark
from trainer.core.review.kept import KeptPoint
from trainer.core.review.streaks import Week, WeekState
from trainer.core.weeks import IsoWeek
from trainer.core.words import number, whole_seconds

MONDAY = date(2026, 3, 2)
FIRST = IsoWeek.of(MONDAY)


def point(
    day: date, kept_s: float, target_s: float | None = 30.0, *, early: int = 0
) -> KeptPoint:
    return KeptPoint(
        day=day,
        kept_s=kept_s,
        best_s=kept_s,
        target_s=target_s,
        sets=3,
        early=early,
        rpe=8.5,
    )


def kept(
    points: Sequence[KeptPoint],
    *,
    weeks: int,
    width: int = 70,
    height: int = 14,
    glyphs: Glyphs = UNICODE,
) -> list[str]:
    picture = kept_chart(
        [("hang", points)],
        first=FIRST,
        last=FIRST.plus(weeks - 1),
        width=width,
        height=height,
        glyphs=glyphs,
    )
    return plain(picture).splitlines()


def column_heights(rows: Sequence[str], glyph: str = "█") -> list[int]:
    """Count the full cells of each column."""
    width = max(len(row) for row in rows)
    return [sum(row[col : col + 1] == glyph for row in rows) for col in range(width)]


class TestKept:
    def test_bars_begin_at_zero_and_double_when_the_time_does(self) -> None:
        """A hold of twice the seconds is drawn twice as high."""
        rows = kept([point(MONDAY, 30, None)], weeks=2)
        half = kept(
            [point(MONDAY, 30, None), point(MONDAY + timedelta(7), 15, None)], weeks=2
        )
        heights = column_heights(half)

        assert max(column_heights(rows)) == max(heights)
        assert max(heights) == 2 * min(height for height in heights if height)
        assert any("0 s └" in row for row in rows)

    def test_a_week_without_a_session_stays_empty(self) -> None:
        """Nothing is interpolated: the missing week's columns hold no bar."""
        points = [point(MONDAY, 30), point(MONDAY + timedelta(weeks=2), 30)]
        axis = fit(FIRST, FIRST.plus(2), width=70, bars=1)
        assert axis is not None
        heights = column_heights(kept(points, weeks=3))

        gap = range(axis.column(1), axis.column(2))
        assert {0} == {heights[col] for col in gap}
        assert heights[axis.column(0)] == heights[axis.column(2)] > 0

    def test_the_target_is_a_labelled_line(self) -> None:
        """The line is drawn where no bar hides it, and says its seconds."""
        rows = kept([point(MONDAY, 20, 40.0)], weeks=2)
        line = next(row for row in rows if "target 40 s" in row)

        assert "╌╌" in line

    def test_sets_that_ended_early_are_counted_under_the_axis(self) -> None:
        """The row named early holds the number, in words and not by colour."""
        rows = kept([point(MONDAY, 20, early=2)], weeks=2)
        row = next(row for row in rows if row.startswith("early"))

        assert "2" == row.removeprefix("early").strip()

    @pytest.mark.parametrize(("glyphs", "said"), [(UNICODE, "8½"), (ASCII, "8+")])
    def test_the_rpe_under_the_axis_keeps_its_half(
        self, glyphs: Glyphs, said: str
    ) -> None:
        """8.5 is never shown as 8."""
        rows = kept([point(MONDAY, 20)], weeks=2, glyphs=glyphs)

        assert said == next(row for row in rows if row.startswith("RPE"))[3:].strip()

    def test_the_half_stands_below_where_a_bar_is_one_cell(self) -> None:
        """On narrow bars the half has a row of its own, under its figure."""
        days = [MONDAY + timedelta(weeks=n, days=d) for n in range(16) for d in (0, 2)]
        rows = kept([point(one, 20) for one in days], weeks=16, width=70)

        assert rows[-1].startswith("half")
        assert rows[-2].replace("RPE ", "half").replace("8", "½") == rows[-1]

    def test_a_bar_says_what_it_stands_for(self) -> None:
        """Sessions, weeks and blocks of weeks are told apart by a caption."""
        twice = [
            point(MONDAY + timedelta(weeks=week, days=day), 30)
            for week in range(60)
            for day in (0, 2, 4)
        ]

        assert "bar: session" in "\n".join(kept(twice[:12], weeks=4))
        assert "bar: week" in "\n".join(kept(twice, weeks=40, width=110))
        assert "bar: 4 weeks" in "\n".join(kept(twice, weeks=60, width=60))
        assert "bar: 8 weeks" in "\n".join(kept(twice, weeks=60, width=40))

    def test_ascii_holds_nothing_else(self) -> None:
        """The picture for a plain terminal is ASCII throughout."""
        rows = kept([point(MONDAY, 33, 40.0)], weeks=8, glyphs=ASCII)

        assert all(row.isascii() for row in rows)
        assert "#" in "".join(rows)

    def test_in_full_at_eighty_columns(self) -> None:
        """The whole picture, as it is read on a small terminal."""
        points = [
            point(MONDAY, 20, 20),
            point(MONDAY + timedelta(2), 18, 20, early=1),
            point(MONDAY + timedelta(14), 25, 25),
        ]

        assert [
            " 30 s │                          ▁▁▁▁▁╌╌╌╌╌╌╌╌ target 25 s",
            "      │▃▃▃▃▃╌╌╌╌╌╌╌╌             █████",
            "      │██████████                █████",
            " 15 s │██████████                █████",
            "      │██████████                █████",
            "  0 s └─────────────────────────────────────── bar: session",
            "       Mar 2026",
            "early       1",
            "RPE    8½   8½                   8½",
        ] == kept(points, weeks=3, width=80, height=9)


class TestAFamily:
    """Exercises of one family stand in one picture."""

    EASIER = tuple(point(MONDAY + timedelta(n), 40, 40) for n in (0, 2))
    HARDER = (point(MONDAY, 20, 20), point(MONDAY + timedelta(7), 20, 20))

    def drawn(self, *, width: int, glyphs: Glyphs = UNICODE) -> list[str]:
        picture = kept_chart(
            [("harder", self.HARDER), ("easier", self.EASIER)],
            first=FIRST,
            last=FIRST.plus(1),
            width=width,
            height=12,
            glyphs=glyphs,
        )
        return plain(picture).splitlines()

    @pytest.mark.parametrize("width", [30, 78])
    def test_are_told_apart_by_their_filling_and_named(self, width: int) -> None:
        """Both bars of a day stand there, each as high as it was kept, at any width."""
        rows = self.drawn(width=width)

        assert "██ harder   ░░ easier" == rows[-1].strip()
        solid = max(column_heights(rows[:-1]))
        hatched = max(column_heights(rows[:-1], "░"))
        assert pytest.approx(2, abs=0.5) == hatched / solid

    def test_a_bar_for_each_exercise_of_a_session(self) -> None:
        """Two days with the easier one and one with both: three bars that week."""
        rows = self.drawn(width=78)
        row = next(row for row in rows if row.startswith("RPE"))

        assert 4 == row.count("8")

    def test_each_has_its_own_target_and_the_newest_is_labelled(self) -> None:
        """The label says the harder one's 20 s, not the 40 s of the week before."""
        rows = self.drawn(width=78)

        assert any("target 20 s" in row for row in rows)
        assert not any("target 40 s" in row for row in rows)

    def test_in_ascii_three_fillings_differ(self) -> None:
        """A third rung is told from the two others without any colour."""
        assert 3 == len({ASCII.fill(number) for number in range(3)})
        assert 3 == len({UNICODE.fill(number) for number in range(3)})


class TestEveryWidth:
    @given(
        weeks=st.integers(1, 700),
        width=st.integers(40, 200),
        height=st.integers(5, 30),
        days=st.lists(st.integers(0, 4000), max_size=40, unique=True),
    )
    def test_never_wider_than_asked(
        self, weeks: int, width: int, height: int, days: list[int]
    ) -> None:
        """Whatever the period and the data, rows stay within the width."""
        last = FIRST.plus(weeks - 1)
        found = [
            point(day, 10 + n)
            for n, offset in enumerate(sorted(days))
            if (day := MONDAY + timedelta(offset)) <= last.sunday
        ]
        for picture in (
            kept_chart(
                [("hang", found)],
                first=FIRST,
                last=last,
                width=width,
                height=height,
            ),
            kept_chart(
                [("hang", found[::2]), ("other", found[::3])],
                first=FIRST,
                last=last,
                width=width,
                height=height,
            ),
            weekly_chart(
                [("hang", {IsoWeek.of(one.day): 60.0 for one in found})],
                first=FIRST,
                last=last,
                width=width,
                height=height,
                unit=" min",
            ),
        ):
            assert all(len(row) <= width for row in plain(picture).splitlines())

    @given(
        weeks=st.integers(1, 700), width=st.integers(40, 200), bars=st.integers(1, 3)
    )
    def test_every_week_has_a_place_of_its_group(
        self, weeks: int, width: int, bars: int
    ) -> None:
        """The axis holds every week once, in order, the last week in the last group."""
        last = FIRST.plus(weeks - 1)
        axis = fit_blocks(FIRST, last, width=width, bars=bars)
        groups = [axis.group(FIRST.plus(n)) for n in range(weeks)]

        assert sorted(groups) == groups
        assert axis.groups - 1 == groups[-1]
        assert groups[0] == 0
        assert axis.end <= max(width, LEFT + 2 * (bars + 1))


class TestWeekly:
    def test_two_series_are_told_apart_by_their_glyphs(self) -> None:
        """Solid and hatched, each named below: no colour is needed."""
        picture = weekly_chart(
            [("hang", {FIRST: 4.0}), ("press", {FIRST: 4.0})],
            first=FIRST,
            last=FIRST.plus(3),
            width=70,
            height=12,
            unit=" min",
        )
        rows = plain(picture).splitlines()

        assert "██ hang   ░░ press" == rows[-1].strip()
        assert max(column_heights(rows[:-1])) == max(column_heights(rows[:-1], "░")) > 0

    def test_a_block_shows_the_mean_of_all_its_weeks(self) -> None:
        """Where four weeks share a bar, one week of four minutes is one minute."""
        last = FIRST.plus(103)
        picture = weekly_chart(
            [("hang", {last: 4.0, last.plus(-4): 1.0})],
            first=FIRST,
            last=last,
            width=80,
            height=12,
            unit=" min",
        )
        rows = plain(picture).splitlines()

        assert "bar: 4 weeks" in plain(picture)
        assert rows[0].startswith("1 min │")
        assert 9 == max(column_heights(rows[:9]))


class TestCalendar:
    def test_a_month_is_a_row_with_a_mark_for_each_day(self) -> None:
        """March 2026: 31 marks, trained days counted at the end, no later days."""
        marks = {
            date(2026, 3, 2): DayMark.HANG,
            date(2026, 3, 4): DayMark.BOTH,
            date(2026, 3, 9): DayMark.REST,
        }
        picture = calendar_chart(marks, months=[(2026, 3)], today=date(2026, 3, 10))
        row = plain(picture).splitlines()[1]
        days = [row[9 + 2 * n + 1] for n in range(31)]

        assert row.startswith("Mar 2026 ")
        assert [".", "h", ".", "x", ".", ".", ".", ".", "=", "."] == days[:10]
        assert {" "} == set(days[10:])
        assert row.endswith(" 2")

    def test_mondays_are_barred(self) -> None:
        """The bars of March 2026 stand before the 2nd, 9th, 16th, 23rd and 30th."""
        picture = calendar_chart({}, months=[(2026, 3)], today=date(2026, 3, 31))
        row = plain(picture).splitlines()[1]

        assert [2, 9, 16, 23, 30] == [n + 1 for n in range(31) if row[9 + 2 * n] == "|"]

    def test_weeks_show_days_done_over_days_planned(self) -> None:
        """Each week has its figures and a mark that a key explains."""
        weeks = [
            Week(FIRST.plus(n), 3, done, state)
            for n, (done, state) in enumerate(
                [(3, WeekState.DONE), (1, WeekState.MISSED), (0, WeekState.REST)]
            )
        ]
        rows = plain(weeks_chart(weeks, width=78)).splitlines()

        assert ["done", "3", "1", "0"] == rows[0].split()
        assert ["of", "3", "3", "3"] == rows[1].split()
        assert ["week", "+", "-", "="] == rows[2].split()

    def test_more_weeks_than_fit_leave_the_newest(self) -> None:
        """A long log keeps its last weeks in sight."""
        weeks = [Week(FIRST.plus(n), 3, n % 10, WeekState.DONE) for n in range(300)]
        rows = plain(weeks_chart(weeks, width=78)).splitlines()

        assert "9" == rows[0].split()[-1]
        assert all(len(row) <= 78 for row in rows)


class TestWords:
    @pytest.mark.parametrize(
        ("largest", "top"),
        [(0, 1), (1, 1), (29, 30), (30, 30), (31, 40), (60, 60), (61, 80), (101, 150)],
    )
    def test_an_axis_ends_at_a_round_figure(self, largest: float, top: float) -> None:
        """The top of an axis is round and not below what it has to hold."""
        assert pytest.approx(top) == nice_top(largest)

    @given(st.floats(0.01, 1e6))
    def test_an_axis_holds_everything(self, largest: float) -> None:
        """No figure is above the top of its axis, none far below it."""
        assert largest <= nice_top(largest) * (1 + 1e-9)
        assert nice_top(largest) <= max(1.0, largest * 2)

    def test_seconds_are_rounded_down(self) -> None:
        """29.9 s held are not 30 s; a sum that is a hair under 30 is."""
        assert "29 s" == whole_seconds(29.9)
        assert "30 s" == whole_seconds(29.999999999999996)

    def test_no_figure_is_minus_nought(self) -> None:
        """A slope that rounds to nothing has no sign."""
        assert "0" == number(-0.04)

    def test_a_terminal_that_lacks_characters_gets_ascii(self) -> None:
        """Whatever letters it has, pictures are drawn in ASCII there."""
        assert UNICODE is glyphs_for(None)
        assert ASCII is glyphs_for(Alphabet("cp437"))

    def test_inks_never_carry_a_state_alone(self) -> None:
        """The same picture without inks still says target, early and RPE in words."""
        rows = "\n".join(kept([point(MONDAY, 20, early=1)], weeks=2))

        assert all(word in rows for word in ("target", "early", "RPE", "bar:"))
        assert {ink.value for ink in Ink} >= {"first", "second"}
