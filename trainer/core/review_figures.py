"""The sections of a review that are figures alone: bests, forecasts, their score."""

from __future__ import annotations

from dataclasses import replace
from functools import partial

from trainer.core import review_words as say
from trainer.core import words
from trainer.core.charts import Glyphs, Picture, seconds
from trainer.core.forecast import Forecast, forecast
from trainer.core.review import Review
from trainer.core.review_parts import Section, Table, table_picture
from trainer.core.weeks import IsoWeek


def with_forecasts(found: Review) -> Review:
    """Work the forecasts out, which takes longer than all the rest of a review."""
    forecasts = (
        forecast(found.history, found.plan, entry.exercise, today=found.today)
        for entry in found.plan.exercises
    )
    return replace(found, forecasts=tuple(one for one in forecasts if one is not None))


def bests(found: Review) -> Section:
    """Give the longest kept holds."""
    table = Table(
        ("exercise", "best kept here", "on", "of the whole log", "on"),
        tuple(
            (
                one.exercise,
                seconds(one.best.kept_s),
                say.short_day(one.best.day),
                seconds(one.best_ever.kept_s),
                say.short_day(one.best_ever.day),
            )
            for one in found.exercises
        ),
    )
    longest = max(found.exercises, key=lambda one: one.best.kept_s, default=None)
    sentence = (
        "Nothing kept yet."
        if longest is None
        else f"The longest kept hold of {_period(found)} is"
        f" {seconds(longest.best.kept_s)} of {longest.exercise}."
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
            (one.exercise, seconds(one.cap_s), *_when(one)) for one in found.forecasts
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
