"""The made-up trainee's angle checks show what the page is there to show."""

from __future__ import annotations

from datetime import date

from trainer.core.angle.check import Reach
from trainer.core.angle.series import Series, borrowed, by_series
from trainer.core.angle.words import in_a_line
from trainer.demo.trainee import made_up

LAST_DAY = date(2026, 3, 13)


def _series(before: date) -> dict[Reach | None, Series]:
    checks = [
        check for check in made_up(LAST_DAY).angle_checks if check.local_date < before
    ]
    return {key.position.reach: one for key, one in by_series(checks).items()}


def test_at_first_the_gain_is_borrowed() -> None:
    """After two months the free angle gained, with more flare; the guarded didn't."""
    found = _series(date(2026, 1, 5))
    lent = borrowed(found[Reach.FREE], found[Reach.GUARDED])
    assert lent is not None
    assert lent.guarded is not None

    assert lent.free.real
    assert not lent.guarded.real


def test_later_the_shoulder_itself_opens() -> None:
    """The guarded angle's change is real by the trainee's own repeats."""
    guarded = _series(LAST_DAY)[Reach.GUARDED]
    assert guarded.change is not None

    assert guarded.change.real
    assert 10 == guarded.noise.dof
    assert "Overhead angle up 1" in in_a_line(made_up(LAST_DAY).angle_checks)


def test_is_the_same_each_time_and_nobody_s_photo() -> None:
    """Drawn by the program; there is no picture behind it."""
    assert made_up(LAST_DAY).angle_checks == made_up(LAST_DAY).angle_checks
    assert all(check.photo is None for check in made_up(LAST_DAY).angle_checks)
