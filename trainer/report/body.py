"""The page's drawing of a body, arms overhead: shapes with a place for each site.

Two figures stand side by side, front and back. The front one faces the reader: the
person's right is on the reader's left; on the back one it is the other way round.
Every site is given for the reader's left half and mirrored, so that each side can be
filled by itself. The words under it say which side is which.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from trainer.core.model import Side, Site
from trainer.report.shapes import Area, Dot, Label, Shape, Stroke

FIGURE_WIDTH, GAP = 120.0, 16.0
BODY_WIDTH = 2 * FIGURE_WIDTH + GAP
BODY_HEIGHT = 186.0
"""With the line that says which figure and which side is which."""

Points = tuple[tuple[float, float], ...]

_TORSO: Points = (
    (36, 84),
    (46, 82),
    (54, 78),
    (54, 66),
    (66, 66),
    (66, 78),
    (74, 82),
    (84, 84),
    (82, 104),
    (79, 122),
    (78, 142),
    (80, 166),
    (40, 166),
    (42, 142),
    (41, 122),
    (38, 104),
)
_FRONT: Mapping[Site, Points] = {
    Site.HAND: ((29, 5), (39, 5), (41, 13), (40, 20), (29, 20), (27.5, 13)),
    Site.WRIST: ((28.5, 22), (41, 22), (41.5, 29), (28.5, 29)),
    Site.FOREARM: ((28.5, 31), (41.5, 31), (42.5, 48), (29.5, 48)),
    Site.ELBOW: ((29.5, 50), (42.5, 50), (43, 58), (30, 58)),
    Site.FRONT_SHOULDER: ((30.5, 76), (44, 76), (51, 84), (46, 96), (38, 97)),
    Site.ARMPIT: ((39, 99), (45.5, 98), (47, 113), (41.5, 115)),
    Site.PECS: ((53, 86), (59.5, 87), (59.5, 112), (48.5, 113), (47.5, 97)),
    Site.RIBS: ((42.5, 117), (59.5, 115), (59.5, 140), (43.5, 142)),
    Site.NECK: ((54.5, 72), (59.5, 72), (59.5, 84), (53.5, 83)),
}
_BACK: Mapping[Site, Points] = {
    **{site: _FRONT[site] for site in (Site.HAND, Site.WRIST)},
    **{site: _FRONT[site] for site in (Site.FOREARM, Site.ELBOW, Site.NECK)},
    Site.TRICEPS: ((30, 60), (43, 60), (44, 78), (30.5, 78)),
    Site.TOP_SHOULDER: ((37, 82), (52, 82), (56, 87), (48, 94), (38, 93)),
    Site.BETWEEN_BLADES: ((53, 92), (59.5, 88), (59.5, 119), (51.5, 119)),
    Site.LATS: ((39, 97), (49.5, 96), (50, 121), (51, 140), (43.5, 142), (41.5, 118)),
    Site.LOW_BACK: ((52.5, 142), (59.5, 142), (59.5, 164), (50.5, 164)),
}
_ARM = ((35, 13), (37, 92))
"""An arm's middle line, from the hand to the shoulder."""
_HEAD = (60.0, 56.0, 14.0)

Looks = Mapping[tuple[Site, Side], str]
"""How to fill a site on the person's left or right: a class of the style sheet."""


def body_shapes(looks: Looks) -> list[Shape]:
    """Return both figures with the sites filled as LOOKS says."""
    shapes: list[Shape] = []
    for at, back in ((0.0, False), (FIGURE_WIDTH + GAP, True)):
        shapes += _silhouette(at)
        shapes += _sites(looks, at, back=back)
        shapes += _details(at, back=back)
        shapes += _captions(at, back=back)
    return shapes


def _silhouette(at: float) -> Iterator[Shape]:
    """Draw the edge of all parts first, then their insides, so that they join."""
    (hand_x, hand_y), (x, y) = _ARM
    torso = tuple((px + at, py) for px, py in _TORSO)
    head_x, head_y, radius = _HEAD
    for layer in ("edge", "inside"):
        yield Area(torso, f"torso-{layer}")
        yield Dot(head_x + at, head_y, radius + (1.1 if layer == "edge" else 0), layer)
        for arm in (hand_x, FIGURE_WIDTH - hand_x):
            end = x if arm == hand_x else FIGURE_WIDTH - x
            yield Stroke(arm + at, hand_y, end + at, y, f"limb-{layer}")


def _sites(looks: Looks, at: float, *, back: bool) -> Iterator[Shape]:
    for site, points in (_BACK if back else _FRONT).items():
        for mirrored in (False, True):
            # The reader's left is the person's right on the front, left on the back.
            side = Side.LEFT if mirrored is not back else Side.RIGHT
            look = looks.get((site, side))
            if look is not None:
                yield Area(
                    tuple(
                        ((FIGURE_WIDTH - x if mirrored else x) + at, y)
                        for x, y in points
                    ),
                    look,
                )


def _details(at: float, *, back: bool) -> Iterator[Shape]:
    if back:
        yield Stroke(60 + at, 86, 60 + at, 164, "detail")
        return
    yield Dot(55 + at, 54, 1.4, "eye")
    yield Dot(65 + at, 54, 1.4, "eye")
    yield Stroke(56.5 + at, 62, 63.5 + at, 62, "detail")


def _captions(at: float, *, back: bool) -> Iterator[Shape]:
    left, right = ("left", "right") if back else ("right", "left")
    y = BODY_HEIGHT - 4
    yield Label(at + 18, y, left, "side quiet", "middle")
    yield Label(at + 60, y, "back" if back else "front", "side", "middle")
    yield Label(at + 102, y, right, "side quiet", "middle")
