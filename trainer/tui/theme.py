"""Our themes: a page by lamp light, a page by day, and plain ink for NO_COLOR.

The hues are those of Okabe and Ito's palette for all kinds of colour vision ("Color
Universal Design", 2008); on the dark page they are used as they are or lightened, on
the light page darkened, until every text colour reaches 4.5:1 on every ground that it
is set on (WCAG 2.x, 1.4.3). A test computes that. Colour never carries a state alone.
"""

from __future__ import annotations

import os
from collections.abc import MutableMapping

from textual.theme import Theme

LAMP = "lamp"
DAY = "day"
PLAIN = "plain"
NAMES = (LAMP, DAY, PLAIN)

TEXT_COLOURS = ("foreground", "text-muted", "primary", "accent", "warning", "error")
"""Variables that text is set in."""
GROUNDS = ("background", "surface", "panel")
"""Variables that text is set on."""


def _theme(
    name: str, *, dark: bool, grounds: tuple[str, str, str], **ink: str
) -> Theme:
    background, surface, panel = grounds
    plain, soft = ink["plain"], ink["soft"]
    variables = {
        "text": plain,
        "text-muted": soft,
        "text-disabled": soft,
        "foreground-muted": soft,
        "text-primary": ink["sky"],
        "text-secondary": ink["green"],
        "text-accent": ink["orange"],
        "text-warning": ink["orange"],
        "text-error": ink["vermillion"],
        "text-success": ink["green"],
        "rule": ink["rule"],
        "border": ink["rule"],
        "border-blurred": ink["rule"],
        "block-cursor-background": plain,
        "block-cursor-foreground": background,
        "block-cursor-text-style": "bold",
        "block-cursor-blurred-background": panel,
        "block-cursor-blurred-foreground": plain,
        "block-hover-background": panel,
        "input-cursor-background": plain,
        "input-cursor-foreground": background,
        "input-selection-background": panel,
        "input-selection-foreground": plain,
        "scrollbar": ink["rule"],
        "scrollbar-hover": soft,
        "scrollbar-active": soft,
        "scrollbar-background": background,
        "scrollbar-background-hover": background,
        "scrollbar-background-active": background,
        "scrollbar-corner-color": background,
        "footer-background": background,
        "footer-foreground": plain,
        "footer-key-foreground": plain,
        "footer-description-foreground": soft,
        "link-color": plain,
        "link-color-hover": background,
        "link-background-hover": plain,
    }
    return Theme(
        name=name,
        primary=ink["sky"],
        secondary=ink["green"],
        accent=ink["orange"],
        warning=ink["orange"],
        error=ink["vermillion"],
        success=ink["green"],
        foreground=plain,
        background=background,
        surface=surface,
        panel=panel,
        dark=dark,
        variables=variables,
    )


THEMES = (
    _theme(
        LAMP,
        dark=True,
        grounds=("#14171a", "#1b1f23", "#272c32"),
        plain="#e9e4d8",
        soft="#a9a598",
        rule="#5b5f63",
        sky="#56b4e9",
        orange="#e69f00",
        vermillion="#ff8a4a",
        green="#2ab890",
    ),
    _theme(
        DAY,
        dark=False,
        grounds=("#f7f4ec", "#f0ece1", "#e5e0d2"),
        plain="#1b1c1e",
        soft="#57534a",
        rule="#a39c8a",
        sky="#005f96",
        orange="#7f5200",
        vermillion="#9c3f00",
        green="#00604a",
    ),
    _theme(
        PLAIN,
        dark=True,
        grounds=("#000000", "#000000", "#262626"),
        plain="#ffffff",
        soft="#d0d0d0",
        rule="#9a9a9a",
        sky="#ffffff",
        orange="#ffffff",
        vermillion="#ffffff",
        green="#ffffff",
    ),
)
"""In the plain theme every hue is white: weight, underline and reverse carry it."""


def settle_no_color(environ: MutableMapping[str, str] = os.environ) -> bool:
    """Tell whether colour is off; an empty NO_COLOR is removed, for it means unset.

    Textual takes a present but empty NO_COLOR for "no colour"; the convention and
    Rich need a value in it. Called before the app is built.
    """
    if environ.get("NO_COLOR"):
        return True
    environ.pop("NO_COLOR", None)
    return False


def theme_name(wanted: str, *, no_color: bool) -> str:
    """Give the theme to use: the plain one without colour, a known one always."""
    if no_color:
        return PLAIN
    return wanted if wanted in NAMES else LAMP
