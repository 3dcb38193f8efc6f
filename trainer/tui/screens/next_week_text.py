"""What Next week says of one suggestion: pure, so that it can be tested as text."""

from __future__ import annotations

from collections.abc import Sequence

from trainer.core.model import Author, History, TargetSet
from trainer.core.suggestion import Change, Suggestion
from trainer.tui import words
from trainer.tui.screens.pain_text import Unsettled
from trainer.tui.screens.today_text import pain_notes
from trainer.tui.widgets.sheet import Note, note, styled

CHANGE_WORDS = {
    Change.START: "start",
    Change.UP: "up",
    Change.SAME: "same",
    Change.DOWN: "down",
    Change.MOVE_ON: "move on",
    Change.REST: "rest",
}
AUTHOR_WORDS = {
    Author.PERSON: "set by you",
    Author.COACH: "set by the coach",
    Author.SUGGESTION: "taken from a suggestion",
    Author.TEST: "found by a test",
}


def headline(one: Suggestion) -> str:
    """Give the suggestion in one line: ``up: 3 × 30 s, 5 s more (20 %)``."""
    word = CHANGE_WORDS[one.change]
    if one.change is Change.REST or one.target_s is None:
        return word
    target = f"{one.sets} × {words.seconds(one.target_s)}"
    if one.change is Change.MOVE_ON:
        return f"{word}, if you want: the first set {words.seconds(one.target_s)}"
    if one.change is Change.START:
        step = ""
    elif one.from_exercise:
        step = f"from {one.from_exercise}"
    else:
        step = words.step_words(one.target_s, one.current_s)
    return f"{word}: {target}" + (f", {step}" if step else "")


def chance_sentence(one: Suggestion) -> str:
    """Say how likely it is that all sets are made, and how hard they will be."""
    if one.chance is None:
        return "Not known yet: too few holds to tell."
    made = f"All sets made in one session: {words.chance(one.chance)}."
    if one.likely_rpe is None:
        return made
    return f"{made} Likely RPE {words.rpe(one.likely_rpe)}."


def in_force(history: History, exercise: str) -> TargetSet | None:
    """Give the target set last for EXERCISE, or None."""
    own = [target for target in history.targets if target.exercise == exercise]
    return own[-1] if own else None


def detail_notes(
    one: Suggestion,
    *,
    name: str,
    history: History,
    forecast: str = "",
    dose: Sequence[str] = (),
    score: str = "",
    pain: Sequence[Unsettled] = (),
    loads_it: bool = False,
) -> list[Note]:
    """Give everything about one suggestion.

    PAIN is what still stands; where the exercise LOADS_IT no chance is named, for a
    figure would invite somebody to try.
    """
    notes = [
        note(name, styled(f"{words.sentence(headline(one))}", "bold")),
        *pain_notes(pain),
        note("Why", *(words.sentence(each) for each in one.reasons)),
    ]
    if one.find_out_limit_s is not None:
        limit = words.seconds(one.find_out_limit_s)
        notes.append(note("Find out", f"The last set counts on, up to {limit}."))
    if one.would_change:
        notes.append(
            note("Otherwise", *(words.sentence(each) for each in one.would_change))
        )
    if one.cautions:
        notes.append(
            note(
                "Mind",
                *(
                    styled(words.sentence(each), "$text-warning")
                    for each in one.cautions
                ),
            )
        )
    if not loads_it:
        notes.append(note("Chance", chance_sentence(one)))
    if forecast and not loads_it:
        notes.append(note("Forecast", words.sentence(forecast)))
    if score:
        notes.append(note("Score", score))
    if dose:
        notes.append(note("Dose", *dose, quiet=True))
    target = in_force(history, one.exercise)
    if target is not None:
        notes.append(
            note(
                "In force",
                f"{words.seconds(target.target_s)}, {AUTHOR_WORDS[target.author]} on"
                f" {words.short_date(target.local_date)}.",
                quiet=True,
            )
        )
    return notes


def is_taken(one: Suggestion, history: History) -> bool:
    """Tell whether this suggestion is what is in force."""
    target = in_force(history, one.exercise)
    return (
        target is not None
        and target.author is Author.SUGGESTION
        and target.week == one.week
        and target.target_s == one.target_s
    )
