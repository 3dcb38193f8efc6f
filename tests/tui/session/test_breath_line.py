"""The breathing line: up with the inhale, on the floor when the exhale ends."""

from __future__ import annotations

import pytest
from hypothesis import given
from hypothesis import strategies as st

from trainer.core.cues.breathing import Breaths, Pattern, lay
from trainer.tui.session.breath_line import (
    heights,
    level,
    line_rows,
    stepped,
    view,
    visible,
)

LEVELS = st.floats(0, 1)
BREATHS = Breaths(count=3, in_s=4.0, out_s=6.0)


@pytest.mark.parametrize(
    ("elapsed_s", "full"),
    [(0.0, 0.0), (2.0, 0.5), (4.0, 1.0), (7.0, 0.5), (10.0, 0.0), (14.0, 1.0)],
)
def test_the_lungs_of_a_four_six_breath(elapsed_s: float, full: float) -> None:
    """Worked by hand: 4 s in, 6 s out, half full in the middle of each half."""
    assert full == pytest.approx(level(BREATHS, elapsed_s), abs=1e-6)


@given(
    target_s=st.floats(4, 300),
    in_s=st.floats(1, 10),
    out_s=st.floats(1, 10),
    part=st.floats(0, 1),
)
def test_it_climbs_while_in_and_sinks_while_out(
    target_s: float, in_s: float, out_s: float, part: float
) -> None:
    """The line never goes down during an inhale nor up during an exhale."""
    breaths = lay(target_s, Pattern(in_s, out_s))
    assert breaths is not None
    now_s = part * target_s
    seen = view(breaths, now_s)
    later_s = now_s + 0.5 * seen.left_s
    rise = level(breaths, later_s) - level(breaths, now_s)

    assert (rise if seen.word == "in" else -rise) >= -1e-6


@given(target_s=st.floats(4, 300), in_s=st.floats(1, 10), out_s=st.floats(1, 10))
def test_it_is_on_the_floor_when_the_hold_ends(
    target_s: float, in_s: float, out_s: float
) -> None:
    """The last exhale ends with the hold: the line is flat then."""
    breaths = lay(target_s, Pattern(in_s, out_s))
    assert breaths is not None

    assert level(breaths, target_s - 1e-6) == pytest.approx(0.0, abs=1e-3)


def test_the_words_beside_the_line() -> None:
    """At 11.5 s of three breaths of 4:6: the second breath, in, 2.5 s of it left."""
    seen = view(BREATHS, 11.5)

    assert ("in", 2, 3) == (seen.word, seen.number, seen.count)
    assert seen.left_s == pytest.approx(2.5)


@given(full=LEVELS, columns=st.integers(1, 200))
def test_heights_stay_between_the_floor_and_the_level(
    full: float, columns: int
) -> None:
    """The line is nowhere under the floor and over its level, and is even-sided."""
    over = heights(full, columns)

    assert columns == len(over)
    assert all(0 <= height <= full for height in over)
    assert list(over) == pytest.approx(list(reversed(over)))


@given(full=LEVELS, columns=st.integers(1, 120), rows=st.integers(1, 8))
def test_every_column_has_its_piece_of_line(
    full: float, columns: int, rows: int
) -> None:
    """The line has no holes, and the picture has the size asked for."""
    drawn = line_rows(full, columns=columns, rows=rows)

    assert rows == len(drawn)
    assert {columns} == {len(row) for row in drawn}
    for column in range(columns):
        assert any(row[column] != " " for row in drawn)


@pytest.mark.parametrize("rows", [1, 3, 6])
def test_empty_lungs_draw_the_floor(rows: int) -> None:
    """With the lungs empty only the lowest row has anything in it."""
    *above, floor = line_rows(0.0, columns=20, rows=rows)

    assert [" " * 20] * (rows - 1) == above
    assert "⣤" * 20 == floor


def test_turned_over_the_floor_is_above() -> None:
    """For somebody upside down the whole picture is turned by 180°."""
    upright = line_rows(1.0, columns=31, rows=4)
    turned = line_rows(1.0, columns=31, rows=4, turned=True)

    assert "⠛" * 3 == turned[0][:3]
    assert [row.strip() != "" for row in upright] == [
        row.strip() != "" for row in reversed(turned)
    ]


@given(full=LEVELS, rows=st.integers(1, 8))
def test_the_visible_level_is_near_and_keeps_the_ends(full: float, rows: int) -> None:
    """What is drawn is off by less than a dot; empty and full stay what they are."""
    shown = visible(full, rows)

    assert shown == pytest.approx(full, abs=1 / (rows * 4 - 2))
    assert (0.0, 1.0) == (visible(0.0, rows), visible(1.0, rows))


def test_less_motion_steps_instead_of_gliding() -> None:
    """With reduced motion one half of a breath shows no more than five heights."""
    shown = {stepped(full / 200) for full in range(201)}

    assert {0.0, 0.25, 0.5, 0.75, 1.0} == shown
