"""The rule ``start``: the plan's start, a test's, or a target that somebody set."""

from __future__ import annotations

from trainer.core import words
from trainer.core.case import Case, Outcome
from trainer.core.evidence import targets_for
from trainer.core.exercises import rung_below
from trainer.core.first_test import LEAST_START_S, TOO_SHORT_S, TestResult, last_test
from trainer.core.model import Author
from trainer.core.rules_down import free_rung_below, one_rung_down
from trainer.core.suggestion import Change, Rule

NOT_YET = "There is no session of it yet."


def start(case: Case) -> Outcome | None:
    """Before the first session of an exercise that no move led to."""
    if case.trained or case.slot.reached_by is not None:
        return None
    test = last_test(case.history, case.exercise.id)
    if test is not None and test.start_s is None and not _set_after(case, test):
        return _after_a_short_test(case, test)
    targets = targets_for(case.history, case.exercise.id, case.week)
    tested = test is not None and test.start_s is not None
    if targets and not (tested and targets[-1].author is Author.TEST):
        taken = f"{words.seconds(case.current_s)} was taken for it."
        return _begin(case, case.current_s, case.whose() or (taken,))
    if test is None or test.start_s is None:
        said = (
            f"The plan starts at {words.seconds(case.entry.start_s)} (common practice:"
            " 20 to 30 s, less if that is already intense)."
        )
        return _begin(case, case.entry.start_s, (said,))
    said = (
        f"The test on {words.day(test.on)} was held for {words.seconds(test.held_s)}:"
        " two thirds of that, rounded down to 5 s, between 10 and 30 s, is"
        f" {words.seconds(test.start_s)}."
    )
    target_s, bound = _within_the_plan(case, test.start_s)
    return _begin(
        case,
        target_s,
        (said, *bound),
        would="A longer or a shorter test would set another start.",
    )


def _begin(
    case: Case,
    target_s: float,
    reasons: tuple[str, ...],
    *,
    would: str = "A first-day test, or a start set in the plan, would set another"
    " start.",
) -> Outcome:
    return Outcome(
        rule=Rule.START,
        target_s=target_s,
        sets=case.entry.sets,
        reasons=(NOT_YET, *reasons),
        would_change=(would,),
        change=Change.START,
    )


def _set_after(case: Case, test: TestResult) -> bool:
    """Tell whether a person or a coach set the target in force after the test."""
    return case.own is not None and case.own.set_at > test.at


def _after_a_short_test(case: Case, test: TestResult) -> Outcome:
    """Answer with the rung below; with none that is free, the least start there is."""
    said = (
        f"The test on {words.day(test.on)} was held for {words.seconds(test.held_s)},"
        f" under {words.seconds(TOO_SHORT_S)}"
    )
    would = (
        f"A test of {words.seconds(TOO_SHORT_S)} or more would set a start on"
        f" {case.exercise.id}."
    )
    below = free_rung_below(case)
    if below is not None:
        reasons = (NOT_YET, f"{said}: the rung below fits better.")
        return one_rung_down(case, below, Rule.START, reasons, (would,))
    why = (
        "There is no easier rung"
        if rung_below(case.exercise.id) is None
        else "The easier rung is in the plan already"
    )
    least = (
        f"{why}: so it starts at the least there is, {words.seconds(LEAST_START_S)}."
    )
    target_s, bound = _within_the_plan(case, LEAST_START_S)
    return _begin(case, target_s, (f"{said}.", least, *bound), would=would)


def _within_the_plan(case: Case, target_s: float) -> tuple[float, tuple[str, ...]]:
    """Keep a start between the plan's floor and cap, and say where that changes it."""
    floor_s, cap_s = case.entry.floor_s, case.entry.cap_s
    if target_s > cap_s:
        return cap_s, (f"It doesn't go over the plan's cap of {words.seconds(cap_s)}.",)
    if target_s < floor_s:
        floor = words.seconds(floor_s)
        return floor_s, (f"It doesn't go under the plan's floor of {floor}.",)
    return target_s, ()
