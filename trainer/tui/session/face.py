"""What the session screen says at one instant: plain values, no widget in sight.

``face`` reads a session's state and gives every word and figure that stands on the
stage, so that the screen only has to put them in their places when they change.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, replace

from trainer.core.cues.breathing import lay
from trainer.core.model import EndedBy, SessionKind
from trainer.core.session.program import ProgramSet
from trainer.core.session.state import (
    NOT_YET_S,
    Pause,
    PauseReason,
    Phase,
    SessionEnd,
    SessionState,
    UndoKind,
)
from trainer.tui.session.breath_line import BreathView, view

BREATHS_PER_INSTRUCTION = 2
"""Breaths for which one instruction stands before the next (our choice)."""
SECONDS_PER_INSTRUCTION = 10.0
"""The same where no breath is led (our choice)."""
_TINY = 1e-6
LAST_SET = "last set"
"""Stands for what comes next where nothing does."""
HEADING_GAP = 3
"""Cells that keep a heading's two parts apart (our choice)."""
WORDS = {
    Phase.READY: "READY",
    Phase.WARM_UP: "WARM-UP",
    Phase.SET_UP: "SET-UP",
    Phase.HOLD: "HOLD",
    Phase.COME_OUT: "COME-OUT",
    Phase.LOG_AND_REST: "REST",
    Phase.PAUSED: "PAUSED",
    Phase.INTERRUPTED: "INTERRUPTED",
    Phase.DONE: "DONE",
}
_ENDS = {
    SessionEnd.COMPLETE: "All sets done.",
    SessionEnd.EARLY: "Ended early. What was done is kept.",
    SessionEnd.PAIN: "Ended for pain: no set is left that spares the place.",
    SessionEnd.DIZZY: "Ended: dizzy. Sit a moment; somebody should know of it.",
}
_NO_HOLD = "No hold was done."
_NONE_COUNTS = "No hold of this session counts."
_PAUSES = {
    PauseReason.ASKED: "Paused until you go on.",
    PauseReason.GAP: "Nobody watched the time for a while, so the session waited.",
    PauseReason.NOBODY: "Three holds ended by themselves and nobody answered. If they"
    " didn't happen, say so.",
}
FOOT_WORDS: Mapping[tuple[Phase, str], str] = {
    (Phase.HOLD, "out"): "False start",
    (Phase.INTERRUPTED, "out"): "None of it",
    (Phase.INTERRUPTED, "go_on"): "Keep",
    (Phase.DONE, "go_on"): "Summary",
    (Phase.PAUSED, "pause"): "",
}
"""What a key is called where its usual name would mislead; empty: another key's name
says it already."""


def left(seconds: float) -> str:
    """Give whole seconds left: the figure changes with the tick that is heard."""
    return str(max(0, math.ceil(seconds - _TINY)))


def past(seconds: float) -> str:
    """Give whole seconds past, rounded down."""
    return str(max(0, math.floor(seconds + _TINY)))


def seconds_of(value: float) -> str:
    """Give a planned figure of seconds, without a needless fraction."""
    return f"{value:g} s"


def set_of(planned: ProgramSet) -> str:
    """Say which set of its exercise this is."""
    return f"set {planned.set_number} of {planned.sets}"


def place_of(state: SessionState) -> str:
    """Say where in the session a set stands."""
    total = len(state.program.sets)
    if state.program.kind is SessionKind.TEST:
        return f"test {state.index + 1} of {total}" if total > 1 else "test"
    both = set_of(state.set)
    if total == state.set.sets:
        return both
    return f"{both} · hold {state.index + 1} of {total}"


def coming_after(state: SessionState) -> str:
    """Say which set comes next."""
    index = state.next_index()
    if index is None:
        return LAST_SET
    planned = state.program.sets[index]
    name = planned.exercise.brief_name
    return f"{name}, {seconds_of(planned.target_s)}, {set_of(planned)}"


def coming_after_rest(state: SessionState) -> str:
    """Say in few words what comes after a hold."""
    index = state.next_index()
    if index is None:
        return LAST_SET
    planned = state.program.sets[index]
    return (
        f"rest {seconds_of(state.set.rest_s)}, then"
        f" {planned.exercise.brief_name}, {seconds_of(planned.target_s)}"
    )


def instruction(planned: ProgramSet, elapsed_s: float) -> str:
    """Give the line that stands ELAPSED_S into a hold.

    One line for a few breaths, then the next; a coach's cue comes first.
    """
    cue = (planned.cue,) if planned.cue else ()
    lines = (*cue, *planned.exercise.instructions)
    breaths = lay(planned.target_s, planned.pattern)
    if breaths is None:
        turn = int(elapsed_s // SECONDS_PER_INSTRUCTION)
    else:
        turn = (breaths.at(elapsed_s).number - 1) // BREATHS_PER_INSTRUCTION
    return lines[turn % len(lines)] if lines else ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Face:
    """All that stands on the stage."""

    phase: Phase
    word: str
    """The state in one word, in capitals."""
    title: str
    short_title: str = ""
    """The same where there is too little room for it; empty: the title."""
    place: str
    """Which set of how many, which hold of how many."""
    figure: str = ""
    """What is drawn large."""
    plain: str = ""
    """The same in words, for close by and for a screen reader."""
    line: str = ""
    """What to do now."""
    quiet: str = ""
    """What is good to know."""
    cue: str = ""
    """What the coach says, or that it is a test: before all else."""
    how: tuple[str, ...] = ()
    """How to do the exercise, before its first hold."""
    coming: str = ""
    """What comes next."""
    breath: BreathView | None = None
    turned: bool = False
    """The figure stands upside down."""
    places: int = 2
    """How many figures the phase's largest number has."""


def face(
    state: SessionState,
    now_s: float,
    turned: Collection[str] = (),
    *,
    turned_at_once: bool = False,
) -> Face:
    """Say what the stage shows of STATE at NOW_S.

    Args:
        state: the session.
        now_s: on the session's clock.
        turned: the ids of exercises whose figure is to stand upside down.
        turned_at_once: a set-up shows it before anybody goes up.
    """
    match state.phase:
        case Phase.WARM_UP:
            return _warm_up(state, now_s)
        case Phase.SET_UP:
            return _set_up(state, now_s, turned, turned_at_once=turned_at_once)
        case Phase.HOLD:
            return _hold(state, now_s, turned)
        case Phase.COME_OUT:
            return _come_out(state, now_s)
        case Phase.LOG_AND_REST:
            return _rest(state, now_s)
        case Phase.PAUSED if state.pause is not None:
            return _paused(state, state.pause)
        case _:
            return _still(state)


def _warm_up(state: SessionState, now_s: float) -> Face:
    moves = state.program.warm_up
    move = moves[state.move]
    number = left(state.remaining_s(now_s))
    after = moves[state.move + 1].name if state.move + 1 < len(moves) else ""
    first = state.program.sets[0]
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=move.name,
        place=f"movement {state.move + 1} of {len(moves)}",
        figure=number,
        plain=f"{number} s of {seconds_of(move.length_s)}",
        line=move.instruction,
        coming=after or f"{first.exercise.brief_name}, {seconds_of(first.target_s)}",
    )


def _set_up(
    state: SessionState,
    now_s: float,
    turned: Collection[str],
    *,
    turned_at_once: bool = False,
) -> Face:
    planned = state.set
    exercise = planned.exercise
    left_s = state.remaining_s(now_s)
    to_go_up_s = left_s - exercise.go_up_lead_s
    if to_go_up_s > _TINY:
        line = f"Get in place. Go up in {left(to_go_up_s)} s."
    else:
        line = "Go up now; a long breath out before the hold begins."
    up = to_go_up_s <= _TINY
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=exercise.name,
        short_title=exercise.short_name,
        place=place_of(state),
        figure=left(left_s),
        plain=f"{left(left_s)} s to the hold{_not_yet(state)}",
        line=line,
        cue=state.program.says_first(planned),
        quiet=f"{_no_warm_up(state)}{exercise.caution}",
        how=exercise.how if planned.set_number == 1 else (),
        coming=f"hold {seconds_of(planned.target_s)}{_staying(planned)}",
        turned=(up or turned_at_once) and exercise.id in turned,
        places=max(2, len(left(exercise.setup_s))),
    )


def _not_yet(state: SessionState) -> str:
    """Say how often the set-up was given more time."""
    if not state.not_yets:
        return ""
    return f" · not yet × {state.not_yets}"


def _no_warm_up(state: SessionState) -> str:
    """Say before the first hold of one exercise alone that nothing warmed it up."""
    if state.program.kind is not SessionKind.ONE_OFF or state.index:
        return ""
    return "" if state.program.warm_up else "No warm-up here: be warm already. "


def _staying(planned: ProgramSet) -> str:
    if planned.limit_s is None:
        return ""
    return f" and stay, {seconds_of(planned.limit_s)} at most"


def _hold(state: SessionState, now_s: float, turned: Collection[str]) -> Face:
    planned = state.set
    held_s = state.held_so_far_s(now_s)
    breaths = lay(planned.target_s, planned.pattern)
    left_s = planned.target_s - held_s
    line = instruction(planned, held_s)
    if state.program.kind is SessionKind.TEST:
        line = state.program.says_first(planned)
        figure = past(held_s)
        plain = f"{figure} s held, {seconds_of(planned.target_s)} at most"
    elif left_s > _TINY:
        figure = left(left_s)
        plain = f"{figure} s left of {seconds_of(planned.target_s)}"
    else:
        figure = past(held_s)
        plain = f"{figure} s held, {seconds_of(planned.target_s)} was the target"
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=planned.exercise.name,
        short_title=planned.exercise.short_name,
        place=place_of(state),
        figure=figure,
        plain=plain,
        line=line,
        coming=coming_after_rest(state),
        breath=None if breaths is None else view(breaths, held_s),
        turned=planned.exercise.id in turned,
        places=max(2, len(left(planned.longest_s))),
    )


def _come_out(state: SessionState, now_s: float) -> Face:
    number = left(state.remaining_s(now_s))
    early = state.last_hold is not None and state.last_hold.ended_by is EndedBy.KEY
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=state.set.exercise.name,
        short_title=state.set.exercise.short_name,
        place=place_of(state),
        figure=number,
        plain=f"{number} s to come out",
        line="Down: a long breath out." if early else "A breath in, then down.",
        coming=coming_after_rest(state),
    )


def _rest(state: SessionState, now_s: float) -> Face:
    number = left(state.remaining_s(now_s))
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=state.set.exercise.name,
        short_title=state.set.exercise.short_name,
        place=place_of(state),
        figure=number,
        plain=f"{number} s of {seconds_of(state.set.rest_s)} left",
        line=_taken_out(state),
        places=max(2, len(left(state.set.rest_s))),
        coming=coming_after(state),
    )


def _taken_out(state: SessionState) -> str:
    """Say so where the set just done has no hold that counts."""
    if any(draft.index == state.index for draft in state.kept_holds):
        return ""
    gone = any(draft.index == state.index for draft in state.holds)
    return "This hold counts for nothing." if gone else ""


def _paused(state: SessionState, pause: Pause) -> Face:
    """Say what stood there as the session was paused, and why it stands still."""
    ends_at_s = pause.since_s + pause.left_s
    before = replace(state, phase=pause.phase, ends_at_s=ends_at_s, pause=None)
    seen = face(before, pause.since_s)
    again = pause.phase is Phase.SET_UP
    plain = f"{seen.figure} s of {WORDS[pause.phase].lower()} left"
    return replace(
        seen,
        phase=Phase.PAUSED,
        word=WORDS[Phase.PAUSED],
        figure="" if again else seen.figure,
        plain="the set-up starts again" if again else plain,
        line=_PAUSES[pause.reason],
        quiet="",
        how=(),
    )


def _end(state: SessionState, end: SessionEnd) -> str:
    """Say how the session came to its end, and whether anything was done in it."""
    if state.kept_holds:
        return " ".join([_ENDS[end], _taken_out(state)]).rstrip()
    nothing = _NONE_COUNTS if state.holds else _NO_HOLD
    match end:
        case SessionEnd.COMPLETE:
            return nothing
        case SessionEnd.EARLY:
            return f"Ended early. {nothing}"
    return _ENDS[end]


def _still(state: SessionState) -> Face:
    """Say what stands on the stage while nothing runs."""
    line, figure, plain = "", "", ""
    if state.phase is Phase.INTERRUPTED and state.last_hold is not None:
        figure = past(state.last_hold.held_s)
        plain = f"{figure} s were noted last"
        line = "How long was the hold?"
    elif state.phase is Phase.DONE and state.end is not None:
        line = _end(state, state.end)
    return Face(
        phase=state.phase,
        word=WORDS[state.phase],
        title=state.set.exercise.name,
        short_title=state.set.exercise.short_name,
        place=place_of(state),
        figure=figure,
        plain=plain,
        line=line,
        coming="" if state.phase is Phase.DONE else coming_after(state),
    )


def hint(state: SessionState, now_s: float, key_of: Callable[[str], str]) -> str:
    """Say what the keys mean just now that stand neither at a line nor at the foot.

    Args:
        state: the session.
        now_s: on the session's clock.
        key_of: gives the key that a binding's id is on.
    """
    match state.phase:
        case Phase.SET_UP:
            return f"any other key: not yet, {NOT_YET_S:g} s more"
        case Phase.HOLD:
            return "any key: down early"
        case Phase.COME_OUT | Phase.LOG_AND_REST | Phase.DONE if (
            state.can_say_down_earlier(now_s)
        ):
            return "any other key: I was down earlier"
        case Phase.INTERRUPTED if state.last_hold is not None:
            return (
                f"{key_of('session.go-on')}: {past(state.last_hold.held_s)} s it was,"
                f" {key_of('session.type-held')}: another figure,"
                f" {key_of('session.out')}: none of it"
            )
    return ""


def heading(seen: Face, room: int, *, rehearsal: bool) -> tuple[str, str]:
    """Give a heading's two parts in ROOM cells; short where one would crowd the other.

    Args:
        seen: what the stage shows.
        room: cells for both.
        rehearsal: nothing is logged, which the corner says.
    """
    title, corner = seen.title, seen.place
    if rehearsal:
        corner = f"REHEARSAL, nothing is logged   {seen.place}"
    room -= HEADING_GAP
    if len(title) + len(corner) > room:
        title = seen.short_title or title
    if rehearsal and len(title) + len(corner) > room:
        corner = f"REHEARSAL   {seen.place}"
    return title, corner


def unsaved_words(count: int) -> str:
    """Say how many changes the data file hasn't taken yet, or nothing."""
    return f"{count} not saved yet" if count else ""


def foot_words(state: SessionState, action: str, usual: str) -> str:
    """Name a key at the foot for what it does just now; empty: leave it out."""
    undo = state.undo
    if action == "take_back" and undo is not None and undo.kind is not UndoKind.LOG:
        return f"{usual} {undo.kind}"
    return FOOT_WORDS.get((state.phase, action), usual)
