"""Every key of ours: its name, where it works, what it is called, whether it may move.

A binding is defined once, here; screens take it with ``bind``. So the footer, the
help, the palette and the settings file's ``[keys]`` table all speak of the same thing.
Textual accepts unknown names and impossible keys in silence, and can leave an action
without a key (measured on 8.2.8); ``check_remaps`` refuses them with a reason.
"""

from __future__ import annotations

import difflib
import itertools
from collections.abc import Mapping
from dataclasses import dataclass

from textual.binding import Binding

from trainer.errors import ConfigError
from trainer.tui.key_names import key_name, shown
from trainer.tui.session_keys import SESSION_KEYS

__all__ = ["KEYS", "Key", "bind", "check_remaps", "meet", "shown"]

EVERYWHERE = "everywhere"
IN_A_SESSION = frozenset({"session", "drawing"})
"""Places of the live session, which has keys of its own for everything."""
WITH_LINES = frozenset(
    {"summary", "correct", "first-day", "next-week", "plan", "sound", "unfinished"}
)
"""Places that have lines to be marked and changed."""

TO_BE_READ = frozenset({"today", "cautions"})
"""Places that are read from top to bottom, where the arrows move the sheet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Key:
    """One thing that a key does."""

    id: str
    """The name in the settings file; its part before the dot says where it works."""
    keys: str
    """The keys that it has from the start, comma-separated, as Textual names them."""
    label: str
    """A word or two for the foot of the page."""
    tooltip: str
    """A sentence for the help."""
    show: bool = True
    """At the foot of the page, or in the help alone."""
    fixed: bool = False
    """May not be moved: the way out and the way to the help."""

    @property
    def where(self) -> str:
        """The screen that it works on."""
        return self.id.partition(".")[0]


def _key(id_: str, keys: str, label: str, tooltip: str, *, show: bool = True) -> Key:
    return Key(id=id_, keys=keys, label=label, tooltip=tooltip, show=show)


_KEYS = (
    Key(
        id="everywhere.help",
        keys="question_mark,f1",
        label="Help",
        tooltip="Show every key that works here, and what the words mean.",
        fixed=True,
    ),
    Key(
        id="everywhere.leave",
        keys="ctrl+q",
        label="Leave",
        tooltip="Leave the program. What was done is kept.",
        show=False,
        fixed=True,
    ),
    Key(
        id="everywhere.back",
        keys="escape",
        label="Back",
        tooltip="Go back to where you came from.",
        fixed=True,
    ),
    _key("everywhere.cautions", "f2", "Cautions", "Read the cautions.", show=False),
    _key("today.start", "enter,space", "Start", "Start the session shown here."),
    _key(
        "today.exercise",
        "e",
        "Exercise",
        "Train one exercise only, or another one, this time.",
        show=False,
    ),
    _key(
        "today.decline",
        "d",
        "Decline",
        "Keep to the targets in force instead of the suggested ones, or the reverse.",
    ),
    _key(
        "today.rehearse",
        "h",
        "Rehearse",
        "Run through the session at speed; nothing is logged.",
        show=False,
    ),
    _key("today.next", "n", "Next week", "See next week's targets and the reasons."),
    _key("today.plan", "p", "Plan", "Look at the plan and change it."),
    _key("today.review", "r", "Review", "See what the weeks of holds say."),
    _key("today.sound", "s", "Sound", "Set the sound and hear it.", show=False),
    _key(
        "today.questions",
        "f",
        "First day",
        "Answer the first questions again.",
        show=False,
    ),
    _key("today.test", "t", "Test", "Find the start by a first-day test.", show=False),
    _key("today.leave", "q", "Leave", "Leave the program.", show=False),
    _key("cautions.read", "enter,space", "Read", "I have read this; go on."),
    _key("summary.done", "enter,space", "Done", "Go back to Today."),
    _key("summary.correct", "e", "Correct", "Correct the set that is marked."),
    _key(
        "summary.gone", "x", "Didn't happen", "Take the marked set out, or put it back."
    ),
    _key("summary.next", "n", "Next week", "See next week's targets and the reasons."),
    _key("correct.keep", "enter", "Keep", "Keep the figures shown."),
    _key("first-day.make", "enter", "Make plan", "Make the plan from these answers."),
    _key(
        "first-day.test",
        "t",
        "Test",
        "Start with a first-day test instead.",
    ),
    _key(
        "next-week.take", "enter", "Take", "Take the marked suggestion for that week."
    ),
    _key("next-week.back", "u", "Take back", "Take back the target that was set last."),
    _key(
        "next-week.set",
        "t",
        "Set target",
        "Set another target, as you or as the coach.",
    ),
    _key("next-week.lighter", "l", "Lighter", "Take a lighter week: one set fewer."),
    _key("plan.take", "enter", "Take", "Take the changed plan, once you have seen it."),
    _key("plan.undo", "u", "Undo", "Put the plan back as it was."),
    _key(
        "plan.rest-week", "k", "Rest week", "Make the coming week a rest week, or not."
    ),
    _key(
        "plan.exercise",
        "a",
        "Exercises",
        "Add an exercise to the plan, or take it out.",
    ),
    _key(
        "plan.questions",
        "f",
        "First day",
        "Answer the first questions again.",
        show=False,
    ),
    _key("sound.hear", "enter", "Hear it", "Hear the marked cue."),
    _key("sound.hold", "h", "Ten seconds", "Hear a whole hold of ten seconds."),
    _key("unfinished.keep", "enter", "Keep", "Keep the hold with the figure shown."),
    _key("unfinished.drop", "x", "Drop", "Drop the hold; it counts for nothing."),
    _key("review.next", "right,space", "Next", "Turn to the next picture."),
    _key("review.before", "left", "Before", "Turn to the picture before."),
    _key("review.table", "t", "Table", "See the figures as a table, or the picture."),
    _key("review.period", "w", "Period", "Look back over weeks, months, or all."),
    _key("review.sessions", "s", "Sessions", "Open a session and correct its holds."),
    _key("review.down", "down", "Down", "Move down a line."),
    _key("review.up", "up", "Up", "Move up a line.", show=False),
    _key("sessions.open", "enter,space", "Open", "Open the marked session."),
    _key("page.down", "pagedown", "Turn", "Turn the page.", show=False),
    _key("page.up", "pageup", "Turn back", "Turn the page back.", show=False),
    _key("sheet.up", "up", "Up", "Move the page up by a line.", show=False),
    _key("sheet.down", "down", "Down", "Move the page down by a line.", show=False),
    _key("fields.up", "up", "Up", "Mark the line above.", show=False),
    _key("fields.down", "down", "Down", "Mark the line below.", show=False),
    _key(
        "fields.more", "right,plus,equals_sign", "More", "The next value.", show=False
    ),
    _key("fields.less", "left,minus", "Less", "The value before.", show=False),
    _key("fields.write", "w", "Write", "Write the marked line of text."),
)
_SESSION = (
    _key(id_, keys, label, tooltip, show=show)
    for id_, keys, label, tooltip, show in SESSION_KEYS
)
KEYS: dict[str, Key] = {key.id: key for key in (*_KEYS, *_SESSION)}


def bind(key_id: str, action: str, *, show: bool | None = None) -> Binding:
    """Give the binding of KEY_ID for ACTION, as the table has it."""
    key = KEYS[key_id]
    return Binding(
        key.keys,
        action,
        key.label,
        show=key.show if show is None else show,
        tooltip=key.tooltip,
        id=key.id,
        priority=key.id == "everywhere.leave",
    )


def check_remaps(remaps: Mapping[str, str]) -> dict[str, str]:
    """Give REMAPS as Textual wants them, or refuse them with the reason.

    Args:
        remaps: key ids to one or more keys, comma-separated.

    Raises:
        ConfigError: an unknown id, a key that doesn't exist or that terminals can't
            send, a key that may not move, or two things on one key in one place.
    """
    checked: dict[str, str] = {}
    for key_id, keys in remaps.items():
        if key_id not in KEYS:
            near = difflib.get_close_matches(key_id, KEYS, n=1)
            hint = f"The nearest is {near[0]}" if near else "The help lists them all"
            raise ConfigError(f"keys: there is nothing called {key_id!r}", hint)
        if KEYS[key_id].fixed:
            raise ConfigError(
                f"keys: {key_id} stays on {shown(KEYS[key_id].keys.split(',')[0])}",
                "The help and the way out can't be moved",
            )
        owner = f"keys: {key_id}"
        names = [key_name(part, owner) for part in _parts(keys)]
        if not names:
            raise ConfigError(f"{owner} has no key", "Give it one")
        checked[key_id] = ",".join(names)
    _refuse_clashes(checked)
    return checked


def _parts(keys: str) -> list[str]:
    """Split at commas; a lone comma is the comma key."""
    if keys.strip() == ",":
        return ["comma"]
    return [part for part in keys.split(",") if part.strip()]


def _refuse_clashes(remaps: Mapping[str, str]) -> None:
    taken: dict[str, list[Key]] = {}
    for key in KEYS.values():
        for name in remaps.get(key.id, key.keys).split(","):
            taken.setdefault(name, []).append(key)
    for name, owners in taken.items():
        for one, other in itertools.combinations(owners, 2):
            moved = one.id in remaps or other.id in remaps
            if moved and meet(one.where, other.where):
                raise ConfigError(
                    f"keys: {shown(name)} would mean both {one.id} and {other.id}",
                    "Choose another key for one of them",
                )


def meet(one: str, other: str) -> bool:
    """Tell whether the keys of two places can be live at once."""
    both = {one, other}
    if one == other or EVERYWHERE in both:
        return True
    if "sheet" in both:
        return bool(both & (TO_BE_READ | {"page"}))
    if "fields" in both:
        return bool(both & (WITH_LINES | {"page"}))
    return "page" in both and not both & IN_A_SESSION
