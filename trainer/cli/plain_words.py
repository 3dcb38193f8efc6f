"""The lines of the line-by-line session."""

from __future__ import annotations

from trainer.core.cues import Cue, TimedCue
from trainer.core.session_log import how_held, shown_s
from trainer.core.session_state import HoldDraft, PauseReason, Phase, SessionState

_CUES = {
    Cue.GO_UP: "Go up.",
    Cue.HALFWAY: "Halfway.",
    Cue.TEN_LEFT: "Ten seconds left.",
    Cue.TEN_MORE: "Ten more.",
    Cue.TARGET: "Target.",
    Cue.REST_NEARLY_OVER: "The rest is nearly over.",
}


def cue_line(cue: TimedCue) -> str:
    """Give the line for a cue; empty for what the ear alone needs."""
    return _CUES.get(cue.cue, "")


def keys_line() -> str:
    """Say the keys in one line."""
    return (
        "Any key in set-up: 30 s more; in a hold: you came down. x false start or"
        " didn't happen, z undo, j skip, w wait, q end. After a hold: 1 to 9 and 0 for"
        " RPE, . a half, k all kept, l lost on a breath, p pain, + - or t held, f felt,"
        " n note, e feet, stopped by g grip s shoulder i position b breath v nerve"
        " o other."
    )


def phase_line(phase: Phase, state: SessionState, *, asks: bool) -> str:
    """Say that a phase began; ASKS: somebody can answer."""
    planned = state.set
    match phase:
        case Phase.WARM_UP:
            move = state.program.warm_up[state.move]
            return f"Warm-up: {move.name}, {move.length_s:g} s. {move.instruction}"
        case Phase.SET_UP:
            stays = "" if planned.limit_s is None else f", up to {planned.limit_s:g} s"
            return (
                f"Set-up {planned.exercise.setup_s:g} s: {planned.exercise.name},"
                f" set {planned.set_number} of {planned.sets},"
                f" {planned.target_s:g} s{stays}."
            )
        case Phase.HOLD:
            said = (*planned.exercise.instructions[:1], planned.cue)
            return " ".join(("Hold.", *said)).rstrip()
        case Phase.COME_OUT:
            return "Breathe in, then down."
        case Phase.LOG_AND_REST:
            rest_s = (state.ends_at_s or 0.0) - state.began_at_s
            return f"Rest {rest_s:.0f} s." + (" RPE? All kept?" if asks else "")
        case Phase.PAUSED:
            why = "" if state.pause is None else _PAUSED[state.pause.reason]
            return f"Paused{why}." + (" Enter goes on." if asks else "")
        case Phase.INTERRUPTED:
            return "Interrupted: nobody watched for a while." + (
                " Seconds held and enter, enter alone for those noted, x if it didn't"
                " happen."
                if asks
                else ""
            )
        case _:
            return "Done." + (" RPE? All kept? Felt? Enter leaves." if asks else "")


_PAUSED = {
    PauseReason.ASKED: "",
    PauseReason.GAP: ": nobody watched for a while",
    PauseReason.NOBODY: (
        ": nobody seems to be there; x says that the last holds didn't happen"
    ),
}


def draft_line(draft: HoldDraft) -> str:
    """Say what is logged of a hold."""
    parts = [f"held {shown_s(draft.held_s)} s of {draft.target_s:g}"]
    how = how_held(draft)
    if how:
        parts.append(how)
    if draft.kept_s is not None:
        parts.append(f"kept {shown_s(draft.kept_s)} s")
    if draft.rpe is not None:
        parts.append(f"RPE {draft.rpe:g}")
    if draft.stopped_by is not None:
        parts.append(f"stopped by {draft.stopped_by}")
    parts += [f"{pain.kind} {pain.site or ''}".strip() for pain in draft.pain]
    parts += [f"felt {felt.site}" for felt in draft.felt]
    if draft.feet is not None:
        parts.append(f"feet took {draft.feet}")
    if draft.note:
        parts.append(f"note: {draft.note}")
    return f"  {draft.exercise} {draft.set_number}: {'; '.join(parts)}"
