"""Eleven made-up histories whose suggestions are kept, word for word, as text.

Day 0 is Monday 2 March 2026. The texts lie in ``tests/data/next``; to write them anew
after a change of words run ``python -m tests.core.next_week.histories`` and read each
one.
"""

from __future__ import annotations

from dataclasses import dataclass
from pathlib import Path

from tests.core.next_week.cases import WELL, day, hurts, log, plan_of, target, trained
from trainer.core.model import Author, Feet, Felt, History, SessionKind, Site, StoppedBy
from trainer.core.next_week.decide import next_week
from trainer.core.next_week.suggestion import Suggestion, suggestion_as_dict
from trainer.core.plan.plan import Order, Plan, PlanExercise
from trainer.core.weeks import IsoWeek
from trainer.core.words import day as said_day

GRIP = StoppedBy.GRIP
FOLDER = Path(__file__).parents[2] / "data" / "next"


@dataclass(frozen=True)
class Story:
    """One history, the day on which it is asked, and what it is about."""

    name: str
    about: str
    history: History
    plan: Plan
    today: int
    week: IsoWeek | None = None


def stories() -> tuple[Story, ...]:
    """Give the histories."""
    return (*_first_five(), *_last_five())


def _first_five() -> tuple[Story, ...]:
    two_lines = Plan(
        exercises=(
            PlanExercise(exercise="hang"),
            PlanExercise(exercise="press-pike", rest_s=90),
        ),
        order=Order.HANG_FIRST,
    )
    return (
        Story(
            "01-first-step",
            "Two clean sessions of a newcomer's hang; the press is still to begin.",
            log(
                trained(0, 20, 20, 20, target=20, rpe=6.5),
                trained(2, 20, 20, 20, target=20, rpe=7),
            ),
            two_lines,
            3,
        ),
        Story(
            "02-half-a-step",
            "Clean at 30 s, but RPE 8 in one session, where nobody said what was kept.",
            log(
                trained(-3, 25, 25, 25, target=25, rpe=6),
                trained(0, 30, 30, 30, rpe=7),
                trained(2, 30, 30, 30, rpe=8, kept_said=False),
                trained(3, 52, target=60, rpe=9, kind=SessionKind.ONE_OFF),
            ),
            plan_of(),
            4,
        ),
        Story(
            "03-one-set-always-missing",
            "Four weeks at 35 s with the third set short each time, grip the limit.",
            log(
                *(
                    trained(
                        7 * week + n, 35, 35, 30, target=35, rpe=8.5, stopped_by=GRIP
                    )
                    for week in range(4)
                    for n in (0, 3)
                )
            ),
            plan_of(),
            25,
        ),
        Story(
            "04-too-much",
            "A coach set 45 s; two sessions fell far short of it.",
            log(
                trained(2, 36, 33, 28, target=45, rpe=9),
                trained(4, 34, 30, 27, target=45, rpe=9.5),
                targets=[target(0, 45, author=Author.COACH)],
            ),
            plan_of(),
            5,
        ),
        Story(
            "05-pain-twice",
            "The front of the shoulder hurt in both of the last two sessions.",
            log(
                trained(0, 30, 30, 30),
                trained(2, 30, 30, 22, pain=hurts()),
                trained(4, 30, 25, pain=hurts(), planned=3),
            ),
            plan_of(),
            6,
        ),
    )


def _last_five() -> tuple[Story, ...]:
    back = (Felt(Site.LOW_BACK, strength=7),)
    toes = {"exercise": "hang-supported", "target": 60.0, "rpe": 6.5}
    return (
        Story(
            "06-away-from-the-wall",
            "Thirty days without a press against the wall.",
            log(
                trained(0, 40, 40, 40, target=40, exercise="press-wall", rpe=7),
            ),
            plan_of("press-wall", rest_s=90),
            30,
        ),
        Story(
            "07-next-rung",
            "At the cap on the toes with ease: the next rung is asked.",
            log(
                *(
                    trained(n, 60, 60, 60, feet=Feet.TOES, **toes)  # type: ignore[arg-type]
                    for n in (0, 2)
                )
            ),
            plan_of("hang-supported"),
            3,
        ),
        Story(
            "08-the-back-does-it",
            "Clean in figures, but the low back was felt strongly both times.",
            log(*(trained(n, 40, 40, 40, target=40, felt=back) for n in (0, 3))),
            plan_of(),
            4,
        ),
        Story(
            "09-held-back",
            "Clean twice at 40 s, but every attempt at more ended soon after.",
            log(
                trained(0, 41, target=60, rpe=10, kind=SessionKind.ONE_OFF, hour=9),
                trained(1, 40, 40, 40, target=40, rpe=8),
                trained(2, 41.5, target=60, rpe=10, kind=SessionKind.ONE_OFF),
                trained(4, 40, 40, 40, target=40, rpe=8),
                trained(5, 41, target=60, rpe=10, kind=SessionKind.ONE_OFF),
            ),
            plan_of(),
            6,
        ),
        Story(
            "10-own-target-and-seldom",
            "Own target over the cap, trained once a week.",
            log(
                *(trained(7 * week, 75, 75, 75, target=75, rpe=8) for week in range(5)),
                targets=[target(-1, 75, author=Author.PERSON)],
            ),
            plan_of(),
            29,
        ),
        Story(
            "11-rest-week",
            "Two clean sessions, and the week that comes is a rest week.",
            log(
                trained(0, 45, 45, 45, target=45, rpe=6),
                trained(2, 45, 45, 45, target=45, rpe=6),
                rest_weeks=[IsoWeek.of(day(7))],
            ),
            plan_of(),
            4,
        ),
    )


def text_of(story: Story) -> str:
    """Write a story and its suggestions as text."""
    lines = [
        story.about,
        f"Made up. Asked on {said_day(day(story.today))}.",
        "",
    ]
    asked = next_week(
        story.history,
        story.plan,
        today=day(story.today),
        week=story.week,
        answers=WELL,
    )
    for suggestion in asked:
        lines.extend(_lines(suggestion))
    return "\n".join(lines)


def _lines(suggestion: Suggestion) -> list[str]:
    fields = suggestion_as_dict(suggestion)
    lines = [
        f"{key}: {'none' if value is None else value}"
        for key, value in fields.items()
        if not isinstance(value, list)
    ]
    for key in ("reasons", "would_change", "cautions"):
        if fields[key]:
            lines.append(f"{key}:")
            lines.extend(f"  - {sentence}" for sentence in fields[key])
    return [*lines, ""]


def main() -> None:
    """Write the texts anew."""
    FOLDER.mkdir(parents=True, exist_ok=True)
    for story in stories():
        (FOLDER / f"{story.name}.txt").write_text(text_of(story), encoding="utf-8")


if __name__ == "__main__":
    main()
