"""A review as sections: a title, sentences, a picture and the same as a table.

The screen shows one section at a time, the command line all of them; the page for a
coach takes the words and the tables and draws its own pictures.
"""

from __future__ import annotations

from trainer.core import review_words as say
from trainer.core.charts import (
    Glyphs,
    Ink,
    Picture,
    line,
    minutes,
    number,
    seconds,
)
from trainer.core.charts_body import (
    block_title,
    blocks_that_fit,
    felt_chart,
    map_rows,
)
from trainer.core.charts_calendar import calendar_chart, weeks_chart
from trainer.core.charts_series import kept_chart, rpe_chart, weekly_chart
from trainer.core.feltmap import (
    keeps_turning_up,
    moved,
    name,
    turning_up_in_short,
    with_enough,
)
from trainer.core.model import Moment
from trainer.core.review import ExerciseReview, Review
from trainer.core.review_figures import bests, forecasts, score
from trainer.core.review_parts import Section, Table


def sections(found: Review) -> tuple[Section, ...]:
    """Give every section that the period has something to say in."""
    if not found.sessions:
        return ()
    return (
        _weeks(found),
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
                    say.short_day(week.week.monday),
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
                    say.short_day(point.day),
                    str(point.sets),
                    "" if point.target_s is None else seconds(point.target_s),
                    seconds(point.kept_s),
                    seconds(point.best_s),
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
                (say.short_day(point.day), number(point.rpe))
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
                        minutes(by_week[week]) if week in by_week else ""
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
