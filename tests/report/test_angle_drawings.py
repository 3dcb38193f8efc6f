"""Angle checks as shapes of the page."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest

from tests.core.angle.checks import FREE, check, weeks_of
from tests.core.angle.poses import person
from trainer.core.angle.check import AngleCheck
from trainer.core.angle.figures import measure
from trainer.core.angle.landmarks import Facing
from trainer.report.angle_drawings import angle_parts, then_and_now
from trainer.report.shapes import Dot, Label, Stroke

DAYS = ([158, 160, 162], [161, 163, 165], [167, 169, 171])


def _marked(angle: float, week: int, facing: Facing) -> AngleCheck:
    marked = person(overhead_deg=angle, lean_deg=8.0 * week, facing=facing)
    return replace(check(angle, week=week), landmarks=marked, figures=measure(marked))


class TestOverTime:
    def test_guarded_and_free_stand_in_one_picture(self) -> None:
        """A dot for each day of each, and every series' sentence."""
        checks = (*weeks_of(DAYS), *weeks_of([[168], [174]], position=FREE))
        ((drawing, said),) = angle_parts(checks)
        dots = [shape for shape in drawing.shapes if isinstance(shape, Dot)]
        texts = [shape.text for shape in drawing.shapes if isinstance(shape, Label)]

        assert ["first"] * 3 + ["free"] * 2 == [dot.look for dot in dots]
        assert {"169° guarded", "174° free", "noise"} <= set(texts)
        assert ["Reach, guarded", "Reach, free, p"] == [each[:14] for each in said]

    def test_no_check_is_no_picture(self) -> None:
        """The page says nothing where there is nothing."""
        assert () == angle_parts(())


class TestThenAndNow:
    def test_is_drawn_trunk_on_trunk(self) -> None:
        """Whatever side was faced: one trunk, and the arms as far apart as measured."""
        then, now = _marked(150, 0, Facing.LEFT), _marked(170, 4, Facing.RIGHT)
        drawing = then_and_now(then, now)
        assert drawing is not None
        found = {
            shape.look: shape
            for shape in reversed(drawing.shapes)
            if isinstance(shape, Stroke)
        }
        turns = [
            math.degrees(math.atan2(one.x2 - one.x1, one.y1 - one.y2))
            for one in (found["line-then"], found["line-now"])
        ]

        assert 0 == found["line-trunk"].x1 - found["line-trunk"].x2
        assert pytest.approx([30, 10], abs=1e-6) == turns
        texts = [shape.text for shape in drawing.shapes if isinstance(shape, Label)]
        assert {"then", "now", "150°", "170°", "+20°"} <= set(texts)

    def test_needs_the_landmarks_of_both(self) -> None:
        """A figure alone has no arm to draw."""
        assert None is then_and_now(check(150), _marked(170, 4, Facing.RIGHT))

    def test_comes_last_of_the_parts(self) -> None:
        """Of the series that answers whether the shoulder opens."""
        checks = (_marked(150, 0, Facing.LEFT), _marked(170, 4, Facing.RIGHT))

        assert "Then and now" == angle_parts(checks)[-1][0].title
