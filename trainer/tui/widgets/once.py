"""A page or a slip is left once, however often it is told to go."""

from __future__ import annotations

from typing import Any

from textual.screen import Screen


def is_left(screen: Screen[Any]) -> bool:
    """Tell whether a page is gone already, so that leaving it means nothing.

    The framework takes away whatever lies on top (textual 8.2, ``Screen.dismiss``): a
    second enter, on its way while the first closes a slip, would take the page below,
    a session under way, say.
    """
    return screen not in screen.app.screen_stack
