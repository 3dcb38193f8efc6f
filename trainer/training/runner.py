"""Carries a session out: the machine's effects into the log and the loudspeaker.

The full-screen program and the line-by-line one both lead a session through this. It
owns no thread and no timer: whoever owns one calls ``tick`` about ten times a second,
and ``send`` for what a person does. A call that comes late loses nothing, for the
machine works by deadlines and the sound was handed over ahead of time.
"""

from __future__ import annotations

import uuid
from collections.abc import Callable, Mapping, Sequence
from dataclasses import fields, replace
from datetime import datetime, timedelta, timezone
from pathlib import Path
from typing import Protocol

from trainer.core import clock as gaps
from trainer.core.clock import Clock, PacedClock
from trainer.core.cues.cues import TimedCue
from trainer.core.cues.timeline import paced
from trainer.core.model import Hold, Session
from trainer.core.session.clearance import Cleared, put_back
from trainer.core.session.cue_sheet import cue_sheet
from trainer.core.session.document import session_document
from trainer.core.session.events import (
    DropJournal,
    Effect,
    Event,
    Finished,
    Gap,
    IllegalEventError,
    Journal,
    RecordHold,
    Said,
    Start,
    TakeOutHold,
    Tick,
)
from trainer.core.session.machine import begin, step
from trainer.core.session.state import HoldDraft, Phase
from trainer.errors import DataError, DataGoneError, DataWriteError
from trainer.settings.zone import zone_name
from trainer.training.writer import PatientWriter

# What a session needs of the sound and of the data file, whoever provides it.


class Player(Protocol):
    """What a session needs of the sound."""

    def play(self, sheet: Sequence[TimedCue]) -> None:
        """Let SHEET be what is heard from now on; times on the monotonic clock."""

    def poll(self) -> tuple[str, ...]:
        """Look after the sound; give sentences for the person, each once."""


class SessionLog(Protocol):
    """What a session needs of the data file."""

    def begin_session(self, session: Session) -> None:
        """Write a session down."""

    def end_session(self, uid: str, *, ended_at: datetime) -> None:
        """Note when it ended."""

    def take_out_session(self, uid: str) -> None:
        """Let a session in which nothing was held leave no trace."""

    def save_hold(self, session_uid: str, hold: Hold) -> None:
        """Write a hold down, or over its earlier version."""

    def take_out_hold(self, uid: str) -> None:
        """Let a hold count for nothing; it can be put back."""

    def put_back_hold(self, uid: str) -> None:
        """Let a hold that was taken out count again."""

    def journal(self, session_uid: str, hold: Hold) -> None:
        """Note how far the hold under way has come."""

    def drop_unfinished(self) -> None:
        """Forget the hold under way."""

    def look_after(self) -> None:
        """Make sure that the file is still there, and bring it to rest."""


class Unsaved(Protocol):
    """What a session needs where the data file doesn't take it."""

    def keep(self, uid: str, document: Mapping[str, object]) -> Path | None:
        """Keep a session as it stands now; give the file, None where that fails."""

    def drop(self, uid: str) -> None:
        """Keep it no longer: the data file has it."""


_SAME = frozenset(field.name for field in fields(Hold)) & frozenset(
    HoldDraft.__dataclass_fields__
)
"""What a draft and a hold both know, under the same names."""
LOOK_AFTER_EVERY_S = 1.0
"""How often the data file is looked at while a session runs (our choice)."""


class SessionRunner:
    """One session, under way.

    Args:
        cleared: what it leads, past the gate.
        clock: the real clock; a rehearsal's pace is made here.
        player: the sound, opened and closed by whoever made it.
        log: the data file, or None for a rehearsal: then nothing is written.
        unsaved_in: keeps what the data file doesn't take.
        pace: how many times as fast a rehearsal runs.
        new_uid: makes the unique ids.
    """

    def __init__(
        self,
        cleared: Cleared,
        *,
        clock: Clock,
        player: Player,
        log: SessionLog | None,
        unsaved_in: Unsaved | None = None,
        pace: float = 1.0,
        new_uid: Callable[[], str] = lambda: str(uuid.uuid4()),
    ) -> None:
        if cleared.rehearsal and log is not None:
            raise ValueError("a rehearsal is not logged")
        program = cleared.program
        self._paced = PacedClock(clock, pace, clock.now_s()) if pace != 1 else None
        self.clock: Clock = self._paced or clock
        # Nobody need be there for a rehearsal.
        watches = program.watches and log is not None
        self.state = begin(replace(program, watches=watches))
        self.session_uid = new_uid()
        self.rehearsal = log is None
        self._player, self._log, self._unsaved_in = player, log, unsaved_in
        self._overrides = cleared.overrides
        self._overrides_kept = cleared.overrides
        self._due: list[Effect] = []
        self._under_way: HoldDraft | None = None
        self._kept_in: Path | None = None
        self._said: tuple[bool, Path | None] = (False, None)
        self._looked_after_s = -LOOK_AFTER_EVERY_S
        self._new_uid = new_uid
        self._watchers: list[Callable[[Effect], None]] = []
        self._uids: dict[int, str] = {}
        self._began: dict[int, datetime] = {}
        self._taken_out: set[int] = set()
        self._recorded: dict[int, HoldDraft] = {}
        self._writer = PatientWriter()
        self._begun = False
        self._heard: tuple[tuple[float, str, float], ...] = ()
        self._notices: list[str] = []
        self._watch = self._looked()
        self._slept_s = 0.0
        self._stepped_s = self.clock.now_s()
        self._started_at_s = 0.0
        self._started_wall = self.clock.wall()

    @property
    def unsaved(self) -> int:
        """How many writes wait for the data file to be writable again."""
        return self._writer.waiting

    @property
    def kept_in(self) -> Path | None:
        """The file that has what the data file doesn't take; None: there is none."""
        return self._kept_in

    @property
    def lost_its_file(self) -> bool:
        """Whether the data file is gone for good: there is nothing to wait for."""
        return isinstance(self._writer.fault, DataGoneError)

    def watch(self, watcher: Callable[[Effect], None]) -> None:
        """Have WATCHER told of every effect after it was carried out."""
        self._watchers.append(watcher)

    def start(self) -> None:
        """Begin: from here on no key is needed."""
        self._started_at_s = self.clock.now_s()
        self._started_wall = self.clock.wall()
        self._watch = self._looked()
        self.send(Start())

    def tick(self) -> None:
        """Let the time that has passed have its effect."""
        self._look_for_gap()
        self._step(Tick())
        self._notices.extend(self._player.poll())
        self._writer.retry(self.clock.now_s())
        self._look_after()
        self._keep_if_need_be()

    def send(self, event: Event, *, at_s: float | None = None) -> bool:
        """Let a person's event happen; tell whether it was taken.

        What can't be is said through ``take_notices``, and changes nothing.

        Args:
            event: what happened.
            at_s: when, on the real monotonic clock, where that is known better than
                by the call: a key waits while a slow disk holds the screen up.
        """
        self._look_for_gap()
        try:
            self._step(event, at_s=at_s)
        except IllegalEventError:
            return False
        except ValueError as error:
            self._notices.append(str(error))
            return False
        return True

    def take_notices(self) -> tuple[str, ...]:
        """Give the sentences for the person that came up since the last call."""
        notices, self._notices = tuple(self._notices), []
        return notices

    def hold_uid(self, draft: HoldDraft) -> str:
        """Give the unique id under which a draft is logged."""
        return self._uids.setdefault(draft.serial, self._new_uid())

    def close(self) -> None:
        """Leave the session as it is: what was done is written, a hold under way
        stays in the journal, so that the next start can offer to keep it.

        Raises:
            DataError: something could not be written even now; ``kept_in`` has it,
                unless that is None: then nothing but this program has.
        """
        self._carry_out_due()
        self._player.play(())
        if self._begun and self.state.phase is not Phase.HOLD:
            if self.state.phase is not Phase.DONE:
                self._end_session(self.clock.now_s())
            if not self.state.kept_holds:
                uid = self.session_uid
                self._write(lambda log: log.take_out_session(uid))
        try:
            self._writer.flush()
        finally:
            self._keep_if_need_be()

    def left_unsaved(self, fault: DataError) -> DataError:
        """Say of a session that was left where that is which the log didn't take."""
        if not self.unsaved:
            return fault
        if self.kept_in is None:
            hint = "It could be kept nowhere else either: what was not saved is lost"
        else:
            hint = f"It is kept in {self.kept_in}: trainer data import takes it"
        return DataWriteError(
            f"The session is not all in the data file. {fault.message}", hint
        )

    def document(self) -> dict[str, object]:
        """Give the whole session as a document that ``trainer data import`` takes.

        With the hold under way, as far as it has come: a crash would end it there.
        """
        kept = [self._hold(draft) for draft in self.state.kept_holds]
        if self._under_way is not None:
            kept.append(self._hold(self._under_way))
        # As they were written: the state may know nothing of them any more.
        gone = [self._recorded[serial] for serial in sorted(self._taken_out)]
        return session_document(
            self._session(tuple(kept)),
            taken_out=[self._hold(draft) for draft in gone],
            changed_at=max(self._wall_at(self.clock.now_s()), self.clock.wall()),
        )

    # -- time -------------------------------------------------------------------------

    def _looked(self) -> gaps.Watch:
        return gaps.Watch(self.clock.now_s(), self.clock.awake_and_asleep_s())

    def _look_for_gap(self) -> None:
        looked = self._looked()
        self._watch, unwatched = gaps.look(
            self._watch, now_s=looked.seen_s, counted_s=looked.counted_s
        )
        if unwatched is not None and self._paced is None:
            self._slept_s += unwatched.slept_s
            self._step(Gap(unwatched.since_s))

    def _wall_at(self, at_s: float) -> datetime:
        """The date and time of a moment: the start's, and what passed since.

        So a wall clock that is set while a session runs changes nothing.
        """
        passed_s = at_s - self._started_at_s + self._slept_s
        started = self._started_wall.astimezone(timezone.utc)
        return started + timedelta(seconds=passed_s)

    # -- effects ----------------------------------------------------------------------

    def _step(self, event: Event, *, at_s: float | None = None) -> None:
        before, now_s = self.state, self.clock.now_s()
        if at_s is not None and self._paced is None:
            now_s = max(self._stepped_s, min(now_s, at_s))
        after, effects = step(before, event, now_s)
        # Owed before the state says that they were: whatever interrupts this, the next
        # step or the end carries them out.
        self._due.extend(effects)
        self.state = after
        self._stepped_s = now_s
        self._keep_overrides()
        self._carry_out_due()
        for effect in effects:
            for watcher in self._watchers:
                watcher(effect)
        if self.state is not before:
            self._sound()

    def _carry_out_due(self) -> None:
        """Carry out what is owed; done twice is done once, so it goes only after."""
        while self._due:
            self._carry_out(self._due[0])
            del self._due[0]

    def _carry_out(self, effect: Effect) -> None:
        match effect:
            case RecordHold(draft=draft):
                self._under_way = None
                self._record(draft)
            case TakeOutHold(serial=serial):
                self._taken_out.add(serial)
                uid = self._uids[serial]
                self._write(lambda log: log.take_out_hold(uid))
            case Journal(draft=draft):
                hold, session = self._hold(draft), self.session_uid
                self._under_way = draft
                self._begin_session()
                self._write(lambda log: log.journal(session, hold), keep=False)
            case DropJournal() if self._begun:
                self._under_way = None
                self._write(lambda log: log.drop_unfinished())
            case Said(text=text):
                self._notices.append(text)
            case Finished(at_s=at_s) if self._begun:
                self._end_session(at_s)

    def _record(self, draft: HoldDraft) -> None:
        hold, session = self._hold(draft), self.session_uid
        self._recorded[draft.serial] = draft
        self._begin_session()
        if draft.serial in self._taken_out:
            self._taken_out.discard(draft.serial)
            self._write(lambda log: log.put_back_hold(hold.uid))
        self._write(lambda log: log.save_hold(session, hold))

    def _hold(self, draft: HoldDraft) -> Hold:
        same = {name: getattr(draft, name) for name in _SAME}
        # Taken once: a sleep that comes after it must not move it.
        began = self._began.setdefault(draft.serial, self._wall_at(draft.began_at_s))
        return Hold(uid=self.hold_uid(draft), started_at=began, **same)

    def _begin_session(self) -> None:
        """Write the session down with its first hold, not before: a session in which
        nothing was held leaves no trace."""
        if self._begun:
            return
        self._begun = True
        session = self._session(())
        self._write(lambda log: log.begin_session(session))

    def _keep_overrides(self) -> None:
        """Write the session anew where sets came back after pain, or went again."""
        back = put_back(
            self.state.program, self.state.kept_holds, on=self._started_wall.date()
        )
        overrides = (*self._overrides, *back)
        if overrides == self._overrides_kept:
            return
        self._overrides_kept = overrides
        if self._begun:
            session = self._session(())
            self._write(lambda log: log.begin_session(session))

    def _session(self, holds: tuple[Hold, ...]) -> Session:
        wall = self._started_wall
        offset = wall.utcoffset() or timedelta()
        return Session(
            uid=self.session_uid,
            kind=self.state.program.kind,
            started_at=wall.astimezone(timezone.utc),
            utc_offset_min=int(offset.total_seconds() // 60),
            local_date=wall.date(),
            zone=zone_name(wall),
            planned=self.state.program.planned,
            holds=holds,
            overrides=self._overrides_kept,
        )

    def _end_session(self, at_s: float) -> None:
        uid, ended_at = self.session_uid, self._wall_at(at_s)
        self._write(lambda log: log.end_session(uid, ended_at=ended_at))

    def _write(self, write: Callable[[SessionLog], None], *, keep: bool = True) -> None:
        log = self._log
        if log is not None:
            self._writer.write(lambda: write(log), keep=keep, now_s=self.clock.now_s())
            self._keep_if_need_be()

    def _look_after(self) -> None:
        """See once a second whether the data file is still there, and let it settle."""
        now_s = self.clock.now_s()
        if self._begun and now_s - self._looked_after_s >= LOOK_AFTER_EVERY_S:
            self._looked_after_s = now_s
            self._write(lambda log: log.look_after(), keep=False)

    def _keep_if_need_be(self) -> None:
        """Keep the session beside the log while that doesn't take it, and say so."""
        fault = self._writer.fault
        if fault is not None:
            self._kept_in = self.keep_beside()
        elif self._kept_in is not None and self._unsaved_in is not None:
            self._unsaved_in.drop(self.session_uid)
            self._kept_in = None
        now = (fault is not None, self._kept_in)
        if now != self._said:
            self._said = now
            self._notices.append(self._about_keeping(fault))

    def keep_beside(self) -> Path | None:
        """Write the session, as it stands, into a file of its own; None: it failed."""
        if self._unsaved_in is None:
            return None
        return self._unsaved_in.keep(self.session_uid, self.document())

    def _about_keeping(self, fault: DataError | None) -> str:
        if fault is None:
            return "The data file can be written again; all is saved."
        # What a person has to know first: a small screen cuts the rest off.
        if self._kept_in is None:
            return (
                "What was done is only in this program's memory now, and lost if it"
                f" ends. It is tried again each second. {fault}"
            )
        if isinstance(fault, DataGoneError):
            return (
                f"The whole session is kept in {self._kept_in}: trainer data import"
                f" takes it. {fault}"
            )
        return (
            f"What was done is kept in {self._kept_in} meanwhile, and tried again each"
            f" second. {fault}"
        )

    def _sound(self) -> None:
        """Hand the sheet over where what is still to come differs from before."""
        now_s = self.clock.now_s()
        sheet = cue_sheet(self.state)
        coming = tuple(
            (round(cue.at_s, 3), cue.cue.value, round(cue.length_s, 3))
            for cue in sheet
            if cue.at_s > now_s
        )
        known = tuple(heard for heard in self._heard if heard[0] > now_s)
        self._heard = coming
        if coming == known and self.state.phase is not Phase.PAUSED:
            return
        self._player.play(self._on_real_clock(sheet))

    def _on_real_clock(self, sheet: Sequence[TimedCue]) -> tuple[TimedCue, ...]:
        clock = self._paced
        if clock is None:
            return tuple(sheet)
        shifted = [cue.moved(-clock.origin_s) for cue in sheet]
        return tuple(cue.moved(clock.origin_s) for cue in paced(shifted, clock.pace))
