"""The themes against the published contrast formula, and NO_COLOR's convention.

Formula and thresholds: W3C, WCAG 2.x, "relative luminance", "contrast ratio" and
success criterion 1.4.3. The boundary pairs are widely published examples of it.
"""

from __future__ import annotations

import itertools

import pytest
from textual.color import Color
from textual.theme import Theme

from trainer.tui import theme


def luminance(colour: Color) -> float:
    """Give the relative luminance as WCAG 2.x defines it."""

    def linear(value: int) -> float:
        c = value / 255
        return c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4

    r, g, b = colour.rgb
    return 0.2126 * linear(r) + 0.7152 * linear(g) + 0.0722 * linear(b)


def ratio(one: Color, other: Color) -> float:
    """Give the contrast ratio of two colours, 1 to 21, unrounded."""
    lights = sorted(luminance(each) for each in (one, other))
    return (lights[1] + 0.05) / (lights[0] + 0.05)


def contrast(one: str, other: str) -> float:
    """Give the same of two colours by their names."""
    return ratio(Color.parse(one), Color.parse(other))


@pytest.mark.parametrize(
    ("one", "other", "passes"),
    [
        ("#000000", "#ffffff", True),
        ("#767676", "#ffffff", True),
        ("#777777", "#ffffff", False),
    ],
)
def test_the_measure_agrees_with_published_pairs(
    one: str, other: str, passes: bool
) -> None:
    """#767676 on white passes 4.5:1 (4.54), #777777 fails (4.48)."""
    assert passes is (contrast(one, other) >= 4.5)


@pytest.mark.parametrize(
    ("each", "ink", "ground"),
    [
        pytest.param(each, ink, ground, id=f"{each.name}-{ink}-on-{ground}")
        for each in theme.THEMES
        for ink, ground in itertools.product(theme.TEXT_COLOURS, theme.GROUNDS)
    ],
)
def test_every_text_colour_reaches_four_and_a_half_to_one(
    each: Theme, ink: str, ground: str
) -> None:
    """Each colour that text is set in is legible on each ground that it is set on."""
    made = {**each.to_color_system().generate(), **each.variables}

    assert contrast(made[ink], made[ground]) >= 4.5


@pytest.mark.parametrize("each", theme.THEMES, ids=lambda each: each.name)
def test_the_marked_line_and_the_rules_can_be_seen(each: Theme) -> None:
    """Reversed text passes as text; a rule reaches 3:1 or is mere ornament at 2:1."""
    made = {**each.to_color_system().generate(), **each.variables}

    cursor = contrast(made["block-cursor-foreground"], made["block-cursor-background"])
    assert cursor >= 4.5
    assert contrast(made["rule"], made["background"]) >= 2


def test_an_empty_no_color_means_unset() -> None:
    """NO_COLOR counts only with something in it (the convention's own wording)."""
    environ = {"NO_COLOR": ""}

    assert theme.settle_no_color(environ) is False
    assert environ == {}


def test_no_color_gets_the_plain_theme_whatever_is_wanted() -> None:
    """Without colour the plain theme is used, never one that turns to grey."""
    assert theme.settle_no_color({"NO_COLOR": "1"}) is True
    assert theme.theme_name("day", no_color=True) == theme.PLAIN
    assert theme.theme_name("no such theme", no_color=False) == theme.LAMP
