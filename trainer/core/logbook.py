"""Rules of the logbook: which session a hold joins, what a correction changes.

Pure; the store asks them and writes down what they say.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, fields, replace
from datetime import date, datetime, time, timedelta
from enum import StrEnum
from typing import Any

from trainer.core.model import Felt, Hold, Pain, Session

JOINS_WITHIN = timedelta(hours=2)
"""A hold added by hand joins a session of its day this near (our choice)."""
NOON = time(12, 0)
"""The time of a hold of which only the day is known (our choice)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class UnfinishedHold:
    """A hold that was under way when the program ended without saving it."""

    session_uid: str
    hold: Hold
    """Held as far as it was journaled; ``ended_by`` is ``crash``."""
    journaled_at: datetime


class LoggedKind(StrEnum):
    """What can be taken back."""

    HOLD = "hold"
    SESSION = "session"
    TARGET = "target"
    REST_WEEK = "rest-week"
    PLAN = "plan"
    ANGLE_CHECK = "angle-check"
    CORRECTION = "correction"
    ANGLE_CORRECTION = "angle-correction"


@dataclass(frozen=True, slots=True, kw_only=True)
class Logged:
    """One thing that was logged, as ``undo`` offers to take it back."""

    kind: LoggedKind
    uid: str
    sentence: str
    """For people, without its full stop: ``hang, 30 s held, on 2026-03-02``."""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImportReport:
    """What an import did, counted in rows of every kind."""

    added: int = 0
    updated: int = 0
    unchanged: int = 0
    sessions_added: int = 0
    holds_added: int = 0

    @property
    def changed(self) -> bool:
        """Whether anything is different now."""
        return bool(self.added or self.updated)


@dataclass(frozen=True, slots=True)
class Correction:
    """One figure of a hold that was changed."""

    what: str
    before: Any
    """A plain value that JSON can hold."""
    after: Any


def session_to_join(
    sessions: Sequence[Session], *, at: datetime, has_time: bool
) -> Session | None:
    """Say which session a hold added by hand belongs to; None: it begins one.

    Args:
        sessions: the sessions of the same local day.
        at: the local time of the hold; a day's noon where only the day is known.
        has_time: whether the time was given, or the day alone.
    """
    if not has_time and len(sessions) == 1:
        return sessions[0]
    near = [
        (away, session.started_at, session)
        for session in sessions
        if (away := _away(session, at)) <= JOINS_WITHIN
    ]
    return min(near, key=lambda item: item[:2])[2] if near else None


def _away(session: Session, at: datetime) -> timedelta:
    """Give how far AT lies outside the session; nothing, inside it."""
    begin, end = session.started_at, session_end(session)
    if at < begin:
        return begin - at
    return max(at - end, timedelta())


def session_end(session: Session) -> datetime:
    """Give when the session ended, as far as its figures say."""
    ends = [session.started_at, *(hold_end(hold) for hold in session.holds)]
    if session.ended_at is not None:
        ends.append(session.ended_at)
    return max(ends)


def hold_end(hold: Hold) -> datetime:
    """Give when the hold ended."""
    return hold.started_at + timedelta(seconds=hold.held_s)


def next_set_number(holds: Iterable[Hold], exercise: str) -> int:
    """Give the number of the next set of EXERCISE in a session with these holds."""
    return max((h.set_number for h in holds if h.exercise == exercise), default=0) + 1


def noon_of(at: datetime) -> datetime:
    """Give noon of the same local day."""
    return datetime.combine(at.date(), NOON, tzinfo=at.tzinfo)


def time_on_day(at: datetime, *, now: datetime) -> datetime:
    """Give a time of AT's local day that has come: its noon, or NOW if that is to come.

    A day that lies ahead as a whole keeps its noon.
    """
    noon = noon_of(at)
    local = now.astimezone(at.tzinfo)
    return local if local.date() == at.date() and local < noon else noon


def with_held(hold: Hold, held_s: float) -> Hold:
    """Give the hold with another held; lowering it lowers kept with it."""
    kept_s = None if hold.kept_s is None else min(hold.kept_s, held_s)
    return replace(hold, held_s=held_s, kept_s=kept_s)


def corrections(before: Hold, after: Hold) -> tuple[Correction, ...]:
    """List every figure that differs between two states of one hold."""
    found = []
    for each in fields(Hold):
        old, new = getattr(before, each.name), getattr(after, each.name)
        if old != new:
            found.append(Correction(each.name, _plain(old), _plain(new)))
    return tuple(found)


def _plain(value: Any) -> Any:
    """Give a value of a hold as JSON can hold it."""
    if isinstance(value, date):  # a datetime is one too
        return value.isoformat()
    if isinstance(value, StrEnum):
        return value.value
    if isinstance(value, Felt | Pain):
        return {each.name: _plain(getattr(value, each.name)) for each in fields(value)}
    if isinstance(value, tuple):
        return [_plain(item) for item in value]
    return value
