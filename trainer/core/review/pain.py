"""Every pain that was noted, and what became of it: never out of sight.

A pain is open until the person says that it is gone.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date

from trainer.core import words
from trainer.core.model import EndedBy, Hold, PainKind, Session, Side, Site

Place = tuple[PainKind, Site | None, Side | None]
"""What makes two notings the same pain."""

KIND_WORDS = {
    PainKind.PAIN: "pain",
    PainKind.NUMB: "numbness",
    PainKind.DIZZY: "dizziness",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class PainNoted:
    """One warning sign, as it was noted on a hold."""

    day: date
    exercise: str
    set_number: int
    kind: PainKind
    site: Site | None
    side: Side | None
    stopped: bool | None
    """It struck the sets that were left; False: the person went on in spite of it;
    None: logged by hand, so nothing could be struck."""
    gone_on: date | None
    """The day on which the person said that it is gone; None: open."""

    @property
    def open(self) -> bool:
        """Whether nobody said that it is gone."""
        return self.gone_on is None

    @property
    def place(self) -> Place:
        """What it has in common with other notings of the same pain."""
        return self.kind, self.site, self.side


def pain_noted(sessions: Iterable[Session]) -> tuple[PainNoted, ...]:
    """Return every warning sign of the sessions, oldest first."""
    return tuple(
        PainNoted(
            day=session.local_date,
            exercise=hold.exercise,
            set_number=hold.set_number,
            kind=sign.kind,
            site=sign.site,
            side=sign.side,
            stopped=_stopped(hold),
            gone_on=sign.gone_on,
        )
        for session in sessions
        for hold in session.holds
        for sign in hold.pain
    )


def _stopped(hold: Hold) -> bool | None:
    if hold.pain_overridden:
        return False
    return None if hold.ended_by is EndedBy.ADDED else True


@dataclass(frozen=True, slots=True)
class PainAt:
    """All notings of one pain."""

    place: Place
    noted: tuple[PainNoted, ...]
    """Oldest first, one at least."""

    @property
    def open(self) -> bool:
        """Whether the last noting is open."""
        return self.noted[-1].open

    @property
    def days(self) -> tuple[date, ...]:
        """The days on which it was noted."""
        return tuple(dict.fromkeys(one.day for one in self.noted))

    @property
    def came_back(self) -> bool:
        """Whether it was noted on more than one day."""
        return len(self.days) > 1


def by_place(noted: Iterable[PainNoted]) -> tuple[PainAt, ...]:
    """Return the pains, the open ones first, each time the newest first."""
    found: dict[Place, list[PainNoted]] = {}
    for one in noted:
        found.setdefault(one.place, []).append(one)
    pains = [PainAt(place, tuple(of_place)) for place, of_place in found.items()]
    pains.sort(key=lambda one: (one.open, one.days[-1]), reverse=True)
    return tuple(pains)


def named(place: Place) -> str:
    """Say a pain and where: ``pain in the left wrist``, ``dizziness``."""
    kind, site, side = place
    said = KIND_WORDS[kind]
    if site is None:
        return said if kind is PainKind.DIZZY else f"{said}, the place not noted"
    return f"{said} in the {site_named(site, side)}"


def site_named(site: Site, side: Side | None) -> str:
    """Say a site with its side: ``left wrist``, ``wrists, both``, ``wrist``."""
    said = site.value.replace("-", " ")
    if side is None:
        return said
    return f"{said} on both sides" if side is Side.BOTH else f"{side} {said}"


def what_it_did(one: PainNoted) -> str:
    """Say whether the pain stopped the sets that were left."""
    if one.stopped is None:
        return "logged by hand"
    return "stopped" if one.stopped else "went on in spite of it"


def how_it_ends(one: PainNoted) -> str:
    """Say whether a pain is open, or on which day it was gone."""
    return "open" if one.gone_on is None else f"gone on {words.day(one.gone_on)}"
