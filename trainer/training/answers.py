"""Keeping what a person answered, and what follows from it for the plan."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date

from trainer.core.answers import as_kept
from trainer.core.plan.first_day import plan_from
from trainer.store import Store


def keep_answers(store: Store, given: Mapping[str, str], *, on: date) -> bool:
    """Keep answers and the plan that comes of them; tell whether anything changed.

    A plan that there was keeps its exercises and figures: only how far up the ladders
    it may go follows the answers.

    Args:
        store: the data file.
        given: a word by key: yes, no or open, or what the question itself takes.
        on: the local date.
    """
    before = store.answers()
    kept = {
        key: as_kept(key, word, on=on, before=before.get(key, ""))
        for key, word in given.items()
    }
    changed = {k: value for k, value in kept.items() if value != before.get(k, "")}
    for key, value in changed.items():
        store.set_answer(key, value)
    had = store.plan(on) if store.has_plan() else None
    plan = plan_from(before | kept, on=on, before=had)
    if plan != had:
        store.save_plan(plan, valid_from=on)
    return bool(changed) or plan != had
