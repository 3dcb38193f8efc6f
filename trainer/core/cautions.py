"""The cautions, in our own words: read before the first session, one key away after.

They are common practice, put together by us; they replace nobody's judgement. Where
they and a clinician, a coach on the spot, the rules of the gym or the place or the law
differ, those win, and the first section says so.
"""

from __future__ import annotations

import textwrap
from dataclasses import dataclass

from trainer.core.exercises import Exercise, Family


@dataclass(frozen=True, slots=True)
class Caution:
    """One section of the cautions."""

    heading: str
    sentences: tuple[str, ...]


CAUTIONS = (
    Caution(
        "What this is",
        (
            "A training aid, not medical advice.",
            "Where it and a clinician, a coach on the spot, the gym's rules or local"
            " codes (the rules of the place and the law) differ, they win.",
        ),
    ),
    Caution(
        "Ask a clinician first",
        (
            "After shoulder surgery, a dislocation or with an unstable shoulder, or"
            " with very loose joints.",
            "With numbness, or with elbow, wrist or neck trouble.",
            "With high blood pressure, heart disease or after a stroke; with glaucoma"
            " or another eye disease; with vertigo or an ear infection; after a"
            " recent concussion; with reflux or osteoporosis; on blood thinners; in"
            " pregnancy.",
        ),
    ),
    Caution(
        "Stop",
        (
            "A stretch is fine.",
            "Sharp pain, pinching at the top or front of the shoulder, pain that"
            " radiates, numbness, tingling, dizziness, headache, or pressure in the"
            " eyes or changed sight: stop, and note it as pain.",
        ),
    ),
    Caution(
        "Breathe",
        (
            "Breathe out, long and complete; never strain on a held breath.",
            "The sound leads, it doesn't command: two short breaths are fine, waiting"
            " on a held breath is not.",
        ),
    ),
    Caution(
        "Come down early",
        (
            "Come down while you still can, with about one breath left (RPE 8).",
            "Never to failure upside down alone.",
            "First time upside down: with somebody by.",
            "Afterwards sit a moment before standing up.",
        ),
    ),
    Caution(
        "The place",
        (
            "Check the bar's rating and fixing and the floor under it; step down,"
            " don't drop.",
            "A bench stands against a wall. Dry hands.",
            "The laptop where no foot can land on it; a phone in reach.",
        ),
    ),
)
"""All of them, in the order in which they are shown."""

BEFORE_A_HANG = "Check the bar and the floor under it; step down, don't drop."
BEFORE_GOING_UPSIDE_DOWN = (
    "Upside down: come down while you still can; the first time with somebody by."
)
BEFORE_A_PRESS = "Sharp or pinching pain: stop. Breathe out, never strain."


def one_line(exercise: Exercise) -> str:
    """Give the one line that is shown before an exercise."""
    if exercise.caution:
        return exercise.caution
    if exercise.upside_down:
        return BEFORE_GOING_UPSIDE_DOWN
    if exercise.family is Family.HANG:
        return BEFORE_A_HANG
    return BEFORE_A_PRESS


def as_text(width: int = 78) -> str:
    """Give all cautions as plain text, for a terminal without screens."""
    blocks = []
    for caution in CAUTIONS:
        lines = [caution.heading]
        for sentence in caution.sentences:
            lines += textwrap.wrap(
                sentence, width, initial_indent="  ", subsequent_indent="  "
            )
        blocks.append("\n".join(lines))
    return "\n\n".join(blocks)
