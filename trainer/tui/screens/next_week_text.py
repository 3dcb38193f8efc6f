"""What Next week says of one suggestion: pure, so that it can be tested as text."""

from __future__ import annotations

import math
from collections.abc import Sequence

from trainer.core import words
from trainer.core.capacity.calibration import ENOUGH, Score
from trainer.core.exercises import brief_name
from trainer.core.model import Author, History, TargetSet
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.review.load import VOLUME, VOLUME_WEEK_S, Dose
from trainer.core.safety import OpenPain
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

CLEARLY = 2.0
"""From so many standard deviations on, the estimate expected clearly more than were
made (common practice)."""


def headline(one: Suggestion) -> str:
    """Give the suggestion in one line: ``up: 3 × 30 s, 5 s more (20 %)``."""
    word = CHANGE_WORDS[one.change]
    if one.change is Change.REST or one.target_s is None:
        return word
    target = f"{one.sets} × {words.whole_seconds(one.target_s)}"
    if one.change is Change.MOVE_ON:
        return f"{word}, if you want: the first set {words.whole_seconds(one.target_s)}"
    if one.change is Change.START:
        step = ""
    elif one.from_exercise:
        step = f"from {brief_name(one.from_exercise)}"
    else:
        step = words.step_words(one.target_s, one.current_s)
    return f"{word}: {target}" + (f", {step}" if step else "")


def chance_sentence(one: Suggestion) -> str:
    """Say how likely it is that all sets are made, and how hard they will be."""
    if one.chance is None:
        return "Not known yet: too few holds to tell."
    made = f"All sets made in one session: {words.chance(one.chance)}."
    if one.likely_rpe is not None:
        made += f" Likely RPE {words.likely_rpe(one.likely_rpe)}."
    return f"{made} {one.rating}".rstrip()


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
    dose: Dose | None = None,
    score: Score | None = None,
    pain: Sequence[OpenPain] = (),
    loads_it: bool = False,
) -> list[Note]:
    """Give everything about one suggestion.

    PAIN is what is open; where the exercise LOADS_IT no chance is named, for a
    figure would invite somebody to try.
    """
    notes = [
        note(name, styled(f"{words.sentence(headline(one))}", "bold")),
        *pain_notes(pain),
        note("Why", *(words.sentence(each) for each in one.reasons)),
    ]
    if one.find_out_limit_s is not None:
        limit = words.whole_seconds(one.find_out_limit_s)
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
    so_far = score_words(score) if score is not None else ""
    if so_far and not loads_it:
        notes.append(note("So far", so_far))
    if dose is not None:
        notes.append(note("Dose", volume_words(dose)))
    target = in_force(history, one.exercise)
    if target is not None:
        notes.append(note("Target set", set_words(target), quiet=True))
    if dose is not None:
        sources = [f"Larger gains from {VOLUME_WEEK_S:g} s a week: {VOLUME}."]
        sources += [
            f"{line.sentence} ({line.source})"
            for line in dose.lines
            if line.source != VOLUME
        ]
        notes.append(note("Sources", *sources, quiet=True))
    return notes


def set_words(target: TargetSet) -> str:
    """Say who set a target, when, and from which week on it is meant."""
    week = "" if target.week is None else f", from {words.week(target.week)} on"
    return (
        f"{words.whole_seconds(target.target_s)}, {AUTHOR_WORDS[target.author]} on"
        f" {words.near_date(target.local_date)}{week}."
    )


def volume_words(dose: Dose) -> str:
    """Say the week's seconds beside the one figure that says most."""
    return next(line.sentence for line in dose.lines if line.source == VOLUME)


def score_words(score: Score) -> str:
    """Say how the chances came true so far; empty until there is enough to say."""
    if score.count < ENOUGH or score.share_made is None:
        return ""
    filled = [
        (row.count, row.mean_chance)
        for row in score.table
        if row.mean_chance is not None
    ]
    expected = sum(count * chance for count, chance in filled)
    spread = math.sqrt(sum(n * chance * (1 - chance) for n, chance in filled))
    made = round(score.share_made * score.count)
    said = (
        f"Of {score.count} targets that were shown and trained, {made} were made; the"
        f" estimate expected {round(expected)}."
    )
    hopeful = expected - made > CLEARLY * max(spread, 0.5)
    return f"{said} Read the chance as hopeful." if hopeful else said


def own_hint(one: Suggestion, history: History) -> str:
    """Say beside a line of the list whose target it is, or nothing."""
    if is_taken(one, history):
        return "taken"
    target = in_force(history, one.exercise)
    if target is None or target.author not in (Author.PERSON, Author.COACH):
        return ""
    week = "" if target.week is None else f" for {words.week(target.week)}"
    return f"{words.whole_seconds(target.target_s)} {AUTHOR_WORDS[target.author]}{week}"


def is_taken(one: Suggestion, history: History) -> bool:
    """Tell whether this suggestion is what is in force."""
    target = in_force(history, one.exercise)
    return (
        target is not None
        and target.author is Author.SUGGESTION
        and target.week == one.week
        and target.target_s == one.target_s
    )
