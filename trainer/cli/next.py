"""``trainer next``: next week's targets, and why."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import CliContext, pass_context, usual_options
from trainer.core import words
from trainer.core.exercises import said_name
from trainer.core.next_week.suggestion import Change, Suggestion
from trainer.core.weeks import IsoWeek
from trainer.errors import DataError, ExitCode

if TYPE_CHECKING:
    from trainer.cli.context import CliContext
    from trainer.core.capacity.calibration import ReliabilityRow, Score
    from trainer.core.plan.plan import Plan


# ``trainer next --score``: how often the chances that were shown came true.


def show_score(context: CliContext, *, as_json: bool, week: IsoWeek | None) -> int:
    """Show the score of all that was shown and then trained, or of one week's."""
    from trainer.core.capacity.calibration import score_of

    with context.open_to_read() as store:
        found = score_of(store.history(), week=week)
    if as_json:
        output.document(asdict(found))
        return ExitCode.DONE
    for text in score_lines(found, week):
        output.line(text)
    return ExitCode.DONE


def score_lines(found: Score, week: IsoWeek | None = None) -> Iterator[str]:
    """Return the score as a sentence and a table."""
    from trainer.core.capacity.calibration import ENOUGH

    of_it = "" if week is None else f" for {words.week(week)}"
    if found.brier is None:
        yield (
            f"Nothing to score yet: no target was shown{of_it} with a chance and then"
            " trained."
        )
        return
    if of_it:
        yield f"What was shown{of_it}:"
    if found.count >= ENOUGH:
        yield found.sentence()
    else:
        yield (
            f"{found.count} scored so far, Brier score {found.brier:.2f}; from {ENOUGH}"
            " on it begins to mean something."
        )
    yield ""
    yield "Chance shown   Times   Mean chance   Made"
    yield from (_row(row) for row in found.table)


def _row(row: ReliabilityRow) -> str:
    band = f"{row.low:.0%} to {row.high:.0%}"
    if row.mean_chance is None or row.share_made is None:
        return f"{band:<15}{row.count:>5}"
    return (
        f"{band:<15}{row.count:>5}   {row.mean_chance:>11.0%}   {row.share_made:>4.0%}"
    )


_WORDS = {
    Change.START: "start",
    Change.UP: "up",
    Change.SAME: "same",
    Change.DOWN: "down",
    Change.MOVE_ON: "move on, if you like",
    Change.REST: "rest",
}


@click.command(
    "next", epilog=options.epilog("trainer next", "trainer next --week 2026-W30 --json")
)
@click.option(
    "--week", type=options.WEEK, metavar="YYYY-Www", help="Another week than the next."
)
@click.option("--score", is_flag=True, help="How often the forecasts were right.")
@click.option("--json", "as_json", is_flag=True, help="One JSON document.")
@usual_options
@pass_context
def next_command(
    context: CliContext, *, week: IsoWeek | None, score: bool, as_json: bool
) -> int:
    """Next week's targets, and why.

    Each exercise of the plan gets its target, the rule that decided, the figures it
    rests on, and what would have changed it. Nothing is taken by asking.
    """
    if score:
        return show_score(context, as_json=as_json, week=week)
    from trainer.core.next_week.decide import next_week
    from trainer.core.next_week.suggestion import suggestion_as_dict
    from trainer.training.shown import remember_shown

    now = context.clock.wall()
    with context.open_to_read() as store:
        plan = store.plan()
        suggestions = next_week(
            store.history(),
            plan,
            today=now.date(),
            week=week,
            answers=store.answers(),
        )
        try:
            remember_shown(store, suggestions, now=now)
        except DataError as fault:
            # The answer itself needs no writing: give it, and say what is missing.
            diagnostics.warning(f"{fault.message}: the forecast won't be scored.")
    if as_json:
        output.document([suggestion_as_dict(one) for one in suggestions])
        return ExitCode.DONE
    for index, one in enumerate(suggestions):
        if index:
            output.line()
        headline, *rest = suggestion_lines(one, plan)
        output.line(headline)
        for text in rest:
            output.paragraph(text)
    return ExitCode.DONE


def suggestion_lines(one: Suggestion, plan: Plan) -> Iterator[str]:
    """Return a suggestion as sentences: the target, the reasons, the cautions."""
    name = plan.brief_name(one.exercise)
    yield f"{name}, {words.week(one.week)}: {_headline(one)}"
    yield from one.reasons
    if one.chance is not None:
        likely = ""
        if one.likely_rpe is not None:
            likely = f", likely at RPE {words.likely_rpe(one.likely_rpe)}"
        said = words.chance(one.chance)
        yield f"Chance that every set of a session is made: {said}{likely}."
    if one.rating:
        yield one.rating
    yield from (f"Otherwise: {text}" for text in one.would_change)
    yield from (f"Caution: {text}" for text in (*one.open_pain, *one.cautions))
    yield f"Rule: {one.rule}"


def _headline(one: Suggestion) -> str:
    """Return the target, and what changes, with the step in per cent."""
    word = _WORDS[one.change]
    if one.target_s is None:
        return f"{word}, {one.current_s:g} s is kept"
    figures = f"{one.sets} × {one.target_s:g} s, rest {one.rest_s:g} s"
    if one.from_exercise:
        return f"{figures} ({word}, from {said_name(one.from_exercise)})"
    if one.change is not Change.START and one.current_s != one.target_s:
        step_s = one.target_s - one.current_s
        share = step_s / one.current_s
        return f"{figures} ({word} {abs(step_s):g} s, {share:+.0%})"
    return f"{figures} ({word})"
