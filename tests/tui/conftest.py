"""How the screens' tests wait, when they paint, and that styles are parsed once.

The framework's pilot takes a program for idle when its process used little processor
time for a fiftieth of a second. That is long where nothing is under way, and wrong on a
busy machine, where a process gets little time because others have it. Here the event
loop itself is asked: a program is idle when nothing is ready to run, no thread works
for it, and its page is laid out.
"""

from __future__ import annotations

import asyncio
from time import monotonic
from typing import Any

import pytest
import textual.app
import textual.pilot
from textual._compositor import Compositor
from textual._context import active_app
from textual.app import App, ScreenStackError
from textual.css.model import RuleSet
from textual.css.stylesheet import Stylesheet
from textual.screen import Screen

LOOKS = 3
"""Turns of the loop in a row with nothing ready: one may hand on to the next."""
PATIENCE_S = 20.0
MEANWHILE_S = 0.002
"""Between two looks at a thread or at the framework's own short timers."""


def _works_elsewhere(app: App[Any]) -> bool:
    """Tell whether a thread works for APP, or a new size waits to be taken."""
    threads = any(each._thread_worker and not each.is_finished for each in app.workers)
    return threads or app._resize_event is not None or app._resize_timer is not None


def _to_be_laid_out(screen: Screen[Any]) -> bool:
    return bool(
        screen._layout_required
        or screen._scroll_required
        or screen._repaint_required
        or screen._recompose_required
        or screen._dirty_widgets
        or screen._callbacks
    )


def _shown(app: App[Any]) -> Screen[Any] | None:
    try:
        return app.screen
    except ScreenStackError:  # it is on its way out
        return None


async def wait_until_idle(_least_s: float = 0, most_s: float = 1) -> None:
    """Wait until the program has done all that it can do by itself, now.

    Threads are waited for MOST_S at most: one may wait for what the test does next. For
    itself the program gets as long as a busy machine lets it take.
    """
    app = active_app.get(None)
    loop: Any = asyncio.get_running_loop()
    begun = monotonic()
    quiet = 0
    while quiet < LOOKS:
        waited_s = monotonic() - begun
        assert waited_s < PATIENCE_S, "the program doesn't come to rest"
        await asyncio.sleep(0)
        quiet += 1
        if loop._ready:
            quiet = 0
        elif app is None or not app._running or app._exit:
            continue
        elif _works_elsewhere(app) and waited_s < most_s:
            await asyncio.sleep(MEANWHILE_S)
            quiet = 0
        elif (screen := _shown(app)) and _to_be_laid_out(screen):
            # What its timer does sixty times a second.
            screen._on_timer_update()
            quiet = 0


PAINT = Compositor.render_update
SHUT_DOWN = App._shutdown


def _left_unpainted(compositor: Compositor, **_options: object) -> None:
    """Take what changed for painted: nobody sees a program without a terminal.

    The framework would work out sixty frames a second and throw each away. A test's
    frames are worked out when it looks (``desk.frame``), and its last one in any case.
    """
    compositor._dirty_regions.clear()


async def _paint_and_shut_down(app: App[Any]) -> None:
    """Paint what stands there at the end: what can't be painted fails the test."""
    if app._running and (screen := _shown(app)):
        PAINT(screen._compositor, full=True, screen_stack=app._background_screens)
    await SHUT_DOWN(app)


PARSE = Stylesheet._parse_rules
PARSED: dict[tuple[object, ...], list[RuleSet]] = {}
"""By what was parsed, and with which variables."""


def _parse_once(sheet: Stylesheet, *source: Any, **more: Any) -> list[RuleSet]:
    """Parse a style sheet once for all the programs that a worker's tests start.

    The framework keeps what it parsed for a program's time, and never changes it: a
    tenth of a short test.
    """
    variables = frozenset(sheet._variables.items())
    key = (source, tuple(sorted(more.items())), variables)
    if key not in PARSED:
        PARSED[key] = PARSE(sheet, *source, **more)
    return PARSED[key]


@pytest.fixture(autouse=True)
def _waits_and_paints(monkeypatch: pytest.MonkeyPatch) -> None:
    """Wait by the loop; paint what is looked at, and what is left; parse once."""
    monkeypatch.setattr(Stylesheet, "_parse_rules", _parse_once)
    monkeypatch.setattr(textual.pilot, "wait_for_idle", wait_until_idle)
    monkeypatch.setattr(textual.app, "wait_for_idle", wait_until_idle)
    monkeypatch.setattr(Compositor, "render_update", _left_unpainted)
    monkeypatch.setattr(App, "_shutdown", _paint_and_shut_down)
