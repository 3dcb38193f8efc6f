"""Read a data file and look back over it."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from typing import TYPE_CHECKING

from trainer.core.answers import is_made_up, trainee_name
from trainer.core.clock import dates_left_out
from trainer.core.next_week.decide import next_week
from trainer.core.review.review import DEFAULT_WEEKS, Review, review
from trainer.core.review.streaks import PlannedDays

if TYPE_CHECKING:
    from trainer.store import Store


def gather(
    store: Store,
    *,
    today: date,
    weeks: int | None = DEFAULT_WEEKS,
    otherwise: bool = True,
) -> Review:
    """Return the review of a data file.

    Args:
        store: the data file.
        today: the local date now.
        weeks: how many to look back over; None for all.
        otherwise: with what would have changed next week's targets.

    Raises:
        DataError: the file can't be read.
    """
    with _nothing_thrown_away():
        history, plan, answers = store.history(), store.plan(), store.answers()
        plans = store.plans() or ((date.min, plan),)
        begun = min((one.local_date for one in history.sessions), default=today)
        return review(
            history,
            plan=plan,
            planned=[
                PlannedDays(since, len(one.days), one.days) for since, one in plans
            ],
            today=today,
            left_out=dates_left_out(begun, today),
            weeks=weeks,
            suggestions=next_week(
                history, plan, today=today, answers=answers, otherwise=otherwise
            ),
            angle_checks=store.angle_checks(),
            name=trainee_name(answers),
            made_up=is_made_up(answers),
        )


@contextmanager
def _nothing_thrown_away() -> Iterator[None]:
    """Keep the garbage collector from looking through a log of ten years.

    Ten thousand values that are all kept make it start again and again, and find
    nothing: a quarter of the time.
    """
    was_on = gc.isenabled()
    gc.disable()
    try:
        yield
    finally:
        if was_on:
            gc.enable()
