"""Then and now: trunk on trunk, whatever the photos were like."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.core.angle.checks import FREE, check
from tests.core.angle.poses import person
from trainer.core.angle.compare import (
    SHOULDER,
    Frame,
    comparable,
    drawing,
    figure_rows,
    outline,
)
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing, Point
from trainer.core.charts.canvas import ASCII, plain

ANGLES = st.floats(60, 225)


class TestFrame:
    @given(
        angle=ANGLES,
        lean=st.floats(-50, 50),
        facing=st.sampled_from(Facing),
        upside_down=st.booleans(),
        size=st.floats(20, 4000),
    )
    def test_knows_no_lean_no_side_and_no_size(
        self,
        angle: float,
        lean: float,
        facing: Facing,
        upside_down: bool,
        size: float,
    ) -> None:
        """The same body gives the same outline from every photo."""
        marked = person(
            overhead_deg=angle,
            lean_deg=lean,
            facing=facing,
            upside_down=upside_down,
            trunk_px=size,
            arm_px=0.6 * size,
        )
        end = outline(marked).arm_end
        turn = math.radians(angle)

        assert pytest.approx(0.6 * math.sin(turn), abs=1e-6) == end.x
        assert pytest.approx(1 - 0.6 * math.cos(turn), abs=1e-6) == end.y

    @given(x=st.floats(-3, 3), y=st.floats(-3, 3))
    def test_goes_there_and_back(self, x: float, y: float) -> None:
        """So a photo can be drawn in it."""
        frame = Frame.of(person(overhead_deg=165, lean_deg=20, facing=Facing.LEFT))
        there = frame.into(frame.back(Point(x, y)))

        assert pytest.approx((x, y), abs=1e-9) == (there.x, there.y)
        shoulder = person(overhead_deg=165).shoulder
        assert SHOULDER == Point(
            *(
                round(each, 9)
                for each in (
                    Frame.of(person(overhead_deg=165)).into(shoulder).x,
                    Frame.of(person(overhead_deg=165)).into(shoulder).y,
                )
            )
        )


class TestDrawing:
    def test_names_both_arms_at_their_ends(self) -> None:
        """Told apart by dots and words, not by colour."""
        then = outline(person(overhead_deg=150))
        now = outline(person(overhead_deg=178))
        text = plain(drawing(then, now, width=50, height=22))
        in_ascii = plain(drawing(then, now, width=50, height=22, glyphs=ASCII))

        assert "then" in text
        assert "now" in text
        assert in_ascii.isascii()
        assert {"#", ".", "|"} <= set(in_ascii)

    def test_says_the_figures_side_by_side(self) -> None:
        """With the difference, and a dash for what isn't known."""
        then = measure(person(overhead_deg=150, flare=0.1, lift=-0.4))
        now = measure(person(overhead_deg=158, flare=0.22, lift=-0.2, wrist=True))
        rows = {name: rest for name, *rest in figure_rows(then, now)}

        assert ["150°", "158°", "+8°"] == rows["overhead angle"]
        assert ["0.10", "0.22", "+0.12"] == rows["rib flare"]
        assert ["−0.40", "–", ""] == rows["lift"]

    def test_says_where_two_checks_are_no_pair(self) -> None:
        """Guarded against free is no change of the shoulder."""
        assert "" == comparable(check(160), check(170, week=4))
        assert "different series" in comparable(check(160), check(170, position=FREE))
