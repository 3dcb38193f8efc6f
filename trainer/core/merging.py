"""What becomes of a thing that two data files know: the rules of a merge, as a table.

A *thing* is a row with all that travels with it: a session with what was planned, a
hold with what was felt, a target, a plan, a rest week, a suggestion that was shown, an
angle check. Each file has one version of it, or none. ``decide`` picks between two
versions by an order that both machines share, so that every order of exchange, also
repeated, comes to the same; ``RULES`` says in words what that order amounts to.

What isn't picked but worked out, on every machine from what it has: a session that was
taken back counts as live while a hold in it does. Nobody takes a session back that has
holds; where one has, the other side added it later.
"""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum


@dataclass(frozen=True, slots=True, kw_only=True)
class Version:
    """One file's version of a thing."""

    updated_at: str | None
    """When it was last changed, as UTC text that sorts as time does; None: nobody said,
    as in a document written by hand."""
    taken_back: bool = False
    content: str = ""
    """All the rest of it as one text, the same wherever the content is; looked at only
    where both were changed in the same instant."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Belonging:
    """What tells whose a data file or a document is."""

    name: str | None
    """The trainee's, where one is set."""
    uids: frozenset[str]
    """The ids of all that is in it, taken back or not."""
    has_sessions: bool


def why_somebody_elses(here: Belonging, there: Belonging) -> str | None:
    """Say why a document may be somebody else's than the file; None: nothing hints so.

    Two machines of one person that never met look like two persons: so this is a
    reason to ask, never one to refuse.
    """
    if here.name and there.name and here.name.casefold() != there.name.casefold():
        return f"The document is {there.name}'s, this file is {here.name}'s"
    if here.has_sessions and not here.uids & there.uids:
        return "The document has nothing in common with this file, which has sessions"
    return None


@dataclass(frozen=True, slots=True)
class Rule:
    """One line of the table."""

    what: str
    here: str
    there: str
    result: str


class Verdict(Enum):
    """The lines of the table between which ``decide`` chooses, first that applies."""

    NEW = Rule("thing", "unknown", "live or taken back", "comes in as it is")
    UNDATED = Rule("thing", "known", "without a time of change", "stays")
    LATER = Rule("thing", "changed earlier", "changed later", "theirs, whole")
    EARLIER = Rule("thing", "changed later", "changed earlier", "ours, whole")
    LIVE_COMES = Rule("thing, same instant", "taken back", "live", "live")
    LIVE_STAYS = Rule("thing, same instant", "live", "taken back", "live")
    TEXT_COMES = Rule("thing, same instant", "sorts first", "sorts last", "theirs")
    TEXT_STAYS = Rule("thing, same instant", "sorts last", "sorts first", "ours")
    ALIKE = Rule("thing, same instant", "the same", "the same", "ours, unchanged")

    @property
    def theirs_comes_in(self) -> bool:
        """Whether the incoming version takes the place of the one here."""
        return self in _COMES_IN


_COMES_IN = frozenset(
    {Verdict.NEW, Verdict.LATER, Verdict.LIVE_COMES, Verdict.TEXT_COMES}
)

RULES: tuple[Rule, ...] = (
    *(verdict.value for verdict in Verdict),
    Rule("session", "taken back, or not", "a live hold in it", "counts as live"),
    Rule("session", "taken back", "its holds taken back too", "stays taken back"),
    Rule("planned sets, felt, pain", "–", "–", "travel with the row that owns them"),
    Rule("rest week", "marked", "marked, another id", "one week, by the rules above"),
    Rule("answer", "known", "later, or same instant and sorts last", "theirs"),
    Rule("correction", "unknown", "known", "added; never changed or taken back"),
    Rule("hold under way", "journaled", "journaled", "never travels"),
    Rule("made-up file", "a person's", "a made-up one's", "refused, whole"),
    Rule("document", "another name, or sessions", "no id in common", "asked about"),
    Rule("document of a former version", "same instant", "other content", "ours"),
)
"""Every rule of a merge, in words: DEVELOPERS.md shows just this table."""


def decide(here: Version | None, there: Version) -> Verdict:
    """Say which of two versions of a thing stands after a merge, and by which rule.

    The order is total: by time of change, then live before taken back (nothing is lost
    in a tie), then by the text of the content. So deciding is idempotent, commutative
    and associative in all that is dated.
    """
    if here is None:
        return Verdict.NEW
    if there.updated_at is None:
        return Verdict.UNDATED
    ours, theirs = here.updated_at or "", there.updated_at
    if ours != theirs:
        return Verdict.LATER if theirs > ours else Verdict.EARLIER
    if here.taken_back != there.taken_back:
        return Verdict.LIVE_COMES if here.taken_back else Verdict.LIVE_STAYS
    if here.content != there.content:
        comes = there.content > here.content
        return Verdict.TEXT_COMES if comes else Verdict.TEXT_STAYS
    return Verdict.ALIKE
