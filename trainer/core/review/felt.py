"""Where the stretch was felt, in blocks of four weeks, and where it moved to.

How strongly a place is shaded follows how often it was felt and how strongly: the share
of the block's sessions, times the mean strength over ten. Where no strength was noted
the shading takes the middle of the scale; no figure does.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from trainer.core import words
from trainer.core.model import FELT_SITES, Felt, Moment, Session, Side, Site
from trainer.core.weeks import IsoWeek
from trainer.core.words import month_name

BLOCK_WEEKS = 4
"""Weeks in a block (our choice: an angle check is due as often)."""
LEVELS = (0.02, 0.15, 0.3, 0.5)
"""Weights from which a place is shaded lightly, more, strongly, fully (our choice)."""
MOVED = 0.12
"""A place gained or lost if its weight changed by this much (our choice)."""
FEWEST_SESSIONS = 3
"""Sessions with something felt that a block needs before it is compared, and in which
a site must turn up before it is named (our choice)."""

NOT_LOADED: Mapping[Site, str] = {
    Site.TOP_SHOULDER: (
        "Usually behind it: the arms pushed back past the line, or the shoulders not"
        " lifted towards the ears. A pinch there is not a stretch: stop the hold at it,"
        " and ask a clinician if it comes back."
    ),
    Site.LOW_BACK: (
        "Usually behind it: the ribs pop and the back arches to lend the reach. Stay"
        " with shorter holds and the long exhale; pain there is for a clinician."
    ),
    Site.NECK: (
        "Usually behind it: the chin pokes forward, or the breath is held. Let the neck"
        " go easy; stop at pain, tingling or dizziness, and ask a clinician."
    ),
    Site.WRIST: (
        "Usually behind it: the weight sits on the heel of the hand, or the wrist bends"
        " further than it is used to. Fists, handles or a wedge take some of it off;"
        " pain there means a rest from presses, and a clinician if it stays."
    ),
}
"""Sites that a hold shouldn't load, and what is usually behind it (common practice)."""


@dataclass(frozen=True, slots=True)
class Mark:
    """How one place was felt over a block."""

    site: Site
    sessions: int
    """Sessions in which it was felt."""
    share: float
    """Of the block's sessions with anything felt; 0 to 1."""
    strength: float | None
    """Mean over the strengths noted, 0 to 10; None if none was."""
    left: int
    right: int
    """Sessions in which it was felt on that side; both sides count for each."""

    @property
    def weight(self) -> float:
        """How much to shade the place, 0 to 1."""
        return self.share * (0.5 if self.strength is None else self.strength / 10)

    @property
    def level(self) -> int:
        """The weight in steps, 0 (not felt) to 4."""
        return sum(self.weight >= least for least in LEVELS)


@dataclass(frozen=True, slots=True)
class Block:
    """Four weeks of what was felt; ``marks`` by moment, None for any moment."""

    first: IsoWeek
    last: IsoWeek
    running: bool
    """Whether the last week is the one that runs: the block isn't over."""
    sessions: int
    """Sessions with anything felt."""
    marks: Mapping[Moment | None, tuple[Mark, ...]]

    def mark(self, site: Site, moment: Moment | None = None) -> Mark | None:
        """Return a site's mark, or None if it wasn't felt."""
        return next((one for one in self.marks[moment] if one.site is site), None)

    def weight(self, site: Site) -> float:
        """Return a site's weight at any moment; 0 if it wasn't felt."""
        mark = self.mark(site)
        return 0.0 if mark is None else mark.weight


def blocks(
    sessions: Iterable[Session], *, first: IsoWeek, last: IsoWeek
) -> tuple[Block, ...]:
    """Cut a period into blocks of four weeks that end with LAST, oldest first."""
    by_block: dict[int, list[Session]] = defaultdict(list)
    for session in sessions:
        week = IsoWeek.of(session.local_date)
        if first <= week <= last:
            by_block[last.since(week) // BLOCK_WEEKS].append(session)
    count = last.since(first) // BLOCK_WEEKS + 1
    return tuple(
        _block(last.plus(-n * BLOCK_WEEKS), by_block[n], first, running=n == 0)
        for n in reversed(range(count))
    )


def _block(
    last: IsoWeek, sessions: Sequence[Session], first: IsoWeek, *, running: bool
) -> Block:
    felt = [
        [felt for hold in session.holds for felt in hold.felt] for session in sessions
    ]
    felt = [places for places in felt if places]
    return Block(
        first=max(first, last.plus(1 - BLOCK_WEEKS)),
        last=last,
        running=running,
        sessions=len(felt),
        marks={
            moment: _marks(felt, moment)
            for moment in (None, Moment.SETTLED, Moment.EXHALE)
        },
    )


def _marks(felt: Sequence[Sequence[Felt]], moment: Moment | None) -> tuple[Mark, ...]:
    marks = []
    for site in FELT_SITES:
        per_session = [
            found
            for places in felt
            if (
                found := [
                    one
                    for one in places
                    if one.site is site and moment in (None, one.moment)
                ]
            )
        ]
        if not per_session:
            continue
        strengths = [
            one.strength
            for found in per_session
            for one in found
            if one.strength is not None
        ]
        marks.append(
            Mark(
                site=site,
                sessions=len(per_session),
                share=len(per_session) / len(felt),
                strength=sum(strengths) / len(strengths) if strengths else None,
                left=_on(per_session, Side.LEFT),
                right=_on(per_session, Side.RIGHT),
            )
        )
    return tuple(sorted(marks, key=lambda mark: -mark.weight))


def _on(per_session: Sequence[Sequence[Felt]], side: Side) -> int:
    return sum(
        any(one.side in (side, Side.BOTH) for one in found) for found in per_session
    )


def marks_of_moment(block: Block, moment: Moment | None) -> tuple[Mark, ...]:
    """Return the marks of a moment; under None those noted without any.

    A site that was felt both with and without a moment stands with its moments.
    """
    if moment is not None:
        return block.marks[moment]
    told = {mark.site for each in Moment for mark in block.marks[each]}
    return tuple(mark for mark in block.marks[None] if mark.site not in told)


def moved(found: Sequence[Block]) -> str:
    """Say in one sentence where the stretch moved, or why that can't be said."""
    told = with_enough(found)
    if not told:
        return (
            "Too little noted to draw a map: a block needs"
            f" {FEWEST_SESSIONS} sessions with something felt."
        )
    newest = told[-1]
    mostly = newest.marks[None][0].site
    if len(told) == 1:
        return f"Mostly felt in the {name(mostly)}; one block is no movement yet."
    oldest = told[0]
    change = {site: newest.weight(site) - oldest.weight(site) for site in FELT_SITES}
    gained = max(change, key=lambda site: change[site])
    lost = min(change, key=lambda site: change[site])
    if change[gained] >= MOVED and change[lost] <= -MOVED:
        since = _overtaken(told, gained, lost)
        return f"From the {name(lost)} to the {name(gained)} since {_month(since)}."
    if change[gained] >= MOVED:
        return f"More in the {name(gained)} than in the block of {_month(oldest)}."
    if change[lost] <= -MOVED:
        return f"Less in the {name(lost)} than in the block of {_month(oldest)}."
    return f"Still mostly felt in the {name(mostly)}: no place gained or lost much."


def _overtaken(told: Sequence[Block], gained: Site, lost: Site) -> Block:
    """Return the first block from which GAINED stays ahead of LOST."""
    since = told[-1]
    for block in reversed(told):
        if block.weight(gained) <= block.weight(lost):
            break
        since = block
    return since


def _month(block: Block) -> str:
    return month_name(block.first.monday)


def name(site: Site) -> str:
    """Return a site's name for a sentence: ``front shoulder``, ``pecs``."""
    return site.value.replace("-", " ")


def keeps_turning_up(found: Sequence[Block]) -> tuple[str, ...]:
    """Name the sites of the newest block that a hold shouldn't load, with the caution.

    A site is named when it was felt in ``FEWEST_SESSIONS`` sessions of the block and
    in a quarter of them at least (our choice).
    """
    return tuple(
        f"{name(mark.site).capitalize()} felt in {mark.sessions} of"
        f" {found[-1].sessions} sessions of the last four weeks."
        f" {NOT_LOADED[mark.site]}"
        for mark in _turning_up(found)
    )


def turning_up_in_short(found: Sequence[Block]) -> tuple[str, ...]:
    """Name the same sites in one line; none: no line."""
    marks = _turning_up(found)
    if not marks:
        return ()
    named = words.listed([name(mark.site) for mark in marks])
    return (f"Again and again where a hold shouldn't load: {named}.",)


def _turning_up(found: Sequence[Block]) -> tuple[Mark, ...]:
    if not found:
        return ()
    return tuple(
        mark
        for mark in found[-1].marks[None]
        if mark.site in NOT_LOADED
        and mark.sessions >= FEWEST_SESSIONS
        and mark.share >= 0.25
    )


def with_enough(found: Sequence[Block]) -> tuple[Block, ...]:
    """Return the blocks in which enough was noted to draw and compare them."""
    return tuple(block for block in found if block.sessions >= FEWEST_SESSIONS)
