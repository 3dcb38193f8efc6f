"""The drawing that the log and the felt map share."""

from __future__ import annotations

import pytest

from trainer.core.charts.body import (
    BODY_CAPTION,
    BODY_COLUMNS,
    BODY_ROWS,
    Direction,
    neighbour,
    side_at,
    site_at,
    site_cells,
)
from trainer.core.model import FELT_SITES, PAIN_SITES, Side, Site


def test_is_plain_text_of_one_width() -> None:
    """The drawing is ASCII and every row, the caption too, is as wide as the first."""
    assert {BODY_COLUMNS} == {len(row) for row in (*BODY_ROWS, BODY_CAPTION)}
    assert all(row.isascii() for row in BODY_ROWS)


@pytest.mark.parametrize("site", PAIN_SITES)
def test_every_site_has_cells_of_its_own(site: Site) -> None:
    """Each site lies on at least two cells, and each of them answers with the site."""
    cells = site_cells(site)

    assert len(cells) >= 2
    assert {site} == {site_at(row, col) for row, col in cells}


@pytest.mark.parametrize("site", PAIN_SITES)
def test_left_and_right_make_the_whole(site: Site) -> None:
    """The cells of both sides together are the site's cells, and neither is empty."""
    left = set(site_cells(site, Side.LEFT))
    right = set(site_cells(site, Side.RIGHT))

    assert set(site_cells(site)) == left | right
    assert left
    assert right


def test_the_front_figure_faces_the_reader() -> None:
    """The person's right is on the left of the front figure and on the right behind."""
    assert Side.RIGHT is side_at(0)
    assert Side.LEFT is side_at(16)
    assert Side.LEFT is side_at(20)
    assert Side.RIGHT is side_at(BODY_COLUMNS - 1)
    assert None is side_at(18)


def test_nothing_is_drawn_over_by_a_site() -> None:
    """Sites lie on blank cells, fingers apart, so that shading hides no line."""
    drawn = {
        site_at(row, col)
        for site in PAIN_SITES
        for row, col in site_cells(site)
        if BODY_ROWS[row][col] != " "
    }

    assert {Site.HAND} == drawn


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
    assert Site.LATS is neighbour(Site.RIBS, Direction.RIGHT)
    assert Site.RIBS is neighbour(Site.LOW_BACK, Direction.LEFT)
    assert Site.WRIST is neighbour(Site.WRIST, Direction.UP)
