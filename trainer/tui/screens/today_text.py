"""What Today says, made from the day's view: pure, so that it can be tested as text."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from trainer.core.cautions import one_line
from trainer.core.exercises import Exercise
from trainer.core.program import ProgramSet, SessionProgram
from trainer.core.suggestion import Change, Suggestion
from trainer.training import Due, LastTime, TodayView
from trainer.tui import words
from trainer.tui.widgets.sheet import Note, Text, columns, joined, note, styled

MOST_REASONS = 2
"""Reasons given on Today; Next week gives them all."""


def short_name(exercise: Exercise) -> str:
    """Give the name up to its comma: what fits in the margin."""
    return exercise.name.partition(",")[0]


def rest_of_name(exercise: Exercise) -> str:
    """Give what the name says after its comma."""
    return exercise.name.partition(",")[2].strip()


def state_sentence(view: TodayView) -> str:
    """Say whether today is a training day, and when the next one is."""
    if view.done_today:
        kept = sum(len(session.holds) for session in view.done_today)
        done = f"Done today: {words.count(kept, 'hold')}."
        return f"{done} {_next_day(view)}".strip()
    if view.program is None:
        return "Nothing is to be done this week."
    if view.training_day:
        return "A training day."
    return f"Not a training day. {_next_day(view)}".strip()


def _next_day(view: TodayView) -> str:
    if view.next_day is None:
        return "The plan has no days."
    return f"The next one is {words.when(view.next_day, view.today)}."


def length_s(program: SessionProgram) -> float:
    """Give how long a program takes, set-ups, come-outs and rests included."""
    total_s = sum(move.length_s for move in program.warm_up)
    for one in program.sets:
        total_s += one.exercise.setup_s + one.target_s + one.exercise.come_out_s
        total_s += one.rest_s
    return total_s - (program.sets[-1].rest_s if program.sets else 0)


def today_notes(view: TodayView, *, streak: str) -> list[Note]:
    """Give the entries of the page."""
    notes = [note("Today", state_sentence(view), *_summary(view))]
    notes += [due_note(view, due) for due in view.due]
    if streak:
        notes.append(note("Streak", streak, quiet=True))
    return notes


def _summary(view: TodayView) -> list[Text]:
    if view.program is None:
        return []
    sets = words.count(len(view.program.sets), "set")
    about = words.minutes(length_s(view.program))
    return [f"{sets}, about {about}, warm-up {_warm_up(view.program)}."]


def _warm_up(program: SessionProgram) -> str:
    total_s = sum(move.length_s for move in program.warm_up)
    return words.minutes(total_s) if total_s else "none"


def due_note(view: TodayView, due: Due) -> Note:
    """Say what one exercise asks for, why, and how it was last time."""
    one = due.suggestion
    body: list[Text] = [_headline(due), _why(due)]
    if due.last is not None:
        body.append(styled(last_sentence(due.last, view), "$text-muted"))
    if due.entry.cue:
        body.append(f"Cue: “{due.entry.cue}”")
    body += [styled(words.sentence(each), "$text-warning") for each in one.cautions]
    return Note(short_name(due.exercise), tuple(body))


def _headline(due: Due) -> Text:
    one = due.suggestion
    place = rest_of_name(due.exercise)
    if one.change is Change.REST or due.target_s is None:
        return joined([styled("rest", "bold"), place] if place else ["rest"])
    sets = one.sets or due.entry.sets
    parts: list[Text] = [styled(f"{sets} × {words.seconds(due.target_s)}", "bold")]
    parts.append(f"rest {words.seconds(one.rest_s)}")
    step = words.step_words(due.target_s, one.current_s)
    if step and not due.declined:
        parts.append(styled(step, "$text-accent"))
    if place:
        parts.append(styled(place, "$text-muted"))
    return joined(parts)


def _why(due: Due) -> str:
    one = due.suggestion
    if one.change is Change.MOVE_ON and due.declined:
        return (
            f"Asked: go on to {one.exercise} at {words.seconds(one.target_s)} in the"
            f" first set? {' '.join(one.reasons[:1])}"
        )
    if due.declined:
        return (
            f"Declined: {words.seconds(one.target_s)} was suggested; the target in"
            " force stays."
        )
    return " ".join(words.sentence(each) for each in one.reasons[:MOST_REASONS])


def last_sentence(last: LastTime, view: TodayView) -> str:
    """Say how the exercise's latest session was."""
    kept = ", ".join(words.figure(hold.kept_or_held_s) for hold in last.holds)
    target = next((h.target_s for h in last.holds if h.target_s is not None), None)
    noted = [words.rpe(hold.rpe) for hold in last.holds if hold.rpe is not None]
    of = f" of {words.seconds(target)}" if target is not None else " s"
    text = f"{words.when(last.day, view.today).capitalize()}: kept {kept}{of}"
    return text + (f", RPE {', '.join(noted)}." if noted else ", no RPE noted.")


def order_line(program: SessionProgram) -> str:
    """Give the sets in their order on one line."""
    return "  ".join(
        f"{number} {short_name(one.exercise).split()[-1].lower()}"
        f" {words.figure(one.target_s)}"
        for number, one in enumerate(program.sets, start=1)
    )


def card(program: SessionProgram) -> list[Note]:
    """Give the session as a card: the warm-up's moves, the sets in their order."""
    notes = []
    if program.warm_up:
        moves = [[move.name, words.seconds(move.length_s)] for move in program.warm_up]
        notes.append(note("Warm-up", *columns(moves, right=[1]), quiet=True))
    notes.append(note("Sets", *columns(set_rows(program.sets), right=[0, 2, 3])))
    lines = _each_once(one_line(one.exercise) for one in program.sets)
    notes.append(note("Mind", *lines))
    return notes


def set_rows(sets: Sequence[ProgramSet]) -> list[list[str]]:
    """Give the sets as rows of a table, with its head."""
    rows = [["", "exercise", "target", "rest", ""]]
    for number, one in enumerate(sets, start=1):
        ends = "" if one.limit_s is None else f"stay, to {words.seconds(one.limit_s)}"
        rest = "" if number == len(sets) else words.seconds(one.rest_s)
        name = one.exercise.name
        rows.append([str(number), name, words.seconds(one.target_s), rest, ends])
    return rows


def _each_once(lines: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(lines))


def can_decline(one: Suggestion) -> bool:
    """Tell whether there is something to say no (or, to a move, yes) to."""
    if one.change is Change.MOVE_ON:
        return True
    changed = one.target_s is not None and one.target_s != one.current_s
    return changed and one.current_s is not None and one.change is not Change.REST
