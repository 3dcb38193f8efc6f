"""The large figures: one shape per figure in every size, and upside down."""

from __future__ import annotations

from itertools import combinations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.tui.session.big_digits import (
    FEWEST_ROWS,
    MOST_ROWS,
    big_rows,
    figure_width,
    rows_that_fit,
    text_width,
)

SIZES = range(FEWEST_ROWS, MOST_ROWS + 1)
# What each quadrant block becomes when it is turned by 180°, from the Unicode chart of
# Block Elements (U+2580 to U+259F): upper and lower half, left and right half swap.
TURNED = str.maketrans("▘▝▀▖▌▞▛▗▚▐▜▄▙▟█", "▗▖▄▝▐▞▟▘▚▌▙▀▜▛█")


QUARTERS = " ▘▝▀▖▌▞▛▗▚▐▜▄▙▟█"
"""Every block of quarters: bit 0 upper left, 1 upper right, 2 lower left, 3 lower
right (the same chart)."""


def quarters(rows: tuple[str, ...]) -> list[bool]:
    blocks = [QUARTERS.index(block) for row in rows for block in row]
    return [bool(block >> bit & 1) for block in blocks for bit in range(4)]


def turn(rows: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(row[::-1].translate(TURNED) for row in reversed(rows))


@pytest.mark.parametrize("rows", SIZES)
def test_no_figure_can_be_taken_for_another(rows: int) -> None:
    """Any two figures differ in a tenth of their dots at least (our choice): a six in
    three rows that differs from an eight by two was misread."""
    dots = {figure: quarters(big_rows(figure, rows)) for figure in "0123456789"}

    for one, other in combinations(dots, 2):
        differing = sum(a != b for a, b in zip(dots[one], dots[other], strict=True))
        assert 0.1 <= differing / len(dots[one]), f"{one} and {other}"


@pytest.mark.parametrize("rows", SIZES)
def test_a_figure_fills_its_box(rows: int) -> None:
    """Each figure touches the top and the bottom row, so that none looks smaller."""
    for figure in "0123456789":
        drawn = big_rows(figure, rows)

        assert drawn[0].strip(), figure
        assert drawn[-1].strip(), figure


@given(
    text=st.text("0123456789 ", min_size=1, max_size=4),
    rows=st.sampled_from(SIZES),
)
def test_all_rows_are_as_long_as_the_text_is_wide(text: str, rows: int) -> None:
    """What is drawn takes exactly the cells that were asked for."""
    drawn = big_rows(text, rows)

    assert rows == len(drawn)
    assert {text_width(len(text), rows)} == {len(row) for row in drawn}


@given(
    text=st.text("0123456789 ", min_size=1, max_size=4),
    rows=st.sampled_from(SIZES),
)
def test_turned_is_the_same_picture_by_180_degrees(text: str, rows: int) -> None:
    """Who reads upside down reads exactly what the others read."""
    assert big_rows(text, rows) == turn(big_rows(text, rows, turned=True))


@pytest.mark.parametrize("rows", SIZES)
def test_a_nine_is_a_six_upside_down(rows: int) -> None:
    """The two figures that turn into each other do so exactly."""
    assert big_rows("6", rows, turned=True) == big_rows("9", rows)


@given(length=st.integers(1, 4), columns=st.integers(1, 250), rows=st.integers(0, 70))
def test_the_size_that_fits_is_the_largest_one(
    length: int, columns: int, rows: int
) -> None:
    """The figures are as large as the space allows, and never larger."""
    height = rows_that_fit(length, columns, rows)

    fitting = [
        size for size in SIZES if size <= rows and text_width(length, size) <= columns
    ]
    assert max(fitting, default=0) == height


def test_a_wider_figure_comes_with_every_row() -> None:
    """Figures grow in both directions."""
    widths = [figure_width(rows) for rows in SIZES]

    assert sorted(widths) == widths
    assert widths[0] < widths[-1]


@pytest.mark.parametrize(("text", "rows"), [("1x", 5), ("1", 2), ("1", 37)])
def test_what_has_no_figure_is_refused(text: str, rows: int) -> None:
    """An unknown character or a size out of bounds is a ValueError, no odd picture."""
    with pytest.raises(ValueError, match="figure"):
        big_rows(text, rows)
