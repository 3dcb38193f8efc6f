"""How to take the photo, in our own words (common practice without a source)."""

from __future__ import annotations

SIDE_ON = (
    "Somebody, or a shelf and the camera's timer, photographs you from the side, three"
    " metres away or more, without the wide angle, with the lens as high as your"
    " shoulder is in that pose."
)
IN_VIEW = (
    "Elbow, shoulder, ribs and hip can be seen: a tight shirt or none, hair up. The"
    " same place, the same clothes and the same time of day each time."
)
GUARDED = (
    "Guarded: stand with your back at the edge of a door frame, lower back and the back"
    " of the ribs on it. Breathe out, raise straight arms as high as they go while both"
    " stay on the edge, and hold still for the photo."
)
FREE = (
    "Free: the same without the door frame, as high as the arms go at all. The"
    " difference is what the back lends."
)
HANG = (
    "Hanging: within a set that is planned anyway, warm, after the third exhale, the"
    " camera up at shoulder height. Alone: let a phone film the set, and mark a still."
)
EVERY = "Once you have taken one, the next is offered four weeks later, in that set."
PRESS = (
    "Pressing: pressed within a planned set, sunk once its hold is over; in the push-up"
    " position or in a pike with the feet on the floor. Never sink upside down."
)
ARMS = "Arms as far apart as the shoulders, elbows straight, thumbs back."
PERSPECTIVE = (
    "Why side on: with the camera 10° off, parallel arms read under half a degree"
    " wrong; arms that go 15 to 25° apart read 2 to 5° wrong, and the rib flare by"
    " 0.06. Computed for three metres; nearer or with a wide angle it is more."
)
REPEATS = (
    "Two or three photos each time, each set up afresh (step away, come back), show how"
    " much your own photos scatter. That is what makes a small change visible: six more"
    " photos than days are needed, of each kind."
)
STOP = (
    "Stop at pain, tingling or numbness. With open pain at a shoulder there is no"
    " check; training never waits for one."
)
PRIVATE = (
    "The photo stays where it is, and none leaves this machine. Kept are the points,"
    " the figures, the file's name and a hash by which the photo is known again."
)

PAGE: tuple[tuple[str, tuple[str, ...]], ...] = (
    ("Camera", (SIDE_ON, PERSPECTIVE)),
    ("You", (IN_VIEW, ARMS)),
    ("Reach", (GUARDED, FREE)),
    ("Hang, press", (HANG, PRESS, EVERY)),
    ("How many", (REPEATS,)),
    ("Stop", (STOP,)),
    ("Privacy", (PRIVATE,)),
)
"""The page: what stands in the margin, and the paragraphs beside it."""
