"""A review as sections: a title, sentences, a picture and the same as a table.

The screen shows one section at a time, the command line all of them; the page for a
coach takes the words and the tables and draws its own pictures.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, replace
from functools import partial

from trainer.core import words
from trainer.core.capacity.forecast import Forecast, forecast
from trainer.core.charts.body import (
    block_title,
    blocks_that_fit,
    felt_chart,
    map_rows,
)
from trainer.core.charts.calendar import calendar_chart, weeks_chart
from trainer.core.charts.canvas import Canvas, Glyphs, Ink, Picture, line
from trainer.core.charts.series import kept_chart, rpe_chart, weekly_chart
from trainer.core.model import Moment
from trainer.core.review import sentences as say
from trainer.core.review.felt import (
    keeps_turning_up,
    moved,
    name,
    turning_up_in_short,
    with_enough,
)
from trainer.core.review.review import ExerciseReview, Review, name_of
from trainer.core.weeks import IsoWeek
from trainer.core.words import (
    count,
    minutes_and_seconds,
    number,
    short_date,
    whole_seconds,
)

# What a section of a review is made of, and a table drawn as text.

Draw = Callable[[int, int, Glyphs], Picture]
"""Width, height and glyphs to a picture."""


@dataclass(frozen=True, slots=True)
class Table:
    """A picture's figures in words."""

    headers: tuple[str, ...]
    rows: tuple[tuple[str, ...], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Section:
    """One part of a review."""

    id: str
    title: str
    sentences: tuple[str, ...]
    """The first one says what the picture shows."""
    draw: Draw
    table: Table
    cautions: tuple[str, ...] = ()


def table_picture(table: Table, *, width: int) -> Picture:
    """Draw a table with its columns side by side, cut at the width."""
    columns = list(zip(table.headers, *table.rows, strict=True))
    widths = [max(len(text) for text in column) for column in columns]
    canvas = Canvas(width, 1 + len(table.rows))
    for row, texts in enumerate((table.headers, *table.rows)):
        col = 0
        for text, wide in zip(texts, widths, strict=True):
            right = row > 0 and _is_figure(text)
            shown = text.rjust(wide) if right else text
            canvas.put(row, col, shown, Ink.PLAIN if row else Ink.STRONG)
            col += wide + 2
    return canvas.picture()


def _is_figure(text: str) -> bool:
    return text[:1].isdigit() and not text.startswith("20") and "to" not in text


# The sections of a review that are figures alone: bests, forecasts, their score.


def with_forecasts(found: Review) -> Review:
    """Work the forecasts out, which takes longer than all the rest of a review."""
    forecasts = (
        forecast(found.history, found.plan, entry.exercise, today=found.today)
        for entry in found.plan.exercises
    )
    return replace(found, forecasts=tuple(one for one in forecasts if one is not None))


def anyway(found: Review) -> Section:
    """Give what was done although the gate had said why not; a coach reads it first."""
    rows = tuple(
        (short_date(session.local_date), name_of(found.plan, each.exercise), each.says)
        for session in reversed(found.sessions)
        for each in session.overrides
    )
    times = count(len({row[0] for row in rows}), "day")
    table = Table(("day", "exercise", "what was said against it"), rows)
    return Section(
        id="anyway",
        title="Gone on anyway",
        sentences=(f"On {times} something was held that the program had held back.",),
        draw=partial(_table_drawn, table),
        table=table,
    )


def bests(found: Review) -> Section:
    """Give the longest kept holds."""
    table = Table(
        ("exercise", "best kept here", "on", "of the whole log", "on"),
        tuple(
            (
                one.exercise,
                whole_seconds(one.best.kept_s),
                short_date(one.best.day),
                whole_seconds(one.best_ever.kept_s),
                short_date(one.best_ever.day),
            )
            for one in found.exercises
        ),
    )
    longest = max(found.exercises, key=lambda one: one.best.kept_s, default=None)
    sentence = (
        "Nothing kept yet."
        if longest is None
        else f"The longest kept hold of {_period(found)} is"
        f" {whole_seconds(longest.best.kept_s)} of {longest.exercise}."
    )
    return Section(
        id="bests",
        title="Bests",
        sentences=(sentence,),
        draw=partial(_table_drawn, table),
        table=table,
    )


def _period(found: Review) -> str:
    return "this week" if found.weeks == 1 else f"these {found.weeks} weeks"


def forecasts(found: Review) -> Section:
    """Say when each planned exercise is likely to reach its cap."""
    table = Table(
        ("exercise", "cap", "most likely", "80 % range from", "to"),
        tuple(
            (one.exercise, whole_seconds(one.cap_s), *_when(one))
            for one in found.forecasts
        ),
    )
    return Section(
        id="forecasts",
        title="Forecasts",
        sentences=tuple(one.sentence() for one in found.forecasts),
        draw=partial(_table_drawn, table),
        table=table,
    )


def _when(one: Forecast) -> tuple[str, str, str]:
    if one.reached:
        return "reached", "", ""
    return _week(one.median), _week(one.low), _week(one.high)


def _week(week: IsoWeek | None) -> str:
    return "beyond a year" if week is None else str(week)


def score(found: Review) -> Section:
    """Say how often the chances that were shown came true."""
    table = Table(
        ("chance shown", "times", "mean chance", "made"),
        tuple(
            (
                f"{words.percent(row.low)} to {words.percent(row.high)}",
                str(row.count),
                "" if row.mean_chance is None else words.chance(row.mean_chance),
                "" if row.share_made is None else words.percent(row.share_made),
            )
            for row in found.score.table
        ),
    )
    return Section(
        id="score",
        title="Score of the chances",
        sentences=(found.score.sentence(),),
        draw=partial(_table_drawn, table),
        table=table,
    )


def _table_drawn(table: Table, width: int, _height: int, _glyphs: Glyphs) -> Picture:
    return table_picture(table, width=width)


def sections(found: Review) -> tuple[Section, ...]:
    """Give every section that the period has something to say in."""
    if not found.sessions:
        return ()
    overridden = any(session.overrides for session in found.sessions)
    return (
        _weeks(found),
        *((anyway(found),) if overridden else ()),
        *(_kept(found, one) for one in found.exercises),
        _overhead(found),
        _felt(found),
        *(
            _rpe(found, one)
            for one in found.exercises
            if any(point.rpe is not None for point in one.points)
        ),
        _load(found),
        bests(found),
        *((forecasts(found),) if found.forecasts else ()),
        *((score(found),) if found.score.sentence() else ()),
    )


def _weeks(found: Review) -> Section:
    shown = [week for week in found.streaks.weeks if week.week >= found.first]

    def draw(width: int, height: int, _glyphs: Glyphs) -> Picture:
        # The newest months that leave room for the weeks; never fewer than three.
        months = found.months[-max(3, height - 8) :]
        month_rows = calendar_chart(
            found.marks, months=months, today=found.today, width=width
        )
        return (*month_rows, (), *weeks_chart(shown, width=width))

    return Section(
        id="weeks",
        title="Weeks",
        sentences=(
            say.streak_sentence(found.streaks),
            say.days_sentence(found.streaks),
            *turning_up_in_short(found.felt),
        ),
        draw=draw,
        table=Table(
            ("week", "from", "days planned", "days done", ""),
            tuple(
                (
                    str(week.week),
                    short_date(week.week.monday),
                    str(week.planned_days),
                    str(week.days_done),
                    week.state.value,
                )
                for week in reversed(shown)
            ),
        ),
    )


def _kept(found: Review, one: ExerciseReview) -> Section:
    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return kept_chart(
            one.points,
            first=found.first,
            last=found.last,
            width=width,
            height=height,
            glyphs=glyphs,
        )

    return Section(
        id=f"kept-{one.exercise}",
        title=f"Kept: {one.exercise}",
        sentences=(
            say.kept_sentence(one, found.last),
            say.trend_sentence(one.trend),
        ),
        draw=draw,
        table=Table(
            ("day", "sets", "target", "kept, mean", "best", "early", "top RPE"),
            tuple(
                (
                    short_date(point.day),
                    str(point.sets),
                    "" if point.target_s is None else whole_seconds(point.target_s),
                    whole_seconds(point.kept_s),
                    whole_seconds(point.best_s),
                    str(point.early or ""),
                    "" if point.rpe is None else number(point.rpe),
                )
                for point in reversed(one.points)
            ),
        ),
    )


def _rpe(found: Review, one: ExerciseReview) -> Section:
    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return rpe_chart(
            one.points,
            first=found.first,
            last=found.last,
            width=width,
            height=height,
            glyphs=glyphs,
        )

    return Section(
        id=f"rpe-{one.exercise}",
        title=f"RPE: {one.exercise}",
        sentences=(say.rpe_sentence(one),),
        draw=draw,
        table=Table(
            ("day", "top RPE"),
            tuple(
                (short_date(point.day), number(point.rpe))
                for point in reversed(one.points)
                if point.rpe is not None
            ),
        ),
    )


def _overhead(found: Review) -> Section:
    series = [
        (family.value, {week: value / 60 for week, value in by_week.items()})
        for family, by_week in found.overhead.items()
    ] or [("hang", {})]

    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return weekly_chart(
            series,
            first=found.first,
            last=found.last,
            width=width,
            height=height,
            unit=" min",
            glyphs=glyphs,
        )

    weeks = sorted(
        {week for by in found.overhead.values() for week in by}, reverse=True
    )
    return Section(
        id="overhead",
        title="Time overhead",
        sentences=(say.overhead_sentence(found),),
        draw=draw,
        table=Table(
            ("week", *(family.value for family in found.overhead)),
            tuple(
                (
                    str(week),
                    *(
                        minutes_and_seconds(by_week[week]) if week in by_week else ""
                        for by_week in found.overhead.values()
                    ),
                )
                for week in weeks
            ),
        ),
    )


def _felt(found: Review) -> Section:
    def draw(width: int, _height: int, glyphs: Glyphs) -> Picture:
        newest = with_enough(found.felt)[-blocks_that_fit(width) :]
        if not newest:
            return ()
        rows: Picture = ()
        for title, moment in map_rows(newest):
            drawn = felt_chart(newest, moment=moment, glyphs=glyphs)
            rows = (*rows, line(title, Ink.STRONG), *drawn, ())
        key = f"shaded by how often and how strongly: {' '.join(glyphs.shades)}"
        return (*rows[:-1], line(key, Ink.DIM))

    return Section(
        id="felt",
        title="Felt",
        sentences=(moved(found.felt),),
        cautions=keeps_turning_up(found.felt),
        draw=draw,
        table=Table(
            ("four weeks", "site", "moment", "sessions", "strength", "left", "right"),
            tuple(
                (
                    block_title(block),
                    name(mark.site),
                    moment.value,
                    f"{mark.sessions} of {block.sessions}",
                    "" if mark.strength is None else number(mark.strength),
                    str(mark.left or ""),
                    str(mark.right or ""),
                )
                for block in reversed(found.felt)
                for moment in Moment
                for mark in block.marks[moment]
            ),
        ),
    )


def _load(found: Review) -> Section:
    loads = {
        week: load.load for week, load in found.loads.items() if load.load is not None
    }

    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return weekly_chart(
            [("load: top RPE × minutes kept", loads)],
            first=found.first,
            last=found.last,
            width=width,
            height=height,
            unit="",
            glyphs=glyphs,
        )

    return Section(
        id="load",
        title="Load",
        sentences=(say.load_sentence(found.loads, found.last),),
        draw=draw,
        table=Table(
            ("week", "load", "sessions with an RPE", "monotony", "strain"),
            tuple(
                (
                    str(week),
                    say.or_undefined(load.load),
                    str(load.sessions),
                    say.or_undefined(load.monotony),
                    say.or_undefined(load.strain),
                )
                for week, load in sorted(found.loads.items(), reverse=True)
            ),
        ),
    )
