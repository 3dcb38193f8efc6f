"""``trainer session --plain``: the whole session, line by line.

For screen readers, dumb terminals and logs: one appended line a phase, no cursor
movement. The same machine, sounds and log as the full screen; only the letters under
the fingers differ in how they are shown.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from trainer.cli import diagnostics, output
from trainer.cli.plain.keys import ENTER
from trainer.cli.plain.questions import ask_first_day, one_of, pass_gate
from trainer.cli.plain.session import PlainSession, keys_line
from trainer.cli.plain.signals import Asking, stop_signals
from trainer.cli.plain.terminal import Keys, NoKeys, open_keys
from trainer.core.angle.in_a_set import due_in_a_set, with_photos
from trainer.core.answers import CAUTIONS_READ
from trainer.core.cautions import as_text, one_line
from trainer.core.cues.introduction import HEARD_ANSWER, wants_introduction
from trainer.core.cues.settings import Backend
from trainer.core.session.clearance import rehearsed
from trainer.errors import DataBusyError, DataError, ExitCode
from trainer.training.answers import keep_answers
from trainer.training.runner import SessionRunner

if TYPE_CHECKING:
    from trainer.cli.context import CliContext
    from trainer.core.today import TodayView
    from trainer.store import Store
    from trainer.training.request import SessionRequest


def run_plain(context: CliContext, request: SessionRequest) -> int:
    """Lead the session that was asked for; give the exit code.

    It outlives its output: what can't be said any more is done all the same.
    """
    with output.outlived() as said:
        code = _lead(context, request)
    if said.fault is not None:
        reason = said.fault.strerror or str(said.fault)
        diagnostics.warning(
            f"What the session said could not be written any more ({reason});"
            f" it went on{'' if request.rehearse else ', and is logged'}."
        )
    return code


def _lead(context: CliContext, request: SessionRequest) -> int:
    from trainer.core.today import today_view
    from trainer.sound.opening import open_player
    from trainer.training.shown import remember_shown
    from trainer.training.start import requested_program, take_suggestions
    from trainer.training.unsaved import UnsavedFolder

    rehearse = request.rehearse
    opened = context.open_to_read if rehearse else context.open_store
    # From before the first write on: a signal that broke one off would break off what
    # it stands for. Whoever waits for a key is told at once.
    with opened() as store, stop_signals() as told, open_keys() as terminal:
        keys = terminal if isinstance(terminal, NoKeys) else Asking(terminal, told)
        if not rehearse and not store.take_lock():
            raise DataBusyError(
                f"Another session is under way on {store.path}",
                "Finish it there; adding holds and rehearsing work meanwhile",
            )
        unsaved_in = UnsavedFolder(context.paths.state)
        for sentence in unsaved_in.left_behind():
            output.line(sentence)
        now = context.clock.wall()
        if not rehearse:
            settle_unfinished(store, keys)
        read_cautions(store, keys, today=now.date().isoformat())
        asks = not isinstance(keys, NoKeys)
        if asks and not rehearse and not store.has_plan():
            given = ask_first_day(keys, store.answers(), on=now.date(), planned=False)
            keep_answers(store, given, on=now.date())
        plan, history = store.plan(now.date()), store.history()
        if not rehearse and wants_introduction(store.answers(), history):
            hear_sounds(context, store, keys)
        answers = store.answers()
        view = today_view(plan, history, today=now.date(), answers=answers)
        if view.program is not None:
            pains = view.person.open_pain
            due = due_in_a_set(store.angle_checks(), pains, answers, today=view.today)
            view = replace(view, program=with_photos(view.program, due))
        wanted = replace(requested_program(view, history, request), watches=asks)
        program = (
            rehearsed(wanted)
            if rehearse
            else pass_gate(store, keys, wanted, on=now.date(), anyway=request.anyway)
        )
        if program is None:
            output.line("Nothing was started.")
            return ExitCode.DONE
        told.obey()
        player = open_player(
            context.settings().sound,
            clock=context.clock,
            state_dir=context.paths.state,
        )
        runner = SessionRunner(
            program,
            clock=context.clock,
            player=player,
            log=None if rehearse else store,
            unsaved_in=unsaved_in,
            pace=request.speed,
        )
        try:
            introduce(view, runner, request, keys)
            if not rehearse and request.exercise is None:
                shown = [due.suggestion for due in view.due]
                remember_shown(store, shown, now=now)
                take_suggestions(store, view, now=now, led=program.program)
            return PlainSession(runner, terminal, pace=request.speed, told=told).lead()
        except DataError as error:
            raise runner.left_unsaved(error) from error
        finally:
            player.close()


def settle_unfinished(store: Store, keys: Keys) -> None:
    """Say that a hold was cut off by a crash, and ask what it was.

    Without a terminal nothing is asked: the seconds that were noted are kept.
    """
    unfinished = store.unfinished()
    if unfinished is None:
        return
    hold = unfinished.hold
    name = store.plan().brief_name(hold.exercise)
    output.line(
        f"The last session broke off in a hold: {name}, set {hold.set_number},"
        f" {hold.held_s:g} s were noted."
    )
    asked = not isinstance(keys, NoKeys)
    key = ENTER
    if asked:
        output.line("Enter keeps them, x says that it didn't happen.")
        key = one_of(keys, (ENTER, "x"))
    if key == "x":
        store.drop_unfinished()
        output.line("Taken out.")
    else:
        store.keep_unfinished(confirmed=asked)
        output.line("Kept.")


def read_cautions(store: Store, keys: Keys, *, today: str) -> None:
    """Show the cautions before the first session."""
    if store.answers().get(CAUTIONS_READ):
        return
    output.text(as_text())
    output.line()
    if isinstance(keys, NoKeys):
        return  # shown again to the first person who can say that they read them
    output.line("Enter: I have read this.")
    one_of(keys, (ENTER,))
    try:
        store.set_answer(CAUTIONS_READ, today)
    except DataError as fault:
        output.line(f"{fault.message}: the cautions will be shown again.")


def hear_sounds(context: CliContext, store: Store, keys: Keys) -> None:
    """Let the sounds of a hold be heard before the first session, if anybody is there.

    Any key leaves it there; they can be heard again by ``trainer doctor --listen``.
    """
    from trainer.sound.opening import open_player
    from trainer.sound.preview import play_introduction

    settings = context.settings().sound
    if isinstance(keys, NoKeys) or settings.backend is Backend.SILENT:
        return
    output.line("The sounds of a hold, once each; any key goes on.")
    output.flush()
    clock = context.clock
    player = open_player(settings, clock=clock, state_dir=context.paths.state)
    try:
        for said in play_introduction(
            player, clock=clock, enough=lambda seconds: bool(keys.wait(seconds))
        ):
            output.line(f"  {said}")
            output.flush()
    finally:
        player.close()
    output.line("To hear them again: trainer doctor --listen")
    try:
        store.set_answer(HEARD_ANSWER, clock.wall().date().isoformat())
    except DataError as fault:
        output.line(f"{fault.message}: the sounds will be played again.")


def introduce(
    view: TodayView, runner: SessionRunner, request: SessionRequest, keys: Keys
) -> None:
    """Say what will be led, why, and with which keys."""
    if request.rehearse:
        pace = "" if request.speed == 1 else f", {request.speed:g} times as fast"
        output.line(f"Rehearsal{pace}: nothing is logged.")
    planned = {due.exercise.id: due for due in view.due}
    sets = runner.state.program.sets
    for exercise in {one.exercise.id: one.exercise for one in sets}.values():
        mine = [one for one in sets if one.exercise.id == exercise.id]
        output.paragraph(
            f"{exercise.name}: {len(mine)} × {mine[0].target_s:g} s,"
            f" rest {mine[0].rest_s:g} s.",
            indent="",
        )
        due = planned.get(exercise.id)
        if due is not None and request.exercise is None:
            for reason in due.suggestion.reasons:
                output.paragraph(reason)
        output.paragraph(one_line(exercise))
    if not isinstance(keys, NoKeys):
        output.paragraph(keys_line(), indent="")
    output.flush()
