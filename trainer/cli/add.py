"""``trainer add`` and ``trainer undo``: the log by hand."""

from __future__ import annotations

from datetime import date, datetime, time, timezone
from uuid import uuid4

import click

from trainer.cli import diagnostics, options, output
from trainer.cli.context import CliContext, confirmed, pass_context, usual_options
from trainer.core import words
from trainer.core.clock import local_moment
from trainer.core.logbook import NOON
from trainer.core.model import EndedBy, Feet, Felt, Hold, Pain, StoppedBy
from trainer.core.safety import pain_words
from trainer.errors import ExitCode, UsageError


@click.command(
    "add",
    epilog=options.epilog(
        "trainer add hang --held 42 --target 40 --rpe 8 --felt lats:left@exhale=6",
        "trainer add press-pike --held 20 --pain wrist:left --on 2026-03-02T18:30",
        exercises=True,
        answers=True,
    ),
)
@click.argument("exercise", shell_complete=options.complete_exercise)
@click.option(
    "--held", "held_s", type=options.SECONDS, required=True, help="Seconds held."
)
@click.option("--target", "target_s", type=options.TARGET, help="Seconds planned.")
@options.answers_of_a_hold
@click.option("--on", "when", type=options.DAY, metavar="DATE[THH:MM]", help="When.")
@usual_options
@pass_context
def add_command(
    context: CliContext,
    *,
    exercise: str,
    held_s: float,
    target_s: float | None,
    kept_s: float | None,
    rpe: float | None,
    stopped_by: StoppedBy | None,
    felt: tuple[Felt, ...],
    pain: tuple[Pain, ...],
    feet: Feet | None,
    note: str | None,
    when: tuple[date, time | None] | None,
) -> int:
    """Log a hold done without the program.

    It joins the session of its day that lies within two hours, else it begins one.
    What you leave out stays empty.
    """
    if kept_s is not None and kept_s > held_s:
        raise UsageError(
            f"--kept {kept_s:g} is more than --held {held_s:g}",
            "The position can't be kept for longer than the hold",
        )
    now = context.clock.wall()
    at, has_time = now, True
    if when is not None:
        options.not_in_the_future(*when, now=now)
        at, has_time = _local(*when), when[1] is not None
        options.say_if_left_out(when[0])
    with context.open_store() as store:
        plan = store.plan()
        ident = options.known_exercise(exercise, plan.known_ids())
        if feet is not None and ident != "hang-supported":
            raise UsageError("--feet goes with hang-supported", "Leave it out")
        hold = Hold(
            uid=str(uuid4()),
            exercise=ident,
            set_number=1,
            held_s=held_s,
            target_s=target_s,
            kept_s=kept_s,
            ended_by=EndedBy.ADDED,
            started_at=at.astimezone(timezone.utc),
            stopped_by=stopped_by,
            confirmed=True,
            rpe=rpe,
            pain=pain,
            felt=felt,
            feet=feet,
            note=note or "",
        )
        store.add_hold(hold, at=at, has_time=has_time)
    for text in _taken(hold, plan.brief_name(ident), at.date()):
        output.line(text)
    if pain:
        diagnostics.warning(
            "pain is never a stretch. No target that loads it will rise for now; where"
            " it comes back or stays, ask a clinician."
        )
    return ExitCode.DONE


def _taken(hold: Hold, called: str, on: date) -> list[str]:
    """Repeat all that was taken, so that a slip is seen at once."""
    said = [f"Logged: {called}, {words.seconds(hold.held_s)} held"]
    if hold.target_s is not None:
        said.append(f"target {words.seconds(hold.target_s)}")
    said.extend(options.answers_text(hold, seconds=words.seconds))
    lines = [f"{', '.join(said)}, on {words.day(on)}."]
    if hold.felt:
        lines.append(
            f"Felt: {'; '.join(options.felt_text(felt) for felt in hold.felt)}."
        )
    if hold.pain:
        lines.append(f"Pain: {'; '.join(pain_words(pain) for pain in hold.pain)}.")
    if hold.note:
        lines.append(f"Note: {hold.note}")
    return lines


def _local(day: date, at: time | None) -> datetime:
    """Return a day's time with the offset that it had here then."""
    return local_moment(day, at or NOON)


@click.command("undo", epilog=options.epilog("trainer undo"))
@click.option("--yes", is_flag=True, help="Don't ask.")
@usual_options
@pass_context
def undo_command(context: CliContext, *, yes: bool) -> int:
    """Take back the last thing logged.

    A hold, a target that was set, a change of the plan, a rest week or an angle check:
    whatever came last.
    Undo again for the one before it.
    """
    with context.open_store() as store:
        last = store.last_logged()
        if last is None:
            output.line("There is nothing to take back.")
            return ExitCode.DONE
        if not confirmed(
            f"Take back {last.sentence}?",
            yes=yes,
            unasked=f"The last thing logged is {last.sentence}; it was left as it is",
        ):
            output.line("Left as it is.")
            return ExitCode.DONE
        store.take_back(last)
    output.line(f"Taken back: {last.sentence}.")
    return ExitCode.DONE
