"""``trainer log``: what was done, newest first, and corrections of it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import timedelta
from typing import TYPE_CHECKING, Any

import click

from trainer.cli import options, output
from trainer.cli.context import CliContext, pass_context, usual_options, want_subcommand
from trainer.core import words
from trainer.core.safety import pain_words
from trainer.errors import ExitCode, UsageError

if TYPE_CHECKING:
    from trainer.core.model import Feet, Felt, Hold, Pain, Session, StoppedBy
    from trainer.core.plan.plan import Plan

KIND_WORDS = {
    "plan": "from the plan",
    "one-off": "one exercise",
    "test": "a test",
    "added": "added by hand",
}
CLEARABLE: dict[str, dict[str, Any]] = {
    "kept": {"kept_s": None, "lost_on_breath": None},
    "rpe": {"rpe": None},
    "stopped-by": {"stopped_by": None},
    "felt": {"felt": ()},
    "pain": {"pain": ()},
    "feet": {"feet": None},
    "note": {"note": ""},
}
"""What can be made empty again, and how it is then."""


@dataclass(frozen=True, slots=True)
class Done:
    """The holds of one exercise in one session."""

    session: Session
    exercise: str
    holds: tuple[Hold, ...]
    numbers: tuple[int, ...]


@click.group("log", invoke_without_command=True)
@usual_options
@click.pass_context
def log_command(ctx: click.Context) -> None:
    """See what was done, newest first, or correct it."""
    want_subcommand(ctx)


@log_command.command("list", epilog=options.epilog("trainer log list --weeks 4"))
@click.option(
    "--weeks",
    type=options.whole_between("weeks", 1, 5200, options.PERIODS_OFFERED),
    metavar="N",
    help="Only the last N weeks, the running one among them.",
)
@click.option("--json", "as_json", is_flag=True, help="As one JSON document.")
@usual_options
@pass_context
def list_(context: CliContext, *, weeks: int | None, as_json: bool) -> int:
    """What was done, newest first.

    Each hold has a number, by which log correct knows it. It stays the same in this
    data file.
    """
    with context.open_to_read() as store:
        plan = store.plan()
        done = list(_newest_first(store.history().sessions, store.hold_numbers()))
        exported = _exported_holds(store.export()) if as_json else {}
    if weeks is not None:
        today = context.clock.wall().date()
        monday = today - timedelta(days=today.weekday())
        since = monday - timedelta(weeks=weeks - 1)
        done = [each for each in done if each.session.local_date >= since]
    if as_json:
        output.document([_as_dict(each, exported) for each in done])
        return ExitCode.DONE
    if not done:
        output.line("No holds yet." if weeks is None else "No holds in these weeks.")
    for each in done:
        for line in _lines(each, plan):
            output.line(line)
    return ExitCode.DONE


def _newest_first(
    sessions: tuple[Session, ...], numbers: dict[str, int]
) -> Iterator[Done]:
    for session in reversed(sessions):
        for exercise in dict.fromkeys(hold.exercise for hold in session.holds):
            holds = tuple(h for h in session.holds if h.exercise == exercise)
            of_each = tuple(numbers[hold.uid] for hold in holds)
            yield Done(session, exercise, holds, of_each)


def _exported_holds(document: dict[str, Any]) -> dict[str, dict[str, Any]]:
    return {
        hold["uid"]: hold
        for session in document["sessions"]
        for hold in session["holds"]
    }


def _as_dict(done: Done, exported: dict[str, dict[str, Any]]) -> dict[str, Any]:
    return {
        "number": done.numbers[0],
        "uid": done.session.uid,
        "day": done.session.local_date.isoformat(),
        "exercise": done.exercise,
        "kind": done.session.kind.value,
        "holds": [
            {"number": number, **exported[hold.uid]}
            for number, hold in zip(done.numbers, done.holds, strict=True)
        ],
    }


def _lines(done: Done, plan: Plan) -> Iterator[str]:
    name = plan.exercise(done.exercise).name
    day = words.long_date(done.session.local_date)
    yield f"{day}  {name} ({KIND_WORDS[done.session.kind.value]})"
    for number, hold in zip(done.numbers, done.holds, strict=True):
        yield f"{number:6}  set {hold.set_number}  {hold_words(hold)}"


def hold_words(hold: Hold) -> str:
    """Return what was held in a hold, and what was said of it, in a line."""
    said = [f"{words.whole_seconds(hold.held_s)} held"]
    if hold.target_s is not None:
        said[0] += f" of {words.whole_seconds(hold.target_s)}"
    said.extend(options.answers_text(hold, seconds=words.whole_seconds))
    said.extend(f"felt {options.felt_text(felt)}" for felt in hold.felt)
    said.extend(pain_words(pain) for pain in hold.pain)
    if hold.note:
        said.append(f"“{hold.note}”")
    return ", ".join(said)


@log_command.command(
    "correct",
    epilog=options.epilog(
        "trainer log correct 17 --held 25 --rpe 9",
        "trainer log correct 17 --clear pain",
        answers=True,
    ),
)
@click.argument("number", type=options.whole_between("a number", 1, 10**9))
@click.option("--held", "held_s", type=options.SECONDS, help="Seconds held.")
@options.answers_of_a_hold
@click.option(
    "--clear",
    type=click.Choice(list(CLEARABLE)),
    multiple=True,
    help="Make this empty again. May be repeated.",
)
@usual_options
@pass_context
def correct(
    context: CliContext,
    *,
    number: int,
    held_s: float | None,
    kept_s: float | None,
    rpe: float | None,
    stopped_by: StoppedBy | None,
    felt: tuple[Felt, ...],
    pain: tuple[Pain, ...],
    feet: Feet | None,
    note: str | None,
    clear: tuple[str, ...],
) -> int:
    """Correct the hold that log list calls NUMBER; undo takes it back.

    What you leave out stays as it is. --felt and --pain replace what was there.
    """
    given: dict[str, Any] = {
        "stopped_by": stopped_by,
        "feet": feet,
        "felt": felt or None,
        "pain": pain or None,
        "note": note,
        "rpe": rpe,
    }
    changes = {key: value for key, value in given.items() if value is not None}
    for word in clear:
        changes |= CLEARABLE[word]
    if held_s is None and kept_s is None and not changes:
        raise UsageError(
            "There is nothing to correct", "Say what: --held, --kept, --rpe, --felt …"
        )
    with context.open_store() as store:
        uid = next((u for u, n in store.hold_numbers().items() if n == number), None)
        before = store.hold(uid) if uid is not None else None
        if before is None:
            raise UsageError(
                f"There is no hold {number}", "trainer log list shows them all"
            )
        after = corrected(before, held_s=held_s, kept_s=kept_s, changes=changes)
        if after == before:
            output.line(f"Hold {number} was so already: {hold_words(before)}.")
            return ExitCode.DONE
        store.correct_hold(after)
    output.line(f"Was: {hold_words(before)}.")
    output.line(f"Now: {hold_words(after)}.")
    return ExitCode.DONE


def corrected(
    hold: Hold,
    *,
    held_s: float | None,
    kept_s: float | None,
    changes: dict[str, Any],
) -> Hold:
    """Return the hold with what was given; lowering held lowers kept with it.

    Raises:
        UsageError: more kept than held, or feet in an exercise that takes none.
    """
    from trainer.core.logbook import with_held

    if changes.get("feet") is not None and hold.exercise != "hang-supported":
        raise UsageError("--feet goes with hang-supported", "Leave it out")
    if held_s is not None:
        hold = with_held(hold, held_s)
    if kept_s is not None:
        if kept_s > hold.held_s:
            raise UsageError(
                f"--kept {kept_s:g} is more than the {hold.held_s:g} s held",
                "The position can't be kept for longer than the hold",
            )
        hold = replace(hold, kept_s=kept_s, lost_on_breath=None)
    return replace(hold, **changes, confirmed=True)
