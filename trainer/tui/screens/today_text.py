"""What Today says, made from the day's view: pure, so that it can be tested as text."""

from __future__ import annotations

import itertools
from collections.abc import Collection, Iterable, Mapping, Sequence
from datetime import date

from textual.content import Content

from trainer.core import words
from trainer.core.answers import MADE_UP
from trainer.core.clock import dates_left_out
from trainer.core.exercises import brief_name
from trainer.core.model import History, PainKind, SessionKind
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.plan.plan import Plan, rest_after
from trainer.core.review.streaks import PlannedDays, run_of_weeks, streaks
from trainer.core.safety import OpenPain, pain_words
from trainer.core.session.program import ProgramSet, SessionProgram
from trainer.core.today import Due, LastTime, TodayView
from trainer.tui.session.lead import SECOND_COPY
from trainer.tui.widgets.sheet import Note, Text, columns, note, styled

# What the pages say first while pain is open: pure.


def pain_sentence(pain: OpenPain) -> str:
    """Say what it is, since when and where, and what to do about it."""
    said = pain_words(pain)
    whole_body = pain.kind is PainKind.DIZZY
    hold_off = "Don't train" if whole_body else "Don't load it"
    return (
        f"{said[:1].upper()}{said[1:]} since {words.near_date(pain.since)}. {hold_off}"
        " before it is gone: Start asks. Where it stays or comes back, see a clinician."
    )


MOST_RECENT = 6
"""Sessions of an exercise that the card lists (our choice)."""


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
    return f"The next one is {words.relative_day(view.next_day, view.today)}."


def length_s(program: SessionProgram) -> float:
    """Give how long a program takes, set-ups, come-outs and rests included."""
    total_s = sum(move.length_s for move in program.warm_up)
    for one in program.sets:
        total_s += one.exercise.setup_s + one.target_s + one.exercise.come_out_s
        total_s += one.rest_s
    return total_s - (program.sets[-1].rest_s if program.sets else 0)


def today_notes(
    view: TodayView,
    *,
    streak: str,
    made_up: bool = False,
    pain: Iterable[OpenPain] = (),
    second_copy: bool = False,
    first_steps: str = "",
    check: str = "",
    other_keys: Iterable[Note] = (),
) -> list[Note]:
    """Give the entries of the page; open pain comes before all else."""
    notes = pain_notes(pain)
    if made_up:
        notes.append(note("", MADE_UP))
    if second_copy:
        notes.append(
            note(
                "Second copy",
                styled(f"{SECOND_COPY} Start asks again.", "$text-warning"),
            )
        )
    if first_steps:
        notes.append(note("At first", first_steps))
    if check:
        notes.append(note("Angle check", check))
    notes.append(note("Due", *_due_lines(view)))
    notes += [due_note(view, due) for due in view.due]
    if view.program is not None:
        order = order_line(view.program)
        notes.append(note("In order", order, classes="not-wide"))
    minded = _each_once(each for due in view.due for each in due.suggestion.cautions)
    if minded:
        notes.append(note("Mind", *(words.sentence(each) for each in minded)))
    if streak:
        notes.append(note("Weeks", streak, quiet=True))
    return [*notes, *other_keys]


def pain_notes(pain: Iterable[OpenPain]) -> list[Note]:
    """Say which pain is open, or nothing."""
    said = [styled(pain_sentence(each), "bold $text-warning") for each in pain]
    return [note("Pain", *said)] if said else []


def first_steps(
    history: History, key_of: Mapping[str, str], *, to_test: Collection[str]
) -> str:
    """Say what can be done before the first session; KEY_OF gives each one's key.

    It stays until somebody has trained by the plan; the test until it is done or
    declined. What has no live key at the moment is left out.
    """
    steps: list[tuple[str, str]] = []
    if not any(each.kind is SessionKind.PLAN for each in history.sessions):
        steps += [
            ("today.listen", "Hear the sounds of a hold: {}."),
            ("today.rehearse", "Rehearse: {}."),
        ]
    if to_test:
        steps.append(("today.test", "Find your start by a test: {}."))
    return " ".join(say.format(key_of[id_]) for id_, say in steps if id_ in key_of)


def check_line(
    key_of: Mapping[str, str], *, reach: bool, program: SessionProgram | None
) -> str:
    """Say which angle checks are due, and by which keys one is begun and declined.

    Args:
        key_of: the live keys.
        reach: a standing reach is due, before the warm-up.
        program: today's, with the photos that are due in its sets.
    """
    begin, leave = key_of.get("today.angle", ""), key_of.get("today.no-angle", "")
    said = [f"Due before the warm-up. {begin}: begin."] if reach else []
    photographed = [] if program is None else [s for s in program.sets if s.photo]
    if photographed:
        where = words.listed(
            [f"{s.exercise.said_name}, set {s.set_number}" for s in photographed]
        )
        said.append(
            f"A photo is due in a planned set ({where}): let a phone film it from the"
            f" side, and mark a still of it afterwards ({begin})."
        )
    return " ".join([*said, f"{leave}: not this time."]) if said else ""


OTHER_KEYS = (
    ("today.exercise", "one exercise"),
    ("today.rehearse", "rehearse"),
    ("today.test", "test"),
    ("today.listen", "hear a hold"),
    ("today.sound", "sound settings"),
    ("today.questions", "first questions"),
)
"""What Today can do that has no room at its foot."""


def other_keys(key_of: Mapping[str, str]) -> list[Note]:
    """Name the keys that have no room at the foot, where the window has some."""
    said = [f"{key_of[id_]} {words}" for id_, words in OTHER_KEYS if id_ in key_of]
    half = (len(said) + 1) // 2
    rows = [" · ".join(row) for row in (said[:half], said[half:]) if row]
    return [note("Also", *rows, quiet=True, classes="only-broad")] if rows else []


def _due_lines(view: TodayView) -> list[Text]:
    state = state_sentence(view)
    if view.program is None:
        return [state]
    sets = words.count(len(view.program.sets), "set")
    warm_up_s = sum(move.length_s for move in view.program.warm_up)
    warm_up = f", {words.minutes(warm_up_s)} of them warm-up" if warm_up_s else ""
    about = words.minutes(length_s(view.program))
    return [state, f"{sets} in about {about}{warm_up}."]


def due_note(view: TodayView, due: Due) -> Note:
    """Say what one exercise asks for, why, and how it was last time."""
    body: list[Text] = [_headline(due), _why(due)]
    if due.last is not None:
        body.append(styled(last_sentence(due.last, view), "$text-muted"))
    if due.entry.cue:
        body.append(f"Cue: “{due.entry.cue}”")
    return Note(due.exercise.brief_name, tuple(body))


def _headline(due: Due) -> Text:
    one = due.suggestion
    if one.change is Change.REST or due.target_s is None:
        return styled("rest", "bold")
    sets = one.sets or due.entry.sets
    rest = words.whole_seconds(rest_after(due.entry.rest_s, due.target_s))
    # Neither a start nor another rung is more or less than what was in force.
    alike = one.change is not Change.START and not one.from_exercise
    step = words.step_words(due.target_s, one.current_s) if alike else ""
    return Content.assemble(
        (f"{sets} × {words.whole_seconds(due.target_s)}   ", "bold"),
        f"rest {rest}   ",
        (step, "$text-accent"),
    )


def _why(due: Due) -> str:
    one = due.suggestion
    target = words.whole_seconds(one.target_s)
    if one.change is Change.MOVE_ON and due.declined:
        return (
            f"Asked: go on to {brief_name(one.exercise)} at {target} in the first"
            " set?"
            f" {' '.join(one.reasons[:1])}"
        )
    if due.declined:
        return f"Declined: {target} was suggested; the target in force stays."
    return why(one)


def why(one: Suggestion) -> str:
    """Give the reasons that say most.

    The first says what happens and, where something does, why; where nothing does, the
    second one says why not. Next week gives them all.
    """
    shown = one.reasons[: 2 if one.change is Change.SAME else 1]
    return " ".join(words.sentence(each) for each in shown)


def last_sentence(last: LastTime, view: TodayView) -> str:
    """Say how the exercise's latest session was."""
    kept = ", ".join(words.figure(hold.kept_or_held_s) for hold in last.holds)
    target = next((h.target_s for h in last.holds if h.target_s is not None), None)
    noted = [words.rpe(hold.rpe) for hold in last.holds if hold.rpe is not None]
    of = f" of {words.whole_seconds(target)}" if target is not None else " s"
    text = f"{words.relative_day(last.day, view.today)}: kept {kept}{of}"
    return words.sentence(text + (f", RPE {', '.join(noted)}" if noted else ""))


def order_line(program: SessionProgram) -> str:
    """Give the sets in their order: ``3 rounds: passive hang 20 s, then …``."""
    named = [
        f"{one.exercise.said_name} {words.figure(one.target_s)} s"
        for one in program.sets
    ]
    for length in range(2, len(named) // 2 + 1):
        rounds, over = divmod(len(named), length)
        if not over and named == named[:length] * rounds:
            return f"{rounds} rounds: {', then '.join(named[:length])}"
    runs = [(name, len(list(run))) for name, run in itertools.groupby(named)]
    return ", then ".join(name if n == 1 else f"{n} × {name}" for name, n in runs)


def card(view: TodayView, history: History) -> list[Note]:
    """Give the session as a card: the warm-up, the sets in order, the last times."""
    notes = []
    if view.program is not None:
        program = view.program
        # The seconds first: a long name is wrapped, and would take them along.
        moves = [
            [words.whole_seconds(move.length_s), move.name] for move in program.warm_up
        ]
        if moves:
            notes.append(note("Warm-up", *columns(moves, right=[0]), quiet=True))
        rows = columns(set_rows(program.sets), right=[0, 2, 3])
        notes.append(note("Sets", styled(rows[0], "$text-muted"), *rows[1:]))
    for due in view.due:
        rows = columns(recent_rows(history, due.exercise.id), right=[1])
        if rows:
            lines: list[Text] = [styled(rows[0], "$text-muted"), *rows[1:]]
            notes.append(note(f"{due.exercise.brief_name}, lately", *lines))
    return notes


def recent_rows(history: History, exercise: str) -> list[list[str]]:
    """Give the exercise's latest sessions, newest first, with a head; or nothing."""
    rows = []
    for session in reversed(history.sessions):
        holds = [hold for hold in session.holds if hold.exercise == exercise]
        if not holds:
            continue
        target_s = next((h.target_s for h in holds if h.target_s is not None), None)
        kept = " ".join(words.figure(hold.kept_or_held_s) for hold in holds)
        noted = " ".join(words.rpe(hold.rpe) for hold in holds)
        day = words.near_date(session.local_date)
        rows.append([day, words.figure(target_s), kept, noted])
        if len(rows) == MOST_RECENT:
            break
    return [["day", "target", "kept", "RPE"], *rows] if rows else []


def set_rows(sets: Sequence[ProgramSet]) -> list[list[str]]:
    """Give the sets as rows of a table, with its head."""
    rows = [["", "exercise", "target", "rest", ""]]
    for number, one in enumerate(sets, start=1):
        ends = (
            ""
            if one.limit_s is None
            else f"stay, to {words.whole_seconds(one.limit_s)}"
        )
        rest = "" if number == len(sets) else words.whole_seconds(one.rest_s)
        name = one.exercise.brief_name
        rows.append([str(number), name, words.whole_seconds(one.target_s), rest, ends])
    return rows


def _each_once(lines: Iterable[str]) -> list[str]:
    return list(dict.fromkeys(lines))


def can_decline(one: Suggestion) -> bool:
    """Tell whether there is something to say no (or, to a move, yes) to."""
    if one.change is Change.MOVE_ON:
        return True
    if one.change in (Change.START, Change.REST):
        return False
    return one.target_s != one.current_s


def turn_words(due: Due) -> str:
    """Say what turning a suggestion down, or a move up, would come to."""
    one = due.suggestion
    name, target = due.exercise.name, words.whole_seconds(one.target_s)
    if one.change is Change.MOVE_ON:
        word = "go on to it" if due.declined else "stay where you are"
        return f"{name}: {word} ({brief_name(one.exercise)}, {target})"
    if due.declined:
        return f"{name}: take {target} after all"
    return f"{name}: decline {target}, keep {words.whole_seconds(one.current_s)}"


def streak_sentence(
    history: History, plans: Iterable[tuple[date, Plan]], today: date
) -> str:
    """Say how the weeks went; nothing before the first session."""
    if not history.sessions:
        return ""
    planned = [PlannedDays(day, len(plan.days), plan.days) for day, plan in plans]
    begun = min(session.local_date for session in history.sessions)
    left_out = dates_left_out(begun, today)
    found = streaks(history, planned=planned, today=today, left_out=left_out)
    this_week = ""
    if found.weeks:
        running = found.weeks[-1]
        wanted = words.count(running.planned_days, "day")
        this_week = f"This week {running.days_done} of {wanted}. "
    if not found.longest:
        return this_week.strip()
    run = run_of_weeks(found.current)
    return f"{this_week}{run}; the longest run was {found.longest}."
