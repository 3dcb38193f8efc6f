"""A review as pages: the answers first, then pictures, each with its sentences.

The screen shows one page at a time, the command line all of them; behind each picture
stand its figures as tables. What belongs together stands on one page, and a page
without contents doesn't exist: six pages of pictures at most.
"""

from __future__ import annotations

import textwrap
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from trainer.core.angle.series import Series, by_series, headline, pair_of
from trainer.core.angle.words import in_a_line
from trainer.core.charts.angle import angle_chart, pictured
from trainer.core.charts.body import (
    SMALL,
    felt_chart,
    maps_that_fit,
    moments_noted,
    pain_chart,
)
from trainer.core.charts.calendar import calendar_chart, weeks_chart
from trainer.core.charts.canvas import Canvas, Glyphs, Ink, Picture, Row, Span, line
from trainer.core.charts.series import kept_chart, weekly_chart
from trainer.core.exercises import LADDERS, Family
from trainer.core.review import sentences as say
from trainer.core.review.answers import ASKED, Answer, answers
from trainer.core.review.felt import keeps_turning_up, moved, with_enough
from trainer.core.review.pain import (
    by_place,
    how_it_ends,
    site_named,
    what_it_did,
)
from trainer.core.review.review import ExerciseReview, Review, brief_name_of
from trainer.core.review.tables import (
    Table,
    anyway_table,
    felt_table,
    kept_table,
    outlook_table,
    pain_table,
    score_table,
    weeks_table,
)
from trainer.core.words import short_date

Draw = Callable[[int, int, Glyphs], Picture]
"""Width, height and glyphs to a picture."""
ListUp = Callable[[], tuple[Table, ...]]
"""To the figures behind a picture: listed when they are asked for, not before the
picture of ten years can be seen."""
FELT_BLOCKS = 3
"""Blocks of the felt map on its page, the newest first; the table has them all."""
MOST_ANYWAY = 3
"""Holds that the gate had held back which are said over the days; the table has all."""
NARROWEST_LIST = 34
"""Columns that the list beside the body needs; else it stands below."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """One page of a review."""

    id: str
    title: str
    sentences: tuple[str, ...]
    """The first one says what the picture shows."""
    draw: Draw
    list_up: ListUp
    cautions: tuple[str, ...] = ()

    @property
    def tables(self) -> tuple[Table, ...]:
        """The figures behind the picture."""
        return self.list_up()


def table_picture(table: Table, *, width: int) -> Picture:
    """Draw a table with its columns side by side, figures under each other.

    Where they don't fit, each row is drawn as a card: its first cell, and under it the
    others, each after its header.
    """
    headers = tuple(column.header for column in table.columns)
    columns = list(zip(headers, *table.rows, strict=True))
    widths = [max(len(text) for text in column) for column in columns]
    if sum(widths) + 2 * (len(widths) - 1) > width:
        return _cards(table, width)
    canvas = Canvas(width, 1 + len(table.rows))
    for row, texts in enumerate((headers, *table.rows)):
        col = 0
        for column, text, wide in zip(table.columns, texts, widths, strict=True):
            shown = text.rjust(wide) if column.figures else text
            canvas.put(row, col, shown, Ink.PLAIN if row else Ink.STRONG)
            col += wide + 2
    return canvas.picture()


def _cards(table: Table, width: int) -> Picture:
    rows: list[Row] = []
    for texts in table.rows:
        rows.append(line(texts[0][:width], Ink.STRONG))
        told = ", ".join(
            f"{column.header} {text}".strip()
            for column, text in zip(table.columns[1:], texts[1:], strict=True)
            if text
        )
        rows += [
            line(text)
            for text in textwrap.wrap(
                told, width, initial_indent="  ", subsequent_indent="  "
            )
        ]
    return tuple(rows)


def tables_picture(tables: Sequence[Table], *, width: int) -> Picture:
    """Draw tables below each other, each under its title."""
    rows: list[Row] = []
    for table in tables:
        if rows:
            rows.append(())
        rows += [line(table.title, Ink.STRONG), *table_picture(table, width=width)]
    return tuple(rows)


def answers_picture(
    given: Sequence[Answer], *, width: int, apart: bool = True
) -> Picture:
    """Draw each question with its answer under it; APART: an empty row between."""
    rows: list[Row] = []
    for one in given:
        if rows and apart:
            rows.append(())
        asked = ASKED[one.question]
        rows.append(line(f"! {asked}" if one.urgent else asked, Ink.STRONG))
        rows += [line(text) for text in textwrap.wrap(one.says, width)]
    return tuple(rows)


def pages(found: Review) -> tuple[Page, ...]:
    """Return the page of answers and every page that has something to show."""
    if not found.sessions:
        return ()
    return (
        _answers(found),
        _days(found),
        *(_kept(found, name, shown) for name, shown in families(found)),
        _overhead(found),
        *((_felt(found),) if any(block.sessions for block in found.felt) else ()),
        *((_pain(found),) if found.pain else ()),
    )


def families(found: Review) -> tuple[tuple[str, tuple[ExerciseReview, ...]], ...]:
    """Return each family that was trained with its exercises, the hardest first.

    Own exercises of neither family stand with the presses, so that there is no page
    for each.
    """
    shown = [(family.value, _of_family(found, family)) for family in Family]
    return tuple((name, exercises) for name, exercises in shown if exercises)


def _of_family(found: Review, family: Family) -> tuple[ExerciseReview, ...]:
    ladder = LADDERS[family]
    mine = (
        one
        for one in found.exercises
        if one.family is family or (one.family is None and family is Family.PRESS)
    )
    return tuple(
        sorted(
            mine,
            key=lambda one: (
                -ladder.index(one.exercise) if one.exercise in ladder else len(ladder)
            ),
        )
    )


def _answers(found: Review) -> Page:
    given = answers(found)

    def draw(width: int, height: int, _glyphs: Glyphs) -> Picture:
        roomy = answers_picture(given, width=width)
        if len(roomy) <= height:
            return roomy
        return answers_picture(given, width=width, apart=False)

    return Page(
        id="answers",
        title="Five answers",
        sentences=(),
        draw=draw,
        list_up=lambda: (outlook_table(found),),
    )


def _days(found: Review) -> Page:
    shown = [week for week in found.streaks.weeks if week.week >= found.first]

    def draw(width: int, height: int, _glyphs: Glyphs) -> Picture:
        # The newest months that leave room for the weeks; never fewer than three.
        months = found.months[-max(3, height - 8) :]
        month_rows = calendar_chart(
            found.marks, months=months, today=found.today, width=width
        )
        return (*month_rows, (), *weeks_chart(shown, width=width))

    anyway = anyway_table(found)
    return Page(
        id="days",
        title="Days and weeks",
        cautions=tuple(
            f"{day}, {exercise}: done although it was held back. {says}"
            for day, exercise, says in anyway.rows[:MOST_ANYWAY]
        ),
        sentences=(
            say.streak_sentence(found.streaks),
            say.days_sentence(found.streaks, found.first),
        ),
        draw=draw,
        list_up=lambda: (*((anyway,) if anyway.rows else ()), weeks_table(found)),
    )


def _kept(found: Review, family: str, shown: Sequence[ExerciseReview]) -> Page:
    series = [(one.brief_name, one.points) for one in shown]

    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        return kept_chart(
            series,
            first=found.first,
            last=found.last,
            width=width,
            height=height,
            glyphs=glyphs,
        )

    return Page(
        id=f"kept-{family}",
        title=f"{family.capitalize()}: kept, and RPE",
        sentences=tuple(
            sentence
            for one in shown
            for sentence in say.exercise_sentences(one, found.last)
        ),
        draw=draw,
        list_up=lambda: tuple(kept_table(one) for one in shown),
    )


def _overhead(found: Review) -> Page:
    """Time overhead, the overhead angle, and when the caps come."""
    series = [
        (family.value, {week: value / 60 for week, value in by_week.items()})
        for family, by_week in found.overhead.items()
    ]
    outlook = outlook_table(found)
    angles = angle_series(found)

    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        table = table_picture(outlook, width=width)
        room = height - len(table) - 1
        if angles:
            room = room // 2
        rows: Picture = ()
        if angles:
            chart = angle_chart(angles, width=width, height=max(7, room), glyphs=glyphs)
            rows = (*rows, line("Overhead angle", Ink.STRONG), *chart, ())
        if series:
            chart = weekly_chart(
                series,
                first=found.first,
                last=found.last,
                width=width,
                height=max(8, room),
                unit=" min",
                glyphs=glyphs,
            )
            rows = (*rows, *chart, ())
        return (*rows, *table)

    scored = say.score_sentence(found.score)
    return Page(
        id="overhead",
        title="Overhead and ahead",
        sentences=(
            say.overhead_sentence(found),
            in_a_line(found.angle_checks),
            *((scored,) if scored else ()),
        ),
        draw=draw,
        list_up=lambda: (
            outlook,
            weeks_table(found),
            *((score_table(found),) if scored else ()),
        ),
    )


def angle_series(found: Review) -> tuple[Series, ...]:
    """Return the checks that answer whether the shoulder opens, and their pair."""
    by_key = by_series(found.angle_checks)
    main = headline(by_key.values())
    return () if main is None else pictured(main, pair_of(by_key, main.key))


def _felt(found: Review) -> Page:
    def draw(width: int, height: int, glyphs: Glyphs) -> Picture:
        newest = tuple(reversed(with_enough(found.felt)))[:FELT_BLOCKS]
        if not newest:
            return ()
        maps = [(block, moment) for block in newest for moment in moments_noted(newest)]
        beside = min(len(moments_noted(newest)), maps_that_fit(width))
        rows: Picture = ()
        for n in range(0, len(maps), beside):
            drawn = felt_chart(maps[n : n + beside], glyphs=glyphs)
            rows = (*rows, *drawn, ())
        key = f"shaded by how often and how strongly: {' '.join(glyphs.shades)}"
        return (*rows[:-1], line(key, Ink.DIM))

    return Page(
        id="felt",
        title="Felt",
        sentences=(
            moved(found.felt),
            *(say.one_sided_sentence(one) for one in found.one_sided if not one.hurt),
        ),
        cautions=keeps_turning_up(found.felt),
        draw=draw,
        list_up=lambda: (felt_table(found),),
    )


def _pain(found: Review) -> Page:
    pains = by_place(found.pain)
    body = pain_chart([(one.place, one.open) for one in pains])

    def draw(width: int, height: int, _glyphs: Glyphs) -> Picture:
        beside = width - SMALL.columns - 3
        if beside < NARROWEST_LIST:
            return (*body, (), *_pain_lines(found, width))
        lines = _pain_lines(found, beside)
        rows = [
            (*_filled(body[n] if n < len(body) else ()), *text)
            for n, text in enumerate(lines)
        ]
        return (*rows, *body[len(rows) :])

    open_ones = [one for one in pains if one.open]
    return Page(
        id="pain",
        title="Pain",
        sentences=(
            say.pain_sentence(pains),
            *(say.one_sided_sentence(one) for one in found.one_sided if one.hurt),
        ),
        cautions=(say.SEE_SOMEBODY,) if any(one.came_back for one in open_ones) else (),
        draw=draw,
        list_up=lambda: (pain_table(found),),
    )


def _pain_lines(found: Review, width: int) -> list[Row]:
    """List every pain, the newest first, in lines of that width."""
    rows: list[Row] = []
    for one in reversed(found.pain):
        where = (
            "place not noted" if one.site is None else site_named(one.site, one.side)
        )
        exercise = brief_name_of(found.plan, one.exercise)
        head = f"{short_date(one.day)}: {one.kind.value}, {where}"
        did = f"{what_it_did(one)}; {how_it_ends(one)}"
        tail = f"{exercise}, set {one.set_number}: {did}"
        rows += [line(text, Ink.STRONG) for text in textwrap.wrap(head, width)]
        rows += [
            line(text)
            for text in textwrap.wrap(
                tail, width, initial_indent="  ", subsequent_indent="  "
            )
        ]
    return rows


def _filled(row: Row) -> Row:
    """Fill a row of the body with blanks up to where the list begins."""
    drawn = sum(len(span.text) for span in row)
    return (*row, Span(" " * (SMALL.columns + 3 - drawn)))
