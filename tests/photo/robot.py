"""Somebody at the keys who sees where the landmark lies against the cross."""

from __future__ import annotations

from collections.abc import Iterator

from trainer.core.angle.landmarks import Facing, Landmarks, Point
from trainer.core.angle.marking import COARSE_DOTS, Marking, Step


def truth_of(marked: Landmarks, step: Step) -> Point:
    """Return where the landmark asked for lies."""
    return marked.points()[step.value]


def next_keys(marking: Marking, marked: Landmarks) -> Iterator[str]:
    """Yield the keys that somebody would press now, as far as they can be told.

    They see whole dots, no more: the photo's pixels are theirs only as far as the view
    is close.
    """
    if marking.step is Step.FACING:
        yield "right" if marked.facing is Facing.RIGHT else "left"
        return
    target = marking.view.dot(truth_of(marked, marking.step))
    cross = marking.view.dot(marking.cursor)
    for off, more, less in (
        (target[0] - cross[0], "right", "left"),
        (target[1] - cross[1], "down", "up"),
    ):
        way = more if off > 0 else less
        coarse, fine = divmod(abs(off), COARSE_DOTS)
        if fine > COARSE_DOTS // 2:
            coarse, fine = coarse + 1, 0
        elif not marking.sets_next:
            fine = 0
        for _ in range(coarse):
            yield way
        for _ in range(fine):
            yield f"shift+{way}"
    yield "enter"
