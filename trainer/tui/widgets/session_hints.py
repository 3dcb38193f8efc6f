"""What the keys mean just now, where they stand neither at a line nor at the foot."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from trainer.core.model import EndedBy
from trainer.core.session_state import NOT_YET_S, Phase, SessionState, UndoKind
from trainer.tui.widgets.session_phrases import past
from trainer.tui.widgets.session_words import Face

HEADING_GAP = 3
"""Cells that keep a heading's two parts apart (our choice)."""


def hint(state: SessionState, now_s: float, key_of: Callable[[str], str]) -> str:
    """Say what the keys mean just now that stand neither at a line nor at the foot.

    Args:
        state: the session.
        now_s: on the session's clock.
        key_of: gives the key that a binding's id is on.
    """
    match state.phase:
        case Phase.SET_UP:
            return f"any key: not yet, {NOT_YET_S:g} s more"
        case Phase.HOLD:
            return "any key: down early"
        case Phase.COME_OUT | Phase.LOG_AND_REST | Phase.DONE if down_earlier_counts(
            state, now_s
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


FOOT_WORDS: Mapping[tuple[Phase, str], str] = {
    (Phase.HOLD, "out"): "False start",
    (Phase.INTERRUPTED, "out"): "None of it",
    (Phase.INTERRUPTED, "go_on"): "Keep",
    (Phase.DONE, "go_on"): "Summary",
    (Phase.PAUSED, "pause"): "",
}
"""What a key is called where its usual name would mislead; empty: another key's name
says it already."""


def foot_words(state: SessionState, action: str, usual: str) -> str:
    """Name a key at the foot for what it does just now; empty: leave it out."""
    undo = state.undo
    if action == "take_back" and undo is not None and undo.kind is not UndoKind.LOG:
        return f"{usual} {undo.kind}"
    return FOOT_WORDS.get((state.phase, action), usual)


def can_be_undone(state: SessionState, now_s: float) -> bool:
    """Tell whether the undo key takes something back just now.

    A come-down only while the person comes out, and while the hold's time lasts;
    a false start only in the set-up that it led back to.
    """
    if state.undo is None or state.phase is Phase.HOLD:
        return False
    if state.undo.kind is UndoKind.COME_DOWN:
        began_at_s = state.hold_began_at_s
        return (
            state.phase is Phase.COME_OUT
            and began_at_s is not None
            and now_s < began_at_s + state.set.longest_s
        )
    return state.undo.kind is not UndoKind.FALSE_START or state.phase is Phase.SET_UP


def down_earlier_counts(state: SessionState, now_s: float) -> bool:
    """Tell whether a key would still mean that the hold ended before it seemed to."""
    draft = state.last_hold
    return (
        draft is not None
        and draft.index == state.index
        and draft.ended_by in (EndedBy.TARGET, EndedBy.LIMIT)
        and state.hold_ended_at_s is not None
        and now_s - state.hold_ended_at_s <= state.set.exercise.allowance_s
    )
