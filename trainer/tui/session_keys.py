"""The keys of the live session: rows for the one table in ``keymap.py``.

Each row: its name, its keys, a word or two, a sentence, whether it stands at the foot
of the page. The log's answers don't: the log itself says beside each line which key
gives it. Keys that are left free here are the ones that end a hold, so space, enter,
the arrows and the page keys are given to nothing that works in a hold.
"""

from __future__ import annotations

Row = tuple[str, str, str, str, bool]

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
        "Leave out this movement, this set (asked once), or the rest of the rest.",
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
    ("session.grip", "g", "Grip", "The grip ended the hold.", False),
    ("session.shoulder", "s", "Shoulder", "A shoulder ended the hold.", False),
    ("session.position", "i", "Position", "The position was lost.", False),
    ("session.breath", "b", "Breath", "The breath ended the hold.", False),
    ("session.nerve", "v", "Nerve", "Nerve ended the hold.", False),
    ("session.other", "o", "Other", "Something else ended the hold.", False),
    ("session.feet", "e", "Feet", "How much of the weight the feet took.", False),
    ("session.felt", "f", "Felt", "Where the stretch was felt, on a drawing.", False),
    ("session.note", "n", "Note", "A note in your own words.", False),
    ("drawing.up", "up", "Up", "The place above.", False),
    ("drawing.down", "down", "Down", "The place below.", False),
    ("drawing.left", "left", "Front", "The front of the body.", False),
    ("drawing.right", "right", "Back", "The back of the body.", False),
    (
        "drawing.mark",
        "enter,space",
        "Mark",
        "Mark the place, or take the mark off.",
        True,
    ),
    ("drawing.side", "s", "Side", "Both sides, left, right.", True),
    ("drawing.moment", "m", "Moment", "All the time, or only with the exhale.", True),
    (
        "drawing.strength",
        "1,2,3,4,5,6,7,8,9,0",
        "Strength",
        "How strong the stretch was; 0 is 10.",
        False,
    ),
    ("drawing.again", "a", "As last time", "Choose last time's places again.", True),
    ("drawing.close", "escape,f", "Close", "Back to the log; all is kept.", True),
    ("hurt.note", "enter,space", "Note it", "Note it, at the marked place.", True),
    ("hurt.pain", "p", "Pain", "It is a pain.", True),
    ("hurt.numb", "n", "Numb", "It is numb or tingles.", True),
    ("hurt.dizzy", "d", "Dizzy", "Dizzy: ends the session.", True),
    ("hurt.close", "escape", "No pain", "Back to the log; nothing is noted.", True),
)
