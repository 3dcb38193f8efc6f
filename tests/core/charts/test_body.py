"""The drawing that the log and the felt map share."""

from __future__ import annotations

import pytest

from trainer.core.charts.body import LARGE, SMALL, Body, Direction, neighbour
from trainer.core.model import FELT_SITES, PAIN_SITES, Side, Site

BODIES = {"small": SMALL, "large": LARGE}
body_of_each_size = pytest.mark.parametrize("body", BODIES.values(), ids=BODIES)


@body_of_each_size
def test_is_plain_text_of_one_width(body: Body) -> None:
    """The drawing is ASCII and every row, the caption too, is as wide as the first."""
    assert {body.columns} == {len(row) for row in (*body.rows, body.caption)}
    assert all(row.isascii() for row in body.rows)


@body_of_each_size
@pytest.mark.parametrize("site", PAIN_SITES)
def test_every_site_has_cells_of_its_own(site: Site, body: Body) -> None:
    """Each site lies on at least two cells, and each of them answers with the site."""
    cells = body.cells(site)

    assert len(cells) >= 2
    assert {site} == {body.site_at(row, col) for row, col in cells}


@body_of_each_size
@pytest.mark.parametrize("site", PAIN_SITES)
def test_left_and_right_make_the_whole(site: Site, body: Body) -> None:
    """The cells of both sides together are the site's cells, and neither is empty."""
    left = set(body.cells(site, Side.LEFT))
    right = set(body.cells(site, Side.RIGHT))

    assert set(body.cells(site)) == left | right
    assert left
    assert right


@body_of_each_size
def test_both_sides_of_a_body_are_alike(body: Body) -> None:
    """What is on the left is on the right, as far from the middle of its figure."""
    for site in PAIN_SITES:
        left = [row for row, _ in body.cells(site, Side.LEFT)]
        right = [row for row, _ in body.cells(site, Side.RIGHT)]

        assert left == right, site


def test_the_front_figure_faces_the_reader() -> None:
    """The person's right is on the left of the front figure and on the right behind."""
    assert Side.RIGHT is SMALL.side_at(0)
    assert Side.LEFT is SMALL.side_at(16)
    assert Side.LEFT is SMALL.side_at(20)
    assert Side.RIGHT is SMALL.side_at(SMALL.columns - 1)
    assert None is SMALL.side_at(18)


@body_of_each_size
def test_nothing_is_drawn_over_by_a_site(body: Body) -> None:
    """Sites lie on blank cells, so that shading hides no line."""
    assert {" "} == {
        body.rows[row][col] for site in PAIN_SITES for row, col in body.cells(site)
    }


@pytest.mark.parametrize("sites", [FELT_SITES, PAIN_SITES])
def test_every_site_can_be_reached_by_arrow_keys(sites: tuple[Site, ...]) -> None:
    """The arrows lead from any site to all that may be picked, and no further."""
    reached = {sites[0]}
    todo = [sites[0]]
    while todo:
        here = todo.pop()
        for direction in Direction:
            there = neighbour(here, direction, sites)
            if there not in reached:
                reached.add(there)
                todo.append(there)

    assert set(sites) == reached


def test_arrows_go_where_they_point() -> None:
    """Down the front leads towards the hips, right leads to the back."""
    assert Site.PECS is neighbour(Site.FRONT_SHOULDER, Direction.DOWN)
    assert Site.BETWEEN_BLADES is neighbour(Site.PECS, Direction.RIGHT)
    assert Site.RIBS is neighbour(Site.LOW_BACK, Direction.LEFT)
    assert Site.WRIST is neighbour(Site.WRIST, Direction.UP)
