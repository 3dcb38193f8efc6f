"""Every key of ours: its name, where it works, what it is called, whether it may move.

A binding is defined once, here; screens take it with ``bind``. So the footer, the
help, the palette and the settings file's ``[keys]`` table all speak of the same thing.
Textual accepts unknown names and impossible keys in silence, and can leave an action
without a key (measured on 8.2.8); ``check_remaps`` refuses them with a reason.
"""

from __future__ import annotations

import itertools
import string
from collections.abc import Mapping
from dataclasses import dataclass

from textual.binding import Binding

from trainer.core.model import FELT_SITES, PAIN_SITES, StoppedBy
from trainer.core.text import nearest
from trainer.errors import ConfigError

_NAMED = frozenset(
    {"space", "enter", "escape", "tab", "backspace", "delete", "insert", "up", "down"}
    | {"left", "right", "home", "end", "pageup", "pagedown"}
    | {f"f{n}" for n in range(1, 13)}
)
_PUNCTUATION = {
    "question_mark": "?",
    "exclamation_mark": "!",
    "plus": "+",
    "minus": "-",
    "equals_sign": "=",
    "comma": ",",
    "full_stop": ".",
    "colon": ":",
    "semicolon": ";",
    "slash": "/",
    "backslash": "\\",
    "apostrophe": "'",
    "quotation_mark": '"',
    "left_square_bracket": "[",
    "right_square_bracket": "]",
    "underscore": "_",
    "asterisk": "*",
    "number_sign": "#",
    "percent_sign": "%",
    "ampersand": "&",
    "less_than_sign": "<",
    "greater_than_sign": ">",
}
_SAME_IN_A_TERMINAL = {"i": "tab", "m": "enter", "j": "enter", "h": "backspace"}
_SHOWN = {
    "escape": "esc",
    "pageup": "pgup",
    "pagedown": "pgdn",
    "up": "↑",
    "down": "↓",
    "left": "←",
    "right": "→",
    **_PUNCTUATION,
}


def shown(key: str) -> str:
    """Give a key's short name for people."""
    return _SHOWN.get(key, key)


def key_name(text: str, owner: str) -> str:
    """Give Textual's name of one key, or refuse it."""
    key = text.strip()
    for name, char in _PUNCTUATION.items():
        if key in (name, char):
            return name
    if len(key) == 1 and key in string.ascii_letters + string.digits:
        return key
    low = key.lower()
    if low in _NAMED:
        return low
    if low.startswith("ctrl+") and len(low) == 6 and low[5] in string.ascii_lowercase:
        if low[5] in _SAME_IN_A_TERMINAL:
            other = _SAME_IN_A_TERMINAL[low[5]]
            raise ConfigError(
                f"{owner}: {key} can't be told from {other} in most terminals",
                "Choose another key",
            )
        return low
    raise ConfigError(
        f"{owner}: there is no key {key!r}",
        "Use a letter, a digit, a punctuation mark, ctrl+letter, f1 to f12, or one of"
        " space, enter, tab, home, end, pageup, pagedown and the arrows",
    )


Row = tuple[str, str, str, str, bool]
"""A key's name, its keys, a word or two, a sentence, whether it stands at the foot."""

# Keys that are left free here are the ones that end a hold, so space, enter, the arrows
# and the page keys are given to nothing that works in a hold. The log's answers don't
# stand at the foot: the log itself says beside each line which key gives it.
SESSION_KEYS: tuple[Row, ...] = (
    (
        "session.go-on",
        "enter,space",
        "Go on",
        "Go on: from a pause, with the seconds that were noted, or to the summary.",
        True,
    ),
    (
        "session.turn",
        "u",
        "Upside down",
        "Turn the large seconds over, for reading them upside down.",
        True,
    ),
    (
        "session.out",
        "x",
        "Didn't happen",
        "In a hold's first five seconds: a false start. In the log: take the hold out.",
        True,
    ),
    ("session.undo", "z", "Undo", "Take back the last step or answer.", True),
    (
        "session.skip",
        "j",
        "Skip",
        "Leave out this movement, this set (asked once), or what is left of the rest.",
        True,
    ),
    (
        "warm-up.skip",
        "o",
        "To the holds",
        "Leave out what is left of the warm-up.",
        True,
    ),
    (
        "set-up.ready",
        "g",
        "Ready",
        "In place already: go to the go-up cue.",
        True,
    ),
    ("session.pause", "w", "Pause", "Wait: stand still until you go on.", True),
    ("session.end", "q", "End early", "End the session here; asked once.", True),
    (
        "session.anyway",
        "a",
        "Go on anyway",
        "Do the sets that pain left out after all; it is recorded.",
        True,
    ),
    (
        "session.rpe",
        "1,2,3,4,5,6,7,8,9,0",
        "RPE",
        "How much longer the position could have been kept; 0 is 10.",
        False,
    ),
    ("session.half", "full_stop,comma", "Half", "Add a half to the RPE.", False),
    ("session.all-kept", "k", "All kept", "The position was kept all the time.", False),
    (
        "session.lost",
        "l",
        "Lost",
        "The position was lost on a breath: say on which.",
        False,
    ),
    ("session.pain", "p", "Pain", "Pain, numbness or dizziness.", False),
    ("session.less", "minus", "Less", "A second less held.", False),
    ("session.more", "plus,equals_sign", "More", "A second more held.", False),
    ("session.type-held", "t", "Type held", "Type the seconds held.", False),
    *(
        (f"session.{why}", why.letter, why.value.capitalize(), why.sentence, False)
        for why in StoppedBy
    ),
    ("session.feet", "e", "Feet", "How much of the weight the feet took.", False),
    ("session.felt", "f", "Felt", "Where the stretch was felt, on a drawing.", False),
    ("session.note", "n", "Note", "A note in your own words.", False),
    ("drawing.up", "up", "Up", "The place above.", False),
    ("drawing.down", "down", "Down", "The place below.", False),
    ("drawing.left", "left", "Front", "The front of the body.", False),
    ("drawing.right", "right", "Back", "The back of the body.", False),
    (
        "drawing.place",
        ",".join(site.letter for site in FELT_SITES),
        "Place",
        "The place with that letter; again takes the mark off.",
        False,
    ),
    ("drawing.mark", "space", "Mark", "Mark the place, or take the mark off.", False),
    ("drawing.left-side", "l", "Left", "Felt on the left.", True),
    ("drawing.right-side", "r", "Right", "Felt on the right.", True),
    ("drawing.both", "b", "Both", "Felt on both sides.", False),
    (
        "drawing.moment",
        "s",
        "Moment",
        "Felt all the time, only with the exhale, or not said.",
        True,
    ),
    (
        "drawing.strength",
        "1,2,3,4,5,6,7,8,9,0",
        "Strength",
        "How strong the stretch was; 0 is 10.",
        False,
    ),
    ("drawing.again", "u", "As last time", "Choose last time's places again.", True),
    ("drawing.close", "enter,escape", "Done", "Back to the log; all is kept.", True),
    ("hurt.note", "enter,space", "Note it", "Note it, at the marked place.", True),
    (
        "hurt.place",
        ",".join(site.letter for site in PAIN_SITES),
        "Place",
        "The place with that letter.",
        False,
    ),
    ("hurt.left-side", "l", "Left", "It is on the left.", True),
    ("hurt.right-side", "r", "Right", "It is on the right.", True),
    ("hurt.both", "b", "Both", "It is on both sides.", False),
    ("hurt.pain", "p", "Pain", "It is a pain.", True),
    ("hurt.numb", "n", "Numb", "It is numb or tingles.", True),
    ("hurt.dizzy", "d", "Dizzy", "Dizzy: ends the session.", True),
    ("hurt.close", "escape", "No pain", "Back to the log; nothing is noted.", True),
)

MARKING_KEYS: tuple[Row, ...] = (
    (
        "marking.here",
        "enter,space",
        "Here",
        "Go closer to the cross, three times or so; then set the landmark there.",
        True,
    ),
    (
        "marking.set",
        "s",
        "Set",
        "Set the landmark at once, from where you look.",
        False,
    ),
    ("marking.undo", "u,backspace", "Undo", "Go back to the landmark before.", True),
    (
        "marking.leave-out",
        "n",
        "Not seen",
        "Leave this landmark out; without an elbow the wrist is asked for.",
        True,
    ),
    ("marking.hidden", "h", "Hidden", "Say that the arm hides the ear.", True),
    (
        "marking.again",
        "a",
        "Once more",
        "Mark the same photo again without seeing the first marks: your own error.",
        True,
    ),
    (
        "marking.turn",
        "t",
        "Turn",
        "Say that the chest points to the other side.",
        False,
    ),
    (
        "marking.blocks",
        "b",
        "Blocks",
        "Draw the photo in half blocks, where the picture doesn't show as it should.",
        True,
    ),
    (
        "marking.fine",
        "f",
        "Fine",
        "Let the arrows move by one dot, or by four again.",
        True,
    ),
    ("marking.closer", "plus,equals_sign", "Closer", "Look from nearer.", False),
    ("marking.further", "minus", "Further", "Look from further off.", False),
    ("marking.up", "up", "Up", "Move the cross up.", False),
    ("marking.down", "down", "Down", "Move the cross down.", False),
    (
        "marking.left",
        "left",
        "Left",
        "Move the cross left; at first: the chest points left.",
        False,
    ),
    (
        "marking.right",
        "right",
        "Right",
        "Move the cross right; at first: the chest points right.",
        False,
    ),
    ("marking.up-fine", "shift+up", "Up a little", "Up by one dot.", False),
    ("marking.down-fine", "shift+down", "Down a little", "Down by one dot.", False),
    ("marking.left-fine", "shift+left", "Left a little", "Left by one dot.", False),
    ("marking.right-fine", "shift+right", "Right a little", "Right by one dot.", False),
)


EVERYWHERE = "everywhere"
IN_A_SESSION = frozenset({"session", "warm-up", "set-up", "drawing", "hurt"})
"""Places of the live session, which has keys of its own for everything."""
WITH_LINES = frozenset(
    {"summary", "correct", "first-day", "next-week", "plan", "sound", "unfinished"}
)
"""Places that have lines to be marked and changed."""

TO_BE_READ = frozenset({"today", "cautions", "checks", "compare"})
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
        "today.listen",
        "l",
        "Listen",
        "Hear the sounds of a hold, once each with its name.",
        show=False,
    ),
    _key(
        "today.questions",
        "f",
        "First day",
        "Answer the first questions again.",
        show=False,
    ),
    _key(
        "today.angle",
        "a",
        "Angle check",
        "See how far the arms go overhead, and mark another photo.",
        show=False,
    ),
    _key(
        "today.no-angle",
        "x",
        "No check",
        "Leave the angle check out this time; it is offered again next week.",
        show=False,
    ),
    _key("checks.mark", "enter,space", "Mark a photo", "Mark a photo."),
    _key("checks.decline", "x", "Not now", "Leave the check out this time."),
    _key("checks.compare", "c", "Then and now", "Put two checks beside each other."),
    _key("compare.photo", "p", "Photo", "Give one of the two photos again."),
    _key("checks.how", "h", "How to", "Read how to take the photo."),
    _key("today.test", "t", "Test", "Find the start by a first-day test.", show=False),
    _key("gate.gone", "g", "Gone", "Note that the pain asked about is gone."),
    _key("gate.leave-out", "l", "Leave out", "Leave out what the question is about."),
    _key("gate.questions", "f", "First day", "Answer the first questions."),
    _key("gate.anyway", "y", "Anyway", "Go on at your own risk; it is kept."),
    _key("today.leave", "q", "Leave", "Leave the program.", show=False),
    _key("cautions.read", "enter,space", "Read", "I have read this; go on."),
    _key("sounds.go-on", "enter,space", "Go on", "Enough: go on without the rest."),
    _key("sounds.again", "a", "Again", "Hear the sounds from the first one on."),
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
    for id_, keys, label, tooltip, show in (*SESSION_KEYS, *MARKING_KEYS)
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
            near = nearest(key_id, KEYS)
            hint = f"The nearest is {near}" if near else "The help lists them all"
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
