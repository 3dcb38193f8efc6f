"""Checks for tests, of made-up people."""

from __future__ import annotations

from collections.abc import Sequence
from datetime import date, datetime, time, timedelta, timezone

from trainer.core.angle.check import AngleCheck, Method, Photo, Position, Reach
from trainer.core.angle.figures import Figures

FIRST_DAY = date(2026, 1, 5)
GUARDED = Position(reach=Reach.GUARDED)
FREE = Position(reach=Reach.FREE)
BY_INCLINOMETER = Position(method=Method.INCLINOMETER, reach=Reach.GUARDED)


def check(
    degrees: float,
    *,
    week: int = 0,
    position: Position = GUARDED,
    flare: float | None = None,
    lift: float | None = None,
    number: int = 0,
    photo: str = "",
) -> AngleCheck:
    """Return a check some weeks after the first day."""
    day = FIRST_DAY + timedelta(weeks=week)
    at = datetime.combine(day, time(8, number), timezone.utc)
    return AngleCheck(
        uid=f"{week}-{number}-{position.reach}-{degrees}",
        measured_at=at,
        utc_offset_min=0,
        local_date=day,
        position=position,
        figures=Figures(overhead_deg=degrees, flare=flare, lift=lift),
        photo=Photo("reach.jpg", photo, 4000, 3000) if photo else None,
    )


def weeks_of(
    days: Sequence[Sequence[float]],
    *,
    position: Position = GUARDED,
    flares: Sequence[float] | None = None,
) -> tuple[AngleCheck, ...]:
    """Return new photos of each day, four weeks between the days."""
    return tuple(
        check(
            value,
            week=4 * index,
            position=position,
            number=number,
            flare=None if flares is None else flares[index],
        )
        for index, values in enumerate(days)
        for number, value in enumerate(values)
    )
