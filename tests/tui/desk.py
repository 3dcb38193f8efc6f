"""Makers for the screens' tests: a file, a clock that stands still, an app on both.

All data is made up. Monday is 9 March 2026, six in the evening.
"""

from __future__ import annotations

import uuid
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import replace
from datetime import date, datetime, timedelta, timezone
from pathlib import Path

from textual.pilot import Pilot
from textual.widget import Widget
from textual.widgets import Static

from tests.new_files import new_store
from trainer.core.answers import CAUTIONS_READ, HEAD_UP, NO, SHOULDER
from trainer.core.clock import ManualClock
from trainer.core.cues.introduction import HEARD_ANSWER
from trainer.core.model import EndedBy, Hold, PlannedSet, Session, SessionKind
from trainer.core.plan.plan import Plan, default_entry
from trainer.settings.paths import Paths
from trainer.settings.settings import Settings
from trainer.sound.player import RecordingPlayer
from trainer.store import Store
from trainer.tui.app import TrainerApp

ZONE = timezone(timedelta(hours=1))
MONDAY = datetime(2026, 3, 9, 18, 0, tzinfo=ZONE)
PLAN = Plan(
    exercises=(
        replace(default_entry("hang"), cue="Ribs down first [/] [b]"),
        default_entry("press-pike"),
    )
)


def clock_at(moment: datetime = MONDAY) -> ManualClock:
    """Give a clock that stands at MOMENT."""
    return ManualClock(start=moment)


@contextmanager
def made_store(folder: Path, clock: ManualClock) -> Iterator[Store]:
    """Open a file in FOLDER, one without a row."""
    with new_store(folder / "trainer.db", clock) as store:
        yield store


def settle(store: Store, plan: Plan = PLAN) -> None:
    """Answer the first questions, read the cautions, hear the sounds, save a plan."""
    store.set_answer(CAUTIONS_READ, "2026-02-01")
    store.set_answer(HEARD_ANSWER, "2026-02-01")
    store.set_answer(HEAD_UP, NO)
    store.set_answer(SHOULDER, NO)
    store.save_plan(plan, valid_from=date(2026, 2, 2))


def train(store: Store, day: date, target_s: float, *, rpe: float | None = 7) -> str:
    """Log a whole session of the plan, every set kept; gives its uid."""
    began = datetime(day.year, day.month, day.day, 17, 0, tzinfo=timezone.utc)
    planned = tuple(
        PlannedSet(exercise, number, target_s, 90)
        for number in (1, 2, 3)
        for exercise in ("hang", "press-pike")
    )
    uid = str(uuid.uuid4())
    store.begin_session(
        Session(
            uid=uid,
            kind=SessionKind.PLAN,
            started_at=began,
            utc_offset_min=60,
            local_date=day,
            planned=planned,
        )
    )
    for nth, one in enumerate(planned):
        store.save_hold(
            uid,
            Hold(
                uid=str(uuid.uuid4()),
                exercise=one.exercise,
                set_number=one.set_number,
                target_s=target_s,
                held_s=target_s,
                ended_by=EndedBy.TARGET,
                started_at=began + timedelta(minutes=3 * nth),
                confirmed=True,
                rpe=rpe,
            ),
        )
    store.end_session(uid, ended_at=began + timedelta(minutes=20))
    return uid


def made_app(
    store: Store,
    clock: ManualClock,
    *,
    settings: Settings | None = None,
    start: str = "today",
    no_color: bool = False,
) -> TrainerApp:
    """Give the program on STORE, with a player that only keeps what it was told."""
    folder = store.path.parent
    return TrainerApp(
        store=store,
        paths=Paths(data=folder, config=folder, state=folder),
        settings=settings or Settings(),
        clock=clock,
        start=start,
        no_color=no_color,
        player=lambda _: RecordingPlayer(),
    )


def frame(pilot: Pilot[int]) -> str:
    """Give what stands on the screen, as lines of text."""
    screen = pilot.app.screen
    rows = [
        "".join(segment.text for segment in strip).rstrip()
        for strip in screen._compositor.render_strips(screen.size)
    ]
    return "\n".join(rows).rstrip("\n") + "\n"


def text_of(widget: Widget) -> str:
    """Give all the text below WIDGET, whether or not it is in view."""
    return "\n".join(str(each.content) for each in widget.query(Static))
