"""``trainer session --plain``: the whole session, line by line.

For screen readers, dumb terminals and logs: one appended line a phase, no cursor
movement. The same machine, sounds and log as the full screen; only the letters under
the fingers differ in how they are shown.
"""

from __future__ import annotations

import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import replace
from types import FrameType
from typing import TYPE_CHECKING, TypeVar

from trainer.cli import output
from trainer.cli.keys import Keys, NoKeys, open_keys
from trainer.cli.options import parse_felt, parse_pain
from trainer.cli.plain_words import cue_line, draft_line, keys_line, phase_line
from trainer.core.cautions import READ_ANSWER, as_text, one_line
from trainer.core.cues import TimedCue
from trainer.core.line_keys import ENTER, Line, Parsers, finish_at_set_up, press
from trainer.core.session_events import Effect, EndSession, Entered, RecordHold
from trainer.core.session_sound import cue_sheet
from trainer.core.session_state import Phase
from trainer.errors import DataBusyError, ExitCode, UsageError
from trainer.runner import SessionRunner

if TYPE_CHECKING:
    from trainer.cli.context import CliContext
    from trainer.core.model import Felt, Pain
    from trainer.request import SessionRequest
    from trainer.store import Store
    from trainer.training import TodayView

_Parsed = TypeVar("_Parsed")

TICK_S = 0.1
AFTERWARDS_S = 3.0
"""How long the sound of the end may ring out (our choice)."""


class Stopped(BaseException):
    """The system asked the program to end: not an error, and not to be swallowed."""


def run_plain(context: CliContext, request: SessionRequest) -> int:
    """Lead the session that was asked for; give the exit code."""
    from trainer import training
    from trainer.sound.player import open_player

    with context.open_store() as store, open_keys() as keys:
        rehearse = request.rehearse
        if not rehearse and not store.take_lock():
            raise DataBusyError(
                f"Another session is under way on {store.path}",
                "Finish it there; adding holds and rehearsing work meanwhile",
            )
        now = context.clock.wall()
        if not rehearse:
            settle_unfinished(store, keys)
        read_cautions(store, keys, today=now.date().isoformat())
        plan, history = store.plan(now.date()), store.history()
        view = training.today_view(
            plan, history, today=now.date(), answers=store.answers()
        )
        asks = not isinstance(keys, NoKeys)
        program = replace(
            training.requested_program(view, history, request), watches=asks
        )
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
            pace=request.speed,
        )
        try:
            introduce(view, runner, request)
            if not rehearse and request.exercise is None:
                training.take_suggestions(store, view, now=now)
            return PlainSession(runner, keys, pace=request.speed).lead()
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
    output.line(
        f"The last session broke off in a hold: {hold.exercise}, set"
        f" {hold.set_number}, {hold.held_s:g} s were noted."
    )
    key = ENTER
    if not isinstance(keys, NoKeys):
        output.line("Enter keeps them, x says that it didn't happen.")
        key = one_of(keys, (ENTER, "x"))
    if key == "x":
        store.drop_unfinished()
        output.line("Taken out.")
    else:
        store.keep_unfinished()
        output.line("Kept.")


def read_cautions(store: Store, keys: Keys, *, today: str) -> None:
    """Show the cautions before the first session."""
    if store.answers().get(READ_ANSWER):
        return
    output.text(as_text())
    output.line()
    if not isinstance(keys, NoKeys):
        output.line("Enter: I have read this.")
        one_of(keys, (ENTER,))
    store.set_answer(READ_ANSWER, today)


def one_of(keys: Keys, wanted: tuple[str, ...]) -> str:
    """Wait for one of these keys."""
    output.flush()
    while True:
        for key in keys.wait(1.0):
            if key in wanted:
                return key


def introduce(view: TodayView, runner: SessionRunner, request: SessionRequest) -> None:
    """Say what will be led, why, and with which keys."""
    if request.rehearse:
        pace = "" if request.speed == 1 else f", {request.speed:g} times as fast"
        output.line(f"Rehearsal{pace}: nothing is logged.")
    planned = {due.exercise.id: due for due in view.due}
    sets = runner.state.program.sets
    for exercise in {one.exercise.id: one.exercise for one in sets}.values():
        mine = [one for one in sets if one.exercise.id == exercise.id]
        output.line(
            f"{exercise.name}: {len(mine)} × {mine[0].target_s:g} s,"
            f" rest {mine[0].rest_s:g} s."
        )
        due = planned.get(exercise.id)
        if due is not None and request.exercise is None:
            for reason in due.suggestion.reasons:
                output.line(f"  {reason}")
        output.line(f"  {one_line(exercise)}")
    output.line(keys_line())
    output.flush()


class PlainSession:
    """One session led line by line.

    Args:
        runner: the session.
        keys: where keys come from.
        pace: a rehearsal's pace.
    """

    def __init__(self, runner: SessionRunner, keys: Keys, *, pace: float) -> None:
        self._runner, self._keys = runner, keys
        self._tick_s = TICK_S / pace
        self._line = Line()
        self._shown_s = runner.clock.now_s()
        self._sheet: tuple[TimedCue, ...] = ()
        self._said: dict[int, str] = {}
        self._parsers = Parsers(_felt, _pain)
        runner.watch(self._effect)

    def lead(self) -> int:
        """Lead it to its end; what was done is kept however it ends.

        The lines written while waiting are flushed before each wait.
        """
        runner = self._runner
        code = ExitCode.DONE
        with _stop_signals():
            try:
                runner.start()
                while runner.state.phase is not Phase.DONE:
                    self._once(self._tick_s)
                self._ring_out()
            except KeyboardInterrupt:
                # Somebody is at the keys: a hold under way was come down from.
                runner.send(EndSession())
                code = ExitCode.INTERRUPTED
            except Stopped:
                code = ExitCode.INTERRUPTED
            finally:
                runner.close()
        if code is ExitCode.INTERRUPTED:
            output.line("Interrupted; what was done is kept.")
        self._sum_up()
        return code

    def _once(self, wait_s: float) -> None:
        output.flush()
        for key in self._keys.wait(wait_s):
            self._press(key)
        self._runner.tick()
        self._cues(self._runner.clock.now_s())
        self._sheet = cue_sheet(self._runner.state)
        self._notices()

    def _press(self, key: str) -> None:
        pressed = press(key, self._runner.state, self._line, self._parsers)
        self._line = pressed.line
        if pressed.say:
            output.line(pressed.say)
        for event in pressed.events:
            self._runner.send(event)

    def _effect(self, effect: Effect) -> None:
        match effect:
            case Entered(phase=phase, at_s=at_s):
                self._cues(at_s)
                self._sheet = cue_sheet(self._runner.state)
                if phase is Phase.SET_UP:
                    self._line, events = finish_at_set_up(self._line)
                    for event in events:
                        self._runner.send(event)
                output.line(phase_line(phase, self._runner.state))
            case RecordHold(draft=draft) if not draft.taken_out:
                words = draft_line(draft)
                if self._said.get(draft.serial) != words:
                    self._said[draft.serial] = words
                    output.line(words)

    def _cues(self, until_s: float) -> None:
        """Write the lines of the cues that have come since the last look."""
        for cue in self._sheet:
            words = cue_line(cue)
            if words and self._shown_s < cue.at_s <= until_s:
                output.line(words)
        self._shown_s = max(self._shown_s, until_s)

    def _notices(self) -> None:
        for notice in self._runner.take_notices():
            output.line(notice)

    def _ring_out(self) -> None:
        """Let the last sound be heard, and the last hold be answered for."""
        ticks = int(AFTERWARDS_S / TICK_S)
        for _ in range(ticks):
            self._once(self._tick_s)

    def _sum_up(self) -> None:
        self._notices()
        holds = self._runner.state.kept_holds
        total_s = sum(draft.held_s for draft in holds)
        count = "1 hold" if len(holds) == 1 else f"{len(holds)} holds"
        kept = "" if not self._runner.rehearsal else " Nothing was logged."
        output.line(f"{count}, {int(total_s)} s in all.{kept}")
        output.flush()


def _felt(text: str) -> Felt:
    return _parsed(parse_felt, text)


def _pain(text: str) -> Pain:
    return _parsed(parse_pain, text)


def _parsed(parse: Callable[[str], _Parsed], text: str) -> _Parsed:
    try:
        return parse(text)
    except UsageError as error:
        raise ValueError(str(error)) from None


@contextmanager
def _stop_signals() -> Iterator[None]:
    """Turn the system's stop signals into an end that keeps what was done."""

    def stop(_number: int, _frame: FrameType | None) -> None:
        raise Stopped

    names = ("SIGTERM", "SIGHUP")
    numbers = [getattr(signal, name) for name in names if hasattr(signal, name)]
    before = [signal.signal(number, stop) for number in numbers]
    try:
        yield
    finally:
        for number, handler in zip(numbers, before, strict=True):
            signal.signal(number, handler)
