"""The ten-second log: how an answer changes a hold, and what pain strikes.

Nothing is required, nothing is made up. Any answer confirms that somebody was there.
"""

from __future__ import annotations

import math
from dataclasses import replace

from trainer.core.cues.breathing import lay
from trainer.core.model import LONGEST_HOLD_S, EndedBy, Pain, PainKind, Side, valid_rpe
from trainer.core.safety import loads
from trainer.core.session.events import (
    Answer,
    AnswerFeet,
    AnswerFelt,
    AnswerHeld,
    AnswerKept,
    AnswerNote,
    AnswerPain,
    AnswerRpe,
    AnswerStoppedBy,
)
from trainer.core.session.program import ProgramSet
from trainer.core.session.state import HoldDraft, Phase, SessionState
from trainer.core.text import clean


def answered(draft: HoldDraft, answer: Answer, planned: ProgramSet) -> HoldDraft:
    """Give the hold with what was said of it.

    Raises:
        ValueError: the figure is impossible; the message says why.
    """
    changed = _changed(draft, answer, planned)
    return replace(changed, confirmed=True)


def _changed(draft: HoldDraft, answer: Answer, planned: ProgramSet) -> HoldDraft:
    match answer:
        case AnswerRpe(rpe=rpe):
            if rpe is not None and not valid_rpe(rpe):
                raise ValueError(f"RPE {rpe:g}: 0 to 10, halves allowed")
            return replace(draft, rpe=rpe)
        case AnswerKept():
            return _kept(draft, answer, planned)
        case AnswerHeld(held_s=held_s):
            return with_held(draft, held_s, planned)
        case AnswerStoppedBy(why=why):
            return replace(draft, stopped_by=why)
        case AnswerFelt(felt=felt):
            return replace(draft, felt=felt)
        case AnswerFeet(feet=feet):
            return replace(draft, feet=feet)
        case AnswerNote(note=note):
            return replace(draft, note=clean(note))
        case AnswerPain(pain=pain):
            if pain is None:
                return replace(draft, pain=())
            others = tuple(p for p in draft.pain if _elsewhere(p, pain))
            return replace(draft, pain=(*others, pain))
    raise ValueError(f"nothing to do with {answer!r}")


def _elsewhere(known: Pain, pain: Pain) -> bool:
    """Tell whether two signs are of two places: two sites, or left and right of one."""
    sides = {known.side, pain.side}
    return known.site != pain.site or sides == {Side.LEFT, Side.RIGHT}


def with_held(draft: HoldDraft, held_s: float, planned: ProgramSet) -> HoldDraft:
    """Give the hold with other seconds held; what was kept goes down with it.

    Raises:
        ValueError: under 0 s, or longer than the hold can have lasted.
    """
    longest_s = max(planned.longest_s, LONGEST_HOLD_S)
    if not 0 <= held_s <= longest_s:
        raise ValueError(f"{held_s:g} s held: between 0 and {longest_s:g} s, please")
    kept_s = draft.kept_s
    if draft.all_kept:
        kept_s = held_s
    elif draft.lost_on_breath is not None:
        kept_s = min(kept_before_breath_s(draft.lost_on_breath, planned), held_s)
    elif kept_s is not None:
        kept_s = min(kept_s, held_s)
    return replace(draft, held_s=held_s, kept_s=kept_s)


def _kept(draft: HoldDraft, answer: AnswerKept, planned: ProgramSet) -> HoldDraft:
    draft = replace(draft, kept_s=None, all_kept=False, lost_on_breath=None)
    if answer.all_kept:
        return replace(draft, kept_s=draft.held_s, all_kept=True)
    if answer.lost_on_breath is not None:
        number = answer.lost_on_breath
        kept_s = kept_before_breath_s(number, planned)
        if number > 1 and kept_s >= draft.held_s:
            raise ValueError(
                f"breath {number}: the hold of {shown_s(draft.held_s)} s had fewer"
            )
        return replace(draft, kept_s=kept_s, lost_on_breath=number)
    if answer.kept_s is None:
        return draft
    if not 0 <= answer.kept_s <= draft.held_s:
        raise ValueError(
            f"{answer.kept_s:g} s kept: between 0 and the {draft.held_s:g} s held"
        )
    return replace(draft, kept_s=answer.kept_s, lost_on_breath=None)


def kept_before_breath_s(number: int, planned: ProgramSet) -> float:
    """Give the seconds before breath NUMBER of a set began (from 1).

    Raises:
        ValueError: the number is under 1.
    """
    if number < 1:
        raise ValueError(f"breath {number}: they are counted from 1")
    breaths = lay(planned.target_s, planned.pattern)
    period_s = planned.pattern.period_s if breaths is None else breaths.period_s
    return round((number - 1) * period_s, 1)


def struck_by(state: SessionState, draft: HoldDraft, pain: Pain) -> frozenset[int]:
    """Give the sets still to come that a warning sign takes out.

    The exercise's own remaining sets, and those of every exercise that loads the
    site; dizziness takes out everything.
    """
    phase = state.phase if state.pause is None else state.pause.phase
    under_way = (state.index,) if phase is Phase.SET_UP else ()
    return frozenset(
        index
        for index in (*under_way, *state.to_come)
        if pain.kind is PainKind.DIZZY
        or state.program.sets[index].exercise.id == draft.exercise
        or _loads(state.program.sets[index], pain)
    )


def _loads(planned: ProgramSet, pain: Pain) -> bool:
    """Tell whether a set loads a named place; pain without one strikes its exercise."""
    return pain.site is not None and loads(planned.exercise, pain)


def how_held(draft: HoldDraft) -> str:
    """Say how the seconds held came about."""
    if draft.ended_by is EndedBy.TARGET:
        return "ended by itself at the target"
    if draft.ended_by is EndedBy.LIMIT:
        return "ended by itself at the limit"
    if draft.ended_by is EndedBy.INTERRUPTED:
        return "interrupted: the last second that was noted"
    if draft.key_s is None or draft.allowance_s is None:
        return ""
    return f"key at {shown_s(draft.key_s)} s, less {draft.allowance_s:g} s allowance"


def to_tenth_s(seconds: float) -> float:
    """Round seconds down to a tenth; never below 0."""
    return max(0, math.floor(seconds * 10 + 1e-6)) / 10


def shown_s(seconds: float) -> str:
    """Show seconds to a tenth, rounded down."""
    tenths = int(seconds * 10 + 1e-6)
    return f"{tenths // 10}" if tenths % 10 == 0 else f"{tenths / 10:.1f}"
