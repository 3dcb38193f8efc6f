"""The one door to the screens: a page opens another by its name, and imports none.

A screen is loaded when it is first asked for, so that nobody waits for those that are
never opened; and two pages that lead to each other don't import each other.
"""

from __future__ import annotations

from collections.abc import Awaitable, Callable, Mapping
from importlib import import_module
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from textual.app import App
    from textual.screen import Screen

SCREENS: Mapping[str, str] = {
    "angle-checks": "trainer.tui.photo.checks:ChecksScreen",
    "cautions": "trainer.tui.screens.cautions:CautionsScreen",
    "cover": "trainer.tui.cover:Cover",
    "first-day": "trainer.tui.screens.first_day:FirstDayScreen",
    "next-week": "trainer.tui.screens.next_week:NextWeekScreen",
    "plan": "trainer.tui.screens.plan:PlanScreen",
    "review": "trainer.tui.screens.review:ReviewScreen",
    "session": "trainer.tui.session.screen:SessionScreen",
    "sessions": "trainer.tui.screens.review:SessionsScreen",
    "sound": "trainer.tui.screens.sound:SoundScreen",
    "summary": "trainer.tui.screens.summary:SummaryScreen",
    "today": "trainer.tui.screens.today:TodayScreen",
    "unfinished": "trainer.tui.screens.unfinished:UnfinishedScreen",
}
"""Each screen by its name, as ``module:class``."""

OPENED_FROM_TODAY = frozenset({"angle", "next", "plan", "review", "sound"})
"""Actions of Today that open the page which the program is asked to begin with."""


def load(name: str) -> Callable[..., Screen[Any]]:
    """Import the screen called NAME, and give what makes it."""
    module, _, kind = SCREENS[name].partition(":")
    makes: Callable[..., Screen[Any]] = getattr(import_module(module), kind)
    return makes


def screen(name: str, *arguments: object, **options: object) -> Screen[Any]:
    """Make the screen called NAME."""
    return load(name)(*arguments, **options)


def open_screen(
    app: App[Any],
    name: str,
    *arguments: object,
    then: Callable[[Any], None] | Callable[[Any], Awaitable[None]] | None = None,
    **options: object,
) -> None:
    """Lay the screen called NAME over the others.

    Args:
        app: the program.
        name: one of ``SCREENS``.
        arguments: what the screen is made with.
        then: called with what the screen gives back when it is left.
        options: the same by keyword.
    """
    app.push_screen(screen(name, *arguments, **options), then)
