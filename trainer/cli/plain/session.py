"""One session led line by line: keys in, lines out, ten times a second."""

from __future__ import annotations

import signal
from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, TypeVar

from trainer.cli import output
from trainer.cli.options import parse_felt, parse_pain
from trainer.cli.plain.keys import (
    ASKED_AGAIN,
    BACKSPACE,
    ENTER,
    Line,
    Parsers,
    Typing,
    finish,
    press,
)
from trainer.cli.plain.signals import Told
from trainer.cli.plain.terminal import Keys, NoKeys
from trainer.core.cues.cues import CUES, TimedCue
from trainer.core.safety import pain_words
from trainer.core.session.answers import how_held, shown_s
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.events import (
    Answer,
    AnyKey,
    DidNotHappen,
    Effect,
    EndSession,
    Entered,
    Event,
    FalseStart,
    OverridePain,
    Ready,
    RecordHold,
    Resolve,
    Resume,
    Skip,
    SkipWarmUp,
    TakeBack,
)
from trainer.core.session.program import SessionProgram
from trainer.core.session.state import (
    NOT_YET_S,
    HoldDraft,
    PauseReason,
    Phase,
    SessionState,
)
from trainer.core.words import RPE_SCALE
from trainer.errors import DataError, ExitCode, UsageError
from trainer.training.runner import SessionRunner

if TYPE_CHECKING:
    from trainer.core.model import Felt, Pain


# The lines of the line-by-line session.


def cue_line(cue: TimedCue) -> str:
    """Give the line for a cue; empty for what the ear alone needs."""
    return CUES[cue.cue].line


def keys_line() -> str:
    """Say the keys in one line."""
    return (
        "Any key in set-up: 30 s more, g ready; in a hold: you came down. x false"
        " start or didn't happen, z undo, j skip, o to the holds, w wait, q end. After"
        " a hold: 1 to 9 and 0 for RPE, . a half, k all kept, l lost on a breath, p"
        " pain, + - or t held, f felt, n note, e feet, a the sets that pain took out,"
        " stopped by g grip s shoulder i position b breath v nerve o other."
    )


def phase_line(phase: Phase, state: SessionState, *, asks: bool) -> str:
    """Say that a phase began; ASKS: somebody can answer."""
    planned = state.set
    match phase:
        case Phase.WARM_UP:
            move = state.program.warm_up[state.move]
            return f"Warm-up: {move.name}, {move.length_s:g} s. {move.instruction}"
        case Phase.SET_UP:
            stays = "" if planned.limit_s is None else f", up to {planned.limit_s:g} s"
            first = state.program.says_first(planned)
            return (
                f"Set-up {planned.exercise.setup_s:g} s: {planned.exercise.name},"
                f" set {planned.set_number} of {planned.sets},"
                f" {planned.target_s:g} s{stays}. {first}"
            ).rstrip()
        case Phase.HOLD:
            first = state.program.says_first(planned)
            said = (first, *planned.exercise.instructions[:1])
            return " ".join(("Hold.", *filter(None, said)))
        case Phase.COME_OUT:
            return "Breathe in, then down."
        case Phase.LOG_AND_REST:
            rest_s = (state.ends_at_s or 0.0) - state.began_at_s
            asked = f" RPE? {RPE_SCALE}. All kept?" if asks else ""
            return f"Rest {rest_s:.0f} s.{asked}"
        case Phase.PAUSED:
            why = "" if state.pause is None else _PAUSED[state.pause.reason]
            return f"Paused{why}." + (" Enter goes on." if asks else "")
        case Phase.INTERRUPTED:
            return "Interrupted: nobody watched for a while." + (
                " Seconds held and enter, enter alone for those noted, x if it didn't"
                " happen."
                if asks
                else ""
            )
        case _:
            asked = f" RPE? {RPE_SCALE}. All kept? Felt? Enter leaves."
            return "Done." + (asked if asks else "")


_PAUSED = {
    PauseReason.ASKED: "",
    PauseReason.GAP: ": nobody watched for a while",
    PauseReason.NOBODY: (
        ": nobody seems to be there; x says that the last holds didn't happen"
    ),
}


def draft_line(draft: HoldDraft, program: SessionProgram) -> str:
    """Say what is logged of a hold of the program."""
    parts = [f"held {shown_s(draft.held_s)} s of {draft.target_s:g}"]
    how = how_held(draft)
    if how:
        parts.append(how)
    if draft.kept_s is not None:
        parts.append(f"kept {shown_s(draft.kept_s)} s")
    if draft.rpe is not None:
        parts.append(f"RPE {draft.rpe:g}")
    if draft.stopped_by is not None:
        parts.append(f"stopped by {draft.stopped_by}")
    parts += [pain_words(pain) for pain in draft.pain]
    parts += [f"felt {_felt_words(felt)}" for felt in draft.felt]
    if draft.feet is not None:
        parts.append(f"feet took {draft.feet}")
    if draft.note:
        parts.append(f"note: {draft.note}")
    name = next(
        one.exercise.brief_name
        for one in program.sets
        if one.exercise.id == draft.exercise
    )
    return f"  {name} {draft.set_number}: {'; '.join(parts)}"


_Parsed = TypeVar("_Parsed")


def _felt_words(felt: Felt) -> str:
    """Say where a stretch was felt, with what else was said of it."""
    strength = "" if felt.strength is None else f"{felt.strength:g}"
    said = (felt.site.words, felt.side, felt.moment, strength)
    return " ".join(each for each in said if each)


_DONE: Mapping[type[Event], str] = {
    TakeBack: "Taken back.",
    OverridePain: "Put back; that is kept with the session.",
    Skip: "Left out.",
    SkipWarmUp: "The warm-up is left out.",
    Ready: "Ready.",
    DidNotHappen: "Taken out: it counts for nothing. z takes that back.",
    FalseStart: "False start: it is set up again. z takes that back.",
}
"""What a key did, where no line of the session says it."""
_SILENT = (Typing.NOTHING, *ASKED_AGAIN)
"""Where nothing is being typed that would be shown."""
TICK_S = 0.1
AFTERWARDS_S = 3.0
"""How long the sound of the end may ring out where nobody is there (our choice)."""
HELD_DOWN_S = 0.7
"""A key that comes again this soon is held down and counts once (our choice)."""
WAITS_S = 10.0
"""How long the end waits for the data file where what isn't written is kept elsewhere
(our choice)."""
LEAVES = (ENTER, "q")


class PlainSession:
    """One session led line by line.

    Args:
        runner: the session.
        keys: where keys come from.
        pace: a rehearsal's pace.
        told: what the system tells the program, from before the first write on.
    """

    def __init__(
        self, runner: SessionRunner, keys: Keys, *, pace: float, told: Told
    ) -> None:
        self._runner, self._keys, self._told = runner, keys, told
        self._asks = not isinstance(keys, NoKeys)
        self._tick_s = TICK_S / pace
        self._line = Line()
        self._shown_s = runner.clock.now_s()
        self._last_key = ("", 0.0)
        self._left = False
        self._sheet: tuple[TimedCue, ...] = ()
        self._said: dict[int, str] = {}
        self._parsers = Parsers(_felt, _pain)
        self._lines = 0
        self._open_line = False
        """Something stands on the last line, without its end."""
        runner.watch(self._effect)

    def lead(self) -> int:
        """Lead it to its end; what was done is kept however it ends.

        Raises:
            DataError: something could not be written to the end.
        """
        runner, failed = self._runner, None
        code = ExitCode.DONE
        try:
            runner.start()
            self._to_the_end()
        except EOFError:
            code = ExitCode.INTERRUPTED
        if self._told.stop is not None:
            code = ExitCode.INTERRUPTED
        if self._told.stop is signal.SIGINT:
            # Somebody is at the keys: a hold under way was come down from.
            runner.send(EndSession())
        self._fold()
        try:
            runner.close()
        except DataError as error:
            failed = error
        if code is ExitCode.INTERRUPTED and failed is None:
            output.line("Interrupted; what was done is kept.")
        self._sum_up()
        if failed is not None:
            raise failed
        return code

    def _to_the_end(self) -> None:
        """Lead on until it is done, answered for, and written, or told to stop.

        After the last hold somebody at the keys says when it is enough; an undo may
        set the session going again. What waits to be written is waited for: for a
        while where it is kept elsewhere, else for as long as it takes.
        """
        clock = self._runner.clock
        done_at_s: float | None = None
        enough_at_s: float | None = None
        while self._told.stop is None:
            self._once(self._tick_s)
            if self._runner.state.phase is not Phase.DONE:
                done_at_s = enough_at_s = None
                continue
            now_s = clock.now_s()
            done_at_s = now_s if done_at_s is None else done_at_s
            if not (self._left if self._asks else now_s - done_at_s >= AFTERWARDS_S):
                continue
            enough_at_s = now_s if enough_at_s is None else enough_at_s
            if not self._runner.unsaved or self._gives_up(now_s - enough_at_s):
                return

    def _gives_up(self, waited_s: float) -> bool:
        kept = self._runner.kept_in is not None
        return kept and (self._runner.lost_its_file or waited_s >= WAITS_S)

    def _once(self, wait_s: float) -> None:
        output.flush()
        for key in self._keys.wait(wait_s):
            self._press(key)
        self._runner.tick()
        self._cues(self._runner.clock.now_s())
        self._sheet = cue_sheet(self._runner.state)
        self._notices()
        self._prompt()
        if not self._asks:
            self._go_on_alone()

    def _go_on_alone(self) -> None:
        """Wait for nobody where nobody can be asked: what was noted stands."""
        state = self._runner.state
        if state.phase is Phase.PAUSED:
            self._runner.send(Resume())
        elif state.phase is Phase.INTERRUPTED and state.last_hold is not None:
            self._runner.send(Resolve(state.last_hold.held_s, asked=False))

    def _press(self, key: str) -> None:
        state, now_s = self._runner.state, self._runner.clock.now_s()
        last, last_s = self._last_key
        self._last_key = (key, now_s)
        if state.phase is Phase.SET_UP and key == last and now_s - last_s < HELD_DOWN_S:
            return
        if state.phase is Phase.DONE and self._line.typing is Typing.NOTHING:
            self._left = key in LEAVES
            if self._left:
                return
        before, lines = self._line, self._lines
        pressed = press(key, state, before, self._parsers)
        self._echo(key, before, pressed.line)
        self._line = pressed.line
        for words in pressed.say:
            self._say(words)
        taken = [self._runner.send(event) for event in pressed.events]
        self._notices()
        if pressed.events and self._lines == lines:
            # No key goes unheard: where nothing else said what it did, this does.
            self._say(self._answer(pressed.events[-1], taken=taken[-1]))
        self._prompt()

    def _answer(self, event: Event, *, taken: bool) -> str:
        """Say what a key did that led to no line of its own."""
        state = self._runner.state
        if not taken:
            return "That key does nothing just now."
        if isinstance(event, AnyKey) and state.phase is Phase.SET_UP:
            left_s = (state.ends_at_s or 0.0) - self._runner.clock.now_s()
            return f"Not yet: {NOT_YET_S:.0f} s more, {max(0.0, left_s):.0f} s to go."
        if isinstance(event, Answer):
            draft = state.open_hold
            if draft is None:
                return "As it was."
            return draft_line(draft, state.program).strip()
        return _DONE.get(type(event), "Done.")

    def _say(self, words: str) -> None:
        """Write a line, apart from what is just being typed."""
        if self._open_line:
            output.line()
            self._open_line = False
        indent = words[: len(words) - len(words.lstrip(" "))]
        output.paragraph(words.lstrip(" "), indent=indent)
        self._lines += 1

    def _prompt(self) -> None:
        """Say again what is being typed where a line came between."""
        if self._line.typing in _SILENT or self._open_line:
            return
        asks = "" if self._line.picked else f"{self._line.typing.value}: "
        output.part((asks or "Number: ").rstrip())
        output.part(" ")
        if self._line.text:
            output.part(self._line.text)
        self._open_line = True

    def _echo(self, key: str, before: Line, after: Line) -> None:
        """Show what is typed; a terminal that gives single keys doesn't."""
        if before.typing in _SILENT:
            return
        if key == BACKSPACE:
            output.line()
            self._open_line = False
        elif len(key) == 1 and key.isprintable():
            output.part(key)
        if after.typing is Typing.NOTHING and self._open_line:
            output.line()
            self._open_line = False

    def _effect(self, effect: Effect) -> None:
        match effect:
            case Entered(phase=phase, at_s=at_s):
                self._cues(at_s)
                self._sheet = cue_sheet(self._runner.state)
                if phase is Phase.SET_UP:
                    self._fold()
                words = phase_line(phase, self._runner.state, asks=self._asks)
                if words:
                    self._say(words)
            case RecordHold(draft=draft) if not draft.taken_out:
                words = draft_line(draft, self._runner.state.program)
                if self._said.get(draft.serial) != words:
                    self._said[draft.serial] = words
                    self._say(words)

    def _fold(self) -> None:
        """Save what is half typed, and give up the keys."""
        self._line, events = finish(self._line, self._parsers)
        for event in events:
            self._runner.send(event)

    def _cues(self, until_s: float) -> None:
        """Write the lines of the cues that have come since the last look."""
        for cue in self._sheet:
            words = cue_line(cue)
            if words and self._shown_s < cue.at_s <= until_s:
                self._say(words)
        self._shown_s = max(self._shown_s, until_s)

    def _notices(self) -> None:
        for notice in self._runner.take_notices():
            self._say(notice)

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
