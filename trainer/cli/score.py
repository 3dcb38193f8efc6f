"""``trainer next --score``: how often the chances that were shown came true."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import asdict
from typing import TYPE_CHECKING

from trainer.cli import output
from trainer.errors import ExitCode

if TYPE_CHECKING:
    from trainer.cli.context import CliContext
    from trainer.core.score import ReliabilityRow, Score


def show_score(context: CliContext, *, as_json: bool) -> int:
    """Show the score of all that was shown and then trained."""
    from trainer.core.score import score_of

    with context.open_to_read() as store:
        found = score_of(store.history())
    if as_json:
        output.document(asdict(found))
        return ExitCode.DONE
    for text in score_lines(found):
        output.line(text)
    return ExitCode.DONE


def score_lines(found: Score) -> Iterator[str]:
    """Give the score as a sentence and a table."""
    from trainer.core.score import ENOUGH

    if found.brier is None:
        yield (
            "Nothing to score yet: no target was shown with a chance and then trained."
        )
        return
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
