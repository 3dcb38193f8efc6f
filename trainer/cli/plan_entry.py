"""One exercise of the plan put in, changed or taken out: for ``trainer plan set``."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import replace
from typing import Any

from trainer.core import words
from trainer.core.breathing import Pattern
from trainer.core.cautions import one_line
from trainer.core.model import EndOfHold
from trainer.core.notes import NOT_ALONE
from trainer.core.plan import Plan, default_entry
from trainer.core.text import clean
from trainer.core.top import why_too_hard
from trainer.errors import UsageError


def want_planned(plan: Plan, ident: str, *, add: bool) -> None:
    """Refuse an exercise that isn't in the plan, unless it is to be added.

    Raises:
        UsageError: it isn't planned, and nobody said ``--add``.
    """
    if add or plan.entry(ident) is not None:
        return
    planned = words.listed([entry.exercise for entry in plan.exercises])
    raise UsageError(
        f"{ident} is not in the plan, which has {planned}", "To put it in, add --add"
    )


def warning_if_too_hard(
    plan: Plan, ident: str, answers: Mapping[str, str], *, anyway: bool
) -> str:
    """Refuse what is harder than may be offered; with ANYWAY give the caution.

    Raises:
        UsageError: it is too hard, and nobody said ``--anyway``.
    """
    why = why_too_hard(plan, ident, answers)
    if why is None:
        return ""
    caution = one_line(plan.exercise(ident))
    if plan.exercise(ident).upside_down:
        caution = f"{caution} {NOT_ALONE}"
    if not anyway:
        raise UsageError(
            f"{ident} is harder than may be offered: {why}",
            f"{caution.rstrip('.')}. To go on all the same, add --anyway",
        )
    return f"{ident} is harder than may be offered: {why}. {caution}"


def with_figures(plan: Plan, ident: str, figures: dict[str, Any]) -> Plan:
    """Give the plan with an exercise's figures changed, the exercise added if new.

    Raises:
        UsageError: the figures don't go together.
    """
    entry = plan.entry(ident) or default_entry(ident)
    try:
        if "pattern" in figures:
            figures["pattern"] = Pattern.parse(figures["pattern"])
        changed = replace(entry, **figures)
    except ValueError as error:
        said = clean(str(error)).removesuffix(", please")
        raise UsageError(f"{ident}: {said}", "Nothing was changed") from None
    stays = changed.end_of_hold is EndOfHold.STAY
    if stays and not plan.exercise(ident).may_stay:
        raise UsageError(
            f"{ident} may not go on past its target", "Leave it at --end stop"
        )
    return plan.with_entry(changed)


def without(plan: Plan, ident: str) -> Plan:
    """Give the plan without an exercise.

    Raises:
        UsageError: it isn't in the plan, or nothing would be left.
    """
    if plan.entry(ident) is None:
        raise UsageError(f"{ident} is not in the plan", "See it: trainer plan show")
    left = tuple(entry for entry in plan.exercises if entry.exercise != ident)
    if not left:
        raise UsageError(
            f"{ident} is the plan's only exercise", "Put another one in first"
        )
    return replace(plan, exercises=left)
